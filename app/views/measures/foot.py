"""The foot of the measures, where what there is to say of one is told.

It has one place that never moves a row.
"""

from typing import cast

from PySide6.QtCore import QObject, QPoint, QRect, Qt, Signal, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QApplication, QFrame, QScrollArea, QVBoxLayout, QWidget

from app.session.session import Session
from app.views.measures.row import (
    MARK_ROOM,
    MeasureRow,
)
from app.widgets.desktop import enclosing
from app.widgets.figure_box import FigureBox
from app.widgets.labels import ReleaseBar, TonedLabel
from app.widgets.layouts import spaced
from app.widgets.theme import muted_colour, problem_colour, text_colour

LINES = 4
"""Lines of text for which there is always room, or two and a button; longer ones scroll."""
AROUND = 4
"""Above and below the text, px."""


class MeasureNotes(QWidget):
    """Tells of one row: what is wrong with it, or what there is to say of it, and what it is.

    The row with the focus, or the one that was refused last. The list leaves room for
    `rest_height`, always the same; for a refusal and its buttons the foot may rise over the list.

    Attributes:
        releases: the buttons that release pins which stand against what was typed.

    Signals:
        height_wanted: another text may want another height.
    """

    height_wanted = Signal()

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self._list = parent
        self._row: MeasureRow | None = None
        self._reckoned = ""
        self._hint = self.tr(
            "Type a length, a sum such as 18 + 1/2, or a change such as +2 cm, *0.7, /2 or 70 %. "
            "What there is to say of a measure stands here."
        )
        self.setAutoFillBackground(True)  # the list runs on beneath it where it has risen
        self.setAccessibleName(self.tr("About the measure"))
        self._said = TonedLabel(text_colour, parent=self)
        self._about = TonedLabel(muted_colour, parent=self)
        self.releases = ReleaseBar(self)
        page = QWidget(self)
        column = self._column = spaced(QVBoxLayout(page), 2, (MARK_ROOM + 6, AROUND, 6, AROUND))
        for label in (self._said, self._about):
            label.setWordWrap(True)
            label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        for widget in (self._said, self.releases, self._about):
            column.addWidget(widget)
        column.addStretch(1)
        self._page = QScrollArea(self)
        self._page.setFrameShape(QFrame.Shape.NoFrame)
        self._page.setWidgetResizable(True)
        self._page.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._page.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._page.setWidget(page)
        around = QVBoxLayout(self)
        around.setContentsMargins(0, 1, 0, 0)  # a hairline parts it from the list
        around.addWidget(self._page)
        program = cast(QApplication, QApplication.instance())
        program.focusChanged.connect(self._on_focus_changed)
        session.document.changed.connect(self._on_changed)
        session.display.changed.connect(self._forget_sum)
        self._write()

    def follow(self, row: MeasureRow) -> None:
        """Tell what there is to say of a row, too."""
        row.note_changed.connect(self._on_note_changed)

    @property
    def text(self) -> str:
        """What stands there of the row, without what it is."""
        return self._said.text()

    @property
    def rest_height(self) -> int:
        """The height that the list leaves free, px."""
        return LINES * self.fontMetrics().lineSpacing() + 2 * AROUND + 1

    def place(self, above: QRect) -> None:
        """Stand below the list, which is seen in `above`, of the same parent; or over its end.

        Over it for a refusal that needs more room, but never over the row that is refused.
        """
        end = above.bottom() + 1 + self.rest_height
        height = self._height_for(above.width())
        if self._row is not None:
            below = self._row.mapTo(self._list, QPoint(0, self._row.height())).y()
            if above.top() < below < end:
                height = max(self.rest_height, min(height, end - below))
        self.setGeometry(above.x(), end - height, above.width(), height)
        self.raise_()

    def _height_for(self, width: int) -> int:
        """The height at which a refusal is seen whole with its buttons, px; else `rest_height`."""
        row = self._row
        if row is None or not row.is_wrong:
            return self.rest_height
        margins = self._column.contentsMargins()
        text = self._said.heightForWidth(width - margins.left() - margins.right())
        bar = self.releases.sizeHint().height() + self._column.spacing()
        whole = text + (bar if row.offers else 0) + 2 * AROUND + 1
        return max(self.rest_height, whole)

    def tell(self, reckoned: str) -> None:
        """Tell what a typed change or sum came to: until another row is gone to, or another bag."""
        if reckoned != self._reckoned:
            self._reckoned = reckoned
            self._write()

    def _write(self) -> None:
        row = self._row
        note = "" if row is None else row.remark  # the second line stands in the row itself
        wrong = row is not None and row.is_wrong
        self._said.set_tone(problem_colour if wrong else text_colour)
        said = note if wrong else "\n".join(filter(None, (self._reckoned, note)))
        self._said.setText(said)
        self._said.setVisible(bool(said))
        self._about.setText(self._hint if row is None else row.help)
        self._about.setVisible(not wrong)
        offers = () if row is None else row.offers
        if (
            row is not None
            and not offers
            and any(each.hasFocus() for each in self.releases.buttons)
        ):
            # A button that goes with the focus on it would give it to the top of the list.
            row.field.setFocus(Qt.FocusReason.OtherFocusReason)
        self.releases.show_pins(offers)
        self._page.verticalScrollBar().setValue(0)
        self.height_wanted.emit()

    @Slot()
    def _on_changed(self) -> None:
        field = None if self._row is None else self._row.field
        if not (isinstance(field, FigureBox) and field.asks):  # else it is the sum's own bag
            self._forget_sum()

    @Slot()
    def _forget_sum(self) -> None:
        self.tell("")

    @Slot()
    def _on_note_changed(self) -> None:
        row = cast(MeasureRow, QObject.sender(self))
        if row.is_wrong:
            self._go_to(row)
        if row is self._row:
            self._write()

    def _on_focus_changed(self, _before: QWidget | None, now: QWidget | None) -> None:
        row = enclosing(now, MeasureRow)
        if row is not None and row.window() is self.window():
            self._go_to(row)

    def _go_to(self, row: MeasureRow) -> None:
        if row is not self._row:
            self._row, self._reckoned = row, ""
            self._write()

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(self.palette().mid().color())
        painter.drawLine(MARK_ROOM, 0, self.width(), 0)
