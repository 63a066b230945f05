"""What is written on the pieces of a cutting plan: names, short names with a key, arrows. mm.

A piece that has no room for its name carries a short one that the key of the plan spells out;
one that has no room for that either is named beside the goods, at the end of a leader.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from core.base.sentences import say
from core.cutting.plan import GoodsPlan, Laid
from core.drawing.lettering import LEADING, Box, Words, short_names, text_width
from core.drawing.records import Line, Record, Text, text_box
from core.flat.piece import Point
from core.output.page_flow import MaterialsOptions
from core.work.scene import Ink

LETTERS = (2.2, 1.9, 1.6)
_SHORT_LETTERS = (*LETTERS, 1.3)
_ARROW = 12.0
"""The longest arrow on a piece."""
_SHARES = (1.0, 0.75, 0.5, 0.3)
"""Of the longest arrow: a shorter one finds room beside the texts."""
_HEAD = 0.9
_AIR = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where a piece of a plan is drawn.

    Attributes:
        piece: as laid.
        box: its part of the stretch, on the page.
        middle: where its label goes.
        room: (across, up) for the label.
        is_whole: whether nothing of it lies on another stretch.
    """

    piece: Laid
    box: Box
    middle: Point
    room: tuple[float, float]
    is_whole: bool


def shorts_of(goods: GoodsPlan, options: MaterialsOptions) -> dict[str, str]:
    """The short name of each piece of a plan, in the reader's language."""
    said = {each.name: options.say(each.name) for each in goods.laid}
    shorts = short_names(list(said.values()))
    return {name: shorts[told] for name, told in said.items()}


def label(spot: Spot, short: str, options: MaterialsOptions) -> list[Record]:
    """Name and bag, and the size below it, as large as there is room for; else the short name.

    A piece that two stretches show in part has its name in each, and no size. Empty where not
    even the short name has room.
    """
    piece, bag = spot.piece, str(spot.piece.bag)
    name = options.say("{piece} {bag}", piece=options.say(piece.name), bag=bag)
    size = options.say(say("{width} × {length}", width=piece.width, length=piece.height))
    whole = [[name, size], [f"{name} · {size}"]] if spot.is_whole else []
    for lines in (*whole, [name], _halves(name)):
        for height in LETTERS:
            found = _fitted(lines, height, spot, plain=size)
            if found:
                return found
    told = short_label(short, bag, options)
    tries = (_fitted([told], height, spot, plain=size) for height in _SHORT_LETTERS)
    return next((found for found in tries if found), [])


def short_label(short: str, bag: str, options: MaterialsOptions) -> str:
    """What stands for a name that has no room."""
    return options.say("{piece} {bag}", piece=short, bag=bag)


def _fitted(lines: list[str], height: float, spot: Spot, *, plain: str) -> list[Record]:
    """The lines along whichever side has room for them; empty where none has."""
    widest = max(text_width(line, height, bold=line is not plain) for line in lines)
    for angle, (long, high) in ((0.0, spot.room), (90.0, spot.room[::-1])):
        if widest <= long and len(lines) * LEADING * height <= high + _slack(lines, height):
            texts = [Words(line, height, line is not plain) for line in lines]
            return _set(texts, spot.middle, angle, spot.piece.name)
    return []


def _slack(lines: list[str], height: float) -> float:
    """One line needs no space to the next."""
    return 0.5 * height if len(lines) == 1 else 0.0


def _halves(name: str) -> list[str]:
    """A name of several words on two lines of about one length."""
    words = name.split()
    splits = [(" ".join(words[:cut]), " ".join(words[cut:])) for cut in range(1, len(words))]
    return list(min(splits, key=lambda pair: max(map(len, pair)), default=(name,)))


def _set(lines: list[Words], middle: Point, angle: float, piece: str) -> list[Record]:
    records: list[Record] = []
    for number, line in enumerate(lines):
        off = ((len(lines) - 1) / 2 - number) * LEADING * line.height
        x, y = middle
        at = (x, y + off) if angle == 0.0 else (x - off, y)
        records.append(
            Text(Ink.LABEL, at, line.text, line.height, angle, bold=line.bold, piece=piece)
        )
    return records


def key_line(goods: GoodsPlan, records: Sequence[Record], options: MaterialsOptions) -> str:
    """What the short names among these records stand for; empty when there are none."""
    texts = {each.text for each in records if isinstance(each, Text)}
    used = [
        f"{short} {options.say(name)}"
        for name, short in shorts_of(goods, options).items()
        if short in texts
        or any(
            short_label(short, str(each.bag), options) in texts
            for each in goods.laid
            if each.name == name
        )
    ]
    return " · ".join(used)


def arrow(spot: Spot, taken: Sequence[Record]) -> list[Record]:
    """The grain arrow that is printed on the piece, as it lies; none where there is no room.

    Args:
        spot: where the piece is drawn.
        taken: what is written on it already.
    """
    if not spot.piece.item.outer or not spot.is_whole:
        return []
    level = spot.piece.turned
    longest = min(_ARROW, 0.5 * (spot.room[0] if level else spot.room[1]))
    boxes = [text_box(each) for each in taken if isinstance(each, Text)]
    for share in _SHARES:
        half = share * longest / 2
        middle = _free_place(spot, half, level=level, boxes=boxes)
        if half >= 2 * _HEAD and middle is not None:
            return list(_arrow(middle, half, spot.piece.name, level=level))
    return []


def _free_place(spot: Spot, half: float, *, level: bool, boxes: list[Box]) -> Point | None:
    """Where on the piece an arrow of this half length lies clear of the texts."""
    left, bottom, right, top = spot.box
    broad = _HEAD + _AIR
    reach = (half, broad) if level else (broad, half)
    x, y = spot.middle
    across, up = spot.room[0] / 2 - reach[0] - _AIR, spot.room[1] / 2 - reach[1] - _AIR
    for dx, dy in ((-0.8, 0.0), (0.8, 0.0), (0.0, -0.8), (0.0, 0.8), (-0.8, -0.8), (0.8, 0.8)):
        at = (x + dx * max(across, 0.0), y + dy * max(up, 0.0))
        box = (at[0] - reach[0], at[1] - reach[1], at[0] + reach[0], at[1] + reach[1])
        inside = box[0] > left and box[1] > bottom and box[2] < right and box[3] < top
        if inside and not any(_meet(box, each) for each in boxes):
            return at
    return None


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _arrow(middle: Point, half: float, piece: str, *, level: bool) -> Iterator[Record]:
    """A line with a head at each end."""

    def placed(along: float, aside: float) -> Point:
        x, y = middle
        return (x + along, y + aside) if level else (x + aside, y + along)

    yield Line(Ink.GRAIN, (placed(-half, 0.0), placed(half, 0.0)), piece=piece)
    for end, back in ((half, -2 * _HEAD), (-half, 2 * _HEAD)):
        barbs = (placed(end + back, _HEAD), placed(end, 0.0), placed(end + back, -_HEAD))
        yield Line(Ink.GRAIN, barbs, piece=piece)
