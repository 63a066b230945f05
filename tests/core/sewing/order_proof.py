"""What breaks an order of sewing, walked through step by step: independent of how it was found."""

from collections import Counter
from collections.abc import Iterable, Sequence
from enum import Enum, auto
from itertools import pairwise
from typing import NamedTuple

from core.flat.roles import SeamId
from core.flat.seam import Draft
from core.work.operation import Operation
from core.work.states import State


class Breach(Enum):
    """What is wrong with a step."""

    UNKNOWN = auto()
    TWICE = auto()
    LEFT_OUT = auto()
    MISSING = auto()
    """It needs what is not there yet."""
    EARLY = auto()
    """It must wait for what another step makes."""
    BLOCKED = auto()
    """What is there already is in its way."""


class Fault(NamedTuple):
    """One step that breaks an order.

    Attributes:
        breach: what is wrong.
        step: key of the operation that cannot be done where it stands.
        number: its place in the order, from 1; 0 when it is left out.
        other: key of the operation that should come first, or that is in the way; empty when
            there is none.
    """

    breach: Breach
    step: str
    number: int = 0
    other: str = ""


def faults_in(
    operations: Iterable[Operation], order: Sequence[str | Operation]
) -> tuple[Fault, ...]:
    """Every step of an order, operations or their keys, that breaks it."""
    every = {each.key: each for each in operations}
    makers: dict[State, list[str]] = {}
    for each in every.values():
        for state in each.makes:
            makers.setdefault(state, []).append(each.key)
    made: dict[State, str] = {}
    done: dict[str, None] = {}
    found: list[Fault] = []
    for place, step in enumerate(order, start=1):
        key = step if isinstance(step, str) else step.key
        if key not in every or key in done:
            found.append(Fault(Breach.TWICE if key in done else Breach.UNKNOWN, key, place))
            continue
        operation = every[key]
        for state in operation.needs:
            # A state that several make is there once all of them are done.
            late = [maker for maker in makers.get(state, [""]) if maker not in done]
            found += (Fault(Breach.MISSING, key, place, maker) for maker in late)
        for state in operation.after:
            late = [maker for maker in makers.get(state, ()) if maker not in (*done, key)]
            found += (Fault(Breach.EARLY, key, place, maker) for maker in late)
        for state in operation.until:
            if state in made:
                found.append(Fault(Breach.BLOCKED, key, place, made[state]))
        done[key] = None
        made |= dict.fromkeys(operation.makes, key)
    return (*found, *(Fault(Breach.LEFT_OUT, key) for key in every if key not in done))


def changes(order: Sequence[Operation]) -> int:
    """How often the machine's setting changes; work by hand between leaves it as it is."""
    settings = [each.setting for each in order if each.setting is not None]
    return sum(one != other for one, other in pairwise(settings))


def wrongly_used(draft: Draft, operations: Iterable[Operation]) -> tuple[str, ...]:
    """Pieces never handled, and seams and marks not used exactly once: one short text for each."""
    every = tuple(operations)
    handled = Counter({draft.piece(piece).label: 1 for each in every for piece in each.pieces})
    sewn = Counter(_seam_name(draft, seam) for each in every for seam in each.seams)
    used = Counter(
        f"{draft.piece(ref.piece).label} {ref.index}" for each in every for ref in each.marks
    )
    marks = {
        f"{piece.label} {index}" for piece in draft.pieces for index in range(len(piece.marks))
    }
    return (
        *_uneven(handled, {piece.label for piece in draft.pieces}, "piece"),
        *_uneven(sewn, {seam.label for seam in draft.seams}, "seam"),
        *_uneven(used, marks, "mark"),
    )


def _seam_name(draft: Draft, seam: SeamId) -> str:
    return next((each.label for each in draft.seams if each.id == seam), str(seam))


def _uneven(used: Counter[str], wanted: set[str], what: str) -> tuple[str, ...]:
    return tuple(
        f"{what} {name}: used {used[name]} times"
        for name in sorted(wanted | set(used))
        if used[name] != 1 or name not in wanted
    )
