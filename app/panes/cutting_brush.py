"""Reads the drawing records of a cutting plan onto the screen.

Records come in millimetres of a page, y up; so many pixels stand for one of them that the
middle size of letters is as high as the window's own.
"""

from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from app.panes.look import Look
from core.flat.piece import Point
from core.paper.records import Anchor, Layer, Line, Polygon, Record, Text

PLAIN_LETTER = 2.1
"""Height of a capital on the page that is shown as high as the window's own, mm."""

_LINES = {
    Layer.BASTE: ("baste", Qt.PenStyle.DashLine),
    Layer.FOLD: ("fold", Qt.PenStyle.DashDotLine),
    Layer.DIMENSION: ("dimension", Qt.PenStyle.SolidLine),
    Layer.GRAIN: ("grain", Qt.PenStyle.SolidLine),
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
        is_goods = area.layer is Layer.TEST
        fill = self.look.inner if is_goods else self.look.outer
        edge = self.look.dimension if is_goods else self.look.cut
        painter.setPen(QPen(edge, self.look.line))
        painter.setBrush(fill)
        painter.drawPolygon(self._polygon(area.points, origin))

    def _paint_line(self, painter: QPainter, line: Line, origin: QPointF) -> None:
        name, style = _LINES.get(line.layer, ("dimension", Qt.PenStyle.SolidLine))
        colour: QColor = getattr(self.look, name)
        pen = QPen(colour, self.look.line if line.layer is Layer.FOLD else self.look.thin)
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
