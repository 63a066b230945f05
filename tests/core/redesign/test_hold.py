"""What the keys of one hold ask anew: a count of bags, not of seconds."""

import pytest

from core.bag.bag import Bag
from core.bag.compute import measure_walls
from core.redesign.filling import kept_capacity
from core.redesign.redesign import redesign
from core.redesign.request import RedesignRequest
from core.redesign.rounding import on_ruler
from core.solid.capacity import Capacity, capacity
from core.solid.fill_solve import FillCancelledError
from tests.helpers import changed, demo, inch

UNKNOWNS = 5
"""Of the demo bag: width, length, front trim, and both sides of a corner cut."""


def count(measured: list[Bag], start: Bag, name: str, value: float) -> int:
    """How many bags one key measures that asks for so much."""
    measured.clear()
    redesign(start, RedesignRequest(wants={name: value}))
    return len(measured)


@pytest.mark.parametrize("name", ["base_width", "gusset_depth", "face_height"])
def test_only_the_first_key_of_a_hold_measures_where_it_began(
    name: str, measured: list[Bag]
) -> None:
    start = demo()
    value = measure_walls(start)[name]
    first, *following = (
        count(measured, start, name, value + inch(keys / 8)) for keys in (1, 2, 3, -4, 2)
    )
    # Lengths are linear, and so one step leads there; the last key leads back to where one led.
    assert following == [1, 1, 1, 0]
    assert first == 1 + 1 + UNKNOWNS, "and the bag that it begins from, with its neighbours"


def test_the_ruler_takes_the_slopes_of_the_bag_that_a_hold_began_from(
    measured: list[Bag],
) -> None:
    """Lengths are linear: what was measured there tells of every bag that a key leads to."""
    start, counts = demo(), []
    for depth in (7.0, 7.25, 7.5):
        found = redesign(start, RedesignRequest(wants={"gusset_depth": inch(depth)}))
        measured.clear()
        on_ruler(found, inch(1 / 8))
        counts.append(len(measured))
    assert counts == [1, 1, 1], "the rounded bag alone, for the parts that follow it"


def test_slopes_that_do_not_tell_where_a_redesign_ended_are_taken_there(
    measured: list[Bag],
) -> None:
    """Beside a pillow there is no bag with corners; 1/4 in allowances are off a 5 mm ruler."""
    pillow = changed(demo(board=None), corner_cut_width=0.0, corner_cut_depth=0.0)
    found = redesign(pillow, RedesignRequest(wants={"gusset_depth": 100.0}))
    measured.clear()
    rounded = on_ruler(found, 5.0)
    assert len(measured) > UNKNOWNS
    assert rounded.result.bag.body.corner_depth == 40.0
    assert rounded.off_ruler == ("corner_cut_width",)
    assert rounded.result.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-9)


def test_what_is_kept_is_of_that_very_bag(measured: list[Bag]) -> None:
    """One that is equal is the same bag; one that is a little wider is not."""
    start = demo()
    assert count(measured, start, "base_width", 300.0) == 2 + UNKNOWNS
    assert count(measured, demo(), "base_width", 310.0) == 1
    other = changed(start, panel_width=470.0)
    assert count(measured, other, "base_width", 320.0) == 2 + UNKNOWNS


def test_only_the_first_key_of_a_hold_fills_the_bag_that_it_began_from(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    start, bags = demo(), []
    held = capacity(start).filled
    kept_capacity.cache_clear()

    def counted(bag: Bag, **known: object) -> Capacity:
        bags.append(bag)
        return capacity(bag, **known)

    monkeypatch.setattr("core.solid.capacity.capacity", counted)
    for key in (1, 2, 3):
        found = redesign(start, RedesignRequest(wants={"filled_volume": held + key / 10}))
        assert found.filled["filled_volume"] == pytest.approx(held + key / 10, rel=1e-4)
    assert bags.count(start) == 1
    assert bags[0] == start


def test_a_filling_that_was_given_up_is_not_kept() -> None:
    start = demo()
    kept_capacity.cache_clear()
    request = RedesignRequest(wants={"filled_volume": 19.0})
    with pytest.raises(FillCancelledError):
        redesign(start, request, progress=lambda share: False)
    assert redesign(start, request).filled["filled_volume"] == pytest.approx(19.0, rel=1e-4)
    # What is kept is told as done, and can be given up as well.
    with pytest.raises(FillCancelledError):
        redesign(start, request, progress=lambda share: False)
