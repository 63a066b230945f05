"""Laying freely: always fill the lowest segment of the skyline with the option that fits it best.

The skyline is the upper border of what is laid. Best-fit on a skyline: Burke, Kendall and
Whitwell, "A new placement heuristic for the orthogonal stock-cutting problem", Operations
Research 52 (2004) 655-671; judging the fit by the walls of the segment and searching over the
order of the options: Leung, Zhang and Sim, "A two-stage intelligent search algorithm for the
two-dimensional strip packing problem", EJOR 215 (2011) 57-69. All lengths are ticks.
"""

from collections.abc import Sequence
from typing import NamedTuple

from core.cutting.packing.stock import ENDLESS, Attempt, LotSpot, Option, Remaining, Stock, Target


class FitPreference(NamedTuple):
    """How much each kind of fit is liked; among equals the earlier option wins.

    Attributes:
        exact: fills the segment, level with both walls; nothing is liked more.
        level_low, level_high: fills its width, level with the lower or higher wall.
        over, between, under: fills its width, ends above, between or below the walls.
        beside: leaves width, level with a wall.
        loose: leaves width and meets no wall's top.
    """

    exact: int
    level_low: int
    level_high: int
    over: int
    between: int
    under: int
    beside: int
    loose: int


FIT_PREFERENCES = (
    FitPreference(5, 4, 4, 2, 3, 2, 1, 0),  # the most even skyline
    FitPreference(0, 0, 0, 0, 0, 0, 0, 0),  # the order alone
    FitPreference(1, 1, 1, 1, 1, 1, 0, 0),  # no width left
    FitPreference(3, 2, 2, 0, 0, 0, 1, 0),  # level tops
)


class SkylineSegment(NamedTuple):
    """The lowest segment of a skyline: its number, corner, width and the rise of its walls."""

    number: int
    x: int
    y: int
    width: int
    left: int
    right: int


class Skyline:
    """Level stretches from left to right, neighbours of different height."""

    __slots__ = ("lefts", "tops", "widths")

    def __init__(self, width: int) -> None:
        self.lefts = [0]
        self.tops = [0]
        self.widths = [width]

    def lowest(self) -> SkylineSegment:
        """The lowest stretch, the leftmost of equals; the edges are endless walls."""
        tops = self.tops
        y = min(tops)
        i = tops.index(y)
        left = tops[i - 1] - y if i else ENDLESS
        right = tops[i + 1] - y if i + 1 < len(tops) else ENDLESS
        return SkylineSegment(i, self.lefts[i], y, self.widths[i], left, right)

    def lay(self, segment: SkylineSegment, width: int, height: int) -> int:
        """Lay a rectangle into the segment against the wall that suits it; its x."""
        if width == segment.width:
            self._lift(segment, height)
            return segment.x
        i, rest = segment.number, segment.width - width
        left, right = segment.left, segment.right
        at_left = height == left or (height != right and left >= right)
        self.widths[i] = rest
        if at_left:
            self.lefts[i] += width
            if height == left:
                self.widths[i - 1] += width
            else:
                self._insert(i, segment.x, segment.y + height, width)
            return segment.x
        if height == right:
            self.widths[i + 1] += width
            self.lefts[i + 1] -= width
        else:
            self._insert(i + 1, segment.x + rest, segment.y + height, width)
        return segment.x + rest

    def close(self, segment: SkylineSegment) -> None:
        """Give up the segment: level it with its lower wall."""
        self._lift(segment, min(segment.left, segment.right))

    def _lift(self, segment: SkylineSegment, rise: int) -> None:
        i = segment.number
        self.tops[i] += rise
        if rise == segment.right:
            self.widths[i] += self.widths[i + 1]
            self._delete(i + 1)
        if rise == segment.left:
            self.widths[i - 1] += self.widths[i]
            self._delete(i)

    def _insert(self, i: int, x: int, top: int, width: int) -> None:
        self.lefts.insert(i, x)
        self.tops.insert(i, top)
        self.widths.insert(i, width)

    def _delete(self, i: int) -> None:
        del self.lefts[i], self.tops[i], self.widths[i]


def build_free(
    options: Sequence[Option], counts: Sequence[int], target: Target, preference: FitPreference
) -> Attempt:
    """Lay every rectangle, or stop when the target is out of reach.

    `counts` are the rectangles of each lot; of the ways to lay them, earlier ones win among
    fits that are liked equally.
    """
    skyline = Skyline(target.width)
    remaining = Remaining(options, counts)
    spots: list[LotSpot] = []
    packed = empty = 0
    while remaining.number:
        segment = skyline.lowest()
        option = _best_fit(remaining.options, segment, target.length - segment.y, preference)
        if option is None:
            rise = min(segment.left, segment.right)
            empty += segment.width * rise
            if empty > target.spare:
                return Attempt(packed, None)
            skyline.close(segment)
            continue
        width, height, lot = option
        spots.append(LotSpot(skyline.lay(segment, width, height), segment.y, width, height, lot))
        packed += width * height
        remaining.take(option)
    return Attempt(packed, spots)


def _best_fit(
    options: Sequence[Option], segment: SkylineSegment, room: int, preference: FitPreference
) -> Option | None:
    """The option liked best for a segment with that much room up to the target, if any fits."""
    exact, level_low, level_high, over, between, under, beside, loose = preference
    across, left, right = segment.width, segment.left, segment.right
    low, high = min(left, right), max(left, right)
    best, liked = None, -1
    for option in options:
        width, height, _ = option
        if width > across or height > room:
            continue
        if width < across:
            like = beside if height in (low, high) else loose
        elif height > high:
            like = over
        elif height == high:
            like = exact if low == high else level_high
        elif height < low:
            like = under
        else:
            like = level_low if height == low else between
        if like > liked:
            best, liked = option, like
            if like == exact:
                break
    return best


class Offcut(NamedTuple):
    """A rectangle of goods still to be cut up: lower left corner and size."""

    x: int
    y: int
    width: int
    height: int


class RowRule(NamedTuple):
    """How rows are opened and cut up.

    Attributes:
        fits: whether an option that fills an offcut's width or height is taken before others.
        along: the cut beside the piece runs along the whole offcut, rather than across it;
            None takes whichever leaves the larger offcut whole.
        heights: how many heights are tried for each row: that of its opener alone, then
            with one of the next options on top. The fullest row is kept.
    """

    fits: bool
    along: bool | None
    heights: int


ROW_RULES = (
    RowRule(True, None, 4),
    RowRule(True, True, 4),
    RowRule(True, None, 1),
    RowRule(False, None, 4),
    RowRule(False, True, 1),
)


class Row(NamedTuple):
    """A row cut up: its height, what lies in it, the area of that, and what remains after it."""

    height: int
    spots: list[LotSpot]
    packed: int
    remaining: Remaining


def build_rows(
    options: Sequence[Option], counts: Sequence[int], target: Target, rule: RowRule
) -> Attempt:
    """Lay every rectangle in rows for a rotary cutter, or stop when the target is out of reach.

    Every cut runs from edge to edge of what it cuts. First the goods is cut across its whole width
    into rows, each as high as the piece that opens it (the first option that fits), or as that and
    one on top; a row is then cut along and across, each cut through the whole of an offcut.
    """
    remaining = Remaining(options, counts)
    spots: list[LotSpot] = []
    packed = empty = top = 0
    while remaining.number:
        room = target.length - top
        opener = next((option for option in remaining.options if option.height <= room), None)
        if opener is None:
            return Attempt(packed, None)
        rows = [
            _cut_up(Offcut(0, top, target.width, height), opener, remaining.copy(), rule)
            for height in _heights(remaining.options, opener, room, rule.heights)
        ]
        row = rows[0]
        for other in rows:
            if other.packed * row.height > row.packed * other.height:
                row = other
        remaining = row.remaining
        spots += row.spots
        packed += row.packed
        top += row.height
        empty += target.width * row.height - row.packed
        if empty > target.spare:
            return Attempt(packed, None)
    return Attempt(packed, spots)


def _heights(options: Sequence[Option], opener: Option, room: int, most: int) -> list[int]:
    """Different heights to try for a row, none above the room."""
    heights = [opener.height]
    for option in options:
        if len(heights) >= most:
            break
        height = opener.height + option.height
        if height <= room and height not in heights:
            heights.append(height)
    return heights


def _cut_up(row: Offcut, opener: Option, remaining: Remaining, rule: RowRule) -> Row:
    """Lay the opener in the corner of a row, then whatever fits the offcuts that are left."""
    spots: list[LotSpot] = []
    packed = 0
    offcuts = [row]
    option: Option | None = opener
    while offcuts:
        offcut = offcuts.pop()
        if option is not None:
            width, height, lot = option
            spots.append(LotSpot(offcut.x, offcut.y, width, height, lot))
            packed += width * height
            remaining.take(option)
            offcuts += _rest(offcut, option, rule.along)
        option = _choose(remaining.options, offcuts[-1], fits=rule.fits) if offcuts else None
    return Row(row.height, spots, packed, remaining)


def _choose(options: Sequence[Option], offcut: Offcut, *, fits: bool) -> Option | None:
    _, _, across, up = offcut
    best, filled = None, -1
    for option in options:
        width, height, _ = option
        if width > across or height > up:
            continue
        if not fits:
            return option
        sides = (width == across) + (height == up)
        if sides > filled:
            best, filled = option, sides
            if sides == 2:
                break
    return best


def _rest(offcut: Offcut, option: Option, along: bool | None) -> list[Offcut]:
    """What is left of an offcut when an option is cut from its corner, the larger one last."""
    x, y, width, height = offcut
    beside, above = width - option.width, height - option.height
    if along is None:
        along = beside * height >= above * width
    if along:
        right = Offcut(x + option.width, y, beside, height)
        far = Offcut(x, y + option.height, option.width, above)
    else:
        right = Offcut(x + option.width, y, beside, option.height)
        far = Offcut(x, y + option.height, width, above)
    rest = [each for each in (right, far) if each.width and each.height]
    return sorted(rest, key=lambda each: each.width * each.height)


def shelves(stock: Stock) -> list[LotSpot]:
    """Lay by falling height, each into the first row where it fits beside the last one.

    This is first-fit decreasing height: Coffman, Garey, Johnson and Tarjan, "Performance
    bounds for level-oriented two-dimensional packing algorithms", SIAM J. Comput. 9 (1980)
    808-826. Its length stays below 2 area / width + the tallest piece. What may be turned
    lies flat where the goods is wide enough.
    """
    laid = [
        (*min(lot.sizes(stock.width), key=lambda size: size[1]), number, len(lot.indices))
        for number, lot in enumerate(stock.lots)
    ]
    laid.sort(key=lambda each: (-each[1], -each[0], each[2]))
    rows: list[list[int]] = []  # of each row: y, width used
    spots: list[LotSpot] = []
    top = 0
    for width, height, number, count in laid:
        for _ in range(count):
            row = next((row for row in rows if row[1] + width <= stock.width), None)
            if row is None:
                row = [top, 0]
                rows.append(row)
                top += height
            spots.append(LotSpot(row[1], row[0], width, height, number))
            row[1] += width
    return spots
