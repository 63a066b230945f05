"""A table of goods: one row each, every property typed, ticked or chosen in its cell."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from PySide6.QtCore import QAbstractItemModel, QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QHeaderView,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from app.dialogs.layers.cells import (
    CELLS,
    TURNS,
    Cell,
    CellError,
    CellKind,
    Value,
    price_text,
    priced_length,
    priced_length_of,
)
from app.session.display import Display, plain_tip, told_error, translated
from app.widgets.models import Index
from core.base.errors import FieldError
from core.goods.layers import Layer

EXACT = Qt.ItemDataRole.UserRole
SHOWN = Qt.ItemDataRole.UserRole + 1
WHOLE = Qt.ItemDataRole.UserRole + 2
"""On the first cell of a row: the goods as they were put there."""
SOURCE = Qt.ItemDataRole.UserRole + 3
"""On the first cell of a row: where it stood when the goods were shown; None for a new one."""
SHEET = Qt.ItemDataRole.UserRole + 4
"""On a price: the length of the sheet that it is told for, mm; 0 for that of a yard or metre."""

COLUMNS = {cell.attribute: column for column, cell in enumerate(CELLS)}

NARROWEST = 40
"""Width of a column at the least, px."""


@dataclass(slots=True)
class CellTroubleError(Exception):
    """A cell that cannot be taken: where it stands, and why."""

    row: int
    column: int
    text: str


class TurnDelegate(QStyledItemDelegate):
    """Chooses how far pieces may be turned."""

    # Qt's own names from here on.

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        box = QComboBox(parent)
        box.addItems([translated(words) for words in TURNS.values()])
        box.activated.connect(lambda: self._on_chosen(box))
        return box

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        if isinstance(editor, QComboBox):
            editor.setCurrentText(str(index.data()))

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        if isinstance(editor, QComboBox):
            model.setData(index, editor.currentText())

    def _on_chosen(self, box: QComboBox) -> None:
        self.commitData.emit(box)
        self.closeEditor.emit(box)


class MaterialTable(QTableWidget):
    """Rows of goods that can be edited; `read` gives them back.

    What nobody typed in comes back exactly, however it was rounded to be shown.
    """

    def __init__(self, display: Display, name: str, parent: QWidget | None = None) -> None:
        super().__init__(0, len(CELLS), parent)
        self._display = display
        for column, cell in enumerate(CELLS):
            item = QTableWidgetItem(_on_two_lines(cell.head(display)))
            item.setToolTip(cell.tip())
            self.setHorizontalHeaderItem(column, item)
        self.setItemDelegateForColumn(COLUMNS["turn"], TurnDelegate(self))
        self.setWhatsThis(
            self.tr("A row for each material, a column for what is known of it. Type in a cell.")
        )
        self.setAccessibleName(name)
        self.setTabKeyNavigation(False)
        self.setSelectionMode(QTableWidget.SelectionMode.SingleSelection)
        self.setAlternatingRowColors(True)
        self.setWordWrap(False)
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        head = self.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        head.setSectionResizeMode(COLUMNS["name"], QHeaderView.ResizeMode.Stretch)
        head.setMinimumSectionSize(NARROWEST)
        head.setHighlightSections(False)
        self.itemChanged.connect(self._on_item_change)
        self.itemChanged.connect(self._show_whole)

    def insert(self, row: int, goods: Layer) -> None:
        self.blockSignals(True)
        self.insertRow(row)
        self._fill(row, goods)
        self.blockSignals(False)
        self.viewport().update()

    def put(self, row: int, goods: Layer) -> None:
        """Put goods in the place of those in a row, which stays the one that it was."""
        first = self._cell_item(row, 0)
        source, stood = first.data(SOURCE), first.data(WHOLE)
        self.blockSignals(True)
        self._fill(row, replace(goods, extras=stood.extras))
        self._cell_item(row, 0).setData(SOURCE, source)
        self.blockSignals(False)
        self.viewport().update()

    def show_goods(self, goods: Sequence[Layer]) -> None:
        self.setRowCount(0)
        for place, each in enumerate(goods):
            self.insert(place, each)
            self._cell_item(place, 0).setData(SOURCE, place)

    def sources(self) -> tuple[int | None, ...]:
        """Of each row, where it stood among the goods that were shown; None of a new one."""
        return tuple(self._cell_item(row, 0).data(SOURCE) for row in range(self.rowCount()))

    def typed(self) -> list[object]:
        """All that can be changed here, to be compared with what it was; nothing is read."""
        places = [(row, column) for row in range(self.rowCount()) for column in range(len(CELLS))]
        items = [self._cell_item(row, column) for row, column in places]
        return [
            (item.text(), item.checkState(), item.data(WHOLE), item.data(SOURCE)) for item in items
        ]

    def read(self) -> tuple[Layer, ...]:
        """The goods as typed; a CellTroubleError says where and why they cannot be taken."""
        return tuple(self.read_row(row) for row in range(self.rowCount()))

    def read_row(self, row: int) -> Layer:
        """The goods of one row; CellTroubleError as `read`."""
        whole: Layer = self._cell_item(row, 0).data(WHOLE)
        values: dict[str, Any] = {}
        for column, cell in enumerate(CELLS):
            if cell.kind is not CellKind.PRICE:
                values[cell.attribute] = self._read_cell(row, column, cell, 1.0)
        try:
            goods = replace(whole, **values)
            column = COLUMNS["price_per_length"]
            priced = priced_length_of(goods, self._display)
            price: Any = self._read_cell(row, column, CELLS[column], priced)
            return replace(goods, price_per_length=price)
        except FieldError as error:
            text = told_error(error, self._display)
            raise CellTroubleError(row, _column_of(error), text) from error

    def swap(self, row: int, other: int) -> None:
        self.blockSignals(True)
        taken = [self.takeItem(row, column) for column in range(len(CELLS))]
        for column in range(len(CELLS)):
            self.setItem(row, column, self.takeItem(other, column))
            self.setItem(other, column, taken[column])
        self.blockSignals(False)

    def _fill(self, row: int, goods: Layer) -> None:
        priced = priced_length_of(goods, self._display)
        for column, cell in enumerate(CELLS):
            self.setItem(row, column, self._item(cell, getattr(goods, cell.attribute), priced))
        price = self._cell_item(row, COLUMNS["price_per_length"])
        price.setData(SHEET, priced if goods.in_sheets else 0.0)
        self._cell_item(row, 0).setData(WHOLE, goods)

    def _item(self, cell: Cell, value: Value, priced: float) -> QTableWidgetItem:
        item = QTableWidgetItem()
        item.setToolTip(cell.tip())
        if isinstance(value, bool):
            item.setFlags(
                Qt.ItemFlag.ItemIsUserCheckable
                | Qt.ItemFlag.ItemIsEnabled
                | Qt.ItemFlag.ItemIsSelectable
            )
            item.setCheckState(Qt.CheckState.Checked if value else Qt.CheckState.Unchecked)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, translated(cell.label))
            return item
        text = cell.written(value, self._display, priced)
        item.setText(text)
        item.setToolTip(_whole_tip(cell, text))
        item.setData(EXACT, value)
        item.setData(SHOWN, text)
        if cell.kind not in (CellKind.WORDS, CellKind.TURN):
            item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return item

    def _read_cell(self, row: int, column: int, cell: Cell, priced: float) -> Value:
        item = self._cell_item(row, column)
        if cell.is_check:
            return item.checkState() is Qt.CheckState.Checked
        if item.text() == item.data(SHOWN):
            exact: Value = item.data(EXACT)
            return exact
        try:
            return cell.read(item.text(), self._display, priced)
        except CellError as error:
            raise CellTroubleError(row, column, str(error)) from error

    def _cell_item(self, row: int, column: int) -> QTableWidgetItem:
        item = self.item(row, column)
        if item is None:
            raise LookupError(f"no cell {row}, {column}: every row is filled when it is made")
        return item

    def _show_whole(self, item: QTableWidgetItem) -> None:
        with QSignalBlocker(self):  # a tip is no change of the table
            item.setToolTip(_whole_tip(CELLS[item.column()], item.text()))

    def _on_item_change(self, item: QTableWidgetItem) -> None:
        """What a price is told for depends on whether the goods comes in sheets, and which.

        The price of one sheet stays when the sheet's length is put right.
        """
        if item.column() not in (COLUMNS["in_sheets"], COLUMNS["sold_step"]):
            return
        row = item.row()
        price = self._cell_item(row, COLUMNS["price_per_length"])
        if price.text() != price.data(SHOWN):
            price.setData(SHOWN, None)  # typed: it means what it then says, for any length
            return
        checked = self._cell_item(row, COLUMNS["in_sheets"]).checkState()
        in_sheets = checked is Qt.CheckState.Checked
        column = COLUMNS["sold_step"]
        try:
            step = self._read_cell(row, column, CELLS[column], 1.0)
        except CellTroubleError:
            return  # told when the table is read
        step = step if isinstance(step, float) else 0.0
        priced = priced_length(self._display, in_sheets=in_sheets, sold_step=step)
        if priced > 0.0:  # else it is told when the table is read
            _tell_price(price, priced, self._display, in_sheets=in_sheets)


def _whole_tip(cell: Cell, text: str) -> str:
    """The column's tip, under words that the column may be too narrow for."""
    if cell.kind is not CellKind.WORDS or not text:
        return cell.tip()
    return plain_tip(f"{text}\n\n{cell.tip()}")


def _tell_price(
    price: QTableWidgetItem, priced: float, display: Display, *, in_sheets: bool
) -> None:
    """Tell a price for this length, mm; one told for a sheet already stays that of a sheet."""
    exact, sheet = price.data(EXACT), price.data(SHEET)
    price.setData(SHEET, priced if in_sheets else 0.0)
    if in_sheets and sheet:
        price.setData(EXACT, exact * sheet / priced)
        return
    text = price_text(exact * priced, display)
    price.setData(SHOWN, text)
    price.setText(text)


def _column_of(error: FieldError) -> int:
    named = (
        column
        for column, cell in enumerate(CELLS)
        if error.field in (f"layer_{cell.attribute}", f"layer_{cell.short}")
    )
    return next(named, 0)


def _on_two_lines(head: str) -> str:
    """A head broken at the space nearest to its middle, so that all columns can be seen."""
    spaces = [place for place, sign in enumerate(head) if sign == " "]
    if not spaces:
        return head
    middle = min(spaces, key=lambda place: abs(2 * place - len(head)))
    return f"{head[:middle]}\n{head[middle + 1 :]}"
