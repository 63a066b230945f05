"""What to buy for a plan, line by line, and its price. Lengths are mm."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from core.bag.making import Cutting, Making
from core.base.quantities import MM_PER_YARD, ribbon_text, spool_text, thread_text, total
from core.base.sentences import Listing, Number, Sentence, Template, mark, plural, say, typed
from core.base.tolerance import same_length
from core.base.units import Unit
from core.cutting.plan import GoodsPlan, Plan
from core.goods.layers import EIGHTH_YARD
from core.goods.supplies import Notion

TOTAL: Final = say("Total of priced items")
FOR_ONE: Final = say("Cost of one bag")


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """One line of the shopping list.

    Attributes:
        what: the goods or notion.
        amount: how much of it.
        remark: which kind; may be empty.
        cost: money; None where it has no price.
    """

    what: Sentence
    amount: Sentence
    remark: Sentence
    cost: float | None


def purchases(plan: Plan, unit: Unit | None = None) -> tuple[Purchase, ...]:
    """Goods first, outermost first, then notions, for all bags; nothing of which none is needed.

    The unit is that of who reads it, for what is not sold by the inch; None: that of the bag.
    """
    unit = plan.bag.unit if unit is None else unit
    lines = [_goods(each, unit) for each in plan.goods if each.laid]
    return (*lines, *_pieces(plan), *_thread(plan, unit), *_lengths(plan, unit), *_tools(plan))


def total_lines(plan: Plan, currency: str = "") -> tuple[tuple[Sentence, float], ...]:
    """What it costs in all and, of several bags, what one of them does: money.

    Nothing where nothing has a price.
    """
    if not plan.cost:
        return ()
    whole, bags = total_cost(plan, currency), plan.options.bags
    for_one = ((FOR_ONE, whole / bags),) if bags > 1 else ()
    return ((TOTAL, whole), *for_one)


def total_cost(plan: Plan, currency: str = "") -> float:
    """Money for everything that has a price, for all bags: what the lines add up to as read."""
    return total((line.cost for line in purchases(plan) if line.cost is not None), currency)


def _goods(plan: GoodsPlan, unit: Unit) -> Purchase:
    goods = plan.goods
    remark = say("{width} wide", width=goods.usable_width)
    if goods.in_sheets:
        lengths = {"width": goods.usable_width, "length": goods.sold_step}
        remark = Sentence(mark("of {width} by {length}"), lengths)
    if goods.washed_first:
        remark = say("{remark}; wash and dry it before cutting", terms={"remark": remark})
    elif goods.shrinks:
        remark = say("{remark}; cut larger, as it is not washed first", terms={"remark": remark})
    return Purchase(
        what=typed(goods.title),
        amount=bought(plan, unit),
        remark=remark,
        cost=plan.cost if goods.price_per_length else None,
    )


def bought(plan: GoodsPlan, unit: Unit) -> Sentence:
    """How much of one goods is bought, for who reads this unit."""
    if not plan.goods.in_sheets:
        return bought_length(plan.length_to_buy, plan.goods.sold_step, unit)
    return say(_SHEETS, numbers={"count": plan.sheets})


def bought_length(length: float, step: float, unit: Unit) -> Sentence:
    """A length to buy as shops say it: yards by the eighth, metres by the centimetre.

    Who reads the other kind of unit has it in his own behind, rounded to the nearer hundredth.
    """
    inches = unit is Unit.INCH
    if _is_multiple(step, EIGHTH_YARD):
        whole, eighths = divmod(round(length / EIGHTH_YARD), 8)
        part = str(Fraction(eighths, 8)) if eighths else ""
        count = {"count": f"{whole or ''} {part}".strip() or "0"}
        if inches:
            return say("{count} yd", words=count)
        return say(
            "{count} yd ({metres} m)",
            words=count,
            numbers={"metres": Number(length / 1000, places=2)},
        )
    if _is_multiple(step, 10.0):
        numbers = {"count": Number(length / 1000), "yards": Number(length / MM_PER_YARD, places=2)}
        return say("{count} m ({yards} yd)" if inches else "{count} m", numbers=numbers)
    return say("{length}", length=length)


def left_out(count: int) -> Sentence:
    """That so many pieces, which their goods cannot take, are in nothing that is reckoned."""
    return say(_LEFT_OUT, numbers={"count": count})


def _is_multiple(step: float, unit: float) -> bool:
    return step >= unit / 2 and same_length(round(step / unit) * unit, step)


def _pieces(plan: Plan) -> Iterator[Purchase]:
    """What is bought by the piece."""
    bags = plan.options.bags
    for each in plan.cut_list.notions.others:
        if each.length is None:
            yield Purchase(
                what=Sentence(each.what),
                amount=typed(str(bags)),
                remark=each.kind or typed(""),
                cost=bags * each.price if each.price else None,
            )


def _thread(plan: Plan, unit: Unit) -> tuple[Purchase, ...]:
    needle = plan.cut_list.notions.needle
    needed = thread_text(plan.thread, unit=unit)
    spool = spool_text(plan.bag.supplies.spool_length, unit=unit)
    return (
        Purchase(
            what=say("thread"),
            amount=say(plural("1 spool", "{count} spools"), numbers={"count": plan.spools}),
            remark=say(
                "{spool} a spool; {needed} needed, Tex {tex} (ticket {ticket})",
                words={"needed": needed, "spool": spool},
                numbers={"tex": needle.tex, "ticket": needle.ticket},
            ),
            cost=plan.thread_cost if plan.bag.supplies.spool_price else None,
        ),
    )


def _lengths(plan: Plan, unit: Unit) -> Iterator[Purchase]:
    """What is bought by length, everything of one name together."""
    alike: dict[Template, list[Notion]] = {}
    for each in plan.cut_list.notions.others:
        if each.length is not None:
            alike.setdefault(each.what, []).append(each)
    for what, several in alike.items():
        length = plan.options.bags * math.fsum(each.length or 0.0 for each in several)
        parts = Listing([each.under for each in several])
        yield Purchase(
            what=Sentence(what),
            amount=say("{length}", words={"length": ribbon_text(length, unit=unit)}),
            remark=several[0].kind or say("under {parts}", terms={"parts": parts}),
            cost=None,
        )


def _tools(plan: Plan) -> tuple[Purchase, ...]:
    """What is used again for the next bag."""
    notions = plan.cut_list.notions
    needle = notions.needle
    return (
        Purchase(
            what=say("clips"),
            amount=typed(str(notions.clips)),
            remark=say(
                "every {spacing} around the {body}",
                terms={"body": plan.bag.site.body},
                spacing=notions.clip_spacing,
            ),
            cost=None,
        ),
        Purchase(
            what=say("needles"),
            amount=say(
                "size {metric}/{size}", numbers={"metric": needle.metric, "size": needle.size}
            ),
            remark=say(
                "test on scraps as thick as where seams cross, {stack} when pressed",
                stack=notions.thickest,
            ),
            cost=None,
        ),
    )


def laid_on(goods: GoodsPlan) -> Sentence:
    """How many pieces lie on how much of the goods: on so many sheets where it is sold in them."""
    share = Number(100 * goods.share_used, places=0)
    numbers: dict[str, Number | int] = {"count": len(goods.laid), "share": share}
    if not goods.goods.in_sheets:
        return say(_ON_LENGTH, numbers=numbers, width=goods.width, used=goods.length_used)
    sheets = say(_SHEETS, numbers={"count": goods.sheets})
    return say(
        _ON_SHEETS,
        numbers=numbers,
        terms={"sheets": sheets},
        width=goods.width,
        length=goods.goods.sheet_length,
    )


def goods_facts(goods: GoodsPlan, unit: Unit) -> Iterator[Sentence]:
    """What is laid on one goods, what to buy for who reads this unit, and what is left over."""
    yield laid_on(goods)
    amount = {"amount": bought(goods, unit)}
    if goods.goods.washed_first:
        yield say("Buy {amount}; wash it before cutting.", terms=amount)
    else:
        yield say("Buy {amount}.", terms=amount)
    rest = goods.leftover
    if rest is not None:
        told = mark("Largest piece left over: {width} × {length}.")
        yield say(told, width=rest.width, length=rest.length)


def ways_of(making: Making) -> Iterator[Sentence]:
    """What holds for every goods of a plan."""
    if making.cutting is Cutting.ROWS:
        yield say(
            "Every cut runs from edge to edge: first across the material, then within each row."
        )
    if making.gap:
        yield say("Leave {gap} between pieces for cutting.", gap=making.gap)


def ways_of_goods(goods: GoodsPlan) -> Iterator[Sentence]:
    """What holds for one goods."""
    if goods.folded_length:
        yield say(
            "Fold the material lengthwise for the first {length} and cut two pieces at a time.",
            length=goods.folded_length,
        )
    turned = [each for each in goods.laid if each.turned and each.item.outer]
    if turned:
        pieces = {"pieces": Listing(list({each.key: each.label for each in turned}.values()))}
        if goods.saved:
            yield say(_TURNED_TO_SAVE, saved=goods.saved, terms=pieces)
        else:
            yield say(_TURNED, terms=pieces)
    if goods.goods.one_way:
        yield say("The print or nap runs one way: lay every piece with its top up.")


_SHEETS = plural("1 sheet", "{count} sheets")
_LEFT_OUT = plural(
    "It is not included in the plan, the cost or the lengths below.",
    "{count} of them are not included in the plan, the cost or the lengths below.",
)
_ON_LENGTH = plural(
    "1 piece on {used} of material {width} wide; {share}\u00a0% of it is used.",
    "{count} pieces on {used} of material {width} wide; {share}\u00a0% of it is used.",
)
_ON_SHEETS = plural(
    "1 piece on {sheets} of {width} by {length}; {share}\u00a0% is used.",
    "{count} pieces on {sheets} of {width} by {length}; {share}\u00a0% is used.",
)
_TURNED = mark("Turned 90°, with the grain arrow across the material: {pieces}.")
_TURNED_TO_SAVE = mark(
    "Turned 90°, with the grain arrow across the material: {pieces}. This saves {saved}; "
    "do not turn them where it would show."
)
