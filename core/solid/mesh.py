"""The closed wall as a mesh: flat quarters cut into triangles and sewn together.

Every quarter has the same grid, so what is sewn to what is a matter of grid places, and
vertices that a seam joins are one vertex from the start. Rest lengths stay the flat
lengths of each triangle, also where a longer edge is eased in to a shorter one.

Frame in space, mm: x across from the middle of the bag, y from front to back (the front
looks towards -y), z up.
"""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from core.solid.fill_problem import Floats, Ints
from core.solid.quarter import Quarter


class Symmetry(Enum):
    """How much of the bag is solved; mirror planes give the rest.

    The value lists the quarters: (side, face), right and front positive. The back comes
    first, so that what a mirror plane bounds is where x and y are positive.
    """

    QUARTER = ((1, -1),)
    HALF = ((1, -1), (1, 1))
    WHOLE = ((1, -1), (1, 1), (-1, -1), (-1, 1))

    @property
    def copies(self) -> int:
        """How many of it make the whole bag."""
        return 4 // len(self.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """How many cells a quarter has along each of its sizes.

    All are even: the diagonals alternate so that at each corner two of them meet. A
    corner that lies in one triangle alone would keep that triangle flat and lock.

    Attributes:
        base: from the middle to the end of the base.
        along, up: along the two edges of the corner seam: equal, or 0 where an edge has
            no length.
        wall: from the corner seam to the top fold.
    """

    base: int
    along: int
    up: int
    wall: int

    @property
    def columns(self) -> int:
        """Cells from the middle to the side seam."""
        return self.base + self.along

    @property
    def rows(self) -> int:
        """Cells from the bottom line to the top fold."""
        return self.up + self.wall


def choose_grid(quarter: Quarter, cell: float) -> Grid:
    """The grid whose cells are nearest to a size, mm."""
    corner = _even(max(quarter.corner_along, quarter.corner_up) / cell)
    return Grid(
        base=_even(quarter.base / cell),
        along=corner if quarter.corner_along > 0.0 else 0,
        up=corner if quarter.corner_up > 0.0 else 0,
        wall=_even(quarter.wall / cell),
    )


def working_grid(quarter: Quarter, *, rigid_base: bool) -> Grid:
    """The grid that a bag is filled with where no cell size is asked for.

    A polygon of n equal sides encloses (pi / n)^2 / 3 less than the circle of the same
    girth, so what counts is the number of cells round the shortest way round the bag; along
    the length of a slim bag only its ends are curved, and the cells grow with the root of
    it. So each size has as many cells as the root of its share of that girth, times a
    factor. The factors were measured (tests/bench/bench_fill.py): with them bags of 60 to
    600 mm in every size, with a board and without, and pillows up to 1 x 5 come within
    0.5 % of the volume that ever finer meshes tend to. Walls that are all but taut over a
    board take some 2,000 vertices for it.
    """
    base, depth, face = 2 * quarter.base, 2 * quarter.corner, quarter.wall
    taut = rigid_base and depth > _TAUT * face
    # Level, upright, and round the ends of a bottom that is deeper than the face is high.
    girth = min(2 * (base + depth), depth + 2 * face, 2 * base + 4 * face)
    factors = _OF_TAUT_WALLS if taut else _factors(depth / face, rigid_base=rigid_base)
    counts = np.array(factors) * np.sqrt(np.array((base, depth, face)) / girth)
    in_base, in_corner, in_wall = counts.tolist()
    cells = in_base * in_corner + (in_base + in_corner) * in_wall
    counts *= min(1.0, ((_MOST_TAUT_CELLS if taut else _MOST_CELLS) / cells) ** 0.5)
    in_base, in_corner, in_wall = (max(_LEAST_CELLS, _even(count)) for count in counts.tolist())
    return Grid(
        base=in_base,
        along=in_corner if quarter.corner_along > 0.0 else 0,
        up=in_corner if quarter.corner_up > 0.0 else 0,
        wall=in_wall,
    )


_LEAST_CELLS = 4
"""Along any size of a working mesh: with two a face has no middle that could bulge."""
_MOST_CELLS = 560
"""Of a working mesh's quarter: beyond, the whole inverse no longer pays (`fill_factor`)."""
_TAUT = 1.64
"""Gusset over face height above which few cells over a board lose what slack there is."""
_OF_TAUT_WALLS = (6.0, 45.0, 90.0)
"""Factors of base, corner and wall there: little bends across the base."""
_MOST_TAUT_CELLS = 2000


_FREE = (
    (0.0, 20.0, 14.0, 36.0),
    (0.2, 16.0, 14.0, 32.0),
    (1.0, 16.0, 14.0, 32.0),
    (2.0, 16.0, 20.0, 32.0),
)
_OVER_A_BOARD = (
    (0.0, 20.0, 11.0, 36.0),
    (0.2, 14.0, 11.0, 34.0),
    (0.5, 14.0, 11.0, 34.0),
    (1.0, 14.0, 14.0, 34.0),
    (1.5, 14.0, 20.0, 45.0),
)
"""Gusset over face height, and there the factors of base, corner and wall."""


def _factors(deep: float, *, rigid_base: bool) -> tuple[float, float, float]:
    """Of base, corner and wall; `deep` is the gusset over the face height.

    A bottom deeper than the face bends sharply where its ends rise. Over a board the wall's
    rows are kept lower than its columns are wide, or they lock at the board's straight edge.
    """
    steps = _OVER_A_BOARD if rigid_base else _FREE
    at, *factors = np.array(steps).T
    base, corner, wall = (float(np.interp(deep, at, each)) for each in factors)
    return base, corner, wall


def _even(cells: float) -> int:
    """The nearest even count, at least two."""
    return max(2, 2 * round(cells / 2))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mesh:
    """The triangles of the closed wall.

    Attributes:
        quarter: the flat sizes.
        grid: cells along them.
        symmetry: which quarters are there.
        places: (n, 4) the place of each vertex, seams followed to one place each: side
            (1 right, -1 left, 0 middle), face (1 front, -1 back, 0 both), column, row.
        triangles: (t, 3) vertices; seen from outside, counter-clockwise.
        flat: (t, 3, 2) their (x, u) on the sheet, mm, in the same turn; x from the
            middle, left and back negative.
    """

    quarter: Quarter
    grid: Grid
    symmetry: Symmetry
    places: Ints
    triangles: Ints
    flat: Floats

    @property
    def count(self) -> int:
        """How many vertices there are."""
        return len(self.places)


def build_mesh(quarter: Quarter, grid: Grid, *, symmetry: Symmetry = Symmetry.QUARTER) -> Mesh:
    """Cut the quarters into triangles and sew them."""
    cut = _cut(grid)
    across, up = lines(quarter, grid)
    flat_cut = np.stack((across[cut[..., 0]], up[cut[..., 1]]), axis=2)
    places: list[Ints] = []
    flat: list[Floats] = []
    for side, face in symmetry.value:
        # A mirrored quarter is seen from behind: turn its triangles round.
        turn = slice(None, None, 1 if side * face > 0 else -1)
        places.append(sewn(side, face, cut[:, turn], grid))
        flat.append(flat_cut[:, turn] * (side, face))
    together = np.concatenate(places)
    _, first, vertices = np.unique(
        place_numbers(together, grid).ravel(), return_index=True, return_inverse=True
    )
    return Mesh(
        quarter=quarter,
        grid=grid,
        symmetry=symmetry,
        places=together.reshape(-1, 4)[first],
        triangles=vertices.reshape(-1, 3).astype(np.int64),
        flat=np.concatenate(flat),
    )


def place_numbers(places: Ints, grid: Grid) -> Ints:
    """One number for each place (..., 4): equal for equal places."""
    side, face, column, row = np.moveaxis(places, -1, 0)
    quarters: Ints = ((side + 1) * 3 + face + 1) * (grid.columns + 1) + column
    numbers: Ints = quarters * (grid.rows + 1) + row
    return numbers


def lines(quarter: Quarter, grid: Grid) -> tuple[Floats, Floats]:
    """Flat x of each column from the middle, and u of each row from the bottom line, mm."""
    across = (
        np.linspace(0.0, quarter.base, grid.base + 1),
        np.linspace(quarter.base, quarter.half_opening, grid.along + 1)[1:],
    )
    up = (
        np.linspace(0.0, quarter.corner_up, grid.up + 1),
        np.linspace(quarter.corner_up, quarter.half_loop, grid.wall + 1)[1:],
    )
    return np.concatenate(across), np.concatenate(up)


def _cut(grid: Grid) -> Ints:
    """(t, 3, 2) column and row of the triangles' corners, a right front quarter."""
    columns, rows = np.meshgrid(np.arange(grid.columns), np.arange(grid.rows))
    cells = np.stack((columns.ravel(), rows.ravel()), axis=1)
    cells = cells[(cells[:, 0] < grid.base) | (cells[:, 1] >= grid.up)]
    near, right, far, above = (cells + step for step in ((0, 0), (1, 0), (1, 1), (0, 1)))
    even = (cells.sum(axis=1) % 2 == 0)[:, None]
    return np.concatenate(
        (
            np.stack((near, right, np.where(even, far, above)), axis=1),
            np.stack((np.where(even, near, right), far, above), axis=1),
        )
    )


def sewn(side: int, face: int, cut: Ints, grid: Grid) -> Ints:
    """(..., 4) the one place that each grid place of a quarter has once its seams are sewn."""
    column, row = cut[..., 0].copy(), cut[..., 1].copy()
    # The end of the base runs down while its mate runs out to the side seam; where one of
    # the two has no length the other is gathered to a point.
    end = (column == grid.base) & (row < grid.up)
    column[end] += (grid.up - row[end]) if grid.along else 0
    row[end] = grid.up
    if not grid.up:
        column[(row == 0) & (column > grid.base)] = grid.base
    shared = (row == 0) | (row == grid.rows) | (column == grid.columns)
    return np.stack(
        (np.where(column == 0, 0, side), np.where(shared, 0, face), column, row), axis=-1
    )
