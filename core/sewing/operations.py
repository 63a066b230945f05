"""Every operation of a bag, gathered from its parts.

A new part brings its operations in a file of its own; it is listed here, and shares states
(core.sewing.bench) with the parts that must come before or after it.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from core.bag import Bag
from core.flat.draft import Draft
from core.sewing.bench import WASHED, bench_of
from core.sewing.board import sew_board
from core.sewing.closure import sew_closure
from core.sewing.finish import finish_bag
from core.sewing.handles import sew_handles
from core.sewing.layers import sew_layers
from core.sewing.marking import prepare_panel
from core.sewing.operation import Kind, MarkRef, Operation
from core.sewing.panel import close_bag, cut_corners, sew_bottom
from core.sewing.pocket import sew_pocket


def operations(bag: Bag, draft: Draft) -> tuple[Operation, ...]:
    """What is to be done for this bag, in the order in which a maker would tell it.

    That order settles nothing: what comes before what is decided by what each operation
    needs and makes, and only ties go by this telling.
    """
    bench = bench_of(bag, draft)
    every = (
        *prepare_panel(bench),
        *(sew_handles(bench, bag.handles) if bag.handles else ()),
        *(sew_pocket(bench, bag.pocket) if bag.pocket else ()),
        *(sew_board(bench, bag.board) if bag.board else ()),
        *sew_layers(bench),
        *sew_bottom(bench),
        *cut_corners(bench),
        *sew_closure(bench),
        *close_bag(bench),
        *finish_bag(bench),
    )
    return tuple(_washed_before(each) if each.kind is Kind.CUT else each for each in every)


def _washed_before(cutting: Operation) -> Operation:
    """Nothing is cut before the goods that shrink are washed, if there are any."""
    return replace(cutting, after=(*cutting.after, WASHED))


def wrongly_used(draft: Draft, found: Iterable[Operation]) -> tuple[str, ...]:
    """Pieces, seams and marks that are not used exactly once: one short text for each."""
    found = tuple(found)
    entered = Counter(name for each in found for name in each.enters)
    sewn = Counter(name for each in found for name in each.seams)
    marks = Counter(ref for each in found for ref in each.marks)
    wrong = _uneven(entered, {piece.name for piece in draft.pieces}, "piece")
    wrong += _uneven(sewn, {seam.name for seam in draft.seams}, "seam")
    every = {
        MarkRef(piece.name, index) for piece in draft.pieces for index in range(len(piece.marks))
    }
    named = {ref: f"{ref.piece} {ref.index}" for ref in every | set(marks)}
    used = Counter({named[ref]: count for ref, count in marks.items()})
    return (*wrong, *_uneven(used, {named[ref] for ref in every}, "mark"))


def _uneven(used: Counter[str], wanted: set[str], what: str) -> tuple[str, ...]:
    return tuple(
        f"{what} {name}: used {used[name]} times"
        for name in sorted(wanted | set(used))
        if used[name] != 1 or name not in wanted
    )
