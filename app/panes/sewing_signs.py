"""The signs of the order of sewing: a dial for a change of the machine, a triangle for care."""

from collections.abc import Callable
from enum import Enum

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from app.theme import change_colour, muted_colour, severity_colour
from core.findings import Severity

SIZE = 16
"""Every sign is drawn on a square of so many units."""


class Mark(Enum):
    """Which sign."""

    CHANGE = "change"
    CARE = "care"


def tone(mark: Mark) -> Callable[[QPalette], QColor]:
    """The colour of a sign and of the words beside it."""
    return change_colour if mark is Mark.CHANGE else _care_colour


def paint_mark(painter: QPainter, mark: Mark, at: QPointF, size: float, palette: QPalette) -> None:
    """Draw a sign with its upper left corner at a point, px."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(at)
    painter.scale(size / SIZE, size / SIZE)
    colour, paper = tone(mark)(palette), palette.color(QPalette.ColorRole.Base)
    if mark is Mark.CHANGE:
        _dial(painter, colour)
    else:
        _triangle(painter, colour, paper)
    painter.restore()


def paint_box(painter: QPainter, rect: QRectF, palette: QPalette, *, ticked: bool) -> None:
    """A box to tick; the platform's own can hardly be seen on some dark grounds."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    edge = muted_colour(palette)
    fill = palette.color(QPalette.ColorRole.Highlight if ticked else QPalette.ColorRole.Base)
    painter.setPen(QPen(fill if ticked else edge, 1.3))
    painter.setBrush(fill)
    painter.drawRoundedRect(rect.adjusted(0.7, 0.7, -0.7, -0.7), 2.5, 2.5)
    if ticked:
        pen = QPen(palette.color(QPalette.ColorRole.HighlightedText), 2.0)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        wide, high = rect.width(), rect.height()
        spots = ((0.24, 0.52), (0.43, 0.71), (0.77, 0.30))
        tick = [QPointF(rect.x() + x * wide, rect.y() + y * high) for x, y in spots]
        painter.drawPolyline(QPolygonF(tick))
    painter.restore()


def _dial(painter: QPainter, colour: QColor) -> None:
    """The wheel that a stitch is set with: a ring of ticks, and its pointer."""
    pen = QPen(colour, 1.7)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    painter.setPen(pen)
    painter.drawEllipse(QRectF(3.6, 4.4, 8.8, 8.8))
    painter.drawLine(QPointF(8.0, 8.8), QPointF(10.6, 6.2))
    for start, end in (((8, 0.9), (8, 2.2)), ((1.2, 4.0), (2.2, 4.9)), ((14.8, 4.0), (13.8, 4.9))):
        painter.drawLine(QPointF(*start), QPointF(*end))


def _triangle(painter: QPainter, colour: QColor, paper: QColor) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    painter.drawPolygon(QPolygonF([QPointF(8, 0.8), QPointF(15.8, 15), QPointF(0.2, 15)]))
    pen = QPen(paper, 2.0)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    painter.setPen(pen)
    painter.drawLine(QPointF(8, 5.8), QPointF(8, 9.4))
    painter.drawLine(QPointF(8, 12.4), QPointF(8, 12.5))


def _care_colour(palette: QPalette) -> QColor:
    return severity_colour(Severity.WARN, palette)


class MarkSign(QWidget):
    """One sign as a widget; the words beside it say what it means."""

    def __init__(self, mark: Mark, parent: QWidget) -> None:
        super().__init__(parent)
        self._mark = mark
        self.setFixedSize(QSize(SIZE + 2, SIZE + 2))

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        paint_mark(painter, self._mark, QPointF(1.0, 1.0), SIZE, self.palette())
        painter.end()
