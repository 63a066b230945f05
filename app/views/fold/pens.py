"""The colours and pens of the folding bag; they are kept, as a bag is painted often."""

import math
from collections.abc import Mapping
from functools import cached_property

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QGuiApplication, QPainter, QPen, QPixmap

from app.widgets.desktop import translucent
from app.widgets.theme import Cache, DrawingTheme
from core.base.units import MM_PER_INCH
from core.drawing.records import HATCH_SPACING
from core.space.zones import AreaKind, LineKind

_STEPS = 128
"""Steps of light from none to full: too fine to be seen."""
HATCH = 250
"""How much darker than the wall's inside its hatching is, per cent; lighter in the dark."""
_PARTS = 8
"""Parts of a pixel by which the teeth of a zip grow."""
_MOST = 4000
"""Pens and colours that are kept; those of other sizes and lights make room."""


class Pens:
    """What lines and goods are drawn with in one look."""

    def __init__(self, look: DrawingTheme) -> None:
        self.look = look
        self._under: dict[int, LitPens] = {}
        self._boards = Cache[float, QPen](_MOST, lambda share: board_pen(look, share))

    def board(self, share: float) -> QPen:
        """Of the base board that is seen through the wall; `share` is 1 where it is clearest."""
        return self._boards[share]

    def under(self, light: float) -> "LitPens":
        """Those on which so much light falls; 1 leaves colours as they are."""
        step = round(light * _STEPS)
        if step not in self._under:
            self._under[step] = LitPens(self.look, step / _STEPS)
        return self._under[step]

    def brush(self, colour: QColor, light: float) -> QBrush:
        """A colour as the light falls on it."""
        return self.under(light).brush(colour)

    def hatching(self, light: float) -> QBrush:
        """As that of `LitPens`."""
        return self.under(light).hatching

    def stitching(self, light: float) -> QPen:
        """As that of `LitPens`."""
        return self.under(light).stitching

    def rim(self, light: float) -> QPen:
        """As that of `LitPens`."""
        return self.under(light).rim


class LitPens:
    """What lines and goods are drawn with in one look, under one light."""

    def __init__(self, look: DrawingTheme, light: float) -> None:
        self._look = look
        self._brushes = Cache[int, QBrush](_MOST, lambda rgb: QBrush(lit(QColor(rgb), light)))
        self._outer = Cache(_MOST, self._outer_pens)

    def brush(self, colour: QColor) -> QBrush:
        """A colour as the light falls on it."""
        return self._brushes[colour.rgb()]

    def shaded(self, colour: QColor) -> QColor:
        return self.brush(colour).color()

    @cached_property
    def outer_goods(self) -> "GoodsBrushes":
        """Of what is seen of the outside of the wall."""
        return GoodsBrushes(self, _goods(self._look, outside=True))

    @cached_property
    def inner_goods(self) -> "GoodsBrushes":
        """Of what is seen of its inside."""
        return GoodsBrushes(self, _goods(self._look, outside=False))

    def outer(self, *, flat: bool, opened: bool, teeth: float) -> "OuterPens":
        """Those of lines on the outside of the wall.

        Args:
            flat: whether the pattern still lies flat, so that lines are drawn as in a plan.
            opened: whether the bag is being opened, so that hinges show.
            teeth: width of the zip's teeth, pixels.
        """
        return self._outer[flat, opened, round(teeth * _PARTS)]

    def _outer_pens(self, drawn: tuple[bool, bool, int]) -> "OuterPens":
        flat, opened, teeth = drawn
        return OuterPens(self, self._look, flat=flat, opened=opened, teeth=teeth / _PARTS)

    def inner(self, *, opened: bool) -> Mapping[LineKind, QPen | None]:
        """Those of lines on the inside of the wall: hinges show once the bag is being opened."""
        return self._inner_opened if opened else self._inner_shut

    @cached_property
    def _inner_shut(self) -> Mapping[LineKind, QPen | None]:
        pen = QPen(self._inside(190), self._look.thin)
        return dict.fromkeys(LineKind, None) | dict.fromkeys((LineKind.SEAM, LineKind.FOLD), pen)

    @cached_property
    def _inner_opened(self) -> Mapping[LineKind, QPen | None]:
        return {**self._inner_shut, LineKind.CREASE: self._inner_shut[LineKind.SEAM]}

    @cached_property
    def hatching(self) -> QBrush:
        """Slanted lines on the inside of the wall, which tell it without its tone."""
        return QBrush(_hatched_tile(self._inside(HATCH)))

    @cached_property
    def stitching(self) -> QPen:
        """Along the edges of handles."""
        return _dashed(self.shaded(self._look.handle).lighter(150), 0.9, [3.0, 2.0])

    @cached_property
    def rim(self) -> QPen:
        """Along both sides of a loose handle."""
        return QPen(self.shaded(self._look.handle).darker(150), self._look.thin)

    def _inside(self, share: int) -> QColor:
        """So many per cent darker than the wall's inside, or lighter in the dark."""
        inner = self.shaded(self._look.inner)
        return inner.lighter(share) if self._look.dark else inner.darker(share)


class GoodsBrushes(dict[AreaKind, QBrush]):
    """Brushes of goods by what they are; each is made when it is first asked for."""

    def __init__(self, lit_pens: LitPens, colours: Mapping[AreaKind, QColor]) -> None:
        super().__init__()
        self._lit, self._colours = lit_pens, colours

    def __missing__(self, kind: AreaKind) -> QBrush:
        brush = self[kind] = self._lit.brush(self._colours[kind])
        return brush


class OuterPens(dict[LineKind, QPen | None]):
    """Pens of lines on the outside of the wall by what the lines are.

    None for a line that does not show, as cut lines do not once allowances are turned in.
    Each is made when it is first asked for.
    """

    def __init__(
        self, lit_pens: LitPens, look: DrawingTheme, *, flat: bool, opened: bool, teeth: float
    ) -> None:
        super().__init__()
        self._lit, self._look = lit_pens, look
        self._flat, self._opened, self._teeth = flat, opened, teeth

    def __missing__(self, kind: LineKind) -> QPen | None:
        pen = self[kind] = self._made(kind)
        return pen

    def _made(self, kind: LineKind) -> QPen | None:
        look, flat = self._look, self._flat
        edge = self._lit.shaded(look.outer).darker(210 if not look.dark else 60)
        if kind is LineKind.SEAM:
            return _dashed(look.stitch, look.line, [5.0, 3.0]) if flat else QPen(edge, look.line)
        if kind is LineKind.FOLD:
            if flat:
                return _dashed(look.fold, look.line, [8.0, 3.0, 1.5, 3.0])
            return QPen(edge, look.line)
        if kind is LineKind.CREASE:
            return QPen(edge, look.thin) if self._opened else None
        if kind is LineKind.TEETH:
            return _teeth(self._lit.shaded(look.teeth), self._teeth)
        return self._trim(kind)

    def _trim(self, kind: LineKind) -> QPen | None:
        look = self._look
        if kind is LineKind.BAND_STITCHING:
            return self._lit.stitching
        if kind is LineKind.HALFWAY:
            return QPen(look.placement, look.bold)
        pocket = self._lit.shaded(look.pocket)
        deep = pocket.darker(220) if not look.dark else pocket.lighter(170)
        if kind is LineKind.FREE_EDGE:
            return QPen(deep, look.bold)
        return _dashed(deep, look.line, [4.0, 2.5]) if kind is LineKind.TOPSTITCH else None


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


def board_pen(look: DrawingTheme, share: float) -> QPen:
    """Of the base board that is seen through the wall; `share` is 1 where it is clearest."""
    return _dashed(translucent(look.cut, 0.45 * share), look.thin, [5.0, 4.0])


def _teeth(colour: QColor, width: float) -> QPen:
    """Short lines across the zip: a wide line in narrow dashes."""
    narrow = max(0.28, 1.2 / max(width, 1.0))
    pen = _dashed(colour, max(width, 1.0), [narrow, narrow])
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    return pen


def _goods(look: DrawingTheme, *, outside: bool) -> dict[AreaKind, QColor]:
    return {
        AreaKind.WALL: look.outer if outside else look.inner,
        AreaKind.TIP: look.outer if outside else look.inner,
        AreaKind.ALLOWANCE: look.allowance if outside else look.inner,
        AreaKind.TAPE: look.zip,
        AreaKind.LAID_ON: look.pocket,
        AreaKind.BAND: look.handle,
        AreaKind.STIFFENER: look.board,
        AreaKind.FACING: look.outer,
    }
