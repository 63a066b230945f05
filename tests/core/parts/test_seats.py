"""Parts on the faces of any body: how wide they are, what they are caught in, what they run into.

Sizes are mm; what is expected is reckoned from the seams of the drawn pieces.
"""

from dataclasses import replace

import pytest
import shapely

from core.bag.bag import Bag, draft_bag
from core.bag.choices import with_word
from core.bag.construction import lost_with_construction, with_construction
from core.bag.parts import Parts
from core.base.errors import FieldError
from core.base.units import Unit
from core.bodies.body import Body
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.gusset_strip.body import GussetStrip, StripBody, Wrap
from core.bodies.separate_base.body import SeparateBase
from core.flat.roles import FACES, Face, SeamRole
from core.model.findings import Severity
from core.parts.board.board import BOARD_MARGIN, BaseBoard, BoardWay
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket, PocketFaces, pocket_piece
from core.sewing.order import sewing_order
from core.sewing.steps import operations
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from tests.core.bodies.strip_bags import KINDS, open_bag
from tests.core.sewing.order_proof import faults_in
from tests.helpers import layer, sandwich


def bag(body: Body, *parts: object) -> Bag:
    return Bag(name="box", unit=Unit.MM, body=body, top=Hem(), sandwich=sandwich(),
               parts=Parts(parts))  # fmt: skip


def base(pieces: int, rounding: float = 0.0) -> SeparateBase:
    """300 x 160 on the stitch lines, 250 high, every allowance 10."""
    radius = max(rounding - 10.0, 0.0)
    around = 2 * (300.0 + 160.0) - (8.0 - 2 * 3.141592653589793) * radius
    width = 320.0 if pieces == 4 else around / pieces + 20.0
    return SeparateBase(
        base_cut_width=320.0, base_cut_depth=180.0, corner_rounding=rounding, body_width=width,
        body_end_width=180.0, body_height=270.0, body_pieces=pieces, side_seam=10.0, base_seam=10.0,
        top_seam=10.0,
    )  # fmt: skip


POCKET = Pocket(faces=PocketFaces.BOTH, cut_height=200.0, drop=60.0, seam=6.0)
BODIES = [open_bag(), open_bag(Wrap), base(2), base(2, 60.0), base(4)]


@pytest.mark.parametrize("body", BODIES, ids=lambda each: each.KIND)
def test_a_pocket_is_as_wide_as_its_face_and_caught_at_both_sides(body: Body) -> None:
    """Each of its sides lies in one seam of the walls, on an edge of the piece under it."""
    one = bag(body, POCKET)
    made = draft_bag(one)
    for face in (Face.FRONT, Face.BACK):
        piece, seat = made.piece(pocket_piece(face)), one.site.seats[face]
        assert piece.width == pytest.approx(seat.width)
        assert piece.sized_by[0] in {each.name for each in body.FIGURES}
        sides = [ref for seam in made.seams for ref in seam.caught if ref.piece == piece.id]
        assert len(sides) == len(set(sides)) == 2
        walls = [ref for seam in made.seams if set(seam.caught) & set(sides)
                 for ref in seam.one + seam.other if ref.piece == seat.piece]  # fmt: skip
        assert walls


@pytest.mark.parametrize("kind", KINDS)
def test_round_a_panel_both_sides_lie_in_one_seam(kind: type[StripBody]) -> None:
    """In a gusset strip that of its own panel; a wrap's front is sewn to an end at either side."""
    made = draft_bag(bag(open_bag(kind), replace(POCKET, faces=PocketFaces.FRONT)))
    held = {seam.id.face for seam in made.walked_seams(SeamRole.RING) if seam.seam.caught
            for seam in [seam.seam]}  # fmt: skip
    assert held == ({Face.FRONT} if kind is GussetStrip else {Face.LEFT, Face.RIGHT})


@pytest.mark.parametrize("body", [open_bag(), open_bag(Wrap), base(4)], ids=lambda b: b.KIND)
def test_its_left_side_lies_on_the_left(body: Body) -> None:
    """The wall's edge that it is caught with lies where its own left side is marked."""
    one = bag(body, POCKET)
    for face in (Face.FRONT, Face.BACK):
        seat = one.site.seats[face]
        made = draft_bag(one).piece(seat.piece)
        for side, edge in one.site.side_edges(face).items():
            x = 0.0 if side.value == "left" else seat.width
            at = seat.point(x, seat.top * 0.6)
            (ax, ay), (bx, by) = made.edge(edge.edge).start, made.edge(edge.edge).end
            off = abs((bx - ax) * (at[1] - ay) - (by - ay) * (at[0] - ax))
            assert off / max(abs(bx - ax) + abs(by - ay), 1.0) < 1e-6


def test_a_ring_of_one_piece_goes_on_at_its_sides() -> None:
    made = draft_bag(bag(base(1), POCKET))
    assert not [ref for seam in made.seams for ref in seam.caught]


def _codes(one: Bag) -> dict[str, object]:
    return {each.code: each for each in one.parts["pocket"].findings(one.site, {})}


def test_into_the_rounded_corner_and_put_right() -> None:
    """R 60 and s 10: full width ends 50 above the bottom seam, 210 below the cut top edge 260."""
    at = replace(POCKET, drop=260.0 - 50.0 - POCKET.height)
    assert "pocket-meets-corner" not in _codes(bag(open_bag(), at))
    found = _codes(bag(open_bag(), replace(at, drop=at.drop + 1.0)))["pocket-meets-corner"]
    assert found.severity is Severity.STOP
    assert found.limit == pytest.approx(at.drop)
    assert "into the rounded corners" in found.message.text()


def test_past_the_seam_of_a_base() -> None:
    at = replace(POCKET, drop=260.0 - POCKET.height)
    assert "pocket-meets-base" not in _codes(bag(base(2), at))
    found = _codes(bag(base(2), replace(at, drop=at.drop + 1.0)))["pocket-meets-base"]
    assert "past the seam below it" in found.message.text()
    wrap = open_bag(Wrap)
    low = bag(wrap).site.front
    on_base = replace(POCKET, drop=low.top - low.low - POCKET.height + 2.0)
    assert "onto the bottom" in _codes(bag(wrap, on_base))["pocket-meets-base"].message.text()


# --- handles ---

LOOP = sample("demo").parts["handles"]


def _made(body: Body) -> Bag:
    return bag(body, Handles.fresh(_Around(bag(body))))


class _Around:
    def __init__(self, one: Bag) -> None:
        self.site, self.parts, self.finished = one.site, one.parts, {"base_width": 200.0}


@pytest.mark.parametrize("body", BODIES, ids=lambda each: each.KIND)
def test_new_handles_are_made_as_the_body_lets_them(body: Body) -> None:
    """One loop where a wall runs on under the bag, as in a wrap; else two separate handles."""
    handles = _made(body).parts["handles"]
    wanted = HandleStyle.LOOP if isinstance(body, Wrap) else HandleStyle.SEPARATE
    assert handles.style is wanted
    found = {each.code for each in handles.findings(bag(body).site, _finished())}
    assert not {each for each in found if each.startswith(("handle-over", "handle-off"))}


def _finished() -> dict[str, float]:
    drops = dict.fromkeys(("handle_drop_front", "handle_drop_back"), 250.0)
    return {"base_width": 200.0, "face_height": 250.0, **drops}


def test_a_loop_is_refused_in_words_where_nothing_runs_under_the_bag() -> None:
    with pytest.raises(FieldError, match="two separate handles") as told:
        bag(open_bag(), LOOP)
    assert told.value.field == "handle_style"
    style = next(each for each in Handles.CHOICES if each.name == "handle_style")
    one = _made(base(4))
    with pytest.raises(FieldError, match="two separate handles"):
        with_word(one, style, "loop")
    assert with_word(one, style, "none").parts.get("handles") is None
    kept = LOOP.made_for(one.site)
    assert kept.style is HandleStyle.SEPARATE
    assert LOOP.made_for(bag(open_bag(Wrap)).site) is LOOP


def test_a_loop_becomes_two_handles_where_the_construction_changes_and_comes_back() -> None:
    """And the zip that cannot be sewn to a box becomes one that can."""
    demo = sample("demo")
    boxed = with_construction(demo, GussetStrip)
    assert boxed.parts["handles"].style is HandleStyle.SEPARATE
    assert "Made in another way" in lost_with_construction(demo, boxed).text()
    back = with_construction(boxed, BoxedPanel, demo)
    assert back.parts["handles"] == demo.parts["handles"]


def test_legs_over_a_rounded_corner() -> None:
    """R 60 of 320: full width down to 50 above the seam; below it only 200 is left."""
    legs = Handles(style=HandleStyle.SEPARATE, width=30.0, gap=150.0, stop=60.0, strips=1,
                   leg=150.0)  # fmt: skip
    assert "handle-over-corner" not in _span(legs)
    assert "handle-over-corner" in _span(replace(legs, leg=151.0))
    assert "handle-over-corner" not in _span(replace(legs, leg=190.0, gap=140.0))


def _span(handles: Handles) -> set[str]:
    site = bag(open_bag(), handles).site
    return {each.code for each in handles.findings(site, _finished())}


# --- the board ---


def _sizes(one: Bag) -> dict[str, float]:
    return dict(one.body.measured(draft_bag(one)))


@pytest.mark.parametrize("body", [*BODIES, base(1, 60.0)], ids=lambda each: each.KIND)
def test_a_new_board_lies_within_the_bottom(body: Body) -> None:
    """Inside the flat of the bottom: its stitch lines less the wall, and less the bends."""
    one = bag(body)
    sizes = _sizes(one) | {"gusset_depth_at_side": None}
    around = _Around(one)
    around.finished = sizes
    board = BaseBoard.fresh(around)
    wall, bends = one.site.wall, isinstance(body, Wrap)
    wide = sizes["base_width"] - (0.0 if isinstance(body, GussetStrip) else 2 * wall)
    deep = sizes["gusset_depth"] - (100.0 if bends else 2 * wall)  # r 50 at front and back
    assert board.width <= wide - 2 * BOARD_MARGIN + 1e-9 < board.width + one.site.ruler
    assert board.depth <= deep - 2 * BOARD_MARGIN + 1e-9 < board.depth + one.site.ruler
    assert not board.findings(one.site, sizes)


def test_a_board_in_rounded_corners_is_rounded_and_clear_of_them() -> None:
    """Bottom of 300 x 160 with corners of 50: its stitch line, offset inside by shapely."""
    one = bag(base(2, 60.0), BaseBoard(width=290.0, depth=150.0))
    board = one.parts["board"]
    inner = shapely.box(50.0, 50.0, 250.0, 110.0).buffer(50.0, quad_segs=64)
    room = inner.buffer(-one.site.wall, quad_segs=64)
    (piece,) = board.pieces(one.site)
    corners = [edge for edge in piece.edges if edge.turn]
    assert [edge.radius for edge in corners] == pytest.approx([board.radius(one.site)] * 4)
    assert board.radius(one.site) == pytest.approx(50.0 - one.site.wall - BOARD_MARGIN)
    outline = shapely.Polygon([(x + 150.0, y + 80.0) for x, y in board.outline(one.site)])
    assert room.buffer(0.05).contains(outline)
    assert "rounded" in piece.notes[0].text()
    assert piece.perimeter == pytest.approx(
        2 * (290.0 + 150.0) - (8.0 - 2 * 3.141592653589793) * board.radius(one.site)
    )


def test_its_outline_is_marked_where_the_bottom_is() -> None:
    board = BaseBoard(width=90.0, depth=60.0)
    for body, faces in (
        (open_bag(), {Face.BASE}), (base(2), {Face.BASE}), (open_bag(Wrap), {Face.BASE}),
        (open_bag(strip_pieces=2), set()), (open_bag(Wrap, strip_pieces=2), set(FACES)),
    ):  # fmt: skip
        one = bag(body, board)
        assert {each.face for each in board.marks(one.site)} == faces
        for face, mark in board.marks(one.site):
            piece = draft_bag(one).piece(one.site.seats[face].piece)
            outline = shapely.Polygon(piece.outline).buffer(1e-6)
            assert outline.contains(shapely.MultiPoint(mark.points))


@pytest.mark.parametrize("body", BODIES, ids=lambda each: each.KIND)
def test_steps_with_all_parts_can_be_sewn(body: Body) -> None:
    board = BaseBoard(width=180.0, depth=60.0, way=BoardWay.FUSED)
    one = bag(body, POCKET, board)
    one = one.with_part(Handles.fresh(_Around(one)))
    one = replace(one, sandwich=sandwich(layer(), layer(role="lining")))
    made = draft_bag(one)
    every = operations(one, made)
    assert faults_in(every, [each.key for each in sewing_order(every)]) == ()
    told = " ".join(text.text() for each in every for text in each.sentences)
    assert "{" not in told
    assert "panel" not in told.replace("end panel", "") or body.KIND == "gusset-strip"
