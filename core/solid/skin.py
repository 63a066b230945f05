"""The bag between sewn and filled: every mark carried along on its soft wall.

Frame in space, mm: x across from the middle of the bag, y from front to back (the front
looks towards -y), z up from the ground.

Both ends of the way are places of the same points of the sheet: on the rigid zones of the
sewn bag, and on the filled shape. In each of them the front lies before the middle plane
and the back behind it, so that what lies between never passes through itself.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from core.bodies.boxed_panel.wall import Wall
from core.flat.roles import EdgeRef
from core.solid.content import Kind
from core.solid.fill import Filled
from core.solid.fill_problem import Floats, principal_stretches
from core.solid.fold import SEWN, FoldModel
from core.solid.hinge import Stand, ease
from core.solid.skin_grid import LOOSE, Grid, Indices, chain, lay_grid, on_sheet
from core.solid.skin_handles import Band, carry_handles, on_filled
from core.solid.zones import BACK_ZONES, FRONT_ZONES, Zone, side_slopes

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

    kind: Kind
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
        cell = (filled.mesh.quarter.area / _DRAWN_CELLS) ** 0.5
        self.grid: Grid = lay_grid(model, cell)
        sewn = model.at(SEWN)
        nodes = self.grid.nodes
        self._shape = (len(self.grid.up), len(self.grid.across), 3)
        self._sewn = _on_zones(model.sheet, sewn.stands, nodes).reshape(self._shape)
        self._filled = on_filled(filled, model.sheet, nodes).reshape(self._shape)
        self.shortening = _shortening(self.grid, self._filled)
        self.open_seams = bool(sewn.gaps)
        self.threads = tuple(
            Thread(stroke.kind, stroke.edge, sides)
            for stroke in model.strokes
            if stroke.kind in _CARRIED and stroke.zone not in LOOSE
            for sides in [chain(self.grid, stroke)]
            if len(sides)
        )
        self.bands: tuple[Band, ...] = carry_handles(filled, sewn)
        self.board = _board(model, filled, sewn.stands)

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
    Kind.SEAM,
    Kind.FOLD,
    Kind.TEETH,
    Kind.TOPSTITCH,
    Kind.POCKET_EDGE,
    Kind.HANDLE_EDGE,
    Kind.HALFWAY,
)
"""Hinges are not: a soft bag has none."""


def _on_zones(sheet: Wall, stands: Mapping[Zone, Stand], points: Floats) -> Floats:
    """(k, 3) where points (k, 2) of the sheet lie on the sewn bag, mm."""
    x, u = points.T
    height = np.abs(u)
    slopes = side_slopes(sheet)
    above = height - sheet.corner
    low = (above < 0.0) & sheet.has_corners
    left = ~low & (x < sheet.base_left + slopes[0] * above)
    right = ~low & (x > sheet.base_right + slopes[1] * above)
    middle = ~(low | left | right)
    placed = np.zeros((len(points), 3))
    for zones, face in ((FRONT_ZONES, u >= 0.0), (BACK_ZONES, u < 0.0)):
        for zone, there in zip(zones, (low, middle, left, right), strict=True):
            chosen = there & face
            if zone in stands and chosen.any():
                stand = stands[zone]
                placed[chosen] = (
                    stand.origin + x[chosen, None] * stand.across + height[chosen, None] * stand.up
                )
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
    model: FoldModel, filled: Filled, stands: Mapping[Zone, Stand]
) -> tuple[Floats, Floats] | None:
    """The outline of the base board, from the two halves that lie on the base."""
    corners = [
        corner
        for patch in model.patches
        if patch.kind is Kind.BOARD
        for corner in on_sheet(patch.zone, patch.corners)
    ]
    if not corners:
        return None
    (x0, u0), (x1, u1) = np.min(corners, axis=0), np.max(corners, axis=0)
    outline = np.array([(x0, u0), (x1, u0), (x1, u1), (x0, u1), (x0, u0)])
    return _on_zones(model.sheet, stands, outline), on_filled(filled, model.sheet, outline)
