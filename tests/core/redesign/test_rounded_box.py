"""Boxes with rounded corners over polytopes: against brute force, scipy and shapely."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import minimize
from shapely import box

from core.model.record import corner_area
from core.redesign.convex import Polytope
from core.redesign.rounded_box import RoundedBox
from core.redesign.two_volumes import Volume, other_extent, volume_curve
from tests.core.redesign.test_polytope import lies_among

SHARE = 2 - math.pi / 2


def plain(count: int, scale: float = 1.0) -> RoundedBox:
    """Three sides and so many radii, each an unknown of its own."""
    every = np.eye(3 + count)
    return RoundedBox(every[:3], np.zeros(3), every[3:], np.zeros(count), scale)


def volume(point: np.ndarray) -> float:
    a, b, c = point[:3]
    area = a * b - SHARE * sum(max(radius, 0.0) ** 2 for radius in point[3:])
    return max(area, 0.0) * c


@pytest.mark.parametrize("radius", [0.0, 1.0, 12.5, 40.0])
def test_two_corners_take_off_what_a_drawn_outline_lacks(radius: float) -> None:
    """Against shapely: a rectangle rounded at all four corners, which are two and two."""
    drawn = box(radius, radius, 300 - radius, 200 - radius).buffer(radius, quad_segs=2000).area
    assert 300 * 200 - 2 * corner_area(radius) == pytest.approx(drawn, abs=1e-3)
    assert corner_area(-radius) == 0.0


def points_of(seed: int) -> np.ndarray:
    """Corners (c, 3 + k) of sides and radii, some of them of square corners, some of one side."""
    chance = np.random.default_rng(seed)
    count = int(chance.integers(1, 3))
    points = chance.uniform(60, 300, (int(chance.integers(2, 24)), 3 + count))
    points[:, 3:] = chance.uniform(-30, 60, (len(points), count))
    if seed % 4 == 1:
        points[:, int(chance.integers(0, 3))] = 120.0
    if seed % 5 == 2:
        points[:, 3:] = 25.0
    return points


@pytest.mark.parametrize("seed", range(40))
def test_least_and_most_over_a_polytope(seed: int) -> None:
    """No place among the corners is beyond them, and no corner lies uphill of the most."""
    points = points_of(seed)
    figure = plain(points.shape[1] - 3)
    extent = figure.extent(points)
    assert extent.low == pytest.approx(min(map(volume, points)), rel=1e-12)
    assert volume(extent.at_low) == pytest.approx(extent.low)
    assert volume(extent.at_high) == pytest.approx(extent.high)
    chance = np.random.default_rng(seed)
    for sharp in (0.2, 1.0):
        shares = chance.dirichlet(np.full(len(points), sharp), 300)
        tried = [volume(each) for each in shares @ points]
        assert extent.low * (1 - 1e-12) <= min(tried)
        assert max(tried) <= extent.high * (1 + 1e-12)
    uphill = _slopes(extent.at_high) / extent.high
    assert ((points - extent.at_high) @ uphill).max() <= 1e-6


def _slopes(point: np.ndarray) -> np.ndarray:
    """By differences of the closed formula."""
    steps = np.eye(len(point)) * 1e-4
    return np.array([(volume(point + each) - volume(point - each)) / 2e-4 for each in steps])


@pytest.mark.parametrize("seed", range(12))
def test_the_most_is_that_of_scipy(seed: int) -> None:
    points = points_of(seed)
    extent = plain(points.shape[1] - 3).extent(points)
    shares = np.full(len(points), 1 / len(points))
    found = minimize(
        lambda share: -np.log(volume(share @ points)), shares, method="SLSQP",
        bounds=[(0, 1)] * len(points), options={"maxiter": 500, "ftol": 1e-12},
        constraints={"type": "eq", "fun": lambda share: share.sum() - 1},
    )  # fmt: skip
    share = np.maximum(found.x, 0.0)
    told = volume(share / share.sum() @ points)
    assert told * (1 - 1e-9) <= extent.high <= told * (1 + 1e-4)


def test_slopes_are_those_of_the_formula() -> None:
    chance = np.random.default_rng(2)
    for _ in range(30):
        slopes, bases = chance.uniform(-1, 1, (3, 4)), chance.uniform(150, 300, 3)
        figure = RoundedBox(
            slopes, bases, chance.uniform(-1, 1, (2, 4)), chance.uniform(-30, 50, 2), 7.0
        )
        x = chance.uniform(-20, 20, 4)
        steps = np.eye(4) * 1e-4
        told = [(figure.at(x + each) - figure.at(x - each)) / 2e-4 for each in steps]
        assert figure.gradient(x) == pytest.approx(told, rel=1e-6, abs=1e-3)


def test_where_every_corner_has_lost_a_side_or_all_of_its_area() -> None:
    """4 s (1 - s) 25 is most in the middle, less what the corners take off there."""
    figure = plain(1)
    corners = np.array([[10.0, 0.0, 4.0, 0.0], [0.0, 10.0, 4.0, 0.0]])
    assert figure.extent(corners).high == pytest.approx(100.0)
    rounded = corners + np.array([0.0, 0.0, 0.0, 3.0])
    assert figure.extent(rounded).high == pytest.approx(4 * (25.0 - SHARE * 9.0))
    # A circle's square is all gone where its radius is as large as its side.
    gone = np.array([[10.0, 10.0, 5.0, 40.0], [10.0, 10.0, 5.0, 30.0]])
    extent = figure.extent(gone)
    assert (extent.low, extent.high) == (0.0, 0.0)


def bodies(seed: int) -> tuple[Polytope, Volume, Volume]:
    """A polytope of sides, and two volumes of one place of it; its corners never change."""
    chance = np.random.default_rng(seed)
    radius = float(chance.uniform(20, 60))
    wall = chance.choice([4.0, 7.0, 30.0])
    # As a strip's bag has them, which is as thick at its top as at its bottom or open there.
    walls = np.array([[2, 2, 2], [2, 1, 2], [2, 2, 1]][seed % 3]) * wall
    low, high = chance.uniform(150, 200, 3), chance.uniform(220, 320, 3)
    polytope = Polytope.box(low, high).above(
        np.array([-1.0, -1.0, 0.0]), -float(sum(high[:2]) - 30)
    )
    if seed % 4 == 3:  # flat
        polytope = polytope.where(
            np.array([1.0, -1.0, 0.5]), float(low[0] - low[1] + low[2] / 2 + 20)
        )
    every = np.eye(3)
    fixed = np.zeros((1, 3))
    outside = RoundedBox(every, np.zeros(3), fixed, np.array([radius]), 1e6)
    inside = RoundedBox(every, -walls, fixed, np.array([radius - wall]), 1e6)
    shares = chance.dirichlet(np.ones(len(polytope.corners)))
    x = shares @ polytope.corners
    taken = [SHARE * max(each, 0.0) ** 2 for each in (radius, radius - wall)]
    return (
        polytope,
        Volume(outside, outside.at(x), taken[0]),
        Volume(inside, inside.at(x), taken[1]),
    )


@pytest.mark.parametrize("seed", range(16))
def test_both_volumes_are_met_along_their_curve(seed: int) -> None:
    """A place that has them lies on it, whatever the walls in each side, and all of it has them."""
    polytope, outside, inside = bodies(seed)
    stretches = volume_curve(polytope, outside, inside)
    assert stretches
    for stretch in stretches:
        for place in stretch.places(5)[1:-1] or stretch.places(1):
            for x in stretch.cut(place):
                assert outside.box.at(x) == pytest.approx(outside.litres, rel=1e-7)
                assert inside.box.at(x) == pytest.approx(inside.litres, rel=1e-7)


@pytest.mark.parametrize("seed", range(8))
def test_both_volumes_on_a_line_of_sides(seed: int) -> None:
    """The place of the line that has them, and no other."""
    _, outside, inside = bodies(seed)
    chance = np.random.default_rng(seed)
    one, other = chance.uniform(150, 300, (2, 3))
    line = Polytope.box(np.zeros(1), np.ones(1))
    way, share = (other - one)[:, None], float(chance.uniform(0.1, 0.9))
    asked = []
    for known in (outside, inside):
        made = replace(
            known.box, slopes=way, bases=one + known.box.bases, round_slopes=np.zeros((1, 1))
        )
        asked.append(Volume(made, made.at(np.array([share])), known.taken))
    places = [x for stretch in volume_curve(line, *asked) for x in stretch.cut(stretch.low)]
    assert any(place == pytest.approx(share, abs=1e-6) for place in np.ravel(places))
    for place in places:
        assert [each.box.at(place) for each in asked] == pytest.approx(
            [each.litres for each in asked], rel=1e-7
        )


@pytest.mark.parametrize("seed", [0, 1, 2, 4, 5])
def test_what_one_volume_comes_to_beside_the_other(seed: int) -> None:
    """Against scipy from several places."""
    polytope, outside, inside = bodies(seed)
    for known, other in ((outside, inside), (inside, outside)):
        extent = other_extent(polytope, known, other)
        assert extent is not None
        ends = ((1.0, extent.low, extent.at_low), (-1.0, extent.high, extent.at_high))
        for sign, told, at in ends:
            # Scipy may stop short of an end; what is told is reached.
            assert sign * told <= sign * end_of(polytope.corners, known, other, sign) + 2e-4
            assert known.box.at(at) == pytest.approx(known.litres, abs=1e-6)
            assert other.box.at(at) == pytest.approx(told, abs=1e-6)
            assert lies_among(at, polytope.corners)


def end_of(corners: np.ndarray, known: Volume, other: Volume, sign: float) -> float:
    """The least of a volume, or by the sign -1 the most, where another is exact, litres."""
    chance, ends = np.random.default_rng(5), []
    for _ in range(5):
        found = minimize(
            lambda share: sign * other.box.at(share @ corners),
            chance.dirichlet(np.ones(len(corners))), method="SLSQP",
            bounds=[(0, 1)] * len(corners), options={"maxiter": 300, "ftol": 1e-12},
            constraints=[
                {"type": "eq", "fun": lambda share: share.sum() - 1},
                {"type": "eq", "fun": lambda share: known.box.at(share @ corners) - known.litres},
            ],
        )  # fmt: skip
        if abs(known.box.at(found.x @ corners) - known.litres) < 1e-6:
            ends.append(found.fun)
    return sign * min(ends)


def test_places_of_a_stretch_lie_in_order() -> None:
    """As a walk along one takes them."""
    polytope, outside, inside = bodies(0)
    for stretch in volume_curve(polytope, outside, inside):
        assert all(one < other for one, other in pairwise(stretch.places(5)))
