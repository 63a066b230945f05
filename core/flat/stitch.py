"""Stitch lines: each edge of a piece moved inside by its own allowance.

Neighbouring stitch lines are intersected, so every stitch line keeps the id of its edge. The
stitch line of an arc is an arc about the same centre, and runs on smoothly into its neighbours
as the arc must. Lengths are measured along the edge's heading and may come out negative: an edge
so short that its neighbours' allowances eat it up, an arc that its own does. `is_sound` judges
whether they bound one simple area inside the cut line: most pieces are clearly sound, and a few
comparisons of numbers show it. What is not clear is judged by shapely, which is loaded, and numpy
with it, when the first such piece comes: the two take longer to load than a window takes to open.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from types import MappingProxyType

from core.base.tolerance import LENGTH_TOLERANCE, same_length
from core.flat.piece import Edge, Fold, Piece, Point, along
from core.flat.roles import EdgeId

Segment = tuple[Point, Point]
"""Start and end of a straight line, mm."""

BoundedLine = tuple[float, float, float, float, Segment]
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
        for point in edge._replace(start=start, end=end).points()
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
        if not _clear_of(each, (*others, *cut_boxed)):
            return False
    return _is_within(corners[0], cut)


def _ring(corners: Sequence[Point]) -> list[Segment]:
    return [*pairwise(corners), (corners[-1], corners[0])]


def _is_convex(piece: Piece) -> bool:
    """Whether it turns left at each corner and along each arc, once round altogether.

    An outline could turn left all the way and wind round twice.
    """
    around = 0.0
    for before, edge in pairwise((piece.edges[-1], *piece.edges)):
        (a, b) = before.end_heading if before.turn else before.heading
        (c, d) = edge.start_heading if edge.turn else edge.heading
        left, on = a * d - b * c, a * c + b * d
        if edge.turn < 0.0 or not (left > 1e-6 or (on > 0.0 and abs(left) < 1e-9)):
            return False
        around += math.atan2(left, on) + edge.turn
    return around < 3 * math.pi


def _boxed(line: Segment) -> BoundedLine:
    (ax, ay), (bx, by) = line
    left, right = (ax, bx) if ax < bx else (bx, ax)
    low, high = (ay, by) if ay < by else (by, ay)
    return left, low, right, high, line


def _clear_of(one: BoundedLine, others: Sequence[BoundedLine]) -> bool:
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


def _on_one_side(line: Segment, other: Segment) -> bool:
    """Whether both ends of `other` lie clearly on the same side of the line run on."""
    ((ax, ay), (bx, by)), ((cx, cy), (dx, dy)) = line, other
    ex, ey = bx - ax, by - ay
    one = ex * (cy - ay) - ey * (cx - ax)
    two = ex * (dy - ay) - ey * (dx - ax)
    least = LENGTH_TOLERANCE * (abs(ex) + abs(ey))  # at least the line's length
    return (one > least and two > least) or (one < -least and two < -least)


def _is_within(point: Point, ring: Sequence[Segment]) -> bool:
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


_PARALLEL = 1e-12
"""Cross product of two unit vectors below which edges count as parallel."""
_SMOOTH = 1e-9
"""Cross product of two unit vectors below which an arc runs on smoothly."""


@dataclass(frozen=True)
class StitchOutline:
    """The stitch lines of one piece.

    Not slotted: whether they are sound is judged when it is asked, and kept. Measuring does not
    need it, and a solver measures often.

    Attributes:
        corners: where the stitch line of edge i starts, mm, one per edge; between them lie
            straight lines and arcs.
        places: id of an edge -> i.
    """

    piece: Piece
    corners: tuple[Point, ...]
    places: Mapping[EdgeId, int]

    @cached_property
    def sound(self) -> bool:
        """Whether the stitch lines bound one simple area that stays inside the cut line."""
        return is_sound(self.piece, self.corners)

    def edge(self, edge: EdgeId) -> Edge:
        """That edge of the piece; KeyError when there is none."""
        return self.piece.edges[self.places[edge]]

    def drawn(self, edge: EdgeId) -> tuple[Point, ...]:
        """That edge's stitch line from start to end, mm, an arc flattened."""
        return self.stitched(edge).line if self.edge(edge).turn else self.line(edge)

    def stitched(self, edge: EdgeId) -> Edge:
        """That edge moved onto its stitch line; KeyError when there is none."""
        start, end = self.line(edge)
        return self.edge(edge)._replace(start=start, end=end, allowance=0.0)

    @property
    def points(self) -> tuple[Point, ...]:
        """All stitch lines, mm, counter-clockwise, arcs flattened."""
        return flattened(self.piece.edges, self.corners)

    def line(self, edge: EdgeId) -> tuple[Point, Point]:
        """Start and end of that edge's stitch line, mm; KeyError when there is none."""
        index = self.places[edge]
        return self.corners[index], self.corners[(index + 1) % len(self.corners)]

    def length(self, edge: EdgeId) -> float:
        """Length along the edge's heading, mm; negative when neighbours overrun it."""
        index, corners = self.places[edge], self.corners
        _, _, _, _, heading, _, turn = self.piece.edges[index]
        chord = along(heading, corners[index], corners[(index + 1) % len(corners)])
        return chord / (2 * math.sin(turn / 2)) * turn if turn else chord

    def fold_line(self, fold: Fold) -> tuple[Point, Point]:
        """Where the fold runs between the stitch lines that end it, mm."""
        across = ((0.0, fold.y), (1.0, 0.0))
        ends = [
            _meet(across, _inset_line(self.edge(edge))) for edge in (fold.start_edge, fold.end_edge)
        ]
        return ends[0], ends[1]

    def fold_length(self, fold: Fold) -> float:
        """Signed length of the fold from left to right, mm."""
        start, end = self.fold_line(fold)
        return end[0] - start[0]


def stitch_outline(piece: Piece) -> StitchOutline:
    """The stitch lines of a piece, mm, in its own frame.

    A ValueError where two neighbouring edges are parallel and cannot meet, or an arc does not run
    on smoothly.
    """
    lines: list[tuple[Point, Point]] = []
    places: dict[EdgeId, int] = {}
    is_round = False
    # Written out, as in the meeting of lines below: every edge of every piece comes through here.
    for place, (edge, (x, y), _, allowance, heading, _, turn) in enumerate(piece.edges):
        hx, hy = heading
        lines.append(((x - hy * allowance, y + hx * allowance), heading))
        places[edge] = place
        is_round = is_round or turn != 0.0
    if is_round:
        edges = piece.edges
        corners = [_corner(edges[i - 1], edge) for i, edge in enumerate(edges)]
    else:
        corners = _meetings(lines)
    return StitchOutline(piece, tuple(corners), MappingProxyType(places))


def _meetings(lines: list[tuple[Point, Point]]) -> list[Point]:
    """Where each (point, heading) line of a ring is met by the one before it: as `_meet` says."""
    corners: list[Point] = []
    before = lines[-1]
    for line in lines:
        ((px, py), (dx, dy)), ((qx, qy), (ex, ey)) = before, line
        cross = dx * ey - dy * ex
        if abs(cross) < _PARALLEL:
            corners.append(_meet(before, line))
        else:
            t = ((qx - px) * ey - (qy - py) * ex) / cross
            corners.append((px + t * dx, py + t * dy))
        before = line
    return corners


def _corner(before: Edge, after: Edge) -> Point:
    """Where the stitch lines of two neighbours meet, one of which may be an arc."""
    if not (before.turn or after.turn):
        return _meet(_inset_line(before), _inset_line(after))
    (dx, dy), (ex, ey) = before.end_heading, after.start_heading
    if abs(dx * ex + dy * ey) < _SMOOTH:
        # Cut through its middle, where it is laid on a fold: its seam ends at that line.
        arc, x, y = (before, *before.end) if before.turn else (after, *after.start)
        line, (hx, hy) = (after, (dx, dy)) if before.turn else (before, (ex, ey))
        if not (line.turn or line.allowance):
            return x - hy * arc.allowance, y + hx * arc.allowance
    if abs(dx * ey - dy * ex) > _SMOOTH or dx * ex + dy * ey < 0.0:
        raise ValueError("an arc must run on smoothly")
    meeting = (after.start[0] - ey * after.allowance, after.start[1] + ex * after.allowance)
    if not same_length(before.allowance, after.allowance):
        raise ValueError("neighbouring edges are parallel and lie apart")
    return meeting


def _inset_line(edge: Edge) -> tuple[Point, Point]:
    """(point, heading) of the edge moved to its left by its allowance."""
    hx, hy = edge.heading
    x, y = edge.start
    return (x - hy * edge.allowance, y + hx * edge.allowance), edge.heading


def _meet(one: tuple[Point, Point], other: tuple[Point, Point]) -> Point:
    """Where two (point, heading) lines meet.

    Neighbours on one straight line (a side that runs on across the bottom fold) meet
    everywhere; they share the corner that `other` starts at.
    """
    (px, py), (dx, dy) = one
    (qx, qy), (ex, ey) = other
    cross = dx * ey - dy * ex
    if abs(cross) < _PARALLEL:
        apart = (qx - px) * dy - (qy - py) * dx
        if same_length(apart, 0.0):
            return qx, qy
        raise ValueError("neighbouring edges are parallel and lie apart")
    t = ((qx - px) * ey - (qy - py) * ex) / cross
    return px + t * dx, py + t * dy
