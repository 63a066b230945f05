"""What hangs together at a step: what is not joined to it yet is away, and no picture shows it."""

from collections.abc import Collection, Sequence

from core.flat.roles import PieceId
from core.work.operation import Action, Operation


def away(walls: Collection[object], done: Sequence[Operation], now: Operation) -> frozenset[object]:
    """Of the walls, those that what is handled now does not hang together with.

    The steps done before and this one have joined what they join. Where only pieces that nothing
    is joined to are handled, they are what is seen.
    """
    joins = [set(each.pieces) for each in (*done, now) if each.action is Action.JOIN]
    groups: list[set[PieceId]] = []
    for pieces in joins:
        met = [group for group in groups if group & pieces]
        groups = [group for group in groups if group not in met] + [pieces.union(*met)]
    handled = set(now.pieces)
    together = set().union(*(group for group in groups if group & handled and len(group) > 1))
    seen = (together or handled) & set(walls)
    return frozenset(walls) - seen if seen else frozenset()
