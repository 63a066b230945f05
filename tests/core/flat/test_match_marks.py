"""Match marks and clips, against stations that were reckoned by hand, and the laws they keep."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.choices import without_part
from core.bag.compute import compute
from core.flat.match_marks import MatchMark, match_marks, seam_marks
from core.flat.piece import Piece, Point, edge_between
from core.flat.roles import EdgeId, EdgeRole, Face, SeamId, SeamRole, Side
from core.flat.seam import Draft, Seam, draft
from core.flat.stitch import stitch_outline
from tests.core.flat.rounded import INCH, arc, piece_of, refs, rounded_edges, straight
from tests.helpers import bare, demo, demo_panel, inch
from tests.ids import PIECES, WORDS, edge_id
from tests.strategies import sewable_bags

NEAR = 1e-6


def sewn(one: object, other: object, *pieces: Piece, backwards: bool = False) -> Draft:
    seam = Seam(
        id=SeamId("body", SeamRole.CORNER),
        label="seam",
        one=one,
        other=other,
        backwards=backwards,
    )
    return draft(pieces, (seam,))


def on_strip(marks: tuple[MatchMark, ...], strip: Piece) -> list[float]:
    """Where marks lie along the lower edge of a strip, from its left stitch line, mm."""
    first = stitch_outline(strip).line(straight(0))[0][0]
    return sorted(mark.at[0] - first for mark in marks if mark.piece == strip.id)


def test_stations_round_a_box_with_four_rounded_corners() -> None:
    """E2 of this project: 11 1/2 x 10 in, all corners 2, allowances 1/4, half of the seam.

    From the bottom middle: half the straight, the arc, the side, the arc, half the top. The ring
    is sewn on backwards, so that its stations count from its right end.
    """
    s = 0.25 * INCH
    edges = rounded_edges((12 * INCH, 10.5 * INCH), [2.25 * INCH] * 4, [s] * 4, split=True)
    panel = piece_of(edges)
    ring = piece_of(rounded_edges((39.5664 * INCH + 2 * s, 100.0), [0.0] * 4, [s] * 4), 1)
    made = sewn(refs(panel), refs(ring, straight(0)), panel, ring)
    half = [3.75, 6.8916, 12.8916, 16.0332, 19.7832]
    whole = half + [39.5664 - each for each in half[:-1]]
    found = [each / INCH for each in on_strip(match_marks(made), ring)]
    assert found == pytest.approx(sorted(whole), abs=1e-4)
    # The panel shows its own corners nowhere: it has the same notches, on its cut line.
    marks = [mark for mark in match_marks(made) if mark.piece == panel.id]
    assert len(marks) == len(whole)
    tops = [mark for mark in marks if mark.edge == straight(2)]
    assert [mark.at for mark in tops] == [
        pytest.approx((6 * INCH, 10.5 * INCH)),
        pytest.approx((2.25 * INCH, 10.5 * INCH)),
    ]


@pytest.mark.parametrize(("radius", "count"), [(12.7, 3), (25.0, 4), (50.0, 6)])
def test_as_many_clips_as_half_a_millimetre_asks_for(radius: float, count: int) -> None:
    """ceil(pi r / (4 sqrt r)) round a right angle: no stretch lies farther off than c^2 / 8 r."""
    s = 6.0
    panel = piece_of(rounded_edges((400.0, 300.0), [radius + s] * 2 + [0.0] * 2, [s] * 4))
    around = refs(panel, straight(3), arc(3), straight(0), arc(0), straight(1))
    length = 2 * (300.0 - s - 2 * 0.0 - radius - s) + 400.0 - 2 * (s + radius) + math.pi * radius
    strip = piece_of(rounded_edges((length + 2 * s, 80.0), [0.0] * 4, [s] * 4), 1)
    made = sewn(around, refs(strip, straight(0)), panel, strip)
    found = seam_marks(made).clips
    assert {mark.piece for mark in found} == {strip.id}
    assert len(found) == 2 * count
    at = on_strip(found, strip)[:count]
    stretches = [b - a for a, b in pairwise(at)]
    assert max(stretches) ** 2 / (8 * radius) <= 0.5 + 1e-9
    # They lie between the notches at the ends of the arc.
    notches = on_strip(match_marks(made), strip)
    assert notches[0] < at[0]
    assert at[-1] < notches[1]
    assert notches[1] - notches[0] == pytest.approx(math.pi / 2 * radius)


def test_a_square_corner_is_clipped_once_opposite_its_stitches() -> None:
    """K16, pfeist.net: clip the wrap exactly at the allowance from both raw edges, then turn."""
    s = 0.5 * INCH
    panel = piece_of(rounded_edges((6.5 * INCH, 10 * INCH), [0.0] * 4, [s] * 4))
    strip = piece_of(rounded_edges((24.5 * INCH, 10 * INCH), [0.0] * 4, [s] * 4), 1)
    made = sewn(
        refs(panel, straight(3), straight(0), straight(1)), refs(strip, straight(0)), panel, strip
    )
    # The side of the panel is 10 less two allowances, its bottom 6 1/2 less two.
    wanted = [9 * INCH, (9 + 5.5) * INCH]
    assert on_strip(seam_marks(made).clips, strip) == pytest.approx(wanted)
    assert {mark.piece for mark in seam_marks(made).clips} == {strip.id}
    assert all(mark.inward == pytest.approx((0.0, 1.0)) for mark in seam_marks(made).clips)
    assert all(mark.at[1] == pytest.approx(0.0) for mark in seam_marks(made).clips)


def test_what_is_longer_gives_the_shorter_side_no_mark_beyond_its_end() -> None:
    """The second corner of the panel lies at 14 1/2 in, where a strip of 10 in is over."""
    s = 0.5 * INCH
    panel = piece_of(rounded_edges((6.5 * INCH, 10 * INCH), [0.0] * 4, [s] * 4))
    strip = piece_of(rounded_edges((11 * INCH, 10 * INCH), [0.0] * 4, [s] * 4), 1)
    made = sewn(
        refs(panel, straight(3), straight(0), straight(1)), refs(strip, straight(0)), panel, strip
    )
    # The strip is walked from its right end: its middle, and opposite the first corner, 9 in on.
    assert on_strip(match_marks(made), strip) == pytest.approx([1 * INCH, 5 * INCH])
    assert on_strip(seam_marks(made).clips, strip) == pytest.approx([1 * INCH])


def test_a_strip_told_edge_by_edge_is_clipped_at_the_corners_all_the_same() -> None:
    """A ring is one straight edge on the cloth, however many edges it is told in."""
    s = 10.0
    base = piece_of(rounded_edges((320.0, 140.0), [0.0] * 4, [s] * 4))
    ring = piece_of(rounded_edges((860.0, 300.0), [0.0] * 4, [s] * 4), 1)
    lower, *others = ring.edges
    sides, cuts = (300.0, 120.0, 300.0, 120.0), (0.0, 310.0, 430.0, 730.0, 860.0)
    runs = [
        edge_between(EdgeId(EdgeRole.LOWER, number=i), (start, 0.0), (end, 0.0), allowance=s)
        for i, (start, end) in enumerate(pairwise(cuts))
    ]
    told = replace(ring, edges=(*runs, *others))
    around = refs(base, *(straight(i) for i in (0, 3, 2, 1)))
    one = sewn(around, refs(ring, lower.id), base, ring, backwards=True)
    many = sewn(around, refs(told, *(each.id for each in runs)), base, told, backwards=True)
    wanted = [sum(sides[: i + 1]) for i in range(3)]
    assert on_strip(seam_marks(one).clips, ring) == pytest.approx(wanted)
    assert on_strip(seam_marks(many).clips, ring) == pytest.approx(wanted)


@given(
    st.lists(st.floats(20.0, 45.0), min_size=4, max_size=4),
    st.floats(0.0, 12.0),
    st.lists(st.floats(0.2, 3.0), min_size=1, max_size=4),
)
def test_marks_lie_at_equal_distances_from_the_common_start(
    radii: list[float], allowance: float, shares: list[float]
) -> None:
    """A rounded panel and strips of any number: each notch has its own opposite it."""
    panel = piece_of(rounded_edges((300.0, 200.0), radii, [allowance] * 4, split=True))
    outline = stitch_outline(panel)
    whole = sum(outline.length(edge.id) for edge in panel.edges)
    lengths = [share / sum(shares) * whole for share in shares]
    strips = tuple(
        piece_of(rounded_edges((each + 2 * allowance, 90.0), [0.0] * 4, [allowance] * 4), i)
        for i, each in enumerate(lengths, start=1)
    )
    feet = tuple(ref for strip in strips[::-1] for ref in refs(strip, straight(0)))
    made = sewn(refs(panel), feet, panel, *strips)
    stations: list[float] = []
    along = 0.0
    for strip in strips:  # walked backwards: from the right end of the last one listed
        length = stitch_outline(strip).length(straight(0))
        stations += [along + each for each in on_strip(match_marks(made), strip)]
        along += length
    own = []
    at = 0.0
    for edge in panel.edges:
        stitched = outline.stitched(edge.id)
        for mark in match_marks(made):
            if mark.piece == panel.id and mark.edge == edge.id:
                foot = (
                    mark.at[0] + allowance * mark.inward[0],
                    mark.at[1] + allowance * mark.inward[1],
                )
                chord = math.dist(stitched.start, foot)
                if edge.turn:
                    chord = 2 * stitched.radius * math.asin(min(chord / 2 / stitched.radius, 1.0))
                own.append(at + chord)
        at += outline.length(edge.id)
    joints = [sum(lengths[:i]) for i in range(1, len(lengths))]
    mirrored = sorted(whole - each for each in stations)
    assert len(own) >= 9
    for station in mirrored:
        assert min(abs(station - each) for each in own) < 0.02
    for joint in joints:
        mine = whole - joint
        assert min(abs(mine - each) for each in own) < 0.02


def test_the_demo_bag_is_marked_here() -> None:
    """Its top edges and pocket at their middles, its corners at the fold; and both sides.

    Side: 14 in of front, 1/2 in of zip, 15 1/2 in of back, folded at 15. What comes to lie on the
    zip's two ends lies at 15 1/2 and 16 from the front, 1 and 1 1/2 in below the back's stitch
    line; the fold itself, the zip lying 3/4 in down the front, 1/2 in below it.
    """
    marks = match_marks(compute(demo()).draft)
    stitch = inch(0.375)
    middle, back = inch(18.5) / 2, -(inch(38.5) / 2 - stitch)
    found = [(WORDS[mark.piece], mark.edge, mark.at) for mark in marks]
    assert [(piece, edge) for piece, edge, _ in found] == [
        ("panel", edge_id("top front")),
        ("zip", edge_id("zip front")),
        ("panel", edge_id("top back")),
        ("zip", edge_id("zip back")),
        *[("panel", edge_id("side back left"))] * 3,
        *[("panel", edge_id("side back right"))] * 3,
        ("panel", edge_id("corner end left")),
        ("panel", edge_id("corner end right")),
        ("front pocket", edge_id("pocket lower edge")),
        ("front pocket", edge_id("pocket upper edge")),
    ]
    assert [at[0] for _, _, at in found[:4]] == pytest.approx([middle] * 4)
    heights = sorted(at[1] - back for _, _, at in found[4:7])
    assert heights == pytest.approx([inch(0.5), inch(1), inch(1.5)])
    assert [at[1] for _, _, at in found[10:12]] == pytest.approx([0.0, 0.0])
    assert not seam_marks(compute(demo()).draft).clips


@given(sewable_bags())
def test_both_sides_of_a_seam_that_walks_are_marked_alike(bag: Bag) -> None:
    """Every mark lies on its cut line, one allowance off the stitch line, inside its edge."""
    made = compute(bag).draft
    marks = match_marks(made)
    taken = {mark.seam for mark in marks}
    assert taken >= {seam.id for seam in made.seams if seam.id.role is SeamRole.MOUTH}
    for mark in marks:
        edge = made.outlines[mark.piece].edge(mark.edge)
        start, end = made.outlines[mark.piece].line(mark.edge)
        foot = _along(mark.at, mark.inward, edge.allowance)
        assert math.dist(start, foot) + math.dist(foot, end) == pytest.approx(
            math.dist(start, end), abs=NEAR
        )
        assert _along(mark.inward, edge.heading, 0.0) == pytest.approx(
            (-edge.heading[1], edge.heading[0])
        )
    for seam in made.seams:
        if seam.id.role is SeamRole.MOUTH:
            at = [mark.at[0] for mark in marks if mark.seam == seam.id]
            assert at == pytest.approx([bag.body.width / 2] * 2)


def _along(at: Point, way: Point, far: float) -> Point:
    return at[0] + far * way[0], at[1] + far * way[1]


def test_a_seam_that_is_gone_has_no_marks() -> None:
    """A corner whose cut has no width."""
    gone = bare(demo_panel(corner_width=0.0, corner_seam=0.0, side_seam=0.0))
    roles = {mark.seam.role for mark in match_marks(compute(gone).draft)}
    assert roles == {SeamRole.HEM, SeamRole.SIDE}


def test_hems_and_bottom_seams_have_their_middles() -> None:
    hemmed = compute(without_part(demo(), "zip")).draft
    hems = [mark for mark in match_marks(hemmed) if mark.seam.role is SeamRole.HEM]
    assert [mark.edge.face for mark in hems] == [Face.FRONT, Face.BACK]
    assert [mark.at[0] for mark in hems] == pytest.approx([inch(9.25)] * 2)
    seamed = compute(bare(demo_panel(bottom_seam=inch(0.25), corner_depth=inch(3.25)))).draft
    marks = [mark for mark in match_marks(seamed) if mark.seam.role is SeamRole.BOTTOM]
    assert [mark.piece for mark in marks] == [PIECES["front"], PIECES["back"]]
    assert [mark.at for mark in marks] == [
        pytest.approx((inch(9.25), -inch(0.25))),
        pytest.approx((inch(9.25), inch(0.25))),
    ]
    # Where two seams meet opposite each other there is nothing to mark.
    assert not [
        mark
        for mark in match_marks(seamed)
        if mark.seam.role is SeamRole.CORNER and mark.edge.role is EdgeRole.CORNER_END
    ]
    assert {mark.seam.side for mark in match_marks(seamed) if mark.seam.role is SeamRole.SIDE} == {
        Side.LEFT,
        Side.RIGHT,
    }


def test_where_lengths_differ_both_sides_are_measured_from_the_front() -> None:
    """Corner edges of 3 in against ends of 2 3/4: the side seam comes 1/4 behind the bottom's."""
    seamed = compute(bare(demo_panel(bottom_seam=inch(0.25)))).draft
    for side in Side:
        marks = [
            mark
            for mark in match_marks(seamed)
            if mark.seam == SeamId("body", SeamRole.CORNER, side=side)
        ]
        on_ends = [mark for mark in marks if mark.edge.role is EdgeRole.CORNER_END]
        assert [mark.edge.face for mark in on_ends] == [Face.BACK]
        assert [mark.at[1] for mark in on_ends] == pytest.approx([-inch(0.25)])


def test_two_arcs_that_are_sewn_together_need_no_clips() -> None:
    one, two = (
        piece_of(rounded_edges((200.0, 150.0), [40.0] * 4, [6.0] * 4), number) for number in (0, 1)
    )
    bottom, *others = (edge.id for edge in two.edges)
    around = refs(two, bottom, *others[::-1])
    made = sewn(refs(one), around, one, two)
    assert not seam_marks(made).clips
    assert len(match_marks(made)) > 10
