"""Sorting out what is cut from one goods: in pairs on the fold, singly, on sheets, or not. mm."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from core.errors import Sentence
from core.findings import Finding, Severity
from core.flat.piece import Turn
from core.goods.cutlist import CutItem, CutList
from core.goods.making import Cutting
from core.goods.packing import Job, Rectangle, too_wide
from core.goods.sections import Section
from core.parts.layers import Layer, side_figure, width_finding
from core.tolerance import same_length, shorter


@dataclass(frozen=True, slots=True)
class Wanted:
    """One rectangle of a section.

    Attributes:
        item: what it is.
        bags: for which bag, from 1; two on folded goods, one from each layer.
        turned: whether the rectangle given to the packer is already turned by a quarter,
            because it fits no other way.
    """

    item: CutItem
    bags: tuple[int, ...]
    turned: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """A section, and what its rectangles are.

    Attributes:
        section: what is to be laid out.
        wanted: one per rectangle, in their order.
        folded: whether the goods is folded lengthwise for it.
    """

    section: Section
    wanted: tuple[Wanted, ...]
    folded: bool = False


@dataclass(frozen=True, slots=True)
class Sorted:
    """One goods, sorted out.

    Attributes:
        goods: what is cut.
        batches: what is laid, one after another.
        lacking: what does not fit: item, how many, why.
    """

    goods: Layer
    batches: tuple[Batch, ...]
    lacking: tuple[tuple[CutItem, int, Finding], ...]


def sort_out(
    cuts: CutList, goods: Layer, *, bags: int, gap: float, cutting: Cutting, folded: bool
) -> Sorted:
    """What is cut from one goods for so many bags, and how."""
    fitting: list[CutItem] = []
    lacking: list[tuple[CutItem, int, Finding]] = []
    for item in cuts.items_of(goods):
        finding = _lacks_room(cuts, item, goods)
        if finding is None:
            fitting.append(item)
        else:
            lacking.append((item, bags * item.count, finding))
    if folded and not goods.in_sheets:
        half = (goods.cutting_width - gap) / 2
        pairs, singles = _pairs(fitting, half, bags)
        batches = [
            _batch(pairs, half, gap, cutting, folded=True),
            _batch(singles, goods.cutting_width, gap, cutting),
        ]
    else:
        singles = [Wanted(item, (bag,)) for item in fitting for bag in _bags(item, bags)]
        sheet = goods.sheet_length if goods.in_sheets else None
        batches = [_batch(singles, goods.cutting_width, gap, cutting, sheet=sheet)]
    return Sorted(goods, tuple(batches), tuple(lacking))


def _bags(item: CutItem, bags: int) -> Iterator[int]:
    """The bag of each piece of an item, bag by bag."""
    return (bag for bag in range(1, bags + 1) for _ in range(item.count))


def _pairs(items: list[CutItem], half: float, bags: int) -> tuple[list[Wanted], list[Wanted]]:
    """Pieces two at a time where they fit on half the width; the odd one and the wide singly."""
    pairs: list[Wanted] = []
    singles: list[Wanted] = []
    for item in items:
        owners = list(_bags(item, bags))
        if half <= 0.0 or not _fits(item, half):
            singles += [Wanted(item, (bag,)) for bag in owners]
            continue
        even = len(owners) - len(owners) % 2
        pairs += [Wanted(item, (owners[n], owners[n + 1])) for n in range(0, even, 2)]
        singles += [Wanted(item, (bag,)) for bag in owners[even:]]
    return pairs, singles


def _fits(item: CutItem, width: float) -> bool:
    job = Job(rectangles=(_rectangle(item, width),), usable_width=width)
    return not too_wide(job)


def _batch(
    wanted: list[Wanted],
    width: float,
    gap: float,
    cutting: Cutting,
    *,
    folded: bool = False,
    sheet: float | None = None,
) -> Batch:
    if sheet is not None:
        wanted = [replace(each, turned=_only_turned(each.item, width, sheet)) for each in wanted]
    rectangles = tuple(_laid_rectangle(each, width, sheet) for each in wanted)
    # A fold leaves no width at all where the gap takes the whole of it.
    job = Job(
        rectangles=rectangles, usable_width=width if wanted else 1.0, gap=gap, cutting=cutting
    )
    return Batch(section=Section(job=job, sheet=sheet), wanted=tuple(wanted), folded=folded)


def _rectangle(item: CutItem, width: float) -> Rectangle:
    """The rough rectangle; a side that is as long as the goods is wide is exactly so long."""
    across, along = (
        width if same_length(side, width) else side for side in (item.across, item.along)
    )
    return Rectangle(width=across, height=along, turn=item.turn)


def _laid_rectangle(wanted: Wanted, width: float, sheet: float | None) -> Rectangle:
    plain = _rectangle(wanted.item, width)
    if wanted.turned:
        return Rectangle(width=plain.height, height=plain.width, turn=Turn.HALF)
    if sheet is not None and plain.may_turn and not _fit_on_sheet(plain, width, sheet, turned=True):
        return replace(plain, turn=Turn.HALF)
    return plain


# --- Whether a piece fits -------------------------------------------------------------------------


def _fit_on_sheet(piece: Rectangle, width: float, sheet: float, *, turned: bool) -> bool:
    across, along = (piece.height, piece.width) if turned else (piece.width, piece.height)
    return not shorter(width, across) and not shorter(sheet, along)


def _only_turned(item: CutItem, width: float, sheet: float) -> bool:
    plain = _rectangle(item, width)
    return not _fit_on_sheet(plain, width, sheet, turned=False)


def _lacks_room(cuts: CutList, item: CutItem, goods: Layer) -> Finding | None:
    """Why a piece cannot be cut from these goods; None when it can."""
    finding = width_finding(cuts.result.draft.piece(item.piece), item.goods)
    if finding is not None or not goods.in_sheets:
        return finding
    plain = _rectangle(item, goods.cutting_width)
    ways = (False, True) if item.turn is Turn.QUARTER else (False,)
    sheet = (goods.cutting_width, goods.sheet_length)
    if any(_fit_on_sheet(plain, *sheet, turned=way) for way in ways):
        return None
    # What the width takes is too long for the sheet: each way that the width takes is.
    fitting = [way for way in ways if _fit_on_sheet(plain, sheet[0], math.inf, turned=way)]
    turned = min(fitting, key=lambda way: plain.width if way else plain.height)
    piece = cuts.result.draft.piece(item.piece)
    return Finding(
        code="wider-than-goods",
        severity=Severity.STOP,
        figure=side_figure(piece, along=not turned),
        value=item.across if turned else item.along,
        limit=goods.sheet_length,
        message=Sentence(
            _NO_SHEET,
            {"across": item.across, "along": item.along, "width": sheet[0], "length": sheet[1]},
            {"piece": item.piece, "goods": goods.title},
        ),
    )


_NO_SHEET = (
    "The {piece} measures {across} by {along}, but a sheet of {goods} only {width} by {length}: "
    "join it from parts with a seam, or take larger sheets."
)
