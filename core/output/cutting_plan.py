"""Cutting plans as drawings: goods and pieces to a reduced scale. mm, y up.

Long goods are drawn in columns, each the continuation of the one before: from the cut end
at the foot of the first column upwards.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from shapely import LineString
from shapely import Polygon as Shape

from core.base.sentences import Sentence, say
from core.base.tolerance import LENGTH_TOLERANCE, same_length
from core.cutting.plan import GoodsPlan, Laid, Rest
from core.drawing.lettering import LEADING, Words, text_width
from core.drawing.records import Anchor, Line, Polygon, Record, Text
from core.flat.piece import Point
from core.output.cutting_plan_labels import LETTERS, Spot, arrow, label, short_label, shorts_of
from core.output.page_flow import MaterialsOptions
from core.work.scene import Ink

SMALLEST_SCALE = 1 / 26
"""Smaller, a handle strip has no room for its name."""
LARGEST_SCALE = 1 / 4
APART = 15.0
"""Between two columns: room for the lengths written beside them."""
ABOVE, BELOW = 5.0, 12.0
"""Room above and below a drawing, for what is written along its edges."""
_LINE = 2.8
"""From one length beside the goods to the next above it."""
_MOST_OFF = 1.3
"""Columns are of one length, but for this factor, where that saves cutting a piece in two."""


@dataclass(frozen=True, slots=True)
class Column:
    """A stretch of goods, drawn upwards."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Beside:
    """A name that stands beside the goods, for a piece that has no room for it.

    Attributes:
        at: where its leader begins, on the page.
        told: the short name, with the bag.
        piece: the name in full.
    """

    at: Point
    told: str
    piece: str


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a stretch is drawn: a length on the goods times `scale`, moved."""

    column: Column
    scale: float
    x: float
    y: float

    def point(self, point: Point) -> Point:
        """A point of the goods on the page."""
        u, v = point
        return self.x + self.scale * u, self.y + self.scale * (v - self.column.low)


def chosen_scale(
    width: float, length: float, room: tuple[float, float], *, sheet: float | None = None
) -> float:
    """The largest scale at which the goods fits on one page, in as many columns as it takes.

    One to a whole number, and not below the smallest legible scale: longer goods go on to
    further pages.

    Args:
        width: of the goods, mm.
        length: of the goods, mm.
        room: (across, up) for drawing, mm.
        sheet: length of a sheet, which is one column; None for goods off a roll.
    """
    best = 0.0
    counts = range(1, 13) if sheet is None else [min(round(length / sheet), 12)]
    for count in counts:
        across = (room[0] - (count - 1) * APART) / (count * width)
        column = length / count if sheet is None else sheet
        best = max(best, min(across, room[1] / column))
    scale = min(max(best, SMALLEST_SCALE), LARGEST_SCALE)
    scale = min(scale, room[0] / width, math.inf if sheet is None else room[1] / sheet)
    return 1 / math.ceil(1 / scale - 1e-9)


def columns_of(goods: GoodsPlan, longest: float) -> Iterator[Column]:
    """The goods from its cut end in stretches of at most `longest`, mm.

    Stretches are of about one length, and end where no piece is cut in two if they can.
    Each sheet is a stretch of its own.
    """
    end = goods.cutting_length
    if goods.goods.in_sheets:
        step = goods.goods.sheet_length
        yield from (Column(n * step, (n + 1) * step) for n in range(goods.sheets))
        return
    clean = _clean_cuts(goods)
    low = 0.0
    while low < end - LENGTH_TOLERANCE:
        rest = end - low
        even = rest / math.ceil(rest / longest - 1e-9)
        high = low + even
        if even < rest:
            most = low + min(longest, _MOST_OFF * even)
            near = [cut for cut in clean if low + even / _MOST_OFF <= cut <= most]
            far = [cut for cut in clean if low + longest / 2 <= cut <= low + longest]
            best = near or far[-1:]  # a shorter stretch before a piece that is cut in two
            high = min(best, key=lambda cut: abs(cut - low - even), default=high)
        yield Column(low, high)
        low = high


def whole_columns(goods: GoodsPlan, longest: float) -> list[Column]:
    """The goods from its cut end in stretches that cut no piece in two.

    Each is as long as it can be up to `longest`, mm, and longer only where it must be.
    """
    columns, low = [], 0.0
    cuts = [cut for cut in _clean_cuts(goods) if cut < goods.cutting_length - LENGTH_TOLERANCE]
    while low < goods.cutting_length - LENGTH_TOLERANCE:
        later = [cut for cut in cuts if cut > low + LENGTH_TOLERANCE]
        later.append(goods.cutting_length)
        reached = [cut for cut in later if cut <= low + longest + LENGTH_TOLERANCE]
        high = reached[-1] if reached else later[0]
        columns.append(Column(low, high))
        low = high
    return columns


def _clean_cuts(goods: GoodsPlan) -> list[float]:
    """Lengths at which a cut from edge to edge goes through no piece."""
    cuts: list[float] = []
    reach = 0.0
    for piece in sorted(goods.laid, key=lambda each: each.y):
        if piece.y >= reach - LENGTH_TOLERANCE:
            cuts.append(piece.y)
        reach = max(reach, piece.y + piece.height)
    return [*cuts, reach]


# --- One stretch ----------------------------------------------------------------------------------


def goods_records(goods: GoodsPlan, frame: Frame, options: MaterialsOptions) -> list[Record]:
    """One stretch of goods with what lies on it, its pieces' names and its measures."""
    records: list[Record] = [Polygon(Ink.TEST, _box(goods, frame, goods.width))]
    shorts = shorts_of(goods, options)
    beside: list[Beside] = []
    for spot in _spots(goods, frame):
        records += _piece_records(spot, frame)
        short = shorts[spot.piece.name]
        texts = label(spot, short, options)
        records += [*texts, *arrow(spot, texts)]
        if not texts:
            end = (spot.box[2], spot.middle[1])
            told = short_label(short, str(spot.piece.bag), options)
            beside.append(Beside(end, told, spot.piece.name))
    rest = goods.leftover
    if rest is not None:
        middle = goods.width / 2
        crossed = goods.folded_length > rest.y and rest.x < middle < rest.x + rest.width
        records += _rest_records(rest, frame, options, crossed=crossed)
    records += _fold_line(goods, frame)
    records += _lines_across(goods, frame, options, beside)
    records += _width_records(goods, frame, options)
    return records


def _box(goods: GoodsPlan, frame: Frame, width: float) -> tuple[Point, ...]:
    column = frame.column
    corners = ((0.0, column.low), (width, column.low), (width, column.high), (0.0, column.high))
    return tuple(frame.point(corner) for corner in corners)


def _spots(goods: GoodsPlan, frame: Frame) -> Iterator[Spot]:
    """Where each piece is drawn of which this stretch shows something."""
    for piece in goods.laid:
        left, bottom, right, top = piece.box
        low, high = max(bottom, frame.column.low), min(top, frame.column.high)
        if high - low <= LENGTH_TOLERANCE:
            continue
        (x0, y0), (x1, y1) = frame.point((left, low)), frame.point((right, high))
        across, up = x1 - x0, y1 - y0
        is_whole = same_length(top - bottom, high - low)
        if not piece.item.is_rectangle and is_whole:
            necks = _necks(piece)
            across, up = necks[0] * frame.scale, necks[1] * frame.scale
        yield Spot(
            piece=piece,
            box=(x0, y0, x1, y1),
            middle=((x0 + x1) / 2, (y0 + y1) / 2),
            room=(across - 1.0, up - 1.0),
            is_whole=is_whole,
        )


def _piece_records(spot: Spot, frame: Frame) -> list[Record]:
    """The rough rectangle, filled, and its final shape inside."""
    piece, (left, bottom, right, top) = spot.piece, spot.box
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    records: list[Record] = [Polygon(Ink.MAP, corners, piece.name)]
    if not piece.item.is_rectangle:
        shape = _clipped(piece.shape, frame.column.low, frame.column.high)
        ring = tuple(frame.point(point) for point in shape)
        records.append(Line(Ink.DIMENSION, (*ring, ring[0]), piece=piece.name))
    return records


def _necks(piece: Laid) -> tuple[float, float]:
    """What is left of a trimmed piece across its middle and up its middle, mm."""
    left, bottom, right, top = piece.box
    x, y = (left + right) / 2, (bottom + top) / 2
    shape = Shape(piece.shape)
    across = shape.intersection(LineString(((left, y), (right, y)))).length
    return across, shape.intersection(LineString(((x, bottom), (x, top)))).length


def _clipped(shape: tuple[Point, ...], low: float, high: float) -> tuple[Point, ...]:
    """What of a shape with edges along x and y lies between two heights."""
    return tuple((x, min(max(y, low), high)) for x, y in shape)


def _rest_records(
    rest: Rest, frame: Frame, options: MaterialsOptions, *, crossed: bool
) -> list[Record]:
    """The largest free rectangle, dashed, with its size where no fold line crosses it."""
    low = max(rest.y, frame.column.low)
    high = min(rest.y + rest.length, frame.column.high)
    if high - low <= LENGTH_TOLERANCE:
        return []
    inset = 0.7 / frame.scale
    corners = (
        (rest.x + inset, low + inset), (rest.x + rest.width - inset, low + inset),
        (rest.x + rest.width - inset, high - inset), (rest.x + inset, high - inset),
    )  # fmt: skip
    ring = tuple(frame.point(corner) for corner in corners)
    records: list[Record] = [Line(Ink.BASTE, (*ring, ring[0]))]
    if crossed:
        return records
    size = say("left over {width} × {length}", width=rest.width, length=rest.length)
    words = options.say(size)
    across, up = ring[2][0] - ring[0][0] - 1.0, ring[2][1] - ring[0][1] - 1.0
    middle = ((ring[0][0] + ring[2][0]) / 2, (ring[0][1] + ring[2][1]) / 2)
    for height in LETTERS:
        for angle, room in ((0.0, (across, up)), (90.0, (up, across))):
            if text_width(words, height) <= room[0] and LEADING * height <= room[1]:
                return [*records, Text(Ink.LABEL, middle, words, height, angle)]
    return records


def _lines_across(
    goods: GoodsPlan,
    frame: Frame,
    options: MaterialsOptions,
    beside: Sequence[Beside],
) -> list[Record]:
    """Lengths from the cut end, beside the goods: of the stretch, of what is used and bought.

    Among them stand the names that had no room on their pieces.
    """
    column = frame.column
    marks = {column.low: "{length}", column.high: "{length}"}
    sheets = goods.goods.in_sheets
    if column.low < goods.length_used < column.high and not sheets:
        marks[goods.length_used] = "used {length}"
    if goods.folded_length and column.low < goods.folded_length < column.high:
        marks[goods.folded_length] = "unfold {length}"
    if same_length(goods.cutting_length, column.high) and not sheets:
        marks[column.high] = "end {length}"
    records: list[Record] = []
    room = (column.high - column.low) * frame.scale / _LINE - len(marks)
    named = beside if len(beside) <= room else _runs(beside)
    told: list[tuple[float, str, Beside | None]] = [(each.at[1], each.told, each) for each in named]
    for length, mark in marks.items():
        x, y = frame.point((goods.width, length))
        records.append(Line(Ink.DIMENSION, ((x, y), (x + 1.6, y))))
        if length and length in (goods.length_used, goods.folded_length):
            start = frame.point((0.0, length))
            records.append(Line(Ink.BASTE, (start, (x, y))))
        shown = length - column.low if sheets else length  # each sheet is measured from its end
        told.append((y, options.say(Sentence(mark, {"length": shown})), None))
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
            found.append(replace(each, told=each.told.rpartition(" ")[0]))
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


def _fold_line(goods: GoodsPlan, frame: Frame) -> list[Record]:
    """Where the goods is folded lengthwise."""
    low, high = frame.column.low, min(goods.folded_length, frame.column.high)
    if high <= low:
        return []
    middle = goods.width / 2
    return [Line(Ink.FOLD, (frame.point((middle, low)), frame.point((middle, high))))]


def _width_records(goods: GoodsPlan, frame: Frame, options: MaterialsOptions) -> list[Record]:
    """The usable width, under the stretch."""
    (x0, y), (x1, _) = (
        frame.point((0.0, frame.column.low)),
        frame.point((goods.width, frame.column.low)),
    )
    y -= 2.6
    ticks = [Line(Ink.DIMENSION, ((x, y - 1.0), (x, y + 1.0))) for x in (x0, x1)]
    words = Words(options.say(say("{width}", width=goods.width)), 1.9)
    at = ((x0 + x1) / 2, y - 2.2)
    return [
        Line(Ink.DIMENSION, ((x0, y), (x1, y))),
        *ticks,
        Text(Ink.DIMENSION, at, words.text, words.height),
    ]
