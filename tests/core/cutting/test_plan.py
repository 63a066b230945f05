"""Cutting plans: nothing overlaps, nothing is missing, lengths to buy are whole steps."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import compute
from core.bag.making import Cutting
from core.base.errors import FieldError
from core.base.units import Unit
from core.cutting.buying import bought_length, laid_on, purchases
from core.cutting.plan import Plan, PlanOptions, largest_rest, rounded_up
from core.cutting.planner import Planner, best_plan
from core.flat.piece import GrainTurn
from core.goods.layers import EIGHTH_YARD, Layer
from core.goods.supplies import Supplies
from core.parts.handles.handles import Handles
from core.storage.bag_files import SAMPLES, demo_bag, sample
from tests.core.cutting.plan_checks import check_plan
from tests.helpers import bare, demo, demo_panel, inch, layer, sandwich
from tests.strategies import bags, carriers

QUICK = 30
"""Builds: enough for a plan, quick enough for a test."""


def planned(bag: Bag, **options: object) -> Plan:
    asked = PlanOptions(**{"builds": QUICK, **options})  # type: ignore[arg-type]  # as given
    return best_plan(compute(bag), asked)


# --- Rounding up ----------------------------------------------------------------------------------


def test_eighths_of_a_yard() -> None:
    """Fabric yardage conversion chart, hookedonsewing.com: eighths of a yard in inches."""
    chart = {"1/8": 4.5, "1/4": 9, "3/8": 13.5, "1/2": 18, "5/8": 22.5, "3/4": 27, "7/8": 31.5}
    for eighths, inches in chart.items():
        assert rounded_up(inch(inches), EIGHTH_YARD) == pytest.approx(inch(inches))
        assert rounded_up(inch(inches - 0.1), EIGHTH_YARD) == pytest.approx(inch(inches))
        assert rounded_up(inch(inches + 0.1), EIGHTH_YARD) == pytest.approx(inch(inches + 4.5))
        assert bought_length(inch(inches), EIGHTH_YARD, Unit.INCH).text() == f"{eighths} yd"
    assert bought_length(914.4, EIGHTH_YARD, Unit.INCH).text() == "1 yd"
    assert bought_length(914.4 * 2.375, EIGHTH_YARD, Unit.INCH).text() == "2 3/8 yd"
    assert bought_length(1200.0, 100.0, Unit.CM).text() == "1.2 m"


def test_a_shop_that_sells_by_the_other_unit_is_told_in_both() -> None:
    """1 yd = 0.9144 m exactly (NIST SP 811, 2008, B.8)."""
    assert bought_length(914.4 * 2.375, EIGHTH_YARD, Unit.CM).text() == "2 3/8 yd (2.17 m)"
    assert bought_length(1200.0, 100.0, Unit.INCH).text() == "1.2 m (1.31 yd)"
    plan = planned(demo(unit=Unit.MM))
    assert purchases(plan)[0].amount.text() == "1 1/2 yd (1.37 m)"


def test_sheets_are_counted_and_not_measured() -> None:
    sheet = planned(demo_bag(), bags=12).goods[-1]
    assert sheet.goods.in_sheets
    pieces = math.fsum(each.width * each.height for each in sheet.laid)
    share = 100 * pieces / (sheet.sheets * inch(20) * inch(30))
    told = laid_on(sheet).text(lambda mm: f"{mm / 25.4:g} in")
    assert told == f"12 pieces on 2 sheets of 20 in by 30 in; {share:.0f}\u00a0% is used."


def test_the_same_area_on_wider_goods() -> None:
    """The same chart: 2 yd of 35-36 in goods are 1 5/8 yd of 44-45 in goods."""
    assert rounded_up(2 * 914.4 * 36 / 45, EIGHTH_YARD) == pytest.approx(914.4 * 1.625)


@pytest.mark.parametrize(("raw", "repeat", "cut"), [(100, 8, 104), (102, 18, 108), (108, 18, 108)])
def test_repeats(raw: float, repeat: float, cut: float) -> None:
    """Curtain and drapery yardage guides, freelivecalculators.com: whole repeats, rounded up."""
    assert rounded_up(inch(raw), inch(repeat)) == pytest.approx(inch(cut))


def test_nothing_is_bought_for_nothing() -> None:
    assert rounded_up(0.0, 100.0) == 0.0


@given(st.floats(0, 1e6), st.sampled_from([EIGHTH_YARD, 100.0, 10.0, 914.4]))
def test_rounding_up_is_the_least_whole_number_of_steps(length: float, step: float) -> None:
    steps = rounded_up(length, step) / step
    assert steps == pytest.approx(round(steps), abs=1e-9)
    assert (steps - 1) * step < length + 1e-5
    assert steps * step >= length - 1e-5


# --- Known counts ---------------------------------------------------------------------------------


def squares(side: float, goods: Layer, bags: int) -> Plan:
    """Plain squares: pillows of one face, two to a bag, each face one square."""
    panel = demo_panel(
        width=side, length=2 * side, front_trim=0.0, corner_width=0.0, corner_depth=0.0,
        bottom_seam=5.0,
    )  # fmt: skip
    bag = replace(bare(panel), sandwich=sandwich(goods))
    return planned(bag, bags=bags, builds=300)


@pytest.mark.parametrize(("side", "width", "length", "count"), [(10, 45, 36, 12), (5, 40, 36, 56)])
def test_squares_from_a_yard(side: float, width: float, length: float, count: int) -> None:
    """Counts of squares that a yard of goods gives.

    Squares from one yard (findfulfillflourish.com): 12 of 10 in from 45 in goods, 56 of 5 in
    from 40 in goods. Two to a bag, so half as many bags fill the yard and not one more does.
    """
    goods = layer(usable_width=inch(width), thickness=0.0, pressed=0.0)
    full = squares(inch(side), goods, count // 2).goods[0]
    assert len(full.laid) == count
    assert full.length_used <= inch(length) + 1e-6
    assert squares(inch(side), goods, count // 2 + 1).goods[0].length_used > inch(length)


def test_strips_across_the_goods_are_as_long_as_their_area() -> None:
    """Strips across the goods, against their area.

    Strip length = area / width: a 20 in square gives 200 in of 2 in strip
    (sewaquilt.com/bias-tape.html, straight strips). Ten strips of 20 x 2 in fill it.
    """
    handles = Handles(
        width=(inch(2) + inch(0.25)) / 4, gap=inch(5), stop=inch(5), strips=10,
    )  # fmt: skip
    own = Supplies(handles=layer("strips", usable_width=inch(20)))
    plan = planned(replace(demo(handles=handles), supplies=own))
    goods = next(each for each in plan.goods if each.goods.role == "strips")
    assert goods.length_used == pytest.approx(inch(20))
    assert goods.yield_ == pytest.approx(1.0)
    assert sum(each.width for each in goods.laid) == pytest.approx(inch(200))


# --- The demo bag ---------------------------------------------------------------------------------


@pytest.mark.parametrize("cutting", Cutting)
@pytest.mark.parametrize("folded", [False, True])
def test_ten_demo_bags(cutting: Cutting, folded: bool) -> None:
    plan = planned(demo_bag(), bags=10, cutting=cutting, folded=folded, gap=0.0)
    check_plan(plan)
    assert not plan.findings
    assert [each.goods.title for each in plan.goods] == [
        "outer fabric", "foam interfacing", "insulating fleece", "wipe-clean lining",
        "polypropylene sheet",
    ]  # fmt: skip
    assert len(plan.goods[0].laid) == 10 * (1 + 1 + 3)


def test_what_ten_demo_bags_cost_and_weigh() -> None:
    """Fleece and lining take two panels side by side: five rows of 37 in are 185 in, 42 eighths.

    The outer fabric and the foam are laid by the program: 86 and 29 eighths of a yard.
    """
    plan = planned(demo_bag(), bags=10)
    eighths = [round(each.length_to_buy / inch(4.5), 6) for each in plan.goods[:4]]
    assert eighths == [86, 29, 42, 42]
    cost = inch(4.5) * (86 * 0.012 + 29 * 0.016 + 42 * 0.014 + 42 * 0.011)
    assert plan.cost == pytest.approx(cost)
    # Final shapes: the panel less four corner cuts, each 3 3/8 by 3 in, from every layer.
    panel = inch(18.5) * inch(37) - 4 * inch(3.375) * inch(3)
    outer = inch(18.5) * inch(16) + 3 * inch(42) * inch(4.75)
    grams = panel * (150 + 180 + 220 + 190) + outer * 150 + inch(10.125) * inch(5.875) * 1350
    assert plan.weight == pytest.approx(grams / 1e9)
    assert plan.weight == planned(demo_bag(), bags=1).weight


def test_zips_and_thread_cost_what_they_cost() -> None:
    supplies = replace(demo_bag().supplies, zip_price=4.5, spool_price=3.0, spool_length=1e5)
    plain, priced = (
        planned(demo_bag(), bags=3),
        planned(replace(demo_bag(), supplies=supplies), bags=3),
    )
    assert priced.notions_cost == 3 * 4.5
    assert priced.thread == pytest.approx(3 * priced.cut_list.notions.thread)
    assert 200_000.0 < priced.thread < 300_000.0, "three spools of 100 m"
    assert priced.spools == 3
    assert priced.cost - plain.cost == pytest.approx(3 * 4.5 + 3 * 3.0)


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("bags_made", [1, 3])
def test_samples(name: str, bags_made: int) -> None:
    plan = planned(sample(name), bags=bags_made, gap=3.0)
    check_plan(plan)
    assert not plan.findings
    assert all(each.cost is None or each.cost > 0.0 for each in purchases(plan))


@settings(max_examples=60, deadline=None)
@given(
    st.one_of(bags(), carriers()), st.integers(1, 3), st.sampled_from(Cutting), st.booleans(),
    st.sampled_from([0.0, 3.0, 12.7]), st.booleans(),
)  # fmt: skip
def test_any_bag(
    bag: Bag, count: int, cutting: Cutting, folded: bool, gap: float, in_sheets: bool
) -> None:
    first = replace(bag.sandwich.layers[0], in_sheets=in_sheets, sold_step=700.0)
    layers = (first, *bag.sandwich.layers[1:])
    bag = replace(bag, sandwich=replace(bag.sandwich, layers=layers))
    plan = planned(bag, bags=count, cutting=cutting, folded=folded, gap=gap, builds=3)
    check_plan(plan)
    assert plan.bag == bag


# --- Better and better ----------------------------------------------------------------------------


def test_plans_get_better_and_the_work_gets_done() -> None:
    planner = Planner(compute(demo_bag()), PlanOptions(bags=10, builds=200))
    seen = list(planner.better_plans())
    shares = [each.done for each in seen]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    lengths = [sum(goods.length_used for goods in each.plan.goods) for each in seen]
    assert lengths[-1] < lengths[0]
    for before, after in pairwise(seen):
        for old, new in zip(before.plan.goods, after.plan.goods, strict=True):
            assert new.length_used <= old.length_used + 1e-6


def test_a_plan_can_be_had_at_any_time() -> None:
    search = Planner(compute(demo_bag()), PlanOptions(bags=4)).better_plans()
    plan = next(search).plan
    search.close()
    check_plan(plan)


def test_the_same_question_has_the_same_answer() -> None:
    one, two = (planned(demo_bag(), bags=5, seed=7) for _ in range(2))
    assert one == two
    assert one.goods[0].laid == two.goods[0].laid


def test_more_bags_never_take_less() -> None:
    used = [
        [each.length_to_buy for each in planned(demo_bag(), bags=count, builds=1).goods]
        for count in (1, 2, 5, 20)
    ]
    for fewer, more in pairwise(used):
        assert all(a <= b for a, b in zip(fewer, more, strict=True))


# --- What the goods ask for -----------------------------------------------------------------------


def test_one_way_goods_turn_nothing() -> None:
    goods = layer(one_way=True)
    plan = planned(demo(sandwich=sandwich(goods)), bags=3)
    check_plan(plan)
    assert not any(each.turned for each in plan.goods[0].laid)
    free = planned(demo(sandwich=sandwich(layer())), bags=3)
    assert plan.goods[0].length_used >= free.goods[0].length_used


def test_a_turned_piece_keeps_its_shape() -> None:
    plan = planned(demo_bag(), bags=2)
    lining = plan.goods[-2]  # only a board lies further in
    turned = [each for each in lining.laid if each.turned and each.item.piece.label == "panel"]
    assert turned
    for each in turned:
        assert (each.width, each.height) == (each.item.along, each.item.across)
        xs = [x - each.x for x, _ in each.shape]
        ys = [y - each.y for _, y in each.shape]
        assert max(xs) == pytest.approx(each.width)
        assert max(ys) == pytest.approx(each.height)


def test_unwashed_goods_take_more_and_washed_goods_are_bought_longer() -> None:
    shrinking = {"shrink_length": 0.05, "shrink_width": 0.05}
    plain, cut_larger, washed = (
        planned(demo(sandwich=sandwich(layer(**changes))), bags=4).goods[0]
        for changes in ({}, {**shrinking, "cut_washed": False}, shrinking)
    )
    panel = next(each for each in cut_larger.laid if each.item.piece.label == "panel")
    sizes = {round(panel.width, 6), round(panel.height, 6)}
    assert sizes == {round(inch(18.5) / 0.95, 6), round(inch(37) / 0.95, 6)}
    assert panel.item.area == pytest.approx(plain.laid[0].item.area)
    assert cut_larger.length_used > plain.length_used
    assert washed.length_to_buy >= washed.length_used / 0.95 - 1e-6
    assert washed.width == pytest.approx(0.95 * inch(54))


def test_folded_goods_are_cut_two_at_a_time_and_the_odd_one_singly() -> None:
    goods = layer("outer", usable_width=inch(42))
    plan = planned(demo(sandwich=sandwich(goods)), bags=3, folded=True, gap=4.0)
    check_plan(plan)
    folded = plan.goods[0]
    panels = [each for each in folded.laid if each.item.piece.label == "panel"]
    below = [each for each in panels if each.y < folded.folded_length]
    assert (len(below), len(panels)) == (2, 3)
    one, other = below
    assert one.x + one.width == pytest.approx(folded.width - other.x)
    assert one.y == other.y
    assert {one.bag, other.bag} == {1, 2}
    # Strips as long as the goods is wide cannot lie across folded goods, but along them.
    strips = [each for each in folded.laid if each.item.piece.label == "handle strip"]
    assert len(strips) == 9
    assert folded.length_used >= plan_unfolded(plan).goods[0].length_used


def plan_unfolded(plan: Plan) -> Plan:
    return planned(plan.bag, bags=plan.options.bags, gap=plan.options.gap)


def test_goods_shared_by_two_roles_are_bought_once() -> None:
    outer = layer("outer", name="cotton")
    plan = planned(demo(sandwich=sandwich(outer, layer("lining", name="cotton"))), bags=1)
    check_plan(plan)
    assert [each.goods.title for each in plan.goods] == ["cotton", "polypropylene sheet"]
    names = [each.name for each in plan.goods[0].laid]
    assert sorted(names)[:2] == ["front pocket", "handle strip"]
    assert {"panel, outer", "panel, lining"} <= set(names)


def test_boards_never_run_across_two_sheets() -> None:
    plan = planned(demo_bag(), bags=30)
    check_plan(plan)
    boards = plan.goods[-1]
    for each in boards.laid:
        sheet = each.y // inch(30)
        assert each.y + each.height <= (sheet + 1) * inch(30) + 1e-6
    # 20 x 30 in takes seven boards of 11 1/4 x 6 1/4 in: three across in two rows and one
    # turned above them; an eighth would have to lie where only 7 1/2 x 8 3/4 in are left.
    assert boards.sheets == -(-30 // 7)


# --- What cannot be cut ---------------------------------------------------------------------------


def test_a_piece_too_wide_is_told_and_the_rest_is_planned() -> None:
    bag = demo(
        sandwich=sandwich(layer(), layer("fleece", usable_width=inch(18), turn=GrainTurn.HALF))
    )
    plan = planned(bag, bags=2)
    check_plan(plan)
    fleece = next(each for each in plan.goods if each.goods.role == "fleece")
    assert fleece.laid == ()
    assert (fleece.length_used, fleece.length_to_buy, fleece.leftover) == (0.0, 0.0, None)
    ((item, count, finding),) = fleece.lacking
    assert (item.piece.label, count, finding.code) == ("panel", 2, "wider-than-goods")
    assert "fleece" in finding.message.text()
    assert plan.findings == (finding,)
    assert all(each.laid for each in plan.goods if each is not fleece)
    assert "fleece" not in {each.what.text() for each in purchases(plan)}


def test_a_board_larger_than_a_sheet_is_told() -> None:
    bag = demo(board=replace(demo().parts["board"], width=inch(31), depth=inch(5)))
    plan = planned(bag)
    (finding,) = plan.findings
    assert "sheet" in finding.message.text()
    assert finding.message.terms["piece"] == "base board"
    assert finding.figure == "board_width"


@pytest.mark.parametrize(
    ("options", "field"),
    [
        ({"bags": 0}, "bags"),
        ({"bags": 1001}, "bags"),
        ({"bags": 2.5}, "bags"),
        ({"gap": -1.0}, "gap"),
        ({"gap": float("nan")}, "gap"),
        ({"gap": 201.0}, "gap"),
        ({"builds": 0}, "builds"),
    ],
)
def test_options_that_cannot_be_are_refused(options: dict[str, float], field: str) -> None:
    with pytest.raises(FieldError) as caught:
        PlanOptions(**options)  # type: ignore[arg-type]  # wrong on purpose
    assert caught.value.field == field


# --- Leftover -------------------------------------------------------------------------------------


def test_the_largest_rest_by_hand() -> None:
    boxes = [(0.0, 0.0, 60.0, 50.0), (0.0, 50.0, 30.0, 80.0)]
    rest = largest_rest(boxes, width=100.0, length=100.0)
    assert rest is not None
    assert tuple(rest) == (60.0, 0.0, 40.0, 100.0)
    assert largest_rest([(0.0, 0.0, 100.0, 100.0)], width=100.0, length=100.0) is None


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(st.integers(0, 8), st.integers(0, 8), st.integers(1, 5), st.integers(1, 5)),
        max_size=5,
    )
)
def test_the_largest_rest_against_every_rectangle_of_a_grid(
    given_boxes: list[tuple[int, int, int, int]],
) -> None:
    boxes = [
        (float(x), float(y), float(min(x + w, 10)), float(min(y + h, 10)))
        for x, y, w, h in given_boxes
    ]
    best = 0
    taken = {
        (i, j)
        for x0, y0, x1, y1 in boxes
        for i in range(int(x0), int(x1))
        for j in range(int(y0), int(y1))
    }
    for x0 in range(10):
        for y0 in range(10):
            right = 10
            for y in range(y0, 10):
                right = next((x for x in range(x0, right) if (x, y) in taken), right)
                best = max(best, (right - x0) * (y + 1 - y0))
    rest = largest_rest(boxes, width=10.0, length=10.0)
    assert (rest.area if rest else 0.0) == pytest.approx(best)


def test_pieces_that_fill_their_goods_are_all_of_it_and_no_more() -> None:
    """Two faces of 254 mm across 508 mm of goods, each cut 26 / 0.95 mm long: no whole ticks."""
    panel = demo_panel(
        width=254.0, length=52.0, front_trim=0.0, corner_width=0.0, corner_depth=0.0,
        side_seam=0.0, corner_seam=0.0, top_seam=0.0, bottom_seam=1.0,
    )  # fmt: skip
    cloth = layer(usable_width=508.0, shrink_length=0.05, cut_washed=False)
    plan = planned(replace(bare(panel), sandwich=sandwich(cloth)))
    check_plan(plan)
    assert plan.goods[0].yield_ == 1.0
