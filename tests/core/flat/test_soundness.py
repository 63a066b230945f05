"""What is clearly sound without a judge, shapely finds sound too."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.tolerance import LENGTH_TOLERANCE
from core.flat import stitch as soundness
from core.flat.piece import Piece, Point, edge_between
from core.flat.roles import EdgeId, EdgeRole, PieceId, PieceRole
from core.flat.stitch import stitch_outline
from tests.helpers import demo
from tests.strategies import bags

ALLOWANCES = st.lists(st.integers(0, 400), min_size=40, max_size=40)
CORNERS = st.lists(
    st.tuples(st.integers(0, 30), st.integers(0, 30)), min_size=3, max_size=9, unique=True
)


def piece_of(corners: list[Point], allowances: list[float]) -> Piece:
    around = pairwise([*corners, corners[0]])
    edges = tuple(
        edge_between(EdgeId(EdgeRole.RIM, number=place), start, end, allowance=allowances[place])
        for place, (start, end) in enumerate(around)
    )
    return Piece(id=PieceId("body", PieceRole.WALL), label="piece", edges=edges)


def agrees(piece: Piece) -> bool:
    """Whether nothing is called clearly sound that shapely does not find sound."""
    try:
        stitch = stitch_outline(piece)
    except ValueError:
        return True  # parallel neighbours
    clearly = soundness._clearly_sound(piece, stitch.corners)
    return not clearly or soundness._judged_sound(piece, stitch.corners)


@given(bags(), ALLOWANCES)
def test_pieces_of_any_bag_with_any_allowances(bag: Bag, allowances: list[int]) -> None:
    for piece in compute(bag).draft.pieces:
        edges = zip(piece.edges, allowances, strict=False)
        assert agrees(
            replace(piece, edges=tuple(each._replace(allowance=by / 4) for each, by in edges))
        )


@given(CORNERS, ALLOWANCES)
def test_outlines_that_wind_and_cross_anyhow(
    corners: list[tuple[int, int]], allowances: list[int]
) -> None:
    assert agrees(
        piece_of([(float(x), float(y)) for x, y in corners], [a / 40 for a in allowances])
    )


@pytest.mark.parametrize("deep", [20.0, 48.0])
def test_a_hollow_edge_makes_a_piece_that_is_not_convex(deep: float) -> None:
    """Though each corner turns left: a deep hollow's stitch line would cross the one above."""
    piece = piece_of([(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)], [4.0] * 4)
    hollow = piece.edges[0]._replace(turn=-4 * math.atan(deep / 50))
    piece = replace(piece, edges=(hollow, *piece.edges[1:]))
    corners = [edge.start for edge in piece.edges]
    assert hollow.point_at(0.5) == pytest.approx((50.0, deep))
    assert not soundness._is_convex(piece)
    inside = [(4.0, 4.0), (96.0, 4.0), (96.0, 46.0), (4.0, 46.0)]
    assert soundness.is_sound(piece, inside) is (deep < 40)
    assert soundness.is_sound(piece, corners) is True


@pytest.mark.parametrize("spin", range(6))
@pytest.mark.parametrize("turn", [0.0, 0.6])
def test_an_outline_that_winds_twice_is_not_convex(turn: float, spin: int) -> None:
    """A star of five points, drawn in one line: it turns left at every corner and along arcs."""
    angles = [spin + 0.8 * math.pi * point for point in range(5)]
    points = [(math.cos(each), math.sin(each)) for each in angles]
    star = piece_of([(100 * x, 100 * y) for x, y in points], [2.0] * 5)
    assert not soundness._is_convex(
        replace(star, edges=tuple(each._replace(turn=turn) for each in star.edges))
    )


@pytest.mark.parametrize("heading", [(1, 0), (0, 1), (-1, 0), (0, -1)])
@pytest.mark.parametrize(("gap", "clear"), [(0.5, False), (3.0, True)])
def test_lines_are_apart_by_more_than_the_tolerance_on_every_side(
    heading: Point, gap: float, clear: bool
) -> None:
    """A line that runs up to another at right angles, and stops before it."""
    (x, y), end = heading, 10.0 + gap * LENGTH_TOLERANCE
    line = ((0.0, 0.0), (10.0 * x, 10.0 * y))
    across = ((end * x - 5 * y, end * y + 5 * x), (end * x + 5 * y, end * y - 5 * x))
    for one, other in ((line, across), (across, line)):
        assert soundness._clear_of(soundness._boxed(one), [soundness._boxed(other)]) is clear


def test_the_demo_bag_needs_no_judge(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(piece: Piece, corners: tuple[Point, ...]) -> bool:
        raise AssertionError(f"{piece.label} is not clearly sound")

    monkeypatch.setattr(soundness, "_judged_sound", refuse)
    assert not [each for each in compute(demo()).findings if each.code == "stitch-lines-cross"]


def test_stitch_lines_that_have_crossed_in_a_neck_are_not_sound() -> None:
    """Every line of this H runs forwards, but those of its bar have passed one another."""
    corners = [(0, 0), (9, 0), (9, 4), (21, 4), (21, 0), (30, 0)]
    corners += [(30, 10), (21, 10), (21, 6), (9, 6), (9, 10), (0, 10)]
    points = [(float(x), float(y)) for x, y in corners]
    stitch = stitch_outline(piece_of(points, [1.5] * len(points)))
    assert all(stitch.length(edge.id) > 0 for edge in stitch.piece.edges)
    assert not stitch.sound
    assert stitch_outline(piece_of(points, [0.5] * len(points))).sound


LYING_H = [
    *((0, 0), (9, 0), (9, 4), (21, 4), (21, 0), (30, 0)),
    *((30, 10), (21, 10), (21, 6), (9, 6), (9, 10), (0, 10)),
]

NOTCHED = [(0, 0), (4, 0), (4, 8), (6, 8), (6, 0), (10, 0), (10, 10), (0, 10)]

UNSOUND = [
    # The end of a notch has just met the line across from it.
    (NOTCHED, [1.0] * 8),
    ([(-y, x) for x, y in NOTCHED], [1.0] * 8),
    # The two lines of the bar have just met.
    (LYING_H, [1.0] * 12),
    ([(-y, x) for x, y in LYING_H], [1.0] * 12),
    # The lines of a notch meet below the line that comes up from the bottom, far from any cut.
    ([(0, 0), (20, 0), (20, 20), (11, 20), (10, 2), (9, 20), (0, 20)], [1.9] + [0.05] * 6),
    ([(11, 12), (7, 3), (7, 7), (9, 7)], [0.1, 0.1, 0.1, 0.1]),
    ([(23, 7), (10, 0), (16, 13), (24, 9)], [1.5, 1.5, 1.5, 1.5]),
    (
        [(-8.09, -5.878), (10.0, 0.0), (-8.09, 5.878), (3.09, -9.511), (3.09, 9.511)],
        [1.2, 1.2, 1.2, 1.2, 1.2],
    ),
    ([(9, 5), (4, 5), (6, 3)], [2, 2, 2]),
    ([(8, 2), (9, 8), (2, 10), (5, 10), (5, 4)], [0.25, 3, 1.5, 0.5, 1]),
    ([(0, 7), (1, 9), (1, 2)], [0, 0.5, 0]),
    ([(25, 12), (6, 22), (13, 19), (2, 30)], [1, 0, 1, 0]),
    ([(7, 3), (7, 12), (11, 9), (7, 2)], [2, 2, 2, 2]),
    ([(29, 13), (16, 12), (13, 13), (4, 10), (18, 8)], [2, 2, 2, 2, 2]),
    ([(8, 10), (10, 3), (6, 11)], [1, 1, 1]),
    ([(30, 19), (3, 7), (1, 0), (26, 14)], [1.5, 0.25, 3, 1.5]),
    ([(2, 2), (12, 9), (4, 10), (0, 0)], [1, 1, 2, 1.5]),
    ([(4, 1), (9, 12), (4, 5), (7, 11)], [0.25, 0.5, 0.5, 0.5]),
    ([(2, 11), (6, 1), (5, 0), (8, 11)], [1, 0.5, 2, 1]),
    ([(21, 10), (21, 14), (6, 17), (4, 24)], [0.1, 0.1, 0.1, 0.1]),
    ([(8, 25), (3, 17), (13, 10), (7, 12)], [1, 1, 1, 1]),
    ([(21, 17), (30, 21), (4, 25), (11, 28), (28, 4)], [3, 3, 0.5, 1, 1]),
    ([(6, 0), (7, 11), (10, 8), (0, 11), (1, 1)], [1, 1, 1, 1, 1]),
    ([(15, 29), (21, 4), (15, 13), (5, 29), (30, 13)], [0.5, 0.5, 0.5, 0.5, 0.5]),
    ([(4, 5), (0, 0), (10, 0), (6, 5), (10, 10), (0, 10)], [0.8, 0.8, 0.8, 0.8, 0.8, 0.8]),
]
"""(corners, allowances): found at random, each called clearly sound by another slip in the code."""

CLEAR = [
    ([(3, 12), (0, 4), (8, 3), (12, 1)], [0.25, 1.5, 0.25, 0.25]),
    ([(19, 15), (20, 24), (5, 7), (16, 9)], [0.25, 1.5, 0, 2]),
    ([(19, 29), (15, 25), (3, 21), (12, 17)], [0, 1, 1, 1.5]),
    ([(0, 0), (9, 0), (9, 4), (21, 4), (21, 0), (30, 0), (30, 10), (0, 10)], [0.5] * 8),
    ([(0, 0), (10, 0), (6, 5), (10, 10), (0, 10), (4, 5)], [0.2] * 6),
]
"""The same for some that need no judge."""


@pytest.mark.parametrize(("corners", "allowances"), UNSOUND)
def test_outlines_that_look_sound_are_not_called_so(
    corners: list[tuple[float, float]], allowances: list[float]
) -> None:
    piece = piece_of([(float(x), float(y)) for x, y in corners], allowances)
    stitch = stitch_outline(piece)
    assert not soundness._judged_sound(piece, stitch.corners)
    assert not soundness._clearly_sound(piece, stitch.corners)
    assert not stitch.sound


@pytest.mark.parametrize(("corners", "allowances"), CLEAR)
def test_a_judge_is_asked_only_where_it_is_not_clear(
    corners: list[tuple[float, float]], allowances: list[float]
) -> None:
    """Shapely takes longer to load than a window to open, and the window draws such pieces."""
    around = len(corners)
    for first in range(around):
        turned = [*corners[first:], *corners[:first]]
        piece = piece_of(
            [(float(x), float(y)) for x, y in turned], [*allowances[first:], *allowances[:first]]
        )
        assert soundness._clearly_sound(piece, stitch_outline(piece).corners)


def test_what_is_not_clear_is_judged() -> None:
    """Without an allowance the stitch lines lie on the cut line: not clear, and sound."""
    corners = [(0.0, 0.0), (9.0, 0.0), (9.0, 4.0), (5.0, 4.0), (5.0, 9.0), (0.0, 9.0)]
    stitch = stitch_outline(piece_of(corners, [0.0] * 6))
    assert not soundness._clearly_sound(stitch.piece, stitch.corners)
    assert stitch.sound


@pytest.mark.parametrize("allowance", [0.0, 1.0])
def test_the_judge_knows_what_is_simple_wound_rightly_and_inside(allowance: float) -> None:
    square = piece_of([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)], [allowance] * 4)
    within = [(2.0, 2.0), (8.0, 2.0), (8.0, 8.0), (2.0, 8.0)]
    judged = soundness._judged_sound
    assert judged(square, within)
    assert judged(square, list(square.outline))
    assert not judged(square, within[::-1])
    assert not judged(square, [within[0], within[2], within[1], within[3]])
    assert not judged(square, [(2.0, 2.0), (10.01, 2.0), (8.0, 8.0), (2.0, 8.0)])
    # What rounding leaves beyond the cut line lies on it still.
    assert judged(square, [(0.0, 0.0), (10.0 + 1e-9, 0.0), (10.0 + 1e-9, 10.0), (0.0, 10.0)])
