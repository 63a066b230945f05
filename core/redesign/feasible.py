"""Whether any bag has what is asked: exactly, and with a bag to start from where one has it."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.figures import is_taut, is_volume
from core.base.arrays import Floats
from core.base.errors import FieldError
from core.redesign.curves import Range
from core.redesign.filled_volume import Laws
from core.redesign.least_change import CONDITION_TOLERANCE
from core.redesign.linear_model import LinearModel, measure_model
from core.redesign.region import Region
from core.redesign.request import miss_unit
from core.redesign.variables import chains_of


@dataclass
class FeasibilitySearch:
    """Looks for bags among every pattern of one bag's construction.

    A LinearModel is measured once for all questions about the same figures, and no question is
    answered twice.

    Attributes:
        wanted: every figure that may come to be asked for -> its value.
        laws: of the filled volumes among them.
    """

    bag: Bag
    wanted: Mapping[str, float]
    laws: Laws = field(default_factory=dict)
    _rows: dict[str, LinearModel | None] = field(default_factory=dict)
    _answers: dict[frozenset[tuple[str, float]], bool] = field(default_factory=dict)

    def find(self, exact: Mapping[str, float]) -> tuple[Region, Floats] | None:
        """A region and an x of it where these figures come out exactly; None: none was found.

        That there is none is proven where `kept` is empty, and else of bags that keep to it.
        """
        found = self._sought(exact) or self._sought(exact, loosely=True)
        return None if found is None else (found[0].with_exact(exact), found[1])

    def can(self, exact: Mapping[str, float]) -> bool:
        """Whether there is a bag where these figures come out exactly, and what is `kept`."""
        key = frozenset(exact.items())
        if key not in self._answers:
            self._answers[key] = self._sought(exact) is not None
        return self._answers[key]

    def kept(self, exact: Mapping[str, float]) -> Mapping[str, float]:
        """Cut figures that stay as they are, mm, in all that is told where these are exact."""
        asked = _asked_last(exact)
        rest = {name: value for name, value in exact.items() if name != asked}
        found: dict[str, float] = {}
        for region in self._regions(rest, asked, exact):
            found |= region.kept
        return found

    def _sought(
        self, exact: Mapping[str, float], *, loosely: bool = False
    ) -> tuple[Region, Floats] | None:
        """`loosely`: only where something is kept, and without keeping it."""
        asked = _asked_last(exact)
        rest = {name: value for name, value in exact.items() if name != asked}
        for region in self._regions(rest, asked, exact):
            if loosely and not region.kept:
                continue
            if asked is None:
                x = region.somewhere(loosely=loosely)
            else:
                slack = tolerance(asked, exact[asked])
                x = region.meet(asked, exact[asked], slack, loosely=loosely)
            if x is not None:
                return region, x
        return None

    def spans(self, name: str, rest: Mapping[str, float]) -> list[tuple[Region, Range]]:
        """What a figure comes to next to its wanted value where the rest is exact.

        Regions that can only end further from that value than another one does are left out.
        """
        value = self.wanted[name]
        offered = [
            (extent, region)
            for region in self._regions(rest, name, {**rest, name: value})
            if (extent := region.about(name)) is not None
        ]
        offered.sort(key=lambda each: max(each[0].low - value, value - each[0].high))
        found: list[tuple[Region, Range]] = []
        below, above = -math.inf, math.inf
        for extent, region in offered:
            if extent.high < min(below, value) or extent.low > max(above, value):
                continue
            for span in region.spans(name):
                found.append((region, span))
                low, high = span.lowest.low, span.highest.high
                below = max(below, high) if high < value else below
                above = min(above, low) if low > value else above
        return found

    def _regions(
        self, rest: Mapping[str, float], asked: str | None, exact: Mapping[str, float]
    ) -> Iterator[Region]:
        for shape in self.bag.body.shapes(exact):
            rows = self._rows_of(shape)
            # A volume or a drop may be asked of a bag that has none.
            if rows is None or any(
                (is_volume(name) and name not in rows.volumes)
                or (is_taut(name) and name not in rows.straps)
                for name in exact
            ):
                continue
            try:
                yield from self._counted(rows, rest, asked, exact)
            except FieldError:
                continue

    def _counted(
        self,
        rows: LinearModel,
        rest: Mapping[str, float],
        asked: str | None,
        exact: Mapping[str, float],
    ) -> Iterator[Region]:
        """One region; or one for each number of pieces where the last one's length is exact."""
        region = Region(rows, rest, asked)
        if region.counted is None:
            yield region
            return
        last = chains_of(rows.bag)[region.counted].chain.last
        without = {name: value for name, value in exact.items() if name != last}
        if any(is_volume(name) for name in rest) and not self.can(without):
            # Both volumes are exact: their curve is too long a way to be walked for each number.
            return
        for count in _counts(region, region.counted, asked, without):
            yield region.of_pieces(count)

    def _rows_of(self, shape: str) -> LinearModel | None:
        if shape not in self._rows:
            values = self.bag.body.shaped(shape)
            try:
                bag = with_figures(self.bag, values) if values else self.bag
                self._rows[shape] = measure_model(bag, self.wanted, self.laws)
            except FieldError:  # there is no room for that shape
                self._rows[shape] = None
        return self._rows[shape]


def _counts(
    region: Region, counted: str, asked: str | None, without: Mapping[str, float]
) -> list[int]:
    """How many pieces of a chain there can be where only the last one's length is given.

    The chain then takes single lengths: those that the exact figures leave for it. Where a
    drop or a length is asked for they follow from its wanted value, and its range may end
    at the next ones on either side. The region has every length between; `without` is every
    exact figure but the last piece.
    """
    rows, beside = region.rows, 0
    if (asked is not None and not is_volume(asked)) or sum(map(is_taut, region.exact)) != 1:
        loose = {name: value for name, value in without.items() if not is_volume(name)}
        lengths = Region(rows, loose, counted).about(counted)
        beside = 1
    else:
        lengths = region.about(counted)
    if lengths is None:
        return []
    now = cut_value(rows.bag, chains_of(rows.bag)[counted].chain.count) or 0.0
    counts = region.counts_between(lengths.low, lengths.high, beside)
    return sorted(counts, key=lambda count: abs(count - now))


def _asked_last(exact: Mapping[str, float]) -> str | None:
    """The figure that is met along what the others leave: a volume by itself, or a drop."""
    volumes = [name for name in exact if is_volume(name)]
    drops = [name for name in exact if is_taut(name)]
    if len(volumes) == 1:
        return volumes[0]
    return drops[0] if len(drops) == 1 else None


def tolerance(name: str, value: float) -> float:
    """How near a figure must come to its value, mm or litres."""
    return CONDITION_TOLERANCE / 2 * miss_unit(name, value)
