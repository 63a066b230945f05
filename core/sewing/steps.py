"""The steps: operations in order, numbered, with what changes at the machine.

Everything that is written or shown about the order of sewing reads these.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from core.compute import Result
from core.errors import Sentence, ShowLength, show_millimetres
from core.sewing.operation import Operation, Pressing, Setting
from core.sewing.operations import operations
from core.sewing.order import precedence, reduced, sewing_order

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
