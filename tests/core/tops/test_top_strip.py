"""Two half strips and a zip: what they are cut to, what they close, and how they are sewn. mm."""

import random
from dataclasses import replace

import pytest
import shapely

from core.bag.bag import Bag, draft_bag, draft_walls, with_figures
from core.bag.choices import CHOICES, kept_of, lost_by, with_choice, with_word
from core.base.errors import FieldError
from core.base.sentences import mark, typed
from core.base.units import Unit
from core.bodies.body import Body
from core.bodies.gusset_strip.body import GussetStrip, StripBody, Wrap
from core.bodies.separate_base.body import SeparateBase
from core.flat.match_marks import seam_marks
from core.flat.piece import CutFrom, GrainTurn
from core.flat.roles import EdgeRole, Face, SeamRole, Side
from core.sewing.order import sewing_order
from core.sewing.steps import operations as operations_of
from core.solid.fold import FoldModel
from core.space.zones import AreaKind, dot, minus
from core.storage.bag_files import sample
from core.tops.top_strip.strip import TAB, TopStrip, half_piece, place_of
from core.tops.zip_forward.zip import ZipForward
from core.tops.zips.zipped import ZIP
from core.work.bench import Bench, ClosingWork
from core.work.operation import Action, Operation, Phase
from core.work.scene import FOLDED_FLAT
from core.work.states import CUT, TURNED, WALL, WRONG_SIDE_DONE, State
from tests.core.bodies.strip_bags import KINDS, any_bags, e2, matched
from tests.core.sewing.order_proof import faults_in
from tests.helpers import INCH, layer, sandwich

TAPE = 1.25 * INCH
FRONT, BACK = half_piece(Face.FRONT), half_piece(Face.BACK)


def bag(body: Body, **top: float) -> Bag:
    given = {"tape_width": TAPE, "length": 24 * INCH} | top
    return Bag(name="box", unit=Unit.INCH, body=body, top=TopStrip(**given), sandwich=sandwich())


def four(**other: float) -> Bag:
    """A separate base of 11 1/2 x 6 1/2 in, four walls 10 in high, allowances 1/4 in."""
    seam = INCH / 4
    body = SeparateBase(
        base_cut_width=12 * INCH, base_cut_depth=7 * INCH, body_width=12 * INCH,
        body_end_width=7 * INCH, body_height=10.5 * INCH, body_pieces=4, side_seam=seam,
        base_seam=seam, top_seam=seam,
    )  # fmt: skip
    return bag(body, **other)


# --- what is cut ---


def test_halves_are_of_the_wall_and_two_tabs_of_cloth_are_folded_over_the_zips_ends() -> None:
    """A tab is as wide as the tape and twice 20 mm and its seam long, folded across its middle."""
    made = draft_bag(bag(e2()))
    for half in (FRONT, BACK):
        piece = made.piece(half)
        assert (piece.cut_from, piece.turn) == (CutFrom.EVERY_LAYER, GrainTurn.QUARTER)
        assert piece.grain == (1.0, 0.0)
    tab, reach = made.piece(TAB), 20.0 + INCH / 4
    assert (tab.width, tab.height) == pytest.approx((TAPE, 2 * reach))
    assert (tab.count, tab.cut_from) == (2, CutFrom.CLOTH)
    (fold,) = tab.folds
    assert fold.y - tab.bounds[1] == pytest.approx(reach)
    allowances = {edge.id.role: edge.allowance for edge in tab.edges}
    assert allowances[EdgeRole.SIDE] == 0.0


@pytest.mark.parametrize("kind", KINDS)
def test_e2_half_strips_of_the_worked_example(kind: type[StripBody]) -> None:
    """Two halves 3 3/8 x 20 1/2 in (worked example E2: halves of (6 1/2 - 3/4) / 2 + 1/2)."""
    made = draft_bag(bag(e2(kind)))
    halves = [piece for piece in made.walls if piece.id.owner == "top"]
    sizes = [(piece.width / INCH, piece.height / INCH) for piece in halves]
    assert sizes == [pytest.approx((20.5, 3.375))] * 2
    tape = made.piece(ZIP)
    assert (tape.width / INCH, tape.height / INCH) == pytest.approx((20.5, 1.25))


def test_e2_everything_meets() -> None:
    """Every seam of E2 walks: 39.5664 in round each panel, 6 1/2 in at each join, 20 in zips."""
    made = draft_bag(bag(e2()))
    assert all(abs(each.difference) < 1e-9 for each in made.walked)
    lengths = {role: [each.length / INCH for each in made.walked_seams(role)]
               for role in (SeamRole.RING, SeamRole.STRIP, SeamRole.ZIP)}  # fmt: skip
    assert lengths[SeamRole.RING] == pytest.approx([39.5664] * 2, abs=5e-5)
    assert lengths[SeamRole.STRIP] == pytest.approx([6.5] * 2)
    assert lengths[SeamRole.ZIP] == pytest.approx([20.0] * 2)


@pytest.mark.parametrize("shift", [0.0, 1.0, -1.5])
def test_random_rings_close(shift: float) -> None:
    """Ends and zips always walk; and where the strip is matched, so do both panels."""
    chance, tried = random.Random(3), 0
    for body in any_bags(120):
        if not body.closed:
            continue
        room = body.strip_width - 2 * body.gusset_seam
        tape = 2 * body.top_seam + chance.uniform(0.1, 0.5) * room
        one = bag(matched(body), tape_width=tape, shift=shift * room / 8)
        made = draft_walls(one)
        assert all(abs(each.difference) < 1e-6 for each in made.walked)
        first, second = (made.piece(piece.id) for piece in made.walls if piece.id.owner == "top")
        assert first.height - second.height == pytest.approx(shift * room / 4)
        tried += 1
    assert tried > 20


def test_a_lid_on_four_edges_meets_them_all() -> None:
    made = draft_bag(four(shift=20.0))
    seams = made.walked_seams(SeamRole.MOUTH)
    lengths = {each.seam.id.face: each.length / INCH for each in seams}
    assert lengths == pytest.approx(
        {Face.FRONT: 11.5, Face.RIGHT: 6.5, Face.BACK: 11.5, Face.LEFT: 6.5}
    )
    assert all(abs(each.difference) < 1e-9 for each in made.walked)


def test_a_shift_puts_the_front_zip_seam_where_the_wider_half_ends() -> None:
    """Marked at the join on the front's side: which end of the chain is which shows there."""
    made = draft_bag(bag(e2(), shift=INCH / 2))
    right = next(each.seam for each in made.walked_seams(SeamRole.STRIP)
                 if each.seam.id.side is Side.RIGHT)  # fmt: skip
    (end,) = right.one
    piece = made.piece(end.piece)
    front = next(edge for edge in piece.edges if edge.id.face is Face.FRONT)
    xs = [each.at[0] for each in seam_marks(made).notches if each.edge == end.edge]
    far = sorted(abs(x - front.start[0]) for x in xs)
    assert any(x == pytest.approx(INCH / 4 + 2.875 * INCH + INCH / 2) for x in far)
    assert not any(x == pytest.approx(INCH / 4 + 2.875 * INCH - INCH / 2) for x in far)


@pytest.mark.parametrize("shift", [-20.0, 0.0, 12.5])
def test_the_zip_lies_as_far_off_the_middle_as_it_is_shifted(shift: float) -> None:
    """Its middle, told by shapely on the sewn top: from the front's edge, past the half of all."""
    one = four(shift=shift)
    rows = one.top.closing(draft_bag(one)).rows
    across = [shapely.box(0.0, row.low, 1.0, row.high) for row in rows]
    assert across[1].centroid.y - shapely.union_all(across).centroid.y == pytest.approx(shift)


# --- what it is refused and found ---


def test_no_half_strip_may_vanish() -> None:
    with pytest.raises(FieldError, match="no strip is left") as told:
        bag(e2(), shift=2.875 * INCH)
    assert told.value.field == "zip_shift"
    with pytest.raises(FieldError, match="no strip is left"):
        bag(e2(), shift=-2.875 * INCH)
    with pytest.raises(FieldError, match="no strip is left") as told:
        bag(e2(), tape_width=7.1 * INCH)
    assert told.value.field == "zip_tape_width"
    with pytest.raises(FieldError, match="more than its two zip seams"):
        bag(e2(), tape_width=0.5 * INCH)


def test_a_flat_mouth_takes_another_zip() -> None:
    with pytest.raises(FieldError, match="lie flat together") as told:
        replace(sample("demo"), top=TopStrip(tape_width=TAPE, length=500.0))
    assert told.value.field == "top"
    with pytest.raises(FieldError, match="takes a top strip"):
        replace(bag(e2()), top=ZipForward(tape_width=TAPE, length=500.0))


def test_on_a_rounded_base_the_rounding_is_what_refuses_it() -> None:
    """Four walls meet at square corners only; without the rounding it can be chosen."""
    jar = sample("jar")
    with pytest.raises(FieldError, match="corners of this base are rounded"):
        with_choice(jar, "top", "top-strip")
    square = with_figures(jar, {"corner_rounding": 0.0})
    assert with_choice(square, "top", "top-strip").top.KIND == "top-strip"


@pytest.mark.parametrize("walls", ["1", "2", "4"])
def test_walls_that_go_along_with_the_top_are_told_and_come_back(walls: str) -> None:
    """A lid lies on four; once it is left they are as they were before."""
    hemmed = with_choice(
        with_choice(with_figures(sample("jar"), {"corner_rounding": 0.0, "front_trim": 0.0}),
                    "top", "hem"), "body_pieces", walls)  # fmt: skip
    top = next(each for each in CHOICES if each.name == "top")
    lid = with_word(hemmed, top, "top-strip")
    told = lost_by(top, hemmed, lid)
    assert ("Four, one to each side" in told.text() if told else False) is (walls != "4")
    back = with_word(lid, top, "hem", kept_of(hemmed, top))
    assert back.body == hemmed.body
    left = with_word(lid, top, "hem")
    told = lost_by(top, lid, left)
    assert told is not None
    assert "Two, front and back" in told.text()
    assert with_word(left, top, "top-strip", kept_of(lid, top)).body == lid.body


def _codes(one: Bag) -> dict[str, object]:
    return {each.code: each for each in one.top.findings(one.site, {})}


def test_an_opening_shorter_than_the_straight_top_is_told_and_put_right() -> None:
    """E2 with R' 2 1/4: the panels' straight top is 7 1/2 in on its stitch line, 12 - 2 x 2 1/4."""
    clear = bag(matched(e2(top_strip_length=8.0 * INCH)))
    assert "opening-too-short" not in _codes(clear)
    short = bag(matched(e2(top_strip_length=7.9 * INCH)))
    found = _codes(short)["opening-too-short"]
    assert found.limit == pytest.approx(8.0 * INCH)
    fixed = with_figures(short, dict(found.fixes[0].changes))
    assert "opening-too-short" not in _codes(fixed)
    assert all(abs(each.difference) < 1e-9 for each in draft_bag(fixed).walked)
    tight = replace(short, top=replace(short.top, length=9.9 * INCH))
    longer = with_figures(tight, dict(_codes(tight)["opening-too-short"].fixes[0].changes))
    assert "zip-too-short" not in _codes(longer)
    square = bag(matched(e2(top_strip_length=11.9 * INCH, upper_rounding=0.0)))
    assert _codes(square)["opening-too-short"].limit == pytest.approx(12.0 * INCH)


def test_a_zip_too_short_for_the_top_strip() -> None:
    found = _codes(bag(e2(), length=22 * INCH))["zip-too-short"]
    assert (found.value, found.limit) == pytest.approx((22 * INCH, 22.5 * INCH))


def test_a_narrow_half_is_told() -> None:
    assert "top-strip-narrow" in _codes(bag(e2(), shift=2.5 * INCH))
    fixed = _codes(bag(e2(), shift=2.5 * INCH))["top-strip-narrow"].fixes[0].changes
    one = with_figures(bag(e2(), shift=2.5 * INCH), dict(fixed))
    assert "top-strip-narrow" not in _codes(one)


def test_a_new_one_fits_every_ring() -> None:
    for body in any_bags(60):
        if body.closed:
            old = bag(body, tape_width=2 * body.top_seam + 1.0, length=100.0)
            made = replace(old, top=TopStrip.fresh(_Around(old)))
            assert not [each for each in made.top.findings(made.site, {}) if each.severity > 1]


class _Around:
    def __init__(self, one: Bag) -> None:
        self.site, self.top, self.parts, self.finished = one.site, one.top, {}, {}


# --- in space ---


@pytest.mark.parametrize("one", [bag(e2(), shift=INCH), bag(e2(Wrap)), four(shift=-10.0)])
def test_what_it_closes_is_told_row_by_row(one: Bag) -> None:
    made = draft_bag(one)
    closing = one.top.closing(made)
    assert [row.kind for row in closing.rows] == [AreaKind.WALL, AreaKind.TAPE, AreaKind.WALL]
    assert closing.rows[0].low == 0.0
    assert closing.rows[-1].high == pytest.approx(closing.width)
    assert closing.width == pytest.approx(6.5 * INCH)
    for row in closing.rows:
        outline = made.outlines[row.piece]
        low, _, high, _ = outline.piece.edges
        for edge, level in ((low.id, row.low), (high.id, row.high)):
            for point in outline.line(edge):
                x, y = row.frame.at(point)
                assert y == pytest.approx(level)
                assert abs(x) == pytest.approx(closing.length / 2)


# --- how it is sewn ---

_PANELS = {face: State("panel on", face) for face in (Face.FRONT, Face.BACK)}


def _work() -> ClosingWork:
    return ClosingWork(
        joined=(), flat_ends=tuple(_PANELS.values()), sides=(), every=tuple(_PANELS.values()),
        scene=FOLDED_FLAT, narrowest=6.0, pierced=(mark("gusset"),),
    )  # fmt: skip


def _body_operations(bench: Bench) -> tuple[Operation, ...]:
    """Cut; the ring to one panel, then to the other through the open zip; turned."""

    def operation(key: str, action: Action, phase: Phase, **more: object) -> Operation:
        return Operation(key=key, action=action, phase=phase, title=typed(key),
                         instructions=(typed(key),), **more)  # fmt: skip

    walls = [wall for wall in bench.walls if wall.owner == "body"]
    return (
        *(operation(f"cut {wall}", Action.CUT, Phase.CUT, makes=(CUT.for_(wall),))
          for wall in walls),
        operation("front", Action.FOLD, Phase.CLOSE, needs=(WALL,),
                  after=bench.opening.before_folding, makes=(_PANELS[Face.FRONT],)),
        operation("back", Action.FOLD, Phase.CLOSE, makes=(_PANELS[Face.BACK],),
                  needs=(_PANELS[Face.FRONT], *bench.opening.way_out)),
        operation("turn", Action.TURN, Phase.TURN, makes=(TURNED,), after=(WRONG_SIDE_DONE,),
                  needs=(*bench.closing.every, *bench.opening.way_out)),
    )  # fmt: skip


@pytest.fixture
def sewn(monkeypatch: pytest.MonkeyPatch):
    """All operations of a bag with a body that is sewn on as any ring is."""

    def operations(one: Bag) -> tuple[Operation, ...]:
        for kind in (GussetStrip, Wrap, SeparateBase):
            monkeypatch.setattr(kind, "closing_work", lambda self: _work())
            monkeypatch.setattr(kind, "operations", lambda self, bench: _body_operations(bench))
            monkeypatch.setattr(kind, "markings", lambda self, bench: ())
        return operations_of(one, draft_bag(one))

    return operations


@pytest.mark.parametrize(
    "one",
    [
        bag(e2()),
        bag(e2(Wrap), shift=10.0),
        replace(bag(e2()), sandwich=sandwich(layer(), layer(role="lining"))),
        four(),
    ],
)
def test_the_last_seam_waits_for_the_open_zip(one: Bag, sewn) -> None:
    every = sewn(one)
    order = [each.key for each in sewing_order(every)]
    assert faults_in(every, order) == ()
    assert order.index("open zip") < order.index("back")
    is_ring = one.site.mouth.ring is not None
    if is_ring:
        assert order.index("join top strip left") < order.index("front")
        shut = [key for key in order if key != "open zip"]
        assert any(fault.step == "back" for fault in faults_in(every, shut))
    sentences = [text.text() for each in every for text in each.sentences]
    assert all("{" not in text for text in sentences)
    own = [each for each in every if {FRONT, BACK, ZIP, TAB} & set(each.pieces)]
    assert len(own) > 8


@pytest.mark.parametrize("name", ["coolbox", "wrap"])
def test_flat_no_allowance_of_a_half_strip_lies_on_the_zip(name: str) -> None:
    """Its pieces lie beside one another, raw edge by raw edge, and are joined before they bend."""
    one = sample(name)
    draft = draft_bag(one)
    model, rows = FoldModel(one, draft), (*place_of(one.site.mouth).faces, None)
    pieces = [ZIP if face is None else half_piece(face) for face in rows]
    spans = {}
    for at in (0.0, 0.2):
        stands = model.folding.frames(at)
        for piece in pieces:
            zone = next(each for each in model.folding.zones if each.piece == piece)
            outline = [stands[zone.key].at(point) for point in draft.piece(piece).outline]
            other = stands[next(each for each in model.folding.zones
                                if each.piece == pieces[0]).key]  # fmt: skip
            along = [dot(minus(point, other.origin), other.up) for point in outline]
            spans[at, piece] = (min(along), max(along))
    first, second, zip_ = ([spans[at, piece] for at in (0.0, 0.2)] for piece in pieces)
    assert first[0][1] < zip_[0][0] < zip_[0][1] < second[0][0]
    seam = one.site.mouth.allowance
    assert first[1][1] - zip_[1][0] == pytest.approx(2 * seam)  # sewn: both allowances
    assert zip_[1][1] - second[1][0] == pytest.approx(2 * seam)
