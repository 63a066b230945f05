"""The sheet of the flat pane: the pieces of a bag as records, laid beside each other. mm.

The sheet's frame is that of its first piece: x from the panel's left cut edge, y up from
its bottom line, so that the panel stays where it is while the bag changes.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import QCoreApplication

from app.panes.flat_dimensions import Dimension, piece_dimensions
from app.panes.view2d import Bounds
from core.compute import Result
from core.flat.piece import Piece, Point
from core.flat.seam import EdgeRef
from core.paper.drawing import DrawOptions, draw_piece
from core.paper.layout import Slab, lay_slabs
from core.paper.lettering import short_names
from core.paper.records import Record

Margins = tuple[float, float, float, float]
"""Room for what is written around a piece: left, below, right, above."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A piece and what is drawn of it, mm, in its own frame.

    Attributes:
        piece: as drafted.
        short: what stands for its name where that has no room, no two alike.
        bounds: of its cut line.
        baste_line: its distance from the cut edge.
        records: every line of it.
        dimensions: the sizes written beside it.
    """

    piece: Piece
    short: str
    bounds: Bounds
    baste_line: float
    records: tuple[Record, ...]
    dimensions: tuple[Dimension, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """Pieces beside each other.

    Attributes:
        result: that they belong to.
        drawn: the pieces, in the order of the bag.
        places: piece name -> where its own origin lies.
        bounds: around every piece and what is written beside it.
    """

    result: Result
    drawn: tuple[Drawn, ...]
    places: Mapping[str, Point]
    bounds: Bounds

    def piece_bounds(self, drawn: Drawn) -> Bounds:
        """Where a piece lies."""
        left, bottom, right, top = drawn.bounds
        x, y = self.places[drawn.piece.name]
        return left + x, bottom + y, right + x, top + y

    def piece_at(self, at: Point) -> Drawn | None:
        """The piece whose box a point lies in."""
        for each in self.drawn:
            left, bottom, right, top = self.piece_bounds(each)
            if left <= at[0] <= right and bottom <= at[1] <= top:
                return each
        return None

    def edges(self) -> list[tuple[EdgeRef, Point, Point]]:
        """Every edge that has a length, with the ends of its cut line."""
        found = []
        for each in self.drawn:
            x, y = self.places[each.piece.name]
            found += [
                (
                    EdgeRef(each.piece.name, edge.name),
                    (edge.start[0] + x, edge.start[1] + y),
                    (edge.end[0] + x, edge.end[1] + y),
                )
                for edge in each.piece.edges
                if edge.length > 0.0
            ]
        return found


class Drawer:
    """Draws pieces and remembers them: a piece that did not change is not drawn again."""

    def __init__(self) -> None:
        self._kept: dict[str, Drawn] = {}
        self._layers: tuple[str, ...] = ()

    def draw(self, result: Result) -> tuple[Drawn, ...]:
        """Every piece of a bag; the very same object for a piece that did not change."""
        layers = tuple(layer.role for layer in result.bag.sandwich.layers)
        if layers != self._layers:
            self._layers, self._kept = layers, {}
        pieces = result.draft.pieces
        told = [QCoreApplication.translate("core", piece.name) for piece in pieces]
        shorts = short_names(told)
        self._kept = {
            piece.name: self._drawn(piece, shorts[name], result)
            for piece, name in zip(pieces, told, strict=True)
        }
        return tuple(self._kept.values())

    def _drawn(self, piece: Piece, short: str, result: Result) -> Drawn:
        baste = result.bag.sandwich.baste_line
        sizes = piece_dimensions(piece, result.bag)
        kept = self._kept.get(piece.name)
        if (
            kept is not None
            and kept.piece == piece
            and kept.short == short
            and kept.baste_line == baste
            and kept.dimensions == sizes
        ):
            return kept
        options = DrawOptions(layers=self._layers, baste_line=baste, labels=False)
        outline = result.draft.outlines[piece.name]
        # Nothing is written by these records, so that no length is ever shown.
        records = draw_piece(piece, outline, show=str, options=options)
        return Drawn(piece, short, piece.bounds, baste, records, sizes)


def lay_sheet(
    result: Result,
    drawn: tuple[Drawn, ...],
    margins: Mapping[str, Margins],
    *,
    gap: float,
    width: float,
) -> Sheet:
    """Put the drawn pieces beside each other.

    Args:
        result: that they belong to.
        drawn: its pieces.
        margins: piece name -> room around it, mm.
        gap: between the margins of two pieces, mm.
        width: of the sheet, mm.
    """
    slabs = [_slab(each, margins[each.piece.name]) for each in drawn]
    placed = lay_slabs(slabs, gap=gap, width=width)
    x, y = placed[0].dx, placed[0].dy
    places = {each.piece_name: (each.dx - x, each.dy - y) for each in placed}
    return Sheet(result, drawn, places, _around(slabs, places))


def sheet_widths(
    drawn: tuple[Drawn, ...], margins: Mapping[str, Margins], gap: float
) -> list[float]:
    """Widths worth trying, mm: one column, the panel beside each other piece, one row."""
    wide = [_slab(each, margins[each.piece.name]).size(False)[0] for each in drawn]
    pairs = [wide[0] + gap + each for each in wide[1:]]
    return [max(wide), *(max(pair, *wide) for pair in pairs), sum(wide) + gap * (len(wide) - 1)]


def _slab(drawn: Drawn, margins: Margins) -> Slab:
    left, bottom, right, top = drawn.bounds
    a, b, c, d = margins
    return Slab(drawn.piece.name, (left - a, bottom - b, right + c, top + d))


def _around(slabs: list[Slab], places: Mapping[str, Point]) -> Bounds:
    """The box around slabs whose origins lie at `places`."""
    moved = [(slab.bounds, places[slab.name]) for slab in slabs]
    return (
        min(bounds[0] + x for bounds, (x, _) in moved),
        min(bounds[1] + y for bounds, (_, y) in moved),
        max(bounds[2] + x for bounds, (x, _) in moved),
        max(bounds[3] + y for bounds, (_, y) in moved),
    )
