"""Gusset strips and wraps in other sizes: the strip goes round, and is joined where it was.

Source: the edge of the panels, found without a formula of the bag (`strip_bags.ring_edge`).
"""

import math
from dataclasses import replace

import pytest

from core.bag import compute as bag_compute
from core.bag.bag import Bag, draft_walls
from core.bag.compute import Result, compute
from core.base.units import MM_PER_INCH
from core.bodies.gusset_strip.body import StripBody
from core.bodies.gusset_strip.sizes import FACE_CUT_WIDTH
from core.flat.seam import Draft
from core.model.findings import Severity
from core.redesign.redesign import Redesign, redesign
from core.redesign.request import ConflictError, RedesignRequest
from core.redesign.rounding import on_ruler
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from core.tops.top_strip.strip import TopStrip
from tests.core.bodies.strip_bags import KINDS, e2, open_bag, ring_edge
from tests.helpers import changed, texts

DEMO = sample("demo")
BARE = DEMO.without(*DEMO.parts)
STEP = MM_PER_INCH / 16


def bag_of(body: StripBody) -> Bag:
    top = TopStrip(tape_width=32.0, length=700.0) if body.closed else Hem()
    return replace(BARE, body=body, top=top)


BAGS = {
    f"{name} {kind.KIND}": bag_of(body)
    for kind in KINDS
    for name, body in (
        ("open", open_bag(kind)),
        ("square", open_bag(kind, corner_rounding=0.0, strip_length=820.0)),
        ("closed", e2(kind)),
    )
}
EVERY = pytest.mark.parametrize("name", BAGS)


def goes_round(result: Result) -> float:
    """How much the strip, and what closes it, is off the edge of the panels, mm."""
    body = result.bag.body
    assert isinstance(body, StripBody)
    return ring_edge(body) - body.drawn_strip - body.drawn_gap


def beside(result: Result) -> float:
    """How much longer the top strip is than the panels are wide, between stitch lines, mm."""
    body = result.bag.body
    assert isinstance(body, StripBody)
    return (result.finished["opening_width"] or 0.0) - (body.face_cut_width - 2 * body.gusset_seam)


def asked(bag: Bag, *holds: str, **wants: float) -> Result:
    found = redesign(bag, RedesignRequest(wants=wants, holds=frozenset(holds)))
    assert goes_round(found.after) == pytest.approx(0.0, abs=1e-5)
    for figure, value in wants.items():
        have = found.after.finished.get(figure, found.after.cut.get(figure))
        assert have == pytest.approx(value, abs=1e-5), figure
    return found.after


@EVERY
def test_a_little_deeper_and_not_so_wide(name: str) -> None:
    bag = BAGS[name]
    was = compute(bag)
    wide, deep = (was.finished[size] or 0.0 for size in ("face_width", "gusset_depth"))
    now = asked(bag, "face_height", face_width=wide - 25.0, gusset_depth=deep + 20.0)
    for stays in ("face_height", "corner_radius"):
        assert now.finished[stays] == pytest.approx(was.finished[stays], abs=1e-5)
    if name.startswith("closed"):
        assert beside(now) == pytest.approx(beside(was))
        assert now.cut["upper_rounding"] == was.cut["upper_rounding"]


@EVERY
def test_on_the_ruler_only_the_strip_stays_off_it(name: str) -> None:
    bag = BAGS[name]
    found = redesign(bag, RedesignRequest(wants={"face_height": 283.3}))
    rounded = on_ruler(found, STEP)
    assert set(rounded.off_ruler) <= {"strip_length"}
    assert len(rounded.off_ruler) == len(set(rounded.off_ruler))
    assert goes_round(rounded.result) == pytest.approx(0.0, abs=1e-5)
    for figure in ("face_cut_width", "face_cut_height", "strip_width"):
        if rounded.result.cut[figure] != compute(bag).cut[figure]:
            steps = (rounded.result.cut[figure] or 0.0) / STEP
            assert steps == pytest.approx(round(steps), abs=1e-6)


@EVERY
def test_on_the_ruler_the_strip_follows_the_corners_too(name: str) -> None:
    wide = compute(BAGS[name]).finished["face_width"] or 0.0
    wants = {"corner_radius": 33.3, "face_width": wide - 11.1, "face_height": 241.7}
    found = redesign(BAGS[name], RedesignRequest(wants=wants))
    rounded = on_ruler(found, STEP)
    assert set(rounded.off_ruler) == {"strip_length"}
    assert goes_round(rounded.result) == pytest.approx(0.0, abs=1e-5)


@EVERY
@pytest.mark.parametrize("radius", [0.0, 31.0])
def test_corners_are_made_square_and_round(name: str, radius: float) -> None:
    bag = BAGS[name]
    was, now = compute(bag), asked(bag, corner_radius=radius)
    for stays in ("face_width", "gusset_depth", "face_height", "opening_width"):
        assert now.finished[stays] == pytest.approx(was.finished[stays], abs=1e-5)
    assert (now.cut["corner_rounding"] == 0.0) is (radius == 0.0)


@EVERY
def test_a_volume_that_is_wanted(name: str) -> None:
    """G (w h - 2 (1 - pi / 4) (r^2 + q^2)), held in two of its sizes."""
    now = asked(BAGS[name], "face_width", "face_height", box_volume=9.5)
    body, sizes = now.bag.body, now.finished
    assert isinstance(body, StripBody)
    wide = body.face_cut_width - 2 * body.gusset_seam
    corners = (sizes["corner_radius"] or 0.0) ** 2 + body.stitched_upper_radius**2
    face = wide * (sizes["face_height"] or 0.0) - 2 * (1 - math.pi / 4) * corners
    deep = body.strip_width - 2 * body.gusset_seam
    assert face * deep / 1e6 == pytest.approx(9.5, abs=1e-6)


@EVERY
def test_an_opening_that_is_wanted_moves_the_joins_alone(name: str) -> None:
    if not name.startswith("closed"):
        return
    now = asked(BAGS[name], "face_width", "gusset_depth", "face_height", opening_width=420.0)
    assert now.cut["top_strip_length"] == pytest.approx(420.0 + 12.7)


def test_a_strip_that_is_held_fights_the_height_and_the_width() -> None:
    bag = BAGS["open gusset-strip"]
    with pytest.raises(ConflictError) as refused:
        asked(bag, "strip_length", "face_width", "corner_radius", face_height=300.0)
    assert "strip_length" in refused.value.names


def test_a_rounding_leaves_a_length_of_the_bottom_or_is_refused() -> None:
    """A length is at least 0.01 mm: a search that runs into the limit ends on no less."""
    found = redesign(sample("coolbox"), RedesignRequest({"corner_radius": 150.0}, frozenset()))
    assert (found.finished["base_width"] or 0.0) >= 0.01
    assert found.bag.body.value(FACE_CUT_WIDTH, found.bag.site) >= 320.01


@pytest.mark.parametrize(
    ("figure", "limit"), [("face_width", "80.01 mm"), ("gusset_depth", "12 mm")]
)
def test_a_limit_that_is_refused_itself_is_not_told_as_one_that_can_be_had(
    figure: str, limit: str
) -> None:
    with pytest.raises(ConflictError) as refused:
        redesign(sample("coolbox"), RedesignRequest({figure: 0.0}, frozenset()))
    assert f"must be more than {limit}" in str(refused.value)


@pytest.mark.parametrize("name", ["coolbox", "wrap", "jar"])
def test_what_a_larger_bag_needs_of_joins_and_zip_goes_along_and_comes_back(name: str) -> None:
    bag = sample(name)
    size = compute(bag).finished["inside_volume"] or 0.0
    for share in (0.8, 1.3):
        there = asked_of(bag, size * share)
        assert warned(there.after) <= warned(compute(bag))
        cut = compute(asked_of(there.bag, size).bag).cut
        for figure, value in compute(bag).cut.items():
            assert cut[figure] == pytest.approx(value, abs=1.0), figure


def asked_of(bag: Bag, litres: float) -> Redesign:
    return redesign(bag, RedesignRequest(wants={"inside_volume": litres}, holds=frozenset()))


def warned(result: Result) -> set[str]:
    return {each.code for each in result.findings if each.severity is not Severity.NOTE}


def test_zip_and_joins_stay_where_they_are_held_or_could_not_be_kept() -> None:
    bag = sample("coolbox")
    wide = (compute(bag).finished["face_width"] or 0.0) + 90.0
    for figure in ("top_strip_length", "zip_length", "opening_width"):
        now = asked(bag, figure, face_width=wide)
        was = {**compute(bag).finished, **compute(bag).cut}[figure]
        assert {**now.finished, **now.cut}[figure] == pytest.approx(was)
    longer = asked(changed(bag, zip_length=900.0), face_width=wide)
    assert longer.cut["zip_length"] == 900.0
    short = on_ruler(redesign(bag, RedesignRequest(wants={"face_width": wide})), STEP)
    assert short.result.cut["zip_length"] == 600.0


def test_a_bag_whose_joins_are_moved_back_is_drafted_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its board follows the sizes that the joins were judged by."""
    drafted: list[Bag] = []

    def counted(bag: Bag) -> Draft:
        drafted.append(bag)
        return draft_walls(bag)

    monkeypatch.setattr(bag_compute, "draft_walls", counted)
    bag = sample("coolbox")
    base = compute(bag).finished["base_width"] or 0.0
    after = redesign(bag, RedesignRequest(wants={"base_width": base + 3.21})).bag
    assert after.parts != bag.parts
    joined = replace(after, top=bag.top, parts=bag.parts)
    assert drafted.count(joined) == 1
    assert all(drafted.count(each) == 1 for each in drafted)


def test_no_search_rounds_the_bottom_away() -> None:
    """A presser foot needs 10 mm: with 300 mm across, 145 are left to the radius."""
    bag = sample("coolbox")
    now = asked(bag, corner_radius=150.0).finished
    assert now["base_width"] == pytest.approx(10.0, abs=1e-5)
    assert now["face_width"] == pytest.approx(310.0, abs=1e-5)
    asked(bag, "face_width", corner_radius=145.0)
    with pytest.raises(ConflictError) as refused:
        asked(bag, "face_width", corner_radius=145.02)
    assert refused.value.bound is not None
    assert refused.value.bound.value == pytest.approx(145.0, abs=1e-5)
    assert refused.value.bound.limit == "corner_rounding"
    # Who asked for less of it, or typed less, goes on with that.
    asked(asked(bag, base_width=5.0).bag, "base_width", "corner_radius", face_height=230.0)


def test_what_no_search_changes_is_told_to_be_changed_first() -> None:
    with pytest.raises(ConflictError) as refused:
        asked(sample("coolbox"), face_width=70.0)
    assert texts(refused.value.sentence)[0].endswith(
        "Make “Upper rounding” smaller first: a redesign leaves it as it is."
    )
