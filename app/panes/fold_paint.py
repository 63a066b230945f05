"""Painting the folding bag: shaded goods, zip, pocket, handles, board, lines, shadow."""

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen

from app.panes.fold_ground import soft_ellipse
from app.panes.fold_pens import Pens
from app.panes.fold_scene import View
from app.panes.look import Look
from core.solid.content import Kind, Patch, Stroke
from core.solid.fold import FOLDED
from core.solid.zones import Zone

_LIGHT = (-0.42, 0.62, 0.66)
"""From above, a little from the left, over the reader's shoulder: (right, up, to the eye)."""
_LEAST_LIGHT, _MORE_LIGHT = 0.66, 0.40

_ALLOWANCES_GONE = 0.35
"""Moment of the folding by which the seam allowances are turned in."""
_HANDLES = (Zone.HANDLE_FRONT, Zone.HANDLE_FRONT_TOP, Zone.HANDLE_BACK, Zone.HANDLE_BACK_TOP)


class BagPainter:
    """Paints one view with one look's pens.

    Args:
        smooth: whether edges are drawn without jaggies; off while the bag is being turned.
    """

    def __init__(self, painter: QPainter, view: View, pens: Pens, *, smooth: bool) -> None:
        look = pens.look
        self._painter, self._view, self._look, self._pens = painter, view, look, pens
        self._smooth = smooth
        self._scale = view.camera.scale
        at = view.folded.at
        self._flatness = 1.0 - min(at / _ALLOWANCES_GONE, 1.0)
        self._lights = {zone: self._light(lean) for zone, lean in view.lean.items()}
        self._cut: QPen | None = None
        self._outer_goods = _goods(look, outside=True)
        self._inner_goods = _goods(look, outside=False)
        # Nothing drawn on the lining of a closed bag can be seen.
        self._shut = view.folded.model.sheet.closed and at >= FOLDED
        self._opened = 0.0 if view.folded.model.trouble else max(0.0, 2.0 * at - 1.0)

    def paint(self) -> None:
        """The shadow, then every zone with what lies on it, the furthest first."""
        self._smoothly(False)
        if self._opened > 0.0:
            self._shadow()
        for zone in self._view.order:
            self._zone(zone, outside=zone in self._view.outside)
        self._board_seen_through()

    def _zone(self, zone: Zone, *, outside: bool) -> None:
        catalogue = self._view.catalogue
        for index, patch in catalogue.patches[zone]:
            if self._shows(patch, outside=outside):
                self._patch(index, patch, outside=outside)
        if self._shut and not outside:
            return
        self._smoothly(self._smooth)
        # Lines that follow one another in the same pen are drawn in one go.
        pen: QPen | None = None
        run: list[QPointF] = []
        for index, stroke in catalogue.strokes[zone]:
            wanted = self._outer_pen(stroke) if outside else self._inner_pen(stroke)
            if wanted is None:
                continue
            if wanted is not pen:
                self._lines(pen, run)
                pen, run = wanted, []
            run += self._view.line(index)
        self._lines(pen, run)
        self._smoothly(False)

    def _lines(self, pen: QPen | None, ends: list[QPointF]) -> None:
        """Straight lines from every first to every second point."""
        if pen is not None and ends:
            self._painter.setPen(pen)
            self._painter.drawLines(ends)

    def _smoothly(self, on: bool) -> None:
        """Only lines are smoothed: every edge of the goods lies under one.

        Smoothed areas side by side would leave hairlines between them, and cost three times
        as much.
        """
        self._painter.setRenderHint(QPainter.RenderHint.Antialiasing, on)

    def _shows(self, patch: Patch, *, outside: bool) -> bool:
        if patch.kind is Kind.ALLOWANCE:
            return self._flatness > 0.0 and self._view.folded.at < FOLDED
        if patch.kind is Kind.BOARD:
            return not outside
        laid_on = patch.kind in (Kind.POCKET, Kind.HANDLE)
        return outside or not laid_on or patch.zone in _HANDLES

    def _patch(self, index: int, patch: Patch, *, outside: bool) -> None:
        painter = self._painter
        shape = self._view.polygon(index)
        goods = self._outer_goods if outside else self._inner_goods
        brush = self._pens.brush(goods[patch.kind], self._lights[patch.zone])
        painter.setPen(Qt.PenStyle.NoPen)
        if patch.kind is Kind.HANDLE and patch.zone in _HANDLES:
            self._loose(index, patch, brush)
            return
        if patch.kind is Kind.ALLOWANCE:
            colour = brush.color()
            colour.setAlphaF(self._flatness)
            brush = QBrush(colour)
        elif patch.kind is Kind.POCKET:
            self._soft_edges(shape, patch)
            painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(brush)
        painter.drawPolygon(shape)
        if not outside and patch.kind is Kind.WALL:
            painter.setBrush(self._pens.hatching(self._lights[patch.zone]))
            painter.drawPolygon(shape)

    def _soft_edges(self, shape: list[QPointF], patch: Patch) -> None:
        """A narrow shadow along a pocket's upper and lower edge lifts it off the wall."""
        shade = self._pens.shaded(self._look.outer, self._lights[patch.zone]).darker(122)
        width = min(max(2.0, 7.0 * self._scale), 6.0)
        cap = Qt.PenCapStyle.FlatCap
        self._painter.setPen(QPen(shade, width, Qt.PenStyle.SolidLine, cap))
        corners = patch.corners
        for i, (_, height) in enumerate(corners):
            if abs(height - corners[i - 1][1]) < 1e-6:
                self._painter.drawLine(shape[i - 1], shape[i])

    def _loose(self, index: int, patch: Patch, brush: QBrush) -> None:
        """A loose handle: its band with a rim, and stitching a little inside its long sides."""
        painter, view = self._painter, self._view
        self._smoothly(self._smooth)
        painter.setPen(self._pens.rim(self._lights[patch.zone]))
        painter.setBrush(brush)
        painter.drawPolygon(view.polygon(index))
        start, end = view.folded.model.patch_spans[index]
        half = (end - start) // 2
        left, right = view.seen[start : start + half, :2], view.seen[end - half : end, :2][::-1]
        painter.setPen(self._pens.stitching(self._lights[patch.zone]))
        for share in (0.16, 0.84):
            line = left + (right - left) * share
            painter.drawPolyline(list(map(QPointF, line[:, 0].tolist(), line[:, 1].tolist())))
        self._smoothly(False)

    def _light(self, lean: tuple[float, float, float]) -> float:
        """How brightly a zone is lit that leans so."""
        facing = lean[0] * _LIGHT[0] + lean[1] * _LIGHT[1] + lean[2] * _LIGHT[2]
        light = _LEAST_LIGHT + _MORE_LIGHT * max(facing, 0.0)
        return light + (1.0 - light) * self._flatness  # a flat pattern lies in even light

    def _outer_pen(self, stroke: Stroke) -> QPen | None:
        if stroke.kind is Kind.CUT:
            return self._cut_pen()
        return self._pens.outer(
            stroke.kind,
            self._lights[stroke.zone],
            flat=self._flatness > 0.0,
            opened=self._opened > 0.0,
            teeth=5.0 * self._scale,
        )

    def _cut_pen(self) -> QPen | None:
        """Cut lines fade as their allowances are turned in."""
        if self._flatness == 0.0:
            return None
        if self._cut is None:
            colour = QColor(self._look.cut)
            colour.setAlphaF(self._flatness)
            self._cut = QPen(colour, self._look.bold)
        return self._cut

    def _inner_pen(self, stroke: Stroke) -> QPen | None:
        if stroke.zone in _HANDLES or stroke.kind not in (Kind.SEAM, Kind.FOLD, Kind.CREASE):
            return None
        if stroke.kind is Kind.CREASE and self._opened == 0.0:
            return None
        return self._pens.inner(self._lights[stroke.zone])

    def _board_seen_through(self) -> None:
        """The base board lies inside: a dashed outline shows it through the wall."""
        view = self._view
        self._smoothly(self._smooth)
        if self._opened < 0.5:
            return
        for zone in (Zone.BASE_FRONT, Zone.BASE_BACK):
            for index, patch in view.catalogue.patches[zone]:
                if patch.kind is Kind.BOARD and zone not in view.outside:
                    self._dashed_board(view.polygon(index))

    def _dashed_board(self, shape: list[QPointF]) -> None:
        colour = QColor(self._look.cut)
        colour.setAlphaF(0.45 * (2.0 * self._opened - 1.0))
        pen = QPen(colour, self._look.thin)
        pen.setDashPattern([5.0, 4.0])
        self._painter.setPen(pen)
        # The side along the bottom line is no edge of the board.
        self._painter.drawPolyline(shape)

    def _shadow(self) -> None:
        """Soft and darkest in the middle, under the base."""
        view = self._view
        wall = [
            view.folded.points[start:end]
            for spans in view.catalogue.outlines[:8]
            for start, end in spans
        ]
        points = np.concatenate(wall)
        reach = np.abs(points[:, :2]).max(axis=0)
        base = points[points[:, 2] < 5.0]
        # Wider than the base by a share of the bag's size, as the light comes from above.
        spread = 0.16 * float(points[:, 2].max())
        half_x = float(np.abs(base[:, 0]).max() if len(base) else reach[0]) + spread
        half_y = float(reach[1]) + 1.3 * spread
        soft_ellipse(self._painter, view.camera, (half_x, half_y), self._look.shadow, self._opened)


def _goods(look: Look, *, outside: bool) -> dict[Kind, QColor]:
    """Colour of each kind of goods, seen from outside or from inside the bag."""
    return {
        Kind.WALL: look.outer if outside else look.inner,
        Kind.ALLOWANCE: look.allowance if outside else look.inner,
        Kind.ZIP: look.zip,
        Kind.POCKET: look.pocket,
        Kind.HANDLE: look.handle,
        Kind.BOARD: look.board,
    }
