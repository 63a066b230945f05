"""Least change under exact conditions: on the pattern model, and along the rows of a region.

    minimise  | (aims(x) - home) / scales |^2    subject to   figures(x) = values

On the pattern model that is done by sequential quadratic steps (`least_change`). The aims are
linear in x, so that each step solves its quadratic exactly; conditions that bend (a volume, a
handle drop) take a few steps. Derivatives are differences of the pattern model itself: where a
figure is linear in the cut they are exact to rounding. A set of differences costs one measured
bag for each unknown, so that between two sets the slopes are only turned by what each step shows
(Broyden 1965, Math. Comp. 19, 577-593, from memory).

From a bag that has what is asked to the one that changes least nothing but rows is asked, so
that a step costs no measured bag (`least_change_within`). Each step is the exact answer of its
tangent, within every limit, and is brought back to what is exact; it is halved until it changes
less.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from core.bag.bag import Bag
from core.bag.figures import is_taut, is_volume
from core.base.arrays import Floats
from core.base.errors import FieldError
from core.redesign.beside import kept_slopes, slopes_at, values_of
from core.redesign.convex import bounded_step, step_within
from core.redesign.region import Region
from core.redesign.request import VOLUME_SHARE
from core.redesign.variables import Variables
from core.site.site import Finished

_PLAIN_DIGITS, DUST = 6, 1e-9
"""A solved length this near (mm) to one of so few digits is that one: 82.55, not 82.5499999."""
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
_STEPS = 40
_BACK = 12
"""Most steps that bring a point back to what is exact."""
_MET = 1e-9
"""mm; what is exact is met to this, a hundredth of what is accepted."""
_ROOM = 1e-9
"""mm; how far beyond a limit rounding may leave a point."""
_SETTLED = 1e-10
"""Relative gain below which nothing more is to be had."""


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
        bag, finished: the bag of these, and its finished figures.
        missed: largest distance of a condition from its value, scaled to mm.
        change: the weighed change of the aims, squared; what is minimised.
    """

    x: Floats
    bag: Bag
    finished: Finished
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
    x, now = probe.start, probe.begin()
    slopes, drift = probe.slopes(now), 0.0
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
            slopes, drift = probe.slopes(now), 0.0
    missed = float(np.abs(now.misses).max(initial=0.0))
    return Descent(x, now.bag, now.finished, missed, float(now.aims @ now.aims))


def tidied(x: Floats, start: Floats, noise: float = DUST) -> Floats:
    """Unknowns that moved by no more than noise, mm, are put back, and others lose their dust."""
    plain = x.round(_PLAIN_DIGITS)
    without_dust = np.where(np.abs(plain - x) < DUST, plain, x)
    return np.where(np.abs(x - start) < noise, start, without_dust)


@dataclass(frozen=True, slots=True)
class _Reading:
    """A bag, its finished figures, and what they come to: scaled aims (m,) and misses (k,)."""

    bag: Bag
    finished: Finished
    aims: Floats
    misses: Floats


@dataclass(frozen=True, slots=True)
class _Slopes:
    """Derivatives of aims (m, n) and misses (k, n) by the unknowns."""

    aims: Floats
    misses: Floats

    @property
    def leave_choice(self) -> bool:
        """Whether the conditions leave more than one answer, so that there is a least."""
        return bool(np.linalg.matrix_rank(self.misses, tol=_RANK) < self.misses.shape[1])

    def turned(self, before: _Reading, after: _Reading, step: Floats) -> "_Slopes":
        """Slopes that tell this step rightly and change least: Broyden's rank-one update."""
        length = float(step @ step)
        if length == 0.0:
            return self
        missed = (after.misses - before.misses - self.misses @ step) / length
        return _Slopes(self.aims, self.misses + np.outer(missed, step))

    def foretold(self, before: _Reading, after: _Reading, step: Floats) -> bool:
        """Whether these slopes told where the step led: then it was the exact answer."""
        pairs = ((self.aims, before.aims, after.aims), (self.misses, before.misses, after.misses))
        return all(
            bool(np.all(np.abs(there - here - slope @ step) < CONDITION_TOLERANCE / 10))
            for slope, here, there in pairs
        )


class _Probe:
    """Reads aims and misses off the pattern model; `start` is (n,) where the unknowns begin, mm."""

    def __init__(self, variables: Variables, conditions: Conditions) -> None:
        self.start = variables.start
        self._variables = variables
        self._names = (*variables.aims, *conditions.names)
        self._wanted = np.concatenate([variables.home, conditions.values])
        self._scales = np.concatenate([variables.scales, conditions.scales])

    def begin(self) -> _Reading:
        """What is read where the unknowns begin; raises as `read`."""
        return self._reading(*self._variables.begin())

    def read(self, x: Floats) -> _Reading:
        """Raises FieldError where there is no such bag, or not all of its figures."""
        return self._reading(*self._variables.measured(x))

    def _reading(self, bag: Bag, finished: Finished) -> _Reading:
        off = (values_of(finished, self._names) - self._wanted) / self._scales
        return _Reading(bag, finished, *self._parted(off))

    def slopes(self, now: _Reading) -> _Slopes:
        """Derivatives by the unknowns at the bag that was read."""
        what, laws = (now.bag, self._variables.unknowns, self._names), self._variables.laws
        slopes = slopes_at(*what, laws) if laws else kept_slopes(*what)
        return _Slopes(*self._parted(slopes / self._scales[:, None]))

    def _parted(self, rows: Floats) -> tuple[Floats, Floats]:
        """Those of the aims, and those of the conditions."""
        aims = len(self._variables.aims)
        return rows[:aims], rows[aims:]

    def move(self, x: Floats, step: Floats) -> tuple[Floats, _Reading, Floats, bool] | None:
        """Go as far along the step as there are bags, and whether it was the whole of it.

        It leads to plain numbers where they lie by it: 82.55, not 82.5499999999. None when not even
        a little can be gone.
        """
        for halvings in range(_HALVINGS):
            there = tidied(x + step, self.start)
            there = np.clip(there, self._variables.low, self._variables.high)
            try:
                return there, self.read(there), there - x, halvings == 0
            except FieldError:
                step = step / 2
        return None


@dataclass(frozen=True, slots=True)
class Aims:
    """Sizes that stay as near as they can.

    Attributes:
        names: of m figures; home: (m,) what they shall be, mm; scales: (m,) mm.
    """

    names: tuple[str, ...]
    home: Floats
    scales: Floats


def least_change_within(region: Region, start: Floats, aims: Aims) -> tuple[Floats, float]:
    """The x of least weighed change, and that change.

    It is sought from a start, and from what changes least where nothing that bends is asked: a
    volume may be had by a flat bag and by a deep one, and no way leads from the one to the other.

    `region` has what is exact, and the limits; `start` is (n,), an x of it.
    """
    rows = [region.figure(name) for name in aims.names]
    slopes = np.array([row.gradient(start) for row in rows]) / aims.scales[:, None]
    over = np.array([rule.room.slope for rule in region.rules])
    least = np.array([rule.least - rule.room.base for rule in region.rules])

    def off(x: Floats) -> Floats:
        return (np.array([row.at(x) for row in rows]) - aims.home) / aims.scales

    flat = np.array([row.slope for row in region.equal]).reshape(-1, len(start))
    within = (*_conditions(region, flat), over, least)
    room = np.maximum(over @ start - least, 0.0)
    near = start + step_within(slopes, off(start), flat, over, room)
    begins = [_brought_back(each, *within) for each in (start, near)]
    ends = [_least_from(x, slopes, off, within) for x in begins if x is not None]
    x = min(ends, key=lambda end: float(off(end) @ off(end)), default=start)
    return x, float(off(x) @ off(x))


def _least_from(x: Floats, slopes: Floats, off: "Misses", within: "MissedLimits") -> Floats:
    """The x of least change that steps from this one lead to."""
    _, turns, over, least = within
    now = off(x)
    for _ in range(_STEPS):
        room = np.maximum(over @ x - least, 0.0)
        better = _shortened(x, step_within(slopes, now, turns(x), over, room), now, off, within)
        if better is None:
            break
        gain = float(now @ now)
        x, now = better
        if gain - float(now @ now) <= _SETTLED * max(gain, 1e-12):
            break
    return x


Misses = Callable[[Floats], Floats]
MissedLimits = tuple[Misses, Misses, Floats, Floats]
"""What is missed of what is exact and its slopes; the limits and what they come to at least."""


def _conditions(region: Region, flat: Floats) -> tuple[Misses, Misses]:
    """(k,) how far what is exact is missed at x, in mm, and (k, n) its slopes.

    `flat` are the slopes of what of it is linear.
    """
    bent = [name for name in region.exact if is_volume(name) or is_taut(name)]
    shares = np.array(
        [VOLUME_SHARE / max(region.exact[name], 1e-3) if is_volume(name) else 1.0 for name in bent]
    )
    figures = [region.figure(name) for name in bent]
    wanted = np.array([region.exact[name] for name in bent])
    bases = np.array([row.base for row in region.equal])

    def misses(x: Floats) -> Floats:
        curved = (np.array([figure.at(x) for figure in figures]) - wanted) * shares
        return np.concatenate([flat @ x + bases, curved])

    def turns(x: Floats) -> Floats:
        if not bent:
            return flat
        return np.vstack([flat, np.array([f.gradient(x) for f in figures]) * shares[:, None]])

    return misses, turns


def _shortened(
    x: Floats, step: Floats, now: Floats, off: Misses, within: MissedLimits
) -> tuple[Floats, Floats] | None:
    """The longest part of a step that changes less; None when none does."""
    for _ in range(_HALVINGS):
        there = _brought_back(x + step, *within)
        if there is not None:
            after = off(there)
            if float(after @ after) < float(now @ now):
                return there, after
        step = step / 2
    return None


def _brought_back(
    x: Floats, misses: Misses, turns: Misses, over: Floats, least: Floats
) -> Floats | None:
    """The nearest x that meets what is exact within the limits; None where that fails."""
    for _ in range(_BACK):
        missed = misses(x)
        room = over @ x - least
        if np.abs(missed).max(initial=0.0) <= _MET and room.min() >= -_ROOM:
            return x
        slopes = turns(x)
        # Limits that are reached are kept as if they were exact.
        reached = room <= _ROOM * 10
        rows = np.vstack([slopes, over[reached]])
        wanted = np.concatenate([-missed, -np.minimum(room[reached], 0.0)])
        step, *_ = np.linalg.lstsq(rows, wanted, rcond=1e-11)
        x = x + step
    return None
