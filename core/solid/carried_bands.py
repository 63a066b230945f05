"""Loose bands of the filled bag, and how they come there from the sewn one.

A hand holds a band up: on the filled bag it lies taut over the bulge as far as that reaches
further out than it does, and then goes straight up, leaning a little to its own side.

A band's own frame is that of its side, mm: x from the middle, w up from the bottom line.
"""

import math
from dataclasses import dataclass

import numpy as np

from core.base.arrays import Floats, beyond, placed, table
from core.flat.roles import Face
from core.solid.bands import BAND_LEAN, BAND_LIFT, INWARD, BandStand
from core.space.zones import Band, Folding, Spot

_STEP = 18.0
"""mm between points along a leg."""
LEG_POINTS = 40
"""Points of the wall above the stop."""


@dataclass(frozen=True, slots=True, eq=False)
class CarriedBand:
    """A band in space: two long sides, n points each.

    Attributes:
        sewn, filled: (2, n, 3) float arrays, mm: left and right side at both ends of the way.
    """

    face: Face
    sewn: Floats
    filled: Floats


def carry_band(
    band: Band, folding: Folding, stands: tuple[BandStand, BandStand], wall: Floats
) -> CarriedBand:
    """A band from the sewn bag, where it stands as `band_stands` tells, to the filled one.

    `wall`: (k, 3) where `wall_spots` lie on the filled bag, mm.
    """
    line = _closer(np.array(band.line))
    sides = _sides(line, band.width / 2)
    flat = sides.reshape(-1, 2)
    above = (flat[:, 1] > folding.brims[band.face]).astype(np.intp)
    sewn = placed(np.array([each.frame for each in stands])[above], flat)
    return CarriedBand(
        band.face, sewn.reshape(*sides.shape[:2], 3), _on_filled(sides, wall, band.face, line[0])
    )


def wall_spots(folding: Folding, band: Band) -> list[Spot]:
    """Points of the wall from where a band's stitching stops up to the brim, evenly spaced."""
    leg, stop = band.line[0]
    heights = np.linspace(stop, folding.brims[band.face], LEG_POINTS)
    points = np.column_stack((np.full(LEG_POINTS, leg), heights))
    plates = [each for each in folding.plates if each.side is band.face]
    zones = [(i, plate) for plate in plates for i in plate.zones]
    # In the frame of the side, so that one asking does for all zones.
    limits = [
        tuple(map(plate.frame.inverse.plane_back, folding.zones[i].limits)) for i, plate in zones
    ]
    nearest = beyond(table(limits), points).argmin(axis=0)
    under = [zones[each] for each in nearest.tolist()]
    return [
        (i, plate.frame.back((leg, height)))
        for (i, plate), height in zip(under, heights.tolist(), strict=True)
    ]


def _closer(line: Floats) -> Floats:
    """The same line with points along its two legs, (n, 2)."""
    count = max(math.ceil(math.dist(line[0], line[1]) / _STEP), 1)
    first = np.linspace(line[0], line[1], count, endpoint=False)
    last = np.linspace(line[-2], line[-1], count + 1)[1:]
    return np.concatenate((first, line[1:-1], last))


def _sides(line: Floats, half_width: float) -> Floats:
    """(2, n, 2) both long sides of the band about a line; its ends are cut level."""
    way = np.empty_like(line)
    way[1:-1] = line[2:] - line[:-2]
    way[0], way[-1] = (0.0, 1.0), (0.0, -1.0)
    way *= half_width / np.hypot(*way.T)[:, None]
    aside = np.column_stack((-way[:, 1], way[:, 0]))
    return np.array((line + aside, line - aside))


def _on_filled(sides: Floats, wall: Floats, face: Face, foot: Floats) -> Floats:
    """(2, n, 3) along the path of a leg; across, both legs come in as far as their feet do."""
    leg, stop = foot.tolist()
    inward = np.array(INWARD[face])
    right = np.array((abs(inward[1]), abs(inward[0]), 0.0))
    in_by = float(wall[0] @ right) - leg
    path = _taut(np.column_stack((np.abs(wall @ inward) + BAND_LIFT, wall[:, 2])))
    # Towards the top of the loop, where the legs meet, nothing is left to come in by.
    x = sides[..., 0] + in_by * np.clip(sides[..., 0] / leg if leg else 0.0, -1.0, 1.0)
    out, height = path(np.maximum(sides[..., 1] - stop, 0.0))
    return np.asarray(
        x[..., None] * right - out[..., None] * inward + height[..., None] * (0.0, 0.0, 1.0)
    )


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
