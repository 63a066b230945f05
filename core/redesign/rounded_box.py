"""A volume that is a box with rounded corners, over the unknowns of a redesign.

A box of sides a, b, c whose rectangle a x b has rounded corners holds c (a b - s^2), where s^2 is
what those take off: a sum of squares of the radii, of which what is below 0 counts as nothing.

Over a polytope of unknowns that sides and radii are linear in, it is least at a corner, and where
it is most is found by going uphill, for its logarithm is concave. That of c is. a b - s^2 is
(a + b)^2 / 4 less (a - b)^2 / 4 and less s^2: a square of one length less squares of others, whose
root is concave where it is at all (the Lorentz cone, where the triangle's inequality is turned
round). It falls with s, and s is convex in the radii, as a length is in its parts.
"""

from dataclasses import dataclass

import numpy as np

from core.base.arrays import Floats
from core.model.record import CORNER_SHARE
from core.redesign.convex import Extent, Product, at_corners, step_within, undominated

_STEPS, _HALVINGS = 60, 30
_SETTLED = 1e-13
"""What is still to be had of a logarithm below which nothing more is."""
_EVEN = 1e-12
"""Share of the steepest bend below which a direction has none."""


@dataclass(frozen=True, slots=True)
class RoundedBox:
    """A volume: a box of sides and radii that are linear.

    Attributes:
        slopes: (3, n) and bases: (3,) of its sides, mm; the first two have the rounded corners.
        round_slopes: (k, n) and round_bases: (k,) of the radii of two corners each, mm.
        scale: mm³ in a litre.
    """

    slopes: Floats
    bases: Floats
    round_slopes: Floats
    round_bases: Floats
    scale: float

    def sides(self, x: Floats) -> Floats:
        """(..., 3) sides, mm."""
        return np.asarray(x @ self.slopes.T + self.bases)

    def radii(self, x: Floats) -> Floats:
        """(..., k) radii, mm; what is not above 0 is a square corner."""
        return np.asarray(x @ self.round_slopes.T + self.round_bases)

    def at(self, x: Floats) -> float:
        """Its value, litres; 0 where a side is gone, or all that the corners leave."""
        return float(self._volumes(self.sides(x), self.radii(x)))

    def gradient(self, x: Floats) -> Floats:
        """(n,) slopes at x, litres per mm."""
        (a, b, c), radii = self.sides(x), np.maximum(self.radii(x), 0.0)
        area = a * b - float(_taken(radii))
        sides = np.array([b * c, a * c, area]) @ self.slopes
        corners = 2 * c * CORNER_SHARE * radii @ self.round_slopes
        return np.asarray((sides - corners) / self.scale)

    def _volumes(self, sides: Floats, radii: Floats) -> Floats:
        a, b, c = np.moveaxis(np.maximum(sides, 0.0), -1, 0)
        return np.asarray(np.maximum(a * b - _taken(radii), 0.0) * c / self.scale)

    def extent(self, corners: Floats) -> Extent:
        """The least is at a corner; the most by Newton's steps over the hull of the corners."""
        points = np.hstack([np.maximum(self.sides(corners), 0.0), self.radii(corners)])
        volumes = self._volumes(points[:, :3], points[:, 3:])
        found = at_corners(volumes, corners)
        # What is no larger than another corner, and no less rounded, can be left out.
        kept = undominated(points * np.where(np.arange(points.shape[1]) < 3, 1.0, -1.0), volumes)
        if len(kept) == 1:
            return found
        at_high = self._most(points[kept]) @ corners[kept]
        high = self.at(at_high)
        return found if high <= found.high else Extent(found.low, high, found.at_low, at_high)

    def _most(self, points: Floats) -> Floats:
        """(c,) weights of points (c, 3 + k) where the volume is largest in their hull."""
        count = len(points)
        one, every = np.ones((1, count)), np.eye(count)
        # Where every corner has lost a side their middle has not, if anything of the hull has not.
        starts = np.vstack([every, one / count])
        logs = [self._log(each) for each in starts @ points]
        weights, now = np.asarray(starts[int(np.argmax(logs))]), max(logs)
        for _ in range(_STEPS if now > -np.inf else 0):
            point = weights @ points
            slope, bend = self._turns(point)
            if float((points @ slope).max() - point @ slope) <= _SETTLED:
                break
            sizes, axes = np.linalg.eigh(bend)
            roots = np.sqrt(np.maximum(sizes, _EVEN * sizes[-1]))
            turned = axes.T * roots[:, None]
            off = (axes.T @ slope) / roots
            step = step_within(turned @ points.T, -off, one, every, np.maximum(weights, 0.0))
            for _ in range(_HALVINGS):
                there = np.maximum(weights + step, 0.0)
                there /= there.sum()
                after = self._log(there @ points)
                if after > now:
                    break
                step = step / 2
            else:
                break
            weights, now = there, after
        return weights

    def _log(self, point: Floats) -> float:
        """Logarithm of the volume, at (3 + k,) sides and radii; -inf where there is none."""
        volume = float(self._volumes(point[:3], point[3:]))
        return float(np.log(volume)) if volume > 0.0 else -np.inf

    def _turns(self, point: Floats) -> tuple[Floats, Floats]:
        """(3 + k,) slopes of that logarithm, and how much it bends down, (3 + k, 3 + k)."""
        (a, b, c), radii = point[:3], point[3:]
        above = np.maximum(radii, 0.0)
        area = a * b - float(_taken(radii))
        slope = np.concatenate([[b, a, 0.0], -2 * CORNER_SHARE * above]) / area
        bend = np.outer(slope, slope)
        bend[0, 1] -= 1.0 / area
        bend[1, 0] -= 1.0 / area
        places = np.arange(3, len(point))
        bend[places, places] += np.where(radii > 0.0, 2 * CORNER_SHARE / area, 0.0)
        slope[2] = 1.0 / c
        bend[2, 2] = slope[2] ** 2
        return slope, bend


BoxVolume = Product | RoundedBox


def taken_off(box: BoxVolume, x: Floats) -> float:
    """What rounded corners take off the rectangle of a box's first two sides at x, mm²."""
    return float(_taken(box.radii(x))) if isinstance(box, RoundedBox) else 0.0


def _taken(radii: Floats) -> Floats:
    """(...) what corners of radii (..., k) take off, mm²."""
    return np.asarray(CORNER_SHARE * (np.maximum(radii, 0.0) ** 2).sum(axis=-1))
