"""Pages of words for a cutting plan: what to buy, and the cut list. mm, y up.

Every page is a list of records in its own frame, lower left corner at (0, 0).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from core.base.errors import FieldError
from core.base.quantities import money, weight_text
from core.base.sentences import ENGLISH, Language, Sentence, ShowLength, say, show_millimetres
from core.base.units import Unit
from core.cutting.buying import left_out, purchases, total_lines
from core.cutting.cut_list import CutItem
from core.cutting.plan import Plan
from core.drawing.lettering import Words, text_width, with_fractions, wrapped
from core.drawing.records import Anchor, Line, Record, Text
from core.output.papers import A4, Paper
from core.work.scene import Ink

BODY, HEAD, TITLE, FOOT = 2.3, 2.7, 6.2, 2.0
"""Heights of a capital, as in the pattern's key."""
MARGIN = 12.0
_BETWEEN = 4.0
"""Between two columns of a table."""
_LINE = 1.9
"""From one line to the next, in capital heights."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialsOptions:
    """How the pages look.

    Attributes:
        paper: a cut sheet.
        unit: in which other amounts than lengths are told; None: that of the bag.
        currency: code of that of the prices; empty: none is told.
        show: how lengths are written.
        translate: turns English templates into the reader's language.
    """

    paper: Paper = A4
    unit: Unit | None = None
    currency: str = ""
    show: ShowLength = field(default=show_millimetres)
    translate: Language = ENGLISH

    def __post_init__(self) -> None:
        if self.paper.height is None:
            sentence = f"Paper is {self.paper.name}: it must be a sheet, such as A4 or Letter."
            raise FieldError(sentence, field="paper", value=self.paper.name)

    def say(self, sentence: Sentence | str, **words: str) -> str:
        """A sentence, or a template and its words, as it is set."""
        if isinstance(sentence, str):
            sentence = Sentence(sentence, words=words)
        return with_fractions(sentence.text(self.show, self.translate))


@dataclass(slots=True)
class Sheets:
    """Pages that are written downwards, one after another.

    Attributes:
        size: (width, height) of a page.
        foot: set at the foot of each page.
        pages: records of each page so far.
        y: where the next line goes on the last page.
    """

    size: tuple[float, float]
    foot: str
    pages: list[list[Record]] = field(default_factory=list)
    y: float = 0.0

    @property
    def left(self) -> float:
        """Left edge of what is written."""
        return MARGIN

    @property
    def right(self) -> float:
        """Right edge of what is written."""
        return self.size[0] - MARGIN

    @property
    def bottom(self) -> float:
        """Lowest line, above the foot."""
        return MARGIN + 4 * BODY

    @property
    def top(self) -> float:
        """Where the first line of a page goes down from."""
        return self.size[1] - MARGIN

    def height_of(self, words: Words) -> float:
        """How far down a paragraph goes."""
        return _LINE * words.height * len(wrapped(words, self.right - self.left))

    @property
    def records(self) -> list[Record]:
        """Of the last page."""
        return self.pages[-1]

    def start(self) -> None:
        """A new page."""
        at = (self.left, MARGIN + BODY / 2)
        words = Text(Ink.LABEL, at, self.foot, FOOT, anchor=Anchor.START)
        self.pages.append([words])
        self.y = self.top

    def need(self, height: float) -> bool:
        """Start a new page unless so much room is left; whether one was started."""
        if self.pages and self.y - height >= self.bottom:
            return False
        self.start()
        return True

    def text(self, text: str, height: float, *, bold: bool = False, indent: float = 0.0) -> None:
        """A paragraph, wrapped."""
        room = self.right - self.left - indent
        for words in wrapped(Words(text, height, bold), room):
            self.need(_LINE * height)
            self.y -= _LINE * height
            at = (self.left + indent, self.y + height / 2)
            self.records.append(
                Text(Ink.LABEL, at, words.text, height, anchor=Anchor.START, bold=bold)
            )

    def rule(self) -> None:
        """A line across the page."""
        self.records.append(Line(Ink.FRAME, ((self.left, self.y), (self.right, self.y))))

    def table(self, head: Sequence[str], rows: Sequence[Sequence[str]], right: set[int]) -> None:
        """Rows under their heads, cells wrapped, heads said again on a new page.

        Args:
            head: one word for each column.
            rows: texts, one for each column.
            right: columns that are set to the right.
        """
        room = self.right - self.left
        widths = _column_widths([head, *rows], room)
        if len(head) - 1 in right:  # figures at the edge, under one another
            widths[-2] += room - math.fsum(widths) - (len(widths) - 1) * _BETWEEN
        self._row(head, widths, right, bold=True)
        for row in rows:
            height = _row_height(row, widths)
            if self.need(height):
                self._row(head, widths, right, bold=True)
            self._row(row, widths, right, bold=False)

    def _row(self, row: Sequence[str], widths: list[float], right: set[int], *, bold: bool) -> None:
        height = _row_height(row, widths)
        x = self.left
        for column, (cell, width) in enumerate(zip(row, widths, strict=True)):
            y = self.y
            for words in wrapped(Words(cell, BODY, bold), width):
                y -= _LINE * BODY
                end = column in right
                at = (x + width if end else x, y + BODY / 2)
                anchor = Anchor.END if end else Anchor.START
                self.records.append(Text(Ink.LABEL, at, words.text, BODY, anchor=anchor, bold=bold))
            x += width + _BETWEEN
        self.y -= height + 0.8
        self.rule()
        self.y -= 0.8


def _row_height(row: Sequence[str], widths: list[float]) -> float:
    most = max(
        len(wrapped(Words(cell, BODY), width)) for cell, width in zip(row, widths, strict=True)
    )
    return max(most, 1) * _LINE * BODY


def _column_widths(rows: Sequence[Sequence[str]], room: float) -> list[float]:
    """As wide as their longest cell; where that is too much, all wide ones are equally wide.

    So sentences break and sizes do not.
    """
    columns = list(zip(*rows, strict=True))
    widths = [max(text_width(cell, BODY, bold=True) for cell in column) for column in columns]
    left = room - (len(widths) - 1) * _BETWEEN
    for place, width in enumerate(sorted(widths)):
        share = left / (len(widths) - place)
        if width > share:
            return [min(each, share) for each in widths]
        left -= width
    return widths


# --- What is written ------------------------------------------------------------------------------


def word_pages(plan: Plan, options: MaterialsOptions, sheets: Sheets) -> None:
    """Title, what does not fit, what to buy, cut list and notes."""
    sheets.start()
    bags = plan.options.bags
    count = "for 1 bag" if bags == 1 else "for {count} bags"
    sheets.text(options.say("{name}", name=plan.bag.name or "Bag"), TITLE, bold=True)
    sheets.y -= 1.0
    sheets.text(options.say("Materials and cutting plan " + count, count=str(bags)), HEAD)
    sheets.y -= 2.0
    sheets.rule()
    sheets.y -= 4.0
    _lacking(plan, options, sheets)
    _buying(plan, options, sheets)
    _cutting(plan, options, sheets)


def _lacking(plan: Plan, options: MaterialsOptions, sheets: Sheets) -> None:
    lacking = [each for goods in plan.goods for each in goods.lacking]
    if not lacking:
        return
    sheets.text(options.say("Does not fit"), HEAD, bold=True)
    for _, count, finding in lacking:
        sheets.text(options.say(finding.message), BODY)
        sheets.text(options.say(left_out(count)), BODY, indent=4.0)
    sheets.y -= 5.0


def _buying(plan: Plan, options: MaterialsOptions, sheets: Sheets) -> None:
    rows = [
        (
            options.say(each.what),
            options.say(each.amount),
            options.say(each.remark),
            "" if each.cost is None else money(each.cost, options.currency),
        )
        for each in purchases(plan, options.unit)
    ]
    for told, cost in total_lines(plan, options.currency):
        rows.append((options.say(told), "", "", money(cost, options.currency)))
    sheets.text(options.say("What to buy"), HEAD, bold=True)
    sheets.y -= 1.0
    sheets.table([options.say(word) for word in ("material", "amount", "kind", "cost")], rows, {3})
    sheets.y -= 2.0
    weight = options.say(
        "One bag weighs {weight}: material and board, without zip, thread and trimmings.",
        weight=weight_text(plan.weight, unit=options.unit or plan.bag.unit),
    )
    sheets.text(weight, BODY)
    sheets.y -= 7.0


def _cutting(plan: Plan, options: MaterialsOptions, sheets: Sheets) -> None:
    sheets.need(40.0)
    sheets.text(options.say("Cut list"), HEAD, bold=True)
    sheets.y -= 1.0
    rows = [_cut_row(plan, item, options) for item in plan.cut_list.items]
    heads = ("piece", "cut from", "number", "width × length", "then", "grain")
    sheets.table([options.say(word) for word in heads], rows, {2})
    sheets.y -= 3.0
    sheets.text(options.say("Unless a piece is turned, its grain runs along the length."), BODY)
    sheets.y -= 3.0
    notes: dict[str, None] = {}
    for item in plan.cut_list.items:
        for note in item.notes:
            notes[f"{options.say(item.piece)}: {options.say(note)}"] = None
    for note_text in notes:
        sheets.text(note_text, BODY)
        sheets.y -= 0.8


def _cut_row(plan: Plan, item: CutItem, options: MaterialsOptions) -> tuple[str, ...]:
    goods = options.say("{goods}", goods=item.goods.title)
    if item.goods.title != item.goods.role and item.part == "panel":
        goods = f"{goods} ({options.say('{role}', role=item.goods.role)})"
    size = say("{width} × {length}", width=item.across, length=item.along)
    return (
        options.say(item.piece),
        goods,
        str(item.count * plan.options.bags),
        options.say(size),
        "" if item.is_rectangle else options.say("trim to shape"),
        options.say(plan.grain_of(item)),
    )
