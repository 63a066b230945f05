"""The cards still in hand during one build, in their order."""

from bisect import bisect_left
from collections.abc import Sequence

from core.goods.packing_stock import Card


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
