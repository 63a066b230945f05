"""Goods that shrink: washed before anything is cut, or told that the wall will pucker.

What is washed first is common practice, no source; a size L that shrinks by a share s is L (1 - s).
"""

from dataclasses import replace

import pytest

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.sentences import Listing
from core.cutting.buying import purchases
from core.cutting.cut_list import cut_list
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.goods.layers import Layer
from core.goods.supplies import Supplies
from core.sewing.order import sewing_order
from core.sewing.steps import operations, steps
from core.work.operation import Action
from tests.core.sewing.order_proof import Breach, faults_in
from tests.helpers import demo, found, having, inch, layer, sandwich

WASHED = layer("cotton", usable_width=inch(44), shrink_length=0.05, shrink_width=0.03)
STABLE = layer("film", laid_last=True)
UNWASHED = replace(WASHED, cut_washed=False)


def said(bag: Bag, key: str) -> str:
    step = next(each for each in steps(compute(bag)) if each.operation.key == key)
    return " ".join(each.text() for each in step.operation.sentences)


def remarks(bag: Bag) -> dict[str, str]:
    plan = best_plan(compute(bag), PlanOptions(builds=1))
    return {each.what.text(): each.remark.text() for each in purchases(plan)}


def test_washing_is_the_first_step_and_names_only_what_is_washed() -> None:
    bag = demo(sandwich=sandwich(WASHED, layer("fleece"), STABLE))
    first = steps(compute(bag))[0].operation
    assert first.key == "wash goods"
    assert (
        first.instructions[0].text().startswith("Wash and dry the cotton as you will wash the bag")
    )
    told = first.instructions[1]
    assert told.words["goods"] == "cotton"
    assert told.lengths["usable_width"] == pytest.approx(inch(44))
    assert told.lengths["washed_width"] == pytest.approx(0.97 * inch(44))
    assert "cotton" in told.text()
    assert "film" not in said(bag, "wash goods")


@pytest.mark.parametrize(
    "goods", [UNWASHED, layer("cotton"), replace(layer("cotton"), cut_washed=True)]
)
def test_nothing_else_is_washed(goods: Layer) -> None:
    every = steps(compute(demo(sandwich=sandwich(goods, STABLE))))
    assert not [each for each in every if each.operation.action is Action.WASH]
    assert every[0].operation.key == "cut panel"


def test_goods_of_pocket_and_handles_are_washed_too_where_they_are_used() -> None:
    bag = demo(supplies=Supplies(pocket=replace(WASHED, role="pocket fabric")))
    assert "pocket fabric" in said(bag, "wash goods")
    without = steps(compute(having(bag, pocket=None)))
    assert "wash goods" not in {each.operation.key for each in without}


def test_nothing_is_cut_before_the_washing() -> None:
    result = compute(demo(sandwich=sandwich(WASHED, STABLE)))
    every = operations(result.bag, result.draft)
    first, *others = (each.key for each in sewing_order(every))
    assert first == "wash goods"
    place = max(others.index(key) for key in ("cut panel", "cut front pocket", "cut handle strip"))
    faults = faults_in(every, [*others[: place + 1], first, *others[place + 1 :]])
    early = {fault.step for fault in faults if fault.other == first}
    assert early >= {"cut panel", "cut front pocket", "cut handle strip"}
    assert all(fault.breach is Breach.EARLY for fault in faults)


def test_what_to_buy_says_what_is_washed() -> None:
    told = remarks(demo(sandwich=sandwich(WASHED, replace(UNWASHED, role="fleece"), STABLE)))
    assert told["cotton"].endswith("; wash and dry it before cutting")
    assert told["fleece"].endswith("; cut larger, as it is not washed first")
    assert "wash" not in told["film"]


def test_cut_list_and_steps_agree() -> None:
    """Washed first: cut as drawn. Not washed: cut larger, by 1 / (1 - s)."""
    for goods, share in ((WASHED, 0.0), (UNWASHED, 0.03)):
        bag = demo(sandwich=sandwich(goods, STABLE))
        item = next(each for each in cut_list(compute(bag)).items if each.goods is goods)
        assert item.across == pytest.approx(inch(18.5) / (1 - share))
        assert ("Cut the cotton larger, as in the cut list" in said(bag, "cut panel")) == bool(
            share
        )


def test_a_size_after_washing_is_told_only_where_all_layers_shrink_alike() -> None:
    other = replace(UNWASHED, role="lining")
    alike = said(demo(sandwich=sandwich(UNWASHED, other)), "cut panel")
    # 1 / (1 - 0.05) = 1.0526 along, 1 / (1 - 0.03) = 1.0309 across.
    assert "5.26 % larger along the material and 3.09 % across" in alike
    assert "After its first wash the bag has the sizes given" in alike
    apart = said(demo(sandwich=sandwich(UNWASHED, STABLE)), "cut panel")
    assert "After its first wash" not in apart
    square = replace(UNWASHED, shrink_width=0.05)
    assert "5.26 % larger, except" in said(demo(sandwich=sandwich(square)), "cut panel")


def test_the_largest_difference_is_told_with_its_goods() -> None:
    bag = demo(
        sandwich=sandwich(
            replace(UNWASHED, name="brushed cotton"),
            layer("fleece", shrink_length=0.02, cut_washed=False),
            layer("film", name="laminate"),
        )
    )
    finding = found(bag, "layers-shrink-apart")
    assert finding is not None
    assert finding.value == pytest.approx(5.0)
    assert finding.limit == 1.0
    told = finding.message.text()
    assert (
        "The brushed cotton is not washed first and shrinks 5 % more in length than the laminate"
        in told
    )
    assert "the wall will pucker when it is washed" in told


@pytest.mark.parametrize(
    "goods",
    [
        (UNWASHED, replace(UNWASHED, role="lining")),
        (WASHED, STABLE),
        (WASHED, replace(WASHED, role="lining", shrink_length=0.3)),
        (UNWASHED,),
    ],
)
def test_what_shrinks_alike_or_is_washed_first_does_not_pucker(goods: tuple[Layer, ...]) -> None:
    assert found(demo(sandwich=sandwich(*goods), handles=None), "layers-shrink-apart") is None


def test_a_pocket_of_goods_that_shrink_puckers_the_wall() -> None:
    assert found(demo(supplies=Supplies(pocket=UNWASHED)), "layers-shrink-apart") is not None
    bare = demo(supplies=Supplies(pocket=UNWASHED), pocket=None)
    assert found(bare, "layers-shrink-apart") is None


def test_goods_of_one_name_are_measured_in_each_of_their_widths() -> None:
    wide = replace(WASHED, usable_width=inch(60), shrink_width=0.02)
    for inner, widths in ((WASHED, [0.97 * inch(44)]), (wide, [0.97 * inch(44), 0.98 * inch(60)])):
        first = steps(compute(demo(sandwich=sandwich(WASHED, inner, STABLE))))[0].operation
        assert first.instructions[0].words["goods"] == Listing(["cotton"])
        assert [each.lengths["washed_width"] for each in first.instructions[1:]] == pytest.approx(
            widths
        )


def test_what_does_not_shrink_is_not_cut_larger() -> None:
    """The board is told in the size that it has in the washed bag."""
    even = replace(UNWASHED, shrink_width=0.05)
    for goods in (UNWASHED, even):
        bag = demo(sandwich=sandwich(goods))
        assert "except for whatever does not shrink" in said(bag, "cut panel")
    assert "does not shrink" not in said(demo(sandwich=sandwich(STABLE)), "cut panel")
