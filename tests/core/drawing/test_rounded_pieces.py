"""Pieces with arcs, and pieces that are trimmed after sewing, as they are drawn and cut.

Sources: plane geometry (perimeter and area of a rounded rectangle), shapely (GEOS) for where
texts lie.
"""

import math
from dataclasses import replace
from itertools import combinations

import pytest
import shapely

from core.bag.compute import compute
from core.bag.parts import Parts
from core.base.sentences import ENGLISH, mark, say, show_millimetres
from core.base.units import Unit
from core.bodies.separate_base.body import SeparateBase
from core.cutting.cut_list import cut_list
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.drawing.cutting_plan import clipped
from core.drawing.cutting_stretches import Stretch
from core.drawing.flat_scene import FlatPicture
from core.drawing.half import half_piece, is_symmetric
from core.drawing.lettering import Places
from core.drawing.pattern import DrawOptions, draw_piece
from core.drawing.records import DrawingRecord, Line, Polygon, Text, text_box
from core.flat.ink import Ink
from core.flat.match_marks import MatchMark
from core.flat.piece import Piece
from core.flat.roles import EdgeRole, Face, SeamId, SeamRole
from core.flat.rounding import corner_text
from core.flat.seam import draft
from core.flat.stitch import stitch_outline
from core.output.booklet.blocks import _plan_picture
from core.output.booklet.content import BookletOptions
from core.sewing.steps import bench_of
from core.storage.bag_files import demo_bag
from core.tops.hem.hem import Hem
from core.work.operation import Action, Operation, Stitching
from core.work.scene import FlatScene, PieceScene, Scene
from core.work.states import OUTLINE_CUT, State
from tests.core.flat.rounded import arc, piece_of, rounded_edges, straight

WIDTH, HEIGHT, RADIUS, SEAM = 300.0, 200.0, 50.0, 10.0
ROUNDED = piece_of(rounded_edges((WIDTH, HEIGHT), (RADIUS, RADIUS, 0.0, 0.0), (SEAM,) * 4))
CORNERS = ((0.0, 0.0), (WIDTH, 0.0), (WIDTH, HEIGHT), (0.0, HEIGHT))


def drawn(piece: Piece, **options: object) -> list[DrawingRecord]:
    given = DrawOptions(**options)  # type: ignore[arg-type]  # as given
    return list(draw_piece(piece, stitch_outline(piece), given))


def length_of(records: list[DrawingRecord], ink: Ink) -> float:
    return math.fsum(
        shapely.LineString(each.points).length
        for each in records
        if isinstance(each, Line) and each.ink is ink
    )


def test_an_arc_is_cut_and_stitched_round() -> None:
    """2 (w + h) - 4 r + pi r around; inside it less 8 seams, with a radius less the seam."""
    records = drawn(ROUNDED)
    around = 2 * (WIDTH + HEIGHT) - 4 * RADIUS + math.pi * RADIUS
    sewn = 2 * (WIDTH + HEIGHT) - 8 * SEAM - (4 - math.pi) * (RADIUS - SEAM)
    assert length_of(records, Ink.CUT) == pytest.approx(around, abs=0.05)
    assert length_of(records, Ink.STITCH) == pytest.approx(sewn, abs=0.05)
    edges = [each.edge for each in records if isinstance(each, Line) and each.ink is Ink.CUT]
    assert len(edges) == len(set(edges)) == 6, "one line for each edge, however many points"
    (area,) = [each for each in records if isinstance(each, Polygon)]
    expected = WIDTH * HEIGHT - (4 - math.pi) / 2 * RADIUS**2
    assert shapely.Polygon(area.points).area == pytest.approx(expected, rel=1e-4)


def pictured(pieces: tuple[Piece, ...], scene: Scene, *makes: State) -> list[Polygon]:
    """The areas of a step's picture on these walls."""
    result = replace(compute(demo_bag()), draft=draft(pieces, ()))
    told = Operation(
        key="cut", action=Action.CUT, title=say("Cut"), instructions=(say("Cut it."),),
        pieces=(pieces[0].id,), makes=makes, scene=scene,
    )  # fmt: skip
    flat = FlatPicture(result, (), told, show=show_millimetres, translate=ENGLISH)
    made = flat.wall(scene) if isinstance(scene, FlatScene) else flat.piece()
    return [each for each in made.records if isinstance(each, Polygon)]


def test_a_step_shows_a_piece_as_it_is_cut_at_once_or_as_a_rectangle_first() -> None:
    """Of its rectangle a piece with two quarter rounds covers 1 - (4 - pi) / 2 r^2 / (w h)."""
    for makes, share in (((), 1.0), ((OUTLINE_CUT,), ROUNDED.area / (WIDTH * HEIGHT))):
        (area,) = pictured((ROUNDED,), PieceScene(), *makes)
        shape = shapely.Polygon(area.points)
        assert shape.area / shape.envelope.area == pytest.approx(share, abs=1e-4)


def test_loose_walls_lie_beside_one_another_wherever_they_are_drawn() -> None:
    """A panel, a strip that is drawn about its middle and a base that is drawn far from it."""
    sizes = ((300.0, 200.0), (800.0, 120.0), (300.0, 120.0))
    walls = []
    for number, (size, shift) in enumerate(zip(sizes, (0.0, -400.0, 5000.0), strict=True)):
        edges = rounded_edges(size, [0.0] * 4, [SEAM] * 4)
        ends = [(each, each.start[0] + shift, each.end[0] + shift) for each in edges]
        shifted = tuple(
            each._replace(start=(x0, each.start[1]), end=(x1, each.end[1])) for each, x0, x1 in ends
        )
        walls.append(piece_of(shifted, number))
    scene = FlatScene(pieces=tuple(each.id for each in walls))
    areas = [shapely.Polygon(each.points) for each in pictured(tuple(walls), scene)]
    drawn_wide = [area.bounds[2] - area.bounds[0] for area in areas]
    scale = drawn_wide[0] / sizes[0][0]
    assert drawn_wide == pytest.approx([scale * wide for wide, _ in sizes])
    for one, other in combinations(areas, 2):
        assert not one.intersects(other)
    first, _, third = areas
    assert third.bounds[3] < first.bounds[1], "in rows they are drawn larger than in one"
    in_one = 52.0 / (sum(wide for wide, _ in sizes) * 1.1)
    assert scale > 1.2 * in_one


def test_walls_that_are_joined_round_one_another_are_not_drawn_one_on_another() -> None:
    """A base and what is sewn round it have frames of their own."""
    body = SeparateBase(
        base_cut_width=300.0, base_cut_depth=200.0, corner_rounding=60.0, body_width=500.0,
        body_height=300.0, side_seam=10.0, base_seam=SEAM, top_seam=10.0,
    )  # fmt: skip
    bag = replace(demo_bag(), body=body, top=Hem(), parts=Parts())
    result = compute(bag)
    told = Operation(
        key="sew", action=Action.JOIN, title=say("Sew"), instructions=(say("Sew it."),),
        pieces=(), scene=FlatScene(), setting=bench_of(bag, result.draft).seam,
        seams=tuple(seam.id for seam in result.draft.seams),
        stitching=(Stitching(mark("seams"), 100.0, 2.0),),
    )  # fmt: skip
    flat = FlatPicture(result, (), told, show=show_millimetres, translate=ENGLISH)
    made = [each for each in flat.wall(FlatScene()).records if isinstance(each, Polygon)]
    assert len(made) == 3
    for one, other in combinations(made, 2):
        assert not shapely.Polygon(one.points).intersects(shapely.Polygon(other.points))


def test_texts_keep_off_an_arc_and_use_the_room_beside_it() -> None:
    shape = shapely.Polygon(stitch_outline(ROUNDED).points)
    texts = [each for each in drawn(ROUNDED) if isinstance(each, Text)]
    assert len(texts) >= 3
    assert all(shape.covers(shapely.box(*text_box(each))) for each in texts)


def test_beside_a_slanted_line_is_room() -> None:
    square = ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0))
    places = Places(square, [((0.0, 0.0), (100.0, 100.0))])
    assert places.find(20.0, 10.0, (75.0, 25.0)) == (75.0, 25.0)
    assert places.find(20.0, 10.0, (50.0, 50.0)) != (50.0, 50.0), "but none on it"


def test_what_is_trimmed_after_sewing_is_cut_as_its_rough_outline() -> None:
    """The rectangle is cut, all round; only the arcs are lines to trim to."""
    records = drawn(replace(ROUNDED, rough=CORNERS))
    assert length_of(records, Ink.CUT) == pytest.approx(2 * (WIDTH + HEIGHT))
    assert length_of(records, Ink.TRIM) == pytest.approx(math.pi * RADIUS, abs=0.05)
    trimmed = [each.edge for each in records if isinstance(each, Line) and each.ink is Ink.TRIM]
    assert {edge.edge for edge in trimmed if edge} == {arc(0), arc(3)}, "still to be pointed at"
    (area,) = [each for each in records if isinstance(each, Polygon)]
    assert shapely.Polygon(area.points).area == WIDTH * HEIGHT


def test_the_cut_list_and_the_weight_know_rough_from_final() -> None:
    result = compute(demo_bag())
    panel = result.draft.walls[0]
    left, bottom, right, top = panel.bounds
    rough = replace(panel, rough=((left, bottom), (right, bottom), (right, top), (left, top)))
    pieces = tuple(rough if each is panel else each for each in result.draft.pieces)
    outlines = {**result.draft.outlines, rough.id: stitch_outline(rough)}
    draft = result.draft._replace(pieces=pieces, outlines=outlines)
    plain, later = cut_list(result).items[0], cut_list(replace(result, draft=draft)).items[0]
    assert not plain.is_rectangle
    assert later.is_rectangle
    assert (later.across, later.along) == (plain.across, plain.along)
    assert later.area == plain.area < later.across * later.along


@pytest.mark.parametrize("rough", [None, CORNERS])
def test_half_of_a_rounded_piece_is_its_left_half(rough: tuple[tuple[float, float], ...]) -> None:
    half = half_piece(replace(ROUNDED, rough=rough))
    assert half.area == pytest.approx(ROUNDED.area / 2)
    assert [edge.id for edge in half.edges if edge.turn] == [arc(3)]
    assert half.edge(arc(3)).radius == pytest.approx(RADIUS)
    centre = next(edge for edge in half.edges if edge.id.role is EdgeRole.CENTRE)
    assert {centre.start, centre.end} == {(WIDTH / 2, 0.0), (WIDTH / 2, HEIGHT)}
    assert stitch_outline(half).sound
    cut = shapely.Polygon(half.cut_outline)
    assert cut.area == pytest.approx(WIDTH * HEIGHT / 2 if rough else half.area, rel=1e-4)
    assert cut.bounds == (0.0, 0.0, WIDTH / 2, HEIGHT)


@pytest.mark.parametrize(("wide", "high"), [(200.0, 200.0), (200.0, 320.0), (320.0, 200.0)])
def test_half_of_a_piece_with_round_ends_is_cut_through_them(wide: float, high: float) -> None:
    """A circle, and what lies between two half circles: against the area of its stitch line."""
    body = SeparateBase(
            base_cut_width=wide, base_cut_depth=high, corner_rounding=100.0, body_width=500.0,
            body_height=300.0, side_seam=10.0, base_seam=SEAM, top_seam=10.0,
        )  # fmt: skip
    whole = body.pieces(dict.fromkeys(Face, ()))[-1]
    assert is_symmetric(whole)
    half, straight_part = half_piece(whole), max(wide, high) - 200.0
    assert half.area == pytest.approx((math.pi * 100.0**2 + 200.0 * straight_part) / 2)
    stitched, radius = stitch_outline(half), 100.0 - SEAM
    assert stitched.sound
    area = shapely.Polygon(stitched.points).area
    assert area == pytest.approx(math.pi * radius**2 / 2 + radius * straight_part, rel=1e-3)
    assert max(x for x, _ in stitched.points) == pytest.approx(wide / 2)


@pytest.mark.parametrize("dust", [-1e-13, 1e-13])
def test_an_arc_that_ends_at_the_middle_but_for_dust_is_cut_in_none(dust: float) -> None:
    """Where a piece is as wide as it is round its arcs meet at the centre fold."""
    size = (2 * RADIUS + dust, HEIGHT)
    whole = piece_of(rounded_edges(size, (RADIUS,) * 4, (SEAM,) * 4))
    assert is_symmetric(whole)
    assert half_piece(whole).area == pytest.approx(whole.area / 2)


@pytest.mark.parametrize(
    ("radii", "told"),
    [
        ((40.0, 40.0, 40.0, 40.0), "corners of radius 40 mm"),
        ((40.0, 40.0, 0.0, 0.0), "lower corners of radius 40 mm"),
        ((0.0, 0.0, 25.0, 25.0), "upper corners of radius 25 mm"),
        ((40.0, 40.0, 25.0, 25.0), "lower corners of radius 40 mm, upper of 25 mm"),
    ],
)
def test_who_cuts_by_ruler_is_told_the_radius(radii: tuple[float, ...], told: str) -> None:
    piece = piece_of(rounded_edges((WIDTH, HEIGHT), radii, (SEAM,) * 4))
    texts = [each.text for each in drawn(piece) if isinstance(each, Text)]
    assert told in " ".join(texts)
    assert corner_text(piece_of(rounded_edges((WIDTH, HEIGHT), (0.0,) * 4, (SEAM,) * 4))) is None
    scaled = corner_text(piece, 1.1)
    assert scaled is not None
    assert scaled.lengths == {
        name: pytest.approx(1.1 * size) for name, size in corner_text(piece).lengths.items()
    }


def test_unequal_corners_leave_no_half() -> None:
    lopsided = piece_of(rounded_edges((WIDTH, HEIGHT), (RADIUS, 40.0, 0.0, 0.0), (SEAM,) * 4))
    assert not is_symmetric(lopsided)
    square = piece_of(rounded_edges((WIDTH, HEIGHT), (0.0,) * 4, (SEAM,) * 4))
    assert is_symmetric(square)
    hollow = tuple(
        edge._replace(turn=-0.3) if edge.id == straight(1) else edge for edge in square.edges
    )
    assert not is_symmetric(replace(square, edges=hollow)), "the other side is straight"


def test_notches_are_short_and_clips_end_a_stitch_before_the_seam() -> None:
    seam = SeamId("body", SeamRole.SIDE)
    marks = (MatchMark(ROUNDED.id, straight(0), (150.0, 0.0), (0.0, 1.0), seam),)
    other = ROUNDED.id._replace(number=7)
    elsewhere = (marks[0]._replace(piece=other),)
    records = drawn(ROUNDED, notches=marks + elsewhere, clips=marks + elsewhere)
    lines = {
        each.ink: each.points
        for each in records
        if isinstance(each, Line) and each.ink in (Ink.NOTCH, Ink.CLIP)
    }
    assert lines[Ink.NOTCH] == ((150.0, 0.0), (150.0, 6.0))
    assert lines[Ink.CLIP] == ((150.0, 0.0), (150.0, SEAM - 2.5))
    assert len([each for each in records if isinstance(each, Line) and each.ink in lines]) == 2


def test_a_rounded_shape_is_cut_by_a_stretch() -> None:
    """Judged by its area below a height: the rest of the rectangle stands above the arcs."""
    (low,) = clipped(ROUNDED.outline, 0.0, RADIUS)
    (high,) = clipped(ROUNDED.outline, RADIUS, HEIGHT)
    assert shapely.Polygon(high).area == pytest.approx(WIDTH * (HEIGHT - RADIUS))
    expected = WIDTH * RADIUS - (4 - math.pi) / 2 * RADIUS**2
    assert shapely.Polygon(low).area == pytest.approx(expected, rel=1e-3)


def test_the_booklet_cuts_a_rounded_shape_where_its_drawing_ends() -> None:
    """At half the radius the piece is narrower by what the arcs leave: r - sqrt(r2 - (r / 2)2)."""
    plan = best_plan(compute(demo_bag()), PlanOptions(builds=1))
    item = replace(plan.cut_list.items[0], outline=ROUNDED.outline, across=WIDTH, along=HEIGHT)
    laid = replace(plan.goods[0].laid[0], item=item, x=0.0, y=0.0, turned=False)
    goods = replace(
        plan.goods[0], laid=(replace(laid, width=WIDTH, height=HEIGHT),), length_used=HEIGHT
    )
    options = BookletOptions(unit=Unit.MM)
    stretch = Stretch(0.0, RADIUS / 2)
    picture = _plan_picture(goods, stretch, options, 1.0, {item.piece.label: "P"})
    (line,) = [each for each in picture.records if each.ink is Ink.PLACEMENT]
    assert isinstance(line, Line)
    across = [y for _, y in line.points]  # the goods lie on their side
    narrower = 2 * (RADIUS - math.sqrt(RADIUS**2 - (RADIUS / 2) ** 2))
    assert max(across) - min(across) == pytest.approx(WIDTH - narrower, abs=0.1)
