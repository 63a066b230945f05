"""One row of the measures: name, field, pin, change since the starting bag; and their groups."""

import math
from bisect import bisect
from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, QTimer, Signal, Slot
from PySide6.QtGui import (
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPalette,
    QPen,
    QPolygonF,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.help.topics import Topic, set_topic
from app.session.display import plain_tip
from app.widgets.figure_box import FigureBox
from app.widgets.labels import ReadOnlyValue, breakable
from app.widgets.layouts import spaced
from app.widgets.theme import (
    change_colour,
    heading_font,
    highlight_wash,
    muted_colour,
    problem_colour,
    rule_colour,
)

SIDE = 22
"""Width and height, px."""
LEANING = 38.0
"""Degrees by which a pin that is not pushed in lies on its side."""


class PinButton(QAbstractButton):
    """Upright and full when pinned, leaning and hollow when free: told apart by shape."""

    def __init__(self, label: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._label = label
        self._tips = ("", "")
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setFixedSize(SIDE, SIDE)
        self.set_tips(
            self.tr("Free: this may change when another finished size is typed. Click to pin it."),
            self.tr("Pinned: this stays when another finished size is typed. Click to release it."),
        )
        self.setAccessibleName(self.tr("Pin {figure}").format(figure=label))
        self.toggled.connect(self._tell)

    def set_tips(self, free: str, pinned: str) -> None:
        self._tips = (free, pinned)
        self._tell()

    def show_pinned(self, pinned: bool) -> None:
        if pinned is not self.isChecked():
            self.setChecked(pinned)

    @Slot()
    def _tell(self) -> None:
        tip = self._tips[self.isChecked()]
        self.setToolTip(tip)
        self.setAccessibleDescription(tip)

    # Qt's own names from here on.

    def sizeHint(self) -> QSize:
        return QSize(SIDE, SIDE)

    def paintEvent(self, event: QPaintEvent) -> None:
        palette, pinned = self.palette(), self.isChecked()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        around = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        if self.underMouse() and self.isEnabled():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(highlight_wash(palette))
            painter.drawRoundedRect(around, 4, 4)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(palette.color(QPalette.ColorRole.Highlight), 1.5))
            painter.drawRoundedRect(around, 4, 4)
        painter.translate(around.center())
        painter.rotate(0.0 if pinned else LEANING)
        colour = change_colour(palette) if pinned else muted_colour(palette)
        painter.setPen(QPen(colour, 1.4, c=Qt.PenCapStyle.RoundCap, j=Qt.PenJoinStyle.RoundJoin))
        painter.setBrush(colour if pinned else Qt.BrushStyle.NoBrush)
        painter.drawPath(_head())
        painter.drawLine(QPointF(0, 2.2), QPointF(0, 7.4))


def _head() -> QPainterPath:
    """A drawing pin from the side: cap, neck and collar above its point, around (0, 0)."""
    path = QPainterPath()
    path.addRoundedRect(QRectF(-3.6, -7.4, 7.2, 2.4), 1.0, 1.0)
    path.moveTo(-2.2, -5.0)
    path.lineTo(-2.2, -2.0)
    path.lineTo(-5.0, 1.2)
    path.lineTo(-5.0, 2.2)
    path.lineTo(5.0, 2.2)
    path.lineTo(5.0, 1.2)
    path.lineTo(2.2, -2.0)
    path.lineTo(2.2, -5.0)
    return path


LIT_FOR = 1600
"""Milliseconds for which a row stays lit that the maker was led to."""

ARROWS_WIDTH = 22
"""Room right of a read-only value, px, so that its digits stand under those in the boxes."""

MARK_ROOM = 10
"""Left of the name, where a mark tells that there is a note, px."""

GAP = 6
"""Between the parts of a row, px."""

_FIELD_SAMPLE = "≈ 88 15/16 in"
_CHANGE_SAMPLE = "≈ +18 15/16"
_CHANGE_LEAST = "+15/16"


_AT_LEFT = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)


class ChangeLabel(QWidget):
    """A short text of fixed room: changing it never moves the list, nor lays it out again."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.text = ""

    def set_text(self, text: str) -> None:
        if text != self.text:
            self.text = text
            self.setAccessibleName(text)
            self._write_tip()
            self.update()

    def _write_tip(self) -> None:
        self.setToolTip(plain_tip(self.text))

    def _elided(self) -> str:
        room = self.width()
        return self.fontMetrics().elidedText(self.text, Qt.TextElideMode.ElideRight, room)

    # Qt's own names from here on.

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(metrics.horizontalAdvance(_CHANGE_SAMPLE), metrics.height())

    def minimumSizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(metrics.horizontalAdvance(_CHANGE_LEAST), metrics.height())

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self.text:
            return
        painter = QPainter(self)
        painter.setPen(change_colour(self.palette()))
        painter.drawText(self.rect(), _AT_LEFT, self._elided())


class SecondLine(ChangeLabel):
    """What stands below a field, to the right; a tip tells it where it is cut off."""

    def _write_tip(self) -> None:
        shown = self._elided()
        self.setToolTip("" if shown == self.text else plain_tip(breakable(self.text)))

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignRight, self._elided())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._write_tip()


class MeasureRow(QWidget):
    """A name, its field, its pin, what changed, and a mark before it while there is a note.

    The note itself is told at the foot of the list, in tips and to screen readers: beneath the
    field it would move the rows that follow. A second line is there by the row's kind alone.

    Attributes:
        remark: the note without the second line.
        is_wrong: whether the note tells why what was typed cannot be taken.
        waits: whether the note tells that what was typed is being worked out.
        offers: the pins that stand against what was typed: (name, label).

    Signals:
        note_changed: the note, or the pins that may be released, are others.
    """

    note_changed = Signal()

    def __init__(
        self,
        name: str,
        field: QWidget,
        help_text: str,
        parent: QWidget,
        *,
        pin: PinButton | None = None,
    ) -> None:
        super().__init__(parent)
        self.setAutoFillBackground(True)  # group and list below are not painted for a new text
        self.field = field
        self.pin = pin
        self.help = help_text
        self.change = ChangeLabel(self)
        self._tip = help_text
        self._name = QLabel(name, self)
        self._name.setBuddy(field)
        self._name.setWordWrap(True)
        self.remark = ""
        self.is_wrong = self.waits = False
        self.offers: tuple[tuple[str, str], ...] = ()
        self._second: SecondLine | None = None
        self._lights = 0
        line = spaced(QHBoxLayout(), GAP)
        line.addWidget(self._name, 1)
        line.addWidget(field)
        if pin is None:
            line.addSpacing(SIDE + GAP)
        else:
            line.addWidget(pin)
        line.addWidget(self.change)
        self._column = spaced(QVBoxLayout(self), 1, (MARK_ROOM, 1, 4, 1))
        self._column.addLayout(line)
        self._write_tips()

    @property
    def note(self) -> str:
        """What is told of the row: its second line too, but for what is wrong; may be empty."""
        if self.is_wrong:
            return self.remark
        return "\n".join(filter(None, (self.second, self.remark)))

    @property
    def second(self) -> str:
        """What stands in the second line; empty where there is none."""
        return "" if self._second is None else self._second.text

    def set_second(self, text: str, *, there: bool) -> None:
        """Write the second line; whether it is `there` must not hang on what it says."""
        if self._second is None:
            if not there:
                return
            self._second = SecondLine(self)
            self._second.setFixedHeight(self.fontMetrics().height() + 1)
            line = QHBoxLayout()
            line.addWidget(self._second, 1)
            line.addSpacing(self.change.sizeHint().width() + SIDE + 2 * GAP)
            self._column.addLayout(line)
        self._second.set_text(text)
        if there is self._second.isHidden():
            self._second.setVisible(there)

    def set_note(self, text: str, *, wrong: bool, waits: bool = False) -> None:
        """Tell something of the row; `wrong` when it says why text cannot be taken.

        `waits` when it says that what was typed is being worked out.
        """
        self.waits = waits
        is_wrong = wrong and bool(text)
        if (text, is_wrong) != (self.remark, self.is_wrong):
            self.remark, self.is_wrong = text, is_wrong
            self._write_tips()
            self.update()
            self.note_changed.emit()

    def set_tip(self, tip: str) -> None:
        if tip != self._tip:
            self._tip = tip
            self._write_tips()

    def offer_releases(self, pins: Sequence[tuple[str, str]]) -> None:
        """Offer to release pins that stand against what was typed: (name, label)."""
        if tuple(pins) != self.offers:
            self.offers = tuple(pins)
            self.note_changed.emit()

    def _write_tips(self) -> None:
        tip = self._tip if not self.remark else plain_tip(f"{self.remark}\n\n{self._tip}")
        for widget in (self, self.field):
            widget.setToolTip(tip)
        remark = "" if self.is_wrong else self.remark
        if isinstance(self.field, FigureBox):
            self.field.set_remark(remark)
        elif not isinstance(self.field, ReadOnlyValue):
            self.field.setAccessibleDescription(self.remark)

    def light(self) -> None:
        """Show the maker which row is meant."""
        self._lights += 1
        QTimer.singleShot(LIT_FOR, self, self._on_light_spent)
        self.update()

    def _on_light_spent(self) -> None:
        self._lights -= 1
        self.update()

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._lights and not self.remark:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        if self._lights:
            painter.setBrush(highlight_wash(self.palette()))
            painter.drawRoundedRect(self.rect(), 4.0, 4.0)
        if self.remark:
            self._paint_mark(painter)

    def revert_text(self) -> None:
        if isinstance(self.field, FigureBox):
            self.field.revert_text()

    def _paint_mark(self, painter: QPainter) -> None:
        """A full triangle for what is wrong, a ring for a remark: told apart by shape."""
        middle = QPointF(MARK_ROOM / 2, self.field.geometry().center().y() + 0.5)
        if self.is_wrong:
            painter.setBrush(problem_colour(self.palette()))
            corners = ((-4.0, 3.5), (4.0, 3.5), (0.0, -4.0))
            painter.drawPolygon(QPolygonF([middle + QPointF(x, y) for x, y in corners]))
        else:
            painter.setPen(QPen(change_colour(self.palette()), 1.6))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(middle, 3.0, 3.0)


def field_width(widget: QWidget) -> int:
    """Width of the column of fields, px: a long length with its unit and the arrows."""
    return widget.fontMetrics().horizontalAdvance(_FIELD_SAMPLE) + 38


class MeasureGroup(QWidget):
    """A title over a thin line, then rows."""

    def __init__(self, title: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.rows: list[MeasureRow] = []
        self._places: list[float] = []
        self._title = QLabel(title, self)
        self._title.setFont(heading_font(self._title.font()))
        self._title.setContentsMargins(6, 10, 6, 4)
        self._title.setWordWrap(True)
        self._column = spaced(QVBoxLayout(self), 1, (0, 0, 0, 2))
        self._column.addWidget(self._title)
        self.setAccessibleName(title)

    def set_title(self, title: str) -> None:
        if title != self._title.text():
            self._title.setText(title)
            self.setAccessibleName(title)

    def add_row(
        self,
        name: str,
        field: QWidget,
        help_text: str,
        pin: PinButton | None = None,
        *,
        place: float = math.inf,
    ) -> MeasureRow:
        """Put a row behind those whose place is not above its own."""
        row = MeasureRow(name, field, help_text, self, pin=pin)
        figure = field.objectName()
        if figure:
            set_topic(row, Topic.FIGURES, figure)
        else:
            set_topic(row, Topic.MEASURES, "parts")
        at = bisect(self._places, place)
        self._places.insert(at, place)
        self.rows.insert(at, row)
        self._column.insertWidget(1 + at, row)  # the title stands before them
        return row

    def add(self, widget: QWidget) -> None:
        """Put something that is no row at the end."""
        self._column.addWidget(widget)

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(rule_colour(self.palette()))
        below = self._title.geometry().bottom() - 1
        painter.drawLine(6, below, self.width() - 6, below)


def keep_tab_order(groups: Sequence[MeasureGroup], last: QWidget) -> None:
    """Let Tab go down the rows, from each field to its pin, and at the end to `last`."""
    fields: list[QWidget] = []
    for row in [row for group in groups for row in group.rows]:
        fields += [row.field] if row.pin is None else [row.field, row.pin]
    for one, other in pairwise([*fields, last]):
        QWidget.setTabOrder(one, other)
