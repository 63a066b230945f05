"""Redesign against closed formulas and itself; against an optimiser: `test_optimum`."""

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag, cut_value
from core.bag.compute import compute, measure_walls
from core.bag.figures import label_of
from core.bag.tables import CUT_FIGURES
from core.base.errors import FieldError
from core.base.sentences import show_millimetres
from core.model.figures import Quantity
from core.redesign.filled_volume import law_of
from core.redesign.filling import kept_capacity
from core.redesign.redesign import Redesign, _attempt, redesign, slivers_left, unchanged
from core.redesign.request import ConflictError, RedesignRequest
from core.solid.capacity import capacity
from core.storage.bag_files import demo_bag
from core.tops.hem.hem import Hem
from tests.helpers import bare, changed, demo, demo_panel, inch, layer, sandwich
from tests.strategies import Wanted, sewable_bags, wanted

SIZES = ("base_width", "gusset_depth", "face_height", "zip_offset")


def _sizes(want: Wanted) -> dict[str, float]:
    sizes = {"base_width": want.base, "gusset_depth": want.depth, "face_height": want.face}
    return sizes | ({"zip_offset": want.offset} if want.zip_width else {})


@settings(max_examples=60)
@given(wanted(), st.data())
def test_finished_sizes_give_the_closed_inverse(start: Wanted, data: st.DataObject) -> None:
    # Closed inverse: d = D/2 - s2, b = d + s4, a = d + s1, W = base + 2 (a + s2),
    # t = 2 * offset, L = 2 face + D + 2 s3 - z + t + 2 s4.
    other = data.draw(wanted())
    goal = replace(
        start,
        base=other.base,
        depth=max(other.depth, 2 * start.corner + 2),
        face=other.face,
        offset=other.offset if start.zip_width else 0.0,
    )
    bag = bare(start.panel(), top=start.bag_top())
    after = redesign(bag, RedesignRequest(wants=_sizes(goal))).after
    for name, value in zip(
        ("width", "length", "front_trim", "corner_width", "corner_depth"),
        _cut(goal),
        strict=True,
    ):
        assert getattr(after.bag.body, name) == pytest.approx(value, abs=1e-6)
    for name, value in _sizes(goal).items():
        assert after.finished[name] == pytest.approx(value, abs=1e-6)
    assert after.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)


def _cut(goal: Wanted) -> tuple[float, ...]:
    panel = goal.panel()
    return (
        panel.width, panel.length, panel.front_trim, panel.corner_width, panel.corner_depth
    )  # fmt: skip


@settings(max_examples=40)
@given(sewable_bags())
def test_asking_for_the_present_sizes_changes_nothing(bag: object) -> None:
    now = compute(bag).finished
    wants = {name: now[name] for name in SIZES if now[name] is not None}
    found = redesign(bag, RedesignRequest(wants=wants))
    assert found.change == pytest.approx(0.0, abs=1e-12)
    for name, value in compute(bag).cut.items():
        if value is not None and not name.startswith("board"):
            assert found.after.cut[name] == pytest.approx(value, abs=1e-6)


# --- What the maker is told -------------------------------------------------------------


def test_a_bag_of_more_depth_keeps_its_base_and_face() -> None:
    found = redesign(demo(), RedesignRequest(wants={"gusset_depth": inch(7.75)}))
    panel = found.after.bag.body
    assert panel.corner_depth == pytest.approx(inch(3.5), abs=1e-6)
    assert panel.corner_width == pytest.approx(inch(3.875), abs=1e-6)
    assert found.after.finished["base_width"] == pytest.approx(inch(11), abs=1e-6)
    assert found.after.finished["face_height"] == pytest.approx(inch(15), abs=1e-6)


def test_what_alone_can_be_released_is_not_one_of_several() -> None:
    with pytest.raises(ConflictError) as caught:
        redesign(
            demo(),
            RedesignRequest(
                wants={"handle_drop_front": inch(16)}, holds=frozenset({"handle_drop_back"})
            ),
        )
    assert str(caught.value).endswith(" Release “Handle drop, back”.")


def test_names_the_three_that_fight() -> None:
    holds = frozenset({"base_width", "opening_width", "zip_offset"})
    with pytest.raises(ConflictError) as caught:
        redesign(demo(), RedesignRequest(wants={"gusset_depth": inch(7.75)}, holds=holds))
    assert set(caught.value.names) == {
        "corner_mismatch", "base_width", "gusset_depth", "opening_width"
    }  # fmt: skip
    text = str(caught.value)
    assert text.endswith("Release one of “Base width”, “Opening width”, matched corners.")
    assert "Zip offset" not in text


def test_wants_that_only_matched_corners_forbid_say_so() -> None:
    wants = {"gusset_depth": inch(7.75), "base_width": inch(11), "opening_width": inch(17.75)}
    with pytest.raises(ConflictError) as caught:
        redesign(demo(), RedesignRequest(wants=wants))
    assert str(caught.value).endswith(", or release matched corners.")
    assert caught.value.names[-1] == "corner_mismatch"


def test_a_volume_is_had_at_a_narrow_opening() -> None:
    # One pattern that has both, found by hand: W = O + 2 s1 and a depth of about half of O.
    wants = {"box_volume": 16.0, "opening_width": inch(12)}
    after = redesign(demo_bag(), RedesignRequest(wants=wants)).after
    assert after.finished["box_volume"] == pytest.approx(16.0, rel=1e-9)
    assert after.finished["opening_width"] == pytest.approx(inch(12), abs=1e-6)
    assert after.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("depth", "most", "limit", "at"),
    [
        # a = D/2 - s2 + s1 < W/2 and W = O + 2 s1, so that D < O + 2 s2: no cut is so wide.
        (13.0, 12.75, "corner_cut_width", 6.375),
        # base = O - D: at 12 1/4 in there is, but it leaves no box.
        (12.25, 12.0, "base_width", 0.0),
    ],
)
def test_a_refusal_tells_the_limit_that_is_reached(
    depth: float, most: float, limit: str, at: float
) -> None:
    wants = {"gusset_depth": inch(depth), "opening_width": inch(12), "box_volume": 4.0}
    with pytest.raises(ConflictError) as caught:
        redesign(demo(), RedesignRequest(wants=wants))
    bound = caught.value.bound
    assert bound is not None
    assert (bound.figure, bound.at_most, bound.limit) == ("gusset_depth", True, limit)
    assert bound.value == pytest.approx(inch(most), abs=1e-3)
    told = str(caught.value)
    # A cut is never half the panel; a bag without a base is only no box.
    end = "must be less than" if limit == "corner_cut_width" else "can be at most"
    assert told.startswith(f"“Gusset depth” {end} ")
    assert (
        f". “{label_of(limit)}” is then {show_millimetres(inch(at))}, its limit: it must be "
        in told
    )


def test_a_hair_within_its_limit_a_volume_is_had() -> None:
    wants = {"gusset_depth": inch(12) - 0.1, "opening_width": inch(12), "box_volume": 0.1}
    found = redesign(demo(), RedesignRequest(wants=wants)).after.finished
    assert found["box_volume"] == pytest.approx(0.1, rel=1e-8)


def test_both_volumes_leave_each_other_a_range() -> None:
    # The wall (1 mm) makes a box smaller: least where base = depth = 2 height nearly.
    with pytest.raises(ConflictError) as caught:
        redesign(demo(), RedesignRequest(wants={"box_volume": 16.0, "inside_volume": 15.9}))
    bound = caught.value.bound
    assert bound is not None
    height = np.linspace(100.0, 300.0, 100_001)
    side = np.sqrt(16e6 / height)
    most = float(((side - 2.0) ** 2 * (height - 1.0)).max()) / 1e6
    assert bound.value == pytest.approx(most, rel=1e-6)
    for share, had in ((0.9999, True), (1.0001, False)):
        request = RedesignRequest(wants={"box_volume": 16.0, "inside_volume": most * share})
        if had:
            assert redesign(demo(), request).after.finished["inside_volume"]
        else:
            with pytest.raises(ConflictError):
                redesign(demo(), request)


def test_a_plain_pillow_is_given_corners_where_a_volume_needs_them() -> None:
    pillow = changed(demo(board=None), corner_cut_width=0, corner_cut_depth=0)
    found = redesign(pillow, RedesignRequest(wants={"box_volume": 10.0})).after.finished
    assert found["box_volume"] == pytest.approx(10.0, rel=1e-9)


def test_unpinned_corners_may_part() -> None:
    holds = frozenset({"base_width", "opening_width"})
    request = RedesignRequest(wants={"gusset_depth": inch(7.75)}, holds=holds, matched=False)
    found = redesign(demo(), request).after
    assert found.finished["corner_mismatch"] == pytest.approx(-inch(1), abs=1e-6)
    assert "corner-edges-differ" in {finding.code for finding in found.findings}


def test_pins_stay_exactly() -> None:
    holds = frozenset({"panel_width", "front_trim"})
    found = redesign(demo(), RedesignRequest(wants={"box_volume": 20.0}, holds=holds)).after
    assert found.bag.body.width == demo().body.width
    assert found.bag.body.front_trim == demo().body.front_trim
    assert found.finished["box_volume"] == pytest.approx(20.0, abs=1e-7)


def test_the_board_keeps_its_margin() -> None:
    found = redesign(
        demo(), RedesignRequest(wants={"base_width": inch(10), "gusset_depth": inch(7)})
    )
    board = found.after.bag.parts.get("board")
    # 11 - 10 1/8 and 6 3/4 - 5 7/8 were left: 7/8 both ways.
    assert board.width == pytest.approx(inch(9.125), abs=1e-6)
    assert board.depth == pytest.approx(inch(6.125), abs=1e-6)


@pytest.mark.parametrize(("drop", "strips"), [(9, 3), (15, 4), (1, 2)])
def test_a_handle_drop_counts_its_strips(drop: float, strips: int) -> None:
    found = redesign(demo(), RedesignRequest(wants={"handle_drop_front": inch(drop)})).after
    assert found.finished["handle_drop_front"] == pytest.approx(inch(drop), abs=1e-6)
    assert found.bag.parts["handles"].strips == strips
    assert all(
        length <= inch(42) for length in found.bag.parts["handles"].strip_lengths(found.bag.site)
    )
    assert found.bag.body == demo().body


def test_a_pillow_can_be_given_a_bottom() -> None:
    pillow = changed(demo(board=None), corner_cut_width=0, corner_cut_depth=0)
    found = redesign(pillow, RedesignRequest(wants={"gusset_depth": inch(4)})).after
    assert found.finished["gusset_depth"] == pytest.approx(inch(4), abs=1e-6)
    assert found.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)


def test_wants_that_make_a_stop_are_shown_with_it() -> None:
    found = redesign(demo(), RedesignRequest(wants={"base_width": inch(6)})).after
    assert "handle-over-corner" in {finding.code for finding in found.findings}


@pytest.mark.parametrize(
    ("wants", "holds", "error", "said"),
    [
        ({"shoe_size": 9.0}, (), FieldError, "shoe_size"),
        ({"base_width": math.nan}, (), FieldError, "Base width"),
        ({"base_width": math.inf}, (), FieldError, "Base width"),
        ({"base_width": -1.0}, (), FieldError, "Base width"),
        ({"base_width": 1e7}, (), FieldError, "Base width"),
        ({"panel_width": 0.0}, (), FieldError, "Panel width"),
        ({"face_height": 9000.0}, (), ConflictError, "Face height"),
        ({"base_width": 300.0}, ("no_such",), FieldError, "no_such"),
        ({"base_width": inch(20), "panel_width": inch(18)}, (), ConflictError, "Panel width"),
    ],
)
def test_impossible_wishes_are_refused_in_words(
    wants: dict[str, float], holds: tuple[str, ...], error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said):
        redesign(demo(), RedesignRequest(wants=wants, holds=frozenset(holds)))


def test_an_open_top_has_no_zip_to_want() -> None:
    with pytest.raises(FieldError, match="Zip offset"):
        redesign(demo(top=Hem()), RedesignRequest(wants={"zip_offset": 10.0}))


def test_a_size_of_nothing_may_carry_the_dust_of_a_sum() -> None:
    # -3e-15 mm was measured as the zip offset of a bag without a front trim.
    flat = changed(demo(), front_trim=0.0)
    found = redesign(flat, RedesignRequest(wants={"zip_offset": -3e-15}))
    assert found.after.finished["zip_offset"] == pytest.approx(0.0, abs=1e-6)
    with pytest.raises(FieldError, match=r"must be 0, or at least 0\.01 mm"):
        redesign(flat, RedesignRequest(wants={"zip_offset": -1e-3}))
    with pytest.raises(FieldError, match="between 0 mm and"):
        redesign(flat, RedesignRequest(wants={"zip_offset": -0.01}))


def test_a_solved_length_carries_no_dust() -> None:
    found = redesign(demo_bag(), RedesignRequest(wants={"gusset_depth": inch(7.75)})).after.bag
    assert (found.body.corner_depth, found.body.corner_width) == (88.9, 98.425)
    assert found.body.width == 495.3


@pytest.mark.parametrize(("want", "hold"), [
    ({"handle_drop_front": inch(20)}, {"handle_loop"}),
    ({"gusset_depth": inch(7.5), "base_width": inch(10), "inside_volume": 14.0}, set()),
])  # fmt: skip
def test_what_hardly_moves_does_not_move_at_all(want: dict[str, float], hold: set[str]) -> None:
    """Nobody cuts a twentieth of a millimetre: a change is a change or none (own choice)."""
    found = redesign(demo_bag(), RedesignRequest(wants=want, holds=frozenset(hold)))
    assert found.cut_changes
    for name, value in found.cut_changes.items():
        assert abs(value - (cut_value(found.before, name) or 0.0)) >= 0.05, name
    for name, value in want.items():
        assert found.after.finished[name] == pytest.approx(value, abs=1e-6)


def test_what_changes_is_told_by_name() -> None:
    """Depth 7 3/4 in: d = D/2 - s2, a = d + s1, W = B + 2 (a + s2); length and board grow alike."""
    found = redesign(demo(pocket=None), RedesignRequest(wants={"gusset_depth": inch(7.75)}))
    assert found.cut_changes == pytest.approx({
        "panel_width": inch(19.5), "panel_length": inch(39.5), "corner_cut_width": inch(3.875),
        "corner_cut_depth": inch(3.5), "board_depth": inch(6.875),
        **{name: value for name, value in found.cut_changes.items() if name.startswith("handle")},
    })  # fmt: skip
    assert found.cut_changes["handle_strips"] == 4


@pytest.mark.parametrize("held", [{"board_width"}, {"board_depth"}, {"board_width", "board_depth"}])
def test_a_board_whose_size_is_asked_for_stays(held: set[str]) -> None:
    request = RedesignRequest(wants={"base_width": inch(10), "gusset_depth": inch(7)})
    found = redesign(demo(), request._replace(holds=frozenset(held)))
    assert found.after.bag.parts.get("board") == demo().parts.get("board")
    assert redesign(demo(), request).after.bag.parts.get("board") != demo().parts.get("board")


def test_a_strip_that_its_goods_cannot_give_is_no_conflict() -> None:
    wants = {"handle_last_strip": inch(43), "handle_drop_front": 200.0}
    with pytest.raises(FieldError, match="it must be at most the width of its material"):
        redesign(demo(), RedesignRequest(wants=wants))


def test_what_moves_by_more_than_hardly_moves() -> None:
    """An opening wider by 0.45 mm is shared by base and gusset, as the squares of their sizes.

    That moves the corner cuts by 0.06 mm, which is a change; by 0.03 mm it would be none.
    """
    now = compute(demo()).finished
    share = inch(6.75) ** 2 / (inch(6.75) ** 2 + inch(11) ** 2)
    for wider, moved in ((0.45, 0.45 * share / 2), (0.2, 0.0), (-0.2, 0.0)):
        wants = {"opening_width": now["opening_width"] + wider}
        found = redesign(demo(), RedesignRequest(wants=wants)).after
        by = found.bag.body.corner_width - demo().body.corner_width
        assert by == pytest.approx(moved, abs=1e-4)
        assert found.finished["opening_width"] == pytest.approx(wants["opening_width"], abs=1e-6)


def test_a_change_that_is_asked_for_is_made_however_small() -> None:
    wants = {"panel_width": demo().body.width + 0.03}
    assert (
        redesign(demo(), RedesignRequest(wants=wants)).after.bag.body.width == wants["panel_width"]
    )


def test_in_a_small_bag_a_small_change_is_one() -> None:
    """Base 100, gusset 60 mm: all of 0.37 mm in the base would be worse by more than 1e-6."""
    seam, share = inch(0.375), 60.0**2 / (60.0**2 + 100.0**2)
    panel = demo_panel(
        width=100.0 + 2 * (30.0 + seam), length=400.0, corner_width=30.0, corner_depth=30.0 - seam
    )
    bag = demo(body=panel, pocket=None, handles=None, board=None)
    now = compute(bag).finished
    assert (now["base_width"], now["gusset_depth"]) == pytest.approx((100.0, 60.0))
    found = redesign(
        bag, RedesignRequest(wants={"opening_width": now["opening_width"] + 0.37})
    ).after
    by = found.bag.body.corner_width - 30.0
    assert by == pytest.approx(0.37 * share / 2, abs=1e-4)
    assert 0.0 < by < 0.05


def test_a_strip_that_becomes_whole_is_told_as_long_as_its_goods_are_wide() -> None:
    bag = changed(demo(), handle_last_strip=500.0)
    whole = 3 * (inch(42) - inch(0.5))
    found = redesign(bag, RedesignRequest(wants={"handle_loop": whole}))
    assert found.after.bag.parts["handles"].last_strip is None
    assert found.cut_changes == {"handle_last_strip": pytest.approx(inch(42))}


def test_a_panel_too_narrow_for_its_corners_is_given_others() -> None:
    found = redesign(demo(), RedesignRequest(wants={"panel_width": 150.0})).after
    assert found.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)
    assert found.bag.body.width == 150.0
    assert 0.0 < found.bag.body.corner_width < 75.0
    flat = redesign(demo(), RedesignRequest(wants={"panel_width": 150.0, "zip_offset": 0.0}))
    assert (flat.after.bag.body.front_trim, flat.slivers) == (0.0, ())
    # An open top has no zip whose place would be kept.
    opened = redesign(demo(top=Hem()), RedesignRequest(wants={"panel_width": 150.0}))
    assert opened.after.bag.body.corner_width == pytest.approx(found.bag.body.corner_width, abs=0.1)
    assert math.isfinite(opened.change)


# --- Lengths too small to be any ------------------------------------------------------------


def wanted_bags() -> Iterator[tuple[Bag, dict[str, float], bool]]:
    """(bag, wants, matched) whose plain answers lie in the gap between 0 and the least length."""
    yield demo(), {"zip_offset": 0.0}, True
    for bag in (demo(), changed(demo(), front_trim=0.0)):
        for offset in (0.01, 0.02):
            yield bag, {"zip_offset": offset, "base_width": inch(11)}, True
    yield demo(), {"zip_clearance": -inch(0.25) + 0.006, "base_width": inch(12)}, True


@pytest.mark.parametrize(("bag", "wants", "matched"), list(wanted_bags()))
def test_a_redesign_has_what_is_wanted_without_slivers(
    bag: Bag, wants: dict[str, float], matched: bool
) -> None:
    """Wants are met to a millionth of a millimetre, the tolerance of lengths."""
    after = redesign(bag, RedesignRequest(wants=wants, matched=matched)).after
    for name, value in wants.items():
        assert after.finished[name] == pytest.approx(value, abs=1e-6)
    lengths = [figure for figure in CUT_FIGURES if figure.quantity is Quantity.LENGTH]
    for figure in lengths:
        value = cut_value(after.bag, figure.name) or 0.0
        assert value == 0.0 or value >= 0.01 - 1e-6, figure.name


@pytest.mark.parametrize(
    ("wants", "figure"),
    [
        ({"zip_clearance": -inch(0.25) + 0.003}, "Front trim"),
        ({"gusset_depth": inch(0.75) + 0.008}, "Corner cut"),
        ({"gusset_depth": inch(0.75), "base_width": inch(12)}, "Corner cut"),
    ],
)
def test_what_only_a_sliver_would_have_is_refused(wants: dict[str, float], figure: str) -> None:
    """Trim = 2 clearance + zip; gusset = 2 (cut + seam), without a cut there are no corners."""
    with pytest.raises(ConflictError, match=rf"^{figure}.* would be less than 0\.01 mm"):
        redesign(changed(demo(), side_seam=0.0), RedesignRequest(wants=wants))


def test_what_a_search_leaves_too_small_is_told() -> None:
    told = slivers_left(("front_trim", "corner_cut_width")).text()
    assert (
        told == "Front trim and Corner cut width would come out at less than 0.01 mm: taken as 0."
    )


def test_a_length_that_comes_out_too_small_is_taken_as_nothing_and_told() -> None:
    """A face that takes nearly all of the front trim, where the panel's length is held.

    The trim falls with the face along a line, as all that is weighed is linear.
    """
    bag = changed(demo(), front_trim=1.0)
    hold = frozenset({"panel_length"})
    face = compute(bag).finished["face_height"]

    def at(more: float) -> Redesign:
        return redesign(bag, RedesignRequest(wants={"face_height": face + more}, holds=hold))

    one, two = (at(more).after.bag.body.front_trim for more in (1.0, 3.0))
    slope = (two - one) / 2
    assert slope < 0.0
    for trim in (0.003, 0.008):
        more = 1.0 + (trim - one) / slope
        found = at(more)
        assert found.slivers == ("front_trim",)
        assert found.after.bag.body.front_trim == 0.0
        assert found.after.finished["face_height"] == pytest.approx(face + more, abs=1e-6)
    assert at(1.0 + (0.02 - one) / slope).slivers == ()
    assert at(1.0 + (0.02 - one) / slope).after.bag.body.front_trim == pytest.approx(0.02, abs=1e-3)
    # What was nothing before stays nothing, and is not worth a word.
    bag = changed(bag, front_trim=0.0)
    face = compute(bag).finished["face_height"]
    found = at(0.005 / slope)
    assert (found.slivers, found.after.bag.body.front_trim) == ((), 0.0)
    assert at(0.03 / slope).after.bag.body.front_trim == 0.0
    assert found.after.finished["face_height"] == pytest.approx(face + 0.005 / slope, abs=1e-6)
    assert at(1.0 + (-0.5 - one) / slope).slivers == ()


def test_a_refusal_names_what_would_be_too_small_and_not_what_is_nothing() -> None:
    bag = changed(demo(), front_trim=0.0)
    with pytest.raises(ConflictError, match=r"^Corner cut depth would be less than 0\.01 mm"):
        redesign(
            bag, RedesignRequest(wants={"gusset_depth": inch(0.75) + 0.002, "base_width": 300.0})
        )


# --- What is filled -------------------------------------------------------------------------


def test_what_is_filled_is_told_with_the_answer() -> None:
    held, hear = capacity(demo_bag()), list[float]()
    holds = frozenset({"filled_volume", "inside_filled_volume", "base_width"})
    kept = unchanged(compute(demo_bag()), holds, progress=lambda share: not hear.append(share))
    assert hear
    assert (kept.change, kept.slivers, kept.cut_changes) == (0.0, (), {})
    assert kept.filled == {"filled_volume": held.filled, "inside_filled_volume": held.inside_filled}
    assert kept.laws["filled_volume"].at(kept.after.finished) == pytest.approx(held.filled)
    assert kept.request.holds == holds
    plain = unchanged(compute(demo_bag()), frozenset({"base_width"}))
    assert (plain.change, plain.filled, plain.laws) == (0.0, {}, {})
    found = redesign(
        demo_bag(), RedesignRequest(wants={"filled_volume": 19.0, "base_width": 290.0})
    )
    assert found.after.finished["base_width"] == pytest.approx(290.0, abs=1e-6)
    assert found.filled["filled_volume"] == pytest.approx(19.0, rel=1.2e-3)
    assert capacity(found.after.bag).filled == pytest.approx(found.filled["filled_volume"])
    assert found.laws["filled_volume"].at(found.after.finished) == pytest.approx(19.0, rel=2e-3)
    assert 0.0 < found.change < 0.1


def test_both_that_are_filled_are_held_but_not_parted() -> None:
    held, both = capacity(demo_bag()), ("filled_volume", "inside_filled_volume")
    kept = redesign(demo_bag(), RedesignRequest(wants={"base_width": 285.0}, holds=frozenset(both)))
    assert kept.filled == pytest.approx(
        dict(zip(both, (held.filled, held.inside_filled), strict=True)), rel=3e-3
    )
    with pytest.raises(ConflictError) as caught:
        redesign(
            demo_bag(), RedesignRequest(wants={"filled_volume": 19.0}, holds=frozenset(both[1:]))
        )
    assert caught.value.names == both


def test_what_cannot_be_told_is_left_out_of_what_is_held() -> None:
    """Nothing is left inside a wall of 97 mm: the outside is told alone, by the same filling."""
    kept_capacity.cache_clear()
    thick = compute(demo(sandwich=sandwich(layer(thickness=97.0))))
    heard = list[float]()
    holds = frozenset({"filled_volume", "inside_filled_volume"})
    kept = unchanged(thick, holds, progress=lambda share: not heard.append(share))
    assert kept.filled.keys() == {"filled_volume"}
    assert len(heard) > 2
    assert heard == sorted(heard), "a second filling would begin from nothing"


def test_laws_are_not_believed_beyond_their_reach() -> None:
    """A twentieth more in a bag none of whose sizes may grow by more than a fortieth."""
    bag = demo(board=None)
    now = {**measure_walls(bag), "filled_volume": 18.0}
    names = ("base_width", "gusset_depth", "gusset_depth_at_side", "face_height")
    sizes, powers = {name: now[name] for name in names}, dict.fromkeys(names, 0.75)
    law = replace(law_of(18.0, sizes, powers, powers), reach=1.024)
    exact = {"corner_mismatch": 0.0, "base_width": now["base_width"], "filled_volume": 18.9}
    request = RedesignRequest(wants={"filled_volume": 18.9}, holds=frozenset({"base_width"}))
    near = _attempt(bag, now, exact, request, {"filled_volume": law}, bag).bag
    found = measure_walls(near)
    assert law.at(found) == pytest.approx(18.9)
    assert max(found[name] / size for name, size in sizes.items()) <= 1.024 + 1e-9
    far = _attempt(bag, now, exact, request, {"filled_volume": replace(law, reach=np.inf)}, bag).bag
    assert max(measure_walls(far)[name] / size for name, size in sizes.items()) > 1.024


def test_a_limit_that_is_the_bound_is_told_once() -> None:
    told = r"^“Handle loop” must be at least 0\.01 mm\.$"
    with pytest.raises(ConflictError, match=told):
        redesign(demo(), RedesignRequest(wants={"handle_loop": 0.0}))
    found = redesign(demo(), RedesignRequest(wants={"handle_loop": 0.01}))
    assert found.after.finished["handle_loop"] == pytest.approx(0.01, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "size", "told"),
    [
        ("opening_width", 0.0, "“Opening width” must be more than 0 mm. "),
        ("gusset_depth", 5000.0, "“Gusset depth” must be less than 5000 mm with matched corners. "),
        ("gusset_depth", 5001.0, "“Gusset depth” must be less than 5000 mm with matched corners. "),
    ],
)
def test_what_was_asked_for_is_not_told_as_what_would_be_right(
    name: str, size: float, told: str
) -> None:
    """Who asks for 0 and is refused does not read that it must be at least 0."""
    with pytest.raises(ConflictError) as caught:
        redesign(demo(), RedesignRequest(wants={name: size}))
    assert str(caught.value).startswith(told)


def test_a_gusset_of_none_can_be_had_and_the_refusal_of_a_small_one_says_so() -> None:
    # The gusset is twice the corner cut less its two seams, or nothing where nothing is cut.
    bag = demo()
    least = 2 * bag.body.corner_seam
    for small in (least - 0.1, 10.0):
        with pytest.raises(ConflictError) as caught:
            redesign(bag, RedesignRequest(wants={"gusset_depth": small}, holds=frozenset()))
        assert str(caught.value).startswith("“Gusset depth” must be 0 or at least 19.05 mm. ")
    none = redesign(bag, RedesignRequest(wants={"gusset_depth": 0.0}, holds=frozenset()))
    assert none.after.finished["gusset_depth"] == 0.0


def test_a_gusset_of_none_is_not_offered_where_the_bag_must_hold_something() -> None:
    held = frozenset({"inside_volume"})
    with pytest.raises(ConflictError) as caught:
        redesign(demo(), RedesignRequest(wants={"gusset_depth": 10.0}, holds=held))
    assert "must be 0" not in str(caught.value)


def test_no_room_inside_the_wall_is_no_volume_of_nothing() -> None:
    bag = demo()
    with pytest.raises(FieldError, match="Inside volume is 0 L: it must be more than that"):
        redesign(bag, RedesignRequest(wants={"inside_volume": 0.0}, holds=frozenset()))
    found = redesign(bag, RedesignRequest(wants={"inside_volume": 0.01}, holds=frozenset()))
    assert found.after.finished["inside_volume"] == pytest.approx(0.01, abs=1e-9)
