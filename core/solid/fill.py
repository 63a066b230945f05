"""The filled bag: the largest volume that its closed wall can enclose.

The wall is a sheet that wrinkles freely and does not stretch, without weight and
thickness, stuffed hard: groceries fill less. A base board keeps the base flat in the
size that the corner seams leave it; without a board the base hangs through.

What is left inside the thickness of the wall is in `core.solid.inner_body`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from core.bag.bag import Bag, draft_walls
from core.base.arrays import Floats, beyond, placed, table
from core.base.progress import Progress
from core.flat.roles import Face, PieceId
from core.solid.fill_problem import Mesh, build_mesh, problem_of
from core.solid.fill_solve import Solution, solve
from core.solid.patch_grid import in_cells, onto_patch

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

    def at(self, piece: PieceId, points: Floats) -> Floats:
        """(k, 3) where points of a piece of the wall lie on the filled bag, mm.

        `points` are (k, 2) in its frame, mm; what lies beyond a stitch line goes to the nearest.
        """
        copies = [each for each in self.mesh.quarter.copies if each.piece == piece]
        nearest = beyond(table([each.limits for each in copies]), points).argmin(axis=0)
        moved = placed(np.array([each.frame for each in copies])[nearest], points)
        signs = np.array([(*each.signs, 1.0) for each in copies])[nearest]
        return np.asarray(self.on_quarter(moved) * signs)

    def on_quarter(self, points: Floats) -> Floats:
        """(k, 3) where points (k, 2) of the patches lie, x and y not negative, mm."""
        quarter = self.mesh.quarter
        patches = quarter.patches
        onto = [onto_patch(patch, points) for patch in patches]
        gone = np.array(onto) - points
        nearest = np.einsum("pki,pki->pk", gone, gone).argmin(axis=0)
        standing = self.solution.points
        found = np.zeros((3, len(points)))
        for i, patch in enumerate(patches):
            own = nearest == i
            if own.any():
                vertices, shares = in_cells(quarter, patch, self.mesh.nodes[i], onto[i][own])
                found[:, own] = (shares * standing[:, vertices]).sum(axis=1)
        found[2] -= standing[2].min()
        return found.T


def fill(
    bag: Bag,
    *,
    counts: Mapping[Enum, int] | None = None,
    start: Filled | None = None,
    progress: Progress | None = None,
) -> Filled:
    """Fill a bag; one that encloses no volume is a NotFillableError.

    Args:
        bag: as it is sewn.
        counts: cells along the sizes of its quarter; None for a working mesh.
        start: an earlier answer to a bag nearly alike, to start from.
        progress: hears the share done; when it answers False, FillCancelledError is raised.
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
