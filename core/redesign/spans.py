"""What a figure comes to along a stretch: a connected range, and where each value of it is."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from core.redesign.curves import Stretch
from core.redesign.polytope import Extent, Figure
from core.redesign.space import Vector

_GOLDEN = (np.sqrt(5.0) - 1.0) / 2.0
_GRID = 13
"""Places of a stretch that are looked at, its ends among them."""
EXACT_ENDS = 32
"""Golden sections that bring what lies between two places below a millionth of it."""
TOLD_ENDS = 22
"""Golden sections for an end that is only told: to a fifty-thousandth."""
_HALVINGS = 60
_FAR = 2.0
"""How many times the largest step between neighbours a most may still be away."""


@dataclass(frozen=True, slots=True)
class Span:
    """A connected range of a figure.

    Attributes:
        places: (p,) ascending places of a curve; extents: the figure at each of them.
        cut: corners at a place of the curve.
    """

    places: list[float]
    extents: list[Extent]
    cut: Callable[[float], Vector]
    figure: Figure

    @property
    def lowest(self) -> Extent:
        """The extent with the least value."""
        return min(self.extents, key=lambda extent: extent.low)

    @property
    def highest(self) -> Extent:
        """The extent with the largest value."""
        return max(self.extents, key=lambda extent: extent.high)

    def holds(self, value: float, slack: float) -> bool:
        """Whether the figure takes on this value, or comes as near as `slack`."""
        return self.lowest.low - slack <= value <= self.highest.high + slack

    def may_hold(self, value: float) -> bool:
        """Whether the figure may come to a value between the places where it was asked."""
        if len(self.extents) < 2:
            return False
        lows = [extent.low for extent in self.extents]
        highs = [extent.high for extent in self.extents]
        return min(lows) - _reach(lows) <= value <= max(highs) + _reach(highs)

    def sharpen(self, value: float, rounds: int) -> None:
        """Ask further places around the end that lies next to a value beyond the range."""
        if len(self.places) < 2:
            return
        if self.lowest.low > value:
            lows = [extent.low for extent in self.extents]
            self._zoom(lows.index(min(lows)), lambda extent: -extent.low, rounds)
        elif self.highest.high < value:
            highs = [extent.high for extent in self.extents]
            self._zoom(highs.index(max(highs)), lambda extent: extent.high, rounds)

    def _zoom(self, index: int, score: Callable[[Extent], float], rounds: int) -> None:
        """Golden sections to where a score is largest, on both sides of a place."""
        low = self.places[max(index - 1, 0)]
        high = self.places[min(index + 1, len(self.places) - 1)]
        found = dict(zip(self.places, self.extents, strict=True))

        def asked(place: float) -> float:
            corners = self.cut(place)
            if not len(corners):
                return -np.inf
            found[place] = self.figure.extent(corners)
            return score(found[place])

        one, other = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        at_one, at_other = asked(one), asked(other)
        for _ in range(rounds):
            if at_one > at_other:
                high, other, at_other = other, one, at_one
                one = high - _GOLDEN * (high - low)
                at_one = asked(one)
            else:
                low, one, at_one = one, other, at_other
                other = low + _GOLDEN * (high - low)
                at_other = asked(other)
        self.places[:] = sorted(found)
        self.extents[:] = [found[place] for place in self.places]

    def where(self, value: float) -> Vector:
        """(n,) where it does; the nearest end when it is just beyond."""
        # Well within first: at its ends a curve may be too steep to be met in numbers.
        count = len(self.extents)
        for place in sorted(range(count), key=lambda place: abs(2 * place - count + 1)):
            extent = self.extents[place]
            if extent.low <= value <= extent.high:
                return _between(self.figure, extent.at_low, extent.at_high, value)
        for index in range(len(self.extents) - 1):
            before, after = self.extents[index : index + 2]
            if before.high < value < after.low or after.high < value < before.low:
                return self._walked(index, value)
        if value < self.lowest.low:
            return self.lowest.at_low
        return self.highest.at_high

    def _walked(self, index: int, value: float) -> Vector:
        """Halve the way between two places whose extents lie on two sides of the value."""
        here, there = self.places[index], self.places[index + 1]
        rising = self.extents[index].high < value
        best = self.extents[index].at_high if rising else self.extents[index].at_low
        for _ in range(_HALVINGS):
            middle = (here + there) / 2
            corners = self.cut(middle)
            if not len(corners) or middle in (here, there):
                break
            extent = self.figure.extent(corners)
            if extent.low <= value <= extent.high:
                return _between(self.figure, extent.at_low, extent.at_high, value)
            best = extent.at_high if extent.high < value else extent.at_low
            if (extent.high < value) is rising:
                here = middle
            else:
                there = middle
        return best


def _reach(ends: list[float]) -> float:
    """How much further a figure may go between neighbouring places."""
    return _FAR * max(abs(one - other) for one, other in pairwise(ends))


def _between(figure: Figure, low: Vector, high: Vector, value: float) -> Vector:
    """Where the figure has a value on the way from its least to its most."""
    here, there = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (here + there) / 2
        if figure.at(low + middle * (high - low)) < value:
            here = middle
        else:
            there = middle
    return low + there * (high - low)


def span_of(figure: Figure, stretch: Stretch, sought: tuple[float, float] | None = None) -> Span:
    """A figure along a stretch, at some places of it.

    Args:
        figure, stretch: as they are.
        sought: (value, slack); once the range holds this value no more places are asked.
    """
    found: dict[float, Extent] = {}
    span = Span([], [], stretch.cut, figure)
    for place in _coarse_first(stretch.places(_GRID)):
        if not len(corners := stretch.cut(place)):
            continue
        found[place] = figure.extent(corners)
        span.places[:] = sorted(found)
        span.extents[:] = [found[each] for each in span.places]
        if sought is not None and span.holds(*sought):
            break
    return span


def _coarse_first(places: list[float]) -> Iterator[float]:
    """The middle, the ends, then what lies halfway between those before."""
    step = len(places) - 1
    seen = {len(places) // 2}
    yield places[len(places) // 2]
    while step >= 1:
        for index in range(0, len(places), step):
            if index not in seen:
                seen.add(index)
                yield places[index]
        step = (step + 1) // 2 if step > 1 else 0
