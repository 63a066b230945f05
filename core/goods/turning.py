"""Which pieces lie turned by a quarter: ways of turning to choose from, the plainest first.

What is seen from outside lies with its grain arrow along the goods, and is turned only where
less is bought for it. Panel and pocket of one bag are turned together, so that their grain
agrees on its faces; only a maker who says so has them turned each by itself.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from core.goods.cutlist import CutItem

_FEW = 40
"""Bags up to which some are turned and others not (own choice)."""

Ways = tuple[bool, ...]
"""Whether a piece lies turned by a quarter, for each way that it may lie."""


@dataclass(frozen=True, slots=True)
class Turning:
    """One way of turning the pieces of a plan.

    Attributes:
        bags: of so many bags, from the first, all that shows is turned.
        free: parts whose pieces are turned each by itself, though they are seen from outside.
    """

    bags: int = 0
    free: frozenset[str] = frozenset()

    def ways(self, item: CutItem, bag: int, fitting: Ways) -> Ways:
        """How a piece is to lie.

        Args:
            item: what it is.
            bag: for which bag, from 1.
            fitting: ways in which its goods can take it, at least one: what fits no other way
                lies as it fits.
        """
        if not item.outer or item.part in self.free:
            return fitting
        wanted = bool(item.shows and bag <= self.bags)
        return (wanted,) if wanted in fitting else fitting


def turnings(showing: Iterable[tuple[CutItem, Ways]], bags: int, *, mixed: bool) -> list[Turning]:
    """The ways of turning that are worth a try, the plainest first.

    Args:
        showing: what shows of one bag, and the ways in which its goods can take each.
        bags: how many are made.
        mixed: whether panel and pocket may be turned each by itself.
    """
    found = list(showing)
    counts = [0]
    if found and all(True in fitting for _, fitting in found):
        # What fits only turned takes all that shows beside it with it.
        straight = all(False in fitting for _, fitting in found)
        counts = _counts(bags) if straight else [bags]
    strips = frozenset({"handles"})
    plain = [Turning(count, free) for count in counts for free in (frozenset[str](), strips)]
    if not mixed:
        return plain
    parts = sorted({item.part for item, _ in found})
    groups = [frozenset({part}) for part in parts]
    if len(parts) > 1:
        groups.append(frozenset(parts))
    return [*plain, *(Turning(0, group | strips) for group in groups)]


def _counts(bags: int) -> list[int]:
    """Of how many bags all that shows is turned: none first, then a few, half, most and all.

    Large numbers have little to gain from a bag more or less.
    """
    some = {1, bags // 2, bags - 1} if bags <= _FEW else set[int]()
    return sorted({0, bags} | some)
