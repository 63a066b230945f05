"""Bags near their limits: what their maker would see on the table is told.

The checks know nothing of how the program judges: they go by the cut figures and by the closed
formulas for finished sizes, and name what must be said. Limits are the own choices and common
practice that the findings state, written down again here in mm.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from core.bag.bag import Bag
from core.bodies.boxed_panel.sizes import Corners
from core.model.findings import Severity
from core.parts.handles.figures import HandleStyle
from core.tops.zip_forward.zip import ZipForward
from tests.core.bag.test_fixes import assert_fixes
from tests.helpers import codes
from tests.near_limits import pushed, pushed_alone, pushed_in_pairs

MM_PER_INCH = 25.4
HAIR = 1e-6
INCHES = (7, 9, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30, 36)
CENTIMETRES = (10, 12, 15, 18, 20, 22, *range(25, 105, 5))


@dataclass(frozen=True)
class Sizes:
    """Finished sizes by the closed formulas, mm."""

    base: float
    gusset: float
    gusset_at_side: float
    face: float
    shows: float
    clearance: float
    front_above_base: float
    corners: bool


def sizes(bag: Bag) -> Sizes:
    """What a handbook would work out from the cut figures."""
    p = bag.body
    if p.corners is Corners.SEWN_ACROSS:
        return _sewn_across(bag)
    corners = p.corner_width > 0.0 or p.corner_depth > 0.0
    d = p.corner_depth - p.bottom_seam if corners else 0.0
    corner = p.corner_seam if corners else 0.0
    shows = bag.top.tape_width - 2 * p.top_seam if isinstance(bag.top, ZipForward) else 0.0
    back, front = p.length / 2, p.length / 2 - p.front_trim
    loop = back + front - 2 * p.top_seam + shows - 2 * p.bottom_seam
    return Sizes(
        base=p.width - 2 * (p.corner_width + corner) if corners else p.width - 2 * p.side_seam,
        gusset=2 * (d + corner) if corners else 0.0,
        gusset_at_side=2 * (p.corner_width - p.side_seam + corner) if corners else 0.0,
        face=loop / 2 - (d + corner),
        shows=shows,
        clearance=p.front_trim / 2 - shows / 2,
        front_above_base=front - p.bottom_seam - p.top_seam - max(d + corner, 0.0),
        corners=corners,
    )


def _sewn_across(bag: Bag) -> Sizes:
    """By the geometry of a flattened corner: the seam lies m from the tip, and is 2 m long."""
    p = bag.body
    mark = p.corner_mark
    shows = bag.top.tape_width - 2 * p.top_seam if isinstance(bag.top, ZipForward) else 0.0
    back, front = p.length / 2, p.length / 2 - p.front_trim
    loop = back + front - 2 * p.top_seam + shows - 2 * p.bottom_seam
    return Sizes(
        base=p.width - 2 * p.side_seam - 2 * mark,
        gusset=2 * mark,
        gusset_at_side=2 * mark,
        face=loop / 2 - mark,
        shows=shows,
        clearance=p.front_trim / 2 - shows / 2,
        front_above_base=front - p.bottom_seam - p.top_seam - mark,
        corners=mark > 0.0,
    )


def sewn(bag: Bag) -> list[float]:
    """Allowances that are sewn through the wall."""
    p = bag.body
    return [
        p.side_seam,
        p.top_seam,
        *([p.corner_seam] if sizes(bag).corners else []),
        *([p.bottom_seam] if p.bottom_seam > 0.0 else []),
    ]


def layered(bag: Bag) -> bool:
    return len(bag.sandwich.layers) > 1


def zipped(bag: Bag) -> bool:
    return isinstance(bag.top, ZipForward)


def zip_length(bag: Bag) -> float:
    return bag.top.length if isinstance(bag.top, ZipForward) else math.inf


def pocket_height(bag: Bag) -> float:
    return (
        math.inf
        if bag.parts.get("pocket") is None
        else bag.parts["pocket"].cut_height / 2 - bag.parts["pocket"].seam
    )


def pocket_seam(bag: Bag) -> list[float]:
    return [] if bag.parts.get("pocket") is None else [bag.parts["pocket"].seam]


def pocket_bottoms(bag: Bag) -> list[float]:
    """Lower edges of the pockets above the bottom line."""
    if bag.parts.get("pocket") is None:
        return []
    p = bag.body
    cut = {"front": p.length / 2 - p.front_trim, "back": p.length / 2}
    below = p.bottom_seam + bag.parts["pocket"].drop + pocket_height(bag)
    return [cut[face.value] - below for face in bag.parts["pocket"].faces.faces]


def corner_line(bag: Bag) -> float:
    p = bag.body
    if p.corners is Corners.SEWN_ACROSS:
        return p.corner_mark
    return p.corner_depth - p.bottom_seam + p.corner_seam if sizes(bag).corners else 0.0


def thinner_than(bag: Bag, limit: float) -> bool:
    return any(HAIR < each < limit - HAIR for each in sewn(bag))


def legs(bag: Bag) -> float:
    """Across both legs of a handle; nothing without handles."""
    return (
        0.0
        if bag.parts.get("handles") is None
        else bag.parts["handles"].gap + 2 * bag.parts["handles"].width
    )


def loop(bag: Bag) -> float:
    """Of the joined strips, each of which gives 1/4 in to a seam at either end."""
    handles = bag.parts.get("handles")
    assert handles is not None
    goods = bag.supplies.handles or bag.sandwich.layers[0]
    whole = goods.usable_width * (1 - goods.shrink_width)
    last = whole if handles.last_strip is None else handles.last_strip
    return (handles.strips - 1) * whole + last - handles.strips * MM_PER_INCH / 2


def drops(bag: Bag) -> list[float]:
    """Front and back, pulled taut: by the formula; minus infinity where legs are not spanned."""
    handles, p = bag.parts.get("handles"), bag.body
    if handles is None:
        return []
    found = []
    for trim, fold in ((p.front_trim, 0.5), (0.0, -0.5)):
        top = p.length / 2 - trim - p.bottom_seam
        sides = loop(bag) - 2 * handles.leg
        stop = handles.stop
        if handles.style is HandleStyle.LOOP:
            sides = loop(bag) / 2 - 2 * (top - stop)
        elif fold < 0.0:
            stop += handles.back_lower
        rise = stop - p.top_seam + sizes(bag).shows / 2 + fold * p.front_trim
        across = handles.gap + handles.width
        spans = sides >= across - HAIR
        taut = math.sqrt(max(sides**2 - across**2, 0.0)) / 2
        found.append(taut - rise if spans else -math.inf)
    return found


def gone(bag: Bag) -> bool:
    found = sizes(bag)
    return min(found.base, found.gusset, found.face) < HAIR


@dataclass(frozen=True)
class Seen:
    """What a maker sees of a bag, and the codes of which one must then be told."""

    holds: Callable[[Bag], bool]
    told: frozenset[str]


def seen(holds: Callable[[Bag], bool], *told: str) -> Seen:
    return Seen(holds, frozenset(told))


SEEN = {
    "nothing holds the stitches": seen(
        lambda bag: min(*sewn(bag), *pocket_seam(bag), math.inf) < HAIR, "no-allowance"
    ),
    "stitches out over the edge of a wall": seen(
        lambda bag: layered(bag) and thinner_than(bag, 6.0), "thin-allowance"
    ),
    "stitches out over the edge of a cloth": seen(
        lambda bag: thinner_than(bag, 3.0), "thin-allowance"
    ),
    "cloth in the way inside": seen(
        lambda bag: (
            max(bag.body.side_seam, bag.body.bottom_seam, *pocket_seam(bag)) > MM_PER_INCH + HAIR
        ),
        "wide-allowance",
    ),
    "teeth under the needle": seen(
        lambda bag: zipped(bag) and sizes(bag).shows < 5.0 - HAIR, "teeth-under-needle"
    ),
    "slider against the seam": seen(
        lambda bag: zipped(bag) and sizes(bag).shows < 10.0 - HAIR, "teeth-under-needle"
    ),
    "zip that does not span": seen(
        lambda bag: zip_length(bag) < bag.body.width + 2 * MM_PER_INCH - HAIR, "zip-too-short"
    ),
    "zip of no shop": seen(
        lambda bag: (
            math.isfinite(zip_length(bag))
            and all(abs(zip_length(bag) - MM_PER_INCH * each) > HAIR for each in INCHES)
            and all(abs(zip_length(bag) - 10 * each) > HAIR for each in CENTIMETRES)
        ),
        "zip-length-not-sold",
        "zip-too-short",
    ),
    "zip over the fold": seen(
        lambda bag: zipped(bag) and sizes(bag).clearance < -HAIR, "zip-on-top-fold"
    ),
    "zip by the fold": seen(
        lambda bag: zipped(bag) and sizes(bag).clearance < bag.body.top_seam - HAIR,
        "zip-on-top-fold",
        "zip-near-top-fold",
    ),
    "no foot between zip and base": seen(
        lambda bag: zipped(bag) and sizes(bag).front_above_base < 10.0 - HAIR, "zip-near-base"
    ),
    "no foot between hem and base": seen(
        lambda bag: not zipped(bag) and sizes(bag).front_above_base < 10.0 - HAIR,
        "hem-near-base",
    ),
    "hems at two heights": seen(
        lambda bag: not zipped(bag) and bag.body.front_trim > HAIR, "hems-differ"
    ),
    "no bottom, no face": seen(gone, "base-vanishes"),
    "no foot on the base": seen(
        lambda bag: min(sizes(bag).base, sizes(bag).gusset) < 10.0 - HAIR,
        "base-vanishes",
        "base-narrow",
    ),
    "opening for no hand": seen(
        lambda bag: bag.body.width - 2 * bag.body.side_seam < bag.site.hand - HAIR,
        "opening-narrow",
    ),
    "corners that pucker": seen(
        lambda bag: abs(sizes(bag).gusset - sizes(bag).gusset_at_side) > MM_PER_INCH / 16,
        "corner-edges-differ",
    ),
    "pocket for no hand": seen(
        lambda bag: pocket_height(bag) < 4 * MM_PER_INCH - HAIR, "pocket-low"
    ),
    "pocket sewn shut": seen(
        lambda bag: (
            bag.parts.get("pocket") is not None
            and bag.parts["pocket"].drop < bag.body.top_seam - HAIR
        ),
        "pocket-meets-zip",
    ),
    "pocket under the zip's foot": seen(
        lambda bag: (
            bag.parts.get("pocket") is not None
            and bag.parts["pocket"].drop < bag.body.top_seam + 10.0 - HAIR
        ),
        "pocket-meets-zip",
        "pocket-near-zip",
    ),
    "pocket on the corner": seen(
        lambda bag: any(each < corner_line(bag) - HAIR for each in pocket_bottoms(bag)),
        "pocket-meets-corner",
    ),
    "handle beside the cloth": seen(
        lambda bag: legs(bag) > bag.body.width + HAIR, "handle-off-panel"
    ),
    "handle in the side seam": seen(
        lambda bag: legs(bag) > bag.body.width - 2 * bag.body.side_seam + HAIR,
        "handle-off-panel",
        "handle-over-side-seam",
        "handle-over-corner",
    ),
    "handle for no hand": seen(
        lambda bag: min(drops(bag), default=math.inf) < 4 * MM_PER_INCH - HAIR,
        "handle-loop-short",
    ),
    "one handle higher than the other": seen(
        lambda bag: (
            bag.parts.get("handles") is not None
            and bag.parts["handles"].style is HandleStyle.SEPARATE
            and math.isfinite(sum(drops(bag)))
            and abs(drops(bag)[0] - drops(bag)[1]) > MM_PER_INCH / 4 + HAIR
        ),
        "handles-unlike",
    ),
    "bag on the ground": seen(
        lambda bag: max(drops(bag), default=-math.inf) + sizes(bag).face > 28 * MM_PER_INCH + HAIR,
        "handle-to-ground",
    ),
    "strip too narrow to fold": seen(
        lambda bag: (
            bag.parts.get("handles") is not None
            and bag.parts["handles"].width < 3 * MM_PER_INCH / 8 - HAIR
        ),
        "handle-narrower-than-folds",
    ),
    "handle sewn to the seam allowance": seen(
        lambda bag: (
            bag.parts.get("handles") is not None
            and bag.parts["handles"].stop < bag.body.top_seam - HAIR
        ),
        "zip-near-handle-stop",
        "handle-stop-in-hem",
    ),
    "bag beyond an arm": seen(
        lambda bag: sizes(bag).face > 28 * MM_PER_INCH + HAIR, "face-beyond-reach"
    ),
    "no room within the wall": seen(
        lambda bag: (
            min(
                sizes(bag).base - 2 * bag.sandwich.thickness,
                sizes(bag).gusset - 2 * bag.sandwich.thickness,
                sizes(bag).face - bag.sandwich.thickness,
            )
            < -HAIR
        ),
        "no-room-inside",
        "base-vanishes",
    ),
    "board wider than its room": seen(
        lambda bag: (
            bag.parts.get("board") is not None
            and not gone(bag)
            and bag.parts["board"].width > sizes(bag).base - 2 * bag.sandwich.thickness + HAIR
        ),
        "board-too-big",
        "no-room-inside",
    ),
    "board deeper than its room": seen(
        lambda bag: (
            bag.parts.get("board") is not None
            and not gone(bag)
            and bag.parts["board"].depth > sizes(bag).gusset - 2 * bag.sandwich.thickness + HAIR
        ),
        "board-too-big",
        "no-room-inside",
    ),
    "print on its head": seen(
        lambda bag: bag.sandwich.layers[0].one_way and bag.body.bottom_seam == 0.0,
        "print-upside-down",
    ),
    "basting line that is seen": seen(
        lambda bag: (
            layered(bag) and any(HAIR < each < bag.sandwich.baste_line + HAIR for each in sewn(bag))
        ),
        "baste-shows",
    ),
    "basting line off the edge": seen(
        lambda bag: layered(bag) and bag.sandwich.baste_line < MM_PER_INCH / 16 - HAIR,
        "baste-shows",
        "baste-at-edge",
    ),
    "seam that no foot takes": seen(
        lambda bag: 2 * bag.sandwich.pressed > bag.sandwich.foot_clearance + HAIR,
        "too-thick-to-sew",
    ),
    "panel wider than any goods": seen(
        lambda bag: (
            bag.body.bottom_seam == 0.0
            and min(bag.body.width, bag.body.length - bag.body.front_trim)
            > min(layer.usable_width for layer in bag.sandwich.layers) + HAIR
        ),
        "wider-than-goods",
    ),
}


def test_there_are_hundreds_of_bags_and_they_are_the_same_each_time() -> None:
    assert len(pushed()) > 800
    again = (*pushed_alone(), *pushed_in_pairs())
    assert [each for each, _ in pushed()] == list(again)


@pytest.mark.parametrize("case", SEEN)
def test_what_is_seen_on_the_table_is_told(case: str) -> None:
    check = SEEN[case]
    held = [(each, codes(result)) for each, result in pushed() if check.holds(each.bag)]
    assert held, "no bag of the generator shows it: the check guards nothing"
    silent = [each.told for each, told in held if not told & check.told]
    assert not silent, silent[:5]


def test_what_is_told_of_zip_and_corners_is_seen_on_the_table() -> None:
    """The other way round, where a check is exact: nothing is told that is not so."""
    exact = {
        "no-allowance": "nothing holds the stitches",
        "teeth-under-needle": "slider against the seam",
        "zip-too-short": "zip that does not span",
        "zip-on-top-fold": "zip over the fold",
        "pocket-low": "pocket for no hand",
        "pocket-meets-corner": "pocket on the corner",
        "print-upside-down": "print on its head",
        "hems-differ": "hems at two heights",
        "handle-off-panel": "handle beside the cloth",
        "handle-loop-short": "handle for no hand",
        "handle-to-ground": "bag on the ground",
        "handles-unlike": "one handle higher than the other",
    }
    for code, case in exact.items():
        wrong = [
            each.told
            for each, result in pushed()
            if code in codes(result) and not SEEN[case].holds(each.bag)
        ]
        assert not wrong, (code, wrong[:5])


def test_a_bag_with_a_size_below_nothing_has_a_stop() -> None:
    names = ("base_width", "gusset_depth", "gusset_depth_at_side", "face_height", "opening_width")
    below = [
        (each, result)
        for each, result in pushed()
        if any((result.finished[name] or 0.0) < -HAIR for name in names)
    ]
    assert len(below) > 20
    for each, result in below:
        assert Severity.STOP in {finding.severity for finding in result.findings}, each.told


LIMITS_AT_NOTHING = {
    *("zip-on-top-fold", "base-vanishes", "hems-differ", "pocket-open-above-stop"),
}
"""Findings whose limit is nothing itself: a size, or a distance, of 0."""


def test_limits_and_values_are_numbers_and_a_limit_of_nothing_is_meant() -> None:
    at_nothing = set()
    for each, result in pushed():
        for finding in result.findings:
            assert math.isfinite(finding.value), (each.told, finding.code)
            if finding.limit is None:
                continue
            assert math.isfinite(finding.limit), (each.told, finding.code)
            assert finding.limit >= 0.0, (each.told, finding.code)
            if finding.limit == 0.0:
                at_nothing.add(finding.code)
    assert at_nothing == LIMITS_AT_NOTHING


def test_no_sentence_tells_a_length_below_nothing() -> None:
    """What is missing, or overlaps, is told by how much."""
    for each, result in pushed():
        for finding in result.findings:
            told = (finding.message, *(fix.label for fix in finding.fixes))
            for sentence in told:
                below = {gap: mm for gap, mm in sentence.lengths.items() if mm < 0.0}
                assert not below, (each.told, finding.code, below)


def test_sizes_are_numbers_or_not_there() -> None:
    for each, result in pushed():
        for name, size in (*result.cut.items(), *result.finished.items()):
            assert size is None or math.isfinite(size), (each.told, name)


def test_fixes_near_the_limits_keep_what_they_promise() -> None:
    assert sum(assert_fixes(result) for _, result in pushed()) > 500
