"""The mesh that a bag is filled with where none is asked for: as good whatever the shape.

The measure is the bag's own refined value: twice and once as many cells, extrapolated as
an error of second order (Richardson).
"""

import math

import pytest

from core.solid.fill_solve import solve
from core.solid.fill_start import problem_of
from core.solid.mesh import Grid, build_mesh, working_grid
from core.solid.quarter import Quarter
from tests.core.solid.sheets import boxed, pillow

SHAPES = {
    "slim and tall": (boxed(60, 60, 600), False),
    "slim and tall over a board": (boxed(60, 60, 600), True),
    "slim and wide": (boxed(600, 60, 60), False),
    "slim and wide over a board": (boxed(600, 60, 60), True),
    "wide and deep and low": (boxed(600, 600, 60), False),
    "narrow and deep and low": (boxed(60, 600, 60), False),
    "narrow and deep": (boxed(60, 600, 600), False),
    "narrow and deep over a board": (boxed(60, 600, 600), True),
    "narrow, deep, half as high": (boxed(60, 600, 200), False),
    "flat": (boxed(600, 60, 600), False),
    "flat over a board": (boxed(600, 60, 600), True),
    "small cube": (boxed(60, 60, 60), False),
    "large cube over a board": (boxed(600, 600, 600), True),
    "low over a board": (boxed(150, 250, 155), True),
    "usual": (boxed(292, 165, 390), False),
    "usual over a board": (boxed(292, 165, 390), True),
    "next to no corner": (boxed(450, 12, 480), False),
    "corner eased": (Quarter(base=146, corner_along=60, corner_up=82, wall=390), False),
    "square pillow": (pillow(1, 1), False),
    "pillow of 1 x 2": (pillow(1, 2), False),
    "pillow of 1 x 5": (pillow(1, 5), False),
    "pillow of 5 x 1": (pillow(5, 1), False),
}


def volume(quarter: Quarter, grid: Grid, *, rigid: bool) -> float:
    found = solve(problem_of(build_mesh(quarter, grid), rigid_base=rigid))
    assert found.converged
    return found.volume


def finer(grid: Grid, times: int) -> Grid:
    return Grid(
        base=times * grid.base,
        along=times * grid.along,
        up=times * grid.up,
        wall=times * grid.wall,
    )


@pytest.mark.parametrize("name", SHAPES)
def test_a_working_mesh_is_within_half_a_percent_of_its_refined_value(name: str) -> None:
    quarter, rigid = SHAPES[name]
    grid = working_grid(quarter, rigid_base=rigid)
    working = volume(quarter, grid, rigid=rigid)
    twice = volume(quarter, finer(grid, 2), rigid=rigid)
    refined = twice + (twice - working) / 3
    assert working == pytest.approx(refined, rel=0.005)


def test_a_slim_pillow_is_a_tube_between_two_ends() -> None:
    """Its middle is a tube of girth 2, so 1 / pi a unit of length; its ends know of no middle."""
    five, three = (
        volume(each, working_grid(each, rigid_base=False), rigid=False)
        for each in (pillow(1, 5), pillow(1, 3))
    )
    assert five > 1.4521, "what a mesh of which no triangle stretches was seen to enclose"
    assert five - three == pytest.approx(2 / math.pi, rel=0.01)
    assert five < 5 / math.pi


def test_the_error_of_a_slim_pillow_is_of_second_order() -> None:
    one, two, four = (
        volume(pillow(1, 5), Grid(base=4 * k, along=0, up=0, wall=16 * k), rigid=False)
        for k in (1, 2, 4)
    )
    assert (four - two) / (two - one) == pytest.approx(1 / 4, abs=0.1)


@pytest.mark.parametrize("name", SHAPES)
def test_a_working_mesh_is_even_small_enough_and_does_not_mind_the_unit(name: str) -> None:
    quarter, rigid = SHAPES[name]
    grid = working_grid(quarter, rigid_base=rigid)
    counts = [each for each in (grid.base, grid.along, grid.up, grid.wall) if each]
    assert all(count % 2 == 0 and count >= 4 for count in counts)
    assert build_mesh(quarter, grid).count < 700, "beyond, the sparse factor would be loaded"
    sizes = (quarter.base, quarter.corner_along, quarter.corner_up, quarter.wall)
    base, along, up, wall = (25.4 * size for size in sizes)
    scaled = Quarter(base=base, corner_along=along, corner_up=up, wall=wall)
    assert working_grid(scaled, rigid_base=rigid) == grid
