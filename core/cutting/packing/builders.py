"""Laying freely: always fill the lowest place of the skyline with the card that fits it best.

The skyline is the upper border of what is laid. Best-fit on a skyline: Burke, Kendall and
Whitwell, "A new placement heuristic for the orthogonal stock-cutting problem", Operations
Research 52 (2004) 655-671; judging the fit by the walls of the place and searching over the
order of the cards: Leung, Zhang and Sim, "A two-stage intelligent search algorithm for the
two-dimensional strip packing problem", EJOR 215 (2011) 57-69. All lengths are grains.
"""

from collections.abc import Sequence
from typing import NamedTuple

from core.cutting.packing.stock import ENDLESS, Attempt, Card, Hand, Spot, Stock, Target


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

    `counts` are the rectangles of each pile; of the ways to lay them, earlier ones win among
    fits that are liked equally.
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


class Part(NamedTuple):
    """A rectangle of goods still to be cut up: lower left corner and size."""

    x: int
    y: int
    width: int
    height: int


class RowTaste(NamedTuple):
    """How rows are opened and cut up.

    Attributes:
        fits: whether a card that fills a part's width or height is taken before others.
        along: the cut beside the piece runs along the whole part, rather than across it;
            None takes whichever leaves the larger part whole.
        heights: how many heights are tried for each row: that of its opener alone, then
            with one of the next cards on top. The fullest row is kept.
    """

    fits: bool
    along: bool | None
    heights: int


ROW_TASTES = (
    RowTaste(True, None, 4),
    RowTaste(True, True, 4),
    RowTaste(True, None, 1),
    RowTaste(False, None, 4),
    RowTaste(False, True, 1),
)


class Row(NamedTuple):
    """A row cut up: its height, what lies in it, the area of that, and the hand after it."""

    height: int
    spots: list[Spot]
    packed: int
    hand: Hand


def build_rows(
    cards: Sequence[Card], counts: Sequence[int], target: Target, taste: RowTaste
) -> Attempt:
    """Lay every rectangle in rows for a rotary cutter, or stop when the target is out of reach.

    Every cut runs from edge to edge of what it cuts. First the goods is cut across its whole width
    into rows, each as high as the piece that opens it (the first card that fits), or as that and
    one on top; a row is then cut along and across, each cut through the whole of the part in hand.
    """
    hand = Hand(cards, counts)
    spots: list[Spot] = []
    packed = empty = top = 0
    while hand.number:
        room = target.length - top
        opener = next((card for card in hand.cards if card.height <= room), None)
        if opener is None:
            return Attempt(packed, None)
        rows = [
            _cut_up(Part(0, top, target.width, height), opener, hand.copy(), taste)
            for height in _heights(hand.cards, opener, room, taste.heights)
        ]
        row = rows[0]
        for other in rows:
            if other.packed * row.height > row.packed * other.height:
                row = other
        hand = row.hand
        spots += row.spots
        packed += row.packed
        top += row.height
        empty += target.width * row.height - row.packed
        if empty > target.spare:
            return Attempt(packed, None)
    return Attempt(packed, spots)


def _heights(cards: Sequence[Card], opener: Card, room: int, most: int) -> list[int]:
    """Different heights to try for a row, none above the room."""
    heights = [opener.height]
    for card in cards:
        if len(heights) >= most:
            break
        height = opener.height + card.height
        if height <= room and height not in heights:
            heights.append(height)
    return heights


def _cut_up(row: Part, opener: Card, hand: Hand, taste: RowTaste) -> Row:
    """Lay the opener in the corner of a row, then whatever fits the parts that are left."""
    spots: list[Spot] = []
    packed = 0
    parts = [row]
    card: Card | None = opener
    while parts:
        part = parts.pop()
        if card is not None:
            width, height, pile = card
            spots.append(Spot(part.x, part.y, width, height, pile))
            packed += width * height
            hand.take(card)
            parts += _rest(part, card, taste.along)
        card = _choose(hand.cards, parts[-1], fits=taste.fits) if parts else None
    return Row(row.height, spots, packed, hand)


def _choose(cards: Sequence[Card], part: Part, *, fits: bool) -> Card | None:
    _, _, across, up = part
    best, filled = None, -1
    for card in cards:
        width, height, _ = card
        if width > across or height > up:
            continue
        if not fits:
            return card
        sides = (width == across) + (height == up)
        if sides > filled:
            best, filled = card, sides
            if sides == 2:
                break
    return best


def _rest(part: Part, card: Card, along: bool | None) -> list[Part]:
    """What is left of a part when a card is cut from its corner, the larger one last."""
    x, y, width, height = part
    beside, above = width - card.width, height - card.height
    if along is None:
        along = beside * height >= above * width
    if along:
        right = Part(x + card.width, y, beside, height)
        far = Part(x, y + card.height, card.width, above)
    else:
        right = Part(x + card.width, y, beside, card.height)
        far = Part(x, y + card.height, width, above)
    rest = [each for each in (right, far) if each.width and each.height]
    return sorted(rest, key=lambda each: each.width * each.height)


def shelves(stock: Stock) -> list[Spot]:
    """Lay by falling height, each into the first row where it fits beside the last one.

    This is first-fit decreasing height: Coffman, Garey, Johnson and Tarjan, "Performance
    bounds for level-oriented two-dimensional packing algorithms", SIAM J. Comput. 9 (1980)
    808-826. Its length stays below 2 area / width + the tallest piece. What may be turned
    lies flat where the goods is wide enough.
    """
    laid = [
        (*min(pile.sizes(stock.width), key=lambda size: size[1]), number, len(pile.indices))
        for number, pile in enumerate(stock.piles)
    ]
    laid.sort(key=lambda each: (-each[1], -each[0], each[2]))
    rows: list[list[int]] = []  # of each row: y, width used
    spots: list[Spot] = []
    top = 0
    for width, height, number, count in laid:
        for _ in range(count):
            row = next((row for row in rows if row[1] + width <= stock.width), None)
            if row is None:
                row = [top, 0]
                rows.append(row)
                top += height
            spots.append(Spot(row[1], row[0], width, height, number))
            row[1] += width
    return spots
