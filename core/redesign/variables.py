"""What a redesign may change, what it keeps near, and how one bag is measured for it."""

from collections.abc import Mapping, Set
from dataclasses import dataclass

import numpy as np

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.compute import Around, measure_walls
from core.bag.figures import is_cut, matched_in
from core.bag.tables import CUT_FIGURES, cut_figure
from core.base.arrays import Floats
from core.base.errors import FieldError
from core.base.sentences import mark
from core.base.tolerance import LEAST_LENGTH, without_sliver
from core.model.solving import Chain, Unknown
from core.parts.part import Part
from core.redesign.convex import bounded_step
from core.redesign.filled_volume import NO_LAWS, Laws, with_laws
from core.site.site import Finished

_SMALLEST_SCALE = 25.0
"""mm; sizes near nothing (a zip offset of 0) still count as an inch when weighed."""

_WHOLE = 1e-5
"""mm; a last strip that is less than this longer than its joins would count as none."""


@dataclass(frozen=True, slots=True)
class Variables:
    """The unknowns of one redesign and the aims that weigh their change.

    The aims are linear in the unknowns: least change means that the finished sizes stay
    as near as they can, in proportion.

    Attributes:
        bag: the bag to start from, with its fixed cut figures already set.
        unknowns: names of what may change, n of them: cut figures, and what stands for a chain.
        aims: names of finished figures that stay as near as they can, m of them.
        home: (m,) values of the aims in the bag as it was, mm.
        scales: (m,) what counts as one unit of change for each aim, mm.
        low, high: (n,) limits of the unknowns, mm.
        laws: of filled volumes that must come out exactly.
    """

    bag: Bag
    unknowns: tuple[str, ...]
    aims: tuple[str, ...]
    home: Floats
    scales: Floats
    low: Floats
    high: Floats
    laws: Laws

    def at(self, x: Floats) -> Bag:
        """The bag with these values of the unknowns, mm.

        Raises:
            FieldError: there can be no such bag.
        """
        return bag_without_slivers(self.bag, dict(zip(self.unknowns, x.tolist(), strict=True)))

    def measured(self, x: Floats) -> Finished:
        """Finished figures by name, measured on the pattern model itself.

        Raises:
            FieldError: there can be no such bag.
        """
        return with_laws(measure_walls(self.at(x)), self.laws)

    @property
    def start(self) -> Floats:
        """(n,) the unknowns as they are now, mm."""
        return np.array([value_of(self.bag, name) for name in self.unknowns])


def open_variables(
    original: Bag,
    now: Finished,
    fixed: Mapping[str, float],
    exact: frozenset[str],
    laws: Laws = NO_LAWS,
) -> Variables:
    """What may change when `fixed` cut figures are set and `exact` ones must come out.

    Args:
        original, now: the bag as it is, and its finished figures.
        fixed: cut figures -> their values, mm or pieces.
        exact: names of finished figures that must come out exactly.
        laws: of the filled volumes among them.

    Raises:
        FieldError: the fixed figures cannot be together.
    """
    bag = with_figures(original, fixed)
    unknowns = tuple(
        unknown.name
        for unknown in unknowns_of(bag)
        if unknown.is_for(exact) and not _is_fixed(unknown, fixed)
    )
    aims = (*aims_of(original, now), *matched_in(now))
    home = np.array([now[aim] for aim in aims])
    limits = [limits_of(bag, name, fixed) for name in unknowns]
    low = np.array([pair[0] for pair in limits])
    high = np.array([pair[1] for pair in limits])
    return Variables(bag, unknowns, aims, home, scales_of(home), low, high, laws)


def _is_fixed(unknown: Unknown, fixed: Mapping[str, float]) -> bool:
    return unknown.name in fixed or (unknown.chain is not None and unknown.chain.last in fixed)


def scales_of(home: Floats) -> Floats:
    """(m,) what counts as one unit of change for sizes as they are, mm."""
    return np.maximum(np.abs(home), _SMALLEST_SCALE)


def unknowns_of(bag: Bag) -> tuple[Unknown, ...]:
    """Everything that a redesign of this bag could take up as unknown, as far as it has it."""
    site = bag.site
    found = [
        unknown
        for _, member in bag.members
        for unknown in member.SOLVING.unknowns
        if member.may_change(unknown.name, site) and value_of(bag, unknown.name) is not None
    ]
    return tuple(sorted(found, key=lambda unknown: _PLACE.get(unknown.name, len(_PLACE))))


_PLACE = {figure.name: place for place, figure in enumerate(CUT_FIGURES)}
"""Cut figure -> its place among the unknowns; a chain comes last."""


def offered(bag: Bag) -> tuple[str, ...]:
    """Their names."""
    return tuple(unknown.name for unknown in unknowns_of(bag))


def weighed(bag: Bag) -> dict[str, float]:
    """What a redesign may change without being asked for it -> as it is, mm."""
    names = (
        unknown.name
        for _, member in bag.members
        for unknown in member.SOLVING.unknowns
        if not unknown.only_for
    )
    return {name: value for name in names if (value := value_of(bag, name)) is not None}


def aims_of(bag: Bag, now: Finished) -> tuple[str, ...]:
    """Sizes that stay as near as they can, among those that the bag has; without mismatches."""
    names = (name for _, member in bag.members for name in member.SOLVING.aims)
    return tuple(name for name in names if now[name] is not None)


@dataclass(frozen=True, slots=True)
class Chained:
    """A chain of a bag, and the part that has it."""

    part: Part
    chain: Chain


def chains_of(bag: Bag) -> dict[str, Chained]:
    """Finished figure that stands for a chain -> the chain."""
    return {
        unknown.name: Chained(part, unknown.chain)
        for part in bag.parts.values()
        for unknown in part.SOLVING.unknowns
        if unknown.chain is not None
    }


def chain_figures(bag: Bag) -> frozenset[str]:
    """Cut figures that a chain stands for."""
    return frozenset().union(*(each.chain.of for each in chains_of(bag).values()))


def bag_with(bag: Bag, values: Mapping[str, float]) -> Bag:
    """The bag with these cut figures, and with chains among them joined anew.

    Raises:
        FieldError: there can be no such bag.
    """
    chains = {name: each for name, each in chains_of(bag).items() if name in values}
    after = with_figures(bag, {name: each for name, each in values.items() if name not in chains})
    for name, each in chains.items():
        after = after.with_part(after.parts[each.part.SLOT].with_chain(after.site, values[name]))
    return after


def bag_without_slivers(bag: Bag, values: Mapping[str, float]) -> Bag:
    """The bag of a search: what it leaves too small to be a length is 0 in the bag.

    Raises:
        FieldError: as `bag_with`.
    """
    return bag_with(bag, {name: without_sliver(value) for name, value in values.items()})


def value_of(bag: Bag, name: str) -> float | None:
    """An unknown as it is now, mm; None when the bag lacks it."""
    if is_cut(name):
        return cut_value(bag, name)
    found = chains_of(bag).get(name)
    return None if found is None else found.part.chain_length(bag.site)


def limits_of(bag: Bag, name: str, fixed: Mapping[str, float]) -> tuple[float, float]:
    """Least and most of an unknown, mm, in a bag that has the fixed figures already."""
    if is_cut(name):
        figure = cut_figure(name)
        low = figure.low if figure.may_be_nothing else max(figure.low, LEAST_LENGTH)
        return low, figure.high
    found = chains_of(bag)[name]
    each, count = found.part.chain_piece(bag.site), found.chain.count
    if count in fixed:
        pieces = fixed[count]
        return max((pieces - 1) * each + _WHOLE, LEAST_LENGTH), pieces * each
    return LEAST_LENGTH, cut_figure(count).high * each


# --- following ---


def followed(bag: Bag, now: Finished, after: Bag, exact: Set[str]) -> Bag:
    """The bag as it will be, where parts that nobody asked for follow it.

    Args:
        bag, now: as it was, and its finished figures.
        after: as it will be, but for its parts.
        exact: figures that were wanted or held.
    """
    was, around = Around(bag, now), Around(after)
    for part in after.parts.values():
        if part.SOLVING.settled_by.isdisjoint(exact):
            new = part.following(was, around)
            after = after if new is part else after.with_part(new)
    return after


# --- newton ---
# Least change under exact conditions: sequential quadratic steps on the pattern model.
#
#     minimise  | (aims(x) - home) / scales |^2    subject to   figures(x) = values
#
# The aims are linear in x, so that each step solves its quadratic exactly; conditions that bend (a
# volume, a handle drop) take a few steps. Derivatives are differences of the pattern model itself:
# where a figure is linear in the cut they are exact to rounding. A set of differences costs one
# measured bag for each unknown, so that between two sets the slopes are only turned by what each
# step shows (Broyden 1965, Math. Comp. 19, 577-593, from memory).


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
    values: Floats
    scales: Floats


@dataclass(frozen=True, slots=True)
class Descent:
    """Where the search ended.

    Attributes:
        x: (n,) the unknowns, mm.
        missed: largest distance of a condition from its value, scaled to mm.
        change: the weighed change of the aims, squared; what is minimised.
        blocked: the last impossible bag that the search ran into, if any.
    """

    x: Floats
    missed: float
    change: float
    blocked: FieldError | None = None

    @property
    def feasible(self) -> bool:
        """Whether every condition is met."""
        return self.missed <= FEASIBLE


def least_change(variables: Variables, conditions: Conditions) -> Descent:
    """The least weighed change that meets the conditions, or comes nearest to it.

    Raises:
        FieldError: a condition is about a figure that this bag does not have.
    """
    probe = _Probe(variables, conditions)
    x = variables.start
    now = probe.read(x)
    slopes, drift = probe.slopes(x, now), 0.0
    blocked: FieldError | None = None
    for _ in range(_MOST_STEPS if len(x) else 0):
        step = bounded_step(
            (slopes.aims, now.aims),
            (slopes.misses, now.misses),
            (variables.low - x, variables.high - x),
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
    return Descent(x, missed, float(now.aims @ now.aims), blocked)


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
            bool(np.all(np.abs(there - here - slope @ step) < FEASIBLE / 10))
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

    def move(
        self, x: Floats, step: Floats
    ) -> tuple[Floats, _Reading, Floats, FieldError | None] | None:
        """Go as far along the step as there are bags; None when not even a little."""
        blocked: FieldError | None = None
        for _ in range(_HALVINGS):
            there = np.clip(x + step, self._variables.low, self._variables.high)
            try:
                return there, self.read(there), there - x, blocked
            except FieldError as error:
                blocked, step = error, step / 2
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
