"""The layers of the wall as a table: goods, thickness, width, what melts, price."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.dialogs.layer_cells import CELLS, Cell, CellError
from app.display import Display
from app.theme import muted_colour, problem_colour
from app.toned_label import TonedLabel
from app.words import told_error
from core.errors import FieldError
from core.parts.layers import MOST_LAYERS, Layer

EXACT = Qt.ItemDataRole.UserRole
SHOWN = Qt.ItemDataRole.UserRole + 1
WHOLE = Qt.ItemDataRole.UserRole + 2
"""On the first cell of a row: the layer, with what this table does not show."""


@dataclass(slots=True)
class _CellTroubleError(Exception):
    row: int
    column: int
    text: str


class LayersDialog(QDialog):
    """Edits a copy of the layers; `layers` gives them after the dialog was accepted."""

    def __init__(
        self, layers: Sequence[Layer], display: Display, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._display = display
        self.layers: tuple[Layer, ...] = tuple(layers)
        self.setWindowTitle(self.tr("Layers"))
        self._table = self._make_table()
        self._problem = TonedLabel(problem_colour, parent=self)
        self._problem.setWordWrap(True)
        self._build()
        for place, layer in enumerate(layers):
            self._insert(place, layer)
        self._table.setCurrentCell(0, 0)
        self._table.currentCellChanged.connect(self._on_row_change)
        self._on_row_change()
        self.resize(860, 380)

    @property
    def table(self) -> QTableWidget:
        """The table that is edited."""
        return self._table

    @property
    def problem(self) -> str:
        """What keeps the layers from being taken; empty when nothing does."""
        return self._problem.text()

    def _make_table(self) -> QTableWidget:
        table = QTableWidget(0, len(CELLS), self)
        for column, cell in enumerate(CELLS):
            head_item = QTableWidgetItem(cell.head(self._display))
            head_item.setToolTip(cell.tip())
            table.setHorizontalHeaderItem(column, head_item)
        table.setAccessibleName(self.tr("Layers"))
        table.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
        table.setSelectionMode(QTableWidget.SelectionMode.SingleSelection)
        table.setAlternatingRowColors(True)
        table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        head = table.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        head.setHighlightSections(False)
        return table

    def _build(self) -> None:
        self._add = self._button(self.tr("Add"), self._on_add)
        self._remove = self._button(self.tr("Remove"), self._on_remove)
        self._up = self._button(self.tr("Move up"), lambda: self._move(-1))
        self._down = self._button(self.tr("Move down"), lambda: self._move(1))
        tools = QHBoxLayout()
        for button in (self._add, self._remove, self._up, self._down):
            tools.addWidget(button)
        tools.addStretch(1)
        lead = TonedLabel(
            muted_colour,
            self.tr("Outermost first. Pressed is the thickness under the presser foot."),
            self,
        )
        lead.setWordWrap(True)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel, self
        )
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(lead)
        column.addWidget(self._table, 1)
        column.addLayout(tools)
        column.addWidget(self._problem)
        column.addWidget(buttons)
        self._problem.hide()

    def _button(self, text: str, clicked: object) -> QPushButton:
        button = QPushButton(text, self)
        button.setAutoDefault(False)
        button.clicked.connect(clicked)
        return button

    def _insert(self, place: int, layer: Layer) -> None:
        self._table.insertRow(place)
        for column, cell in enumerate(CELLS):
            self._table.setItem(place, column, self._item(cell, getattr(layer, cell.attribute)))
        self._cell_item(place, 0).setData(WHOLE, layer)

    def _item(self, cell: Cell, value: str | float | bool) -> QTableWidgetItem:
        item = QTableWidgetItem()
        if isinstance(value, bool):
            item.setFlags(
                Qt.ItemFlag.ItemIsUserCheckable
                | Qt.ItemFlag.ItemIsEnabled
                | Qt.ItemFlag.ItemIsSelectable
            )
            item.setCheckState(Qt.CheckState.Checked if value else Qt.CheckState.Unchecked)
            return item
        text = cell.written(value, self._display)
        item.setText(text)
        item.setData(EXACT, value)
        item.setData(SHOWN, text)
        if cell.attribute != "role":
            item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return item

    def _read(self) -> tuple[Layer, ...]:
        """The layers as typed.

        Raises:
            _CellTroubleError: where and why they cannot be taken.
        """
        return tuple(self._read_row(row) for row in range(self._table.rowCount()))

    def _read_row(self, row: int) -> Layer:
        values: dict[str, Any] = {}
        for column, cell in enumerate(CELLS):
            values[cell.attribute] = self._read_cell(row, column, cell)
        try:
            whole: Layer = self._cell_item(row, 0).data(WHOLE)
            return replace(whole, **values)
        except FieldError as error:
            column = next(
                (
                    place
                    for place, cell in enumerate(CELLS)
                    if error.field in (f"layer_{cell.attribute}", f"layer_{cell.short}")
                ),
                0,
            )
            raise _CellTroubleError(row, column, told_error(error, self._display)) from error

    def _read_cell(self, row: int, column: int, cell: Cell) -> str | float | bool:
        item = self._cell_item(row, column)
        if cell.is_check:
            return item.checkState() is Qt.CheckState.Checked
        if item.text() == item.data(SHOWN):
            exact: str | float = item.data(EXACT)
            return exact
        try:
            return cell.read(item.text(), self._display)
        except CellError as error:
            raise _CellTroubleError(row, column, str(error)) from error

    def _cell_item(self, row: int, column: int) -> QTableWidgetItem:
        item = self._table.item(row, column)
        if item is None:
            raise LookupError(f"no cell {row}, {column}: every row is filled when it is made")
        return item

    def _move(self, way: int) -> None:
        row = self._table.currentRow()
        other = row + way
        if not 0 <= other < self._table.rowCount():
            return
        column = self._table.currentColumn()
        taken = [self._table.takeItem(row, place) for place in range(len(CELLS))]
        for place in range(len(CELLS)):
            self._table.setItem(row, place, self._table.takeItem(other, place))
            self._table.setItem(other, place, taken[place])
        self._table.setCurrentCell(other, column)

    def _on_add(self) -> None:
        width = self.layers[0].usable_width if self.layers else 1000.0
        new = Layer(role=self.tr("new layer"), thickness=0.5, pressed=0.4, usable_width=width)
        place = self._table.currentRow() + 1
        self._insert(place, new)
        self._table.setCurrentCell(place, 0)
        self._table.editItem(self._cell_item(place, 0))

    def _on_remove(self) -> None:
        self._table.removeRow(self._table.currentRow())
        self._on_row_change()

    def _on_row_change(self) -> None:
        row, count = self._table.currentRow(), self._table.rowCount()
        self._add.setEnabled(count < MOST_LAYERS)
        self._remove.setEnabled(count > 1 and row >= 0)
        self._up.setEnabled(row > 0)
        self._down.setEnabled(0 <= row < count - 1)

    # Qt's own names from here on.

    def accept(self) -> None:
        self._table.setFocus()  # ends the editing of a cell, and takes what was typed
        try:
            self.layers = self._read()
        except _CellTroubleError as trouble:
            where = self.tr("Layer {number}: {reason}").format(
                number=trouble.row + 1, reason=trouble.text
            )
            self._problem.setText(where)
            self._problem.show()
            self._table.setCurrentCell(trouble.row, trouble.column)
            return
        super().accept()
