"""Painting the folding bag."""

from collections.abc import Mapping, Sequence
from itertools import groupby, starmap
from operator import attrgetter

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainter, QPen

from app.views.fold.pens import GoodsBrushes, LitPens, Pens
from app.views.fold.scene import SeenZone, View, soft_ellipse, stitchings
from app.widgets.desktop import translucent
from core.flat.piece import Point
from core.solid.fold import FOLDED
from core.solid.laying import LaidArea, LaidLine
from core.space.zones import AreaKind, LineKind

_NO_PEN, _NO_BRUSH = QPen(Qt.PenStyle.NoPen), QBrush()
"""Taken as they are: an enum of Python's is read by name first, at each call."""

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
