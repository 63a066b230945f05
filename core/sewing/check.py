"""Checking an order, however it was made: what does not exist yet, what is in the way.

The three things that a maker finds out too late are all of one kind: something is there
already, or is not there yet. The zip is shut when the bag has to be turned; the other layer
is already joined beneath a seam that must lie flat; a layer that melts is in before the heat.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum

from core.errors import Sentence
from core.sewing.operation import Operation, State


class FaultKind(Enum):
    """What is wrong with a step."""

    UNKNOWN = "not a step of this bag"
    TWICE = "done twice"
    LEFT_OUT = "left out"
    MISSING = "needs something that is not there yet"
    EARLY = "must wait"
    BLOCKED = "something is in the way"


@dataclass(frozen=True, slots=True)
class OrderFault:
    """One step that breaks an order.

    Attributes:
        kind: what is wrong.
        step: key of the operation that cannot be done where it stands.
        number: its place in the order, from 1; 0 when it is left out.
        other: key of the operation that should come first, or that is in the way; empty when
            there is none.
        message: one sentence.
    """

    kind: FaultKind
    step: str
    number: int
    other: str
    message: Sentence


def check_order(
    operations: Iterable[Operation], order: Sequence[str | Operation]
) -> tuple[OrderFault, ...]:
    """Go through an order step by step and name every step that breaks it.

    Args:
        operations: what this bag needs.
        order: the same operations, or their keys, in the order to be judged.
    """
    walk = _Walk({each.key: each for each in operations})
    for place, each in enumerate(order, start=1):
        walk.step(place, each if isinstance(each, str) else each.key)
    walk.finish()
    return tuple(walk.faults)


class _Walk:
    """The state of the work on the way through an order."""

    def __init__(self, operations: dict[str, Operation]) -> None:
        self.operations = operations
        self.faults: list[OrderFault] = []
        self._made: dict[State, str] = {}
        self._done: set[str] = set()
        self._makers = {state: each.key for each in operations.values() for state in each.makes}

    def step(self, place: int, key: str) -> None:
        """Do one operation, and remember what was wrong with it."""
        operation = self.operations.get(key)
        if operation is None:
            self._fault(FaultKind.UNKNOWN, key, place, "", _UNKNOWN)
            return
        if key in self._done:
            self._fault(FaultKind.TWICE, key, place, "", _TWICE)
            return
        for state in operation.needs:
            if state not in self._made:
                maker = self._makers.get(state, "")
                told = _MISSING if maker else _NEVER
                self._fault(FaultKind.MISSING, key, place, maker, told, state, state.missing)
        for state in operation.after:
            if state not in self._made and state in self._makers:
                maker = self._makers[state]
                self._fault(FaultKind.EARLY, key, place, maker, _EARLY, state, state.missing)
        for state in operation.until:
            if state in self._made:
                maker = self._made[state]
                self._fault(FaultKind.BLOCKED, key, place, maker, _BLOCKED, state, state.blocks)
        self._done.add(key)
        self._made |= dict.fromkeys(operation.makes, key)

    def finish(self) -> None:
        """What the order never did."""
        for key in self.operations:
            if key not in self._done:
                self._fault(FaultKind.LEFT_OUT, key, 0, "", _LEFT_OUT)

    def _fault(
        self,
        kind: FaultKind,
        key: str,
        place: int,
        other: str,
        template: str,
        state: State | None = None,
        reason: str = "",
    ) -> None:
        words = {"number": str(place), "step": key, "other": other}
        if state is not None:
            words["state"] = state.name
        if reason:
            template += " {reason}"
            words["reason"] = reason
        self.faults.append(OrderFault(kind, key, place, other, Sentence(template, words=words)))


_UNKNOWN = "Step {number}, “{step}”, does not belong to this bag."
_TWICE = "Step {number}, “{step}”, was already done."
_LEFT_OUT = "“{step}” is missing."
_MISSING = "Step {number}, “{step}”, comes too early: “{other}” must come first ({state})."
_NEVER = "Step {number}, “{step}”, needs something that no step makes ({state})."
_EARLY = "Step {number}, “{step}”, comes too early: “{other}” should come first ({state})."
_BLOCKED = "Step {number}, “{step}”, comes too late: “{other}” is already done ({state})."
