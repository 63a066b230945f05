"""The rigid zones of a folding bag: where each one lies on the sheet.

A zone is a flat part of the wall between hinges. Its own frame is (x, w), mm: x across
the panel, w up its side of the bag from the bottom line. What is folded over the top is
counted in the w of the side that it comes to lie on, so that in the folded bag a zone
and the zones beside it on the same side share one frame.
"""

from dataclasses import dataclass
from enum import IntEnum

from core.bodies.boxed_panel.wall import Wall
from core.flat.clip import HalfPlane, clip_polygon
from core.flat.piece import Point
from core.flat.roles import Face


class Zone(IntEnum):
    """Every zone that a bag may have."""

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
    HANDLE_FRONT = 17
    HANDLE_FRONT_TOP = 18
    HANDLE_BACK = 19
    HANDLE_BACK_TOP = 20

    @property
    def face(self) -> Face:
        """The side of the folded bag on which it lies."""
        return Face.BACK if self in _BACK else Face.FRONT


_BACK = {
    Zone.BASE_BACK,
    Zone.BACK,
    Zone.BACK_LEFT,
    Zone.BACK_RIGHT,
    Zone.ZIP_OVER,
    Zone.ZIP_OVER_LEFT,
    Zone.ZIP_OVER_RIGHT,
    Zone.HANDLE_BACK,
    Zone.HANDLE_BACK_TOP,
}
FRONT_ZONES = (Zone.BASE_FRONT, Zone.FRONT, Zone.FRONT_LEFT, Zone.FRONT_RIGHT)
BACK_ZONES = (Zone.BASE_BACK, Zone.BACK, Zone.BACK_LEFT, Zone.BACK_RIGHT)
ZIP_ZONES = (Zone.ZIP, Zone.ZIP_LEFT, Zone.ZIP_RIGHT)
ZIP_OVER_ZONES = (Zone.ZIP_OVER, Zone.ZIP_OVER_LEFT, Zone.ZIP_OVER_RIGHT)
FLAP_ZONES = (Zone.FLAP, Zone.FLAP_LEFT, Zone.FLAP_RIGHT)


@dataclass(frozen=True, slots=True)
class Place:
    """One zone on the sheet.

    Attributes:
        zone: which.
        limits: half planes in (x, w) that bound it.
        outline: its convex polygon in (x, w), mm; at least three corners.
        box: (left, low, right, high) of the outline: least and greatest x and w.
    """

    zone: Zone
    limits: tuple[HalfPlane, ...]
    outline: tuple[Point, ...]
    box: tuple[float, float, float, float]


def places(sheet: Wall, *, foldable: bool = True) -> dict[Zone, Place]:
    """The zones of the wall that this sheet has, by name; handles are not among them.

    Args:
        foldable: False when the sheet can only be shown flat; then each face is one zone.
    """
    boxed = sheet.has_corners and foldable
    half = sheet.top_fold if sheet.closed else float("inf")
    corner = sheet.corner if boxed else 0.0
    found: dict[Zone, Place] = {}
    for zones, low, high in (
        (FRONT_ZONES[1:], corner, min(sheet.front_top, half)),
        (BACK_ZONES[1:], corner, min(sheet.back_top, half)),
        (ZIP_ZONES, sheet.front_top, min(sheet.front_top + sheet.zip_width, half)),
        (ZIP_OVER_ZONES, sheet.back_top, half),
        (FLAP_ZONES, sheet.loop - sheet.back_top, half),
    ):
        if low < high < float("inf"):
            for zone, across in zip(zones, _strips(sheet, boxed=boxed), strict=False):
                _add(found, sheet, zone, across, (low, high))
    if boxed:
        ends = ((-1.0, 0.0, -sheet.base_left), (1.0, 0.0, sheet.base_right))
        for zone in (Zone.BASE_FRONT, Zone.BASE_BACK):
            _add(found, sheet, zone, ends, (0.0, corner))
    return found


def side_slopes(sheet: Wall) -> tuple[float, float]:
    """How far the hinges of the left and right sides run across for each mm up.

    They run from the corner of the base to the end of the top fold, or straight up when
    the top is open.
    """
    if not sheet.closed:
        return 0.0, 0.0
    height = sheet.face_height
    return (sheet.left - sheet.base_left) / height, (sheet.right - sheet.base_right) / height


def _strips(sheet: Wall, *, boxed: bool) -> tuple[tuple[HalfPlane, ...], ...]:
    """Sideways bounds of the middle, left and right zone of a side; one zone on a pillow."""
    if not boxed:
        return ((),)
    left, right = side_slopes(sheet)
    left_at = sheet.base_left - left * sheet.corner
    right_at = sheet.base_right - right * sheet.corner
    return (
        ((-1.0, left, -left_at), (1.0, -right, right_at)),
        ((1.0, -left, left_at),),
        ((-1.0, right, -right_at),),
    )


def _add(
    found: dict[Zone, Place],
    sheet: Wall,
    zone: Zone,
    across: tuple[HalfPlane, ...],
    span: tuple[float, float],
) -> None:
    low, high = span
    limits = (*across, (0.0, -1.0, -low), (0.0, 1.0, high))
    box = ((sheet.left, low), (sheet.right, low), (sheet.right, high), (sheet.left, high))
    outline = clip_polygon(box, limits)
    if outline:
        xs = [x for x, _ in outline]
        found[zone] = Place(zone, limits, tuple(outline), (min(xs), low, max(xs), high))
