"""What is seen from outside is turned only where less is bought, and all of a bag together.

Expected lengths are closed sums of the sides of a few rectangles, worked out by hand beside each
case. The panels are plain pillows 300 x 800 mm, so that nothing but the numbers matters.
"""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import compute
from core.bodies.boxed_panel.panel import BoxedPanel
from core.cutting.buying import ways_of_goods
from core.cutting.plan import GoodsPlan, Plan, PlanOptions
from core.cutting.planner import best_plan
from core.flat.piece import GrainTurn
from core.goods.layers import Layer
from core.parts.pocket.pocket import Pocket, PocketFaces
from core.storage.bag_file import project_to_json
from core.storage.bag_files import SAMPLES, demo_bag, sample
from core.storage.project import Project
from core.tops.hem.hem import Hem
from tests.core.cutting.plan_checks import check_plan
from tests.helpers import bare, having, layer, project_from_json, sandwich
from tests.strategies import bags as random_bags

STEP = 100.0


def pillow(goods: Layer, *, pocket: float | None = None, inner: Layer | None = None) -> Bag:
    """A bag of one panel, 300 x 800, with a pocket 300 wide where a cut height is given."""
    panel = BoxedPanel(
        width=300.0,
        length=800.0,
        front_trim=0.0,
        corner_width=0.0,
        corner_depth=0.0,
        side_seam=10.0,
        corner_seam=10.0,
        top_seam=10.0,
        bottom_seam=0.0,
    )
    layers = (goods,) if inner is None else (goods, inner)
    bag = replace(bare(panel, top=Hem()), sandwich=sandwich(*layers))
    if pocket is not None:
        cut = Pocket(faces=PocketFaces.FRONT, cut_height=pocket, drop=20.0, seam=10.0)
        bag = having(bag, pocket=cut)
    return bag


def cloth(width: float, **changes: object) -> Layer:
    return layer(usable_width=width, sold_step=STEP, **changes)


def planned(bag: Bag, **options: object) -> Plan:
    return best_plan(compute(bag), PlanOptions(**options))  # type: ignore[arg-type]  # as given


def turned(goods: GoodsPlan) -> list[str]:
    return sorted(each.item.piece.label for each in goods.laid if each.turned)


def test_both_ways_buy_the_same() -> None:
    """On goods 800 wide: straight 800 long; turned 300 long. On steps of 800 both are one step."""
    plan = planned(pillow(cloth(800.0, name="drill"))).goods[0]
    assert (turned(plan), plan.length_to_buy) == (["panel"], 300.0)
    assert plan.saved == pytest.approx(500.0)
    same = layer(usable_width=800.0, sold_step=800.0)
    plan = planned(pillow(same)).goods[0]
    assert (turned(plan), plan.length_to_buy, plan.saved) == ([], 800.0, 0.0)


def test_just_one_step_decides() -> None:
    """Two panels on goods 650 wide lie side by side, 800 long; nothing is turned for 799.

    One panel: straight 800; it is 800 wide when turned, so that goods of 799 take it straight
    only, and goods of 800 turned, for 300.
    """
    assert turned(planned(pillow(cloth(650.0)), bags=2).goods[0]) == []
    assert planned(pillow(cloth(799.0))).goods[0].length_to_buy == 800.0
    assert planned(pillow(cloth(800.0))).goods[0].length_to_buy == 300.0


def test_panel_and_pocket_turn_together() -> None:
    """Panel 300 x 800 and pocket 300 x 400 on goods 800 wide.

    Straight, side by side: 800. Turned: 300 + 300 = 600, as 800 + 400 is too wide for one row.
    """
    plan = planned(pillow(cloth(800.0), pocket=400.0)).goods[0]
    assert (turned(plan), plan.length_to_buy) == (["front pocket", "panel"], 600.0)
    # On steps of 800 both are one.
    same = layer(usable_width=800.0, sold_step=800.0)
    assert turned(planned(pillow(same, pocket=400.0)).goods[0]) == []


def test_right_angles_only_when_told() -> None:
    """Panel 300 x 800 and pocket 300 x 400 on goods 700 wide, which take the panel straight only.

    Both straight: 300 + 300 = 600 wide, 800 long: nothing is saved. On goods 1100 wide: both
    straight 800; both turned 300 + 300 = 600 (800 + 400 = 1200 is too wide); panel turned and
    pocket straight 800 + 300 = 1100 wide, 400 long.
    """
    goods = cloth(1100.0)
    plan = planned(pillow(goods, pocket=400.0)).goods[0]
    assert (turned(plan), plan.length_to_buy) == (["front pocket", "panel"], 600.0)
    plan = planned(pillow(goods, pocket=400.0), mixed_grain=True).goods[0]
    assert (turned(plan), plan.length_to_buy) == (["panel"], 400.0)
    assert turned(planned(pillow(cloth(700.0), pocket=400.0), mixed_grain=True).goods[0]) == []


def test_a_pocket_of_its_own_goods_turns_with_its_panel() -> None:
    """Pocket 300 x 400 on other goods 400 wide: turned it would save 100, and only with the panel.

    The panel's goods, 700 wide, cannot take it turned.
    """
    bag = pillow(cloth(700.0), pocket=400.0)
    bag = replace(bag, supplies=replace(bag.supplies, pocket=cloth(400.0, name="stripe")))
    plan = planned(bag)
    assert [turned(each) for each in plan.goods if each.laid] == [[], []]
    told = planned(bag, mixed_grain=True)
    assert [turned(each) for each in told.goods if each.laid] == [[], ["front pocket"]]


def test_what_fits_only_turned_takes_its_pocket_along() -> None:
    """A panel 300 x 200 on goods 250 wide fits turned only; a pocket 300 x 150 fits turned too."""
    bag = pillow(cloth(250.0))
    small = replace(bag.body, length=200.0)
    bag = having(
        bag, body=small, pocket=replace(pillow(cloth(250.0), pocket=150.0).parts.get("pocket"))
    )
    bag = (
        having(bag, pocket=replace(bag.parts["pocket"], drop=5.0))
        if bag.parts.get("pocket")
        else bag
    )
    plan = planned(bag).goods[0]
    assert turned(plan) == ["front pocket", "panel"]
    assert plan.saved == 0.0


@pytest.mark.parametrize(
    "changes", [{"one_way": True}, {"turn": GrainTurn.NEVER}, {"turn": GrainTurn.HALF}]
)
def test_a_print_that_runs_one_way_is_never_turned(changes: dict[str, object]) -> None:
    """Though turned it would take 300 in place of 800."""
    plan = planned(pillow(cloth(800.0, **changes)), mixed_grain=True).goods[0]
    assert (turned(plan), plan.length_to_buy) == ([], 800.0)


def test_inner_layers_lie_as_they_fit() -> None:
    """Foam 900 wide takes the panel turned, for less length, though no step is saved by it."""
    foam = layer("foam", name="foam", usable_width=900.0, sold_step=900.0)
    outer, inner = planned(pillow(cloth(650.0), inner=foam)).goods
    assert turned(outer) == []
    assert turned(inner) == ["panel"]


def test_some_bags_of_many() -> None:
    """Three panels 300 x 800 on goods 800 wide, steps of 100.

    Straight: two side by side and one after, 1600. All turned: 900. Two side by side are 600
    wide and 800 long, with 200 beside them, where no third fits.
    """
    plan = planned(pillow(cloth(800.0)), bags=3).goods[0]
    assert (len(turned(plan)), plan.length_to_buy) == (3, 900.0)
    # On goods 1000 wide: three side by side 800; turned one after another 900.
    assert turned(planned(pillow(cloth(1000.0)), bags=3).goods[0]) == []


def test_it_is_told() -> None:
    plan = planned(pillow(cloth(1100.0), pocket=400.0))
    told = [way.text() for way in ways_of_goods(plan.goods[0])]
    assert any("panel and front pocket" in way and "saves 200 mm" in way for way in told)
    grain = {item.piece.label: plan.grain_of(item).text() for item in plan.cut_list.items}
    assert grain["panel"] == "turned: grain along the 300 mm side"
    plain = planned(pillow(cloth(700.0), pocket=400.0))
    grain = {item.piece.label: plain.grain_of(item).text() for item in plain.cut_list.items}
    assert grain == {
        "panel": "grain along the 800 mm side",
        "front pocket": "grain along the 400 mm side",
    }
    assert not list(ways_of_goods(plain.goods[0]))


def test_the_choice_is_kept_in_the_file() -> None:
    making = PlanOptions(mixed_grain=True)
    kept = project_to_json(Project(bag=demo_bag(), making=making))
    assert project_from_json(kept, source="kept").making.mixed_grain
    assert PlanOptions.of(making).mixed_grain


@settings(max_examples=40)
@given(random_bags(), st.integers(1, 4), st.booleans())
def test_no_face_has_two_grains(bag: Bag, count: int, folded: bool) -> None:
    """Of any bag: all that shows of one bag lies one way, unless some of it fits no other way."""
    assert_one_grain(bag, count=count, folded=folded)


@pytest.mark.parametrize("name", sorted(set(SAMPLES) - {"boxed"}))
def test_no_face_of_a_sample_has_two_grains(name: str) -> None:
    """Each has several pieces that show, and could be laid either way; "boxed" has its panel."""
    assert assert_one_grain(sample(name), count=2, folded=False) == 2


def assert_one_grain(bag: Bag, *, count: int, folded: bool) -> int:
    """How many of the bags have more than one piece that shows and that fits either way."""
    met = 0
    plan = best_plan(compute(bag), PlanOptions(bags=count, folded=folded, builds=5))
    check_plan(plan)
    for number in range(1, count + 1):
        shown = [
            each
            for goods in plan.goods
            for each in goods.laid
            if each.bag == number and each.item.shows
        ]
        free = all(
            min(each.item.across, each.item.along) <= each.item.goods.cutting_width
            and max(each.item.across, each.item.along) <= each.item.goods.cutting_width
            for each in shown
        )
        if free and not any(each.item.goods.in_sheets for each in shown):
            assert len({each.turned for each in shown}) <= 1
            met += len(shown) > 1
    return met
