"""Bags cut like boxes in few cells: as good as in ever finer ones, whatever they are like.

The measure is the bag's own refined value: twice as many cells and these, extrapolated as an error
of second order (Richardson).
"""

import math

import pytest

from core.solid.fill_problem import build_mesh, problem_of
from core.solid.fill_solve import solve
from core.space.box_quarters import BoxSizes, base_quarter, ring_quarter, wrap_quarter
from core.space.boxes import BoxSize
from core.space.over_board import softness_over_board
from core.space.patches import Quarter
from tests.core.solid.sheets import times


def volume(quarter: Quarter, factor: int) -> float:
    found = solve(problem_of(build_mesh(quarter, times(quarter.counts, factor))))
    assert found.converged
    return found.volume


HARD = {
    "low ring, its board eased": (ring_quarter, (260, 364, 91, 45, 45), 1.015, True),
    "low ring over a board": (ring_quarter, (504, 474, 82, 0, 41), 1.0, True),
    "round ends over a board": (ring_quarter, (270, 98, 315, 71, 117), 1.015, True),
    "slim round ring": (ring_quarter, (378, 67, 167, 83, 83), 1.0, False),
    "low wrap over a board": (wrap_quarter, (445, 291, 123, 41, 44), 1.0, True),
    "long stadium over a board": (base_quarter, (432, 90, 315, 45, 0), 1.0, True),
    "deep stadium over a board": (base_quarter, (84, 320, 345, 42, 0), 1.0, True),
    "taut over a rounded board": (base_quarter, (242, 119, 66, 46, 0), 1.0, True),
    "low rounded base": (base_quarter, (475, 485, 91, 112, 0), 1.0, False),
    "narrow rounded base": (base_quarter, (71, 492, 233, 18, 0), 1.0, False),
    "taut, straight and wide": (base_quarter, (404, 137, 70.9, 40.5, 0), 1.0, True),
    "taut, straight and deep": (base_quarter, (199, 404, 209.1, 30, 0), 1.0, True),
    "taut, long arcs": (base_quarter, (476, 125, 65, 61, 0), 1.0, True),
    "taut, fronts all arc": (base_quarter, (90, 480, 252, 45, 0), 1.0, True),
    "taut, a deep stadium": (base_quarter, (110.8, 475.8, 246.4, 55.4, 0), 1.0, True),
    "slim ring over a board": (ring_quarter, (503.2, 64.6, 330.1, 56.8, 0), 1.0, True),
    "deep, low ring over a board": (ring_quarter, (125, 599.1, 71.4, 35.7, 35.7), 1.0, True),
}
"""Those that came 0.5 to 2.8 % low, or to no rest: width, depth, height, radii."""


@pytest.mark.parametrize("name", HARD)
def test_the_worst_of_two_thousand_random_bags_are_within_half_a_percent(name: str) -> None:
    made, (width, depth, height, lower, upper), ease, board = HARD[name]
    quarter = made(BoxSizes(width=width, depth=depth, height=height, radius=lower,
                            upper_radius=upper, ease=ease), board=board)  # fmt: skip
    working, twice = (volume(quarter, factor) for factor in (1, 2))
    assert working == pytest.approx(twice + (twice - working) / 3, rel=0.005)


def test_a_narrow_square_base_is_within_two_fifths() -> None:
    """In the cells of a wide one it came 0.48 % low, against four times as many 0.51 %."""
    quarter = base_quarter(BoxSizes(width=100.6, depth=388.4, height=218.6))
    working, twice = (volume(quarter, factor) for factor in (1, 2))
    assert working == pytest.approx(twice + (twice - working) / 3, rel=0.004)


@pytest.mark.parametrize("bend", [0.05, 0.3, 0.5, 0.66, 0.81, 0.9, 0.98])
@pytest.mark.parametrize("cells", [4, 6, 14, 22])
def test_a_board_ends_at_an_even_line_of_cells(bend: float, cells: int) -> None:
    """At an odd one a corner of what bends is one triangle alone: bags came 0.2 % lower."""
    half = 150.0
    radius = half * (1.0 - bend) / (1.0 - bend * (1.0 - math.pi / 4))
    quarter = ring_quarter(
        BoxSizes(width=2 * half, depth=120.0, height=400.0, radius=radius), board=True
    )
    mesh = build_mesh(quarter, {**quarter.counts, BoxSize.WIDTH: cells})
    strip = mesh.nodes[0][0]
    at = int(problem_of(mesh).held[2, strip].sum()) - 1
    assert 0 < at < cells
    assert at % 2 == 0
    assert abs(at - bend * cells) <= 2.0 or at in (2, cells - 2)


@pytest.mark.parametrize(("straight", "softest"), [(0.0, 1.2), (0.015, 1.2), (0.0375, 4.6)])
def test_a_sheet_without_a_fold_is_not_made_as_soft(straight: float, softest: float) -> None:
    assert softness_over_board(0.99, straight) == pytest.approx(softest)
    assert softness_over_board(0.5, straight) == 1.0
    assert softness_over_board(0.99) == softness_over_board(0.99, 0.06) == 8.0
