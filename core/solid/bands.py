"""Loose bands, from the folding bag to the sewn one.

A band leaves the wall where its stitching stops. It hangs down over the face until the bag is
opened, and then is lifted. How it goes on from there stands in `core.solid.carried_bands`.

A band's own frame is that of its side, mm: x from the middle, w up from the bottom line.
"""

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from core.flat.piece import Point
from core.flat.roles import Face
from core.space.zones import Band, Folding, Frame, Spatial, add, dot, ease, minus, scaled

BAND_LIFT = 3.0
"""How far the loose part of a band stands off the wall, mm."""
BAND_HANGS = math.radians(177.0)
"""How far a hanging band is turned over from upright."""
BAND_LEAN = math.radians(7.0)
"""How far a standing band leans to its own side."""
INWARD: dict[Face, Spatial] = {
    Face.FRONT: (0.0, 1.0, 0.0),
    Face.BACK: (0.0, -1.0, 0.0),
    Face.LEFT: (1.0, 0.0, 0.0),
    Face.RIGHT: (-1.0, 0.0, 0.0),
}
"""The level way into the bag from each of its sides."""


class BandStand(NamedTuple):
    """Where a part of a band stands; `normal` is out of the bag: its frame may be left-handed."""

    frame: Frame
    normal: Spatial


def band_stands(
    folding: Folding, carrier: Frame, face: Face, at: float
) -> tuple[BandStand, BandStand]:
    """Of a side's band at a moment: of its legs up to the brim, and of what is above it.

    `carrier` is where the zone that bears it stands; `at` is 0 flat to 1 sewn.
    """
    share, brim, inward = ease(at * 2.0 - 1.0), folding.brims[face], INWARD[face]
    plate = next(each for each in folding.plates if folding.carriers[face] in each.zones)
    nought = carrier.at(plate.frame.back((0.0, 0.0)))
    across, up = (
        minus(carrier.at(plate.frame.back(way)), nought) for way in ((1.0, 0.0), (0.0, 1.0))
    )
    lifted = add(nought, scaled(carrier.normal, BAND_LIFT))
    low = BandStand(Frame(lifted, across, up), carrier.normal)
    lean = math.atan2(dot(up, inward), up[2])
    angle = lean - BAND_HANGS * (1.0 - share) + (-BAND_LEAN - lean) * share
    above = add((0.0, 0.0, math.cos(angle)), scaled(inward, math.sin(angle)))
    normal = add((0.0, 0.0, math.sin(angle)), scaled(inward, -math.cos(angle)))
    hinge = add(lifted, scaled(minus(up, above), brim))
    return low, BandStand(Frame(hinge, across, above), normal)


@lru_cache(maxsize=16)
def split_band(band: Band, brim: float) -> tuple[tuple[bool, tuple[Point, ...]], ...]:
    """The band about its line: (whether above the brim, outline) of both legs and the loop.

    Kept, as most changes of a bag leave its handles as they hang.
    """
    line, half = band.line, band.width / 2
    left, right = line[0], line[-1]
    if line[1][1] <= brim:
        return ((False, _outline(line, half)),)
    foot_left, foot_right = _at_height(line[:2], brim), _at_height(line[:-3:-1], brim)
    loop = (True, _outline((foot_left, *line[1:-1], foot_right), half))
    if left[1] >= brim:
        return (loop,)
    legs = ((left, foot_left), (foot_right, right))
    return (*((False, _outline(leg, half)) for leg in legs), loop)


def _at_height(leg: Sequence[Point], height: float) -> Point:
    (x0, w0), (x1, w1) = leg
    share = max((height - w0) / (w1 - w0), 0.0)
    return x0 + (x1 - x0) * share, w0 + (w1 - w0) * share


def _outline(line: Sequence[Point], half_width: float) -> tuple[Point, ...]:
    """Outline of a band along a line: its left side there, its right side back.

    At its two ends the band is cut level, so that the parts of a leg join.
    """
    sides: tuple[list[Point], list[Point]] = ([], [])
    for i, (x, w) in enumerate(line):
        (x0, w0), (x1, w1) = line[max(i - 1, 0)], line[min(i + 1, len(line) - 1)]
        length = math.hypot(x1 - x0, w1 - w0)
        nx, nw = -(w1 - w0) / length, (x1 - x0) / length
        if i in (0, len(line) - 1):
            nx, nw = math.copysign(1.0, nx), 0.0
        sides[0].append((x + nx * half_width, w + nw * half_width))
        sides[1].append((x - nx * half_width, w - nw * half_width))
    return (*sides[0], *reversed(sides[1]))
