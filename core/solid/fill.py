"""The filled bag: the largest volume that its closed wall can enclose.

The wall is a sheet that wrinkles freely and does not stretch, without weight and
thickness, stuffed hard: groceries fill less. A base board keeps the base flat in the
size that the corner seams leave it; without a board the base hangs through.

What is left inside the thickness of the wall is in `core.solid.inner_body`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from core.bag.bag import Bag, draft_walls
from core.base.arrays import Floats, Ints
from core.base.progress import Progress
from core.flat.clip import HalfPlane
from core.flat.roles import Face, PieceId
from core.solid.fill_solve import Solution, solve
from core.solid.mesh import Mesh, build_mesh, grid_lines, problem_of

MOST_STRETCH = 0.005
"""Stretch above which a shape is not one that the sheet can take."""

_KEEP_COUNTS = 1.5
"""A warm start keeps its cells while they are within this factor of those asked for."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Filled:
    """A filled bag.

    Frame, mm: x across from the middle of the bag, y from front to back (the front looks
    towards -y), z up from the ground.

    Attributes:
        bag: the bag that this answers.
        mesh, solution: what was solved; a later bag starts from them.
    """

    bag: Bag
    mesh: Mesh
    solution: Solution

    @property
    def volume(self) -> float:
        """mm³."""
        return self.solution.volume

    @property
    def stretch(self) -> float:
        """Of the worst triangle, as a share of its flat length."""
        return self.solution.stretch

    @property
    def converged(self) -> bool:
        """Whether the shape came to rest."""
        return self.solution.converged

    def at(self, piece: PieceId, points: Floats) -> Floats:
        """Where points of a piece lie on the filled bag.

        Args:
            piece: one that the wall is made of.
            points: (k, 2) in its frame, mm; what lies beyond a stitch line goes to the nearest.

        Returns:
            (k, 3), mm.
        """
        copies = [each for each in self.mesh.quarter.copies if each.piece == piece]
        nearest = np.argmin([beyond(each.limits, points) for each in copies], axis=0)
        frames = np.array([each.frame for each in copies])[nearest]
        moved = frames[:, 0] + points[:, :1] * frames[:, 1] + points[:, 1:] * frames[:, 2]
        signs = np.array([(*each.signs, 1.0) for each in copies])[nearest]
        return np.asarray(self.on_quarter(moved) * signs)

    def on_quarter(self, points: Floats) -> Floats:
        """(k, 3) where points (k, 2) of the patches lie, x and y not negative, mm."""
        patches = self.mesh.quarter.patches
        onto = [np.clip(points, patch.low, patch.high) for patch in patches]
        away = [((each - points) ** 2).sum(axis=1) for each in onto]
        nearest = np.argmin(away, axis=0)
        standing = self.solution.points.T
        placed = np.zeros((len(points), 3))
        for i, patch in enumerate(patches):
            own = nearest == i
            if own.any():
                nodes = self.mesh.nodes[i]
                vertices, shares = _in_cells(nodes, *grid_lines(patch, nodes), onto[i][own])
                placed[own] = np.einsum("kc,kci->ki", shares, standing[vertices])
        placed[:, 2] -= standing[:, 2].min()
        return placed


def fill(
    bag: Bag,
    *,
    counts: Mapping[Enum, int] | None = None,
    start: Filled | None = None,
    progress: Progress | None = None,
) -> Filled:
    """Fill a bag.

    Args:
        bag: one that closes.
        counts: cells along the sizes of its quarter; None for a working mesh.
        start: an earlier answer to a bag nearly alike, to start from.
        progress: hears the share done; when it answers False, the work is given up.

    Raises:
        NotFillableError: the bag encloses no volume.
        FillCancelledError: the listener said to stop.
    """
    draft = draft_walls(bag)
    closing = bag.top.closing(draft)
    board = any(part.STIFFENS is Face.BASE for part in bag.parts.values())
    quarter = bag.body.quarter(draft, closing, board=board)
    counts = _kept(quarter.counts if counts is None else counts, start)
    mesh = build_mesh(quarter, counts)
    fits = start is not None and _alike(start.mesh, mesh)
    warm = start.solution if start is not None and fits else None
    return Filled(
        bag=bag, mesh=mesh, solution=solve(problem_of(mesh), warm=warm, progress=progress)
    )


def _kept(wanted: Mapping[Enum, int], start: Filled | None) -> Mapping[Enum, int]:
    """New counts, or those of the start while they still do."""
    if start is None:
        return wanted
    kept = start.mesh.counts
    if kept.keys() != wanted.keys():
        return wanted
    for size, wants in wanted.items():
        has = kept[size]
        near = has <= wants * _KEEP_COUNTS and wants <= has * _KEEP_COUNTS
        # Two cells more or less are the next even count, whatever share that is.
        if not (near or abs(has - wants) <= 2):
            return wanted
    return kept


def _alike(one: Mesh, other: Mesh) -> bool:
    """Whether two meshes have the same vertices, place by place."""
    return len(one.nodes) == len(other.nodes) and all(map(np.array_equal, one.nodes, other.nodes))


def beyond(planes: Sequence[HalfPlane], points: Floats) -> Floats:
    """(k,) how far points (k, 2) lie outside some half planes, mm; below 0 inside of all."""
    limits = np.array(planes)
    return np.asarray((points @ limits[:, :2].T - limits[:, 2]).max(axis=1))


def _in_cells(nodes: Ints, across: Floats, up: Floats, points: Floats) -> tuple[Ints, Floats]:
    """The four corners (k, 4) of each point's cell, and the share that each has of the point.

    The shares run straight across each of the cell's two triangles.
    """
    column, s = _cell(across, points[:, 0])
    row, t = _cell(up, points[:, 1])
    corners = np.stack(
        (
            nodes[row, column],
            nodes[row, column + 1],
            nodes[row + 1, column + 1],
            nodes[row + 1, column],
        ),
        axis=1,
    )
    nought = np.zeros_like(s)
    rising = np.stack(
        (1 - np.maximum(s, t), np.maximum(s - t, 0), np.minimum(s, t), np.maximum(t - s, 0)), axis=1
    )
    low = np.stack((1 - s - t, s, nought, t), axis=1)
    high = np.stack((nought, 1 - t, s + t - 1, 1 - s), axis=1)
    falling = np.where((s + t <= 1.0)[:, None], low, high)
    even = ((column + row) % 2 == 0)[:, None]
    return corners, np.where(even, rising, falling)


def _cell(borders: Floats, values: Floats) -> tuple[Ints, Floats]:
    """Which cell each value lies in, and how far through it, 0 to 1."""
    index = np.clip(np.searchsorted(borders, values, side="right") - 1, 0, len(borders) - 2)
    start, end = borders[index], borders[index + 1]
    return index, (values - start) / (end - start)
