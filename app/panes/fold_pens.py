"""Colours and pens of the folding bag, kept: a bag is painted often, in the same few."""

import math

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QGuiApplication, QPainter, QPen, QPixmap

from app.panes.look import Look
from core.paper.hatching import HATCH_SPACING
from core.solid.content import Kind

_STEPS = 128
"""Steps of light from none to full: too fine to be seen."""
HATCH = 250
"""How much darker than the wall's inside its hatching is, per cent; lighter in the dark."""
MM_PER_INCH = 25.4
_MOST = 4000
"""Pens and colours that are kept; those of other sizes and lights make room."""


class Pens:
    """What lines and goods are drawn with in one look."""

    def __init__(self, look: Look) -> None:
        self.look = look
        self._brushes: dict[tuple[int, int], QBrush] = {}
        self._pens: dict[tuple[object, ...], QPen | None] = {}
        self._hatchings: dict[int, QBrush] = {}

    def brush(self, colour: QColor, light: float) -> QBrush:
        """A colour as the light falls on it; 1 leaves it as it is."""
        key = (colour.rgb(), round(light * _STEPS))
        found = self._brushes.get(key)
        if found is None:
            if len(self._brushes) > _MOST:
                self._brushes.clear()
            found = self._brushes[key] = QBrush(lit(colour, key[1] / _STEPS))
        return found

    def shaded(self, colour: QColor, light: float) -> QColor:
        """The colour of `brush`."""
        return self.brush(colour, light).color()

    def outer(
        self, kind: Kind, light: float, *, flat: bool, opened: bool, teeth: float
    ) -> QPen | None:
        """Of a line on the outside of the wall; None for one that does not show.

        Args:
            kind: what it is; all but cut lines.
            light: on its zone.
            flat: whether the pattern still lies flat, so that lines are drawn as in a plan.
            opened: whether the bag is being opened, so that hinges show.
            teeth: width of the zip's teeth, pixels.
        """
        key = (kind, round(light * _STEPS), flat, opened, round(teeth * 8))
        if key not in self._pens:
            self._make_room()
            self._pens[key] = self._outer(kind, light, flat=flat, opened=opened, teeth=teeth)
        return self._pens[key]

    def inner(self, light: float) -> QPen:
        """Of seams, folds and hinges on the inside of the wall."""
        key = ("inner", round(light * _STEPS))
        pen = self._pens.get(key)
        if pen is None:
            self._make_room()
            inner = self.shaded(self.look.inner, light)
            colour = inner.lighter(190) if self.look.dark else inner.darker(190)
            pen = self._pens[key] = QPen(colour, self.look.thin)
        return pen

    def hatching(self, light: float) -> QBrush:
        """Slanted lines on the inside of the wall, which tell it without its tone."""
        key = round(light * _STEPS)
        brush = self._hatchings.get(key)
        if brush is None:
            inner = self.shaded(self.look.inner, light)
            colour = inner.lighter(HATCH) if self.look.dark else inner.darker(HATCH)
            brush = self._hatchings[key] = QBrush(_hatched_tile(colour))
        return brush

    def stitching(self, light: float) -> QPen:
        """Along the edges of handles."""
        key = ("stitching", round(light * _STEPS))
        pen = self._pens.get(key)
        if pen is None:
            self._make_room()
            pen = QPen(self.shaded(self.look.handle, light).lighter(150), 0.9)
            pen.setDashPattern([3.0, 2.0])
            self._pens[key] = pen
        return pen

    def rim(self, light: float) -> QPen:
        """Along both sides of a loose handle."""
        key = ("rim", round(light * _STEPS))
        pen = self._pens.get(key)
        if pen is None:
            self._make_room()
            pen = QPen(self.shaded(self.look.handle, light).darker(150), self.look.thin)
            self._pens[key] = pen
        return pen

    def _make_room(self) -> None:
        if len(self._pens) > _MOST:
            self._pens.clear()

    def _outer(
        self, kind: Kind, light: float, *, flat: bool, opened: bool, teeth: float
    ) -> QPen | None:
        look = self.look
        edge = self.shaded(look.outer, light).darker(210 if not look.dark else 60)
        if kind is Kind.SEAM:
            return _dashed(look.stitch, look.line, [5.0, 3.0]) if flat else QPen(edge, look.line)
        if kind is Kind.FOLD:
            if flat:
                return _dashed(look.fold, look.line, [8.0, 3.0, 1.5, 3.0])
            return QPen(edge, look.line)
        if kind is Kind.CREASE:
            return QPen(edge, look.thin) if opened else None
        if kind is Kind.TEETH:
            return _teeth(self.shaded(look.teeth, light), teeth)
        return self._trim(kind, light)

    def _trim(self, kind: Kind, light: float) -> QPen | None:
        """Lines of pocket and handles."""
        look = self.look
        if kind is Kind.HANDLE_EDGE:
            return self.stitching(light)
        if kind is Kind.HALFWAY:
            return QPen(look.placement, look.bold)
        pocket = self.shaded(look.pocket, light)
        deep = pocket.darker(220) if not look.dark else pocket.lighter(170)
        if kind is Kind.POCKET_EDGE:
            return QPen(deep, look.bold)
        return _dashed(deep, look.line, [4.0, 2.5]) if kind is Kind.TOPSTITCH else None


def lit(colour: QColor, light: float) -> QColor:
    """A colour under so much light; 1 leaves it as it is."""
    parts = (colour.red(), colour.green(), colour.blue())
    return QColor(*(min(round(part * light), 255) for part in parts))


def _hatched_tile(colour: QColor) -> QPixmap:
    """One square of hatching that continues into itself on every side."""
    screen = QGuiApplication.primaryScreen()
    per_mm = screen.logicalDotsPerInch() / MM_PER_INCH
    side = round(math.sqrt(2.0) * HATCH_SPACING * per_mm)
    tile = QPixmap(side, side)
    tile.fill(Qt.GlobalColor.transparent)
    painter = QPainter(tile)
    # Smoothed, so thin a line would lose half of its contrast.
    painter.setPen(QPen(colour, 1.0))
    for start in (-side, 0, side):
        painter.drawLine(QPointF(start, side), QPointF(start + side, 0))
    painter.end()
    return tile


def _dashed(colour: QColor, width: float, pattern: list[float]) -> QPen:
    pen = QPen(colour, width)
    pen.setDashPattern(pattern)
    return pen


def _teeth(colour: QColor, width: float) -> QPen:
    """Short strokes across the zip: a wide line in narrow dashes."""
    narrow = max(0.28, 1.2 / max(width, 1.0))
    pen = _dashed(colour, max(width, 1.0), [narrow, narrow])
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    return pen
