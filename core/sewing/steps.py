"""The steps: the operations of a bag in order, numbered, with what changes at the machine.

Everything that is written or shown about the order of sewing reads these.
"""

from dataclasses import dataclass
from typing import Any

from core.bag.compute import Result
from core.base.sentences import ENGLISH, Language, Sentence, ShowLength, show_millimetres
from core.base.tolerance import clean_number
from core.flat.seam import Draft
from core.sewing.gather import operations
from core.sewing.order import precedence, reduced, sewing_order
from core.work.machine import Setting, SettingChange
from core.work.operation import Operation


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    Attributes:
        number: from 1.
        needs: numbers of earlier steps that it builds on directly.
        change: of the machine's setting before it; None when the machine stays as it is.
    """

    number: int
    operation: Operation
    needs: tuple[int, ...]
    change: SettingChange | None

    @property
    def without_change(self) -> Sentence | None:
        """How to do without the change; None where nothing changes or there is no way."""
        if self.change is None or self.change.before is None:
            return None
        return self.operation.without_change

    def text(self, show: ShowLength = show_millimetres, translate: Language = ENGLISH) -> str:
        """What to do, in one paragraph."""
        return " ".join(each.text(show, translate) for each in self.operation.instructions)

    def caution(
        self, show: ShowLength = show_millimetres, translate: Language = ENGLISH
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
        change: SettingChange | None = None
        if operation.setting is not None and operation.setting != setting:
            change = SettingChange(setting, operation.setting)
            setting = operation.setting
        needs = tuple(sorted(numbers[key] for key in direct[operation.key]))
        found.append(Step(number, operation, needs, change))
    return tuple(found)


def steps_object(
    found: tuple[Step, ...],
    draft: Draft,
    show: ShowLength = show_millimetres,
    translate: Language = ENGLISH,
) -> dict[str, Any]:
    """The steps as one JSON object; lengths beside the texts are mm, what is not there null."""
    return {
        "steps": [
            {
                "number": step.number,
                "operation": step.operation.key,
                "text": step.text(show, translate),
                "pieces": [draft.piece(piece).label for piece in step.operation.pieces],
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
        "seam_allowance": clean_number(step.operation.allowance),
        "iron": pressing.heat.value if pressing else None,
        "press_cloth": pressing.cloth if pressing else None,
        "changes": list(step.change.names) if step.change else [],
    }
