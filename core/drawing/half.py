"""Half of a symmetric piece, to be laid on a folded layer of goods: cut at its middle. mm."""

import math
from dataclasses import replace
from itertools import pairwise

from core.base.sentences import mark
from core.base.tolerance import same_length, shorter
from core.flat.piece import Edge, Fold, Mark, Piece, Point
from core.flat.roles import EdgeId, EdgeRole

CENTRE_FOLD = EdgeId(EdgeRole.CENTRE)
"""The edge that is laid on the fold and not cut."""


def is_symmetric(piece: Piece) -> bool:
    """Whether the left half of a piece is the mirror image of its right half."""
    left, _, right, _ = piece.bounds
    edges = [edge for edge in piece.edges if edge.length > 0.0]

    def mirrored(edge: Edge, other: Edge) -> bool:
        pairs = ((edge.start, other.end), (edge.end, other.start))
        ends = all(
            same_length(left + right - x, u) and same_length(y, v) for (x, y), (u, v) in pairs
        )
        return ends and math.isclose(edge.turn, other.turn, abs_tol=1e-9)

    return all(any(mirrored(edge, other) for other in edges) for edge in edges)


def half_piece(piece: Piece) -> Piece:
    """The left half, with the centre fold as its right edge; ValueError for no symmetric piece."""
    if not is_symmetric(piece):
        raise ValueError(f"{piece.label} is not symmetric: it has no half")
    left, _, right, _ = piece.bounds
    middle = (left + right) / 2
    edges: list[Edge] = []
    for edge in piece.edges:
        if shorter(min(edge.start[0], edge.end[0]), middle):
            edges.append(_half_edge(edge, middle))
    # The outline runs counter-clockwise: it meets the centre on its way right along the
    # bottom, and the new edge leads from there up to where the top edge leaves it.
    foot = next(i for i, edge in enumerate(edges) if same_length(edge.end[0], middle))
    after = edges[(foot + 1) % len(edges)]
    up = (0.0, 1.0)
    centre = Edge(CENTRE_FOLD, edges[foot].end, after.start, 0.0, up, mark("centre fold"))
    edges.insert(foot + 1, centre)
    left_over = {edge.id for edge in edges}
    return replace(
        piece,
        edges=tuple(edges),
        rough=None if piece.rough is None else _half_outline(piece.rough, middle),
        folds=tuple(_half_fold(fold, left_over) for fold in piece.folds),
        marks=tuple(half for mark in piece.marks for half in _half_mark(mark, middle)),
    )


def _half_edge(edge: Edge, middle: float) -> Edge:
    """What of an edge lies left of the middle: of an arc across it one half."""
    (x0, _), (x1, _) = edge.start, edge.end
    if not edge.turn or not shorter(middle, max(x0, x1)):
        start, end = _clipped(edge.start, edge.end, middle)
        return edge._replace(start=start, end=end)
    _, high = edge.point_at(0.5)
    top, turn = (middle, high), edge.turn / 2
    start, end, share = (edge.start, top, 0.25) if x0 < middle else (top, edge.end, 0.75)
    return edge._replace(start=start, end=end, heading=edge.heading_at(share), turn=turn)


def _half_outline(outline: tuple[Point, ...], middle: float) -> tuple[Point, ...]:
    found: list[Point] = []
    for start, end in pairwise((*outline, outline[0])):
        if min(start[0], end[0]) < middle:
            found += _clipped(start, end, middle)
    return tuple(dict.fromkeys(found))


def _half_fold(fold: Fold, left_over: set[EdgeId]) -> Fold:
    (kept,) = (edge for edge in (fold.start_edge, fold.end_edge) if edge in left_over)
    return fold._replace(start_edge=kept, end_edge=CENTRE_FOLD)


def _clipped(start: Point, end: Point, middle: float) -> tuple[Point, Point]:
    """A straight line with what lies right of the middle moved back onto it."""
    return _drawn_in(start, end, middle), _drawn_in(end, start, middle)


def _drawn_in(point: Point, other: Point, middle: float) -> Point:
    (x, y), (u, v) = point, other
    if x <= middle or u >= middle:
        return point
    share = (x - middle) / (x - u)
    return middle, y + share * (v - y)


def _half_mark(mark: Mark, middle: float) -> list[Mark]:
    """What lies left of the centre, as open lines."""
    points = (*mark.points, mark.points[0]) if mark.closed else mark.points
    if max(x for x, _ in points) <= middle + 1e-9:
        return [mark]
    runs: list[list[Point]] = []
    for start, end in pairwise(points):
        if min(start[0], end[0]) >= middle:
            continue
        first, last = _clipped(start, end, middle)
        if runs and runs[-1][-1] == first:
            runs[-1].append(last)
        else:
            runs.append([first, last])
    if len(runs) > 1 and runs[-1][-1] == runs[0][0]:
        runs[0] = runs.pop()[:-1] + runs[0]
    return [mark._replace(points=tuple(run), closed=False) for run in runs]
