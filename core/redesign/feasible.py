"""Whether any bag has what is asked: exactly, and with a bag to start from where one has it."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from core.bag import Bag, with_figures
from core.errors import FieldError
from core.redesign.laws import Laws
from core.redesign.newton import FEASIBLE
from core.redesign.region import Region
from core.redesign.rows import Rows, measure_rows
from core.redesign.space import LOOP, Vector
from core.redesign.spans import Span
from core.redesign.wants import DROPS, VOLUME_SHARE, is_drop, is_volume

_CORNER_START = 25.0
"""mm; the cut that a plain pillow starts from when it may be given a bottom."""
_NOTHING = 1e-9
"""mm; a size below it is that of a plain pillow."""
_CORNERS = ("corner_cut_width", "corner_cut_depth")
_DEPTHS = ("gusset_depth", "gusset_depth_at_side")


@dataclass
class Search:
    """Looks for bags among every pattern of one bag's construction.

    Rows are measured once for all questions about the same figures, and no question is
    answered twice.

    Attributes:
        bag: as it is.
        wanted: every figure that may come to be asked for -> its value.
        laws: of the filled volumes among them.
    """

    bag: Bag
    wanted: Mapping[str, float]
    laws: Laws = field(default_factory=dict)
    _rows: dict[bool, Rows | None] = field(default_factory=dict)
    _answers: dict[frozenset[tuple[str, float]], bool] = field(default_factory=dict)

    def find(self, exact: Mapping[str, float]) -> tuple[Region, Vector] | None:
        """A region and an x of it where these figures come out exactly; None: there is none."""
        found = self._sought(exact)
        return None if found is None else (found[0].with_exact(exact), found[1])

    def can(self, exact: Mapping[str, float]) -> bool:
        """Whether there is a bag where these figures come out exactly."""
        key = frozenset(exact.items())
        if key not in self._answers:
            self._answers[key] = self._sought(exact) is not None
        return self._answers[key]

    def _sought(self, exact: Mapping[str, float]) -> tuple[Region, Vector] | None:
        asked = asked_last(exact)
        rest = {name: value for name, value in exact.items() if name != asked}
        for region in self._regions(rest, asked, exact):
            if asked is None:
                x = region.somewhere()
            else:
                x = region.meet(asked, exact[asked], tolerance(asked, exact[asked]))
            if x is not None:
                return region, x
        return None

    def spans(self, name: str, rest: Mapping[str, float]) -> list[tuple[Region, Span]]:
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
        found: list[tuple[Region, Span]] = []
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
        for cornered in _ways(self.bag, exact):
            rows = self._rows_of(cornered)
            if rows is None or any(_is_lacking(rows, name) for name in exact):
                continue
            try:
                yield from self._counted(rows, rest, asked, exact)
            except FieldError:
                continue

    def _counted(
        self, rows: Rows, rest: Mapping[str, float], asked: str | None, exact: Mapping[str, float]
    ) -> Iterator[Region]:
        """One region; or one for each number of strips where the last one's length is exact."""
        region = Region(rows, rest, asked)
        if not region.is_counted:
            yield region
            return
        without = {name: value for name, value in exact.items() if name != "handle_last_strip"}
        if any(is_volume(name) for name in rest) and not self.can(without):
            # Both volumes are exact: their curve is too long a way to be walked for each number.
            return
        for count in _strip_counts(region, asked, exact):
            yield region.of_strips(count)

    def _rows_of(self, cornered: bool) -> Rows | None:
        if cornered not in self._rows:
            try:
                self._rows[cornered] = measure_rows(
                    shaped(self.bag, cornered), self.wanted, self.laws
                )
            except FieldError:
                self._rows[cornered] = None
        return self._rows[cornered]


def _strip_counts(region: Region, asked: str | None, exact: Mapping[str, float]) -> list[int]:
    """How many strips there can be where only the last one's length is given.

    The loop then takes single lengths: those that the exact figures leave for it. Where a
    drop or a length is asked for they follow from its wanted value, and its range may end
    at the next ones on either side.
    """
    rows = region.rows
    beside = 0
    if (asked is not None and not is_volume(asked)) or len(region.exact.keys() & DROPS) != 1:
        loose = {
            name: value
            for name, value in exact.items()
            if name != "handle_last_strip" and not is_volume(name)
        }
        loops = Region(rows, loose, LOOP).about(LOOP)
        beside = 1
    else:
        loops = region.about(LOOP)
    if loops is None:
        return []
    now = 0 if rows.bag.handles is None else rows.bag.handles.strips
    counts = region.strips_between(loops.low, loops.high, beside)
    return sorted(counts, key=lambda count: abs(count - now))


def _is_lacking(rows: Rows, name: str) -> bool:
    """Whether a volume or a drop is asked of a bag that has none."""
    return (is_volume(name) and name not in rows.volumes) or (
        is_drop(name) and name not in rows.drops
    )


def asked_last(exact: Mapping[str, float]) -> str | None:
    """The figure that is met along what the others leave: a volume by itself, or a drop."""
    volumes = [name for name in exact if is_volume(name)]
    drops = [name for name in exact if is_drop(name)]
    if len(volumes) == 1:
        return volumes[0]
    return drops[0] if len(drops) == 1 else None


def tolerance(name: str, value: float) -> float:
    """How near a figure must come to its value, mm or litres."""
    share = max(value, 1e-3) / VOLUME_SHARE if is_volume(name) else 1.0
    return FEASIBLE / 2 * share


def _ways(bag: Bag, exact: Mapping[str, float]) -> tuple[bool, ...]:
    """With corners cut or without, the more likely first."""
    cuts = [exact[name] for name in _CORNERS if name in exact]
    if any(cut > 0.0 for cut in cuts):
        return (True,)
    if len(cuts) == len(_CORNERS):
        return (False,)
    depths = [exact[name] for name in _DEPTHS if name in exact]
    if any(depth > _NOTHING for depth in depths):
        return (True,)
    if bag.panel.has_corners and not depths:
        return (True,)
    return (False, True) if not bag.panel.has_corners else (True, False)


def shaped(bag: Bag, cornered: bool) -> Bag:
    """The bag with small corner cuts where it had none, or without any.

    Raises:
        FieldError: the panel is too small for a cut.
    """
    panel = bag.panel
    if panel.has_corners is cornered:
        return bag
    if not cornered:
        return with_figures(bag, dict.fromkeys(_CORNERS, 0.0))
    room = min(panel.width / 2 - panel.side_seam, panel.front_length - panel.bottom_seam)
    start = min(_CORNER_START, room / 2)
    width, depth = start + panel.side_seam, start + panel.bottom_seam
    return with_figures(bag, dict(zip(_CORNERS, (width, depth), strict=True)))
