"""Printing: the pattern as a PDF at true scale, and the key to it. Lengths are mm.

The whole sheet is one form (ISO 32000-1, 8.10) that each page shows through its own window, so
the file carries the pattern once however many pages there are. Nothing is fitted to the paper,
and viewers are asked not to scale when they print. The writer's library is loaded when first used.
The key (title, test squares, list of pieces, legend, page map) fills the first page, or a place of
its own on a sheet that is printed in one; everything in it is at true size except the map.
"""

from collections.abc import Iterator, Set
from itertools import chain

import numpy as np
import shapely

from core.bag.bag import Bag, cut_value
from core.bag.compute import Result
from core.bag.tables import CUT_FIGURES
from core.base.sentences import Last, Listing, Template, joined, mark, plural
from core.base.units import NEAR
from core.drawing.layout import PiecePlace, moved
from core.drawing.lettering import LEADING, Wording, Words, wrapped
from core.drawing.pattern import bag_text, cutting_text, draw_piece
from core.drawing.records import Anchor, DrawingRecord, Line, Polygon, Text, text_box
from core.flat.geometry import Bounds
from core.flat.ink import Ink
from core.flat.piece import Point
from core.model.figures import Quantity
from core.output.page_flow import BODY, HEAD, TITLE, TextColumn
from core.output.pages import EDGE, PagePlan, draw_options, plan_pages
from core.output.pdf import PdfWriter
from core.output.print_options import PrintOptions
from core.output.tiling import Tile, page_joins

INCHES_SQUARE = 50.8
"""Side of the 2 in test square."""
CENTIMETRES_SQUARE = 50.0
"""Side of the 5 cm test square."""
_LINE = 4.7
_LEAST_MAP = 30.0
"""Where a long list of pieces leaves less than this, there is no map: it could not be read."""
_LEGEND: tuple[tuple[Ink, Template], ...] = (
    (Ink.CUT, mark("cut line")),
    (Ink.STITCH, mark("stitch line")),
    (Ink.BASTE, mark("basting line")),
    (Ink.FOLD, mark("fold")),
    (Ink.PLACEMENT, mark("placement line")),
    (Ink.NOTCH, mark("notch, halfway mark")),
    (Ink.CLIP, mark("clip into the allowance")),
    (Ink.TRIM, mark("trimmed to after sewing")),
    (Ink.GRAIN, mark("lengthwise grain")),
    (Ink.PAGE_JOIN, mark("match mark at a page join")),
)
_UPRIGHT = plural(
    "Sewing pattern at true scale · 1 page on {paper} · seam allowances included",
    "Sewing pattern at true scale · {count} pages on {paper} · seam allowances included",
)
_SIDEWAYS = plural(
    "Sewing pattern at true scale · 1 page on {paper}, landscape · seam allowances included",
    "Sewing pattern at true scale · {count} pages on {paper}, landscape · seam allowances included",
)


def key_records(
    bag: Bag, plan: PagePlan, wording: Wording, box: Bounds, drawn: Set[Ink]
) -> list[DrawingRecord]:
    """The key within a box, mm; it explains those inks of lines that are drawn."""
    left, bottom, right, top = box
    pen = TextColumn([], left, right, top)
    _title(pen, bag, plan, wording)
    _squares(pen, wording)
    middle = left + 0.56 * (right - left)
    pieces, legend = pen.beside(left, middle - 6.0), pen.beside(middle, right)
    _pieces(pieces, bag, plan, wording)
    _legend(legend, drawn, wording)
    if any(NEAR in wording.show(each) for each in _lengths(bag, plan)):
        legend.skip(1.5)
        legend.text(wording.say("≈ length between two marks of the ruler"), BODY)
    if len(plan.tiling.tiles) > 1:
        lowest = min(pieces.y, legend.y) - 5.0
        _assembly(TextColumn(pen.records, left, right, lowest), plan, wording, bottom)
    return pen.records


def _title(pen: TextColumn, bag: Bag, plan: PagePlan, wording: Wording) -> None:
    say = wording.say
    pen.text(bag.name or say("Bag"), TITLE, bold=True)
    pen.skip(1.0)
    size = _SIDEWAYS if plan.landscape else _UPRIGHT
    told = say(size, numbers={"count": plan.count}, words={"paper": plan.paper.name})
    pen.text(told, HEAD)
    pen.skip(3.0)
    pen.rule()
    pen.skip(4.0)


def _squares(pen: TextColumn, wording: Wording) -> None:
    """Two squares to hold a ruler against, and what to do with them."""
    say = wording.say
    x, y = pen.left, pen.y
    for side, text in ((INCHES_SQUARE, "2 in"), (CENTIMETRES_SQUARE, "5 cm")):
        low = y - side
        corners = ((x, low), (x + side, low), (x + side, y), (x, y))
        pen.records.append(Polygon(Ink.TEST, corners))
        pen.records.append(
            Text(Ink.LABEL, (x + side / 2, y - side / 2 + 2.5), text, 4.4, bold=True)
        )
        pen.records.append(
            Text(Ink.LABEL, (x + side / 2, y - side / 2 - 4.5), say("test square"), BODY)
        )
        x += side + 6.0
    words = pen.beside(x + 2.0, pen.right)
    words.text(say("Print at 100 %,"), 4.0, bold=True)
    words.text(say("no fit to page"), 4.0, bold=True)
    words.skip(2.5)
    words.text(
        say(
            "Then measure both squares with the ruler that you use for cutting. If a side "
            "is off, choose “actual size” in the printer's settings and print this page "
            "again."
        ),
        BODY,
    )
    pen.skip(INCHES_SQUARE + 7.0)


def _pieces(pen: TextColumn, bag: Bag, plan: PagePlan, wording: Wording) -> None:
    say = wording.say
    pen.text(say("Pieces"), HEAD, bold=True)
    pen.skip(1.5)
    layers = tuple(layer.role for layer in bag.sandwich.layers)
    for outline in plan.outlines:
        piece = outline.piece
        size = say(
            "{name}  {width} × {height}",
            width=piece.width,
            height=piece.height,
            terms={"name": piece.label},
        )
        pen.text(size, BODY, bold=True)
        pen.text(say(cutting_text(piece, layers)), BODY, indent=3.0)
        pen.skip(1.0)


def _lengths(bag: Bag, plan: PagePlan) -> Iterator[float]:
    """What the pattern tells: sizes of the pieces and figures that they are cut by, mm."""
    for outline in plan.outlines:
        yield from (outline.piece.width, outline.piece.height)
    for figure in CUT_FIGURES:
        value = cut_value(bag, figure.name)
        if figure.quantity is Quantity.LENGTH and value is not None:
            yield value


def _legend(pen: TextColumn, drawn: Set[Ink], wording: Wording) -> None:
    say = wording.say
    pen.text(say("Lines"), HEAD, bold=True)
    pen.skip(1.5)
    for ink, text in _LEGEND:
        if ink not in drawn:
            continue
        pen.y -= _LINE
        y = pen.y + 0.5 * BODY
        pen.records += _sample(ink, pen.left, pen.left + 22.0, y)
        pen.records.append(
            Text(Ink.LABEL, (pen.left + 26.0, y), say(text), BODY, anchor=Anchor.START)
        )


def _sample(ink: Ink, left: float, right: float, y: float) -> list[DrawingRecord]:
    middle = (left + right) / 2
    if ink is Ink.PAGE_JOIN:
        return [Polygon(ink, diamond((middle, y), 1.8))]
    if ink is Ink.GRAIN:
        barbs = [
            Line(ink, ((x + s * 3.0, y + 1.2), (x, y), (x + s * 3.0, y - 1.2)))
            for x, s in ((left, 1.0), (right, -1.0))
        ]
        return [Line(ink, ((left, y), (right, y))), *barbs]
    return [Line(ink, ((left, y), (right, y)))]


def diamond(middle: Point, size: float) -> tuple[Point, ...]:
    """Corners of a square that stands on its tip, `size` from middle to tip, mm."""
    x, y = middle
    return ((x, y - size), (x + size, y), (x, y + size), (x - size, y))


def _assembly(pen: TextColumn, plan: PagePlan, wording: Wording, bottom: float) -> None:
    """How to put the pages together, and a small map of them all."""
    say = wording.say
    pen.text(say("Putting the pages together"), HEAD, bold=True)
    pen.skip(0.5)
    pen.text(
        say(
            "Trim the left and the upper edge of each page along its frame, except at the "
            "outer edge of the map. Lay it over the neighbouring page so that the halves "
            "of each numbered diamond meet, and tape them together. Pages overlap by "
            "{overlap}.",
            overlap=plan.tiling.overlap,
        ),
        BODY,
    )
    pen.skip(4.0)
    if pen.y - bottom >= _LEAST_MAP:
        pen.records += page_map(plan, (pen.left, bottom, pen.right, pen.y))


def page_map(plan: PagePlan, box: Bounds) -> list[DrawingRecord]:
    """The pages with their labels and the outlines of the pieces, fitted into a box."""
    tiling = plan.tiling
    left, bottom, right, top = box
    step = (tiling.width - tiling.overlap, tiling.height - tiling.overlap)
    width = tiling.width + (tiling.columns - 1) * step[0]
    height = tiling.height + (tiling.rows - 1) * step[1]
    scale = min((right - left) / width, (top - bottom) / height)
    shift = ((left + right - scale * width) / 2, top - scale * plan.sheet_size[1])

    def small(point: Point) -> Point:
        return shift[0] + scale * point[0], shift[1] + scale * point[1]

    records: list[DrawingRecord] = []
    for outline, place in zip(plan.outlines, plan.placed, strict=True):
        points = tuple(small(place.point(point)) for point in outline.piece.cut_outline)
        records.append(Polygon(Ink.MAP, points))
    for each in tiling.tiles:
        # Neighbours are drawn edge to edge, as they look when taped.
        x1 = each.x + (step[0] if each.column < tiling.columns - 1 else tiling.width)
        y0 = each.y + (tiling.overlap if each.row < tiling.rows - 1 else 0.0)
        y1 = each.y + tiling.height
        corners = ((each.x, y0), (x1, y0), (x1, y1), (each.x, y1))
        ring = tuple(small(corner) for corner in corners)
        records.append(Line(Ink.MAP, (*ring, ring[0])))
        middle = small((each.x + step[0] / 2, each.y + tiling.height - step[1] / 2))
        size = min(4.0, 0.3 * scale * min(step))
        records.append(Text(Ink.MAP, middle, each.label, size, bold=True))
    return records


_FORM = "pattern"
_JOIN_SIZE = 3.6

_PAGE_WORDS = 90.0
"""Length of the lines under a page's name, mm."""
_PAGE_NAME = 0.86
"""Grey of the page's name, which lies under the pattern."""


def pdf_bytes(result: Result, options: PrintOptions) -> bytes:
    """The pattern of a bag as a PDF file; the same bytes for the same bag and options.

    Errors are those of `plan_pages`.
    """
    plan = plan_pages(result, options)
    return _Pattern(plan, result, options).write()


class _Pattern:
    def __init__(self, plan: PagePlan, result: Result, options: PrintOptions) -> None:
        self._plan = plan
        self._result = result
        self._options = options
        self._text_boxes: list[Bounds] = []
        title = result.bag.name
        subject = options.wording.say("Sewing pattern at true scale")
        self._file = PdfWriter(title=title, subject=subject, true_scale=True, packed=False)

    def write(self) -> bytes:
        file, plan, tiling = self._file, self._plan, self._plan.tiling
        drawn = self._drawn()
        pattern = file.legible(drawn)
        key = file.legible(self._key({each.ink for each in drawn}))
        if file.lacking:
            key += file.legible([self._lacking_note()])
        if plan.cover_size is not None:
            file.page(plan.cover_size, key)
        else:
            pattern += key
        self._text_boxes = [
            text_box(each)
            for each in pattern
            if isinstance(each, Text) and each.ink is not Ink.PAGE_JOIN
        ]
        width, height = plan.sheet_size
        low = height - tiling.rows * tiling.height
        bounds = (0.0, low, max(width, tiling.columns * tiling.width), height)
        file.form(_FORM, bounds, pattern, below=self._page_names(), grey=_PAGE_NAME)
        margin = plan.margin
        opening = (margin, margin, margin + tiling.width, margin + tiling.height)
        framed = len(tiling.tiles) > 1
        for each in tiling.tiles:
            file.window(plan.page_size, opening, (each.x, each.y), _FORM, framed=framed)
        return file.finished()

    # --- what is drawn ------------------------------------------------------------------

    def _drawn(self) -> list[DrawingRecord]:
        """Page joins first, so that the pieces lie over them."""
        records: list[DrawingRecord] = []
        for join in page_joins(self._plan.tiling):
            x, y = join.at
            records.append(Polygon(Ink.PAGE_JOIN, diamond(join.at, _JOIN_SIZE)))
            beside = _JOIN_SIZE + 2.4
            at = (x + 0.45 * beside, y - beside) if join.upright else (x + beside, y - 2.2)
            records.append(Text(Ink.PAGE_JOIN, at, str(join.number), 2.0))
        draw = draw_options(self._result, self._options)
        for outline, place in zip(self._plan.outlines, self._plan.placed, strict=True):
            joins = tuple(self._joins(place))
            drawn = draw_piece(outline.piece, outline, draw._replace(joins=joins))
            records += [moved(record, place) for record in drawn]
        return records

    def _joins(self, place: PiecePlace) -> Iterator[tuple[Point, Point]]:
        """Where pages meet, in the frame of a piece: what keeps off is whole on some page."""
        tiling = self._plan.tiling
        width, height = self._plan.sheet_size
        across = {each.x for each in tiling.tiles if each.column}
        up = {each.y + tiling.height for each in tiling.tiles if each.row}
        for x in sorted(across):
            middle = x + tiling.overlap / 2
            yield place.back((middle, -height)), place.back((middle, 2 * height))
        for y in sorted(up):
            middle = y - tiling.overlap / 2
            yield place.back((-width, middle)), place.back((2 * width, middle))

    def _key(self, drawn: Set[Ink]) -> list[DrawingRecord]:
        plan = self._plan
        if plan.cover_size is not None:
            width, height = plan.cover_size
            edge = plan.margin + EDGE
            box = (edge, edge, width - edge, height - edge)
        else:
            box = plan.key_box or (0.0, 0.0, *plan.sheet_size)
        return key_records(self._result.bag, plan, self._options.wording, box, drawn)

    # --- pages --------------------------------------------------------------------------

    def _page_names(self) -> list[Text]:
        """Nothing on a sheet of one page: there is nothing to put together."""
        tiles, say = self._plan.tiling.tiles, self._options.wording.say
        first = 2 if self._plan.cover_size else 1
        if len(tiles) == 1:
            return []
        bag = wrapped(Words(say(bag_text(self._result)), 3.0), _PAGE_WORDS)
        return [
            text
            for number, (each, pieces) in enumerate(self._shown(), start=first)
            for text in self._page_name(each, number, bag, say(joined(pieces)) if pieces else "")
        ]

    def _page_name(self, tile: Tile, number: int, bag: list[Words], pieces: str) -> list[Text]:
        """Row and column, large and pale, under the pattern in the middle of the page.

        Part of the sheet like everything else: pages are nothing but windows on it. Under them
        stand bag and pieces: a loose page finds its pattern again. A page may show the key alone.
        """
        numbers = {"page": number, "pages": self._plan.count}
        said = self._options.wording.say("page {page} of {pages}", numbers=numbers)
        x, y = self._free_middle(tile)
        x, y = tile.x + x, tile.y + y
        names = [Text(Ink.FRAME, (x, y), tile.label, 26.0, bold=True)]
        below = y - 20.0
        first, *rest = (wrapped(Words(line, 3.0), _PAGE_WORDS) for line in (said, pieces) if line)
        for row in chain(first, bag, *rest):
            names.append(Text(Ink.FRAME, (x, below), row.text, row.height))
            below -= LEADING * row.height
        return names

    def _shown(self) -> Iterator[tuple[Tile, list[Template]]]:
        """Each page with the names of the pieces that it shows."""
        plan, tiling = self._plan, self._plan.tiling
        labels = [outline.piece.label for outline in plan.outlines]
        low = np.array([(each.x, each.y) for each in tiling.tiles])
        high = low + np.array((tiling.width, tiling.height))
        hits = shapely.intersects(shapely.box(*low.T, *high.T)[:, None], plan.areas)
        for tile, row in zip(tiling.tiles, hits.tolist(), strict=True):
            yield tile, [label for label, hit in zip(labels, row, strict=True) if hit]

    def _free_middle(self, tile: Tile) -> tuple[float, float]:
        """The middle of the page, or the nearest place that no text of the pattern crosses."""
        width, height = self._plan.tiling.width, self._plan.tiling.height
        tries = [
            (share_x * width, share_y * height)
            for share_y in (0.5, 0.3, 0.7, 0.14, 0.86)
            for share_x in (0.5, 0.25, 0.75)
        ]
        free = (spot for spot in tries if not self._crossed(tile.x + spot[0], tile.y + spot[1]))
        return next(free, tries[0])

    def _crossed(self, x: float, y: float) -> bool:
        half_width, up, down = 0.5 * _PAGE_WORDS, 15.0, 40.0
        return any(
            box[0] < x + half_width
            and box[2] > x - half_width
            and box[1] < y + up
            and box[3] > y - down
            for box in self._text_boxes
        )

    def _lacking_note(self) -> DrawingRecord:
        codes = [f"U+{ord(sign):04X}" for sign in list(self._file.lacking)[:12]]
        said = self._options.wording.say(
            "Characters that the pattern's font lacks are printed as “?”: {codes}.",
            words={"codes": Listing(codes, Last.COMMA)},
        )
        edge = self._plan.margin + EDGE
        at = (edge, edge) if self._plan.cover_size else (EDGE, EDGE / 2)
        return Text(Ink.LABEL, at, said, 2.0, anchor=Anchor.START)
