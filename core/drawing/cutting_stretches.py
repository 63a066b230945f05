"""A plan's goods in stretches beside each other, on a page or in a window.

Drawing frame: mm of goods, y up, from the cut end. A page and its gaps are mm, rooms and gaps of
a window are device-independent pixels.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from core.base.tolerance import LENGTH_TOLERANCE
from core.cutting.plan import GoodsPlan
from core.flat.piece import Point

SMALLEST_SCALE = 1 / 26
"""Smaller, a handle strip has no room for its name."""
LARGEST_SCALE = 1 / 4
APART = 15.0
"""Between two stretches on a page: room for the lengths written beside them."""
_MOST_OFF = 1.3
"""Stretches are of one length, but for this factor, where that saves cutting a piece in two."""
MOST_STRETCHES = 16
READABLE = 0.12
"""px per mm below which names and lengths find no room: the plan is scrolled rather than
shown whole."""
LARGE = 0.3
"""px per mm above which a plan that is scrolled is no easier to read, only longer."""
GROWN = 1.04
"""By so much are stretches made longer until there are few enough of them."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of goods, drawn upwards."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class StretchFrame:
    """Where a stretch is drawn: a length on the goods times `scale`, moved."""

    stretch: Stretch
    scale: float
    x: float
    y: float

    def point(self, point: Point) -> Point:
        """A point of the goods on the page."""
        u, v = point
        return self.x + self.scale * u, self.y + self.scale * (v - self.stretch.low)


def chosen_scale(
    width: float, length: float, room: tuple[float, float], *, sheet: float | None = None
) -> float:
    """The largest scale at which the goods fits on one page, in as many stretches as it takes.

    One to a whole number, and not below the smallest legible scale: longer goods go on to
    further pages. All is mm: width and length of the goods, the room (across, up) for drawing, and
    the length of a sheet, which is one stretch; None for goods off a roll.
    """
    best = 0.0
    counts = range(1, 13) if sheet is None else [min(round(length / sheet), 12)]
    for count in counts:
        across = (room[0] - (count - 1) * APART) / (count * width)
        stretch = length / count if sheet is None else sheet
        best = max(best, min(across, room[1] / stretch))
    scale = min(max(best, SMALLEST_SCALE), LARGEST_SCALE)
    scale = min(scale, room[0] / width, math.inf if sheet is None else room[1] / sheet)
    return 1 / math.ceil(1 / scale - 1e-9)


def stretches_of(goods: GoodsPlan, longest: float) -> Iterator[Stretch]:
    """The goods from its cut end in stretches of at most `longest`, mm.

    Stretches are of about one length, and end where no piece is cut in two if they can.
    Each sheet is a stretch of its own.
    """
    end = goods.cutting_length
    if goods.goods.in_sheets:
        step = goods.goods.sheet_length
        yield from (Stretch(n * step, (n + 1) * step) for n in range(goods.sheets))
        return
    clean = _clean_cuts(goods)
    low = 0.0
    while low < end - LENGTH_TOLERANCE:
        rest = end - low
        even = rest / math.ceil(rest / longest - 1e-9)
        high = low + even
        if even < rest:
            most = low + min(longest, _MOST_OFF * even)
            near = [cut for cut in clean if low + even / _MOST_OFF <= cut <= most]
            far = [cut for cut in clean if low + longest / 2 <= cut <= low + longest]
            best = near or far[-1:]  # a shorter stretch before a piece that is cut in two
            high = min(best, key=lambda cut: abs(cut - low - even), default=high)
        yield Stretch(low, high)
        low = high


def whole_stretches(goods: GoodsPlan, longest: float) -> list[Stretch]:
    """The goods from its cut end in stretches that cut no piece in two.

    Each is as long as it can be up to `longest`, mm, and longer only where it must be.
    """
    stretches, low = [], 0.0
    cuts = [cut for cut in _clean_cuts(goods) if cut < goods.cutting_length - LENGTH_TOLERANCE]
    while low < goods.cutting_length - LENGTH_TOLERANCE:
        later = [cut for cut in cuts if cut > low + LENGTH_TOLERANCE]
        later.append(goods.cutting_length)
        reached = [cut for cut in later if cut <= low + longest + LENGTH_TOLERANCE]
        high = reached[-1] if reached else later[0]
        stretches.append(Stretch(low, high))
        low = high
    return stretches


def _clean_cuts(goods: GoodsPlan) -> list[float]:
    """Lengths at which a cut from edge to edge goes through no piece."""
    cuts: list[float] = []
    reach = 0.0
    for piece in sorted(goods.laid, key=lambda each: each.y):
        if piece.y >= reach - LENGTH_TOLERANCE:
            cuts.append(piece.y)
        reach = max(reach, piece.y + piece.height)
    return [*cuts, reach]


@dataclass(frozen=True, slots=True)
class PlacedStretch:
    """A stretch of goods and where its lower left corner stands, mm."""

    stretch: Stretch
    x: float
    y: float

    @property
    def height(self) -> float:
        """Length of the stretch, mm."""
        return self.stretch.high - self.stretch.low


def placed_in(
    goods: GoodsPlan, room: tuple[float, float], gaps: tuple[float, float]
) -> tuple[float, tuple[PlacedStretch, ...]]:
    """(px per mm, stretches) that show the goods largest; higher than the room to be read.

    Something is laid on it. The room of the pane, and the least between two stretches, are
    (across, along), px.
    """
    gap_x, gap_y = gaps
    scale, stretches, across = max(
        (_seen_whole(goods, room, gaps, *pattern) for pattern in _patterns(goods)),
        key=lambda each: each[0],
    )
    if scale < READABLE:
        scale, stretches, across = _scrolled(goods, room[0], gap_x)
    step_x = goods.width + gap_x / scale
    step_y = max(stretch.high - stretch.low for stretch in stretches) + gap_y / scale
    return scale, tuple(
        PlacedStretch(stretch, place % across * step_x, -(place // across) * step_y)
        for place, stretch in enumerate(stretches)
    )


def _seen_whole(
    goods: GoodsPlan,
    room: tuple[float, float],
    gaps: tuple[float, float],
    stretches: list[Stretch],
    across: int,
) -> tuple[float, list[Stretch], int]:
    down = -(-len(stretches) // across)
    high = max(stretch.high - stretch.low for stretch in stretches)
    scale = min(
        (room[0] - (across - 1) * gaps[0]) / (across * goods.width),
        (room[1] - (down - 1) * gaps[1]) / (down * high),
    )
    return scale, stretches, across


def _scrolled(goods: GoodsPlan, room: float, gap: float) -> tuple[float, list[Stretch], int]:
    """(scale, stretches, how many side by side) that fill a width of px at a scale to read."""
    across = max(int((room + gap) / (READABLE * goods.width + gap)), 1)
    if goods.goods.in_sheets:
        stretches = list(stretches_of(goods, goods.cutting_length))
        across = min(across, len(stretches))
    else:
        longest = goods.cutting_length / across
        stretches = whole_stretches(goods, longest)
        while len(stretches) > across:
            # What was left over of each made one more: the stretches must be longer.
            longest *= GROWN
            stretches = whole_stretches(goods, longest)
        across = len(stretches)
    scale = (room - (across - 1) * gap) / (across * goods.width)
    return min(max(scale, READABLE), LARGE), stretches, across


def _patterns(goods: GoodsPlan) -> list[tuple[list[Stretch], int]]:
    """(stretches, how many stand side by side): goods off a roll in one row, sheets in any."""
    if goods.goods.in_sheets:
        sheets = list(stretches_of(goods, goods.cutting_length))
        return [(sheets, across) for across in range(1, len(sheets) + 1)]
    found = []
    for count in range(1, MOST_STRETCHES + 1):
        stretches = whole_stretches(goods, goods.cutting_length / count)
        found.append((stretches, len(stretches)))
    return found
