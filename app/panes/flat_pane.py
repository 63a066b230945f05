"""The flat pane: the pieces at true proportion, with everything that is measured on them."""

import math

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPalette,
    QPixmap,
)
from PySide6.QtWidgets import QWidget

from app.display import Display
from app.document import Change, Document, Pointing
from app.panes.flat_brush import Brush
from app.panes.flat_labels import Lettering
from app.panes.flat_picture import Pictures
from app.panes.flat_plan import Picture
from app.panes.flat_pointing import Caption, caption, nearest_edge, sewn_edges
from app.panes.flat_ruler import THICK, Along, Ruler
from app.panes.flat_sheet import Drawer, Drawn, Sheet, lay_sheet, sheet_widths
from app.panes.look import Look
from app.panes.view2d import Bounds, DrawingView, fitted
from core.compute import Result
from core.flat.seam import EdgeRef

REACH = 6.0
"""How near to an edge the pointer must come to point at it, px."""

GAP = 14.0
"""Free between two pieces and what is written around them, px."""

ROOMY = 0.8
"""Below this share of the fitted scale the pieces lie too near for texts between them."""


class FlatPane(DrawingView):
    """Shows the flat pieces of a document's bag.

    Everything that an edit, another unit, another theme or another view makes stale is
    dropped when it happens and made again by the next paint.
    """

    def __init__(self, document: Document, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._display = display
        self._drawer = Drawer()
        self._lettering = Lettering(self.font())
        self._brush = Brush(Look.for_palette(self.palette()))
        self._starting: Result | None = None
        self._sheet: Sheet | None = None
        self._pattern: tuple[int, float] | None = None
        self._pictures = Pictures(self._lettering, display)
        self._ground: QPixmap | None = None
        self._strips: tuple[QPixmap, ...] = ()
        self._ratio = self.devicePixelRatioF()
        self._pointer: QPointF | None = None
        self.setAccessibleName(self.tr("Flat pieces"))
        self.setWhatsThis(
            self.tr(
                "The pieces as they are cut. Turn the wheel to zoom, drag to move, "
                "double click a piece to see it large, press F to see everything."
            )
        )
        self.setMinimumSize(220, 180)
        self._describe()
        document.changed.connect(self._on_document_change)
        document.pointed.connect(self._on_pointed)
        display.changed.connect(self._on_display_change)

    def set_starting(self, starting: Result | None) -> None:
        """Show the pieces of the bag that the work started from as faint outlines."""
        self._starting = starting
        self._drop_ground()

    @property
    def sheet(self) -> Sheet:
        """The pieces as they are laid beside each other, mm."""
        if self._sheet is None:
            self._sheet = self._laid()
        return self._sheet

    def pictures(self) -> list[tuple[QPointF, Picture]]:
        """What is painted of each piece, px, and where its origin lies."""
        sheet, view, ratio = self.sheet, self.view, self._ratio
        layers = len(sheet.result.bag.sandwich.layers)
        roomy = self._pattern is None or view.scale >= ROOMY * self._pattern[1]
        found = []
        for drawn in sheet.drawn:
            at = view.to_screen(*sheet.places[drawn.piece.name])
            whole = QPointF(math.floor(at.x() * ratio) / ratio, math.floor(at.y() * ratio) / ratio)
            picture = self._pictures.picture(
                drawn, scale=view.scale, ratio=ratio, layers=layers, roomy=roomy
            )
            found.append((whole, picture))
        return found

    @property
    def caption(self) -> Caption | None:
        """What is said of the edge that is pointed at."""
        edge = self._document.pointing.edge
        return None if edge is None else caption(self._document.result, edge, self._display)

    # Looking.

    def content_bounds(self) -> Bounds:
        return self.sheet.bounds

    def drawing_area(self) -> QRectF:
        return QRectF(self.rect()).adjusted(THICK, THICK, 0.0, 0.0)

    def fit_margin(self) -> float:
        # Enough that an inch or two of growth shows before everything must shrink.
        return 16.0

    def target_at(self, point: QPointF) -> Bounds | None:
        piece = self.sheet.piece_at(self.view.to_drawing(point))
        return None if piece is None else self.sheet.piece_bounds(piece)

    def edge_at(self, point: QPointF) -> EdgeRef | None:
        """The edge that lies under a point, px, or near enough."""
        if not self.drawing_area().contains(point):
            return None
        reach = REACH / self.view.scale
        return nearest_edge(self.sheet.edges(), self.view.to_drawing(point), reach)

    def fit(self) -> None:
        self._pattern = self._sheet = None
        super().fit()

    def _laid(self) -> Sheet:
        """Pieces laid out; the room around them is px, so it depends on the scale."""
        drawn = self._drawer.draw(self._document.result)
        if self._pattern is None:
            self._pattern = self._best_pattern(drawn)
        return self._lay(drawn, *self._pattern)

    def _best_pattern(self, drawn: tuple[Drawn, ...]) -> tuple[int, float]:
        """(which of the widths, scale) that shows the pieces largest in this pane.

        Of those that show them about as large, the one that takes least room is tidiest.
        """
        found = []
        for index in range(len(drawn) + 1):
            scale = self._scale_of(drawn, index)
            left, bottom, right, top = self._lay(drawn, index, scale).bounds
            found.append((index, scale, (right - left) * (top - bottom) * scale * scale))
        largest = max(scale for _, scale, _ in found)
        index, scale, _ = min(
            (each for each in found if each[1] >= 0.95 * largest), key=lambda each: each[2]
        )
        return index, scale

    def _scale_of(self, drawn: tuple[Drawn, ...], index: int) -> float:
        """Px per mm at which this pattern just fits.

        The scale decides how many mm the texts need, which decides the scale: a few
        rounds bring them together.
        """
        margin = self.fit_margin()
        area = self.drawing_area().adjusted(margin, margin, -margin, -margin)
        scale = 0.5
        for _ in range(4):
            scale = fitted(self._lay(drawn, index, scale).bounds, area).scale
        return scale

    def _lay(self, drawn: tuple[Drawn, ...], index: int, scale: float) -> Sheet:
        margins = {each.piece.name: self._pictures.margins(each, scale) for each in drawn}
        result, gap = self._document.result, GAP / scale
        widths = sheet_widths(drawn, margins, gap)
        width = widths[min(index, len(widths) - 1)]
        return lay_sheet(result, drawn, margins, gap=gap, width=width)

    # What makes things stale.

    def _on_document_change(self, change: Change) -> None:
        self._sheet = None
        self._drop_ground()
        self.keep_in_view()

    def _on_display_change(self) -> None:
        self._strips = ()
        self._sheet = None
        self._drop_ground()
        if self.kept_fitted:
            self.fit()
        self._describe()

    def _on_pointed(self, pointing: Pointing) -> None:
        self._describe()
        self.update()

    def _on_view_change(self) -> None:
        self._strips = ()
        self._drop_ground()

    def _drop_ground(self) -> None:
        self._ground = None
        self.update()

    def _restyle(self) -> None:
        self._brush = Brush(Look.for_palette(self.palette()))
        self._lettering = Lettering(self.font())
        self._pictures = Pictures(self._lettering, self._display)
        self._sheet = self._pattern = None
        self._strips = ()
        self._drop_ground()
        if self.kept_fitted:
            self.fit()

    def _describe(self) -> None:
        """Say to a screen reader what the caption says to the eye."""
        said = self.caption
        self.setAccessibleDescription(
            self.tr("The flat pieces of the bag. Page down points at the next seam.")
            if said is None
            else said.text
        )

    # Pointing.

    def _point_along(self, steps: int) -> None:
        """Point at the next sewn edge, or the one before: pointing without a mouse."""
        edges = sewn_edges(self._document.result.draft)
        if not edges:
            return
        here = self._document.pointing.edge
        if here in edges:
            index = (edges.index(here) + steps) % len(edges)
        else:
            index = 0 if steps > 0 else -1
        self._document.point_at(edges[index])

    # Painting.

    def _rulers(self) -> tuple[Ruler, Ruler]:
        view, wide, high = self.view, float(self.width()), float(self.height())
        return (
            Ruler(Along.X, QRectF(THICK, 0.0, wide - THICK, THICK), view.scale, view.x),
            Ruler(Along.Y, QRectF(0.0, THICK, THICK, high - THICK), view.scale, view.y),
        )

    def _ruler_strips(self) -> tuple[QPixmap, ...]:
        """Both rulers; they stay while the bag changes under the same view."""
        if not self._strips:
            self._strips = tuple(
                ruler.painted(self._display, self._lettering.small, self._brush.ruler, self._ratio)
                for ruler in self._rulers()
            )
        return self._strips

    def _painted_ground(self) -> QPixmap:
        """Everything but what follows the pointer."""
        ground = QPixmap(self.size() * self._ratio)
        ground.setDevicePixelRatio(self._ratio)
        painter = QPainter(ground)
        brush = self._brush
        painter.fillRect(self.rect(), brush.look.paper)
        for at, picture in self.pictures():
            painter.translate(at)
            brush.paint_picture(painter, picture, self._lettering)
            painter.translate(-at)
        if self._starting is not None:
            brush.paint_starting(painter, self._starting, self.sheet, self.view)
        for ruler, strip in zip(self._rulers(), self._ruler_strips(), strict=True):
            painter.drawPixmap(ruler.rect.topLeft(), strip)
        brush.paint_corner(painter, self._display.unit.label, self._lettering.small)
        painter.end()
        return ground

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._ratio != self.devicePixelRatioF():
            self._ratio = self.devicePixelRatioF()
            self._strips, self._ground = (), None
        if self._ground is None:
            self._ground = self._painted_ground()
        painter = QPainter(self)
        painter.drawPixmap(0, 0, self._ground)
        pointing, said = self._document.pointing, self.caption
        if said is not None:
            painter.save()
            painter.setClipRect(self.drawing_area())
            self._brush.paint_pointing(
                painter, pointing, said.letter, self.sheet, self.view, self._lettering
            )
            self._brush.paint_caption(
                painter, said, self.drawing_area(), self._pointer, self._lettering
            )
            painter.restore()
        if self._pointer is not None:
            for ruler in self._rulers():
                ruler.paint_pointer(painter, self._pointer, self._brush.ruler)
        if self.hasFocus():
            highlight = self.palette().color(QPalette.ColorRole.Highlight)
            self._brush.paint_focus(painter, self.rect(), highlight)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        super().mouseMoveEvent(event)
        self._pointer = event.position()
        if not self.panning:
            self._document.point_at(self.edge_at(self._pointer))
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        self._pointer = None
        self._document.point_at(None)
        self.update()
        super().leaveEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key == Qt.Key.Key_PageDown:
            self._point_along(1)
        elif key == Qt.Key.Key_PageUp:
            self._point_along(-1)
        elif key == Qt.Key.Key_Escape and self._document.pointing.edge is not None:
            self._document.point_at(None)
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        if self._pointer is None:
            self._document.point_at(None)
        super().focusOutEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        stale = (
            QEvent.Type.PaletteChange,
            QEvent.Type.FontChange,
            QEvent.Type.ApplicationPaletteChange,
            QEvent.Type.StyleChange,
            QEvent.Type.LanguageChange,
        )
        if event.type() in stale:
            self._restyle()
        super().changeEvent(event)
