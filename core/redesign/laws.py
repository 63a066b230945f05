"""What a bag holds filled, as a redesign reckons with it: a law of powers, right at one bag.

The filled volume has no closed form. Near one bag it is a product of powers of the bag's
sizes, whose value and slopes one filling tells. Its logarithm is concave in the sizes, as
that of a box is.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from core.parts.site import Finished

SIZES: Mapping[str, str] = MappingProxyType(
    {
        "base_width": "base",
        "gusset_depth": "corner_up",
        "gusset_depth_at_side": "corner_along",
        "face_height": "wall",
    }
)
"""Finished figures that what a filled bag holds follows from -> the flat size of a quarter
(`core.solid.quarter`) that each is, or is twice of."""

_FULL_POWERS: Mapping[str, float] = MappingProxyType(
    {"base_width": 1.3, "gusset_depth": 0.8, "gusset_depth_at_side": 0.8, "face_height": 1.0}
)
"""Powers that a volume comes to where a size is large (measured). A bag whose base or corner
shrinks to nothing still holds something, and so a size counts with a shift that makes its
power right where it is."""
_LEAST_POWER = 1e-3
SMALL = 0.1
"""Share of the largest size below which a size hardly counts."""
MOST_EXPONENT = 600.0
"""Of a law far from where it is exact: a number yet."""


@dataclass(frozen=True, slots=True)
class Law:
    """A volume V as a function of the sizes of a bag, exact at one of them.

    ln (V / V0) = sum of power ln((size + shift) / (size0 + shift)) + sum of tilt (size - size0)

    Attributes:
        value: V0, litres.
        reach: how many times larger or smaller a size may become for the law to be trusted.
        sizes: name of `SIZES` -> size0, mm.
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
        ends = {name: self.trusted(name) for name in SIZES}
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


Laws = Mapping[str, Law]
"""Filled figure -> its law."""
NO_LAWS: Laws = MappingProxyType({})


def law_of(value: float, sizes: Mapping[str, float], growth: Mapping[str, float]) -> Law:
    """The law of a bag.

    Args:
        value: litres, > 0.
        sizes: finished figure -> mm.
        growth: finished figure -> percent of the volume for a percent of the size.
    """
    powers, shifts, tilts = {}, {}, {}
    for name, power in growth.items():
        if sizes[name] <= 0.0:
            continue
        if power <= 0.0:
            tilts[name] = power / sizes[name]
            continue
        powers[name] = max(power, _FULL_POWERS[name])
        shifts[name] = sizes[name] * (powers[name] / max(power, _LEAST_POWER) - 1.0)
    return Law(value, dict(sizes), powers, shifts, tilts)


def with_laws(finished: Finished, laws: Laws) -> Finished:
    """Finished figures with what the laws make of them, litres."""
    if not laws:
        return finished
    return {**finished, **{name: law.at(finished) for name, law in laws.items()}}
