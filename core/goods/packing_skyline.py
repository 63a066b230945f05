"""Laying freely: always fill the lowest place of the skyline with the card that fits it best.

The skyline is the upper border of what is laid. Best-fit on a skyline: Burke, Kendall and
Whitwell, "A new placement heuristic for the orthogonal stock-cutting problem", Operations
Research 52 (2004) 655-671; judging the fit by the walls of the place and searching over the
order of the cards: Leung, Zhang and Sim, "A two-stage intelligent search algorithm for the
two-dimensional strip packing problem", EJOR 215 (2011) 57-69. All lengths are grains.
"""

from collections.abc import Sequence
from typing import NamedTuple

from core.goods.packing_hand import Hand
from core.goods.packing_stock import ENDLESS, Attempt, Card, Spot, Target


class Taste(NamedTuple):
    """How much each kind of fit is liked; among equals the earlier card wins.

    Attributes:
        exact: fills the place, level with both walls; nothing is liked more.
        level_low, level_high: fills its width, level with the lower or higher wall.
        over, between, under: fills its width, ends above, between or below the walls.
        beside: leaves width, level with a wall.
        loose: leaves width and meets no wall's top.
    """

    exact: int
    level_low: int
    level_high: int
    over: int
    between: int
    under: int
    beside: int
    loose: int


TASTES = (
    Taste(5, 4, 4, 2, 3, 2, 1, 0),  # the most even skyline
    Taste(0, 0, 0, 0, 0, 0, 0, 0),  # the order alone
    Taste(1, 1, 1, 1, 1, 1, 0, 0),  # no width left
    Taste(3, 2, 2, 0, 0, 0, 1, 0),  # level tops
)


class Place(NamedTuple):
    """The lowest place of a skyline: its number, corner, width and the rise of its walls."""

    number: int
    x: int
    y: int
    width: int
    left: int
    right: int


class Skyline:
    """Level stretches from left to right, neighbours of different height."""

    __slots__ = ("lefts", "tops", "widths")

    def __init__(self, width: int) -> None:
        self.lefts = [0]
        self.tops = [0]
        self.widths = [width]

    def lowest(self) -> Place:
        """The lowest stretch, the leftmost of equals; the edges are endless walls."""
        tops = self.tops
        y = min(tops)
        i = tops.index(y)
        left = tops[i - 1] - y if i else ENDLESS
        right = tops[i + 1] - y if i + 1 < len(tops) else ENDLESS
        return Place(i, self.lefts[i], y, self.widths[i], left, right)

    def lay(self, place: Place, width: int, height: int) -> int:
        """Lay a rectangle into the place against the wall that suits it; its x."""
        if width == place.width:
            self._lift(place, height)
            return place.x
        i, rest = place.number, place.width - width
        at_left = height == place.left or (height != place.right and place.left >= place.right)
        self.widths[i] = rest
        if at_left:
            self.lefts[i] += width
            if height == place.left:
                self.widths[i - 1] += width
            else:
                self._insert(i, place.x, place.y + height, width)
            return place.x
        if height == place.right:
            self.widths[i + 1] += width
            self.lefts[i + 1] -= width
        else:
            self._insert(i + 1, place.x + rest, place.y + height, width)
        return place.x + rest

    def close(self, place: Place) -> None:
        """Give up the place: level it with its lower wall."""
        self._lift(place, min(place.left, place.right))

    def _lift(self, place: Place, rise: int) -> None:
        i = place.number
        self.tops[i] += rise
        if rise == place.right:
            self.widths[i] += self.widths[i + 1]
            self._delete(i + 1)
        if rise == place.left:
            self.widths[i - 1] += self.widths[i]
            self._delete(i)

    def _insert(self, i: int, x: int, top: int, width: int) -> None:
        self.lefts.insert(i, x)
        self.tops.insert(i, top)
        self.widths.insert(i, width)

    def _delete(self, i: int) -> None:
        del self.lefts[i], self.tops[i], self.widths[i]


def build_free(
    cards: Sequence[Card], counts: Sequence[int], target: Target, taste: Taste
) -> Attempt:
    """Lay every rectangle, or stop when the target is out of reach.

    Args:
        cards: the ways of laying the piles; earlier ones win among equal fits.
        counts: rectangles of each pile.
        target: what to reach.
        taste: which fits are liked.
    """
    skyline = Skyline(target.width)
    hand = Hand(cards, counts)
    spots: list[Spot] = []
    packed = empty = 0
    while hand.number:
        place = skyline.lowest()
        card = _best_fit(hand.cards, place, target.length - place.y, taste)
        if card is None:
            rise = min(place.left, place.right)
            empty += place.width * rise
            if empty > target.spare:
                return Attempt(packed, None)
            skyline.close(place)
            continue
        width, height, pile = card
        spots.append(Spot(skyline.lay(place, width, height), place.y, width, height, pile))
        packed += width * height
        hand.take(card)
    return Attempt(packed, spots)


def _best_fit(cards: Sequence[Card], place: Place, room: int, taste: Taste) -> Card | None:
    """The card liked best for a place with that much room up to the target, if any fits."""
    exact, level_low, level_high, over, between, under, beside, loose = taste
    across, left, right = place.width, place.left, place.right
    low, high = min(left, right), max(left, right)
    best, liked = None, -1
    for card in cards:
        width, height, _ = card
        if width > across or height > room:
            continue
        if width < across:
            like = beside if height in (low, high) else loose
        elif height > high:
            like = over
        elif height == high:
            like = exact if low == high else level_high
        elif height < low:
            like = under
        else:
            like = level_low if height == low else between
        if like > liked:
            best, liked = card, like
            if like == exact:
                break
    return best
