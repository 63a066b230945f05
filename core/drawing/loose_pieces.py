"""Pieces of the wall that are still loose, beside one another in rows. Lengths are mm."""

import math
from collections.abc import Sequence

from core.flat.piece import Piece


def lie_flat(pieces: Sequence[Piece]) -> bool:
    """Whether pieces have one frame and lie beside each other in it: none over another's middle."""
    boxes = [piece.bounds for piece in pieces]
    for number, (left, low, right, top) in enumerate(boxes):
        x, y = (left + right) / 2, (low + top) / 2
        others = boxes[:number] + boxes[number + 1 :]
        if any(box[0] < x < box[2] and box[1] < y < box[3] for box in others):
            return False
    return True


FEW = 2
"""So many loose pieces are drawn in one row, mostly upright ones."""
UNDER_ROW = 7.0
"""Room under a row of loose pieces, for their names, mm on paper."""


def in_rows(
    pieces: Sequence[Piece], gap: float, box: tuple[float, float]
) -> tuple[list[Sequence[Piece]], float]:
    """Loose pieces in as many rows as let them be drawn largest, and the room under each row."""
    if len(pieces) <= FEW:
        return [pieces], 0.0

    def scale(rows: Sequence[Sequence[Piece]]) -> float:
        wide = max(row_width(row, gap) for row in rows)
        high = math.fsum(map(row_height, rows))
        return min(box[0] / wide, (box[1] - UNDER_ROW * len(rows)) / high)

    ways = []
    for count in (1, 2, 3):
        each = math.ceil(len(pieces) / count)
        ways.append([pieces[at : at + each] for at in range(0, len(pieces), each)])
    best = max(ways, key=scale)
    return best, UNDER_ROW / scale(best)


def row_width(row: Sequence[Piece], gap: float) -> float:
    """Of a row of pieces with gaps between them, mm."""
    return math.fsum(piece.width for piece in row) + gap * (len(row) - 1)


def row_height(row: Sequence[Piece]) -> float:
    """Of its highest piece, mm."""
    return max(piece.height for piece in row)
