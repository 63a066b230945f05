"""Least change under exact conditions: sequential quadratic steps on the pattern model.

    minimise  | (aims(x) - home) / scales |^2    subject to   figures(x) = values

The aims are linear in x, so that each step solves its quadratic exactly; conditions that
bend (a volume, a handle drop) take a few steps. Derivatives are differences of the
pattern model itself: where a figure is linear in the cut they are exact to rounding. A set
of differences costs one measured bag for each unknown, so that between two sets the slopes
are only turned by what each step shows (Broyden 1965, Math. Comp. 19, 577-593, from memory).
"""

from dataclasses import dataclass

import numpy as np

from core.errors import FieldError
from core.redesign.quadratic import bounded_step
from core.redesign.space import Space, Vector

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
FEASIBLE = 1e-7
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
    values: Vector
    scales: Vector


@dataclass(frozen=True, slots=True)
class Solution:
    """Where the search ended.

    Attributes:
        x: (n,) the unknowns, mm.
        missed: largest distance of a condition from its value, scaled to mm.
        change: the weighed change of the aims, squared; what is minimised.
        blocked: the last impossible bag that the search ran into, if any.
    """

    x: Vector
    missed: float
    change: float
    blocked: FieldError | None = None

    @property
    def feasible(self) -> bool:
        """Whether every condition is met."""
        return self.missed <= FEASIBLE


def least_change(space: Space, conditions: Conditions) -> Solution:
    """The least weighed change that meets the conditions, or comes nearest to it.

    Raises:
        FieldError: a condition is about a figure that this bag does not have.
    """
    probe = _Probe(space, conditions)
    x = space.start
    now = probe.read(x)
    slopes, drift = probe.slopes(x, now), 0.0
    blocked: FieldError | None = None
    for _ in range(_MOST_STEPS if len(x) else 0):
        step = bounded_step(
            (slopes.aims, now.aims), (slopes.misses, now.misses), (space.low - x, space.high - x)
        )
        moved = None if step is None else probe.move(x, step)
        if moved is None:
            break
        x, after, step, blocked = moved
        told = slopes.foretold(now, after, step)
        size = float(np.abs(step).max())
        if told and blocked is None and (drift <= _DRIFT or not slopes.leave_choice):
            now = after
            break
        slopes = slopes.turned(now, after, step)
        now, drift = after, drift + size
        if size <= _NEAR < drift and slopes.leave_choice:
            # Near the end the slopes are taken anew, so that the least change is the least.
            slopes, drift = probe.slopes(x, now), 0.0
    missed = float(np.abs(now.misses).max(initial=0.0))
    return Solution(x, missed, float(now.aims @ now.aims), blocked)


@dataclass(frozen=True, slots=True)
class _Reading:
    """Scaled aims and misses of one x, or their derivatives by x."""

    aims: Vector
    misses: Vector

    @property
    def leave_choice(self) -> bool:
        """Whether the conditions leave more than one answer, so that there is a least."""
        return bool(np.linalg.matrix_rank(self.misses, tol=_RANK) < self.misses.shape[1])

    def turned(self, before: "_Reading", after: "_Reading", step: Vector) -> "_Reading":
        """Slopes that tell this step rightly and change least: Broyden's rank-one update."""
        length = float(step @ step)
        if length == 0.0:
            return self
        missed = (after.misses - before.misses - self.misses @ step) / length
        return _Reading(self.aims, self.misses + np.outer(missed, step))

    def foretold(self, before: "_Reading", after: "_Reading", step: Vector) -> bool:
        """Whether these slopes told where the step led: then it was the exact answer."""
        pairs = ((self.aims, before.aims, after.aims), (self.misses, before.misses, after.misses))
        return all(
            bool(np.all(np.abs(there - here - slope @ step) < FEASIBLE / 10))
            for slope, here, there in pairs
        )


class _Probe:
    """Reads aims and misses off the pattern model."""

    def __init__(self, space: Space, conditions: Conditions) -> None:
        self._space = space
        self._conditions = conditions

    def read(self, x: Vector) -> _Reading:
        """Raises FieldError where there is no such bag, or not all of its figures."""
        space, conditions = self._space, self._conditions
        measured = space.measured(x)
        values = [measured[name] for name in (*space.aims, *conditions.names)]
        if any(value is None for value in values):
            gone = next(n for n in (*space.aims, *conditions.names) if measured[n] is None)
            raise FieldError("This size is not possible.", field=gone, value=None)
        every = np.array(values)
        aims, wants = every[: len(space.aims)], every[len(space.aims) :]
        return _Reading(
            (aims - space.home) / space.scales, (wants - conditions.values) / conditions.scales
        )

    def slopes(self, x: Vector, now: _Reading) -> _Reading:
        """Derivatives by the unknowns: (m, n) and (k, n)."""
        by_aims = np.zeros((len(now.aims), len(x)))
        by_misses = np.zeros((len(now.misses), len(x)))
        for index in range(len(x)):
            there, step = self._beside(x, index)
            by_aims[:, index] = (there.aims - now.aims) / step
            by_misses[:, index] = (there.misses - now.misses) / step
        return _Reading(by_aims, by_misses)

    def move(
        self, x: Vector, step: Vector
    ) -> tuple[Vector, _Reading, Vector, FieldError | None] | None:
        """Go as far along the step as there are bags; None when not even a little."""
        blocked: FieldError | None = None
        for _ in range(_HALVINGS):
            there = np.clip(x + step, self._space.low, self._space.high)
            try:
                return there, self.read(there), there - x, blocked
            except FieldError as error:
                blocked, step = error, step / 2
        return None

    def _beside(self, x: Vector, index: int) -> tuple[_Reading, float]:
        """A neighbour in one unknown, on whichever side there is a bag."""
        beside = x.copy()
        for step in (_DIFFERENCE, -_DIFFERENCE):
            beside[index] = x[index] + step
            try:
                return self.read(beside), step
            except FieldError as error:
                refused = error
        raise refused
