"""Painting the bag between sewn and filled: soft goods, stitches, handles, shadow.

Light changes across a cell, so each is filled with a stretch of its goods' ramp from dark
to bright: one gradient for each goods, moved and turned for each cell. Only lines are
smoothed: smoothed areas side by side would leave hairlines between them.
"""

from collections.abc import Iterable, Iterator
from itertools import pairwise, starmap

import numpy as np
from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QLinearGradient, QPainter, QPen, QTransform

from app.views.fold.pens import Pens, board_pen, lit
from app.views.fold.scene import soft_ellipse
from app.views.fold.surface_camera import project
from app.views.fold.surface_index import SurfaceStitch
from app.views.fold.surface_scene import Strip, SurfaceView
from core.base.arrays import Floats, Ints
from core.solid.surface import between
from core.solid.surface_grid import AREA_ORDER

_DARKEST, _BRIGHTEST = 0.3, 1.2
"""Light at the two ends of a ramp."""
_EVEN = 0.006
"""Difference of light within a cell below which one colour does."""
_LAYER = 60
"""Items of the order that are painted before their lines are drawn upon them."""
_KINDS = len(SurfaceStitch)


class SurfacePainter:
    """Paints one view with one look's pens.

    Not `smooth`, while the bag is turned, light is even in each cell and lines have jaggies.
    """

    def __init__(self, painter: QPainter, view: SurfaceView, pens: Pens, *, smooth: bool) -> None:
        look = pens.look
        self._painter, self._view, self._look, self._pens = painter, view, look, pens
        self._smooth = smooth
        self._scale = view.camera.scale
        self._goods = (look.outer, look.zip, look.pocket, look.handle, look.inner)
        self._spots = self._needed_spots()

    def _needed_spots(self) -> dict[int, QPointF]:
        """Node -> its place in the picture, for the cells that are painted."""
        view = self._view
        cells = view.order[view.order >= 0]
        needed = np.zeros(len(view.seen), dtype=bool)
        needed[view.catalogue.cells[cells]] = True
        nodes = np.flatnonzero(needed)
        x, y = view.seen[nodes, 0].tolist(), view.seen[nodes, 1].tolist()
        return dict(zip(nodes.tolist(), map(QPointF, x, y), strict=True))

    def paint(self) -> None:
        """Shadow, wall and handles, the furthest first, and the board seen through."""
        painter = self._painter
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        self._shadow()
        order, layers = self._view.order, self._layers()
        lines, stitches = self._lines(layers), self._stitches()
        cells = order[order >= 0]
        hatched = self._hatchings(cells)
        areas = iter(zip(self._brushes(cells), self._shapes(cells), hatched, strict=True))
        ends = np.flatnonzero(np.diff(layers, append=-1)).tolist()
        start = 0
        for layer, end in enumerate(ends):
            painter.setPen(Qt.PenStyle.NoPen)
            self._areas(order[start : end + 1].tolist(), areas)
            self._draw_lines(lines.get(layer, ()), stitches)
            start = end + 1
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, self._smooth)
        self._board()

    def _layers(self) -> Ints:
        """Which layer each item of the order is in: lines are drawn upon a layer at a time.

        Cells so near one another in depth hide none of each other's lines, and a layer takes
        one call for each kind of line. A handle ends the layer before it.
        """
        order = self._view.order
        handle = order < 0
        turns = np.diff(handle, prepend=handle[:1])
        turns |= np.arange(len(order)) % _LAYER == 0
        return np.asarray(np.cumsum(turns) - int(turns[:1].sum()))

    def _areas(
        self, items: list[int], areas: Iterator[tuple[QBrush, list[QPointF], QBrush | None]]
    ) -> None:
        painter = self._painter
        last: QBrush | None = None
        for item in items:
            if item < 0:
                self._strip(self._view.strips[-1 - item])
                continue
            brush, shape, hatching = next(areas)
            if brush is not last:
                painter.setBrush(brush)
                last = brush
            painter.drawPolygon(shape)
            if hatching is not None:
                painter.setBrush(hatching)
                painter.drawPolygon(shape)
                last = None

    def _hatchings(self, cells: Ints) -> list[QBrush | None]:
        """Of each cell what is hatched on it: nothing where its outer side is seen."""
        seen, lights = self._view.facing[cells].tolist(), self._view.lights[cells].mean(axis=1)
        return [
            None if outside else self._pens.hatching(light)
            for outside, light in zip(seen, lights.tolist(), strict=True)
        ]

    def _shapes(self, cells: Ints) -> list[list[QPointF]]:
        """Corners of each cell in the picture: a polygon of Qt's own takes longer to make."""
        spots = self._spots
        corners = self._view.catalogue.cells[cells].tolist()
        return [[spots[a], spots[b], spots[c], spots[d]] for a, b, c, d in corners]

    def _brushes(self, cells: Ints) -> list[QBrush]:
        view = self._view
        goods = np.where(view.facing, view.catalogue.kinds, len(AREA_ORDER))[cells]
        lights = view.lights[cells]
        found: dict[int, QBrush] = {}
        if self._smooth:
            ramps = [QBrush(_ramp(colour)) for colour in self._goods]
            moved, which = _moved_ramps(view.seen[view.catalogue.cells[cells]][..., :2], lights)
            brushes = [QBrush(ramps[kind]) for kind in goods[which].tolist()]
            for brush, transform in zip(brushes, starmap(QTransform, moved), strict=True):
                brush.setTransform(transform)
            found = dict(zip(which.tolist(), brushes, strict=True))
        evenly = zip(goods.tolist(), lights.mean(axis=1).tolist(), strict=True)
        return [
            found[at] if at in found else self._pens.brush(self._goods[kind], light)
            for at, (kind, light) in enumerate(evenly)
        ]

    def _lines(self, layers: Ints) -> dict[int, list[tuple[int, list[QLineF]]]]:
        """Layer -> lines to draw upon it, (stitch, lines) each."""
        view = self._view
        pieces, pixels = view.catalogue.pieces, view.seen[:, :2]
        # One more place, for what has no cell: -1 is the last.
        layer_of = np.full(len(view.facing) + 1, -1, dtype=np.int64)
        there = (view.order >= 0) & np.append(view.facing, False)[view.order]
        layer_of[view.order[there]] = layers[there]
        upon = layer_of[pieces.cells].max(axis=1)
        shown = np.flatnonzero(upon >= 0)
        outline = view.turned
        nearer = np.where(view.facing[outline[:, 0]], outline[:, 0], outline[:, 1])
        keys = np.concatenate(
            (
                upon[shown] * _KINDS + pieces.stitches[shown],
                layer_of[nearer] * _KINDS + int(SurfaceStitch.OUTLINE),
            )
        )
        both = np.concatenate((pieces.ends(pixels, shown), pixels[outline[:, 2:]])).reshape(-1, 4)
        order = np.argsort(keys, kind="stable")
        ends, keys = both[order].tolist(), keys[order]
        found: dict[int, list[tuple[int, list[QLineF]]]] = {}
        starts = np.flatnonzero(np.diff(keys, prepend=-1)).tolist()
        for start, stop in pairwise([*starts, len(ends)]):
            layer, stitch = divmod(int(keys[start]), _KINDS)
            lines = list(starmap(QLineF, ends[start:stop]))
            found.setdefault(layer, []).append((stitch, lines))
        return found

    def _draw_lines(self, lines: Iterable[tuple[int, list[QLineF]]], pens: list[QPen]) -> None:
        painter = self._painter
        if not lines:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, self._smooth)
        for stitch, each in lines:
            painter.setPen(pens[stitch])
            painter.drawLines(each)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    def _stitches(self) -> list[QPen]:
        look = self._look
        edge = look.outer.darker(210 if not look.dark else 60)
        deep = look.pocket.darker(210) if not look.dark else look.pocket.lighter(170)
        colours = {
            SurfaceStitch.SEAM: (edge, look.line),
            SurfaceStitch.FOLD: (edge, look.thin),
            SurfaceStitch.FREE_EDGE: (deep, look.bold),
            SurfaceStitch.TOPSTITCH: (deep, look.line),
            SurfaceStitch.BAND_STITCHING: (look.handle.lighter(150), 0.9),
            SurfaceStitch.TEETH: (look.teeth, max(5.0 * self._scale, 1.0)),
            SurfaceStitch.HALFWAY: (look.placement, look.bold),
            SurfaceStitch.OUTLINE: (edge, look.thin),
        }
        pens = [QPen(*colours[stitch]) for stitch in SurfaceStitch]
        for stitch, pen in zip(SurfaceStitch, pens, strict=True):
            whole = stitch in (
                SurfaceStitch.SEAM,
                SurfaceStitch.FOLD,
                SurfaceStitch.FREE_EDGE,
                SurfaceStitch.OUTLINE,
            )
            pen.setCapStyle(Qt.PenCapStyle.RoundCap if whole else Qt.PenCapStyle.FlatCap)
        return pens

    def _strip(self, strip: Strip) -> None:
        """A stretch of a loose handle with its rims and stitching."""
        painter = self._painter
        one, other = strip.sides
        across = other - one
        sides = np.concatenate((one, other, one + 0.16 * across, one + 0.84 * across)).tolist()
        spots = list(starmap(QPointF, sides))
        count = len(one)
        left, right, *stitching = (spots[at * count : (at + 1) * count] for at in range(4))
        brush = self._pens.brush(self._look.handle, strip.light)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(brush)
        painter.drawPolygon([*left, *reversed(right)])
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, self._smooth)
        painter.setPen(self._pens.rim(strip.light))
        painter.drawPolyline(left)
        painter.drawPolyline(right)
        painter.setPen(self._pens.stitching(strip.light))
        for line in stitching:
            painter.drawPolyline(line)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    def _board(self) -> None:
        """The base board lies inside: a dashed outline shows it through the wall."""
        view, edges = self._view, self._view.catalogue.surface.stiffeners
        if not len(edges[0]):
            return
        self._painter.setPen(board_pen(self._look, 1.0))
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        ends = project(view.camera, between(*edges, view.share).reshape(-1, 3))
        self._painter.drawLines([QLineF(*each) for each in ends[:, :2].reshape(-1, 4).tolist()])

    def _shadow(self) -> None:
        """Soft and darkest in the middle, where the bag stands."""
        nodes = self._view.nodes
        spread = 0.16 * float(nodes[:, 2].max())
        low = nodes[nodes[:, 2] < 0.06 * float(nodes[:, 2].max())]
        half_x, half_y = np.abs(low[:, :2]).max(axis=0).tolist()
        soft_ellipse(
            self._painter,
            self._view.camera,
            (half_x + spread, half_y + 1.3 * spread),
            self._look.shadow,
            1.0,
        )


def _ramp(colour: QColor) -> QLinearGradient:
    """A goods' colour from the darkest to the brightest light, over one pixel."""
    ramp = QLinearGradient(0.0, 0.0, 1.0, 0.0)
    for step in range(7):
        share = step / 6
        ramp.setColorAt(share, lit(colour, _DARKEST + share * (_BRIGHTEST - _DARKEST)))
    return ramp


def _moved_ramps(corners: Floats, lights: Floats) -> tuple[list[list[float]], Ints]:
    """Where a ramp must lie so that the light falls as it should.

    Six numbers of a QTransform each, and the cells that they are for: those whose light changes
    enough, by the plane that fits their four corners best.

    Args:
        corners: (m, 4, 2) pixels.
        lights: (m, 4).
    """
    middle, mean = corners.mean(axis=1), lights.mean(axis=1)
    apart, more = corners - middle[:, None], lights - mean[:, None]
    xx, xy, yy = (
        np.einsum("mk,mk->m", apart[..., i], apart[..., j]) for i, j in ((0, 0), (0, 1), (1, 1))
    )
    xl, yl = (np.einsum("mk,mk->m", apart[..., i], more) for i in (0, 1))
    area = xx * yy - xy * xy
    chosen = np.flatnonzero((np.ptp(lights, axis=1) > _EVEN) & (area > 1.0))
    xx, xy, yy, xl, yl, area = (each[chosen] for each in (xx, xy, yy, xl, yl, area))
    reach = _BRIGHTEST - _DARKEST
    gx, gy = (yy * xl - xy * yl) / (area * reach), (xx * yl - xy * xl) / (area * reach)
    size = gx * gx + gy * gy
    steep = size > 1e-12
    chosen, gx, gy, size = chosen[steep], gx[steep], gy[steep], size[steep]
    at = (mean[chosen] - _DARKEST) / reach
    across, down = gx / size, gy / size
    x, y = middle[chosen, 0] - at * across, middle[chosen, 1] - at * down
    rows: list[list[float]] = np.column_stack((across, down, -down, across, x, y)).tolist()
    return rows, chosen
