"""What the bags of a redesign hold filled, each with the laws that are right at it."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

import numpy as np

from core.bag import Bag
from core.errors import FieldError, Sentence
from core.findings import Finding
from core.finished import measure_walls
from core.parts.panel import FILLED_FIGURES
from core.redesign.laws import SIZES, Laws, law_of
from core.redesign.wants import ConflictError, Request, label_of

Hear = Callable[[float], bool]
"""Hears the share done, 0 to 1; answers whether to go on."""

_USUAL_FILLINGS = 6.0
LEAST_VOLUME = 1e-12
"""Litres; what keeps a volume that is none from having no logarithm."""


@dataclass(frozen=True, slots=True)
class Answer:
    """The bag of least change that has what is asked as far as laws can tell.

    Attributes:
        bag, change: with its weighed change.
        slivers: as in `core.redesign.solve.Redesign`.
    """

    bag: Bag
    change: float = 0.0
    slivers: tuple[str, ...] = ()


Attempt = Callable[[Laws, Bag], Answer]
"""Answers under some laws, sought from another bag first; raises ConflictError."""


@dataclass(frozen=True, slots=True)
class Filling:
    """What one bag holds.

    Attributes:
        answer: the bag, with what it came to where it was asked for.
        filled: filled figures asked for -> litres.
        laws: of the first of them, right at this bag.
    """

    answer: Answer
    filled: Mapping[str, float]
    laws: Laws

    @property
    def bag(self) -> Bag:
        """The bag."""
        return self.answer.bag

    def off(self, believed: Mapping[str, float]) -> float:
        """The share by which it holds something else."""
        return max(abs(self.filled[name] / value - 1.0) for name, value in believed.items())

    def far(self, wanted: Mapping[str, float]) -> float:
        """How many times more or less than wanted it holds, as a logarithm."""
        return max(
            abs(float(np.log(self.filled[name] / max(wanted[name], LEAST_VOLUME))))
            for name in wanted
        )


def asked_filled(request: Request) -> tuple[str, ...]:
    """The filled volumes that a request is about, what is wanted first."""
    asked = [name for name in FILLED_FIGURES if name in request.wants or name in request.holds]
    return tuple(sorted(asked, key=lambda name: name not in request.wants))


class Filler:
    """Fills bags for one request.

    Attributes:
        work: triangles that were filled.

    Args:
        request: for one filled volume at least; laws are those of the first of `asked_filled`.
        hear: as in `core.redesign.solve.redesign`.
    """

    def __init__(self, request: Request, hear: Hear | None) -> None:
        self._names, self._wanted = asked_filled(request), request.wants.keys()
        self._hear, self._done, self.work = hear, 0, 0

    def tried(self, answer: Answer) -> Filling | None:
        """What a bag holds; None where that cannot be told."""
        try:
            return self.fill(answer)
        except (ConflictError, FieldError):
            return None

    def fill(self, answer: Answer) -> Filling:
        """What a bag holds.

        Raises:
            ConflictError, FieldError: it cannot be told.
        """
        # Loaded when it is needed: the window opens before anything is filled.
        from core.solid.capacity import capacity
        from core.solid.growth import growth, inside_growth

        found = capacity(answer.bag, progress=self._told)
        self._done += 1
        self.work += 0 if found.outside is None else found.outside.mesh.flat.shape[0]
        held = {"filled_volume": found.filled, "inside_filled_volume": found.inside_filled}
        untold = tuple(name for name in self._names if not held[name])
        if found.outside is None or untold:
            raise _untold(untold, self._wanted, found.trouble or _message(found.no_room))
        finished = measure_walls(answer.bag)
        sizes = {name: finished[name] or 0.0 for name in SIZES}
        filled = {name: held[name] or 0.0 for name in self._names}
        first = self._names[0]
        grows = growth(found.outside) if first == "filled_volume" else inside_growth(found)
        powers = {size: getattr(grows, flat) for size, flat in SIZES.items()}
        return Filling(answer, filled, {first: law_of(filled[first], sizes, powers)})

    def _told(self, share: float) -> bool:
        done = self._done + share
        return self._hear is None or self._hear(done / (done + _USUAL_FILLINGS))


def _message(finding: Finding | None) -> Sentence | None:
    return None if finding is None else finding.message


def _untold(
    names: tuple[str, ...], wanted: Collection[str], why: Sentence | None
) -> ConflictError | FieldError:
    """That filled volumes cannot be asked of a bag, and why; what is only held can be released."""
    told = Sentence("nothing is left inside the wall.") if why is None else why
    template = told.template[0].lower() + told.template[1:]
    name = next((each for each in names if each in wanted), None)
    start = "{label} cannot be kept: " if name is None else "{label} cannot be asked for: "
    words = {**told.words, "label": label_of(names[-1] if name is None else name)}
    sentence = Sentence(start + template, told.lengths, words)
    if name is None:
        return ConflictError(sentence, names=names)
    return FieldError(sentence, field=name, value=None)
