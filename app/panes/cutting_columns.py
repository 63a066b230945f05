"""Stretches of the goods beside each other: the largest that can be seen whole, or be read.

Drawing frame: mm of goods, y up. Rooms and gaps are device-independent pixels.
"""

from dataclasses import dataclass

from PySide6.QtCore import QSizeF

from core.goods.plan import GoodsPlan
from core.paper.materials_plan import Column, columns_of, whole_columns

MOST_COLUMNS = 16
READABLE = 0.12
"""px per mm below which names and lengths find no room: the plan is scrolled rather than
shown whole."""
LARGE = 0.3
"""px per mm above which a plan that is scrolled is no easier to read, only longer."""
GROWN = 1.04
"""By so much are stretches made longer until there are few enough of them."""


@dataclass(frozen=True, slots=True)
class Standing:
    """A stretch of goods and where its lower left corner stands, mm."""

    column: Column
    x: float
    y: float

    @property
    def height(self) -> float:
        """Length of the stretch, mm."""
        return self.column.high - self.column.low


def standing_in(
    goods: GoodsPlan, room: QSizeF, gaps: tuple[float, float]
) -> tuple[float, tuple[Standing, ...]]:
    """(px per mm, stretches) that show the goods largest; higher than the room to be read.

    Args:
        goods: something is laid on it.
        room: of the pane, px.
        gaps: least room across and along between two stretches, px.
    """
    gap_x, gap_y = gaps
    scale, columns, across = max(
        (_seen_whole(goods, room, gaps, *pattern) for pattern in _patterns(goods)),
        key=lambda each: each[0],
    )
    if scale < READABLE:
        scale, columns, across = _scrolled(goods, room.width(), gap_x)
    step_x = goods.width + gap_x / scale
    step_y = max(column.high - column.low for column in columns) + gap_y / scale
    return scale, tuple(
        Standing(column, place % across * step_x, -(place // across) * step_y)
        for place, column in enumerate(columns)
    )


def _seen_whole(
    goods: GoodsPlan,
    room: QSizeF,
    gaps: tuple[float, float],
    columns: list[Column],
    across: int,
) -> tuple[float, list[Column], int]:
    """The pattern with the scale at which all of it is seen."""
    down = -(-len(columns) // across)
    high = max(column.high - column.low for column in columns)
    scale = min(
        (room.width() - (across - 1) * gaps[0]) / (across * goods.width),
        (room.height() - (down - 1) * gaps[1]) / (down * high),
    )
    return scale, columns, across


def _scrolled(goods: GoodsPlan, room: float, gap: float) -> tuple[float, list[Column], int]:
    """(scale, stretches, how many side by side) that fill a width of px at a scale to read."""
    across = max(int((room + gap) / (READABLE * goods.width + gap)), 1)
    if goods.goods.in_sheets:
        columns = list(columns_of(goods, goods.cutting_length))
        across = min(across, len(columns))
    else:
        longest = goods.cutting_length / across
        columns = whole_columns(goods, longest)
        while len(columns) > across:
            # What was left over of each made one more: the stretches must be longer.
            longest *= GROWN
            columns = whole_columns(goods, longest)
        across = len(columns)
    scale = (room - (across - 1) * gap) / (across * goods.width)
    return min(max(scale, READABLE), LARGE), columns, across


def _patterns(goods: GoodsPlan) -> list[tuple[list[Column], int]]:
    """(stretches, how many stand side by side): goods off a roll in one row, sheets in any."""
    if goods.goods.in_sheets:
        sheets = list(columns_of(goods, goods.cutting_length))
        return [(sheets, across) for across in range(1, len(sheets) + 1)]
    found = []
    for count in range(1, MOST_COLUMNS + 1):
        columns = whole_columns(goods, goods.cutting_length / count)
        found.append((columns, len(columns)))
    return found
