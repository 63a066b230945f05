"""Rectangles laid on goods: nothing overlaps, nothing is lost, and the length is short."""

import itertools
import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from core.base.errors import FieldError
from core.cutting.packing.job import Job, Layout, Rectangle, TooWideError, too_wide
from core.cutting.packing.layouts import Cutting, better_layouts, least_length
from core.flat.piece import GrainTurn
from tests.core.cutting.packing_checks import (
    best_layout,
    boxes,
    cuttable,
    faults,
    known_optimum,
    rectangles,
    ticks,
)

C1P1 = [
    (2, 12), (7, 12), (8, 6), (3, 6), (3, 5), (5, 5), (3, 12), (3, 7),
    (5, 7), (2, 6), (3, 2), (4, 2), (3, 4), (4, 4), (9, 2), (11, 2),
]  # fmt: skip
"""Set C1P1 of Hopper and Turton, "An empirical investigation of meta-heuristic and heuristic
algorithms for a 2D packing problem", EJOR 128/1 (2000) 34-57: they fill 20 x 20."""

BOTH = pytest.mark.parametrize("cutting", Cutting)

WIDTH = 508.0
SIXTEENTHS = st.integers(1, 320).map(lambda n: n * 25.4 / 16)  # up to 20 inches = WIDTH
MILLIMETRES = st.integers(1, 5080).map(lambda n: n / 10)
SIZES = SIXTEENTHS | MILLIMETRES


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """Up to 14 pieces, some of them alike, that all fit on 508 mm either way."""
    kinds = draw(
        st.lists(
            st.builds(Rectangle, width=SIZES, height=SIZES, turn=st.sampled_from(GrainTurn)),
            min_size=1,
            max_size=6,
        )
    )
    more = draw(st.lists(st.sampled_from(kinds), max_size=8))
    return Job(
        rectangles=(*kinds, *more),
        usable_width=WIDTH,
        gap=draw(st.sampled_from((0.0, 1.5, 3.175, 0.1))),
        cutting=draw(st.sampled_from(Cutting)),
    )


@given(job=jobs(), seed=st.integers(0, 99))
@settings(max_examples=60)
@example(  # thirds of a width fill it though no third is a whole tick
    job=Job(rectangles=(Rectangle(width=1000 / 3, height=1.0),) * 3, usable_width=1000.0), seed=0
)
def test_every_layout_on_the_way_is_sound(job: Job, seed: int) -> None:
    layouts: list[Layout] = []
    for progress in better_layouts(job, seed=seed, builds=60):
        if not layouts or progress.layout is not layouts[-1]:
            layouts.append(progress.layout)
    for layout in layouts:
        assert layout.job is job
        assert faults(layout) == []
        if job.cutting is Cutting.ROWS:
            assert cuttable(boxes(layout), ticks(job.gap))
    lengths = [layout.length for layout in layouts]
    assert all(after < before for before, after in itertools.pairwise(lengths))


@given(job=jobs())
@settings(max_examples=80)
def test_first_layout_keeps_the_bound_of_rows_by_falling_height(job: Job) -> None:
    """NFDH(I) < 2 area / W + h_max, and first fit fills no row less.

    E. Sharma, theorem database, "NFDH for strip packing". Here every gap counts to its piece,
    and what may be turned lies flat.
    """
    first = next(better_layouts(job, seed=0, builds=1))
    gap, width = job.gap, job.usable_width + job.gap
    area = sum((piece.width + gap) * (piece.height + gap) for piece in job.rectangles)
    tallest = max(
        min(piece.width, piece.height) if piece.may_turn else piece.height
        for piece in job.rectangles
    )
    assert first.layout.length < 2 * area / width + tallest + gap
    assert first.layout.length >= area / width - gap - 1e-6


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("pieces", [12, 40])
def test_first_layout_keeps_the_bound_against_the_optimum(seed: int, pieces: int) -> None:
    """FFDH(I) <= 1.7 OPT + h_max (from memory).

    Coffman, Garey, Johnson, Tarjan, "Performance bounds for level-oriented two-dimensional
    packing algorithms", SIAM J. Comput. 9 (1980) 808-826.
    """
    job = known_optimum(120, 200, pieces, seed=seed)
    tallest = max(piece.height for piece in job.rectangles)
    first = next(better_layouts(job, seed=0, builds=1)).layout.length
    assert 200 <= first <= 1.7 * 200 + tallest


@BOTH
def test_a_published_set_reaches_its_optimum(cutting: Cutting) -> None:
    job = Job(rectangles=rectangles(C1P1, GrainTurn.QUARTER), usable_width=20, cutting=cutting)
    layout = best_layout(job, builds=6000)
    assert faults(layout) == []
    assert layout.length == 20


def test_shapely_finds_no_overlap_in_a_tight_layout() -> None:
    """Corners in whole millimetres, so that areas are exact."""
    job = known_optimum(300, 400, 70, seed=4, turn=GrainTurn.QUARTER)
    layout = best_layout(job, builds=200)
    laid = [shapely.box(p.x, p.y, p.x + p.width, p.y + p.height) for p in layout.placements]
    assert shapely.union_all(laid).area == 300 * 400
    assert all(one.intersection(other).area == 0 for one, other in itertools.combinations(laid, 2))
    assert shapely.box(0, 0, 300, layout.length).covers(shapely.union_all(laid))
    assert 400 <= layout.length <= 1.06 * 400


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("turn", [GrainTurn.NEVER, GrainTurn.QUARTER])
def test_free_layouts_come_near_a_known_optimum(seed: int, turn: GrainTurn) -> None:
    job = known_optimum(120, 200, 25, seed=seed, turn=turn)
    layout = best_layout(job, builds=600)
    assert faults(layout) == []
    assert 200 <= layout.length <= 1.1 * 200


@BOTH
def test_the_same_seed_gives_the_same_layout(cutting: Cutting) -> None:
    job = replace(known_optimum(120, 200, 20, seed=3), cutting=cutting)
    runs = [best_layout(job, seed=seed, builds=90) for seed in (5, 5, 6)]
    assert runs[0] == runs[1]
    assert runs[0].placements != runs[2].placements


@BOTH
def test_more_builds_carry_on_from_fewer(cutting: Cutting) -> None:
    job = replace(known_optimum(120, 200, 20, seed=3), usable_width=131, cutting=cutting)
    few = list(better_layouts(job, seed=0, builds=50))
    many = list(better_layouts(job, seed=0, builds=120))
    assert [progress.builds for progress in many] == list(range(1, 121))
    assert many[:50] == few


def test_dropping_the_search_ends_it() -> None:
    search = better_layouts(known_optimum(120, 200, 30, seed=1), seed=0, builds=10**9)
    for _ in range(5):
        next(search)
    search.close()
    with pytest.raises(StopIteration):
        next(search)


@BOTH
@pytest.mark.parametrize(
    ("sizes", "shortest"),
    [
        ([(60, 30), (40, 30), (100, 10)], 40),  # the area fills it
        ([(10, 90), (10, 5)], 90),  # one piece is that long
        ([(51, 20), (60, 20), (70, 20)], 60),  # no two lie side by side
    ],
)
def test_the_search_ends_where_nothing_shorter_can_exist(
    sizes: list[tuple[float, float]], shortest: float, cutting: Cutting
) -> None:
    job = Job(rectangles=rectangles(sizes, GrainTurn.HALF), usable_width=100, cutting=cutting)
    steps = list(better_layouts(job, seed=0, builds=5000))
    assert steps[-1].layout.length == shortest
    assert least_length(job) == shortest
    assert len(steps) < 100


def test_the_least_length_counts_every_piece_of_a_pile() -> None:
    """250 pieces lie in lots of three: 250 x 400 / 85 = 1176.5, and tops are whole tens."""
    alike = Job(rectangles=rectangles([(40, 10)] * 250, GrainTurn.HALF), usable_width=85)
    assert least_length(alike) == 1180.0
    wide = Job(rectangles=rectangles([(60, 10)] * 250, GrainTurn.HALF), usable_width=85)
    assert least_length(wide) == 2500.0
    assert least_length(replace(wide, gap=3)) == 250 * 10 + 249 * 3


def test_a_free_layout_is_no_longer_than_one_in_rows() -> None:
    """Whatever is cut in rows could be cut freely: here four panels, pockets and 12 strips."""
    sizes = [(470, 940)] * 4 + [(470, 406)] * 4 + [(1066, 121)] * 12
    free, rows = (
        best_layout(
            Job(
                rectangles=rectangles(sizes, GrainTurn.QUARTER), usable_width=1066, cutting=cutting
            ),
            builds=300,
        ).length
        for cutting in (Cutting.FREE, Cutting.ROWS)
    )
    assert free <= rows


def test_only_quarter_turns_turn() -> None:
    """Two pieces of 90 x 40 lie side by side on 100 mm only when they are turned."""
    lengths = {
        turn: best_layout(
            Job(rectangles=rectangles([(90, 40)] * 2, turn), usable_width=100), builds=90
        ).length
        for turn in GrainTurn
    }
    assert lengths == {GrainTurn.NEVER: 80, GrainTurn.HALF: 80, GrainTurn.QUARTER: 80}
    narrow = {
        turn: best_layout(
            Job(rectangles=rectangles([(60, 40)] * 2, turn), usable_width=80), builds=90
        )
        for turn in GrainTurn
    }
    assert [
        narrow[turn].length for turn in (GrainTurn.NEVER, GrainTurn.HALF, GrainTurn.QUARTER)
    ] == [80, 80, 60]
    assert all(placement.turned for placement in narrow[GrainTurn.QUARTER].placements)


@BOTH
def test_a_gap_lies_between_pieces_and_not_at_the_edges(cutting: Cutting) -> None:
    """Three of 30 with two gaps of 5 fill 100 exactly; two rows of 20 take 45."""
    job = Job(
        rectangles=rectangles([(30, 20)] * 6, GrainTurn.HALF),
        usable_width=100,
        gap=5,
        cutting=cutting,
    )
    layout = best_layout(job)
    assert faults(layout) == []
    assert layout.length == 45
    wider_gap = best_layout(replace(job, gap=5.001))
    assert wider_gap.length == pytest.approx(3 * 20 + 2 * 5.001)


def test_a_piece_as_wide_as_the_goods_fits() -> None:
    job = Job(rectangles=(Rectangle(width=1066.8, height=95.25),) * 3, usable_width=1066.8)
    assert best_layout(job).length == pytest.approx(3 * 95.25)


def test_thirds_of_the_goods_lie_side_by_side() -> None:
    """A third of a metre is no whole number of ticks."""
    job = Job(rectangles=(Rectangle(width=1000 / 3, height=1.0),) * 3, usable_width=1000.0)
    assert best_layout(job).length == 1.0


def test_alike_pieces_are_laid_in_the_order_given() -> None:
    for number in (7, 250):  # so many are laid three by three
        job = Job(rectangles=rectangles([(40, 10)] * number, GrainTurn.HALF), usable_width=85)
        check_alike(best_layout(job, builds=9), 3 if number > 120 else number)


@BOTH
def test_alike_pieces_that_fill_what_others_leave_are_laid_in_the_order_given(
    cutting: Cutting,
) -> None:
    """The small ones lie beside and above the large ones, here and there: 150, two by two."""
    sizes = [(24, 30)] * 60 + [(6, 5)] * 90
    job = Job(rectangles=rectangles(sizes, GrainTurn.HALF), usable_width=85, cutting=cutting)
    layout = best_layout(job, builds=6)
    assert faults(layout) == []
    check_alike(layout, 2)


def check_alike(layout: Layout, high: int) -> None:
    """The nearer to the cut end the earlier, and from left to right, among so many alike."""
    assert [each.index for each in layout.placements] == list(range(len(layout.placements)))
    for first in range(0, len(layout.placements), high):
        alike = layout.placements[first : first + high]
        assert alike == tuple(sorted(alike, key=lambda each: (each.y, each.x)))


@BOTH
def test_nothing_to_lay_takes_no_length(cutting: Cutting) -> None:
    layout = best_layout(Job(rectangles=(), usable_width=100, cutting=cutting))
    assert (layout.placements, layout.length) == ((), 0.0)
    assert [step.builds for step in better_layouts(layout.job, seed=0, builds=9)] == [1]
    assert least_length(layout.job) == 0.0


def test_pieces_wider_than_the_goods_are_named() -> None:
    pieces = (
        Rectangle(width=50, height=120),
        Rectangle(width=120, height=50),
        Rectangle(width=120, height=50, turn=GrainTurn.QUARTER),
        Rectangle(width=101, height=90, turn=GrainTurn.HALF),
    )
    job = Job(rectangles=pieces, usable_width=100)
    assert too_wide(job) == (1, 3)
    with pytest.raises(TooWideError, match=r"needs 120 mm .* only 100 mm wide") as refused:
        next(better_layouts(job, seed=0, builds=1))
    assert refused.value.indices == (1, 3)
    assert (refused.value.field, refused.value.value) == ("usable_width", 100)
    both = replace(job, rectangles=(Rectangle(width=130, height=101, turn=GrainTurn.QUARTER),))
    with pytest.raises(TooWideError, match="needs 101 mm"):
        best_layout(both)


@pytest.mark.parametrize("value", [0.0, -1.0, 0.9e-6, math.inf, math.nan])
def test_sizes_that_cannot_be_are_refused(value: float) -> None:
    with pytest.raises(FieldError, match="width of a piece") as refused:
        Rectangle(width=value, height=1)
    assert refused.value.field == "width"
    with pytest.raises(FieldError, match="height of a piece") as refused:
        Rectangle(width=1, height=value)
    assert refused.value.field == "height"
    with pytest.raises(FieldError, match="usable width"):
        Job(rectangles=(), usable_width=value)
    if not 0 <= value < 1:
        with pytest.raises(FieldError, match="gap"):
            Job(rectangles=(), usable_width=1, gap=value)


def test_the_least_size_is_one_that_can_be_told_from_nothing() -> None:
    piece = Rectangle(width=1e-6, height=1e-6)
    assert best_layout(Job(rectangles=(piece, piece), usable_width=1e-6)).length == 2e-6


def test_no_builds_are_refused() -> None:
    with pytest.raises(FieldError, match="number of layouts"):
        best_layout(Job(rectangles=(), usable_width=1), builds=0)
