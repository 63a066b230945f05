"""Strips bent round corners, and zones turned about hinges: against circles and boxes."""

import math
from enum import IntEnum
from itertools import pairwise

import pytest

from core.flat.geometry import Frame2, clip_polygon
from core.flat.roles import Face, PieceId, PieceRole
from core.space.strips import (
    BentStrip,
    Hinge,
    StripPart,
    StripStretch,
    bent_strip,
    between,
    hinged,
    limits_of,
)
from core.space.zones import Frame, LineKind, cross, dot

Key = IntEnum("Key", [f"KEY_{number}" for number in range(40)])
KEYS = tuple(Key)
ONE, OTHER, PANEL = (
    PieceId("body", PieceRole.WALL, face) for face in (Face.BASE, Face.LEFT, Face.FRONT)
)
QUARTER = math.pi / 2
GROUND = Frame((0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))
"""Its piece's y runs to the bag's right, its x to the back; its right side looks down."""


def leg(radius: float) -> list[StripStretch]:
    """Half of a bottom of 200, a corner, and a side of 150."""
    return [
        StripStretch(100.0, floor=True),
        StripStretch(radius * QUARTER, QUARTER),
        StripStretch(150.0, region=Face.RIGHT),
    ]


def strip(stretches: list[StripStretch], *parts: StripPart, start: float = 0.0) -> BentStrip:
    return bent_strip(stretches, parts or (part(ONE),), (-40.0, 60.0), start=start)


def part(piece: PieceId, low: float = -1e9, high: float = 1e9, **more: Frame2) -> StripPart:
    return StripPart(piece, low, high, more.get("frame", Frame2()))


def stations(bent: BentStrip, frames: dict) -> list[tuple[float, float, float]]:
    """Where the left edge's flats start and end."""
    return [
        frames[KEYS[i]].at(each.part.frame.at((bent.left, along)))
        for i, each in enumerate(bent.flats)
        for along in (each.low, each.high)
    ]


@pytest.mark.parametrize("radius", [5.0, 40.0, 140.0])
def test_a_bent_strip_ends_where_the_arc_ends(radius):
    """On a circle of that radius: hinges lie off it by less than half a percent."""
    bent = strip(leg(radius))
    now = hinged({KEYS[0]: GROUND}, bent.hinges(KEYS, 0), 1.0)
    points = stations(bent, now)
    assert len(bent.flats) == 8
    assert points[-1] == pytest.approx((100.0 + radius, -40.0, radius + 150.0), abs=1e-9)
    assert now[KEYS[7]].normal == pytest.approx((1.0, 0.0, 0.0), abs=1e-12)
    for x, _, z in points[1:-1]:
        assert abs(math.hypot(x - 100.0, z - radius) - radius) < radius / 200


@pytest.mark.parametrize("at", [0.0, 0.3, 1.0])
def test_frames_stay_rigid_and_flats_hang_together(at):
    bent = strip(leg(30.0))
    now = hinged({KEYS[0]: GROUND}, bent.hinges(KEYS, 0), at)
    for frame in now.values():
        assert dot(frame.across, frame.up) == pytest.approx(0.0, abs=1e-12)
        assert math.hypot(*frame.across) == pytest.approx(1.0)
        assert cross(frame.across, frame.up) == pytest.approx(frame.normal)
    points = stations(bent, now)
    for end, start in zip(points[1::2], points[2::2], strict=False):
        assert end == pytest.approx(start, abs=1e-9)
    if at == 0.0:
        assert points[-1] == pytest.approx((250.0 + 30.0 * QUARTER, -40.0, 0.0))


def test_a_square_corner_takes_no_flat_and_turns_at_once():
    bent = strip([StripStretch(100.0), StripStretch(0.0, QUARTER), StripStretch(150.0)])
    assert [(each.low, each.high, each.turn) for each in bent.flats] == [
        (0.0, 100.0, 0.0),
        (100.0, 250.0, QUARTER),
    ]
    points = stations(bent, hinged({KEYS[0]: GROUND}, bent.hinges(KEYS, 0), 1.0))
    assert points[-1] == pytest.approx((100.0, -40.0, 150.0), abs=1e-9)


def test_arcs_that_meet_share_a_hinge_and_make_half_a_circle():
    """A stadium's end: a strip of half a circle's girth ends one diameter away, turned about."""
    arc = StripStretch(50.0 * QUARTER, QUARTER)
    bent = strip([StripStretch(80.0), arc, arc, StripStretch(80.0)])
    now = hinged({KEYS[0]: GROUND}, bent.hinges(KEYS, 0), 1.0)
    assert stations(bent, now)[-1] == pytest.approx((0.0, -40.0, 100.0), abs=1e-9)
    assert math.fsum(each.turn for each in bent.flats) == pytest.approx(math.pi)


def test_a_strip_is_told_from_its_middle_both_ways_and_over_pieces():
    """Two pieces that meet within an arc, the second drawn upside down, stand as one does."""
    stretches = [*reversed(leg(30.0)), *leg(30.0)]
    half = 250.0 + 30.0 * QUARTER
    whole = strip(stretches, start=-half)
    turned = Frame2((20.0, 300.0), (-1.0, 0.0), (0.0, -1.0))
    cut = strip(
        stretches, part(ONE, -half, 110.0), part(OTHER, 110.0, half, frame=turned), start=-half
    )
    assert len(cut.flats) == len(whole.flats) + 1
    ends = []
    for bent in (whole, cut):
        root = bent.root(-1.0)
        assert bent.flats[root].stretch.floor
        now = hinged({KEYS[root]: GROUND}, bent.hinges(KEYS, root, gap=12.0), 1.0)
        points = stations(bent, now)
        ends.append((points[0], points[-1]))
        assert points[0] == pytest.approx((-130.0, -40.0, 180.0), abs=1e-9)
    assert ends[0] == tuple(pytest.approx(each, abs=1e-9) for each in ends[1])


def test_pieces_lie_a_gap_apart_until_they_are_joined():
    stretches = [StripStretch(100.0), StripStretch(0.0, QUARTER), StripStretch(150.0)]
    bent = strip(stretches, part(ONE, 0.0, 100.0), part(OTHER, 100.0, 250.0))
    hinges = bent.hinges(KEYS, 0, gap=12.0, span=(0.5, 1.0))
    for at, end in ((0.0, (262.0, -40.0, 0.0)), (0.5, (262.0, -40.0, 0.0))):
        points = stations(bent, hinged({KEYS[0]: GROUND}, hinges, at))
        assert points[-1] == pytest.approx(end)
    points = stations(bent, hinged({KEYS[0]: GROUND}, hinges, 1.0))
    assert points[-1] == pytest.approx((100.0, -40.0, 150.0), abs=1e-9)


def test_a_panel_stands_on_the_strip_and_its_right_side_looks_out():
    """Upright in its own frame: x from its left edge, y up from its lower stitch line."""
    lie = Frame2((-40.0, -100.0), (0.0, 1.0), (-1.0, 0.0))
    hinge = Hinge(KEYS[1], KEYS[0], (-40.0, -100.0), (-40.0, 100.0), QUARTER, lie)
    for at, top in ((0.0, (0.0, -190.0, 0.0)), (1.0, (0.0, -40.0, 150.0))):
        frame = hinged({KEYS[0]: GROUND}, [hinge], at)[KEYS[1]]
        assert frame.at((100.0, 150.0)) == pytest.approx(top, abs=1e-9)
    assert frame.normal == pytest.approx((0.0, -1.0, 0.0), abs=1e-12)


def test_zones_are_convex_and_limited_by_their_sides():
    turned = Frame2((20.0, 300.0), (-1.0, 0.0), (0.0, -1.0))
    bent = strip(leg(30.0), part(ONE, frame=turned))
    zones = bent.zones(KEYS)
    assert [zone.region for zone in zones] == [None] * 7 + [Face.RIGHT]
    assert [zone.floor for zone in zones] == [True] + [False] * 7
    for zone in zones:
        assert not zone.folds, "a round corner is smooth"
        for (x0, y0), (x1, y1) in zip(zone.outline, zone.outline[1:], strict=False):
            assert math.hypot(x1 - x0, y1 - y0) > 1.0
        assert len(clip_polygon(zone.outline, zone.limits)) == 4
        assert area(clip_polygon(_LARGE, zone.limits)) == pytest.approx(area(zone.outline))
        assert area(zone.outline) > 0.0
    for one, other in pairwise(zones):
        assert one.outline[3] == other.outline[0] and one.outline[2] == other.outline[1]


def test_a_square_corner_is_a_crease_of_both_its_zones():
    one, other = strip(
        [StripStretch(100.0), StripStretch(0.0, QUARTER), StripStretch(150.0)]
    ).zones(KEYS)
    (line,), (same,) = one.folds, other.folds
    assert line == same == (LineKind.CREASE, (-40.0, 100.0), (60.0, 100.0))


_LARGE = ((-900.0, -900.0), (900.0, -900.0), (900.0, 900.0), (-900.0, 900.0))


def area(ring) -> float:
    """Signed, by Gauss's formula."""
    turned = zip(ring, (*ring[1:], ring[0]), strict=True)
    return math.fsum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in turned) / 2


def test_limits_of_an_outline_bound_it():
    ring = ((0.0, 0.0), (80.0, -10.0), (100.0, 40.0), (10.0, 60.0))
    assert area(clip_polygon(_LARGE, limits_of(ring))) == pytest.approx(area(ring))


def test_between_two_frames_leads_by_what_both_start_from():
    one = Frame2((3.0, 4.0), (0.0, 1.0), (-1.0, 0.0))
    other = Frame2((-5.0, 1.0), (-1.0, 0.0), (0.0, -1.0))
    point = 7.0, 11.0
    assert between(one, other).at(one.at(point)) == pytest.approx(other.at(point))
