"""The filled bag: the largest volume that its closed wall can enclose.

The wall is a sheet that wrinkles freely and does not stretch, without weight and
thickness, stuffed hard: groceries fill less. A base board keeps the base flat in the
size that the corner seams leave it; without a board the base hangs through.

What is left inside the thickness of the wall is in `core.solid.inner_body`.
"""

from dataclasses import dataclass

import numpy as np

from core.bag.bag import Bag, draft_walls
from core.base.sentences import Sentence
from core.base.tolerance import shorter
from core.solid.fill_problem import Cloth, Floats, Ints, principal_stretches
from core.solid.fill_solve import Progress, Solution, solve
from core.solid.fill_start import problem_of
from core.solid.fill_surface import locate, unfold
from core.solid.mesh import Grid, Mesh, Symmetry, build_mesh, choose_grid, working_grid
from core.solid.quarter import NotFillableError, Quarter, quarter_of
from core.solid.sheet import Sheet, lay_out

MOST_STRETCH = 0.005
"""Stretch above which a shape is not one that the sheet can take."""

_KEEP_GRID = 1.5
"""A warm start keeps its grid while its cells are within this factor of the size asked for."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Filled:
    """A filled bag. Its arrays cannot be written to.

    Frame, mm: x across from the middle of the bag, y from front to back (the front looks
    towards -y), z up from the ground.

    Attributes:
        bag: the bag that this answers.
        sheet: its closed wall laid flat; the frame of `flat` and of `at`.
        cloth: what its sheet allows.
        rigid_base: whether a board kept the base flat.
        positions: (n, 3) float array, mm; the whole bag.
        triangles: (t, 3) vertices; seen from outside, counter-clockwise.
        flat: (t, 3, 2) of each triangle's corners on the sheet (core.solid.sheet), mm: a
            vertex on a seam has another place on each side of it.
        shortening: (t,) smaller principal stretch: 1 is smooth, less is wrinkled away.
        volume: mm³.
        stretch: of the worst triangle, as a share of its flat length.
        iterations: how many it took.
        converged: whether the shape came to rest.
        mesh, solution: what was solved; a later bag starts from them.
    """

    bag: Bag
    sheet: Sheet
    cloth: Cloth
    rigid_base: bool
    positions: Floats
    triangles: Ints
    flat: Floats
    shortening: Floats
    volume: float
    stretch: float
    iterations: int
    converged: bool
    mesh: Mesh
    solution: Solution

    def at(self, points: Floats) -> Floats:
        """Where points of the sheet lie on the filled bag.

        Args:
            points: (k, 2) on the sheet, mm, in the frame of core.solid.sheet; any u, the
                loop is closed. A point in the corner cut goes to the nearest seam.

        Returns:
            (k, 3), mm.
        """
        middle = np.array((self.sheet.middle, 0.0))
        return locate(self.mesh, self.solution.points, points - middle)


def fill(
    bag: Bag,
    *,
    cloth: Cloth = Cloth.NO_STRETCH,
    cell: float | None = None,
    start: Filled | None = None,
    progress: Progress | None = None,
) -> Filled:
    """Fill a bag.

    Args:
        bag: with a zip.
        cloth: what the sheet allows.
        cell: size of the mesh, mm, > 0; None for a working mesh.
        start: an earlier answer to a bag nearly alike, to start from.
        progress: hears the share done; when it answers False, the work is given up.

    Raises:
        NotFillableError: the bag encloses no volume.
        FillCancelledError: the listener said to stop.
        ValueError: a cell that is not positive.
    """
    if cell is not None and not cell > 0.0:
        raise ValueError(f"the cell is {cell}: it must be more than 0")
    draft = draft_walls(bag)
    sheet = lay_out(bag, draft)
    quarter = quarter_of(bag, draft, sheet)
    rigid = _rigid_base(bag, quarter)
    wanted = choose_grid(quarter, cell) if cell else working_grid(quarter, rigid_base=rigid)
    grid = _grid(wanted, start)
    mesh = build_mesh(quarter, grid)
    problem = problem_of(mesh, rigid_base=rigid)
    warm = start.solution if start is not None and start.mesh.grid == grid else None
    solution = solve(problem, cloth=cloth, warm=warm, progress=progress)
    smaller = principal_stretches(problem.gradients(solution.points))[1]
    whole = build_mesh(quarter, grid, symmetry=Symmetry.WHOLE)
    filled = Filled(
        bag=bag,
        sheet=sheet,
        cloth=cloth,
        rigid_base=rigid,
        positions=unfold(mesh, whole, solution.points),
        triangles=whole.triangles,
        flat=whole.flat + np.array((sheet.middle, 0.0)),
        shortening=np.tile(smaller, len(Symmetry.WHOLE.value)),
        volume=solution.volume,
        stretch=solution.stretch,
        iterations=solution.steps,
        converged=solution.converged,
        mesh=mesh,
        solution=solution,
    )
    for array in (filled.positions, filled.triangles, filled.flat, filled.shortening):
        array.flags.writeable = False
    return filled


def _rigid_base(bag: Bag, quarter: Quarter) -> bool:
    """Whether a board keeps the base flat.

    Raises:
        NotFillableError: the walls do not reach over it, or only just.
    """
    if bag.board is None or quarter.board_depth == 0.0:
        return False
    if not quarter.closes_over_board:
        lengths = {"face": quarter.wall, "half": quarter.board_depth}
        raise NotFillableError(Sentence(_DOES_NOT_CLOSE, lengths))
    if shorter(quarter.wall, quarter.least_over_board):
        lengths = {"face": quarter.wall, "least": quarter.least_over_board}
        raise NotFillableError(Sentence(_HARDLY_CLOSES, lengths))
    return True


def _grid(wanted: Grid, start: Filled | None) -> Grid:
    """A new grid, or that of the start while it still does."""
    if start is None:
        return wanted
    kept = start.mesh.grid
    pairs = zip(
        (kept.base, kept.along, kept.up, kept.wall),
        (wanted.base, wanted.along, wanted.up, wanted.wall),
        strict=True,
    )
    for has, wants in pairs:
        near = has <= wants * _KEEP_GRID and wants <= has * _KEEP_GRID
        # Two cells more or less are the next even count, whatever share that is.
        if (has == 0) != (wants == 0) or not (near or abs(has - wants) <= 2):
            return wanted
    return kept


_DOES_NOT_CLOSE = (
    "The bag does not close over its base board: the face height is {face} "
    "and half of the base, front to back, {half}."
)
_HARDLY_CLOSES = (
    "The bag barely closes over its base board: the face height is {face}, and below "
    "{least} its volume cannot be worked out reliably."
)
