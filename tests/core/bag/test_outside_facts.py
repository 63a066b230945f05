"""The model against facts that were not made here. Each names its source.

Facts of the trade that everybody works by and nobody signed are "common practice, no source".
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.quantities import MM3_PER_CUBIC_INCH, litres, quarts
from core.bodies.boxed_panel.panel import BoxedPanel
from core.flat.roles import FACES
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.tops.hem.hem import Hem
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import INCH, bare, changed, demo, demo_panel, inch, layer, sandwich
from tests.strategies import sewable_bags, wanted

NEAR = 1e-6
inches = st.integers(1, 160).map(lambda steps: steps * INCH / 16)


def in_inches(bag: Bag, *names: str) -> list[float]:
    finished = compute(bag).finished
    return [finished[name] / INCH for name in names]


def boxed(
    width: float,
    height: float,
    square: float,
    *,
    seam: float = 0.0,
    bottom: float | None = None,
    depth: float | None = None,
) -> Bag:
    """An open bag from two layers `width` by `height` (in), one allowance `seam` all round."""
    s4 = seam if bottom is None else bottom
    panel = BoxedPanel(
        width=inch(width),
        length=inch(2 * height),
        front_trim=0.0,
        corner_width=inch(square),
        corner_depth=inch(square if depth is None else depth),
        side_seam=inch(seam),
        corner_seam=inch(seam),
        top_seam=inch(seam),
        bottom_seam=inch(s4),
    )
    return bare(panel)


# --- Boxing a corner --------------------------------------------------------------------


def test_a_square_of_two_inches_makes_a_bottom_of_four() -> None:
    """The finished depth is twice the side of the square, measured on the finished size.

    Sources: sewing tutorial "Box the bottom corners of a bag", lazygirldesigns.com; the same
    2 in -> 4 in in "How to box corners for bags", sewshare.com.
    """
    assert in_inches(boxed(19, 16, 2), "gusset_depth")[0] == pytest.approx(4, abs=NEAR)


def test_the_tutorials_bag_of_nineteen_by_sixteen() -> None:
    """Flat 19 in wide and 16 in high, 2 in squares: base 15 in wide, sides 14 in high, 4 deep.

    Source: worked example of "Box the bottom corners of a bag", lazygirldesigns.com.
    """
    sizes = in_inches(boxed(19, 16, 2), "base_width", "face_height", "gusset_depth")
    assert sizes == pytest.approx([15, 14, 4], abs=NEAR)


@given(inches, inches, inches)
def test_squares_on_the_finished_size(base: float, height: float, square: float) -> None:
    """Width less two squares, height less one, depth of two: the same tutorial's rule."""
    flat = (base + 2 * square) / INCH, (height + square) / INCH
    sizes = in_inches(boxed(*flat, square / INCH), "base_width", "face_height", "gusset_depth")
    assert sizes == pytest.approx([base / INCH, height / INCH, 2 * square / INCH], abs=NEAR)


def test_a_wrapped_panel_of_thirty_five_by_fifteen_and_a_half() -> None:
    """A bag 13 x 12 1/2 x 4 in with 1/2 in seams is cut 35 x 15 1/2 in.

    Source: "Let's Calculate!", ktgreendesign.com: cut width is twice width and depth and 1,
    cut height is height, half the depth and 1. That panel wraps round with one side seam; two
    panels of half its width without that seam's two allowances, plus their own, make the same.
    """
    wrapped_width, cut_height, seam, depth = 35.0, 15.5, 0.5, 4.0
    around = wrapped_width - 2 * seam
    two_panels = boxed(around / 2 + 2 * seam, cut_height, depth / 2, seam=seam)
    names = ("base_width", "gusset_depth", "face_height", "corner_mismatch")
    assert in_inches(two_panels, *names) == pytest.approx([13, 4, 12.5, 0], abs=NEAR)


def test_a_flat_bag_that_lines_a_box() -> None:
    """A flat bag of 24 x 37 in lines a box of 14 x 10 x 32 in, before ease and overhang.

    Sources: three packaging firms' sizing pages that agree (polybagsforless.com,
    quickpakinc.com, midsouthpackaging.com): width + depth wide, height + half the depth long.
    """
    lined = boxed(24, 37, 5)
    names = ("base_width", "gusset_depth", "face_height")
    assert in_inches(lined, *names) == pytest.approx([14, 10, 32], abs=NEAR)


@given(inches, st.integers(1, 16).map(lambda steps: steps / 16))
def test_on_a_bottom_seam_a_square_from_the_raw_edges_is_right(more: float, seam: float) -> None:
    """With one allowance everywhere the allowances cancel: twice as deep, and the edges meet.

    Algebra on the published square rule, no source of its own.
    """
    square = seam + more / INCH
    bag = boxed(4 * square + 4, 4 * square + 4, square, seam=seam)
    names = ("gusset_depth", "gusset_depth_at_side", "corner_mismatch", "base_width")
    expected = [2 * square, 2 * square, 0, 4 * square + 4 - 2 * seam - 2 * square]
    assert in_inches(bag, *names) == pytest.approx(expected, abs=NEAR)


def test_on_a_folded_bottom_the_cut_is_no_square() -> None:
    """4 in deep with 1/2 in seams is a cut 2 in wide and 1 1/2 in up from the fold.

    Algebra on the published square rule, no source of its own: on a fold there is no bottom
    allowance to cancel the side seam's.
    """
    names = ("gusset_depth", "gusset_depth_at_side", "corner_mismatch", "base_width")
    right = boxed(19, 16, 2, seam=0.5, bottom=0.0, depth=1.5)
    assert in_inches(right, *names) == pytest.approx([4, 4, 0, 14], abs=NEAR)
    square = boxed(19, 16, 2, seam=0.5, bottom=0.0)
    # The edges to be joined are 3 in and 4 in before the corner seam's own allowance.
    assert in_inches(square, *names[:3]) == pytest.approx([5, 4, -1], abs=NEAR)


@given(wanted().filter(lambda sizes: sizes.zip_width == 0.0))
def test_a_panel_is_as_large_as_the_box_it_lines(sizes: object) -> None:
    """Less its seams, it is base + depth wide, and twice height + half the depth long.

    Sources: the packaging firms' sizing pages named above.
    """
    panel = sizes.panel()
    assert panel.width - 2 * panel.side_seam == pytest.approx(sizes.base + sizes.depth)
    sewn = panel.length - 2 * panel.top_seam - 2 * panel.bottom_seam
    assert sewn == pytest.approx(2 * (sizes.face + sizes.depth / 2))


# --- Zip --------------------------------------------------------------------------------


def test_a_front_cut_two_inches_shorter_brings_the_zip_one_inch_down() -> None:
    """Common practice, no source."""
    bag = demo(body=demo_panel(front_trim=inch(2)))
    assert in_inches(bag, "zip_offset")[0] == pytest.approx(1, abs=NEAR)


@given(sewable_bags().filter(lambda bag: isinstance(bag.top, ZipForward)))
def test_the_zip_lies_half_the_trim_forward_whatever_its_width(bag: Bag) -> None:
    """Common practice, no source."""
    offset = compute(bag).finished["zip_offset"]
    assert offset == pytest.approx(bag.body.front_trim / 2, abs=NEAR)


@pytest.mark.parametrize("ends", [0.0, 0.5])
def test_a_zip_is_longer_than_the_panel_is_wide(ends: float) -> None:
    """Common practice, no source: the zip is cut longer than the panel and marked from it."""
    bag = changed(demo(), zip_length=inch(18.5 + ends))
    assert "zip-too-short" in {finding.code for finding in compute(bag).findings}


# --- Handles ----------------------------------------------------------------------------


def strips(width: float, count: int, **changes: object) -> Handles:
    plain = {"gap": inch(5), "stop": inch(5), "strips": count}
    return Handles(width=inch(width), **(plain | changes))


def on_goods(handles: Handles, width: float) -> Bag:
    """The demo bag with these handles, its outer goods `width` mm wide."""
    return demo(handles=handles, sandwich=sandwich(layer(usable_width=width)))


def test_a_strip_is_four_times_the_handle_less_a_quarter() -> None:
    """Common practice, no source: a strip cut 3 3/4 in makes 2 in tape and a 1 in handle."""
    assert strips(1, 3).strip_width / INCH == pytest.approx(3.75)


@pytest.mark.parametrize(
    ("count", "width", "joined"), [(3, 1.5, 3.5), (3, 2.0, 5.0), (2, 1.25, 2.0)]
)
def test_joined_strips_measure_what_the_seam_test_says(
    count: int, width: float, joined: float
) -> None:
    """Three 1 1/2 in strips make 3 1/2 in, three 2 in squares 5 in, two 1 1/4 in strips 2 in.

    Sources: "Testing your scant quarter inch seam", quiltcentric.com (2012), and two more
    quilting pages (katherineskreationz.com, sewingwithstitcher.com). Theirs are raw at both
    ends; a handle's ends are joined or turned under too, and take one more seam each.
    """
    handle = strips(1, count, style=HandleStyle.SEPARATE)
    bag = on_goods(handle, inch(width))
    assert (handle.loop(bag.site) + 2 * 6.35) / INCH == pytest.approx(joined)


@given(
    sewable_bags().filter(
        lambda bag: bag.parts.get("handles") is not None and bag.body.front_trim == 0
    )
)
def test_halfway_marks_on_the_bottom_make_both_handles_drop_alike(bag: Bag) -> None:
    """Common practice, no source; true of a front and back cut alike."""
    finished = compute(bag).finished
    front, back = finished["handle_drop_front"], finished["handle_drop_back"]
    handles = bag.parts["handles"]
    lower = 0.0 if handles.style is HandleStyle.LOOP else handles.back_lower
    if front is None or back is None:
        assert front is back
    else:
        assert front == pytest.approx(back + lower, abs=NEAR)


def test_two_straight_legs_of_a_strap() -> None:
    """A strap from feet 120 mm apart, pulled to a point 250 mm up, is 514.2 mm long.

    Plane geometry (Euclid, Elements I.47): two legs of sqrt(250^2 + 60^2) mm.
    """
    free = 2 * math.hypot(250.0, 60.0)
    assert free == pytest.approx(514.2, abs=0.05)
    leg, seam = 50.0, demo_panel().top_seam
    strap = Handles(
        style=HandleStyle.SEPARATE,
        width=20.0,
        gap=100.0,
        stop=seam,
        strips=1,
        last_strip=free + 2 * leg + inch(0.5),
        leg=leg,
    )
    # Its feet stand on the hem line of an open bag, which is the top fold.
    bag = demo(body=demo_panel(front_trim=0.0), top=Hem(), handles=strap)
    for face in FACES:
        assert strap.drop(bag.site, face) == pytest.approx(250.0, abs=NEAR)


# --- Layers and volumes -----------------------------------------------------------------


def test_a_lining_is_smaller_by_the_wall() -> None:
    """300 x 100 x 250 mm with walls of 9 mm is 282 x 82 x 241 mm inside.

    Plane geometry: two walls take from width and from depth, the bottom once from the height.
    """
    panel = BoxedPanel(
        width=400.0,
        length=600.0,
        front_trim=0.0,
        corner_width=50.0,
        corner_depth=50.0,
        side_seam=0.0,
        corner_seam=0.0,
        top_seam=0.0,
    )
    bag = demo(
        body=panel,
        top=Hem(),
        pocket=None,
        handles=None,
        board=None,
        sandwich=sandwich(layer(thickness=9.0)),
    )
    finished = compute(bag).finished
    outside = [finished[name] for name in ("base_width", "gusset_depth", "face_height")]
    assert outside == pytest.approx([300, 100, 250], abs=NEAR)
    assert finished["inside_volume"] == pytest.approx(282 * 82 * 241 / 1e6)


def test_a_scant_quarter_inch_hides_in_a_quarter_inch_seam() -> None:
    """Common practice, no source: basting "scant" of the seam, 1/16 in less, does not show."""
    scant = changed(demo(), baste_line=inch(0.25) - inch(1 / 16))
    assert "baste-shows" not in {finding.code for finding in compute(scant).findings}


def test_a_gallon_of_box() -> None:
    """A box of 3 x 7 x 11 in is 231 cu in: one US gallon, four liquid quarts.

    Source: NIST Handbook 44, Appendix C, General Tables of Units of Measurement.
    """
    box = boxed(11 + 7, 3 + 3.5, 3.5)
    names = ("base_width", "gusset_depth", "face_height")
    assert in_inches(box, *names) == pytest.approx([11, 7, 3], abs=NEAR)
    volume = compute(box).finished["box_volume"]
    assert volume == pytest.approx(3.785411784, rel=1e-12)
    assert quarts(volume * 1e6) == pytest.approx(4, rel=1e-9)
    assert volume * 1e6 / MM3_PER_CUBIC_INCH == pytest.approx(231, rel=1e-12)
    assert litres(1e6) == 1.0
