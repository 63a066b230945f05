"""What a bag holds: outside, inside, over its box, and why not."""

from dataclasses import replace

import pytest
from hypothesis import given, settings

from core.bag.bag import Bag
from core.bag.choices import without_part
from core.bag.compute import compute
from core.solid.capacity import capacity
from core.solid.fill import MOST_STRETCH, fill
from core.solid.fill_solve import FillCancelledError
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import bare, changed, demo, demo_panel, inch, layer, sandwich
from tests.strategies import sewable_bags


def test_the_demo_bag_holds_about_as_much_as_its_box() -> None:
    found = capacity(demo())
    box = compute(demo()).finished["box_volume"]
    assert found.bag == demo()
    assert found.filled == fill(demo()).volume / 1e6
    assert found.filled_over_box == pytest.approx(found.filled / box, rel=1e-12)
    assert 0.98 < found.filled_over_box < 1.05
    assert found.outside.solution.converged
    assert 0.0 < found.outside.stretch <= MOST_STRETCH
    assert found.not_filled is None


def walled(thickness: float, **parts: object) -> Bag:
    return demo(sandwich=sandwich(layer(thickness=thickness, pressed=0.0)), **parts)


def test_a_thick_wall_holds_less_inside() -> None:
    thick, thin, none = (capacity(walled(thickness)) for thickness in (8.0, 0.5, 0.0))
    assert thick.filled == thin.filled == none.filled
    assert thick.inside_filled < thin.inside_filled < none.inside_filled
    assert none.inside_filled == pytest.approx(none.filled, rel=1e-12)
    assert thick.no_room is None


@pytest.mark.parametrize(
    ("over", "told"), [(-0.01, None), (0.0, "no-room-inside"), (0.01, "no-room-inside")]
)
def test_a_wall_of_half_the_gusset_leaves_no_inside_in_any_figure(
    over: float, told: str | None
) -> None:
    """Inside volume, filled volume inside the wall, and the finding go together."""
    gusset = compute(demo()).finished["gusset_depth"]
    solid = walled(gusset / 2 + over, board=None)
    found = capacity(solid)
    assert found.filled is not None and found.outside is not None
    assert (found.inside_filled is None) == (told is not None)
    assert (compute(solid).finished["inside_volume"] is None) == (told is not None)
    assert (None if found.no_room is None else found.no_room.code) == told
    assert (found.no_room in compute(solid).findings) == (told is not None)


def test_a_bag_that_fills_too_flat_for_its_wall_says_so() -> None:
    """Every size has room for its walls, yet nothing inside is a wall away from all of it."""
    quarter_inch = {name: inch(0.25) for name in ("side_seam", "corner_seam", "top_seam")}
    cut = {"corner_width": inch(3.25), "corner_depth": inch(3), "front_trim": 0.0}
    # A face of 50 mm over a gusset of 6 1/2 in; the zip shows 1/4 in.
    shallow = demo_panel(length=2 * 50.0 + inch(6.5 + 0.5 - 0.25), **cut, **quarter_inch)
    flat = bare(shallow, top=ZipForward(tape_width=inch(0.75), length=inch(21)))
    flat = replace(flat, sandwich=sandwich(layer(thickness=48.0)))
    result, found = compute(flat), capacity(flat)
    assert result.finished["inside_volume"] > 0.0
    assert "no-room-inside" not in {each.code for each in result.findings}
    assert found.inside_filled is None
    assert found.no_room is not None and found.no_room.code == "no-room-inside"


def test_an_open_top_says_why_it_holds_nothing() -> None:
    found = capacity(without_part(demo(), "zip"))
    assert (found.filled, found.inside_filled, found.filled_over_box) == (None, None, None)
    assert found.not_filled is not None and "open top" in found.not_filled.text()
    assert found.outside is None


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
    assert warm.outside.solution.steps < cold.outside.solution.steps
    assert warm.filled == pytest.approx(cold.filled, rel=3e-3)
    assert warm.inside_filled == pytest.approx(cold.inside_filled, rel=3e-3)


def test_an_answer_to_an_open_bag_can_be_started_from() -> None:
    assert capacity(demo(), start=capacity(without_part(demo(), "zip"))).filled is not None


def test_progress_runs_through_shape_and_wall_and_can_stop_the_work() -> None:
    heard: list[float] = []
    capacity(demo(), progress=lambda share: heard.append(share) is None)
    assert heard == sorted(heard)
    assert heard[0] < 0.2 and 0.6 < heard[-1] < 1.0
    outside = max(share for share in heard if share < heard[-1])
    with pytest.raises(FillCancelledError):
        capacity(demo(), progress=lambda share: share <= outside)


def test_a_bag_that_only_just_closes_over_its_board() -> None:
    low = demo(body=demo_panel(length=inch(14.0)), pocket=None, handles=None)
    found = capacity(low)
    assert found.filled is None
    assert found.not_filled is not None and "base board" in found.not_filled.text()


@settings(max_examples=10)
@given(bag=sewable_bags())
def test_whatever_is_told_is_a_shape_that_the_sheet_can_take(bag: Bag) -> None:
    found = capacity(bag)
    assert found.outside is None or found.outside.stretch <= MOST_STRETCH
    assert (found.filled is None) == (found.not_filled is not None)
    assert (found.inside_filled is None) == (
        found.not_filled is not None or found.no_room is not None
    )
    if found.inside_filled is not None:
        assert 0.0 < found.inside_filled <= found.filled
