"""Seams: which edges are sewn to which, and walking them; and the draft of a bag.

Walking a seam compares the two stitch lines that it joins. A side seam of a zipped bag
is one chain (front side, zip end, back side) that is folded at its middle, the top
fold, and sewn to itself.
"""

import math
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from core.base.sentences import Template
from core.flat.piece import Edge, Piece
from core.flat.roles import EdgeRef, PieceId, PieceRole, SeamId, SeamRole
from core.flat.stitch import StitchOutline, stitch_outline

Outlines = Mapping[PieceId, StitchOutline]
"""Id of a piece -> its stitch lines."""


class Seam(NamedTuple):
    """Edges joined to edges.

    Attributes:
        id: unique in its bag.
        label: what it is called, e.g. "corner seam left".
        one: chain of edges on one side, in sewing order.
        other: the chain it is sewn to; empty when `one` is folded at its middle and
            sewn to itself, or hemmed.
        caught: edges of parts that are laid on and caught in the seam; they lie on the
            chain and do not add to its length.
        backwards: whether `one` is walked from the ends of its edges to their starts. What it is
            sewn to lies right sides together with it and is walked the other way.
        to_itself: whether `one` is folded at its middle and sewn to itself.
        neatened: whether the raw edges that the wall has in it are overcast.
        closed: whether both chains run once round: they meet at the middles of their first edges.
    """

    id: SeamId
    label: Template
    one: tuple[EdgeRef, ...]
    other: tuple[EdgeRef, ...] = ()
    caught: tuple[EdgeRef, ...] = ()
    backwards: bool = False
    to_itself: bool = False
    neatened: bool = False
    closed: bool = False

    @property
    def edges(self) -> tuple[EdgeRef, ...]:
        """Every edge that this seam takes."""
        return self.one + self.other + self.caught


class WalkedSeam(NamedTuple):
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


def walk(seam: Seam, outlines: Outlines) -> WalkedSeam:
    """Compare the two stitch lines of a seam."""
    length = chain_length(seam.one, outlines)
    if seam.other:
        return WalkedSeam(seam, length, chain_length(seam.other, outlines))
    if seam.to_itself:
        return WalkedSeam(seam, length / 2, length / 2)
    return WalkedSeam(seam, length, length)


def chain_length(chain: Iterable[EdgeRef], outlines: Outlines) -> float:
    """Length of the stitch lines of a chain of edges, mm."""
    return math.fsum([outlines[piece].length(edge) for piece, edge in chain])


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


class Draft(NamedTuple):
    """Everything flat about one bag: its pieces, the seams between them, their stitch lines.

    Attributes:
        pieces: in the order in which they are listed and cut.
        seams: every seam that joins them.
        outlines: of each piece its stitch lines.
        walked: the seams with the lengths of their stitch lines, in the same order.
    """

    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    outlines: Outlines
    walked: tuple[WalkedSeam, ...]

    @property
    def walls(self) -> tuple[Piece, ...]:
        """The pieces that make the body."""
        return tuple(piece for piece in self.pieces if piece.id.role is PieceRole.WALL)

    def piece(self, piece: PieceId) -> Piece:
        """The piece of that id; KeyError when there is none."""
        return self.outlines[piece].piece

    def edge(self, ref: EdgeRef) -> Edge:
        """The edge of that piece; KeyError when there is none."""
        return self.outlines[ref.piece].edge(ref.edge)

    def has_edge(self, ref: EdgeRef) -> bool:
        """Whether there is such an edge of such a piece."""
        try:
            self.edge(ref)
        except KeyError:
            return False
        return True

    def seam(self, seam: SeamId) -> Seam:
        """The seam of that id; KeyError when there is none."""
        for each in self.seams:
            if each.id == seam:
                return each
        raise KeyError(seam)

    def walked_seams(self, role: SeamRole) -> tuple[WalkedSeam, ...]:
        """The walked seams that are for one thing."""
        return tuple([each for each in self.walked if each.seam.id.role is role])


def draft(pieces: tuple[Piece, ...], seams: tuple[Seam, ...]) -> Draft:
    """Work out the stitch lines of the pieces and walk the seams between them."""
    outlines = MappingProxyType({piece.id: stitch_outline(piece) for piece in pieces})
    return Draft(pieces, seams, outlines, tuple(walk(seam, outlines) for seam in seams))
