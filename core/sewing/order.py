"""The order of sewing: what must come before what, and the order that changes least.

Needs make a graph. Among the orders that it allows, one with the fewest changes of the
machine's setting is taken, because a change forgotten is the classic slip. Work by hand is
told right before what needs it.
"""

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from core.base.errors import CornerwrightError
from core.base.sentences import say
from core.work.machine import Setting
from core.work.operation import Action, Operation
from core.work.states import State

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

    An OrderError names operations that wait for one another.
    """
    done: dict[str, None] = {}
    waiting = list(graph)
    while waiting:
        free = next((key for key in waiting if graph[key] <= done.keys()), None)
        if free is None:
            names = ", ".join(waiting)
            raise OrderError(
                say("These operations wait for one another: {names}.", words={"names": names})
            )
        done[free] = None
        waiting.remove(free)
    return tuple(done)


def sewing_order(operations: Iterable[Operation]) -> tuple[Operation, ...]:
    """The operations in an order that changes the machine's setting as rarely as can be.

    The same operations always come in the same order. An OrderError names those that wait for one
    another.
    """
    by_key = {each.key: each for each in operations}
    graph = precedence(by_key.values())
    plain_order(graph)
    settings = {key: each.setting for key, each in by_key.items()}
    machine = [key for block in _blocks(graph, settings) for key in block if settings[key]]
    at_once = [key for key, each in by_key.items() if each.action in (Action.WASH, Action.CUT)]
    return tuple(by_key[key] for key in _with_hand_work(graph, machine, at_once))


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
