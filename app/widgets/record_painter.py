"""A step's drawing on the screen: the booklet's own records, in the window's colours."""

from dataclasses import replace

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from app.widgets.theme import Look
from core.drawing.dimension_lines import SMALL
from core.drawing.lettering import CAPITAL
from core.drawing.records import Anchor, Line, Polygon, Record, Text
from core.drawing.sketch import Picture, look_of
from core.work.scene import Ink

SMALLEST = 9.0
"""Font size in px below which letters are no longer read."""
READABLE = SMALLEST * CAPITAL / SMALL
"""Px per mm at which a drawing's own letters are just so large; below it they would not fit."""
LARGEST = 5.2
"""Px per mm beyond which a drawing only grows empty."""
_NEW_SHARE = 0.3
_AREAS = {
    Ink.GOODS: "outer",
    Ink.SHADE: "allowance",
    Ink.INSIDE: "inner",
    Ink.PART: "pocket",
    Ink.PLATE: "paper",
}
_LINES = {
    Ink.CUT: "cut",
    Ink.STITCH: "cut",
    Ink.FOLD: "cut",
    Ink.NOTCH: "cut",
    Ink.PLACEMENT: "starting",
    Ink.BASTE: "starting",
    Ink.DIMENSION: "dimension",
    Ink.HATCH: "starting",
    Ink.NEW: "highlight",
    Ink.NEW_AREA: "highlight",
}


class PictureView(QWidget):
    """Shows one picture as large as it fits."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._picture: Picture | None = None

    @property
    def picture(self) -> Picture | None:
        """What is shown."""
        return self._picture

    def show_picture(self, picture: Picture | None) -> None:
        """Show another picture; its own words tell it to who cannot see it."""
        self._picture = picture
        self.setAccessibleName("" if picture is None else picture.told)
        self.update()

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        picture = self._picture
        if picture is None:
            return
        scale = min(self.width() / picture.width, self.height() / picture.height, LARGEST)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(
            (self.width() - scale * picture.width) / 2, (self.height() - scale * picture.height) / 2
        )
        look = replace(
            Look.for_palette(self.palette()), paper=self.palette().color(self.backgroundRole())
        )
        brush = RecordPainter(painter, picture.height, scale, look)
        for record in picture.records:
            brush.draw(record)
        painter.end()


class RecordPainter:
    """Draws records, mm with y up, on a painter whose origin is the upper left corner.

    Args:
        high: of the picture, mm.
        scale: px per mm.
    """

    def __init__(self, painter: QPainter, high: float, scale: float, look: Look) -> None:
        self._painter, self._high, self._scale, self._look = painter, high, scale, look

    def draw(self, record: Record) -> None:
        """One record."""
        if isinstance(record, Text):
            self._text(record)
            return
        self._painter.setPen(self._pen(record.ink))
        points = QPolygonF([self._spot(x, y) for x, y in record.points])
        if isinstance(record, Line):
            self._painter.drawPolyline(points)
            return
        self._painter.setBrush(self._fill(record))
        self._painter.drawPolygon(points)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)

    def _spot(self, x: float, y: float) -> QPointF:
        return QPointF(x * self._scale, (self._high - y) * self._scale)

    def _pen(self, ink: Ink) -> QPen:
        if ink in _AREAS:
            # An area's own colour closes the hairlines between two.
            return QPen(self._area(ink), 0.6)
        printed, look = look_of(ink), self._look
        colour: QColor = getattr(look, _LINES.get(ink, "ink"))
        width = max(printed.width * self._scale, look.thin)
        pen = QPen(colour, width)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        if printed.dashes:
            # Qt counts dashes in pen widths.
            pen.setCapStyle(Qt.PenCapStyle.FlatCap)
            pen.setDashPattern([dash * self._scale / width for dash in printed.dashes])
        return pen

    def _area(self, ink: Ink) -> QColor:
        colour: QColor = getattr(self._look, _AREAS[ink])
        return colour

    def _fill(self, record: Polygon) -> QColor | Qt.BrushStyle:
        if record.ink in _AREAS:
            return self._area(record.ink)
        if record.ink is Ink.NEW_AREA:
            return _mixed(self._look.highlight, self._look.paper, _NEW_SHARE)
        return Qt.BrushStyle.NoBrush

    def _text(self, text: Text) -> None:
        painter = self._painter
        font = QFont(painter.font())
        font.setBold(text.bold)
        font.setPixelSize(round(max(text.height / CAPITAL * self._scale, SMALLEST)))
        metrics = QFontMetricsF(font)
        width = metrics.horizontalAdvance(text.text)
        back = {Anchor.START: 0.0, Anchor.MIDDLE: width / 2, Anchor.END: width}[text.anchor]
        painter.save()
        painter.translate(self._spot(*text.at))
        painter.rotate(-text.angle)
        painter.setFont(font)
        painter.setPen(self._look.ink)
        painter.drawText(QPointF(-back, metrics.capHeight() / 2), text.text)
        painter.restore()


def _mixed(colour: QColor, ground: QColor, share: float) -> QColor:
    """So much of a colour on its ground, opaque."""
    pairs = zip(
        (colour.redF(), colour.greenF(), colour.blueF()),
        (ground.redF(), ground.greenF(), ground.blueF()),
        strict=True,
    )
    return QColor.fromRgbF(*(share * one + (1.0 - share) * other for one, other in pairs))
