"""Printing: the pattern as a PDF at true scale, and the key to it. Lengths are mm.

The whole sheet is one form (ISO 32000-1, 8.10) that each page shows through its own window, so
the file carries the pattern once however many pages there are. Nothing is fitted to the paper,
and viewers are asked not to scale when they print. The writer's library is loaded when first used.
The key (`pattern_key.py`) fills the first page, its map a second one where it has no room there, or
it has a place of its own on a sheet that is printed in one.
"""

from collections.abc import Iterator, Set
from itertools import chain

import numpy as np
import shapely

from core.bag.compute import Result
from core.base.sentences import Last, Listing, Template, joined
from core.drawing.layout import PiecePlace, moved
from core.drawing.lettering import LEADING, Words, wrapped
from core.drawing.pattern import bag_text, draw_piece
from core.drawing.records import Anchor, DrawingRecord, Polygon, Text, text_box
from core.flat.geometry import Bounds
from core.flat.ink import Ink
from core.flat.piece import Point
from core.output.pages import EDGE, PagePlan, draw_options, plan_pages
from core.output.pattern_key import diamond, key_records, map_page_records
from core.output.pdf import PdfWriter
from core.output.print_options import PrintOptions
from core.output.tiling import Tile, page_joins

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
            if plan.map_page:
                told = map_page_records(plan, self._options.wording, plan.key_place)
                file.page(plan.cover_size, file.legible(told))
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
        plan, wording = self._plan, self._options.wording
        return key_records(self._result.bag, plan, wording, plan.key_place, drawn)

    # --- pages --------------------------------------------------------------------------

    def _page_names(self) -> list[Text]:
        """Nothing on a sheet of one page: there is nothing to put together."""
        tiles, say = self._plan.tiling.tiles, self._options.wording.say
        first = 1 + self._plan.covers
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
