"""Corners that are sewn across, against pages outside the project and against corners cut out.

The pages tell how wide and high to cut, and how far from the tip to sew; a corner that is cut out
to the same seam is the second source: its figures are proven by `test_outside_facts.py` and
`test_closed_formulas.py`.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from core.bag.allowances import with_allowances
from core.bag.bag import Bag, cut_value, with_figures
from core.bag.choices import CHOICES, lost_by, with_choice, with_fix
from core.bag.compute import compute, draft_bag, measure_walls
from core.bag.figures import matched_in
from core.base.arrays import Floats
from core.base.errors import FieldError
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.boxed_panel.sizes import Corners, Tips
from core.drawing.pattern import DrawOptions, draw_piece
from core.drawing.records import Line
from core.drawing.solid_scene import SolidScene
from core.drawing.step_pictures import SolidMeasures, StepPictures
from core.flat.ink import Ink
from core.flat.piece import Point
from core.flat.roles import EdgeRef, Face, SeamId, SeamRole
from core.model.findings import Finding
from core.redesign.redesign import redesign
from core.redesign.request import RedesignRequest
from core.sewing.order import sewing_order
from core.sewing.steps import operations, steps
from core.solid.capacity import capacity
from core.solid.fold import Folded, FoldModel
from core.space.zones import AreaKind, LineKind
from core.storage.bag_files import sample
from core.work.operation import Action, Operation
from core.work.scene import FoldedView
from tests.core.sewing.order_proof import faults_in, wrongly_used
from tests.helpers import (
    INCH,
    bag_from_json,
    bag_to_json,
    bare,
    changed,
    codes,
    demo,
    having,
    inch,
    layer,
    sandwich,
)
from tests.strategies import bags, panels, sewable_bags

NEAR = 1e-9
ONE_EDGE = {"gusset_depth_at_side", "corner_mismatch"}
"""What there is to tell only where the two edges of a corner could differ."""


def across(bag: Bag) -> Bag:
    """The bag with its corners sewn across, as deep as they were drawn."""
    return with_choice(bag, "corners", "sewn-across")


def flattened(
    width: float, height: float, mark: float, *, seam: float = 0.5, bottom: float = 0.0
) -> Bag:
    """An open bag of two layers `width` by `height` (in), corners sewn across at `mark` (in)."""
    panel = BoxedPanel(
        width=inch(width),
        length=inch(2 * height),
        front_trim=0.0,
        corners=Corners.SEWN_ACROSS,
        corner_mark=inch(mark),
        side_seam=inch(seam),
        corner_seam=inch(seam),
        top_seam=inch(seam),
        bottom_seam=inch(bottom),
    )
    return bare(panel)


def in_inches(bag: Bag) -> tuple[float, float, float]:
    """Height, width and depth of the finished bag, in."""
    finished = compute(bag).finished
    names = ("face_height", "base_width", "gusset_depth")
    high, wide, deep = ((finished[name] or 0.0) / INCH for name in names)
    return high, wide, deep


# --- Pages ----------------------------------------------------------------------------------------


def test_k1_a_bag_twelve_high_nine_wide_two_deep() -> None:
    """Cut 2x + z + 1 by y + z + 1, sewn across z/2 from the tip, 1/2 in seams.

    Source: craftroomfun.blogspot.com, February 2010: 27 x 12 in, sewn 1 in from the tip.
    """
    bag = flattened(12, 27 / 2, 1)
    assert in_inches(bag) == pytest.approx((12, 9, 2), abs=NEAR)
    found = redesign(
        flattened(14, 15, 1.5),
        RedesignRequest(
            wants={"face_height": inch(12), "base_width": inch(9), "gusset_depth": inch(2)}
        ),
    ).after.cut
    sizes = {"panel_width": 12, "panel_length": 27, "corner_mark": 1}
    for name, size in sizes.items():
        assert (found[name] or 0.0) / INCH == pytest.approx(size, abs=1e-6), name


@pytest.mark.parametrize(
    ("depth", "mark", "bottom"),
    [
        pytest.param(3, 1.5, 0.5, id="knittingcaboodle.wordpress.com, 10 April 2007"),
        pytest.param(5, 2.5, 0.0, id="forgetfulone.com, November 2022: folded, no seam"),
        pytest.param(4, 2, 0.5, id="flipbuilder, page 92: the line is 4 in long 2 in from the tip"),
    ],
)
def test_k2_the_line_is_twice_as_long_as_it_is_far_from_the_tip(
    depth: float, mark: float, bottom: float
) -> None:
    bag = flattened(16, 14, mark, bottom=bottom)
    assert in_inches(bag)[2] == pytest.approx(depth, abs=NEAR)
    for side in ("left", "right"):
        operation = sewing(bag)[f"join corner seam {side}"]
        assert told(operation, "corner_mark") == pytest.approx(inch(mark), abs=NEAR)
        assert told(operation, "gusset_depth") == pytest.approx(inch(depth), abs=NEAR)


@pytest.mark.parametrize("cube", [5, 4, 3, 2])
def test_k4_nesting_cubes(cube: int) -> None:
    """A cube of n is cut n + n + 2 x 1/2 wide, and sewn n long at n/2 from the point.

    Source: uniquety.blogspot.com, September 2009: nesting cubes of 5, 4, 3 and 2 in.
    """
    bag = flattened(2 * cube + 1, cube + cube / 2 + 0.5, cube / 2)
    assert in_inches(bag) == pytest.approx((cube, cube, cube), abs=NEAR)


def told(operation: Operation, name: str) -> float:
    """A length that an operation tells, mm."""
    (length,) = {
        length
        for sentence in operation.instructions
        for gap, length in sentence.all_lengths()
        if gap == name
    }
    return length


def sewing(bag: Bag) -> dict[str, Operation]:
    result = compute(bag)
    return {each.key: each for each in operations(bag, result.draft)}


# --- The same bag as with corners cut out ---------------------------------------------------------


@settings(max_examples=40)
@given(sewable_bags())
def test_it_is_the_bag_whose_corners_are_cut_out_to_the_same_seam(bag: Bag) -> None:
    sewn = across(bag)
    body, was = sewn.body, bag.body
    assert (body.corner_width, body.corner_depth) == (0.0, 0.0)
    assert body.cut_width == pytest.approx(was.corner_width, abs=NEAR)
    assert body.cut_depth == pytest.approx(was.corner_depth, abs=NEAR)
    before, after = compute(bag), compute(sewn)
    for name in before.finished.keys() - ONE_EDGE:
        assert after.finished[name] == pytest.approx(before.finished[name], abs=NEAR), name
    for cut, drawn in zip(before.draft.pieces, after.draft.pieces, strict=True):
        assert (cut.id, cut.bounds) == (drawn.id, pytest.approx(drawn.bounds, abs=NEAR))
        assert np.allclose(drawn.outline, cut.outline, rtol=0.0, atol=NEAR)
    models = [FoldModel(each.bag, each.draft, allowances=False) for each in (before, after)]
    for at in (0.5, 0.8, 1.0):
        (kinds, points), (others, moved) = (facets(model.at(at)) for model in models)
        assert kinds == others
        assert np.allclose(points, moved, rtol=0.0, atol=NEAR)
    back = with_choice(sewn, "corners", "cut")
    assert back.body.corner_width == pytest.approx(was.corner_width, abs=NEAR)
    assert back.body.corner_depth == pytest.approx(was.corner_depth, abs=NEAR)


def facets(folded: Folded) -> tuple[list[tuple[AreaKind, int]], Floats]:
    """Kind and zone of every area but the tips, and all of their corners, mm."""
    model = folded.model
    found = [
        (area, folded.area(index))
        for index, area in enumerate(model.areas)
        if area.kind not in (AreaKind.TIP, AreaKind.FLAT_TIP)
    ]
    points = np.concatenate([corners for _, corners in found])
    return [(area.kind, area.zone) for area, _ in found], points


@pytest.mark.parametrize("name", ["demo", "lunch"])
def test_it_holds_as_much(name: str) -> None:
    bag = sample(name)
    one, other = capacity(bag), capacity(across(bag))
    assert one.filled is not None
    assert other.filled == pytest.approx(one.filled, rel=NEAR)
    assert other.inside_filled == pytest.approx(one.inside_filled, rel=NEAR)


@given(panels(matched=False), st.integers(1, 60))
def test_its_corners_always_match(panel: BoxedPanel, steps: int) -> None:
    """Whatever the mark: gusset 2m, base W - 2 s1 - 2m, by the geometry of a flattened corner."""
    mark = steps * INCH / 8
    try:
        sewn = replace(panel, corners=Corners.SEWN_ACROSS, corner_mark=mark)
    except FieldError:
        assume(False)
    finished = compute(bare(sewn)).finished
    for walked in draft_bag(bare(sewn)).walked_seams(SeamRole.CORNER):
        assert walked.difference == pytest.approx(0.0, abs=NEAR)
    assert finished["gusset_depth"] == pytest.approx(2 * mark, abs=NEAR)
    base = sewn.width - 2 * sewn.side_seam - 2 * mark
    assert finished["base_width"] == pytest.approx(base, abs=NEAR)


# --- What it is -----------------------------------------------------------------------------------


def test_what_belongs_to_the_other_way_is_nothing() -> None:
    sewn = across(demo()).body
    assert replace(sewn, corner_width=50.0, corner_depth=40.0) == sewn
    plain = demo().body
    assert replace(plain, corner_mark=50.0, tips=Tips.LEFT_IN) == plain


def test_a_figure_of_the_other_way_cannot_be_set() -> None:
    assert cut_value(demo(), "corner_mark") is None
    assert cut_value(across(demo()), "corner_cut_width") is None
    with pytest.raises(FieldError, match=r"^Corner mark cannot be set: the corners .* cut out\.$"):
        changed(demo(), corner_mark=50.0)
    with pytest.raises(FieldError, match=r"^Corner cut depth cannot .* sewn across\.$"):
        changed(across(demo()), corner_cut_depth=50.0)
    with pytest.raises(FieldError, match=r"^Corner mark cannot be set: the corners .* cut out\.$"):
        redesign(demo(), RedesignRequest(wants={"corner_mark": 50.0}))
    with pytest.raises(FieldError, match=r"no tips are left: first choose corners=sewn-across\.$"):
        with_choice(demo(), "tips", "left-in")


@pytest.mark.parametrize(
    ("more", "told"), [(12.7, "the base is 12.7 mm wider."), (-6.0, "the base is 6 mm narrower.")]
)
def test_a_mismatch_that_goes_with_the_second_edge_is_told(more: float, told: str) -> None:
    """A cut half of that wider than its depth wants: both corners give it to the base."""
    (choice,) = (each for each in CHOICES if each.name == "corners")
    cut = changed(demo(), corner_cut_width=demo().body.corner_width + more / 2)
    sewn = across(cut)
    assert measure_walls(cut)["corner_mismatch"] == pytest.approx(more)
    wider = (compute(sewn).finished["base_width"] or 0.0) - (
        compute(cut).finished["base_width"] or 0.0
    )
    assert wider == pytest.approx(more)
    lost = lost_by(choice, cut, sewn)
    assert lost is not None
    assert lost.text().endswith(told)
    assert lost_by(choice, demo(), across(demo())) is None
    assert lost_by(choice, sewn, with_choice(sewn, "corners", "cut")) is None


def left_in(**figures: float) -> Bag:
    return changed(with_choice(across(demo()), "tips", "left-in"), **figures)


@pytest.mark.parametrize("bottom", ["fold", "seam"])
def test_tips_left_in_know_no_allowance_and_keep_it_for_when_they_are_trimmed(bottom: str) -> None:
    """The whole tip lies beyond the seam, however much of it were left when it is trimmed."""
    plain = with_choice(left_in(), "bottom", bottom)
    wide = changed(plain, corner_seam=200.0)
    assert wide.body.corner_mark < 200.0
    one, other = compute(plain), compute(wide)
    assert one.finished == other.finished
    for each in (wide, changed(plain, corner_seam=1.0)):
        assert [step.text() for step in steps(compute(each))] == [
            step.text() for step in steps(one)
        ]
    assert [each.rough for each in one.draft.walls] == [each.rough for each in other.draft.walls]
    assert one.bag.site.front.low_width == pytest.approx(other.bag.site.front.low_width)
    assert one.bag.site.front.cut_low == pytest.approx(other.bag.site.front.cut_low)
    told = [[each.message.text() for each in result.findings] for result in (one, other)]
    assert told[0] == told[1]
    # The least mark of trimmed ones is no limit either.
    assert changed(wide, corner_mark=1.0).body.corner_mark == 1.0
    for body in (plain.body, wide.body):
        assert not body.applies("corner_seam")
    assert across(demo()).body.applies("corner_seam")
    # What it was comes back; where the tip is too short for it that is said, and no fix offers it.
    assert with_choice(left_in(corner_seam=12.0), "tips", "trimmed").body.corner_seam == 12.0
    for name, word in (("tips", "trimmed"), ("corners", "cut")):
        with pytest.raises(FieldError, match=r"^Corner mark is .* the seam runs off the tip\.$"):
            with_choice(wide, name, word)
    (finding,) = _findings(wide, "corner-left-in")
    assert finding.fixes == ()


def test_it_has_no_second_depth_and_nothing_to_match() -> None:
    sewn = across(demo())
    matched = [matched_in(measure_walls(bag)) for bag in (demo(), sewn)]
    assert matched == [("corner_mismatch",), ()]
    for bag, there in ((demo(), True), (sewn, False)):
        result = compute(bag)
        assert all((result.finished[name] is not None) is there for name in ONE_EDGE)
        assert all((result.drawn[name] is not None) is there for name in ONE_EDGE)
    for name in ONE_EDGE:
        with pytest.raises(FieldError, match=r"^[\w ]+ cannot be set: .* are sewn across"):
            redesign(sewn, RedesignRequest(wants={name: 0.0}))


def test_what_is_told_of_a_thick_wall_and_a_board_is_what_a_cut_corner_tells() -> None:
    """A bag sewn across is the bag whose corners are cut out to the same seam, findings too."""
    low = changed(demo(), panel_length=inch(14))
    walls = [sandwich(layer(thickness=thick, pressed=5.0)) for thick in range(6, 60, 2)]
    for bag in (low, *(having(each, sandwich=wall) for each in (demo(), low) for wall in walls)):
        expected = [(each.code, each.value, each.limit) for each in compute(bag).findings]
        found = [(each.code, each.value, each.limit) for each in compute(across(bag)).findings]
        assert expected, "there is something to compare"
        for one, other in zip(expected, found, strict=True):
            assert one[0] == other[0]
            assert other[1:] == pytest.approx(one[1:], abs=1e-6)


def test_a_seam_must_lie_between_the_tip_and_the_middle() -> None:
    """Nearer than seam less allowance it runs off the tip; at half the width the corners meet."""
    body = across(demo()).body
    assert (body.bottom_seam, body.corner_seam) == (0.0, pytest.approx(9.525))
    assert replace(body, corner_mark=9.525).cut_depth == 0.0
    with pytest.raises(FieldError, match=r"must be at least 9\.525 mm: nearer, the seam runs off"):
        replace(body, corner_mark=9.5)
    widest = body.width / 2
    assert replace(body, length=2000.0, corner_mark=widest - 0.1).has_corners
    with pytest.raises(FieldError, match="where the corners meet"):
        replace(body, length=2000.0, corner_mark=widest)
    with pytest.raises(FieldError, match="where the corners reach the top of the front"):
        replace(body, width=2000.0, corner_mark=body.front_length + 9.525)
    assert not replace(body, corner_mark=0.0).has_corners


def test_a_tip_between_two_seams_ends_at_the_lesser_allowance() -> None:
    """Stitching meets 12 above the cut edge: a mark of 9.525 - 2 just keeps the seam on the tip."""
    seamed = across(changed(demo(), bottom_seam=12.0)).body
    body = replace(seamed, side_seam=2.0)
    assert replace(body, corner_mark=7.525).cut_width == 0.0
    with pytest.raises(FieldError, match=r"must be at least 7\.525 mm: nearer, the seam runs off"):
        replace(body, corner_mark=7.5)
    highest = body.front_length - 12.0 + 9.525
    assert replace(body, width=2000.0, corner_mark=highest - 0.1).has_corners
    with pytest.raises(FieldError, match="where the corners reach the top of the front"):
        replace(body, width=2000.0, corner_mark=highest)


def test_the_rectangle_is_cut_and_the_corners_are_trimmed_later() -> None:
    for bag in (across(demo()), across(changed(demo(), bottom_seam=12.0))):
        for piece in draft_bag(bag).walls:
            left, bottom, right, top = piece.bounds
            assert set(piece.cut_outline) == {
                *((left, bottom), (right, bottom), (right, top), (left, top))
            }
            assert len(piece.outline) > 4
            assert not any("Cut out" in note.text() for note in piece.notes)


@settings(max_examples=30)
@given(sewable_bags(), st.sampled_from(Tips))
def test_it_comes_back_from_its_file(bag: Bag, tips: Tips) -> None:
    sewn = with_choice(across(bag), "tips", tips.value)
    assert bag_from_json(bag_to_json(sewn), source="x") == sewn


def test_its_file_holds_the_figures_of_its_own_way_alone() -> None:
    text = bag_to_json(across(demo()))
    assert '"corners": "sewn-across"' in text
    assert '"corner_mark": 85.725' in text
    assert '"tips": "trimmed"' in text
    assert "corner_cut" not in text
    assert not any(word in bag_to_json(demo()) for word in ("corner_mark", "tips"))


def test_other_allowances_leave_its_mark_alone() -> None:
    """It is measured from the stitching: W grows by 2 s1, L by 2 (s3 + s4) less what shows."""
    for bag in (across(demo()), across(changed(demo(), bottom_seam=12.0))):
        wider = {name: size + 2.0 for name, size in _allowances(bag).items()}
        changes = with_allowances(bag, wider)
        assert changes is not None
        other = with_figures(bag, changes)
        assert "corner_mark" not in changes
        assert other.body.width == pytest.approx(bag.body.width + 4.0, abs=NEAR)
        before, after = compute(bag).finished, compute(other).finished
        for name in before.keys() - {"zip_clearance", *ONE_EDGE}:
            assert after[name] == pytest.approx(before[name], abs=1e-8), name


def _allowances(bag: Bag) -> dict[str, float]:
    return {each.figure: each.size for each in bag.allowances if each.figure != "pocket_seam"}


def test_a_redesign_moves_the_mark() -> None:
    sewn = across(demo(board=None))
    after = redesign(sewn, RedesignRequest(wants={"gusset_depth": 150.0})).after
    assert after.cut["corner_mark"] == pytest.approx(75.0, abs=1e-6)
    for name in ("base_width", "face_height"):
        assert after.finished[name] == pytest.approx(compute(sewn).finished[name], abs=1e-3), name


# --- How it is sewn -------------------------------------------------------------------------------


@settings(max_examples=25)
@given(bags(), st.sampled_from(Tips))
def test_it_can_be_sewn_in_the_order_told(bag: Bag, tips: Tips) -> None:
    try:
        sewn = with_choice(across(bag), "tips", tips.value)
    except FieldError:
        assume(False)
    draft = compute(sewn).draft
    every = operations(sewn, draft)
    assert wrongly_used(draft, every) == ()
    assert faults_in(every, sewing_order(every)) == ()
    assert "cut corner cuts" not in {each.key for each in every}


def test_sides_are_sewn_in_full_before_the_corners() -> None:
    """Common practice, no source: the side seam runs to the bottom line, half the depth farther."""
    cut, sewn = sewing(demo()), sewing(across(demo()))
    mark = across(demo()).body.corner_mark
    for side in ("left", "right"):
        key = f"join side seam {side}"
        assert told(sewn[key], "seam_length") == pytest.approx(told(cut[key], "seam_length") + mark)
    keys = list(sewn)
    assert keys.index("join side seam left") < keys.index("join corner seam left")
    assert keys.index("join corner seam right") < keys.index("cut corner tips")
    assert keys.index("cut corner tips") < keys.index("overcast seam allowances")
    seamed = sewing(across(changed(demo(), bottom_seam=12.0)))["join bottom seam"]
    assert seamed.stitching[0].length == demo().body.width


def test_tips_that_are_left_in_are_neither_trimmed_nor_sewn_twice() -> None:
    trimmed = sewing(across(demo()))
    left = sewing(with_choice(across(demo()), "tips", "left-in"))
    assert trimmed.keys() - left.keys() == {"cut corner tips"}
    (one,), (two,) = (every["join corner seam left"].stitching for every in (left, trimmed))
    assert two.length == pytest.approx(2 * one.length)
    assert [each.label for each in left["overcast seam allowances"].stitching] == [
        "overcasting the side seams"
    ]
    assert (
        sum(each.action is Action.CUT for each in left.values())
        == sum(each.action is Action.CUT for each in sewing(demo()).values()) - 1
    )


# --- How it is drawn ------------------------------------------------------------------------------


@pytest.mark.parametrize("bottom", [0.0, 12.0], ids=["folded", "seamed"])
def test_its_tips_are_there_until_it_is_folded(bottom: float) -> None:
    """Laid flat and folded it is a rectangle; sewn, nothing is left of what was beyond the seam."""
    sewn = across(changed(demo(), bottom_seam=bottom))
    mark, result = sewn.body.corner_mark, compute(sewn)
    model = FoldModel(sewn, result.draft)
    wide = sewn.body.width - 2 * sewn.body.side_seam
    high = model.folding.brims[Face.FRONT]
    for at, tips in ((0.0, 4), (0.25, 4), (0.5, 4), (0.51, 0), (1.0, 0)):
        folded = model.at(at)
        shown = [area for area in model.areas if folded.shows_area(area)]
        assert sum(area.kind is AreaKind.TIP for area in shown) == tips
        goods = (AreaKind.WALL, AreaKind.TIP, AreaKind.TAPE)
        covered = math.fsum(_area(area.corners) for area in shown if area.kind in goods)
        missing = (4 - tips) * mark**2
        assert covered == pytest.approx(2 * wide * high - missing, rel=1e-9)
        if at >= 0.5:
            assert min(z for _, _, z in folded.extent) == pytest.approx(0.0, abs=NEAR)


def _area(corners: Sequence[tuple[float, float]]) -> float:
    return float(shapely.Polygon(corners).area)


@pytest.mark.parametrize("bottom", [0.0, 12.0], ids=["folded", "seamed"])
def test_a_side_is_drawn_as_long_as_it_is_told(bottom: float) -> None:
    sewn = across(changed(demo(), bottom_seam=bottom))
    model = FoldModel(sewn, compute(sewn).draft)
    for side in ("left", "right"):
        operation = sewing(sewn)[f"join side seam {side}"]
        lit = frozenset(ref for seam in operation.seams for ref in model_edges(sewn, seam))
        assert isinstance(operation.scene, FoldedView)
        scene = SolidScene(model, operation.scene, lit)
        ends = [end for line in scene.new_lines() for end in line]
        heights = [y for _, y in ends]
        assert max(heights) - min(heights) == pytest.approx(told(operation, "seam_length"))
        assert min(heights) == pytest.approx(0.0, abs=NEAR)


def model_edges(bag: Bag, seam: SeamId) -> tuple[EdgeRef, ...]:
    return compute(bag).draft.seam(seam).edges


def test_a_bottom_seam_is_drawn_from_side_to_side_before_and_after_it_is_sewn() -> None:
    """As it is sewn, as its raw edges are overcast, and where it lies in the steps after that."""
    sewn = across(with_choice(sample("tote"), "bottom", "seam"))
    result = compute(sewn)
    every = steps(result)
    pictures = StepPictures(result, every)
    places = {each.operation.key: number for number, each in enumerate(every, start=1)}
    works = {
        "join bottom seam": Ink.NEW,
        "overcast bottom seam": Ink.NEW,
        "hem top": Ink.STITCH,
    }
    for key, ink in works.items():
        records = pictures.picture(places[key]).records
        goods = [each.points for each in records if each.ink is Ink.GOODS]
        left, low, right, high = shapely.MultiPoint([*goods[0], *goods[1]]).bounds
        middle = [
            x
            for line in records
            if isinstance(line, Line) and line.ink is ink
            if all(abs(y - (low + high) / 2) < (high - low) / 4 for _, y in line.points)
            for x, _ in line.points
        ]
        assert (min(middle), max(middle)) == pytest.approx((left, right), abs=1e-6), key


@pytest.mark.parametrize("bottom", [0.0, 12.0], ids=["folded", "seamed"])
def test_while_it_is_sewn_a_tip_lies_flat_beyond_the_seam(bottom: float) -> None:
    """A triangle as high as the mark, on a seam twice as long: a cone of 180 degrees, flattened."""
    sewn = across(changed(demo(), bottom_seam=bottom))
    mark, result = sewn.body.corner_mark, compute(sewn)
    model = FoldModel(sewn, result.draft)
    folded = model.at(1.0)
    areas = enumerate(model.areas)
    tips = [np.array(folded.area(i)) for i, area in areas if area.kind is AreaKind.FLAT_TIP]
    flat = [area for area in model.areas if area.kind is AreaKind.FLAT_TIP]
    assert not any(model.at(at).shows_area(area) for at in (0.0, 0.5, 1.0) for area in flat)
    assert np.abs(np.concatenate(tips)[:, 2]).max() < NEAR
    every = shapely.union_all([shapely.Polygon(tip[:, :2]) for tip in tips])
    assert every.area == pytest.approx(2 * mark**2, rel=1e-9)
    reach = (result.finished["base_width"] or 0.0) / 2 + mark
    assert every.bounds == pytest.approx((-reach, -mark, reach, mark), abs=1e-6)
    shown = {}
    for key, operation in sewing(sewn).items():
        if isinstance(operation.scene, FoldedView) and operation.scene.tips:
            bare_scene = replace(operation.scene, tips=False)
            with_tips, without = (
                len(SolidScene(model, view).points) for view in (operation.scene, bare_scene)
            )
            shown[key] = with_tips - without
    assert shown == dict.fromkeys(
        ("join corner seam left", "join corner seam right", "cut corner tips"), 12
    )


def test_only_the_upper_ends_of_the_sides_are_tacked() -> None:
    sewn = across(sample("tote"))
    tack = sewing(sewn)["tack side seams"]
    assert isinstance(tack.scene, FoldedView)
    scene = SolidScene(FoldModel(sewn, compute(sewn).draft), tack.scene, frozenset(tack.edges))
    tops = [max(y for _, y in line) for line in scene.new_lines()]
    assert tops
    assert min(tops) == pytest.approx(max(tops), abs=NEAR)


@pytest.mark.parametrize("bottom", [0.0, 12.0], ids=["folded", "seamed"])
def test_the_pattern_shows_what_is_sewn_before_the_tips_are_trimmed(bottom: float) -> None:
    """Sides are stitched to the bottom line, a bottom seam from side to side; basting runs round.

    Common practice, no source.
    """
    sewn = across(changed(demo(), bottom_seam=bottom))
    body, draft = sewn.body, draft_bag(sewn)
    for piece in draft.walls:
        options = DrawOptions(baste_line=5.0, layers=("outer", "lining"))
        lines = [
            each
            for each in draw_piece(piece, draft.outlines[piece.id], options)
            if isinstance(each, Line)
        ]
        left, low, right, high = piece.bounds
        for x in (body.side_seam, body.width - body.side_seam):
            stitched = sum(
                abs(b - a)
                for line in lines
                for (u, a), (v, b) in pairwise(line.points)
                if line.ink is Ink.STITCH and abs(u - x) < NEAR and abs(v - x) < NEAR
            )
            ends = 2 * body.top_seam if piece.folds else body.top_seam + bottom
            assert stitched == pytest.approx(high - low - ends, abs=NEAR)
        basted = shapely.union_all(
            [shapely.LineString(b.points) for b in lines if b.ink is Ink.BASTE]
        )
        assert basted.bounds == pytest.approx((left + 5, low + 5, right - 5, high - 5), abs=NEAR)
        assert basted.length == pytest.approx(2 * (right - left + high - low - 20), abs=1e-6)
        if bottom:
            along = [
                shapely.LineString(line.points)
                for line in lines
                if line.ink is Ink.STITCH and all(abs(y) < NEAR for _, y in line.points)
            ]
            assert shapely.union_all(along).length == pytest.approx(
                body.width - 2 * body.side_seam, abs=NEAR
            )


def test_tips_that_are_left_in_have_no_line_to_trim_to() -> None:
    for tips, trimmed in (("trimmed", True), ("left-in", False)):
        bag = with_choice(across(demo()), "tips", tips)
        (panel,) = draft_bag(bag).walls
        drawn = draw_piece(panel, draft_bag(bag).outlines[panel.id])
        assert any(each.ink is Ink.TRIM for each in drawn) is trimmed
        kinds = {line.kind for line in FoldModel(bag, draft_bag(bag)).lines}
        assert (LineKind.TRIM in kinds) is trimmed


# --- What is doubtful -----------------------------------------------------------------------------


def test_tips_left_in_are_told() -> None:
    sewn = across(demo())
    assert "corner-left-in" not in codes(compute(sewn))
    (finding,) = _findings(with_choice(sewn, "tips", "left-in"), "corner-left-in")
    (fix,) = finding.fixes
    assert with_fix(with_choice(sewn, "tips", "left-in"), fix) == sewn


def _findings(bag: Bag, code: str) -> list[Finding]:
    return [each for each in compute(bag).findings if each.code == code]


@pytest.mark.parametrize(
    ("seam", "wipe_clean", "tips", "told"),
    [
        (6.3, False, "trimmed", True),
        (6.35, False, "trimmed", False),
        (6.3, True, "trimmed", False),
        (6.3, False, "left-in", False),
        (5.9, False, "trimmed", False),
    ],
    ids=["near", "a quarter inch", "does not fray", "left in", "too thin for anything"],
)
def test_trimming_near_the_seam_is_told_of_a_wall_that_frays(
    seam: float, wipe_clean: bool, tips: str, told: bool
) -> None:
    """A quarter inch (common practice, no source)."""
    walls = sandwich(*(layer(role, wipe_clean=wipe_clean) for role in ("outer", "lining")))
    bag = with_choice(across(having(demo(), sandwich=walls)), "tips", tips)
    bag = with_figures(bag, {"corner_seam": seam})
    assert ("trim-near-seam" in codes(compute(bag))) is told
    assert ("thin-allowance" in codes(compute(bag))) is (seam < 6.0)
    for finding in _findings(bag, "trim-near-seam"):
        assert [fix.changes for fix in finding.fixes] == [(("corner_seam", 6.35),)]
        assert compute(with_fix(bag, finding.fixes[0])).finished == pytest.approx(
            compute(bag).finished, abs=NEAR
        )


def test_a_bag_without_a_mark_is_a_pillow() -> None:
    pillow = changed(across(demo(board=None)), corner_mark=0.0)
    finished = compute(pillow).finished
    assert finished["gusset_depth"] == 0.0
    assert "base-vanishes" in codes(compute(pillow))
    assert math.isclose(finished["base_width"] or 0.0, pillow.body.width - 2 * 9.525)


def _told(bag: Bag, code: str) -> str:
    (found,) = (each for each in compute(bag).findings if each.code == code)
    return found.message.text()


def test_what_runs_past_its_seam_runs_into_a_tip_not_a_cut() -> None:
    """Nothing is cut out there."""
    low = changed(across(demo(board=None)), corner_mark=inch(8))
    assert _told(low, "handle-over-corner").endswith("they run past the corner seam, over the tip.")
    assert _told(low, "pocket-meets-corner").endswith("past the corner seam, into the tip.")
    cut = changed(demo(board=None), corner_cut_depth=inch(8), corner_cut_width=inch(8))
    assert _told(cut, "handle-over-corner").endswith("they run over the corner cut.")
    assert _told(cut, "pocket-meets-corner").endswith("and into the corner cut.")


def test_a_base_that_the_seams_just_take_up_is_not_nothing_more() -> None:
    """That the seams take up "the whole bottom and 0 in more" says nothing."""
    told = "The corner seams take up the whole bottom: no base is left."
    gone = changed(across(demo(board=None)), corner_mark=inch(8.875))
    assert _told(gone, "base-vanishes") == told
    cut = changed(demo(board=None), corner_cut_width=inch(8.875))
    assert _told(cut, "base-vanishes") == told
    beyond = changed(demo(board=None), corner_cut_width=inch(9))
    assert "and 6.35 mm more: no base" in _told(beyond, "base-vanishes")


@pytest.mark.parametrize("seam", [0.0, 2.0, 50.0], ids=["none", "thin", "wide"])
def test_where_tips_are_left_in_no_allowance_is_cut(seam: float) -> None:
    """The whole tip lies beyond the seam: nothing pulls out, and trimming is told by itself."""
    trimmed = changed(across(demo(board=None)), corner_mark=inch(3), corner_seam=seam)
    left = with_choice(trimmed, "tips", "left-in")
    code = {0.0: "no-allowance", 2.0: "thin-allowance"}.get(seam, "wide-allowance")
    assert code in codes(compute(trimmed))
    assert code not in codes(compute(left))
    (told,) = _findings(left, "corner-left-in")
    assert bool(told.fixes) is (seam > 0.0), "trimmed to the seam itself, nothing would hold it"


class Taken:
    """What is measured on a drawing: length -> its ends."""

    def __init__(self) -> None:
        self.measured: dict[float, tuple[Point, Point]] = {}

    def measure(self, start: Point, end: Point, length: float) -> None:
        self.measured[length] = (start, end)


def test_the_mark_is_measured_from_its_own_seam_to_the_end_of_that_tip() -> None:
    """Not along the seam, which is twice as long: the tip of a bag is half of a square."""
    bag = sample("boxed")
    result = compute(bag)
    for side, is_left in (("left", True), ("right", False)):
        operation = sewing(bag)[f"join corner seam {side}"]
        assert isinstance(operation.scene, FoldedView)
        lit = frozenset(operation.edges_on(result.draft))
        scene = SolidScene(FoldModel(bag, result.draft), operation.scene, lit)
        sketch = Taken()
        SolidMeasures(sketch, scene, operation).draw()  # type: ignore[arg-type]  # what it calls
        measured = sketch.measured
        mark, seam = bag.body.corner_mark, measured[max(measured)]
        start, end = measured[mark]
        assert start == pytest.approx(np.mean(seam, axis=0), abs=1e-6)
        others = [line[-1] for line in scene.tip_lines()]
        assert end in others and len(set(others)) == 2, "each tip has an end of its own"
        assert (end[0] == min(each[0] for each in others)) is is_left
