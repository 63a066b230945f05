"""Sheets of one size: no piece lies across two, and where it pays they are filled one by one."""

import random
from collections import defaultdict
from dataclasses import replace

import pytest

from core.cutting.packing.job import Job, Layout, Placement
from core.cutting.packing.sheets import SectionLayout, better_sheets
from core.flat.piece import GrainTurn
from tests.core.cutting.packing_checks import faults, rectangles


def laid(job: Job, sheet: float) -> list[SectionLayout]:
    """One or two layouts, each sound on every sheet, the second shorter."""
    found = list(better_sheets(job, sheet, seed=0))
    for layout in found:
        check_sheets(job, sheet, layout)
    assert len(found) == 1 or found[1].length < found[0].length
    assert len(found) in (1, 2)
    return found


def check_sheets(job: Job, sheet: float, layout: SectionLayout) -> None:
    """Each piece lies once, in its order, on a sheet that is a sound layout of its own."""
    assert [each.index for each in layout.placements] == list(range(len(job.rectangles)))
    sheets: dict[int, list[Placement]] = defaultdict(list)
    for each in layout.placements:
        number = int((each.y + 1e-6) // sheet)
        sheets[number].append(replace(each, index=len(sheets[number]), y=each.y - number * sheet))
    assert sorted(sheets) == list(range(len(sheets))), "a sheet without anything on it"
    indices = {number: on_sheet(layout, sheet, number) for number in sheets}
    for number, placements in sheets.items():
        pieces = tuple(job.rectangles[index] for index in indices[number])
        length = max(each.y + each.height for each in placements)
        assert length <= sheet + 1e-6
        assert faults(Layout(replace(job, rectangles=pieces), tuple(placements), length)) == []
        if number == max(sheets):
            assert layout.length == pytest.approx(number * sheet + length, abs=1e-6)
    if not sheets:
        assert layout.length == 0.0


def on_sheet(layout: SectionLayout, sheet: float, number: int) -> list[int]:
    """Indices of what lies on one sheet."""
    return [each.index for each in layout.placements if int((each.y + 1e-6) // sheet) == number]


def strips(*heights: float, gap: float = 0.0) -> Job:
    """Pieces as wide as the sheet."""
    sizes = [(200.0, height) for height in heights]
    return Job(rectangles=rectangles(sizes, GrainTurn.HALF), usable_width=200.0, gap=gap)


def test_strips_are_handed_out_the_highest_first_to_the_first_sheet_that_takes_them() -> None:
    """60 and 40 fill a sheet of 100, and 50, 30 and 20 the next: each end to end."""
    (only,) = laid(strips(20, 50, 40, 60, 30), 100)
    assert [each.y for each in only.placements] == [180, 100, 60, 0, 150]
    assert only.length == 200


def test_gaps_lie_between_the_strips_of_a_sheet_and_not_at_its_edges() -> None:
    """60 + 5 + 35 fill a sheet of 100, 50 + 5 + 40 leave 5, and 30 begins a third."""
    (only,) = laid(strips(35, 50, 40, 60, 30, gap=5), 100)
    assert [each.y for each in only.placements] == [65, 100, 155, 0, 200]
    assert only.length == 230


def test_nothing_takes_no_sheet() -> None:
    (only,) = laid(strips(), 100)
    assert only == SectionLayout((), 0.0)


@pytest.mark.parametrize(
    ("number", "in_rows", "filled"),
    [(7, 30 + 18.75, 30), (14, 3 * 30 + 12.5, 60), (30, 7 * 30 + 12.5, 4 * 30 + 12.5)],
)
def test_boards_are_turned_where_a_sheet_takes_more_of_them(
    number: int, in_rows: float, filled: float
) -> None:
    """20 x 30 takes four of 11.25 x 6.25 one on the other, or seven: three turned below four.

    Three turned lie side by side, 11.25 high; the other 18.75 take three, one on the other, and
    one turned beside them. Two lie on a last sheet, one on the other.
    """
    job = Job(rectangles=rectangles([(11.25, 6.25)] * number, GrainTurn.QUARTER), usable_width=20.0)
    rows, better = laid(job, 30.0)
    assert rows.length == pytest.approx(in_rows)
    assert better.length <= filled + 1e-6
    for sheet in range(number // 7):
        assert on_sheet(better, 30.0, sheet) == [*range(7 * sheet, 7 * sheet + 7)]


def test_a_sheet_is_filled_to_its_edges() -> None:
    """Four of 20 x 10 around one of 10 x 10 fill 30 x 30; rows of them take a second sheet."""
    sizes = [(20.0, 10.0)] * 4 + [(10.0, 10.0)]
    job = Job(rectangles=rectangles(sizes, GrainTurn.QUARTER), usable_width=30.0)
    rows, filled = laid(job, 30.0)
    assert (rows.length, filled.length) == (40, 30)


def test_a_slat_lies_on_one_sheet() -> None:
    (only,) = laid(strips(0.01), 60)
    assert only.length == 0.01


def test_the_largest_pieces_are_laid_first() -> None:
    """1552 square mm take two sheets of 900 at least; with the small ones first they take three."""
    sizes = [(12.0, 7.0)] * 8 + [(11.0, 10.0)] * 8
    job = Job(rectangles=rectangles(sizes, GrainTurn.QUARTER), usable_width=30.0)
    rows, filled = laid(job, 30.0)
    assert rows.length > 60
    assert filled.length <= 60


@pytest.mark.parametrize("seed", range(30))
def test_sheets_of_any_pieces_are_sound(seed: int) -> None:
    chance = random.Random(seed)
    sizes = [(float(chance.randint(5, 40)), float(chance.randint(5, 40))) for _ in range(3)]
    number = chance.randint(1, 9)
    job = Job(
        rectangles=rectangles([chance.choice(sizes) for _ in range(number)], GrainTurn.QUARTER),
        usable_width=50.0,
        gap=chance.choice((0.0, 1.0, 3.0)),
    )
    laid(job, float(chance.randint(40, 60)))
