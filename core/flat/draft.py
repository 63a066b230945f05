"""The draft of a bag: its pieces, the seams between them, their stitch lines."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from core.flat.piece import Piece
from core.flat.seam import Seam, SeamKind, WalkedSeam, walk
from core.flat.stitch import StitchOutline, stitch_outline


@dataclass(frozen=True, slots=True)
class Draft:
    """Everything flat about one bag.

    Attributes:
        pieces: in the order in which they are listed and cut.
        seams: every seam that joins them.
        outlines: piece name -> its stitch lines.
        walked: the seams with the lengths of their stitch lines, in the same order.
    """

    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    outlines: Mapping[str, StitchOutline]
    walked: tuple[WalkedSeam, ...]

    def piece(self, name: str) -> Piece:
        """The piece of that name; KeyError when there is none."""
        return self.outlines[name].piece

    def walked_seams(self, kind: SeamKind) -> tuple[WalkedSeam, ...]:
        """The walked seams of one kind."""
        return tuple(each for each in self.walked if each.seam.kind is kind)


def draft(pieces: tuple[Piece, ...], seams: tuple[Seam, ...]) -> Draft:
    """Work out the stitch lines of the pieces and walk the seams between them."""
    outlines = MappingProxyType({piece.name: stitch_outline(piece) for piece in pieces})
    return Draft(pieces, seams, outlines, tuple(walk(seam, outlines) for seam in seams))
