"""Handles in a redesign: drops stay as they are, and strips follow."""

import math
from dataclasses import replace
from types import SimpleNamespace

import pytest

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.errors import FieldError
from core.flat.roles import Face
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.redesign.measured import fit
from core.redesign.redesign import redesign
from core.redesign.request import RedesignRequest
from core.redesign.rounding import on_ruler
from core.site.site import Finished
from core.storage.bag_files import demo_bag
from tests.helpers import changed, demo, inch, layer, sandwich

DROPS = ("handle_drop_front", "handle_drop_back")
JOINS = 2 * inch(0.25)


def _drops(finished: object) -> list[float]:
    return [finished[name] for name in DROPS]


@pytest.mark.parametrize("face", [10, 13, 19, 24])
def test_a_taller_or_lower_bag_keeps_both_drops(face: int) -> None:
    before = compute(demo_bag()).finished
    found = redesign(demo_bag(), RedesignRequest(wants={"face_height": inch(face)})).after
    assert _drops(found.finished) == pytest.approx(_drops(before), abs=1e-6)
    # The panel grows by the same on both faces, and each leg of the loop with it.
    longer = 4 * (inch(face) - before["face_height"])
    assert found.finished["handle_loop"] - before["handle_loop"] == pytest.approx(longer, abs=1e-6)


def test_a_longer_loop_is_whole_strips_and_a_last_one_of_its_own_length() -> None:
    found = redesign(demo_bag(), RedesignRequest(wants={"face_height": inch(19)})).after
    handles, whole = found.bag.parts.get("handles"), found.bag.site.goods("handles").washed_width
    loop = found.finished["handle_loop"]
    assert handles.strips == math.ceil(loop / (whole - JOINS))
    last = loop - (handles.strips - 1) * (whole - JOINS) + JOINS
    assert handles.last_strip == pytest.approx(last, abs=1e-6)
    assert found.bag.sandwich == demo_bag().sandwich, "the goods are as wide as they were"


@pytest.mark.parametrize(
    "asked", ["handle_loop", "handle_strips", "handle_last_strip", "goods_width"]
)
def test_strips_that_are_held_do_not_follow(asked: str) -> None:
    request = RedesignRequest(wants={"face_height": inch(19)}, holds=frozenset({asked}))
    found = redesign(demo_bag(), request).after
    assert found.bag.parts.get("handles") == demo_bag().parts.get("handles")
    assert found.finished["handle_drop_front"] < compute(demo_bag()).finished["handle_drop_front"]


@pytest.mark.parametrize("offset", [0.25, 0.5, 1.0, 3.0])
def test_with_another_front_trim_the_back_drop_is_kept_and_the_front_stays_near(
    offset: float,
) -> None:
    """The front half of the loop is longer by the trim, and leans less: it moves by less."""
    start = redesign(demo_bag(), RedesignRequest(wants={"handle_drop_front": inch(10)})).after.bag
    before = compute(start).finished
    found = redesign(start, RedesignRequest(wants={"zip_offset": inch(offset)})).after.finished
    front, back = (now - was for now, was in zip(_drops(found), _drops(before), strict=True))
    assert back == pytest.approx(0.0, abs=1e-6)
    # Drawn out over the gap the two differ by less than a sixteenth for each inch of trim.
    assert 0.0 < abs(front) < inch(0.25)
    # Had the front been kept, the back would have moved by more.
    assert abs(front) < abs(_moved_back(start, found))


def _moved_back(start: Bag, after: Finished) -> float:
    """How far the back drop moves where the front one is kept: sqrt(h^2 - g^2) less the rise.

    Half a loop h above the stops, half the gap g, by the closed formulas of the handles. The
    trim grows by t, and the panel with it: the back leg is longer by t/2, the front one shorter.
    """
    now, handles = compute(start).finished, start.parts.get("handles")
    half_gap = (handles.gap + handles.width) / 2
    grown = after["zip_offset"] - now["zip_offset"]
    halves, rises = [], []
    for face in (Face.FRONT, Face.BACK):
        leg = start.site.seats[face].top - handles.stop
        sign = 1.0 if face is Face.FRONT else -1.0
        rises.append(handles.stop_to_top_fold(start.site, face) + sign * grown)
        halves.append(now["handle_loop"] / 4 - leg)
    front = math.hypot(now["handle_drop_front"] + rises[0], half_gap)
    back = halves[1] + front - halves[0] - 2 * grown
    return math.sqrt(back**2 - half_gap**2) - rises[1] - now["handle_drop_back"]


def test_a_drop_that_is_wanted_is_had_and_the_other_comes_of_it() -> None:
    wants = {"face_height": inch(19), "handle_drop_back": inch(8)}
    found = redesign(demo_bag(), RedesignRequest(wants=wants)).after.finished
    assert found["handle_drop_back"] == pytest.approx(inch(8), abs=1e-6)


def test_two_separate_handles_keep_the_front_drop_when_the_zip_moves() -> None:
    """Each is as long as the other: the drops move apart alike, and the front comes first."""
    handles = Handles(
        style=HandleStyle.SEPARATE, width=inch(1), gap=inch(5), stop=inch(3), strips=1,
        last_strip=inch(34), leg=inch(6),
    )  # fmt: skip
    bag = demo(handles=handles)
    found = redesign(bag, RedesignRequest(wants={"zip_offset": inch(1.5)})).after.finished
    front, back = (
        now - was for now, was in zip(_drops(found), _drops(compute(bag).finished), strict=True)
    )
    assert front == pytest.approx(0.0, abs=1e-6)
    # The fold comes forward by 3/4 in: the front rises by as much, and the back is lower by it.
    assert back == pytest.approx(inch(1.5), abs=1e-6)


@pytest.mark.parametrize(
    ("style", "strips"), [(HandleStyle.LOOP, 3), (HandleStyle.SEPARATE, 1), (HandleStyle.LOOP, 2)]
)
def test_no_strip_is_joined_for_a_change_that_a_tape_cannot_tell(
    style: HandleStyle, strips: int
) -> None:
    """All strips are whole: a loop that is hardly longer would take one more that is all join.

    An eighth of an inch of drop is the limit. Legs longer by h1 - h0 lower the top of half a
    loop h0 to h1, from sqrt(h0^2 - g^2) to sqrt(h1^2 - g^2).
    """
    handles = replace(demo().parts["handles"], style=style, strips=strips)
    bag = demo(handles=handles, pocket=None)
    now, site = compute(bag).finished, bag.site
    if style is HandleStyle.LOOP:
        name, half = (
            "face_height",
            now["handle_loop"] / 4 - (site.seats[Face.BACK].top - handles.stop),
        )
    else:
        # Its legs keep their length; the fold comes forward instead, and takes the drop with it.
        name, half = "zip_offset", math.nan
    for lost, joined in ((1 / 16, 0), (0.12, 0), (0.13, 1), (1 / 4, 1)):
        if style is HandleStyle.LOOP:
            half_gap = handles.centres / 2
            upright = math.sqrt(half**2 - half_gap**2) - inch(lost)
            longer = half - math.hypot(upright, half_gap)
        else:
            longer = inch(lost)
        found = redesign(bag, RedesignRequest(wants={name: now[name] + longer})).after
        assert found.bag.parts["handles"].strips == strips + joined, lost
        face = "handle_drop_back" if style is HandleStyle.LOOP else "handle_drop_front"
        kept = 0.0 if joined else inch(lost)
        assert now[face] - found.finished[face] == pytest.approx(kept, abs=1e-6)


def test_a_short_strip_that_is_there_stays_where_the_drops_do() -> None:
    bag = changed(demo(), handle_strips=4, handle_last_strip=JOINS + 1.0)
    found = redesign(bag, RedesignRequest(wants={"base_width": inch(12)})).after
    assert found.bag.parts.get("handles") == bag.parts.get("handles")


def test_handles_that_would_no_longer_reach_from_leg_to_leg_are_made_longer() -> None:
    wants = {"face_height": inch(36)}
    apart = redesign(demo(), RedesignRequest(wants=wants, holds=frozenset({"handle_loop"}))).after
    assert _drops(apart.finished) == [None, None]
    found = redesign(demo(), RedesignRequest(wants=wants)).after
    assert _drops(found.finished) == pytest.approx(_drops(compute(demo()).finished), abs=1e-6)


def test_handles_without_a_drop_or_without_the_strips_for_one_stay_as_they_are() -> None:
    wide = changed(demo(), handle_gap=inch(40))
    assert _drops(compute(wide).finished) == [None, None]
    # Strips of 4 1/2 in when joined: sixty of them do not go up both faces of 90 in.
    narrow = demo(sandwich=sandwich(layer(usable_width=inch(5))))
    narrow = changed(narrow, handle_strips=30)
    for bag, face in ((wide, 16.0), (narrow, 90.0), (demo(handles=None), 16.0)):
        found = redesign(bag, RedesignRequest(wants={"face_height": inch(face)})).after
        assert found.finished["face_height"] == pytest.approx(inch(face), abs=1e-6)
        assert found.bag.parts.get("handles") == bag.parts.get("handles")


def test_the_ruler_rounds_the_last_strip_up() -> None:
    step = inch(1 / 8)
    for face in (300.0, 333.3, 411.1, 450.0, 487.7):
        exact = redesign(demo_bag(), RedesignRequest(wants={"face_height": face}))
        found = on_ruler(exact, step).result
        last = found.bag.parts["handles"].last_strip
        assert last is not None
        assert last / step == pytest.approx(round(last / step), abs=1e-6)
        for now, was in zip(_drops(found.finished), _drops(exact.after.finished), strict=True):
            # A quarter of what a strip is longer is drop; the trim on the ruler parts the two.
            assert -0.05 <= now - was <= step / 2, face


def test_a_last_strip_that_the_ruler_brings_to_the_width_of_its_goods_is_whole() -> None:
    whole = demo_bag().site.goods("handles").washed_width
    bag = changed(demo_bag(), handle_last_strip=whole - 1.0)
    finished = compute(bag).finished
    found = redesign(bag, RedesignRequest(wants={"face_height": finished["face_height"] + 0.2}))
    assert found.after.bag.parts["handles"].last_strip == pytest.approx(whole - 0.2, abs=1e-6)
    assert on_ruler(found, inch(1 / 2)).result.bag.parts["handles"].last_strip is None


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
            redesign(demo_bag(), RedesignRequest(wants={"handle_loop": loop}))
        return
    found = redesign(demo_bag(), RedesignRequest(wants={"handle_loop": loop})).after
    assert found.finished["handle_loop"] == pytest.approx(loop)


def test_a_lower_bag_takes_less_of_two_strips_than_a_whole_one_more() -> None:
    """One whole strip would not reach from leg to leg at all."""
    bag = demo(handles=replace(demo().parts["handles"], strips=2), pocket=None)
    found = redesign(bag, RedesignRequest(wants={"face_height": inch(14)})).after
    assert found.bag.parts["handles"].strips == 2
    assert _drops(found.finished) == pytest.approx(_drops(compute(bag).finished), abs=1e-6)


def test_of_two_changes_that_are_alike_the_front_is_kept_as_it_is() -> None:
    bag = demo(handles=replace(demo().parts["handles"], style=HandleStyle.SEPARATE, strips=1))
    now = compute(bag).finished
    wanted = {**now, "handle_drop_back": now["handle_drop_back"] + 20.0}
    before = SimpleNamespace(site=bag.site, finished=wanted)
    assert bag.parts["handles"].following(before, bag) == bag.parts.get("handles")
