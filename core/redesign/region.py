"""Every bag that has some exact figures: where it is, and what another figure comes to there.

Figures that are linear leave a polytope. A volume or a handle drop alone takes on it
everything between its least and its most, for a polytope is connected. With one drop exact
the polytope is cut by a curve of free length against rise; with both volumes exact, by a
curve of the box's sides: each place of such a curve leaves a polytope again, and what is
connected along the curve takes on everything between. That curve is one of boxes whose rounded
corners stay as they are: where nothing else settles them they are kept.
"""

import math
from collections.abc import Iterator, Mapping
from copy import copy

import numpy as np

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.figures import is_cut, is_taut, is_volume
from core.bag.tables import cut_figure
from core.base.arrays import Floats
from core.model.record import Chain
from core.redesign.convex import Extent, Linear, Polytope, PolytopeFigure, Product, Taut
from core.redesign.curves import EXACT_ENDS, CurveStretch, Range, around_curve, drop_curve, span_of
from core.redesign.filled_volume import PowerLawFigure
from core.redesign.level_set import LevelSet
from core.redesign.linear_model import Constraint, LinearModel, own_limits
from core.redesign.rounded_box import BoxVolume, RoundedBox, taken_off
from core.redesign.two_volumes import Volume, other_extent, volume_curve
from core.redesign.variables import chain_figures, chains_of, limits_of, value_of

_HALVINGS = 60
_SPREAD = 1e-7
"""mm; an unknown that differs by less between corners is settled."""
_HAIR = 1e-6
"""Pieces; a chain that misses a whole number of them by less counts as having it."""


class Region:
    """Every x of some rows that has some exact figures.

    Attributes:
        exact: figure -> value, mm, litres or pieces.
        rules: what each x keeps to.
        kept: unknowns that rounded corners follow from, and that stay as they are, mm, where both
            volumes of a box are asked for: what is told of such a region is told of those alone.
        equal: rows that are nothing at each x; `kept_rows`: those of what is kept.
        counted: the chain whose last piece is exact and whose number of them is not; None: none.
    """

    def __init__(
        self, rows: LinearModel, exact: Mapping[str, float], asked: str | None = None
    ) -> None:
        """Take `asked` as the figure that will be asked for: it must exist at each x.

        Where the last piece of a chain is exact and their number is not, the region has every
        length between; `of_pieces` is what has one of them. One chain alone may be so. A
        FieldError says that the pieces that are exact cannot be.
        """
        self.rows, self.exact, self._asked = rows, exact, asked
        self._asked_for = frozenset({*exact, asked or ""})
        self._given = _given(rows, exact)
        self._chains = {
            name: each for name, each in chains_of(rows.bag).items() if name in rows.names
        }
        self._pieces: int | None = None
        self.counted = self._loose_count()
        if self.counted is not None:
            self._one_piece, self._each_piece = self._counted_lengths(self.counted)
        needed = self._asked_for
        self.rules = (
            *(rule for rule in rows.rules if rule.is_for(needed)),
            *(rule for name in rows.straps if name in needed for rule in self._strap_rules(name)),
            *self._chain_rules(),
        )
        self.equal = tuple(self._equal())
        self._polytope = self._whole()
        self._volumes = [name for name in exact if is_volume(name)]
        self._drops = [name for name in exact if is_taut(name)]
        self._loose = self._polytope
        self.kept: dict[str, float] = {}
        self._keep_corners()
        if not self.is_counted:
            self._settle_drops()

    @property
    def is_counted(self) -> bool:
        """Whether the number of pieces of `counted` is still to be given."""
        return self.counted is not None and self._pieces is None

    def with_exact(self, exact: Mapping[str, float]) -> "Region":
        """The same pieces and rows, with other figures exact."""
        if exact == self.exact:
            return self
        region = Region(self.rows, exact)
        return region if self._pieces is None else region.of_pieces(self._pieces)

    def of_pieces(self, count: int) -> "Region":
        """What has so many pieces, of a region where the last one alone is exact."""
        region, name = copy(self), self.counted
        assert name is not None, "no chain is to be counted"
        slope, length = self._unit(name), self._length_of(count)
        region._pieces = count
        region.rules = tuple(rule for rule in self.rules if rule.name != name)
        region.equal = (*self.equal, Linear(slope, -length))
        region._polytope = self._polytope.where(slope, length)
        region._loose = self._loose.where(slope, length)
        region._settle_drops()
        return region

    def figure(self, name: str) -> PolytopeFigure:
        """A figure as the rows have it."""
        if is_volume(name):
            return self.volume(name)
        if is_taut(name):
            return self.taut(name)
        if name in self.rows.lengths:
            return self.rows.lengths[name]
        return Linear(self._unit(name), 0.0)

    def _unit(self, name: str) -> Floats:
        return np.asarray(np.eye(len(self.rows.names))[self.rows.names.index(name)])

    def volume(self, name: str) -> BoxVolume | PowerLawFigure:
        """A volume as the rows have it."""
        return self.rows.volumes[name]

    def _box(self, name: str) -> Volume:
        """A volume that is a box, and what it is to hold."""
        box = self.rows.volumes[name]
        if isinstance(box, PowerLawFigure):
            raise TypeError(f"{name} is no box")
        corners = self._polytope.corners
        taken = taken_off(box, corners.mean(axis=0)) if len(corners) else 0.0
        return Volume(box, self.exact.get(name, math.nan), taken)

    def taut(self, name: str) -> Taut:
        """The height of a strap as the rows have it."""
        strap = self.rows.straps[name]
        return Taut(strap.free, strap.rise, strap.half_gap.at(self._given))

    def counts_between(self, low: float, high: float, beside: int) -> range:
        """Numbers of pieces that give lengths from `low` to `high`, mm, and so many beside them."""
        first, each = self._one_piece, self._each_piece
        fewest = math.ceil((low - first) / each - _HAIR) + 1 - beside
        most = math.floor((high - first) / each + _HAIR) + 1 + beside
        return range(max(fewest, 1), min(most, self._most_pieces) + 1)

    def _length_of(self, count: int) -> float:
        """The chain of so many pieces with a last one that is exact, mm."""
        return self._one_piece + (count - 1) * self._each_piece

    def somewhere(self, *, loosely: bool = False) -> Floats | None:
        """(n,) an x of the region, well within it where there is a choice; None: it is empty.

        `loosely`: what is kept may change: an x that is found is one, and none proves nothing.
        """
        if loosely or self._needs_level_set(()):
            return self._level_set().somewhere()
        for stretch in self._stretches():
            if len(corners := stretch.middle):
                return np.asarray(corners.mean(axis=0))
        return None

    def spans(self, name: str) -> list[Range]:
        """What the figure that the region was opened for comes to over it: connected ranges."""
        figure = self.figure(name)
        if self._needs_level_set((name,)):
            extent = self._level_set().extent(figure)
            return [] if extent is None else [_one_place(extent, figure)]
        if isinstance(figure, Product | RoundedBox) and self._volumes:
            (exact,) = self._volumes
            extent = other_extent(self._polytope, self._box(exact), self._box(name))
            return [] if extent is None else [_one_place(extent, figure)]
        spans = [span_of(figure, stretch) for stretch in self._stretches()]
        return [span for span in spans if span.extents]

    def _needs_level_set(self, asked: tuple[str, ...]) -> bool:
        """Whether a filled volume stands beside another volume: no closed curve has both."""
        volumes = [*self._volumes, *(name for name in asked if is_volume(name))]
        return len(volumes) > 1 and any(
            isinstance(self.rows.volumes[name], PowerLawFigure) for name in volumes
        )

    def _level_set(self) -> LevelSet:
        bent = [(self.figure(name), self.exact[name]) for name in (*self._volumes, *self._drops)]
        over = np.array([rule.room.slope for rule in self.rules])
        least = np.array([rule.least - rule.room.base for rule in self.rules])
        return LevelSet(self._loose.corners, over, least, self.rows.start, bent)

    def meet(
        self, name: str, value: float, slack: float, *, loosely: bool = False
    ) -> Floats | None:
        """(n,) an x of the region where a figure has a value; None: there is none.

        Args:
            name, value: of the figure the region was opened for, mm or litres.
            slack: how far the value may lie beyond what the figure comes to.
            loosely: as in `somewhere`.
        """
        figure = self.figure(name)
        if loosely:
            return self._level_set().meet(figure, value)
        about = self.about(name)
        if about is None or not about.low - slack <= value <= about.high + slack:
            return None
        if self._needs_level_set((name,)):
            return self._level_set().meet(figure, value)
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

    def _stretches(self) -> list[CurveStretch]:
        polytope = self._polytope
        if len(self._volumes) == 2:
            return volume_curve(
                polytope, *(self._box(name) for name in self.rows.volumes if name in self.exact)
            )
        if len(self._drops) == 1:
            (name,) = self._drops
            return drop_curve(polytope, self.taut(name), self.exact[name])
        corners = polytope.corners
        return [CurveStretch(0.0, 0.0, lambda _place: corners)] if len(corners) else []

    def _whole(self) -> Polytope:
        """What equations and limits leave: first the unknowns' own, then those between them."""
        count = len(self.rows.names)
        low, high = np.full(count, -np.inf), np.full(count, np.inf)
        between: list[tuple[Floats, float]] = []
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
            if name in self._chains and not self._is_still(index):
                if name in exact:
                    yield Linear(unit, -exact[name])
                if self._chains[name].chain.last in exact and name != self.counted:
                    yield Linear(unit, -(value_of(self._pieced(), name) or 0.0))
            elif name in exact or (self._is_still(index) and name != self._asked):
                yield Linear(unit, -float(self._given[index]))
        for name, value in exact.items():
            if not is_cut(name) and name not in rows.names and name in rows.lengths:
                row = rows.lengths[name]
                yield Linear(row.slope, row.base - value)

    @property
    def kept_rows(self) -> tuple[Linear, ...]:
        """Rows that are nothing at each x where what is kept is as it was."""
        return tuple(Linear(self._unit(name), -value) for name, value in self.kept.items())

    def _keep_corners(self) -> None:
        """Keep what rounded corners follow from where both volumes of a box are asked for.

        What lies on the curve of both is told exactly of corners that do not change.
        """
        asked = [self._asked] if self._asked is not None and is_volume(self._asked) else []
        boxes = [self.rows.volumes[name] for name in {*self._volumes, *asked}]
        if len(boxes) < 2 or any(isinstance(box, PowerLawFigure) for box in boxes):
            return
        rounded = [box for box in boxes if isinstance(box, RoundedBox)]
        for index, name in enumerate(self.rows.names):
            corners = self._polytope.corners
            if not len(corners) or np.ptp(corners[:, index]) <= _SPREAD:
                continue
            if any(np.any(box.round_slopes[:, index]) for box in rounded):
                self.kept[name] = float(self.rows.start[index])
                self._polytope = self._polytope.where(self._unit(name), self.kept[name])

    def _is_still(self, index: int) -> bool:
        """Whether an unknown has no part in this: one that nobody asks for."""
        if index >= self.rows.free:
            return True
        return not self.rows.unknowns[index].is_for(self._asked_for)

    def _pieced(self) -> Bag:
        figures = chain_figures(self.rows.bag)
        fixed = {name: value for name, value in self.exact.items() if name in figures}
        return with_figures(self.rows.bag, fixed)

    def _moving_chains(self) -> Iterator[tuple[str, Chain]]:
        """Those that somebody asks for."""
        for name, each in self._chains.items():
            if not self._is_still(self.rows.names.index(name)):
                yield name, each.chain

    def _loose_count(self) -> str | None:
        """The chain whose last piece is exact, and their number is not."""
        loose = (
            name
            for name, chain in self._moving_chains()
            if chain.last in self.exact and chain.count not in self.exact
        )
        return next(loose, None)

    @property
    def _most_pieces(self) -> int:
        return int(cut_figure(self._chains[self.counted or ""].chain.count).high)

    def _counted_lengths(self, name: str) -> tuple[float, float]:
        """The length of the last piece alone, and what each whole piece adds to it, mm."""
        bag, found = self._pieced(), self._chains[name]
        each = chains_of(bag)[name].part.chain_piece(bag.site)
        pieces = cut_value(bag, found.chain.count) or 1
        return (value_of(bag, name) or 0.0) - (pieces - 1) * each, each

    def _chain_rules(self) -> Iterator[Constraint]:
        """How long a chain its pieces can give."""
        for name, chain in self._moving_chains():
            if name == self.counted:
                ends = self._length_of(1), self._length_of(self._most_pieces)
                yield from own_limits(self.rows.names, name, *ends)
            elif chain.last not in self.exact:
                low, high = limits_of(self._pieced(), name, self.exact)
                yield from own_limits(self.rows.names, name, low, high)

    def _strap_rules(self, name: str) -> Iterator[Constraint]:
        """A strap spans its ends, and its top is no lower than they are."""
        strap, half_gap = self.rows.straps[name], self.rows.straps[name].half_gap.at(self._given)
        zero = np.zeros(len(self.rows.names))
        free, rise = strap.free, strap.rise
        spans, hangs = strap.rules
        span = Linear(zero, half_gap)
        yield Constraint(name, Linear(free.slope, free.base - half_gap), 0.0, free, span, spans)
        if name in self.exact:
            value = Linear(zero, self.exact[name])
            over = Linear(rise.slope, rise.base + self.exact[name])
            yield Constraint(name, over, 0.0, value, Linear(-rise.slope, -rise.base), hangs)

    def _settle_drops(self) -> None:
        """Both drops leave one rise: the free lengths of the two handles differ by the trim.

        The difference of the two free lengths that are needed falls as the front rises, and
        that of the free lengths does not, so that they meet once.
        """
        corners = self._polytope.corners
        if len(self._drops) < 2 or not len(corners):
            return
        names = [name for name in self.rows.straps if name in self.exact]
        front, back = map(self.taut, names)
        extent = front.rise.extent(corners)
        wanted = [self.exact[name] for name in names]

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


def _one_place(extent: Extent, figure: PolytopeFigure) -> Range:
    """A range that no curve leads through."""
    return Range([0.0], [extent], lambda _place: extent.at_low[None], figure)


def _given(rows: LinearModel, exact: Mapping[str, float]) -> Floats:
    """(n,) the start with every cut figure that is exact."""
    given = rows.start.copy()
    for index, name in enumerate(rows.names):
        if name in exact:
            given[index] = exact[name]
    return given
