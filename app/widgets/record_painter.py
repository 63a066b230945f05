"""Drawing records on the screen, in the window's colours: steps, help and cutting plans."""

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from app.widgets.desktop import mixed
from app.widgets.theme import DrawingTheme
from core.drawing.dimension_lines import SMALL
from core.drawing.lettering import CAPITAL
from core.drawing.records import Anchor, DrawingRecord, Line, Text
from core.drawing.sketch import Picture, stroke_of
from core.flat.ink import Ink

SMALLEST = 9.0
"""Font size in px below which letters are no longer read."""
READABLE = SMALLEST * CAPITAL / SMALL
"""Px per mm at which a drawing's own letters are just so large; below it they would not fit."""
LARGEST = 5.2
"""Px per mm beyond which a drawing only grows empty."""
_NEW_SHARE = 0.3
_AREAS = {
    Ink.GOODS: "outer",
    Ink.SHADE: "allowance",
    Ink.INSIDE: "inner",
    Ink.PART: "pocket",
    Ink.PLATE: "paper",
}
_LINES = {
    Ink.CUT: "cut",
    Ink.STITCH: "cut",
    Ink.FOLD: "cut",
    Ink.NOTCH: "cut",
    Ink.PLACEMENT: "starting",
    Ink.BASTE: "starting",
    Ink.DIMENSION: "dimension",
    Ink.HATCH: "starting",
    Ink.NEW: "highlight",
    Ink.NEW_AREA: "highlight",
}


_PLAN_LINES = {
    Ink.LEFTOVER: ("baste", Qt.PenStyle.DashLine),
    Ink.USED: ("baste", Qt.PenStyle.DashLine),
    Ink.FOLD: ("fold", Qt.PenStyle.DashDotLine),
    Ink.GRAIN: ("grain", Qt.PenStyle.SolidLine),
}
"""Colour in the look, and dashes, of the lines of a cutting plan; others are like dimensions."""
PLAIN_LETTER = 2.1
"""Height of a capital on the page that is shown as high as the window's own, mm."""


class PictureView(QWidget):
    """Shows one picture as large as it fits."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.picture: Picture | None = None

    def show_picture(self, picture: Picture | None) -> None:
        """Show another picture; its own words tell it to who cannot see it."""
        self.picture = picture
        self.setAccessibleName("" if picture is None else picture.told)
        self.update()

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        picture = self.picture
        if picture is None:
            return
        scale = min(self.width() / picture.width, self.height() / picture.height, LARGEST)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(
            (self.width() - scale * picture.width) / 2, (self.height() - scale * picture.height) / 2
        )
        look = DrawingTheme.for_palette(self.palette())._replace(
            paper=self.palette().color(self.backgroundRole())
        )
        paint_picture(painter, picture, scale, look)


def paint_picture(painter: QPainter, picture: Picture, scale: float, look: DrawingTheme) -> None:
    """Draw a picture from the painter's origin, its upper left corner; px per mm."""
    style = SketchStyle(look, scale, painter.font())
    records = RecordPainter(
        painter, style, origin=QPointF(0.0, picture.height * scale), scale=scale
    )
    for record in picture.records:
        records.draw(record)


class RecordPainter:
    """Draws records, mm with y up.

    Args:
        style: what lines, areas and letters look like.
        origin: where (0, 0) of the records lies, px.
        scale: px per mm.
    """

    def __init__(
        self, painter: QPainter, style: "SketchStyle | PlanStyle", *, origin: QPointF, scale: float
    ) -> None:
        self._painter, self._style, self._origin, self._scale = painter, style, origin, scale

    def draw(self, record: DrawingRecord) -> None:
        if isinstance(record, Text):
            self._text(record)
            return
        self._painter.setPen(self._style.pen(record.ink))
        points = QPolygonF([self._spot(x, y) for x, y in record.points])
        if isinstance(record, Line):
            self._painter.drawPolyline(points)
            return
        fill = self._style.fill(record.ink)
        self._painter.setBrush(Qt.BrushStyle.NoBrush if fill is None else fill)
        self._painter.drawPolygon(points)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)

    def _spot(self, x: float, y: float) -> QPointF:
        return QPointF(self._origin.x() + x * self._scale, self._origin.y() - y * self._scale)

    def _text(self, text: Text) -> None:
        painter, font = self._painter, self._style.font(text.height, bold=text.bold)
        metrics = QFontMetricsF(font)
        width = metrics.horizontalAdvance(text.text)
        back = {Anchor.START: 0.0, Anchor.MIDDLE: width / 2, Anchor.END: width}[text.anchor]
        painter.save()
        painter.translate(self._spot(*text.at))
        painter.rotate(-text.angle)
        painter.setFont(font)
        painter.setPen(self._style.look.ink)
        painter.drawText(QPointF(-back, metrics.capHeight() / 2), text.text)
        painter.restore()


class SketchStyle:
    """Steps and help: as printed, in the window's colours; `scale` is px per mm."""

    def __init__(self, look: DrawingTheme, scale: float, font: QFont) -> None:
        self.look, self._scale, self._font = look, scale, font

    def pen(self, ink: Ink) -> QPen:
        area = self.fill(ink) if ink is not Ink.NEW_AREA else None
        if area is not None:
            # An area's own colour closes the hairlines between two.
            return QPen(area, 0.6)
        printed, look = stroke_of(ink), self.look
        colour: QColor = getattr(look, _LINES.get(ink, "ink"))
        width = max(printed.width * self._scale, look.thin)
        pen = QPen(colour, width, c=Qt.PenCapStyle.RoundCap, j=Qt.PenJoinStyle.RoundJoin)
        if printed.dashes:
            # Qt counts dashes in pen widths.
            pen.setCapStyle(Qt.PenCapStyle.FlatCap)
            pen.setDashPattern([dash * self._scale / width for dash in printed.dashes])
        return pen

    def fill(self, ink: Ink) -> QColor | None:
        """Of areas; None for an outline alone."""
        if ink in (Ink.NEW_AREA, Ink.NEW_GROUND):
            return mixed(self.look.highlight, self.look.paper, _NEW_SHARE)
        return self._area(ink)

    def font(self, height: float, *, bold: bool) -> QFont:
        """Of letters whose capitals are so high, mm."""
        font = QFont(self._font)
        font.setBold(bold)
        font.setPixelSize(round(max(height / CAPITAL * self._scale, SMALLEST)))
        return font

    def _area(self, ink: Ink) -> QColor | None:
        return getattr(self.look, _AREAS[ink]) if ink in _AREAS else None


class PlanStyle:
    """A cutting plan, with letters as high as those of the widget's font whatever the zoom."""

    def __init__(self, look: DrawingTheme, font: QFont) -> None:
        self.look, self._font = look, font
        self._fonts: dict[tuple[float, bool], QFont] = {}
        self.pixels = max(QFontMetricsF(font).capHeight(), 1.0) / PLAIN_LETTER
        """Pixels for one millimetre of the page."""

    def width(self, text: str, height: float) -> float:
        """What a text takes across, px; `height` of its capitals is mm of the page."""
        return QFontMetricsF(self.font(height, bold=False)).horizontalAdvance(text)

    def pen(self, ink: Ink) -> QPen:
        if ink is Ink.MATERIAL or ink is Ink.PIECE:
            return QPen(
                self.look.dimension if ink is Ink.MATERIAL else self.look.cut, self.look.line
            )
        name, style = _PLAN_LINES.get(ink, ("dimension", Qt.PenStyle.SolidLine))
        colour: QColor = getattr(self.look, name)
        pen = QPen(colour, self.look.line if ink is Ink.FOLD else self.look.thin)
        pen.setStyle(style)
        return pen

    def fill(self, ink: Ink) -> QColor | None:
        return {Ink.MATERIAL: self.look.inner, Ink.PIECE: self.look.outer}.get(ink)

    def font(self, height: float, *, bold: bool) -> QFont:
        """Of letters whose capitals are so high, mm of the page."""
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
