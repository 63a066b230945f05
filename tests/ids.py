"""Pieces and edges by plain words, for tests that point at one: "side front left"."""

from core.flat.roles import FACES, EdgeId, EdgeRef, EdgeRole, Face, PieceId, PieceRole, Side

PIECES = {
    "panel": PieceId("body", PieceRole.WALL),
    "front": PieceId("body", PieceRole.WALL, Face.FRONT),
    "back": PieceId("body", PieceRole.WALL, Face.BACK),
    "zip": PieceId("top", PieceRole.TAPE),
    "front pocket": PieceId("pocket", PieceRole.PATCH, Face.FRONT),
    "back pocket": PieceId("pocket", PieceRole.PATCH, Face.BACK),
    "handle strip": PieceId("handles", PieceRole.STRIP),
    "last handle strip": PieceId("handles", PieceRole.STRIP, number=1),
    "base board": PieceId("board", PieceRole.SHEET),
}
WORDS = {piece: word for word, piece in PIECES.items()}
_ROLES = {
    "corner end": EdgeRole.CORNER_END,
    "corner": EdgeRole.CORNER,
    "side": EdgeRole.SIDE,
    "top": EdgeRole.TOP,
    "bottom": EdgeRole.BOTTOM,
    "zip end": EdgeRole.TAPE_END,
    "zip": EdgeRole.TAPE,
    "pocket side": EdgeRole.SIDE,
    "pocket upper edge": EdgeRole.UPPER,
    "pocket lower edge": EdgeRole.LOWER,
    "strip upper edge": EdgeRole.UPPER,
    "strip lower edge": EdgeRole.LOWER,
    "strip end": EdgeRole.END,
    "board": EdgeRole.RIM,
}


def edge_id(words: str) -> EdgeId:
    """The edge of these words: role, face and side, in this order."""
    side = next((each for each in Side if words.endswith(f" {each.value}")), None)
    rest = words if side is None else words.removesuffix(f" {side.value}")
    face = next((each for each in FACES if rest.endswith(f" {each.value}")), None)
    rest = rest if face is None else rest.removesuffix(f" {face.value}")
    return EdgeId(_ROLES[rest], face, side)


def edge_ref(piece: str, edge: str) -> EdgeRef:
    """An edge of a piece, both by their words."""
    return EdgeRef(PIECES[piece], edge_id(edge))
