"""What a step of the sewing works on: lit in the drawings while the step is read."""

from dataclasses import dataclass, replace

from core.flat.draft import Draft
from core.flat.piece import Point
from core.flat.seam import EdgeRef


@dataclass(frozen=True, slots=True, kw_only=True)
class Lit:
    """What lights up. All of it may be empty.

    Attributes:
        edges: edges that are sewn or worked along.
        marks: (piece, place among its marks) of outlines that something is laid on.
        lines: (piece, points in mm) where else needle or chalk goes.
        pieces: pieces that are handled as a whole.
        rims: edges of those pieces, for where a piece is told by its edges.
        parts: pieces laid on the bag that are lit on the folding bag.
    """

    edges: tuple[EdgeRef, ...] = ()
    marks: tuple[tuple[str, int], ...] = ()
    lines: tuple[tuple[str, tuple[Point, ...]], ...] = ()
    pieces: tuple[str, ...] = ()
    rims: tuple[EdgeRef, ...] = ()
    parts: tuple[str, ...] = ()

    def on(self, draft: Draft) -> "Lit":
        """What of it there is in a draft."""
        pieces = {piece.name: piece for piece in draft.pieces}
        edges = {(piece.name, edge.name) for piece in draft.pieces for edge in piece.edges}
        return replace(
            self,
            edges=tuple(ref for ref in self.edges if (ref.piece, ref.edge) in edges),
            marks=tuple(
                (name, place)
                for name, place in self.marks
                if name in pieces and place < len(pieces[name].marks)
            ),
            lines=tuple(line for line in self.lines if line[0] in pieces),
            pieces=tuple(name for name in self.pieces if name in pieces),
            rims=tuple(ref for ref in self.rims if (ref.piece, ref.edge) in edges),
            parts=tuple(name for name in self.parts if name in pieces),
        )


DARK = Lit()
"""Nothing is lit."""
