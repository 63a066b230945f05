"""Sizes that are written beside a piece. mm, y up, in the frame of the piece."""

from dataclasses import dataclass
from enum import Enum

from core.base.sentences import NO_TEXT, Template
from core.flat.piece import Piece, Point
from core.model.figures import CutFigure


class Out(Enum):
    """Which way a dimension line is moved off what it measures: (right, down) on the screen."""

    LEFT = (-1, 0)
    RIGHT = (1, 0)
    ABOVE = (0, -1)
    BELOW = (0, 1)
    ON = (0, 0)

    @property
    def step(self) -> tuple[int, int]:
        """(right, down)."""
        return self.value


@dataclass(frozen=True, slots=True)
class Dimension:
    """One size.

    Attributes:
        label: what it is; empty when the number says enough.
        start, end: what is measured, level or upright.
        out: which way its line is moved off it.
        row: 0 for the line next to the piece.
    """

    label: Template
    start: Point
    end: Point
    out: Out
    row: int = 0

    @property
    def length(self) -> float:
        """The size, mm."""
        return abs(self.end[0] - self.start[0]) + abs(self.end[1] - self.start[1])

    @property
    def level(self) -> bool:
        """Whether it runs across."""
        return self.start[1] == self.end[1]


def overall(
    piece: Piece, across: CutFigure | None = None, along: CutFigure | None = None
) -> tuple[Dimension, ...]:
    """Width below and height on the left, called by the figures that they are."""
    left, bottom, right, top = piece.bounds
    names = [figure.label if figure is not None else NO_TEXT for figure in (across, along)]
    return (
        Dimension(names[0], (left, bottom), (right, bottom), Out.BELOW),
        Dimension(names[1], (left, bottom), (left, top), Out.LEFT),
    )
