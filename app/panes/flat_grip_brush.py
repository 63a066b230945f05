"""How a line that can be moved shows itself: a dot on it, and what is told beside it. px."""

from collections.abc import Iterable

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from app.panes.flat_grips import Grip
from app.panes.flat_hand import Readout
from app.panes.flat_labels import Hand, Lettering
from app.panes.flat_sheet import Sheet
from app.panes.look import Look
from app.panes.view2d import View2D

DOT = 5.0
"""Radius of the dot."""

_BESIDE = QPointF(18.0, 20.0)
"""From the pointer to the card, so that neither pointer nor line is covered."""

_PAD = 7.0
_WIDEST = 300.0
"""Longer sentences go on in the next line."""


def grip_line(grip: Grip, sheet: Sheet, view: View2D) -> QLineF:
    """Where a line lies on the screen."""
    x, y = sheet.places[grip.ref.piece]
    (x0, y0), (x1, y1) = grip.start, grip.end
    return QLineF(view.to_screen(x0 + x, y0 + y), view.to_screen(x1 + x, y1 + y))


def dot_place(line: QLineF) -> QPointF:
    """Where the dot lies: off the middle of a short line, where the seam's letter stands."""
    return line.pointAt(0.5 if line.length() > 80.0 else 0.8)


class GripBrush:
    """Paints in one look."""

    def __init__(self, look: Look) -> None:
        self._look = look

    def paint_lines(
        self, painter: QPainter, line: QLineF, twins: Iterable[QLineF], *, held: bool
    ) -> None:
        """The line with its dot, and thinner the lines that move along; filled while held."""
        look = self._look
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look.highlight, 2 * look.line))
        painter.drawLines(list(twins))
        pen = QPen(look.highlight, look.glow if held else look.bold)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        painter.setPen(pen)
        painter.drawLine(line)
        painter.setPen(QPen(look.highlight, 2.0))
        painter.setBrush(look.highlight if held else look.paper)
        painter.drawEllipse(dot_place(line), DOT, DOT)

    def paint_readout(
        self, painter: QPainter, told: Readout, at: QPointF, area: QRectF, lettering: Lettering
    ) -> None:
        """A card beside a point, inside the area: figure, what follows, what cannot be."""
        look = self._look
        lines = [
            (told.title, Hand.NAME, look.ink),
            (told.detail, Hand.NOTE, look.grain),
            (told.problem, Hand.NOTE, look.gap),
        ]
        flags = Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap
        room = QRectF(0.0, 0.0, min(_WIDEST, area.width() - 2 * _PAD), 400.0)
        boxes = []
        for text, hand, colour in lines:
            if text:
                painter.setFont(lettering.fonts[hand])
                box = painter.boundingRect(room, flags, text)
                boxes.append((text, hand, colour, box.width(), box.height()))
        wide = max(each[3] for each in boxes) + 2 * _PAD
        high = sum(each[4] for each in boxes) + 2 * _PAD
        card = _card_beside(at, wide, high, area)
        painter.setPen(QPen(look.gap if told.problem else look.highlight, 1.0))
        painter.setBrush(look.paper)
        painter.drawRoundedRect(card, 4.0, 4.0)
        y = card.top() + _PAD
        for text, hand, colour, _, tall in boxes:
            painter.setFont(lettering.fonts[hand])
            painter.setPen(colour)
            painter.drawText(QRectF(card.left() + _PAD, y, room.width(), tall), flags, text)
            y += tall


def _card_beside(at: QPointF, wide: float, high: float, area: QRectF) -> QRectF:
    """Right of and below a point; on its other side where the area ends."""
    x, y = at.x() + _BESIDE.x(), at.y() + _BESIDE.y()
    if x + wide > area.right():
        x = at.x() - _BESIDE.x() - wide
    if y + high > area.bottom():
        y = at.y() - _BESIDE.y() - high
    x = min(max(x, area.left()), max(area.right() - wide, area.left()))
    y = min(max(y, area.top()), max(area.bottom() - high, area.top()))
    return QRectF(x, y, wide, high)
