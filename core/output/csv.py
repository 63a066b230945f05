"""The cut list as a table of plain cells, and as CSV for a spreadsheet."""

import csv
import io
import re
import unicodedata
from collections.abc import Iterator

from core.base.quantities import rounded
from core.base.sanitize import plain_signs
from core.base.sentences import say
from core.cutting.buying import purchases, total_lines
from core.cutting.cut_list import CutItem
from core.cutting.plan import Plan
from core.drawing.lettering import PLAIN, Wording

HEAD = (
    "kind", "item", "from", "per bag", "total", "width mm", "length mm",
    "width", "length", "final shape", "grain", "notes", "cost", "currency",
)  # fmt: skip
"""Columns of the CSV, fixed for those who read it by program."""

_FORMULA_SIGNS = frozenset("=+-@\uff1d\uff0b\uff0d\uff20")
"""Plain and full-width: both start a formula in some settings of a spreadsheet."""

_ENDS_OF_CELLS = re.compile("([;\t\n\r\v\f\x85\u2028\u2029])")
"""Where a cell may end: many spreadsheets separate by semicolon or tab in place of the comma,
and to those a quote inside of a cell holds nothing together."""

_UNSEEN = frozenset(("Cc", "Cf", "Zs", "Zl", "Zp"))
"""Kinds of signs that may be dropped before a formula is looked for."""


def cut_list_csv(plan: Plan, wording: Wording = PLAIN) -> str:
    """The cut list and what else is bought, as CSV (RFC 4180) with a row of heads.

    A text that a spreadsheet would take for a formula gets an apostrophe in front, as
    spreadsheets themselves mark text. `wording` says how lengths are written in the columns
    without a unit, and texts in all.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEAD)
    for item in plan.cut_list.items:
        writer.writerow(plain_cells(_piece_row(plan, item, wording)))
    for row in _bought_rows(plan, wording):
        writer.writerow(plain_cells(row))
    return out.getvalue()


def plain_cells(row: tuple[str, ...]) -> list[str]:
    """The cells of a row, nothing of which a spreadsheet takes for a formula.

    An apostrophe stands before each part of a cell that would be one if the cell were split
    there. Signs that steer are taken out (`plain_signs`), but tabs and ends of lines stay.
    """
    return [_plain_cell(cell) for cell in row]


def _plain_cell(cell: str) -> str:
    parts = [part if part in "\t\n\r" else _marked(part) for part in _ENDS_OF_CELLS.split(cell)]
    start = "'" if cell.startswith(("\t", "\n", "\r")) else ""
    return start + "".join(parts)


def _marked(part: str) -> str:
    """A part of a cell, with an apostrophe in front if a formula is what is seen of it first."""
    seen = (sign for sign in part if sign != '"' and unicodedata.category(sign) not in _UNSEEN)
    mark = "'" if next(seen, "") in _FORMULA_SIGNS else ""
    return mark + plain_signs(part)


def _piece_row(plan: Plan, item: CutItem, wording: Wording) -> tuple[str, ...]:
    show, told = wording.show, wording.plain
    shape = say("rectangle") if item.is_rectangle else say("trimmed to shape")
    return (
        "piece",
        wording.translate(item.piece.label),
        item.told_goods(with_role=True),
        str(item.count),
        str(item.count * plan.options.bags),
        f"{item.across:.3f}",
        f"{item.along:.3f}",
        show(item.across),
        show(item.along),
        told(shape),
        told(plan.grain_of(item)),
        " ".join(told(note) for note in item.notes),
        "",
        "",
    )  # fmt: skip


def _bought_rows(plan: Plan, wording: Wording) -> Iterator[tuple[str, ...]]:
    currency, told = wording.currency, wording.plain

    def paid(cost: float | None) -> tuple[str, str]:
        return ("", "") if cost is None else (f"{rounded(cost, currency):f}", currency)

    blanks = ("",) * 6
    for each in purchases(plan, wording.unit):
        row = (told(each.what), "", "", told(each.amount), *blanks, told(each.remark))
        yield ("to buy", *row, *paid(each.cost))
    for name, cost in total_lines(plan, currency):
        yield ("cost", told(name), "", "", "", *blanks, "", *paid(cost))
