"""Finished figures and gaps where they show on the sewn bag, measured in space, mm."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from core.base.arrays import Vector
from core.base.tolerance import same_length
from core.bodies.boxed_panel.wall import Wall
from core.solid.hinge import Stand, widest_opening
from core.solid.zones import Zone


@dataclass(frozen=True, slots=True)
class Dimension:
    """One figure on the bag.

    Attributes:
        figure: its fixed name.
        start, end: (3,) arrays, mm: where it is measured.
        aside: (3,) unit vector: the way in which the dimension line is set off the bag.
        anchors: two (3,) arrays, mm: points of the bag that extension lines start from.
    """

    figure: str
    start: Vector
    end: Vector
    aside: Vector
    anchors: tuple[Vector, Vector]

    @property
    def length(self) -> float:
        """Measured in space, mm."""
        return distance(self.start, self.end)


@dataclass(frozen=True, slots=True)
class Gap:
    """A place where a seam does not meet.

    Attributes:
        hand: "left" or "right".
        figure: what is out: "corner_mismatch".
        pucker: True when the side edges are too long for the end of the base and stand
            off it, False when they are too short and the side seam stays open.
        outlines: (n, 3) arrays, mm: the openings, each nearly flat.
        start, end: (3,) arrays, mm: across the opening where it is widest.
    """

    hand: str
    figure: str
    pucker: bool
    outlines: tuple[Vector, ...]
    start: Vector
    end: Vector

    @property
    def width(self) -> float:
        """Measured across the opening, mm."""
        return distance(self.start, self.end)


def distance(one: Vector, other: Vector) -> float:
    """Between two points in space, mm."""
    return math.dist(one.tolist(), other.tolist())


def dimensions(sheet: Wall, now: Mapping[Zone, Stand]) -> tuple[Dimension, ...]:
    """Base width, gusset depth, face height, and the zip's place on the face it lies on."""
    front, back = now[Zone.FRONT], now[Zone.BACK]
    top = sheet.top_fold
    left, right = sheet.base_left, sheet.base_right
    found: list[Dimension] = []
    if sheet.has_corners:
        ends = front.at(left, sheet.corner), front.at(right, sheet.corner)
        found.append(Dimension("base_width", *ends, _FORWARD, ends))
        # A bottom that cannot open all the way shows no true depth.
        if widest_opening(sheet) >= math.pi / 2:
            ends = front.at(right, sheet.corner), back.at(right, sheet.corner)
            found.append(Dimension("gusset_depth", *ends, _RIGHTWARD, ends))
    edge = sheet.left if sheet.closed else left
    ends = front.at(edge, sheet.corner), front.at(edge, top)
    anchors = front.at(left, sheet.corner), ends[1]
    found.append(Dimension("face_height", *ends, -front.across, anchors))
    if sheet.closed:
        at = sheet.front_top + sheet.zip_width / 2
        stand, at = (back, sheet.loop - at) if at > top else (front, at)
        ends = stand.at(sheet.right, top), stand.at(sheet.right, at)
        found.append(Dimension("zip_offset", *ends, front.across, ends))
    return tuple(found)


_FORWARD = np.array([0.0, -1.0, 0.0])
_RIGHTWARD = np.array([1.0, 0.0, 0.0])


def gaps(sheet: Wall, now: Mapping[Zone, Stand]) -> tuple[Gap, ...]:
    """The openings at both ends of the bag; none when the corner seams match."""
    if not sheet.has_corners:
        return ()
    found: list[Gap] = []
    for hand, edge, end, front, back in (
        ("left", sheet.left, sheet.base_left, Zone.FRONT_LEFT, Zone.BACK_LEFT),
        ("right", sheet.right, sheet.base_right, Zone.FRONT_RIGHT, Zone.BACK_RIGHT),
    ):
        if same_length(abs(end - edge), sheet.corner):
            continue
        one, other = now[front], now[back]
        top = sheet.top_fold if sheet.closed else min(sheet.front_top, sheet.back_top)
        feet = one.at(end, sheet.corner), other.at(end, sheet.corner)
        lows = one.at(edge, sheet.corner), other.at(edge, sheet.corner)
        found.append(_gap(hand, feet, lows, (one.at(edge, top), other.at(edge, top))))
    return tuple(found)


def _gap(
    hand: str,
    feet: tuple[Vector, Vector],
    lows: tuple[Vector, Vector],
    tops: tuple[Vector, Vector],
) -> Gap:
    """From the ends of the base, the lower and the upper ends of the side edges."""
    middle = (feet[0] + feet[1]) / 2
    if same_length(distance(*lows), 0.0):
        pucker = np.array([feet[0], lows[0], feet[1]])
        return Gap(hand, "corner_mismatch", True, (pucker,), middle, lows[0])
    corner = np.array([feet[0], lows[0], lows[1], feet[1]])
    if same_length(distance(*tops), 0.0):
        side = np.array([lows[0], tops[0], lows[1]])
    else:
        side = np.array([lows[0], tops[0], tops[1], lows[1]])
    return Gap(hand, "corner_mismatch", False, (corner, side), lows[0], lows[1])
