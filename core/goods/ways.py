"""How goods are to be cut, in words."""

from collections.abc import Iterator

from core.errors import Sentence, listed
from core.goods.making import Cutting, Making
from core.goods.plan import GoodsPlan


def laid_on(goods: GoodsPlan) -> Sentence:
    """How many pieces lie on how much of the goods: on so many sheets where it is sold in them."""
    pieces = "1 piece" if len(goods.laid) == 1 else "{count} pieces"
    words = {"count": str(len(goods.laid)), "share": f"{100 * goods.share_used:.0f}\u00a0%"}
    if not goods.goods.in_sheets:
        lengths = {"width": goods.width, "used": goods.length_used}
        told = " on {used} of material {width} wide; {share} of it is used."
        return Sentence(pieces + told, lengths, words)
    sheets = "1 sheet" if goods.sheets == 1 else "{sheets} sheets"
    lengths = {"width": goods.width, "length": goods.goods.sheet_length}
    told = f" on {sheets} of {{width}} by {{length}}; {{share}} is used."
    return Sentence(pieces + told, lengths, words | {"sheets": str(goods.sheets)})


def ways_of(making: Making) -> Iterator[Sentence]:
    """What holds for every goods of a plan."""
    if making.cutting is Cutting.ROWS:
        yield Sentence(
            "Every cut runs from edge to edge: first across the material, then within each row."
        )
    if making.gap:
        yield Sentence("Leave {gap} between pieces for cutting.", {"gap": making.gap})


def ways_of_goods(goods: GoodsPlan) -> Iterator[Sentence]:
    """What holds for one goods."""
    if goods.folded_length:
        yield Sentence(
            "Fold the material lengthwise for the first {length} and cut two pieces at a time.",
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
        yield Sentence("The print or nap runs one way: lay every piece with its top up.")


_TURNED = "Turned 90°, with the grain arrow across the material: {pieces}."
_TURNED_TO_SAVE = (
    "Turned 90°, with the grain arrow across the material: {pieces}. This saves {saved}; "
    "do not turn them where it would show."
)
