"""The sheet of the flat pane, and what to say of the edge that is pointed at. mm.

The sheet's frame is that of its first piece, which stays where it is while the bag changes.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from string import ascii_uppercase
from typing import NamedTuple

from app.session.display import Display, tr, translated
from core.bag.compute import Result
from core.base.sentences import sentence_start
from core.base.tolerance import same_length
from core.drawing.layout import Slab, lay_slabs
from core.drawing.lettering import short_names, with_fractions
from core.drawing.pattern import DrawOptions, draft_dimensions, draw_piece
from core.drawing.records import DrawingRecord, Polygon
from core.flat.geometry import Bounds, distance_to_segment
from core.flat.match_marks import SeamMarks, seam_marks
from core.flat.piece import Dimension, Piece, Point
from core.flat.roles import EdgeRef, PieceId
from core.flat.seam import Draft, Seam, WalkedSeam, chain_length


class Caption(NamedTuple):
    """What is said of the edge that is pointed at.

    Attributes:
        letter: of its seam; empty for an edge that is not sewn.
        title: the seam, or the edge.
        detail: the lengths of the stitch lines that it joins.
    """

    letter: str
    title: str
    detail: str

    @property
    def text(self) -> str:
        """All of it in one line."""
        return f"{self.title}: {self.detail}"


def nearest_edge(
    edges: Iterable[tuple[EdgeRef, Point, Point]], at: Point, reach: float
) -> EdgeRef | None:
    """The edge nearest to a point, no farther than `reach`; all in the same unit."""
    best, found = reach, None
    for ref, start, end in edges:
        away = distance_to_segment(at, start, end)
        if away < best or (found is None and away <= reach):
            best, found = away, ref
    return found


def seam_letter(draft: Draft, seam: Seam) -> str:
    """The letter of a seam: A for the first of its bag, AA after Z."""
    index = draft.seams.index(seam)
    letters = ""
    while index >= 0:
        index, rest = divmod(index, len(ascii_uppercase))
        letters = ascii_uppercase[rest] + letters
        index -= 1
    return letters


def walked_seam(draft: Draft, edge: EdgeRef) -> WalkedSeam | None:
    """The seam that takes an edge, walked; None for an edge that is not sewn."""
    return next((walked for walked in draft.walked if edge in walked.seam.edges), None)


def sewn_edges(draft: Draft) -> tuple[EdgeRef, ...]:
    """Every sewn edge, seam by seam: the order in which the keyboard points at them."""
    return tuple(dict.fromkeys(edge for seam in draft.seams for edge in seam.edges))


def caption(result: Result, edge: EdgeRef, display: Display) -> Caption:
    """What to say of an edge, lengths in the reader's unit."""
    draft = result.draft
    walked = walked_seam(draft, edge)
    if walked is None:
        here = draft.edge(edge)
        detail = tr("not sewn, {length} long").format(length=_show(display, here.length))
        return Caption("", sentence_start(here.title.text(translate=translated)), detail)
    return Caption(
        seam_letter(draft, walked.seam),
        sentence_start(translated(walked.seam.label)),
        _lengths(draft, walked, display),
    )


def _lengths(draft: Draft, walked: WalkedSeam, display: Display) -> str:
    seam = walked.seam
    one = _chain(draft, seam, seam.one, display)
    if seam.other:
        other = _chain(draft, seam, seam.other, display)
        joined = tr("{one} to {other}").format(one=one, other=other)
        return f"{joined} – {_verdict(draft, walked, display)}"
    if seam.to_itself:
        half = _show(display, walked.length)
        return tr("{edges}; {half} on each side of the top fold").format(edges=one, half=half)
    return one


def _chain(draft: Draft, seam: Seam, chain: tuple[EdgeRef, ...], display: Display) -> str:
    """Each edge with its length, and their sum: corner front 3 in + corner back 3 in = 6 in."""
    parts = [
        f"{_beside(draft, seam, ref)} {_show(display, chain_length((ref,), draft.outlines))}"
        for ref in chain
    ]
    text = " + ".join(parts)
    if len(chain) > 1 and seam.other:
        text += f" = {_show(display, chain_length(chain, draft.outlines))}"
    return text


def _verdict(draft: Draft, walked: WalkedSeam, display: Display) -> str:
    if same_length(walked.length, walked.mate_length):
        return tr("equally long")
    difference = _show(display, abs(walked.difference))
    longer = walked.seam.one if walked.difference > 0 else walked.seam.other
    names = " + ".join(_beside(draft, walked.seam, ref) for ref in longer)
    return tr("{names} longer by {difference}").format(names=names, difference=difference)


def _beside(draft: Draft, seam: Seam, ref: EdgeRef) -> str:
    """What an edge is called beside its seam, which has told the side that both lie on."""
    edge = draft.edge(ref)
    same = edge.id.side is seam.id.side
    return translated(edge.label) if same else edge.title.text(translate=translated)


def _show(display: Display, length: float) -> str:
    """A length as it stands on the drawing, with its unit."""
    return with_fractions(display.length(length))


Margins = tuple[float, float, float, float]
"""Room for what is written around a piece: left, below, right, above."""


@dataclass(slots=True, eq=False, repr=False)
class Drawn:
    """A piece and what is drawn of it, mm, in its own frame.

    Two are the same only if they are one: a piece that did not change keeps its own.

    Attributes:
        short: what stands for its name where that has no room, no two alike.
        bounds: of its cut line.
        baste_line: its distance from the cut edge.
        records: every line of it but the basting: what is seen from afar has none.
        dimensions: the sizes written beside it.
        marks: its notches, and its clips.
    """

    piece: Piece
    short: str
    bounds: Bounds
    baste_line: float
    records: tuple[DrawingRecord, ...]
    dimensions: tuple[Dimension, ...]
    marks: SeamMarks

    @property
    def outline(self) -> tuple[Point, ...]:
        """What is cut of it, mm: the area that is drawn first."""
        area = self.records[0]
        if not isinstance(area, Polygon):
            raise TypeError(f"{self.piece.label} is drawn without its area first")
        return area.points


class PieceSheet(NamedTuple):
    """Pieces beside each other.

    Attributes:
        drawn: the pieces, in the order of the bag.
        places: piece -> where its own origin lies.
        bounds: around every piece and what is written beside it.
    """

    result: Result
    drawn: tuple[Drawn, ...]
    places: Mapping[PieceId, Point]
    bounds: Bounds

    def piece_bounds(self, drawn: Drawn) -> Bounds:
        left, bottom, right, top = drawn.bounds
        x, y = self.places[drawn.piece.id]
        return left + x, bottom + y, right + x, top + y

    def piece_at(self, at: Point) -> Drawn | None:
        for each in self.drawn:
            left, bottom, right, top = self.piece_bounds(each)
            if left <= at[0] <= right and bottom <= at[1] <= top:
                return each
        return None

    def edges(self) -> list[tuple[EdgeRef, Point, Point]]:
        """Every edge that has a length, with the ends of its cut line: an arc in short ones."""
        found = []
        for each in self.drawn:
            x, y = self.places[each.piece.id]
            found += [
                (EdgeRef(each.piece.id, edge.id), (x0 + x, y0 + y), (x1 + x, y1 + y))
                for edge in each.piece.edges
                if edge.length > 0.0
                for (x0, y0), (x1, y1) in pairwise(edge.line)
            ]
        return found


_NO_MARKS = SeamMarks((), ())


class Drawer:
    """Draws pieces and remembers them: a piece that did not change is not drawn again."""

    def __init__(self) -> None:
        self._kept: dict[PieceId, Drawn] = {}
        self._result: Result | None = None
        self._told: list[str] = []
        self._shorts: dict[str, str] = {}
        self._layers: tuple[str, ...] = ()

    def draw(self, result: Result) -> tuple[Drawn, ...]:
        """Every piece of a bag; the very same object for a piece that did not change."""
        layers = tuple(layer.role for layer in result.bag.sandwich.layers)
        if layers != self._layers:
            self._layers, self._kept = layers, {}
        pieces = result.draft.pieces
        told = [translated(piece.label) for piece in pieces]
        if result is self._result and told == self._told:
            return tuple(self._kept.values())
        if told != self._told:
            self._told, self._shorts = told, short_names(told)
        sizes = draft_dimensions(result.bag, result.draft)
        marks = seam_marks(result.draft).by_piece()
        self._kept = {
            piece.id: self._drawn(
                piece, self._shorts[name], result, sizes[piece.id], marks.get(piece.id, _NO_MARKS)
            )
            for piece, name in zip(pieces, told, strict=True)
        }
        self._result = result
        return tuple(self._kept.values())

    def _drawn(
        self,
        piece: Piece,
        short: str,
        result: Result,
        sizes: tuple[Dimension, ...],
        marks: SeamMarks,
    ) -> Drawn:
        baste = result.bag.sandwich.baste_line
        kept = self._kept.get(piece.id)
        if (
            kept is not None
            and (kept.piece, kept.short, kept.baste_line) == (piece, short, baste)
            and (kept.dimensions, kept.marks) == (sizes, marks)
        ):
            return kept
        options = DrawOptions(
            layers=self._layers,
            labels=False,
            notches=marks.notches,
            clips=marks.clips,
        )
        records = draw_piece(piece, result.draft.outlines[piece.id], options)
        return Drawn(piece, short, piece.bounds, baste, records, sizes, marks)


def slabs_of(drawn: Iterable[Drawn], margins: Mapping[PieceId, Margins]) -> list[Slab]:
    """What each piece takes with the room around it, mm, in its own frame."""
    found = []
    for each in drawn:
        (left, bottom, right, top), (a, b, c, d) = each.bounds, margins[each.piece.id]
        found.append(Slab((left - a, bottom - b, right + c, top + d)))
    return found


def lay_sheet(
    result: Result, drawn: tuple[Drawn, ...], slabs: list[Slab], *, gap: float, width: float
) -> PieceSheet:
    """Put the drawn pieces beside each other.

    Args:
        slabs: what each of them takes.
        gap: between two of those, mm.
        width: of the sheet, mm.
    """
    placed = lay_slabs(slabs, gap=gap, width=width)
    x, y = placed[0].dx, placed[0].dy
    places = [(each.dx - x, each.dy - y) for each in placed]
    by_piece = {each.piece.id: place for each, place in zip(drawn, places, strict=True)}
    return PieceSheet(result, drawn, by_piece, _around(slabs, places))


MANY = 6
"""More pieces than these are no longer one large one with others beside it."""


def sheet_widths(slabs: list[Slab], gap: float) -> list[float]:
    """Widths worth trying, mm: one column, the first piece beside each other one, one row.

    Of many pieces also two to four rows.
    """
    wide = [slab.size(False)[0] for slab in slabs]
    pairs = [wide[0] + gap + each for each in wide[1:]]
    row = math.fsum(wide) + gap * (len(wide) - 1)
    rows = (2, 3, 4) if len(slabs) > MANY else ()
    parts = [row / count + max(wide) / 2 for count in rows]
    return [max(wide), *(max(pair, *wide) for pair in (*pairs, *parts)), row]


def _around(slabs: list[Slab], places: list[Point]) -> Bounds:
    """The box around slabs whose origins lie at `places`."""
    lefts, bottoms, rights, tops = zip(
        *(
            (left + x, bottom + y, right + x, top + y)
            for ((left, bottom, right, top), _), (x, y) in zip(slabs, places, strict=True)
        ),
        strict=True,
    )
    return min(lefts), min(bottoms), max(rights), max(tops)
