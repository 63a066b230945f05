"""Materials as text for a terminal: what to buy, what to cut, how it is laid. No Qt here."""

from collections.abc import Sequence

from app.report import show_in, with_near_told
from core.amounts import thread_text, weight_text
from core.errors import ShowLength
from core.goods.buying import left_out, purchases, total_lines
from core.goods.cutlist import CutItem
from core.goods.making import Cutting
from core.goods.money import money
from core.goods.plan import GoodsPlan, Plan
from core.sewing.thread import ALLOWANCE
from core.signs import on_one_title

_RIGHT = "r"


def materials_text(plan: Plan, currency: str = "") -> str:
    """Shopping list, cut list and a summary of the cutting plan; prices are in this currency."""
    show = show_in(plan.bag.unit)
    blocks = [
        _head(plan),
        _lacking(plan, show),
        _to_buy(plan, show, currency),
        _cut_list(plan, show),
    ]
    blocks += [_plans(plan, show), _thread(plan, show)]
    return with_near_told("\n\n".join(block for block in blocks if block))


def _head(plan: Plan) -> str:
    bags = "1 bag" if plan.options.bags == 1 else f"{plan.options.bags} bags"
    return f"{on_one_title(plan.bag.name)}: materials for {bags}"


def _lacking(plan: Plan, show: ShowLength) -> str:
    lines = []
    for goods in plan.goods:
        for _, count, finding in goods.lacking:
            told = on_one_title(finding.message.text(show))
            lines.append(f"  {finding.severity.word}: {told} [{finding.code}]")
            lines.append(f"    {left_out(count).text()}")
    return "\n".join(["Does not fit", *lines]) if lines else ""


def _to_buy(plan: Plan, show: ShowLength, currency: str) -> str:
    rows = [
        (
            on_one_title(each.what.text(show)),
            each.amount.text(show),
            on_one_title(each.remark.text(show)),
            "" if each.cost is None else money(each.cost, currency),
        )
        for each in purchases(plan)
    ]
    rows += [
        (told.text(), "", "", money(cost, currency)) for told, cost in total_lines(plan, currency)
    ]
    table = _table(rows, (" ", " ", " ", _RIGHT))
    return "\n".join(["To buy", *table, "", _weight(plan)])


def _weight(plan: Plan) -> str:
    shown = weight_text(plan.weight, unit=plan.bag.unit)
    return f"  One bag weighs {shown}: material and board, without zip, thread and trimmings."


def _cut_list(plan: Plan, show: ShowLength) -> str:
    bags = plan.options.bags
    rows = [("piece", "cut from", "number", "cut", "", "grain")]
    rows += [
        (
            on_one_title(item.piece),
            _goods_name(item),
            str(item.count * bags),
            f"{show(item.across)} x {show(item.along)}",
            "" if item.is_rectangle else "then trim",
            plan.grain_of(item).text(show),
        )
        for item in plan.cut_list.items
    ]
    notes: dict[str, None] = {}
    for item in plan.cut_list.items:
        for note in item.notes:
            notes[f"  {on_one_title(item.piece)}: {on_one_title(note.text(show))}"] = None
    table = _table(rows, (" ", " ", _RIGHT, " ", " ", " "))
    head = "Cut list: width x length, the grain runs along the length unless turned"
    return "\n".join([head, *table, *notes])


def _goods_name(item: CutItem) -> str:
    title, role = on_one_title(item.goods.title), on_one_title(item.goods.role)
    return title if title == role else f"{title} ({role})"


def _plans(plan: Plan, show: ShowLength) -> str:
    way = "rows, each cut from edge to edge" if plan.options.cutting is Cutting.ROWS else "free"
    folded = ", material folded lengthwise" if plan.options.folded else ""
    gap = f", {show(plan.options.gap)} between pieces" if plan.options.gap else ""
    rows = [_plan_row(each, show) for each in plan.goods if each.laid]
    return "\n".join([f"Cutting plan ({way}{folded}{gap})", *_table(rows, (" ",) * 4)])


def _thread(plan: Plan, show: ShowLength) -> str:
    """What is sewn on one bag, and the thread that it takes."""
    notions, unit = plan.cut_list.notions, plan.bag.unit
    rows = [("line", "length", "thread")]
    sewn: dict[str, tuple[float, float]] = {}
    for row in notions.rows:
        length, thread = sewn.get(row.name, (0.0, 0.0))
        sewn[row.name] = (length + row.length, thread + row.thread)
    rows += [
        (name, show(length), thread_text(thread, unit=unit, places=1))
        for name, (length, thread) in sewn.items()
    ]
    head = "Thread for one bag: every line that the machine sews"
    whole = thread_text(notions.thread, unit=unit, places=1)
    tail = (
        f"  Total {whole}, with {100 * ALLOWANCE:.0f} % for starts, ends, hand stitches and "
        "re-threading."
    )
    return "\n".join([head, *_table(rows, (" ", _RIGHT, _RIGHT)), tail])


def _plan_row(plan: GoodsPlan, show: ShowLength) -> tuple[str, ...]:
    rest = plan.leftover
    left = "nothing left over"
    if rest is not None:
        left = f"largest piece left over {show(rest.width)} x {show(rest.length)}"
    used = f"{show(plan.length_used)} of {show(plan.width)} wide material"
    if plan.goods.in_sheets:
        count = "1 sheet" if plan.sheets == 1 else f"{plan.sheets} sheets"
        used = f"{count} of {show(plan.width)} by {show(plan.goods.sheet_length)}"
    return (
        on_one_title(plan.goods.title),
        used,
        f"{100 * plan.share_used:.0f} % pieces",
        left,
    )


def _table(rows: Sequence[tuple[str, ...]], sides: Sequence[str]) -> list[str]:
    """Rows with their columns level, indented."""
    if not rows:
        return []
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = []
    for row in rows:
        cells = [
            cell.rjust(width) if side == _RIGHT else cell.ljust(width)
            for cell, width, side in zip(row, widths, sides, strict=True)
        ]
        lines.append(f"  {'  '.join(cells)}".rstrip())
    return lines
