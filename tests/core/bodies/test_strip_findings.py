"""What is found about gusset strips and wraps, at its limits, and what mends it.

Sources: limits of ease, of the tightest corner and of the slip as they are agreed on (own choices);
the slip itself by plane geometry.
"""

import math
from collections.abc import Mapping
from dataclasses import replace

import pytest

from core.bag.bag import Bag
from core.bag.compute import Around, compute
from core.base.units import Unit
from core.bodies.gusset_strip.body import GussetStrip, StripBody, Wrap
from core.bodies.gusset_strip.corners import corner_spans
from core.bodies.gusset_strip.findings import is_slip, limits_of_ease
from core.model.findings import Finding, Fix, Severity
from core.output.booklet.content import BookletOptions, booklet
from core.output.booklet.html import booklet_html
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from core.tops.top_strip.strip import TopStrip
from tests.core.bodies.strip_bags import INCH, KINDS, e2, matched, open_bag

DEMO = sample("demo")
BARE = replace(DEMO.without(*DEMO.parts), top=Hem())


def bag_of(body: StripBody) -> Bag:
    """An open bag with this body, or one with a top strip."""
    if not body.closed:
        return replace(BARE, body=body)
    return replace(BARE, body=body, top=TopStrip(tape_width=1.25 * INCH, length=1000.0))


def found(body: StripBody) -> dict[str, Finding]:
    """What is found about a bag with this body, by code."""
    return {each.code: each for each in compute(bag_of(body)).findings}


def mended(body: StripBody, fix: Fix) -> StripBody:
    """The body with a fix."""
    names = {figure.name: figure.attribute for figure in body.FIGURES}
    changes: Mapping[str, float] = {names[name]: value for name, value in fix.changes}
    return body.having(changes)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize(
    ("limit", "severity"),
    [
        (INCH / 16, Severity.NOTE),
        (max(INCH / 8, 0.005 * (800 - (4 - math.pi) * 50)), Severity.WARN),
        (max(3 * INCH / 8, 0.015 * (800 - (4 - math.pi) * 50)), Severity.STOP),
    ],
)
def test_ease_is_noted_warned_of_and_stops(
    kind: type[StripBody], sign: float, limit: float, severity: Severity
) -> None:
    right = open_bag(kind)
    for more, expected in ((0.0, severity), (-0.01, severity - 1)):
        off = sign * (limit + more)
        body = replace(right, strip_length=right.strip_length - off)
        finding = found(body).get("gusset-edges-differ")
        assert (0 if finding is None else finding.severity) == expected
        if finding is None:
            continue
        assert finding.value == pytest.approx(off)
        for fix in finding.fixes:
            assert "gusset-edges-differ" not in found(mended(body, fix))
        assert [fix.changes[0][0] for fix in finding.fixes] == ["strip_length", "face_cut_height"]


def test_a_metre_of_seam_is_eased_by_shares() -> None:
    assert limits_of_ease(100.0)[0] == (3 * INCH / 8, Severity.STOP)
    assert [limit for limit, _ in limits_of_ease(2000.0)] == [30.0, 10.0, INCH / 16]


@pytest.mark.parametrize(
    ("body", "excess"),
    [
        (open_bag(corner_rounding=0.0), 4 * 10.0),
        (open_bag(), math.pi * 10.0),
        (e2(corner_rounding=0.0, upper_rounding=0.0), 4 * INCH / 4),
        (e2(upper_rounding=0.0), (2 + math.pi / 2) * INCH / 4),
        (e2(corner_rounding=0.0), (2 + math.pi / 2) * INCH / 4),
        (e2(), math.pi * INCH / 4),
    ],
)
def test_the_slip_of_a_strip_reckoned_from_cut_sizes(body: StripBody, excess: float) -> None:
    body = matched(body)
    for off, told in ((0.99, True), (-0.99, True), (1.01, False), (-1.01, False)):
        assert is_slip(body, excess + off) is told, off
        long = replace(body, strip_length=body.strip_length + excess + off)
        finding = found(long)["gusset-edges-differ"]
        assert ("worked out from cut sizes" in finding.message.text()) is told
        assert finding.fixes[0].changes[0] == (
            "strip_length", pytest.approx(body.strip_length, abs=1e-9),
        )  # fmt: skip
    short = replace(body, strip_length=body.strip_length - excess)
    assert "worked out" not in found(short)["gusset-edges-differ"].message.text()


def test_the_cut_edge_of_an_open_panel_is_longer_by_the_slip() -> None:
    """W + 2 H less what the cut rounding saves, against the same on the stitch line, s3 = s."""
    body = open_bag()
    cut = 320.0 + 2 * 270.0 - (4 - math.pi) * 60.0
    assert cut - body.strip_length == pytest.approx(math.pi * 10.0)


def test_corners_that_are_too_tight() -> None:
    pressed = BARE.site.pressed
    least = max(12.0, 3 * pressed)
    for kind in KINDS:
        near = matched(open_bag(kind, corner_rounding=10.0 + least))
        assert "corner-too-tight" not in found(near)
        tight = matched(open_bag(kind, corner_rounding=10.0 + least - 0.01))
        finding = found(tight)["corner-too-tight"]
        assert (finding.figure, finding.limit) == ("corner_rounding", pytest.approx(10.0 + least))
        assert finding.severity is Severity.WARN
        better = found(mended(tight, finding.fixes[0]))
        assert not {"corner-too-tight", "gusset-edges-differ"} & set(better)
    upper = matched(e2(upper_rounding=INCH / 4 + 5.0))
    assert found(upper)["corner-too-tight"].figure == "upper_rounding"
    assert "corner-too-tight" not in found(open_bag(corner_rounding=0.0)), "a square one is turned"


def test_joins_keep_clear_of_corners() -> None:
    """Three pieces of a square box of 1 to 1 are joined at a sixth of 900: inside its bottom."""
    body = matched(open_bag(corner_rounding=0.0, face_cut_width=320.0, face_cut_height=320.0))
    assert corner_spans(body) == ((150.0, 150.0),)
    three = replace(body, strip_pieces=3)  # 150 from the middle, on the corner itself
    finding = found(three)["strip-join-on-corner"]
    assert finding.figure == "strip_pieces"
    fixed = mended(three, finding.fixes[0])
    assert fixed.strip_pieces == 4
    assert "strip-join-on-corner" not in found(fixed)
    # A sixth of w + 600 keeps clear of w / 2 by the allowance of 10: from w of 270 down, of 330 up.
    for wide, told in ((270.0, False), (270.1, True), (329.9, True), (330.0, False)):
        clear = matched(replace(three, face_cut_width=wide + 20.0))
        assert ("strip-join-on-corner" in found(clear)) is told


def test_a_top_strip_that_ends_on_a_corner_is_moved_off_it() -> None:
    assert "strip-join-on-corner" not in found(e2())
    gap = 11.5 + 1.0  # past the upper corner's start, which lies 3.75 from its middle
    body = matched(e2(top_strip_length=(gap + 0.5) * INCH))
    finding = found(body)["strip-join-on-corner"]
    assert finding.message.text().startswith("The top strip is too long or too short for these ")
    assert finding.figure == "top_strip_length"
    assert len(finding.fixes) == 2
    for fix in finding.fixes:
        assert not {"strip-join-on-corner", "gusset-edges-differ"} & set(found(mended(body, fix)))


def test_a_top_that_opens_less_than_it_is_wide() -> None:
    for gap, told in ((7.5, False), (7.49, True)):
        body = matched(e2(top_strip_length=(gap + 0.5) * INCH))
        finding = found(body).get("opening-too-short")
        assert (finding is not None) is told
        if finding is not None:
            assert finding.severity is Severity.NOTE
            again = found(mended(body, finding.fixes[0]))
            assert not {"opening-too-short", "gusset-edges-differ"} & set(again)


def test_a_print_that_runs_one_way_is_upside_down_on_one_side() -> None:
    layers = BARE.sandwich.layers
    printed = replace(BARE.sandwich, layers=(replace(layers[0], one_way=True), *layers[1:]))
    for kind, word in zip(KINDS, ("side", "back"), strict=True):
        bag = replace(BARE, body=open_bag(kind), sandwich=printed)
        codes = {each.code: each for each in compute(bag).findings}
        finding = codes["print-upside-down"]
        assert (finding.severity, finding.figure) == (Severity.NOTE, "strip_pieces")
        assert f"on {'one side' if word == 'side' else 'the back'} it" in finding.message.text()
        body = mended(open_bag(kind), finding.fixes[0])
        better = compute(replace(bag, body=body))
        assert "print-upside-down" not in {each.code for each in better.findings}
        grains = [piece.grain[1] for piece in better.draft.pieces if piece.id.face is None]
        assert grains == [-1.0, 1.0], "both up"


def test_a_wall_that_leaves_no_room() -> None:
    wall = BARE.site.wall
    body = open_bag(GussetStrip)
    for deep, told in ((2 * wall + 0.01, False), (2 * wall, True)):
        narrow = replace(body, strip_width=deep + 20.0)
        findings = found(narrow)
        assert ("no-room-inside" in findings) is told
        if told:
            assert findings["no-room-inside"].figure == "gusset_depth"
        else:
            assert findings["little-room-inside"].severity is Severity.WARN
    assert not {"no-room-inside", "little-room-inside"} & set(found(body))
    # An open bag has no wall above, and a ring has one.
    low = replace(body, corner_rounding=0.0, face_cut_height=20.0 + 1.5 * wall)
    assert "no-room-inside" not in found(low)
    ring = e2(corner_rounding=0.0, upper_rounding=0.0, face_cut_height=INCH / 2 + 1.5 * wall)
    assert found(ring)["no-room-inside"].figure == "face_height"


@pytest.mark.parametrize("kind", KINDS)
def test_a_piece_of_hardly_any_width_cannot_be_sewn(kind: type[StripBody]) -> None:
    for width, severity in ((21.0, Severity.STOP), (25.0, Severity.WARN)):
        narrow = found(open_bag(kind, strip_width=width))["base-narrow"]
        assert narrow.severity is severity


@pytest.mark.parametrize(
    ("kind", "sizes", "figures"),
    [
        (GussetStrip, {"strip_width": 25.0}, {"strip_width"}),
        (Wrap, {"strip_width": 25.0}, {"strip_width"}),
        (Wrap, {"face_cut_width": 25.0}, {"face_cut_width", "strip_length"}),
        (GussetStrip, {"face_cut_width": 25.0}, {"face_cut_width", "strip_length"}),
        (
            GussetStrip,
            {"corner_rounding": 159.0, "face_cut_width": 320.0},
            {"corner_rounding", "strip_length"},
        ),
    ],
)
def test_what_no_foot_passes_is_cut_wider_or_rounded_less(
    kind: type[StripBody], sizes: dict[str, float], figures: set[str]
) -> None:
    """Source: a presser foot takes 10 mm (own choice); the strip still goes round as well."""
    body = matched(open_bag(kind, **{"corner_rounding": 0.0, **sizes}))
    (fix,) = found(body)["base-narrow"].fixes
    assert {name for name, _ in fix.changes} == figures
    after = compute(bag_of(mended(body, fix))).finished
    assert min(after["base_width"] or 0.0, after["gusset_depth"] or 0.0) == pytest.approx(10.0)
    assert after["gusset_mismatch"] == pytest.approx(0.0, abs=1e-6)


def test_small_and_high_bags() -> None:
    assert found(open_bag(strip_width=29.9))["base-narrow"].figure == "gusset_depth"
    flat = matched(open_bag(corner_rounding=155.1, face_cut_width=320.0))
    assert found(flat)["base-narrow"].figure == "base_width"
    low = found(open_bag(strip_width=275.0))
    assert low["face-too-short"].limit == pytest.approx(255.0)
    # An open mouth stands as a box: a hand goes in by half of the way round it.
    narrow = matched(open_bag(face_cut_width=119.0, corner_rounding=40.0))
    assert "opening-narrow" not in found(narrow)
    small = {"face_cut_width": 75.0, "corner_rounding": 20.0}
    for deep, told in ((66.5, True), (66.7, False)):  # 4 in, less 55 mm, and two seams
        bag = matched(open_bag(strip_width=deep, **small))
        assert ("opening-narrow" in found(bag)) is told
    assert "face-beyond-reach" in found(matched(open_bag(face_cut_height=28 * INCH + 20.1)))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("pieces", [1, 2, 3, 4])
def test_a_face_that_is_too_low_for_a_hem_is_made_higher_with_what_goes_along(
    kind: type[StripBody], pieces: int
) -> None:
    """The strip stays as long as the edge that it is sewn to."""
    low = matched(open_bag(kind, corner_rounding=0.0, face_cut_height=28.0, strip_pieces=pieces))
    finding = found(low)["hem-near-base"]
    better = mended(low, finding.fixes[-1])
    assert not {"hem-near-base", "gusset-edges-differ"} & set(found(better))


def test_a_loop_under_a_wrap_keeps_its_strip_in_one_piece_or_joined_in_the_middle() -> None:
    """Two pieces are joined under the loop by then; of more, one does not run on under it."""
    body = matched(open_bag(Wrap, strip_pieces=2, corner_rounding=0.0, face_cut_width=170.0,
                            strip_width=320.0))  # fmt: skip
    bag = bag_of(body)
    looped = bag.with_part(Handles.fresh(Around(bag)))
    assert looped.parts["handles"].style is HandleStyle.LOOP  # type: ignore[attr-defined]
    for pieces, told in ((1, True), (2, True), (3, False), (4, False)):
        assert body.can_be({"strip_pieces": pieces}, looped.site) is told
        assert body.can_be({"strip_pieces": pieces}, bag.site)


def test_steps_of_a_bag_that_is_only_shown_flat_have_their_pictures() -> None:
    """Seen from below and wrong side out there is nothing of pieces that lie right side down."""
    result = compute(bag_of(e2(strip_length=8 * INCH)))
    assert booklet_html(booklet(result, BookletOptions(unit=Unit.MM, builds=1)))
