"""What to buy, the cut list and the cutting plans as pages and as a PDF. mm, y up.

In the look of the pattern. Nothing here is at true scale, and the pages say so.
"""

import math
from dataclasses import dataclass

from core.base.errors import FieldError
from core.base.quantities import weight_text
from core.base.sentences import mark, plural, say, typed
from core.cutting.buying import (
    goods_facts,
    left_out,
    purchases,
    total_lines,
    ways_of,
    ways_of_goods,
)
from core.cutting.cut_list import CutItem
from core.cutting.plan import GoodsPlan, PieceKey, Plan
from core.drawing.cutting_plan import ABOVE, BELOW, drawn_stretch, key_line
from core.drawing.cutting_stretches import APART, Stretch, StretchFrame, chosen_scale, stretches_of
from core.drawing.lettering import LEADING, Wording, Words, shortened, wrapped
from core.drawing.records import Anchor, DrawingRecord, Text
from core.flat.ink import Ink
from core.flat.roles import PieceRole
from core.output.page_flow import BODY, FOOT, HEAD, TITLE, PageFlow
from core.output.papers import Paper
from core.output.pdf import PdfWriter

_AFTER_HEAD, _PARTED = 1.0, 4.0
"""Below a heading; above one that follows another material's plan."""
_LEAST_ROOM, _AS_LARGE, _LEGIBLE = 20.0, 0.8, 1 / 16
"""A plan follows another on its page where there is so much room, mm, and where it is so large
there as on a page of its own, as a share, or has at least that scale."""


def materials_pdf_bytes(plan: Plan, paper: Paper, wording: Wording) -> bytes:
    """What to buy, the cut list and the cutting plans as a PDF file; a FieldError refuses a roll.

    The same bytes for the same plan, paper and wording.
    """
    title, subject = _name(plan, wording), wording.say("Materials and cutting plan")
    file = PdfWriter(title=title, subject=subject)
    for records in materials_pages(plan, paper, wording):
        file.page(_page_size(paper), file.legible(records))
    return file.finished()


def materials_pages(plan: Plan, paper: Paper, wording: Wording) -> list[list[DrawingRecord]]:
    """The records of each page, in the page's own frame: mm, y up from its lower left corner.

    A FieldError refuses a roll.
    """
    size = _page_size(paper)
    foot = wording.say(
        "{name} · drawings are not full size: cut to the sizes written on them",
        words={"name": shortened(_name(plan, wording), FOOT, 0.3 * size[0])},
    )
    flow = PageFlow(size, foot)
    flow.start()
    _title(plan, wording, flow)
    _not_fitting(plan, wording, flow)
    _to_buy(plan, wording, flow)
    _to_cut(plan, wording, flow)
    _plans(plan, wording, flow)
    return flow.pages


def _name(plan: Plan, wording: Wording) -> str:
    return plan.bag.name or wording.say("Bag")


def _page_size(paper: Paper) -> tuple[float, float]:
    if paper.height is None:
        sentence = say(
            "Paper is {name}: it must be a sheet, such as A4 or Letter.", words={"name": paper.name}
        )
        raise FieldError(sentence, field="paper", value=paper.name)
    return paper.width, paper.height


def _title(plan: Plan, wording: Wording, flow: PageFlow) -> None:
    flow.text(_name(plan, wording), TITLE, bold=True)
    flow.skip(1.0)
    told = plural(
        "Materials and cutting plan for 1 bag", "Materials and cutting plan for {count} bags"
    )
    flow.text(wording.say(told, numbers={"count": plan.options.bags}), HEAD)
    flow.skip(2.0)
    flow.rule()
    flow.skip(4.0)


def _not_fitting(plan: Plan, wording: Wording, flow: PageFlow) -> None:
    lacking = [each for goods in plan.goods for each in goods.lacking]
    if not lacking:
        return
    flow.text(wording.say("Does not fit"), HEAD, bold=True)
    for _, count, finding in lacking:
        flow.text(wording.say(finding.message), BODY)
        flow.text(wording.say(left_out(count)), BODY, indent=4.0)
    flow.skip(5.0)


def _to_buy(plan: Plan, wording: Wording, flow: PageFlow) -> None:
    rows = [
        (
            wording.say(each.what),
            wording.say(each.amount),
            wording.say(each.remark),
            wording.money(each.cost),
        )
        for each in purchases(plan, wording.unit)
    ]
    for told, cost in total_lines(plan, wording.currency):
        rows.append((wording.say(told), "", "", wording.money(cost)))
    flow.text(wording.say("What to buy"), HEAD, bold=True)
    flow.skip(1.0)
    heads = (mark("material"), mark("amount"), mark("kind"), mark("cost"))
    flow.table([wording.say(head) for head in heads], rows, {3})
    flow.skip(2.0)
    weight = weight_text(plan.weight, unit=wording.unit or plan.bag.unit)
    told_weight = wording.say(
        "One bag weighs {weight}: material and board, without zip, thread and trimmings.",
        words={"weight": weight},
    )
    flow.text(told_weight, BODY)
    flow.skip(7.0)


def _to_cut(plan: Plan, wording: Wording, flow: PageFlow) -> None:
    flow.need(40.0)
    flow.text(wording.say("Cut list"), HEAD, bold=True)
    flow.skip(1.0)
    heads = (
        mark("piece"), mark("cut from"), mark("number"), mark("width × length"), mark("then"),
        mark("grain"),
    )  # fmt: skip
    rows = [_cut_row(plan, item, wording) for item in plan.cut_list.items]
    flow.table([wording.say(head) for head in heads], rows, {2})
    flow.skip(3.0)
    flow.text(wording.say("Unless a piece is turned, its grain runs along the length."), BODY)
    flow.skip(3.0)
    notes = {
        wording.say("{piece}: {note}", terms={"piece": item.piece.label, "note": note}): None
        for item in plan.cut_list.items
        for note in item.notes
    }
    for note_text in notes:
        flow.text(note_text, BODY)
        flow.skip(0.8)


def _cut_row(plan: Plan, item: CutItem, wording: Wording) -> tuple[str, ...]:
    goods = item.told_goods(with_role=item.piece.id.role is PieceRole.WALL)
    return (
        wording.say(item.piece.label),
        wording.say(typed(goods)),
        str(item.count * plan.options.bags),
        wording.say("{width} × {length}", width=item.across, length=item.along),
        "" if item.is_rectangle else wording.say("trim to shape"),
        wording.say(plan.grain_of(item)),
    )


def _plans(plan: Plan, wording: Wording, flow: PageFlow) -> None:
    """The plan of each material, below the one before where it is as large there."""
    for goods in plan.goods:
        if goods.laid:
            _goods_pages(plan, goods, wording, flow)


def _goods_pages(plan: Plan, goods: GoodsPlan, wording: Wording, flow: PageFlow) -> None:
    told = _told(plan, goods, wording)
    words = math.fsum(flow.height_of(each) + _AFTER_HEAD * each.bold for each in told)
    scale_line = Words("1:1", BODY)  # still to be written: the scale follows from the room
    words += flow.height_of(scale_line)
    fixed = words + ABOVE + BELOW + flow.bottom
    alone = _fit(goods, flow, max(flow.top - fixed, _LEAST_ROOM))
    fit = _fit(goods, flow, max(flow.y - _PARTED - fixed, _LEAST_ROOM))
    has_room = flow.y - _PARTED - fixed >= _LEAST_ROOM and len(fit.stretches) <= fit.across
    if has_room and fit.scale >= min(_AS_LARGE * alone.scale, _LEGIBLE):
        flow.y -= _PARTED
    else:
        fit = alone
        flow.start()
    scale, stretches, across = fit.scale, fit.stretches, fit.across
    for each in told:
        flow.text(each.text, each.height, bold=each.bold)
        flow.y -= _AFTER_HEAD * each.bold
    flow.text(wording.say("Scale 1:{scale}.", numbers={"scale": round(1 / scale)}), BODY)
    for first in range(0, len(stretches), across):
        if first:
            flow.start()
            continued = wording.say("{goods}, continued", words={"goods": goods.goods.title})
            flow.text(continued, HEAD, bold=True)
        top = flow.y - ABOVE
        low = top - scale * max(each.high - each.low for each in stretches[first : first + across])
        shortened: set[PieceKey] = set()
        for place, stretch in enumerate(stretches[first : first + across]):
            x = flow.left + place * (scale * goods.width + APART)
            frame = StretchFrame(stretch, scale, x, low)
            drawn = drawn_stretch(goods, frame, wording)
            flow.records += drawn.records
            shortened |= drawn.shortened
        flow.y = low - BELOW
        _key(goods, shortened, wording, flow, low - 7.0)


def _key(
    goods: GoodsPlan, shortened: set[PieceKey], wording: Wording, flow: PageFlow, top: float
) -> None:
    """What the short names on the drawing stand for, below it."""
    key = Words(key_line(goods, shortened, wording), 1.9)
    for number, words in enumerate(wrapped(key, flow.right - flow.left)):
        at = (flow.left, top - LEADING * (number + 0.5) * words.height)
        flow.records.append(Text(Ink.LABEL, at, words.text, words.height, anchor=Anchor.START))
        flow.y = min(flow.y, at[1] - LEADING * words.height / 2)


@dataclass(frozen=True, slots=True)
class _Fit:
    """How a plan is drawn in some room: its scale, its stretches, and how many stand in a row."""

    scale: float
    stretches: tuple[Stretch, ...]
    across: int


def _fit(goods: GoodsPlan, flow: PageFlow, high: float) -> _Fit:
    room = (flow.right - flow.left - APART, high)
    sheet = goods.goods.sheet_length if goods.goods.in_sheets else None
    scale = chosen_scale(goods.width, goods.cutting_length, room, sheet=sheet)
    across = max(1, math.floor((room[0] + APART) / (scale * goods.width + APART)))
    return _Fit(scale, tuple(stretches_of(goods, room[1] / scale)), across)


def _told(plan: Plan, goods: GoodsPlan, wording: Wording) -> list[Words]:
    """Name, and what somebody who cuts must know: a paragraph each."""
    facts = goods_facts(goods, wording.unit or plan.bag.unit)
    sentences = (*facts, *ways_of(plan.options), *ways_of_goods(goods))
    head = wording.say("Cutting plan: {goods}", words={"goods": goods.goods.title})
    return [
        Words(head, HEAD + 1.0, bold=True),
        *(Words(wording.say(each), BODY) for each in sentences),
    ]
