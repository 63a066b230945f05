"""What is clearly sound without a judge, shapely finds sound too."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.bag import Bag
from core.compute import compute
from core.flat import soundness
from core.flat.piece import Piece, Point, edge_between
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
        edge_between(str(place), start, end, allowance=allowances[place])
        for place, (start, end) in enumerate(around)
    )
    return Piece(name="piece", part="test", edges=edges)


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
            replace(piece, edges=tuple(replace(each, allowance=by / 4) for each, by in edges))
        )


@given(CORNERS, ALLOWANCES)
def test_outlines_that_wind_and_cross_anyhow(
    corners: list[tuple[int, int]], allowances: list[int]
) -> None:
    assert agrees(
        piece_of([(float(x), float(y)) for x, y in corners], [a / 40 for a in allowances])
    )


def test_the_demo_bag_needs_no_judge(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(piece: Piece, corners: tuple[Point, ...]) -> bool:
        raise AssertionError(f"{piece.name} is not clearly sound")

    monkeypatch.setattr(soundness, "_judged_sound", refuse)
    assert not [each for each in compute(demo()).findings if each.code == "stitch-lines-cross"]


def test_stitch_lines_that_have_crossed_in_a_neck_are_not_sound() -> None:
    """Every line of this H runs forwards, but those of its bar have passed one another."""
    corners = [(0, 0), (9, 0), (9, 4), (21, 4), (21, 0), (30, 0)]
    corners += [(30, 10), (21, 10), (21, 6), (9, 6), (9, 10), (0, 10)]
    points = [(float(x), float(y)) for x, y in corners]
    stitch = stitch_outline(piece_of(points, [1.5] * len(points)))
    assert all(stitch.length(edge.name) > 0 for edge in stitch.piece.edges)
    assert not stitch.sound
    assert stitch_outline(piece_of(points, [0.5] * len(points))).sound
