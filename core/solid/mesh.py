"""A quarter of the closed wall as a mesh: patches cut into triangles and sewn together.

What is described as the right of the front is solved as its mirror image behind, where x and y
are positive. Vertices that a join unites are one vertex from the start. Rest lengths stay the
flat lengths of each triangle, also where a longer edge is eased in to a shorter one.

Frame in space, mm: x across from the middle of the bag, y from front to back (the front looks
towards -y), z up.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from core.base.arrays import Floats, Ints
from core.solid.fill_problem import Problem
from core.space.patches import Border, Patch, Quarter

COPIES = 4
"""How many quarters make the bag."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mesh:
    """The triangles of a quarter.

    Attributes:
        quarter: what was cut.
        counts: cells along each size; they may be others than the quarter asks for.
        nodes: of each patch (rows + 1, columns + 1): the vertices of its grid.
        triangles: (t, 3) vertices; seen from outside, counter-clockwise.
        flat: (t, 3, 2) their places on the patches, mm, mirrored: counter-clockwise too.
        patch_of: (t,) which patch each was cut from.
        count: how many vertices there are.
    """

    quarter: Quarter
    counts: Mapping[Enum, int]
    nodes: tuple[Ints, ...]
    triangles: Ints
    flat: Floats
    patch_of: Ints
    count: int


def build_mesh(quarter: Quarter, counts: Mapping[Enum, int] | None = None) -> Mesh:
    """Cut the patches into triangles and sew them.

    `counts` are cells along each size, even; None for those of the quarter. Joined borders that
    have not equally many are a ValueError.
    """
    counts = quarter.counts if counts is None else counts
    nodes, count = _sewn(quarter, _grids(quarter.patches, counts))
    corners = [_corners(each.shape) for each in nodes]
    flat = []
    for patch, each, (rows, columns) in zip(quarter.patches, nodes, corners, strict=True):
        x, y = grid_lines(patch, each)
        flat.append(np.stack((x[columns], -y[rows]), axis=2))
    return Mesh(
        quarter=quarter,
        counts=counts,
        nodes=nodes,
        triangles=np.concatenate([each[at] for each, at in zip(nodes, corners, strict=True)]),
        flat=np.concatenate(flat),
        patch_of=np.repeat(np.arange(len(flat)), [len(each) for each in flat]),
        count=count,
    )


def grid_lines(patch: Patch, nodes: Ints) -> tuple[Floats, Floats]:
    """Flat x of each column of a patch's grid and y of each row, mm."""
    rows, columns = nodes.shape
    (x0, y0), (x1, y1) = patch.low, patch.high
    return np.linspace(x0, x1, columns), np.linspace(y0, y1, rows)


def problem_of(mesh: Mesh) -> Problem:
    """A mesh as a sheet to be filled: what is held, and a rough shape to start from, mm."""
    quarter = mesh.quarter
    start = np.zeros((3, mesh.count))
    held = np.zeros_like(start, dtype=bool)
    for i, (patch, nodes) in enumerate(zip(quarter.patches, mesh.nodes, strict=True)):
        x, y = (each.ravel() for each in np.meshgrid(*grid_lines(patch, nodes)))
        # Of a patch's own nodes that are one vertex the first decides, of several patches the last.
        start[:, nodes.ravel()[::-1]] = quarter.start(i, x, y)[:, ::-1]
        for axis, borders in enumerate((patch.mirror_x, patch.mirror_y)):
            for border in borders:
                held[axis, border_nodes(nodes, border)] = True
    start[held] = 0.0
    # One vertex holds the whole in its place: nothing else does where there is no board.
    held[:, mesh.nodes[0][0, 0]] = True
    for patch, nodes in zip(quarter.patches, mesh.nodes, strict=True):
        if patch.held:
            held[:, nodes] = True
    mirrored = np.zeros_like(held)
    mirrored[:2] = True
    return Problem(
        triangles=mesh.triangles,
        flat=mesh.flat,
        start=start,
        held=held,
        mirrored=mirrored,
        copies=COPIES,
        softness=quarter.softness,
    )


def border_nodes(nodes: Ints, border: Border) -> Ints:
    """Those of a grid along one of its borders, to the right or up."""
    last = -1 if border in (Border.TOP, Border.RIGHT) else 0
    return np.asarray(nodes[last] if border in (Border.BOTTOM, Border.TOP) else nodes[:, last])


def _grids(patches: tuple[Patch, ...], counts: Mapping[Enum, int]) -> list[Ints]:
    """The nodes of each patch on its own, numbered through."""
    grids: list[Ints] = []
    first = 0
    for patch in patches:
        shape = counts[patch.up] + 1, counts[patch.across] + 1
        grids.append(np.arange(first, first + shape[0] * shape[1]).reshape(shape))
        first += grids[-1].size
    return grids


def _sewn(quarter: Quarter, grids: list[Ints]) -> tuple[tuple[Ints, ...], int]:
    """The vertices of each patch once its joins are sewn, and how many there are."""
    parent = np.arange(sum(each.size for each in grids)).tolist()

    def top(node: int) -> int:
        while parent[node] != node:
            parent[node] = node = parent[parent[node]]
        return node

    for join in quarter.joins:
        one, other = (border_nodes(grids[i], border) for i, border in (join.one, join.other))
        if len(one) != len(other):
            raise ValueError(f"{join} joins {len(one) - 1} cells to {len(other) - 1}")
        for a, b in zip(one.tolist(), other[:: -1 if join.reversed else 1].tolist(), strict=True):
            parent[top(a)] = top(b)
    for i, border in quarter.gathered:
        first, *others = border_nodes(grids[i], border).tolist()
        for other in others:
            parent[top(other)] = top(first)
    tops = np.array([top(node) for node in range(len(parent))])
    found, vertices = np.unique(tops, return_inverse=True)
    return tuple(vertices[each].astype(np.int64) for each in grids), len(found)


def _corners(shape: tuple[int, ...]) -> tuple[Ints, Ints]:
    """(t, 3) rows and columns of the triangles' corners in a grid of so many nodes.

    The diagonals alternate, and every count is even, so that at each corner of a patch two
    triangles meet: a corner in one triangle alone would keep that triangle flat and lock.
    They run clockwise on the flat patch, for it is solved as its mirror image.
    """
    columns, rows = np.meshgrid(np.arange(shape[1] - 1), np.arange(shape[0] - 1))
    cells = np.stack((columns.ravel(), rows.ravel()), axis=1)
    near, right, far, above = (cells + step for step in ((0, 0), (1, 0), (1, 1), (0, 1)))
    even = (cells.sum(axis=1) % 2 == 0)[:, None]
    cut = np.concatenate(
        (
            np.stack((np.where(even, far, above), right, near), axis=1),
            np.stack((above, far, np.where(even, near, right)), axis=1),
        )
    )
    return cut[..., 1], cut[..., 0]
