"""Every operation of a bag, gathered from its parts.

A new part brings its operations in a file of its own; it is listed here, and shares states
(core.sewing.bench) with the parts that must come before or after it.
"""

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

from core.bag.bag import Bag
from core.bag.compute import Result
from core.base.errors import Sentence, ShowLength, show_millimetres
from core.flat.seam import Draft
from core.sewing.bench import WASHED, bench_of
from core.sewing.board import sew_board
from core.sewing.closure import sew_closure
from core.sewing.finish import finish_bag
from core.sewing.handles import sew_handles
from core.sewing.layers import sew_layers
from core.sewing.marking import prepare_panel
from core.sewing.order import precedence, reduced, sewing_order
from core.sewing.panel import close_bag, cut_corners, sew_bottom
from core.sewing.pocket import sew_pocket
from core.work.operation import Kind, MarkRef, Operation, Pressing, Setting


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


# --- steps ---
# The steps: operations in order, numbered, with what changes at the machine.
#
# Everything that is written or shown about the order of sewing reads these.


Translate = Callable[[str], str]
_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Change:
    """What is to be changed at the machine before a step.

    Attributes:
        before: how it was set; None at the first seam.
        now: how it is to be set.
    """

    before: Setting | None
    now: Setting

    @property
    def names(self) -> tuple[str, ...]:
        """What differs: stitch, stitch_length, width, foot; everything at the first seam."""
        pairs = (("stitch", "stitch"), ("stitch_length", "length"), ("width", "width"))
        names = (*pairs, ("foot", "foot"))
        if self.before is None:
            return tuple(name for name, _ in names if name != "width" or self.now.width)
        return tuple(
            name
            for name, attribute in names
            if getattr(self.before, attribute) != getattr(self.now, attribute)
        )

    @property
    def sentences(self) -> tuple[Sentence, ...]:
        """One short sentence for each thing to change; a straight stitch has no width to set."""
        names = (name for name in self.names if name != "width" or self.now.width)
        return tuple(_CHANGES[name](self) for name in names)


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    Attributes:
        number: from 1.
        operation: what is done.
        needs: numbers of earlier steps that it builds on directly.
        change: of the machine's setting before it; None when the machine stays as it is.
    """

    number: int
    operation: Operation
    needs: tuple[int, ...]
    change: Change | None

    def text(self, show: ShowLength = show_millimetres, translate: Translate = str) -> str:
        """What to do, in one paragraph."""
        return " ".join(each.text(show, translate) for each in self.operation.do)

    def caution(
        self, show: ShowLength = show_millimetres, translate: Translate = str
    ) -> str | None:
        """What may be hurt; None for nothing."""
        told = self.operation.caution
        return told.text(show, translate) if told else None


def steps(result: Result) -> tuple[Step, ...]:
    """How this bag is sewn."""
    every = operations(result.bag, result.draft)
    direct = reduced(precedence(every))
    numbers: dict[str, int] = {}
    found: list[Step] = []
    setting: Setting | None = None
    for number, operation in enumerate(sewing_order(every), start=1):
        numbers[operation.key] = number
        change: Change | None = None
        if operation.setting is not None and operation.setting != setting:
            change = Change(setting, operation.setting)
            setting = operation.setting
        needs = tuple(sorted(numbers[key] for key in direct[operation.key]))
        found.append(Step(number, operation, needs, change))
    return tuple(found)


def stitch_length(length: float) -> Sentence:
    """A stitch length as it is set and counted: always mm, and stitches to the inch."""
    per_inch = _PER_INCH / length
    return Sentence(
        "{mm} mm ({count} stitches to the inch)",
        words={"mm": f"{length:g}", "count": f"{per_inch:.0f}"},
    )


def pressing_text(pressing: Pressing) -> Sentence:
    """How hot, and whether through a cloth."""
    template = "{heat}, through a press cloth" if pressing.cloth else "{heat}"
    return Sentence(template, words={"heat": pressing.heat.value})


def steps_object(
    found: tuple[Step, ...], show: ShowLength = show_millimetres, translate: Translate = str
) -> dict[str, Any]:
    """The steps as one JSON object; lengths beside the texts are mm, what is not there null."""
    return {
        "steps": [
            {
                "number": step.number,
                "operation": step.operation.key,
                "text": step.text(show, translate),
                "pieces": list(step.operation.pieces),
                "needs": list(step.needs),
                "setting": _setting_object(step),
                "caution": step.caution(show, translate),
            }
            for step in found
        ]
    }


def _setting_object(step: Step) -> dict[str, Any]:
    setting, pressing = step.operation.setting, step.operation.pressing
    return {
        "stitch": setting.stitch.value if setting else None,
        "stitch_length": setting.length if setting else None,
        "stitch_width": (setting.width or None) if setting else None,
        "foot": setting.foot.value if setting else None,
        "seam_allowance": _clean(step.operation.allowance),
        "iron": pressing.heat.value if pressing else None,
        "press_cloth": pressing.cloth if pressing else None,
        "changes": list(step.change.names) if step.change else [],
    }


def _clean(length: float | None) -> float | None:
    """Free of float noise."""
    return None if length is None else round(length, 9) + 0.0


def _stitch_change(change: Change) -> Sentence:
    now = change.now.stitch
    return Sentence(
        "Stitch: {label} (type {number}).", words={"label": now.label, "number": now.value}
    )


def _length_change(change: Change) -> Sentence:
    words = {"now": f"{change.now.length:g}", "count": f"{_PER_INCH / change.now.length:.0f}"}
    if change.before is None:
        return Sentence("Stitch length: {now} mm ({count} to the inch).", words=words)
    return Sentence(
        "Stitch length: from {before} mm to {now} mm ({count} to the inch).",
        words={"before": f"{change.before.length:g}", **words},
    )


def _width_change(change: Change) -> Sentence:
    return Sentence("Stitch width: {now} mm.", words={"now": f"{change.now.width:g}"})


def _foot_change(change: Change) -> Sentence:
    return Sentence("Foot: {foot}.", words={"foot": change.now.foot.value})


_CHANGES: dict[str, Callable[[Change], Sentence]] = {
    "stitch": _stitch_change,
    "stitch_length": _length_change,
    "width": _width_change,
    "foot": _foot_change,
}
