"""The order of sewing: what must come before what, and the order that changes least.

Needs make a graph. Among the orders that it allows, one with the fewest changes of the
machine's setting is taken, because a change forgotten is the classic slip. Work by hand is
told right before what needs it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise
from types import MappingProxyType

from core.base.errors import CornerwrightError, Sentence
from core.work.operation import Kind, Operation, Setting, State

Graph = Mapping[str, frozenset[str]]
"""Key of an operation -> keys of those that must come before it."""


class OrderError(CornerwrightError):
    """Operations that wait for one another."""


def precedence(operations: Iterable[Operation]) -> Graph:
    """What must come before what.

    An operation comes after the makers of what it needs, or is to come after; and before
    the makers of what would be in its way.
    """
    operations = tuple(operations)
    makers: dict[State, list[str]] = {}
    for each in operations:
        for state in each.makes:
            makers.setdefault(state, []).append(each.key)
    before: dict[str, set[str]] = {each.key: set() for each in operations}
    for each in operations:
        for state in (*each.needs, *each.after):
            before[each.key].update(makers.get(state, ()))
        for state in each.until:
            for key in makers.get(state, ()):
                before[key].add(each.key)
    return MappingProxyType({key: frozenset(found - {key}) for key, found in before.items()})


def reduced(graph: Graph) -> Graph:
    """The graph without what follows from the rest: only direct predecessors."""
    every = _ancestors(graph)
    return MappingProxyType(
        {
            key: frozenset(
                one for one in before if not any(one in every[other] for other in before)
            )
            for key, before in graph.items()
        }
    )


def _ancestors(graph: Graph) -> dict[str, frozenset[str]]:
    found: dict[str, frozenset[str]] = {}
    for key in plain_order(graph):
        before = graph[key]
        found[key] = before.union(*(found[one] for one in before))
    return found


def plain_order(graph: Graph) -> tuple[str, ...]:
    """A topological order; of those that are free the one told first comes first.

    Raises:
        OrderError: some operations wait for one another.
    """
    done: dict[str, None] = {}
    waiting = list(graph)
    while waiting:
        free = next((key for key in waiting if graph[key] <= done.keys()), None)
        if free is None:
            names = ", ".join(waiting)
            raise OrderError(
                Sentence("These operations wait for one another: {names}.", words={"names": names})
            )
        done[free] = None
        waiting.remove(free)
    return tuple(done)


def sewing_order(operations: Iterable[Operation]) -> tuple[Operation, ...]:
    """The operations in an order that changes the machine's setting as rarely as can be.

    The same operations always come in the same order.

    Raises:
        OrderError: some operations wait for one another.
    """
    by_key = {each.key: each for each in operations}
    graph = precedence(by_key.values())
    plain_order(graph)
    settings = {key: each.setting for key, each in by_key.items()}
    machine = [key for block in _blocks(graph, settings) for key in block if settings[key]]
    at_once = [key for key, each in by_key.items() if each.kind in (Kind.WASH, Kind.CUT)]
    return tuple(by_key[key] for key in _with_hand_work(graph, machine, at_once))


def changes(order: Sequence[Operation]) -> int:
    """How often the machine's setting changes; work by hand between leaves it as it is."""
    settings = [each.setting for each in order if each.setting is not None]
    return sum(one != other for one, other in pairwise(settings))


def _blocks(graph: Graph, settings: Mapping[str, Setting | None]) -> tuple[tuple[str, ...], ...]:
    """The fewest runs of one setting that do everything.

    Whatever can be done without a change may as well be done at once: it never makes a
    later change necessary. So a sequence of settings settles what is done, and the shortest
    is found by trying all sequences, breadth first, each reached state once.
    """
    start = _run_on(graph, settings, frozenset(), None)
    level: list[tuple[frozenset[str], tuple[tuple[str, ...], ...]]] = [(frozenset(start), (start,))]
    seen = {level[0][0]}
    while True:
        following: list[tuple[frozenset[str], tuple[tuple[str, ...], ...]]] = []
        for done, blocks in level:
            if len(done) == len(graph):
                return blocks
            for setting in _on_offer(graph, settings, done):
                block = _run_on(graph, settings, done, setting)
                reached = done.union(block)
                if reached not in seen:
                    seen.add(reached)
                    following.append((reached, (*blocks, block)))
        level = following


def _on_offer(
    graph: Graph, settings: Mapping[str, Setting | None], done: frozenset[str]
) -> list[Setting]:
    """Settings of operations that could be next, in the order in which those are told."""
    free = (key for key in graph if key not in done and graph[key] <= done)
    return list(dict.fromkeys(found for key in free if (found := settings[key]) is not None))


def _run_on(
    graph: Graph,
    settings: Mapping[str, Setting | None],
    done: frozenset[str],
    setting: Setting | None,
) -> tuple[str, ...]:
    """Everything that can be done by hand and with one setting, one after the other."""
    reached = set(done)
    block: list[str] = []
    waiting = [key for key in graph if key not in done and settings[key] in (None, setting)]
    while True:
        free = next((key for key in waiting if graph[key] <= reached), None)
        if free is None:
            return tuple(block)
        waiting.remove(free)
        reached.add(free)
        block.append(free)


def _with_hand_work(
    graph: Graph, machine: Iterable[str], at_once: Sequence[str]
) -> tuple[str, ...]:
    """The machine's order with each work by hand right before what first needs it.

    What is washed or cut is so as soon as it can be.
    """
    told = {key: place for place, key in enumerate(graph)}
    done: dict[str, None] = {}

    def tell(key: str) -> None:
        if key in done:
            return
        for before in sorted(graph[key], key=told.__getitem__):
            tell(before)
        done[key] = None
        begin()

    def begin() -> None:
        waiting = [key for key in at_once if key not in done]
        while free := next((key for key in waiting if graph[key] <= done.keys()), None):
            done[free] = None
            waiting.remove(free)

    begin()
    for key in (*machine, *graph):
        tell(key)
    return tuple(done)


# --- check ---
# Checking an order, however it was made: what does not exist yet, what is in the way.
#
# The three things that a maker finds out too late are all of one kind: something is there already,
# or is not there yet. The zip is shut when the bag has to be turned; the other layer is already
# joined beneath a seam that must lie flat; a layer that melts is in before the heat.


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
