"""Facings and roll tops: what they are cut to, what is found, and how they are sewn. mm."""

from dataclasses import replace
from itertools import pairwise

import pytest

from core.bag.bag import Bag, draft_bag, with_figures
from core.bag.choices import CHOICES, kept_of, lost_by, with_choice, with_word
from core.bag.compute import Around, compute
from core.base.errors import FieldError
from core.base.units import Unit
from core.bodies.boxed_panel.folding import ROLLS, BoxedZone
from core.bodies.boxed_panel.panel import BoxedPanel
from core.flat.roles import Face, SeamRole
from core.model.findings import Finding, Severity
from core.parts.pocket.pocket import Pocket
from core.redesign.new_bag import new_bag
from core.sewing.order import sewing_order
from core.sewing.steps import operations
from core.solid.fold import FoldModel
from core.space.zones import AreaKind, dot, minus
from core.storage.bag_files import SAMPLES, sample
from core.tops.facing.facing import FACING_DEPTH, LOWER_HEM, Facing, facing_piece
from core.tops.roll_top.roll import RollTop
from core.work.operation import Phase
from tests.core.bodies.strip_bags import e2, open_bag
from tests.core.parts.test_seats import bag as made_of
from tests.core.parts.test_seats import base
from tests.core.sewing.order_proof import faults_in
from tests.helpers import INCH, found, layer, sandwich

BODIES = [open_bag(), base(1), base(2), base(4), sample("tote").body]


def faced(body: object) -> Bag:
    return replace(made_of(body), top=Facing(depth=50.0))


# --- facing ---


@pytest.mark.parametrize("body", BODIES, ids=lambda each: each.KIND)
def test_a_facing_ring_is_as_long_as_the_mouth(body: object) -> None:
    """Every seam of it walks; the strip is f + s3 + what is turned under deep (section 3.6)."""
    one = faced(body)
    made = draft_bag(one)
    for walked in made.walked:
        if walked.seam.id.owner == "top" and walked.seam.id.role is not SeamRole.SIDE:
            assert walked.difference == pytest.approx(0.0, abs=1e-9)
    around = sum(each.length for each in made.walked_seams(SeamRole.MOUTH))
    joined = [piece for piece in made.pieces if piece.id.owner == "top"]
    cut = sum(piece.width for piece in joined)
    sides = sum(2 * piece.edges[1].allowance for piece in joined)
    assert cut - sides == pytest.approx(around)
    assert {piece.height for piece in joined} == {50.0 + one.site.mouth.allowance + LOWER_HEM}
    ends = [ref for walked in made.walked for ref in walked.seam.edges
            if walked.seam.id.role is SeamRole.PART and walked.seam.id.owner == "top"]  # fmt: skip
    assert len(ends) == len(set(ends)) == 2 * len(joined)


@pytest.mark.parametrize("body", BODIES, ids=lambda each: each.KIND)
def test_the_ring_of_a_facing_is_checked_while_there_is_no_bag_yet(body: object) -> None:
    """It lies flat in half: as wide as half of the mouth on the stitch lines."""
    one = faced(body)
    made = draft_bag(one)
    (join,) = (each for each in operations(one, made) if each.key == "join facing")
    assert join.check is not None
    assert "bag" not in join.check.text()
    (flat,) = (each.length for each in join.measures if each.name == "ring_flat")
    around = sum(each.length for each in made.walked_seams(SeamRole.MOUTH))
    assert 2 * flat == pytest.approx(around)


@pytest.mark.parametrize(("depth", "severity"), [(16.35, None), (16.3, Severity.WARN),
                                                 (3.0, Severity.STOP)])  # fmt: skip
def test_a_facing_covers_the_allowance_that_lies_inside(
    depth: float, severity: Severity | None
) -> None:
    """Here 10 of seam and a quarter inch turned under."""
    one = with_figures(faced(base(2)), {"zip_seam": 10.0, "facing_depth": depth})
    told = _codes(one).get("facing-narrow")
    assert (told.severity if told else None) is severity
    if told:
        assert "facing-narrow" not in _codes(with_figures(one, dict(told.fixes[0].changes)))


def test_the_depth_of_a_facing_has_its_dimension() -> None:
    one = faced(base(4))
    made = draft_bag(one)
    for face in (run.face for run in one.site.mouth.runs):
        lengths = {each.label: each.length for each in one.top.dimensions(made)[facing_piece(face)]}
        assert lengths[FACING_DEPTH.label] == pytest.approx(50.0)


@pytest.mark.parametrize("word", ["hem", "facing", "roll-top"])
@pytest.mark.parametrize("trim", [0.0, 30.0])
def test_edges_at_two_heights_are_not_told_to_be_level(word: str, trim: float) -> None:
    for body in (base(2), sample("tote").body):
        one = with_figures(with_choice(made_of(body), "top", word), {"front_trim": trim})
        (fold,) = (each for each in operations(one, draft_bag(one)) if each.key[:4] == "fold"
                   and each.phase is Phase.CLOSE)  # fmt: skip
        told = " ".join(text.text() for text in fold.instructions)
        assert ("edges level." in told) is (trim == 0.0)
        assert ("30 mm above the front's" in told) is (trim > 0.0)


@pytest.mark.parametrize("word", ["hem", "facing", "roll-top"])
@pytest.mark.parametrize("name", ["jar", "demo"])
def test_a_trim_is_for_a_zip_that_comes_forward(name: str, word: str) -> None:
    """Any other top lies level, which is told; with the zip that was left the trim comes back."""
    zipped, top = sample(name), next(each for each in CHOICES if each.name == "top")
    assert zipped.site.mouth.trim > 0.0
    other = with_word(zipped, top, word)
    assert other.site.mouth.trim == 0.0
    told = lost_by(top, zipped, other)
    assert told is not None
    assert "as long as the back now" in told.text()
    back = with_word(other, top, "zip-forward", kept_of(zipped, top))
    assert back.body == zipped.body


def test_the_ring_of_a_facing_lies_on_the_seams_that_there_are() -> None:
    for walls, seam in ((1, "one join on the side seam"), (2, "its joins on the bag's seams")):
        one = faced(base(walls))
        (sewn,) = (each for each in operations(one, draft_bag(one))
                   if each.key == "join facing to top")  # fmt: skip
        assert any(seam in text.text() for text in sewn.instructions)


def test_a_facing_over_the_bags_seams_is_told_of_as_thick() -> None:
    """Seen in the cloth: a wall, both allowances of the seam, the facing, one of its join.

    With a wall of 2 mm the foot must take 3 x 2 mm, and twice the facing's own goods.
    """
    thick = layer(thickness=2.0, pressed=2.0, usable_width=5000.0)
    one = replace(faced(base(2)), sandwich=sandwich(thick))
    stack = 6.0 + 2 * one.goods_of(draft_bag(one).piece(facing_piece(Face.FRONT)))[0].pressed
    one = replace(one, sandwich=sandwich(thick, foot_clearance=stack - 0.1))
    told = _every_code(one)["too-thick-to-sew"]
    assert told.value == pytest.approx(stack)
    assert "the facing's seam" in told.message.text()
    assert "too-thick-to-sew" not in _every_code(
        replace(one, sandwich=sandwich(thick, foot_clearance=stack + 0.1))
    )
    text = next(
        each for each in operations(one, draft_bag(one)) if each.key == "join facing to top"
    )
    assert f"{stack:g} mm thick" in text.caution.text()


def test_the_thread_of_a_facing_is_that_of_its_ring() -> None:
    """Once round the mouth of 300 by 180 mm, and not what its strips are cut to."""
    bag = with_choice(sample("coolbox"), "top", "facing")
    sewn = {
        line.label: line.length
        for each in operations(bag, draft_bag(bag))
        for line in each.stitching
    }
    assert sewn["facing seams"] == pytest.approx(960.0)
    assert sewn["topstitching of the facing"] == pytest.approx(1920.0)


def test_a_facing_too_deep_for_the_front() -> None:
    one = faced(base(2))
    assert "facing-near-base" not in _codes(one)
    low = with_figures(one, {"facing_depth": 245.0})
    told = _codes(low)["facing-near-base"]
    assert told.limit == pytest.approx(240.0)  # 250 less the foot's 10
    assert "facing-near-base" not in _codes(with_figures(low, dict(told.fixes[0].changes)))


def _codes(one: Bag) -> dict[str, object]:
    return {each.code: each for each in one.top.findings(one.site, compute(one).finished)}


def _every_code(one: Bag) -> dict[str, Finding]:
    return {each.code: each for each in compute(one).findings}


# --- roll top ---


def rolled(length: float, wide: float, corner: float, **top: object) -> Bag:
    """A folded panel, in inches, that is hemmed and rolled."""
    body = BoxedPanel(
        width=wide * INCH, length=length * INCH, front_trim=0.0, corner_width=corner * INCH,
        corner_depth=corner * INCH, side_seam=0.0, corner_seam=0.0, top_seam=0.0,
    )  # fmt: skip
    return replace(made_of(body), top=RollTop(**top))


def test_k28_a_roll_top_of_eight_by_eight_by_four() -> None:
    """30 = 2 (8 + 4 + 1 + 2): content 8; 4 is D/2 below and D/2 above; hem 1; rolled down 2.

    Source: instructables.com, Waterproof-Rolltop-Stuff-Sack.
    """
    body = replace(rolled(30.0, 14.0, 2.0, rolls=1, depth=1.0).body, top_seam=1.0 * INCH)
    one = replace(made_of(body), top=RollTop(rolls=4, depth=0.5 * INCH))
    sizes = compute(one).finished
    assert sizes["gusset_depth"] == pytest.approx(4.0 * INCH)
    assert sizes["rolled_height"] - sizes["gusset_depth"] / 2 == pytest.approx(8.0 * INCH)


def test_k29_twice_bottom_rolls_and_content() -> None:
    """26.5 = 2 (0.75 + 6.5 + 6): half of the bottom, what is rolled down, the content.

    Source: vdocuments.site, DIY advanced dry bags.
    """
    sizes = compute(rolled(26.5, 10.0, 0.75, rolls=5, depth=1.3 * INCH)).finished
    assert sizes["rolled_height"] == pytest.approx(6.0 * INCH)


def test_k33_a_casserole_wrap_is_two_inches_over() -> None:
    """Wrap 15 x 39 with ends 11 x 13: three edges 11 + 2 x 13 = 37; the rest is its top hem.

    Source: emblibrary.com, casserole carrier. Never exact: it tells neither seam nor hem.
    """
    edges = 11 + 2 * 13
    assert 0 < 39 - edges <= 2


def test_too_few_rolls_are_told() -> None:
    """Pages on such bags say that three to four rolls hold."""
    tote = with_choice(sample("tote"), "top", "roll-top")
    assert "rolls-too-few" not in _codes(tote)
    few = with_figures(tote, {"rolls": 2})
    assert _codes(few)["rolls-too-few"].limit == 3
    fixed = with_figures(few, dict(_codes(few)["rolls-too-few"].fixes[0].changes))
    assert "rolls-too-few" not in _codes(fixed)


def test_a_thick_wall_will_not_lie() -> None:
    """N x 2 T beyond the depth of a roll (section 3.8)."""
    thick = sandwich(layer(thickness=4.0, pressed=2.0), layer(role="lining", thickness=0.5))
    one = replace(rolled(30.0, 14.0, 2.0, rolls=3, depth=27.0), sandwich=thick)
    assert one.site.wall == pytest.approx(4.5)
    assert "too-thick-to-roll" not in _codes(one)
    told = _codes(with_figures(one, {"roll_depth": 26.9}))["too-thick-to-roll"]
    assert told.limit == pytest.approx(27.0, abs=one.site.ruler)
    assert RollTop.fresh(_Around(one)).depth >= 27.0


class _Around:
    def __init__(self, one: Bag) -> None:
        self.site, self.parts, self.finished = one.site, one.parts, compute(one).finished


def test_rolls_leave_room_for_the_depth() -> None:
    clear = rolled(30.0, 14.0, 2.0, rolls=4, depth=2.75 * INCH)
    assert "rolls-near-base" not in _codes(clear)  # 13 - 11 = 2, half of the depth
    told = _codes(with_figures(clear, {"roll_depth": 2.8 * INCH}))["rolls-near-base"]
    assert told.limit == pytest.approx(2.75 * INCH)


@pytest.mark.parametrize("walls", [1, 2])
def test_walls_of_one_piece_are_judged_as_those_of_two(walls: int) -> None:
    top = RollTop(rolls=3, depth=25.0)
    one = replace(made_of(base(walls)), top=top, parts=made_of(base(walls)).parts.without("pocket"))
    face = compute(one).finished["face_height"]
    assert compute(one).finished["rolled_height"] == pytest.approx(face - 75.0)
    told = _codes(with_figures(one, {"rolls": 12, "roll_depth": 60.0}))["rolls-near-base"]
    assert told.severity is Severity.STOP
    assert told.message.lengths["height"] == pytest.approx(12 * 60.0 - face)
    assert "more than there is" in told.message.text()


@pytest.mark.parametrize("figure", ["handle_stop", "pocket_drop"])
def test_parts_are_sewn_on_below_the_fill_line(figure: str) -> None:
    """Above it they would be rolled in: here a hem of 30 and three rolls of 25."""
    tote = with_choice(sample("tote"), "top", "roll-top")
    tote = with_figures(tote, {"zip_seam": 30.0, "rolls": 3, "roll_depth": 25.0})
    tote = tote.with_part(Pocket.fresh(Around(tote)))
    at_it = with_figures(tote, {"handle_stop": 105.0, "pocket_drop": 105.0})
    codes = {"handle_stop": "handles-in-rolls", "pocket_drop": "pocket-in-rolls"}
    assert not set(codes.values()) & set(_every_code(at_it))
    above = with_figures(at_it, {figure: 104.9})
    assert set(codes.values()) & set(_every_code(above)) == {codes[figure]}
    told = _every_code(above)[codes[figure]]
    assert told.limit == pytest.approx(105.0)
    (fix,) = told.fixes
    assert dict(fix.changes)[figure] == pytest.approx(105.0)


@pytest.mark.parametrize("high", [240.0, 450.0])
@pytest.mark.parametrize("walls", ["1", "2"])
def test_fresh_parts_lie_below_the_rolls(walls: str, high: float) -> None:
    """A quarter down the face of 240 they would be rolled in."""
    sizes = {"base_width": 200.0, "gusset_depth": 100.0, "face_height": high}
    words = {"construction": "separate-base", "body_pieces": walls, "top": "roll-top"}
    made = new_bag(sample("demo"), sizes, words, unit=Unit.CM)
    assert not {"handles", "pocket"} & set(made.left_out)
    rolled = made.result.bag.site.rolled + made.result.bag.site.mouth.allowance
    for name in ("handle_stop", "pocket_drop"):
        assert (made.result.cut[name] or 0.0) >= rolled - 1e-9
    assert not {"handles-in-rolls", "pocket-in-rolls"} & set(_every_code(made.result.bag))


def test_steps_of_walls_of_one_piece_speak_of_their_one_seam() -> None:
    """Side edges, side seams, another hem: of all these it has one."""
    one = replace(made_of(base(1)), top=RollTop(rolls=3, depth=25.0))
    told = [text.text() for each in operations(one, draft_bag(one)) for text in each.sentences]
    assert not [text for text in told if "side seams" in text or "open sides level with" in text]
    assert not [text for text in told if "each top edge" in text or "side edge to the" in text]
    assert any("the buckle over the front" in text for text in told)


def test_boxes_and_rings_are_refused_in_words() -> None:
    for body in (open_bag(), base(4)):
        with pytest.raises(FieldError, match="it can have a hem, a facing or a top strip"):
            replace(made_of(body), top=RollTop(rolls=3, depth=25.0))
    with pytest.raises(FieldError, match="takes a top strip"):
        replace(made_of(e2().made_for(None, closes_ring=False)), body=e2(), top=Facing(depth=50.0))
    assert RollTop.refused(base(1).mouth()) is None


# --- both ---


@pytest.mark.parametrize("word", ["facing", "roll-top"])
@pytest.mark.parametrize("name", SAMPLES)
def test_every_sample_can_be_so_and_is_sewn_in_order(name: str, word: str) -> None:
    if word == "roll-top" and not sample(name).site.mouth.closes_flat:
        pytest.skip("its mouth stands open as a box")
    one = with_choice(sample(name), "top", word)
    result = compute(one)
    every = operations(one, result.draft)
    assert faults_in(every, [each.key for each in sewing_order(every)]) == ()
    assert all("{" not in text.text() for each in every for text in each.sentences)
    assert not found(one, "board-does-not-fit")


@pytest.mark.parametrize("body", BODIES[:4], ids=lambda each: each.KIND)
def test_a_facing_is_sewn_to_any_open_body(body: object) -> None:
    one = replace(faced(body), sandwich=sandwich(layer(), layer(role="lining")))
    every = operations(one, draft_bag(one))
    order = [each.key for each in sewing_order(every)]
    assert faults_in(every, order) == ()
    assert order.index("join facing to top") < order.index("press bag")


@pytest.mark.parametrize("body", [base(1), base(2), base(4), sample("tote").body])
def test_a_facing_is_a_band_inside_every_wall(body: object) -> None:
    """Folded, it is as deep as it is finished, from the top edge down, all round the mouth."""
    one = faced(body)
    made = draft_bag(one)
    model = FoldModel(one, made)
    bands = [each for each in model.areas if each.kind is AreaKind.FACING]
    assert {each.piece for each in bands} <= {each.id for each in made.pieces}
    found = sum(_area(each.corners) for each in bands)
    around = sum(each.length for each in made.walked_seams(SeamRole.MOUTH))
    assert found == pytest.approx(50.0 * around)


def _area(points: tuple[tuple[float, float], ...]) -> float:
    ring = (*points, points[0])
    return abs(sum(a[0] * b[1] - a[1] * b[0] for a, b in pairwise(ring))) / 2


# --- folded ---


@pytest.mark.parametrize("rolls", [1, 3, 4, 12])
@pytest.mark.parametrize("body", [base(2), sample("tote").body])
def test_what_is_rolled_down_lies_in_so_many_turns_before_the_front(
    body: object, rolls: int
) -> None:
    """Each as deep as a roll, none through the front, the lowest outermost: as it is rolled."""
    square = replace(body, corner_rounding=0.0) if hasattr(body, "corner_rounding") else body
    one = replace(made_of(square), top=RollTop(rolls=rolls, depth=12.0))
    folding = FoldModel(one, draft_bag(one)).folding
    now = folding.frames(1.0)
    front = now[BoxedZone.FRONT]
    (wall,) = (each for each in folding.zones if each.key is BoxedZone.FRONT)
    head = max(dot(minus(front.at(point), front.origin), front.up) for point in wall.outline)
    turns = []
    for _, key in ROLLS[:rolls]:
        (zone,) = (each for each in folding.zones if each.key is key)
        levels = [now[key].at(point) for point in zone.outline]
        out = {round(dot(minus(at, front.origin), front.normal), 6) for at in levels}
        assert len(out) == 1  # as the front leans
        turns.append(out.pop())
        up = [dot(minus(at, front.origin), front.up) for at in levels]
        assert max(up) - min(up) == pytest.approx(12.0)
        assert max(up) == pytest.approx(head)
    thick = max(2 * one.site.wall, 1.0)
    assert sorted(turns) == pytest.approx([thick * (at + 1) for at in range(rolls)])
    assert turns[0] == max(turns)


def test_a_wall_that_no_seam_can_be_sewn_through_stops_and_is_told_as_that() -> None:
    """Two walls of 3.1 mm under a foot of 6 mm: of a crossing alone nobody need speak."""
    for pressed, stopped in ((3.1, True), (2.9, False)):
        thick = layer(thickness=pressed, pressed=pressed, usable_width=5000.0)
        told = _every_code(replace(sample("coolbox"), sandwich=sandwich(thick, foot_clearance=6)))
        finding = told["too-thick-to-sew"]
        assert finding.severity is (Severity.STOP if stopped else Severity.WARN)
        assert finding.message.text().startswith("At every seam two walls") is stopped
        assert ("the pocket's side" in finding.message.text()) is not stopped
