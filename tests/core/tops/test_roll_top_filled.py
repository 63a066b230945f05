"""A bag that is rolled down: what it holds, where it closes, what is drawn for it. mm, litres."""

from dataclasses import replace

import pytest

from core.bag.bag import Bag, draft_bag, with_figures
from core.bag.choices import with_choice
from core.bag.compute import compute
from core.base.units import MM_PER_INCH
from core.bodies.body import Body
from core.bodies.boxed_panel.folding import ROLLS
from core.flat.roles import Face, MarkRole
from core.redesign.redesign import redesign
from core.redesign.request import RedesignRequest
from core.sewing.order import sewing_order
from core.sewing.steps import operations
from core.solid.capacity import capacity
from core.solid.fill import fill
from core.solid.fold import FoldModel
from core.storage.bag_files import sample
from core.tops.roll_top.roll import RollTop
from tests.core.parts.test_seats import bag as made_of
from tests.core.parts.test_seats import base
from tests.core.sewing.order_proof import faults_in

_HEIGHTS = {"boxed-panel": ("panel_length", 2.0), "separate-base": ("body_height", 1.0)}


def _bare(body: Body) -> Bag:
    return made_of(body)


def _closed_flat(one: Bag) -> Bag:
    """The bag closed flat by a zip, its walls cut less high by what the other one rolls in."""
    wanted = compute(one).finished["rolled_height"]
    other = with_choice(replace(one, parts=type(one.parts)()), "top", "zip-forward")
    name, rate = _HEIGHTS[one.body.KIND]
    short = compute(other).finished["face_height"] - wanted
    return with_figures(other, {name: compute(other).cut[name] - rate * short})


ROLLED = [
    with_choice(replace(sample("tote"), parts=type(sample("tote").parts)()), "top", "roll-top"),
    with_choice(_bare(base(2)), "top", "roll-top"),
]


@pytest.mark.parametrize("one", ROLLED, ids=lambda each: each.body.KIND)
def test_it_fills_as_the_bag_that_closes_flat_does_with_less_height(one: Bag) -> None:
    """Section 3.8: its filled shape is the flat-closed one with h less the rolls."""
    other = _closed_flat(one)
    rolled, zipped = compute(one).finished, compute(other).finished
    assert zipped["face_height"] == pytest.approx(rolled["rolled_height"])
    for name in ("box_volume", "inside_volume"):
        assert rolled[name] == pytest.approx(zipped[name])
    assert fill(one).volume == pytest.approx(fill(other).volume, rel=1e-6)


def test_the_box_reaches_to_the_fill_line() -> None:
    """K28: 8 x 8 x 4 in. Its box is 8 wide, 4 deep and 8 + D/2 = 10 high: 320 cubic inches."""
    from tests.core.tops.test_open_tops import rolled

    sizes = compute(rolled(28.0, 12.0, 2.0, rolls=4, depth=0.5 * MM_PER_INCH)).finished
    assert sizes["rolled_height"] == pytest.approx(10.0 * MM_PER_INCH)
    assert sizes["box_volume"] == pytest.approx(320.0 * 0.016387064)


def test_one_wall_round_a_rounded_base_is_filled_too() -> None:
    one = with_choice(_bare(base(1)), "top", "roll-top")
    less = with_figures(one, {"rolls": 4})
    assert fill(less).volume < fill(one).volume


def test_a_filled_volume_is_redesigned_by_what_is_left_below_the_rolls() -> None:
    one = ROLLED[0]
    wanted = capacity(one).volumes["filled_volume"] * 1.1
    made = redesign(one, RedesignRequest(wants={"filled_volume": wanted}))
    assert capacity(made.bag).volumes["filled_volume"] == pytest.approx(wanted, rel=2e-3)


@pytest.mark.parametrize("one", ROLLED, ids=lambda each: each.body.KIND)
def test_the_walls_lean_together_at_the_fill_line(one: Bag) -> None:
    """Sewn, front and back meet in the middle where the rolls hang from."""
    folding = FoldModel(one, draft_bag(one)).folding
    assert folding.closed and folding.remark is not None
    now = folding.frames(1.0)
    height = next(each for each in folding.sizes if each.figure == "rolled_height")
    at = {}
    for name, (zone, point) in (("foot", height.start), ("head", height.end)):
        at[name] = now[folding.zones[zone].key].at(point)
    long = sum((a - b) ** 2 for a, b in zip(at["foot"], at["head"], strict=True)) ** 0.5
    assert long == pytest.approx(compute(one).finished["rolled_height"])
    assert at["head"][1] == pytest.approx(0.0, abs=1e-6)
    (lowest,) = (zone for zone in folding.zones if zone.key is ROLLS[0][0])
    up = [now[lowest.key].at(point)[2] - at["head"][2] for point in lowest.outline]
    thick = 12 * max(2 * one.site.wall, 1.0)
    assert max(up) == pytest.approx(0.0, abs=thick)
    assert min(up) >= -one.top.depth - 1e-6


def test_every_roll_has_its_line_on_both_faces() -> None:
    """The lowest is the fill line, n k below the hem's fold."""
    one = replace(ROLLED[1], top=RollTop(rolls=4, depth=30.0))
    marks = [(piece, each) for piece in draft_bag(one).pieces for each in piece.marks
             if each.role is MarkRole.ROLL]  # fmt: skip
    for face in (Face.FRONT, Face.BACK):
        own = [each for _, each in marks if each.face is face]
        seat = one.site.seats[face]
        assert [each.label for each in own] == ["fill line"] + 3 * ["roll line"]
        down = [seat.top - seat.top_allowance - each.points[0][1] for each in own]
        assert down == pytest.approx([120.0, 90.0, 60.0, 30.0])


def test_rolls_beyond_the_base_have_no_lines() -> None:
    one = with_figures(ROLLED[1], {"rolls": 12, "roll_depth": 60.0})
    for piece in draft_bag(one).pieces:
        for each in piece.marks:
            assert all(-1e-6 <= y <= piece.height for _, y in each.points)


def test_what_holds_the_rolls_is_bought_and_sewn_before_the_sides() -> None:
    """Section 3.8: stiffener strip and fastener before the sides."""
    one = ROLLED[1]
    every = operations(one, draft_bag(one))
    order = [each.key for each in sewing_order(every)]
    held = ["hem top", "lay in stiffener strip", "tack buckle"]
    sides = [at for at, key in enumerate(order) if key.startswith("join side seam")]
    assert [order.index(key) for key in held] == sorted(order.index(key) for key in held)
    assert order.index("tack buckle") < min(sides)
    assert order.index("fold top down") > max(sides)
    lengths = {each.what: each.length for each in one.top.notions(one.site, draft_bag(one))}
    seat = one.site.seats[Face.BACK]
    inside = seat.width - 2 * seat.side_allowance - 2 * 6.35
    assert lengths == {"buckle": None, "webbing": 200.0, "stiffener strip": inside}


def test_a_raw_top_edge_takes_no_strip() -> None:
    one = with_figures(ROLLED[1], {"zip_seam": 0.0})
    every = operations(one, draft_bag(one))
    assert "lay in stiffener strip" not in {each.key for each in every}
    assert faults_in(every, [each.key for each in sewing_order(every)]) == ()
    assert {each.what for each in one.top.notions(one.site, draft_bag(one))} == {
        "buckle", "webbing",
    }  # fmt: skip
