"""The pattern as a PDF at true scale. The writer's library is loaded when first used.

The whole sheet is one form (ISO 32000-1, 8.10) that each page shows through its own
window, so the file carries the pattern once however many pages there are. Nothing is
fitted to the paper, and viewers are asked not to scale when they print.
"""

import io
import os
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

import shapely

from core.bag.compute import Result
from core.base.errors import Sentence
from core.base.sanitize import on_one_title
from core.drawing.layout import Placed, moved
from core.drawing.lettering import CAPITAL, LEADING, Box, Words, with_fractions, wrapped
from core.drawing.pattern import bag_text, draw_piece
from core.drawing.records import Anchor, Polygon, Record, Text, text_box
from core.flat.piece import Point
from core.output.key import diamond, key_records
from core.output.pages import EDGE, PagePlan, PrintOptions, draw_options, plan_pages
from core.output.pdf import (
    BOLD,
    LOOKS,
    POINTS,
    REGULAR,
    STROKED,
    path_code,
    pattern_fonts,
    pen,
    put_whole,
    text_matrix,
    thousandths,
)
from core.output.tiling import Tile, page_joins
from core.work.scene import Ink

_FORM = "pattern"
_JOIN_SIZE = 3.6

_PAGE_WORDS = 90.0
"""Length of the lines under a page's name, mm."""
_PAGE_NAME = 0.86
"""Grey of the page's name, which lies under the pattern: solid, since some viewers and
printers ignore transparency inside a form."""


def pdf_bytes(result: Result, options: PrintOptions) -> bytes:
    """The pattern of a bag as a PDF file; the same bytes for the same bag and options.

    Raises:
        ExportError, FieldError: as `plan_pages`.
    """
    plan = plan_pages(result, options)
    writer = _Writer(plan, result, options)
    return writer.write()


def export_pdf(result: Result, path: str | os.PathLike[str], options: PrintOptions) -> None:
    """Write the pattern to a file, whole or not at all.

    Raises:
        ExportError, FieldError: as `plan_pages`.
        ExportError: the file cannot be written there.
    """
    put_whole(Path(path), pdf_bytes(result, options))


class _Writer:
    def __init__(self, plan: PagePlan, result: Result, options: PrintOptions) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self._plan = plan
        self._result = result
        self._bag = result.bag
        self._options = options
        self._fonts = pattern_fonts()
        self._lacking: dict[str, None] = {}
        self._text_boxes: list[Box] = []
        self._file = io.BytesIO()
        # Packing the pages takes a fifth of the time and saves some 70 kB of 140.
        self._canvas = Canvas(self._file, invariant=1, pageCompression=0)

    def write(self) -> bytes:
        canvas, plan = self._canvas, self._plan
        canvas.setTitle(on_one_title(self._bag.name) or "Bag")
        canvas.setSubject("Sewing pattern at true scale")
        canvas.setAuthor("")
        canvas.setCreator("Cornerwright")
        canvas.setViewerPreference("PrintScaling", "None")
        pattern = self._legible(self._pattern())
        key = self._legible(self._key())
        if self._lacking:
            key += self._legible([self._lacking_note()])
        if plan.cover_size is not None:
            self._start_page(plan.cover_size)
            self._draw(key)
            canvas.showPage()
        else:
            pattern += key
        self._text_boxes = [
            text_box(each)
            for each in pattern
            if isinstance(each, Text) and each.ink is not Ink.PAGE_JOIN
        ]
        self._form(self._page_names(), pattern)
        for each in plan.tiling.tiles:
            self._page(each)
        canvas.save()
        return self._file.getvalue()

    # --- what is drawn ------------------------------------------------------------------

    def _pattern(self) -> list[Record]:
        """Page joins first, so that the pieces lie over them."""
        records: list[Record] = []
        for mark in page_joins(self._plan.tiling):
            x, y = mark.at
            records.append(Polygon(Ink.PAGE_JOIN, diamond(mark.at, _JOIN_SIZE)))
            beside = _JOIN_SIZE + 2.4
            at = (x + 0.45 * beside, y - beside) if mark.upright else (x + beside, y - 2.2)
            records.append(Text(Ink.PAGE_JOIN, at, str(mark.number), 2.0))
        draw = draw_options(self._result, self._options)
        for outline, place in zip(self._plan.outlines, self._plan.placed, strict=True):
            joins = tuple(self._joins(place))
            drawn = draw_piece(
                outline.piece,
                outline,
                show=self._options.show,
                options=replace(draw, joins=joins),
            )
            records += [moved(record, place) for record in drawn]
        return records

    def _joins(self, place: Placed) -> Iterator[tuple[Point, Point]]:
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

    def _key(self) -> list[Record]:
        plan = self._plan
        if plan.cover_size is not None:
            width, height = plan.cover_size
            edge = plan.margin + EDGE
            box = (edge, edge, width - edge, height - edge)
        else:
            box = plan.key_box or (0.0, 0.0, *plan.sheet_size)
        return key_records(self._bag, plan, self._options, box)

    # --- pages --------------------------------------------------------------------------

    def _start_page(self, size: tuple[float, float]) -> None:
        self._canvas.setPageSize((size[0] * POINTS, size[1] * POINTS))
        self._canvas.addLiteral(f"{POINTS:.12f} 0 0 {POINTS:.12f} 0 0 cm")

    def _form(self, names: list[Text], records: list[Record]) -> None:
        width, height = self._plan.sheet_size
        tiling = self._plan.tiling
        low = height - tiling.rows * tiling.height
        self._canvas.beginForm(_FORM, 0.0, low, max(width, tiling.columns * tiling.width), height)
        self._texts(names, _PAGE_NAME)
        self._draw(records)
        self._canvas.endForm()

    def _page(self, tile: Tile) -> None:
        """The pattern through the page's window, then the window's frame."""
        canvas, plan = self._canvas, self._plan
        self._start_page(plan.page_size)
        margin = thousandths(plan.margin)
        window = f"0 0 {thousandths(plan.tiling.width)} {thousandths(plan.tiling.height)} re"
        shift = f"1 0 0 1 {thousandths(-tile.x)} {thousandths(-tile.y)} cm"
        canvas.addLiteral(f"1 0 0 1 {margin} {margin} cm q {window} W n {shift}")
        canvas.doForm(_FORM)
        frame = f" {pen(Ink.FRAME)} {window} S" if len(plan.tiling.tiles) > 1 else ""
        canvas.addLiteral(f"Q{frame}")
        canvas.showPage()

    def _page_names(self) -> list[Text]:
        """Nothing on a sheet of one page: there is nothing to put together."""
        tiles = self._plan.tiling.tiles
        first = 2 if self._plan.cover_size else 1
        if len(tiles) == 1:
            return []
        return [
            text
            for number, each in enumerate(tiles, start=first)
            for text in self._page_name(each, number)
        ]

    def _page_name(self, tile: Tile, number: int) -> list[Text]:
        """Row and column, large and pale, under the pattern in the middle of the page.

        Part of the sheet like everything else: pages are nothing but windows on it.
        """
        words = {"page": str(number), "pages": str(self._plan.count)}
        said = Sentence("page {page} of {pages}", words=words).text(
            self._options.show, self._options.translate
        )
        x, y = self._free_middle(tile)
        x, y = tile.x + x, tile.y + y
        names = [Text(Ink.FRAME, (x, y), tile.label, 26.0, bold=True)]
        below = y - 20.0
        for line in (said, *self._shown_on(tile)):
            for row in wrapped(Words(with_fractions(line), 3.0), _PAGE_WORDS):
                names.append(Text(Ink.FRAME, (x, below), row.text, row.height))
                below -= LEADING * row.height
        return names

    def _shown_on(self, tile: Tile) -> tuple[str, str]:
        """The bag, and the pieces that a page shows: a loose page finds its pattern again."""
        tiling = self._plan.tiling
        page = shapely.box(tile.x, tile.y, tile.x + tiling.width, tile.y + tiling.height)
        show, translate = self._options.show, self._options.translate
        names = [
            translate(outline.piece.name)
            for outline, place in zip(self._plan.outlines, self._plan.placed, strict=True)
            if page.intersects(shapely.Polygon([place.point(p) for p in outline.piece.outline]))
        ]
        return bag_text(self._result).text(show, translate), ", ".join(names)

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

    # --- records ------------------------------------------------------------------------

    def _draw(self, records: Iterable[Record]) -> None:
        """Lines first, then all texts; operators are those of ISO 32000-1, table 51."""
        code = ["1 j"]
        ink: Ink | None = None
        texts: dict[float, list[Text]] = {}
        for record in records:
            if isinstance(record, Text):
                grey = LOOKS[Ink.PAGE_JOIN][2] if record.ink is Ink.PAGE_JOIN else 0.0
                texts.setdefault(grey, []).append(record)
                continue
            if isinstance(record, Polygon) and record.ink not in STROKED:
                continue
            if record.ink is not ink:
                ink = record.ink
                code.append(pen(ink))
            code.append(path_code(record))
        self._canvas.addLiteral("\n".join(code))
        for grey, same in texts.items():
            self._texts(same, grey)

    def _texts(self, texts: Iterable[Text], grey: float) -> None:
        """Texts of one grey, as operators: the library's own calls take four times as long."""
        document = self._canvas._doc
        code = [f"BT {grey:g} g"]
        for text in texts:
            face = self._fonts[BOLD if text.bold else REGULAR]
            code.append(text_matrix(text))
            # A face is embedded in subsets of 256 signs; a text may need several in turn.
            for subset, signs in face.splitString(text.text, document):
                name = face.getSubsetInternalName(subset, document)
                size = thousandths(text.height / CAPITAL)
                code.append(f"{name} {size} Tf ({self._canvas._escape(signs)}) Tj")
        self._canvas.addLiteral("\n".join([*code, "ET"]))

    # --- signs that the font lacks ------------------------------------------------------

    def _legible(self, records: list[Record]) -> list[Record]:
        """Every sign that the font lacks as a question mark, remembered for the note.

        A missing sign would otherwise be left out or drawn as a box, silently.
        """
        return [self._legible_text(each) if isinstance(each, Text) else each for each in records]

    def _legible_text(self, text: Text) -> Text:
        known = self._fonts[BOLD if text.bold else REGULAR].face.charToGlyph
        plain = on_one_title(text.text)
        lacking = [sign for sign in plain if ord(sign) not in known]
        if not lacking and plain == text.text:
            return text
        self._lacking |= dict.fromkeys(lacking)
        plain = "".join(sign if ord(sign) in known else "?" for sign in plain)
        return Text(
            text.ink, text.at, plain, text.height, text.angle, text.anchor, text.bold, text.piece
        )

    def _lacking_note(self) -> Record:
        codes = ", ".join(f"U+{ord(sign):04X}" for sign in list(self._lacking)[:12])
        sentence = Sentence(
            "Characters that the pattern's font lacks are printed as “?”: {codes}.",
            words={"codes": codes},
        )
        said = with_fractions(sentence.text(self._options.show, self._options.translate))
        edge = self._plan.margin + EDGE
        at = (edge, edge) if self._plan.cover_size else (EDGE, EDGE / 2)
        return Text(Ink.LABEL, at, said, 2.0, anchor=Anchor.START)
