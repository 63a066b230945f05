"""How goods are to be cut, in words."""

from collections.abc import Iterator

from core.errors import Sentence, listed
from core.goods.making import Cutting, Making
from core.goods.plan import GoodsPlan


def ways_of(making: Making) -> Iterator[Sentence]:
    """What holds for every goods of a plan."""
    if making.cutting is Cutting.ROWS:
        yield Sentence("Every cut runs from edge to edge: first across, then within a row.")
    if making.gap:
        yield Sentence("{gap} is left between pieces for the cut.", {"gap": making.gap})


def ways_of_goods(goods: GoodsPlan) -> Iterator[Sentence]:
    """What holds for one goods."""
    if goods.folded_length:
        yield Sentence(
            "Fold the goods lengthwise for the first {length} and cut two pieces at a time.",
            {"length": goods.folded_length},
        )
    turned = [each for each in goods.laid if each.turned and each.item.outer]
    if turned:
        words = {"pieces": listed(list(dict.fromkeys(each.name for each in turned)))}
        if goods.saved:
            yield Sentence(_TURNED_TO_SAVE, {"saved": goods.saved}, words)
        else:
            yield Sentence(_TURNED, words=words)
    if goods.goods.one_way:
        yield Sentence("Print or nap runs one way: top of every piece up.")


_TURNED = "Turned by a quarter, their grain arrow across the goods: {pieces}."
_TURNED_TO_SAVE = (
    "Turned by a quarter, their grain arrow across the goods: {pieces}. That buys {saved} less; "
    "leave them straight where you would see it."
)
