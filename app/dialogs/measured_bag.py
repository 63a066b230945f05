"""From a measured bag: what a tape measure finds, and the pattern that comes nearest."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QDialogButtonBox, QGridLayout, QLabel, QVBoxLayout, QWidget

from app.help.topics import Topic, set_topic
from app.session.display import Display, signed_text, told_error, tr, translated
from app.widgets.dialog import FittedDialog
from app.widgets.inputs import LengthBox
from app.widgets.labels import TonedLabel, Verdict
from app.widgets.layouts import holding, spaced
from app.widgets.theme import heading_font, muted_colour
from core.bag.bag import Bag
from core.bag.compute import Result, compute
from core.bag.figures import FINISHED, MEASURABLE, label_of
from core.base.errors import CornerwrightError
from core.redesign.measured import MeasuredFit, fit

WITHIN_TAPE = 0.05
"""mm; a difference below it is none that a tape could tell."""
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class MeasuredRows(QWidget):
    """A grid with one optional length box per measurement.

    Signals:
        edited: a measurement was typed, or emptied.
        troubled: one cannot be read, or can be again.
    """

    edited = Signal()
    troubled = Signal()

    def __init__(self, display: Display, heads: Sequence[str], tape: int, parent: QWidget) -> None:
        """Set up the heads, of which the first is that of the names.

        `display` has unit and step of the boxes, which stand in the column `tape`.
        """
        super().__init__(parent)
        self._display = display
        self._tape = tape
        self.boxes: dict[str, LengthBox] = {}
        self._places: dict[str, int] = {}
        self.measured: dict[str, float] = {}
        self._texts: dict[str, dict[int, QLabel]] = {}
        self._message = Verdict(2, self)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        self._grid = QGridLayout()
        whole.addLayout(self._grid)
        whole.addWidget(self._message)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(18)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(0, 1)
        for column, head in enumerate(heads):
            label = QLabel(head, self)
            label.setFont(heading_font(label.font()))
            label.setWordWrap(True)
            side = Qt.AlignmentFlag.AlignRight if column else Qt.AlignmentFlag.AlignLeft
            label.setAlignment(side | Qt.AlignmentFlag.AlignBottom)
            self._grid.addWidget(label, 0, column)

    def add(self, name: str, label: str, hint: str) -> None:
        """Add a measurement; `hint` says where the tape lies."""
        place = self._places[name] = self._grid.rowCount()
        box = LengthBox(label, self._display, self)
        box.optional = True
        box.setToolTip(hint)
        box.setFixedWidth(box.sizeHint().width() + 12)
        box.value_edited.connect(lambda value: self._on_value(name, value))
        box.cleared.connect(lambda: self._on_cleared(name))
        said = QLabel(label, self)
        said.setBuddy(box)
        said.setToolTip(hint)
        box.problem_changed.connect(self._show_trouble)
        box.reckoned.connect(self._message.say)
        names = QVBoxLayout()
        names.setSpacing(0)
        names.addWidget(said)
        where = TonedLabel(muted_colour, hint, self)
        where.setWordWrap(True)
        names.addWidget(where)
        self._grid.addLayout(names, place, 0)
        self._grid.addWidget(box, place, self._tape, RIGHT)
        self.boxes[name] = box
        self._texts[name] = {}

    def show_measured(self, name: str, value: float | None) -> None:
        """Put a value into a box, or empty it; what stood there typed is given up."""
        self.boxes[name].revert_text()
        self.boxes[name].show_value(value)
        if value is None:
            self.measured.pop(name, None)
        else:
            self.measured[name] = value

    def show_text(self, name: str, column: int, text: str) -> None:
        texts = self._texts[name]
        if column not in texts:
            label = texts[column] = QLabel(self)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            label.setMinimumWidth(label.fontMetrics().horizontalAdvance("≈ 88 15/16 in"))
            label.setAlignment(RIGHT)
            self._grid.addWidget(label, self._places[name], column)
        texts[column].setText(text)

    def text(self, name: str, column: int) -> str:
        label = self._texts[name].get(column)
        return "" if label is None else label.text()

    def finish(self) -> bool:
        """Take what is half typed; False while a text cannot be taken."""
        for box in self.boxes.values():
            box.finish_text()
        troubled = next((box for box in self.boxes.values() if box.problem), None)
        if troubled is not None:
            troubled.setFocus()
        return troubled is None

    @property
    def told(self) -> str:
        """What is wrong in a box, or what a change that was typed came to."""
        return self._message.text()

    @property
    def trouble(self) -> str:
        """What is wrong in the first box that cannot be read; empty where all can be."""
        return next((box.problem for box in self.boxes.values() if box.problem), "")

    def _show_trouble(self, problem: str) -> None:
        self._message.complain(problem or self.trouble)
        self.troubled.emit()

    def _on_value(self, name: str, value: float) -> None:
        self.boxes[name].show_value(value)
        self.measured[name] = value
        self.edited.emit()

    def _on_cleared(self, name: str) -> None:
        self.measured.pop(name, None)
        self.edited.emit()


def residual_text(left: float, display: Display) -> str:
    """What a tape shows more or less than the pattern, signed."""
    size = display.difference(left) if abs(left) >= WITHIN_TAPE else ""
    if not size:
        return tr("agrees")
    return signed_text(left, size)


TAPE, PATTERN, LEFT = 1, 2, 3
"""Columns."""


class FitDialog(FittedDialog):
    """Takes measurements and fits the panel to them.

    `fitted` is the pattern that comes nearest to what is typed; None while there is none.
    """

    def __init__(self, bag: Bag, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bag = bag
        self._display = display
        self._present: Result = compute(bag)
        self.fitted: MeasuredFit | None = None
        self.setWindowTitle(self.tr("From a measured bag"))
        set_topic(self, Topic.REDESIGN, "measured-bag")
        heads = (self.tr("Measure"), self.tr("Measured"), self.tr("Pattern"), self.tr("Difference"))
        self.rows = MeasuredRows(display, heads, TAPE, self)
        for name in MEASURABLE:
            if self._present.finished[name] is not None:
                figure = FINISHED[name]
                self.rows.add(name, translated(figure.label), translated(figure.tape))
        self.rows.edited.connect(self.refresh)
        self.rows.troubled.connect(self.refresh)
        self._build()
        self.refresh()

    def refresh(self) -> None:
        """Fit to what is typed now, and show what is left of each measurement."""
        self.fitted = None
        if self.rows.trouble:
            self.verdict.say(
                self.tr("One measurement cannot be read: correct it or leave it empty.")
            )
        elif not self.rows.measured:
            self.verdict.say(self.tr("Nothing is entered yet; the pattern stays as it is."))
        else:
            try:
                self.fitted = fit(self._bag, self.rows.measured)
                self.verdict.say(self._verdict(self.fitted))
            except CornerwrightError as error:
                self.verdict.complain(told_error(error, self._display))
        self._show_rows()
        self._buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(self.fitted is not None)

    def _build(self) -> None:
        lead = self.hint(
            self.tr(
                "Leave empty what you cannot measure. Measurements of a soft bag contradict one "
                "another a little: the pattern whose seams match that comes nearest to all of "
                "them is drawn."
            )
        )
        self.verdict = Verdict(3, self)
        self._buttons = self.ok_and_cancel(self.tr("Draw this pattern"))
        body = holding(spaced(QVBoxLayout(), 12), lead, self.rows, self.verdict, None)
        self.lay_out(body, self._buttons, letters=(116, 0))

    def _show_rows(self) -> None:
        result = self._present if self.fitted is None else self.fitted.result
        for name in self.rows.boxes:
            value = result.finished[name]
            shown = "" if value is None else self._display.length(value)
            self.rows.show_text(name, PATTERN, shown)
            left = None if self.fitted is None else self.fitted.residuals.get(name)
            told = "" if left is None else residual_text(left, self._display)
            self.rows.show_text(name, LEFT, told)

    def _verdict(self, found: MeasuredFit) -> str:
        size = self._display.difference(found.largest)
        if found.largest < WITHIN_TAPE or not size:  # less than a ruler of this unit tells
            return self.tr("The measurements agree with one another.")
        name = max(found.residuals, key=lambda each: abs(found.residuals[each]))
        return self.tr(
            "The largest difference is {size}, of {figure}. More than about 1/4 in or 6 mm: "
            "measure that one again."
        ).format(size=size, figure=translated(label_of(name)))

    # Qt's own names from here on.

    def accept(self) -> None:
        if self.rows.finish() and self.fitted is not None:
            super().accept()
