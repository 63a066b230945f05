"""What a bag holds: outside, inside, over its box, and why not."""

from dataclasses import replace

import pytest
from hypothesis import given, settings

from core.bag import Bag, without_part
from core.compute import compute
from core.solid.capacity import capacity
from core.solid.fill import MOST_STRETCH, filled_volume
from core.solid.fill_solve import FillCancelledError
from tests.helpers import changed, demo, demo_panel, inch, layer, sandwich
from tests.strategies import sewable_bags


def test_the_demo_bag_holds_about_as_much_as_its_box() -> None:
    found = capacity(demo())
    box = compute(demo()).finished["box_volume"]
    assert found.bag == demo()
    assert found.filled == filled_volume(demo())
    assert found.filled_over_box == pytest.approx(found.filled / box, rel=1e-12)
    assert 0.98 < found.filled_over_box < 1.05
    assert found.converged
    assert 0.0 < found.stretch <= MOST_STRETCH
    assert found.trouble is None


def test_a_thick_wall_holds_less_inside() -> None:
    thick = demo(sandwich=sandwich(layer(thickness=inch(0.25), pressed=1.0)))
    found = capacity(thick)
    assert found.filled_inside == pytest.approx(filled_volume(thick, inside=True), rel=2e-3)
    assert found.filled_inside < found.filled
    thin = capacity(replace(thick, sandwich=sandwich(layer(thickness=0.0, pressed=0.0))))
    assert thin.filled_inside == pytest.approx(thin.filled, rel=2e-3)


def test_a_wall_that_takes_up_all_the_room_leaves_no_inside() -> None:
    solid = demo(board=None, sandwich=sandwich(layer(thickness=90.0), layer(thickness=90.0)))
    found = capacity(solid)
    assert found.filled is not None
    assert found.filled_inside is None and found.inside is None


def test_an_open_top_says_why_it_holds_nothing() -> None:
    found = capacity(without_part(demo(), "zip"))
    assert (found.filled, found.filled_inside, found.filled_over_box) == (None, None, None)
    assert found.trouble is not None and "open top" in found.trouble.text()
    assert found.converged and found.stretch == 0.0


def test_a_pillow_has_no_box_to_be_compared_with() -> None:
    pillow = changed(demo(board=None), corner_cut_width=0.0, corner_cut_depth=0.0)
    found = capacity(pillow)
    assert found.filled is not None and found.filled > 5.0
    assert found.filled_over_box is None


def test_an_answer_nearly_alike_saves_work_and_changes_nothing_that_is_read() -> None:
    wider = changed(demo(), panel_width=inch(18.625))
    first = capacity(demo())
    warm, cold = capacity(wider, start=first), capacity(wider)
    assert warm.bag == wider
    assert warm.outside.iterations < cold.outside.iterations
    assert warm.filled == pytest.approx(cold.filled, rel=3e-3)
    assert warm.filled_inside == pytest.approx(cold.filled_inside, rel=3e-3)


def test_an_answer_to_an_open_bag_can_be_started_from() -> None:
    assert capacity(demo(), start=capacity(without_part(demo(), "zip"))).filled is not None


def test_progress_runs_through_both_shapes_and_can_stop_the_work() -> None:
    heard: list[float] = []
    capacity(demo(), progress=lambda share: heard.append(share) is None)
    assert heard == sorted(heard)
    assert heard[0] < 0.2 and 0.6 < heard[-1] < 1.0
    with pytest.raises(FillCancelledError):
        capacity(demo(), progress=lambda share: share < 0.7)


def test_a_bag_that_only_just_closes_over_its_board() -> None:
    low = demo(panel=demo_panel(length=inch(14.0)), pocket=None, handles=None)
    found = capacity(low)
    assert found.filled is None
    assert found.trouble is not None and "base board" in found.trouble.text()


@settings(max_examples=10)
@given(bag=sewable_bags())
def test_whatever_is_told_is_a_shape_that_the_sheet_can_take(bag: Bag) -> None:
    found = capacity(bag)
    assert found.stretch <= MOST_STRETCH
    assert (found.filled is None) == (found.trouble is not None)
    if found.filled is not None and found.filled_inside is not None:
        assert found.filled_inside <= found.filled * (1 + 1e-3)
