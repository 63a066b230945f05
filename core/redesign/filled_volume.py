"""What a bag holds filled, as a redesign reckons with it: a law of powers, right at one bag.

The filled volume has no closed form. Near one bag it is a product of powers of the bag's
sizes, whose value and slopes one filling tells. Its logarithm is concave in the sizes, as
that of a box is: over a polytope its least is at a corner, its most within.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from core.base.arrays import Floats
from core.redesign.convex import Extent, Linear, at_corners, step_within, undominated
from core.site.site import Finished

_LEAST_POWER = 1e-3
SMALL = 0.1
"""Share of the largest size below which a size hardly counts."""
MOST_EXPONENT = 600.0
"""Of a law far from where it is exact: a number yet."""


@dataclass(frozen=True, slots=True)
class PowerLaw:
    """A volume V as a function of the sizes of a bag, exact at one of them.

    ln (V / V0) = sum of power ln((size + shift) / (size0 + shift)) + sum of tilt (size - size0)

    Attributes:
        value: V0, litres.
        reach: how many times larger or smaller a size may become for the law to be trusted.
        sizes: finished figure -> size0, mm; what the volume follows from.
        powers: name -> above 0; shifts: the same names -> mm, >= 0.
        tilts: name -> 1/mm, of sizes by which the bag holds less.
    """

    value: float
    sizes: Mapping[str, float]
    powers: Mapping[str, float]
    shifts: Mapping[str, float]
    tilts: Mapping[str, float]
    reach: float = np.inf

    def trusted(self, name: str) -> tuple[float, float]:
        """Between which lengths a size is near enough to where the law is right, mm."""
        size, least = self.sizes[name], SMALL * max(self.sizes.values())
        return (size / self.reach if size > least else 0.0), max(size, least) * self.reach

    def trusts(self, finished: Finished) -> bool:
        """Whether a bag of these sizes is near enough to where the law is right."""
        ends = {name: self.trusted(name) for name in self.sizes}
        return all(low <= (finished[name] or 0.0) <= high for name, (low, high) in ends.items())

    def at(self, finished: Finished) -> float | None:
        """The volume of a bag of these finished sizes, litres; None where a size is gone."""
        total = 0.0
        for name, power in self.powers.items():
            size, shift = finished[name] or 0.0, self.shifts[name]
            if size <= 0.0:
                return None
            total += power * float(np.log((size + shift) / (self.sizes[name] + shift)))
        for name, tilt in self.tilts.items():
            total += tilt * ((finished[name] or 0.0) - self.sizes[name])
        return self.value * float(np.exp(min(total, MOST_EXPONENT)))


Laws = Mapping[str, PowerLaw]
"""Filled figure -> its law."""
NO_LAWS: Laws = MappingProxyType({})


def law_of(
    value: float,
    sizes: Mapping[str, float],
    growth: Mapping[str, float],
    full_powers: Mapping[str, float],
) -> PowerLaw:
    """The law of a bag.

    Args:
        value: litres, > 0.
        sizes: finished figure -> mm.
        growth: finished figure -> percent of the volume for a percent of the size.
        full_powers: finished figure -> power that the volume comes to where the size is large. A
            size that shrinks to nothing leaves a volume, and so it counts with a shift that makes
            its power right where it is.
    """
    powers, shifts, tilts = {}, {}, {}
    for name, power in growth.items():
        if sizes[name] <= 0.0:
            continue
        if power <= 0.0:
            tilts[name] = power / sizes[name]
            continue
        powers[name] = max(power, full_powers[name])
        shifts[name] = sizes[name] * (powers[name] / max(power, _LEAST_POWER) - 1.0)
    return PowerLaw(value, dict(sizes), powers, shifts, tilts)


def with_laws(finished: Finished, laws: Laws) -> Finished:
    """Finished figures with what the laws make of them, litres."""
    if not laws:
        return finished
    return {**finished, **{name: law.at(finished) for name, law in laws.items()}}


_STEPS, _HALVINGS = 40, 20
_SETTLED = 1e-13
"""Gain of a logarithm below which nothing more is to be had."""
_LEAST = 1e-12
"""mm; what keeps a size that is gone from dividing."""


def powers_of(law: PowerLaw, rows: Mapping[str, Linear]) -> "PowerLawFigure":
    """A law as a figure of the unknowns, given the rows of the sizes."""
    return PowerLawFigure(
        slopes=np.array([rows[name].slope for name in law.sizes]),
        bases=np.array([rows[name].base for name in law.sizes]),
        shifts=np.array([law.shifts.get(name, 0.0) for name in law.sizes]),
        powers=np.array([law.powers.get(name, 0.0) for name in law.sizes]),
        tilts=np.array([law.tilts.get(name, 0.0) for name in law.sizes]),
        homes=np.array([law.sizes[name] for name in law.sizes]),
        value=law.value,
    )


@dataclass(frozen=True, slots=True)
class PowerLawFigure:
    """A law over unknowns.

    Attributes:
        slopes: (4, n) and bases: (4,) mm, of the sizes in the order of `PowerLaw.sizes`.
        shifts, powers, tilts, homes: (4,) as in `PowerLaw`; homes are the sizes where it is exact.
        value: litres, there.
    """

    slopes: Floats
    bases: Floats
    shifts: Floats
    powers: Floats
    tilts: Floats
    homes: Floats
    value: float

    def sides(self, x: Floats) -> Floats:
        """(..., 4) sizes, mm."""
        return np.asarray(x @ self.slopes.T + self.bases)

    def _log(self, sides: Floats) -> Floats:
        """(...) logarithm over that of the value; -inf where a size is gone."""
        shifted, homes = np.maximum(sides + self.shifts, 0.0), self.homes + self.shifts
        counts = self.powers > 0.0
        with np.errstate(divide="ignore"):
            logs = np.log(np.where(counts, shifted / np.where(counts, homes, 1.0), 1.0))
        total = (self.powers * logs).sum(axis=-1) + ((sides - self.homes) * self.tilts).sum(axis=-1)
        return np.asarray(np.minimum(total, MOST_EXPONENT))

    def at(self, x: Floats) -> float:
        """Its value, litres."""
        return self.value * float(np.exp(self._log(self.sides(x))))

    def gradient(self, x: Floats) -> Floats:
        """(n,) slopes at x, litres per mm."""
        return np.asarray(self.at(x) * (self._turn(self.sides(x)) @ self.slopes))

    def _turn(self, sides: Floats) -> Floats:
        """(4,) slopes of that logarithm by the sizes, 1/mm."""
        return np.asarray(self.powers / np.maximum(sides + self.shifts, _LEAST) + self.tilts)

    def extent(self, corners: Floats) -> Extent:
        """The least is at a corner; the most by Newton's steps over the hull of the corners."""
        sides = self.sides(corners)
        logs = self._log(sides)
        found = at_corners(self.value * np.exp(logs), corners)
        kept = undominated(sides * np.where(self.tilts < 0.0, -1.0, 1.0), logs)
        if len(kept) == 1:
            return found
        at_high = self._most(sides[kept]) @ corners[kept]
        high = self.at(at_high)
        if high <= found.high:
            return found
        return Extent(found.low, high, found.at_low, at_high)

    def _most(self, points: Floats) -> Floats:
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
