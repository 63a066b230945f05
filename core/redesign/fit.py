"""From a bag on the table: the pattern that comes nearest to what a tape measure finds.

Measurements of a soft bag contradict one another by some millimetres (flat width against
base width and depth). The pattern with matched corners that has the least squares of
differences is taken, and the difference that is left is shown for each measurement.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from core.bag import Bag
from core.compute import Result, compute
from core.errors import FieldError, Sentence
from core.figures import check_no_sliver
from core.finished import measure_walls
from core.redesign.newton import Conditions, least_change
from core.redesign.solve import reach
from core.redesign.space import Space, open_space
from core.redesign.wants import MATCHED, label_of

MEASURABLE = (
    "opening_width",
    "base_width",
    "face_height",
    "gusset_depth",
    "zip_offset",
    "pocket_height",
    "handle_drop_front",
    "handle_drop_back",
)
"""What can be measured on a finished bag, in the order in which it is asked for."""

_WEAK = 1e4
"""How much less a size that was not measured counts: only to settle what is left open."""
_LARGEST = 10_000.0


@dataclass(frozen=True, slots=True)
class Fit:
    """A pattern fitted to measurements.

    Attributes:
        result: everything that follows from the fitted bag.
        residuals: figure name -> measured less fitted, mm.
    """

    result: Result
    residuals: Mapping[str, float]

    @property
    def largest(self) -> float:
        """The largest difference left, mm."""
        return max((abs(each) for each in self.residuals.values()), default=0.0)


def fit(bag: Bag, measured: Mapping[str, float]) -> Fit:
    """Fit the panel (and pocket and handles, where measured) of a bag to measurements.

    Args:
        bag: gives construction, allowances and whatever was not measured.
        measured: figure name, one of `MEASURABLE` -> mm.

    Raises:
        FieldError: a figure that this bag lacks or that cannot be measured, a value that
            is no size, or measurements that no bag comes near.
    """
    for name, value in measured.items():
        _check(bag, name, value)
    now = measure_walls(bag)
    space = open_space(bag, now, {}, frozenset(measured))
    matched = {MATCHED: 0.0} if bag.panel.has_corners else {}
    conditions = Conditions(tuple(matched), np.array(list(matched.values())), np.ones(len(matched)))
    solution = least_change(_aimed(space, measured), conditions)
    if not solution.feasible:
        sentence = "Measurements: no bag with matched corners has sizes near these; measure again."
        raise FieldError(sentence, field="measurements", value=None)
    result = compute(reach(bag, now, space, solution, frozenset(measured)))
    finished = result.finished
    left = {name: value - (finished[name] or 0.0) for name, value in measured.items()}
    return Fit(result, MappingProxyType(left))


def _check(bag: Bag, name: str, value: float) -> None:
    label = label_of(name)
    if name not in MEASURABLE or compute(bag).finished[name] is None:
        sentence = Sentence("{label} cannot be measured on this bag.", words={"label": label})
        raise FieldError(sentence, field=name, value=value)
    check_no_sliver(label, value, field=name)
    if not 0.0 < value <= _LARGEST:
        lengths = {"low": 0.0, "high": _LARGEST}
        sentence = Sentence(
            "{label} is {value}: it must be more than {low}, and at most {high}.",
            lengths | ({"value": value} if math.isfinite(value) else {}),
            {"label": label} | ({} if math.isfinite(value) else {"value": str(value)}),
        )
        raise FieldError(sentence, field=name, value=value)


def _aimed(space: Space, measured: Mapping[str, float]) -> Space:
    """The same unknowns, weighed by the measurements instead of by the present sizes."""
    names = (*measured, *space.aims)
    home = np.concatenate([np.array(list(measured.values())), space.home])
    scales = np.concatenate([np.ones(len(measured)), space.scales * _WEAK])
    return replace(space, aims=names, home=home, scales=scales)
