"""Rows for a rotary cutter: every cut runs from edge to edge."""

from dataclasses import replace

import pytest

from core.bag.making import Cutting
from core.cutting.packing.job import Job
from core.cutting.packing.layouts import better_layouts
from core.flat.piece import GrainTurn
from tests.core.cutting.packing_checks import (
    Box,
    best_layout,
    boxes,
    cuts,
    cuttable,
    faults,
    known_optimum,
    rectangles,
    ticks,
)

PINWHEEL: list[Box] = [(0, 0, 2, 1), (2, 0, 3, 2), (1, 2, 3, 3), (0, 1, 1, 3)]
"""Four pieces around a hole: the smallest layout that no edge-to-edge cut parts."""


def test_the_judge_of_cuts_knows_a_pinwheel() -> None:
    assert not cuttable(PINWHEEL, gap=0)
    assert cuttable(PINWHEEL[:3], gap=0)
    assert cuttable([(0, 0, 1, 1), (2, 0, 3, 1)], gap=1)
    assert not cuttable([(0, 0, 1, 1), (2, 0, 3, 1)], gap=2)


def test_free_layouts_may_need_other_cuts() -> None:
    """A pinwheel and its middle fill 30 x 30, which no rows can."""
    sizes = [(20, 10), (10, 20), (20, 10), (10, 20), (10, 10)]
    job = Job(rectangles=rectangles([(w, h) for w, h in sizes], GrainTurn.HALF), usable_width=30)
    free = best_layout(job, builds=600)
    rows = best_layout(replace(job, cutting=Cutting.ROWS), builds=200)
    assert free.length == 30
    assert not cuttable(boxes(free), gap=0)
    assert cuttable(boxes(rows), gap=0)
    assert rows.length == 40


@pytest.mark.parametrize("turn", [GrainTurn.HALF, GrainTurn.QUARTER])
@pytest.mark.parametrize("seed", range(3))
def test_rows_are_cut_across_first_and_no_higher_than_two_pieces(
    seed: int, turn: GrainTurn
) -> None:
    job = replace(
        known_optimum(120, 200, 30, seed=seed, turn=turn),
        cutting=Cutting.ROWS,
        gap=2,
        usable_width=130,
    )
    layout = best_layout(job, builds=80)
    assert faults(layout) == []
    laid_out = boxes(layout)
    gap = ticks(job.gap)
    assert cuttable(laid_out, gap)
    rows = cuts(laid_out, axis=1, gap=gap)
    assert len(rows) > 1
    for row in rows:
        height = max(box[3] for box in row) - min(box[1] for box in row)
        tallest = max(box[3] - box[1] for box in row)
        assert height <= 2 * tallest + gap


@pytest.mark.parametrize("seed", range(4))
def test_rows_waste_little_on_sheets_cut_edge_to_edge(seed: int) -> None:
    job = replace(known_optimum(120, 200, 25, seed=seed), cutting=Cutting.ROWS)
    layout = best_layout(job, builds=250)
    assert 200 <= layout.length <= 1.2 * 200


def test_stacked_openers_shorten_panels_with_pockets() -> None:
    """Panel and pocket, 37 and 16 high, lie one on the other in a row of 53 beside strips.

    Five such rows hold ten panels, ten pockets and twenty strips of 42 on goods 54 wide.
    """
    sizes = [(18.5, 37.0)] * 10 + [(18.5, 16.0)] * 10 + [(4.0, 42.0)] * 20
    job = Job(rectangles=rectangles(sizes, GrainTurn.HALF), usable_width=54, cutting=Cutting.ROWS)
    first, *_, last = better_layouts(job, seed=0, builds=300)
    assert cuttable(boxes(last.layout), gap=0)
    assert last.layout.length == 5 * 53
    assert first.layout.length > last.layout.length
