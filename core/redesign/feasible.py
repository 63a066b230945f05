"""Whether any bag has what is asked: exactly, and with a bag to start from where one has it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from core.bag import Bag, with_figures
from core.errors import FieldError
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

    Rows are measured once for all questions about the same figures.

    Attributes:
        bag: as it is.
        wanted: every figure that may come to be asked for -> its value.
    """

    bag: Bag
    wanted: Mapping[str, float]
    _rows: dict[bool, Rows | None] = field(default_factory=dict)

    def find(self, exact: Mapping[str, float]) -> tuple[Region, Vector] | None:
        """A region and an x of it where these figures come out exactly; None: there is none."""
        asked = asked_last(exact)
        rest = {name: value for name, value in exact.items() if name != asked}
        for region in self._regions(rest, asked, exact):
            if asked is None:
                x = region.somewhere()
            else:
                x = region.meet(asked, exact[asked], tolerance(asked, exact[asked]))
            if x is not None:
                return region.with_exact(exact), x
        return None

    def spans(self, name: str, rest: Mapping[str, float]) -> list[tuple[Region, Span]]:
        """What a figure comes to where the rest is exact."""
        value = self.wanted[name]
        return [
            (region, span)
            for region in self._regions(rest, name, {**rest, name: value})
            for span in region.spans(name)
        ]

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
        free = "handle_last_strip" in rest and "handle_strips" not in exact
        if not free or not ({LOOP, *DROPS} & exact.keys()):
            yield Region(rows, rest, asked)
            return
        without = {name: value for name, value in exact.items() if name != "handle_last_strip"}
        if self.find(without) is None:
            return
        for count in Region(rows, exact).strip_counts():
            yield Region(rows, rest, asked, count)

    def _rows_of(self, cornered: bool) -> Rows | None:
        if cornered not in self._rows:
            try:
                self._rows[cornered] = measure_rows(shaped(self.bag, cornered), self.wanted)
            except FieldError:
                self._rows[cornered] = None
        return self._rows[cornered]


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
