"""The booklet as a PDF. The writer's library is loaded when first used.

Steps are never torn apart, headings stay with what follows, and each page says which of how
many it is.
"""

import io
from collections.abc import Iterator
from typing import Any
from xml.sax.saxutils import escape

from core.base.errors import ExportError
from core.base.sentences import say
from core.drawing.lettering import CAPITAL, legible, set_fractions, shortened
from core.drawing.sketch import Picture
from core.output.booklet.blocks import (
    Block,
    Booklet,
    Bullets,
    Caution,
    Gallery,
    Heading,
    Paragraph,
    StepCard,
    Table,
)
from core.output.booklet.pdf_steps import LEAST_SCALE, drawing, steps_flowable
from core.output.papers import Paper
from core.output.pdf import BOLD, POINTS, REGULAR, pattern_fonts

MARGIN = 16.0
_FOOT = 9.0
_BETWEEN = 4.0
"""Between pictures side by side, mm."""
_CAPTION = 34.0
_CARD_PICTURE = 82.0
"""Width of a card's column for its picture, mm."""
_HEADED = 30.0
"""A heading stands only where so much room is left below it, mm."""


def booklet_pdf(booklet: Booklet, paper: Paper) -> bytes:
    """The booklet as a PDF file; the same bytes for the same booklet and paper.

    An ExportError refuses a roll.
    """
    if paper.height is None:
        name = {"name": paper.name}
        raise ExportError(
            say("A booklet needs sheets such as A4 or Letter, not {name}.", words=name)
        )
    return _Pages(booklet, paper).write()


class _Pages:
    def __init__(self, booklet: Booklet, paper: Paper) -> None:
        from reportlab.lib import colors
        from reportlab.lib.styles import ParagraphStyle
        from reportlab.platypus import Paragraph as Para

        self._booklet, self._paper = booklet, paper
        fonts = pattern_fonts()
        self._known = fonts[REGULAR].face.charToGlyph
        self._colors, self._para = colors, Para
        self._room = (paper.width - 2 * MARGIN) * POINTS
        self._page_height = ((paper.height or 0.0) - 2 * MARGIN - _FOOT) * POINTS
        plain = ParagraphStyle("plain", fontName=REGULAR, fontSize=9.2, leading=12.4)
        bold = ParagraphStyle("bold", parent=plain, fontName=BOLD)
        self._styles = {
            "plain": plain,
            "text": ParagraphStyle("text", parent=plain, spaceAfter=5),
            "do": ParagraphStyle("do", parent=plain, spaceAfter=3),
            "small": ParagraphStyle("small", parent=plain, fontSize=8, leading=10.4, spaceAfter=1),
            "cell": ParagraphStyle("cell", parent=plain, fontSize=8.4, leading=10.8),
            "head": ParagraphStyle("head", parent=bold, fontSize=8.4, leading=10.8),
            "heading": ParagraphStyle(
                "heading", parent=bold, fontSize=14, leading=18, spaceBefore=10, spaceAfter=5,
                keepWithNext=1,
            ),
            "lead": ParagraphStyle("lead", parent=bold, fontSize=14, leading=18, spaceAfter=5),
            "title": ParagraphStyle("title", parent=bold, fontSize=26, leading=31, spaceAfter=6),
            "subtitle": ParagraphStyle("subtitle", parent=plain, fontSize=12, leading=16),
            "warning": ParagraphStyle("warning", parent=bold, fontSize=14, leading=20),
            "warned": ParagraphStyle("warned", parent=plain, fontSize=11, leading=15),
            "step": ParagraphStyle("step", parent=bold, fontSize=11, leading=14),
            "change": ParagraphStyle("change", parent=bold, textColor=colors.white, leading=12),
        }  # fmt: skip

    def write(self) -> bytes:
        from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

        file = io.BytesIO()
        size = (self._paper.width * POINTS, (self._paper.height or 0.0) * POINTS)
        foot = (MARGIN + _FOOT) * POINTS
        edge = MARGIN * POINTS
        document = BaseDocTemplate(
            file, pagesize=size, title=self._legible(self._booklet.title), author="", invariant=1,
            subject=self._legible(self._booklet.words["subject"]), creator="Cornerwright",
        )  # fmt: skip
        frame = Frame(
            edge, foot, self._room, self._page_height, leftPadding=0,
            rightPadding=0, topPadding=0, bottomPadding=0,
        )  # fmt: skip
        document.addPageTemplates([PageTemplate(id="page", frames=[frame])])
        document.build(list(self._story()), canvasmaker=self._numbered())
        return file.getvalue()

    def _numbered(self) -> Any:
        """A canvas that learns how many pages there are before it writes the first foot."""
        from reportlab.pdfgen.canvas import Canvas

        pages = self

        class Numbered(Canvas):  # type: ignore[misc]  # the library has no types
            def __init__(self, *args: Any, **options: Any) -> None:
                super().__init__(*args, **options)
                self._kept: list[dict[str, Any]] = []

            def showPage(self) -> None:  # noqa: N802  # the library's name
                self._kept.append(dict(self.__dict__))
                self._startPage()

            def save(self) -> None:
                total = len(self._kept)
                for number, page in enumerate(self._kept, start=1):
                    self.__dict__.update(page)
                    pages._foot(self, number, total)
                    Canvas.showPage(self)
                Canvas.save(self)

        return Numbered

    def _foot(self, canvas: Any, number: int, total: int) -> None:
        width = self._paper.width * POINTS
        y = MARGIN * POINTS * 0.62
        canvas.setFont(REGULAR, 8)
        canvas.setFillGray(0.25)
        words = self._booklet.words["page"].format(page=number, pages=total)
        canvas.drawRightString(width - MARGIN * POINTS, y, words)
        title = self._legible(self._booklet.title)
        room = 0.8 * (width - 2 * MARGIN * POINTS)
        canvas.drawString(MARGIN * POINTS, y, shortened(title, 8 * CAPITAL, room))

    # --- the story --------------------------------------------------------------------------

    def _story(self) -> Iterator[Any]:
        from reportlab.platypus import CondPageBreak, PageBreak

        yield from self._cover()
        yield PageBreak()
        blocks = list(self._booklet.blocks)
        place = 0
        while place < len(blocks):
            block = blocks[place]
            cards = _cards_after(blocks, place)
            if cards:
                heading = block.text if isinstance(block, Heading) else ""
                yield self._steps(heading, cards)
                place += len(cards) + (1 if heading else 0)
                continue
            shown = _gallery_under(blocks, place)
            if shown:
                yield from self._together(shown)
                place += len(shown)
                continue
            if isinstance(block, Heading):
                yield CondPageBreak(_HEADED * POINTS)
            yield from self._flowables(block)
            place += 1

    def _together(self, blocks: list[Block]) -> Iterator[Any]:
        """A heading and its words on the page of the first row of drawings under them."""
        from reportlab.platypus import KeepTogether

        *words, gallery = blocks
        lead = [each for block in words for each in self._flowables(block)]
        if isinstance(gallery, Gallery):
            for row in self._drawings(gallery):
                yield KeepTogether([*lead, *row])  # one within another is never taken to fit
                lead = []

    def _steps(self, heading: str, cards: list[StepCard]) -> Any:
        lead = [self._text(heading, "lead")] if heading else []
        return steps_flowable(lead, cards, self._card, page_height=self._page_height)

    def _cover(self) -> Iterator[Any]:
        from reportlab.platypus import Spacer

        book = self._booklet
        yield Spacer(1, 14 * POINTS)
        yield self._text(book.title, "title")
        yield self._text(book.subtitle, "subtitle")
        if book.warning is not None:
            yield Spacer(1, 8 * POINTS)
            yield self._caution(book.warning, title="warning", item="warned")
        yield Spacer(1, 12 * POINTS)
        yield drawing(book.cover, self._known, align="CENTER")
        yield Spacer(1, 12 * POINTS)
        yield self._table(book.facts, (0.35, 0.65), headed=False)

    def _flowables(self, block: Block) -> Iterator[Any]:
        from reportlab.platypus import Spacer

        if isinstance(block, Heading):
            yield self._text(block.text, "heading")
        elif isinstance(block, Paragraph):
            yield self._text(block.text, "text")
        elif isinstance(block, Bullets):
            for item in block.items:
                yield self._bullet(item, "text")
        elif isinstance(block, Caution):
            yield self._caution(block)
            yield Spacer(1, 8)
        elif isinstance(block, Table):
            yield self._table(block.rows, block.shares)
            yield Spacer(1, 8)
        elif isinstance(block, Gallery):
            yield from self._together([block])

    def _drawings(self, block: Gallery) -> Iterator[list[Any]]:
        """Row by row."""
        from reportlab.platypus import Spacer
        from reportlab.platypus import Table as Grid

        for row in _rows(block.pictures, self._room / POINTS):
            cells = [
                [drawing(picture, self._known, align="LEFT"), self._text(told, "cell")]
                for picture, told in row
            ]
            widths = [_cell_width(picture) * POINTS for picture, _ in row]
            grid = Grid([cells], colWidths=widths, hAlign="LEFT", splitInRow=1)
            whole = (0, 0), (-1, -1)
            grid.setStyle([("VALIGN", *whole, "BOTTOM"), ("LEFTPADDING", *whole, 0)])
            yield [grid, Spacer(1, 6)]

    def _text(self, text: str, style: str) -> Any:
        return self._para(self._markup(text), self._styles[style])

    def _bullet(self, text: str, style: str) -> Any:
        from reportlab.lib.styles import ParagraphStyle

        base = self._styles[style]
        hung = ParagraphStyle(f"{style} item", parent=base, leftIndent=11, bulletIndent=1)
        return self._para(self._markup(text), hung, bulletText="•")

    def _markup(self, text: str) -> str:
        """Text as the library's markup: nothing in it is taken for a tag."""
        return escape(self._legible(set_fractions(text)))

    def _legible(self, text: str) -> str:
        return legible(text, self._known)

    def _table(
        self, rows: tuple[tuple[str, ...], ...], shares: tuple[float, ...], *, headed: bool = True
    ) -> Any:
        from reportlab.platypus import Table as Grid

        cells = [
            [self._text(cell, "head" if headed and number == 0 else "cell") for cell in row]
            for number, row in enumerate(rows)
        ]
        widths = [share * self._room for share in shares]
        grid = Grid(cells, colWidths=widths, repeatRows=headed, splitInRow=1)
        grey = self._colors.Color(0.6, 0.6, 0.6)
        grid.setStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LINEBELOW", (0, 0), (-1, -1), 0.4, grey),
                ("LINEBELOW", (0, 0), (-1, 0), 0.9 if headed else 0.4, self._colors.black),
                ("LEFTPADDING", (0, 0), (-1, -1), 2),
                ("RIGHTPADDING", (0, 0), (-1, -1), 6),
                ("TOPPADDING", (0, 0), (-1, -1), 3),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
            ]
        )
        return grid

    def _caution(self, block: Caution, *, title: str = "head", item: str = "cell") -> Any:
        from reportlab.platypus import KeepTogether
        from reportlab.platypus import Table as Grid

        inside = [self._text(block.title, title)]
        inside += [self._bullet(told, item) for told in block.items]
        grid = Grid([[inside]], colWidths=[self._room], splitInRow=1)
        grid.setStyle(
            [
                ("BOX", (0, 0), (-1, -1), 1.2, self._colors.black),
                ("TOPPADDING", (0, 0), (-1, -1), 5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
            ]
        )
        return KeepTogether([grid])

    def _card(self, card: StepCard, scale: float) -> Any:
        """Head, what to change, then what to do beside the picture, or above a wide one."""
        from reportlab.platypus import Table as Grid

        picture = card.picture
        beside = picture.width * LEAST_SCALE <= _CARD_PICTURE
        most = _CARD_PICTURE if beside else self._room / POINTS
        scale = min(scale, most / picture.width)
        column = (max(picture.width * scale, 46.0) + 4.0) * POINTS if beside else 0.0
        words = [self._text(line, "do") for line in card.do]
        words += [self._fact(label, text) for label, text in card.facts]
        if card.caution:
            words.append(self._fact(self._booklet.words["caution"], card.caution, mark="⚠ "))
        title = self._text(f"□  {card.number}   {card.title}", "step")
        drawn = drawing(picture, self._known, align="RIGHT" if beside else "CENTER", scale=scale)
        rows: list[list[Any]] = [[title, ""]]
        style: list[Any] = [
            ("SPAN", (0, 0), (-1, 0)),
            ("LINEABOVE", (0, 0), (-1, 0), 0.9, self._colors.black),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 4),
            ("TOPPADDING", (0, 0), (-1, -1), 3),
        ]
        if card.change:
            style.append(("SPAN", (0, len(rows)), (-1, len(rows))))
            rows.append([self._change(card), ""])
        if beside:
            rows.append([words, drawn])
        else:
            style.append(("SPAN", (0, len(rows)), (-1, len(rows))))
            rows.append([[*words, drawn], ""])
        grid = Grid(rows, colWidths=[self._room - column, column], splitInRow=1)
        grid.setStyle(style)
        return grid

    def _fact(self, label: str, text: str, *, mark: str = "") -> Any:
        markup = f'<font name="{BOLD}">{mark}{self._markup(label)}:</font> {self._markup(text)}'
        return self._para(markup, self._styles["small"])

    def _change(self, card: StepCard) -> Any:
        """White on black: it must not be missed."""
        from reportlab.platypus import Table as Grid

        words = self._booklet.words
        told = f"{words['change']}:  {'  '.join(card.change)}"
        rows = [[self._text(told, "change")]]
        if card.without:
            rows.append([self._fact(words["without"], card.without)])
        grid = Grid(rows, colWidths=[self._room - 8])
        grid.setStyle(
            [
                ("BACKGROUND", (0, 0), (-1, 0), self._colors.Color(0.12, 0.12, 0.12)),
                ("BOX", (0, 0), (-1, -1), 0.9, self._colors.Color(0.12, 0.12, 0.12)),
                ("TOPPADDING", (0, 0), (-1, -1), 3),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
            ]
        )
        return grid


def _gallery_under(blocks: list[Block], place: int) -> list[Block]:
    """The heading that stands here, its words and the drawings under them; none without all."""
    end = place + isinstance(blocks[place], Heading)
    while end > place and end < len(blocks) and isinstance(blocks[end], Paragraph):
        end += 1
    shown = end > place and end < len(blocks) and isinstance(blocks[end], Gallery)
    return blocks[place : end + 1] if shown else []


def _cards_after(blocks: list[Block], place: int) -> list[StepCard]:
    """The steps that begin here, or right after the heading that stands here."""
    start = place + isinstance(blocks[place], Heading)
    cards: list[StepCard] = []
    for block in blocks[start:]:
        if not isinstance(block, StepCard):
            break
        cards.append(block)
    return cards


def _rows(
    pictures: tuple[tuple[Picture, str], ...], room: float
) -> Iterator[list[tuple[Picture, str]]]:
    """As many side by side as there is room for, mm."""
    row: list[tuple[Picture, str]] = []
    used = 0.0
    for each in pictures:
        wide = _cell_width(each[0])
        if row and used + wide > room:
            yield row
            row, used = [], 0.0
        row.append(each)
        used += wide
    if row:
        yield row


def _cell_width(picture: Picture) -> float:
    """Room for a picture and its caption, mm."""
    return max(picture.width, _CAPTION) + _BETWEEN
