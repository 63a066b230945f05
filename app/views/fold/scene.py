"""One moment of the folding bag as it is seen on its ground: projected and ordered for paint."""

from collections import defaultdict
from functools import lru_cache
from itertools import compress, groupby
from operator import attrgetter
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QRadialGradient, QTransform

from core.base.arrays import Floats
from core.drawing.projection import Camera, paint_order
from core.flat.roles import EdgeRef
from core.solid.fold import SEWN, Folded, FoldModel
from core.solid.laying import Seen
from core.space.zones import AreaKind, LineKind

EYE_DISTANCE = 5.0
"""How many times the bag's size away the eye stands: near enough to read depth."""


_OWN_OUTLINE = (AreaKind.WALL, AreaKind.TAPE)
_EDGE_ON = 0.004
"""Sine of the angle below which a zone is seen as a line and not drawn."""

_STITCHED_AT = (0.16, 0.84)
"""Where a loose handle is stitched, as shares of the way across."""

Neighbours = tuple[int, int]
"""Neighbours among the points, lines or areas: from one to before another."""


class AlikeLines(NamedTuple):
    """Lines of a zone that follow one another and look alike.

    Attributes:
        kind, seen: of each of them.
        ends: their places among the view's.
    """

    kind: LineKind
    seen: Seen
    ends: Neighbours


class ZoneCatalogue:
    """What lies on each zone of a model: the same for every moment, and whatever its lengths are.

    Areas, lines and points are told by their places among the model's.

    Attributes:
        arrangement: that of the models that it sorts.
        areas: zone -> what is laid on it.
        runs: zone -> its lines, those together that are drawn in one go.
        starts: (lines,) the first points of all lines, run after run.
        edges: edge -> the lines that are its stitch line.
        zones: those that have anything.
        own: (zones,) the same.
        loose: (zones,) flags: those that are a loose band's.
        outlines: of each zone, the points that bound it.
        corners: (zones, m) array, the same one by one; short ones repeat their first.
        standing: (n,) points that bound the wall where it does not lie on the ground.
        sides: (2, n) points of loose bands, on the left and on the right of each other.
        stitchings: area of a loose band -> where its own lie among the sides.
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
        self.runs, self.starts = _runs(model)
        self.zones: tuple[int, ...] = tuple(self.areas)
        self.own = np.array(self.zones)
        self.loose = np.array([model.zones[zone].loose for zone in self.zones])
        self.outlines = [self._outline_spans(model, zone) for zone in self.zones]
        places = [[i for span in spans for i in range(*span)] for spans in self.outlines]
        self.corners = _filled_up(places)
        standing: list[int] = []
        for zone, points in zip(self.zones, places, strict=True):
            if not (model.zones[zone].loose or model.zones[zone].floor):
                standing += points
        self.standing = np.array(standing, dtype=np.intp)
        self.stitchings, self.sides = _stitchings(model)

    def sorts(self, model: FoldModel) -> bool:
        """Whether it is the catalogue of a model."""
        return self.arrangement == model.arrangement

    def _outline_spans(self, model: FoldModel, zone: int) -> list[Neighbours]:
        """Where the corners that bound a zone lie: its wall's, or its handle's."""
        return [
            model.area_spans[i]
            for i in self.areas[zone]
            if model.areas[i].kind in _OWN_OUTLINE or model.zones[zone].loose
        ]


def _runs(model: FoldModel) -> tuple[dict[int, list[AlikeLines]], NDArray[np.intp]]:
    """Runs and starts of a catalogue."""
    runs: dict[int, list[AlikeLines]] = defaultdict(list)
    starts: list[int] = []
    by_zone = sorted(zip(model.lines, model.line_spans, strict=True), key=lambda each: each[0].zone)
    for (zone, kind, seen), alike in groupby(by_zone, lambda each: _LOOKS(each[0])):
        before = len(starts)
        starts += [start for _, (start, _) in alike]
        runs[zone].append(AlikeLines(kind, seen, (before, len(starts))))
    return runs, np.array(starts, dtype=np.intp)


_LOOKS = attrgetter("zone", "kind", "seen")


def _stitchings(model: FoldModel) -> tuple[dict[int, Neighbours], NDArray[np.intp]]:
    """Stitchings and sides of a catalogue.

    The outline of a band goes up its left side and back on its right.
    """
    places: dict[int, Neighbours] = {}
    left: list[int] = []
    right: list[int] = []
    for i, area in enumerate(model.areas):
        if area.kind is AreaKind.BAND and model.zones[area.zone].loose:
            start, end = model.area_spans[i]
            half = (end - start) // 2
            places[i] = len(left), len(left) + half
            left += range(start, start + half)
            right += range(end - 1, end - half - 1, -1)
    return places, np.array((left, right), dtype=np.intp)


class View(NamedTuple):
    """What the eye sees.

    Attributes:
        folded, camera, catalogue: what is seen, from where, and how it is sorted.
        seen: (n, 3) array, the folded points in pixels, and their nearness in mm.
        pixels: the same without the nearness: every x, and every y.
        ends: of the lines in the order of the catalogue's runs, pixels: every x and every y where
            they start, every x and every y where they end.
        stitched: both lines of stitches between the catalogue's `sides`, told as `pixels` are.
        order: zones that show, the furthest first; not those seen edge-on, nor the inside of
            a bag that is sewn shut.
        outside: zones that show their outer side.
        lean: zone -> (3,) normal towards the eye, as (right, up, towards the eye).
    """

    folded: Folded
    camera: Camera
    catalogue: ZoneCatalogue
    seen: Floats
    pixels: list[list[float]]
    ends: list[list[float]]
    stitched: list[list[list[float]]]
    order: tuple[int, ...]
    outside: frozenset[int]
    lean: dict[int, tuple[float, float, float]]

    def polygon(self, index: int) -> list[QPointF]:
        return _points(self.pixels, self.folded.model.area_spans[index])

    def line(self, index: int) -> list[QPointF]:
        return _points(self.pixels, self.folded.model.line_spans[index])

    def lines(self, run: AlikeLines) -> list[QLineF]:
        """All of a run."""
        start, end = run.ends
        return list(map(QLineF, *(column[start:end] for column in self.ends)))

    def stitchings(self, area: int) -> list[list[QPointF]]:
        """The two lines of stitches on the area of a loose band."""
        return [_points(line, self.catalogue.stitchings[area]) for line in self.stitched]

    def spots(self, points: Floats) -> list[QPointF]:
        """Points of space, (n, 3), in the picture."""
        return [QPointF(x, y) for x, y, _ in self.camera.project(points).tolist()]

    def edge_lines(self, edge: EdgeRef) -> list[list[QPointF]]:
        """An edge in the picture, its hidden parts too; empty where it is not there."""
        lines = self.folded.model.lines
        return [
            self.line(index)
            for index in self.catalogue.edges.get(edge, ())
            if self.folded.shows_line(lines[index])
        ]

    def edge_at(self, x: float, y: float, reach: float) -> EdgeRef | None:
        """The edge nearest to a pixel, within reach; of equally near ones the one in front."""
        best: tuple[float, EdgeRef] | None = None
        model = self.folded.model
        spread = float(np.ptp(self.seen[:, 2])) or 1.0
        for edge, lines in self.catalogue.edges.items():
            for index in lines:
                found = model.lines[index]
                hidden = found.zone not in self.outside and self.folded.at > 0.0
                if hidden or not self.folded.shows_line(found):
                    continue
                start, end = model.line_spans[index]
                away, near = _distance(self.seen[start:end], x, y)
                score = away - 3.0 * near / spread
                if away <= reach and (best is None or score < best[0]):
                    best = (score, edge)
        return None if best is None else best[1]


def _points(pixels: list[list[float]], span: Neighbours) -> list[QPointF]:
    start, end = span
    return list(map(QPointF, pixels[0][start:end], pixels[1][start:end]))


def look_at(folded: Folded, camera: Camera, catalogue: ZoneCatalogue) -> View:
    """Project and sort."""
    zones = catalogue.zones
    normals = folded.normals[catalogue.own]
    corners = folded.points[catalogue.corners]
    facing = camera.faces(normals, corners[:, 0])
    outside = facing > 0.0
    shown = np.abs(facing) > _EDGE_ON
    if _sealed(folded):
        shown &= outside | catalogue.loose
    kept = shown.nonzero()[0]
    # A wall has a thickness: the two faces of the folded bag do not lie in one plane.
    thick = corners[kept] + normals[kept, None]
    order = kept[paint_order(thick, normals[kept], camera.eye)].tolist()
    towards = normals * np.where(facing >= 0.0, 1.0, -1.0)[:, None]
    leans = (towards @ camera.axes.T).tolist()
    seen = camera.project(folded.points)
    pixels = seen[:, :2].T
    left, right = pixels[:, catalogue.sides[0]], pixels[:, catalogue.sides[1]]
    return View(
        folded,
        camera,
        catalogue,
        seen,
        pixels.tolist(),
        pixels[:, catalogue.starts].tolist() + pixels[:, catalogue.starts + 1].tolist(),
        [(left + (right - left) * share).tolist() for share in _STITCHED_AT],
        tuple(zones[i] for i in order),
        frozenset(compress(zones, outside.tolist())),
        {zone: (x, y, z) for zone, (x, y, z) in zip(zones, leans, strict=True)},
    )


def _filled_up(rows: list[list[int]]) -> NDArray[np.intp]:
    most = max(map(len, rows))
    return np.array([[*row, *row[:1] * (most - len(row))] for row in rows], dtype=np.intp)


def _sealed(folded: Folded) -> bool:
    """Whether nothing inside can be seen: the bag is sewn shut all round."""
    model = folded.model
    folding = model.folding
    shut = folding.closed and folding.flat_only is None and folded.at >= SEWN
    return shut and not folded.gaps


def _distance(line: Floats, x: float, y: float) -> tuple[float, float]:
    """Pixels from a point to a segment, and the nearness of the segment there."""
    (x0, y0, d0), (x1, y1, d1) = line[0].tolist(), line[-1].tolist()
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
