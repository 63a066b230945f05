"""How many cells a bag is filled with that closes flat over its bottom, and how they crowd.

The factors were measured (tests/bench/bench_fill.py) on bags of 60 to 600 mm in every size, with
a board and without, and pillows up to 1 x 5: they come within 0.5 % of the volume that ever finer
meshes tend to.
"""

import numpy as np

from core.space.patches import Crowding


def working_cells(base: float, corner: float, face: float, *, flat: bool) -> tuple[int, int, int]:
    """Cells along half of the base's width, half of its depth, and the face's height.

    A polygon of n equal sides encloses (pi / n)^2 / 3 less than the circle of the same
    girth, so what counts is the number of cells round the shortest way round the bag; along
    the length of a slim bag only its ends are curved, and the cells grow with the root of
    it. So each size has as many cells as the root of its share of that girth, times a
    factor. Walls that are all but taut over a board take some 2,000 vertices.

    Args:
        base, corner, face: those lengths, mm.
        flat: whether a board holds the base.
    """
    width, depth = 2 * base, 2 * corner
    taut = flat and is_taut(corner, face)
    # Level, upright, and round the ends of a bottom that is deeper than the face is high.
    girth = min(2 * (width + depth), depth + 2 * face, 2 * width + 4 * face)
    factors = _OF_TAUT_WALLS if taut else _factors(depth / face, flat=flat)
    counts = np.array(factors) * np.sqrt(np.array((width, depth, face)) / girth)
    in_base, in_corner, in_wall = counts.tolist()
    cells = in_base * in_corner + (in_base + in_corner) * in_wall
    counts *= min(1.0, ((_MOST_TAUT_CELLS if taut else _MOST_CELLS) / cells) ** 0.5)
    # The nearest even count.
    in_base, in_corner, in_wall = (max(_LEAST, 2 * round(count / 2)) for count in counts.tolist())
    return in_base, in_corner, in_wall


def square_cells(base: float, corner: float, face: float, *, flat: bool) -> tuple[int, int, int]:
    """As `working_cells`, of walls round a square base: narrow ones have more along the depth.

    With those of a boxed panel 101 x 388 mm with faces of 219 mm came up to 0.51 % low.
    """
    in_base, in_corner, in_wall = working_cells(base, corner, face, flat=flat)
    if not (flat and is_taut(corner, face)):
        more = float(np.interp(corner / base, *_MORE_OF_NARROW))
        in_corner = 2 * round(more * in_corner / 2)
    return in_base, in_corner, in_wall


def round_cells(base: float, corner: float, face: float, *, flat: bool) -> tuple[int, int, int]:
    """As `working_cells`, where the base is rounded or what is sewn round it is eased in.

    Chords cut off what lies in the arcs, so that it takes more cells, those of low bags in the
    base. Bags that are much deeper than high take more than the whole inverse pays for.

    Args:
        base, corner, face, flat: as there; taut walls over a board are told by `taut_round_cells`.
    """
    width, depth = 2 * base, 2 * corner
    deep = depth / face
    girth = min(2 * (width + depth), depth + 2 * face, 2 * width + 4 * face)
    factors = _from(_ROUND_OVER_A_BOARD if flat else _ROUND_FREE, deep)
    low, most = (_LOW_OVER_A_BOARD, _MOST_OVER_A_BOARD) if flat else (_LOW, _MOST_FREE)
    most = _MOST_LOW if deep > low else most
    shares = np.array(factors) * np.sqrt(np.array((width, depth, face)) / girth)
    for factor in np.geomspace(_MOST_TIMES, 0.3, 80).tolist():
        in_base, in_corner, in_wall = (
            max(_LEAST, 2 * round(factor * each / 2)) for each in shares.tolist()
        )
        free = (in_base + in_corner + 1) * in_wall
        if free + (0 if flat else (in_base + 1) * (in_corner + 1)) <= most:
            break
    return in_base, in_corner, in_wall


def taut_round_cells(corner: float, face: float) -> tuple[int, int, int]:
    """As `round_cells`, of walls that are taut over a board: the fewer, the more slack they have.

    They hang by where the base's straight sides end in arcs, for every shape and rounding.

    Args:
        corner, face: half of the base's depth, and the face's height.
    """
    slacks, shares = _SHARES_OF_TAUT
    share = float(np.interp(face / corner, slacks, shares))
    in_base, in_corner, in_wall = (2 * round(share * each / 2) for each in _TAUT_AND_ROUND)
    return in_base, in_corner, in_wall


def taut_round_crowds(
    straights: tuple[float, float], arc: float
) -> tuple[Crowding, Crowding, Crowding]:
    """How the cells there crowd towards the arcs, and the rows of the wall towards its ends.

    A base whose sides are straight for the most part has few even cells in its arcs, with which
    404 x 137 mm with arcs of 40 mm came 2.3 % low; one that is all arcs crowds nowhere.

    Args:
        straights: of half of the base's width, and of its depth.
        arc: half of a rounded corner, by its length.
    """
    width, depth = (
        Crowding(min(most, straight / (straight + arc)), from_middle=True)
        for most, straight in zip(_MOST_TOWARDS_ARCS, straights, strict=True)
    )
    return width, depth, Crowding(_MOST_CROWDED)


def is_taut(corner: float, face: float) -> bool:
    """Whether walls over a board have so little slack that few cells lose it."""
    return 2 * corner > _TAUT * face


def working_crowds(
    column: float, end: float, row: float, *, taut: bool
) -> tuple[Crowding, Crowding]:
    """How the cells along half of the base and along the face crowd towards its ends.

    A slim bag is a tube, straight between two round ends: there cells as long as they are wide
    are wanted, in the middle few will do. Over a board rows that are higher than their columns are
    wide lock at its straight edge besides. Of bags with next to no corner and faces of 1 x 10
    even cells came 0.6 % low, over a board 0.9 %; crowded ones, no more of them, 0.25 to 0.4 %.

    Args:
        column, end, row: length of an even cell along the base's width, along its end (0: there
            is none), and up the face, mm.
        taut: whether the walls are all but taut over a board.
    """
    in_wall = _least_crowding(row, max(column, end))
    in_base = 0.0 if taut else _least_crowding(column, max(row, end))
    return Crowding(in_base, from_middle=True), Crowding(in_wall)


def _least_crowding(length: float, wanted: float) -> float:
    """What makes cells of an even length as short at the ends as wanted, or nearly so."""
    return min(max(1.0 - wanted / length, 0.0), _MOST_CROWDED)


_MOST_CROWDED = 0.8
"""The cells in the middle are nine times as long then; beyond, the error grows again."""
_LEAST = 4
"""Along any size of a working mesh: with two a face has no middle that could bulge."""
_MOST_CELLS = 560
"""Of a working mesh's quarter: beyond, the whole inverse no longer pays (`fill_solve`)."""
_TAUT = 1.64
"""Gusset over face height above which few cells over a board lose what slack there is."""
_OF_TAUT_WALLS = (6.0, 45.0, 90.0)
"""Factors of base, corner and wall there: little bends across the base."""
_MOST_TAUT_CELLS = 2000
_TAUT_AND_ROUND = (26, 30, 44)
"""Cells of half the base's width, half its depth, and the wall, where the base is rounded."""
_SHARES_OF_TAUT = (1.06, 2 / _TAUT), (1.0, 0.75)
"""Face height over half of the base's depth, and how many of them there are there."""
_MOST_TOWARDS_ARCS = (0.65, 0.4)
"""Crowding of the cells of width and depth where arcs are next to nothing."""

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

_MORE_OF_NARROW = (2.0, 5.0), (1.0, 1.2)
"""The base's depth over its width, and how many times as many cells along the depth there."""

_ROUND_FREE = (
    (0.0, 24.0, 17.0, 42.0),
    (0.3, 20.0, 17.0, 40.0),
    (1.0, 18.0, 21.0, 40.0),
    (2.0, 19.0, 21.0, 32.0),
    (3.0, 20.0, 22.0, 25.0),
    (5.0, 20.0, 27.0, 20.0),
)
_ROUND_OVER_A_BOARD = (
    (0.0, 20.0, 12.0, 48.0),
    (0.3, 16.0, 13.0, 48.0),
    (1.0, 14.0, 18.0, 48.0),
    (1.64, 14.0, 22.0, 48.0),
)
"""The same where the base is rounded."""
_MOST_FREE, _MOST_OVER_A_BOARD, _MOST_LOW, _MOST_TIMES = 690, 560, 1300, 1.4
"""Vertices that nothing holds, fewer over a board, where a bag takes more steps to come to rest,
more for low ones, and how many times the factors at most."""
_LOW, _LOW_OVER_A_BOARD = 4.0, 1.2
"""Gusset over face height above which a bag is low."""


def _factors(deep: float, *, flat: bool) -> tuple[float, float, float]:
    """Of base, corner and wall; `deep` is the gusset over the face height.

    A bottom deeper than the face bends sharply where its ends rise. Over a board the wall's
    rows are kept lower than its columns are wide, or they lock at the board's straight edge.
    """
    return _from(_OVER_A_BOARD if flat else _FREE, deep)


def _from(
    steps: tuple[tuple[float, float, float, float], ...], deep: float
) -> tuple[float, float, float]:
    """Of a table, between its rows."""
    at, *factors = np.array(steps).T
    base, corner, wall = (float(np.interp(deep, at, each)) for each in factors)
    return base, corner, wall
