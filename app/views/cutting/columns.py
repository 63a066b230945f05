"""Stretches of the goods beside each other: the largest that can be seen whole, or be read.

Drawing frame: mm of goods, y up. Rooms and gaps are device-independent pixels.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from app.widgets.theme import Look
from core.cutting.plan import GoodsPlan
from core.drawing.records import Anchor, Line, Polygon, Record, Text
from core.flat.piece import Point
from core.output.cutting_plan import Column, columns_of, whole_columns
from core.work.scene import Ink

MOST_COLUMNS = 16
READABLE = 0.12
"""px per mm below which names and lengths find no room: the plan is scrolled rather than
shown whole."""
LARGE = 0.3
"""px per mm above which a plan that is scrolled is no easier to read, only longer."""
GROWN = 1.04
"""By so much are stretches made longer until there are few enough of them."""


@dataclass(frozen=True, slots=True)
class Standing:
    """A stretch of goods and where its lower left corner stands, mm."""

    column: Column
    x: float
    y: float

    @property
    def height(self) -> float:
        """Length of the stretch, mm."""
        return self.column.high - self.column.low


def standing_in(
    goods: GoodsPlan, room: QSizeF, gaps: tuple[float, float]
) -> tuple[float, tuple[Standing, ...]]:
    """(px per mm, stretches) that show the goods largest; higher than the room to be read.

    Args:
        goods: something is laid on it.
        room: of the pane, px.
        gaps: least room across and along between two stretches, px.
    """
    gap_x, gap_y = gaps
    scale, columns, across = max(
        (_seen_whole(goods, room, gaps, *pattern) for pattern in _patterns(goods)),
        key=lambda each: each[0],
    )
    if scale < READABLE:
        scale, columns, across = _scrolled(goods, room.width(), gap_x)
    step_x = goods.width + gap_x / scale
    step_y = max(column.high - column.low for column in columns) + gap_y / scale
    return scale, tuple(
        Standing(column, place % across * step_x, -(place // across) * step_y)
        for place, column in enumerate(columns)
    )


def _seen_whole(
    goods: GoodsPlan,
    room: QSizeF,
    gaps: tuple[float, float],
    columns: list[Column],
    across: int,
) -> tuple[float, list[Column], int]:
    """The pattern with the scale at which all of it is seen."""
    down = -(-len(columns) // across)
    high = max(column.high - column.low for column in columns)
    scale = min(
        (room.width() - (across - 1) * gaps[0]) / (across * goods.width),
        (room.height() - (down - 1) * gaps[1]) / (down * high),
    )
    return scale, columns, across


def _scrolled(goods: GoodsPlan, room: float, gap: float) -> tuple[float, list[Column], int]:
    """(scale, stretches, how many side by side) that fill a width of px at a scale to read."""
    across = max(int((room + gap) / (READABLE * goods.width + gap)), 1)
    if goods.goods.in_sheets:
        columns = list(columns_of(goods, goods.cutting_length))
        across = min(across, len(columns))
    else:
        longest = goods.cutting_length / across
        columns = whole_columns(goods, longest)
        while len(columns) > across:
            # What was left over of each made one more: the stretches must be longer.
            longest *= GROWN
            columns = whole_columns(goods, longest)
        across = len(columns)
    scale = (room - (across - 1) * gap) / (across * goods.width)
    return min(max(scale, READABLE), LARGE), columns, across


def _patterns(goods: GoodsPlan) -> list[tuple[list[Column], int]]:
    """(stretches, how many stand side by side): goods off a roll in one row, sheets in any."""
    if goods.goods.in_sheets:
        sheets = list(columns_of(goods, goods.cutting_length))
        return [(sheets, across) for across in range(1, len(sheets) + 1)]
    found = []
    for count in range(1, MOST_COLUMNS + 1):
        columns = whole_columns(goods, goods.cutting_length / count)
        found.append((columns, len(columns)))
    return found


# --- cutting brush ---
# Reads the drawing records of a cutting plan onto the screen.
#
# Records come in millimetres of a page, y up; so many pixels stand for one of them that the middle
# size of letters is as high as the window's own.


PLAIN_LETTER = 2.1
"""Height of a capital on the page that is shown as high as the window's own, mm."""

_LINES = {
    Ink.BASTE: ("baste", Qt.PenStyle.DashLine),
    Ink.FOLD: ("fold", Qt.PenStyle.DashDotLine),
    Ink.DIMENSION: ("dimension", Qt.PenStyle.SolidLine),
    Ink.GRAIN: ("grain", Qt.PenStyle.SolidLine),
}
"""Colour in the look, and dashes, of the lines that a plan has."""


class CuttingBrush:
    """Paints records in one look and font."""

    def __init__(self, look: Look, font: QFont) -> None:
        self.look = look
        self._font = font
        self._fonts: dict[tuple[float, bool], QFont] = {}
        self.pixels = max(QFontMetricsF(font).capHeight(), 1.0) / PLAIN_LETTER
        """Pixels for one millimetre of the page."""

    def width(self, text: str, height: float) -> float:
        """What a text takes across, px; `height` of its capitals is mm of the page."""
        font = self._font_of(height, bold=False)
        return QFontMetricsF(font).horizontalAdvance(text)

    def paint(self, painter: QPainter, records: Iterable[Record], origin: QPointF) -> None:
        """Paint one stretch of goods, the page's corner at `origin` (px): areas and lines first."""
        texts: list[Text] = []
        for record in records:
            if isinstance(record, Text):
                texts.append(record)
            elif isinstance(record, Polygon):
                self._paint_area(painter, record, origin)
            else:
                self._paint_line(painter, record, origin)
        painter.setPen(self.look.ink)
        for text in texts:
            self._paint_text(painter, text, origin)

    def light(self, painter: QPainter, box: QRectF) -> None:
        """Frame the piece that is pointed at."""
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(self.look.highlight, self.look.bold + 0.8))
        painter.drawRect(box)

    def _paint_area(self, painter: QPainter, area: Polygon, origin: QPointF) -> None:
        is_goods = area.ink is Ink.TEST
        fill = self.look.inner if is_goods else self.look.outer
        edge = self.look.dimension if is_goods else self.look.cut
        painter.setPen(QPen(edge, self.look.line))
        painter.setBrush(fill)
        painter.drawPolygon(self._polygon(area.points, origin))

    def _paint_line(self, painter: QPainter, line: Line, origin: QPointF) -> None:
        name, style = _LINES.get(line.ink, ("dimension", Qt.PenStyle.SolidLine))
        colour: QColor = getattr(self.look, name)
        pen = QPen(colour, self.look.line if line.ink is Ink.FOLD else self.look.thin)
        pen.setStyle(style)
        painter.setPen(pen)
        painter.drawPolyline(self._polygon(line.points, origin))

    def _paint_text(self, painter: QPainter, text: Text, origin: QPointF) -> None:
        font = self._font_of(text.height, bold=text.bold)
        measures = QFontMetricsF(font)
        width = measures.horizontalAdvance(text.text)
        back = {Anchor.START: 0.0, Anchor.MIDDLE: width / 2, Anchor.END: width}[text.anchor]
        painter.save()
        painter.setFont(font)
        painter.translate(self._point(text.at, origin))
        painter.rotate(-text.angle)
        painter.drawText(QPointF(-back, measures.capHeight() / 2), text.text)
        painter.restore()

    def _font_of(self, height: float, *, bold: bool) -> QFont:
        key = (height, bold)
        found = self._fonts.get(key)
        if found is None:
            found = QFont(self._font)
            share = height / PLAIN_LETTER
            if found.pointSizeF() > 0.0:
                found.setPointSizeF(found.pointSizeF() * share)
            else:
                found.setPixelSize(max(round(found.pixelSize() * share), 1))
            found.setBold(bold)
            self._fonts[key] = found
        return found

    def _polygon(self, points: Iterable[Point], origin: QPointF) -> QPolygonF:
        return QPolygonF([self._point(point, origin) for point in points])

    def _point(self, point: Point, origin: QPointF) -> QPointF:
        return QPointF(
            origin.x() + self.pixels * point[0],
            origin.y() - self.pixels * point[1],
        )
