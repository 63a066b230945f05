"""Texts of the flat pane: readable at every zoom, never one on another. px, y down.

A text that finds no room is left out: the reader zooms in and it is there.
"""

import math
from collections.abc import Iterable
from enum import IntEnum, auto
from typing import NamedTuple

from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import (
    QFont,
    QFontInfo,
    QFontMetricsF,
    QPainter,
    QPolygonF,
    QStaticText,
    QTextOption,
)

from app.session.display import Display, tr, translated
from app.views.flat.sheet import Drawn
from app.widgets.theme import Cache
from core.base.sentences import Template, sentence_start
from core.base.units import Unit
from core.drawing.lettering import with_fractions
from core.flat.piece import CutFrom, Dimension, Out, Piece, Point

Box = tuple[float, float, float, float]
"""(left, top, right, bottom), px."""

AIR = 3.0
"""Kept free around every text, px."""

_KEPT_TEXTS = 600

_GRID = 15
"""Places tried along each axis where the wanted one is taken."""

_LAST = _GRID - 1
_FULL = (1 << _GRID) - 1
_ROWS = [
    [sum(1 << row * _GRID for row in range(first, stop)) for stop in range(_GRID + 1)]
    for first in range(_GRID + 1)
]
"""First row and the one after the last -> what sets a row's bits in all of them, multiplied."""
_EVERY = _FULL * _ROWS[0][_GRID]
"""All places of the grid."""
_TINY = 1e-9
"""Between places that all lie at one spot, px: what takes one takes all of them."""


class TextStyle(IntEnum):
    """How a text is written."""

    # That of an Enum is Python code, and every text is looked up by its style.
    __hash__ = int.__hash__

    NAME = auto()
    NOTE = auto()
    FIGURE = auto()


class Label(NamedTuple):
    """A text that has its place.

    Attributes:
        box: where it lies.
        upright: whether it is turned to read from below upwards.
    """

    text: str
    style: TextStyle
    box: Box
    upright: bool = False


SizedText = tuple[str, float, float]
"""A text, its width and its height."""

TextSpot = tuple[str, float, float]
"""A text and where its first letter stands: x of its left side, y of its top or its foot."""


class Lettering:
    """Fonts of the pane, and the laid out texts that are kept from one paint to the next."""

    def __init__(self, font: QFont) -> None:
        size = max(QFontInfo(font).pixelSize(), 9)
        self.fonts = {
            TextStyle.NAME: _sized(font, size, bold=True),
            TextStyle.NOTE: _sized(font, max(round(0.85 * size), 9), bold=False),
            TextStyle.FIGURE: _sized(font, max(round(0.85 * size), 9), bold=False),
        }
        self.small = _sized(font, max(round(0.75 * size), 8), bold=False)
        self._metrics = {style: QFontMetricsF(each) for style, each in self.fonts.items()}
        self._sizes = Cache(_KEPT_TEXTS, self._measured)
        # Kept apart by direction: a laid out text is prepared for one of them.
        self._level = Cache(_KEPT_TEXTS, _laid_out)
        self._upright = Cache(_KEPT_TEXTS, _laid_out)

    def size(self, text: str, style: TextStyle) -> tuple[float, float]:
        """(width, height) of one line."""
        return self._sizes[text, style]

    def _measured(self, written: tuple[str, TextStyle]) -> tuple[float, float]:
        text, style = written
        metrics = self._metrics[style]
        return metrics.horizontalAdvance(text), metrics.height()

    def paint(self, painter: QPainter, spots: list[TextSpot], style: TextStyle) -> None:
        """Texts from their upper left corners, in the painter's pen."""
        if spots:
            painter.setFont(self.fonts[style])
        for text, left, top in spots:
            painter.drawStaticText(QPointF(left, top), self._level[text, style])

    def paint_upright(self, painter: QPainter, spots: list[TextSpot], style: TextStyle) -> None:
        """Texts that read upwards, from their lower left corners, in the painter's pen."""
        if not spots:
            return
        painter.setFont(self.fonts[style])
        painter.save()
        painter.rotate(-90.0)
        for text, left, bottom in spots:
            painter.drawStaticText(QPointF(-bottom, left), self._upright[text, style])
        painter.restore()


class Figures:
    """Lengths as they stand on the drawing, without the name of the unit.

    Attributes:
        shown: unit and step of the ruler in which they are written.
        row: from one row of dimension lines to the next.
    """

    def __init__(self, lettering: Lettering, display: Display) -> None:
        self._lettering, self._display = lettering, display
        self.shown = (display.unit, display.step)
        self.row = lettering.size("0", TextStyle.FIGURE)[1] + 6.0
        self._texts = Cache(_KEPT_TEXTS, self._written)
        self._names = Cache(_KEPT_TEXTS, translated)
        self._notes = Cache(_KEPT_TEXTS, _cutting_note)
        self._told = Cache(_KEPT_TEXTS, self._worded)
        self._rooms = Cache(_KEPT_TEXTS, self._room_along)
        self._widths: dict[tuple[int, bool], tuple[int, float]] = {}

    def text(self, length: float) -> str:
        """A length (mm) in the reader's unit."""
        return self._texts[length]

    def _written(self, length: float) -> str:
        return with_fractions(self._display.bare(length))

    def name(self, label: Template) -> str:
        """A label in the reader's language."""
        return self._names[label]

    def note(self, piece: Piece, layers: int) -> str:
        """How many of a piece are cut, and from what: the same of all that are cut alike."""
        return self._notes[piece.cut_from, piece.count, layers]

    def told(self, dimension: Dimension) -> tuple[SizedText, ...]:
        """What may stand at a dimension line, the longest first and the number alone last."""
        return self._told[dimension.label, dimension.length]

    def _worded(self, told: tuple[Template, float]) -> tuple[SizedText, ...]:
        label, length = told
        number = self.text(length)
        texts = [f"{self.name(label)} {number}", number] if label else [number]
        return tuple([(text, *self._lettering.size(text, TextStyle.FIGURE)) for text in texts])

    def width(self, length: float) -> float:
        """Px to leave along a line for its number: what the longest takes that has its digits.

        A piece would else move there and back for one step at which the number happens to be
        short, "3" between "2 7/8" and "3 1/8".
        """
        return self._rooms[length]

    def _room_along(self, length: float) -> float:
        text, unit = self.text(length), self._display.unit
        kind = (len(str(math.floor(length / unit.mm))), self._display.is_near(length))
        if kind not in self._widths:
            self._widths[kind] = self._widest(*kind)
        letters, width = self._widths[kind]
        # A 64th is told on a coarser ruler, too.
        return width if len(text) <= letters else self._lettering.size(text, TextStyle.FIGURE)[0]

    def _widest(self, digits: int, near: bool) -> tuple[int, float]:
        """Letters of the longest number with so many digits, and what the widest takes, px."""
        unit, step = self._display.unit, self._display.step
        whole = int("8" * digits) * unit.mm
        if unit is Unit.INCH:
            beside = step / 3 if near else 0.0
            marks = [whole + mark * step + beside for mark in range(math.ceil(unit.mm / step))]
        else:
            marks = [whole + 0.88 * unit.mm]  # with as many decimals as there are
        texts = [with_fractions(self._display.bare(each)) for each in marks]
        sizes = [self._lettering.size(each, TextStyle.FIGURE)[0] for each in texts]
        return max(map(len, texts)), max(sizes)

    def fits_along(self, dimension: Dimension, scale: float) -> bool:
        """Whether its line is long enough for its number at `scale` px per mm."""
        length = dimension.length
        return length * scale >= self.width(length) + 2 * TICK


class Room:
    """What is taken on the pane; texts ask it for a free place."""

    def __init__(self) -> None:
        self._taken: list[Box] = []

    def take(self, boxes: Iterable[Box]) -> None:
        """Keep texts off what lies in these boxes."""
        self._taken += boxes

    def is_free(self, box: Box) -> bool:
        """Whether a text may stand there, with air around it."""
        left, top, right, bottom = box
        left, top, right, bottom = left - AIR, top - 1.0, right + AIR, bottom + 1.0
        # Written out: this loop is most of the work of a picture.
        for x0, y0, x1, y1 in self._taken:
            if left < x1 and x0 < right and top < y1 and y0 < bottom:
                return False
        return True

    def try_at(self, box: Box) -> bool:
        free = self.is_free(box)
        if free:
            self._taken.append(box)
        return free

    def find(self, size: tuple[float, float], within: Box, wanted: Point) -> Box | None:
        """The free box of this (width, height) nearest to the wanted middle; it is taken.

        None when there is no room in `within`.
        """
        (wide, high), (left, top, right, bottom) = size, within
        low_x, high_x = left + AIR, right - AIR - wide
        low_y, high_y = top + AIR, bottom - AIR - high
        if high_x < low_x or high_y < low_y:
            return None
        x = min(max(wanted[0] - wide / 2, low_x), high_x)
        y = min(max(wanted[1] - high / 2, low_y), high_y)
        if self.try_at((x, y, x + wide, y + high)):
            return (x, y, x + wide, y + high)
        return self._search((wide, high), (low_x, high_x), (low_y, high_y), (x, y))

    def _search(
        self,
        size: tuple[float, float],
        xs: tuple[float, float],
        ys: tuple[float, float],
        wanted: tuple[float, float],
    ) -> Box | None:
        """The free place on a grid over the ranges of its left and top, nearest to `wanted`."""
        wide, high = size
        step_x, step_y = (xs[1] - xs[0]) / _LAST, (ys[1] - ys[0]) / _LAST
        left, right = xs[0] - AIR, xs[1] + wide + AIR
        top, bottom = ys[0] - 1.0, ys[1] + high + 1.0
        # The places that are taken, one bit each, row after row.
        taken = 0
        across, down = step_x or _TINY, step_y or _TINY
        floor, ceil = math.floor, math.ceil
        from_x, to_x = xs[0] + wide + AIR, xs[0] - AIR
        from_y, to_y = ys[0] + high + 1.0, ys[0] - 1.0
        # Written out, as every box comes by here for every text: the first place that runs
        # into the box, and the first one past it.
        for x0, y0, x1, y1 in self._taken:
            if left < x1 and x0 < right and top < y1 and y0 < bottom:
                first, stop = floor((x0 - from_x) / across) + 1, ceil((x1 - to_x) / across)
                bits = _FULL if stop >= _GRID else (1 << stop) - 1
                if first > 0:
                    bits &= -1 << first
                first, stop = floor((y0 - from_y) / down) + 1, ceil((y1 - to_y) / down)
                taken |= bits * _ROWS[first if first > 0 else 0][stop if stop < _GRID else _GRID]
                if taken == _EVERY:
                    return None  # mostly after a few boxes, if at all
        aways = [abs(xs[0] + column * step_x - wanted[0]) for column in range(_GRID)]
        middle = min(max(floor((wanted[0] - xs[0]) / across) + 1, 0), _GRID)
        before = (1 << middle) - 1
        found = -1, -1
        nearest = math.inf
        for row in range(_GRID):
            bits = taken >> row * _GRID & _FULL
            down = abs(ys[0] + row * step_y - wanted[1])
            if bits == _FULL or down >= nearest:
                continue
            # Of the free columns the last up to the wanted one, and the first beyond it.
            free = ~bits & _FULL
            beyond = free & ~before
            for column in ((free & before).bit_length() - 1, (beyond & -beyond).bit_length() - 1):
                if column >= 0 and down + aways[column] < nearest:
                    nearest, found = down + aways[column], (row, column)
        if nearest == math.inf:
            return None
        x, y = xs[0] + found[1] * step_x, ys[0] + found[0] * step_y
        self._taken.append((x, y, x + wide, y + high))
        return (x, y, x + wide, y + high)


def _laid_out(written: tuple[str, TextStyle]) -> QStaticText:
    laid = QStaticText(written[0])
    laid.setTextFormat(Qt.TextFormat.PlainText)
    option = QTextOption()
    option.setWrapMode(QTextOption.WrapMode.NoWrap)
    laid.setTextOption(option)
    laid.setPerformanceHint(QStaticText.PerformanceHint.AggressiveCaching)
    return laid


def _sized(font: QFont, size: int, *, bold: bool) -> QFont:
    sized = QFont(font)
    sized.setPixelSize(size)
    sized.setBold(bold)
    return sized


THIN_PIECE = 120.0
"""A piece no taller than this (mm) carries its name above it."""

TICK = 4.0
"""Half of the slanting stroke that ends a dimension line, across and along."""

GAP = 14.0
"""Free between two pieces and what is written around them, px."""

STAND_OFF = 4.0
"""Free between what is measured and the line that leads off it."""

BESIDE = TICK + 4.0
"""From an upright dimension line to a number that stands next to it."""


def lies_over(dimension: Dimension, drawn: Drawn) -> bool:
    """Whether an upright size lies wholly above its piece: what was trimmed off."""
    upright = dimension.out is Out.LEFT and not dimension.level
    return upright and min(dimension.start[1], dimension.end[1]) >= drawn.bounds[3]


def line_offset(dimension: Dimension, row: float) -> float:
    """How far a dimension line lies off its piece: text stands above or left of it.

    `row` is from one row of them to the next, px.
    """
    if dimension.out is Out.ON:
        return 0.0
    if dimension.out in (Out.LEFT, Out.ABOVE):
        return STAND_OFF + 5.0 + row * dimension.row
    return row * (dimension.row + 1) + 2.0


def piece_title(piece: Piece) -> str:
    """A piece's name in the reader's language, as a title."""
    return sentence_start(translated(piece.label))


def cutting_note(piece: Piece, layers: int) -> str:
    """How many of a piece are cut, and from what."""
    return _cutting_note((piece.cut_from, piece.count, layers))


def _cutting_note(cut: tuple[CutFrom, int, int]) -> str:
    cut_from, count, layers = cut
    if cut_from is CutFrom.EVERY_LAYER and layers > 1:
        return tr("cut {count} from each of {layers} layers").format(count=count, layers=layers)
    if cut_from is CutFrom.BOUGHT:
        return tr("after trimming")
    return tr("cut {count}").format(count=count)


def tick(x: float, y: float) -> QLineF:
    """The slanting stroke that ends a dimension line."""
    return QLineF(x - TICK, y + TICK, x + TICK, y - TICK)


def along_line(line: Box, wide: float, high: float, *, level: bool) -> Box:
    """The box of a text that stands on a level line, or left of an upright one.

    `line` is (x, y) of one end, then of the other.
    """
    x, y = (line[0] + line[2]) / 2, (line[1] + line[3]) / 2
    if level:
        return box_of(x, y - high / 2 - 1.5, wide, high)
    return box_of(x - high / 2 - 1.5, y, high, wide)


def box_of(x: float, y: float, wide: float, high: float) -> Box:
    """The box of that size about a point."""
    return x - wide / 2, y - high / 2, x + wide / 2, y + high / 2


def spanned(line: Box) -> Box:
    """The box that a line spans, whichever way it runs."""
    x0, y0, x1, y1 = line
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def polygon_of(points: list[Point]) -> QPolygonF:
    """Points as what Qt fills."""
    return QPolygonF([QPointF(x, y) for x, y in points])


def double_arrow(line: QLineF) -> list[QLineF]:
    """A line with a head at each end."""
    along, across = (6.0, 3.5)
    level = line.dy() == 0.0
    barbs = [(along, -across), (along, across)] if level else [(-across, along), (across, along)]
    heads = [
        QLineF(end, end + QPointF(sign * dx, sign * dy))
        for end, sign in ((line.p1(), 1.0), (line.p2(), -1.0))
        for dx, dy in barbs
    ]
    return [line, *heads]
