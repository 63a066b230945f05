"""One moment of the folding bag as it is seen on its ground: projected and ordered for paint."""

import math
from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property, lru_cache
from itertools import chain, groupby, starmap
from operator import attrgetter
from typing import NamedTuple

from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QRadialGradient, QTransform

from core.drawing.projection import Camera, Sheet, paint_order, turned, turned_frame
from core.flat.piece import Point
from core.flat.roles import EdgeRef
from core.solid.fold import SEWN, Folded, FoldModel
from core.solid.laying import Seen
from core.space.zones import AreaKind, Frame, LineKind, Spatial, dot, minus, scaled

EYE_DISTANCE = 5.0
"""How many times the bag's size away the eye stands: near enough to read depth."""


_OWN_OUTLINE = (AreaKind.WALL, AreaKind.TAPE)
_EDGE_ON = 0.004
"""Sine of the angle below which a zone is seen as a line and not drawn."""
_THICK = 1.0
"""mm: a wall has a thickness, so that two faces of the folded bag do not lie in one plane."""

_STITCHED_AT = (0.16, 0.84)
"""Where a loose handle is stitched, as shares of the way across."""


class AlikeLines(NamedTuple):
    """Lines of a zone that follow one another and look alike.

    Attributes:
        kind, seen: of each of them.
        lines: their places among the model's.
    """

    kind: LineKind
    seen: Seen
    lines: tuple[int, ...]


class ZoneCatalogue:
    """What lies on each zone of a model: the same for every moment, and whatever its lengths are.

    Areas and lines are told by their places among the model's.

    Attributes:
        arrangement: that of the models that it sorts.
        areas: zone -> what is laid on it.
        runs: zone -> its lines, those together that are drawn in one go.
        edges: edge -> the lines that are its stitch line.
        outlines: zone that has anything -> the areas that bound it.
        standing: the areas that bound the wall where it does not lie on the ground.
    """

    def __init__(self, model: FoldModel) -> None:
        self.arrangement = model.arrangement
        self.areas: dict[int, list[int]] = defaultdict(list)
        self.edges: dict[EdgeRef, list[int]] = defaultdict(list)
        for i, area in enumerate(model.areas):
            self.areas[area.zone].append(i)
        for i, line in enumerate(model.lines):
            if line.edge is not None:
                self.edges[line.edge].append(i)
        self.runs = _runs(model)
        zones, areas = model.zones, model.areas
        self.outlines = {
            zone: [i for i in laid if areas[i].kind in _OWN_OUTLINE or zones[zone].loose]
            for zone, laid in self.areas.items()
        }
        self.standing = [
            i
            for zone, outline in self.outlines.items()
            if not (zones[zone].loose or zones[zone].floor)
            for i in outline
        ]

    def sorts(self, model: FoldModel) -> bool:
        """Whether it is the catalogue of a model."""
        return self.arrangement == model.arrangement


def _runs(model: FoldModel) -> dict[int, list[AlikeLines]]:
    """Runs of a catalogue."""
    runs: dict[int, list[AlikeLines]] = defaultdict(list)
    by_zone = sorted(enumerate(model.lines), key=lambda each: each[1].zone)
    for (zone, kind, seen), alike in groupby(by_zone, lambda each: _LOOKS(each[1])):
        runs[zone].append(AlikeLines(kind, seen, tuple(index for index, _ in alike)))
    return runs


_LOOKS = attrgetter("zone", "kind", "seen")


class View:
    """What the eye sees; what lies on a zone is placed and projected when it is asked for.

    Attributes:
        folded, camera, catalogue: what is seen, from where, and how it is sorted.
        order: zones that show, the furthest first; not those seen edge-on, nor the inside of
            a bag that is sewn shut.
        outside: zones that show their outer side.
    """

    def __init__(
        self,
        folded: Folded,
        camera: Camera,
        catalogue: ZoneCatalogue,
        order: tuple[int, ...],
        outside: frozenset[int],
    ) -> None:
        self.folded, self.camera, self.catalogue = folded, camera, catalogue
        self.order, self.outside = order, outside
        self._model = folded.model
        self._frames: dict[int, Frame] = {}

    def pixels(self, zone: int, points: Iterable[Point]) -> list[Point]:
        """Where points of a zone's piece are seen, pixels."""
        frame = self._frames.get(zone)
        if frame is None:
            camera = self.camera
            frame = turned_frame(camera.axes, self.folded.frames[zone], camera.target)
            self._frames[zone] = frame
        return self.camera.pixels(frame, points)

    def corners(self, index: int) -> list[Point]:
        """Those of an area, pixels."""
        area = self._model.areas[index]
        return self.pixels(area.zone, area.corners)

    def polygon(self, index: int) -> list[QPointF]:
        return list(starmap(QPointF, self.corners(index)))

    def line(self, index: int) -> list[QPointF]:
        line = self._model.lines[index]
        return list(starmap(QPointF, self.pixels(line.zone, line.points)))

    def lines(self, zone: int, run: AlikeLines) -> list[QLineF]:
        """All of a run of a zone."""
        lines = self._model.lines
        ends = iter(self.pixels(zone, [end for index in run.lines for end in lines[index].points]))
        return [QLineF(x0, y0, x1, y1) for (x0, y0), (x1, y1) in zip(ends, ends, strict=True)]

    def lean(self, zone: int) -> Spatial:
        """Normal towards the eye, as (right, up, towards the eye)."""
        normal = turned(self.camera.axes, self.folded.normals[zone])
        return normal if zone in self.outside else scaled(normal, -1.0)

    def spots(self, points: Iterable[Spatial]) -> list[QPointF]:
        """Points of space in the picture."""
        return [QPointF(x, y) for x, y, _ in self.camera.project(points)]

    def edge_lines(self, edge: EdgeRef) -> list[list[QPointF]]:
        """An edge in the picture, its hidden parts too; empty where it is not there."""
        lines = self._model.lines
        return [
            self.line(index)
            for index in self.catalogue.edges.get(edge, ())
            if self.folded.shows_line(lines[index])
        ]

    def edge_at(self, x: float, y: float, reach: float) -> EdgeRef | None:
        """The edge nearest to a pixel, within reach; of equally near ones the one in front."""
        best: tuple[float, EdgeRef] | None = None
        for edge, lines in self.catalogue.edges.items():
            for index in lines:
                found = self._model.lines[index]
                hidden = found.zone not in self.outside and self.folded.at > 0.0
                if hidden or not self.folded.shows_line(found):
                    continue
                away, near = _distance(self.camera.project(self.folded.line(index)), x, y)
                score = away - 3.0 * near / self._depth
                if away <= reach and (best is None or score < best[0]):
                    best = (score, edge)
        return None if best is None else best[1]

    @cached_property
    def _depth(self) -> float:
        """How much nearer the nearest of the bag is than the furthest, mm; 1 where it is flat."""
        near = [near for _, _, near in self.camera.project(self.folded.extent)]
        return max(near) - min(near) or 1.0


def stitchings(corners: list[Point]) -> list[list[QPointF]]:
    """The two lines of stitches on the area of a loose band, whose corners are in pixels.

    The outline of a band goes up its left side and back on its right.
    """
    half = len(corners) // 2
    sides = list(zip(corners[:half], corners[: half - 1 : -1], strict=True))
    return [
        [QPointF(x + (x1 - x) * share, y + (y1 - y) * share) for (x, y), (x1, y1) in sides]
        for share in _STITCHED_AT
    ]


def look_at(folded: Folded, camera: Camera, catalogue: ZoneCatalogue) -> View:
    """Sort what is seen."""
    zones, eye, sealed = folded.model.zones, camera.eye, _sealed(folded)
    shown: list[int] = []
    sheets: list[Sheet] = []
    outside: list[int] = []
    for zone, outline in catalogue.outlines.items():
        normal = folded.normals[zone]
        corners = list(chain.from_iterable([folded.outlines[i] for i in outline]))
        way = minus(eye, corners[0])
        facing = dot(normal, way)
        if facing > 0.0:
            outside.append(zone)
        seen = facing > 0.0 or zones[zone].loose or not sealed
        if seen and abs(facing) > _EDGE_ON * math.hypot(*way):
            shown.append(zone)
            sheets.append(Sheet(corners, normal))
    order = [shown[i] for i in paint_order(sheets, eye, thick=_THICK)]
    return View(folded, camera, catalogue, tuple(order), frozenset(outside))


def _sealed(folded: Folded) -> bool:
    """Whether nothing inside can be seen: the bag is sewn shut all round."""
    model = folded.model
    folding = model.folding
    shut = folding.closed and folding.flat_only is None and folded.at >= SEWN
    return shut and not folded.gaps


def _distance(line: list[Spatial], x: float, y: float) -> tuple[float, float]:
    """Pixels from a point to a segment, and the nearness of the segment there."""
    (x0, y0, d0), (x1, y1, d1) = line
    dx, dy = x1 - x0, y1 - y0
    along = ((x - x0) * dx + (y - y0) * dy) / max(dx * dx + dy * dy, 1e-12)
    share = min(max(along, 0.0), 1.0)
    away = ((x0 + dx * share - x) ** 2 + (y0 + dy * share - y) ** 2) ** 0.5
    return away, d0 + (d1 - d0) * share


def soft_ellipse(
    painter: QPainter, camera: Camera, half: tuple[float, float], colour: QColor, strength: float
) -> None:
    """A shadow on the ground about the origin, as the eye sees it lie.

    It lies as it would without perspective, which a soft edge does not show and which is
    filled three times as quickly.
    """
    points = (0.0, 0.0, 0.0), (half[0], 0.0, 0.0), (0.0, half[1], 0.0)
    (x, y, _), across, along = camera.project(points)
    transform = QTransform(across[0] - x, across[1] - y, along[0] - x, along[1] - y, x, y)
    if abs(transform.determinant()) < 1.0:
        return  # seen edge-on: the ground is a line
    painter.save()
    painter.setTransform(transform, True)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(_soft(colour.rgba(), round(strength * 64)))
    painter.drawEllipse(QPointF(0, 0), 1.0, 1.0)
    painter.restore()


@lru_cache(maxsize=200)
def _soft(rgba: int, strength: int) -> QBrush:
    """Darkest in the middle of the unit circle; the strength is in sixty-fourths."""
    gradient = QRadialGradient(QPointF(0, 0), 1.0)
    for stop, share in ((0.0, 1.0), (0.6, 0.95), (0.72, 0.6), (0.86, 0.2), (1.0, 0.0)):
        shade = QColor.fromRgba(rgba)
        shade.setAlphaF(shade.alphaF() * share * strength / 64)
        gradient.setColorAt(stop, shade)
    return QBrush(gradient)
