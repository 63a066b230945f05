"""Fixes of findings: none is refused, and each fixes what it is offered for."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, example, given, settings

from core.bag.bag import Bag
from core.bag.choices import with_choice, with_fix
from core.bag.compute import Around, Result, compute
from core.bodies.boxed_panel.panel import BoxedPanel
from core.model.findings import Severity
from core.parts.board.board import BaseBoard
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from core.tops.zip_forward.zip import ZipForward
from tests.core.bag.base_limits import BASE_FIXED_BY
from tests.core.bag.finding_cases import raising_bags
from tests.core.bag.handle_limits import HANDLES_FIXED_BY
from tests.core.bag.strip_limits import STRIP_FIXED_BY
from tests.helpers import (
    as_changes,
    bare,
    changed,
    codes,
    demo,
    demo_panel,
    found,
    having,
    inch,
    stops,
)
from tests.strategies import bags, carriers, sewable_bags

SEAMS = {"side_seam", "corner_seam", "zip_seam"}
KEPT_BY = {
    *("panel_width", "panel_length", "corner_cut_width", "corner_cut_depth"),
    *("pocket_drop", "handle_stop"),
}
"""What moves with other allowances so that finished sizes stay."""

FIXED_BY = {
    **HANDLES_FIXED_BY,
    **STRIP_FIXED_BY,
    **BASE_FIXED_BY,
    "corner-too-tight": STRIP_FIXED_BY["corner-too-tight"] | BASE_FIXED_BY["corner-too-tight"],
    "corner-edges-differ": {"corner_cut_width", "corner_cut_depth"},
    "zip-on-top-fold": {"front_trim"},
    "zip-near-top-fold": {"front_trim"},
    "zip-near-handle-stop": {"handle_stop"},
    "zip-too-short": {"zip_length"},
    "pocket-meets-corner": {"pocket_drop"},
    "pocket-meets-zip": {"pocket_drop"},
    "pocket-near-zip": {"pocket_drop"},
    "handle-over-corner": {"handle_gap"},
    "handle-loop-short": {"handle_strips", "handle_last_strip"},
    "board-too-big": {"board_width", "board_depth"},
    "board-too-small": {"board_width", "board_depth"},
    "base-narrow": {"panel_width", "panel_length", "corner_cut_depth", "corner_cut_width"},
    "baste-shows": {"baste_line"},
    "hems-differ": {"front_trim"},
    "no-allowance": SEAMS | KEPT_BY | {"pocket_seam", "pocket_cut_height", "zip_tape_width"},
    "thin-allowance": SEAMS | KEPT_BY | {"bottom_seam", "pocket_seam", "pocket_cut_height"},
    "teeth-under-needle": {
        "zip_seam",
        "zip_tape_width",
        "panel_length",
        "pocket_drop",
        "handle_stop",
    },
    "print-upside-down": {"bottom_seam", "panel_length", "corner_cut_depth", "strip_pieces"},
    "wide-allowance": SEAMS | KEPT_BY | {"bottom_seam", "pocket_seam", "pocket_cut_height"},
    "baste-at-edge": {"baste_line"},
    "hem-near-base": {"panel_length"},
    "zip-length-not-sold": {"zip_length"},
    "zip-too-long": {"zip_length"},
    "zip-near-base": {"panel_length", "front_trim"},
    "pocket-low": {"pocket_cut_height"},
    "corner-left-in": {"tips"},
    "trim-near-seam": {"corner_seam"},
}


def warnings(result: Result) -> set[str]:
    """Codes of what warns or stops."""
    return {each.code for each in result.findings if each.severity >= Severity.WARN}


def assert_fixes(before: Result) -> int:
    """Each fix of a bag leaves nothing of what it fixes, and no other stop; how many there were.

    What mends less than a stop brings no other warning either.
    """
    tried = 0
    for finding in before.findings:
        for fix in finding.fixes:
            after = compute(with_fix(before.bag, fix))
            assert all(
                (each.code, each.figure) != (finding.code, finding.figure)
                or each.severity < finding.severity
                for each in after.findings
            ), (finding.code, fix.changes)
            new = stops(after) - stops(before)
            assert not new, (finding.code, fix.changes)
            if finding.severity is not Severity.STOP:
                warned = warnings(after) - warnings(before)
                assert not warned, (finding.code, fix.changes)
            tried += 1
    return tried


@pytest.mark.parametrize("code", FIXED_BY)
def test_the_demo_fixes_with_one_click(code: str) -> None:
    cases = [bag for raised, bag in raising_bags() if raised == code]
    fixed: set[str] = set()
    for bag in cases:
        finding = found(bag, code)
        assert finding is not None
        before = stops(compute(bag))
        for fix in finding.fixes:
            fixed |= {name for name, _ in (*fix.changes, *fix.choices)}
            after = compute(with_fix(bag, fix))
            assert code not in codes(after)
            assert stops(after) <= before
    assert fixed == FIXED_BY[code]


@pytest.mark.parametrize("name", ["tote", "boxed"])
def test_a_zip_in_place_of_a_deep_hem_becomes_one_that_is_sold(name: str) -> None:
    """A hem of 3 cm for its seam asks for tape that is hard to find; the usual seam does not."""
    bag = sample(name)
    bag = replace(bag, top=ZipForward.fresh(Around(bag)))
    assert "zip-tape-not-sold" in codes(compute(bag))
    finding = found(bag, "wide-allowance")
    assert finding is not None
    (fix,) = finding.fixes
    after = compute(with_fix(bag, fix))
    assert after.cut["zip_tape_width"] == 32.0
    assert not codes(after) & {"zip-tape-not-sold", "wide-allowance", "teeth-under-needle"}
    for size in ("base_width", "gusset_depth", "face_height", "opening_width"):
        assert after.finished[size] == pytest.approx(compute(bag).finished[size])


@pytest.mark.parametrize("name", ["tote", "boxed"])
def test_choosing_a_zip_for_a_deep_hem_brings_the_usual_seam_and_keeps_the_sizes(name: str) -> None:
    """One finding is left, that the zip wants a trim: as much as one of usual tape needs."""
    bag = sample(name)
    zipped = with_choice(bag, "top", "zip-forward")
    after = compute(zipped)
    assert (after.cut["zip_seam"], after.cut["zip_tape_width"]) == (10.0, 32.0)
    assert codes(after) == {"zip-on-top-fold"}
    was = compute(replace(bag, top=ZipForward.fresh(Around(bag)))).finished
    for size in ("base_width", "gusset_depth", "face_height", "opening_width"):
        assert after.finished[size] == pytest.approx(was[size])
    (trim,) = after.findings[0].fixes
    assert codes(compute(with_fix(zipped, trim))) == set()


@given(carriers())
@settings(max_examples=100, suppress_health_check=list(HealthCheck))
def test_fixes_of_bags_that_are_cut_like_boxes(bag: Bag) -> None:
    assert_fixes(compute(bag))


@given(sewable_bags())
def test_fixes_of_bags_that_can_be_sewn(bag: Bag) -> None:
    assert_fixes(compute(bag))


@given(bags())
@example(  # a trim that a narrow clearance ends exactly at: floats land a hair below it
    bare(
        BoxedPanel(
            width=633.4125,
            length=250.825,
            front_trim=36.5125,
            corner_width=0.0,
            corner_depth=0.0,
            side_seam=19.05,
            corner_seam=17.4625,
            top_seam=17.4625,
        ),
        top=ZipForward(tape_width=39.6875, length=700.0),
    )
)
@example(  # so narrow that the board's margins alone would leave next to nothing
    having(bare(demo_panel(corner_width=inch(8))), board=BaseBoard(width=5.0, depth=5.0))
)
@example(  # a gusset of no depth but for the last bits of its floats
    having(
        bare(
            BoxedPanel(
                width=55.5625,
                length=69.85,
                front_trim=0.0,
                corner_width=0.0,
                corner_depth=7.9375,
                side_seam=0.0,
                corner_seam=1.5875,
                top_seam=0.0,
                bottom_seam=9.524999999999999,
            )
        ),
        board=BaseBoard(width=5.0, depth=5.0),
    )
)
@example(  # the front is too short for the trim that would bring the zip over
    bare(
        demo_panel(
            length=inch(8), front_trim=0.0, corner_depth=inch(3.5), corner_width=inch(3.875)
        ),
        top=ZipForward(tape_width=inch(2), length=inch(21)),
    )
)
def test_fixes_of_any_bag(bag: Bag) -> None:
    assert_fixes(compute(bag))


def test_the_fixes_of_a_mismatch_make_one_edge_fit_the_other() -> None:
    finding = found(changed(demo(), corner_cut_depth=inch(3.5)), "corner-edges-differ")
    assert finding is not None
    changes = [as_changes(fix.changes) for fix in finding.fixes]
    smaller = {"board_width", "board_depth"}  # the base is an inch less wide then
    assert [set(each) for each in changes] == [
        {"corner_cut_width"} | smaller,
        {"corner_cut_depth"},
    ]
    assert finding.fixes[0].label.text().count("Cut the board") == 1
    assert changes[0]["corner_cut_width"] == pytest.approx(inch(3.875))
    assert changes[1]["corner_cut_depth"] == pytest.approx(inch(3))


def test_a_fix_makes_no_other_stop_worse() -> None:
    """A board that is too big already is cut with the fix that would leave it less room yet."""
    bag = changed(demo(), corner_cut_depth=inch(3.5), board_width=inch(12))
    (finding,) = (each for each in compute(bag).findings if each.code == "corner-edges-differ")
    assert "board-too-big" in stops(compute(bag))
    assert "board_width" in dict(finding.fixes[0].changes)


@pytest.mark.parametrize(("leg", "offered"), [(12.0, True), (13.0, False)])
def test_a_front_is_not_trimmed_below_the_legs_that_are_sewn_to_it(
    leg: float, offered: bool
) -> None:
    """The front, 19 1/4 in, loses 1 1/4 in: legs that end 17 in below its edge stay on it.

    With the trim the stops of the back go as much lower, so that both handles hang level.
    """
    legs = Handles(
        style=HandleStyle.SEPARATE,
        width=inch(1.25),
        gap=inch(5),
        stop=inch(5),
        strips=3,
        leg=inch(leg),
    )
    finding = found(demo(body=demo_panel(front_trim=0.0), handles=legs), "zip-on-top-fold")
    assert finding is not None
    trims = [(("front_trim", inch(1.25)), ("handle_back_lower", inch(1.25)))]
    assert [fix.changes for fix in finding.fixes] == (trims if offered else [])


@pytest.mark.parametrize(("leg", "offered"), [(15.0, True), (15.7, False)])
def test_legs_wider_than_the_base_are_not_moved_down_onto_the_corners(
    leg: float, offered: bool
) -> None:
    """The front is 19 1/4 in high, its corners 3 3/8 in: 15 7/8 in of leg end at them."""
    legs = Handles(
        style=HandleStyle.SEPARATE,
        width=inch(1.25),
        gap=inch(12),
        stop=0.0,
        strips=3,
        leg=inch(leg),
    )
    bag = demo(body=demo_panel(front_trim=0.0), top=Hem(), handles=legs)
    finding = found(bag, "handle-stop-in-hem")
    assert finding is not None
    moved = [(("handle_stop", 9.525),)]
    assert [fix.changes for fix in finding.fixes] == (moved if offered else [])
