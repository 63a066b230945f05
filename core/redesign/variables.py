"""What a redesign may change, what it keeps near, and how one bag is measured for it."""

from collections.abc import Mapping, Set
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.compute import Around, measure_walls
from core.bag.figures import is_cut, matched_in
from core.bag.tables import CUT_FIGURES, cut_figure
from core.base.arrays import Floats
from core.base.errors import FieldError
from core.base.tolerance import LEAST_LENGTH, same_length, without_sliver
from core.model.record import Chain, Unknown
from core.parts.part import Part
from core.redesign.filled_volume import NO_LAWS, Laws, with_laws
from core.site.site import Finished

_SMALLEST_SCALE = 25.0
"""mm; sizes near nothing (a zip offset of 0) still count as an inch when weighed."""

_WHOLE = 1e-5
"""mm; a last strip that is less than this longer than its joins would count as none."""


KEPT = 64
"""How much is remembered of the bags that were measured last: some ten keys of a hold."""


@lru_cache(maxsize=KEPT)
def sizes_of(bag: Bag) -> Finished:
    """Finished figures of a bag, as `measure_walls` tells them to a search."""
    return measure_walls(bag)


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
        """The bag with these values of the unknowns, mm; FieldError: there can be none."""
        return bag_without_slivers(self.bag, dict(zip(self.unknowns, x.tolist(), strict=True)))

    def begin(self) -> tuple[Bag, Finished]:
        """The bag to start from, and its finished figures, measured on the pattern model itself."""
        return self.bag, with_laws(sizes_of(self.bag), self.laws)

    def measured(self, x: Floats) -> tuple[Bag, Finished]:
        """The same of the bag of `at`."""
        bag = self.at(x)
        return bag, with_laws(sizes_of(bag), self.laws)

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
        original: the bag to start from.
        now: finished figures of the bag whose sizes are kept as near as they can be.
        fixed: cut figures -> their values, mm or pieces.
        exact: names of finished figures that must come out exactly.
        laws: of the filled volumes among them.

    A FieldError says that the fixed figures cannot be together.
    """
    bag = with_figures(original, fixed)
    unknowns = tuple(
        unknown.name
        for unknown in unknowns_of(bag)
        if unknown.is_for(exact)
        and unknown.name not in fixed
        and (unknown.chain is None or unknown.chain.last not in fixed)
    )
    aims = (*aims_of(original, now), *matched_in(now))
    home = np.array([now[aim] for aim in aims])
    limits = [limits_of(bag, name, fixed) for name in unknowns]
    low, high = np.array(limits).reshape(-1, 2).T
    return Variables(bag, unknowns, aims, home, scales_of(home), low, high, laws)


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
    """The bag with these cut figures, and with chains among them joined anew; FieldError: none."""
    chains = {name: each for name, each in chains_of(bag).items() if name in values}
    after = with_figures(bag, {name: each for name, each in values.items() if name not in chains})
    for name, each in chains.items():
        after = after.with_part(after.parts[each.part.SLOT].with_chain(after.site, values[name]))
    return after


def bag_without_slivers(bag: Bag, values: Mapping[str, float]) -> Bag:
    """As `bag_with`, the bag of a search: what it leaves too small to be a length is 0 in it."""
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


def followed(
    bag: Bag, now: Finished, after: Bag, exact: Set[str], found: Finished | None = None
) -> Bag:
    """The bag as it will be, where joins, top and parts that nobody asked for follow it.

    Args:
        bag, now: as it was, and its finished figures.
        after: as it will be, but for these.
        exact: figures that were wanted or held.
        found: finished figures of `after`, where they are known.
    """
    joined = _joined(bag, after, exact)
    found = found if joined is after else sizes_of(joined)  # which joining has measured
    was, around = Around(bag, now), Around(joined, found)
    top = joined.top.following(was, around, exact)
    after = joined if top is joined.top else replace(joined, top=top)
    loose = (part for part in after.parts.values() if part.SOLVING.settled_by.isdisjoint(exact))
    return after.with_parts([part.following(was, around) for part in loose])


def _joined(bag: Bag, after: Bag, exact: Set[str]) -> Bag:
    """The bag with its pieces joined where they were, as far as nothing exact moves with that."""
    moved = after.body.joined_as(bag.body)
    if not moved or not exact.isdisjoint(moved):
        return after
    try:
        joined = with_figures(after, moved)
    except FieldError:
        return after
    here, there = sizes_of(after), sizes_of(joined)
    kept = (same_length(there.get(name) or 0.0, here.get(name) or 0.0) for name in exact)
    return joined if all(kept) else after
