"""The bag between sewn and filled: every mark carried along on its soft wall.

Frame in space, mm: x across from the middle of the bag, y from front to back (the front
looks towards -y), z up from the ground.

Both ends of the way are places of the same points of the sheet: on the rigid zones of the
sewn bag, and on the filled shape. In each of them the front lies before the middle plane
and the back behind it, so that what lies between never passes through itself.
"""

from dataclasses import dataclass

import numpy as np

from core.bag.bag import Bag, draft_walls
from core.bodies.boxed_panel.folding import BACKS, BASES, FRONTS, side_slopes
from core.bodies.boxed_panel.wall import Wall, measure_wall
from core.flat.roles import EdgeRef
from core.solid.bands import CarriedBand, band_stands, carry_band
from core.solid.fill import Filled
from core.solid.fill_problem import Floats, principal_stretches
from core.solid.fold import SEWN, FoldModel
from core.solid.skin_grid import Grid, Indices, chain, lay_grid, on_wall
from core.space.folding import AreaKind, Band, Frames, LineKind
from core.space.frame import ease

_DRAWN_CELLS = 300
"""Of a quarter, about: as fine as it can be turned without a delay."""


@dataclass(frozen=True, slots=True, eq=False)
class Thread:
    """A line on the skin.

    Attributes:
        kind: what it is.
        edge: whose stitch line it is; None for folds and the like.
        sides: (k, 2) nodes at both ends of each cell side that it runs along, in order.
    """

    kind: LineKind
    edge: EdgeRef | None
    sides: Indices


class Skin:
    """A filled bag made ready to be shown; `at` is then cheap.

    Attributes:
        filled: the shape that it ends in, with the bag that it answers.
        model: the same bag folded.
        grid: the cells of its wall.
        threads: seams, folds, stitching, the middle of the zip.
        bands: the loose parts of the handles.
        board: (sewn, filled) outline of the base board, (n, 3) each, mm; None without one.
        shortening: (r, c) of each cell of the filled bag: 1 is smooth, less is wrinkled away.
        open_seams: whether something is left open in the sewn bag, so that its inside shows.
    """

    def __init__(self, model: FoldModel, filled: Filled) -> None:
        self.model, self.filled = model, filled
        self.wall = wall_of(filled.bag)
        cell = (filled.mesh.quarter.area / _DRAWN_CELLS) ** 0.5
        self.grid: Grid = lay_grid(model, self.wall, cell)
        sewn = model.at(SEWN)
        nodes = self.grid.nodes
        self._shape = (len(self.grid.up), len(self.grid.across), 3)
        self._sewn = _on_zones(self.wall, sewn.stands, nodes).reshape(self._shape)
        self._filled = on_filled(filled, self.wall, nodes).reshape(self._shape)
        self.shortening = _shortening(self.grid, self._filled)
        self.open_seams = bool(sewn.gaps)
        self.threads = tuple(
            Thread(stroke.kind, stroke.edge, sides)
            for stroke in model.lines
            if stroke.kind in _CARRIED and not model.zones[stroke.zone].loose
            for sides in [chain(self.grid, model, self.wall, stroke)]
            if len(sides)
        )
        self.bands = tuple(_carried(model, filled, sewn.stands, band) for band in model.bands)
        self.board = _board(model, self.wall, filled, sewn.stands)

    def at(self, share: float) -> Floats:
        """(r + 1, c + 1, 3) the grid's nodes, mm; 0 is sewn, 1 is filled.

        Raises:
            ValueError: the share lies outside 0 to 1.
        """
        return between(self._sewn, self._filled, share)

    @property
    def outer_points(self) -> Floats:
        """(n, 3) everything that is seen of the filled bag, mm."""
        loose = [band.filled.reshape(-1, 3) for band in self.bands]
        return np.concatenate((self._filled.reshape(-1, 3), *loose))


def between(sewn: Floats, filled: Floats, share: float) -> Floats:
    """Points on their way from sewn to filled: they start and end at rest.

    Raises:
        ValueError: the share lies outside 0 to 1.
    """
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


def wall_of(bag: Bag) -> Wall:
    """Its wall laid flat."""
    draft = draft_walls(bag)
    return measure_wall(bag.body, draft, bag.top.closing(draft))


def _carried(model: FoldModel, filled: Filled, now: Frames, band: Band) -> CarriedBand:
    folding = model.folding
    carrier = now[folding.zones[folding.carriers[band.face]].key]
    return carry_band(band, folding, band_stands(folding, carrier, band.face, SEWN), filled)


def on_filled(filled: Filled, wall: Wall, points: Floats) -> Floats:
    """(k, 3) where points (x, u) of the wall lie on the filled bag, mm."""
    x, u = points[:, 0] - wall.middle, points[:, 1]
    u = u - wall.loop * np.round(u / wall.loop)
    signs = np.where(x < 0.0, -1.0, 1.0), np.where(u < 0.0, 1.0, -1.0), np.ones_like(x)
    placed = filled.on_quarter(np.column_stack((np.abs(x), np.abs(u))))
    return np.asarray(placed * np.column_stack(signs))


def _on_zones(wall: Wall, now: Frames, points: Floats) -> Floats:
    """(k, 3) where points (k, 2) of the wall lie on the sewn bag, mm."""
    x, u = points.T
    slopes = side_slopes(wall)
    above = np.abs(u) - wall.corner
    low = (above < 0.0) & wall.has_corners
    left = ~low & (x < wall.base_left + slopes[0] * above)
    right = ~low & (x > wall.base_right + slopes[1] * above)
    middle = ~(low | left | right)
    placed = np.zeros((len(points), 3))
    for zones, face in (((BASES[0], *FRONTS), u >= 0.0), ((BASES[1], *BACKS), u < 0.0)):
        for zone, there in zip(zones, (low, middle, left, right), strict=True):
            chosen = there & face
            if chosen.any():
                origin, across, up = map(np.array, now[zone])
                placed[chosen] = origin + x[chosen, None] * across + u[chosen, None] * up
    return placed


def _shortening(grid: Grid, nodes: Floats) -> Floats:
    """Smaller principal stretch of each cell, from its two diagonals."""
    flat = grid.nodes.reshape(*nodes.shape[:2], 2)
    (rise, fall), (flat_rise, flat_fall) = _diagonals(nodes), _diagonals(flat)
    (a, b), (c, d) = np.moveaxis(flat_rise, 2, 0), np.moveaxis(flat_fall, 2, 0)
    area = (a * d - b * c)[..., None]
    across = (rise * d[..., None] - fall * b[..., None]) / area
    up = (fall * a[..., None] - rise * c[..., None]) / area
    gradients = np.concatenate((across, up), axis=2)
    smaller = principal_stretches(gradients.reshape(-1, 6).T)[1]
    return np.minimum(smaller.reshape(grid.goods.shape), 1.0)


def _diagonals(nodes: Floats) -> tuple[Floats, Floats]:
    """Of each cell: to the upper right, and to the upper left."""
    return nodes[1:, 1:] - nodes[:-1, :-1], nodes[1:, :-1] - nodes[:-1, 1:]


def _board(
    model: FoldModel, wall: Wall, filled: Filled, now: Frames
) -> tuple[Floats, Floats] | None:
    """The outline of the base board, from the two halves that lie on the base."""
    corners = [
        corner
        for patch in model.areas
        if patch.kind is AreaKind.STIFFENER
        for corner in on_wall(model, wall, patch.zone, patch.corners)
    ]
    if not corners:
        return None
    (x0, u0), (x1, u1) = np.min(corners, axis=0), np.max(corners, axis=0)
    outline = np.array([(x0, u0), (x1, u0), (x1, u1), (x0, u1), (x0, u0)])
    return _on_zones(wall, now, outline), on_filled(filled, wall, outline)
