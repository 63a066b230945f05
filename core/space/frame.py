"""Where flat things stand in space: rigid frames in plain tuples, which need no numpy.

Frame in space, mm: x across from the middle of the bag, y from front to back (the front looks
towards -y), z up.
"""

import math
from typing import NamedTuple

from core.flat.piece import Point

Spatial = tuple[float, float, float]
"""A point or a way in space."""


class Frame(NamedTuple):
    """Where a flat region stands: (x, y) of its piece lies at origin + x * across + y * up, mm.

    `across`, `up`: orthogonal unit vectors; `across x up` points out of the bag: pieces are drawn
    from their right side.
    """

    origin: Spatial
    across: Spatial
    up: Spatial

    def at(self, point: Point) -> Spatial:
        """Where a point of the piece lies, mm."""
        (x0, y0, z0), (ax, ay, az), (ux, uy, uz), (x, y) = self.origin, self.across, self.up, point
        return x0 + x * ax + y * ux, y0 + x * ay + y * uy, z0 + x * az + y * uz

    @property
    def normal(self) -> Spatial:
        """The unit vector out of the bag."""
        return cross(self.across, self.up)

    def turned(self, pivot: Spatial, axis: Spatial, angle: float) -> "Frame":
        """Turned about a unit axis through a point, radians (Rodrigues' formula)."""
        sine, rest = math.sin(angle), 1.0 - math.cos(angle)

        def turn(way: Spatial) -> Spatial:
            once = cross(axis, way)
            return add(way, add(scaled(once, sine), scaled(cross(axis, once), rest)))

        origin = add(pivot, turn(minus(self.origin, pivot)))
        return Frame(origin, turn(self.across), turn(self.up))


def ease(share: float) -> float:
    """A smooth way from 0 to 1: starts and ends at rest; held at both ends."""
    held = min(max(share, 0.0), 1.0)
    return held * held * (3.0 - 2.0 * held)


def add(one: Spatial, other: Spatial) -> Spatial:
    """The sum."""
    return one[0] + other[0], one[1] + other[1], one[2] + other[2]


def minus(one: Spatial, other: Spatial) -> Spatial:
    """The difference."""
    return one[0] - other[0], one[1] - other[1], one[2] - other[2]


def scaled(one: Spatial, factor: float) -> Spatial:
    """So many times as long."""
    return one[0] * factor, one[1] * factor, one[2] * factor


def dot(one: Spatial, other: Spatial) -> float:
    """The scalar product."""
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def cross(one: Spatial, other: Spatial) -> Spatial:
    """The vector product."""
    (a, b, c), (d, e, f) = one, other
    return b * f - c * e, c * d - a * f, a * e - b * d
