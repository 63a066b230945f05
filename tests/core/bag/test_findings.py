"""Each finding just inside and just outside its limit, its sentence, and who may raise it."""

import string
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.errors import FieldError
from core.base.sentences import Plural
from core.base.units import Unit
from core.bodies.boxed_panel.panel import BoxedPanel
from core.model.findings import Finding, Severity
from core.parts.handles.figures import HandleStyle
from core.parts.pocket.pocket import Pocket, PocketFaces
from core.tops.hem.hem import Hem
from tests.core.bag.finding_bags import demo_length, pocket_at, small_base
from tests.core.bag.finding_cases import EVERY_CODE, LIMITS, SINGLE, raising_bags
from tests.core.bag.finding_limit import Limit
from tests.core.bag.handle_limits import handled
from tests.helpers import (
    HALF_STEP,
    as_changes,
    bare,
    changed,
    codes,
    demo,
    demo_panel,
    found,
    having,
    inch,
    layer,
    sandwich,
    stops,
    texts,
)
from tests.strategies import bags, sewable_bags

NOTE, WARN, STOP = Severity.NOTE, Severity.WARN, Severity.STOP

# --- Limits -----------------------------------------------------------------------------


@pytest.mark.parametrize("over", [HALF_STEP, 0.01], ids=["1/64 in", "0.01 mm"])
@pytest.mark.parametrize("limit", LIMITS.values(), ids=LIMITS.keys())
def test_a_finding_holds_just_beyond_its_limit(limit: Limit, over: float) -> None:
    finding = found(limit.bag(over), limit.code)
    assert finding is not None
    assert finding.severity is limit.severity


@pytest.mark.parametrize("inside", [HALF_STEP, 0.01], ids=["1/64 in", "0.01 mm"])
@pytest.mark.parametrize("limit", LIMITS.values(), ids=LIMITS.keys())
def test_a_finding_is_silent_or_milder_just_within_its_limit(limit: Limit, inside: float) -> None:
    finding = found(limit.bag(-inside), limit.code)
    assert (finding and finding.severity) == limit.inside


@pytest.mark.parametrize("limit", LIMITS.values(), ids=LIMITS.keys())
def test_a_finding_decides_the_limit_itself_whatever_the_floats_do(limit: Limit) -> None:
    for hair in (0.0, 1e-12, -1e-12):
        try:
            bag = limit.bag(hair)
        except FieldError as error:
            assert hair and "it must be 0 or at least 0.01 mm" in str(error)  # a hair from nothing
            continue
        finding = found(bag, limit.code)
        severity = finding and finding.severity
        assert severity == (limit.severity if limit.at_limit else limit.inside)


@pytest.mark.parametrize(("code", "severity", "make"), SINGLE.values(), ids=SINGLE.keys())
def test_findings_without_a_sliding_limit(
    code: str, severity: Severity, make: Callable[[], Bag]
) -> None:
    finding = found(make(), code)
    assert finding is not None
    assert finding.severity is severity


def test_every_code_has_a_bag_that_raises_it() -> None:
    assert {code for code, _ in raising_bags()} == EVERY_CODE
    for code, bag in raising_bags():
        assert code in codes(compute(bag))


@given(st.one_of(bags(), sewable_bags()))
def test_no_bag_raises_a_code_that_has_no_case_here(bag: Bag) -> None:
    assert codes(compute(bag)) <= EVERY_CODE


# --- What is said -----------------------------------------------------------------------


@pytest.mark.parametrize(("code", "bag"), raising_bags())
def test_sentences_read_in_inches_and_millimetres(code: str, bag: Bag) -> None:
    finding = found(bag, code)
    assert finding is not None
    sentences = [finding.message, *(fix.label for fix in finding.fixes)]
    for sentence in sentences:
        for text in texts(sentence):
            assert not set("{}") & set(text), text
        inches, metric = texts(sentence)
        assert (" mm" in metric) == (" in" in inches.replace(" in the", "")) or not sentence.lengths
    inches, metric = texts(finding.message)
    assert inches.endswith((".", "!"))
    assert inches[0].isupper()
    template = finding.message.template
    template = template.many if isinstance(template, Plural) else template
    gaps = {gap for _, gap, _, _ in string.Formatter().parse(template) if gap}
    told = finding.message
    assert gaps <= {*told.lengths, *told.words, *told.numbers, *told.terms}


@given(st.one_of(bags(), sewable_bags()))
def test_every_sentence_has_all_its_gaps_filled(bag: Bag) -> None:
    for finding in compute(bag).findings:
        for sentence in (finding.message, *(fix.label for fix in finding.fixes)):
            assert not set("{}") & set("".join(texts(sentence)))


def test_corners_that_leave_no_sheet_say_nothing_of_little_room() -> None:
    """Opening 23.8 mm, face and half the gusset 57.15 mm: twice that is the 171.45 x 15.875 cut."""
    cut = BoxedPanel(
        width=55.5625,
        length=133.35,
        front_trim=3.175,
        corner_width=0.0,
        corner_depth=61.9125,
        side_seam=15.875,
        corner_seam=23.8125,
        top_seam=7.9375,
    )
    for length in (133.3, 133.35, 133.4):
        bag = replace(bare(replace(cut, length=length)), sandwich=sandwich(layer()))
        assert "little-room-inside" not in codes(compute(bag))


def test_findings_come_worst_first() -> None:
    bad = changed(demo(), corner_cut_depth=inch(3.5), front_trim=inch(0.5), zip_length=inch(19))
    severities = [finding.severity for finding in compute(bad).findings]
    assert severities == sorted(severities, reverse=True)
    assert {STOP, WARN} <= set(severities)


def test_glue_on_a_layer_that_melts_is_told_of_that_layer_once() -> None:
    for ground, glued in ((True, False), (False, True)):
        wall = sandwich(layer(melts=ground), layer("fleece", fusible=True, melts=glued))
        told = found(demo(sandwich=wall), "fusible-would-melt")
        assert told is not None
        text = told.message.text()
        assert text.count("fleece") == 1
        assert ("outer fabric would melt" in text) is ground
        assert ("melt under the iron itself" in text) is glued


def test_layers_of_one_name_are_told_once_where_an_iron_harms_them() -> None:
    films = [layer("film", name=name, melts=True) for name in ("clear", "white")]
    told = found(demo(sandwich=sandwich(layer(), *films)), "melts")
    assert told is not None
    assert told.message.text().startswith("A hot iron damages film: ")


def test_severity_words() -> None:
    assert [each.word for each in Severity] == ["note", "warn", "stop"]
    assert max(Severity) is STOP


def test_the_demo_bag_has_nothing_worse_than_a_note() -> None:
    assert all(finding.severity is NOTE for finding in compute(demo()).findings)


def test_mismatch_says_which_side_is_longer() -> None:
    wide = found(changed(demo(), corner_cut_width=inch(3.875)), "corner-edges-differ")
    deep = found(changed(demo(), corner_cut_depth=inch(3.5)), "corner-edges-differ")
    assert wide is not None
    assert deep is not None
    assert wide.value == pytest.approx(inch(1))
    assert deep.value == pytest.approx(-inch(1))
    assert wide.limit == deep.limit == inch(3 / 8)
    assert "side edges" in wide.message.text()
    assert "end of the base" in deep.message.text()
    assert "1 in" in texts(wide.message)[0]


# --- Who may raise what -----------------------------------------------------------------


def test_an_open_top_has_no_zip_findings() -> None:
    bag = demo(top=Hem(), body=demo_panel(front_trim=0.0))
    close = having(bag, handles=replace(bag.parts["handles"], stop=inch(0.5)))
    assert not {code for code in codes(compute(close)) if code.startswith("zip-")}


def test_one_layer_needs_no_basting() -> None:
    plain = changed(demo(sandwich=sandwich(layer())), baste_line=inch(0.5))
    assert "baste-shows" not in codes(compute(plain))


def test_a_pocket_on_both_faces_is_fixed_for_the_shorter_front() -> None:
    low = replace(pocket_at(inch(2)).parts["pocket"], faces=PocketFaces.BOTH)
    finding = found(demo(pocket=low), "pocket-meets-corner")
    assert finding is not None
    assert "front" in finding.message.text()
    assert as_changes(finding.fixes[0].changes)["pocket_drop"] == pytest.approx(inch(6.75))


def test_separate_handles_above_the_corners_may_be_wider_than_the_base() -> None:
    wide = handled(gap=inch(12), style=HandleStyle.SEPARATE, leg=inch(4), strips=2)
    assert "handle-over-corner" not in codes(compute(wide))
    low = handled(gap=inch(12), style=HandleStyle.SEPARATE, leg=inch(11), strips=2)
    assert "handle-over-corner" in codes(compute(low))


def test_goods_are_judged_for_each_layer_that_a_piece_is_cut_from() -> None:
    narrow = demo(sandwich=sandwich(layer(), layer("fleece", usable_width=inch(18))))
    finding = found(narrow, "wider-than-goods")
    assert finding is not None
    assert "fleece" in finding.message.text()
    assert finding.limit == inch(18)


def test_a_one_way_print_keeps_pieces_from_being_turned() -> None:
    goods = inch(17)
    turned, upright = (
        compute(low_bag(usable_width=goods, one_way=one_way)).findings for one_way in (False, True)
    )
    assert not pieces_too_wide(turned)
    assert pieces_too_wide(upright) == ["panel", "front pocket"]


def low_bag(**fabric_changes: object) -> Bag:
    """A bag wider than its goods, whose pieces fit when turned by a quarter."""
    small = demo_panel(
        width=inch(17.5),
        length=inch(16.8),
        front_trim=0.0,
        corner_width=inch(2),
        corner_depth=inch(1.625),
    )
    pocket = Pocket(cut_height=inch(8), drop=inch(1))
    return having(bare(small), pocket=pocket, sandwich=sandwich(layer(**fabric_changes)))


def pieces_too_wide(findings: tuple[Finding, ...]) -> list[str]:
    return [each.message.terms["piece"] for each in findings if each.code == "wider-than-goods"]


@settings(suppress_health_check=[HealthCheck.filter_too_much])  # most bags are sound
@given(bags())
def test_stitch_lines_that_cross_are_told_or_explained(bag: Bag) -> None:
    result = compute(bag)
    assume(not all(outline.sound for outline in result.draft.outlines.values()))
    assert stops(result) & {"stitch-lines-cross", "base-vanishes"}


def test_limits_of_hand_and_arm_are_round_in_the_bags_own_unit() -> None:
    told = {
        unit: [
            finding.message.text()
            for bag in (small_base(30.0, 60.0), bare(demo_panel(length=demo_length(inch(40)))))
            for finding in compute(replace(bag, unit=unit)).findings
            if finding.code in ("opening-narrow", "face-beyond-reach")
        ]
        for unit in (Unit.MM, Unit.INCH)
    }
    assert ["100 mm" in told[Unit.MM][0], "700 mm" in told[Unit.MM][1]] == [True, True]
    assert ["101.6 mm" in told[Unit.INCH][0], "711.2 mm" in told[Unit.INCH][1]] == [True, True]
