"""How the rounded corners of a piece are told. Lengths are mm."""

from core.base.sentences import Sentence, say
from core.base.tolerance import same_length
from core.flat.piece import Piece


def corner_text(piece: Piece, scale: float = 1.0) -> Sentence | None:
    """Radius of its corners, as they are cut; None where none is rounded.

    `scale`: of the piece on its goods.
    """
    _, bottom, _, top = piece.bounds
    lower: set[float] = set()
    upper: set[float] = set()
    for edge in piece.edges:
        if edge.turn > 0.0:
            _, y = edge.point_at(0.5)
            end = lower if y < (bottom + top) / 2 else upper
            end.add(round(scale * edge.radius, 6))
    if lower and upper:
        one, other = min(lower), min(upper)
        if same_length(one, other):
            return say("corners of radius {radius}", radius=one)
        return say("lower corners of radius {lower}, upper of {upper}", lower=one, upper=other)
    if lower:
        return say("lower corners of radius {radius}", radius=min(lower))
    return say("upper corners of radius {radius}", radius=min(upper)) if upper else None
