"""The cut list as a table of plain cells, and as CSV for a spreadsheet."""

import csv
import io
from collections.abc import Callable, Iterator

from core.errors import Sentence, ShowLength, show_millimetres
from core.goods.buying import purchases
from core.goods.cutlist import CutItem
from core.goods.plan import Plan

HEAD = (
    "kind", "item", "from", "per bag", "in all", "width mm", "length mm",
    "width", "length", "final shape", "grain", "notes",
)  # fmt: skip
"""Columns of the CSV, fixed for those who read it by program."""

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
"""Plain and full-width: both start a formula in some settings of a spreadsheet."""


def cut_list_csv(
    plan: Plan,
    *,
    show: ShowLength = show_millimetres,
    translate: Callable[[str], str] = str,
) -> str:
    """The cut list and what else is bought, as CSV (RFC 4180) with a row of heads.

    A text that a spreadsheet would take for a formula gets an apostrophe in front, as
    spreadsheets themselves mark text.

    Args:
        plan: what is cut.
        show: how lengths are written in the columns without a unit.
        translate: turns English templates into the reader's language.
    """

    def say(sentence: Sentence) -> str:
        return sentence.text(show, translate)

    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEAD)
    for item in plan.cut_list.items:
        writer.writerow(plain_cells(_piece_row(plan, item, show, say)))
    for row in _bought_rows(plan, say):
        writer.writerow(plain_cells(row))
    return out.getvalue()


def plain_cells(row: tuple[str, ...]) -> list[str]:
    """The cells of a row, none of which a spreadsheet takes for a formula."""
    return [
        f"'{cell}" if cell.startswith(_FORMULA_STARTS) or cell.lstrip().startswith(_FORMULA_STARTS)
        else cell
        for cell in row
    ]  # fmt: skip


def _piece_row(
    plan: Plan, item: CutItem, show: ShowLength, say: Callable[[Sentence], str]
) -> tuple[str, ...]:
    shape = Sentence("rectangle") if item.is_rectangle else Sentence("trimmed to shape")
    return (
        "piece",
        item.piece,
        item.goods.title if item.goods.title == item.goods.role
        else f"{item.goods.title} ({item.goods.role})",
        str(item.count),
        str(item.count * plan.options.bags),
        f"{item.across:.3f}",
        f"{item.along:.3f}",
        show(item.across),
        show(item.along),
        say(shape),
        say(item.grain),
        " ".join(say(note) for note in item.notes),
    )  # fmt: skip


def _bought_rows(plan: Plan, say: Callable[[Sentence], str]) -> Iterator[tuple[str, ...]]:
    for each in purchases(plan):
        blanks = ("",) * 6
        yield ("to buy", say(each.what), "", "", say(each.amount), *blanks, say(each.remark))
