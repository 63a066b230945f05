"""Handles in a redesign: drops stay as they are, and strips follow."""

import math

import pytest

from core.bagfile import demo_bag
from core.compute import compute
from core.errors import FieldError
from core.parts.handles import Handles, HandleStyle
from core.redesign.fit import fit
from core.redesign.rounding import on_ruler
from core.redesign.solve import redesign
from core.redesign.wants import Request
from tests.helpers import changed, demo, inch

DROPS = ("handle_drop_front", "handle_drop_back")
JOINS = 2 * inch(0.25)


def _drops(finished: object) -> list[float]:
    return [finished[name] for name in DROPS]


@pytest.mark.parametrize("face", [10, 13, 19, 24])
def test_a_taller_or_lower_bag_keeps_both_drops(face: int) -> None:
    before = compute(demo_bag()).finished
    found = redesign(demo_bag(), Request(wants={"face_height": inch(face)})).after
    assert _drops(found.finished) == pytest.approx(_drops(before), abs=1e-6)
    # The panel grows by the same on both faces, and each leg of the loop with it.
    longer = 4 * (inch(face) - before["face_height"])
    assert found.finished["handle_loop"] - before["handle_loop"] == pytest.approx(longer, abs=1e-6)


def test_a_longer_loop_is_whole_strips_and_a_last_one_of_its_own_length() -> None:
    found = redesign(demo_bag(), Request(wants={"face_height": inch(19)})).after
    handles, whole = found.bag.handles, found.bag.site.whole_strip
    loop = found.finished["handle_loop"]
    assert handles.strips == math.ceil(loop / (whole - JOINS))
    last = loop - (handles.strips - 1) * (whole - JOINS) + JOINS
    assert handles.last_strip == pytest.approx(last, abs=1e-6)
    assert found.bag.sandwich == demo_bag().sandwich, "the goods are as wide as they were"


@pytest.mark.parametrize(
    "asked", ["handle_loop", "handle_strips", "handle_last_strip", "goods_width"]
)
def test_strips_that_are_held_do_not_follow(asked: str) -> None:
    request = Request(wants={"face_height": inch(19)}, holds=frozenset({asked}))
    found = redesign(demo_bag(), request).after
    assert found.bag.handles == demo_bag().handles
    assert found.finished["handle_drop_front"] < compute(demo_bag()).finished["handle_drop_front"]


def test_with_another_front_trim_one_drop_is_kept_and_the_other_stays_near() -> None:
    start = redesign(demo_bag(), Request(wants={"handle_drop_front": inch(10)})).after.bag
    before = compute(start).finished
    found = redesign(start, Request(wants={"zip_offset": inch(3)})).after.finished
    moved = [abs(now - was) for now, was in zip(_drops(found), _drops(before), strict=True)]
    assert min(moved) == pytest.approx(0.0, abs=1e-6)
    # Drawn out over the gap the two differ by less than a sixteenth for each inch of trim.
    assert 0.0 < max(moved) < inch(0.25)


def test_a_drop_that_is_wanted_is_had_and_the_other_comes_of_it() -> None:
    wants = {"face_height": inch(19), "handle_drop_back": inch(8)}
    found = redesign(demo_bag(), Request(wants=wants)).after.finished
    assert found["handle_drop_back"] == pytest.approx(inch(8), abs=1e-6)


def test_two_separate_handles_keep_their_drops_when_the_zip_moves() -> None:
    handles = Handles(
        style=HandleStyle.SEPARATE, width=inch(1), gap=inch(5), stop=inch(3), strips=1,
        last_strip=inch(34), leg=inch(6),
    )  # fmt: skip
    bag = demo(handles=handles)
    found = redesign(bag, Request(wants={"zip_offset": inch(1.5)})).after.finished
    moved = [
        abs(now - was)
        for now, was in zip(_drops(found), _drops(compute(bag).finished), strict=True)
    ]
    assert min(moved) == pytest.approx(0.0, abs=1e-6)


def test_no_strip_is_joined_for_a_change_that_a_tape_cannot_tell() -> None:
    # Three whole strips: a loop longer by 1/4 in would take a fourth that is all join.
    before = compute(demo_bag()).finished
    near = redesign(
        demo_bag(), Request(wants={"face_height": before["face_height"] + inch(1 / 16)})
    )
    assert near.after.bag.handles == demo_bag().handles
    far = redesign(demo_bag(), Request(wants={"face_height": before["face_height"] + inch(1 / 4)}))
    assert far.after.bag.handles.strips == demo_bag().handles.strips + 1
    assert _drops(far.after.finished) == pytest.approx(_drops(before), abs=1e-6)


def test_the_ruler_rounds_the_last_strip_up() -> None:
    step = inch(1 / 8)
    for face in (300.0, 333.3, 411.1, 450.0, 487.7):
        exact = redesign(demo_bag(), Request(wants={"face_height": face}))
        found = on_ruler(exact, step).result
        last = found.bag.handles.last_strip
        assert last is not None
        assert last / step == pytest.approx(round(last / step), abs=1e-6)
        for now, was in zip(_drops(found.finished), _drops(exact.after.finished), strict=True):
            # A quarter of what a strip is longer is drop; the trim on the ruler parts the two.
            assert -0.05 <= now - was <= step / 2, face


def test_a_last_strip_that_the_ruler_brings_to_the_width_of_its_goods_is_whole() -> None:
    whole = demo_bag().site.whole_strip
    bag = changed(demo_bag(), handle_last_strip=whole - 1.0)
    finished = compute(bag).finished
    found = redesign(bag, Request(wants={"face_height": finished["face_height"] + 0.2}))
    assert found.after.bag.handles.last_strip == pytest.approx(whole - 0.2, abs=1e-6)
    assert on_ruler(found, inch(1 / 2)).result.bag.handles.last_strip is None


def test_measurements_of_a_bag_leave_its_drops_or_set_them() -> None:
    before = compute(demo_bag()).finished
    taller = fit(demo_bag(), {"face_height": inch(18)}).result.finished
    assert _drops(taller) == pytest.approx(_drops(before), abs=1e-6)
    lower = fit(demo_bag(), {"face_height": inch(18), "handle_drop_front": inch(8)}).result.finished
    assert lower["handle_drop_front"] == pytest.approx(inch(8), abs=1e-3)


@pytest.mark.parametrize(("loop", "refused"), [(10_363.7, False), (60 * 5000.0 + 1.0, True)])
def test_a_loop_as_long_as_its_strips_can_be_may_be_wanted(loop: float, refused: bool) -> None:
    """Sixty strips of the widest goods, 5 m: that is the model's own limit, and no less is."""
    if refused:
        with pytest.raises(FieldError, match="Handle loop"):
            redesign(demo_bag(), Request(wants={"handle_loop": loop}))
        return
    found = redesign(demo_bag(), Request(wants={"handle_loop": loop})).after
    assert found.finished["handle_loop"] == pytest.approx(loop)
