"""Better and better layouts: build after build from changed orders of the cards.

A build aims one step below the best length so far and says how much area it laid within
that; an order that lays no less than the one before is kept. When that climb gets stuck, a
good order of some earlier climb is shaken and climbs again. Everything is counted in builds
and drawn from one seed, so the same question has the same answer on every machine.
"""

import random
from collections.abc import Callable, Generator, Iterator, Sequence

from core.goods.packing_stock import ENDLESS, Attempt, Card, Pile, Spot, Stock, Target

Builder = Callable[[Sequence[Card], Sequence[int], Target], Attempt]
"""Lays cards (counts of the piles beside them) towards a target."""

PATIENCE = 100
"""Builds without a gain after which a climb ends. Measured on sets with known optimum: 1000
wastes builds on orders that are stuck, 40 leaves too early."""

SHAKES = 5
"""The most swaps that shake an order before it climbs again."""

LENIENCE = 0.04
"""Share of the area that every other climb or so may leave empty beyond what the target
allows. Its builds end later, so they tell orders apart that would all have been cut off early;
strict ones are quicker. Measured: climbs of both kinds beat either kind alone."""

_SORTS: tuple[Callable[[Pile], int], ...] = (
    lambda pile: pile.width * pile.height,
    lambda pile: pile.width,
    lambda pile: pile.height,
    lambda pile: pile.width + pile.height,
    lambda pile: max(pile.width, pile.height),
)
"""First orders: the largest first, by each of these."""

_Start = tuple[int, list[Card], Builder]
"""(length reached, or area laid by a climb; order; builder)."""


class Search:
    """One search; `best` and `spots` hold what it has found so far.

    Attributes:
        best: shortest length so far, with one gap, grains.
        spots: of that layout.
    """

    def __init__(
        self, stock: Stock, builders: Sequence[Builder], first: list[Spot], *, seed: int
    ) -> None:
        """Begin from a whole layout, such as shelves."""
        self.best = _length(first)
        self.spots = first
        self._stock = stock
        self._counts = stock.counts
        self._area = stock.area
        self._step = stock.step
        self._builders = builders
        self._random = random.Random(seed)

    def run(self) -> Iterator[None]:
        """One step per build, without end until nothing shorter can exist."""
        shortest = self._stock.shortest
        steps = self._steps()
        while self.best > shortest:
            next(steps)
            yield

    def _steps(self) -> Iterator[None]:
        starts: list[_Start] = []
        for sort in _SORTS:
            cards = self._stock.cards(_largest_first(self._stock.piles, sort))
            for builder in self._builders:
                starts.append((self._build_whole(cards, builder), cards, builder))
                yield
        starts.sort(key=lambda start: start[0])
        climbed: list[_Start] = []
        for _, cards, builder in starts:
            packed, reached = yield from self._climb(cards, builder)
            climbed.append((packed, reached, builder))
        yield from self._climb_again(climbed)

    def _climb_again(self, climbed: list[_Start]) -> Iterator[None]:
        """Shake and climb for ever, from the better orders more often."""
        climbed.sort(key=lambda start: -start[0])
        while True:
            number = int(self._random.random() ** 2 * len(climbed))
            before, cards, builder = climbed[number]
            packed, reached = yield from self._climb(self._shaken(cards), builder)
            if packed >= before:
                climbed[number] = (packed, reached, builder)
                climbed.sort(key=lambda start: -start[0])

    def _build_whole(self, cards: list[Card], builder: Builder) -> int:
        """Lay these cards whatever the length; the length."""
        whole = Target(self._stock.width, ENDLESS, ENDLESS * self._stock.width)
        attempt = builder(cards, self._counts, whole)
        assert attempt.spots is not None  # nothing is out of reach
        self._keep(attempt.spots)
        return _length(attempt.spots)

    def _climb(
        self, cards: list[Card], builder: Builder
    ) -> Generator[None, None, tuple[int, list[Card]]]:
        """Change an order step by step until it has not got better for a while.

        Returns the area that its last order laid, and that order.
        """
        lenient = int(LENIENCE * self._area) if self._random.random() < 0.5 else 0
        packed = self._build(cards, builder, lenient)
        yield
        waited = 0
        while waited < PATIENCE:
            before = self.best
            changed = self._changed(cards)
            reached = self._build(changed, builder, lenient)
            yield
            waited = 0 if reached > packed or self.best < before else waited + 1
            if self.best < before:
                # The target has moved on, so the area must be taken against the new one.
                reached = self._build(changed, builder, lenient)
                yield
                cards, packed = changed, reached
            elif reached >= packed:
                cards, packed = changed, reached
        return packed, cards

    def _build(self, cards: list[Card], builder: Builder, lenient: int) -> int:
        """Lay towards a shorter layout than the best, with so much more to spare; the area laid."""
        length = self.best - self._step
        spare = length * self._stock.width - self._area + lenient
        attempt = builder(cards, self._counts, Target(self._stock.width, length, spare))
        if attempt.spots is not None:
            self._keep(attempt.spots)
        return attempt.packed

    def _keep(self, spots: list[Spot]) -> None:
        length = _length(spots)
        if length < self.best:
            self.best, self.spots = length, spots

    def _changed(self, cards: list[Card]) -> list[Card]:
        """One or two cards swapped or moved."""
        new = cards.copy()
        for _ in range(1 if self._random.random() < 0.7 else 2):
            i, j = self._below(len(new)), self._below(len(new))
            if self._random.random() < 0.5:
                new[i], new[j] = new[j], new[i]
            else:
                new.insert(j, new.pop(i))
        return new

    def _shaken(self, cards: list[Card]) -> list[Card]:
        """A few cards swapped."""
        new = cards.copy()
        for _ in range(1 + self._below(SHAKES)):
            i, j = self._below(len(new)), self._below(len(new))
            new[i], new[j] = new[j], new[i]
        return new

    def _below(self, number: int) -> int:
        """A whole number below that one.

        From `random()`, which alone is promised to give the same numbers for the same seed
        in later versions of Python.
        """
        return int(self._random.random() * number)


def _length(spots: list[Spot]) -> int:
    return max(spot.y + spot.height for spot in spots)


def _largest_first(piles: Sequence[Pile], size: Callable[[Pile], int]) -> list[int]:
    """Numbers of the piles; equals stay in the order in which they were given."""
    return sorted(range(len(piles)), key=lambda number: -size(piles[number]))
