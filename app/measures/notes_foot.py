"""What is told of a measure, at the foot of the list: one place that never moves a row."""

from collections.abc import Sequence
from typing import cast

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QApplication, QFrame, QScrollArea, QVBoxLayout, QWidget

from app.measures.row import Row
from app.release_bar import ReleaseBar
from app.theme import muted_colour, problem_colour, text_colour
from app.toned_label import TonedLabel

LINES = 5
"""Lines of text that are seen at once; longer ones scroll."""


class NotesFoot(QFrame):
    """Tells of one row: what is wrong with it, or what there is to say of it, and what it is.

    The row with the focus, or the one that was refused last. Its height is always the same.

    Attributes:
        releases: the buttons that release pins which stand against what was typed.
    """

    def __init__(self, rows: Sequence[Row], parent: QWidget) -> None:
        super().__init__(parent)
        self._row: Row | None = None
        self._reckoned = ""
        self._hint = self.tr(
            "Type a length, a sum such as 18 + 1/2, or a change such as +2 cm, *0.7, /2 or 70 %. "
            "What there is to say of a measure stands here."
        )
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setAccessibleName(self.tr("About the measure"))
        self._said = TonedLabel(text_colour, parent=self)
        self._about = TonedLabel(muted_colour, parent=self)
        self.releases = ReleaseBar(self)
        page = QWidget(self)
        column = QVBoxLayout(page)
        column.setContentsMargins(6, 3, 6, 3)
        column.setSpacing(2)
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
        around.setContentsMargins(0, 0, 0, 0)
        around.addWidget(self._page)
        self.setFixedHeight(LINES * self.fontMetrics().lineSpacing() + 10)
        for row in rows:
            row.note_changed.connect(self._on_note_changed)
        program = cast(QApplication, QApplication.instance())
        program.focusChanged.connect(self._on_focus_changed)
        self._write()

    @property
    def text(self) -> str:
        """What stands there of the row, without what it is."""
        return self._said.text()

    def tell(self, reckoned: str) -> None:
        """Tell what a typed change or sum came to, until another row is gone to."""
        self._reckoned = reckoned
        self._write()

    def _write(self) -> None:
        row = self._row
        note = "" if row is None else row.note
        wrong = row is not None and row.is_wrong
        self._said.set_tone(problem_colour if wrong else text_colour)
        said = note if wrong else "\n".join(filter(None, (self._reckoned, note)))
        self._said.setText(said)
        self._said.setVisible(bool(said))
        self._about.setText(self._hint if row is None else row.help)
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

    def _on_note_changed(self) -> None:
        row = cast(Row, QObject.sender(self))
        if row.is_wrong:
            self._go_to(row)
        if row is self._row:
            self._write()

    def _on_focus_changed(self, _before: QWidget | None, now: QWidget | None) -> None:
        within = now
        while within is not None and not isinstance(within, Row):
            within = within.parentWidget()
        if within is not None and within.window() is self.window():
            self._go_to(within)

    def _go_to(self, row: Row) -> None:
        if row is not self._row:
            self._row, self._reckoned = row, ""
            self._write()
