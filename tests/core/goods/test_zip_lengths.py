"""Zips as they are sold: which lengths, what is told of others, and what the fix takes."""

from dataclasses import replace
from itertools import pairwise

import pytest

from core.bag.bag import Bag, with_figures
from core.bag.compute import Around, compute
from core.base.errors import FieldError
from core.base.units import Unit
from core.cutting.buying import purchases
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.goods.supplies import INCH_ZIPS, METRIC_ZIPS, Supplies, sold_length, zip_lengths_of
from core.model.findings import Severity
from core.storage.bag_file import project_to_json
from core.storage.project import Project
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import (
    HALF_STEP,
    changed,
    codes,
    demo,
    found,
    having,
    inch,
    project_from_json,
    zip_to_buy,
)
from tests.ids import PIECES

UNSOLD, SHORT = "zip-length-not-sold", "zip-too-short"


def zipped(length: float, *, by_length: bool = False, unit: Unit = Unit.INCH) -> Bag:
    """The demo, whose panel takes a zip of 20 1/2 in at least."""
    top = ZipForward(tape_width=inch(1.25), length=length, by_length=by_length)
    return replace(demo(top=top), unit=unit)


@pytest.mark.parametrize("unit", Unit)
@pytest.mark.parametrize("length", [inch(22), inch(24), 550.0, 600.0])
def test_a_length_that_is_sold_by_the_inch_or_the_centimetre_is_sold(
    length: float, unit: Unit
) -> None:
    assert UNSOLD not in codes(compute(zipped(length, unit=unit)))


@pytest.mark.parametrize("over", [HALF_STEP, -HALF_STEP])
@pytest.mark.parametrize(
    ("length", "unit", "takes"), [(inch(22), Unit.INCH, inch(22)), (600.0, Unit.CM, 550.0)]
)
def test_half_a_step_beside_a_sold_length_is_no_zip(
    length: float, over: float, unit: Unit, takes: float
) -> None:
    """The shortest that reaches is offered: 22 in, or 55 cm, for a panel that takes 20 1/2 in."""
    bag = zipped(length + over, unit=unit)
    finding = found(bag, UNSOLD)
    assert finding is not None
    assert finding.severity is Severity.NOTE
    assert finding.limit == takes
    (fix,) = finding.fixes
    after = compute(with_figures(bag, dict(fix.changes)))
    assert after.cut["zip_length"] == pytest.approx(takes)
    assert not {UNSOLD, SHORT} & codes(after)


def test_zip_by_length_has_any_length() -> None:
    assert UNSOLD not in codes(compute(zipped(inch(21.3), by_length=True)))
    short = found(zipped(inch(20), by_length=True), SHORT)
    assert short is not None
    assert dict(short.fixes[0].changes) == {"zip_length": pytest.approx(inch(20.5))}


def test_a_zip_that_is_too_short_is_fixed_with_one_that_is_sold() -> None:
    bag = zipped(inch(19))
    finding = found(bag, SHORT)
    assert finding is not None
    assert finding.limit == pytest.approx(inch(20.5))
    assert UNSOLD not in codes(compute(bag))
    after = compute(with_figures(bag, dict(finding.fixes[0].changes)))
    assert after.cut["zip_length"] == pytest.approx(inch(22))
    assert not {UNSOLD, SHORT} & codes(after)


def test_the_makers_own_list_comes_before_the_usual_one() -> None:
    own = replace(zipped(inch(22)), supplies=Supplies(zip_lengths=(800.0, 530.0, 530.0)))
    assert own.supplies.zip_lengths == (530.0, 800.0)
    finding = found(own, UNSOLD)
    assert finding is not None
    assert finding.limit == 530.0
    assert UNSOLD not in codes(compute(changed(own, zip_length=800.0)))


def test_the_next_length_that_the_shop_sells_is_bought_and_cut() -> None:
    """What a bag takes was typed, 22 in; a shop with 18, 24 and 30 in sells the 24 in for it."""
    shop = (inch(18), inch(24), inch(30))
    bag = replace(zipped(inch(22)), shop_zips=shop)
    assert bag == zipped(inch(22)), "a bag is the same in any shop"
    assert zip_to_buy(bag) == inch(24)
    assert zip_to_buy(zipped(inch(22))) == inch(22)
    finding = found(bag, UNSOLD)
    assert finding is not None
    assert finding.limit == inch(24)
    told = compute(bag).draft.piece(PIECES["zip"]).notes[0].text()
    assert "609.6 mm long, cut it to 558.8 mm" in told
    (line,) = (
        each
        for each in purchases(best_plan(compute(bag), PlanOptions(builds=1)))
        if each.what.template == "zip"
    )
    assert line.remark.text().endswith("609.6 mm long, the next length sold, cut to 558.8 mm")
    assert ZipForward.fresh(Around(bag)).length == inch(24), "a new one is taken as it is sold"
    longest = replace(zipped(inch(40)), shop_zips=shop)
    assert zip_to_buy(longest) == inch(40), "none reaches: it is bought by length"
    by_length = replace(zipped(inch(22), by_length=True), shop_zips=shop)
    assert zip_to_buy(by_length) == inch(22)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({}, "No. 5, 558.8 mm long"),
        ({"colour": "red"}, "No. 5, red, 558.8 mm long"),
        ({"gauge": ""}, "558.8 mm long"),
        ({"gauge": "", "colour": "red"}, "red, 558.8 mm long"),
    ],
)
def test_what_is_known_of_the_zip_to_buy_is_told_and_nothing_else(changes, told: str) -> None:
    bag = having(demo(), top=ZipForward(tape_width=inch(1.25), length=inch(22), **changes))
    (notion,) = bag.top.notions(bag.site, compute(bag).draft)
    assert notion.kind is not None
    assert notion.kind.text() == told


def test_the_bags_own_list_comes_before_the_shops() -> None:
    bag = replace(
        zipped(inch(22)), supplies=Supplies(zip_lengths=(inch(23),)), shop_zips=(inch(22), inch(24))
    )
    assert zip_to_buy(bag) == inch(23)


def test_every_bag_of_a_project_is_bought_in_one_shop() -> None:
    project = Project(bag=zipped(inch(22))).with_variant("Other", zipped(inch(20)))
    sold = replace(project, shop_zips=(inch(30), inch(24)))
    assert sold.bag.shop_zips == sold.variant("Other").shop_zips == (inch(24), inch(30))
    assert project_from_json(project_to_json(sold), source="") == project, "no file has it"
    assert "shop" not in project_to_json(sold)


@pytest.mark.parametrize(
    ("text", "unit", "inches"),
    [
        ("18; 24", Unit.INCH, (18, 24)),
        ("60.96 cm, 18in;", Unit.MM, (18, 24)),
        ("24", Unit.INCH, (24,)),
    ],
)
def test_lengths_are_typed_with_a_semicolon_or_a_comma_between(
    text: str, unit: Unit, inches: tuple[int, ...]
) -> None:
    assert zip_lengths_of(text, unit) == pytest.approx([inch(each) for each in inches])


def test_beyond_the_longest_zip_only_zip_by_length_helps() -> None:
    wide = changed(demo(), panel_width=inch(34) + HALF_STEP, zip_length=inch(40))
    finding = found(wide, UNSOLD)
    assert finding is not None
    assert finding.limit is None
    assert finding.fixes == ()
    assert "continuous zip" in finding.message.text()
    reached = changed(demo(), panel_width=inch(34) - HALF_STEP, zip_length=inch(40))
    finding = found(reached, UNSOLD)
    assert finding is not None
    assert finding.limit == pytest.approx(inch(36))


@pytest.mark.parametrize("lengths", [INCH_ZIPS, METRIC_ZIPS])
def test_usual_lengths_rise_and_round_up(lengths: tuple[float, ...]) -> None:
    assert list(lengths) == sorted(set(lengths))
    for shorter_one, longer in pairwise(lengths):
        assert sold_length(longer, lengths) == longer
        assert sold_length(shorter_one + HALF_STEP, lengths) == longer
    assert sold_length(lengths[-1] + HALF_STEP, lengths) == lengths[-1] + HALF_STEP


@pytest.mark.parametrize("lengths", [(), (0.0,), (-5.0,), (float("nan"),), (1e9,), (5.0,) * 101])
def test_a_list_that_no_shop_has_is_refused(lengths: tuple[float, ...]) -> None:
    with pytest.raises(FieldError) as refused:
        Supplies(zip_lengths=lengths)
    assert refused.value.field == "zip_lengths"
    assert str(refused.value).startswith("Zip lengths")
