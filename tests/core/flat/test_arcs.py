"""Rounded pieces against shapely's buffers, closed formulas, and sizes that pages on sewing print.

No bag has a rounded piece yet: these are bare ones. Sizes in inches are the pages' own.
"""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LinearRing, LineString, Polygon, box
from shapely import Point as ShapelyPoint

from core.flat import stitch as soundness
from core.flat.piece import Edge, Piece, edge_between
from core.flat.roles import EdgeId, EdgeRole, SeamId, SeamRole
from core.flat.seam import Draft, Seam, draft
from core.flat.stitch import stitch_outline
from tests.core.flat.rounded import INCH, arc, piece_of, refs, rounded_edges, straight

FINE = 1e-3
"""Flattened so finely, mm, that shapely sees next to the arc itself."""


def finely(piece: Piece) -> Polygon:
    return Polygon([point for edge in piece.edges for point in edge.points(FINE)])


def even(size: tuple[float, float], radius: float, allowance: float) -> Piece:
    return piece_of(rounded_edges(size, [radius] * 4, [allowance] * 4))


def walked(one: Seam, *pieces: Piece) -> tuple[float, float]:
    (seam,) = draft(pieces, (one,)).walked
    return seam.length / INCH, seam.mate_length / INCH


def seam(one: object, other: object) -> Seam:
    return Seam(id=SeamId("body", SeamRole.CORNER), label="seam", one=one, other=other)


sizes = st.tuples(st.floats(120.0, 600.0), st.floats(120.0, 600.0))
radii = st.lists(st.floats(5.0, 55.0), min_size=4, max_size=4)


@given(sizes, radii)
def test_perimeter_area_and_bounds_are_those_of_shapely(
    size: tuple[float, float], corners: list[float]
) -> None:
    """K10, second half; the corners' own law is a square less a quarter circle."""
    piece = piece_of(rounded_edges(size, corners, [0.0] * 4))
    shape = finely(piece)
    assert piece.area == pytest.approx(shape.area, abs=0.5)
    assert piece.perimeter == pytest.approx(shape.length, abs=0.01)
    assert piece.bounds == pytest.approx(shape.bounds, abs=1e-9)
    lost = sum((1 - math.pi / 4) * r**2 for r in corners)
    assert piece.area == pytest.approx(size[0] * size[1] - lost, rel=1e-12)


@given(sizes, st.floats(12.0, 50.0), st.floats(0.0, 11.0))
def test_stitch_lines_are_a_buffer_of_the_cut_line(
    size: tuple[float, float], radius: float, allowance: float
) -> None:
    piece = even(size, radius, allowance)
    stitch = stitch_outline(piece)
    assert stitch.sound
    ours = Polygon(
        [point for edge in piece.edges for point in stitch.stitched(edge.id).points(FINE)]
    )
    theirs = box(0, 0, *size).buffer(-radius).buffer(radius - allowance, quad_segs=200)
    assert ours.symmetric_difference(theirs).area < 1.0
    assert sum(stitch.length(edge.id) for edge in piece.edges) == pytest.approx(
        theirs.length, abs=0.02
    )
    assert Polygon(stitch.points).hausdorff_distance(theirs) < 0.021


@given(st.floats(1.0, 100.0), st.floats(0.0, 99.0), st.floats(0.1, 3.0))
def test_an_arc_is_stitched_about_its_own_centre(radius: float, less: float, turn: float) -> None:
    """K11: (R - s) times the angle, whatever it is; both ways round."""
    allowance = less / 100 * radius
    flat = edge_between(straight(0), (0.0, 0.0), (50.0, 0.0), allowance=allowance)
    chord = 2 * radius * math.sin(turn / 2)
    end = (50.0 + chord * math.cos(turn / 2), chord * math.sin(turn / 2))
    bend = edge_between(arc(0), (50.0, 0.0), end, allowance=allowance, turn=turn)
    tip = (end[0] - 500.0, end[1] + 500.0)
    out = (end[0] + 80.0 * math.cos(turn), end[1] + 80.0 * math.sin(turn))
    on = edge_between(straight(1), end, out, allowance=allowance)
    back = (
        edge_between(straight(2), out, tip, allowance=0.0),
        edge_between(straight(3), tip, (0.0, 0.0), allowance=0.0),
    )
    stitch = stitch_outline(piece_of((flat, bend, on, *back)))
    assert bend.radius == pytest.approx(radius)
    assert bend.length == pytest.approx(radius * turn)
    assert stitch.length(arc(0)) == pytest.approx((radius - allowance) * turn, abs=1e-6)
    assert stitch.stitched(arc(0)).radius == pytest.approx(radius - allowance, abs=1e-6)
    hollow = bend._replace(start=bend.end, end=bend.start, turn=-turn)
    hollow = hollow._replace(heading=(-bend.heading[0], -bend.heading[1]))
    assert (hollow.length, hollow.radius) == pytest.approx((radius * turn, -radius))
    assert LineString([*hollow.points(), hollow.end]).equals_exact(
        LineString([*bend.points(), bend.end]).reverse(), 1e-6
    )


@given(st.floats(1.0, 2000.0), st.floats(-3.1, 3.1).filter(lambda turn: abs(turn) > 0.01))
def test_a_flattened_arc_stays_within_its_tolerance(radius: float, turn: float) -> None:
    chord = 2 * radius * math.sin(abs(turn) / 2)
    edge = edge_between(arc(0), (0.0, 0.0), (chord, 0.0), allowance=0.0, turn=turn)
    line = LineString([*edge.points(), edge.end])
    off = [line.distance(ShapelyPoint(edge.point_at(k / 97))) for k in range(98)]
    assert max(off) <= 0.0201
    # Never more points than it takes, give or take one.
    assert len(edge.points()) <= abs(turn) * math.sqrt(radius / (8 * 0.02)) + 2


def test_an_arc_that_has_a_neighbour_askew_or_with_another_allowance_is_refused() -> None:
    good = rounded_edges((200.0, 100.0), [20.0] * 4, [5.0] * 4)
    stitch_outline(piece_of(good))
    uneven = tuple(
        edge._replace(allowance=6.0) if edge.id == straight(1) else edge for edge in good
    )
    with pytest.raises(ValueError, match="lie apart"):
        stitch_outline(piece_of(uneven))
    askew = tuple(edge._replace(turn=1.5) if edge.id == arc(2) else edge for edge in good)
    with pytest.raises(ValueError, match="run on smoothly"):
        stitch_outline(piece_of(askew))


def test_a_rounding_that_its_seam_uses_up_has_no_length_and_is_not_sound() -> None:
    for radius, length in ((6.0, math.pi / 2), (5.0, 0.0), (3.0, -math.pi)):
        stitch = stitch_outline(even((200.0, 100.0), radius, 5.0))
        assert stitch.length(arc(0)) == pytest.approx(length, abs=1e-9)
        assert stitch.sound == (radius >= 5.0)


def test_a_bay_is_judged_by_its_arcs() -> None:
    """A round bay in the top: sound while its stitch line stays clear of the bottom's."""
    for deep, sound in ((40.0, True), (84.0, False)):
        half = 60.0
        radius = (half**2 + deep**2) / (2 * deep)
        turn = 2 * math.atan2(deep, half)
        # Eased into the top by two arcs the other way, of the same radius.
        across, down = radius * math.sin(turn), radius * (1 - math.cos(turn))
        middle, top = 2 * across + 30.0, 100.0
        points = [(0.0, 0.0), (2 * middle, 0.0), (2 * middle, top), (middle + 2 * across, top)]
        points += [(middle + across, top - down), (middle - across, top - down)]
        points += [(middle - 2 * across, top), (0.0, top)]
        turns = (0.0, 0.0, 0.0, turn, -2 * turn, turn, 0.0, 0.0)
        ends = [*points[1:], points[0]]
        edges = tuple(
            edge_between(EdgeId(EdgeRole.RIM, number=i), one, two, allowance=9.0, turn=turns[i])
            for i, (one, two) in enumerate(zip(points, ends, strict=True))
        )
        stitch = stitch_outline(piece_of(edges))
        fine = [point for edge in edges for point in stitch.stitched(edge.id).points(FINE)]
        assert LinearRing(fine).is_simple == stitch.sound == (2 * down < top - 18.0)
        assert stitch.sound == sound


def test_a_convex_rounded_piece_needs_no_judge(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(piece: Piece, corners: object) -> bool:
        raise AssertionError("judged")

    monkeypatch.setattr(soundness, "_judged_sound", refuse)
    assert stitch_outline(even((200.0, 100.0), 20.0, 5.0)).sound


def test_an_outline_that_winds_twice_is_not_clearly_sound() -> None:
    """It turns left all the way, and twice round."""
    around = [(math.cos(k * 4 * math.pi / 10), math.sin(k * 4 * math.pi / 10)) for k in range(10)]
    points = [((50.0 + k) * x, (50.0 + k) * y) for k, (x, y) in enumerate(around)]
    ends = [*points[1:], points[0]]
    edges = tuple(
        edge_between(EdgeId(EdgeRole.RIM, number=i), one, two, allowance=0.0)
        for i, (one, two) in enumerate(zip(points, ends, strict=True))
    )
    assert not stitch_outline(piece_of(edges)).sound


def test_what_is_cut_first_stands_for_the_cut_line_where_there_is_one() -> None:
    piece = even((200.0, 100.0), 20.0, 5.0)
    corners = ((0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0))
    assert piece.cut_outline == piece.outline
    assert replace(piece, rough=corners).cut_outline == corners
    assert replace(piece, rough=corners).area == piece.area


# --- Sizes that pages print, inches ---------------------------------------------------------------


def base_and_ring(size: tuple[float, float], radius: float, ring: float, allowance: float) -> Draft:
    """A base and the ring round it, in one piece, its ends sewn with the same allowance."""
    w, d = (each * INCH for each in size)
    s = allowance * INCH
    base = piece_of(rounded_edges((w, d), [radius * INCH] * 4, [s] * 4, split=True))
    body = piece_of(rounded_edges((ring * INCH, 200.0), [0.0] * 4, [s] * 4), 1)
    return draft((base, body), (seam(refs(base), refs(body, straight(0))),))


@pytest.mark.parametrize(
    ("size", "radius", "ring", "allowance"),
    [
        # K5, projectsbyjane.blogspot.com 2010/05: perimeter 20, rounding 2, short straight 1/2;
        # 3.2168 is exact, its 3 1/4 takes 12.5 for 2 x pi x 2.
        ((4.5, 7.2168), 2.0, 20.0, 0.0),
        # E3 of this project, an 11 1/2 x 6 1/2 base, rounding 1 1/2, allowances 1/4.
        ((12.0, 7.0), 1.75, 33.4248 + 0.5, 0.25),
        # K6, a tutorial's circle of 12 inches: 37.68, with 3.14 for pi.
        ((12.0, 12.0), 6.0 - 1e-6, 12 * math.pi, 0.0),
    ],
)
def test_a_ring_is_as_long_as_its_base_is_round(
    size: tuple[float, float], radius: float, ring: float, allowance: float
) -> None:
    (one,) = base_and_ring(size, radius, ring, allowance).walked
    assert one.length / INCH == pytest.approx(ring - 2 * allowance, abs=1e-4)
    assert one.difference / INCH == pytest.approx(0.0, abs=1e-4)


def test_the_page_s_circle_is_as_long_as_it_says() -> None:
    circle = even((12 * INCH, 12 * INCH), (6 - 1e-6) * INCH, 0.0)
    assert circle.perimeter / INCH == pytest.approx(37.68, abs=0.02)


def test_the_base_of_the_project_s_own_example_has_its_area() -> None:
    """E3: 72.8186 square inches on the stitch lines."""
    stitch = stitch_outline(even((12 * INCH, 7 * INCH), 1.75 * INCH, 0.25 * INCH))
    sewn = piece_of(tuple(stitch.stitched(edge.id) for edge in stitch.piece.edges))
    assert sewn.area / INCH**2 == pytest.approx(72.8186, abs=1e-4)


def test_four_walls_round_a_square_base() -> None:
    """K7, an insulated lunch sack: bottom 8 1/2 x 5 1/2, walls as wide, allowances 1/4: ring 26."""
    s = 0.25 * INCH
    bottom = piece_of(rounded_edges((8.5 * INCH, 5.5 * INCH), [0.0] * 4, [s] * 4))
    walls = tuple(
        piece_of(rounded_edges((wide * INCH, 10.25 * INCH), [0.0] * 4, [s] * 4), number)
        for number, wide in enumerate((8.5, 5.5, 8.5, 5.5), start=1)
    )
    feet = tuple(ref for wall in walls for ref in refs(wall, straight(0)))
    assert walked(seam(refs(bottom), feet), bottom, *walls) == pytest.approx((26.0, 26.0))


@pytest.mark.parametrize(
    ("panel", "strip", "exact"),
    [
        # K13, K14, K15: pages that add cut sizes, W + 2 H, come out four allowances too long.
        ((5.0, 6.0), 17.0, 15.0),
        ((11.0, 9.0), 29.0, 27.0),
        ((13.0, 15.0), 43.0, 41.0),
        ((6.5, 10.0), 26.5, 24.5),
    ],
)
def test_a_strip_round_a_square_panel(
    panel: tuple[float, float], strip: float, exact: float
) -> None:
    """W + 2 H - 4 s, at 1/2: each lower corner loses two allowances."""
    s, (w, h) = 0.5 * INCH, panel
    face = piece_of(rounded_edges((w * INCH, h * INCH), [0.0] * 4, [s] * 4))
    around = refs(face, straight(3), straight(0), straight(1))
    for long, slip in ((exact, 0.0), (strip, 2.0)):
        gusset = piece_of(rounded_edges((long * INCH, 100.0), [0.0] * 4, [s] * 4), 1)
        edge, length = walked(seam(around, refs(gusset, straight(0))), face, gusset)
        assert length - edge == pytest.approx(slip)


def test_two_strips_joined_round_a_panel() -> None:
    """K12, thesprucecrafts.com, a tote with a recessed zip: panels 24 x 21, strips of 32 1/2.

    Two joined at 1/2 are 64 = 24 + 2 x 21 - 4 x 1/2; the panel's 1/2 is inferred.
    """
    s = 0.5 * INCH
    face = piece_of(rounded_edges((24 * INCH, 21 * INCH), [0.0] * 4, [s] * 4))
    strips = tuple(
        piece_of(rounded_edges((32.5 * INCH, 100.0), [0.0] * 4, [s] * 4), number)
        for number in (1, 2)
    )
    feet = tuple(ref for strip in strips for ref in refs(strip, straight(0)))
    around = refs(face, straight(3), straight(0), straight(1))
    length, mate = walked(seam(around, feet), face, *strips)
    assert length == pytest.approx(mate)
    assert length + 2 * 0.5 == pytest.approx(64.0)


def test_a_zip_strip_and_another_round_a_square_box() -> None:
    """K17, a box cushion of 12: "at the stitching line", zip strip 16, the other 48 - 16 + 2."""
    s = 0.5 * INCH
    face = piece_of(rounded_edges((13 * INCH, 13 * INCH), [0.0] * 4, [s] * 4))
    strips = tuple(
        piece_of(rounded_edges((long * INCH, 100.0), [0.0] * 4, [s] * 4), number)
        for number, long in enumerate((16.0, 34.0), start=1)
    )
    feet = tuple(ref for strip in strips for ref in refs(strip, straight(0)))
    assert walked(seam(refs(face), feet), face, *strips) == pytest.approx((48.0, 48.0))


def test_edges_that_are_straight_have_no_radius() -> None:
    edge = Edge(straight(0), (0.0, 0.0), (3.0, 4.0), 1.0, (0.6, 0.8))
    assert edge.radius == math.inf
    assert edge.start_heading == edge.end_heading == edge.heading
    assert edge.points() == ((0.0, 0.0),)
    assert edge.point_at(0.5) == pytest.approx((1.5, 2.0))


@given(st.floats(0.0, 6.3))
def test_an_arc_reaches_farther_than_its_ends(way: float) -> None:
    """Two half circles of radius 30 are a circle, however they are turned."""
    tip = (30 * math.cos(way), 30 * math.sin(way))
    ends = (tip, (-tip[0], -tip[1]))
    edges = tuple(
        edge_between(arc(i), ends[i], ends[1 - i], allowance=0.0, turn=math.pi) for i in range(2)
    )
    piece = piece_of(edges)
    assert piece.bounds == pytest.approx((-30.0, -30.0, 30.0, 30.0), abs=1e-9)
    assert piece.area == pytest.approx(900 * math.pi)
    assert (piece.width, piece.height) == pytest.approx((60.0, 60.0))
