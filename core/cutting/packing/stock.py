"""What is to be laid, in whole grains: piles of equal rectangles, and where they come to lie.

A grain is `LENGTH_TOLERANCE`, so that laying is exact arithmetic on whole numbers. Every
rectangle carries the gap on its right and far side, and the goods is one gap wider: then
pieces that touch in grains lie one gap apart on the goods, with none wasted at its edges.
"""

import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

MOST_PILES = 120
"""Piles are made as high as keeps their number about here: finer ones cost time per build
and let the search tell more layouts apart."""

ENDLESS = 1 << 80
"""Longer than any goods, grains."""


class Card(NamedTuple):
    """One way of laying the rectangles of one pile: sizes in grains, number of the pile."""

    width: int
    height: int
    pile: int


class Spot(NamedTuple):
    """Where one rectangle of a pile lies: lower left corner and size as laid, grains."""

    x: int
    y: int
    width: int
    height: int
    pile: int


class Attempt(NamedTuple):
    """What a build came to.

    Attributes:
        packed: area laid within the target, square grains: how near it came.
        spots: of every rectangle; None when the target was missed.
    """

    packed: int
    spots: list[Spot] | None


class Target(NamedTuple):
    """What a build is to reach; it ends as soon as it cannot.

    Attributes:
        width: of the goods and one gap, grains.
        length: no rectangle may reach beyond it, grains.
        spare: area that may stay empty within it, square grains.
    """

    width: int
    length: int
    spare: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Pile:
    """Equal rectangles.

    Attributes:
        width, height: unturned, with the gap, grains.
        may_turn: whether width and height may be swapped.
        indices: of the rectangles, in the order in which they were given.
    """

    width: int
    height: int
    may_turn: bool
    indices: tuple[int, ...]

    def sizes(self, goods_width: int) -> tuple[tuple[int, int], ...]:
        """(width, height) of each way it can lie on goods so wide, grains."""
        ways = [(self.width, self.height)]
        if self.may_turn and self.width != self.height:
            ways.append((self.height, self.width))
        return tuple(way for way in ways if way[0] <= goods_width)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Everything to be laid on goods of one width; each pile fits at least one way.

    Attributes:
        piles: of equal rectangles, none empty.
        width: of the goods and one gap, grains.
    """

    piles: tuple[Pile, ...]
    width: int

    @property
    def counts(self) -> list[int]:
        """Rectangles in each pile."""
        return [len(pile.indices) for pile in self.piles]

    @property
    def area(self) -> int:
        """Of all rectangles with their gaps, square grains."""
        return sum(pile.width * pile.height * len(pile.indices) for pile in self.piles)

    @property
    def step(self) -> int:
        """Every length that can come about is a multiple of this, grains.

        Pieces stand on pieces, so tops are sums of heights.
        """
        sizes = (size for pile in self.piles for size in pile.sizes(self.width))
        return math.gcd(*(height for _, height in sizes))

    @property
    def shortest(self) -> int:
        """A length, with one gap, that no layout can fall below, grains.

        The area fills it, the tallest rectangle stands in it, and rectangles wider than
        half of the goods lie one after the other.
        """
        tallest = one_by_one = 0
        for pile in self.piles:
            sizes = pile.sizes(self.width)
            lowest = min(height for _, height in sizes)
            tallest = max(tallest, lowest)
            if all(2 * width > self.width for width, _ in sizes):
                one_by_one += lowest * len(pile.indices)
        filled = -(-self.area // (self.width * self.step)) * self.step
        return max(filled, tallest, one_by_one)

    def cards(self, order: Iterable[int]) -> list[Card]:
        """The ways of laying the piles, in that order of piles, a turned one after its pile."""
        return [
            Card(width, height, number)
            for number in order
            for width, height in self.piles[number].sizes(self.width)
        ]


def stock_of(sizes: Iterable[tuple[int, int, bool]], *, width: int) -> Stock:
    """Pile up equal rectangles.

    Args:
        sizes: (width, height, may turn) of each rectangle, with its gap, grains.
        width: of the goods and one gap, grains.
    """
    alike: dict[tuple[int, int, bool], list[int]] = {}
    number = 0
    for index, (across, up, may_turn) in enumerate(sizes):
        # A turnable rectangle is the same piece whichever way it was described.
        size = (max(across, up), min(across, up)) if may_turn else (across, up)
        alike.setdefault((*size, may_turn), []).append(index)
        number += 1
    high = max(1, -(-number // MOST_PILES))
    piles = [
        Pile(width=across, height=up, may_turn=may_turn, indices=tuple(indices[i : i + high]))
        for (across, up, may_turn), indices in alike.items()
        for i in range(0, len(indices), high)
    ]
    return Stock(piles=tuple(piles), width=width)


class Hand:
    """Cards whose pile is not used up; of equal sizes only the first, as it would win anyway.

    Attributes:
        cards: one for each size in hand, in order. Read it; `take` changes it.
        number: rectangles not taken yet.
    """

    __slots__ = ("_dealt", "_left", "_next", "_ranks", "cards", "number")

    def __init__(self, cards: Sequence[Card], counts: Sequence[int]) -> None:
        """Deal cards in order; `counts` are the rectangles of each pile."""
        self._dealt = cards
        self._left = list(counts)
        self.number = sum(counts)
        first: dict[tuple[int, int], int] = {}
        following: list[int | None] = []
        for rank in range(len(cards) - 1, -1, -1):
            width, height, _ = cards[rank]
            size = (width, height)
            following.append(first.get(size))
            first[size] = rank
        self._next = following[::-1]  # of each card the next of the same size
        self._ranks = sorted(first.values())
        self.cards = [cards[rank] for rank in self._ranks]

    def copy(self) -> "Hand":
        """The same hand, to try something out with."""
        new = Hand.__new__(Hand)
        new._dealt, new._next = self._dealt, self._next  # never changed
        new._left, new._ranks = self._left.copy(), self._ranks.copy()
        new.cards, new.number = self.cards.copy(), self.number
        return new

    def take(self, card: Card) -> None:
        """Use one rectangle of a card in hand."""
        pile = card.pile
        self._left[pile] -= 1
        self.number -= 1
        if self._left[pile]:
            return
        # Backwards and on a fixed range: a successor always lies behind its card.
        for place in range(len(self.cards) - 1, -1, -1):
            if self.cards[place].pile == pile:
                self._replace(place)

    def _replace(self, place: int) -> None:
        rank = self._next[self._ranks[place]]
        del self.cards[place], self._ranks[place]
        while rank is not None and not self._left[self._dealt[rank].pile]:
            rank = self._next[rank]
        if rank is not None:
            behind = bisect_left(self._ranks, rank)
            self._ranks.insert(behind, rank)
            self.cards.insert(behind, self._dealt[rank])
