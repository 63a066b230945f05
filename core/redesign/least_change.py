"""Least change under exact conditions: sequential quadratic steps on the pattern model.

    minimise  | (aims(x) - home) / scales |^2    subject to   figures(x) = values

The aims are linear in x, so that each step solves its quadratic exactly; conditions that bend (a
volume, a handle drop) take a few steps. Derivatives are differences of the pattern model itself:
where a figure is linear in the cut they are exact to rounding. A set of differences costs one
measured bag for each unknown, so that between two sets the slopes are only turned by what each
step shows (Broyden 1965, Math. Comp. 19, 577-593, from memory).
"""

from dataclasses import dataclass

import numpy as np

from core.base.arrays import Floats
from core.base.errors import FieldError
from core.base.sentences import mark
from core.redesign.convex import bounded_step
from core.redesign.variables import Variables

_DIFFERENCE = 1e-2
"""mm; difference step. Sizes are some 100 mm, so that three quarters of the digits remain."""
_MOST_STEPS = 15
_HALVINGS = 12
_NEAR = 1.0
"""mm; steps below this are near the end."""
_RANK = 1e-6
"""Slopes below this say nothing."""
_DRIFT = 1.0
"""mm; slopes that have been turned over no more than this still tell where least change lies."""
CONDITION_TOLERANCE = 1e-7
"""mm; a condition nearer than this is met: a tenth of the tolerance of lengths."""


@dataclass(frozen=True, slots=True)
class Conditions:
    """Finished figures that must come out exactly.

    Attributes:
        names: k figure names.
        values: (k,) wanted, mm or litres.
        scales: (k,) what a residual is divided by, so that litres count like mm.
    """

    names: tuple[str, ...]
    values: Floats
    scales: Floats


@dataclass(frozen=True, slots=True)
class Descent:
    """Where the search ended.

    Attributes:
        x: (n,) the unknowns, mm.
        missed: largest distance of a condition from its value, scaled to mm.
        change: the weighed change of the aims, squared; what is minimised.
    """

    x: Floats
    missed: float
    change: float

    @property
    def feasible(self) -> bool:
        """Whether every condition is met."""
        return self.missed <= CONDITION_TOLERANCE


def least_change(variables: Variables, conditions: Conditions) -> Descent:
    """The least weighed change that meets the conditions, or comes nearest to it.

    A condition about a figure that this bag does not have is a FieldError.
    """
    probe = _Probe(variables, conditions)
    x = variables.start
    now = probe.read(x)
    slopes, drift = probe.slopes(x, now), 0.0
    for _ in range(_MOST_STEPS if len(x) else 0):
        step = bounded_step(
            (slopes.aims, now.aims),
            (slopes.misses, now.misses),
            (variables.low - x, variables.high - x),
        )
        moved = None if step is None else probe.move(x, step)
        if moved is None:
            break
        x, after, step, whole = moved
        told = slopes.foretold(now, after, step)
        size = float(np.abs(step).max())
        if told and whole and (drift <= _DRIFT or not slopes.leave_choice):
            now = after
            break
        slopes = slopes.turned(now, after, step)
        now, drift = after, drift + size
        if size <= _NEAR < drift and slopes.leave_choice:
            # Near the end the slopes are taken anew, so that the least change is the least.
            slopes, drift = probe.slopes(x, now), 0.0
    missed = float(np.abs(now.misses).max(initial=0.0))
    return Descent(x, missed, float(now.aims @ now.aims))


@dataclass(frozen=True, slots=True)
class _Reading:
    """Scaled aims and misses of one x, or their derivatives by x."""

    aims: Floats
    misses: Floats

    @property
    def leave_choice(self) -> bool:
        """Whether the conditions leave more than one answer, so that there is a least."""
        return bool(np.linalg.matrix_rank(self.misses, tol=_RANK) < self.misses.shape[1])

    def turned(self, before: "_Reading", after: "_Reading", step: Floats) -> "_Reading":
        """Slopes that tell this step rightly and change least: Broyden's rank-one update."""
        length = float(step @ step)
        if length == 0.0:
            return self
        missed = (after.misses - before.misses - self.misses @ step) / length
        return _Reading(self.aims, self.misses + np.outer(missed, step))

    def foretold(self, before: "_Reading", after: "_Reading", step: Floats) -> bool:
        """Whether these slopes told where the step led: then it was the exact answer."""
        pairs = ((self.aims, before.aims, after.aims), (self.misses, before.misses, after.misses))
        return all(
            bool(np.all(np.abs(there - here - slope @ step) < CONDITION_TOLERANCE / 10))
            for slope, here, there in pairs
        )


class _Probe:
    """Reads aims and misses off the pattern model."""

    def __init__(self, variables: Variables, conditions: Conditions) -> None:
        self._variables = variables
        self._conditions = conditions

    def read(self, x: Floats) -> _Reading:
        """Raises FieldError where there is no such bag, or not all of its figures."""
        variables, conditions = self._variables, self._conditions
        measured = variables.measured(x)
        values = [measured[name] for name in (*variables.aims, *conditions.names)]
        if any(value is None for value in values):
            gone = next(n for n in (*variables.aims, *conditions.names) if measured[n] is None)
            raise FieldError(mark("This size is not possible."), field=gone, value=None)
        every = np.array(values)
        aims, wants = every[: len(variables.aims)], every[len(variables.aims) :]
        return _Reading(
            (aims - variables.home) / variables.scales,
            (wants - conditions.values) / conditions.scales,
        )

    def slopes(self, x: Floats, now: _Reading) -> _Reading:
        """Derivatives by the unknowns: (m, n) and (k, n)."""
        by_aims = np.zeros((len(now.aims), len(x)))
        by_misses = np.zeros((len(now.misses), len(x)))
        for index in range(len(x)):
            there, step = self._beside(x, index)
            by_aims[:, index] = (there.aims - now.aims) / step
            by_misses[:, index] = (there.misses - now.misses) / step
        return _Reading(by_aims, by_misses)

    def move(self, x: Floats, step: Floats) -> tuple[Floats, _Reading, Floats, bool] | None:
        """Go as far along the step as there are bags, and whether it was the whole of it.

        None when not even a little can be gone.
        """
        for halvings in range(_HALVINGS):
            there = np.clip(x + step, self._variables.low, self._variables.high)
            try:
                return there, self.read(there), there - x, halvings == 0
            except FieldError:
                step = step / 2
        return None

    def _beside(self, x: Floats, index: int) -> tuple[_Reading, float]:
        """A neighbour in one unknown, on whichever side there is a bag."""
        beside = x.copy()
        for step in (_DIFFERENCE, -_DIFFERENCE):
            beside[index] = x[index] + step
            try:
                return self.read(beside), step
            except FieldError as error:
                refused = error
        raise refused
