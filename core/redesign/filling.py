"""What the bags of a redesign hold filled, each with the laws that are right at it."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from core.bag.bag import Bag
from core.bag.compute import measure_walls
from core.bag.figures import FILLED_NAMES, FINISHED, label_of
from core.base.errors import FieldError
from core.base.progress import Progress
from core.base.sentences import Sentence, Term, say
from core.model.findings import Finding
from core.model.record import FillSize
from core.redesign.filled_volume import Laws, law_of
from core.redesign.request import ConflictError, RedesignRequest

if TYPE_CHECKING:
    from core.solid.capacity import Capacity

_USUAL_FILLINGS = 6.0
LEAST_VOLUME = 1e-12
"""Litres; what keeps a volume that is none from having no logarithm."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """The bag of least change that has what is asked as far as laws can tell.

    Attributes:
        bag, change: with its weighed change.
        slivers: as in `core.redesign.redesign.Redesign`.
    """

    bag: Bag
    change: float = 0.0
    slivers: tuple[str, ...] = ()


LawfulAnswer = Callable[[Laws, Bag], Candidate]
"""Answers under some laws, sought from another bag first; raises ConflictError."""


@dataclass(frozen=True, slots=True)
class FilledCandidate:
    """What one bag holds.

    Attributes:
        answer: the bag, with what it came to where it was asked for.
        filled: filled figures asked for -> litres.
        laws: of the first of them, right at this bag.
    """

    answer: Candidate
    filled: Mapping[str, float]
    laws: Laws

    @property
    def bag(self) -> Bag:
        """The bag."""
        return self.answer.bag

    @property
    def held(self) -> float:
        """Litres of the first of them."""
        return self.filled[next(iter(self.laws))]

    def off(self, believed: float) -> float:
        """The share by which it holds something else than so many litres."""
        return abs(self.held / believed - 1.0)

    def far(self, wanted: float) -> float:
        """How many times more or less than wanted it holds, as a logarithm."""
        return abs(float(np.log(self.held / max(wanted, LEAST_VOLUME))))


def fill_sizes(bag: Bag) -> tuple[str, ...]:
    """Finished sizes that what a bag holds filled follows from."""
    return tuple(each.figure for each in _told(bag))


def _told(bag: Bag) -> tuple[FillSize, ...]:
    """The same, those of the top in the place of the body's that they stand for."""
    told, instead = bag.body.SOLVING.fill_sizes, bag.top.FILLED_BY
    return tuple(each._replace(figure=instead.get(each.figure, each.figure)) for each in told)


def asked_filled(request: RedesignRequest) -> tuple[str, ...]:
    """The filled volumes that a request is about, what is wanted first."""
    asked = [name for name in FILLED_NAMES if name in request.wants or name in request.holds]
    return tuple(sorted(asked, key=lambda name: name not in request.wants))


class BagFiller:
    """Fills bags for one request, of one filled volume at least; `work` triangles were filled.

    Laws are those of the first of `asked_filled`; `progress` as in `redesign.redesign`.
    """

    def __init__(self, request: RedesignRequest, progress: Progress | None) -> None:
        self._names, self._wanted = asked_filled(request), request.wants.keys()
        self._progress, self._done, self.work = progress, 0, 0

    def fill_start(self, bag: Bag) -> FilledCandidate:
        """As `fill`, of a bag that answers are sought from: it is filled for the first of them."""
        return self._fill(Candidate(bag), kept_capacity(bag))

    def tried(self, answer: Candidate) -> FilledCandidate | None:
        """What a bag holds; None where that cannot be told."""
        try:
            return self.fill(answer)
        except (ConflictError, FieldError):
            return None

    def fill(self, answer: Candidate) -> FilledCandidate:
        """What a bag holds; a ConflictError or FieldError says why it cannot be told."""
        return self._fill(answer, [])

    def _fill(self, answer: Candidate, kept: "list[Capacity]") -> FilledCandidate:
        # Loaded when it is needed: the window opens before anything is filled.
        from core.solid.capacity import capacity, inside_growth
        from core.solid.fill_solve import FillCancelledError
        from core.solid.growth import growth

        if not kept:
            kept.append(capacity(answer.bag, progress=self._told))
        elif not self._told(1.0):
            raise FillCancelledError
        found = kept[0]
        self._done += 1
        self.work += 0 if found.outside is None else found.outside.mesh.flat.shape[0]
        held = found.volumes
        untold = tuple(name for name in self._names if not held[name])
        if found.outside is None or untold:
            raise _untold(untold, self._wanted, found.not_filled or found.no_room)
        finished = measure_walls(answer.bag)
        told = _told(answer.bag)
        sizes = {each.figure: finished[each.figure] or 0.0 for each in told}
        filled = {name: held[name] or 0.0 for name in self._names}
        first = self._names[0]
        grows = inside_growth(found) if FINISHED[first].inside else growth(found.outside)
        powers = {each.figure: grows.get(each.flat, 0.0) for each in told}
        full = {each.figure: each.full_power for each in told}
        return FilledCandidate(answer, filled, {first: law_of(filled[first], sizes, powers, full)})

    def _told(self, share: float) -> bool:
        done = self._done + share
        return self._progress is None or self._progress(done / (done + _USUAL_FILLINGS))


@lru_cache(maxsize=2)
def kept_capacity(bag: Bag) -> "list[Capacity]":
    """The place where what a bag holds is kept; empty until it is filled.

    A held key is solved from where the hold began, so that its keys begin with the same filling.
    """
    return []


def _untold(
    names: tuple[str, ...], wanted: Collection[str], why: Sentence | Finding | None
) -> ConflictError | FieldError:
    """That filled volumes cannot be asked of a bag, and why; what is only held can be released."""
    name = next((each for each in names if each in wanted), None)
    why = why.message if isinstance(why, Finding) else why
    terms: dict[str, Term] = {
        "label": label_of(names[-1] if name is None else name),
        "why": say("Nothing is left inside the wall.") if why is None else why,
    }
    if name is None:
        return ConflictError(say("{label} cannot be kept. {why}", terms=terms), names=names)
    told = say("{label} cannot be asked for. {why}", terms=terms)
    return FieldError(told, field=name, value=None)
