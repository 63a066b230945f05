"""The separate base: drawn, measured, refused; values of pages outside of the project.

K5 ... K10 are checks of the project's own list, each with the page that it was read on. Lengths
are mm; pages are in inches.
"""

import math
import random
from dataclasses import replace

import pytest
from shapely.geometry import Polygon, box

from core.bag.allowances import with_allowances
from core.bag.bag import Bag, draft_bag, with_figures
from core.bag.compute import Around, compute
from core.base.errors import FieldError
from core.base.units import MM_PER_INCH, Unit
from core.bodies.rounded import CORNER_RADIUS, CORNER_ROUNDING
from core.bodies.separate_base.body import SeparateBase
from core.bodies.separate_base.draft import BASE
from core.flat.roles import EdgeRole, Face, SeamRole
from core.flat.seam import Draft
from core.site.site import Below
from core.tops.hem.hem import Hem
from core.tops.top_strip.strip import TopStrip
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import layer, sandwich

ROUND_OFF = 8 - 2 * math.pi


def cut_for(
    size: tuple[float, float, float],
    radius: float = 0.0,
    *,
    pieces: int = 2,
    seams: tuple[float, float, float] = (10.0, 10.0, 10.0),
    **more: float,
) -> SeparateBase:
    """Cut for a finished base, face and radius, open: by the closed formulas of a handbook."""
    (wide, deep, high), (side, base, top) = size, seams
    way = 2 * (wide + deep) - ROUND_OFF * radius
    widths = {1: way, 2: way / 2, 4: wide}
    return SeparateBase(
        base_cut_width=wide + 2 * base,
        base_cut_depth=deep + 2 * base,
        corner_rounding=radius + base if radius else 0.0,
        body_width=widths[pieces] + 2 * side,
        body_end_width=deep + 2 * side if pieces == 4 else 0.0,
        body_height=high + base + top,
        body_pieces=pieces,
        side_seam=side,
        base_seam=base,
        top_seam=top,
        **more,
    )


def bag_of(body: SeparateBase, top=None) -> Bag:
    return Bag(
        name="carrier",
        unit=Unit.MM,
        body=body,
        top=top or Hem(),
        sandwich=sandwich(layer(usable_width=5000.0)),
    )


def inch(*sizes: float) -> tuple[float, ...]:
    return tuple(size * MM_PER_INCH for size in sizes)


def walked(body: SeparateBase, role: SeamRole):
    return draft_bag(bag_of(body)).walked_seams(role)


def stitched_area(drawn: Draft) -> float:
    """Of the base within its stitch lines, arcs as they are."""
    outline = drawn.outlines[BASE]
    edges = tuple(outline.stitched(edge.id) for edge in outline.piece.edges)
    return replace(outline.piece, edges=edges).area


E3 = cut_for(inch(11.5, 6.5, 12), inch(1.5)[0], seams=inch(0.25, 0.25, 0.25))
"""K10, E3: a worked example of our own, reckoned by hand in inches."""


def test_a_rounded_base_reckoned_by_hand():
    (ring,), found = walked(E3, SeamRole.BASE), compute(bag_of(E3)).finished
    assert (E3.base_cut_width, E3.base_cut_depth) == pytest.approx(inch(12, 7))
    assert E3.corner_rounding == pytest.approx(inch(1.75)[0])
    assert ring.length / MM_PER_INCH == pytest.approx(33.4248, abs=5e-5)
    assert E3.body_width / MM_PER_INCH == pytest.approx(17.2124, abs=5e-5)
    assert stitched_area(draft_bag(bag_of(E3))) / MM_PER_INCH**2 == pytest.approx(72.8186, abs=5e-5)
    sizes = [found[name] for name in ("base_width", "gusset_depth", "face_height", "corner_radius")]
    assert sizes == pytest.approx(inch(11.5, 6.5, 12, 1.5))
    assert found["base_mismatch"] == pytest.approx(0.0, abs=1e-9)


def test_what_a_page_takes_from_a_way_round_and_a_short_side():
    """K5: way round 20, r 2, short straight 1/2: long straight 3 1/4.

    projectsbyjane.blogspot.com 2010/05, which takes 12.5 for 4 pi = 12.566.
    """
    found = walked(cut_for(inch(3.2168 + 4, 4.5, 8), inch(2)[0]), SeamRole.BASE)
    assert found[0].mate_length / MM_PER_INCH == pytest.approx(20.0, abs=1e-3)
    page = walked(cut_for(inch(3.25 + 4, 4.5, 8), inch(2)[0]), SeamRole.BASE)
    assert page[0].mate_length / MM_PER_INCH == pytest.approx(20.0, abs=2 * 0.04)


def test_a_circle_has_two_arcs_and_no_straight_edges():
    """K6: a 12 in circle goes 37.68 in round, with pi as 3.14 (ccngna.com, a circle tutorial)."""
    body = cut_for(inch(12, 12, 10), inch(6)[0])
    (seam,) = walked(body, SeamRole.BASE)
    assert seam.mate_length / MM_PER_INCH == pytest.approx(37.68, abs=0.02)
    edges = draft_bag(bag_of(body)).piece(BASE).edges
    assert [edge.turn for edge in edges] == pytest.approx([math.pi, math.pi])
    assert seam.seam.other[0].edge.face is Face.FRONT
    assert seam.difference == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("wide", [True, False])
def test_a_stadium_has_two_straight_edges_and_two_half_circles(wide):
    size = (300.0, 160.0) if wide else (160.0, 300.0)
    body = cut_for((*size, 260.0), 80.0)
    edges = draft_bag(bag_of(body)).piece(BASE).edges
    assert sorted(edge.turn for edge in edges) == pytest.approx([0, 0, math.pi, math.pi])
    (seam,) = walked(body, SeamRole.BASE)
    assert seam.mate_length == pytest.approx(2 * 140 + 160 * math.pi)
    assert seam.difference == pytest.approx(0.0, abs=1e-9)
    role, face = seam.seam.other[0].edge[:2]
    assert (role, face) == (EdgeRole.BOTTOM if wide else EdgeRole.ROUND, Face.FRONT)
    found = compute(bag_of(body)).finished
    assert (found["base_width"], found["gusset_depth"]) == pytest.approx(size)


def test_four_walls_of_an_insulated_sack():
    """K7: bottom 8 1/2 x 5 1/2, walls 10 1/4 x 8 1/2 and x 5 1/2, s 1/4 (docstoc.com 52995519).

    The base of 8 x 5 and the way round of 26 follow (own).
    """
    quarter = inch(0.25)[0]
    body = SeparateBase(
        base_cut_width=inch(8.5)[0], base_cut_depth=inch(5.5)[0], body_width=inch(8.5)[0],
        body_end_width=inch(5.5)[0], body_height=inch(10.25)[0], body_pieces=4,
        side_seam=quarter, base_seam=quarter, top_seam=quarter,
    )  # fmt: skip
    (seam,), found = walked(body, SeamRole.BASE), compute(bag_of(body)).finished
    assert seam.length == seam.mate_length == pytest.approx(inch(26)[0])
    assert (found["base_width"], found["gusset_depth"]) == pytest.approx(inch(8, 5))
    assert found["base_end_mismatch"] == pytest.approx(0.0, abs=1e-9)
    assert [each.difference for each in walked(body, SeamRole.STRIP)] == pytest.approx([0.0] * 4)


def test_a_ring_of_38_in_at_five_eighths():
    """K9: 38 around is cut 39 1/4, 13 high 14 1/4, at 5/8 (deborahcooke.com 2015/11/27)."""
    seams = inch(0.625, 0.625, 0.625)
    body = cut_for(inch(12, 7, 13), pieces=1, seams=seams)
    assert body.body_width == pytest.approx(inch(39.25)[0])
    assert body.body_height == pytest.approx(inch(14.25)[0])
    (seam,), found = walked(body, SeamRole.BASE), compute(bag_of(body)).finished
    assert seam.length == pytest.approx(inch(38)[0])
    assert found["face_height"] == pytest.approx(inch(13)[0])


def _rounded_box(wide: float, deep: float, radius: float) -> Polygon:
    """By offsetting alone: a rectangle in, and out again."""
    if not radius:
        return box(0.0, 0.0, wide, deep)
    if min(wide, deep) - 2 * radius < 1e-9:  # what is left is a line, or a point
        from shapely.geometry import LineString

        ends = ((radius, radius), (wide - radius, deep - radius))
        return LineString(ends).buffer(radius, quad_segs=256)
    inner = box(radius, radius, wide - radius, deep - radius)
    return inner.buffer(radius, quad_segs=256)


def test_300_random_bags_against_offsets():
    """K10: way round and area of the base by shapely's offsets; seams that close to 1e-9."""
    chance = random.Random(17)
    for _ in range(300):
        wide, deep, high = (chance.uniform(60.0, 500.0) for _ in range(3))
        pieces = chance.choice((1, 2, 4))
        most = 0.0 if pieces == 4 else min(wide, deep) / 2
        radius = chance.choice((0.0, most, chance.uniform(1.0, 30.0)))
        radius = min(radius, most)
        seams = tuple(chance.uniform(5.0, 15.0) for _ in range(3))
        body = cut_for((wide, deep, high), radius, pieces=pieces, seams=seams)
        drawn, told = draft_bag(bag_of(body)), compute(bag_of(body))
        found = told.finished
        (seam,) = drawn.walked_seams(SeamRole.BASE)
        shape = _rounded_box(wide, deep, radius)
        assert seam.mate_length == pytest.approx(shape.length, rel=1e-5)
        # Exactly, so far as arcs of a circle are: perimeter by its own sum.
        straight = 2 * (wide - 2 * radius) + 2 * (deep - 2 * radius)
        assert seam.mate_length == pytest.approx(straight + 2 * math.pi * radius, abs=1e-9)
        assert seam.difference == pytest.approx(0.0, abs=1e-9)
        for join in drawn.walked_seams(SeamRole.STRIP) + drawn.walked_seams(SeamRole.SIDE):
            assert join.difference == pytest.approx(0.0, abs=1e-9)
        assert drawn.outlines[BASE].sound
        assert stitched_area(drawn) == pytest.approx(shape.area, rel=1e-5)
        cut = _rounded_box(wide + 2 * seams[1], deep + 2 * seams[1], body.corner_rounding)
        assert drawn.piece(BASE).area == pytest.approx(cut.area, rel=1e-5)
        sizes = ("base_width", "gusset_depth", "face_height", "corner_radius", "opening_width")
        flat = wide if pieces == 4 else shape.length / 2
        wanted = (wide, deep, high, radius, flat)
        assert [found[name] for name in sizes] == pytest.approx(wanted, rel=1e-5)


def test_walls_and_base_are_walked_from_the_middle_of_the_front_to_the_right():
    """The same corner of the bag lies as far along the walls as along the base."""
    body = cut_for((300.0, 160.0, 260.0), pieces=4)
    (seam,) = walked(body, SeamRole.BASE)
    around = [Face.FRONT, Face.RIGHT, Face.BACK, Face.LEFT]
    for chain in (seam.seam.one, seam.seam.other):
        assert [ref.edge.face for ref in chain] == around
    drawn = draft_bag(bag_of(body))
    for one, other in zip(seam.seam.one, seam.seam.other, strict=True):
        lengths = [drawn.outlines[ref.piece].length(ref.edge) for ref in (one, other)]
        assert lengths[0] == pytest.approx(lengths[1])
    right = drawn.outlines[BASE].line(seam.seam.other[1].edge)
    assert min(x for x, _ in right) > body.base_cut_width / 2  # the bag's right, from below


@pytest.mark.parametrize("pieces", [1, 4])
def test_walls_are_joined_from_the_bottom_up(pieces):
    """Both edges of a join are walked from the base seam, one of them against its way."""
    drawn = draft_bag(bag_of(cut_for((300.0, 160.0, 260.0), pieces=pieces)))
    for walked_seam in drawn.walked_seams(SeamRole.STRIP):
        seam = walked_seam.seam
        for (ref,), backwards in ((seam.one, seam.backwards), (seam.other, not seam.backwards)):
            start, end = drawn.outlines[ref.piece].line(ref.edge)
            assert (end if backwards else start)[1] == pytest.approx(0.0, abs=1e-9)


def test_a_zip_lies_half_of_the_trim_down_the_front():
    """As on the boxed panel: face (F + B + z) / 2, offset t / 2."""
    body = cut_for((300.0, 160.0, 260.0), front_trim=40.0)
    zipped = ZipForward(tape_width=32.0, length=700.0)
    found = compute(bag_of(body, zipped)).finished
    back = body.body_height - body.base_seam - body.top_seam
    assert found["face_height"] == pytest.approx((2 * back - 40.0 + 12.0) / 2)
    assert found["zip_offset"] == pytest.approx(20.0)
    assert found["opening_width"] == pytest.approx(300.0 + 160.0)


def test_seats_lie_on_their_pieces_as_the_bag_stands():
    for pieces in (1, 2, 4):
        body = cut_for((300.0, 160.0, 260.0), pieces=pieces, seams=(8.0, 10.0, 12.0))
        drawn, seats = draft_bag(bag_of(body)), body.seats()
        assert (Face.LEFT in seats) is (pieces == 4)
        for seat in seats.values():
            x0, y0, x1, y1 = drawn.piece(seat.piece).bounds
            for x in (seat.side_allowance, seat.width - seat.side_allowance):
                for y in (seat.cut_low, seat.top):
                    at = seat.point(x, y)
                    assert x0 - 1e-9 <= at[0] <= x1 + 1e-9
                    assert y0 - 1e-9 <= at[1] <= y1 + 1e-9
            assert seat.flat_below is False
            assert seat.under is None
        back = seats[Face.BACK]
        assert back.point(0.0, 0.0)[0] > back.point(back.width, 0.0)[0]
    assert body.mouth().width == pytest.approx(300.0 + 2 * 8.0)
    rounded = cut_for((300.0, 160.0, 260.0), 40.0).seats()[Face.BASE]
    assert rounded.below is Below.ROUND
    assert (rounded.low_width, rounded.cut_low) == pytest.approx((220.0, -40.0))


def test_a_mouth_of_two_runs_closes_flat_and_one_of_four_stands_open():
    mouths = {n: cut_for((300.0, 160.0, 260.0), pieces=n).mouth() for n in (1, 2, 4)}
    assert [len(mouths[n].runs) for n in (1, 2, 4)] == [2, 2, 4]
    assert [len(mouths[n].sides) for n in (1, 2, 4)] == [0, 2, 0]
    assert [mouths[n].closes_flat for n in (1, 2, 4)] == [True, True, False]
    assert mouths[4].faces == (Face.FRONT, Face.RIGHT, Face.BACK, Face.LEFT)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        (
            {"corner_rounding": 10.0},
            "Corner rounding is 10 mm: it must be 0 or more than 10 mm: the seam uses up what is "
            "rounded less.",
        ),
        (
            {"corner_rounding": 91.0},
            "Corner rounding is 91 mm: it must be at most 90 mm, half of the base's depth.",
        ),
        ({"base_seam": 90.0}, "Base seam is 90 mm: it must be less than half of the base, 90 mm."),
        ({"body_pieces": 3}, "Body pieces is 3: it must be 1, 2 or 4."),
        ({"side_seam": 240.0}, "Side seam is 240 mm: it must be less than half of a wall, 240 mm."),
        ({"front_trim": 280.0}, "Front trim is 280 mm: it must be less than the back, 280 mm."),
        (
            {"body_height": 8.0},
            "Body height is 8 mm: it must be more than 20 mm, what its seams and the front trim "
            "take up.",
        ),
        ({"top_seam": 270.0}, "Zip seam or hem is 270 mm: it must be less than the front, 270 mm."),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(changes, told):
    body = cut_for((300.0, 160.0, 260.0))
    with pytest.raises(FieldError) as refused:
        replace(body, **changes)
    assert str(refused.value) == told


def test_four_walls_are_refused_round_corners():
    with pytest.raises(FieldError, match=r"^Body pieces is 4: it must be 1 or 2, for the corners"):
        replace(cut_for((300.0, 160.0, 260.0), 40.0), body_pieces=4)


@pytest.mark.parametrize("pieces", [1, 2, 4])
@pytest.mark.parametrize("other", [1, 2, 4])
def test_walls_of_another_number_go_as_far_round(pieces, other):
    body = cut_for((300.0, 160.0, 260.0), pieces=pieces)
    now, _ = body.with_values({"body_pieces": other}, bag_of(body).site)
    assert now.body_pieces == other
    found, was = (compute(bag_of(each)).finished for each in (now, body))
    for name in ("base_width", "gusset_depth", "face_height", "base_mismatch"):
        assert found[name] == pytest.approx(was[name], abs=1e-9)


@pytest.mark.parametrize(("pieces", "radius"), [(1, 30.0), (2, 0.0), (2, 80.0), (4, 0.0)])
def test_other_allowances_leave_its_sizes_alone(pieces, radius):
    body = cut_for((300.0, 160.0, 260.0), radius, pieces=pieces)
    wanted = {"side_seam": 14.0, "base_seam": 7.0, "zip_seam": 21.0}
    changes, moved = body.with_allowances(wanted, 0.0)
    now = replace(body, **{_attribute(name): size for name, size in changes.items()})
    found, was = (compute(bag_of(each)).finished for each in (now, body))
    assert found == pytest.approx(was, abs=1e-9)
    assert moved.width == pytest.approx(8.0)
    assert moved.top == pytest.approx(now.top(Face.BACK) - body.top(Face.BACK))


def test_a_wider_tape_and_other_seams_leave_a_zipped_face_alone():
    bag = bag_of(cut_for((300.0, 160.0, 260.0)), ZipForward(tape_width=32.0, length=700.0))
    was = compute(bag).finished
    changes = with_allowances(bag, {"zip_seam": 14.0, "zip_tape_width": 46.0, "base_seam": 12.0})
    found = compute(with_figures(bag, changes)).finished
    for name in ("base_width", "gusset_depth", "face_height", "opening_width", "base_mismatch"):
        assert found[name] == pytest.approx(was[name], abs=1e-9), name


def _attribute(name: str) -> str:
    return next(each.attribute for each in SeparateBase.FIGURES if each.name == name)


def test_what_two_walls_or_four_alone_have():
    two, four = (cut_for((300.0, 160.0, 260.0), pieces=n) for n in (2, 4))
    assert replace(two, body_end_width=50.0) == two
    assert replace(four, front_trim=20.0) == four
    site = bag_of(two).site
    end = next(each for each in SeparateBase.FIGURES if each.name == "body_end_width")
    assert two.value(end, site) is None
    assert two.lacks(end).text() == "the body pieces of this bag are 2."
    assert CORNER_ROUNDING in SeparateBase.FIGURES
    assert CORNER_RADIUS in SeparateBase.FINISHED


def test_a_fresh_one_keeps_the_sizes_of_the_bag_around_it():
    from core.storage.bag_files import sample

    was = compute(sample("demo"))
    fresh = SeparateBase.fresh(Around(was.bag))
    found = compute(replace(was.bag, body=fresh, parts=type(was.bag.parts)())).finished
    for name in ("base_width", "gusset_depth", "face_height", "opening_width"):
        assert found[name] == pytest.approx(was.finished[name]), name
    assert found["base_mismatch"] == pytest.approx(0.0, abs=1e-9)


def test_a_figure_that_does_not_fit_says_so():
    with pytest.raises(FieldError):
        with_figures(bag_of(E3), {"no_such": 1.0})


def test_a_square_base_is_given_four_walls_for_what_lies_on_them():
    body = cut_for((300.0, 160.0, 260.0))
    four = body.made_for(None, closes_ring=True)
    assert four == cut_for((300.0, 160.0, 260.0), pieces=4)
    assert four.made_for(None, closes_ring=True) == four
    assert body.made_for(None, closes_ring=False) is body
    rounded = cut_for((300.0, 160.0, 260.0), 40.0)
    assert rounded.made_for(None, closes_ring=True) is rounded
    open_ = bag_of(four)
    assert four.made_for(open_.site, closes_ring=False) is four
    lid = replace(open_, top=TopStrip.fresh(Around(open_)))
    back = four.made_for(lid.site, closes_ring=False)
    assert back == body
    assert body.made_for(lid.site, closes_ring=True) == four
