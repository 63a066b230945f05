"""Notions: what one bag takes besides goods."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import compute
from core.cutting.buying import purchases
from core.cutting.cut_list import Notions, clips_around, notions_of
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.sewing.steps import operations
from core.storage.bag_files import demo_bag, sample
from core.tops.hem.hem import Hem
from core.tops.zip_forward.zip import ZipForward
from core.work.machine import Stitch
from tests.helpers import demo, having, inch, layer, sandwich
from tests.strategies import bags, carriers


def tape_of(notions: Notions) -> float:
    """Basting tape in all."""
    return math.fsum(each.length or 0.0 for each in notions.others)


@pytest.mark.parametrize(
    ("length", "spacing", "clips"), [(1000.0, 100.0, 10), (1001.0, 100.0, 11), (99.0, 100.0, 1)]
)
def test_clips_are_no_further_apart_than_asked(length: float, spacing: float, clips: int) -> None:
    assert clips_around(length, spacing) == clips
    assert length / clips <= spacing


def test_notions_of_a_worked_bag() -> None:
    """W 18 1/2, L 38 1/2, t 1 1/2, a 3 3/8, b 3; stop 5: lengths by hand."""
    notions = notions_of(compute(demo()))
    assert [each.what for each in notions.others] == ["zip", "basting tape"]
    assert tape_of(notions) == pytest.approx(2 * (inch(17.75 - 5) + inch(19.25 - 5)))
    assert notions.clips == math.ceil((2 * (18.5 + 37) + 4 * 3.375) / 2)
    assert notions.stack == pytest.approx(2 * 2 * 0.4)
    assert notions.thickest == pytest.approx(4 * 2 * 0.4)
    assert notions.needle.metric == 90


def test_needles_are_tried_on_what_lies_where_seams_cross() -> None:
    for pressed, walls in ((1.5, 4), (1.6, 3)):  # 6 mm: above that the side seam is opened
        wall = sandwich(layer(thickness=2.0, pressed=pressed))
        plan = best_plan(compute(demo(sandwich=wall, pocket=None)), PlanOptions(builds=1))
        needles = next(e for e in purchases(plan) if e.what.text() == "needles")
        assert f"{walls * pressed:.2g} mm" in needles.remark.text()


def test_what_a_bag_lacks_takes_no_thread() -> None:
    bag = having(demo_bag(), top=Hem(), pocket=None, handles=None)
    notions = notions_of(compute(bag))
    names = {each.label for each in notions.lines}
    assert notions.others == ()
    assert "zip seams" not in names
    assert not {name for name in names if "handle" in name or "pocket" in name or "strip" in name}
    assert "hems" in names
    assert notions.thread < notions_of(compute(demo_bag())).thread


def test_two_separate_handles_are_taped_on_their_legs() -> None:
    result = compute(sample("lunch"))
    handles = result.bag.parts.get("handles")
    assert handles is not None
    assert tape_of(notions_of(result)) == pytest.approx(4 * handles.leg)


@settings(max_examples=30)
@given(bag=st.one_of(bags(), carriers()))
def test_thread_to_buy_is_that_of_the_order_of_sewing(bag: Bag) -> None:
    """Each line that is sewn takes the more of a table's ratio and of its geometry, and 15 %.

    2.5 for a lockstitch, 5.5 for a zigzag (apparelscience.com); along each stitch twice and
    twice through what lies there (textilecalculations.com).
    """
    result = compute(bag)
    sewn = 0.0
    for each in operations(bag, result.draft):
        for line in each.stitching if each.setting else ():
            assert each.setting is not None
            slant = math.sqrt(1.0 + (each.setting.width / each.setting.length) ** 2)
            geometry = 2.0 * slant + 2.0 * line.stack / each.setting.length
            table = 5.5 if each.setting.stitch is Stitch.ZIGZAG else 2.5
            sewn += line.length * max(table, geometry)
    assert sewn > 0.0
    assert notions_of(result).thread == pytest.approx(1.15 * sewn)


def test_three_demo_bags_take_two_spools() -> None:
    """Spools of 200 m: every line counts, those along the zip and round the stops too."""
    plan = best_plan(compute(demo_bag()), PlanOptions(bags=3, builds=1))
    assert isinstance(demo_bag().top, ZipForward)
    assert 200_000.0 < plan.thread < 400_000.0
    assert plan.spools == 2
