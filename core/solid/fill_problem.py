"""A sheet whose best shape in space is wanted, and the quarter of the closed wall as such a sheet.

A sheet gets shorter freely and longer in no direction, as quilted, fused or coated sandwiches,
paper and film do. A triangle is judged by its gradient F, the 3x2 matrix that takes a step on
the flat pattern to a step in space. Arrays of them are (6, t) float: rows 0 to 2 are the
image of a unit step across (weft), rows 3 to 5 of a unit step along (warp). Points in space
are (3, n) float arrays, one row per coordinate: long rows are quickest.

The wall's patches are cut into triangles and sewn together to a mesh. What is described as the
right of the front is solved as its mirror image behind, where x and y are positive. Vertices that
a join unites are one vertex from the start. Rest lengths stay the flat lengths of each triangle,
also where a longer edge is eased in to a shorter one. Frame in space, mm: x across from the middle
of the bag, y from front to back (the front looks towards -y), z up.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property, lru_cache

import numpy as np

from core.base.arrays import Flags, Floats, Ints
from core.solid.patch_grid import grid_points, grid_triangles
from core.space.patches import Border, Patch, Quarter

_ALIKE = 1e-12
"""Difference of squared stretches below which the two principal directions are alike."""


def _metric(gradients: Floats) -> tuple[Floats, Floats, Floats]:
    """Entries (across, mixed, along) of F'F, each (t,)."""
    across, along = gradients[:3], gradients[3:]
    squares = np.einsum("it,it->t", across, across)
    mixed = np.einsum("it,it->t", across, along)
    return squares, mixed, np.einsum("it,it->t", along, along)


def _squared_stretches(across: Floats, mixed: Floats, along: Floats) -> tuple[Floats, Floats]:
    """Larger and smaller eigenvalue of F'F, each (t,)."""
    middle, half = (across + along) / 2, (across - along) / 2
    reach = np.sqrt(half * half + mixed * mixed)
    return middle + reach, np.maximum(middle - reach, 0.0)


def principal_stretches(gradients: Floats) -> tuple[Floats, Floats]:
    """Largest and smallest length over flat length of each triangle, each (t,)."""
    larger, smaller = _squared_stretches(*_metric(gradients))
    return np.sqrt(larger), np.sqrt(smaller)


def stretch(gradients: Floats) -> float:
    """How much longer than flat the most stretched triangle is, as a share; may be < 0."""
    return float(np.sqrt(_squared_stretches(*_metric(gradients))[0].max())) - 1.0


def allowed(gradients: Floats) -> Floats:
    """The nearest gradients that the sheet can have, (6, t).

    The singular values of each F are cut off at 1. Being the same function of F'F for both,
    that is F(p + q F'F) with the p and q that take either eigenvalue to its shortening; no
    singular vectors are needed.
    """
    across, mixed, along = _metric(gradients)
    larger, smaller = _squared_stretches(across, mixed, along)
    keep_larger = 1.0 / np.sqrt(np.maximum(larger, 1.0))
    keep_smaller = 1.0 / np.sqrt(np.maximum(smaller, 1.0))
    apart = larger - smaller
    q = (keep_larger - keep_smaller) / np.maximum(apart, _ALIKE)
    p = keep_larger - q * larger
    nearest = np.empty_like(gradients)
    mixed = q * mixed
    nearest[:3] = (p + q * across) * gradients[:3] + mixed * gradients[3:]
    nearest[3:] = (p + q * along) * gradients[3:] + mixed * gradients[:3]
    return nearest


@dataclass(frozen=True, kw_only=True, eq=False)
class Problem:
    """A sheet to be filled: the share of it that its mirror planes leave.

    Not slotted: what follows from the arrays is worked out once and kept.

    Attributes:
        triangles: (t, 3) vertices of each triangle; seen from outside, counter-clockwise.
        flat: (t, 3, 2) flat coordinates of those three, in the same turn, any length unit.
        start: (3, n) a shape to start from, same unit; it encloses some volume.
        held: (3, n) coordinates that stay as they start (mirror planes, a rigid base).
        mirrored: (3, n) coordinates that must not become negative: behind a mirror
            plane through the origin lies the other half.
        copies: how many such shares make the whole.
        softness: how many times softer than usual the solver takes the sheet, >= 1: where
            it is all but taut it moves far for little stretch, and stiff steps creep.
    """

    triangles: Ints
    flat: Floats
    start: Floats
    held: Flags
    mirrored: Flags
    copies: int
    softness: float = 1.0

    @property
    def count(self) -> int:
        """How many vertices there are."""
        return int(self.start.shape[1])

    @cached_property
    def _sides(self) -> Floats:
        """(t, 2, 2): columns are the two flat sides that leave the first vertex."""
        corners = self.flat
        return np.stack((corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=2)

    @cached_property
    def areas(self) -> Floats:
        """(t,) flat area of each triangle, > 0; ValueError: one is none, or turned over."""
        areas: Floats = np.linalg.det(self._sides) / 2
        if not float(areas.min()) > 0.0:
            raise ValueError("a triangle of the sheet has no area or lies face down")
        return areas

    @cached_property
    def size(self) -> float:
        """Root of the whole flat area: the length that everything is measured by."""
        return float(np.sqrt(self.areas.sum() * self.copies))

    @cached_property
    def hats(self) -> Floats:
        """(t, 3, 2): flat gradient of the weight of each of a triangle's three vertices."""
        inverse = np.linalg.inv(self._sides)
        first = -inverse.sum(axis=1, keepdims=True)
        return np.concatenate((first, inverse), axis=1)

    @property
    def rings(self) -> Ints:
        """(n,) how many triangles each vertex lies from the far end of the sheet.

        Vertices of one triangle lie in one ring or in two rings next to each other; where the
        sheet is not in one piece there is a ValueError.
        """
        return _rings_of(self.triangles.astype(np.int64).tobytes(), self.count)

    def gradients(self, points: Floats) -> Floats:
        """(6, t) gradient of each triangle at these points."""
        first, second, third = self.triangles.T
        one = points[:, second] - points[:, first]
        two = points[:, third] - points[:, first]
        hats = self.hats
        return np.concatenate(
            (
                one * hats[:, 1, 0] + two * hats[:, 2, 0],
                one * hats[:, 1, 1] + two * hats[:, 2, 1],
            )
        )

    def volume(self, points: Floats) -> float:
        """Enclosed by the whole, copies included; the mirror planes pass through the origin."""
        first, second, third = (points[:, each] for each in self.triangles.T)
        return self.copies * float((first * cross(second, third)).sum()) / 6

    def scaled(self, factor: float) -> "Problem":
        """The same problem in another length unit."""
        return replace(self, flat=self.flat * factor, start=self.start * factor)


@lru_cache(maxsize=8)
def _rings_of(triangles: bytes, count: int) -> Ints:
    """Kept: a bag whose sizes change is cut into the same triangles, of other lengths."""
    corners = np.frombuffer(triangles, dtype=np.int64).reshape(-1, 3)
    rings = _rings_round(int(_rings_round(0, corners, count).argmax()), corners, count)
    if int(rings.min()) < 0:
        raise ValueError("the sheet is not in one piece")
    rings.flags.writeable = False
    return rings


def _rings_round(middle: int, triangles: Ints, count: int) -> Ints:
    """(n,) how many triangles each vertex lies from one of them; -1 where none lead to it."""
    ring = np.full(count, -1, dtype=np.int64)
    ring[middle], reached = 0, 0
    while True:
        touched = triangles[(ring[triangles] == reached).any(axis=1)].ravel()
        fresh = touched[ring[touched] < 0]
        if len(fresh) == 0:
            return ring
        reached += 1
        ring[fresh] = reached


def cross(one: Floats, other: Floats) -> Floats:
    """Cross products of columns, (3, t); quicker than numpy's own on long rows."""
    (ax, ay, az), (bx, by, bz) = one, other
    return np.stack((ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx))


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
    corners = [grid_triangles(each.shape) for each in nodes]
    flat = []
    for patch, each, at in zip(quarter.patches, nodes, corners, strict=True):
        x, y = grid_points(quarter, patch, each)
        flat.append(np.stack((x[at], -y[at]), axis=2))
    return Mesh(
        quarter=quarter,
        counts=counts,
        nodes=nodes,
        triangles=np.concatenate([each[at] for each, at in zip(nodes, corners, strict=True)]),
        flat=np.concatenate(flat),
        patch_of=np.repeat(np.arange(len(flat)), [len(each) for each in flat]),
        count=count,
    )


def problem_of(mesh: Mesh) -> Problem:
    """A mesh as a sheet to be filled: what is held, and a rough shape to start from, mm."""
    quarter = mesh.quarter
    start = np.zeros((3, mesh.count))
    held = np.zeros_like(start, dtype=bool)
    for i, (patch, nodes) in enumerate(zip(quarter.patches, mesh.nodes, strict=True)):
        x, y = (each.ravel() for each in grid_points(quarter, patch, nodes))
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
            within = [
                each <= to
                for each, to in zip(grid_points(quarter, patch, nodes), patch.held_to, strict=True)
            ]
            held[:, nodes[within[0] & within[1]]] = True
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
