"""Clipping by half planes, against shapely's intersection."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon, box

from core.flat.geometry import clip_polygon, clip_segment

sizes = st.floats(-100.0, 100.0)
SQUARE = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
AREA = box(-1e4, -1e4, 1e4, 1e4)


def plane(turn: float, at: float) -> tuple[float, float, float]:
    return math.cos(turn), math.sin(turn), at


def half(turn: float, at: float) -> Polygon:
    """The half plane as a very large rectangle."""
    x, y = math.cos(turn), math.sin(turn)
    far = 1e4
    corners = [(at, -far), (at, far), (-far, far), (-far, -far)]
    return Polygon([(u * x - v * y, u * y + v * x) for u, v in corners])


@given(turn=st.floats(0.0, 6.28), at=st.floats(-20.0, 20.0))
def test_a_clipped_square_is_the_intersection(turn, at):
    kept = clip_polygon(SQUARE, [plane(turn, at)])
    expected = Polygon(SQUARE).intersection(half(turn, at)).area
    assert (Polygon(kept).area if kept else 0.0) == pytest.approx(expected, abs=1e-5)


@given(turn=st.floats(0.0, 6.28), at=st.floats(-20.0, 20.0), x=sizes, y=sizes)
def test_a_clipped_segment_is_the_intersection(turn, at, x, y):
    kept = clip_segment((1.0, 2.0), (x, y), [plane(turn, at)])
    expected = LineString([(1.0, 2.0), (x, y)]).intersection(half(turn, at)).length
    assert (math.dist(*kept) if kept else 0.0) == pytest.approx(expected, abs=1e-5)


def test_what_only_touches_is_nothing():
    assert clip_polygon(SQUARE, [(1.0, 0.0, 0.0)]) == []
    assert clip_polygon([], [(1.0, 0.0, 0.0)]) == []
    assert clip_segment((0.0, 0.0), (0.0, 0.0), []) is None


def test_what_lies_on_the_border_stays():
    assert clip_segment((0.0, 0.0), (0.0, 5.0), [(1.0, 0.0, 0.0)]) == ((0.0, 0.0), (0.0, 5.0))
