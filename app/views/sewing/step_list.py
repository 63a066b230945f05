"""The numbered list of steps: tick, number, title, text, and what stands out."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import (
    QAbstractItemModel,
    QAbstractListModel,
    QEvent,
    QObject,
    QPoint,
    QPointF,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFont, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPalette
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionFocusRect,
    QStyleOptionViewItem,
    QWidget,
)

from app.session.display import plain_tip
from app.views.sewing.step_texts import StepRow, StepSign, paint_box, paint_sign, tone
from app.widgets.desktop import translucent
from app.widgets.models import ROOT, Index
from app.widgets.theme import heading_font, highlight_wash, muted_colour, rule_colour

PAD = 6
GAP = 2
SIGN = 14


_WRAPPED = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap)


@dataclass(frozen=True, slots=True)
class _Part:
    """Some words of a row: where they stand in it, and how they look."""

    text: str
    font: QFont
    rect: QRect
    tone: Callable[[QPalette], QColor]


class StepDelegate(QStyledItemDelegate):
    """Draws the rows; a click on a row's box ticks it."""

    def _box(self, option: QStyleOptionViewItem) -> QRect:
        style, metric = _style(option), QStyle.PixelMetric.PM_IndicatorWidth
        side = max(style.pixelMetric(metric, None, option.widget), 14)
        line = QFontMetrics(heading_font(option.font)).height()
        top = option.rect.top() + PAD + max((line - side) // 2, 0)
        return QRect(option.rect.left() + PAD, top, side, side)

    def _lines(self, option: QStyleOptionViewItem, row: StepRow, width: int) -> list[_Part]:
        """What is written beside a row's number, from the top; all of it wraps but the text.

        `width` is that of the whole row, px.
        """
        heading = heading_font(option.font)
        left = self._box(option).right() - option.rect.left() + PAD + 1
        left += QFontMetrics(heading).horizontalAdvance("00") + 8
        room = width - left - PAD
        care = SIGN + PAD if row.care else 0
        parts = [_Part(row.title, heading, QRect(left, PAD, room - care, 0), _plain)]
        if row.change:
            aside = SIGN + 5
            box = QRect(left + aside, 0, room - aside, 0)
            parts.append(_Part(row.change, option.font, box, tone(StepSign.CHANGE)))
        parts.append(_Part(row.text, option.font, QRect(left, 0, room, 0), muted_colour))
        top = PAD
        for part in parts:
            metrics = QFontMetrics(part.font)
            high = metrics.height()
            if part.tone is not muted_colour:
                bound = QRect(0, 0, max(part.rect.width(), 40), 1000)
                high = metrics.boundingRect(bound, _WRAPPED, part.text).height()
            part.rect.moveTop(top)
            part.rect.setHeight(high)
            top += high + GAP
        return parts

    def _paint_row(
        self, painter: QPainter, option: QStyleOptionViewItem, row: StepRow, *, done: bool
    ) -> None:
        palette, at = option.palette, option.rect.topLeft()
        parts = self._lines(option, row, option.rect.width())
        for part in parts:
            rect = part.rect.translated(at)
            painter.setFont(part.font)
            painter.setPen((muted_colour if done else part.tone)(palette))
            if part.tone is muted_colour:
                _line(painter, rect, part.text)
            else:
                painter.drawText(rect, _WRAPPED, part.text)
        self._paint_number(painter, option, parts[0], row)
        high = QFontMetrics(option.font).height()
        if row.care:
            spot = QPoint(option.rect.right() - PAD - SIGN, at.y() + PAD + (high - SIGN) // 2)
            paint_sign(painter, StepSign.CARE, QPointF(spot), SIGN, palette)
        if row.change:
            first = parts[1].rect.translated(at)
            spot = QPoint(first.left() - SIGN - 5, first.top() + (high - SIGN) // 2)
            paint_sign(painter, StepSign.CHANGE, QPointF(spot), SIGN, palette)

    def _paint_number(
        self, painter: QPainter, option: QStyleOptionViewItem, title: "_Part", row: StepRow
    ) -> None:
        left = self._box(option).right() + PAD + 1
        right = option.rect.left() + title.rect.left() - 6
        high = QFontMetrics(title.font).height()
        painter.setFont(title.font)
        painter.setPen(_plain(option.palette))
        side = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        box = QRect(left, option.rect.top() + PAD, right - left, high)
        painter.drawText(box, side, str(row.number))

    def _paint_ground(self, painter: QPainter, option: QStyleOptionViewItem) -> None:
        palette = option.palette
        state = option.state
        if state & QStyle.StateFlag.State_Selected:
            painter.fillRect(option.rect, highlight_wash(palette))
            bar = QRect(option.rect.topLeft(), QSize(3, option.rect.height()))
            painter.fillRect(bar, palette.color(QPalette.ColorRole.Highlight))
        elif state & QStyle.StateFlag.State_MouseOver:
            painter.fillRect(option.rect, translucent(_plain(palette), 0.05))
        painter.setPen(rule_colour(palette))
        painter.drawLine(option.rect.bottomLeft(), option.rect.bottomRight())

    def _paint_focus(self, painter: QPainter, option: QStyleOptionViewItem) -> None:
        if option.state & QStyle.StateFlag.State_HasFocus:
            focus = QStyleOptionFocusRect()
            focus.rect = option.rect.adjusted(1, 1, -1, -1)
            focus.palette = option.palette
            focus.state = option.state | QStyle.StateFlag.State_KeyboardFocusChange
            element = QStyle.PrimitiveElement.PE_FrameFocusRect
            _style(option).drawPrimitive(element, focus, painter, option.widget)

    # Qt's own names from here on.

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        painter.save()
        self._paint_ground(painter, option)
        ticked = index.data(Qt.ItemDataRole.CheckStateRole) == Qt.CheckState.Checked
        paint_box(painter, QRectF(self._box(option)), option.palette, ticked=ticked)
        self._paint_row(painter, option, index.data(ROW), done=ticked)
        self._paint_focus(painter, option)
        painter.restore()

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        view = option.widget
        width = view.viewport().width() if isinstance(view, QAbstractItemView) else 240
        last = self._lines(option, index.data(ROW), width)[-1].rect
        return QSize(160, last.bottom() + 1 + PAD)

    def editorEvent(
        self, event: QEvent, model: QAbstractItemModel, option: QStyleOptionViewItem, index: Index
    ) -> bool:
        if not _ticks(event, self._box(option).adjusted(-PAD, -PAD, PAD, PAD)):
            return False
        ticked = index.data(Qt.ItemDataRole.CheckStateRole) == Qt.CheckState.Checked
        other = Qt.CheckState.Unchecked if ticked else Qt.CheckState.Checked
        return model.setData(index, other, Qt.ItemDataRole.CheckStateRole)


def _plain(palette: QPalette) -> QColor:
    return palette.color(QPalette.ColorRole.Text)


def _ticks(event: QEvent, box: QRect) -> bool:
    """Whether an event means the tick: a click on its box, or the space bar."""
    if isinstance(event, QMouseEvent):
        left = event.button() is Qt.MouseButton.LeftButton
        released = event.type() is QEvent.Type.MouseButtonRelease
        return left and released and box.contains(event.position().toPoint())
    return isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Space


def _line(painter: QPainter, rect: QRect, text: str) -> None:
    """One line, cut off where there is no more room."""
    flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
    shown = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, rect.width())
    painter.drawText(rect, flags, shown)


def _style(option: QStyleOptionViewItem) -> QStyle:
    widget: QWidget | None = option.widget
    return widget.style() if widget is not None else QApplication.style()


ROW = Qt.ItemDataRole.UserRole
"""The whole `StepRow` of an index."""


class StepsModel(QAbstractListModel):
    """The rows, and which of them are done.

    Signals:
        tick_asked(str, bool): the maker ticks the step of this key, or takes its tick away.
    """

    tick_asked = Signal(str, bool)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.rows: tuple[StepRow, ...] = ()
        self._ticked: frozenset[str] = frozenset()

    @property
    def done(self) -> int:
        """How many of them are ticked."""
        return sum(row.key in self._ticked for row in self.rows)

    def show_rows(self, rows: tuple[StepRow, ...]) -> None:
        """List other rows; the view keeps its place while the same steps are listed."""
        if [row.key for row in rows] != [row.key for row in self.rows]:
            self.beginResetModel()
            self.rows = rows
            self.endResetModel()
        elif rows != self.rows:
            self.rows = rows
            self.dataChanged.emit(self.index(0), self.index(len(rows) - 1))

    def show_ticks(self, ticked: frozenset[str]) -> None:
        if ticked != self._ticked:
            self._ticked = ticked
            if self.rows:
                last = self.index(len(self.rows) - 1)
                self.dataChanged.emit(self.index(0), last, [Qt.ItemDataRole.CheckStateRole])

    def ticked(self, place: int) -> bool:
        """Whether the step at a place, from 0, is done."""
        return self.rows[place].key in self._ticked

    def place_of(self, key: str) -> int | None:
        """Where the step of this key stands, from 0; None when it is not listed."""
        return next((place for place, row in enumerate(self.rows) if row.key == key), None)

    def first_open(self) -> int:
        """The first place that is not done, from 0; the last of all where all are."""
        places = range(len(self.rows))
        return next((place for place in places if not self.ticked(place)), max(len(places) - 1, 0))

    def _told(self, row: StepRow) -> str:
        parts = [f"{row.number}. {row.title}."]
        if row.change:
            parts.append(self.tr("Change the machine settings: {change}").format(change=row.change))
        if row.care:
            parts.append(self.tr("Caution: {care}").format(care=row.care))
        return " ".join((*parts, row.text))

    # Qt's own names from here on.

    def rowCount(self, parent: Index = ROOT) -> int:
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        row = self.rows[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return f"{row.number}. {row.title}"
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return self._told(row)
        if role == Qt.ItemDataRole.ToolTipRole:
            return plain_tip(self._told(row))
        if role == Qt.ItemDataRole.CheckStateRole:
            done = row.key in self._ticked
            return Qt.CheckState.Checked if done else Qt.CheckState.Unchecked
        return row if role == ROW else None

    def flags(self, index: Index) -> Qt.ItemFlag:
        return super().flags(index) | Qt.ItemFlag.ItemIsUserCheckable

    def setData(self, index: Index, value: object, role: int = Qt.ItemDataRole.EditRole) -> bool:
        if role != Qt.ItemDataRole.CheckStateRole:
            return False
        done = Qt.CheckState(value) is Qt.CheckState.Checked
        self.tick_asked.emit(self.rows[index.row()].key, done)
        return True
