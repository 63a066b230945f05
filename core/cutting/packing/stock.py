"""What is to be laid, in whole ticks: lots of equal rectangles, and where they come to lie.

A tick is `LENGTH_TOLERANCE`, so that laying is exact arithmetic on whole numbers. Every
rectangle carries the gap on its right and far side, and the goods is one gap wider: then
pieces that touch in ticks lie one gap apart on the goods, with none wasted at its edges.
"""

import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

MOST_LOTS = 120
"""Lots are made as high as keeps their number about here: finer ones cost time per build
and let the search tell more layouts apart."""

ENDLESS = 1 << 80
"""Longer than any goods, ticks."""


class Option(NamedTuple):
    """One way of laying the rectangles of one lot: sizes in ticks, number of the lot."""

    width: int
    height: int
    lot: int


class LotSpot(NamedTuple):
    """Where one rectangle of a lot lies: lower left corner and size as laid, ticks."""

    x: int
    y: int
    width: int
    height: int
    lot: int


class Attempt(NamedTuple):
    """What a build came to: area laid within the target, square ticks, and where all lies.

    Where the target was missed `spots` is None, and the area says how near it came.
    """

    packed: int
    spots: list[LotSpot] | None


class Target(NamedTuple):
    """What a build is to reach; it ends as soon as it cannot.

    Attributes:
        width: of the goods and one gap, ticks.
        length: no rectangle may reach beyond it, ticks.
        spare: area that may stay empty within it, square ticks.
    """

    width: int
    length: int
    spare: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """Equal rectangles.

    Attributes:
        width, height: unturned, with the gap, ticks.
        may_turn: whether width and height may be swapped.
        indices: of the rectangles, in the order in which they were given.
    """

    width: int
    height: int
    may_turn: bool
    indices: tuple[int, ...]

    def sizes(self, goods_width: int) -> tuple[tuple[int, int], ...]:
        """(width, height) of each way it can lie on goods so wide, ticks."""
        ways = [(self.width, self.height)]
        if self.may_turn and self.width != self.height:
            ways.append((self.height, self.width))
        return tuple(way for way in ways if way[0] <= goods_width)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Lots, none empty, to be laid on goods of one width; each fits at least one way.

    The width is that of the goods and one gap, ticks.
    """

    lots: tuple[Lot, ...]
    width: int

    @property
    def counts(self) -> list[int]:
        """Rectangles in each lot."""
        return [len(lot.indices) for lot in self.lots]

    @property
    def area(self) -> int:
        """Of all rectangles with their gaps, square ticks."""
        return sum(lot.width * lot.height * len(lot.indices) for lot in self.lots)

    @property
    def step(self) -> int:
        """Every length that can come about is a multiple of this, ticks.

        Pieces stand on pieces, so tops are sums of heights.
        """
        sizes = (size for lot in self.lots for size in lot.sizes(self.width))
        return math.gcd(*(height for _, height in sizes))

    @property
    def shortest(self) -> int:
        """A length, with one gap, that no layout can fall below, ticks.

        The area fills it, the tallest rectangle stands in it, and rectangles wider than
        half of the goods lie one after the other.
        """
        tallest = one_by_one = 0
        for lot in self.lots:
            sizes = lot.sizes(self.width)
            lowest = min(height for _, height in sizes)
            tallest = max(tallest, lowest)
            if all(2 * width > self.width for width, _ in sizes):
                one_by_one += lowest * len(lot.indices)
        filled = -(-self.area // (self.width * self.step)) * self.step
        return max(filled, tallest, one_by_one)

    def options(self, order: Iterable[int]) -> list[Option]:
        """The ways of laying the lots, in that order of lots, a turned one after its lot."""
        return [
            Option(width, height, number)
            for number in order
            for width, height in self.lots[number].sizes(self.width)
        ]


def stock_of(sizes: Iterable[tuple[int, int, bool]], *, width: int) -> Stock:
    """Equal rectangles in lots.

    Of each is given (width, height, may turn), with its gap; `width` is that of the goods and one
    gap; ticks.
    """
    alike: dict[tuple[int, int, bool], list[int]] = {}
    number = 0
    for index, (across, up, may_turn) in enumerate(sizes):
        # A turnable rectangle is the same piece whichever way it was described.
        size = (max(across, up), min(across, up)) if may_turn else (across, up)
        alike.setdefault((*size, may_turn), []).append(index)
        number += 1
    high = max(1, -(-number // MOST_LOTS))
    lots = [
        Lot(width=across, height=up, may_turn=may_turn, indices=tuple(indices[i : i + high]))
        for (across, up, may_turn), indices in alike.items()
        for i in range(0, len(indices), high)
    ]
    return Stock(lots=tuple(lots), width=width)


class Remaining:
    """Options whose lot is not used up; of equal sizes only the first, as it would win anyway.

    Attributes:
        options: one for each size in hand, in order. Read it; `take` changes it.
        number: rectangles not taken yet.
    """

    __slots__ = ("_dealt", "_left", "_next", "_ranks", "number", "options")

    def __init__(self, options: Sequence[Option], counts: Sequence[int]) -> None:
        """Deal options in order; `counts` are the rectangles of each lot."""
        self._dealt = options
        self._left = list(counts)
        self.number = sum(counts)
        first: dict[tuple[int, int], int] = {}
        following: list[int | None] = []
        for rank in range(len(options) - 1, -1, -1):
            width, height, _ = options[rank]
            size = (width, height)
            following.append(first.get(size))
            first[size] = rank
        self._next = following[::-1]  # of each option the next of the same size
        self._ranks = sorted(first.values())
        self.options = [options[rank] for rank in self._ranks]

    def copy(self) -> "Remaining":
        """The same, to try something out with."""
        new = Remaining.__new__(Remaining)
        new._dealt, new._next = self._dealt, self._next  # never changed
        new._left, new._ranks = self._left.copy(), self._ranks.copy()
        new.options, new.number = self.options.copy(), self.number
        return new

    def take(self, option: Option) -> None:
        """Use one rectangle of an option in hand."""
        lot = option.lot
        self._left[lot] -= 1
        self.number -= 1
        if self._left[lot]:
            return
        # Backwards and on a fixed range: a successor always lies behind its option.
        for place in range(len(self.options) - 1, -1, -1):
            if self.options[place].lot == lot:
                self._replace(place)

    def _replace(self, place: int) -> None:
        rank = self._next[self._ranks[place]]
        del self.options[place], self._ranks[place]
        while rank is not None and not self._left[self._dealt[rank].lot]:
            rank = self._next[rank]
        if rank is not None:
            behind = bisect_left(self._ranks, rank)
            self._ranks.insert(behind, rank)
            self.options.insert(behind, self._dealt[rank])
