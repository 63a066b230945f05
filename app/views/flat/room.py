"""The room around a piece of the flat pane for what is written there. px, y down.

What stands beside a piece at one scale stands in it at another: the room depends on the scale,
and is asked for at many of them until an arrangement of the pieces is found.
"""

from typing import NamedTuple

from app.views.flat.labels import (
    AIR,
    BESIDE,
    THIN_PIECE,
    TICK,
    Figures,
    Lettering,
    TextStyle,
    lies_over,
    line_offset,
)
from app.views.flat.sheet import Drawn, Margins
from core.base.sentences import sentence_start
from core.flat.piece import Out

_CROWDED = 3.4
"""A piece with marks on it holds its name if it is so many times as wide as the name."""


class Head(NamedTuple):
    """Room over the highest line of a piece, px.

    Attributes:
        has_name: whether the name stands there: the piece is too small to hold it.
        name: room for it.
        sizes: room for the sizes that are written over their lines, under the name.
        beyond: how far the name reaches past the piece's right edge.
    """

    has_name: bool
    name: float
    sizes: float
    beyond: float


class PieceRoom(NamedTuple):
    """What is written around a piece.

    Attributes:
        head: what stands above it.
        margins: room for its dimensions and its name, mm.
    """

    head: Head
    margins: Margins


class _Number(NamedTuple):
    """A size at an upright line.

    Attributes:
        length: of the line, mm.
        along: what the number takes along it, and the strokes at its ends.
        beside: what it takes across where it is longer than the line.
    """

    length: float
    along: float
    beside: float


_NO_ROWS = dict.fromkeys(Out, 0)


class RoomNeeds:
    """All that the room around a piece depends on, but the scale."""

    def __init__(self, drawn: Drawn, lettering: Lettering, figures: Figures) -> None:
        self._drawn, self._row = drawn, figures.row
        self._title = lettering.size(
            sentence_start(figures.name(drawn.piece.label)), TextStyle.NAME
        )
        self._rows = _NO_ROWS.copy()
        self._numbers: dict[Out, list[_Number]] = {Out.LEFT: [], Out.RIGHT: []}
        self._over: list[_Number] = []
        top = 0.0 if not drawn.dimensions else max(each.end[1] for each in drawn.dimensions)
        self._past = max(top - drawn.bounds[3], 0.0)
        for each in drawn.dimensions:
            out, row = each.out, each.row
            if row >= self._rows[out]:
                self._rows[out] = row + 1
            if each.level:
                continue
            length = each.length
            wide = figures.width(length)
            beside = wide + line_offset(each, figures.row) + BESIDE + 2.0
            number = _Number(length, wide + 2 * TICK, beside)
            if lies_over(each, drawn):
                self._over.append(number)
            elif out in self._numbers:
                self._numbers[out].append(number)

    def room(self, scale: float) -> PieceRoom:
        """The room around the piece shown at `scale` px per mm."""
        head, row, rows = self._head(scale), self._row, self._rows
        left, right = (self._beside(out, scale) for out in (Out.LEFT, Out.RIGHT))
        margins = (
            max(row * rows[Out.LEFT] + 4.0, left) / scale,
            (row * rows[Out.BELOW] + 6.0) / scale,
            max(row * rows[Out.RIGHT] + 6.0, right, head.beyond) / scale,
            (head.name + head.sizes) / scale + self._past,
        )
        return PieceRoom(head, margins)

    def _beside(self, out: Out, scale: float) -> float:
        """What numbers need that are longer than their upright lines."""
        need = 0.0
        for length, along, beside in self._numbers[out]:
            if length * scale < along and beside > need:
                need = beside
        return need

    def _head(self, scale: float) -> Head:
        """What stands above the piece."""
        over = any(length * scale < along for length, along, _ in self._over)
        has_name = not self._holds_name(scale)
        left, _, right, _ = self._drawn.bounds
        return Head(
            has_name=has_name,
            name=self._row if has_name else 0.0,
            sizes=self._row if over else 0.0,
            beyond=max(self._title[0] + AIR - (right - left) * scale, 0.0) if has_name else 0.0,
        )

    def _holds_name(self, scale: float) -> bool:
        """Whether the piece has room for its title."""
        left, bottom, right, top = self._drawn.bounds
        if top - bottom <= THIN_PIECE:
            return False
        wide, high = self._title
        need = _CROWDED * wide if self._drawn.piece.marks else wide + 2 * AIR + 2.0
        between_folds = (top - bottom) * scale / (len(self._drawn.piece.folds) + 1)
        return (right - left) * scale >= need and between_folds >= high + 2 * AIR
