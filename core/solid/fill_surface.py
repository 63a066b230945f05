"""Points of the flat sheet on the shape that a quarter of it took, and its mirror images."""

import numpy as np

from core.solid.fill_problem import Floats, Ints
from core.solid.mesh import Mesh, Symmetry, lines, place_numbers, sewn
from core.solid.quarter import Quarter


def unfold(mesh: Mesh, whole: Mesh, points: Floats) -> Floats:
    """(n, 3) positions of the whole bag, standing on the ground, mm.

    Args:
        mesh: the quarter that was solved.
        whole: every quarter with the same grid.
        points: (3, n) of the quarter, mm.
    """
    side, face, column, row = whole.places.T
    at = _vertices(mesh, np.stack((column, row), axis=-1))
    # On a mirror plane the sign is 0, and so is the coordinate.
    positions: Floats = _standing(points)[at] * np.stack((side, -face, np.ones_like(side)), axis=1)
    return positions


def locate(mesh: Mesh, points: Floats, sheet_points: Floats) -> Floats:
    """(k, 3) where points of the sheet lie on the whole bag, mm.

    Args:
        mesh: the quarter that was solved.
        points: (3, n) of the quarter, mm.
        sheet_points: (k, 2) x from the middle of the sheet and u, mm.
    """
    quarter, loop = mesh.quarter, 2 * mesh.quarter.half_loop
    x, u = sheet_points[:, 0], sheet_points[:, 1]
    u = u - loop * np.round(u / loop)
    at, shares = _corners(mesh, *_onto(quarter, np.abs(x), np.abs(u)))
    positions = np.einsum("kc,kci->ki", shares, _standing(points)[at])
    signs = np.where(x < 0.0, -1.0, 1.0), np.where(u < 0.0, 1.0, -1.0)
    turned: Floats = positions * np.stack((*signs, np.ones_like(x)), axis=1)
    return turned


def _standing(points: Floats) -> Floats:
    """(n, 3) with the lowest on the ground."""
    positions = points.T.copy()
    positions[:, 2] -= positions[:, 2].min()
    return positions


def _vertices(mesh: Mesh, cut: Ints) -> Ints:
    """(...) vertices of the quarter at columns and rows (..., 2)."""
    ((side, face),) = Symmetry.QUARTER.value
    numbers = place_numbers(sewn(side, face, cut, mesh.grid), mesh.grid)
    found: Ints = np.searchsorted(place_numbers(mesh.places, mesh.grid), numbers)
    return found


def _onto(quarter: Quarter, x: Floats, u: Floats) -> tuple[Floats, Floats]:
    """Points beyond the stitch lines brought to the nearest of them, mm."""
    x, u = np.minimum(x, quarter.half_opening), np.minimum(u, quarter.half_loop)
    beyond, below = x - quarter.base, quarter.corner_up - u
    cut_out = (beyond > 0.0) & (below > 0.0)
    to_end = cut_out & (beyond <= below)
    return (
        np.where(to_end, quarter.base, x),
        np.where(cut_out & ~to_end, quarter.corner_up, u),
    )


def _corners(mesh: Mesh, x: Floats, u: Floats) -> tuple[Ints, Floats]:
    """The four corners (k, 4) of each point's cell, and the share that each has of the point.

    The shares run straight across each of the cell's two triangles.
    """
    grid = mesh.grid
    across, up = lines(mesh.quarter, grid)
    row, t = _cell(up, u)
    column, s = _cell(across, x)
    # Left of the end of the base a point lies in the base's last cell, not beyond it.
    last = (row < grid.up) & (column >= grid.base)
    column, s = np.where(last, grid.base - 1, column), np.where(last, 1.0, s)
    near = np.stack((column, row), axis=1)
    corners = np.stack([near + step for step in ((0, 0), (1, 0), (1, 1), (0, 1))], axis=1)
    nought = np.zeros_like(s)
    rising = np.stack(
        (1 - np.maximum(s, t), np.maximum(s - t, 0), np.minimum(s, t), np.maximum(t - s, 0)), axis=1
    )
    low = np.stack((1 - s - t, s, nought, t), axis=1)
    high = np.stack((nought, 1 - t, s + t - 1, 1 - s), axis=1)
    falling = np.where((s + t <= 1.0)[:, None], low, high)
    even = ((column + row) % 2 == 0)[:, None]
    return _vertices(mesh, corners), np.where(even, rising, falling)


def _cell(borders: Floats, values: Floats) -> tuple[Ints, Floats]:
    """Which cell each value lies in, and how far through it, 0 to 1."""
    index = np.clip(np.searchsorted(borders, values, side="right") - 1, 0, len(borders) - 2)
    start, end = borders[index], borders[index + 1]
    return index, (values - start) / (end - start)
