"""Grips: the lines of the flat pieces that can be moved by hand, and the figure each changes.

Nothing here knows a body or a part. A figure that is laid out by hand is made a little larger, the
bag is drawn again, and the lines that have moved are seen. Of the figures of whoever owns a line,
the one that moves the fewest lines of its piece is changed by it, and of equal ones the one that
moves it most: a pocket's upper edge changes its drop, which moves the whole pocket; its lower edge
changes its height, which moves that edge alone.

Nothing is kept matched here: a moved line is a plain cut edit, and the findings judge it.
"""

from collections import Counter
from collections.abc import Container, Iterator, Mapping
from enum import Enum
from itertools import pairwise
from typing import NamedTuple

from core.bag.bag import Bag, cut_value, draft_bag, with_figures
from core.bag.tables import CUT_FIGURES
from core.base.errors import FieldError
from core.flat.piece import Piece, Point
from core.flat.roles import EdgeRef, Face, MarkRole, PieceId, PieceRole, Side
from core.flat.seam import Draft
from core.model.figures import CutFigure

_STEP = 0.5
"""By so much a figure is made larger, mm."""
_STILL = 1e-6
"""A line that moves by less has not moved, and ends that move by less apart move alike, mm."""


class Axis(Enum):
    """Which way a line moves: an index of x or y."""

    ACROSS = 0
    ALONG = 1


class MarkLineRef(NamedTuple):
    """One stretch of a mark.

    The mark is told by what it is, since others may come and go; `number` counts the marks that
    are alike, `stretch` the stretches from its first point on.
    """

    piece: PieceId
    owner: str
    role: MarkRole
    face: Face | None
    side: Side | None
    number: int
    stretch: int


LineRef = EdgeRef | MarkLineRef


class Grip(NamedTuple):
    """One line that can be moved.

    Attributes:
        ref: the edge, or the stretch of a mark.
        figure: name of the cut figure that it changes.
        start, end: of the line, mm, in the frame of the piece.
        rate: change of the figure for each mm that the line moves to the right or up, seen
            from `still`; never 0. Of an arc: that its middle moves.
        still: the point of the piece that keeps its place while the line is moved, mm.
        bend: points of an arc between its ends, the middle one in its middle.
    """

    ref: LineRef
    figure: str
    start: Point
    end: Point
    axis: Axis
    rate: float
    still: Point
    bend: tuple[Point, ...] = ()

    @property
    def line(self) -> tuple[Point, ...]:
        """Its points from start to end, an arc flattened."""
        return (self.start, *self.bend, self.end)

    @property
    def edge(self) -> EdgeRef | None:
        """The edge that it is; None for a line of a mark."""
        return self.ref if isinstance(self.ref, EdgeRef) else None

    @property
    def out(self) -> float:
        """How far the line lies from what stays, to the right or up, mm."""
        at = self.bend[len(self.bend) // 2] if self.bend else self.start
        return at[self.axis.value] - self.still[self.axis.value]


def bag_grips(bag: Bag, draft: Draft) -> dict[LineRef, Grip]:
    """Every line of a bag that can be moved, piece by piece; the draft is its own."""
    lines = dict(_lines(draft))
    best: dict[LineRef, tuple[tuple[float, float], CutFigure, float]] = {}
    for figure in CUT_FIGURES:
        shifts = _shifts(bag, lines, figure)
        moved = Counter(ref.piece for ref in shifts)
        for ref, shift in shifts.items():
            rank = (moved[ref.piece], -abs(shift))
            if lines[ref].owner == figure.part and (ref not in best or rank < best[ref][0]):
                best[ref] = (rank, figure, shift)
    return {ref: _grip(ref, lines[ref], *best[ref][1:]) for ref in lines if ref in best}


def grips_of(
    bag: Bag, draft: Draft, figure: CutFigure, among: Container[LineRef]
) -> dict[LineRef, Grip]:
    """Those lines that a figure changes, of such as are known to be changed by it.

    While a line is held, this is all that is asked: it draws the bag once more, not a dozen times.
    """
    lines = {ref: line for ref, line in _lines(draft) if ref in among}
    shifts = _shifts(bag, lines, figure)
    return {ref: _grip(ref, lines[ref], figure, shift) for ref, shift in shifts.items()}


class _Line(NamedTuple):
    """A level or upright line of a piece that somebody owns, or an arc, mm; `bend` as of a grip."""

    owner: str
    start: Point
    end: Point
    axis: Axis
    still: Point
    bend: tuple[Point, ...] = ()


_SHARES = tuple(number / 8 for number in range(1, 8))
"""Where the points of an arc lie on it."""


def _lines(draft: Draft) -> Iterator[tuple[LineRef, _Line]]:
    """Every line that has a length and runs across or along its piece, and every arc of a wall.

    The corners of what is laid in follow from those of the bottom.
    """
    for piece in draft.pieces:
        for edge in piece.edges if piece.id.role is PieceRole.WALL else ():
            if edge.turn and edge.length > _STILL:
                bend, way = tuple(map(edge.point_at, _SHARES)), Axis.ACROSS
                still = _still(piece, edge.point_at(0.5), way)
                line = _Line(piece.id.owner, edge.start, edge.end, way, still, bend)
                yield EdgeRef(piece.id, edge.id), line
        for ref, owner, start, end in _of_piece(piece):
            wide, tall = abs(end[0] - start[0]), abs(end[1] - start[1])
            if min(wide, tall) < _STILL < max(wide, tall):
                way = Axis.ACROSS if wide < tall else Axis.ALONG
                yield ref, _Line(owner, start, end, way, _still(piece, start, way))


def _of_piece(piece: Piece) -> Iterator[tuple[LineRef, str, Point, Point]]:
    for edge in piece.edges:
        if edge.length > 0.0 and not edge.turn:
            yield EdgeRef(piece.id, edge.id), piece.id.owner, edge.start, edge.end
    alike: Counter[tuple[object, ...]] = Counter()
    for mark in piece.marks:
        what = (mark.owner, mark.role, mark.face, mark.side)
        points = (*mark.points, mark.points[0]) if mark.closed else mark.points
        for stretch, (start, end) in enumerate(pairwise(points)):
            yield MarkLineRef(piece.id, *what, alike[what], stretch), mark.owner, start, end
        alike[what] += 1


def _still(piece: Piece, at: Point, axis: Axis) -> Point:
    """What stays: of a wall the middle of its bottom line, of others the side across."""
    left, bottom, right, top = piece.bounds
    if piece.id.role is PieceRole.WALL:
        return (left + right) / 2, 0.0
    middle = ((left + right) / 2, (bottom + top) / 2)
    return (left, bottom) if at[axis.value] > middle[axis.value] else (right, top)


def _shifts(bag: Bag, lines: Mapping[LineRef, _Line], figure: CutFigure) -> dict[LineRef, float]:
    """How far each line moves for each mm of a figure, seen from what stays; the moved ones."""
    value = cut_value(bag, figure.name) if figure.by_hand else None
    if value is None:
        return {}
    for step in (_STEP, -_STEP):
        try:
            other = with_figures(bag, {figure.name: value + step})
        except FieldError:
            continue
        found = {}
        for ref, after in _lines(draft_bag(other)):
            line = lines.get(ref)
            shift = 0.0 if line is None else _shift(line, after)
            if abs(shift) > _STILL:
                found[ref] = shift / step
        return found
    return {}


def _shift(line: _Line, after: _Line) -> float:
    """How far a line has moved to its side, or the middle of an arc; 0 for one that has turned."""
    axis = line.axis.value
    if line.bend and after.bend:
        was, now = (
            each.bend[len(each.bend) // 2][axis] - each.still[axis] for each in (line, after)
        )
        return now - was
    start = after.start[axis] - line.start[axis]
    end = after.end[axis] - line.end[axis]
    return start - (after.still[axis] - line.still[axis]) if abs(start - end) < _STILL else 0.0


def _grip(ref: LineRef, line: _Line, figure: CutFigure, shift: float) -> Grip:
    return Grip(
        ref=ref,
        figure=figure.name,
        start=line.start,
        end=line.end,
        axis=line.axis,
        rate=round(1.0 / shift, 9),
        still=line.still,
        bend=line.bend,
    )
