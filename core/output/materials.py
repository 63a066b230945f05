"""Pages of cutting plans: each material with what somebody who cuts must know. mm, y up."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from core.base.sentences import Sentence, mark, say
from core.cutting.buying import bought, laid_on, ways_of, ways_of_goods
from core.cutting.plan import GoodsPlan, Plan
from core.drawing.lettering import LEADING, Words, shortened, wrapped
from core.drawing.records import Anchor, Record, Text
from core.output.cutting_plan import (
    ABOVE,
    APART,
    BELOW,
    Column,
    Frame,
    chosen_scale,
    columns_of,
    goods_records,
)
from core.output.cutting_plan_labels import key_line
from core.output.page_flow import BODY, FOOT, HEAD, MaterialsOptions, Sheets, word_pages
from core.output.pdf import PdfWriter
from core.work.scene import Ink

_AFTER_HEAD, _PARTED = 1.0, 4.0
"""Below a heading; above one that follows another material's plan."""
_LEAST_ROOM, _AS_LARGE, _LEGIBLE = 20.0, 0.8, 1 / 16
"""A plan follows another on its page where there is so much room, mm, and where it is so large
there as on a page of its own, as a share, or has at least that scale."""


def plan_pages(plan: Plan, options: MaterialsOptions, sheets: Sheets) -> None:
    """The plan of each material, below the one before where it is as large there."""
    for goods in plan.goods:
        if goods.laid:
            _goods_pages(plan, goods, options, sheets)


def _goods_pages(plan: Plan, goods: GoodsPlan, options: MaterialsOptions, sheets: Sheets) -> None:
    told = _told(plan, goods, options)
    words = math.fsum(sheets.height_of(each) + _AFTER_HEAD * each.bold for each in told)
    scale_line = Words("1:1", BODY)  # still to be written: the scale follows from the room
    words += sheets.height_of(scale_line)
    fixed = words + ABOVE + BELOW + sheets.bottom
    alone = _fit(goods, sheets, max(sheets.top - fixed, _LEAST_ROOM))
    fit = _fit(goods, sheets, max(sheets.y - _PARTED - fixed, _LEAST_ROOM))
    has_room = sheets.y - _PARTED - fixed >= _LEAST_ROOM and len(fit.columns) <= fit.across
    if has_room and fit.scale >= min(_AS_LARGE * alone.scale, _LEGIBLE):
        sheets.y -= _PARTED
    else:
        fit = alone
        sheets.start()
    scale, columns, across = fit.scale, fit.columns, fit.across
    for each in told:
        sheets.text(each.text, each.height, bold=each.bold)
        sheets.y -= _AFTER_HEAD * each.bold
    sheets.text(options.say("Scale 1:{scale}.", scale=f"{1 / scale:.0f}"), BODY)
    for first in range(0, len(columns), across):
        if first:
            sheets.start()
            sheets.text(options.say("{goods}, continued", goods=goods.goods.title), HEAD, bold=True)
        top = sheets.y - ABOVE
        low = top - scale * max(each.high - each.low for each in columns[first : first + across])
        drawn: list[Record] = []
        for place, column in enumerate(columns[first : first + across]):
            x = sheets.left + place * (scale * goods.width + APART)
            frame = Frame(column, scale, x, low)
            drawn += goods_records(goods, frame, options)
        sheets.records.extend(drawn)
        sheets.y = low - BELOW
        _key(goods, drawn, options, sheets, low - 7.0)


def _key(
    goods: GoodsPlan,
    drawn: Sequence[Record],
    options: MaterialsOptions,
    sheets: Sheets,
    top: float,
) -> None:
    """What the short names on the drawing stand for, below it."""
    key = Words(key_line(goods, drawn, options), 1.9)
    for number, words in enumerate(wrapped(key, sheets.right - sheets.left)):
        at = (sheets.left, top - LEADING * (number + 0.5) * words.height)
        sheets.records.append(Text(Ink.LABEL, at, words.text, words.height, anchor=Anchor.START))
        sheets.y = min(sheets.y, at[1] - LEADING * words.height / 2)


@dataclass(frozen=True, slots=True)
class _Fit:
    """How a plan is drawn in some room: its scale, its columns, and how many stand in a row."""

    scale: float
    columns: tuple[Column, ...]
    across: int


def _fit(goods: GoodsPlan, sheets: Sheets, high: float) -> _Fit:
    """As large as it can be on so much of a page."""
    room = (sheets.right - sheets.left - APART, high)
    sheet = goods.goods.sheet_length if goods.goods.in_sheets else None
    scale = chosen_scale(goods.width, goods.cutting_length, room, sheet=sheet)
    across = max(1, math.floor((room[0] + APART) / (scale * goods.width + APART)))
    return _Fit(scale, tuple(columns_of(goods, room[1] / scale)), across)


def _told(plan: Plan, goods: GoodsPlan, options: MaterialsOptions) -> list[Words]:
    """Name, and what somebody who cuts must know: a paragraph each."""
    unit = options.unit or plan.bag.unit
    buy = "Buy {amount}; wash it before cutting." if goods.goods.washed_first else "Buy {amount}."
    sentences = [
        laid_on(goods),
        Sentence(buy, words={"amount": options.say(bought(goods, unit))}),
    ]
    rest = goods.leftover
    if rest is not None:
        size = {"width": rest.width, "length": rest.length}
        sentences.append(Sentence(mark("Largest piece left over: {width} × {length}."), size))
    sentences += (*ways_of(plan.options), *ways_of_goods(goods))
    head = options.say("Cutting plan: {goods}", goods=goods.goods.title)
    return [
        Words(head, HEAD + 1.0, bold=True),
        *(Words(options.say(each), BODY) for each in sentences),
    ]


# --- materials pdf ---
# Shopping list, cut list and cutting plans as a PDF, in the look of the pattern.
#
# The writer's library is loaded when first used. Nothing here is at true scale, and the pages say
# so.


def materials_pdf_bytes(plan: Plan, options: MaterialsOptions) -> bytes:
    """What to buy, the cut list and the cutting plans as a PDF file.

    The same bytes for the same plan and options.
    """
    file = PdfWriter(title=plan.bag.name or "Bag", subject="Materials and cutting plan")
    size = (options.paper.width, options.paper.height or options.paper.width)
    for records in materials_pages(plan, options):
        file.page(size, file.legible(records))
    return file.finished()


def materials_pages(plan: Plan, options: MaterialsOptions) -> list[list[Record]]:
    """The records of each page, in the page's own frame: mm, y up from its lower left corner."""
    width, height = options.paper.width, options.paper.height
    if height is None:
        raise ValueError("options refuse a roll")
    name = shortened(plan.bag.name or "Bag", FOOT, 0.3 * width)
    foot = options.say(
        say(
            "{name} · drawings are not full size: cut to the sizes written on them",
            words={"name": name},
        )
    )
    sheets = Sheets((width, height), foot)
    word_pages(plan, options, sheets)
    plan_pages(plan, options, sheets)
    return sheets.pages
