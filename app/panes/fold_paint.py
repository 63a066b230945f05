"""Painting the folding bag: shaded goods, zip, pocket, handles, board, lines, shadow."""

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPolygonF, QRadialGradient, QTransform

from app.panes.fold_camera import Camera
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
    """Paints one view with one look.

    Args:
        smooth: whether edges are drawn without jaggies; off while the bag is being turned.
    """

    def __init__(self, painter: QPainter, view: View, look: Look, *, smooth: bool) -> None:
        self._painter, self._view, self._look = painter, view, look
        self._smooth = smooth
        self._scale = view.camera.scale
        at = view.folded.at
        self._flatness = 1.0 - min(at / _ALLOWANCES_GONE, 1.0)
        self._lights = {zone: self._light(lean) for zone, lean in view.lean.items()}
        self._colours: dict[tuple[int, Zone], QColor] = {}
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
        # Nothing inside a bag that is sewn shut can be seen.
        sealed = self._shut and self._opened == 1.0 and not self._view.folded.gaps
        for zone in self._view.order:
            if sealed and zone not in self._view.outside and zone not in _HANDLES:
                continue
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
        for index, stroke in catalogue.strokes[zone]:
            pen = self._outer_pen(stroke) if outside else self._inner_pen(stroke)
            if pen is not None:
                self._painter.setPen(pen)
                self._painter.drawPolyline(self._view.line(index))
        self._smoothly(False)

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
        colour = self._shaded(goods[patch.kind], patch.zone)
        if patch.kind is Kind.ALLOWANCE:
            colour = QColor(colour)
            colour.setAlphaF(self._flatness)
        painter.setPen(Qt.PenStyle.NoPen)
        if patch.kind is Kind.POCKET:
            self._soft_edges(shape, patch)
            painter.setPen(Qt.PenStyle.NoPen)
        elif patch.kind is Kind.HANDLE:
            self._smoothly(self._smooth)
            # A sewn leg goes on across the hinge: no line of its own there.
            rim = colour.darker(150) if patch.zone in _HANDLES else colour
            painter.setPen(QPen(rim, self._look.thin))
        painter.setBrush(colour)
        painter.drawPolygon(shape)
        if patch.kind is Kind.HANDLE and patch.zone in _HANDLES:
            self._stitched(shape, patch.zone)
        self._smoothly(False)

    def _soft_edges(self, shape: list[QPointF], patch: Patch) -> None:
        """A narrow shadow along a pocket's upper and lower edge lifts it off the wall."""
        shade = self._shaded(self._look.outer, patch.zone).darker(122)
        width = min(max(2.0, 7.0 * self._scale), 6.0)
        cap = Qt.PenCapStyle.FlatCap
        self._painter.setPen(QPen(shade, width, Qt.PenStyle.SolidLine, cap))
        corners = patch.corners
        for i, (_, height) in enumerate(corners):
            if abs(height - corners[i - 1][1]) < 1e-6:
                self._painter.drawLine(shape[i - 1], shape[i])

    def _stitched(self, band: list[QPointF], zone: Zone) -> None:
        """The edge stitching of a loose handle: both long sides, drawn a little inside."""
        half = len(band) // 2
        pen = QPen(self._shaded(self._look.handle, zone).lighter(150), 0.9)
        pen.setDashPattern([3.0, 2.0])
        self._painter.setPen(pen)
        for share in (0.16, 0.84):
            line = [
                one * (1.0 - share) + other * share
                for one, other in zip(band[:half], reversed(band[half:]), strict=True)
            ]
            self._painter.drawPolyline(line)

    def _light(self, lean: tuple[float, float, float]) -> float:
        """How brightly a zone is lit that leans so."""
        facing = lean[0] * _LIGHT[0] + lean[1] * _LIGHT[1] + lean[2] * _LIGHT[2]
        light = _LEAST_LIGHT + _MORE_LIGHT * max(facing, 0.0)
        return light + (1.0 - light) * self._flatness  # a flat pattern lies in even light

    def _shaded(self, colour: QColor, zone: Zone) -> QColor:
        """A colour as the light falls on its zone."""
        key = (colour.rgba(), zone)
        shaded = self._colours.get(key)
        if shaded is None:
            light = self._lights[zone]
            shaded = QColor(
                min(round(colour.red() * light), 255),
                min(round(colour.green() * light), 255),
                min(round(colour.blue() * light), 255),
            )
            self._colours[key] = shaded
        return shaded

    def _outer_pen(self, stroke: Stroke) -> QPen | None:
        look, flat = self._look, self._flatness
        edge = self._shaded(look.outer, stroke.zone).darker(210 if not look.dark else 60)
        kind = stroke.kind
        if kind is Kind.CUT:
            return self._cut_pen()
        if kind is Kind.SEAM:
            pen = QPen(look.stitch if flat > 0.0 else edge, look.line)
            if flat > 0.0:
                pen.setDashPattern([5.0, 3.0])
            return pen
        if kind is Kind.FOLD:
            pen = QPen(look.fold if flat > 0.0 else edge, look.line)
            if flat > 0.0:
                pen.setDashPattern([8.0, 3.0, 1.5, 3.0])
            return pen
        if kind is Kind.CREASE:
            return QPen(edge, look.thin) if self._opened > 0.0 else None
        return self._trim_pen(stroke)

    def _cut_pen(self) -> QPen | None:
        """Cut lines fade as their allowances are turned in."""
        if self._flatness == 0.0:
            return None
        colour = QColor(self._look.cut)
        colour.setAlphaF(self._flatness)
        return QPen(colour, self._look.bold)

    def _trim_pen(self, stroke: Stroke) -> QPen | None:
        """Lines of zip, pocket and handles."""
        look, kind = self._look, stroke.kind
        if kind is Kind.TEETH:
            return _teeth_pen(self._shaded(look.teeth, stroke.zone), 5.0 * self._scale)
        pocket = self._shaded(look.pocket, stroke.zone)
        deep = pocket.darker(220) if not look.dark else pocket.lighter(170)
        if kind is Kind.POCKET_EDGE:
            return QPen(deep, look.bold)
        if kind is Kind.TOPSTITCH:
            pen = QPen(deep, look.line)
            pen.setDashPattern([4.0, 2.5])
            return pen
        if kind is Kind.HANDLE_EDGE:
            pen = QPen(self._shaded(look.handle, stroke.zone).lighter(150), 0.9)
            pen.setDashPattern([3.0, 2.0])
            return pen
        return QPen(look.placement, look.bold) if kind is Kind.HALFWAY else None

    def _inner_pen(self, stroke: Stroke) -> QPen | None:
        if stroke.zone in _HANDLES or stroke.kind not in (Kind.SEAM, Kind.FOLD, Kind.CREASE):
            return None
        if stroke.kind is Kind.CREASE and self._opened == 0.0:
            return None
        inner = self._shaded(self._look.inner, stroke.zone)
        dark = self._look.dark
        return QPen(inner.lighter(190) if dark else inner.darker(190), self._look.thin)

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
        _soft_ellipse(self._painter, view.camera, (half_x, half_y), self._look.shadow, self._opened)


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


def _soft_ellipse(
    painter: QPainter,
    camera: Camera,
    half: tuple[float, float],
    colour: QColor,
    strength: float,
) -> None:
    """A shadow on the ground about the origin, as the eye sees it lie."""
    corners = np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]], dtype=float) * np.array(half)
    seen = camera.project(np.column_stack((corners, np.zeros(4))))
    square = QPolygonF([QPointF(-1, -1), QPointF(1, -1), QPointF(1, 1), QPointF(-1, 1)])
    onto = QPolygonF([QPointF(x, y) for x, y in seen[:, :2].tolist()])
    transform = QTransform()
    if not QTransform.quadToQuad(square, onto, transform):
        return  # seen edge-on: the ground is a line
    gradient = QRadialGradient(QPointF(0, 0), 1.0)
    for stop, share in ((0.0, 1.0), (0.6, 0.95), (0.72, 0.6), (0.86, 0.2), (1.0, 0.0)):
        shade = QColor(colour)
        shade.setAlphaF(colour.alphaF() * share * strength)
        gradient.setColorAt(stop, shade)
    painter.save()
    painter.setTransform(transform, True)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QBrush(gradient))
    painter.drawEllipse(QPointF(0, 0), 1.0, 1.0)
    painter.restore()


def _teeth_pen(colour: QColor, width: float) -> QPen:
    """Short strokes across the zip: a wide line in narrow dashes."""
    pen = QPen(colour, max(width, 1.0))
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    narrow = max(0.28, 1.2 / max(width, 1.0))
    pen.setDashPattern([narrow, narrow])
    return pen
