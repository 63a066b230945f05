"""Roles and ids: one object each in every process."""

import pickle

from hypothesis import given

from core.bag.bag import Bag
from core.bag.compute import compute
from core.flat.piece import FACE_WORDS
from core.flat.roles import EdgeId, EdgeRef, EdgeRole, Face, PieceId, PieceRole, Side
from tests.ids import PIECES, edge_id, edge_ref
from tests.strategies import bags


@given(bags())
def test_every_piece_is_called_by_its_owner(bag: Bag) -> None:
    """In English: reports are told in the words that the maker reads."""
    pieces = compute(bag).draft.pieces
    assert {PIECES[piece.label] for piece in pieces} == {piece.id for piece in pieces}


@given(bags())
def test_every_edge_is_called_by_its_role_face_and_side(bag: Bag) -> None:
    for piece in compute(bag).draft.pieces:
        for edge in piece.edges:
            assert edge_id(edge.title.text()) == edge.id
            assert piece.edge(edge.id) is edge


def test_an_id_that_was_sent_away_finds_itself_again() -> None:
    ref = edge_ref("front", "corner end back left")
    back = pickle.loads(pickle.dumps(ref))
    assert back == ref
    assert back.edge.side is Side.LEFT
    assert {ref: 1}[back] == 1
    assert hash(back.piece.role) == hash(PieceRole.WALL)


def test_ids_differ_by_each_of_their_parts() -> None:
    side = EdgeId(EdgeRole.SIDE, Face.FRONT, Side.LEFT)
    others = [
        EdgeId(EdgeRole.CORNER, Face.FRONT, Side.LEFT),
        EdgeId(EdgeRole.SIDE, Face.BACK, Side.LEFT),
        EdgeId(EdgeRole.SIDE, Face.FRONT, Side.RIGHT),
        EdgeId(EdgeRole.SIDE, Face.FRONT, Side.LEFT, 1),
    ]
    assert side not in others
    assert EdgeRef(PieceId("body", PieceRole.WALL), side) != EdgeRef(PIECES["front"], side)
    assert [each.other for each in Side] == [Side.RIGHT, Side.LEFT]


def test_each_face_has_a_name_of_its_own() -> None:
    assert set(FACE_WORDS) == set(Face)
    assert len(set(FACE_WORDS.values())) == len(Face)
