"""Light on a soft surface: smooth where it is round, sharp where it is creased."""

import numpy as np

from app.panes.fold_camera import Array
from app.panes.skin_catalogue import Flags
from core.solid.skin_grid import Indices

_CREASED, _ROUND = 0.35, 0.85
"""Cosines of the angle between neighbours: below the first a crease, above the second round."""


def corner_normals(nodes: Array, inside: Flags, mates: Indices) -> Array:
    """Normals at the corners of cells, each smoothed with the cells that meet it there.

    Args:
        nodes: (r + 1, c + 1, 3) corners of the cells, mm.
        inside: (r, c) which cells there are.
        mates: (r,) the row of the other face that the side seam joins to each row.

    Returns:
        (r, c, 4, 3) unit vectors out of the bag; corners counter-clockwise from the lower
        left.
    """
    flat = _flat_normals(nodes)
    flat[~inside] = 0.0
    around = _bordered(flat, mates)
    rows, columns = inside.shape
    found = np.empty((rows, columns, 4, 3))
    for corner, (down, left) in enumerate(((-1, -1), (-1, 1), (1, 1), (1, -1))):
        total = flat.copy()
        for row, column in ((down, 0), (0, left), (down, left)):
            other = around[1 + row : 1 + row + rows, 1 + column : 1 + column + columns]
            alike = np.einsum("rci,rci->rc", flat, other)
            share = np.clip((alike - _CREASED) / (_ROUND - _CREASED), 0.0, 1.0)
            total += share[..., None] * other
        found[:, :, corner] = total
    found /= np.maximum(np.sqrt(np.einsum("rcki,rcki->rck", found, found)), 1e-12)[..., None]
    return found


def _flat_normals(nodes: Array) -> Array:
    """(r, c, 3) unit normal of each cell, from its two diagonals."""
    ax, ay, az = np.moveaxis(nodes[1:, 1:] - nodes[:-1, :-1], 2, 0)
    bx, by, bz = np.moveaxis(nodes[1:, :-1] - nodes[:-1, 1:], 2, 0)
    normals = np.stack((ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx), axis=2)
    lengths = np.sqrt(np.einsum("rci,rci->rc", normals, normals))
    return np.asarray(normals / np.maximum(lengths, 1e-12)[..., None])


def _bordered(flat: Array, mates: Indices) -> Array:
    """(r + 2, c + 2, 3) with the cells that the seams join to those at the borders."""
    rows, columns = flat.shape[:2]
    around = np.zeros((rows + 2, columns + 2, 3))
    around[1:-1, 1:-1] = flat
    around[1:-1, 0], around[1:-1, -1] = flat[mates, 0], flat[mates, -1]
    around[0, 1:-1], around[-1, 1:-1] = flat[-1], flat[0]
    return around


def spread(cells: Array, inside: Flags) -> Array:
    """(r, c, 4) a value of each cell, averaged at its corners with those of its neighbours."""
    rows, columns = inside.shape
    total = np.zeros((rows + 2, columns + 2))
    count = np.zeros((rows + 2, columns + 2))
    total[1:-1, 1:-1] = np.where(inside, cells, 0.0)
    count[1:-1, 1:-1] = inside
    sums, counts = (
        each[:-1, :-1] + each[1:, :-1] + each[:-1, 1:] + each[1:, 1:] for each in (total, count)
    )
    nodes = sums / np.maximum(counts, 1.0)
    return np.stack((nodes[:-1, :-1], nodes[:-1, 1:], nodes[1:, 1:], nodes[1:, :-1]), axis=2)
