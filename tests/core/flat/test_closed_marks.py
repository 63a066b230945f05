"""Match marks and clips of seams that close: both sides run once round from a common middle."""

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.bag.bag import draft_bag, with_figures
from core.flat.match_marks import MatchMark, SeamMarks, match_marks, seam_marks
from core.flat.piece import Edge, Piece, edge_between
from core.flat.roles import FACES, EdgeRef, SeamId, SeamRole
from core.flat.seam import Draft, Seam, draft
from core.flat.stitch import stitch_outline
from core.storage.bag_files import sample
from tests.core.flat.rounded import INCH, arc, piece_of, refs, rounded_edges, straight

S = 0.25 * INCH
HALF_OF_E2 = [3.75, 6.8916, 12.8916, 16.0332, 19.7832]
"""constructions.md 7, K21: from the bottom middle, inches; the last is the top's middle."""


def strips(lengths: Sequence[float], allowance: float = S) -> tuple[Piece, ...]:
    """Straight strips of these lengths between their stitch lines, mm."""
    return tuple(
        piece_of(rounded_edges((each + 2 * allowance, 100.0), [0.0] * 4, [allowance] * 4), number)
        for number, each in enumerate(lengths, start=1)
    )


def feet(ring: Sequence[Piece]) -> tuple[EdgeRef, ...]:
    return tuple(ref for piece in ring for ref in refs(piece, straight(0)))


def sewn_round(panel: Piece, ring: Sequence[Piece], *others: Piece, turned: bool = False) -> Draft:
    """A panel, counter-clockwise from its bottom, in a ring of strips walked the other way.

    The ring is told from its first strip; `turned`: the ring is the seam's first side.
    """
    around, lower = refs(panel, *(edge.id for edge in panel.edges)), feet(ring)
    one, other = (lower, around) if turned else (around, lower)
    seam = Seam(
        id=SeamId("body", SeamRole.RING),
        label="seam",
        one=one,
        other=other,
        backwards=turned,
        closed=True,
    )
    return draft((panel, *ring, *others), (seam,))


def e2_panel() -> Piece:
    return piece_of(rounded_edges((12 * INCH, 10.5 * INCH), [2.25 * INCH] * 4, [S] * 4))


def stations(marks: Sequence[MatchMark], ring: Sequence[Piece]) -> list[float]:
    """Where marks lie on a ring, mm from the middle of its first strip, in its way round."""
    lengths = [stitch_outline(piece).length(straight(0)) for piece in ring]
    whole = math.fsum(lengths)
    # The strips are walked from their right ends: the first one's left end comes after its middle.
    starts = [0.0, *accumulate(lengths)]
    found = []
    for mark in marks:
        for piece, start in zip(ring, starts, strict=False):
            if mark.piece == piece.id:
                right = stitch_outline(piece).line(straight(0))[1][0]
                found.append((start + right - mark.at[0] - lengths[0] / 2) % whole)
    return sorted(each if whole - each > 1e-6 else 0.0 for each in found)


def on_panel(marks: Sequence[MatchMark], panel: Piece) -> list[float]:
    """Where marks lie round a panel, mm from the middle of its bottom, on its stitch lines."""
    outline = stitch_outline(panel)
    lengths = [outline.length(edge.id) for edge in panel.edges]
    whole = math.fsum(lengths)
    found = []
    for mark in marks:
        if mark.piece != panel.id:
            continue
        place = outline.places[mark.edge]
        stitched = outline.stitched(mark.edge)
        allowance = panel.edges[place].allowance
        foot = [at + allowance * way for at, way in zip(mark.at, mark.inward, strict=True)]
        along = math.dist(stitched.start, foot)
        if stitched.turn:
            along = 2 * stitched.radius * math.asin(along / 2 / stitched.radius)
        start = math.fsum(lengths[:place])
        found.append((start + along - lengths[0] / 2) % whole)
    return sorted(each if whole - each > 1e-6 else 0.0 for each in found)


def both_ways(half: Sequence[float], whole: float) -> list[float]:
    """Stations of one half and their mirror images, the start among them."""
    return sorted({0.0, *half, *(whole - each for each in half[:-1])})


@pytest.mark.parametrize("turned", [False, True])
def test_the_stations_of_e2(turned: bool) -> None:
    """A strip and a top strip, 20 in long when joined: the joins lie 9.7832 in from the middle."""
    whole = 39.5664
    panel, ring = e2_panel(), strips([(whole - 20.0) * INCH, 20.0 * INCH])
    made = sewn_round(panel, ring, turned=turned)
    wanted = both_ways(HALF_OF_E2, whole)
    found = [each / INCH for each in stations(match_marks(made), ring)]
    assert found == pytest.approx(wanted, abs=1e-4)
    # On the panel its own corners are seen nowhere, and the joins of the ring come to them.
    joins = [9.7832, whole - 9.7832]
    found = [each / INCH for each in on_panel(match_marks(made), panel)]
    assert found == pytest.approx(sorted([*wanted, *joins]), abs=1e-4)


@pytest.mark.parametrize(
    "shares",
    [(1.0,), (0.5, 0.5), (0.3, 0.2, 0.3, 0.2), (0.2, 0.1, 0.2, 0.4, 0.1)],
    ids=["one piece", "two", "four", "five"],
)
@pytest.mark.parametrize("turned", [False, True])
def test_rings_of_any_number_of_pieces(shares: tuple[float, ...], turned: bool) -> None:
    """What one side has as a joint the other has as a notch; a join is seen on its own side."""
    whole = 39.5664 * INCH
    panel = e2_panel()
    lengths = [each * stitched_round(panel) for each in shares]
    ring = strips(lengths)
    made = sewn_round(panel, ring, turned=turned)
    joins = [each - lengths[0] / 2 for each in accumulate(lengths)][: len(lengths)]
    corners = both_ways([each * INCH for each in HALF_OF_E2], whole)
    at_joins = [each for each in joins if min(abs(each - corner) for corner in corners) > 0.05]
    on_ring = [each for each in corners if min(abs(each - join) for join in joins) > 0.05]
    assert stations(match_marks(made), ring) == pytest.approx(on_ring, abs=0.01)
    everywhere = sorted([*corners, *at_joins])
    assert on_panel(match_marks(made), panel) == pytest.approx(everywhere, abs=0.01)


def stitched_round(panel: Piece) -> float:
    outline = stitch_outline(panel)
    return math.fsum(outline.length(edge.id) for edge in panel.edges)


def test_a_ring_in_one_piece_has_no_notch_at_its_own_seam() -> None:
    """Its seam comes to the panel's far middle, where the panel has a notch."""
    panel = e2_panel()
    ring = strips([stitched_round(panel)])
    made = sewn_round(panel, ring)
    half = stitched_round(panel) / 2
    assert half not in [pytest.approx(each) for each in stations(match_marks(made), ring)]
    assert half in [pytest.approx(each) for each in on_panel(match_marks(made), panel)]
    assert on_panel(match_marks(made), panel)[0] == 0.0
    assert stations(match_marks(made), ring)[0] == 0.0


def eased(around: float, longer: float) -> list[float]:
    """Stations of E2 on a ring that is so much longer, mm: each from the nearer middle."""
    shares = 0.0, 0.0, longer / 2, longer / 2
    half = [each * INCH + share for each, share in zip(HALF_OF_E2, shares, strict=False)]
    return sorted([0.0, *half, *(around + longer - each for each in half)])


@pytest.mark.parametrize("longer", [-12.0, 12.0])
def test_a_difference_in_length_lies_between_the_two_middles(longer: float) -> None:
    """Both are pinned first, and corners are measured from the nearer of them."""
    panel = e2_panel()
    around = stitched_round(panel)
    ring = strips([around + longer])
    made = sewn_round(panel, ring)
    assert stations(match_marks(made), ring) == pytest.approx(eased(around, longer), abs=0.01)
    near = [each * INCH for each in HALF_OF_E2[:-1]]
    assert on_panel(match_marks(made), panel) == pytest.approx(
        both_ways([*near, around / 2], around), abs=0.01
    )


def test_what_has_no_place_on_a_much_shorter_ring_is_not_marked_on_it() -> None:
    """The corner at 6.8916 in from the start lies past the far middle of a ring of 12 in."""
    panel, ring = e2_panel(), strips([12.0 * INCH])
    found = stations(match_marks(sewn_round(panel, ring)), ring)
    upper = (16.0332 - HALF_OF_E2[-1] + 6.0) * INCH
    wanted = [upper, 3.75 * INCH]
    assert found == pytest.approx(sorted([0.0, *wanted, *(12 * INCH - each for each in wanted)]),
                                  abs=0.01)  # fmt: skip


def test_a_ring_that_is_too_short_is_clipped_at_the_arcs_it_goes_round() -> None:
    panel, ring = e2_panel(), strips([30.0 * INCH])
    made = sewn_round(panel, ring)
    around = stitched_round(panel)
    wanted = eased(around, 30.0 * INCH - around)
    assert stations(match_marks(made), ring) == pytest.approx(wanted, abs=0.01)
    clips = stations(seam_marks(made).clips, ring)
    assert clips
    arcs = [(3.75, 6.8916), (8.1084, 11.25), (18.75, 21.8916), (23.1084, 26.25)]
    for clip in clips:
        assert any(low < clip / INCH < high for low, high in arcs)


def test_clips_lie_between_the_notches_of_each_arc() -> None:
    """As many as an open seam has: ceil(pi r / (4 sqrt r)) a right angle, here for 2 in, 6."""
    panel = e2_panel()
    ring = strips([stitched_round(panel)])
    clips = stations(seam_marks(sewn_round(panel, ring)).clips, ring)
    count, radius = 6, 2 * INCH
    assert count == math.ceil(math.pi * radius / (4 * math.sqrt(radius)))
    assert len(clips) == 4 * count
    half = [each * INCH for each in HALF_OF_E2]
    for low, high in ((half[0], half[1]), (half[2], half[3])):
        inside = [each for each in clips if low < each < high]
        assert len(inside) == count
        stretches = [b - a for a, b in pairwise([low, *inside, high])]
        assert max(stretches[1:-1]) ** 2 / (8 * radius) <= 0.5
        assert stretches[0] == pytest.approx(stretches[1] / 2, abs=0.01)
    assert {mark.piece for mark in seam_marks(sewn_round(panel, ring)).clips} == {ring[0].id}


def test_square_corners_are_clipped_once_each_on_a_ring() -> None:
    """K16, pfeist.net: clip exactly at the corner, then turn. Four pieces meet there: no clip."""
    base = piece_of(rounded_edges((320.0, 180.0), [0.0] * 4, [10.0] * 4))
    sides = [300.0, 160.0, 300.0, 160.0]
    one = strips([math.fsum(sides)], 10.0)
    clips = seam_marks(sewn_round(base, one)).clips
    assert stations(clips, one) == pytest.approx([150.0, 310.0, 610.0, 770.0])
    four = strips(sides, 10.0)
    marks = seam_marks(sewn_round(base, four))
    assert not marks.clips
    # What is seen on both sides wants no notch: the front's and the back's middles are left.
    assert stations(marks.notches, four) == pytest.approx([0.0, 460.0])
    assert on_panel(marks.notches, base) == pytest.approx([0.0, 460.0])


def test_a_stadium_is_marked_at_its_middles_and_where_it_begins_to_turn() -> None:
    """Ends of half circles, each in two quarters: what is left of the ends has no length."""
    radius, length = 80.0, 300.0
    base = full_round(length, radius)
    straight_part, quarter = length - 2 * radius, math.pi / 2 * radius
    whole = 2 * straight_part + 4 * quarter
    half = [straight_part / 2 + each * quarter for each in (0, 1, 2)]
    for ring in (strips([whole]), strips([whole / 2] * 2)):
        made = sewn_round(base, ring)
        wanted = both_ways([*half, whole / 2], whole)
        assert on_panel(match_marks(made), base) == pytest.approx(wanted)
        joined = [whole / 2] if len(ring) == 1 else [half[1], whole - half[1]]
        on_ring = [each for each in wanted if all(abs(each - at) > 1.0 for at in joined)]
        assert stations(match_marks(made), ring) == pytest.approx(on_ring)


@pytest.mark.parametrize("turned", [False, True])
def test_a_circle_is_marked_at_its_quarters(turned: bool) -> None:
    """Of a base whose four straight edges have no length left."""
    radius = 90.0
    base = full_round(2 * radius, radius)
    whole = 2 * math.pi * radius
    ring = strips([whole])
    marks = seam_marks(sewn_round(base, ring, turned=turned))
    quarters = [0.0, whole / 4, whole / 2, 3 * whole / 4]
    # Its marks lie where two edges meet, on whichever of them.
    found = [
        (mark.at[0] + S * mark.inward[0], mark.at[1] + S * mark.inward[1])
        for mark in marks.notches
        if mark.piece == base.id
    ]
    middle = radius + S
    wanted = [(middle, S), (2 * radius + S, middle), (middle, 2 * radius + S), (S, middle)]
    assert len(found) == 4
    for each in wanted:
        assert min(math.dist(each, at) for at in found) < 1e-6
    assert stations(marks.notches, ring) == pytest.approx(quarters[:2] + quarters[3:])
    clips = stations(marks.clips, ring)
    assert len(clips) == 4 * math.ceil(math.pi * radius / (4 * math.sqrt(radius)))


def test_a_seam_may_start_in_the_middle_of_an_arc() -> None:
    """Its two halves are clipped each for itself: 3 and 3 of the 6 that 2 in ask for."""
    panel = e2_panel()
    ring = strips([stitched_round(panel)])
    around = refs(panel, *(edge.id for edge in (*panel.edges[1:], panel.edges[0])))
    seam = Seam(
        id=SeamId("body", SeamRole.RING), label="seam", one=around, other=feet(ring), closed=True
    )
    marks = seam_marks(draft((panel, *ring), (seam,)))
    radius = 2 * INCH
    first = [each for each in stations(marks.clips, ring) if each < math.pi / 4 * radius]
    assert first == pytest.approx([math.pi / 4 * radius / 6 * each for each in (1, 3, 5)])
    assert stations(marks.notches, ring)[:2] == pytest.approx([0.0, math.pi / 4 * radius])


def full_round(length: float, radius: float) -> Piece:
    """A base on its stitch lines so long and twice the radius deep, its ends rounded in full.

    Straight edges that are used up stay as edges without length, as a body tells them.
    """
    width, depth = length + 2 * S, 2 * (radius + S)
    cut = radius + S
    corners = [(cut, 0.0), (width - cut, 0.0), (width, cut), (width, depth - cut)]
    corners += [(width - cut, depth), (cut, depth), (0.0, depth - cut), (0.0, cut)]
    headings = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)]
    edges: list[Edge] = []
    for number in range(4):
        start, end = corners[2 * number], corners[2 * number + 1]
        edges.append(Edge(straight(number), start, end, S, headings[number]))
        after = corners[(2 * number + 2) % 8]
        edges.append(edge_between(arc(number), end, after, allowance=S, turn=math.pi / 2))
    return piece_of(tuple(edges))


@given(
    radii=st.lists(st.floats(20.0, 45.0), min_size=4, max_size=4),
    allowance=st.floats(0.0, 12.0),
    shares=st.lists(st.floats(0.2, 3.0), min_size=1, max_size=4),
    turned=st.booleans(),
)
def test_each_notch_has_its_own_opposite_it(
    radii: list[float], allowance: float, shares: list[float], turned: bool
) -> None:
    """On any panel in any ring as long as it is: a notch, or a joint that is seen."""
    panel = piece_of(rounded_edges((300.0, 200.0), radii, [allowance] * 4))
    whole = stitched_round(panel)
    lengths = [share / math.fsum(shares) * whole for share in shares]
    ring = strips(lengths, allowance)
    marks: SeamMarks = seam_marks(sewn_round(panel, ring, turned=turned))
    joins = [each - lengths[0] / 2 for each in accumulate(lengths)]
    mine, theirs = on_panel(marks.notches, panel), stations(marks.notches, ring)
    for place in mine:
        assert min(_round_apart(place, each, whole) for each in [*theirs, *joins]) < 0.03
    for place in [*theirs, *joins]:
        assert min(_round_apart(place, each, whole) for each in mine) < 0.03


def _round_apart(one: float, other: float, whole: float) -> float:
    apart = abs(one - other) % whole
    return min(apart, whole - apart)


def test_an_edge_that_is_overrun_leaves_the_seam_without_marks() -> None:
    """A strip shorter than its own two allowances."""
    panel = e2_panel()
    long, short = strips([stitched_round(panel), 10.0])
    left, right = short.edges[3], short.edges[1]
    narrow = piece_of(
        tuple(
            edge._replace(allowance=120.0) if edge in (left, right) else edge
            for edge in short.edges
        ),
        2,
    )
    assert stitch_outline(narrow).length(straight(0)) < 0.0
    assert seam_marks(sewn_round(panel, [long, narrow])) == SeamMarks((), ())


def test_a_hem_round_a_ring_has_its_start_and_its_far_middle() -> None:
    ring = strips([200.0, 100.0, 200.0, 100.0])
    seam = Seam(
        id=SeamId("top", SeamRole.HEM),
        label="hem",
        one=tuple(ref for piece in ring for ref in refs(piece, straight(2))),
        closed=True,
    )
    marks = match_marks(draft(ring, (seam,)))
    assert [(mark.piece.number, mark.at[0]) for mark in marks] == [
        (1, pytest.approx(100.0 + S)),
        (3, pytest.approx(100.0 + S)),
    ]


def test_walls_are_eased_into_their_base_all_round() -> None:
    """What the corners begin and end at is spread alike over front and back: as the steps tell."""
    bag = with_figures(sample("jar"), {"body_width": 421.0})
    made = draft_bag(bag)
    for face in FACES:
        piece = next(each for each in made.walls if each.id.face is face)
        left, _, right, _ = piece.bounds
        places = [
            each.at[0] - (left + right) / 2
            for each in match_marks(made)
            if each.piece == piece.id and each.seam.role is SeamRole.BASE
        ]
        begins = (421.0 - 2 * 10.0) * 2 / bag.body.way_round * (280.0 / 2 - 60.0)
        assert sorted(places)[3] == pytest.approx(begins)
        assert sorted(places) == pytest.approx([-each for each in sorted(places, reverse=True)])
