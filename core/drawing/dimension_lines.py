"""Dimensions around a small drawing: every label stands free, outside of what is drawn. mm.

A length along x stands above or below the drawing and one along y beside it, each on a line
between its two points, in tiers: the short ones nearest, none over another (common practice of
technical drawings). What is slanted, or lies too deep in the drawing for that, is measured where
it lies, and a leader line takes its label out. All is at its printed size.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

from core.base.tolerance import LENGTH_TOLERANCE
from core.drawing.lettering import text_width
from core.drawing.records import Anchor, DrawingRecord, Line, Polygon, Text, text_box
from core.flat.geometry import Bounds, corners_of
from core.flat.ink import Ink
from core.flat.piece import Point

SMALL = 1.9
"""Height of a capital in a label, mm: 7.4 pt type."""
TICK = 0.8
"""Half of the stroke across either end of a dimension line."""
_FIRST, _TIER, _TO_TEXT = 2.6, 5.2, 2.2
"""From the drawing to the first line; from tier to tier; from a line to its text's middle."""
_APART = 1.2
"""Between two dimensions in one tier."""
_DEEP, _SHALLOW = 0.3, 8.0
"""A span further inside than this share of the drawing, and so many mm, is measured where it
lies."""
_SHORT, _BEYOND = 2.4, 1.8
"""A line shorter than that is drawn so far beyond its ends, to be seen at all."""
_LEADER, _ROW = 3.0, 3.4
"""From what is left of the drawing to the labels of leaders; from one such label to the next."""
_ARROW, _ARROW_TURN = 1.3, math.radians(20.0)
"""Length of an arrowhead's strokes, and how far they turn from their line."""
_PLATE = 0.35
"""White around a label, so that no line runs through it."""


@dataclass(frozen=True, slots=True)
class Span:
    """A length between two points of the drawing, and how it reads."""

    start: Point
    end: Point
    text: str


@dataclass(frozen=True, slots=True)
class Pointer:
    """A label that a leader line takes to a point."""

    at: Point
    text: str


class _Side(Enum):
    """Where a dimension stands: its axis (0 along x, 1 along y) and its way out."""

    BELOW = (0, -1)
    ABOVE = (0, 1)
    LEFT = (1, -1)
    RIGHT = (1, 1)

    @property
    def along(self) -> int:
        return self.value[0]

    @property
    def out(self) -> int:
        return self.value[1]


def dimension_records(
    body: Bounds, spans: Iterable[Span], pointers: Iterable[Pointer] = ()
) -> list[DrawingRecord]:
    """Lines, then plates, then labels, around the body of all that is drawn.

    What is measured twice is told once.
    """
    pointed = [(each, True) for each in dict.fromkeys(pointers)]
    sides: dict[_Side, list[Span]] = {side: [] for side in _Side}
    lines: list[DrawingRecord] = []
    for span in dict.fromkeys(spans):
        side = _side(body, span)
        if side is not None:
            sides[side].append(span)
            continue
        lines += _line_with_ticks(span.start, span.end)
        middle = ((span.start[0] + span.end[0]) / 2, (span.start[1] + span.end[1]) / 2)
        pointed.append((Pointer(middle, span.text), False))
    texts: list[Text] = []
    for side, found in sides.items():
        beside = _widened(body, sides) if side.along == 1 else body
        for tier, row in enumerate(_tiers(side, found)):
            for span in row:
                new_lines, text = _dimension(beside, side, tier, span)
                lines += new_lines
                texts.append(text)
    new_lines, new_texts = _leaders(body, lines, texts, pointed)
    lines += new_lines
    texts += new_texts
    return [*lines, *map(_plate, texts), *texts]


def _plate(text: Text) -> Polygon:
    left, bottom, right, top = text_box(text)
    return Polygon(Ink.PLATE, corners_of((left - _PLATE, bottom, right + _PLATE, top + _PLATE)))


def _side(body: Bounds, span: Span) -> _Side | None:
    """The side of the drawing that a span is nearest to; None for one that stays where it is."""
    (x0, y0), (x1, y1) = span.start, span.end
    level, upright = abs(y1 - y0) <= LENGTH_TOLERANCE, abs(x1 - x0) <= LENGTH_TOLERANCE
    if level == upright:
        return None
    axis = 1 if level else 0  # across the dimension line
    place, low, high = span.start[axis], body[axis], body[axis + 2]
    if min(place - low, high - place) > max(_DEEP * (high - low), _SHALLOW):
        return None
    is_low = place - low <= high - place
    if level:
        return _Side.BELOW if is_low else _Side.ABOVE
    return _Side.LEFT if is_low else _Side.RIGHT


def _reach(side: _Side, span: Span) -> tuple[float, float]:
    """What a dimension takes up along its line, its text with it."""
    low, high = sorted((span.start[side.along], span.end[side.along]))
    middle, half = (low + high) / 2, text_width(span.text, SMALL) / 2
    more = _BEYOND if high - low < _SHORT else 0.0
    return min(low - more, middle - half), max(high + more, middle + half)


def _tiers(side: _Side, spans: Sequence[Span]) -> list[list[Span]]:
    """Dimensions of one side, tier by tier from the drawing outwards, short ones first."""
    rows: list[list[Span]] = []

    def length(span: Span) -> tuple[float, float]:
        low, high = _reach(side, span)
        return high - low, low

    for span in sorted(spans, key=length):
        low, high = _reach(side, span)
        for row in rows:
            others = [_reach(side, other) for other in row]
            if all(high + _APART <= left or right + _APART <= low for left, right in others):
                row.append(span)
                break
        else:
            rows.append([span])
    return rows


def _widened(body: Bounds, sides: Mapping[_Side, Sequence[Span]]) -> Bounds:
    """The drawing, and what stands out beside it above and below if that would be met there."""
    left, low, right, high = body
    beside = [_reach(side, span) for side in (_Side.LEFT, _Side.RIGHT) for span in sides[side]]
    if all(low - _APART <= foot and top <= high + _APART for foot, top in beside):
        return body
    level = [_reach(side, span) for side in (_Side.BELOW, _Side.ABOVE) for span in sides[side]]
    return (
        min([left, *(start for start, _ in level)]),
        low,
        max([right, *(end for _, end in level)]),
        high,
    )


def _dimension(
    body: Bounds, side: _Side, tier: int, span: Span
) -> tuple[list[DrawingRecord], Text]:
    edge = body[(1 - side.along) + (2 if side.out > 0 else 0)]
    across = edge + side.out * (_FIRST + tier * _TIER)

    def at(along: float, out: float) -> Point:
        return (along, out) if side.along == 0 else (out, along)

    low, high = sorted((span.start, span.end), key=lambda point: point[side.along])
    ends = low[side.along], high[side.along]
    lines: list[DrawingRecord] = []
    for point, along in zip((low, high), ends, strict=True):
        tip = across + side.out * TICK
        lines.append(Line(Ink.DIMENSION, (point, at(along, tip))))
    lines += _line_with_ticks(at(ends[0], across), at(ends[1], across))
    middle = at((ends[0] + ends[1]) / 2, across + side.out * _TO_TEXT)
    angle = 0.0 if side.along == 0 else 90.0
    return lines, Text(Ink.DIMENSION, middle, span.text, SMALL, angle)


def _line_with_ticks(start: Point, end: Point) -> list[DrawingRecord]:
    (x0, y0), (x1, y1) = start, end
    length = math.hypot(x1 - x0, y1 - y0)
    if length <= 0.0:
        return []
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    more = _BEYOND if length < _SHORT else 0.0
    lines: list[DrawingRecord] = [
        Line(Ink.DIMENSION, ((x0 - more * ux, y0 - more * uy), (x1 + more * ux, y1 + more * uy)))
    ]
    for x, y in (start, end):
        stroke = ((x + TICK * uy, y - TICK * ux), (x - TICK * uy, y + TICK * ux))
        lines.append(Line(Ink.DIMENSION, stroke))
    return lines


def _leaders(
    body: Bounds,
    lines: Sequence[DrawingRecord],
    texts: Sequence[Text],
    pointers: Sequence[tuple[Pointer, bool]],
) -> tuple[list[DrawingRecord], list[Text]]:
    """Labels in a column at either side, each as level with its point as the others allow.

    Each pointer says whether an arrowhead ends its leader; one to a dimension line has none.
    """
    if not pointers:
        return [], []
    left, _, right, _ = _bounds(body, lines, texts)
    middle = (body[0] + body[2]) / 2
    told: list[DrawingRecord] = []
    labels: list[Text] = []
    for is_left in (True, False):
        column = [each for each in pointers if (each[0].at[0] < middle) == is_left]
        if not column:
            continue
        x = left - _LEADER if is_left else right + _LEADER
        column.sort(key=lambda each: each[0].at[1])
        heights = _spread([each.at[1] for each, _ in column])
        anchor = Anchor.END if is_left else Anchor.START
        for (each, has_arrow), y in zip(column, heights, strict=True):
            elbow = (x + (0.6 if is_left else -0.6), y)
            told.append(Line(Ink.DIMENSION, (each.at, elbow)))
            if has_arrow:
                told += _arrow(each.at, elbow)
            labels.append(Text(Ink.DIMENSION, (x, y), each.text, SMALL, anchor=anchor))
    return told, labels


def _arrow(tip: Point, tail: Point) -> list[DrawingRecord]:
    turn = math.atan2(tail[1] - tip[1], tail[0] - tip[0])
    return [
        Line(
            Ink.DIMENSION,
            (tip, (tip[0] + _ARROW * math.cos(each), tip[1] + _ARROW * math.sin(each))),
        )
        for each in (turn - _ARROW_TURN, turn + _ARROW_TURN)
    ]


def _bounds(body: Bounds, lines: Sequence[DrawingRecord], texts: Sequence[Text]) -> Bounds:
    boxes = [body, *map(text_box, texts)]
    points = [point for line in lines if isinstance(line, Line) for point in line.points]
    boxes += [(x, y, x, y) for x, y in points]
    return (
        min(box[0] for box in boxes),
        min(box[1] for box in boxes),
        max(box[2] for box in boxes),
        max(box[3] for box in boxes),
    )


def _spread(heights: Sequence[float]) -> list[float]:
    """Heights at least a row apart, near those given, which rise.

    What is too near is moved apart about the middle of its own group.
    """
    groups: list[list[float]] = []
    for height in heights:
        groups.append([height])
        while len(groups) > 1 and _top(groups[-2]) + _ROW > _foot(groups[-1]):
            groups[-2:] = [groups[-2] + groups[-1]]
    return [_foot(group) + _ROW * place for group in groups for place in range(len(group))]


def _foot(group: Sequence[float]) -> float:
    return math.fsum(group) / len(group) - _ROW * (len(group) - 1) / 2


def _top(group: Sequence[float]) -> float:
    return _foot(group) + _ROW * (len(group) - 1)
