"""Cutting plans as drawings: goods and pieces to a reduced scale. mm, y up.

A piece that has no room for its name carries a short one that the key of the plan spells out;
one that has no room for that either is named beside the goods, at the end of a leader.
"""

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from shapely import LineString, box
from shapely import Polygon as Shape

from core.base.sentences import Sentence, mark, say
from core.base.tolerance import LENGTH_TOLERANCE, same_length
from core.cutting.plan import GoodsPlan, LaidPiece, PieceKey, Rest
from core.drawing.cutting_stretches import StretchFrame
from core.drawing.lettering import LEADING, Wording, Words, halved, short_names, text_width
from core.drawing.records import Anchor, DrawingRecord, Line, Polygon, Text, overlap, text_box
from core.flat.geometry import Bounds, corners_of
from core.flat.ink import Ink
from core.flat.piece import Point

ABOVE, BELOW = 5.0, 12.0
"""Room above and below a drawing, for what is written along its edges."""
_LINE = 2.8
"""From one length beside the goods to the next above it."""
LETTERS = (2.2, 1.9, 1.6)
_SHORT_LETTERS = (*LETTERS, 1.3)
_ARROW = 12.0
"""The longest arrow on a piece."""
_SHARES = (1.0, 0.75, 0.5, 0.3)
"""Of the longest arrow: a shorter one finds room beside the texts."""
_HEAD = 0.9
_AIR = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPiece:
    """Where a piece of a plan is drawn.

    Attributes:
        box: its part of the stretch, on the page.
        middle: where its label goes.
        room: (across, up) for the label.
        is_whole: whether nothing of it lies on another stretch.
    """

    piece: LaidPiece
    box: Bounds
    middle: Point
    room: tuple[float, float]
    is_whole: bool


@dataclass(frozen=True, slots=True)
class Beside:
    """A name that stands beside the goods, for a piece that has no room for it.

    Attributes:
        at: where its leader begins, on the page.
        bag: which one it is for; 0 where it stands for several.
        piece: the name in full.
    """

    at: Point
    short: str
    bag: int
    piece: str


@dataclass(frozen=True, slots=True)
class StretchDrawing:
    """One stretch of goods, drawn; `shortened` are the pieces told by their short names there."""

    records: list[DrawingRecord]
    shortened: frozenset[PieceKey]


def drawn_stretch(goods: GoodsPlan, frame: StretchFrame, wording: Wording) -> StretchDrawing:
    """One stretch of goods with what lies on it, its pieces' names and its measures."""
    records: list[DrawingRecord] = [Polygon(Ink.MATERIAL, _box(goods, frame))]
    shorts = shorts_of(goods, wording)
    shortened: set[PieceKey] = set()
    beside: list[Beside] = []
    for drawn in _drawn_pieces(goods, frame):
        records += _piece_records(drawn, frame)
        short = shorts[drawn.piece.key]
        texts = _named(drawn, wording)
        if not texts:
            shortened.add(drawn.piece.key)
            texts = _named_shortly(drawn, short, wording)
        records += [*texts, *_arrow(drawn, texts)]
        if not texts:
            end = (drawn.box[2], drawn.middle[1])
            beside.append(Beside(end, short, drawn.piece.bag, drawn.piece.name))
    rest = goods.leftover
    if rest is not None:
        middle = goods.width / 2
        crossed = goods.folded_length > rest.y and rest.x < middle < rest.x + rest.width
        records += _rest_records(rest, frame, wording, crossed=crossed)
    records += _fold_line(goods, frame)
    records += _lines_across(goods, frame, wording, beside)
    records += _width_records(goods, frame, wording)
    return StretchDrawing(records, frozenset(shortened))


def _box(goods: GoodsPlan, frame: StretchFrame) -> tuple[Point, ...]:
    box = (0.0, frame.stretch.low, goods.width, frame.stretch.high)
    return tuple(map(frame.point, corners_of(box)))


def _drawn_pieces(goods: GoodsPlan, frame: StretchFrame) -> Iterator[DrawnPiece]:
    """Where each piece is drawn of which this stretch shows something."""
    for piece in goods.laid:
        left, bottom, right, top = piece.box
        low, high = max(bottom, frame.stretch.low), min(top, frame.stretch.high)
        if high - low <= LENGTH_TOLERANCE:
            continue
        (x0, y0), (x1, y1) = frame.point((left, low)), frame.point((right, high))
        across, up = x1 - x0, y1 - y0
        is_whole = same_length(top - bottom, high - low)
        if not piece.item.is_rectangle and is_whole:
            necks = _necks(piece)
            across, up = necks[0] * frame.scale, necks[1] * frame.scale
        yield DrawnPiece(
            piece=piece,
            box=(x0, y0, x1, y1),
            middle=((x0 + x1) / 2, (y0 + y1) / 2),
            room=(across - 1.0, up - 1.0),
            is_whole=is_whole,
        )


def _piece_records(drawn: DrawnPiece, frame: StretchFrame) -> list[DrawingRecord]:
    """The rough rectangle, filled, and its final shape inside."""
    piece = drawn.piece
    records: list[DrawingRecord] = [Polygon(Ink.PIECE, corners_of(drawn.box), piece.name)]
    if not piece.item.is_rectangle:
        for shape in clipped(piece.shape, frame.stretch.low, frame.stretch.high):
            ring = tuple(frame.point(point) for point in shape)
            records.append(Line(Ink.TRIM, (*ring, ring[0]), piece=piece.name))
    return records


def _necks(piece: LaidPiece) -> tuple[float, float]:
    """What is left of a trimmed piece across its middle and up its middle, mm."""
    left, bottom, right, top = piece.box
    x, y = (left + right) / 2, (bottom + top) / 2
    shape = Shape(piece.shape)
    across = shape.intersection(LineString(((left, y), (right, y)))).length
    return across, shape.intersection(LineString(((x, bottom), (x, top)))).length


def clipped(shape: tuple[Point, ...], low: float, high: float) -> Iterator[tuple[Point, ...]]:
    """What of a shape lies between two heights: an outline for each part."""
    ends = zip(shape, (*shape[1:], *shape[:1]), strict=True)
    if all(same_length(x0, x1) or same_length(y0, y1) for (x0, y0), (x1, y1) in ends):
        # Of edges along x and y nothing is left but their order.
        yield tuple((x, min(max(y, low), high)) for x, y in shape)
        return
    xs = [x for x, _ in shape]
    kept = Shape(shape).intersection(box(min(xs) - 1.0, low, max(xs) + 1.0, high))
    for part in getattr(kept, "geoms", [kept]):
        if isinstance(part, Shape) and not part.is_empty:
            yield tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])


def _rest_records(
    rest: Rest, frame: StretchFrame, wording: Wording, *, crossed: bool
) -> list[DrawingRecord]:
    """The largest free rectangle, dashed, with its size where no fold line crosses it."""
    low = max(rest.y, frame.stretch.low)
    high = min(rest.y + rest.length, frame.stretch.high)
    if high - low <= LENGTH_TOLERANCE:
        return []
    inset = 0.7 / frame.scale
    free = (rest.x + inset, low + inset, rest.x + rest.width - inset, high - inset)
    ring = tuple(map(frame.point, corners_of(free)))
    records: list[DrawingRecord] = [Line(Ink.LEFTOVER, (*ring, ring[0]))]
    if crossed:
        return records
    size = say("left over {width} × {length}", width=rest.width, length=rest.length)
    words = wording.say(size)
    across, up = ring[2][0] - ring[0][0] - 1.0, ring[2][1] - ring[0][1] - 1.0
    middle = ((ring[0][0] + ring[2][0]) / 2, (ring[0][1] + ring[2][1]) / 2)
    for height in LETTERS:
        for angle, room in ((0.0, (across, up)), (90.0, (up, across))):
            if text_width(words, height) <= room[0] and LEADING * height <= room[1]:
                return [*records, Text(Ink.LABEL, middle, words, height, angle)]
    return records


def _lines_across(
    goods: GoodsPlan, frame: StretchFrame, wording: Wording, beside: Sequence[Beside]
) -> list[DrawingRecord]:
    """Lengths from the cut end, beside the goods: of the stretch, of what is used and bought.

    Among them stand the names that had no room on their pieces.
    """
    stretch = frame.stretch
    marks = {stretch.low: mark("{length}"), stretch.high: mark("{length}")}
    sheets = goods.goods.in_sheets
    if stretch.low < goods.length_used < stretch.high and not sheets:
        marks[goods.length_used] = mark("used {length}")
    if goods.folded_length and stretch.low < goods.folded_length < stretch.high:
        marks[goods.folded_length] = mark("unfold {length}")
    if same_length(goods.cutting_length, stretch.high) and not sheets:
        marks[stretch.high] = mark("end {length}")
    records: list[DrawingRecord] = []
    room = (stretch.high - stretch.low) * frame.scale / _LINE - len(marks)
    named = beside if len(beside) <= room else _runs(beside)
    told: list[tuple[float, str, Beside | None]] = [
        (each.at[1], _short_label(each.short, each.bag, wording), each) for each in named
    ]
    for length, told_so in marks.items():
        x, y = frame.point((goods.width, length))
        records.append(Line(Ink.DIMENSION, ((x, y), (x + 1.6, y))))
        if length and length in (goods.length_used, goods.folded_length):
            start = frame.point((0.0, length))
            records.append(Line(Ink.USED, (start, (x, y))))
        shown = length - stretch.low if sheets else length  # each sheet is measured from its end
        told.append((y, wording.say(Sentence(told_so, {"length": shown})), None))
    right = frame.point((goods.width, 0.0))[0]
    told.sort(key=lambda each: each[0])
    heights = _apart([y for y, _, _ in told])
    for (y, words, name), text_y in zip(told, heights, strict=True):
        if name is not None:
            leader = (name.at, (right + 0.8, y), (right + 1.8, text_y))
            records.append(Line(Ink.DIMENSION, leader))
        at, piece = (right + 2.2, text_y), "" if name is None else name.piece
        text = Text(Ink.DIMENSION, at, words, 1.6, anchor=Anchor.START, piece=piece)
        records.append(text)
    return records


def _runs(beside: Sequence[Beside]) -> list[Beside]:
    """Names that follow one another up the page and are alike but for the bag, each once."""
    found: list[Beside] = []
    for each in sorted(beside, key=lambda each: each.at[1]):
        if not found or found[-1].piece != each.piece:
            found.append(replace(each, bag=0))
    return found


def _apart(heights: Sequence[float]) -> list[float]:
    """Heights where lines of text can stand near these, from the lowest up; none above the last."""
    placed: list[float] = []
    low, high = -math.inf, heights[-1]
    for y in heights:
        placed.append(max(y, low))
        low = placed[-1] + _LINE
    for place in reversed(range(len(placed))):
        placed[place] = min(placed[place], high)
        high = placed[place] - _LINE
    return placed


def _fold_line(goods: GoodsPlan, frame: StretchFrame) -> list[DrawingRecord]:
    low, high = frame.stretch.low, min(goods.folded_length, frame.stretch.high)
    if high <= low:
        return []
    middle = goods.width / 2
    return [Line(Ink.FOLD, (frame.point((middle, low)), frame.point((middle, high))))]


def _width_records(goods: GoodsPlan, frame: StretchFrame, wording: Wording) -> list[DrawingRecord]:
    (x0, y), (x1, _) = (frame.point((x, frame.stretch.low)) for x in (0.0, goods.width))
    y -= 2.6
    ticks = [Line(Ink.DIMENSION, ((x, y - 1.0), (x, y + 1.0))) for x in (x0, x1)]
    told = wording.say("{length}", length=goods.width)
    text = Text(Ink.DIMENSION, ((x0 + x1) / 2, y - 2.2), told, 1.9)
    return [Line(Ink.DIMENSION, ((x0, y), (x1, y))), *ticks, text]


def shorts_of(goods: GoodsPlan, wording: Wording) -> dict[PieceKey, str]:
    """The short name of each piece of a plan, in the reader's language."""
    said = _labels(goods, wording)
    shorts = short_names(list(said.values()))
    return {key: shorts[told] for key, told in said.items()}


def _labels(goods: GoodsPlan, wording: Wording) -> dict[PieceKey, str]:
    return {each.key: wording.plain(each.label) for each in goods.laid}


def _named(drawn: DrawnPiece, wording: Wording) -> list[DrawingRecord]:
    """Name and bag, and the size below it, as large as there is room for; empty for none.

    A piece that two stretches show in part has its name in each, and no size.
    """
    piece = drawn.piece
    name = wording.say("{piece} {bag}", terms={"piece": piece.label}, numbers={"bag": piece.bag})
    size = wording.say("{width} × {length}", width=piece.width, length=piece.height)
    whole = [[(name, True), (size, False)], [(f"{name} · {size}", True)]] if drawn.is_whole else []
    halves = [(half, True) for half in halved(name)]
    tries = (
        _fitted(lines, height, drawn)
        for lines in (*whole, [(name, True)], halves)
        for height in LETTERS
    )
    return next((found for found in tries if found), [])


def _named_shortly(drawn: DrawnPiece, short: str, wording: Wording) -> list[DrawingRecord]:
    """The short name and the bag; empty where not even they have room."""
    told = [(_short_label(short, drawn.piece.bag, wording), True)]
    tries = (_fitted(told, height, drawn) for height in _SHORT_LETTERS)
    return next((found for found in tries if found), [])


def _short_label(short: str, bag: int, wording: Wording) -> str:
    return wording.say("{piece} {bag}", words={"piece": short, "bag": str(bag)}) if bag else short


def _fitted(lines: list[tuple[str, bool]], height: float, drawn: DrawnPiece) -> list[DrawingRecord]:
    """The lines, bold or not, along whichever side has room for them; empty where none has."""
    texts = [Words(line, height, bold) for line, bold in lines]
    widest = max(each.width for each in texts)
    slack = 0.5 * height if len(lines) == 1 else 0.0  # one line needs no space to the next
    for angle, (long, high) in ((0.0, drawn.room), (90.0, drawn.room[::-1])):
        if widest <= long and len(lines) * LEADING * height <= high + slack:
            return _set(texts, drawn.middle, angle, drawn.piece.name)
    return []


def _set(lines: list[Words], middle: Point, angle: float, piece: str) -> list[DrawingRecord]:
    records: list[DrawingRecord] = []
    for number, line in enumerate(lines):
        off = ((len(lines) - 1) / 2 - number) * LEADING * line.height
        x, y = middle
        at = (x, y + off) if angle == 0.0 else (x - off, y)
        records.append(
            Text(Ink.LABEL, at, line.text, line.height, angle, bold=line.bold, piece=piece)
        )
    return records


def key_line(goods: GoodsPlan, shortened: Collection[PieceKey], wording: Wording) -> str:
    """What the short names of these pieces stand for; empty when there are none."""
    labels, shorts = _labels(goods, wording), shorts_of(goods, wording).items()
    used = [f"{short} {labels[key]}" for key, short in shorts if key in shortened]
    return " · ".join(used)


def _arrow(drawn: DrawnPiece, taken: Sequence[DrawingRecord]) -> list[DrawingRecord]:
    """The grain arrow that is printed on the piece, clear of what is written; none without room."""
    if not drawn.piece.item.outer or not drawn.is_whole:
        return []
    level = drawn.piece.turned
    longest = min(_ARROW, 0.5 * (drawn.room[0] if level else drawn.room[1]))
    boxes = [text_box(each) for each in taken if isinstance(each, Text)]
    for share in _SHARES:
        half = share * longest / 2
        middle = _free_place(drawn, half, level=level, boxes=boxes)
        if half >= 2 * _HEAD and middle is not None:
            return list(_arrow_lines(middle, half, drawn.piece.name, level=level))
    return []


def _free_place(
    drawn: DrawnPiece, half: float, *, level: bool, boxes: list[Bounds]
) -> Point | None:
    """Where on the piece an arrow of this half length lies clear of the texts."""
    left, bottom, right, top = drawn.box
    broad = _HEAD + _AIR
    reach = (half, broad) if level else (broad, half)
    x, y = drawn.middle
    across, up = drawn.room[0] / 2 - reach[0] - _AIR, drawn.room[1] / 2 - reach[1] - _AIR
    for dx, dy in ((-0.8, 0.0), (0.8, 0.0), (0.0, -0.8), (0.0, 0.8), (-0.8, -0.8), (0.8, 0.8)):
        at = (x + dx * max(across, 0.0), y + dy * max(up, 0.0))
        box = (at[0] - reach[0], at[1] - reach[1], at[0] + reach[0], at[1] + reach[1])
        inside = box[0] > left and box[1] > bottom and box[2] < right and box[3] < top
        if inside and not any(overlap(box, each) for each in boxes):
            return at
    return None


def _arrow_lines(middle: Point, half: float, piece: str, *, level: bool) -> Iterator[DrawingRecord]:
    def placed(along: float, aside: float) -> Point:
        x, y = middle
        return (x + along, y + aside) if level else (x + aside, y + along)

    yield Line(Ink.GRAIN, (placed(-half, 0.0), placed(half, 0.0)), piece=piece)
    for end, back in ((half, -2 * _HEAD), (-half, 2 * _HEAD)):
        barbs = (placed(end + back, _HEAD), placed(end, 0.0), placed(end + back, -_HEAD))
        yield Line(Ink.GRAIN, barbs, piece=piece)
