"""One moment of the bag between sewn and filled as it is seen: lit, projected, ordered."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF

from app.views.fold.paint import LIGHT
from app.views.fold.surface_camera import project
from app.views.fold.surface_index import SurfaceCatalogue, corner_normals, spread
from core.base.arrays import Flags, Floats, Ints
from core.drawing.projection import Camera
from core.flat.roles import EdgeRef, Face
from core.solid.surface import between
from core.space.zones import Spatial

LEAST_LIGHT, MORE_LIGHT = 0.60, 0.46

_WRINKLE_SHADE = 1.5
"""How much darker a wrinkled cell is, over the share that is wrinkled away."""
_DARKEST_WRINKLE = 0.30
HANDLE_SPAN = 6
"""Steps of a loose handle that are painted together."""
_STANDS_OFF, _STANDS_OFF_BOXES = 16.0, 30.0
"""mm by which a loose handle counts as nearer (or further) than the wall that it lies on; and
where walls turn sharply over it, as those of bags cut like boxes do."""


@dataclass(frozen=True, slots=True, eq=False)
class Strip:
    """A stretch of a loose handle in the picture.

    Attributes:
        sides: (2, n, 2) pixels of its two long sides.
        light: how brightly it is lit.
    """

    sides: Floats
    light: float


@dataclass(frozen=True, slots=True, eq=False)
class SurfaceView:
    """What the eye sees.

    Attributes:
        catalogue, camera: what is seen and from where.
        share: 0 sewn, 1 filled.
        nodes: (n, 3) mm.
        seen: (n, 3) the same in pixels, and their nearness in mm.
        facing: (m,) whether each cell shows its outer side.
        lights: (m, 4) how brightly each corner of each cell is lit.
        order: what is painted, the furthest first: a cell, or -1 - i for strip i.
        strips: of the loose handles.
    """

    catalogue: SurfaceCatalogue
    camera: Camera
    share: float
    nodes: Floats
    seen: Floats
    facing: Flags
    lights: Floats
    order: Ints
    strips: tuple[Strip, ...]

    @property
    def turned(self) -> Ints:
        """(k, 4) cells and nodes where the wall turns away from the eye, seams apart."""
        sides = self.catalogue.borders
        return np.asarray(sides[self.facing[sides[:, 0]] != self.facing[sides[:, 1]]])

    @property
    def outline(self) -> Ints:
        """(k, 2) nodes along everything where it turns away, at seams too."""
        seams = self.catalogue.seams
        away = ~self.facing[seams[:, 1]] | (seams[:, 1] < 0)
        return np.concatenate((self.turned[:, 2:], seams[self.facing[seams[:, 0]] & away, 2:]))

    def spots(self, points: Iterable[Spatial]) -> list[QPointF]:
        """Points of space in the picture."""
        return [QPointF(x, y) for x, y, _ in self.camera.project(points)]

    def edge_lines(self, edge: EdgeRef) -> list[list[QPointF]]:
        """An edge in the picture, its hidden parts too; empty where it is not there."""
        sides = self.catalogue.edges.get(edge)
        if sides is None:
            return []
        ends = self.seen[sides][..., :2].tolist()
        return [[QPointF(*one), QPointF(*other)] for one, other in ends]

    def edge_at(self, x: float, y: float, reach: float) -> EdgeRef | None:
        """The edge nearest to a pixel, within reach; of equally near ones the one in front."""
        best: tuple[float, EdgeRef] | None = None
        spread_out = float(np.ptp(self.seen[:, 2])) or 1.0
        for edge, sides in self.catalogue.edges.items():
            one, other = self.seen[sides[:, 0]], self.seen[sides[:, 1]]
            step = other[:, :2] - one[:, :2]
            gone = np.array((x, y)) - one[:, :2]
            length = np.maximum(np.einsum("ki,ki->k", step, step), 1e-12)
            share = np.clip(np.einsum("ki,ki->k", gone, step) / length, 0.0, 1.0)
            away = np.linalg.norm(gone - step * share[:, None], axis=1)
            score = away - 3.0 * one[:, 2] / spread_out
            at = int(score.argmin())
            if away[at] <= reach and (best is None or score[at] < best[0]):
                best = (float(score[at]), edge)
        return None if best is None else best[1]


def see(catalogue: SurfaceCatalogue, share: float, camera: Camera) -> SurfaceView:
    """Light, project and sort; 0 is sewn, 1 is filled."""
    surface = catalogue.surface
    grid_nodes = surface.at(share)
    nodes = grid_nodes.reshape(-1, 3)
    seen = project(camera, nodes)
    corners = seen[catalogue.cells]
    facing = _turned_to_eye(corners)
    lights = _lights(catalogue, grid_nodes, share, camera)
    drawn = np.ones_like(facing) if surface.open_seams and share < 1.0 else facing
    drawn = drawn & ~surface.torn(share)[catalogue.inside]
    strips, nearness = _strips(catalogue, share, camera)
    cells = np.flatnonzero(drawn)
    near = np.concatenate((corners[cells, :, 2].mean(axis=1), nearness))
    named = np.concatenate((cells, -1 - np.arange(len(strips))))
    order = named[np.argsort(near, kind="stable")]
    return SurfaceView(catalogue, camera, share, nodes, seen, facing, lights, order, strips)


def _turned_to_eye(corners: Floats) -> Flags:
    """Counter-clockwise in a picture whose y runs down."""
    one, other = corners[:, 2, :2] - corners[:, 0, :2], corners[:, 3, :2] - corners[:, 1, :2]
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0] < 0.0)


def _lights(
    catalogue: SurfaceCatalogue, grid_nodes: Floats, share: float, camera: Camera
) -> Floats:
    """(m, 4) light at the corners, wrinkled zones a shade darker."""
    inside = catalogue.inside
    normals = corner_normals(grid_nodes, inside, catalogue.mates, catalogue.closed)
    to_light = np.array(LIGHT) @ camera.axes
    light = LEAST_LIGHT + MORE_LIGHT * np.maximum(normals @ to_light, 0.0)
    gone = 1.0 - catalogue.surface.shortening
    wrinkled = np.minimum(_WRINKLE_SHADE * spread(gone, inside), _DARKEST_WRINKLE)
    return np.asarray((light * (1.0 - share * wrinkled))[inside])


def _strips(
    catalogue: SurfaceCatalogue, share: float, camera: Camera
) -> tuple[tuple[Strip, ...], Floats]:
    """The loose handles in stretches, and how near each counts."""
    strips: list[Strip] = []
    nearness: list[float] = []
    stands_off = _STANDS_OFF_BOXES if catalogue.surface.grid.apart else _STANDS_OFF
    for band in catalogue.surface.bands:
        sides = between(band.sewn, band.filled, share)
        count = sides.shape[1]
        seen = project(camera, sides.reshape(-1, 3)).reshape(2, count, 3)
        normals = _band_normals(sides, front=band.face is Face.FRONT)
        to_eye = np.where(np.einsum("ni,ni->n", camera.eye - sides[0], normals) < 0.0, -1.0, 1.0)
        lean = normals @ (np.array(LIGHT) @ camera.axes) * to_eye
        lights = (LEAST_LIGHT + MORE_LIGHT * np.maximum(lean, 0.0)).tolist()
        near = (seen[..., 2].mean(axis=0) + stands_off * to_eye).tolist()
        for start in range(0, count - 1, HANDLE_SPAN):
            stop = min(start + HANDLE_SPAN + 1, count)
            middle = (start + stop) // 2
            strips.append(Strip(seen[:, start:stop, :2], lights[middle]))
            nearness.append(near[middle])
    return tuple(strips), np.array(nearness)


def _band_normals(sides: Floats, *, front: bool) -> Floats:
    """(n, 3) unit normals of a band, out of the bag where it lies along the wall."""
    across, way = sides[1] - sides[0], np.gradient(sides.mean(axis=0), axis=0)
    normals = np.cross(across, way)
    outward = np.sign(normals[0, 1]) * (-1.0 if front else 1.0) or 1.0
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    return np.asarray(normals * (outward / np.maximum(lengths, 1e-12)))
