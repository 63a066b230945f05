"""Seams: which edges are sewn to which, and walking them.

Walking a seam compares the two stitch lines that it joins. A side seam of a zipped bag
is one chain (front side, zip end, back side) that is folded at its middle, the top
fold, and sewn to itself.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType

from core.flat.piece import Piece
from core.flat.stitch import StitchOutline, stitch_outline


class SeamRole(Enum):
    """What a seam is for; it names the allowance that applies."""

    SIDE = "side seam"
    CORNER = "corner seam"
    MOUTH = "zip seam"
    BOTTOM = "bottom seam"
    PART = "pocket seam"
    HEM = "hem"


@dataclass(frozen=True, slots=True, order=True)
class EdgeRef:
    """One edge of one piece."""

    piece: str
    edge: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """Edges joined to edges.

    Attributes:
        name: unique in its bag, e.g. "corner seam left".
        one: chain of edges on one side, in sewing order.
        other: the chain it is sewn to; empty when `one` is folded at its middle and
            sewn to itself, or hemmed.
        caught: edges of parts that are laid on and caught in the seam; they lie on the
            chain and do not add to its length.
    """

    name: str
    kind: SeamRole
    one: tuple[EdgeRef, ...]
    other: tuple[EdgeRef, ...] = ()
    caught: tuple[EdgeRef, ...] = ()

    @property
    def edges(self) -> tuple[EdgeRef, ...]:
        """Every edge that this seam takes."""
        return self.one + self.other + self.caught


@dataclass(frozen=True, slots=True)
class WalkedSeam:
    """A seam with the lengths of its two stitch lines.

    Attributes:
        length: of the first chain (half of it when it is sewn to itself), mm.
        mate_length: of the chain it is sewn to, mm.
    """

    seam: Seam
    length: float
    mate_length: float

    @property
    def difference(self) -> float:
        """First chain less its mate, mm; zero when the seam walks."""
        return self.length - self.mate_length


def walk(seam: Seam, outlines: Mapping[str, StitchOutline]) -> WalkedSeam:
    """Compare the two stitch lines of a seam; outlines are looked up by piece name."""
    length = chain_length(seam.one, outlines)
    if seam.other:
        return WalkedSeam(seam, length, chain_length(seam.other, outlines))
    if seam.kind is SeamRole.SIDE:
        return WalkedSeam(seam, length / 2, length / 2)
    return WalkedSeam(seam, length, length)


def chain_length(chain: Iterable[EdgeRef], outlines: Mapping[str, StitchOutline]) -> float:
    """Length of the stitch lines of a chain of edges, mm."""
    return math.fsum(outlines[ref.piece].length(ref.edge) for ref in chain)


def mates(seams: Iterable[Seam], ref: EdgeRef) -> tuple[EdgeRef, ...]:
    """The edges that this edge is sewn to; empty for a raw or hemmed edge."""
    found: list[EdgeRef] = []
    for seam in seams:
        if ref in seam.one:
            found += seam.other or tuple(each for each in seam.one if each != ref)
        elif ref in seam.other:
            found += seam.one
        elif ref in seam.caught:
            found += seam.one + seam.other
    return tuple(dict.fromkeys(found))


# --- draft ---
# The draft of a bag: its pieces, the seams between them, their stitch lines.


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

    def walked_seams(self, kind: SeamRole) -> tuple[WalkedSeam, ...]:
        """The walked seams of one kind."""
        return tuple(each for each in self.walked if each.seam.kind is kind)


def draft(pieces: tuple[Piece, ...], seams: tuple[Seam, ...]) -> Draft:
    """Work out the stitch lines of the pieces and walk the seams between them."""
    outlines = MappingProxyType({piece.name: stitch_outline(piece) for piece in pieces})
    return Draft(pieces, seams, outlines, tuple(walk(seam, outlines) for seam in seams))
