"""Corners against every way in which limits meet, extents against what makes a most the most.

A figure that is concave (a drop, the logarithm of a volume) is largest at x just where no corner
lies uphill: slopes(x) . (corner - x) <= 0 for each of them (Boyd and Vandenberghe, Convex
Optimization, 2004, 4.2.3). So an answer is judged without another search.
"""

import itertools

import numpy as np
import pytest
from scipy.optimize import nnls

from core.redesign.convex import Linear, Polytope, Product, Taut, quadratic_roots


def met(slopes, bounds, equal):
    """Corners of what lies where S x >= b, and = b for those marked, by all ways to meet."""
    size, found = slopes.shape[1], []
    for rows in itertools.combinations(range(len(slopes)), size):
        square = slopes[list(rows)]
        if abs(np.linalg.det(square)) < 1e-9:
            continue
        corner = np.linalg.solve(square, bounds[list(rows)])
        over = slopes @ corner - bounds
        if np.all(over >= -1e-7) and np.all(np.abs(over[equal]) <= 1e-7):
            found.append(corner)
    return {tuple(np.round(each, 6) + 0.0) for each in found}


def cut_box(seed, unit=1.0):
    """A box and four cuts of small whole numbers of units, so that many meet in one corner."""
    chance, size = np.random.default_rng(seed), 3
    low = unit * chance.integers(-3, 1, size)
    high = low + unit * chance.integers(0 if seed % 3 == 0 else 1, 5, size)
    slopes, bounds = [*np.eye(size), *-np.eye(size)], [*low, *-high]
    equal = [False] * (2 * size)
    polytope = Polytope.box(low, high)
    for place in range(4):
        slope, bound = chance.integers(-2, 3, size).astype(float), unit * chance.integers(-4, 2)
        exact = place == 3 and seed % 2 == 0
        polytope = (polytope.where if exact else polytope.above)(slope, bound)
        slopes.append(slope)
        bounds.append(bound)
        equal.append(exact)
    return polytope, np.array(slopes), np.array(bounds), np.array(equal)


@pytest.mark.parametrize("unit", [1.0, 25.4 / 3])
def test_corners_are_where_the_limits_meet(unit):
    """In thirds of an inch no sum is exact, and what meets in one corner meets there still."""
    counts = set()
    for seed in range(80):
        polytope, slopes, bounds, equal = cut_box(seed, unit)
        wanted = met(slopes, bounds, equal)
        assert {tuple(np.round(each, 6) + 0.0) for each in polytope.corners} == wanted, seed
        assert len(polytope.corners) == len(wanted), seed
        counts.add(len(wanted))
    assert {0, 1, 2, 4} < counts


def test_a_box_that_ends_before_it_begins_holds_nothing():
    assert len(Polytope.box(np.array([0.0, 1.0]), np.array([1.0, 0.5])).corners) == 0
    thin = Polytope.box(np.array([0.0, 1.0]), np.array([1.0, 1.0 - 1e-12])).corners
    assert sorted(thin[:, 0]) == [0.0, 1.0]


def test_where_nothing_may_change_there_is_one_corner():
    polytope = Polytope.box(np.zeros(0), np.zeros(0))
    assert polytope.corners.shape == (1, 0)
    assert polytope.above(np.zeros(0), -1.0).corners.shape == (1, 0)
    assert polytope.above(np.zeros(0), 1.0).corners.shape == (0, 0)


def test_too_many_limits_are_refused_rather_than_mixed_up():
    polytope = Polytope.box(np.zeros(2), np.ones(2))
    for place in range(29 * 2):
        angle = (place + 0.3) / 40.0
        slope = -np.array([np.cos(angle), np.sin(angle)])
        polytope = polytope.above(
            slope, float(slope @ polytope.corners.mean(axis=0)) - 0.4 * 0.9**place
        )
    with pytest.raises(ValueError, match="too many"):
        for place in range(60):
            polytope = polytope.where(
                np.array([1.0, 0.1 * place]), float(polytope.corners[0] @ [1.0, 0.1 * place])
            )


def lies_among(point, corners):
    """Whether shares of the corners make the point (non-negative least squares)."""
    _, far = nnls(np.vstack([corners.T, np.ones(len(corners))]), np.array([*point, 1.0]))
    return far < 1e-7


def products(seed):
    """Corners of a cut box, and three sides that are above nothing on it."""
    chance = np.random.default_rng(seed)
    polytope, *_ = cut_box(seed)
    slopes = chance.integers(-2, 3, (3, 3)).astype(float)
    least = (polytope.corners @ slopes.T).min(axis=0, initial=0.0)
    return polytope.corners, slopes, chance.integers(1, 4, 3) - least


def test_a_volume_is_told_exactly():
    """Least at a corner, most where no corner lies uphill of the sum of the logarithms."""
    inside = 0
    for seed in range(60):
        corners, slopes, bases = products(seed)
        if not len(corners):
            continue
        figure = Product(slopes, bases, 7.0)

        def volume(x, slopes=slopes, bases=bases):
            a, b, c = slopes @ x + bases
            return a * b * c / 7.0

        extent = figure.extent(corners)
        assert extent.low == pytest.approx(min(map(volume, corners)))
        assert volume(extent.at_high) == pytest.approx(extent.high)
        assert volume(extent.at_low) == pytest.approx(extent.low)
        assert lies_among(extent.at_high, corners)
        uphill = (1.0 / (slopes @ extent.at_high + bases)) @ slopes
        assert np.all((corners - extent.at_high) @ uphill <= 1e-7), seed
        inside += extent.high > max(map(volume, corners)) * (1 + 1e-9)
    assert inside > 5


@pytest.mark.parametrize(
    ("corners", "high"),
    [
        # Of sides that make up 30 the cube has most: 10^3 (inequality of the means).
        ([(30, 0, 0), (0, 30, 0), (0, 0, 30)], 1000.0),
        ([(30, 0, 0), (0, 30, 0), (0, 0, 30), (1, 1, 1), (9, 9, 9)], 1000.0),
        # On a line between two corners: 4 s (1 - s) 25 is most in its middle.
        ([(10, 0, 1), (0, 10, 1)], 25.0),
        ([(1, 2, 3)], 6.0),
        ([(5, 5, 5), (5, 5, 5), (4, 4, 4)], 125.0),
    ],
)
def test_the_largest_product_of_sides_is_the_one_known(corners, high):
    points = np.array(corners, dtype=float)
    extent = Product(np.eye(3), np.zeros(3), 1.0).extent(points)
    assert extent.high == pytest.approx(high)
    assert extent.low == pytest.approx(min(float(np.prod(each)) for each in points))


@pytest.mark.parametrize(
    "corners",
    [
        [(10, 2, 13), (7, 12, 8), (13, 10, 2), (4, 10, 13)],
        [(3, 0, 0), (0, 1, 3), (0, 0, 1), (0, 0, 2)],
        [(3, 4, 6), (2, 6, 5), (8, 5, 1)],
        [(6, 6, 1), (15, 3, 9), (0, 0, 16)],
        [(0, 3, 1), (2, 0, 1), (1, 2, 0), (0, 0, 2)],
    ],
)
def test_no_corner_lies_uphill_of_the_largest_product(corners):
    """Found at random: each tells apart other slips in the search by pairs and by threes."""
    points = np.array(corners, dtype=float)
    extent = Product(np.eye(3), np.zeros(3), 1.0).extent(points)
    assert lies_among(extent.at_high, points)
    assert extent.high == pytest.approx(np.prod(extent.at_high))
    assert np.all((points - extent.at_high) @ (1.0 / extent.at_high) <= 1e-7)


def test_a_side_that_is_gone_leaves_no_volume():
    figure = Product(np.eye(3), np.zeros(3), 1.0)
    assert figure.at(np.array([-1.0, -2.0, 3.0])) == 0.0
    corners = np.array([[-1.0, -2.0, 3.0], [1.0, 2.0, 3.0]])
    extent = figure.extent(corners)
    assert (extent.low, extent.high) == (0.0, 6.0)


def drops(seed):
    """Corners of a cut box on which a handle is taut, and what its drop is made of."""
    chance = np.random.default_rng(seed)
    corners = cut_box(seed)[0].corners
    free = chance.integers(-2, 3, 3).astype(float)
    rise = free * chance.integers(1, 4) + chance.integers(-1, 2, 3)
    gap = float(chance.integers(10, 20))
    base = gap + 0.25 - (corners @ free).min(initial=0.0)
    return corners, Taut(Linear(free, base), Linear(rise, float(chance.integers(0, 9))), gap)


def test_a_drop_is_told_exactly():
    """Least at a corner, most where no corner lies uphill."""
    inside = 0
    for seed in range(80):
        corners, figure = drops(seed)
        if not len(corners):
            continue

        def drop(x, figure=figure):
            free = figure.free.slope @ x + figure.free.base
            rise = figure.rise.slope @ x + figure.rise.base
            return np.sqrt(free * free - figure.half_gap**2) - rise

        extent = figure.extent(corners)
        assert extent.low == pytest.approx(min(map(drop, corners)))
        assert drop(extent.at_high) == pytest.approx(extent.high)
        assert drop(extent.at_low) == pytest.approx(extent.low)
        assert lies_among(extent.at_high, corners)
        free = figure.free.slope @ extent.at_high + figure.free.base
        tall = np.sqrt(free * free - figure.half_gap**2)
        uphill = free / tall * figure.free.slope - figure.rise.slope
        assert np.all((corners - extent.at_high) @ uphill <= 1e-6), seed
        inside += extent.high > max(map(drop, corners)) + 1e-9
    assert inside > 5


def test_a_handle_that_is_too_short_to_be_taut_hangs_by_nothing():
    """Free length below half of the gap: the root is of nothing."""
    figure = Taut(Linear(np.array([1.0]), 0.0), Linear(np.zeros(1), 2.0), 5.0)
    assert figure.at(np.array([3.0])) == -2.0
    corners = np.array([[3.0], [13.0]])
    extent = figure.extent(corners)
    assert (extent.low, extent.high) == (-2.0, 10.0)  # 5, 12, 13 is a right triangle
    assert np.all(np.isfinite(figure.gradient(np.array([3.0]))))
    # Just taut: 0.6, 0.8, 1 is a right triangle, of which the height grows by 1 / 0.6.
    low = Taut(Linear(np.array([1.0]), 0.0), Linear(np.zeros(1), 2.0), 0.8)
    assert low.gradient(np.array([1.0])) == pytest.approx([1.0 / 0.6])
    assert figure.needed(10.0, np.array([2.0])) == pytest.approx(13.0)


def test_slopes_are_those_of_differences():
    tried = 0
    for seed in range(20):
        corners, slopes, bases = products(seed)
        _, drop = drops(seed)
        if not len(corners):
            continue
        tried += 1
        x = corners.mean(axis=0)
        for figure in (Product(slopes, bases, 7.0), drop, Linear(slopes[0], 3.0)):
            told = figure.gradient(x)
            for place, way in enumerate(np.eye(3)):
                by = (figure.at(x + 1e-4 * way) - figure.at(x - 1e-4 * way)) / 2e-4
                assert told[place] == pytest.approx(by, abs=1e-5)
    assert tried >= 10


def test_a_linear_figure_is_told_at_corners():
    corners, slopes, _ = products(1)
    figure = Linear(slopes[0], 2.5)
    values = [slopes[0] @ corner + 2.5 for corner in corners]
    extent = figure.extent(corners)
    assert (extent.low, extent.high) == pytest.approx((min(values), max(values)))
    assert (figure.at(extent.at_low), figure.at(extent.at_high)) == (extent.low, extent.high)


def test_roots_are_those_that_numpy_finds():
    chance = np.random.default_rng(5)
    a, b, c = chance.integers(-9, 10, (3, 200)).astype(float)
    told = quadratic_roots(a, b, c)
    for row, factors in zip(told, np.stack([a, b, c], axis=1), strict=True):
        if not factors[0]:
            if factors[1]:  # a line: one root, beside nothing or what is without end
                (root,) = np.roots(factors)
                assert np.any(np.isclose(row, root))
            continue
        roots = np.roots(factors)
        if np.any(np.abs(roots.imag) > 1e-9):
            assert np.all(np.isnan(row))
        elif factors[1] or factors[2]:
            assert np.sort(row) == pytest.approx(np.sort(roots.real), abs=1e-6)
