"""The ground of the flat pane: all of it that stays while only the pointer moves. px.

The pieces with everything that is written on them, the outlines of the bag that the work started
from, and the rulers, in one picture. It is painted anew where what it shows is another, into the
pixmap that it has.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from PySide6.QtCore import QPoint, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPixmap, QPolygonF, QRegion

from app.session.display import Display
from app.views.flat.labels import Lettering
from app.views.flat.paint import Brush, Pictures
from app.views.flat.piece_picture import PiecePicture
from app.views.flat.ruler import THICK, Along, Ruler, paint_corner
from app.views.flat.sheet import Drawn, PieceSheet
from app.widgets.drawing_view import View2D
from core.bag.compute import Result
from core.base.units import Unit
from core.flat.piece import Piece, Point
from core.flat.roles import PieceId

PictureSpots = list[tuple[QPointF, PiecePicture]]
"""What is painted of each piece, px, and where its origin lies."""


class Sight(NamedTuple):
    """Where the ground is seen, and how lengths are written on it.

    Attributes:
        size: of the pane.
        ratio: device pixels in one px.
        unit, step: the reader's.
    """

    size: QSize
    ratio: float
    view: View2D
    unit: Unit
    step: float

    def area(self) -> QRectF:
        """Where the drawing is seen: beside the rulers."""
        return QRectF(QPointF(THICK, THICK), QPointF(self.size.width(), self.size.height()))

    def rulers(self) -> tuple[Ruler, Ruler]:
        """Along the upper and the left edge."""
        view, wide, high = self.view, float(self.size.width()), float(self.size.height())
        return (
            Ruler(Along.X, QRectF(THICK, 0.0, wide - THICK, THICK), view.scale, view.x),
            Ruler(Along.Y, QRectF(0.0, THICK, THICK, high - THICK), view.scale, view.y),
        )


class Shown(NamedTuple):
    """All that the ground depends on.

    Attributes:
        layers: how many the sandwich has.
        laid_at: px per mm at which the pieces were laid beside each other.
    """

    sight: Sight
    drawn: tuple[Drawn, ...]
    places: tuple[Point, ...]
    layers: int
    laid_at: float
    starting: Result | None


class _Before(NamedTuple):
    """A piece of the starting bag: its cut line and the middle of its bounds across, mm."""

    line: tuple[Point, ...]
    middle: float

    @classmethod
    def of(cls, piece: Piece) -> "_Before":
        left, _, right, _ = piece.bounds
        return cls(piece.cut_outline, left / 2 + right / 2)


class Ground:
    """Painted in one look, and kept."""

    def __init__(
        self, brush: Brush, lettering: Lettering, display: Display, pictures: Pictures
    ) -> None:
        self._brush, self._lettering, self._display = brush, lettering, display
        self._pictures = pictures
        self._pixmap = QPixmap()
        self._shown: Shown | None = None
        self._strips: tuple[Sight, tuple[QPixmap, ...]] | None = None
        self._started: tuple[Result | None, Mapping[PieceId, _Before]] | None = None

    def drop(self) -> None:
        """Forget what is painted, so that it is painted anew."""
        self._shown = None

    def pixmap(
        self, shown: Shown, sheet: PieceSheet, pictures: Callable[[], PictureSpots]
    ) -> QPixmap:
        """The ground as it is to be shown; `pictures` of the sheet are asked for to paint it."""
        if shown != self._shown:
            self._paint(shown, sheet, pictures())
            self._shown = shown
        return self._pixmap

    def _paint(self, shown: Shown, sheet: PieceSheet, placed: PictureSpots) -> None:
        sight, brush = shown.sight, self._brush
        size = sight.size * sight.ratio
        if self._pixmap.size() != size or self._pixmap.devicePixelRatioF() != sight.ratio:
            self._pixmap = QPixmap(size)
            self._pixmap.setDevicePixelRatio(sight.ratio)
        painter = QPainter(self._pixmap)
        painter.fillRect(QRect(QPoint(0, 0), sight.size), brush.look.paper)
        for at, picture in placed:
            painter.translate(at)
            brush.paint_area(painter, picture)
            painter.translate(-at)
        if shown.starting is not None:
            self._paint_starting(painter, shown, sheet, placed)
        for at, picture in placed:
            painter.translate(at)
            brush.paint_lines(painter, picture, self._lettering, sight.ratio)
            painter.translate(-at)
        for ruler, strip in zip(sight.rulers(), self._ruler_strips(sight), strict=True):
            painter.drawPixmap(ruler.rect.topLeft(), strip)
        square = QRectF(0.0, 0.0, THICK, THICK)
        paint_corner(painter, square, sight.unit.label, self._lettering.small, brush.ruler)
        painter.end()

    def _ruler_strips(self, sight: Sight) -> tuple[QPixmap, ...]:
        """Both rulers; they stay while the bag changes in the same sight."""
        if self._strips is None or self._strips[0] != sight:
            small, ink = self._lettering.small, self._brush.ruler
            strips = (
                ruler.painted(self._display, small, ink, sight.ratio) for ruler in sight.rulers()
            )
            self._strips = sight, tuple(strips)
        return self._strips[1]

    def _paint_starting(
        self, painter: QPainter, shown: Shown, sheet: PieceSheet, placed: PictureSpots
    ) -> None:
        """Cut lines of the starting bag, each piece middle on middle with the one of its name.

        They run off the texts, and off what is of other pieces.
        """
        view = shown.sight.view
        texts = [box for at, picture in placed for box in _text_boxes(at, picture)]
        rooms = [self._room_of(drawn, shown, sheet).toAlignedRect() for drawn in sheet.drawn]
        area = shown.sight.area().toAlignedRect()
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        painter.setPen(self._brush.starting_pen(shown.sight.ratio))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for place, drawn in enumerate(sheet.drawn):
            before = self._before(shown.starting).get(drawn.piece.id)
            if before is None or before.line == drawn.outline:
                continue
            x, y = sheet.places[drawn.piece.id]
            x += sum(drawn.bounds[::2]) / 2 - before.middle
            line = QPolygonF([view.to_screen(px + x, py + y) for px, py in before.line])
            # What lies apart from the line need not be cut out of where it may run.
            reach = line.boundingRect().adjusted(-2.0, -2.0, 2.0, 2.0).toAlignedRect()
            taken = QRegion()
            for box in (*texts, *rooms[:place], *rooms[place + 1 :]):
                if reach.intersects(box):
                    taken += box
            painter.setClipRegion(QRegion(area).subtracted(taken))
            painter.drawPolygon(line)
        painter.restore()

    def _before(self, starting: Result | None) -> Mapping[PieceId, _Before]:
        """Each piece of the starting bag."""
        if self._started is None or self._started[0] is not starting:
            pieces = () if starting is None else starting.draft.pieces
            self._started = starting, {piece.id: _Before.of(piece) for piece in pieces}
        return self._started[1]

    def _room_of(self, drawn: Drawn, shown: Shown, sheet: PieceSheet) -> QRectF:
        """Where a piece and all that is written around it lie."""
        nearest = max(shown.sight.view.scale, shown.laid_at)
        margins = self._pictures.around(drawn, nearest).margins
        left, below, right, above = (each * nearest for each in margins)
        piece = shown.sight.view.rect(sheet.piece_bounds(drawn))
        return piece.adjusted(-left, -above, right, below)


def _text_boxes(at: QPointF, picture: PiecePicture) -> Iterator[QRect]:
    """Where the texts of a picture lie, in whole px."""
    x, y = at.x(), at.y()
    for label in picture.labels:
        left, top = math.floor(label.box[0] + x), math.floor(label.box[1] + y)
        right, bottom = math.ceil(label.box[2] + x), math.ceil(label.box[3] + y)
        yield QRect(left, top, right - left, bottom - top)
