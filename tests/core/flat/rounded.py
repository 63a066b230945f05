"""Bare pieces with rounded corners, for tests: bags have some, too."""

import math
from collections.abc import Sequence

from core.flat.piece import Edge, Piece, Point, edge_between
from core.flat.roles import EdgeId, EdgeRef, EdgeRole, PieceId, PieceRole

INCH = 25.4


def rounded_edges(
    size: Point, radii: Sequence[float], allowances: Sequence[float], *, split: bool = False
) -> tuple[Edge, ...]:
    """A rectangle with its lower left corner at (0, 0), counter-clockwise from its bottom.

    Args:
        size: (width, height), mm.
        radii: of the lower left, lower right, upper right and upper left corner, mm; 0: square.
        allowances: of bottom, right, top and left edge, mm; an arc has that of the edge after it.
        split: whether the bottom is two edges, from the middle and to it.
    """
    (w, h), (ll, lr, ur, ul) = size, radii
    sides = (
        ((ll, 0.0), (w - lr, 0.0)),
        ((w, lr), (w, h - ur)),
        ((w - ur, h), (ul, h)),
        ((0.0, h - ul), (0.0, ll)),
    )
    found: list[Edge] = []
    for i, (start, end) in enumerate(sides):
        found.append(edge_between(straight(i), start, end, allowance=allowances[i]))
        after = sides[(i + 1) % 4][0]
        if math.dist(end, after) > 0.0:
            bend = edge_between(
                arc(i), end, after, allowance=allowances[(i + 1) % 4], turn=math.pi / 2
            )
            found.append(bend)
    if not split:
        return tuple(found)
    bottom, *others = found
    middle = (w / 2, 0.0)
    first = edge_between(straight(0), middle, bottom.end, allowance=allowances[0])
    last = edge_between(straight(4), bottom.start, middle, allowance=allowances[0])
    return (first, *others, last)


def straight(number: int) -> EdgeId:
    """Bottom, right, top, left; 4: the first half of a bottom that is split."""
    return EdgeId(EdgeRole.SIDE, number=number)


def arc(number: int) -> EdgeId:
    """Lower right, upper right, upper left, lower left."""
    return EdgeId(EdgeRole.ROUND, number=number)


def piece_of(edges: tuple[Edge, ...], number: int = 0) -> Piece:
    """A piece of these edges; the number tells it from others."""
    return Piece(id=PieceId("body", PieceRole.WALL, number=number), label="piece", edges=edges)


def refs(piece: Piece, *edges: EdgeId) -> tuple[EdgeRef, ...]:
    """These edges of a piece, or all of them."""
    return tuple(EdgeRef(piece.id, each) for each in edges or [edge.id for edge in piece.edges])
