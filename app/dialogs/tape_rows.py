"""Rows of a dialog in which measurements are typed: name, tape, and what follows."""

from collections.abc import Sequence

from PySide6.QtCore import QCoreApplication, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QVBoxLayout, QWidget

from app.display import Display
from app.length_box import LengthSpinBox
from app.theme import heading_font, muted_colour, problem_colour
from app.toned_label import TonedLabel, keep_room
from app.words import signed_text

AGREES = 0.05
"""mm; a difference below it is none that a tape could tell."""
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class TapeRows(QWidget):
    """A grid with one optional length box per measurement.

    Signals:
        edited: a measurement was typed, or emptied.
    """

    edited = Signal()

    def __init__(self, display: Display, heads: Sequence[str], tape: int, parent: QWidget) -> None:
        """Set up the heads.

        Args:
            display: unit and step of the boxes.
            heads: of the columns; the first one is that of the names.
            tape: column of the boxes.
            parent: the dialog.
        """
        super().__init__(parent)
        self._display = display
        self._tape = tape
        self.boxes: dict[str, LengthSpinBox] = {}
        self._places: dict[str, int] = {}
        self.measured: dict[str, float] = {}
        self._texts: dict[str, dict[int, QLabel]] = {}
        self._told = TonedLabel(problem_colour, parent=self)
        keep_room(self._told, 2)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        self._grid = QGridLayout()
        whole.addLayout(self._grid)
        whole.addWidget(self._told)
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
        box = LengthSpinBox(label, self._display, self)
        box.optional = True
        box.setToolTip(hint)
        box.setFixedWidth(box.sizeHint().width() + 12)
        box.value_edited.connect(lambda value: self._on_value(name, value))
        box.cleared.connect(lambda: self._on_cleared(name))
        said = QLabel(label, self)
        said.setBuddy(box)
        said.setToolTip(hint)
        box.problem_changed.connect(self._show_trouble)
        box.reckoned.connect(self._tell)
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
        self.boxes[name].give_back()
        self.boxes[name].show_value(value)
        if value is None:
            self.measured.pop(name, None)
        else:
            self.measured[name] = value

    def show_text(self, name: str, column: int, text: str) -> None:
        """Write beside a measurement."""
        texts = self._texts[name]
        if column not in texts:
            label = texts[column] = QLabel(self)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            label.setMinimumWidth(label.fontMetrics().horizontalAdvance("≈ 88 15/16 in"))
            label.setAlignment(RIGHT)
            self._grid.addWidget(label, self._places[name], column)
        texts[column].setText(text)

    def text(self, name: str, column: int) -> str:
        """What is written beside a measurement."""
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
        return self._told.text()

    def _show_trouble(self, problem: str) -> None:
        troubled = (box.problem for box in self.boxes.values() if box.problem)
        self._told.set_tone(problem_colour)
        self._told.setText(problem or next(troubled, ""))

    def _tell(self, reckoned: str) -> None:
        self._told.set_tone(muted_colour)
        self._told.setText(reckoned)

    def _on_value(self, name: str, value: float) -> None:
        self.boxes[name].show_value(value)
        self.measured[name] = value
        self.edited.emit()

    def _on_cleared(self, name: str) -> None:
        self.measured.pop(name, None)
        self.edited.emit()


def left_text(left: float, display: Display) -> str:
    """What a tape shows more or less than the pattern, signed."""
    size = display.difference(left) if abs(left) >= AGREES else ""
    if not size:
        return QCoreApplication.translate("tape", "agrees")
    return signed_text(left, size)
