"""Stitch lines: each edge of a piece moved inside by its own allowance.

Neighbouring stitch lines are intersected, so every stitch line keeps the id of its
edge. The stitch line of an arc is an arc about the same centre, and runs on smoothly into its
neighbours as the arc must. Lengths are measured along the edge's heading and may come out
negative: an edge so short that its neighbours' allowances eat it up, an arc that its own does.
`core.flat.soundness` judges the whole.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType

from core.base.tolerance import same_length
from core.flat.piece import Edge, Fold, Piece, Point, along
from core.flat.roles import EdgeId
from core.flat.soundness import flattened, is_sound

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
        return replace(self.edge(edge), start=start, end=end, allowance=0.0)

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
        index = self.places[edge]
        cut = self.piece.edges[index]
        end = self.corners[(index + 1) % len(self.corners)]
        chord = along(cut.heading, self.corners[index], end)
        return chord / (2 * math.sin(cut.turn / 2)) * cut.turn if cut.turn else chord

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
    edges = piece.edges
    if any(edge.turn for edge in edges):
        corners = tuple(_corner(edges[i - 1], edge) for i, edge in enumerate(edges))
    else:
        lines = [_inset_line(edge) for edge in edges]
        corners = tuple(_meet(lines[i - 1], lines[i]) for i in range(len(lines)))
    places = {edge.id: place for place, edge in enumerate(piece.edges)}
    return StitchOutline(piece, corners, MappingProxyType(places))


def _corner(before: Edge, after: Edge) -> Point:
    """Where the stitch lines of two neighbours meet, one of which may be an arc."""
    if not (before.turn or after.turn):
        return _meet(_inset_line(before), _inset_line(after))
    (dx, dy), (ex, ey) = before.end_heading, after.start_heading
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
