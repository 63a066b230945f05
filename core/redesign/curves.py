"""The curve that cuts a polytope where one handle drop is exact, and what curves are made of.

Along a curve each place leaves a polytope. What can be reached along it without a gap is
one stretch; a stretch may be a single place. What a figure comes to along a stretch is a
connected range, which tells where each value of it is.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from core.base.arrays import Floats
from core.redesign.convex import Extent, Polytope, PolytopeFigure, Taut, quadratic_roots

_SAME = 1e-9
"""mm, or share of a volume: nearer than this is the same."""
_TANGENTS = 3
_LOOSE = 1e-7
"""mm; how much further out than tangents and chord what lies about a curve is cut."""


@dataclass(frozen=True, slots=True)
class CurveStretch:
    """A part of a curve without a gap.

    Attributes:
        low, high: its ends; the same for a single place.
        cut: (c, n) corners of what a place of it leaves of the polytope; none beyond its ends.
    """

    low: float
    high: float
    cut: Callable[[float], Floats]

    @property
    def middle(self) -> Floats:
        """(c, n) corners well within it."""
        corners = self.cut((self.low + self.high) / 2)
        return corners if len(corners) else self.cut(self.low)

    def places(self, count: int) -> list[float]:
        """So many places from end to end; one where there is no more."""
        if self.high <= self.low:
            return [self.low]
        places: list[float] = np.linspace(self.low, self.high, count).tolist()
        return places


def drop_curve(polytope: Polytope, taut: Taut, drop: float) -> list[CurveStretch]:
    """Where a handle drops exactly so: by rise, which settles the free length.

    Seen in rise and free length the polytope is a polygon, so that the curve crosses it at
    roots of quadratics.
    """
    corners = polytope.corners
    if not len(corners):
        return []

    def cut(rise: float) -> Floats:
        free = float(taut.needed(drop, np.array([rise]))[0])
        level = polytope.where(taut.rise.slope, rise - taut.rise.base)
        return level.where(taut.free.slope, free - taut.free.base).corners

    ends = _crossings(corners, taut, drop)
    found: list[CurveStretch] = []
    for place, low in enumerate(ends):
        high = ends[place + 1] if place + 1 < len(ends) else low
        if high == low or not len(cut((low + high) / 2)):
            high = low
        if found and found[-1].high == low:
            found[-1] = CurveStretch(found[-1].low, high, cut)
        elif len(cut(low)) or high > low:
            found.append(CurveStretch(low, high, cut))
    return found


def around_curve(polytope: Polytope, taut: Taut, drop: float) -> Polytope:
    """What of a polytope lies about the curve: between its chord and tangents to it.

    The free length that is needed is convex in the rise, so that all of the curve is kept.
    """
    if not len(polytope.corners):
        return polytope
    _, rises = taut.parts(polytope.corners)
    low, high = float(rises.min()), float(rises.max())
    ends = taut.needed(drop, np.array([low, high]))
    free, rise = taut.free, taut.rise
    for place in np.linspace(low, high, _TANGENTS if high - low > _LOOSE else 1).tolist():
        needed = float(taut.needed(drop, np.array([place]))[0])
        steep = (drop + place) / max(needed, _SAME)
        least = needed - steep * (place - rise.base) - free.base
        polytope = polytope.above(free.slope - steep * rise.slope, least - _LOOSE)
    steep = float(ends[1] - ends[0]) / max(high - low, _LOOSE)
    most = float(ends.max()) if high - low <= _LOOSE else float(ends[0]) - steep * (low - rise.base)
    steep = 0.0 if high - low <= _LOOSE else steep
    return polytope.above(steep * rise.slope - free.slope, free.base - most - _LOOSE)


def _crossings(corners: Floats, taut: Taut, drop: float) -> list[float]:
    """Ascending rises at which the curve crosses the polygon of rise and free length."""
    free, rise = taut.parts(corners)
    ring = _ring(np.stack([rise, free], axis=1))
    after = np.roll(ring, -1, axis=0)
    up, longer = (after - ring).T
    over, now = drop + ring[:, 0], ring[:, 1]
    # (free + s longer)^2 = (drop + rise + s up)^2 + half_gap^2
    shares = quadratic_roots(
        longer**2 - up**2, 2 * (now * longer - over * up), now**2 - over**2 - taut.half_gap**2
    )
    inside = (shares >= -_SAME) & (shares <= 1.0 + _SAME)
    at = ring[:, :1] + np.clip(shares, 0.0, 1.0) * up[:, None]
    met = np.abs(taut.needed(drop, ring[:, 0]) - now) <= _SAME
    kept: list[float] = []
    for place in np.unique(np.concatenate([ring[met, 0], at[inside]])).tolist():
        if not kept or place - kept[-1] > _SAME:
            kept.append(place)
    return kept


def _ring(points: Floats) -> Floats:
    """(r, 2) the hull of points in a plane, all the way round; of points on a line their ends."""
    ordered = points[np.lexsort((points[:, 1], points[:, 0]))].tolist()
    hull: list[list[float]] = []
    for way in (ordered, ordered[::-1]):
        start = len(hull)
        for x, y in way:
            while len(hull) >= start + 2:
                (x0, y0), (x1, y1) = hull[-2:]
                if (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) > _SAME:
                    break
                hull.pop()
            hull.append([x, y])
        hull.pop()
    return np.array(hull or ordered[:1])


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
class Range:
    """A connected range of a figure.

    Attributes:
        places: (p,) ascending places of a curve; extents: the figure at each of them.
        cut: corners at a place of the curve.
    """

    places: list[float]
    extents: list[Extent]
    cut: Callable[[float], Floats]
    figure: PolytopeFigure

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

    def where(self, value: float) -> Floats:
        """(n,) where it does; the nearest end when it is just beyond."""
        # Well within first: at its ends a curve may be too steep to be met in numbers.
        count = len(self.extents)
        for place in sorted(range(count), key=lambda place: abs(2 * place - count + 1)):
            extent = self.extents[place]
            if extent.low <= value <= extent.high:
                return between(self.figure, extent.at_low, extent.at_high, value)
        for index in range(len(self.extents) - 1):
            before, after = self.extents[index : index + 2]
            if before.high < value < after.low or after.high < value < before.low:
                return self._walked(index, value)
        if value < self.lowest.low:
            return self.lowest.at_low
        return self.highest.at_high

    def _walked(self, index: int, value: float) -> Floats:
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
                return between(self.figure, extent.at_low, extent.at_high, value)
            best = extent.at_high if extent.high < value else extent.at_low
            if (extent.high < value) is rising:
                here = middle
            else:
                there = middle
        return best


def _reach(ends: list[float]) -> float:
    """How much further a figure may go between neighbouring places."""
    return _FAR * max(abs(one - other) for one, other in pairwise(ends))


def between(figure: PolytopeFigure, low: Floats, high: Floats, value: float) -> Floats:
    """(n,) where the figure has a value on the way from its least to its most."""
    here, there = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (here + there) / 2
        if figure.at(low + middle * (high - low)) < value:
            here = middle
        else:
            there = middle
    return low + there * (high - low)


def span_of(
    figure: PolytopeFigure, stretch: CurveStretch, sought: tuple[float, float] | None = None
) -> Range:
    """A figure along a stretch, at some places of it.

    `sought` is (value, slack): once the range holds this value no more places are asked.
    """
    found: dict[float, Extent] = {}
    span = Range([], [], stretch.cut, figure)
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
