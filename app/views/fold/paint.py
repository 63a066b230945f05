"""Painting the folding bag; its colours and pens are kept, as a bag is painted often."""

import math
from collections.abc import Mapping, Sequence
from functools import cached_property
from itertools import groupby, starmap
from operator import attrgetter

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QGuiApplication, QPainter, QPen, QPixmap

from app.views.fold.scene import SeenZone, View, soft_ellipse, stitchings
from app.widgets.desktop import translucent
from app.widgets.theme import Cache, DrawingTheme
from core.base.units import MM_PER_INCH
from core.drawing.records import HATCH_SPACING
from core.flat.piece import Point
from core.solid.fold import FOLDED
from core.solid.laying import LaidArea, LaidLine
from core.space.zones import AreaKind, LineKind

_STEPS = 128
"""Steps of light from none to full: too fine to be seen."""
HATCH = 250
"""How much darker than the wall's inside its hatching is, per cent; lighter in the dark."""
_NO_PEN, _NO_BRUSH = QPen(Qt.PenStyle.NoPen), QBrush()
"""Taken as they are: an enum of Python's is read by name first, at each call."""
_MOST = 4000
"""Pens and colours that are kept; those of other sizes and lights make room."""


class Pens:
    """What lines and goods are drawn with in one look."""

    def __init__(self, look: DrawingTheme) -> None:
        self.look = look
        self._under: dict[int, LitPens] = {}
        self._boards = Cache[float, QPen](_MOST)

    def board(self, share: float) -> QPen:
        """Of the base board that is seen through the wall; `share` is 1 where it is clearest."""
        return self._boards.had(share, lambda: board_pen(self.look, share))

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
        self._look, self._light = look, light
        self._brushes = Cache[int, QBrush](_MOST)
        self._outer = Cache[tuple[bool, bool, int], OuterPens](_MOST)

    def brush(self, colour: QColor) -> QBrush:
        """A colour as the light falls on it."""
        return self._brushes.had(colour.rgb(), lambda: QBrush(lit(colour, self._light)))

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
        key = flat, opened, round(teeth * 8)
        return self._outer.had(
            key, lambda: OuterPens(self, self._look, flat=flat, opened=opened, teeth=teeth)
        )

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


LIGHT = (-0.42, 0.62, 0.66)
"""From above, a little from the left, over the reader's shoulder: (right, up, to the eye)."""
_LEAST_LIGHT, _MORE_LIGHT = 0.66, 0.40

_ALLOWANCES_GONE = 0.35
"""Moment of the folding by which the seam allowances are turned in."""


_KIND = attrgetter("kind")


class BagPainter:
    """Paints one view with one look's pens; not `smooth`, with jaggies, while the bag is turned."""

    def __init__(self, painter: QPainter, view: View, pens: Pens, *, smooth: bool) -> None:
        look = pens.look
        self._painter, self._view, self._look, self._pens = painter, view, look, pens
        self._smooth, self._smoothed = smooth, True
        self._clipped = False
        self._scale = view.camera.scale
        at = view.folded.at
        self._flatness = 1.0 - min(at / _ALLOWANCES_GONE, 1.0)
        # Nothing drawn on the lining of a closed bag can be seen.
        self._model = view.folded.model
        self._shut = self._model.folding.closed and at >= FOLDED
        self._opened = 0.0 if self._model.folding.flat_only else max(0.0, 2.0 * at - 1.0)

    def paint(self) -> None:
        """The shadow, then every zone with what lies on it, the furthest first."""
        self._smoothly(False)
        self._painter.setPen(_NO_PEN)
        if self._opened > 0.0:
            self._shadow()
        for zone, seen in self._view.zones.items():
            self._zone(zone, seen, outside=zone in self._view.outside)
        self._board_seen_through()

    def _zone(self, zone: int, seen: SeenZone, *, outside: bool) -> None:
        """Leaves the painter without a pen."""
        pens = self._pens.under(self._light(seen.lean))
        goods = pens.outer_goods if outside else pens.inner_goods
        if self._model.zones[zone].loose:
            self._loose(seen.outlines, pens, goods[AreaKind.BAND])
            return
        laid = self._model.on(zone)
        self._smoothly(False)
        self._clip(not outside)
        for area in laid.areas:
            if area.kind in (AreaKind.WALL, AreaKind.TAPE):
                self._patch(area, seen.outlines[0], pens, goods, outside=outside)
            elif self._shows(area, outside=outside):
                self._patch(area, self._view.corners(area), pens, goods, outside=outside)
        self._clip(False)
        if outside:
            self._strokes(zone, laid.lines, self._outer_pens(pens))
        elif not self._shut:
            self._strokes(zone, laid.lines, pens.inner(opened=self._opened > 0.0))

    def _strokes(
        self, zone: int, lines: Sequence[LaidLine], pens: Mapping[LineKind, QPen | None]
    ) -> None:
        """Those lines of a zone that show, each kind with its pen."""
        painter, seen = self._painter, self._view.folded.seen
        shown = [line for line in lines if line.seen in seen and pens[line.kind] is not None]
        # All of them are projected in one go, and those of a kind that follow one another drawn.
        drawn, start = self._view.lines(zone, shown), 0
        self._smoothly(self._smooth)
        for kind, alike in groupby(shown, _KIND):
            end = start + len(list(alike))
            painter.setPen(pens[kind])
            painter.drawLines(drawn[start:end])
            start = end
        painter.setPen(_NO_PEN)

    def _smoothly(self, on: bool) -> None:
        """Only lines are smoothed: every edge of the goods lies under one.

        Smoothed areas side by side would leave hairlines between them, and cost three times
        as much.
        """
        if on is not self._smoothed:
            self._smoothed = on
            self._painter.setRenderHint(QPainter.RenderHint.Antialiasing, on)

    def _clip(self, on: bool) -> None:
        """Of the goods inside a sewn bag only what lies about its openings: the rest is hidden."""
        if on is not self._clipped and self._view.through is not None:
            self._clipped = on
            left, top, right, low = self._view.through
            if on:
                self._painter.setClipRect(QRectF(left, top, right - left, low - top))
            else:
                self._painter.setClipping(False)

    def _shows(self, area: LaidArea, *, outside: bool) -> bool:
        if area.kind is AreaKind.ALLOWANCE:
            return self._flatness > 0.0 and self._view.folded.at < FOLDED
        if area.kind in (AreaKind.TIP, AreaKind.FLAT_TIP):
            return self._view.folded.shows_area(area)
        if area.kind in (AreaKind.STIFFENER, AreaKind.FACING):
            return not outside
        return outside or area.kind not in (AreaKind.LAID_ON, AreaKind.BAND)

    def _patch(
        self,
        area: LaidArea,
        corners: list[Point],
        pens: LitPens,
        goods: GoodsBrushes,
        *,
        outside: bool,
    ) -> None:
        painter, kind = self._painter, area.kind
        brush = goods[kind]
        if kind is AreaKind.ALLOWANCE:
            brush = QBrush(translucent(brush.color(), self._flatness))
        shape = list(starmap(QPointF, corners))
        if kind is AreaKind.LAID_ON:
            self._soft_edges(shape, area, pens)
        painter.setBrush(brush)
        painter.drawPolygon(shape)
        if not outside and kind in (AreaKind.WALL, AreaKind.TIP):
            painter.setBrush(pens.hatching)
            painter.drawPolygon(shape)

    def _soft_edges(self, shape: list[QPointF], area: LaidArea, pens: LitPens) -> None:
        """A narrow shadow along a pocket's upper and lower edge lifts it off the wall."""
        shade = pens.shaded(self._look.outer).darker(122)
        width = min(max(2.0, 7.0 * self._scale), 6.0)
        cap = Qt.PenCapStyle.FlatCap
        self._painter.setPen(QPen(shade, width, Qt.PenStyle.SolidLine, cap))
        corners = area.corners
        for i, (_, height) in enumerate(corners):
            if abs(height - corners[i - 1][1]) < 1e-6:
                self._painter.drawLine(shape[i - 1], shape[i])
        self._painter.setPen(_NO_PEN)

    def _loose(self, outlines: Sequence[list[Point]], pens: LitPens, brush: QBrush) -> None:
        """Loose handles: bands with a rim, and stitching a little inside their long sides."""
        painter = self._painter
        shapes = [list(starmap(QPointF, outline)) for outline in outlines]
        self._smoothly(False)
        painter.setBrush(brush)
        for shape in shapes:
            painter.drawPolygon(shape)
        self._smoothly(self._smooth)
        painter.setBrush(_NO_BRUSH)
        painter.setPen(pens.rim)
        for shape in shapes:
            painter.drawPolygon(shape)
        painter.setPen(pens.stitching)
        for outline in outlines:
            for line in stitchings(outline):
                painter.drawPolyline(line)
        painter.setPen(_NO_PEN)

    def _light(self, lean: tuple[float, float, float]) -> float:
        facing = lean[0] * LIGHT[0] + lean[1] * LIGHT[1] + lean[2] * LIGHT[2]
        light = _LEAST_LIGHT + _MORE_LIGHT * max(facing, 0.0)
        return light + (1.0 - light) * self._flatness  # a flat pattern lies in even light

    def _outer_pens(self, pens: LitPens) -> Mapping[LineKind, QPen | None]:
        flat = self._flatness > 0.0
        outer = pens.outer(flat=flat, opened=self._opened > 0.0, teeth=5.0 * self._scale)
        if not flat:
            return outer
        # Cut lines fade as their allowances are turned in.
        colour = translucent(self._look.cut, self._flatness)
        cuts = {LineKind.CUT: self._look.bold, LineKind.TRIM: self._look.line}
        every = {kind: outer[kind] for kind in LineKind}
        return every | {kind: QPen(colour, width) for kind, width in cuts.items()}

    def _board_seen_through(self) -> None:
        """The base board lies inside: a dashed outline shows it through the wall."""
        view = self._view
        self._smoothly(self._smooth)
        if self._opened < 0.5:
            return
        self._painter.setPen(self._pens.board(2.0 * self._opened - 1.0))
        for place, zone in enumerate(self._model.zones):
            if zone.floor and place not in view.outside:
                edges = self._model.lines_on(place, LineKind.STIFFENER_EDGE)
                self._painter.drawLines(view.lines(place, edges))

    def _shadow(self) -> None:
        """Soft and darkest in the middle, under the base."""
        view, folded = self._view, self._view.folded
        points = [
            point
            for frame, zone in zip(folded.frames, self._model.folding.zones, strict=False)
            if not zone.floor
            for point in frame.all_at(zone.outline)
        ]
        x, y, z = zip(*points, strict=True)
        base = [across for across, _, up in points if up < 5.0] or x
        # Wider than the base by a share of the bag's size, as the light comes from above.
        spread = 0.16 * max(z)
        half_x = max(map(abs, base)) + spread
        half_y = max(map(abs, y)) + 1.3 * spread
        soft_ellipse(self._painter, view.camera, (half_x, half_y), self._look.shadow, self._opened)


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
