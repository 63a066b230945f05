"""The plan of one goods to scale: zoomed, pushed about, and asked what a piece is.

Drawing frame: mm of goods, y up; stretches stand side by side, each a stretch of the goods.
"""

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, QSignalBlocker, Qt
from PySide6.QtGui import (
    QFontMetrics,
    QGuiApplication,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
)
from PySide6.QtWidgets import QScrollBar, QWidget

from app.session.display import Display, told, translated
from app.widgets.drawing_view import KEY_PAN, DrawingView, View2D
from app.widgets.record_painter import PlanStyle, RecordPainter
from app.widgets.theme import DrawingTheme
from core.base.sentences import Sentence, Template, mark, plural, say
from core.cutting.plan import GoodsPlan, LaidPiece
from core.drawing.cutting_plan import StretchDrawing, drawn_stretch, key_line
from core.drawing.cutting_stretches import PlacedStretch, StretchFrame, placed_in
from core.drawing.records import Text
from core.flat.geometry import Bounds

BETWEEN, BESIDE, BELOW, ABOVE = 12.0, 18.0, 8.0, 2.0
"""Least room between two stretches, beside the last, below and above, mm of a page."""
MARK_LETTER, MARK_OFF = 1.6, 3.4
"""Of the lengths beside the goods: height of a capital, and room around one, mm of a page."""
PAGE = 0.85
"""Share of the pane's height that Page up and Page down move by."""
KEY_SHARE = 0.35
"""Most of the pane's height that is kept for the key of short names."""
OLDER = 0.3
"""How much is left of a plan that answers older numbers."""


_KEY_FLAGS = int(
    Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom | Qt.TextFlag.TextWordWrap
)


class CuttingView(DrawingView):
    """Shows the plan of one goods.

    Attributes:
        goods: what is shown; None for nothing but the note.
        note: what is said over the drawing.
        is_older: whether what is shown answers older numbers.
    """

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self.goods: GoodsPlan | None = None
        self.is_older = False
        self.note = ""
        self._style = self._fresh_style()
        self._standing: tuple[PlacedStretch, ...] | None = None
        self._home_scale = 0.0
        self._records: tuple[float, list[StretchDrawing]] | None = None
        self._bar = QScrollBar(Qt.Orientation.Vertical, self)
        self._bar.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._bar.valueChanged.connect(self._on_scroll)
        self._key_room = 0.0
        self._ground: QPixmap | None = None
        self._over: LaidPiece | None = None
        self.setAccessibleName(self.tr("Cutting plan"))
        self.setWhatsThis(
            self.tr(
                "The pieces as they are laid on the material, drawn to scale from the cut "
                "end upwards. Turn the wheel to zoom, drag to move, double click a piece to see it "
                "large, press F to fit the plan to the pane again. A long plan is scrolled: use "
                "the bar beside it, or Page up and Page down."
            )
        )
        self.setMinimumSize(160, 80)
        display.changed.connect(self._on_display_change)

    def show_plan(self, goods: GoodsPlan | None, *, is_older: bool, note: str) -> None:
        """Show a plan.

        Args:
            goods: what is laid; None shows nothing but the note.
            is_older: whether it answers older numbers: it is then shown faintly.
            note: said over the drawing; empty for nothing.
        """
        other = goods is not self.goods
        if not other and (is_older, note) == (self.is_older, self.note):
            return
        before, self.goods = self.goods, goods
        self.is_older, self.note = is_older, note
        if other:
            self._over = None
            # A look at the one still makes sense on the other where it is of the same goods.
            same = before is not None and goods is not None and before.goods == goods.goods
            self._lay_anew(keep=same)
        self._ground = None
        self.setAccessibleDescription(note or self._described())
        self.update()

    @property
    def standing(self) -> tuple[PlacedStretch, ...]:
        if self._standing is None:
            self._standing = self._laid_out()
        return self._standing

    def piece_at(self, point: QPointF) -> LaidPiece | None:
        """The piece under a point (px)."""
        x, y = self.view.to_drawing(point)
        for each in self.standing if self.goods else ():
            across, along = x - each.x, y - each.y + each.stretch.low
            if not each.stretch.low <= along <= each.stretch.high:
                continue
            for laid in self.goods.laid if self.goods else ():
                left, bottom, right, top = laid.box
                if left <= across <= right and bottom <= along <= top:
                    return laid
        return None

    def content_bounds(self) -> Bounds:
        if self.goods is None or not self.standing:
            return 0.0, 0.0, 1.0, 1.0
        left = min(each.x for each in self.standing)
        right = max(each.x for each in self.standing) + self.goods.width
        top = max(each.y + each.height for each in self.standing)
        return left, min(each.y for each in self.standing), right, top

    def drawing_area(self) -> QRectF:
        pixels = self._style.pixels
        beside = self._mark_room(
            BESIDE, mark("end {length}"), mark("used {length}"), mark("unfold {length}")
        )
        beside += self._bar.sizeHint().width()  # whether it is shown or not: nothing jumps
        below = BELOW * pixels + self._key_room
        return QRectF(self.rect()).adjusted(0.0, ABOVE * pixels, -beside, -below)

    def _mark_room(self, least: float, *marks: Template) -> float:
        """Px that lengths beside the goods take; `least` is mm of a page."""
        goods, style = self.goods, self._style
        if goods is None:
            return least * style.pixels
        lengths = (goods.cutting_length, goods.length_used, goods.folded_length)
        widest = max(
            style.width(told(Sentence(template, {"length": length}), self._display), MARK_LETTER)
            for template in marks
            for length in lengths
        )
        return max(least * style.pixels, widest + MARK_OFF * style.pixels)

    def fit_margin(self) -> float:
        return 6.0

    def home(self) -> View2D:
        """Everything where it can be read so; else the cut end, as wide as the pane."""
        whole = super().home()
        if whole.scale >= self._home_scale * (1.0 - 1e-6):
            return whole
        margin = self.fit_margin()
        area = self.drawing_area().adjusted(margin, margin, -margin, -margin)
        left, _, right, top = self.content_bounds()
        x = area.center().x() - self._home_scale * (left + right) / 2
        if self.goods is not None and self.goods.goods.in_sheets:
            return View2D(self._home_scale, x, area.top() + self._home_scale * top)
        return View2D(self._home_scale, x, area.bottom())

    def target_at(self, point: QPointF) -> Bounds | None:
        laid = self.piece_at(point)
        if laid is None:
            return None
        left, bottom, right, top = laid.box
        for each in self.standing:
            if each.stretch.low <= (bottom + top) / 2 <= each.stretch.high:
                x, y = each.x, each.y - each.stretch.low
                return left + x, bottom + y, right + x, top + y
        return None

    def fit(self) -> None:
        room = 0.0
        while True:
            self._key_room = room
            self._standing = self._records = None
            super().fit()
            room = self._room_for_key()  # with less for the plan, more names may be short
            if room <= self._key_room:
                break
        self._show_bar()  # another plan may lie where this one did

    def _lay_anew(self, *, keep: bool) -> None:
        self._records = None
        if self.kept_fitted or not keep:
            self.fit()
        else:
            self._standing = None
            self._on_view_change()

    def _laid_out(self) -> tuple[PlacedStretch, ...]:
        goods, margin = self.goods, self.fit_margin()
        self._home_scale = 0.0
        if goods is None or not goods.cutting_length:
            return ()
        room = self.drawing_area().adjusted(margin, margin, -margin, -margin)
        gaps = self._mark_room(BETWEEN, mark("{length}")), (BELOW + ABOVE) * self._style.pixels
        self._home_scale, standing = placed_in(goods, (room.width(), room.height()), gaps)
        return standing

    def _drawn(self) -> list[StretchDrawing]:
        """The records of each stretch at this scale, letters as high as ever."""
        goods, scale = self.goods, self.view.scale / self._style.pixels
        if goods is None:
            return []
        if self._records is None or self._records[0] != scale:
            found = [
                drawn_stretch(
                    goods, StretchFrame(each.stretch, scale, 0.0, 0.0), self._display.wording
                )
                for each in self.standing
            ]
            self._records = (scale, found)
        return self._records[1]

    @property
    def key(self) -> str:
        """What the short names that are drawn stand for; empty where every name has room."""
        if self.goods is None:
            return ""
        shortened = {key for drawn in self._drawn() for key in drawn.shortened}
        return key_line(self.goods, shortened, self._display.wording)

    def _key_box(self) -> QRect:
        """Where the key is written, px; empty where there is none."""
        key = self.key
        if not key:
            return QRect()
        wide = self.width() - self._bar.sizeHint().width()
        room = QRect(0, 0, wide, self.height()).adjusted(6, 4, -6, -3)
        return QFontMetrics(self.font()).boundingRect(room, _KEY_FLAGS, key)

    def _room_for_key(self) -> float:
        """Px at the lower edge that the plan leaves to the key."""
        box = self._key_box()
        return 0.0 if box.isEmpty() else min(self.height() - box.top(), KEY_SHARE * self.height())

    def _on_view_change(self) -> None:
        self._ground = None
        if not self.kept_fitted:
            self._key_room = self._room_for_key()
        self._show_bar()

    def _show_bar(self) -> None:
        """Let the bar tell how much of the plan lies above and below."""
        area, shown = self.drawing_area(), self.view.rect(self.content_bounds())
        margin = self.fit_margin()
        above = max(round(area.top() + margin - shown.top()), 0)
        below = max(round(shown.bottom() - area.bottom()), 0)
        wide = self._bar.sizeHint().width()
        self._bar.setGeometry(self.width() - wide, 0, wide, self.height())
        with QSignalBlocker(self._bar):
            self._bar.setRange(0, above + below)
            self._bar.setPageStep(max(round(area.height()), 1))
            self._bar.setSingleStep(KEY_PAN)
            self._bar.setValue(above)
        self._bar.setVisible(above + below > 0)

    def _on_scroll(self, value: int) -> None:
        area, shown = self.drawing_area(), self.view.rect(self.content_bounds())
        above = round(area.top() + self.fit_margin() - shown.top())
        self.pan(0.0, above - value)

    def _on_display_change(self) -> None:
        self._records = self._ground = None
        if self.kept_fitted:
            self.fit()  # other units take other room beside the goods
        self.update()

    def _fresh_style(self) -> PlanStyle:
        return PlanStyle(DrawingTheme.for_palette(QGuiApplication.palette()), self.font())

    def _restyle(self) -> None:
        self._style = self._fresh_style()
        self._records = self._ground = None
        if self.kept_fitted:
            self.fit()
        self.update()

    def _described(self) -> str:
        goods = self.goods
        if goods is None:
            return ""
        pieces = say(
            plural("1 piece on {material}", "{count} pieces on {material}"),
            numbers={"count": len(goods.laid)},
            words={"material": goods.goods.title},
        )
        return pieces.text(translate=translated)

    def name_and_size(self, laid: LaidPiece) -> tuple[str, str]:
        """What a piece is called, with its bag, and how large it is."""
        size = told(say("{width} × {length}", width=laid.width, length=laid.height), self._display)
        numbers = {"bag": laid.bag}
        name = say("{piece}, bag {bag}", terms={"piece": laid.label}, numbers=numbers)
        return told(name, self._display), size

    def told_at(self, point: QPointF) -> str:
        laid = self.piece_at(point)
        return "" if laid is None or self.is_older else self.told_of(laid)

    def told_of(self, laid: LaidPiece) -> str:
        """What is said of a piece: name, bag, size, and what to mind."""
        lines = [*self.name_and_size(laid)]
        if not laid.item.is_rectangle:
            lines.append(self.tr("to be trimmed to shape"))
        if laid.turned:
            lines.append(self.tr("turned 90°"))
        lines += [told(note, self._display) for note in laid.item.notes]
        return "\n".join(lines)

    def _painted_ground(self) -> QPixmap:
        ratio = self.devicePixelRatioF()
        ground = QPixmap(self.size() * ratio)
        ground.setDevicePixelRatio(ratio)
        ground.fill(self._style.look.paper)
        painter = QPainter(ground)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.is_older:
            painter.setOpacity(OLDER)
        for each, drawn in zip(self.standing, self._drawn(), strict=True):
            origin = self.view.to_screen(each.x, each.y)
            records = RecordPainter(painter, self._style, origin=origin, scale=self._style.pixels)
            for record in sorted(drawn.records, key=lambda record: isinstance(record, Text)):
                records.draw(record)  # texts over all lines
        self._paint_key(painter)
        painter.end()
        return ground

    def _paint_key(self, painter: QPainter) -> None:
        """The key on a strip of paper along the lower edge."""
        box = self._key_box()
        if box.isEmpty():
            return
        painter.setFont(self.font())
        painter.fillRect(box.adjusted(-6, -1, 6, 3), self._style.look.paper)
        painter.setPen(self._style.look.dimension)
        painter.drawText(box, _KEY_FLAGS, self.key)

    def _paint_note(self, painter: QPainter) -> None:
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        room = self.rect().adjusted(16, 8, -16, -8)
        box = painter.boundingRect(room, flags, self.note).adjusted(-10, -6, 10, 6)
        painter.setPen(self._style.look.dimension)
        painter.setBrush(self._style.look.paper)
        painter.drawRoundedRect(QRectF(box).adjusted(0.5, 0.5, -0.5, -0.5), 4.0, 4.0)
        painter.setPen(self._style.look.ink)
        painter.drawText(box, flags, self.note)

    def _point_at(self, laid: LaidPiece | None) -> None:
        if laid is not self._over:
            self._over = laid
            self.update()

    # Qt's own names from here on.

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        super().mouseMoveEvent(event)
        self._point_at(None if self.panning else self.piece_at(event.position()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        page = self.drawing_area().height() * PAGE
        way = {Qt.Key.Key_PageUp: page, Qt.Key.Key_PageDown: -page}.get(Qt.Key(event.key()))
        if way is None:
            super().keyPressEvent(event)
        else:
            self.pan(0.0, way)

    def leaveEvent(self, event: QEvent) -> None:
        self._point_at(None)
        super().leaveEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            self._restyle()
        super().changeEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        ratio = self.devicePixelRatioF()
        if self._ground is None or self._ground.devicePixelRatioF() != ratio:
            self._ground = self._painted_ground()
        painter = QPainter(self)
        painter.drawPixmap(0, 0, self._ground)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = self._style.look
        if self._over is not None and not self.is_older:
            for each in self.standing:
                low, high = each.stretch.low, each.stretch.high
                left, bottom, right, top = self._over.box
                if bottom < high and top > low:
                    y = each.y - low
                    box = (left + each.x, max(bottom, low) + y, right + each.x, min(top, high) + y)
                    painter.setBrush(Qt.BrushStyle.NoBrush)
                    painter.setPen(QPen(look.highlight, look.bold + 0.8))
                    painter.drawRect(self.view.rect(box))
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(self._style.look.highlight)
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        if self.note:
            self._paint_note(painter)
