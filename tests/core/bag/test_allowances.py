"""Other allowances with the same finished sizes, and what a zip's gauge says of its teeth."""

from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from core.bag.allowances import with_allowances
from core.bag.bag import Bag, with_figures
from core.bag.compute import compute
from core.model.findings import Severity
from core.parts.board.board import BaseBoard, BoardWay
from core.parts.pocket.pocket import Pocket, PocketFaces
from core.tops.hem.hem import Hem
from core.tops.zip_forward.zip import ZipForward
from core.tops.zips.findings import gauge_is_told, teeth_width
from tests.helpers import changed, codes, demo, demo_panel, found, inch, layer, sandwich
from tests.strategies import bags, sewable_bags

MOVED = {"zip_clearance"}
"""What a narrower or wider zip seam moves: it shows more or less of the same tape."""
SEAMS = ("side_seam", "corner_seam", "zip_seam", "bottom_seam")


def assert_same_sizes(bag: Bag, other: Bag, *, moved: set[str] = frozenset()) -> None:
    """Every finished figure alike to a millionth of a micrometre."""
    before, after = compute(bag).finished, compute(other).finished
    for name, size in before.items():
        if name not in moved:
            assert after[name] == (size if size is None else pytest.approx(size, abs=1e-8)), name


@given(
    st.one_of(bags(), sewable_bags()),
    st.dictionaries(st.sampled_from(SEAMS), st.integers(1, 60).map(lambda n: n * 0.5)),
)
def test_other_allowances_leave_every_finished_size_as_it_is(
    bag: Bag, wanted: dict[str, float]
) -> None:
    changes = with_allowances(bag, wanted)
    assume(changes is not None)
    other = with_figures(bag, changes)
    for name, size in wanted.items():
        assert compute(other).cut[name] == size
    assert_same_sizes(bag, other, moved=MOVED if "zip_seam" in wanted else set())


def test_other_allowances_of_the_demo_by_the_closed_formulas() -> None:
    """W = opening + 2 s1, a = d + s1, b = d + s4, L = 2 face + D + 2 s3 - z + t + 2 s4."""
    changes = with_allowances(demo(), dict.fromkeys(SEAMS, inch(0.5)))
    assert changes is not None
    panel = with_figures(demo(), changes).body
    sizes = compute(demo()).finished
    opening, gusset, face, offset = (
        sizes[name] or 0.0
        for name in ("opening_width", "gusset_depth", "face_height", "zip_offset")
    )
    shows, depth = inch(1.25) - 2 * inch(0.5), gusset / 2 - inch(0.5)
    assert panel.width == pytest.approx(opening + 2 * inch(0.5), abs=1e-9)
    assert panel.corner_width == pytest.approx(depth + inch(0.5), abs=1e-9)
    assert panel.corner_depth == pytest.approx(depth + inch(0.5), abs=1e-9)
    length = 2 * face + gusset + 2 * inch(0.5) - shows + 2 * offset + 2 * inch(0.5)
    assert panel.length == pytest.approx(length, abs=1e-9)


def test_wider_side_seams_take_a_longer_zip_that_is_sold() -> None:
    """A panel that grows from 18 1/2 to 20 1/4 in takes 22 1/4 in of zip: one of 24 in."""
    wider = {"side_seam": demo().body.side_seam + inch(7 / 8)}
    changes = with_allowances(demo(), wider)
    assert changes is not None
    assert changes["zip_length"] == pytest.approx(inch(24))
    narrower = {"side_seam": demo().body.side_seam + inch(1 / 8)}
    assert "zip_length" not in (with_allowances(demo(), narrower) or {})


def test_a_bag_that_cannot_have_such_an_allowance_is_not_offered_one() -> None:
    shallow = changed(demo(), corner_cut_depth=inch(0.1), corner_cut_width=inch(0.35))
    assert with_allowances(shallow, {"corner_seam": inch(0.5)}) is None
    assert with_allowances(demo(), {"zip_seam": inch(0.625)}) is None
    high = changed(demo(), handle_stop=0.0)
    assert with_allowances(high, {"zip_seam": inch(0.125)}) is None


# --- A print that runs one way ----------------------------------------------------------


def one_way(**parts: object) -> Bag:
    printed = sandwich(layer(usable_width=inch(42), one_way=True), layer("wipe-clean lining"))
    return demo(sandwich=printed, **parts)


@pytest.mark.parametrize("top", [ZipForward(tape_width=inch(1.25), length=inch(22)), Hem()])
@pytest.mark.parametrize("faces", PocketFaces)
def test_a_bottom_seam_for_a_print_keeps_every_size(
    top: ZipForward | Hem, faces: PocketFaces
) -> None:
    trim = 0.0 if isinstance(top, Hem) else inch(1.5)
    bag = one_way(
        top=top,
        body=demo_panel(front_trim=trim),
        pocket=Pocket(faces=faces, cut_height=inch(16), drop=inch(4.5)),
    )
    finding = found(bag, "print-upside-down")
    assert finding is not None
    assert finding.limit is None
    changes = dict(finding.fixes[0].changes)
    assert set(changes) == {"bottom_seam", "panel_length", "corner_cut_depth"}
    assert changes["panel_length"] == pytest.approx(inch(38.5) + 2 * changes["bottom_seam"])
    other = with_figures(bag, changes)
    assert_same_sizes(bag, other)
    assert "print-upside-down" not in codes(compute(other))


@pytest.mark.parametrize(("way", "fixes"), [(BoardWay.LAID_IN, 1), (BoardWay.FUSED, 0)])
def test_no_seam_is_offered_through_a_board_that_lies_there_before_it(
    way: BoardWay, fixes: int
) -> None:
    """All layers are basted at once here, and a fused board with them: the needle would hit it."""
    board = BaseBoard(width=inch(10), depth=inch(2), way=way)
    finding = found(one_way(board=board), "print-upside-down")
    assert finding is not None
    assert len(finding.fixes) == fixes


def test_only_the_outer_layer_of_a_folded_panel_turns_a_print() -> None:
    lining = sandwich(layer(), layer("wipe-clean lining", one_way=True))
    assert "print-upside-down" not in codes(compute(demo(sandwich=lining)))
    seamed = one_way(body=demo_panel(bottom_seam=inch(0.375), corner_depth=inch(3.375)))
    assert "print-upside-down" not in codes(compute(seamed))


# --- Teeth ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gauge", "width"),
    [
        ("5", 5.0),
        ("No. 3", 3.0),
        ("#10", 10.0),
        ("4.5", 4.5),
        ("8 coil", 8.0),
        ("", None),
        ("coarse", None),
        ("0", None),
        ("400", None),
        ("5" * 50, None),
    ],
)
def test_a_gauge_says_how_wide_teeth_are_or_is_taken_as_five(
    gauge: str, width: float | None
) -> None:
    """The number is about the width of the closed teeth in mm: common practice, no source."""
    top = ZipForward(tape_width=30.0, length=500.0, gauge=gauge)
    assert teeth_width(top) == (5.0 if width is None else width)
    assert gauge_is_told(top) is (width is not None)


def test_a_seam_nearer_to_the_tapes_edge_comes_before_a_wider_tape() -> None:
    bag = demo(body=demo_panel(top_seam=inch(0.5)))
    finding = found(bag, "teeth-under-needle")
    assert finding is not None
    assert finding.severity is Severity.WARN
    nearer, wider = finding.fixes
    assert dict(nearer.changes)["zip_seam"] == pytest.approx((inch(1.25) - 10.0) / 2)
    assert dict(wider.changes)["zip_tape_width"] == pytest.approx(inch(1) + 10.0)
    for fix in finding.fixes:
        assert_same_sizes(bag, with_figures(bag, dict(fix.changes)), moved=MOVED)


def test_no_nearer_seam_is_offered_than_holds() -> None:
    narrow = demo(top=ZipForward(tape_width=20.0, length=inch(22)))
    finding = found(narrow, "teeth-under-needle")
    assert finding is not None
    assert ["zip_tape_width" in dict(fix.changes) for fix in finding.fixes] == [True]


def test_an_unknown_gauge_is_said_to_be_one() -> None:
    bag = replace(demo(body=demo_panel(top_seam=inch(0.5))))
    assert isinstance(bag.top, ZipForward)
    known, unknown = (
        found(replace(bag, top=replace(bag.top, gauge=gauge)), "teeth-under-needle")
        for gauge in ("5", "fine")
    )
    assert known is not None
    assert unknown is not None
    assert "not given, assumed 5" in unknown.message.text()
    assert "not told" not in known.message.text()


# --- A wall that needs more than is usual ------------------------------------------------


def walled(pressed: float, **changes: float) -> Bag:
    """The demo in one layer of this thickness, its seams 60 mm wide, on wide goods."""
    goods = layer(thickness=pressed, pressed=pressed, usable_width=4000.0)
    return changed(demo(sandwich=sandwich(goods), pocket=None, handles=None), **changes)


def test_an_allowance_that_the_wall_needs_is_not_too_wide() -> None:
    """Two walls of 20 mm take 40 mm, more than the inch beyond which cloth is in the way."""
    assert "wide-allowance" not in codes(compute(walled(20.0, side_seam=40.0)))
    thin = found(walled(20.0, side_seam=40.0), "thin-allowance")
    assert thin is not None
    assert "side seam" not in thin.message.text()
    told = found(walled(20.0, side_seam=40.5), "wide-allowance")
    assert told is not None
    assert told.limit == 40.0
    (fix,) = told.fixes
    fixed = with_figures(walled(20.0, side_seam=40.5), dict(fix.changes))
    assert "wide-allowance" not in codes(compute(fixed))


def test_no_allowances_come_with_a_tape_wider_than_can_be_set() -> None:
    """A zip's tape is 200 mm wide at most."""
    for tape, possible in ((200.0, True), (200.5, False)):
        changes = with_allowances(demo(), {"zip_seam": inch(0.5), "zip_tape_width": tape})
        assert (changes is not None) is possible
        if changes is not None:
            assert compute(with_figures(demo(), changes)).cut["zip_tape_width"] == tape
