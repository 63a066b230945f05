"""Grips: the lines of the flat pieces that can be moved by hand, and the figure each changes.

One line changes one cut figure, and the pattern model says what else moves with it:

- a side edge changes the panel width; the panel stays symmetric, so the other side edge
  moves the other way by as much;
- the front's top edge changes the front trim alone, and so where the zip lies;
- the back's top edge changes the panel length: both faces grow alike, and the zip keeps
  its place below the top fold. (Keeping the front as it is cut would change the trim
  as well, and move the zip behind the maker's back.)
- what is laid on about the middle (handle legs, base board) moves on both sides of it;
- on a piece of its own, pocket or base board, the opposite edge stays where it is.

Nothing is kept matched here: a moved line is a plain cut edit, and the findings judge it.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum

from core.flat.piece import Edge, Mark, Piece, Point
from core.flat.roles import EdgeId, EdgeRef, EdgeRole, Face, MarkRole, PieceRole, Side
from core.flat.seam import Draft


class Way(Enum):
    """Which way a line moves: an index of x or y."""

    ACROSS = 0
    ALONG = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Grip:
    """One line that can be moved.

    Attributes:
        ref: the edge; or one line of a mark, told by what it would be as an edge and by the number
            of the mark, counted from 1.
        edge: whether the line is an edge of the piece.
        figure: name of the cut figure that it changes.
        start, end: of the line, mm, in the frame of the piece.
        way: which way it moves.
        rate: change of the figure for each mm that the line moves to the right or up, seen
            from `still`; never 0.
        still: the point of the piece that keeps its place while the line is moved, mm.
    """

    ref: EdgeRef
    edge: bool
    figure: str
    start: Point
    end: Point
    way: Way
    rate: float
    still: Point

    @property
    def out(self) -> float:
        """How far the line lies from what stays, to the right or up, mm."""
        return self.start[self.way.value] - self.still[self.way.value]


def draft_grips(draft: Draft) -> tuple[Grip, ...]:
    """Every line of a bag that can be moved, piece by piece."""
    return tuple(grip for piece in draft.pieces for grip in piece_grips(piece))


def piece_grips(piece: Piece) -> Iterator[Grip]:
    """The lines of one piece that can be moved; lines without length cannot be taken."""
    for edge in piece.edges:
        found = _edge_figure(piece, edge)
        if found is not None and edge.length > 0.0:
            figure, way, rate, still = found
            yield Grip(
                ref=EdgeRef(piece.id, edge.id),
                edge=True,
                figure=figure,
                start=edge.start,
                end=edge.end,
                way=way,
                rate=rate,
                still=still,
            )
    if piece.id.role is PieceRole.WALL:
        yield from _mark_grips(piece)


_Found = tuple[str, Way, float, Point]
"""(figure, way, rate, still) of a line."""


def _edge_figure(piece: Piece, edge: Edge) -> _Found | None:
    if piece.id.role is PieceRole.WALL:
        return _panel_edge(edge, _middle(piece))
    own = _OWN_PIECES.get((piece.id.role, edge.id))
    if own is None:
        return None
    figure, way, rate = own
    left, bottom, right, top = piece.bounds
    # The edge that is not moved stays.
    return figure, way, rate, (left, bottom) if rate > 0.0 else (right, top)


_OWN_PIECES = {
    (PieceRole.PATCH, EdgeId(EdgeRole.UPPER)): ("pocket_cut_height", Way.ALONG, 1.0),
    (PieceRole.PATCH, EdgeId(EdgeRole.LOWER)): ("pocket_cut_height", Way.ALONG, -1.0),
    (PieceRole.SHEET, EdgeId(EdgeRole.RIM, side=Side.RIGHT)): ("board_width", Way.ACROSS, 1.0),
    (PieceRole.SHEET, EdgeId(EdgeRole.RIM, side=Side.LEFT)): ("board_width", Way.ACROSS, -1.0),
    (PieceRole.SHEET, EdgeId(EdgeRole.RIM, Face.BACK)): ("board_depth", Way.ALONG, 1.0),
    (PieceRole.SHEET, EdgeId(EdgeRole.RIM, Face.FRONT)): ("board_depth", Way.ALONG, -1.0),
}


def _panel_edge(edge: Edge, middle: float) -> _Found | None:
    """Edges of the panel: what stays is the middle of its bottom line."""
    still = (middle, 0.0)
    right = _sign(edge.start[0] + edge.end[0] - 2 * middle)
    role, face = edge.id.role, edge.id.face
    if role is EdgeRole.SIDE:
        return "panel_width", Way.ACROSS, 2 * right, still
    if role is EdgeRole.CORNER_END:
        return "corner_cut_width", Way.ACROSS, -right, still
    if role is EdgeRole.CORNER:
        up = 1.0 if face is Face.FRONT else -1.0
        return "corner_cut_depth", Way.ALONG, up, still
    if role is EdgeRole.TOP and face is Face.FRONT:
        return "front_trim", Way.ALONG, -1.0, still
    if role is EdgeRole.TOP:
        return "panel_length", Way.ALONG, -2.0, still
    return None


def _mark_grips(piece: Piece) -> Iterator[Grip]:
    """Lines of what is laid on the panel."""
    for number, mark in enumerate(piece.marks):
        if mark.owner == "pocket":
            found = _pocket_lines(mark)
        elif mark.role is MarkRole.LEG:
            found = _leg_lines(mark, piece)
        elif mark.owner == "board":
            found = _board_lines(mark)
        else:
            continue
        for (role, side), (start, end), (figure, way, rate) in found:
            if start != end:
                yield Grip(
                    ref=EdgeRef(piece.id, EdgeId(role, mark.face, side, number + 1)),
                    edge=False,
                    figure=figure,
                    start=start,
                    end=end,
                    way=way,
                    rate=rate,
                    still=(_middle(piece), 0.0),
                )


_Line = tuple[tuple[EdgeRole, Side | None], tuple[Point, Point], tuple[str, Way, float]]
"""((role, side), ends, (figure, way, rate)) of one line of a mark."""


def _pocket_lines(mark: Mark) -> Iterable[_Line]:
    """Upper edge: its drop; lower edge: the height of the tube, of two layers."""
    lower_left, lower_right, upper_right, upper_left = mark.points
    up = 1.0 if mark.face is Face.FRONT else -1.0
    return (
        ((EdgeRole.UPPER, None), (upper_left, upper_right), ("pocket_drop", Way.ALONG, -up)),
        (
            (EdgeRole.LOWER, None),
            (lower_left, lower_right),
            ("pocket_cut_height", Way.ALONG, -2 * up),
        ),
    )


def _leg_lines(mark: Mark, piece: Piece) -> Iterable[_Line]:
    """Where the stitching ends: stop, and leg of a separate handle; its sides: the gap.

    A leg that hangs over the panel's side is drawn up to the cut edge, which stays put.
    """
    left_foot, left_top, right_top, right_foot = mark.points
    up = _sign(left_top[1] - left_foot[1])
    out = _sign(left_top[0] + right_top[0] - 2 * _middle(piece))
    gap = ("handle_gap", Way.ACROSS, 2 * out)
    lines: list[_Line] = [
        ((EdgeRole.TOP, None), (left_top, right_top), ("handle_stop", Way.ALONG, -up)),
    ]
    edges = (piece.bounds[0], piece.bounds[2])
    for side, foot, top in ((Side.LEFT, left_foot, left_top), (Side.RIGHT, right_foot, right_top)):
        if foot[0] not in edges:
            lines.append(((EdgeRole.SIDE, side), (foot, top), gap))
    if mark.closed:
        lines.append(
            ((EdgeRole.BOTTOM, None), (left_foot, right_foot), ("handle_leg", Way.ALONG, -up))
        )
    return lines


def _board_lines(mark: Mark) -> Iterable[_Line]:
    """Half of the outline: its far side, and its two ends."""
    left_low, left_far, right_far, right_low = mark.points
    up = _sign(left_far[1])
    return (
        ((EdgeRole.RIM, None), (left_far, right_far), ("board_depth", Way.ALONG, 2 * up)),
        ((EdgeRole.RIM, Side.LEFT), (left_low, left_far), ("board_width", Way.ACROSS, -2.0)),
        ((EdgeRole.RIM, Side.RIGHT), (right_low, right_far), ("board_width", Way.ACROSS, 2.0)),
    )


def _middle(piece: Piece) -> float:
    left, _, right, _ = piece.bounds
    return (left + right) / 2


def _sign(value: float) -> float:
    return 1.0 if value > 0.0 else -1.0
