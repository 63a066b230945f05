"""Redesign: wants and holds in, the bag that has them out, or who fights whom."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import product

import numpy as np

from core.bag.bag import Bag, cut_value, draft_walls, with_figures
from core.bag.compute import Result, compute, measure, measure_walls
from core.bag.figures import is_cut, label_of, matched_in
from core.bag.tables import CUT_FIGURES, cut_figure
from core.base.arrays import Floats
from core.base.errors import CornerwrightError, FieldError
from core.base.progress import Progress
from core.base.sentences import Listing, Sentence, mark, say
from core.base.tolerance import LEAST_LENGTH, LENGTH_TOLERANCE, same_length, shorter
from core.model.figures import Quantity
from core.redesign.conflict import conflict
from core.redesign.feasible import FeasibilitySearch, tolerance
from core.redesign.filled_search import FilledSearch, check_other
from core.redesign.filled_volume import NO_LAWS, Laws, with_laws
from core.redesign.filling import Candidate, asked_filled
from core.redesign.least_change import (
    CONDITION_TOLERANCE,
    Aims,
    Conditions,
    Descent,
    least_change,
    least_change_within,
    tidied,
)
from core.redesign.linear_model import can_be_filled, keeps_searched
from core.redesign.region import Region
from core.redesign.request import ConflictError, RedesignRequest, cut_part, miss_unit, targets
from core.redesign.variables import (
    Variables,
    aims_of,
    chain_figures,
    followed,
    open_variables,
    scales_of,
    sizes_of,
    weighed,
)
from core.site.site import Finished

_NOISE = 1e-7
"""mm; what differences of the model may leave of a change that is none."""
_HARDLY = 0.05
"""mm; nobody cuts such a change: where the answer is as good without it, it is left out."""
_SAME_CHANGE = 1e-6
"""What two answers may differ by in their weighed change, squared, and count as equally good."""
_MET = 2 * LENGTH_TOLERANCE / CONDITION_TOLERANCE
"""How many times the tolerance of a search is within that of lengths."""


@dataclass(frozen=True)
class Redesign:
    """What a redesign came to.

    Attributes:
        request: what was asked.
        before: the bag as it was, of so many pieces as were wanted.
        bag: as it will be.
        change: the weighed change that was made least.
        slivers: names of cut figures that came out too small to be lengths, and are 0.
        filled: filled volumes that were wanted or held -> what `bag` holds, litres.
        laws: of the same, right at `bag`.
    """

    request: RedesignRequest
    before: Bag
    bag: Bag
    change: float
    slivers: tuple[str, ...] = ()
    filled: Mapping[str, float] = field(default_factory=dict)
    laws: Laws = field(default_factory=dict)

    @cached_property
    def after(self) -> Result:
        """Everything that follows from the bag; who goes on to a ruler does not ask for it."""
        return compute(self.bag)

    @cached_property
    def finished(self) -> Finished:
        """Its finished figures, as `after` has them, without drafting and judging the rest."""
        return measure(self.bag, draft_walls(self.bag))

    @property
    def cut_changes(self) -> dict[str, float]:
        """Cut figures that changed -> their new values, mm or pieces."""
        pairs = ((figure.name, cut_value(self.bag, figure.name)) for figure in CUT_FIGURES)
        return {
            name: value
            for name, value in pairs
            if value is not None and value != cut_value(self.before, name)
        }


def redesign(bag: Bag, request: RedesignRequest, *, progress: Progress | None = None) -> Redesign:
    """The bag that has what is wanted and keeps what is held, changed as little as can be.

    Where a filled volume is among it the bag is filled some times over: some tenths of a
    second. It comes out as `core.redesign.filled_search` tells. `progress` hears the share done
    where bags are filled; False from it gives the work up.

    Raises:
        ConflictError: wants and holds cannot be met together; names those that fight.
        FieldError: an unknown figure, or a value that is no size.
        FillCancelledError: `progress` said not to go on.
    """
    bag, request = _counted(bag, request)
    now = sizes_of(bag)
    filled = asked_filled(request)
    if not filled:
        exact = targets(request, bag, now)
        found = _attempt(bag, now, exact, request, NO_LAWS, bag)
        return Redesign(request, bag, found.bag, found.change, found.slivers)
    aim = FilledSearch(bag, request, progress)
    now = {**now, **aim.first.filled}
    exact = targets(request, bag, now)
    aimed, *others = filled
    rest = {name: value for name, value in exact.items() if name not in others}
    held = aim.reach(exact[aimed], lambda laws, near: _attempt(bag, now, rest, request, laws, near))
    check_other(held, exact)
    change, slivers = held.answer.change, held.answer.slivers
    return Redesign(request, bag, held.bag, change, slivers, held.filled, held.laws)


def unchanged(
    found: Result, holds: frozenset[str], *, progress: Progress | None = None
) -> Redesign:
    """A bag as the answer to being held as it is, for a ruler to be put to.

    Filled volumes among what is held are told by filling the bag; those that cannot be told
    are left out. `progress` is as in `redesign`.
    """
    request = RedesignRequest(wants={}, holds=holds)
    bag = found.bag
    if not asked_filled(request):
        return Redesign(request, bag, bag, 0.0)
    try:
        first = FilledSearch(bag, request, progress).first
    except ConflictError as error:
        return unchanged(found, holds.difference(error.names), progress=progress)
    return Redesign(request, bag, bag, 0.0, filled=first.filled, laws=first.laws)


def _attempt(
    bag: Bag,
    now: Finished,
    exact: Mapping[str, float],
    request: RedesignRequest,
    laws: Laws,
    near: Bag,
) -> Candidate:
    """The bag of least change where filled volumes keep to these laws; raises as `redesign`.

    `request` is told in a refusal; `near` is a bag with what is weighed to start from.
    """
    # A piece that its goods cannot give is no question of what else there is.
    chained = chain_figures(bag).intersection(exact)
    with_figures(bag, {name: exact[name] for name in exact if name in chained})
    start = bag if near is bag else with_figures(bag, weighed(near))
    found = _solve(start, now, exact, laws)
    settled = _settled(*found) if found is not None and found[1].feasible else None
    held = frozenset(exact)
    fits = (
        settled is not None and keeps_searched(bag, settled, held) and can_be_filled(settled, laws)
    )
    if found is not None and settled is not None and fits:
        variables, solution = found
        end = _Outcome(settled, solution.change, _small(variables.unknowns, solution.x))
    else:
        search = FeasibilitySearch(bag, exact, laws)
        hit = search.find(exact)

        def can_be_nothing(name: str) -> bool:
            try:
                _attempt(bag, now, {**exact, name: 0.0}, request, laws, bag)
            except CornerwrightError:
                return False
            return True

        if hit is None:
            raise conflict(search, request, can_be_nothing)
        end = _whole_lengths(bag, now, exact, _settled_within(*hit, now, exact), laws)
    after = _still(bag, end.bag, now, exact, end.change, laws)
    slivers = tuple(
        name
        for name, left in end.small.items()
        if cut_value(bag, name) and not cut_value(after, name) and not same_length(left, 0.0)
    )
    measured = found[1].finished if found is not None and after is found[1].bag else None
    with_its_parts = followed(bag, now, after, held, measured)
    return Candidate(with_its_parts, end.change, slivers)


def _counted(bag: Bag, request: RedesignRequest) -> tuple[Bag, RedesignRequest]:
    """The bag of so many pieces as are wanted: no search goes from one number to another.

    What is held of it is what it was before. Pieces of chains are sought with their lengths. A
    FieldError says that there is no such number.
    """
    chained = chain_figures(bag)
    counts = {
        name: value
        for name, value in cut_part(request.wants).items()
        if cut_figure(name).quantity is Quantity.COUNT and name not in chained
    }
    counted = with_figures(bag, counts)
    if counted is bag:
        return bag, request
    held = {name: (_size(bag, name), _size(counted, name)) for name in request.holds}
    moved = {name: was for name, (was, now) in held.items() if was is not None and was != now}
    wants = {**moved, **request.wants}
    return counted, request._replace(wants=wants, holds=request.holds - moved.keys())


def _size(bag: Bag, name: str) -> float | None:
    """A figure of a bag, mm, litres or pieces; None of what only filling tells, or it lacks."""
    return cut_value(bag, name) if is_cut(name) else sizes_of(bag).get(name)


def slivers_left(names: tuple[str, ...]) -> Sentence:
    """What is told of figures that a redesign left too small to be lengths."""
    terms = {"figures": Listing([label_of(name) for name in names])}
    return say(_LEFT, terms=terms, least=LEAST_LENGTH)


@dataclass(frozen=True, slots=True)
class _Outcome:
    """Where a search ended.

    Attributes:
        bag: its lengths 0 or at least `LEAST_LENGTH`.
        small: cut figures that the search left below that, and that are 0 in the bag -> what
            it left, mm.
    """

    bag: Bag
    change: float
    small: Mapping[str, float]


def _small(names: tuple[str, ...], x: Floats) -> Mapping[str, float]:
    found = zip(names, x.tolist(), strict=True)
    return {name: value for name, value in found if shorter(value, LEAST_LENGTH)}


def _whole_lengths(
    bag: Bag, now: Finished, exact: Mapping[str, float], end: _Outcome, laws: Laws
) -> _Outcome:
    """The same answer if it has what is asked without its slivers, or else another that has it.

    ConflictError: only a bag with a length too small to be one has it.
    """
    found = _without_slivers(bag, now, exact, end, laws)
    if found is None:
        # What the bag has not got already is no sliver that a size leads to.
        name = max(end.small, key=lambda name: (bool(cut_value(bag, name)), end.small[name]))
        told = say(_ONLY_A_SLIVER, terms={"label": label_of(name)}, least=LEAST_LENGTH)
        raise ConflictError(told, names=tuple(exact))
    return found


def _without_slivers(
    bag: Bag, now: Finished, exact: Mapping[str, float], end: _Outcome, laws: Laws
) -> _Outcome | None:
    if not end.small or _has(end.bag, exact, laws):
        return end
    for name, value in product(end.small, (0.0, LEAST_LENGTH)):
        if name in exact:
            continue
        narrower = {**exact, name: value}
        hit = FeasibilitySearch(bag, narrower, laws).find(narrower)
        if hit is None:
            continue
        other = _settled_within(*hit, now, narrower)
        if (found := _without_slivers(bag, now, narrower, other, laws)) is not None:
            return replace(found, small=end.small)
    return None


def _has(bag: Bag, exact: Mapping[str, float], laws: Laws) -> bool:
    """Whether a bag has what is asked, to `LENGTH_TOLERANCE` or the like share of a volume."""
    finished = with_laws(measure_walls(bag), laws)
    for name, value in exact.items():
        found = cut_value(bag, name) if is_cut(name) else finished[name]
        if found is None or abs(found - value) > _MET * tolerance(name, value):
            return False
    return True


def reach(
    bag: Bag,
    now: Finished,
    variables: Variables,
    solution: Descent,
    exact: frozenset[str] = frozenset(),
) -> Bag:
    """The bag of a solution, with its parts following it.

    `bag` is as it was, `now` its finished figures; `exact` were wanted or held, and so are left
    alone.
    """
    return followed(bag, now, _settled(variables, solution), exact)


def _solve(
    bag: Bag,
    now: Finished,
    exact: Mapping[str, float],
    laws: Laws,
) -> tuple[Variables, Descent] | None:
    """Best bag for a set of exact figures; None when its fixed figures cannot be."""
    fixed = cut_part(exact)
    finished = {name: value for name, value in exact.items() if not is_cut(name)}
    try:
        variables = open_variables(bag, now, fixed, frozenset(finished), laws)
        return variables, least_change(variables, _conditions(finished))
    except FieldError:
        return None


def _still(
    bag: Bag, after: Bag, now: Finished, exact: Mapping[str, float], change: float, laws: Laws
) -> Bag:
    """The same answer without changes that are none: a search that comes near its end leaves some.

    What hardly moved is put back, and the rest takes the last steps anew.
    """
    there = weighed(after)
    still = {
        name: value
        for name, value in weighed(bag).items()
        if name not in exact and 0.0 < abs(there.get(name, value) - value) < _HARDLY
    }
    if not still:
        return after
    found = _solve(after, now, {**exact, **still}, laws)
    if found is None or not found[1].feasible or found[1].change > change + _SAME_CHANGE:
        return after
    return _settled(*found)


def _settled_within(
    region: Region, start: Floats, now: Finished, exact: Mapping[str, float]
) -> _Outcome:
    """From a bag that has what is asked to the one that changes least."""
    names = (*aims_of(region.rows.bag, now), *matched_in(now))
    home = np.array([now[name] for name in names])
    x, change = least_change_within(region, start, Aims(names, home, scales_of(home)))
    x, names = tidied(x, region.rows.start, _NOISE), region.rows.names
    return _Outcome(region.rows.at(x, cut_part(exact)), change, _small(names, x))


def _settled(variables: Variables, solution: Descent) -> Bag:
    """The bag where a search ended; the very one that it measured, where that has no noise."""
    x = tidied(solution.x, variables.start, _NOISE)
    return solution.bag if np.array_equal(x, solution.x) else variables.at(x)


def _conditions(finished: Mapping[str, float]) -> Conditions:
    names = tuple(finished)
    values = np.array([finished[name] for name in names])
    scales = [miss_unit(name, value) for name, value in finished.items()]
    return Conditions(names, values, np.array(scales))


_ONLY_A_SLIVER = mark(
    "{label} would be less than {least}, and not 0: a length is 0 or at least that. Ask for a "
    "size that is a little larger or smaller."
)
_LEFT = mark("{figures} would come out at less than {least}: taken as 0.")
