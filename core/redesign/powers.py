"""The law of a filled volume over a polytope: its least is at a corner, its most within."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from core.redesign.laws import MOST_EXPONENT, SIZES, Law
from core.redesign.polytope import Extent, Linear, undominated
from core.redesign.quadratic import step_within
from core.redesign.space import Vector

_STEPS, _HALVINGS = 40, 20
_SETTLED = 1e-13
"""Gain of a logarithm below which nothing more is to be had."""
_LEAST = 1e-12
"""mm; what keeps a size that is gone from dividing."""


def powers_of(law: Law, rows: Mapping[str, Linear]) -> "Powers":
    """A law as a figure of the unknowns, given the rows of the sizes."""
    shifts = np.array([law.shifts.get(name, 0.0) for name in SIZES])
    return Powers(
        slopes=np.array([rows[name].slope for name in SIZES]),
        bases=np.array([rows[name].base for name in SIZES]),
        shifts=shifts,
        powers=np.array([law.powers.get(name, 0.0) for name in SIZES]),
        tilts=np.array([law.tilts.get(name, 0.0) for name in SIZES]),
        homes=np.array([law.sizes[name] for name in SIZES]),
        value=law.value,
    )


@dataclass(frozen=True, slots=True)
class Powers:
    """A law over unknowns.

    Attributes:
        slopes: (4, n) and bases: (4,) mm, of the sizes in the order of `SIZES`.
        shifts, powers, tilts, homes: (4,) as in `Law`; homes are the sizes where it is exact.
        value: litres, there.
    """

    slopes: Vector
    bases: Vector
    shifts: Vector
    powers: Vector
    tilts: Vector
    homes: Vector
    value: float

    def sides(self, x: Vector) -> Vector:
        """(..., 4) sizes, mm."""
        return np.asarray(x @ self.slopes.T + self.bases)

    def _log(self, sides: Vector) -> Vector:
        """(...) logarithm over that of the value; -inf where a size is gone."""
        shifted, homes = np.maximum(sides + self.shifts, 0.0), self.homes + self.shifts
        counts = self.powers > 0.0
        with np.errstate(divide="ignore"):
            logs = np.log(np.where(counts, shifted / np.where(counts, homes, 1.0), 1.0))
        total = (self.powers * logs).sum(axis=-1) + ((sides - self.homes) * self.tilts).sum(axis=-1)
        return np.asarray(np.minimum(total, MOST_EXPONENT))

    def at(self, x: Vector) -> float:
        """Its value, litres."""
        return self.value * float(np.exp(self._log(self.sides(x))))

    def gradient(self, x: Vector) -> Vector:
        """(n,) slopes at x, litres per mm."""
        return np.asarray(self.at(x) * (self._turn(self.sides(x)) @ self.slopes))

    def _turn(self, sides: Vector) -> Vector:
        """(4,) slopes of that logarithm by the sizes, 1/mm."""
        return np.asarray(self.powers / np.maximum(sides + self.shifts, _LEAST) + self.tilts)

    def at_corners(self, corners: Vector) -> Extent:
        """What the corners alone tell: the least is right, and the most may be more."""
        values = self.value * np.exp(self._log(self.sides(corners)))
        low, high = int(values.argmin()), int(values.argmax())
        return Extent(float(values[low]), float(values[high]), corners[low], corners[high])

    def extent(self, corners: Vector) -> Extent:
        """The least is at a corner; the most by Newton's steps over the hull of the corners."""
        found = self.at_corners(corners)
        sides = self.sides(corners)
        signs = np.where(self.tilts < 0.0, -1.0, 1.0)
        kept = undominated(sides * signs, self._log(sides))
        if len(kept) == 1:
            return found
        at_high = self._most(sides[kept]) @ corners[kept]
        high = self.at(at_high)
        if high <= found.high:
            return found
        return Extent(found.low, high, found.at_low, at_high)

    def _most(self, points: Vector) -> Vector:
        """(c,) weights of points (c, 4) where the volume is largest in their hull.

        Each step is that of ln(s + d) = ln s + d / s - (d / s)^2 / 2, a least square; a tilt
        is given some bend, which shortens the step and leaves its end.
        """
        count = len(points)
        weights = np.full(count, 1.0 / count)
        one, every = np.ones((1, count)), np.eye(count)
        now = float(self._log(weights @ points))
        for _ in range(_STEPS):
            sides = np.maximum(weights @ points, _LEAST)
            turn = self._turn(sides)
            bent = self.powers / (sides + self.shifts) ** 2
            bend = np.sqrt(np.maximum(bent, np.abs(self.tilts) / sides))
            bend = np.maximum(bend, _LEAST)
            step = step_within(
                bend[:, None] * points.T, -turn / bend, one, every, np.maximum(weights, 0.0)
            )
            for _ in range(_HALVINGS):
                there = np.maximum(weights + step, 0.0)
                there /= there.sum()
                after = float(self._log(there @ points))
                if after > now:
                    break
                step = step / 2
            else:
                break
            gain, weights, now = after - now, there, after
            if gain <= _SETTLED:
                break
        return weights
