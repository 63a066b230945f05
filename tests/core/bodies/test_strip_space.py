"""Gusset strips and wraps as they fold: rigid, the strip round the panels, seams that meet.

Source: the seam itself. Both of its sides are walked on their stitch lines, and lie in one place.
"""

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from core.bodies.gusset_strip.body import GussetStrip, StripBody, Wrap
from core.bodies.gusset_strip.space import JOIN_GAP, strip_folding
from core.flat.geometry import Frame2
from core.flat.roles import EdgeRef, Face, PieceId, PieceRole, SeamRole
from core.flat.seam import Draft
from core.space.zones import AreaKind, Closing, ClosingRow, Folding, Frames, Spatial, dot
from tests.core.bodies.strip_bags import KINDS, drafted, e2, matched, measured, open_bag

HALVES = [PieceId("top", PieceRole.WALL, face) for face in (Face.FRONT, Face.BACK)]
ZIP = PieceId("top", PieceRole.TAPE)


def top_strip(body: StripBody) -> Closing | None:
    """Two halves of a strip with a zip of 20 between them, each in a frame of its own."""
    if not body.closed:
        return None
    deep, length = body.strip_width - 2 * body.gusset_seam, body.drawn_gap
    half = (deep - 20.0) / 2
    rows = (
        ClosingRow(HALVES[0], AreaKind.WALL, 0.0, half, Frame2((-length / 2, 0.0))),
        # Drawn from its other end, and upright.
        ClosingRow(ZIP, AreaKind.TAPE, half, half + 20.0, Frame2((0.0, half), (0.0, 1.0),
                                                                (-1.0, 0.0))),
        ClosingRow(HALVES[1], AreaKind.WALL, half + 20.0, deep, Frame2((-7.0, half + 17.0))),
    )  # fmt: skip
    return Closing(ZIP, deep, Frame2(), rows, length)


OPEN = {
    "square": open_bag(corner_rounding=0.0),
    "rounded": open_bag(),
    "pieces": open_bag(strip_pieces=4),
    "joined on corners": open_bag(strip_pieces=3, face_cut_width=260.0),
}
CLOSED = {
    "e2": e2(),
    "square ring": e2(corner_rounding=0.0, upper_rounding=0.0),
    "joined": e2(strip_pieces=3),
    "short top": e2(top_strip_length=100.0),
    "top ends on a corner": e2(top_strip_length=330.0),
    "one pair": e2(upper_rounding=0.0, strip_pieces=2),
}
BODIES: dict[str, StripBody] = {}
for name, own in (OPEN | CLOSED).items():
    BODIES[name] = matched(own)
    values = {figure.attribute: getattr(own, figure.attribute) for figure in own.FIGURES}
    BODIES[f"{name} of a wrap"] = matched(Wrap(**values))
EVERY = pytest.mark.parametrize("name", BODIES)


def folded(body: StripBody) -> tuple[Folding, Draft]:
    draft = drafted(body)
    return strip_folding(body, draft, top_strip(body)), draft


def is_round(body: StripBody) -> bool:
    return body.corner_rounding > 0.0 or body.upper_rounding > 0.0


@EVERY
@pytest.mark.parametrize("at", [0.0, 0.3, 0.5, 0.6, 0.8, 1.0])
def test_frames_are_rigid_and_no_piece_is_torn(name: str, at: float) -> None:
    folding, _ = folded(BODIES[name])
    frames = folding.frames(at)
    assert set(frames) == {zone.key for zone in folding.zones}
    for frame in frames.values():
        assert dot(frame.across, frame.up) == pytest.approx(0.0, abs=1e-12)
        assert math.hypot(*frame.across) == pytest.approx(1.0)
        assert math.hypot(*frame.up) == pytest.approx(1.0)
    for one, other in pairwise(folding.zones[2:]):
        if one.piece == other.piece:
            shared = set(one.outline) & set(other.outline)
            assert len(shared) == 2
            for corner in shared:
                ends = (frames[each.key].at(corner) for each in (one, other))
                assert next(ends) == pytest.approx(next(ends), abs=1e-9)


@EVERY
def test_at_first_all_stands_in_the_plane_of_the_front(name: str) -> None:
    """Its right side to the eye, and the front upright where the sewn bag has it."""
    folding, _ = folded(BODIES[name])
    sewn = folding.frames(1.0)
    front = folding.zones[folding.carriers[Face.FRONT]].key
    for at in (0.0, 0.1, 0.2):
        frames = folding.frames(at)
        for zone in folding.zones:
            assert frames[zone.key].normal == pytest.approx((0.0, -1.0, 0.0), abs=1e-9)
            assert frames[zone.key].origin[1] == pytest.approx(sewn[front].origin[1], abs=1e-9)
    assert {place for plate in folding.plates for place in plate.zones} == set(
        range(len(folding.zones))
    )


@EVERY
def test_the_front_stands_where_it_will_from_the_first_on(name: str) -> None:
    body = BODIES[name]
    folding, _ = folded(body)
    front = folding.zones[folding.carriers[Face.FRONT]]
    sewn = folding.frames(1.0)[front.key]
    for at in (0.0, 0.2, 0.3, 0.4, 0.5, 0.7):
        now = folding.frames(at)[front.key]
        for one, other in zip(now, sewn, strict=True):
            assert one == pytest.approx(other, abs=1e-9)
    (lie,) = folding.lies[Face.FRONT]
    low, high = (sewn.at(lie.frame.at((0.0, y)))[2] for y in (0.0, 1.0))
    assert high - low == pytest.approx(1.0)


@EVERY
def test_once_folded_the_strip_has_gone_round_and_what_is_open_lies_on_the_ground(
    name: str,
) -> None:
    body = BODIES[name]
    folding, _ = folded(body)
    half, sewn = folding.frames(0.5), folding.frames(1.0)
    open_yet = [face for face in body.MAKES.panels if face is not Face.FRONT]
    for zone in folding.zones:
        if zone.piece.face in open_yet and zone.piece.owner == "body":
            assert half[zone.key].normal == pytest.approx((0.0, 0.0, -1.0), abs=1e-9)
            for _, _, z in half[zone.key].all_at(zone.outline):
                assert z == pytest.approx(0.0, abs=1e-9)
        else:
            for one, other in zip(half[zone.key], sewn[zone.key], strict=True):
                assert one == pytest.approx(other, abs=1e-9)


@EVERY
def test_nothing_jumps(name: str) -> None:
    """And no hundredth of the way moves anything farther than half of the bag."""
    folding, _ = folded(BODIES[name])
    for middle in (0.2, 0.5, 0.75):
        then = folding.frames(middle)
        for at in (middle - 1e-6, middle + 1e-6):
            now = folding.frames(at)
            for zone in folding.zones:
                for corner in zone.outline:
                    assert now[zone.key].at(corner) == pytest.approx(
                        then[zone.key].at(corner), abs=0.01
                    )
    for number in range(100):
        one, other = (folding.frames((number + more) / 100) for more in (0, 1))
        for zone in folding.zones:
            for corner in zone.outline:
                assert math.dist(one[zone.key].at(corner), other[zone.key].at(corner)) < 150.0


def placed(folding: Folding, frames: Frames, ref: EdgeRef, draft: Draft, share: float) -> Spatial:
    """Where a point of an edge's stitch line lies: on the zone of its piece that it is nearest."""
    point = draft.outlines[ref.piece].stitched(ref.edge).point_at(share)
    zones = [zone for zone in folding.zones if zone.piece == ref.piece]

    def off(limits: tuple[tuple[float, float, float], ...]) -> float:
        return max(a * point[0] + b * point[1] - c for a, b, c in limits)

    zone = min(zones, key=lambda zone: off(zone.limits))
    return frames[zone.key].at(point)


def walked(
    chain: tuple[EdgeRef, ...], draft: Draft, at: float, *, back: bool
) -> tuple[EdgeRef, float]:
    """The edge so far along a chain, and the share of it."""
    for ref in chain:
        length = draft.outlines[ref.piece].length(ref.edge)
        if at <= length or ref is chain[-1]:
            share = min(at / length, 1.0)
            return ref, 1.0 - share if back else share
        at -= length
    raise AssertionError


@EVERY
def test_the_sewn_seams_meet(name: str) -> None:
    """To 1e-6 of the size where corners are square.

    Six flats lie off an arc by less than 0.9 % of its radius; and a point at the same length along
    both is no farther off than that, and what the chords of the panel's arc leave out.
    """
    body = BODIES[name]
    folding, draft = folded(body)
    frames = folding.frames(1.0)
    near = 1e-6 * 300.0
    if is_round(body):
        near = 0.012 * max(body.stitched_radius, body.stitched_upper_radius)
    ring = body.mouth().ring
    if ring is None:
        chains = [(seam.one, seam.other) for seam in body.seams() if seam.id.role is SeamRole.RING]
    else:
        chains = [(ring.panels[face][1:], ring.strips[face]) for face in body.MAKES.panels]
    for one, other in chains:
        total = math.fsum(draft.outlines[ref.piece].length(ref.edge) for ref in other)
        mine = math.fsum(draft.outlines[ref.piece].length(ref.edge) for ref in one)
        start = (mine - total) / 2  # from the middle of the bottom
        for number in range(41):
            at = total * number / 40
            if not 0.0 <= start + at <= mine:
                continue  # within the top of the panel
            ends = [
                placed(folding, frames, *_first(walked(one, draft, start + at, back=False), draft)),
                placed(folding, frames, *_first(walked(other, draft, at, back=True), draft)),
            ]
            assert math.dist(*ends) <= near, (at, ends)


def _first(found: tuple[EdgeRef, float], draft: Draft) -> tuple[EdgeRef, Draft, float]:
    return found[0], draft, found[1]


@EVERY
def test_the_ring_closes_and_looks_outwards(name: str) -> None:
    body = BODIES[name]
    folding, _ = folded(body)
    frames = folding.frames(1.0)
    assert folding.closed is body.closed
    assert folding.flat_only is None
    assert folding.gaps(frames) == ()
    high = measured(body)["face_height"]
    for zone in folding.zones:
        corners = [frames[zone.key].at(corner) for corner in zone.outline]
        middle = [math.fsum(axis) / len(corners) for axis in zip(*corners, strict=True)]
        out = frames[zone.key].normal
        assert dot(out, (middle[0], middle[1], middle[2] - high / 2)) > 0.0
        if zone.floor:
            assert out == pytest.approx((0.0, 0.0, -1.0), abs=1e-9)
    if body.closed:
        strip = [zone for zone in folding.zones if zone.kind is AreaKind.WALL][2:]
        rows = [zone for zone in folding.zones if zone.piece == HALVES[0]]
        tapes = [zone for zone in folding.zones if zone.piece == ZIP]
        assert len(rows) == len(tapes) >= 1
        first, last = strip[0], rows[-1]
        low = frames[first.key].at((body.gusset_seam, -body.drawn_strip / 2))
        far = [frames[last.key].at(corner) for corner in last.outline]
        assert min(math.dist(low, each) for each in far) < 0.02 * 51.0 + 1e-6
        # From the seam of the first panel to that of the second.
        ends = [point for zone in folding.zones if zone.piece.owner == "top"
                for point in frames[zone.key].all_at(zone.outline)]  # fmt: skip
        axis, half = (1 if isinstance(body, GussetStrip) else 0), body.strip_width / 2
        assert min(point[axis] for point in ends) == pytest.approx(body.gusset_seam - half)
        assert max(point[axis] for point in ends) == pytest.approx(half - body.gusset_seam)
        # On its own piece each row lies between its stitch lines, and from join to join.
        closing = top_strip(body)
        assert closing is not None
        for row in closing.rows:
            own = [row.frame.at(corner) for zone in folding.zones if zone.piece == row.piece
                   for corner in zone.outline]  # fmt: skip
            box = [edge(at[axis] for at in own) for axis in (0, 1) for edge in (min, max)]
            half_length = closing.length / 2
            assert box == pytest.approx([-half_length, half_length, row.low, row.high], abs=1e-9)
        # Row lies beside row.
        for one, other in zip(rows, tapes, strict=True):
            ends = ([frames[each.key].at(corner) for corner in each.outline]
                    for each in (one, other))  # fmt: skip
            mine, others = ends
            near = [min(math.dist(a, b) for b in others) for a in mine]
            assert sorted(near)[:2] == pytest.approx([0.0, 0.0], abs=1e-9)


@EVERY
def test_pieces_lie_apart_at_first(name: str) -> None:
    folding, _ = folded(BODIES[name])
    frames = folding.frames(0.0)
    boxes: dict[PieceId, list[Spatial]] = {}
    for zone in folding.zones:
        boxes.setdefault(zone.piece, []).extend(frames[zone.key].all_at(zone.outline))
    panels = [boxes[PieceId("body", PieceRole.WALL, face)] for face in BODIES[name].MAKES.panels]
    strip = [point for piece, points in boxes.items() if piece.face is None for point in points]
    if isinstance(BODIES[name], GussetStrip):  # the front above, the back below
        (axis, above, below), gap = (2, *panels), JOIN_GAP
    else:  # the left at the left
        (axis, below, above), gap = (0, *panels), JOIN_GAP
    low, high = (edge(point[axis] for point in strip) for edge in (min, max))
    assert max(point[axis] for point in below) == pytest.approx(low - gap, abs=1e-6)
    assert min(point[axis] for point in above) == pytest.approx(high + gap, abs=1e-6)


@EVERY
def test_the_sizes_are_those_on_the_stitch_lines(name: str) -> None:
    body = BODIES[name]
    folding, _ = folded(body)
    frames = folding.frames(1.0)
    sizes = measured(body)
    assert [each.figure for each in folding.sizes] == ["face_width", "gusset_depth", "face_height"]
    for size in folding.sizes:
        start, end = (frames[folding.zones[zone].key].at(point)
                      for zone, point in (size.start, size.end))  # fmt: skip
        assert math.dist(start, end) == pytest.approx(sizes[size.figure], abs=1e-6)
        way = {"face_width": 0, "gusset_depth": 1, "face_height": 2}[size.figure]
        assert abs(end[way] - start[way]) == pytest.approx(sizes[size.figure], abs=1e-6)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("off", [6.0, -6.0])
def test_a_strip_of_another_length_shows_where_it_ends(kind: type[StripBody], off: float) -> None:
    """Half of it at either end of an open strip; all where a ring closes."""
    square = matched(open_bag(kind, corner_rounding=0.0))
    longer = replace(square, strip_length=square.strip_length + off)
    folding, _ = folded(longer)
    gaps = folding.gaps(folding.frames(1.0))
    assert [gap.face for gap in gaps] == list(longer.MAKES.legs)
    for gap in gaps:
        assert (gap.pucker, gap.figure) == (off > 0.0, "gusset_mismatch")
        assert math.dist(gap.start, gap.end) == pytest.approx(abs(off) / 2)
    ring = matched(e2(kind, corner_rounding=0.0, upper_rounding=0.0))
    longer = replace(ring, strip_length=ring.strip_length + off)
    folding, _ = folded(longer)
    (gap,) = folding.gaps(folding.frames(1.0))
    assert gap.pucker is (off > 0.0)
    assert math.dist(gap.start, gap.end) == pytest.approx(abs(off))


def test_a_strip_that_does_not_reach_round_the_corners_is_shown_flat() -> None:
    short = open_bag(strip_length=350.0)
    folding, _ = folded(short)
    assert folding.flat_only is not None
    assert "too short" in folding.flat_only.text()
    assert folding.frames(0.0)


@EVERY
def test_faces_lie_where_they_are_seen(name: str) -> None:
    """A little above the middle of each face's base line, on the sewn bag."""
    body = BODIES[name]
    folding, _ = folded(body)
    frames = folding.frames(1.0)
    outs = {
        Face.FRONT: (0.0, -1.0, 0.0), Face.BACK: (0.0, 1.0, 0.0), Face.LEFT: (-1.0, 0.0, 0.0),
        Face.RIGHT: (1.0, 0.0, 0.0),
    }  # fmt: skip
    assert set(folding.lies) == {*outs, Face.BASE}
    for face, out in outs.items():
        (lie,) = folding.lies[face]
        carrier = folding.zones[folding.carriers[face]]
        assert carrier.region is face
        assert frames[carrier.key].normal == pytest.approx(out, abs=1e-9)
        x, brim = 20.0, folding.brims[face]
        point = lie.frame.at((x, brim))
        inner = frames[carrier.key].at(point)
        if face in body.MAKES.panels:
            assert inner[2] == pytest.approx(measured(body)["face_height"])
        if face in (Face.FRONT, Face.BACK):
            assert inner[0] == pytest.approx(x, abs=1e-6), "x runs to the bag's right"
    (base, *_) = folding.lies[Face.BASE]
    zone = next(zone for zone in folding.zones if zone.floor and zone.piece == base.piece)
    x, y, z = frames[zone.key].at(base.frame.at((3.0, 5.0)))
    assert (x, y, z) == pytest.approx((3.0, -5.0, 0.0), abs=1e-9)
