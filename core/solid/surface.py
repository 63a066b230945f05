"""The bag between sewn and filled: every mark carried along on its soft wall.

Frame in space, mm: x across from the middle of the bag, y from front to back (the front
looks towards -y), z up from the ground.

Both ends of the way are places of the same points of the wall: on the rigid zones of the
sewn bag, and on the filled shape. In each of them the front lies before the middle plane
and the back behind it, so that what lies between never passes through itself.

The wall is drawn in the cells of `core.solid.surface_grid`.
"""

from dataclasses import dataclass

import numpy as np

from core.base.arrays import Flags, Floats, Ints, beyond, placed, table
from core.flat.roles import EdgeRef
from core.solid.bands import band_stands
from core.solid.carried_bands import LEG_POINTS, CarriedBand, carry_band, wall_spots
from core.solid.fill import Filled
from core.solid.fill_problem import principal_stretches
from core.solid.flat_wall import FlatWall
from core.solid.fold import SEWN, FoldModel
from core.solid.laying import TIPS_ONLY
from core.solid.surface_grid import SurfaceGrid, chains, lay_grid
from core.space.zones import Band, Frames, LineKind, ease

_DRAWN_CELLS = 300
"""Of a quarter, about: as fine as it can be turned without a delay."""
_TORN = 1.5
"""How many times longer than its cloth a cell must be to count as none."""


@dataclass(frozen=True, slots=True, eq=False)
class SurfaceLine:
    """A line on the surface.

    Attributes:
        edge: whose stitch line it is; None for folds and the like.
        sides: (k, 2) nodes at both ends of each cell side that it runs along, in order.
    """

    kind: LineKind
    edge: EdgeRef | None
    sides: Ints


class FilledSurface:
    """A filled bag made ready to be shown; `at` is then cheap.

    Attributes:
        grid: the cells of its wall.
        lines: seams, folds, stitching, the middle of the zip.
        bands: the loose parts of the handles.
        stiffeners: (sewn, filled) edges of what lies inside, (k, 2, 3) each, mm.
        shortening: (r, c) of each cell of the filled bag: 1 is smooth, less is wrinkled away.
        open_seams: whether something is left open in the sewn bag, so that its inside shows.
    """

    def __init__(self, model: FoldModel, filled: Filled) -> None:
        quarter = filled.mesh.quarter
        flat = FlatWall(model.folding.zones, quarter)
        self.grid = lay_grid(model, quarter, flat, (quarter.area / _DRAWN_CELLS) ** 0.5)
        sewn, nodes = model.at(SEWN), self.grid.nodes
        shape = (len(self.grid.up), len(self.grid.across), 3)
        stiff = [line for line in model.lines if line.kind is LineKind.STIFFENER_EDGE]
        ends = [flat.at(line.zone, point) for line in stiff for point in line.points]
        spots = [spot for band in model.bands for spot in wall_spots(model.folding, band)]
        under = [flat.at(zone, point) for zone, point in spots]
        # Where pieces lie apart most nodes of the grid are of no cell: they go with the first.
        used = self.grid.used.ravel() if self.grid.apart else np.ones(len(nodes), dtype=bool)
        place = np.maximum(np.cumsum(used) - 1, 0)
        place[~used] = 0
        nodes = nodes[used]
        points = np.concatenate((nodes, np.array(ends + under).reshape(-1, 2)))
        cuts = [len(nodes), len(nodes) + len(ends)]
        (at_sewn, sewn_ends, _), (at_filled, filled_ends, walls) = (
            np.split(each, cuts)
            for each in (_on_sewn(model, flat, sewn.stands, points), on_filled(filled, points))
        )
        self._sewn, self._filled = at_sewn[place].reshape(shape), at_filled[place].reshape(shape)
        self.stiffeners = sewn_ends.reshape(-1, 2, 3), filled_ends.reshape(-1, 2, 3)
        self.shortening = _shortening(self.grid, self._filled)
        self.open_seams = bool(sewn.gaps) or not model.folding.closed
        self._closed = model.folding.closed
        carried = [
            (line, part)
            for line in model.lines
            if line.kind in _CARRIED and line.seen not in TIPS_ONLY
            for part in flat.segments(line.zone, *line.points)
        ]
        along = chains(self.grid, [part for _, part in carried])
        self.lines = tuple(
            SurfaceLine(line.kind, line.edge, sides)
            for (line, _), sides in zip(carried, along, strict=True)
            if len(sides)
        )
        self.bands = tuple(
            _carried(model, sewn.stands, band, wall)
            for band, wall in zip(model.bands, walls.reshape(-1, LEG_POINTS, 3), strict=True)
        )

    def at(self, share: float) -> Floats:
        """(r + 1, c + 1, 3) the grid's nodes, mm, as `between` has them."""
        return between(self._sewn, self._filled, share)

    def torn(self, share: float) -> Flags:
        """(r, c) cells that close what stands open in the sewn bag, as long as it does."""
        if self._closed or share == 1.0:
            return np.zeros(self.grid.kinds.shape, dtype=bool)
        flat = self.grid.nodes.reshape(*self._sewn.shape[:2], 2)
        now, whole = (
            np.maximum(*(np.linalg.norm(each, axis=2) for each in _diagonals(nodes)))
            for nodes in (self.at(share), flat)
        )
        return np.asarray(now > _TORN * whole)

    @property
    def outer_points(self) -> Floats:
        """(n, 3) everything that is seen of the filled bag, mm."""
        loose = [band.filled.reshape(-1, 3) for band in self.bands]
        return np.concatenate((self._filled.reshape(-1, 3), *loose))


def between(sewn: Floats, filled: Floats, share: float) -> Floats:
    """Points on their way from 0, sewn, to 1, filled, and at rest there; others: ValueError."""
    if not 0.0 <= share <= 1.0:
        raise ValueError(f"the way from sewn to filled runs from 0 to 1, not to {share}")
    eased = ease(share)
    return sewn * (1.0 - eased) + filled * eased


_CARRIED = (
    LineKind.SEAM,
    LineKind.FOLD,
    LineKind.TEETH,
    LineKind.TOPSTITCH,
    LineKind.FREE_EDGE,
    LineKind.BAND_STITCHING,
    LineKind.HALFWAY,
)
"""Hinges are not: a soft bag has none."""


def on_filled(filled: Filled, points: Floats) -> Floats:
    """(k, 3) where points (k, 2) of the wall lie on the filled bag, mm."""
    x, u = points.T
    signs = np.column_stack((_sign(x), -_sign(u), np.ones_like(x)))
    return np.asarray(filled.on_quarter(np.abs(points)) * signs)


def _on_sewn(model: FoldModel, flat: FlatWall, now: Frames, points: Floats) -> Floats:
    """(k, 3) where points (k, 2) of the wall lie on the sewn bag, mm."""
    parts = [
        (zone, part)
        for zone, parts in zip(model.folding.zones, flat.parts, strict=True)
        for part in parts
    ]
    back = [part.frame.inverse for _, part in parts]
    limits = [
        tuple(map(frame.plane_back, (*zone.limits, *part.limits)))
        for (zone, part), frame in zip(parts, back, strict=True)
    ]
    nearest = beyond(table(limits), points).argmin(axis=0)
    frames = np.array([now[zone.key] for zone, _ in parts])[nearest]
    return placed(frames, placed(np.array(back)[nearest], points))


def _sign(values: Floats) -> Floats:
    return np.where(values < 0.0, -1.0, 1.0)


def _carried(model: FoldModel, now: Frames, band: Band, wall: Floats) -> CarriedBand:
    folding = model.folding
    carrier = now[folding.zones[folding.carriers[band.face]].key]
    return carry_band(band, folding, band_stands(folding, carrier, band.face, SEWN), wall)


def _shortening(grid: SurfaceGrid, nodes: Floats) -> Floats:
    """Smaller principal stretch of each cell, from its two diagonals."""
    flat = grid.nodes.reshape(*nodes.shape[:2], 2)
    (rise, fall), (flat_rise, flat_fall) = _diagonals(nodes), _diagonals(flat)
    (a, b), (c, d) = np.moveaxis(flat_rise, 2, 0), np.moveaxis(flat_fall, 2, 0)
    area = np.where(grid.kinds >= 0, a * d - b * c, 1.0)[..., None]
    across = (rise * d[..., None] - fall * b[..., None]) / area
    up = (fall * a[..., None] - rise * c[..., None]) / area
    gradients = np.concatenate((across, up), axis=2)
    smaller = principal_stretches(gradients.reshape(-1, 6).T)[1]
    return np.minimum(smaller.reshape(grid.kinds.shape), 1.0)


def _diagonals(nodes: Floats) -> tuple[Floats, Floats]:
    """Of each cell: to the upper right, and to the upper left."""
    return nodes[1:, 1:] - nodes[:-1, :-1], nodes[1:, :-1] - nodes[:-1, 1:]
