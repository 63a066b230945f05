"""What is said in words about a plan."""

from collections.abc import Iterator

from PySide6.QtCore import QCoreApplication

from app.display import Display
from app.words import from_core, told
from core.amounts import weight_text
from core.errors import Sentence
from core.goods.buying import bought
from core.goods.plan import GoodsPlan, Plan
from core.goods.ways import laid_on, ways_of_goods


def facts_of(goods: GoodsPlan, display: Display) -> str:
    """Length used, what to buy, what is left over, and how to lay the goods."""
    return " ".join(_facts(goods, display))


def _facts(goods: GoodsPlan, display: Display) -> Iterator[str]:
    if not goods.laid:
        return
    yield told(laid_on(goods), display)
    buy = {"amount": told(bought(goods, display.unit), display)}
    washed = goods.goods.washed_first
    template = "Buy {amount}, washed before cutting." if washed else "Buy {amount}."
    yield told(Sentence(template, words=buy), display)
    rest = goods.leftover
    if rest is not None:
        size = {"width": rest.width, "length": rest.length}
        yield told(Sentence("Largest piece left over: {width} × {length}.", size), display)
    for way in ways_of_goods(goods):
        yield told(way, display)


def lacking_of(plan: Plan, display: Display) -> tuple[str, str]:
    """(short, whole): which pieces their goods cannot take, and what would help.

    Both are empty when everything fits; a single piece is told whole at once.
    """
    lines, named = [], []
    for goods in plan.goods:
        for item, count, finding in goods.lacking:
            left_out = Sentence("Left out of the plan: {count}.", words={"count": str(count)})
            lines.append(f"{told(finding.message, display)} {told(left_out, display)}")
            words = {"piece": from_core(item.piece), "goods": from_core(goods.goods.title)}
            name = tr("{piece} of {goods}").format(**words)
            named.append(name if count == 1 else f"{count} × {name}")
    whole = "\n".join(lines)
    if len(lines) < 2:
        return whole, whole
    text = tr(
        "Left out because they do not fit: {pieces}. Turn them if print and nap allow, join them "
        "with a seam, or use wider material; the findings name each of them."
    )
    return text.format(pieces=", ".join(named)), whole


def weight_of(plan: Plan, display: Display) -> str:
    """What one bag weighs, and all of them."""
    one = _weight(plan.weight, display)
    bags = plan.options.bags
    if bags == 1:
        text = tr("The bag weighs {one}: materials and board, without zip, thread and trimmings.")
        return text.format(one=one)
    text = tr(
        "One bag weighs {one}, {bags} bags weigh {all}: materials and board, without zip, thread "
        "and trimmings."
    )
    return text.format(one=one, bags=bags, all=_weight(bags * plan.weight, display))


def _weight(kilograms: float, display: Display) -> str:
    return weight_text(kilograms, unit=display.unit)


def tr(text: str) -> str:
    """A text about a plan in the reader's language."""
    return QCoreApplication.translate("cutting", text)
