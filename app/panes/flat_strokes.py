"""Small shapes of the flat pane: ticks, arrows, and the boxes that texts stand in. px, y down."""

from PySide6.QtCore import QLineF, QPointF
from PySide6.QtGui import QPolygonF

from app.panes.flat_head import TICK
from app.panes.flat_labels import Box
from core.flat.piece import Point


def tick(x: float, y: float) -> QLineF:
    """The slanting stroke that ends a dimension line."""
    return QLineF(x - TICK, y + TICK, x + TICK, y - TICK)


def along_line(line: Box, wide: float, high: float, *, level: bool) -> Box:
    """The box of a text that stands on a level line, or left of an upright one.

    `line` is (x, y) of one end, then of the other.
    """
    x, y = (line[0] + line[2]) / 2, (line[1] + line[3]) / 2
    if level:
        return box_of(x, y - high / 2 - 1.5, wide, high)
    return box_of(x - high / 2 - 1.5, y, high, wide)


def box_of(x: float, y: float, wide: float, high: float) -> Box:
    """The box of that size about a point."""
    return x - wide / 2, y - high / 2, x + wide / 2, y + high / 2


def spanned(line: Box) -> Box:
    """The box that a line spans, whichever way it runs."""
    x0, y0, x1, y1 = line
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def polygon_of(points: list[Point]) -> QPolygonF:
    """Points as what Qt fills."""
    return QPolygonF([QPointF(x, y) for x, y in points])


def double_arrow(line: QLineF) -> list[QLineF]:
    """A line with a head at each end."""
    along, across = (6.0, 3.5)
    level = line.dy() == 0.0
    barbs = [(along, -across), (along, across)] if level else [(-across, along), (across, along)]
    heads = [
        QLineF(end, end + QPointF(sign * dx, sign * dy))
        for end, sign in ((line.p1(), 1.0), (line.p2(), -1.0))
        for dx, dy in barbs
    ]
    return [line, *heads]
