"""Every bag that has some exact figures: where it is, and what another figure comes to there.

Figures that are linear leave a polytope. A volume or a handle drop alone takes on it
everything between its least and its most, for a polytope is connected. With one drop exact
the polytope is cut by a curve of free length against rise; with both volumes exact, by a
curve of the box's sides: each place of such a curve leaves a polytope again, and what is
connected along the curve takes on everything between.
"""

import math
from collections.abc import Iterator, Mapping
from copy import copy

import numpy as np

from core.bag.bag import Bag, cut_figure, with_figures
from core.bag.figures import is_cut, is_taut, is_volume
from core.base.arrays import Vector
from core.parts.handles.handles import JOIN_SEAM
from core.redesign.convex import Extent, Figure, Linear, Polytope, Product, Taut
from core.redesign.curves import EXACT_ENDS, Span, Stretch, around_curve, drop_curve, span_of
from core.redesign.filled_volume import Powers
from core.redesign.linear_model import DROP_FACES, Rows, Rule, own_limits
from core.redesign.several import Several
from core.redesign.two_volumes import other_extent, volume_curve
from core.redesign.variables import LOOP, ONLY_FOR, STRIP_FIGURES, limits_of, value_of

_HALVINGS = 60
_HAIR = 1e-6
"""Strips; a loop that misses a whole number of them by less counts as having it."""
_MOST_STRIPS = int(cut_figure("handle_strips").high)


class Region:
    """Every x of some rows that has some exact figures.

    Attributes:
        rows: of the bag.
        exact: figure -> value, mm, litres or pieces.
        rules: what each x keeps to.
        is_counted: whether the last strip is exact and their number is still to be given.
    """

    def __init__(self, rows: Rows, exact: Mapping[str, float], asked: str | None = None) -> None:
        """Take `asked` as the figure that will be asked for: it must exist at each x.

        Where the last strip's length is exact and the number of strips is not, the region
        has every loop between; `of_strips` is what has one of them.

        Args:
            rows, exact: as kept.
            asked: a figure that is not exact.

        Raises:
            FieldError: the strips that are exact cannot be.
        """
        self.rows, self.exact, self._asked = rows, exact, asked
        self._given = _given(rows, exact)
        self._strips: int | None = None
        self.is_counted = self._has_loose_count()
        if self.is_counted:
            self._one_strip, self._each_strip = self._counted_loops()
        needed = exact.keys() | {asked}
        self.rules = (
            *(rule for rule in rows.rules if not rule.only_for or rule.only_for & needed),
            *(rule for name in DROP_FACES if name in needed for rule in self._drop_rules(name)),
            *self._loop_rules(),
        )
        self.equal = tuple(self._equal())
        self._polytope = self._whole()
        self._volumes = [name for name in exact if is_volume(name)]
        self._drops = [name for name in exact if is_taut(name)]
        if not self.is_counted:
            self._settle_drops()

    def with_exact(self, exact: Mapping[str, float]) -> "Region":
        """The same strips and rows, with other figures exact."""
        if exact == self.exact:
            return self
        region = Region(self.rows, exact)
        return region if self._strips is None else region.of_strips(self._strips)

    def of_strips(self, count: int) -> "Region":
        """What has so many strips, of a region whose last strip alone is exact."""
        region = copy(self)
        loop = Linear(np.eye(len(self.rows.names))[self.rows.names.index(LOOP)], 0.0)
        length = self._loop_of(count)
        region._strips, region.is_counted = count, False
        region.rules = tuple(rule for rule in self.rules if rule.name != LOOP)
        region.equal = (*self.equal, Linear(loop.slope, -length))
        region._polytope = self._polytope.where(loop.slope, length)
        region._settle_drops()
        return region

    def figure(self, name: str) -> Figure:
        """A figure as the rows have it."""
        if is_volume(name):
            return self.volume(name)
        if is_taut(name):
            return self.taut(name)
        if name in self.rows.lengths:
            return self.rows.lengths[name]
        return Linear(np.eye(len(self.rows.names))[self.rows.names.index(name)], 0.0)

    def volume(self, name: str) -> Product | Powers:
        """A volume as the rows have it."""
        return self.rows.volumes[name]

    def _box(self, name: str) -> tuple[Product, float]:
        """A volume that is a box, and what it is to hold, litres."""
        box = self.rows.volumes[name]
        if not isinstance(box, Product):
            raise TypeError(f"{name} is no box")
        return box, self.exact[name]

    def taut(self, name: str) -> Taut:
        """A handle's drop as the rows have it."""
        drop = self.rows.drops[name]
        return Taut(drop.free, drop.rise, drop.half_gap.at(self._given))

    def strips_between(self, low: float, high: float, beside: int) -> range:
        """Numbers of strips that give loops from `low` to `high`, mm, and so many beside them."""
        first, each = self._one_strip, self._each_strip
        fewest = math.ceil((low - first) / each - _HAIR) + 1 - beside
        most = math.floor((high - first) / each + _HAIR) + 1 + beside
        return range(max(fewest, 1), min(most, _MOST_STRIPS) + 1)

    def _loop_of(self, count: int) -> float:
        """The loop of so many strips with a last one that is exact, mm."""
        return self._one_strip + (count - 1) * self._each_strip

    def somewhere(self) -> Vector | None:
        """(n,) an x of the region, well within it where there is a choice; None: it is empty."""
        if self._has_several(()):
            return self._several().somewhere()
        for stretch in self._stretches():
            if len(corners := stretch.middle):
                return np.asarray(corners.mean(axis=0))
        return None

    def spans(self, name: str) -> list[Span]:
        """What the figure that the region was opened for comes to over it: connected ranges."""
        figure = self.figure(name)
        if self._has_several((name,)):
            extent = self._several().extent(figure)
            return [] if extent is None else [_one_place(extent, figure)]
        if isinstance(figure, Product) and self._volumes:
            return self._other_volume(figure)
        spans = [span_of(figure, stretch) for stretch in self._stretches()]
        return [span for span in spans if span.extents]

    def _other_volume(self, figure: Product) -> list[Span]:
        """What one volume comes to where the other one is exact."""
        (exact,) = self._volumes
        extent = other_extent(self._polytope, self._box(exact), figure)
        return [] if extent is None else [_one_place(extent, figure)]

    def _has_several(self, asked: tuple[str, ...]) -> bool:
        """Whether a filled volume stands beside another volume: no closed curve has both."""
        volumes = [*self._volumes, *(name for name in asked if is_volume(name))]
        return len(volumes) > 1 and any(
            isinstance(self.rows.volumes[name], Powers) for name in volumes
        )

    def _several(self) -> Several:
        bent = [(self.figure(name), self.exact[name]) for name in (*self._volumes, *self._drops)]
        over = np.array([rule.room.slope for rule in self.rules])
        least = np.array([rule.least - rule.room.base for rule in self.rules])
        return Several(self._polytope.corners, over, least, self.rows.start, bent)

    def meet(self, name: str, value: float, slack: float) -> Vector | None:
        """(n,) an x of the region where a figure has a value; None: there is none.

        Args:
            name, value: of the figure the region was opened for, mm or litres.
            slack: how far the value may lie beyond what the figure comes to.
        """
        about, figure = self.about(name), self.figure(name)
        if about is None or not about.low - slack <= value <= about.high + slack:
            return None
        if self._has_several((name,)):
            return self._several().meet(figure, value)
        for stretch in self._stretches():
            span = span_of(figure, stretch, (value, slack))
            if not span.extents:
                continue
            if not span.holds(value, slack) and span.may_hold(value):
                span.sharpen(value, EXACT_ENDS)
            if span.holds(value, slack):
                return span.where(value)
        return None

    def about(self, name: str) -> Extent | None:
        """A range that a figure cannot leave in the region; None where that is empty."""
        corners = self._around().corners
        return self.figure(name).extent(corners) if len(corners) else None

    def _around(self) -> Polytope:
        """A polytope that holds all of the region, and little beside it."""
        if len(self._drops) != 1:
            return self._polytope
        (name,) = self._drops
        return around_curve(self._polytope, self.taut(name), self.exact[name])

    def _stretches(self) -> list[Stretch]:
        """The region in connected parts."""
        polytope = self._polytope
        if len(self._volumes) == 2:
            return volume_curve(
                polytope, *(self._box(name) for name in self.rows.volumes if name in self.exact)
            )
        if len(self._drops) == 1:
            (name,) = self._drops
            return drop_curve(polytope, self.taut(name), self.exact[name])
        corners = polytope.corners
        return [Stretch(0.0, 0.0, lambda _place: corners)] if len(corners) else []

    def _whole(self) -> Polytope:
        """What equations and limits leave: first the unknowns' own, then those between them."""
        count = len(self.rows.names)
        low, high = np.full(count, -np.inf), np.full(count, np.inf)
        between: list[tuple[Vector, float]] = []
        for rule in self.rules:
            least, places = rule.least - rule.room.base, np.flatnonzero(rule.room.slope)
            if len(places) != 1:
                between.append((rule.room.slope, least))
                continue
            (place,) = places
            end = least / rule.room.slope[place]
            if rule.room.slope[place] > 0.0:
                low[place] = max(low[place], end)
            else:
                high[place] = min(high[place], end)
        equations: list[Linear] = []
        for row in self.equal:
            places = np.flatnonzero(row.slope)
            if len(places) != 1:
                equations.append(row)
                continue
            (place,) = places
            value = -row.base / row.slope[place]
            low[place], high[place] = max(low[place], value), min(high[place], value)
        polytope = Polytope.box(low, high)
        for row in equations:
            polytope = polytope.where(row.slope, -row.base)
        for slope, least in between:
            polytope = polytope.above(slope, least)
        return polytope

    def _equal(self) -> Iterator[Linear]:
        """Rows that are nothing at each x."""
        rows, exact = self.rows, self.exact
        for index, (name, unit) in enumerate(zip(rows.names, np.eye(len(rows.names)), strict=True)):
            if name == LOOP and not self._is_still(index):
                if name in exact:
                    yield Linear(unit, -exact[name])
                if "handle_last_strip" in exact and not self.is_counted:
                    yield Linear(unit, -(value_of(self._stripped(), LOOP) or 0.0))
            elif name in exact or (self._is_still(index) and name != self._asked):
                yield Linear(unit, -float(self._given[index]))
        for name, value in exact.items():
            if not is_cut(name) and name != LOOP and name in rows.lengths:
                row = rows.lengths[name]
                yield Linear(row.slope, row.base - value)

    def _is_still(self, index: int) -> bool:
        """Whether an unknown has no part in this: a pocket's or a handle's that nobody asks."""
        if index >= self.rows.free:
            return True
        only_for = ONLY_FOR.get(self.rows.names[index])
        return only_for is not None and not only_for & (self.exact.keys() | {self._asked})

    def _stripped(self) -> Bag:
        fixed = {name: self.exact[name] for name in STRIP_FIGURES if name in self.exact}
        return with_figures(self.rows.bag, fixed)

    def _has_loose_count(self) -> bool:
        exact, names = self.exact, self.rows.names
        if "handle_last_strip" not in exact or "handle_strips" in exact or LOOP not in names:
            return False
        return not self._is_still(names.index(LOOP))

    def _counted_loops(self) -> tuple[float, float]:
        """The loop of the last strip alone, and what each whole strip adds to it, mm."""
        bag = self._stripped()
        each = bag.site.whole_strip - 2 * JOIN_SEAM
        strips = 1 if bag.handles is None else bag.handles.strips
        return (value_of(bag, LOOP) or 0.0) - (strips - 1) * each, each

    def _loop_rules(self) -> Iterator[Rule]:
        """How long a loop its strips can give."""
        if self.is_counted:
            ends = self._loop_of(1), self._loop_of(_MOST_STRIPS)
            yield from own_limits(self.rows.names, LOOP, *ends)
            return
        if LOOP not in self.rows.names or "handle_last_strip" in self.exact:
            return
        if self._is_still(self.rows.names.index(LOOP)):
            return
        low, high = limits_of(self._stripped(), LOOP, self.exact)
        yield from own_limits(self.rows.names, LOOP, low, high)

    def _drop_rules(self, name: str) -> Iterator[Rule]:
        """A handle drops from its legs: it spans them, and its top is no lower than its stops."""
        drop, half_gap = self.rows.drops[name], self.rows.drops[name].half_gap.at(self._given)
        zero = np.zeros(len(self.rows.names))
        free, rise = drop.free, drop.rise
        span = Linear(zero, half_gap)
        yield Rule(name, Linear(free.slope, free.base - half_gap), 0.0, free, span, _SPANS)
        if name in self.exact:
            value = Linear(zero, self.exact[name])
            over = Linear(rise.slope, rise.base + self.exact[name])
            yield Rule(name, over, 0.0, value, Linear(-rise.slope, -rise.base), _HANGS)

    def _settle_drops(self) -> None:
        """Both drops leave one rise: the free lengths of the two handles differ by the trim.

        The difference of the two free lengths that are needed falls as the front rises, and
        that of the free lengths does not, so that they meet once.
        """
        corners = self._polytope.corners
        if len(self._drops) < len(DROP_FACES) or not len(corners):
            return
        front, back = (self.taut(name) for name in DROP_FACES)
        extent = front.rise.extent(corners)
        wanted = [self.exact[name] for name in DROP_FACES]

        def over(share: float) -> float:
            x = extent.at_low + share * (extent.at_high - extent.at_low)
            needed = [
                float(taut.needed(drop, np.array([taut.rise.at(x)]))[0])
                for taut, drop in zip((front, back), wanted, strict=True)
            ]
            return (needed[0] - needed[1]) - (front.free.at(x) - back.free.at(x))

        here, there = 0.0, 1.0
        rising = over(1.0) > over(0.0)
        for _ in range(_HALVINGS):
            middle = (here + there) / 2
            if (over(middle) < 0.0) is rising:
                here = middle
            else:
                there = middle
        x = extent.at_low + there * (extent.at_high - extent.at_low)
        more = [front.rise, front.free, back.rise, back.free]
        rises = [front.rise.at(x), back.rise.at(x)]
        frees = [
            float(taut.needed(drop, np.array([rise]))[0])
            for taut, drop, rise in zip((front, back), wanted, rises, strict=True)
        ]
        for row, value in zip(more, (rises[0], frees[0], rises[1], frees[1]), strict=True):
            self._polytope = self._polytope.where(row.slope, value - row.base)


def _one_place(extent: Extent, figure: Figure) -> Span:
    """A range that no curve leads through."""
    return Span([0.0], [extent], lambda _place: extent.at_low[None], figure)


def _given(rows: Rows, exact: Mapping[str, float]) -> Vector:
    """(n,) the start with every cut figure that is exact."""
    given = rows.start.copy()
    for index, name in enumerate(rows.names):
        if name in exact:
            given[index] = exact[name]
    return given


_SPANS = "half of its free length must reach over half of the distance of its legs, {limit}."
_HANGS = "its top must be no lower than its stops, at {limit}."
