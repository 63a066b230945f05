"""Whether the stitch lines of a piece bound one simple area inside its cut line.

Most pieces are clearly sound, and a few comparisons of numbers show it. What is not clear is
judged by shapely, which is loaded, and numpy with it, when the first such piece comes: the
two take longer to load than a window takes to open.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from core.base.tolerance import LENGTH_TOLERANCE
from core.flat.piece import Edge, Piece, Point, along

Line = tuple[Point, Point]
"""Start and end of a straight line, mm."""

Boxed = tuple[float, float, float, float, Line]
"""(left, low, right, high) of a line, mm, and the line."""


def is_sound(piece: Piece, corners: Sequence[Point]) -> bool:
    """Whether the stitch lines are one simple, counter-clockwise area inside the cut line.

    Args:
        piece: whose cut line is asked about.
        corners: where the stitch line of each edge starts, mm, one per edge.
    """
    return _clearly_sound(piece, corners) or _judged_sound(piece, corners)


def flattened(edges: Sequence[Edge], corners: Sequence[Point]) -> tuple[Point, ...]:
    """The line through these corners, mm, whose parts curve as the edges do, arcs flattened.

    Args:
        edges: straight ones and arcs.
        corners: where the part of each edge starts; the last part ends at the first corner.
    """
    if not any(edge.turn for edge in edges):
        return tuple(corners)
    parts = zip(edges, _ring(corners), strict=True)
    return tuple(
        point
        for edge, (start, end) in parts
        for point in replace(edge, start=start, end=end).points()
    )


def _clearly_sound(piece: Piece, corners: Sequence[Point]) -> bool:
    """Whether it needs no judge: every line runs forwards, and those that must not meet do not.

    The stitch lines of a convex piece lie on half planes moved inside, so that running
    forwards is all it takes. Others turn as their cut line turns, once round: they are
    simple if no two meet but neighbours, and inside if none meets the cut line and one
    corner is inside.
    """
    for edge, line in zip(piece.edges, _ring(corners), strict=True):
        if edge.length <= LENGTH_TOLERANCE or along(edge.heading, *line) <= LENGTH_TOLERANCE:
            return False
    if _is_convex(piece):
        return True
    cut = _ring(flattened(piece.edges, [edge.start for edge in piece.edges]))
    lines = _ring(flattened(piece.edges, corners))
    boxed, cut_boxed = [*map(_boxed, lines)], [*map(_boxed, cut)]
    for i, each in enumerate(boxed):
        # Those after the next; the last is the first one's neighbour too.
        others = boxed[i + 2 : -1 if i == 0 else None]
        if not (_clear_of(each, others) and _clear_of(each, cut_boxed)):
            return False
    return _is_within(corners[0], cut)


def _ring(corners: Sequence[Point]) -> list[Line]:
    return [*pairwise(corners), (corners[-1], corners[0])]


def _is_convex(piece: Piece) -> bool:
    """Whether it turns left at each corner and along each arc, once round altogether.

    An outline could turn left all the way and wind round twice.
    """
    around = 0.0
    for before, edge in pairwise((piece.edges[-1], *piece.edges)):
        (a, b), (c, d) = before.end_heading, edge.start_heading
        left, on = a * d - b * c, a * c + b * d
        if edge.turn < 0.0 or not (left > 1e-6 or (on > 0.0 and abs(left) < 1e-9)):
            return False
        around += math.atan2(left, on) + edge.turn
    return around < 3 * math.pi


def _boxed(line: Line) -> Boxed:
    (ax, ay), (bx, by) = line
    (left, right), (low, high) = sorted((ax, bx)), sorted((ay, by))
    return left, low, right, high, line


def _clear_of(one: Boxed, others: Sequence[Boxed]) -> bool:
    """Whether a line lies apart from others, with more than the tolerance between them.

    Told by the boxes around them, or by one lying wholly to one side of the other: false
    for some lines that lie apart all the same.
    """
    left, low, right, high, line = one
    near = LENGTH_TOLERANCE
    left, low, right, high = left - near, low - near, right + near, high + near
    # Written out: of a panel's lines nearly all pairs are told apart here.
    for x0, y0, x1, y1, other in others:
        near_by = x0 <= right and left <= x1 and y0 <= high and low <= y1
        if near_by and not (_on_one_side(line, other) or _on_one_side(other, line)):
            return False
    return True


def _on_one_side(line: Line, other: Line) -> bool:
    """Whether both ends of `other` lie clearly on the same side of the line run on."""
    ((ax, ay), (bx, by)), ((cx, cy), (dx, dy)) = line, other
    ex, ey = bx - ax, by - ay
    one = ex * (cy - ay) - ey * (cx - ax)
    two = ex * (dy - ay) - ey * (dx - ax)
    least = LENGTH_TOLERANCE * (abs(ex) + abs(ey))  # at least the line's length
    return (one > least and two > least) or (one < -least and two < -least)


def _is_within(point: Point, ring: Sequence[Line]) -> bool:
    """Whether a ray to the right from a point that lies clear of the ring crosses it oddly."""
    x, y = point
    inside = False
    for (ax, ay), (bx, by) in ring:
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return inside


def _judged_sound(piece: Piece, corners: Sequence[Point]) -> bool:
    from shapely import LinearRing, Polygon

    inner = LinearRing(flattened(piece.edges, corners))
    if not (inner.is_simple and inner.is_ccw):
        return False
    cut, area = Polygon(piece.outline), Polygon(inner)
    if cut.covers(area):
        return True
    # Without an allowance a stitch line lies on the cut line, give or take a rounding.
    return bool(cut.buffer(LENGTH_TOLERANCE, join_style="mitre").covers(area))
