"""The two rulers along the edges of the flat pane, in the reader's unit.

Zero is the panel's left cut edge and its bottom line; both ways count up from there.
"""

import math
from enum import Enum, auto
from typing import NamedTuple

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPixmap

from app.session.display import Display
from core.base.units import Unit

THICK = 22.0
"""Width of a ruler, px."""

_TICK_APART = 5.0
"""Least way between two ticks, px."""

_INCH_STEPS = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 6, 12, 24, 48, 96, 192, 384)
_METRIC_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000)


class Along(Enum):
    """Which way a ruler runs."""

    X = auto()
    Y = auto()


class RulerInk(NamedTuple):
    """Colours of a ruler: its ground, its ticks, its figures, and the pointer's mark."""

    ground: QColor
    tick: QColor
    figure: QColor
    pointer: QColor


class Ruler(NamedTuple):
    """One ruler on the screen.

    Attributes:
        rect: where it lies, px.
        scale: px per mm.
        zero: where its zero lies, px.
    """

    along: Along
    rect: QRectF
    scale: float
    zero: float

    def painted(self, display: Display, font: QFont, ink: RulerInk, ratio: float) -> QPixmap:
        """Ground, ticks and figures; `ratio` is the device pixels in one px."""
        strip = QPixmap(self.rect.size().toSize() * ratio)
        strip.setDevicePixelRatio(ratio)
        strip.fill(ink.ground)
        painter = QPainter(strip)
        painter.translate(-self.rect.topLeft())
        self._paint(painter, display, font, ink)
        painter.end()
        return strip

    def _paint(self, painter: QPainter, display: Display, font: QFont, ink: RulerInk) -> None:
        room = QFontMetricsF(font).horizontalAdvance("00 0/00") + 12.0
        small, large = tick_steps(self.scale, display.unit, room)
        painter.setPen(QPen(ink.tick, 1.0))
        painter.drawLines(self._ticks(small, large))
        painter.setFont(font)
        painter.setPen(ink.figure)
        for place, length in self._figures(large):
            self._paint_figure(painter, place, display.bare(length))

    def paint_pointer(self, painter: QPainter, at: QPointF, ink: RulerInk) -> None:
        painter.setPen(QPen(ink.pointer, 1.0))
        painter.drawLine(self._across(at.x() if self.along is Along.X else at.y(), THICK))

    def _ticks(self, small: float, large: float) -> list[QLineF]:
        """Lines from the drawing's side, long ones at the figures."""
        each = round(large / small)
        lines = []
        for count in self._counts(small):
            share = 0.62 if count % each == 0 else 0.36 if 2 * count % each == 0 else 0.22
            lines.append(self._across(self._place(count * small), share * THICK))
        return lines

    def _figures(self, large: float) -> list[tuple[float, float]]:
        """(px, mm) of every figure in sight; lengths without a sign."""
        return [(self._place(count * large), abs(count * large)) for count in self._counts(large)]

    def _counts(self, step: float) -> range:
        """Multiples of `step` (mm) that lie on the ruler."""
        low, high = self._ends()
        return range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1)

    def _ends(self) -> tuple[float, float]:
        """Lengths at the two ends of the ruler, mm, the smaller first."""
        if self.along is Along.X:
            left, right = self.rect.left(), self.rect.right()
            return (left - self.zero) / self.scale, (right - self.zero) / self.scale
        top, bottom = self.rect.top(), self.rect.bottom()
        return (self.zero - bottom) / self.scale, (self.zero - top) / self.scale

    def _place(self, length: float) -> float:
        """Px of a length from zero, in the middle of a pixel so that ticks are crisp."""
        way = self.scale * length
        return math.floor(self.zero + (way if self.along is Along.X else -way)) + 0.5

    def _across(self, place: float, size: float) -> QLineF:
        if self.along is Along.X:
            return QLineF(place, self.rect.bottom() - size, place, self.rect.bottom())
        return QLineF(self.rect.right() - size, place, self.rect.right(), place)

    def _paint_figure(self, painter: QPainter, place: float, text: str) -> None:
        """Beside its tick, on the side away from the drawing; upwards on the left ruler."""
        ascent = QFontMetricsF(painter.font()).ascent()
        if self.along is Along.X:
            painter.drawText(QPointF(place + 3.0, self.rect.top() + ascent + 1.0), text)
            return
        painter.save()
        painter.translate(self.rect.left() + ascent + 1.0, place - 3.0)
        painter.rotate(-90.0)
        painter.drawText(QPointF(0.0, 0.0), text)
        painter.restore()


def tick_steps(scale: float, unit: Unit, room: float) -> tuple[float, float]:
    """Steps between ticks and between figures, mm: round ones that have room.

    Args:
        scale: px per mm.
        room: px that a figure needs.
    """
    base = unit.mm if unit is Unit.INCH else 1.0
    steps = [step * base for step in (_INCH_STEPS if unit is Unit.INCH else _METRIC_STEPS)]
    large = next((step for step in steps if step * scale >= room), steps[-1])
    small = large
    for step in steps:
        whole = abs(large / step - round(large / step)) < 1e-9
        if whole and step * scale >= _TICK_APART:
            small = step
            break
    return small, large


def paint_corner(painter: QPainter, rect: QRectF, text: str, font: QFont, ink: RulerInk) -> None:
    """The square where the rulers meet, with the unit."""
    painter.fillRect(rect, ink.ground)
    painter.setFont(font)
    painter.setPen(ink.figure)
    painter.drawText(rect, Qt.AlignmentFlag.AlignCenter, text)
