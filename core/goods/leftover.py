"""The largest rectangle of goods that a plan leaves free. Lengths are mm."""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from core.tolerance import LENGTH_TOLERANCE

Box = tuple[float, float, float, float]
"""(left, bottom, right, top)."""


class Rest(NamedTuple):
    """A free rectangle: lower left corner and size."""

    x: float
    y: float
    width: float
    length: float

    @property
    def area(self) -> float:
        """mm2."""
        return self.width * self.length


def largest_rest(boxes: Sequence[Box], *, width: float, length: float) -> Rest | None:
    """The free rectangle of largest area within width x length; None when all is taken.

    The edges of the boxes cut the goods into cells; free cells that lie above one another
    make columns, and the largest rectangle under a row of columns is found with a stack
    (the classic largest rectangle in a histogram).
    """
    xs = _lines([0.0, width, *(x for box in boxes for x in (box[0], box[2]))], width)
    ys = _lines([0.0, length, *(y for box in boxes for y in (box[1], box[3]))], length)
    free = np.ones((len(ys) - 1, len(xs) - 1), dtype=bool)
    for left, bottom, right, top in boxes:
        rows = slice(_place(ys, bottom), _place(ys, top))
        free[rows, _place(xs, left) : _place(xs, right)] = False
    best: Rest | None = None
    columns = np.zeros(len(xs) - 1)
    for row, (low, high) in enumerate(pairwise(ys)):
        columns = np.where(free[row], columns + (high - low), 0.0)
        found = _under(xs, columns.tolist(), high)
        if found is not None and (best is None or found.area > best.area + 1e-6):
            best = found
    return best


def _lines(values: list[float], end: float) -> list[float]:
    """Different values from 0 to the end, in order; those nearer than the tolerance are one."""
    lines: list[float] = []
    for value in sorted(min(max(each, 0.0), end) for each in values):
        if not lines or value - lines[-1] > LENGTH_TOLERANCE:
            lines.append(value)
    return lines


def _place(lines: list[float], value: float) -> int:
    return int(np.searchsorted(lines, value - LENGTH_TOLERANCE))


def _under(xs: list[float], columns: list[float], top: float) -> Rest | None:
    best: Rest | None = None
    open_columns: list[tuple[int, float]] = []  # (first cell, height), rising
    for cell, height in enumerate([*columns, 0.0]):
        start = cell
        while open_columns and open_columns[-1][1] >= height:
            start, tall = open_columns.pop()
            area = (xs[cell] - xs[start]) * tall
            if tall > 0.0 and (best is None or area > best.area):
                best = Rest(xs[start], top - tall, xs[cell] - xs[start], tall)
        if height > 0.0:
            open_columns.append((start, height))
    return best
