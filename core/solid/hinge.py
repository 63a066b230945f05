"""Where the rigid zones of a bag stand in space as it is folded and sewn.

Frame, mm: x across from the middle of the bag, y from front to back (the front looks
towards -y), z up from the ground. The hinge tree is rooted at the bottom line, which
stays where it is on the ground.

First half: the panel stands upright, front up and back down, right side to the front.
The back is folded up behind the front at the bottom line, and what is longer is folded
over the top. Second half: the halves of the base open like a book, the faces lean so
that the loop stays closed at the top, and the sides turn on their hinges so that the
side seam stays closed wherever the sides reach one another; the corners close last.
"""

import math
from dataclasses import dataclass

import numpy as np

from core.base.arrays import Vector
from core.base.tolerance import LENGTH_TOLERANCE
from core.bodies.boxed_panel.wall import Wall
from core.flat.roles import Face
from core.solid.zones import FLAP_ZONES, ZIP_OVER_ZONES, ZIP_ZONES, Zone, side_slopes

JOIN_GAP = 12.0
"""How far apart pieces that will be joined lie in the flat state, mm."""
HANDLE_LIFT = 3.0
"""How far the loose part of a handle stands off the wall, mm."""
HANDLE_HANGS = math.radians(177.0)
"""How far a hanging handle is turned over from upright."""
HANDLE_LEAN = math.radians(7.0)
"""How far a standing handle leans to its own side."""
FLATTEST_LEAN = 0.94
"""Sine of the most that faces may lean when they are too short to stand on an open base."""

_ACROSS = np.array([1.0, 0.0, 0.0])


@dataclass(frozen=True, slots=True)
class Stand:
    """Where one zone stands: the point (x, w) lies at origin + x * across + w * up.

    Attributes:
        origin, across, up: (3,) float arrays; across and up are orthogonal unit vectors.
        outward: 1 or -1; across x up times this points out of the bag.
    """

    origin: Vector
    across: Vector
    up: Vector
    outward: float

    def at(self, x: float, w: float) -> Vector:
        """(3,) array, mm."""
        return self.origin + x * self.across + w * self.up

    @property
    def normal(self) -> Vector:
        """(3,) unit vector out of the bag."""
        return self.outward * _cross(self.across, self.up)


def ease(share: float) -> float:
    """A smooth way from 0 to 1: starts and ends at rest; held at both ends."""
    held = min(max(share, 0.0), 1.0)
    return held * held * (3.0 - 2.0 * held)


def stands(sheet: Wall, at: float) -> dict[Zone, Stand]:
    """Every zone's stand; `at` runs from 0 (flat) over 1/2 (folded) to 1 (sewn)."""
    if at < 0.5:
        return _laid_up(sheet, at * 2.0)
    return _sewn_up(sheet, ease(at * 2.0 - 1.0))


def _up(angle: float) -> Vector:
    """Straight up, turned towards the back by an angle."""
    return np.array([0.0, math.sin(angle), math.cos(angle)])


def _laid_up(sheet: Wall, share: float) -> dict[Zone, Stand]:
    """First half: the back swings up behind the front, the rest over the top."""
    swing = math.pi * (1.0 - ease(share / 0.75))
    over = math.pi * ease((share - 0.4) / 0.6)
    gap = JOIN_GAP * (1.0 - ease(share))
    up, back_up = _up(0.0), _up(swing)
    centre = -sheet.middle * _ACROSS
    back_origin = centre + (gap * back_up if sheet.seamed else 0.0)
    front = Stand(centre, _ACROSS, up, 1.0)
    back = Stand(back_origin, _ACROSS, back_up, -1.0)
    half = sheet.top_fold
    zip_origin = centre + gap * up
    over_front, over_back = -_up(swing - over), -_up(over)
    flap = Stand(back_origin + half * (back_up - over_front), _ACROSS, over_front, 1.0)
    zip_over = Stand(zip_origin + half * (up - over_back), _ACROSS, over_back, -1.0)
    found = dict.fromkeys((Zone.BASE_FRONT, Zone.FRONT, Zone.FRONT_LEFT, Zone.FRONT_RIGHT), front)
    found |= dict.fromkeys((Zone.BASE_BACK, Zone.BACK, Zone.BACK_LEFT, Zone.BACK_RIGHT), back)
    found |= dict.fromkeys(ZIP_ZONES, Stand(zip_origin, _ACROSS, up, 1.0))
    found |= dict.fromkeys(ZIP_OVER_ZONES, zip_over)
    found |= dict.fromkeys(FLAP_ZONES, flap)
    return found | _handles(sheet, front, back, 0.0)


def _sewn_up(sheet: Wall, share: float) -> dict[Zone, Stand]:
    """Second half: the base opens, the sides close."""
    front = _front_side(sheet, share * widest_opening(sheet))
    back = {zone: _mirrored(stand) for zone, stand in front.items()}
    found = dict(front)
    for zone, twin in _TWINS.items():
        found[twin] = back[zone]
    for i, source in enumerate((Zone.FRONT, Zone.FRONT_LEFT, Zone.FRONT_RIGHT)):
        found[ZIP_ZONES[i]] = found[FLAP_ZONES[i]] = front[source]
        found[ZIP_OVER_ZONES[i]] = back[source]
    return found | _handles(sheet, front[Zone.FRONT], back[Zone.FRONT], share)


def widest_opening(sheet: Wall) -> float:
    """How far each half of the base turns from upright until the bag is sewn, radians.

    A quarter turn; less when the faces of a closed bag are too short to meet above it.
    """
    if not sheet.closed or sheet.face_height >= sheet.corner / FLATTEST_LEAN:
        return math.pi / 2
    return math.asin(FLATTEST_LEAN * sheet.face_height / sheet.corner)


def _front_side(sheet: Wall, opening: float) -> dict[Zone, Stand]:
    centre = -sheet.middle * _ACROSS
    base_up = _up(-opening)
    base = Stand(centre, _ACROSS, base_up, 1.0)
    lean = 0.0
    if sheet.closed:
        lean = math.asin(min(sheet.corner * math.sin(opening) / sheet.face_height, 1.0))
    face_up = _up(lean)
    face = Stand(centre + sheet.corner * (base_up - face_up), _ACROSS, face_up, 1.0)
    found = {Zone.BASE_FRONT: base, Zone.FRONT: face}
    if not sheet.has_corners:
        return found | {Zone.FRONT_LEFT: face, Zone.FRONT_RIGHT: face}
    slopes = side_slopes(sheet)
    for zone, slope, hinge, edge in (
        (Zone.FRONT_LEFT, slopes[0], sheet.base_left, sheet.left),
        (Zone.FRONT_RIGHT, slopes[1], sheet.base_right, sheet.right),
    ):
        found[zone] = _turned_in(face, slope, (hinge, sheet.corner), edge)
    return found


def _turned_in(face: Stand, slope: float, foot: tuple[float, float], edge: float) -> Stand:
    """The side zone, turned on its hinge until its edge meets the middle plane y = 0.

    When it cannot reach that plane it is turned to come as near as it can: the gap that
    is left is the gap that the maker will find.
    """
    pivot = face.at(*foot)
    along = face.at(foot[0] + slope, foot[1] + 1.0) - pivot
    along /= math.sqrt(float(along @ along))
    reach = face.at(edge, foot[1]) - pivot
    on_hinge = (reach @ along) * along
    off = reach - on_hinge
    radius = math.sqrt(float(off @ off))
    inward = -face.normal
    angle = _first_meeting(
        start=float(pivot[1] + on_hinge[1]), there=float(off[1]), aside=float(radius * inward[1])
    )
    axis = _cross(off / radius, inward)
    turn = _rotation(axis, angle)
    return Stand(
        pivot + turn @ (face.origin - pivot), turn @ face.across, turn @ face.up, face.outward
    )


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


def _handles(sheet: Wall, front: Stand, back: Stand, share: float) -> dict[Zone, Stand]:
    """The loose parts of both handles: up the face, and hanging or standing above its top.

    They hang down over the face until the bag is opened, and then are lifted.
    """
    found: dict[Zone, Stand] = {}
    for face, stand, low, high, way in (
        (Face.FRONT, front, Zone.HANDLE_FRONT, Zone.HANDLE_FRONT_TOP, -1.0),
        (Face.BACK, back, Zone.HANDLE_BACK, Zone.HANDLE_BACK_TOP, 1.0),
    ):
        lifted = stand.origin + HANDLE_LIFT * stand.normal
        found[low] = Stand(lifted, stand.across, stand.up, stand.outward)
        leaning = math.atan2(float(stand.up[1]), float(stand.up[2]))
        standing = way * HANDLE_LEAN - leaning
        up = _up(leaning + way * HANDLE_HANGS * (1.0 - share) + standing * share)
        top = handle_hinge(sheet, face)
        found[high] = Stand(lifted + top * (stand.up - up), stand.across, up, stand.outward)
    return found


def handle_hinge(sheet: Wall, face: Face) -> float:
    """Height on a face above which its handle stands free: the top fold, or the hem."""
    return sheet.top_fold if sheet.closed else sheet.top(face)


_TWINS = {
    Zone.BASE_FRONT: Zone.BASE_BACK,
    Zone.FRONT: Zone.BACK,
    Zone.FRONT_LEFT: Zone.BACK_LEFT,
    Zone.FRONT_RIGHT: Zone.BACK_RIGHT,
}
_MIRROR = np.array([1.0, -1.0, 1.0])


def _mirrored(stand: Stand) -> Stand:
    """Front to back: in the middle plane."""
    return Stand(stand.origin * _MIRROR, stand.across * _MIRROR, stand.up * _MIRROR, -stand.outward)


def _cross(one: Vector, other: Vector) -> Vector:
    """np.cross costs twenty times as much for two single vectors."""
    a, b, c = one.tolist()
    d, e, f = other.tolist()
    return np.array([b * f - c * e, c * d - a * f, a * e - b * d])


def _rotation(axis: Vector, angle: float) -> Vector:
    """(3, 3) matrix of a turn about a unit axis (Rodrigues' formula)."""
    x, y, z = axis.tolist()
    across = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    turned = np.eye(3) + math.sin(angle) * across + (1.0 - math.cos(angle)) * (across @ across)
    return np.asarray(turned)
