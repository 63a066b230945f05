"""A redesign that asks what the bag holds filled: bags are filled until one holds it.

The filled volume has no closed form, so that each turn redesigns with a law that is right at
the bag of the turn before (`filled_volume`), fills the bag that comes out, and takes the
law anew from there. Slopes come with every filling, so that the turns close in as Newton's
steps do, on the volume and on the least change. A refusal is believed only where the bag at
its bound, filled, holds what the law made of it.

What is reached is what `core.solid.capacity` tells of the bag from nothing, as every other
view does. That steps by up to a thousandth of itself where the filling takes a turn or a
row of cells more: a volume that falls into such a step comes out at the nearer side of it,
`CLOSE` at most; any other to `MET`.
"""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from core.bag.bag import Bag, with_figures
from core.bag.compute import measure_walls
from core.bag.figures import label_of
from core.base.errors import CornerwrightError, FieldError
from core.base.progress import Progress
from core.base.sentences import Number, mark, say
from core.redesign.filled_volume import SMALL, Laws
from core.redesign.filling import (
    LEAST_VOLUME,
    BagFiller,
    Candidate,
    FilledCandidate,
    LawfulAnswer,
    asked_filled,
    fill_sizes,
)
from core.redesign.request import NO_VOLUME, ConflictError, RedesignRequest
from core.redesign.variables import weighed

MET = 2e-5
"""Share of a volume to which it comes out where the filling is smooth."""
CLOSE = 1.2e-3
"""Share of a volume to which it comes out where the filling steps."""
_TRUE, _NEARLY_TRUE = 5e-4, 2 * CLOSE
"""Share to which a law must be right at the bag of a refusal, and at one to go on from."""
_LIKE = 0.02
"""Largest change of a size, as a share, over which slopes stay good enough for a least change."""
_FREE_TURNS, _TURNS, _FINE_TURNS = 10, 24, 16
_REACH, _FINE_REACH, _LEAST_REACH = 2.2, 1.2, 1.02
"""How many times larger or smaller a size may become at once: at most, at the last, and at
least."""
_STRIDE = 1.7
"""How many times larger or smaller a volume is asked for at once."""
_FAR_LESS = 8.0
"""How many times less than a bag holds is told by the least that there is, before it is sought."""
_NEAR_LEAST = 2.0
"""How many times further off than the least that there is the bag as it was must be, by the
logarithm, for the least to be gone up from."""
_NEXT_TO_NOTHING = 1e-6
"""Share of what is wanted that no bag holds so little as."""
_MOST_WORK = 40_000
"""Triangles that are filled for one answer, some three seconds: then it is given up."""
_SAME = 1e-7
"""Share: nearer than this two ways to reckon are one, and a step of the filling lies between."""


def check_other(found: FilledCandidate, exact: Mapping[str, float]) -> None:
    """Refuse a second filled volume that is another one than comes with the first: ConflictError.

    The wall alone parts the two: bags that hold the one alike hold the other nearly alike,
    by hardly more than can be told. So they are no two sizes to ask for.
    """
    first, *others = found.filled
    for name in others:
        if abs(found.filled[name] / exact[name] - 1.0) <= _NEARLY_TRUE:
            continue
        terms = {"first": label_of(first), "other": label_of(name)}
        numbers = {
            "size": Number(exact[first], places=2),
            "wanted": Number(exact[name], places=2),
            "comes": Number(found.filled[name], places=2),
        }
        raise ConflictError(say(_APART, numbers=numbers, terms=terms), names=(first, name))


class FilledSearch:
    """Fills bags for one request, of one filled volume at least.

    The first of `asked_filled` is aimed at; `progress` as in `redesign.redesign`. Where
    it cannot be told what the bag holds, that is a FieldError if it is wanted, and if it is only
    held a ConflictError that names what cannot be told.
    """

    def __init__(self, bag: Bag, request: RedesignRequest, progress: Progress | None) -> None:
        self._filler = BagFiller(request, progress)
        self._name = asked_filled(request)[0]
        self._nearest: FilledCandidate | None = None
        self.first = self._filler.fill_start(bag)

    def reach(self, wanted: float, attempt: LawfulAnswer) -> FilledCandidate:
        """The bag of least change that holds so many litres; ConflictError: there is none.

        `attempt` redesigns with laws. A FieldError says that none was found that holds it as
        exactly as can be told.
        """
        self._wanted, self._attempt = wanted, attempt
        least = self._least() if _FAR_LESS * wanted < self.first.held else None
        if not wanted:
            raise self._nothing()
        # The way down comes out at less change, the way up by fewer bags.
        if least is None or _NEAR_LEAST * least.far(wanted) > self.first.far(wanted):
            try:
                return self._by_and_by()
            except CornerwrightError as error:
                if least is None:
                    raise
                # An end that the way down led to is not the least.
                if self._filler.work > _MOST_WORK:
                    raise self._unreached() from error
        return self._step_by_step(least)

    def _least(self) -> FilledCandidate | None:
        """The bag that holds least, to go up from; None where that cannot be told.

        It lies at a corner of what there is, of those where no size can become smaller alone. If
        it holds more than is wanted, that is a ConflictError, or a FieldError while next to it
        lie bags of which nothing can be told.
        """
        try:
            self._attempt(_scaled(self.first.laws, 1.0 / _NEXT_TO_NOTHING), self.first.bag)
        except ConflictError as error:
            if not error.ends:
                raise
            corners = [self._filler.tried(Candidate(bag)) for bag in error.ends]
        else:
            return None
        told = [each for each in corners if each is not None]
        for each in told:
            self._came_to(each)
        if not told:
            return None
        least = min(told, key=lambda each: each.held)
        if least.held > self._wanted:
            if len(told) < len(corners):
                # Hardly anything is left inside: what lies between that and nothing is no aim.
                raise self._unreached() if self._wanted else self._nothing()
            # Near it its own law is right, and tells in the refusal which limits lie there.
            self._attempt(_trusted(least.laws, _FINE_REACH), least.bag)
        return least

    def _by_and_by(self) -> FilledCandidate:
        """As `reach`: what is far off is asked for by and by, of laws near where they are right."""
        nearest = at = self.first
        wanted, at_once = self._wanted, False
        for _ in range(_FREE_TURNS):
            asked = wanted if at_once else _strode(wanted, at.held)
            answer, refused = self._answered(at, np.inf, asked)
            near = _within_reach(answer.bag, at.bag)
            led_far = near is not answer.bag
            there = self._filler.tried(Candidate(near) if led_far else answer)
            if there is None or led_far:
                at = there or self._halfway(near, at)
                continue
            self._came_to(there)
            nearest = min(nearest, there, key=lambda each: each.far(wanted))
            off = there.off(_believed(there, at.laws))
            if refused is None:
                if asked == wanted and off <= _NEARLY_TRUE and _alike(there.bag, at.bag):
                    return self._fine(there)
            elif off <= _TRUE:
                if asked == wanted:
                    return self._step_by_step(self._elsewhere(refused, there, ()))
                at_once = True
            at = there
        return self._step_by_step(nearest)

    def _step_by_step(self, at: FilledCandidate) -> FilledCandidate:
        """As `reach`, from a bag on: no turn leads further than its law is trusted.

        A turn that leads no nearer to what is wanted is taken back, and the next is shorter.
        """
        reach, wanted = _REACH, self._wanted
        for _ in range(_TURNS):
            answer, refused = self._answered(at, reach, wanted)
            there = self._filler.tried(answer)
            if there is None:
                reach = max(reach**0.5, _LEAST_REACH)
                continue
            self._came_to(there)
            off = there.off(_believed(there, at.laws))
            if refused is None and off <= _NEARLY_TRUE and _alike(there.bag, at.bag):
                return self._fine(there)
            if at.far(wanted) - there.far(wanted) > _TRUE:
                at, reach = there, min(reach**1.5, _REACH)
            elif reach > _LEAST_REACH and (refused is None or off > _TRUE):
                reach = max(reach**0.5, _LEAST_REACH)
            elif refused is not None:
                at = self._elsewhere(refused, there, self._beyond(there))
            else:
                return self._fine(there)
        raise self._unreached()

    def _answered(
        self, at: FilledCandidate, reach: float, asked: float
    ) -> tuple[Candidate, ConflictError | None]:
        """What the laws of one bag answer: near it, or, where nothing is, as far as it takes.

        For a refusal that is the bag at its bound, with the refusal; ConflictError: there is none,
        whatever bags hold.
        """
        laws = _scaled(at.laws, self._wanted / asked)
        for most in dict.fromkeys((reach, np.inf)):
            try:
                return self._attempt(_trusted(laws, most), at.bag), None
            except ConflictError as error:
                refused = error
                if error.ends:
                    return Candidate(error.ends[0]), error
        raise refused

    def _beyond(self, end: FilledCandidate) -> tuple[Bag, ...]:
        """Bags that a law has to offer when it is trusted everywhere."""
        try:
            return (self._attempt(end.laws, end.bag).bag,)
        except ConflictError as error:
            return error.ends

    def _elsewhere(
        self, refused: ConflictError, end: FilledCandidate, more: tuple[Bag, ...]
    ) -> FilledCandidate:
        """Another bag to go on from, though an end of what there is near has been reached.

        Where none leads nearer the refusal stands.
        """
        for bag in (*more, *refused.ends[1:]):
            found = self._filler.tried(Candidate(bag))
            if found and end.far(self._wanted) - found.far(self._wanted) > _NEARLY_TRUE:
                return found
        raise refused

    def _fine(self, there: FilledCandidate) -> FilledCandidate:
        """From a bag that holds it nearly to one that holds it as exactly as can be told.

        The laws keep their slopes; what they make of a bag is taken larger or smaller.
        """
        best, wanted = there, self._wanted
        laws = _trusted(there.laws, _FINE_REACH)
        factor, low, high = 1.0, 0.0, np.inf
        for _ in range(_FINE_TURNS):
            if best.off(wanted) <= MET:
                break
            try:
                answer = self._attempt(_scaled(laws, factor), best.bag)
            except ConflictError:
                break  # at the very end of what can be had
            at = self._filler.tried(answer)
            if at is None:
                break
            best = min(best, at, key=lambda each: each.off(wanted))
            share = at.held / wanted
            low, high = (factor, high) if share > 1.0 else (low, factor)
            if high - low <= _SAME * low:
                break
            factor *= share
            if not low < factor < high:
                factor = (low + high) / 2
        if best.off(wanted) > CLOSE:
            raise self._unreached()
        return best

    def _came_to(self, found: FilledCandidate) -> None:
        """A bag that has all else that is asked: the nearest of them is told at the last.

        A FieldError says that so many have been filled that no more are.
        """
        if self._nearest is None or found.far(self._wanted) < self._nearest.far(self._wanted):
            self._nearest = found
        if self._filler.work > _MOST_WORK and found.off(self._wanted) > CLOSE:
            raise self._unreached()

    def _nothing(self) -> FieldError:
        told = say(NO_VOLUME, terms={"label": label_of(self._name)})
        return FieldError(told, field=self._name, value=0.0)

    def _unreached(self) -> FieldError:
        """That no bag was found although none was ruled out."""
        numbers, template = {"value": Number(self._wanted)}, _UNREACHED
        if self._nearest is not None:
            template = _UNREACHED_NEAR
            numbers["nearest"] = _litres(self._nearest.held)
        told = say(template, numbers=numbers, terms={"label": label_of(self._name)})
        return FieldError(told, field=self._name, value=self._wanted)

    def _halfway(self, bag: Bag, at: FilledCandidate) -> FilledCandidate:
        """Between a bag that leads too far and one that can be filled."""
        for _ in range(_TURNS):
            bag = _between(bag, at.bag)
            if (found := self._filler.tried(Candidate(bag))) is not None:
                return found
        return at


def _believed(at: FilledCandidate, laws: Laws) -> float:
    """What the law of another bag makes of one, litres."""
    (law,) = laws.values()
    return law.at(measure_walls(at.bag)) or LEAST_VOLUME


def _scaled(laws: Laws, factor: float) -> Laws:
    """Laws that make so many times as much of every bag."""
    return {name: replace(law, value=law.value * factor) for name, law in laws.items()}


def _trusted(laws: Laws, reach: float) -> Laws:
    """Laws that are trusted so far."""
    return {name: replace(law, reach=reach) for name, law in laws.items()}


def _strode(wanted: float, held: float) -> float:
    """What is wanted, or what lies a stride towards it, litres."""
    return min(max(wanted, held / _STRIDE), held * _STRIDE)


def _alike(one: Bag, other: Bag) -> bool:
    """Whether bags are so near that the slopes of one are those of the other."""
    here, there = measure_walls(one), measure_walls(other)
    return all(
        abs((here[name] or 0.0) - (there[name] or 0.0)) <= _LIKE * max(there[name] or 0.0, 1.0)
        for name in fill_sizes(other)
    )


def _within_reach(bag: Bag, at: Bag) -> Bag:
    """The bag, or as far towards it as a law that is right at another may be trusted."""
    home = measure_walls(at)
    sizes = fill_sizes(bag)
    least = SMALL * max(home[name] or 0.0 for name in sizes)
    for _ in range(_TURNS):
        there = measure_walls(bag)
        shares = [max(there[name] or 0.0, least) / max(home[name] or 0.0, least) for name in sizes]
        if max(shares) <= _REACH and min(shares) >= 1.0 / _REACH:
            return bag
        bag = _between(bag, at)
    return bag


def _between(one: Bag, other: Bag) -> Bag:
    """The other bag with each cut figure of the body halfway to that of the first."""
    here = weighed(one)
    middle = {name: (here[name] + there) / 2 for name, there in weighed(other).items()}
    try:
        return with_figures(other, middle)
    except FieldError:
        return other


def _litres(value: float) -> Number:
    """Litres to three digits, two decimals at least."""
    return Number(value, places=2) if value >= 0.1 else Number(value, digits=3)


_APART = mark(
    "“{first}” and “{other}” cannot be chosen separately: they differ only by the "
    "thickness of the wall. With {size} L of the first the other is {comes} L, not {wanted} L; "
    "ask for one of the two."
)
_UNREACHED = mark("{label} is {value} L: no bag was found that holds it.")
_UNREACHED_NEAR = mark(
    "{label} is {value} L: no bag was found that holds it; the nearest one found holds {nearest} L."
)
