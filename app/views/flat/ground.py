"""The ground of the flat pane: all of it that stays while only the pointer moves. px.

The pieces with everything that is written on them, the outlines of the bag that the work started
from, and the rulers. It is painted anew where what it shows is another.
"""

from collections.abc import Mapping
from itertools import starmap
from typing import NamedTuple

from PySide6.QtCore import QPoint, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPixmap, QPolygonF, QRegion

from app.session.display import Display
from app.views.flat.labels import Box, Lettering
from app.views.flat.paint import Brush, Pictures
from app.views.flat.piece_picture import PictureSpots, PiecePicture
from app.views.flat.ruler import THICK, Along, Ruler, paint_corner
from app.views.flat.sheet import Drawn, PieceSheet
from app.widgets.drawing_view import View2D
from core.bag.compute import Result
from core.base.sentences import Template
from core.base.units import Unit
from core.flat.piece import Piece, Point
from core.flat.roles import PieceId


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
    """A piece of the starting bag: name, cut line and the middle of its bounds across, mm.

    Its shape is the cut line once more, as Qt maps it in one go.
    """

    label: Template
    line: tuple[Point, ...]
    shape: QPolygonF
    middle: float

    @classmethod
    def of(cls, piece: Piece) -> "_Before":
        left, _, right, _ = piece.bounds
        line = piece.cut_outline
        return cls(piece.label, line, QPolygonF(list(starmap(QPointF, line))), left / 2 + right / 2)


class Ground:
    """Painted in one look, and kept."""

    def __init__(
        self, brush: Brush, lettering: Lettering, display: Display, pictures: Pictures
    ) -> None:
        self._brush, self._lettering, self._display = brush, lettering, display
        self._pictures = pictures
        self._pixmap = QPixmap()
        self._seen: Shown | None = None
        self._kept: Shown | None = None
        self._strips: tuple[Sight, tuple[QPixmap, ...]] | None = None
        self._started: tuple[Result | None, Mapping[PieceId, _Before]] | None = None

    def drop(self) -> None:
        """Forget what is painted, so that it is painted anew."""
        self._seen = self._kept = None

    def has(self, shown: Shown) -> bool:
        """Whether it is kept as it is to be shown."""
        return shown == self._kept

    def paint(
        self,
        painter: QPainter,
        shown: Shown,
        sheet: PieceSheet,
        placed: PictureSpots,
        reach: QRect,
    ) -> None:
        """Paint the ground as it is to be shown, where the painter of the pane stands.

        What is shown for the first time is painted there at once: a bag that changes from frame
        to frame is seen once. What stays is painted into a picture that is kept.

        Args:
            placed: the pictures of the sheet; not read of what it `has`.
            reach: what of the pane is to be painted.
        """
        sight, is_new = shown.sight, shown not in (self._seen, self._kept)
        self._seen = shown
        # A picture lies on whole pixels of the screen, whatever the pane's place in its window.
        if is_new and sight.ratio.is_integer():
            painter.save()
            self._paint(painter, shown, sheet, placed)
            if not sight.area().contains(QRectF(reach)):
                self._paint_rulers(painter, sight)
            painter.restore()
            return
        if not self.has(shown):
            self._keep(shown, sheet, placed)
        if not sight.ratio.is_integer():  # the picture may end a pixel of the screen short
            painter.fillRect(QRect(QPoint(0, 0), sight.size), self._brush.look.paper)
        painter.drawPixmap(0, 0, self._pixmap)

    def _keep(self, shown: Shown, sheet: PieceSheet, placed: PictureSpots) -> None:
        sight = shown.sight
        size = sight.size * sight.ratio
        if self._pixmap.size() != size or self._pixmap.devicePixelRatioF() != sight.ratio:
            self._pixmap = QPixmap(size)
            self._pixmap.setDevicePixelRatio(sight.ratio)
        painter = QPainter(self._pixmap)
        self._paint(painter, shown, sheet, placed)
        self._paint_rulers(painter, sight)
        painter.end()
        self._kept = shown

    def _paint(
        self, painter: QPainter, shown: Shown, sheet: PieceSheet, placed: PictureSpots
    ) -> None:
        """All but the rulers."""
        sight, brush = shown.sight, self._brush
        painter.fillRect(QRect(QPoint(0, 0), sight.size), brush.look.paper)
        brush.paint_areas(painter, placed)
        if shown.starting is not None:
            self._paint_starting(painter, shown, sheet, placed)
        brush.paint_lines(painter, placed, sight.ratio)
        brush.paint_texts(painter, placed, self._lettering)

    def _paint_rulers(self, painter: QPainter, sight: Sight) -> None:
        """Both rulers, and the square between them."""
        small, ink = self._lettering.small, self._brush.ruler
        for ruler, strip in zip(sight.rulers(), self._ruler_strips(sight), strict=True):
            painter.drawPixmap(ruler.rect.topLeft(), strip)
        paint_corner(painter, QRectF(0.0, 0.0, THICK, THICK), sight.unit.label, small, ink)

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
        view, area = shown.sight.view, QRegion(shown.sight.area().toAlignedRect())
        texts = [box for at, picture in placed for box in _text_boxes(at, picture)]
        rooms = [self._room_of(drawn, shown, sheet) for drawn in sheet.drawn]
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        painter.setPen(self._brush.starting_pen(shown.sight.ratio))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for place, drawn in enumerate(sheet.drawn):
            before = self._before(shown.starting).get(drawn.piece.id)
            if before is None or before.line == drawn.outline:
                continue
            if before.label != drawn.piece.label:
                continue  # of another construction, where it is another piece
            x, y = sheet.places[drawn.piece.id]
            x += sum(drawn.bounds[::2]) / 2 - before.middle
            line = view.placing(x, y).map(before.shape)
            # What lies apart from the line need not be cut out of where it may run.
            reach = line.boundingRect().adjusted(-3.0, -3.0, 3.0, 3.0)
            left, top, right, bottom = reach.left(), reach.top(), reach.right(), reach.bottom()
            free = area
            for x0, y0, x1, y1 in (*texts, *rooms[:place], *rooms[place + 1 :]):
                if left < x1 and x0 < right and top < y1 and y0 < bottom:
                    free -= QRectF(x0, y0, x1 - x0, y1 - y0).toAlignedRect()
            painter.setClipRegion(free)
            painter.drawPolygon(line)
        painter.restore()

    def _before(self, starting: Result | None) -> Mapping[PieceId, _Before]:
        """Each piece of the starting bag."""
        if self._started is None or self._started[0] is not starting:
            pieces = () if starting is None else starting.draft.pieces
            self._started = starting, {piece.id: _Before.of(piece) for piece in pieces}
        return self._started[1]

    def _room_of(self, drawn: Drawn, shown: Shown, sheet: PieceSheet) -> Box:
        """Where a piece and all that is written around it lie."""
        scale, x, y = shown.sight.view
        nearest = max(scale, shown.laid_at)
        margins = self._pictures.around(drawn, nearest).margins
        west, south, east, north = (each * nearest for each in margins)
        left, low, right, high = sheet.piece_bounds(drawn)
        return (
            x + scale * left - west,
            y - scale * high - north,
            x + scale * right + east,
            y - scale * low + south,
        )


def _text_boxes(at: QPointF, picture: PiecePicture) -> list[Box]:
    """Where the texts of a picture lie."""
    x, y = at.x(), at.y()
    return [
        (left + x, top + y, right + x, bottom + y)
        for _, _, (left, top, right, bottom), _ in picture.labels
    ]
