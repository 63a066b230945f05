"""How the zones of a boxed panel move as it is folded and sewn.

Frame, mm: x across from the middle of the bag, y from front to back, z up from the ground. The
hinges start from the bottom line, which stays where it is on the ground.

First half: the panel stands upright, front up and back down, right side to the front. The back
is folded up behind the front at the bottom line, and what is longer is folded over the top.
Second half: the halves of the base open like a book, the faces lean so that the loop stays
closed at the top, and the sides turn on their hinges so that the side seam stays closed
wherever the sides reach one another; the corners close last.

Zones stand in (x, w): x across as on the panel, w up the side of the folded bag on which they
lie, from the bottom line, so that a zone and the zones beside it share one frame.
"""

import math
from enum import IntEnum

from core.base.tolerance import LENGTH_TOLERANCE
from core.bodies.boxed_panel.wall import Wall
from core.flat.piece import Point
from core.space.zones import Frame, Spatial, add, cross, dot, ease, minus, scaled

JOIN_GAP = 12.0
"""How far apart pieces that will be joined lie in the flat state, mm."""
FLATTEST_LEAN = 0.94
"""Sine of the most that faces may lean when they are too short to stand on an open base."""


class BoxedZone(IntEnum):
    """Every zone that a boxed panel may have."""

    BASE_FRONT = 0
    FRONT = 1
    FRONT_LEFT = 2
    FRONT_RIGHT = 3
    BASE_BACK = 4
    BACK = 5
    BACK_LEFT = 6
    BACK_RIGHT = 7
    ZIP = 8
    ZIP_LEFT = 9
    ZIP_RIGHT = 10
    ZIP_OVER = 11
    ZIP_OVER_LEFT = 12
    ZIP_OVER_RIGHT = 13
    FLAP = 14
    FLAP_LEFT = 15
    FLAP_RIGHT = 16
    ROLL_FRONT_1 = 17
    ROLL_FRONT_2 = 18
    ROLL_FRONT_3 = 19
    ROLL_FRONT_4 = 20
    ROLL_FRONT_5 = 21
    ROLL_FRONT_6 = 22
    ROLL_FRONT_7 = 23
    ROLL_FRONT_8 = 24
    ROLL_FRONT_9 = 25
    ROLL_FRONT_10 = 26
    ROLL_FRONT_11 = 27
    ROLL_FRONT_12 = 28
    ROLL_BACK_1 = 29
    ROLL_BACK_2 = 30
    ROLL_BACK_3 = 31
    ROLL_BACK_4 = 32
    ROLL_BACK_5 = 33
    ROLL_BACK_6 = 34
    ROLL_BACK_7 = 35
    ROLL_BACK_8 = 36
    ROLL_BACK_9 = 37
    ROLL_BACK_10 = 38
    ROLL_BACK_11 = 39
    ROLL_BACK_12 = 40


BASES = (BoxedZone.BASE_FRONT, BoxedZone.BASE_BACK)
FRONTS = (BoxedZone.FRONT, BoxedZone.FRONT_LEFT, BoxedZone.FRONT_RIGHT)
BACKS = (BoxedZone.BACK, BoxedZone.BACK_LEFT, BoxedZone.BACK_RIGHT)
ZIPS = (BoxedZone.ZIP, BoxedZone.ZIP_LEFT, BoxedZone.ZIP_RIGHT)
ZIPS_OVER = (BoxedZone.ZIP_OVER, BoxedZone.ZIP_OVER_LEFT, BoxedZone.ZIP_OVER_RIGHT)
_ROLL_KEYS = tuple(zone for zone in BoxedZone if zone >= BoxedZone.ROLL_FRONT_1)
ROLLS = tuple(zip(_ROLL_KEYS[:12], _ROLL_KEYS[12:], strict=True))
"""Of front and back what each roll takes, the lowest first: above where these come together."""
ROLLED = frozenset(_ROLL_KEYS)
_ROLLING = 0.7
"""From here to the end of the sewing a top is rolled down."""
_THINNEST = 1.0
"""So thick a turn is shown at least, mm: thinner ones could not be told apart."""
FLAPS = (BoxedZone.FLAP, BoxedZone.FLAP_LEFT, BoxedZone.FLAP_RIGHT)


ACROSS = (1.0, 0.0, 0.0)


def stands_at(wall: Wall, at: float) -> dict[BoxedZone, Frame]:
    """Every zone's stand in (x, w), from 0 (flat) over 1/2 (folded) to 1 (sewn)."""
    if at < 0.5:
        return _laid_up(wall, at * 2.0)
    found = _sewn_up(wall, ease(at * 2.0 - 1.0))
    if wall.rolls:
        found |= _rolled_up(wall, found[BoxedZone.FRONT], (at - _ROLLING) / (1.0 - _ROLLING))
    return found


def _up(angle: float) -> Spatial:
    """Straight up, turned towards the back by an angle."""
    return 0.0, math.sin(angle), math.cos(angle)


def _laid_up(wall: Wall, share: float) -> dict[BoxedZone, Frame]:
    """First half: the back swings up behind the front, the rest over the top; in (x, w)."""
    swing = math.pi * (1.0 - ease(share / 0.75))
    over = math.pi * ease((share - 0.4) / 0.6)
    gap = JOIN_GAP * (1.0 - ease(share))
    up, back_up = _up(0.0), _up(swing)
    centre = scaled(ACROSS, -wall.middle)
    back_origin = add(centre, scaled(back_up, gap if wall.seamed else 0.0))
    half = wall.top_fold
    zip_origin = add(centre, scaled(up, gap))
    over_front, over_back = scaled(_up(swing - over), -1.0), scaled(_up(over), -1.0)
    flap_origin = add(back_origin, scaled(minus(back_up, over_front), half))
    zip_over_origin = add(zip_origin, scaled(minus(up, over_back), half))
    found: dict[BoxedZone, Frame] = {}
    for keys, origin, way in (
        ((BoxedZone.BASE_FRONT, *FRONTS, *(front for front, _ in ROLLS)), centre, up),
        ((BoxedZone.BASE_BACK, *BACKS, *(back for _, back in ROLLS)), back_origin, back_up),
        (ZIPS, zip_origin, up),
        (ZIPS_OVER, zip_over_origin, over_back),
        (FLAPS, flap_origin, over_front),
    ):
        found |= dict.fromkeys(keys, Frame(origin, ACROSS, way))
    return found


def _sewn_up(wall: Wall, share: float) -> dict[BoxedZone, Frame]:
    """Second half: the base opens, the sides close; in (x, w)."""
    front = _front_side(wall, share * widest_opening(wall))
    found = dict(front)
    for zone, twin in zip(
        (BoxedZone.BASE_FRONT, *FRONTS), (BoxedZone.BASE_BACK, *BACKS), strict=True
    ):
        found[twin] = _mirrored(front[zone])
    for i, zone in enumerate(FRONTS):
        found[ZIPS[i]] = found[FLAPS[i]] = front[zone]
        found[ZIPS_OVER[i]] = found[BACKS[i]]
    return found


def _rolled_up(wall: Wall, front: Frame, share: float) -> dict[BoxedZone, Frame]:
    """What stands up where the leaning walls meet, the topmost roll turned first.

    Each turn lies round those before it: the lowest one, which is turned last, is outermost.
    """
    found: dict[BoxedZone, Frame] = {}
    depth, turned = wall.rolled / wall.rolls, ease(share)
    at, angle = front.at((0.0, wall.top_fold)), 0.0
    lean = math.atan2(front.up[1], front.up[2])
    for number, keys in enumerate(ROLLS[: wall.rolls]):
        whole = math.pi if number else math.pi - lean  # the lowest comes to lie on the front
        angle -= whole * ease(share * wall.rolls - (wall.rolls - 1 - number))
        up = _up(angle)
        layers = (number + 1) // 2 if number % 2 else wall.rolls - number // 2
        off = scaled(front.normal, layers * max(wall.turn, _THINNEST) * turned)
        start = scaled(up, -(wall.top_fold + number * depth))
        found |= dict.fromkeys(keys, Frame(add(add(at, start), off), ACROSS, up))
        at = add(at, scaled(up, depth))
    return found


def widest_opening(wall: Wall) -> float:
    """How far each half of the base turns from upright until the bag is sewn, radians.

    A quarter turn; less when the faces of a closed bag are too short to meet above it.
    """
    if not wall.closed or wall.face_height >= wall.corner / FLATTEST_LEAN:
        return math.pi / 2
    return math.asin(FLATTEST_LEAN * wall.face_height / wall.corner)


def _front_side(wall: Wall, opening: float) -> dict[BoxedZone, Frame]:
    centre = scaled(ACROSS, -wall.middle)
    base_up = _up(-opening)
    lean = 0.0
    if wall.closed:
        lean = math.asin(min(wall.corner * math.sin(opening) / wall.face_height, 1.0))
    face_up = _up(lean)
    face = Frame(add(centre, scaled(minus(base_up, face_up), wall.corner)), ACROSS, face_up)
    found = {BoxedZone.BASE_FRONT: Frame(centre, ACROSS, base_up), BoxedZone.FRONT: face}
    if not wall.has_corners:
        return found | {BoxedZone.FRONT_LEFT: face, BoxedZone.FRONT_RIGHT: face}
    slopes = side_slopes(wall)
    for zone, slope, hinge, edge in (
        (BoxedZone.FRONT_LEFT, slopes[0], wall.base_left, wall.left),
        (BoxedZone.FRONT_RIGHT, slopes[1], wall.base_right, wall.right),
    ):
        found[zone] = _turned_in(face, slope, (hinge, wall.corner), edge)
    return found


def _turned_in(face: Frame, slope: float, foot: Point, edge: float) -> Frame:
    """The side zone, turned on its hinge until its edge meets the middle plane y = 0.

    When it cannot reach that plane it is turned to come as near as it can: the gap that
    is left is the gap that the maker will find.
    """
    pivot = face.at(foot)
    along = minus(face.at((foot[0] + slope, foot[1] + 1.0)), pivot)
    along = scaled(along, 1.0 / math.sqrt(dot(along, along)))
    reach = minus(face.at((edge, foot[1])), pivot)
    on_hinge = scaled(along, dot(reach, along))
    off = minus(reach, on_hinge)
    radius = math.sqrt(dot(off, off))
    inward = scaled(face.normal, -1.0)
    angle = _first_meeting(start=pivot[1] + on_hinge[1], there=off[1], aside=radius * inward[1])
    return face.turned(pivot, cross(scaled(off, 1.0 / radius), inward), angle)


def _first_meeting(*, start: float, there: float, aside: float) -> float:
    """Least angle >= 0 at which start + there cos + aside sin is 0, or else is nearest to it.

    `start` is negative or 0: the front lies in front of the middle plane.
    """
    amplitude = math.hypot(there, aside)
    furthest = math.atan2(aside, there)
    # Where the reach is exact the two meetings fall together and rounding decides: a
    # difference too small to be a length counts as exact.
    if amplitude + start <= LENGTH_TOLERANCE:
        return furthest
    return furthest - math.acos(-start / amplitude)


def _mirrored(stand: Frame) -> Frame:
    """Front to back: in the middle plane."""
    (x, y, z), (ax, ay, az), (ux, uy, uz) = stand
    return Frame((x, -y, z), (ax, -ay, az), (ux, -uy, uz))


def side_slopes(wall: Wall) -> tuple[float, float]:
    """How far the hinges of the left and right sides run across for each mm up.

    They run from the corner of the base to the end of the top fold, or straight up when
    the top is open.
    """
    if not wall.closed:
        return 0.0, 0.0
    height = wall.face_height
    return (wall.left - wall.base_left) / height, (wall.right - wall.base_right) / height
