"""A flat piece measured by shapely, on outlines whose sizes are known too."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from shapely import Polygon

from core.bag.bag import Bag
from core.bag.compute import compute
from core.flat.piece import (
    CutFrom,
    Edge,
    GrainTurn,
    Mark,
    MarkStyle,
    Piece,
    along,
    edge_between,
    rectangle,
)
from core.flat.roles import EdgeId, EdgeRole, MarkRole, PieceId, PieceRole
from tests.strategies import bags


def piece_of(corners: list[tuple[float, float]], **more: object) -> Piece:
    ends = [*corners[1:], corners[0]]
    edges = tuple(
        edge_between(EdgeId(EdgeRole.RIM, number=i), start, end, allowance=1.0)
        for i, (start, end) in enumerate(zip(corners, ends, strict=True))
    )
    return Piece(id=PieceId("body", PieceRole.WALL), label="piece", edges=edges, **more)


def test_a_corner_cut_out_of_a_rectangle() -> None:
    """30 x 20 at (5, -7) less 10 x 8 at its upper right: 520 mm2, once around 100 mm."""
    corners = [(5.0, -7.0), (35.0, -7.0), (35.0, 5.0), (25.0, 5.0), (25.0, 13.0), (5.0, 13.0)]
    piece = piece_of(corners)
    assert piece.outline == tuple(corners)
    assert piece.bounds == (5.0, -7.0, 35.0, 13.0)
    assert (piece.width, piece.height) == (30.0, 20.0)
    assert piece.area == 520.0
    assert piece.perimeter == 100.0
    assert [edge.length for edge in piece.edges] == [30.0, 12.0, 10.0, 8.0, 20.0, 20.0]
    assert piece.edge(EdgeId(EdgeRole.RIM, number=2)).start == (35.0, 5.0)


@given(bags())
def test_every_piece_of_a_bag_measures_what_shapely_measures(bag: Bag) -> None:
    for piece in compute(bag).draft.pieces:
        outline = Polygon(piece.outline)
        assert piece.area == pytest.approx(outline.area)
        assert piece.perimeter == pytest.approx(outline.length)
        assert piece.bounds == pytest.approx(outline.bounds)
        assert math.hypot(*piece.grain) == pytest.approx(1.0)


def test_an_edge_without_length_is_no_corner_and_adds_nothing() -> None:
    square = piece_of([(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)])
    point = Edge(EdgeId(EdgeRole.CENTRE), (4.0, 0.0), (4.0, 0.0), 1.0, (0.6, 0.8))
    first, *others = square.edges
    piece = replace(square, edges=(first, point, *others))
    assert piece.outline == square.outline
    assert (piece.area, piece.perimeter) == (16.0, 16.0)
    assert point.length == 0.0


def test_a_distance_along_a_heading_has_a_sign() -> None:
    assert along((0.6, 0.8), (1.0, 1.0), (4.0, 5.0)) == pytest.approx(5.0)  # 3, 4, 5
    assert along((0.6, 0.8), (4.0, 5.0), (1.0, 1.0)) == pytest.approx(-5.0)
    assert along((0.8, -0.6), (1.0, 1.0), (4.0, 5.0)) == pytest.approx(0.0)
    edge = edge_between(EdgeId(EdgeRole.SIDE), (1.0, 1.0), (4.0, 5.0), allowance=2.0)
    assert edge.heading == pytest.approx((0.6, 0.8))
    assert (edge.start, edge.end, edge.allowance) == ((1.0, 1.0), (4.0, 5.0), 2.0)


def test_a_rectangle_runs_round_from_its_bottom() -> None:
    names = tuple((EdgeId(EdgeRole.RIM, number=i), word) for i, word in enumerate("abcd"))
    allowances = (1.0, 2.0, 3.0, 4.0)
    edges = rectangle(names, (10.0, 4.0), allowances=allowances, corner=(2.0, 3.0))
    assert [(each.id, each.label) for each in edges] == list(names)
    assert [(each.start, each.end, each.allowance) for each in edges] == [
        ((2.0, 3.0), (12.0, 3.0), 1.0),
        ((12.0, 3.0), (12.0, 7.0), 2.0),
        ((12.0, 7.0), (2.0, 7.0), 3.0),
        ((2.0, 7.0), (2.0, 3.0), 4.0),
    ]


def test_what_is_not_said_of_a_piece() -> None:
    """Cut once, from the outer fabric, lengthwise, and half a turn does no harm."""
    piece = piece_of([(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)])
    assert (piece.count, piece.cut_from, piece.turn) == (1, CutFrom.CLOTH, GrainTurn.HALF)
    assert piece.grain == (0.0, 1.0)
    assert (piece.folds, piece.marks, piece.notes) == ((), (), ())
    mark = Mark(
        role=MarkRole.HALFWAY,
        owner="body",
        points=((0.0, 0.0), (1.0, 0.0)),
        style=MarkStyle.HALFWAY,
        label="halfway",
    )
    assert (mark.closed, mark.end, mark.face, mark.side) == (False, None, None, None)
