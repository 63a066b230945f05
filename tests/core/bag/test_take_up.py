"""Take-up that is allowed for: what is drawn, what is sewn, and what is judged by which.

Closed formulas: a size is sewn to k times what is drawn, outside; inside it is that less the
wall. Calculation: walls of 9 mm leave of a box of 300 x 100 x 250 mm inside 282 x 82 x 241 mm.
"""

import json
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag, with_figures
from core.bag.choices import COMMAND_CHOICES, lost_by, with_fix
from core.bag.compute import compute
from core.bag.construction import with_construction
from core.bag.left_out import LeftOut
from core.bag.sewn_sample import sample_of
from core.base.errors import BagFileError, FieldError
from core.bodies.gusset_strip.body import GussetStrip, Wrap
from core.model.figures import NO_TAKE_UP, TakeUp
from core.model.findings import Severity
from core.parts.board.board import BoardWay, board_room
from core.redesign.measured import allow_for, drawn_for, take_back
from core.redesign.redesign import redesign
from core.redesign.request import ConflictError, RedesignRequest
from core.redesign.rounding import on_ruler
from core.sewing.steps import steps
from core.solid.capacity import capacity
from core.storage.bag_file import project_to_json
from core.storage.bag_files import demo_bag
from core.storage.project import NamedBag, Project, is_back, removed_between
from core.tops.hem.hem import Hem
from tests.core.parts.test_board import box
from tests.helpers import changed, demo, found, having, inch, layer, project_from_json, sandwich
from tests.strategies import sewable_bags

K = TakeUp(across=0.96, deep=0.94, up=0.98)
FINE = 0.01


def taken(bag: Bag, take_up: TakeUp = K) -> Bag:
    return replace(bag, take_up=take_up)


def test_what_is_sewn_is_what_is_drawn_times_its_factor() -> None:
    drawn, sewn = compute(demo()).finished, compute(taken(demo())).finished
    factors = {
        "base_width": 0.96, "opening_width": 0.96, "gusset_depth": 0.94,
        "gusset_depth_at_side": 0.94, "face_height": 0.98, "zip_offset": 0.98,
    }  # fmt: skip
    for name, factor in factors.items():
        assert sewn[name] == pytest.approx(factor * drawn[name])
    # What shows of the zip, 1/2 in, is not taken up.
    assert sewn["zip_clearance"] == pytest.approx(0.98 * inch(0.75) - inch(0.25))
    box = drawn["base_width"] * 0.96 * drawn["gusset_depth"] * 0.94 * drawn["face_height"] * 0.98
    assert sewn["box_volume"] == pytest.approx(box / 1e6)


def test_what_lies_on_cut_cloth_is_not_taken_up() -> None:
    drawn, sewn = compute(demo()).finished, compute(taken(demo())).finished
    for name in (
        "pocket_height", "pocket_side_compartment", "handle_loop", "handle_drop_front",
        "corner_mismatch",
    ):  # fmt: skip
        assert sewn[name] == drawn[name]
    assert compute(taken(demo())).drawn == drawn
    assert compute(demo()).drawn is not None


def test_the_wall_is_taken_off_the_sewn_size_once() -> None:
    walled = demo(sandwich=sandwich(layer(thickness=9.0, pressed=1.0)), handles=None, pocket=None)
    wants = {"base_width": 300.0, "gusset_depth": 100.0, "face_height": 250.0}
    after = redesign(taken(walled), RedesignRequest(wants=wants)).after
    for name, factor in (("base_width", 0.96), ("gusset_depth", 0.94), ("face_height", 0.98)):
        assert after.finished[name] == pytest.approx(wants[name])
        assert after.drawn[name] == pytest.approx(wants[name] / factor)
    assert after.finished["inside_volume"] == pytest.approx(282 * 82 * 241 / 1e6)
    room = board_room(BoardWay.LAID_IN, after.bag.site, after.finished)
    assert room == pytest.approx((282.0, 82.0))


@settings(max_examples=40)
@given(
    sewable_bags(),
    st.tuples(*[st.floats(0.9, 1.05)] * 3),
    st.sampled_from(["base_width", "gusset_depth", "face_height", "box_volume", "inside_volume"]),
    st.floats(0.85, 1.2),
)
def test_a_size_that_is_wanted_is_what_is_sewn(
    bag: Bag, factors: tuple[float, ...], name: str, share: float
) -> None:
    bag = having(taken(bag, TakeUp(*factors)), handles=None, pocket=None)
    now = compute(bag).finished[name]
    assume(now is not None and now > 0.05)
    try:
        after = redesign(bag, RedesignRequest(wants={name: now * share})).after
    except (ConflictError, FieldError):
        assume(False)
    assert after.finished[name] == pytest.approx(now * share, rel=1e-6)
    plain = compute(replace(after.bag, take_up=NO_TAKE_UP)).finished
    base, gusset, face = (
        factor * plain[size]
        for factor, size in zip(factors, ("base_width", "gusset_depth", "face_height"), strict=True)
    )
    wall = bag.sandwich.thickness
    sizes = {
        "base_width": base,
        "gusset_depth": gusset,
        "face_height": face,
        "box_volume": base * gusset * face / 1e6,
        "inside_volume": (base - 2 * wall) * (gusset - 2 * wall) * (face - wall) / 1e6,
    }
    assert sizes[name] == pytest.approx(now * share, rel=1e-6)


@pytest.mark.parametrize(("over", "told"), [(-FINE, False), (FINE, True)])
def test_the_zip_is_judged_where_it_is_sewn(over: float, told: bool) -> None:
    """Clear by the zip seam of 3/8 in: k t/2 - z/2 = s, so t = (z + 2 s) / k."""
    trim = (inch(0.5) + 2 * inch(0.375)) / 0.98
    bag = taken(changed(demo(), front_trim=trim - over))
    finding = found(bag, "zip-near-top-fold")
    assert (finding is not None) is told
    if finding is not None:
        (fix,) = finding.fixes
        assert dict(fix.changes)["front_trim"] == pytest.approx(trim)
        assert found(with_figures(bag, dict(fix.changes)), "zip-near-top-fold") is None


@pytest.mark.parametrize(("over", "told"), [(-FINE, False), (FINE, True)])
def test_the_zip_is_as_long_as_the_cut_panel_is_wide(over: float, told: bool) -> None:
    bag = taken(changed(demo(), zip_length=inch(18.5 + 2) - over))
    assert (found(bag, "zip-too-short") is not None) is told


@pytest.mark.parametrize(("over", "told"), [(-FINE, False), (FINE, True)])
def test_handles_lie_on_cut_cloth(over: float, told: bool) -> None:
    """The base as drawn, 11 in, takes two legs of 1 1/4 in and 8 1/2 in between them."""
    plain = demo(pocket=None)
    bag = taken(having(plain, handles=replace(plain.parts["handles"], gap=inch(8.5) + over)))
    assert (found(bag, "handle-over-corner") is not None) is told


@pytest.mark.parametrize(("deeper", "fixes"), [(28.5, 2), (29.5, 1)])
def test_a_deeper_corner_cut_is_offered_while_a_face_is_drawn(deeper: float, fixes: int) -> None:
    """Of a face drawn 30 mm high a cut 28.5 mm deeper leaves 1.35 mm sewn, above a wall of 1 mm."""
    plain = box(300.0, 100.0, 30.0, 1.0)
    wide = changed(plain, corner_cut_width=plain.body.corner_width + deeper)
    finding = found(taken(wide, TakeUp(up=0.9)), "corner-edges-differ")
    assert len(finding.fixes) == fixes


@pytest.mark.parametrize("way", list(BoardWay))
def test_the_board_is_judged_by_the_room_of_the_sewn_bag(way: BoardWay) -> None:
    bag = taken(demo())
    wall = 1.0 if way is BoardWay.LAID_IN else 0.5
    room = (0.96 * inch(11) - 2 * wall, 0.94 * inch(6.75) - 2 * wall)
    for over in (-FINE, FINE):
        board = replace(bag.parts["board"], width=room[0] + over, depth=room[1] - 7.0, way=way)
        finding = found(having(bag, board=board), "board-too-big")
        assert (finding.severity is Severity.STOP) is (over > 0.0)


@settings(max_examples=60)
@given(sewable_bags(), st.tuples(*[st.floats(0.85, 1.1)] * 3))
def test_a_fix_fixes_a_bag_whose_take_up_is_known(bag: Bag, factors: tuple[float, ...]) -> None:
    bag = taken(bag, TakeUp(*factors))
    offered = [(each, fix) for each in compute(bag).findings for fix in each.fixes]
    assume(offered)
    for finding, fix in offered:
        after = compute(with_fix(bag, fix))
        assert finding.code not in {each.code for each in after.findings}, finding.code


# --- Allowing for it ------------------------------------------------------------------------


def test_another_sample_is_allowed_for_from_the_sizes_that_are_sewn() -> None:
    first = sample_of(demo(), {"base_width": inch(10.5)})
    once = allow_for(demo(), first).after
    second = sample_of(once.bag, {"base_width": inch(11.2), "face_height": inch(14.5)})
    assert second.drawn["base_width"] == pytest.approx(inch(11) / (10.5 / 11)), "as it was drawn"
    twice = allow_for(once.bag, second).after
    for name in ("base_width", "gusset_depth", "face_height", "zip_offset"):
        assert twice.finished[name] == pytest.approx(compute(demo()).finished[name])
    assert twice.drawn["face_height"] == pytest.approx(inch(15) / (14.5 / 15))
    assert twice.bag.parts.get("board") == demo().parts.get("board")
    back = take_back(twice.bag).after
    assert back.bag.take_up == NO_TAKE_UP
    assert back.bag.body.width == pytest.approx(demo().body.width)


@pytest.mark.parametrize("wider", [-inch(0.375), -0.5, 0.5])
def test_corners_that_do_not_close_stay_as_they_are(wider: float) -> None:
    """Both ends of an edge move with the cut: to allow for take-up is not to fix it."""
    bag = changed(demo(), corner_cut_width=inch(3.375) + wider)
    before = compute(bag).finished
    after = allow_for(bag, sample_of(bag, {"face_height": 0.97 * before["face_height"]})).after
    assert before["corner_mismatch"] == pytest.approx(2 * wider)
    assert after.finished["corner_mismatch"] == pytest.approx(before["corner_mismatch"])


@pytest.mark.parametrize("trim", [0.0, 0.015, 1.0])
def test_a_zip_that_hardly_comes_forward_stays_where_it_is(trim: float) -> None:
    """Its offset is half the trim: one below 0.01 mm is no size that can be asked for."""
    bag = changed(demo(), front_trim=trim)
    sewn = sample_of(bag, {"face_height": 0.97 * compute(bag).finished["face_height"]})
    after = allow_for(bag, sewn).after
    expected = trim / 2 if trim == 1.0 else 0.97 * trim / 2
    assert after.finished["zip_offset"] == pytest.approx(expected, abs=1e-9)


def test_an_open_top_is_allowed_for_too() -> None:
    bag = demo(top=Hem())
    after = allow_for(bag, sample_of(bag, {"base_width": inch(10.7)})).after
    assert after.finished["zip_offset"] is None
    assert after.finished["base_width"] == pytest.approx(compute(bag).finished["base_width"])


def test_on_the_ruler_the_sewn_sizes_are_the_ones_that_count() -> None:
    wants = {"base_width": inch(10), "gusset_depth": inch(6)}
    exact = redesign(taken(demo()), RedesignRequest(wants=wants))
    rounded = on_ruler(exact, inch(1 / 8)).result
    # Two cuts of 1/8 in move the base by at most 3/8 in.
    for name, value in wants.items():
        assert abs(rounded.finished[name] - value) <= inch(3 / 16)
    assert not [each for each in rounded.findings if each.code.startswith("board-")]


def test_the_filled_volume_keeps_the_share_that_the_box_keeps() -> None:
    """Taken up alike in every direction, k of all lengths is k cubed of what they hold."""
    alike = taken(demo(board=None), TakeUp(0.95, 0.95, 0.95))
    sewn, plain = capacity(alike), capacity(demo(board=None))
    assert sewn.filled == pytest.approx(0.95**3 * plain.filled)
    assert dict(sewn.drawn) == pytest.approx(dict(plain.volumes))
    # The sheet of the sewn sizes itself, drawn and filled without any take-up.
    itself = capacity(take_back(alike).after.bag)
    assert sewn.filled == pytest.approx(itself.filled, rel=5e-3)
    assert sewn.inside_filled == pytest.approx(itself.inside_filled, rel=5e-3)
    assert sewn.filled_over_box == pytest.approx(plain.filled_over_box)


# --- Where it is kept -----------------------------------------------------------------------


def project(*, on: bool) -> Project:
    bag = demo_bag()
    sample = replace(sample_of(bag, {"base_width": inch(10.5)}), allowed_for=on)
    kept = NamedBag(name="kept", bag=bag)
    return Project(bag=bag, starting=kept, variants=(kept,), samples={"boxed-panel": sample})


def test_a_project_hands_its_take_up_to_each_of_its_bags() -> None:
    expected = TakeUp(across=10.5 / 11)
    on, off = project(on=True), project(on=False)
    for each in (on.bag, on.starting.bag, on.variants[0].bag):
        assert each.take_up.across == pytest.approx(expected.across)
        assert (each.take_up.deep, each.take_up.up) == (1.0, 1.0)
    for each in (off.bag, off.starting.bag, off.variants[0].bag):
        assert each == demo_bag()
    assert replace(on, samples={}).bag == demo_bag()
    other = replace(on, bag=demo_bag()).with_variant("other", demo_bag())
    assert other.bag == other.variant("other") == on.bag
    assert off.bag is replace(off, bag=off.bag).bag


def test_a_file_keeps_the_sample_and_no_second_copy() -> None:
    text = project_to_json(project(on=True))
    assert "take_up" not in text
    again = project_from_json(text, source="bag.json")
    assert again == project(on=True)
    assert again.bag.take_up.across == pytest.approx(10.5 / 11)


# --- One for each construction ---------------------------------------------------------------


def two_measured() -> Project:
    """The demo bag drawn for its own sample, beside one of a gusset strip."""
    bag, strip = demo_bag(), with_construction(demo_bag(), GussetStrip)
    own = replace(sample_of(bag, {"base_width": inch(10.5)}), allowed_for=True)
    depth = sample_of(strip, {}).drawn["gusset_depth"]
    other = replace(sample_of(strip, {"gusset_depth": 0.95 * depth}), allowed_for=True)
    samples = {"boxed-panel": own, "gusset-strip": other}
    return Project(bag=allow_for(bag, own).bag, samples=samples).with_variant("strip", strip)


def test_each_bag_of_a_project_has_the_take_up_of_its_own_construction() -> None:
    both = two_measured()
    assert both.bag.take_up == TakeUp(across=pytest.approx(10.5 / 11))
    assert both.variant("strip").take_up == TakeUp(deep=pytest.approx(0.95))
    wrap = replace(both, bag=with_construction(both.bag, Wrap))
    assert wrap.bag.take_up == NO_TAKE_UP
    assert wrap.sample is None
    assert wrap.with_sample("wrap", both.samples["gusset-strip"]).bag.take_up.deep < 1.0


@pytest.mark.parametrize("kind", ["gusset-strip", "wrap", "separate-base"])
def test_another_construction_is_drawn_for_its_own_take_up_and_the_first_comes_back(
    kind: str,
) -> None:
    both, choice = two_measured(), COMMAND_CHOICES["construction"]

    def finish(bag: Bag) -> Bag:
        return drawn_for(bag, both.take_up_of(bag))

    there, left = LeftOut().chosen(both.bag, choice, kind, finish)
    assert replace(both, bag=there).bag is there
    sizes = ("base_width", "gusset_depth", "face_height")
    before, after = compute(both.bag).finished, compute(there)
    for name in sizes:
        assert after.finished[name] == pytest.approx(before[name], abs=1e-6)
    factor = 0.95 if kind == "gusset-strip" else 1.0
    assert after.drawn["gusset_depth"] * factor == pytest.approx(before["gusset_depth"], abs=1e-6)
    assert after.drawn["base_width"] == pytest.approx(before["base_width"], abs=1e-6)
    told = lost_by(choice, both.bag, there).text()
    own = "take-up that was measured on this construction is allowed for"
    assert (own if kind == "gusset-strip" else "No take-up is allowed for") in told
    assert left.chosen(there, choice, "boxed-panel", finish)[0] == both.bag
    # After another edit as well: the body as it was left, in the sizes that it was sewn to.
    renamed = replace(there, name="other")
    again = left.chosen(renamed, choice, "boxed-panel", finish)[0]
    assert (again.body, again.take_up) == (both.bag.body, both.bag.take_up)


def test_a_file_keeps_one_sample_for_each_construction() -> None:
    both = two_measured()
    document = json.loads(project_to_json(both))
    assert document["sample"]["measured"].keys() == {"base_width"}
    assert document["other_samples"].keys() == {"gusset-strip"}
    assert project_from_json(project_to_json(both), source="bag.json") == both
    # Files had one sample before there were several: that of the bag they hold.
    del document["other_samples"]
    old = project_from_json(json.dumps(document), source="bag.json")
    assert old.samples == {"boxed-panel": both.sample}
    assert old.variant("strip").take_up == NO_TAKE_UP
    assert "other_samples" not in project_to_json(old)
    strip = replace(both, bag=both.variant("strip"))
    assert json.loads(project_to_json(strip))["other_samples"].keys() == {"boxed-panel"}
    document["other_samples"] = {"boxed-panel": document["sample"]}
    with pytest.raises(BagFileError, match="other samples has one of boxed-panel, which is this"):
        project_from_json(json.dumps(document), source="bag.json")


def test_a_step_changes_the_sample_of_its_own_construction_only() -> None:
    both = two_measured()
    off = replace(both.sample, allowed_for=False)
    gone, come = both.samples, {**both.samples, "boxed-panel": off}
    other = both.with_sample("wrap", off).with_sample("gusset-strip", None)
    stepped = other.stepped({"samples": gone}, {"samples": come})
    assert stepped.samples == {"boxed-panel": off, "wrap": off}
    lost = removed_between(both, other)
    assert [each.construction for each in lost] == ["gusset-strip"]
    assert not is_back(other, lost[0])
    assert is_back(both, lost[0])


# --- What the maker is told -----------------------------------------------------------------


def test_measuring_the_bag_tells_sewn_sizes_and_folding_it_drawn_ones() -> None:
    result = compute(taken(demo()))
    told = {each.operation.key: each.operation for each in steps(result)}
    measured = {k: v for each in told["measure bag"].instructions for k, v in each.lengths.items()}
    for name in ("opening_width", "base_width", "gusset_depth", "face_height", "zip_offset"):
        assert measured[name] == pytest.approx(result.finished[name])
        assert measured[name] != pytest.approx(result.drawn[name])
    assert "sewn sizes" in told["measure bag"].why.text()
    folded = {k: v for each in told["fold bag"].instructions for k, v in each.lengths.items()}
    assert folded["zip_offset"] == pytest.approx(inch(0.75))
    plain = {each.operation.key: each.operation for each in steps(compute(demo()))}
    assert "sewn sizes" not in plain["measure bag"].why.text()
