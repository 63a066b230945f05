"""A redesign that asks what the bag holds filled: bags are filled until one holds it.

The filled volume has no closed form, so that each turn redesigns with a law that is right at
the bag of the turn before (`core.redesign.laws`), fills the bag that comes out, and takes the
law anew from there. Slopes come with every filling, so that the turns close in as Newton's
steps do, on the volume and on the least change. A refusal is believed only where the bag at
its bound, filled, holds what the law made of it.

What is reached is what `core.solid.capacity` tells of the bag from nothing, as every other
view does. That steps by up to a thousandth of itself where the filling takes a turn or a
row of cells more: a volume that falls into such a step comes out at the nearer side of it,
`CLOSE` at most; any other to `MET`.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from core.bag import Bag, cut_value, with_figures
from core.errors import FieldError, Sentence
from core.findings import Finding
from core.finished import measure_walls
from core.parts.panel import FILLED_FIGURES
from core.redesign.laws import SIZES, SMALL, Laws, law_of
from core.redesign.space import PANEL_UNKNOWNS
from core.redesign.wants import ConflictError, Request, label_of

Hear = Callable[[float], bool]
"""Hears the share done, 0 to 1; answers whether to go on."""

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
_USUAL_FILLINGS = 6.0
_SAME = 1e-7
"""Share: nearer than this two ways to reckon are one, and a step of the filling lies between."""


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
            abs(float(np.log(self.filled[name] / max(wanted[name], _LEAST)))) for name in wanted
        )


def asked_filled(request: Request) -> tuple[str, ...]:
    """The filled volumes that a request is about, what is wanted first."""
    asked = [name for name in FILLED_FIGURES if name in request.wants or name in request.holds]
    return tuple(sorted(asked, key=lambda name: name not in request.wants))


def check_other(found: Filling, exact: Mapping[str, float]) -> None:
    """Refuse a second filled volume that is another one than comes with the first.

    The wall alone parts the two: bags that hold the one alike hold the other nearly alike,
    by hardly more than can be told. So they are no two sizes to ask for.

    Raises:
        ConflictError: names both.
    """
    first, *others = found.filled
    for name in others:
        if abs(found.filled[name] / exact[name] - 1.0) <= _NEARLY_TRUE:
            continue
        words = {
            "first": label_of(first),
            "other": label_of(name),
            "size": f"{exact[first]:.2f} L",
            "wanted": f"{exact[name]:.2f} L",
            "comes": f"{found.filled[name]:.2f} L",
        }
        raise ConflictError(Sentence(_APART, words=words), names=(first, name))


class Aim:
    """Fills bags for one request.

    Args:
        bag: as it is.
        names: of the filled volumes asked for, at least one; the first is aimed at.
        hear: as in `core.redesign.solve.redesign`.

    Raises:
        FieldError: it cannot be told what the bag holds.
    """

    def __init__(self, bag: Bag, names: tuple[str, ...], hear: Hear | None) -> None:
        self._names, self._hear, self._done = names, hear, 0
        self.first = self._fill(Answer(bag))

    def reach(self, wanted: Mapping[str, float], attempt: Attempt) -> Filling:
        """The bag of least change that holds what is asked.

        What is far off is asked for by and by, and laws are asked near where they are right.

        Args:
            wanted: the filled figure that is aimed at -> litres.
            attempt: redesigns with laws.

        Raises:
            ConflictError: there is none.
            FieldError: none was found that holds it as exactly as can be told.
        """
        at, at_once = self.first, False
        nearest = at
        for _ in range(_FREE_TURNS):
            asked = wanted if at_once else _by_and_by(wanted, at.filled)
            answer, refused = _answered(at, np.inf, wanted, asked, attempt)
            near = _within_reach(answer.bag, at.bag)
            led_far = near is not answer.bag
            there = self._try(Answer(near) if led_far else answer)
            if there is None or led_far:
                at = there or self._halfway(near, at)
                continue
            nearest = min(nearest, there, key=lambda each: each.far(wanted))
            off = there.off(_believed(there, at.laws))
            if refused is None:
                if asked == wanted and off <= _NEARLY_TRUE and _alike(there.bag, at.bag):
                    return self._fine(there, wanted, attempt)
            elif off <= _TRUE:
                if asked == wanted:
                    return self._step_by_step(
                        self._elsewhere(refused, there, wanted, ()), wanted, attempt
                    )
                at_once = True
            at = there
        return self._step_by_step(nearest, wanted, attempt)

    def _step_by_step(self, at: Filling, wanted: Mapping[str, float], attempt: Attempt) -> Filling:
        """As `reach`, from a bag on: no turn leads further than its law is trusted.

        A turn that leads no nearer to what is wanted is taken back, and the next is shorter.
        """
        reach = _REACH
        for _ in range(_TURNS):
            answer, refused = _answered(at, reach, wanted, wanted, attempt)
            there = self._try(answer)
            if there is None:
                reach = max(reach**0.5, _LEAST_REACH)
                continue
            off = there.off(_believed(there, at.laws))
            if refused is None and off <= _NEARLY_TRUE and _alike(there.bag, at.bag):
                return self._fine(there, wanted, attempt)
            if at.far(wanted) - there.far(wanted) > _TRUE:
                at, reach = there, min(reach**1.5, _REACH)
            elif reach > _LEAST_REACH and (refused is None or off > _TRUE):
                reach = max(reach**0.5, _LEAST_REACH)
            elif refused is not None:
                at = self._elsewhere(refused, there, wanted, _beyond(there, attempt))
            else:
                return self._fine(there, wanted, attempt)
        raise _unreached(wanted)

    def _elsewhere(
        self,
        refused: ConflictError,
        end: Filling,
        wanted: Mapping[str, float],
        more: tuple[Bag, ...],
    ) -> Filling:
        """Another bag to go on from, though an end of what there is near has been reached.

        Raises:
            ConflictError: there is none that leads nearer.
        """
        for bag in (*more, *refused.ends[1:]):
            found = self._try(Answer(bag))
            if found is not None and end.far(wanted) - found.far(wanted) > _NEARLY_TRUE:
                return found
        raise refused

    def _fine(self, there: Filling, wanted: Mapping[str, float], attempt: Attempt) -> Filling:
        """From a bag that holds it nearly to one that holds it as exactly as can be told.

        The laws keep their slopes; what they make of a bag is taken larger or smaller.
        """
        best = there
        laws = {name: replace(law, reach=_FINE_REACH) for name, law in there.laws.items()}
        (name,) = wanted
        factor, low, high = 1.0, 0.0, np.inf
        for _ in range(_FINE_TURNS):
            if best.off(wanted) <= MET:
                break
            try:
                answer = attempt(_scaled(laws, {name: factor}), best.bag)
            except ConflictError:
                break  # at the very end of what can be had
            at = self._try(answer)
            if at is None:
                break
            best = min(best, at, key=lambda each: each.off(wanted))
            share = at.filled[name] / wanted[name]
            low, high = (factor, high) if share > 1.0 else (low, factor)
            if high - low <= _SAME * low:
                break
            factor *= share
            if not low < factor < high:
                factor = (low + high) / 2
        if best.off(wanted) > CLOSE:
            raise _unreached(wanted)
        return best

    def _halfway(self, bag: Bag, at: Filling) -> Filling:
        """Between a bag that leads too far and one that can be filled."""
        for _ in range(_TURNS):
            bag = _between(bag, at.bag)
            if (found := self._try(Answer(bag))) is not None:
                return found
        return at

    def _try(self, answer: Answer) -> Filling | None:
        """What a bag holds; None where that cannot be told."""
        try:
            return self._fill(answer)
        except FieldError:
            return None

    def _fill(self, answer: Answer) -> Filling:
        """What a bag holds.

        Raises:
            FieldError: it cannot be told.
        """
        # Loaded when it is needed: the window opens before anything is filled.
        from core.solid.capacity import capacity
        from core.solid.growth import growth, inside_growth

        found = capacity(answer.bag, progress=self._told)
        self._done += 1
        held = {"filled_volume": found.filled, "inside_filled_volume": found.inside_filled}
        if found.outside is None or any(not held[name] for name in self._names):
            raise _untold(self._names[-1], found.trouble or _message(found.no_room))
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


def _answered(
    at: Filling,
    reach: float,
    wanted: Mapping[str, float],
    asked: Mapping[str, float],
    attempt: Attempt,
) -> tuple[Answer, ConflictError | None]:
    """What the laws of one bag answer: near it, or, where nothing is, as far as it takes.

    Returns:
        The answer; for a refusal the bag at its bound, with the refusal.

    Raises:
        ConflictError: there is none, whatever bags hold.
    """
    shares = {name: wanted[name] / asked[name] if wanted[name] else 1.0 for name in asked}
    laws = _scaled(at.laws, shares)
    for most in dict.fromkeys((reach, np.inf)):
        trusted = {name: replace(law, reach=most) for name, law in laws.items()}
        try:
            return attempt(trusted, at.bag), None
        except ConflictError as error:
            refused = error
            if error.ends:
                return Answer(error.ends[0]), error
    raise refused


def _beyond(end: Filling, attempt: Attempt) -> tuple[Bag, ...]:
    """Bags that a law has to offer when it is trusted everywhere."""
    try:
        answer = attempt(end.laws, end.bag)
    except ConflictError as error:
        return error.ends
    return (answer.bag,)


def _believed(at: Filling, laws: Laws) -> dict[str, float]:
    """What laws make of a bag, litres."""
    finished = measure_walls(at.bag)
    return {name: law.at(finished) or _LEAST for name, law in laws.items()}


def _scaled(laws: Laws, factors: Mapping[str, float]) -> Laws:
    """Laws that make more or less of every bag."""
    return {name: replace(law, value=law.value * factors[name]) for name, law in laws.items()}


def _by_and_by(wanted: Mapping[str, float], held: Mapping[str, float]) -> Mapping[str, float]:
    """What is wanted, or what lies a stride towards it."""
    strides = {
        name: min(max(value, held[name] / _STRIDE), held[name] * _STRIDE) if value else value
        for name, value in wanted.items()
    }
    return wanted if strides == wanted else strides


def _alike(one: Bag, other: Bag) -> bool:
    """Whether the slopes of one bag are those of the other."""
    here, there = measure_walls(one), measure_walls(other)
    return all(
        abs((here[name] or 0.0) - (there[name] or 0.0)) <= _LIKE * max(there[name] or 0.0, 1.0)
        for name in SIZES
    )


def _within_reach(bag: Bag, at: Bag) -> Bag:
    """The bag, or as far towards it as a law that is right at another may be trusted."""
    home = measure_walls(at)
    least = SMALL * max(home[name] or 0.0 for name in SIZES)
    for _ in range(_TURNS):
        there = measure_walls(bag)
        shares = [max(there[name] or 0.0, least) / max(home[name] or 0.0, least) for name in SIZES]
        if max(shares) <= _REACH and min(shares) >= 1.0 / _REACH:
            return bag
        bag = _between(bag, at)
    return bag


def _between(one: Bag, other: Bag) -> Bag:
    """The other bag with each cut figure of the panel halfway to that of the first."""
    middle = {
        name: ((cut_value(one, name) or 0.0) + (cut_value(other, name) or 0.0)) / 2
        for name in PANEL_UNKNOWNS
    }
    try:
        return with_figures(other, middle)
    except FieldError:
        return other


def _message(finding: Finding | None) -> Sentence | None:
    return None if finding is None else finding.message


def _untold(name: str, why: Sentence | None) -> FieldError:
    """That a filled volume cannot be asked of a bag, and why."""
    told = Sentence("nothing is left inside the wall.") if why is None else why
    template = told.template[0].lower() + told.template[1:]
    words = {**told.words, "label": label_of(name)}
    sentence = Sentence("{label} cannot be asked for: " + template, told.lengths, words)
    return FieldError(sentence, field=name, value=None)


def _unreached(wanted: Mapping[str, float]) -> FieldError:
    """That no bag was found although none was ruled out."""
    name, value = next(iter(wanted.items()))
    words = {"label": label_of(name), "value": f"{value:.2f} L"}
    return FieldError(Sentence(_UNREACHED, words=words), field=name, value=value)


_LEAST = 1e-12
_APART = (
    "“{first}” and “{other}” are no two sizes: the wall alone parts them. With {size} of the one "
    "the other is {comes}, not {wanted}; ask for one of the two."
)
_UNREACHED = "{label} is {value}: no bag was found that holds it; ask for a little more or less."
