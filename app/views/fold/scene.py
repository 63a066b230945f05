"""One moment of the folding bag as it is seen on its ground: projected and ordered for paint."""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from functools import cached_property, lru_cache
from itertools import chain, starmap
from typing import NamedTuple

from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QRadialGradient, QTransform

from core.drawing.projection import Camera, Sheet, paint_order, turned, turned_frame
from core.flat.geometry import Bounds
from core.flat.piece import Point
from core.flat.roles import EdgeRef
from core.solid.fold import FOLDED, SEWN, Folded, FoldModel
from core.solid.laying import LaidArea, LaidLine
from core.space.zones import AreaKind, Frame, Spatial, add, scaled

EYE_DISTANCE = 5.0
"""How many times the bag's size away the eye stands: near enough to read depth."""


_EDGE_ON = 0.004
"""Sine of the angle below which a zone is seen as a line and not drawn."""
_THICK = 1.0
"""mm by which a wall stands out, so that two faces of the folded bag do not lie in one plane."""

_STITCHED_AT = (0.16, 0.84)
"""Where a loose handle is stitched, as shares of the way across."""


class Catalogue:
    """What lies where on a model: it is asked for what is pointed at, and not for painting.

    Attributes:
        edges: edge -> the lines that are its stitch line.
        outlines: zone that has anything -> the places, among the model's, of the areas that
            bound it.
    """

    def __init__(self, model: FoldModel) -> None:
        self.edges: dict[EdgeRef, list[LaidLine]] = defaultdict(list)
        for line in model.lines:
            if line.edge is not None:
                self.edges[line.edge].append(line)
        self.outlines: dict[int, list[int]] = defaultdict(list)
        for i, area in enumerate(model.areas):
            if area.kind in _OWN_OUTLINE or model.zones[area.zone].loose:
                self.outlines[area.zone].append(i)


_OWN_OUTLINE = (AreaKind.WALL, AreaKind.TAPE)


class SeenZone(NamedTuple):
    """A zone that shows.

    Attributes:
        frame: where it stands, as `turned_frame` tells it from the eye and its target.
        lean: its normal towards the eye, as (right, up, towards the eye).
        outlines: what bounds it, pixels.
    """

    frame: Frame
    lean: Spatial
    outlines: list[list[Point]]


class View:
    """What the eye sees; what lies on a zone is placed and projected when it is asked for.

    Attributes:
        folded, camera: what is seen, and from where.
        zones: those that show, the furthest first; not those seen edge-on, nor the inside of
            a sewn bag but behind what is open of it.
        outside: zones that show their outer side.
        through: around all that the inside of the sewn bag is seen through, pixels; None: all
            of its inside is seen.
    """

    def __init__(
        self,
        folded: Folded,
        camera: Camera,
        zones: dict[int, SeenZone],
        outside: frozenset[int],
        through: Bounds | None,
    ) -> None:
        self.folded, self.camera, self.zones, self.outside = folded, camera, zones, outside
        self.through = through

    @cached_property
    def catalogue(self) -> Catalogue:
        return Catalogue(self.folded.model)

    @property
    def order(self) -> tuple[int, ...]:
        """Zones that show, the furthest first."""
        return tuple(self.zones)

    @property
    def bounds(self) -> Bounds | None:
        """What the bag takes up in the picture, pixels; None where nothing shows.

        What does not show lies within what does.
        """
        outlines = [outline for zone in self.zones.values() for outline in zone.outlines]
        if not outlines:
            return None
        if self.folded.at <= FOLDED:
            tips = self.folded.model.folding.tips
            outlines += [self.pixels(tip.zone, tip.outline) for tip in tips]
        x, y = zip(*chain.from_iterable(outlines), strict=True)
        return min(x), min(y), max(x), max(y)

    def pixels(self, zone: int, points: Iterable[Point]) -> list[Point]:
        """Where points of a zone's piece are seen, pixels."""
        seen, camera = self.zones.get(zone), self.camera
        if seen is not None:
            return camera.pixels(seen.frame, points)
        frame = turned_frame(camera.axes, self.folded.frames[zone], camera.target)
        return camera.pixels(frame, points)

    def corners(self, area: LaidArea) -> list[Point]:
        """Those of an area, pixels."""
        return self.pixels(area.zone, area.corners)

    def polygon(self, area: LaidArea) -> list[QPointF]:
        return list(starmap(QPointF, self.corners(area)))

    def line(self, line: LaidLine) -> list[QPointF]:
        return list(starmap(QPointF, self.pixels(line.zone, line.points)))

    def lines(self, zone: int, lines: Iterable[LaidLine]) -> list[QLineF]:
        """Some of a zone."""
        ends = iter(self.pixels(zone, [end for line in lines for end in line.points]))
        return [QLineF(x0, y0, x1, y1) for (x0, y0), (x1, y1) in zip(ends, ends, strict=True)]

    def spots(self, points: Iterable[Spatial]) -> list[QPointF]:
        """Points of space in the picture."""
        return [QPointF(x, y) for x, y, _ in self.camera.project(points)]

    def edge_lines(self, edge: EdgeRef) -> list[list[QPointF]]:
        """An edge in the picture, its hidden parts too; empty where it is not there."""
        return [
            self.line(line)
            for line in self.catalogue.edges.get(edge, ())
            if self.folded.shows_line(line)
        ]

    def edge_at(self, x: float, y: float, reach: float) -> EdgeRef | None:
        """The edge nearest to a pixel, within reach; of equally near ones the one in front."""
        best: tuple[float, EdgeRef] | None = None
        for edge, lines in self.catalogue.edges.items():
            for line in lines:
                hidden = line.zone not in self.outside and self.folded.at > 0.0
                if hidden or not self.folded.shows_line(line):
                    continue
                ends = self.folded.frames[line.zone].all_at(line.points)
                away, near = _distance(self.camera.project(ends), x, y)
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


def look_at(folded: Folded, camera: Camera) -> View:
    """Sort what is seen."""
    model, axes, openings = folded.model, camera.axes, _openings(folded, camera)
    eye_x, eye_y, eye_z = camera.eye
    shown: list[tuple[int, SeenZone]] = []
    sheets: list[Sheet] = []
    outside: list[int] = []
    for zone, outlines in enumerate(model.outlines):
        if not outlines:
            continue
        frame, normal = folded.frames[zone], folded.normals[zone]
        x, y, z = frame.at(outlines[0][0])
        right, back, up = eye_x - x, eye_y - y, eye_z - z
        facing = normal[0] * right + normal[1] * back + normal[2] * up
        is_inside = facing <= 0.0 and openings is not None and not model.zones[zone].loose
        if facing > 0.0:
            outside.append(zone)
        elif is_inside and not openings:
            continue
        if abs(facing) > _EDGE_ON * math.hypot(right, back, up):
            stand, lean = turned_frame(axes, frame, camera.target), turned(axes, normal)
            pixels = [camera.pixels(stand, outline) for outline in outlines]
            if is_inside and not any(_overlap(_box(pixels[0]), each) for each in openings or ()):
                continue
            thick = Frame(add(stand.origin, scaled(lean, _THICK)), stand.across, stand.up)
            sheets.append(Sheet(list(chain.from_iterable(map(thick.all_at, outlines))), lean))
            towards = lean if facing > 0.0 else scaled(lean, -1.0)
            shown.append((zone, SeenZone(stand, towards, pixels)))
    order = paint_order(sheets, (0.0, 0.0, camera.distance))
    zones = dict(shown[i] for i in order)
    return View(folded, camera, zones, frozenset(outside), _around_all(openings or ()))


def _openings(folded: Folded, camera: Camera) -> list[Bounds] | None:
    """Around what the inside of the sewn bag is seen through, pixels; None: all of it is seen."""
    folding = folded.model.folding
    if folding.flat_only is not None or folded.at < SEWN:
        return None
    if not (folding.closed or folding.mouth):
        return None
    outlines = [outline for gap in folded.gaps for outline in gap.outlines]
    if folding.mouth:
        outlines.append(tuple(folded.places(folding.mouth)))
    return [_box([(x, y) for x, y, _ in camera.project(outline)]) for outline in outlines]


def _around_all(boxes: Sequence[Bounds]) -> Bounds | None:
    if not boxes:
        return None
    left, low, right, high = zip(*boxes, strict=True)
    return min(left), min(low), max(right), max(high)


_BESIDE = 2.0
"""What the line around an opening may take beside it, px."""


def _box(points: Iterable[Point]) -> Bounds:
    x, y = zip(*points, strict=True)
    return min(x) - _BESIDE, min(y) - _BESIDE, max(x) + _BESIDE, max(y) + _BESIDE


def _overlap(one: Bounds, other: Bounds) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


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
    painter.drawPolygon(_AROUND_CIRCLE)
    painter.restore()


_SIDES = 16
_AROUND_CIRCLE = [
    QPointF(math.cos(turn) / reach, math.sin(turn) / reach)
    for reach in (math.cos(math.pi / _SIDES),)
    for turn in (math.tau * side / _SIDES for side in range(_SIDES))
]
"""Straight lines around the unit circle, at which the shadow has ended: no arc need be drawn."""


@lru_cache(maxsize=200)
def _soft(rgba: int, strength: int) -> QBrush:
    """Darkest in the middle of the unit circle; the strength is in sixty-fourths."""
    gradient = QRadialGradient(QPointF(0, 0), 1.0)
    for stop, share in ((0.0, 1.0), (0.6, 0.95), (0.72, 0.6), (0.86, 0.2), (1.0, 0.0)):
        shade = QColor.fromRgba(rgba)
        shade.setAlphaF(shade.alphaF() * share * strength / 64)
        gradient.setColorAt(stop, shade)
    return QBrush(gradient)
