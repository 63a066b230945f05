"""Setting a mesh up to be filled: what is held, and a rough shape to start from."""

import numpy as np

from core.solid.fill_problem import Floats, Problem
from core.solid.mesh import Mesh, Symmetry, lines
from core.solid.quarter import Quarter

_BULGE = 0.25
"""Of the start, over the smaller side of the quarter: it only has to be roughly round."""
_LEAN = 0.9
"""How far the walls of the start lean in at most, over their height."""
_BOAT = 0.6
"""Depth of a base whose ends are gathered to points, over its flat depth."""
_SPREADS, _SOFTNESSES = (0.85, 0.98), (1.0, 8.0)
"""`Quarter.spread` over a board and the softness there, measured: a fifth of the steps."""


def problem_of(mesh: Mesh, *, rigid_base: bool) -> Problem:
    """The mesh of a bag as a sheet to be filled, mm.

    Args:
        mesh: with one quarter, two or all.
        rigid_base: whether a board keeps the base flat, in the size that the corner
            seams leave it. It needs a base, and walls that close over it.
    """
    start = _rough_shape(mesh, rigid_base=rigid_base)
    held, mirrored = np.zeros_like(start, dtype=bool), np.zeros_like(start, dtype=bool)
    grid, symmetry = mesh.grid, mesh.symmetry
    side, face, column, row = mesh.places.T
    if symmetry is not Symmetry.WHOLE:
        held[0], mirrored[0] = side == 0, True
    if symmetry is Symmetry.QUARTER:
        held[1], mirrored[1] = face == 0, True
    # One vertex holds the whole in its place: nothing else does where there is no board.
    held |= (column == 0) & (row == 0)
    if rigid_base:
        # The end of the base is sewn to the row of the wall that runs on from its front.
        held |= ((column <= grid.base) & (row < grid.up)) | (row == grid.up)
    return Problem(
        triangles=mesh.triangles,
        flat=mesh.flat,
        start=start,
        held=held,
        mirrored=mirrored,
        copies=symmetry.copies,
        softness=_softness(mesh.quarter) if rigid_base else 1.0,
    )


def _softness(quarter: Quarter) -> float:
    """Of walls over a board: the less slack they have, the softer."""
    return float(np.interp(quarter.spread, _SPREADS, _SOFTNESSES))


def _rough_shape(mesh: Mesh, *, rigid_base: bool) -> Floats:
    """A tent with round walls, (3, n) mm: near enough to start from, stretched here and there."""
    quarter, grid = mesh.quarter, mesh.grid
    side, face, column, row = mesh.places.T
    across, up = lines(quarter, grid)
    x, u = across[column], up[row]
    depth = _depth(quarter, x, rigid_base=rigid_base)
    base = _on_base(quarter, x, u, depth, rigid_base=rigid_base)
    wall = _on_wall(quarter, x, (row - grid.up) / grid.wall, depth)
    signs = np.stack((side, -face, np.ones_like(side)))
    shape: Floats = np.where(row < grid.up, base, wall) * signs
    return shape


def _depth(quarter: Quarter, x: Floats, *, rigid_base: bool) -> Floats:
    """(n,) half of the base front to back where its edge is still base, mm."""
    if rigid_base:
        return np.full_like(x, quarter.board_depth)
    if quarter.board_depth > 0.0:
        return np.full_like(x, min(quarter.board_depth, _LEAN * quarter.wall))
    # Gathered to a point at either end, the base is a boat.
    boat = np.cos(np.pi / 2 * np.minimum(x / quarter.base, 1.0))
    return min(_BOAT * quarter.corner_up, _LEAN * quarter.wall) * boat


def _on_base(quarter: Quarter, x: Floats, u: Floats, depth: Floats, *, rigid_base: bool) -> Floats:
    """Points (3, n) of a quarter of the base, x and y positive, mm."""
    if quarter.corner_up == 0.0:
        return np.stack((x, u, np.zeros_like(x)))
    share = u / quarter.corner_up
    hang = np.cos(np.pi / 2 * x / quarter.base) * np.cos(np.pi / 2 * share)
    drop = 0.0 if rigid_base else _BULGE * min(quarter.base, quarter.corner_up)
    return np.stack((x, share * depth, -drop * hang - (1.0 - share) * _sag(quarter, depth)))


def _sag(quarter: Quarter, depth: Floats) -> Floats:
    """How far the middle of a base that the walls pull together hangs below its edges, mm."""
    if quarter.board_depth == 0.0:
        return np.zeros_like(depth)
    lost: Floats = np.sqrt(np.maximum(quarter.board_depth**2 - depth**2, 0.0))
    return lost


def _on_wall(quarter: Quarter, x: Floats, rise: Floats, depth: Floats) -> Floats:
    """Points (3, n) of a quarter of the walls, x and y positive, mm.

    Args:
        x: flat, from the middle.
        rise: how far up the wall, 0 to 1; what lies below is not meant.
        depth: half of the base front to back.
    """
    bottom_x, bottom_y = np.minimum(x, quarter.base), depth
    sunk = np.zeros_like(x)
    if quarter.corner_along > 0.0:
        beside = np.maximum(x - quarter.base, 0.0) / quarter.corner_along
        bottom_y = depth * (1.0 - beside)
        sunk = beside * _sag(quarter, depth)
        # What goes down does not go out.
        out = np.sqrt(np.maximum(quarter.corner_along**2 - _sag(quarter, depth) ** 2, 0.0))
        x = bottom_x + beside * out
    round_out = np.sin(np.pi * rise) * np.cos(np.pi / 2 * x / quarter.half_opening)
    bulge = _BULGE * min(quarter.half_opening, quarter.wall) * round_out
    height = np.sqrt(quarter.wall**2 - np.minimum(bottom_y, _LEAN * quarter.wall) ** 2)
    return np.stack(
        (
            bottom_x + rise * (x - bottom_x),
            bottom_y * (1.0 - rise) + bulge,
            rise * height - sunk,
        )
    )
