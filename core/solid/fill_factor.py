"""The one linear system of the filled bag, taken apart once and solved often.

Up to some size its inverse is kept whole; above that scipy's sparse factor wins, and
only then is scipy loaded. The inverse is built band by band: vertices are ordered in
rings round one of them, so that each ring touches only the rings beside it. That takes a
fraction of the work, in blocks so small that the linear algebra library does not hand
them to threads, which on busy cores cost more than they give.
"""

from collections.abc import Callable

import numpy as np

from core.solid.fill_cloth import Floats
from core.solid.fill_problem import Ints, Problem

WHOLE_UP_TO = 700
"""Free vertices up to which a whole inverse pays (measured: scipy alone takes 0.3 s to load)."""

Solve = Callable[[Floats], Floats]
"""Forces (3, n) to points (3, n), the held ones included."""

_SolveRow = Callable[[Floats], Floats]
"""Forces (m,) to one coordinate of the m free vertices."""

_Entries = tuple[Ints, Ints, Floats]
"""Row, column and value of entries that are still to be added up."""


def factor(problem: Problem, weights: Floats) -> Solve:
    """Take apart the stiffness of the sheet, for each coordinate without its held vertices.

    Args:
        problem: in any unit; its start gives the held coordinates.
        weights: (t,) of each triangle, area included.
    """
    entries = _stiffness(problem, weights)
    start, held = problem.start, problem.held
    pull = _product(entries, np.where(held, start, 0.0))
    order = np.argsort(problem.rings, kind="stable")
    free = [order[~each[order]] for each in held]
    solvers = [_solver(entries, each, problem) for each in free]

    def solve(forces: Floats) -> Floats:
        points = start.copy()
        for axis, (solver, each) in enumerate(zip(solvers, free, strict=True)):
            points[axis, each] = solver(forces[axis, each] - pull[axis, each])
        return points

    return solve


def _stiffness(problem: Problem, weights: Floats) -> _Entries:
    """Entries of G'AG, (9 t,) each."""
    hats, triangles = problem.hats, problem.triangles
    values = np.einsum("t,tix,tjx->tij", weights, hats, hats)
    rows = np.broadcast_to(triangles[:, :, None], values.shape)
    columns = np.broadcast_to(triangles[:, None, :], values.shape)
    return rows.ravel(), columns.ravel(), values.ravel()


def _product(entries: _Entries, points: Floats) -> Floats:
    """The matrix times each row of points."""
    rows, columns, values = entries
    count = points.shape[1]
    return np.stack([np.bincount(rows, values * row[columns], count) for row in points])


def _solver(entries: _Entries, free: Ints, problem: Problem) -> _SolveRow:
    """Solve for the free vertices of one coordinate, given ring by ring."""
    size = len(free)
    place = np.full(problem.count, -1, dtype=np.int64)
    place[free] = np.arange(size)
    rows, columns, values = place[entries[0]], place[entries[1]], entries[2]
    inner = (rows >= 0) & (columns >= 0)
    kept = rows[inner], columns[inner], values[inner]
    if size > WHOLE_UP_TO:
        return _sparse(kept, size)
    flat = np.bincount(kept[0] * size + kept[1], kept[2], size * size)
    matrix: Floats = flat.astype(np.float64, copy=False).reshape(size, size)
    in_ring = np.bincount(problem.rings[free])
    inverse = banded_inverse(matrix, in_ring[in_ring > 0])
    # einsum rather than @: a product of this size is not worth waking threads for.
    return lambda forces: np.einsum("ij,j->i", inverse, forces)


def _sparse(entries: _Entries, size: int) -> _SolveRow:
    """Scipy's sparse factor; it takes a while to load, so only where it pays."""
    from scipy.sparse import csc_matrix
    from scipy.sparse.linalg import splu

    rows, columns, values = entries
    matrix = csc_matrix((values, (rows, columns)), shape=(size, size))
    factored = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0)

    def solve(forces: Floats) -> Floats:
        answer: Floats = factored.solve(forces)
        return answer

    return solve


def banded_inverse(matrix: Floats, blocks: Ints) -> Floats:
    """Inverse of a symmetric matrix whose blocks only touch the blocks beside them.

    Args:
        matrix: (m, m), positive definite.
        blocks: sizes of the diagonal blocks in order, adding up to m.
    """
    ends = np.cumsum(blocks)
    parts = [slice(end - size, end) for size, end in zip(blocks, ends, strict=True)]
    inverse = np.zeros_like(matrix)
    pivots: list[Floats] = []
    for index, part in enumerate(parts):
        pivot = matrix[part, part]
        if index:
            before = parts[index - 1]
            carry = matrix[part, before] @ pivots[-1]
            pivot = pivot - carry @ matrix[before, part]
            inverse[part, : before.stop] = -carry @ inverse[before, : before.stop]
        inverse[part, part] = np.eye(part.stop - part.start)
        pivots.append(np.asarray(np.linalg.inv(pivot), dtype=np.float64))
    for index in range(len(parts) - 1, -1, -1):
        part = parts[index]
        rows = inverse[part, : part.stop]
        if index + 1 < len(parts):
            after = parts[index + 1]
            rows = rows - matrix[part, after] @ inverse[after, : part.stop]
        inverse[part, : part.stop] = pivots[index] @ rows
        inverse[: part.start, part] = inverse[part, : part.start].T
    return inverse
