"""The flat pane: the pieces at true proportion, with everything that is measured on them."""

import math
from collections.abc import Mapping

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import QWidget

from app.session.document import NO_HIGHLIGHT, Change, Highlight
from app.session.session import Session
from app.views.flat.ground import Ground, Shown, Sight
from app.views.flat.interaction import GripBrush, TouchView, dot_place, grip_line
from app.views.flat.labels import GAP, Lettering, cutting_note, piece_title
from app.views.flat.paint import Brush, Pictures, paint_lit
from app.views.flat.piece_picture import PiecePicture
from app.views.flat.ruler import THICK
from app.views.flat.sheet import (
    MANY,
    Drawer,
    Drawn,
    Margins,
    PieceSheet,
    lay_sheet,
    sheet_widths,
    slabs_of,
)
from app.widgets.drawing_view import fitted
from app.widgets.menus import FigureLines, MenuLine
from app.widgets.theme import DrawingTheme
from core.bag.compute import Result
from core.flat.geometry import Bounds
from core.flat.piece import Piece
from core.flat.roles import PieceId

CALM = 1.15
"""Another arrangement of the pieces must show them so much larger before a pane that only
became higher or lower, or whose pieces only grew, takes it: pieces that change places make the
eye lose its own."""

LEAST_SHARE = 0.4
"""Of the scale that the pieces alone would have: below it, what is written around them would
take more of the pane than they, and an arrangement has no room for it."""
NEARER = 4.0
"""Where none has, they are laid as for a look from so many times nearer, and go without."""

ROOMY = 0.8
"""Below this share of the fitted scale the pieces lie too near for texts between them."""


class FlatPane(TouchView):
    """Shows the flat pieces of a document's bag.

    Everything that an edit, another unit, another theme or another view makes stale is
    dropped when it happens and made again by the next paint.
    """

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        document, display = session.document, session.display
        super().__init__(document, display, parent)
        self._session = session
        self._drawer = Drawer()
        self._lettering = Lettering(self.font())
        self._brush = Brush(DrawingTheme.for_palette(self.palette()))
        self._grip_brush = GripBrush(self._brush.look)
        self._starting: Result | None = None
        self._sheet: PieceSheet | None = None
        self._pattern: tuple[int, float] | None = None
        self._home: int | None = None
        self._share = 0.0
        self._is_calm = self._is_growing = False
        self._pictures = Pictures(self._lettering, display)
        self._ground = Ground(self._brush, self._lettering, display, self._pictures)
        self._ratio = self.devicePixelRatioF()
        self.setAccessibleName(self.tr("Flat pieces"))
        # It covers all of itself: nothing need be painted under it.
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setMinimumSize(220, 180)
        self._describe()
        display.changed.connect(self._on_display_change)
        document.highlight_changed.connect(self._on_lit_change)

    def set_starting(self, starting: Result | None) -> None:
        """Show the pieces of the bag that the work started from as faint outlines."""
        if starting is not self._starting:
            self._starting = starting
            self.update()

    @property
    def sheet(self) -> PieceSheet:
        """The pieces as they are laid beside each other, mm."""
        if self._sheet is None:
            self._sheet = self._laid()
        return self._sheet

    def pictures(self) -> list[tuple[QPointF, PiecePicture]]:
        """What is painted of each piece, px, and where its origin lies."""
        sheet, view, ratio = self.sheet, self.view, self._ratio
        layers, laid_at = len(sheet.result.bag.sandwich.layers), self._laid_at
        roomy = view.scale >= ROOMY * laid_at
        found = []
        for drawn in sheet.drawn:
            at = view.to_screen(*sheet.places[drawn.piece.id])
            whole = QPointF(math.floor(at.x() * ratio) / ratio, math.floor(at.y() * ratio) / ratio)
            picture = self._pictures.picture(
                drawn, scale=view.scale, laid_at=laid_at, ratio=ratio, layers=layers, roomy=roomy
            )
            found.append((whole, picture))
        return found

    @property
    def _laid_at(self) -> float:
        """Px per mm at which the pieces were laid beside each other."""
        return self.view.scale if self._pattern is None else self._pattern[1]

    def menu_at(self, at: QPoint | None) -> list[MenuLine]:
        pieces = self._document.result.draft.pieces
        if at is None:
            line, edge = self.hand.chosen, self._document.pointing.edge
            there = [each for each in pieces if edge is not None and each.id == edge.piece]
        else:
            point = QPointF(self.mapFromGlobal(at))
            line, edge = self.grip_at(point), self.edge_at(point)
            there = [each for each in pieces if self._covers(each, point)]
        grip = None if line is None else self.hand.grips().get(line)
        lines: list[MenuLine] = [] if grip is None else [FigureLines(grip.figure)]
        return [*lines, *([] if edge is None else [edge]), *there, None, "fit"]

    def _covers(self, piece: Piece, point: QPointF) -> bool:
        """Whether a point (px) lies within the bounds of a piece."""
        (x, y), (across, along) = self.view.to_drawing(point), self.sheet.places[piece.id]
        left, bottom, right, top = piece.bounds
        return left <= x - across <= right and bottom <= y - along <= top

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

    def fit(self) -> None:
        self._pattern = self._sheet = None
        super().fit()

    def keep_in_view(self) -> None:
        self._is_growing = True
        super().keep_in_view()
        self._is_growing = False

    def _laid(self) -> PieceSheet:
        """Pieces laid out; the room around them is px, so it depends on the scale."""
        drawn = self._drawer.draw(self._document.result)
        if self._pattern is None:
            self._pattern = self._best_pattern(drawn)
        return self._lay(drawn, *self._pattern)

    def _best_pattern(self, drawn: tuple[Drawn, ...]) -> tuple[int, float]:
        """(which of the widths, scale that room is left for) that shows the pieces largest here.

        Of those that show them about as large, the one that takes least room is tidiest. While
        the pane only becomes higher or lower, or the pieces grow, the arrangement that it had is
        kept, and no other is tried while it fills about as much of the pane. Pieces without
        what is written around them are always larger: they are for a pane in which no
        arrangement has room for both.
        """
        if self._is_growing and self._home is not None:
            scale = self._scale_of(drawn, self._home)
            if scale is not None and CALM * self._share_at(drawn, scale) >= self._share:
                return self._home, scale
        ways = len(drawn) + 1 if len(drawn) <= MANY else len(drawn) + 4
        scales = {index: self._scale_of(drawn, index) for index in range(ways)}
        written = {index: scale for index, scale in scales.items() if scale is not None}
        laid = written or {index: NEARER * self._bare_scale(drawn, index) for index in scales}
        found = []
        for index, laid_at in laid.items():
            bounds = self._lay(drawn, index, laid_at).bounds
            left, bottom, right, top = bounds
            scale = min(laid_at, fitted(bounds, self._room).scale)
            room = (right - left) * (top - bottom) * scale * scale
            found.append((index, laid_at, scale, room))
        largest = max(scale for _, _, scale, _ in found)
        kept = next((each for each in found if each[0] == self._home), None)
        if self._is_calm and kept is not None:
            if CALM * kept[2] >= largest:
                return kept[:2]
            return self._tidiest(found, largest)
        index, laid_at = self._tidiest(found, largest)
        self._home, self._share = index, self._share_at(drawn, laid_at)
        return index, laid_at

    def _share_at(self, drawn: tuple[Drawn, ...], scale: float) -> float:
        """What the boxes of the pieces take of the pane: the root of their share of its area."""
        boxes = math.fsum(
            (right - left) * (top - bottom)
            for left, bottom, right, top in (each.bounds for each in drawn)
        )
        room = self._room
        return scale * math.sqrt(boxes / max(room.width() * room.height(), 1.0))

    @staticmethod
    def _tidiest(found: list[tuple[int, float, float, float]], largest: float) -> tuple[int, float]:
        index, laid_at, _, _ = min(
            (each for each in found if each[2] >= 0.95 * largest), key=lambda each: each[3]
        )
        return index, laid_at

    @property
    def _room(self) -> QRectF:
        """Where the fitted pieces and all that is written around them go, px."""
        margin = self.fit_margin()
        return self.drawing_area().adjusted(margin, margin, -margin, -margin)

    def _scale_of(self, drawn: tuple[Drawn, ...], index: int) -> float | None:
        """Px per mm at which this pattern just fits; None where its texts would take all room.

        The scale decides how many mm the texts need, which decides the scale: a few
        rounds bring them together.
        """
        area = self._room
        scale = 0.5
        for _ in range(4):
            scale = fitted(self._lay(drawn, index, scale).bounds, area).scale
        least = LEAST_SHARE * self._bare_scale(drawn, index)
        # A name that stands above its piece at one scale and in it at the next never settles:
        # from here on only smaller, at which everything stands above that ever will.
        for _ in range(4):
            if scale < least:
                return None
            fits = fitted(self._lay(drawn, index, scale).bounds, area).scale
            if fits >= scale * (1.0 - 1e-3):
                break
            scale = fits
        return scale if scale >= least else None

    def _bare_scale(self, drawn: tuple[Drawn, ...], index: int) -> float:
        """Px per mm at which the pieces alone would fit."""
        bare = {each.piece.id: (0.0, 0.0, 0.0, 0.0) for each in drawn}
        return fitted(self._beside(drawn, bare, 0.0, index).bounds, self._room).scale

    def _lay(self, drawn: tuple[Drawn, ...], index: int, scale: float) -> PieceSheet:
        margins = {each.piece.id: self._pictures.around(each, scale).margins for each in drawn}
        return self._beside(drawn, margins, GAP / scale, index)

    def _beside(
        self,
        drawn: tuple[Drawn, ...],
        margins: Mapping[PieceId, Margins],
        gap: float,
        index: int,
    ) -> PieceSheet:
        """The pieces beside each other in that of the widths."""
        slabs = slabs_of(drawn, margins)
        widths = sheet_widths(slabs, gap)
        width = widths[min(index, len(widths) - 1)]
        return lay_sheet(self._document.result, drawn, slabs, gap=gap, width=width)

    def _on_document_change(self, change: Change) -> None:
        shown = set() if self._sheet is None else set(self._sheet.places)
        self._sheet = None
        now = {each.id for each in change.result.draft.pieces}
        if self.kept_fitted and shown and shown != now:
            self.fit()  # other pieces: no eye holds on to where the old ones lay
        # The rulers stay, unless it must be fitted again.
        self.update(self.drawing_area().toRect())
        super()._on_document_change(change)

    def _on_display_change(self) -> None:
        self._sheet = None
        self.update()
        if self.kept_fitted:
            self.fit()
        self._describe()

    def _on_lit_change(self, _lit: Highlight) -> None:
        self.update()

    def _restyle(self) -> None:
        self._brush = Brush(DrawingTheme.for_palette(self.palette()))
        self._grip_brush = GripBrush(self._brush.look)
        self._lettering = Lettering(self.font())
        self._pictures = Pictures(self._lettering, self._display)
        self._ground = Ground(self._brush, self._lettering, self._display, self._pictures)
        self._sheet = self._pattern = None
        self.update()
        if self.kept_fitted:
            self.fit()

    @property
    def _sight(self) -> Sight:
        display = self._display
        return Sight(self.size(), self._ratio, self.view, display.unit, display.step)

    def _shown(self) -> Shown:
        """All that is seen of the bag, of the one that the work started from, and of the rulers."""
        sheet = self.sheet
        return Shown(
            sight=self._sight,
            drawn=sheet.drawn,
            places=tuple(sheet.places.values()),
            layers=len(sheet.result.bag.sandwich.layers),
            laid_at=self._laid_at,
            starting=self._starting,
        )

    def _paint_lit(self, painter: QPainter) -> None:
        painter.save()
        painter.setClipRect(self.drawing_area())
        paint_lit(painter, self._document.highlighted, self.sheet, self.view, self._brush.look)
        painter.restore()

    def _paint_hand(self, painter: QPainter) -> None:
        grip, told = self.hand.shown(), self.readout
        if grip is None or told is None:
            return
        painter.save()
        painter.setClipRect(self.drawing_area())
        line = grip_line(grip, self.sheet, self.view)
        twins = [grip_line(each, self.sheet, self.view) for each in self.hand.twins(grip)]
        self._grip_brush.paint_lines(painter, line, twins, held=self.hand.holding)
        under = self.hand.holding or self.hand.over is not None
        at = self._pointer if under and self._pointer is not None else dot_place(line)
        self._grip_brush.paint_readout(painter, told, at, self.drawing_area(), self._lettering)
        painter.restore()

    def told_at(self, point: QPointF) -> str:
        """Name and cutting note of the piece at a point, px; empty beside every piece."""
        sheet = self.sheet
        drawn = sheet.piece_at(self.view.to_drawing(point))
        if drawn is None or self.hand.holding or not self.drawing_area().contains(point):
            return ""
        note = cutting_note(drawn.piece, len(sheet.result.bag.sandwich.layers))
        return f"{piece_title(drawn.piece)}: {note}"

    # Qt's own names from here on.

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._is_calm = event.oldSize().width() == event.size().width()
        super().resizeEvent(event)
        self._is_calm = False

    def paintEvent(self, event: QPaintEvent) -> None:
        self._ratio = self.devicePixelRatioF()
        shown = self._shown()
        # Planned before there is a painter: whatever fails there leaves none on the window.
        placed = [] if self._ground.has(shown) else self.pictures()
        painter = QPainter(self)
        self._ground.paint(painter, shown, self.sheet, placed, event.rect())
        if self._document.highlighted != NO_HIGHLIGHT:
            self._paint_lit(painter)
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
        self._paint_hand(painter)
        if self._pointer is not None:
            for ruler in self._sight.rulers():
                ruler.paint_pointer(painter, self._pointer, self._brush.ruler)
        if self.hasFocus():
            highlight = self.palette().color(QPalette.ColorRole.Highlight)
            self._brush.paint_focus(painter, self.rect(), highlight)

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
