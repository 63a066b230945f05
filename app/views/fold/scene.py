"""The eye that looks at the folded bag: projection, fit, and what is drawn before what."""

import math
from collections import defaultdict
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import starmap

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QRadialGradient, QTransform

from core.flat.roles import EdgeRef
from core.solid.content import LaidArea, LaidLine
from core.solid.fold import SEWN, Folded, FoldModel
from core.space.folding import AreaKind

Array = NDArray[np.float64]

EYE_DISTANCE = 5.0
"""How many times the bag's size away the eye stands: near enough to read depth."""

_ON_PLANE = 0.05
"""mm; corners so near to a plane lie on it, for the order of drawing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """Where the eye is and how its picture lies on the widget.

    Attributes:
        yaw, pitch: radians; yaw 0 looks at the front, positive comes round to the right
            side of the bag; pitch is positive from above.
        target: (3,) array, mm: the point that is shown at `centre`.
        scale: pixels for 1 mm at the target.
        distance: from the target to the eye, mm.
        centre: pixels.
        axes: (3, 3) array: unit vectors to the right and up in the picture, and towards the eye.
        eye: (3,) array, mm: where it is.
    """

    yaw: float
    pitch: float
    target: Array
    scale: float
    distance: float
    centre: tuple[float, float]
    axes: Array = field(init=False, repr=False, compare=False)
    eye: Array = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        sy, cy = math.sin(self.yaw), math.cos(self.yaw)
        sp, cp = math.sin(self.pitch), math.cos(self.pitch)
        axes = np.array([[cy, sy, 0.0], [-sy * sp, cy * sp, cp], [sy * cp, -cy * cp, sp]])
        object.__setattr__(self, "axes", axes)
        object.__setattr__(self, "eye", self.target + self.distance * axes[2])

    @property
    def key(self) -> tuple[object, ...]:
        """Equal for eyes that see the same picture."""
        target = tuple(self.target.tolist())
        return (self.yaw, self.pitch, target, self.scale, self.distance, self.centre)

    def project(self, points: Array) -> Array:
        """(n, 3) points, mm, to (n, 3): x and y in pixels, y down, and nearness in mm."""
        seen = (points - self.target) @ self.axes.T
        # What comes nearer than a tenth of the distance would turn inside out.
        ahead = np.maximum(self.distance - seen[:, 2], self.distance / 10)
        grown = self.scale * self.distance / ahead
        seen[:, 0] = self.centre[0] + seen[:, 0] * grown
        seen[:, 1] = self.centre[1] - seen[:, 1] * grown
        return np.asarray(seen)

    def faces(self, normals: Array, through: Array) -> Array:
        """(n,) sine of the angle at which planes look at the eye; negative from behind."""
        ways = self.eye - through
        ways /= np.linalg.norm(ways, axis=1, keepdims=True)
        return np.asarray(np.einsum("ij,ij->i", normals, ways))


@dataclass(frozen=True, slots=True)
class Fit:
    """A target (3,) mm and a scale, pixels for 1 mm, that show everything."""

    target: Array
    scale: float


def fit(
    points: Array, *, yaw: float, pitch: float, room: tuple[float, float], distance: float
) -> Fit:
    """What shows all points in a room of (width, height) pixels, seen from this side."""
    target = (points.min(axis=0) + points.max(axis=0)) / 2
    scale = 1.0
    for _ in range(3):  # the picture of a shifted target differs a little: near eye
        camera = Camera(
            yaw=yaw, pitch=pitch, target=target, scale=1.0, distance=distance, centre=(0.0, 0.0)
        )
        seen = camera.project(points)
        low, high = seen[:, :2].min(axis=0), seen[:, :2].max(axis=0)
        size = np.maximum(high - low, 1e-6)
        scale = float(min(room[0] / size[0], room[1] / size[1]))
        middle = (low + high) / 2
        right, up, _ = camera.axes
        target = target + middle[0] * right - middle[1] * up
    return Fit(target, scale)


def between(one: Fit, other: Fit, share: float) -> Fit:
    """A fit part of the way from one to the other."""
    scale = math.exp(math.log(one.scale) * (1 - share) + math.log(other.scale) * share)
    return Fit(one.target * (1 - share) + other.target * share, scale)


def paint_order(corners: Array, normals: Array, eye: Array) -> list[int]:
    """Indices of flat convex outlines, the furthest first.

    Of two outlines the one that lies wholly beyond the other's plane, seen from the eye,
    is drawn first (Newell, Newell and Sancha, "A solution to the hidden surface problem",
    1972; from memory). What no plane decides goes by the distance of the middles.

    Args:
        corners: (n, m, 3) array, mm: m of each outline; a shorter one repeats its first.
        normals: (n, 3) unit vectors.
        eye: (3,), mm.
    """
    if not len(corners):  # a flat sheet seen edge on
        return []
    through = corners[:, 0]
    side = np.where(np.einsum("ij,ij->i", normals, eye - through) >= 0.0, 1.0, -1.0)
    facing = normals * side[:, None]
    heights = np.einsum("jmk,ik->ijm", corners, facing)
    heights -= np.einsum("ik,ik->i", through, facing)[:, None, None]
    beyond = heights.max(axis=2) <= _ON_PLANE
    nearer = heights.min(axis=2) >= -_ON_PLANE
    coplanar = beyond & nearer
    # first[i, j]: i is drawn before j.
    first = ((beyond & ~coplanar).T | (nearer & ~coplanar)) & ~np.eye(len(corners), dtype=bool)
    first &= ~(first & first.T)
    far = -np.linalg.norm(corners.mean(axis=1) - eye, axis=1)
    return _sorted_by(first, far.tolist())


def _sorted_by(first: NDArray[np.bool_], nearness: list[float]) -> list[int]:
    waiting = {i: set(np.flatnonzero(first[:, i]).tolist()) for i in range(len(nearness))}
    order: list[int] = []
    while waiting:
        free = [i for i, before in waiting.items() if not before] or list(waiting)
        chosen = min(free, key=nearness.__getitem__)
        order.append(chosen)
        del waiting[chosen]
        for before in waiting.values():
            before.discard(chosen)
    return order


# --- fold scene ---
# One moment of the folding bag as it is seen: projected, ordered, ready to be painted.


_OWN_OUTLINE = (AreaKind.WALL, AreaKind.TAPE)
_EDGE_ON = 0.004
"""Sine of the angle below which a zone is seen as a line and not drawn."""

Laid = dict[int, list[tuple[int, LaidArea]]]
Drawn = dict[int, list[tuple[int, LaidLine]]]


class Catalogue:
    """What lies on each zone of a model: the same for every moment.

    Attributes:
        patches, strokes: zone -> what is laid on it, with its place among the model's.
        edges: edge -> the strokes that are its stitch line.
        zones: those that have anything.
        outlines: of each zone, where the corners that bound it lie among the folded points.
        corners: (zones, m) array, the same point by point; short ones repeat their first.
    """

    def __init__(self, model: FoldModel) -> None:
        self.model = model
        self.patches: Laid = defaultdict(list)
        self.strokes: Drawn = defaultdict(list)
        self.edges: dict[EdgeRef, list[int]] = defaultdict(list)
        for i, patch in enumerate(model.areas):
            self.patches[patch.zone].append((i, patch))
        for i, stroke in enumerate(model.lines):
            self.strokes[stroke.zone].append((i, stroke))
            if stroke.edge is not None:
                self.edges[stroke.edge].append(i)
        self.zones: tuple[int, ...] = tuple(self.patches)
        self.outlines = [self._outline_spans(zone) for zone in self.zones]
        self.corners = _filled_up([_listed(spans) for spans in self.outlines])

    def _outline_spans(self, zone: int) -> list[tuple[int, int]]:
        """Where the corners that bound a zone lie: its wall's, or its handle's."""
        return [
            self.model.area_spans[i]
            for i, patch in self.patches[zone]
            if patch.kind in _OWN_OUTLINE or self.model.zones[zone].loose
        ]


@dataclass(frozen=True, slots=True)
class View:
    """What the eye sees.

    Attributes:
        folded, camera, catalogue: what is seen, from where, and how it is sorted.
        seen: (n, 3) array, the folded points in pixels, and their nearness in mm.
        pixels: the same without the nearness, (x, y) each.
        order: zones that show, the furthest first; not those seen edge-on, nor the inside of
            a bag that is sewn shut.
        outside: zones that show their outer side.
        lean: zone -> (3,) normal towards the eye, as (right, up, towards the eye).
    """

    folded: Folded
    camera: Camera
    catalogue: Catalogue
    seen: Array
    pixels: list[tuple[float, float]]
    order: tuple[int, ...]
    outside: frozenset[int]
    lean: dict[int, tuple[float, float, float]]

    def polygon(self, index: int) -> list[QPointF]:
        """One patch in the picture."""
        start, end = self.folded.model.area_spans[index]
        return list(starmap(QPointF, self.pixels[start:end]))

    def line(self, index: int) -> list[QPointF]:
        """One stroke in the picture."""
        start, end = self.folded.model.line_spans[index]
        return list(starmap(QPointF, self.pixels[start:end]))

    def spots(self, *points: Array) -> list[QPointF]:
        """Points of space, (3,) each, in the picture."""
        return [QPointF(x, y) for x, y, _ in self.camera.project(np.array(points)).tolist()]

    def edge_lines(self, edge: EdgeRef) -> list[list[QPointF]]:
        """An edge in the picture, its hidden parts too; empty where it is not there."""
        return [self.line(index) for index in self.catalogue.edges.get(edge, ())]

    def edge_at(self, x: float, y: float, reach: float) -> EdgeRef | None:
        """The edge nearest to a pixel, within reach; of equally near ones the one in front."""
        best: tuple[float, EdgeRef] | None = None
        model = self.folded.model
        spread = float(np.ptp(self.seen[:, 2])) or 1.0
        for edge, strokes in self.catalogue.edges.items():
            for index in strokes:
                zone = model.lines[index].zone
                if zone not in self.outside and self.folded.at > 0.0:
                    continue
                start, end = model.line_spans[index]
                away, near = _distance(self.seen[start:end], x, y)
                score = away - 3.0 * near / spread
                if away <= reach and (best is None or score < best[0]):
                    best = (score, edge)
        return None if best is None else best[1]


def look_at(folded: Folded, camera: Camera, catalogue: Catalogue) -> View:
    """Project and sort."""
    zones = catalogue.zones
    normals = folded.normals[list(zones)]
    corners = folded.points[catalogue.corners]
    facing = camera.faces(normals, corners[:, 0])
    shown = np.abs(facing) > _EDGE_ON
    if _sealed(folded):
        shown &= (facing > 0.0) | np.array([folded.model.zones[zone].loose for zone in zones])
    kept = np.flatnonzero(shown)
    # A wall has a thickness: the two faces of the folded bag do not lie in one plane.
    thick = corners[kept] + normals[kept][:, None]
    order = kept[paint_order(thick, normals[kept], camera.eye)].tolist()
    towards = normals * np.where(facing >= 0.0, 1.0, -1.0)[:, None]
    leans = (towards @ camera.axes.T).tolist()
    seen = camera.project(folded.points)
    return View(
        folded,
        camera,
        catalogue,
        seen,
        list(zip(seen[:, 0].tolist(), seen[:, 1].tolist(), strict=True)),
        tuple(zones[i] for i in order),
        frozenset(zones[i] for i in range(len(zones)) if facing[i] > 0.0),
        {zone: (x, y, z) for zone, (x, y, z) in zip(zones, leans, strict=True)},
    )


def _listed(spans: list[tuple[int, int]]) -> list[int]:
    return [place for start, end in spans for place in range(start, end)]


def _filled_up(rows: list[list[int]]) -> NDArray[np.intp]:
    """Rows of one length."""
    most = max(map(len, rows))
    return np.array([[*row, *row[:1] * (most - len(row))] for row in rows], dtype=np.intp)


def _sealed(folded: Folded) -> bool:
    """Whether nothing inside can be seen: the bag is sewn shut all round."""
    model = folded.model
    folding = model.folding
    shut = folding.closed and folding.flat_only is None and folded.at >= SEWN
    return shut and not folded.gaps


def _distance(line: Array, x: float, y: float) -> tuple[float, float]:
    """Pixels from a point to a segment, and the nearness of the segment there."""
    (x0, y0, d0), (x1, y1, d1) = line[0].tolist(), line[-1].tolist()
    dx, dy = x1 - x0, y1 - y0
    along = ((x - x0) * dx + (y - y0) * dy) / max(dx * dx + dy * dy, 1e-12)
    share = min(max(along, 0.0), 1.0)
    away = ((x0 + dx * share - x) ** 2 + (y0 + dy * share - y) ** 2) ** 0.5
    return away, d0 + (d1 - d0) * share


# --- fold ground ---
# The ground that the bag stands on.


def soft_ellipse(
    painter: QPainter,
    camera: Camera,
    half: tuple[float, float],
    colour: QColor,
    strength: float,
) -> None:
    """A shadow on the ground about the origin, as the eye sees it lie.

    It lies as it would without perspective, which a soft edge does not show and which is
    filled three times as quickly.
    """
    points = np.array([[0, 0, 0], [half[0], 0, 0], [0, half[1], 0]], dtype=float)
    (x, y, _), across, along = camera.project(points).tolist()
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
