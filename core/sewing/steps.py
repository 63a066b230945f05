"""The steps of a bag: its operations, gathered, put in order, numbered, and what changes between.

Each of body, top, parts and wall tells its own operations; they meet in shared states
(core.work.states) and in what body and top say of one another (core.work.bench). No part is named
here. Everything that is written or shown about the order of sewing reads the steps.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from core.bag.bag import Bag
from core.bag.compute import Result, measure, measure_drawn
from core.base.sentences import (
    ENGLISH,
    Language,
    Number,
    Sentence,
    ShowLength,
    mark,
    say,
    show_millimetres,
)
from core.base.tolerance import clean_number
from core.flat.seam import Draft
from core.goods.layers import Layer, common_shrinkage
from core.model.figures import NO_TAKE_UP
from core.model.record import ROLE
from core.sewing.order import precedence, reduced, sewing_order
from core.sewing.wall_work import wall_operations
from core.work.bench import Bench, Cloth
from core.work.machine import Setting, SettingChange
from core.work.operation import Action, Operation
from core.work.states import WASHED


def operations(bag: Bag, draft: Draft) -> tuple[Operation, ...]:
    """What is to be done for this bag, in the order in which a maker would tell it.

    That order settles nothing: what comes before what is decided by what each operation
    needs and makes, and only ties go by this telling.
    """
    bench = bench_of(bag, draft)
    parts = sorted(bag.parts.values(), key=lambda part: part.SEWING_RANK)
    own = [*bag.body.operations(bench), *bag.top.operations(bench)]
    own += (each for part in parts for each in part.operations(bench))
    markings = [*bag.body.markings(bench)]
    markings += (each for part in bag.parts.values() for each in part.markings(bench))
    basting = any(each.action is Action.BASTE and each.setting is not None for each in own)
    wall = wall_operations(
        bench,
        bag.cloth,
        markings,
        is_basted=bench.layered or basting,
        why_pressed_now=next(filter(None, (part.why_pressed_now for part in parts)), None),
    )
    # Nothing is cut before the goods that shrink are washed, if there are any.
    return tuple(
        replace(each, after=(*each.after, WASHED)) if each.action is Action.CUT else each
        for each in sorted((*own, *wall), key=lambda each: each.phase)
    )


def bench_of(bag: Bag, draft: Draft) -> Bench:
    """The bag on the table."""
    sandwich, finished = bag.sandwich, measure(bag, draft)
    drawn = measure_drawn(bag, draft)
    layers = _numbered(sandwich.layers)
    rests = any(part.rests_on_wall for part in bag.parts.values())
    return Bench(
        unit=bag.unit,
        draft=draft,
        site=bag.site,
        finished=finished,
        drawn=drawn,
        takes_up=bag.take_up != NO_TAKE_UP,
        has_straps=any(part.IS_STRAP for part in bag.parts.values()),
        walls=tuple(piece.id for piece in draft.walls),
        faces={face: seat.piece for face, seat in bag.site.seats.items()},
        layers=tuple(map(_cloth, layers)),
        first=len(sandwich.first_laid) if rests else len(layers),
        under_board=tuple(map(_cloth, sandwich.under_board)),
        goods={piece.id: tuple(map(_cloth, bag.goods_of(piece))) for piece in draft.pieces},
        baste_line=sandwich.baste_line,
        parts=bag.parts,
        cut_larger=tuple(_cut_larger(layers)),
        still_shrinks=any(each.shrinks and not each.cut_washed for each in layers),
        closing=bag.body.closing_work(),
        opening=bag.top.opening_work(bag.site.mouth, drawn, finished),
        crossings=bag.crossings,
    )


def _cloth(layer: Layer) -> Cloth:
    return Cloth(layer.role, layer.pressed, layer.melts, layer.fusible, layer.wipe_clean)


def _numbered(layers: Sequence[Layer]) -> tuple[Layer, ...]:
    """The wall's layers; where two do the same, their roles tell which."""
    count = Counter(layer.role for layer in layers)
    return tuple(
        replace(layer, role=_with_place(layer.role, place)) if count[layer.role] > 1 else layer
        for place, layer in enumerate(layers, start=1)
    )


def _with_place(role: str, place: int) -> str:
    """A role that several layers have, told apart; a long one is cut to what a role may have."""
    told = mark("{role} (layer {number})")
    room = ROLE.most - len(told.format(role="", number=place))
    return told.format(role=role[:room].rstrip(), number=place)


def _cut_larger(layers: tuple[Layer, ...]) -> list[Sentence]:
    """What is still to shrink; where all layers do so alike, what that means for the bag."""
    alike = common_shrinkage(layers)
    if alike is None:
        return [
            say(
                "Cut the {layer} larger, as in the cut list: it is not washed first and will "
                "shrink.",
                words={"layer": layer.role},
            )
            for layer in layers
            if layer.shrinks and not layer.cut_washed
        ]
    if max(alike) <= 0.0:
        return []
    longer, wider = (Number(100 * (1 / (1 - share) - 1), digits=3) for share in alike)
    if longer.text() == wider.text():
        template = mark(
            "The material is not washed first: make this and every later distance {longer} "
            "% larger, except for whatever does not shrink. After "
            "its first wash the bag has the sizes given here."
        )
    else:
        template = mark(
            "The material is not washed first: make this and every later distance {longer} "
            "% larger along the material and {wider} % across it, except for whatever does "
            "not shrink. After its first wash the bag has the "
            "sizes given here."
        )
    return [say(template, numbers={"longer": longer, "wider": wider})]


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
