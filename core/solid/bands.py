"""Loose bands: from the folding bag to the sewn one, and on to the filled one.

A band leaves the wall where its stitching stops. It hangs down over the face until the bag is
opened, and then is lifted. A hand holds it up: on the filled bag it lies taut over the bulge as
far as that reaches further out than it does, and then goes straight up, leaning a little to its
own side.

A band's own frame is that of its side, mm: x from the middle, w up from the bottom line.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.base.arrays import Floats
from core.flat.piece import Point
from core.flat.roles import Face
from core.space.folding import Band, Folding
from core.space.frame import Frame, Spatial, add, dot, ease, minus, scaled

if TYPE_CHECKING:  # filling is loaded when somebody asks for it
    from core.solid.fill import Filled

BAND_LIFT = 3.0
"""How far the loose part of a band stands off the wall, mm."""
BAND_HANGS = math.radians(177.0)
"""How far a hanging band is turned over from upright."""
BAND_LEAN = math.radians(7.0)
"""How far a standing band leans to its own side."""
_INWARD: dict[Face, Spatial] = {
    Face.FRONT: (0.0, 1.0, 0.0),
    Face.BACK: (0.0, -1.0, 0.0),
    Face.LEFT: (1.0, 0.0, 0.0),
    Face.RIGHT: (-1.0, 0.0, 0.0),
}
"""The level way into the bag from each of its sides."""


@dataclass(frozen=True, slots=True)
class BandStand:
    """Where a part of a band stands; `normal` is out of the bag: its frame may be left-handed."""

    frame: Frame
    normal: Spatial


def band_stands(
    folding: Folding, carrier: Frame, face: Face, at: float
) -> tuple[BandStand, BandStand]:
    """Of a side's band at a moment: of its legs up to the brim, and of what is above it.

    Args:
        folding: whose brim.
        carrier: where the zone that bears it stands.
        face: the side.
        at: 0 flat to 1 sewn.
    """
    share, brim, inward = ease(at * 2.0 - 1.0), folding.brims[face], _INWARD[face]
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


def split_band(band: Band, brim: float) -> Iterator[tuple[bool, tuple[Point, ...]]]:
    """The band about its line: (whether above the brim, outline) of both legs and the loop."""
    line, half = band.line, band.width / 2
    left, right = line[0], line[-1]
    if line[1][1] <= brim:
        yield False, _outline(line, half)
        return
    foot_left, foot_right = _at_height(line[:2], brim), _at_height(line[:-3:-1], brim)
    if left[1] < brim:
        yield False, _outline((left, foot_left), half)
        yield False, _outline((foot_right, right), half)
    yield True, _outline((foot_left, *line[1:-1], foot_right), half)


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


# --- on the filled bag ---

_STEP = 18.0
"""mm between points along a leg."""
_PROFILE = 40
"""Points of the wall above the stop."""


@dataclass(frozen=True, slots=True, eq=False)
class CarriedBand:
    """A band in space: two long sides, n points each.

    Attributes:
        face: whose it is.
        sewn, filled: (2, n, 3) float arrays, mm: left and right side at both ends of the way.
    """

    face: Face
    sewn: Floats
    filled: Floats


def carry_band(
    band: Band, folding: Folding, stands: tuple[BandStand, BandStand], filled: "Filled"
) -> CarriedBand:
    """A band from the sewn bag, where it stands so, to the filled one."""
    line = _closer(np.array(band.line))
    sides = _sides(line, band.width / 2)
    low, high = stands
    brim = folding.brims[band.face]
    sewn = [
        [(low if w <= brim else high).frame.at((x, w)) for x, w in side.tolist()] for side in sides
    ]
    return CarriedBand(
        band.face, np.array(sewn), _on_filled(sides, filled, folding, band.face, line)
    )


def _closer(line: Floats) -> Floats:
    """The same line with points along its two legs, (n, 2)."""
    count = max(math.ceil(math.dist(line[0], line[1]) / _STEP), 1)
    first = np.linspace(line[0], line[1], count, endpoint=False)
    last = np.linspace(line[-2], line[-1], count + 1)[1:]
    return np.concatenate((first, line[1:-1], last))


def _sides(line: Floats, half_width: float) -> tuple[Floats, Floats]:
    """Both long sides of the band about a line, (n, 2) each; its ends are cut level."""
    way = np.gradient(line, axis=0)
    way[0], way[-1] = (0.0, 1.0), (0.0, -1.0)
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    aside = np.column_stack((-way[:, 1], way[:, 0])) * half_width
    return line + aside, line - aside


def _on_filled(
    sides: tuple[Floats, Floats], filled: "Filled", folding: Folding, face: Face, line: Floats
) -> Floats:
    """(2, n, 3) along the path of a leg; across, both legs come in as far as their feet do."""
    leg, stop = float(line[0, 0]), float(line[0, 1])
    inward = np.array(_INWARD[face])
    right = np.array((abs(inward[1]), abs(inward[0]), 0.0))
    heights = np.linspace(stop, folding.brims[face], _PROFILE)
    wall = _wall_points(filled, folding, face, np.column_stack((np.full(_PROFILE, leg), heights)))
    in_by = float(wall[0] @ right) - leg
    path = _taut(np.column_stack((np.abs(wall @ inward) + BAND_LIFT, wall[:, 2])))
    placed = []
    for side in sides:
        # Towards the top of the loop, where the legs meet, nothing is left to come in by.
        x = side[:, 0] + in_by * np.clip(side[:, 0] / leg if leg else 0.0 * side[:, 0], -1.0, 1.0)
        out, height = path(np.maximum(side[:, 1] - stop, 0.0))
        level = np.outer(x, right) - np.outer(out, inward)
        placed.append(level + np.outer(height, (0.0, 0.0, 1.0)))
    return np.array(placed)


def _wall_points(filled: "Filled", folding: Folding, face: Face, points: Floats) -> Floats:
    """(k, 3) where points (k, 2) of a side lie on the filled bag, on whatever piece is there."""
    plates = [each for each in folding.plates if each.side is face]
    on_piece = [np.array([each.frame.back((x, w)) for x, w in points.tolist()]) for each in plates]
    away = []
    for plate, spots in zip(plates, on_piece, strict=True):
        beyond = []
        for i in plate.zones:
            limits = np.array(folding.zones[i].limits)
            beyond.append((spots @ limits[:, :2].T - limits[:, 2]).max(axis=1))
        away.append(np.min(beyond, axis=0))
    nearest = np.argmin(away, axis=0)
    placed = np.zeros((len(points), 3))
    for i, plate in enumerate(plates):
        own = nearest == i
        if own.any():
            placed[own] = filled.at(folding.zones[plate.zones[0]].piece, on_piece[i][own])
    return placed


def _taut(profile: Floats) -> "_Path":
    """The way of a leg from the first point of a wall's profile (outwards, up) on, mm."""
    along = np.array((math.sin(BAND_LEAN), math.cos(BAND_LEAN)))
    reach = profile @ np.array((along[1], -along[0]))
    return _Path(profile[: int(reach.argmax()) + 1], along)


@dataclass(frozen=True, slots=True, eq=False)
class _Path:
    """Along some points, then straight on."""

    points: Floats
    along: Floats

    def __call__(self, gone: Floats) -> tuple[Floats, Floats]:
        """Outwards and up after so many mm."""
        steps = np.linalg.norm(np.diff(self.points, axis=0), axis=1)
        length = np.concatenate(((0.0,), np.cumsum(steps)))
        out, height = (np.interp(gone, length, axis) for axis in self.points.T)
        beyond = np.maximum(gone - length[-1], 0.0)
        return out + beyond * self.along[0], height + beyond * self.along[1]
