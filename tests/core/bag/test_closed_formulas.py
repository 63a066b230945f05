"""The finished figures, measured on stitch lines, against formulas derived by hand.

Symbols: W width, L length, t front trim, a and b corner cut, s1..s4 side, corner, zip and
bottom seam, z what shows of the zip, d corner depth above the bottom line.
"""

import math
from dataclasses import replace

import pytest
from hypothesis import example, given

from core.bag.bag import Bag, with_figures
from core.bag.choices import without_part
from core.bag.compute import Around, compute
from core.bag.parts import Parts
from core.base.units import Unit
from core.bodies.boxed_panel.panel import BoxedPanel
from core.flat.roles import FACES, Face
from core.parts.board.board import BaseBoard
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.tops.hem.hem import Hem
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import bare, demo, demo_panel, inch, layer, sandwich
from tests.strategies import Wanted, bags, panels, pillows, sewable_bags, wanted

NEAR = 1e-6
QUARTER = 6.35
MM3 = 1e6
"""Cubic millimetres in a litre."""


def near(expected: float) -> object:
    return pytest.approx(expected, abs=NEAR, rel=0)


def shown(bag: Bag) -> float:
    """z: the tape less one zip seam on each side."""
    if isinstance(bag.top, Hem):
        return 0.0
    return bag.top.tape_width - 2 * bag.body.top_seam


def corner_d(panel: BoxedPanel) -> float:
    return panel.cut_depth - panel.bottom_seam


def around(bag: Bag) -> float:
    """C: once around the closed bag."""
    p = bag.body
    return (p.length - p.front_trim) - 2 * p.top_seam + shown(bag) - 2 * p.bottom_seam


def panel_formulas(bag: Bag) -> dict[str, float | None]:
    """Every length of the panel with corners."""
    p, d = bag.body, corner_d(bag.body)
    at_side, one_edge = p.cut_width - p.side_seam + p.corner_seam, p.sewn_across
    if one_edge:
        at_side = deep = p.corner_mark
    else:
        deep = d + p.corner_seam
    return {
        "opening_width": p.width - 2 * p.side_seam,
        "base_width": p.width - 2 * (p.side_seam + at_side),
        "gusset_depth": 2 * deep,
        "gusset_depth_at_side": None if one_edge else 2 * at_side,
        "corner_mismatch": None if one_edge else 2 * (at_side - deep),
        "face_height": around(bag) / 2 - deep,
    }


def pillow_formulas(bag: Bag) -> dict[str, float]:
    """No corner is cut, so there is no corner seam: the bottom is as wide as the opening."""
    flat = bag.body.width - 2 * bag.body.side_seam
    return {
        "opening_width": flat,
        "base_width": flat,
        "gusset_depth": 0.0,
        "gusset_depth_at_side": 0.0,
        "corner_mismatch": 0.0,
        "face_height": around(bag) / 2,
    }


def zip_formulas(bag: Bag) -> dict[str, float | None]:
    if isinstance(bag.top, Hem):
        return {"zip_offset": None, "zip_clearance": None}
    t = bag.body.front_trim
    return {"zip_offset": t / 2, "zip_clearance": t / 2 - shown(bag) / 2}


def loop_formula(bag: Bag, handles: Handles) -> float:
    """Strips as long as their goods are wide, the last of its own length, less two seams each."""
    goods = bag.supplies.handles or bag.sandwich.layers[0]
    whole = goods.usable_width * (1 - goods.shrink_width)
    last = whole if handles.last_strip is None else handles.last_strip
    return (handles.strips - 1) * whole + last - handles.strips * 2 * QUARTER


def drop_formula(bag: Bag, handles: Handles, face: Face) -> float | None:
    """Handle pulled taut to one point; legs counted from the bottom stitch line."""
    p, forward = bag.body, 1 if face is Face.FRONT else -1
    strips = loop_formula(bag, handles)
    cut = p.length / 2 - (p.front_trim if face is Face.FRONT else 0)
    free = strips / 2 - 2 * (cut - p.bottom_seam - handles.stop)
    stop = handles.stop
    if handles.style is HandleStyle.SEPARATE:
        free = strips - 2 * handles.leg
        stop += handles.back_lower if face is Face.BACK else 0.0
    centres = handles.gap + handles.width
    if free < centres - NEAR:
        return None
    e = stop - p.top_seam + shown(bag) / 2 + forward * p.front_trim / 2
    return math.sqrt(max((free / 2) ** 2 - (centres / 2) ** 2, 0.0)) - e


def laid_on_formulas(bag: Bag) -> dict[str, float | None]:
    """The parts that lie on the panel; None for the ones this bag lacks."""
    found: dict[str, float | None] = dict.fromkeys(
        ("pocket_height", "handle_loop", "handle_drop_front", "handle_drop_back")
    )
    if bag.parts.get("pocket") is not None:
        found["pocket_height"] = bag.parts["pocket"].cut_height / 2 - bag.parts["pocket"].seam
    if bag.parts.get("handles") is not None:
        h = bag.parts.get("handles")
        found["handle_loop"] = loop_formula(bag, h)
        found["handle_drop_front"] = drop_formula(bag, h, Face.FRONT)
        found["handle_drop_back"] = drop_formula(bag, h, Face.BACK)
    return found


def assert_formulas(bag: Bag, expected: dict[str, float]) -> None:
    finished = compute(bag).finished
    everything = expected | zip_formulas(bag) | laid_on_formulas(bag)
    for name, value in everything.items():
        measured = finished[name]
        if value is None or measured is None:
            assert measured == value, name
        else:
            assert measured == near(value), name
    assert_volumes(bag, expected)


def assert_volumes(bag: Bag, expected: dict[str, float]) -> None:
    """The boxes in litres; none where a side of the box is gone."""
    finished = compute(bag).finished
    wall = sum(layer.thickness for layer in bag.sandwich.layers)
    depths = (expected["gusset_depth"], expected["gusset_depth_at_side"])
    deep = min(depth for depth in depths if depth is not None)
    outside = [expected["base_width"], deep, expected["face_height"]]
    inside = [outside[0] - 2 * wall, outside[1] - 2 * wall, outside[2] - wall]
    for name, sides in (("box_volume", outside), ("inside_volume", inside)):
        if min(sides) > NEAR:
            assert finished[name] == pytest.approx(math.prod(sides) / MM3, abs=1e-9, rel=1e-9)
        elif min(sides) < -NEAR:
            assert finished[name] is None


@given(bags().filter(lambda bag: bag.body.has_corners))
def test_every_figure_is_its_formula_whatever_the_bag(bag: Bag) -> None:
    assert_formulas(bag, panel_formulas(bag))


@given(sewable_bags())
@example(demo())
@example(without_part(demo(), "zip"))
def test_every_figure_is_its_formula_on_bags_that_can_be_sewn(bag: Bag) -> None:
    assert_formulas(bag, panel_formulas(bag))


@given(bags(panel=pillows()))
@example(bare(demo_panel(corner_width=0.0, corner_depth=0.0)))
@example(bare(demo_panel(corner_width=0.0, corner_depth=0.0, bottom_seam=QUARTER)))
def test_a_bag_without_corner_cuts_is_a_plain_pillow(bag: Bag) -> None:
    assert_formulas(bag, pillow_formulas(bag))


@given(panels(matched=True))
def test_matched_cuts_have_no_mismatch_folded_or_seamed(panel: BoxedPanel) -> None:
    finished = compute(bare(panel)).finished
    assert finished["corner_mismatch"] == near(0)
    assert finished["gusset_depth"] == near(finished["gusset_depth_at_side"])


@given(wanted())
def test_cutting_by_the_inverse_formulas_gives_what_was_wanted(sizes: Wanted) -> None:
    bag = bare(sizes.panel(), top=sizes.bag_top())
    finished = compute(bag).finished
    assert finished["base_width"] == near(sizes.base)
    assert finished["gusset_depth"] == near(sizes.depth)
    assert finished["gusset_depth_at_side"] == near(sizes.depth)
    assert finished["face_height"] == near(sizes.face)
    if sizes.zip_width:
        assert finished["zip_offset"] == near(sizes.offset)
        assert finished["zip_clearance"] == near(sizes.offset - sizes.zip_width / 2)


@given(bags().filter(lambda bag: bag.parts.get("handles") is not None))
def test_the_strips_for_a_drop_are_the_fewest_that_reach_it(bag: Bag) -> None:
    handles, site, wanted_drop = bag.parts.get("handles"), bag.site, inch(4)
    assert handles is not None
    strips = handles.strips_for_drop(site, wanted_drop)

    def lower_drop(count: int) -> float:
        joined = Handles(
            style=handles.style,
            width=handles.width,
            gap=handles.gap,
            stop=handles.stop,
            strips=count,
            leg=handles.leg,
            back_lower=handles.back_lower,
        )
        drops = [drop_formula(bag, joined, face) for face in FACES]
        return min(-math.inf if drop is None else drop for drop in drops)

    if strips <= 60:
        assert lower_drop(strips) >= wanted_drop - 1e-3
    if 1 < strips <= 60:
        assert lower_drop(strips - 1) < wanted_drop


@given(panels())
def test_zip_width_moves_neither_opening_nor_zip_offset(panel: BoxedPanel) -> None:
    narrow, wide = (
        compute(bare(panel, top=ZipForward(tape_width=2 * panel.top_seam + shows, length=500.0)))
        for shows in (1.0, 30.0)
    )
    for name in ("zip_offset", "opening_width", "base_width"):
        assert narrow.finished[name] == near(wide.finished[name])


# --- The demo bag -----------------------------------------------------------------

WORKED = {
    "opening_width": 17.75,
    "base_width": 11,
    "gusset_depth": 6.75,
    "gusset_depth_at_side": 6.75,
    "corner_mismatch": 0,
    "face_height": 15,
    "zip_offset": 0.75,
    "zip_clearance": 0.5,
    "pocket_height": 7.625,
    "handle_loop": 124.5,
}


@pytest.mark.parametrize(("name", "inches"), WORKED.items())
def test_the_worked_example_comes_out(name: str, inches: float) -> None:
    assert compute(demo()).finished[name] == near(inch(inches))


def test_the_worked_examples_own_halves() -> None:
    bag = demo()
    assert bag.body.back_length == near(inch(19.25))
    assert bag.body.front_length == near(inch(17.75))
    assert shown(bag) == near(inch(0.5))
    assert around(bag) == near(inch(36.75))
    assert bag.parts.get("handles") is not None
    assert bag.parts["handles"].free_length(bag.site, Face.FRONT) == near(inch(36.75))
    assert bag.parts["handles"].free_length(bag.site, Face.BACK) == near(inch(33.75))
    assert bag.parts["handles"].centres == near(inch(6.25))
    assert bag.parts["handles"].strip_width == near(inch(4.75))


def test_the_worked_examples_drops_and_volume() -> None:
    finished = compute(demo()).finished
    # Half of the free length and of the 6 1/4 between the legs, less the way up to the fold.
    front = math.sqrt(18.375**2 - 3.125**2) - (5 - 0.375 + 0.25 + 0.75)
    back = math.sqrt(16.875**2 - 3.125**2) - (5 - 0.375 + 0.25 - 0.75)
    assert (round(front, 2), round(back, 2)) == (12.48, 12.46)
    assert finished["handle_drop_front"] == near(inch(front))
    assert finished["handle_drop_back"] == near(inch(back))
    box = 11 * 6.75 * 15 * 25.4**3 / MM3
    assert finished["box_volume"] == pytest.approx(box, rel=1e-12)
    assert round(box, 3) == 18.251
    assert finished["filled_volume"] is None


def test_the_worked_examples_compartments_add_up_to_its_width() -> None:
    finished = compute(demo()).finished
    side, middle = finished["pocket_side_compartment"], finished["pocket_middle_compartment"]
    # 17 3/4 opening, 5 gap, two legs of 1 1/4: 5 1/8 is left on each side.
    assert side == near(inch(5.125))
    assert middle == near(inch(5))
    assert 2 * side + middle + 2 * inch(1.25) == near(inch(17.75))


def test_a_deeper_demo_names_its_mismatch() -> None:
    deeper = with_figures(demo(), {"corner_cut_depth": inch(3.5)})
    finished = compute(deeper).finished
    assert finished["gusset_depth"] == near(inch(7.75))
    assert finished["gusset_depth_at_side"] == near(inch(6.75))
    assert finished["corner_mismatch"] == near(inch(-1))


def test_a_deeper_demo_is_matched_by_a_wider_corner_cut() -> None:
    # a = d + s1: 3 1/2 and 3/8.
    deeper = {"corner_cut_depth": inch(3.5), "corner_cut_width": inch(3.875)}
    finished = compute(with_figures(demo(), deeper)).finished
    assert finished["corner_mismatch"] == near(0)
    for name in ("gusset_depth", "gusset_depth_at_side"):
        assert finished[name] == near(inch(7.75))
    assert finished["base_width"] == near(inch(10))


# --- A given example --------------------------------------------------------------------

GIVEN = {
    "opening_width": 18,
    "base_width": 11.5,
    "gusset_depth": 6.5,
    "gusset_depth_at_side": 6.5,
    "corner_mismatch": 0,
    "face_height": 15.375,
    "zip_offset": 0.75,
    "zip_clearance": 0.375,
    "pocket_height": 7.75,
    "handle_loop": 124.5,
}
"""What is told of a panel of 18 1/2 x 38 1/2 in with corner cuts of 3 1/4 x 3 in and 1/4 in
allowances; worked out beside it by hand."""


def given_bag(**panel: float) -> Bag:
    """The bag of the given example; its panel is changed as asked."""
    cut = BoxedPanel(
        width=inch(18.5),
        length=inch(38.5),
        front_trim=inch(1.5),
        corner_width=inch(3.25),
        corner_depth=inch(3),
        side_seam=QUARTER,
        corner_seam=QUARTER,
        top_seam=QUARTER,
    )
    return Bag(
        name="given",
        unit=Unit.INCH,
        body=replace(cut, **panel),
        top=ZipForward(tape_width=inch(1.25), length=inch(21)),
        sandwich=sandwich(layer(usable_width=inch(42)), layer("wipe-clean lining")),
        parts=Parts(
            (
                Pocket(cut_height=inch(16), drop=inch(4.5), seam=QUARTER),
                Handles(width=inch(1), gap=inch(5), stop=inch(5), strips=3),
                BaseBoard(width=inch(11.25), depth=inch(6.25)),
            )
        ),
    )


@pytest.mark.parametrize(("name", "inches"), GIVEN.items())
def test_the_given_example_comes_out(name: str, inches: float) -> None:
    assert compute(given_bag()).finished[name] == near(inch(inches))


def test_the_given_examples_loop_drops_and_volume() -> None:
    bag = given_bag()
    assert around(bag) == near(inch(37.25))
    assert bag.parts.get("handles") is not None
    assert bag.parts["handles"].free_length(bag.site, Face.FRONT) == near(inch(36.75))
    assert bag.parts["handles"].free_length(bag.site, Face.BACK) == near(inch(33.75))
    assert bag.parts["handles"].strip_width == near(inch(3.75))
    finished = compute(bag).finished
    assert finished["handle_drop_front"] == pytest.approx(inch(12.25), abs=inch(0.005))
    assert finished["handle_drop_back"] == pytest.approx(inch(12.23), abs=inch(0.005))
    cubic_inches = 11.5 * 6.5 * 15.375
    assert round(cubic_inches, 2) == 1149.28
    box = cubic_inches * 25.4**3 / MM3
    assert finished["box_volume"] == pytest.approx(box, rel=1e-12)
    assert round(box, 2) == 18.83


def test_the_given_examples_compartments_add_up_to_its_width() -> None:
    finished = compute(given_bag()).finished
    side, middle = finished["pocket_side_compartment"], finished["pocket_middle_compartment"]
    # 18 opening, 5 gap, two legs of 1: 5 1/2 is left on each side.
    assert side == near(inch(5.5))
    assert middle == near(inch(5))
    assert 2 * side + middle + 2 * inch(1) == near(inch(18))


def test_the_given_example_made_deeper_names_its_mismatch() -> None:
    finished = compute(given_bag(corner_depth=inch(3.5))).finished
    assert finished["gusset_depth"] == near(inch(7.5))
    assert finished["gusset_depth_at_side"] == near(inch(6.5))
    assert finished["corner_mismatch"] == near(inch(-1))
    fixed = compute(given_bag(corner_depth=inch(3.5), corner_width=inch(3.75))).finished
    assert fixed["corner_mismatch"] == near(0)
    assert fixed["base_width"] == near(inch(10.5))


@given(sewable_bags())
def test_a_panel_made_anew_has_the_sizes_of_the_bag_around_it(bag: Bag) -> None:
    """Half of the depth and each size itself, whatever the allowances; no depth below two seams."""
    bag = replace(bag, parts=Parts())
    was = compute(bag).finished
    anew = compute(replace(bag, body=BoxedPanel.fresh(Around(bag)))).finished
    depth = was["gusset_depth"] or 0.0
    deep = depth if depth / 2 > bag.site.new_allowance + NEAR else 0.0
    assert anew["gusset_depth"] == near(deep)
    assert anew["corner_mismatch"] == near(0.0)
    for name in ("opening_width", "face_height"):
        assert anew[name] == near(was[name] or 0.0), name
