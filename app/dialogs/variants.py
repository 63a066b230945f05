"""Variants side by side: starting bag, present bag and every variant, figure by figure."""

from dataclasses import dataclass

from PySide6.QtCore import QItemSelectionModel, Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QDialogButtonBox,
    QHBoxLayout,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.help.topics import Topic, set_topic
from app.session.display import (
    FIGURES,
    Figure,
    counted,
    figure_value,
    is_changed,
    plain_tip,
    shown_value,
    translated,
)
from app.session.session import Session
from app.widgets.dialog import FittedDialog
from app.widgets.layouts import button, holding
from app.widgets.menus import RestoreMenu
from core.bag.compute import Result, compute
from core.base.units import NEAR
from core.storage.project import NamedBag

START, NOW, FIRST = 0, 1, 2
"""Columns: starting bag, present bag, first variant."""
LONGEST_HEAD = 22


@dataclass(frozen=True, slots=True)
class ComparedBag:
    """One bag of the comparison."""

    head: str
    result: Result
    kept: NamedBag | None = None


class VariantsDialog(FittedDialog):
    """Compares, opens, renames and deletes variants, and brings back what was deleted."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document = session.document
        self._display = session.display
        self._variants = variants = session.variants
        self._columns: list[ComparedBag] = []
        self.setWindowTitle(self.tr("Compare variants"))
        set_topic(self, Topic.VARIANTS, "variants")
        self.table = self._make_table()
        self.every = QCheckBox(self.tr("&Show every measure"), self)
        self.every.setToolTip(self.tr("Also show measures that are the same in all of these bags."))
        self.open_button = button(self.tr("&Open this variant"), self, then=self._on_open)
        self.open_button.setToolTip(self.tr("Make the chosen variant the present bag."))
        self.keep_button = button(self.tr("&Keep present bag…"), self, then=variants.keep_variant)
        self.rename_button = button(self.tr("&Rename…"), self, then=self._on_rename)
        self.delete_button = button(self.tr("&Delete"), self, then=self._on_delete)
        self.keep_button.setToolTip(self.tr("Keep the bag as it is now under a name."))
        self.rename_button.setToolTip(self.tr("Give the chosen variant another name."))
        self.delete_button.setToolTip(self.tr("Take the chosen variant out of the file."))
        self.back_button = button(self.tr("&Bring back"), self)
        self.back_button.setToolTip(self.tr("Variants that were deleted or replaced."))
        self.back_menu = RestoreMenu(variants, self)
        self.back_button.setMenu(self.back_menu)
        variants.changed.connect(self._on_lost_changed)
        self._on_lost_changed()
        self._build()
        self.table.currentCellChanged.connect(self._show_choice)
        self.every.toggled.connect(self.refresh)
        document.changed.connect(self.refresh)
        document.kept_changed.connect(self.refresh)
        self.refresh()
        self.table.setCurrentCell(0, FIRST if len(self._columns) > FIRST else NOW)

    def refresh(self) -> None:
        row, column = self.table.currentRow(), self.table.currentColumn()
        self._columns = self._found()
        self._write_heads()
        figures = [figure for figure in FIGURES if self._listed(figure)]
        self.table.setRowCount(len(figures) + 1)
        self._write_findings(len(figures))
        for place, figure in enumerate(figures):
            self._write_figure(place, figure)
        alone = self.tr(
            "There is no other bag yet: keep the present one as a variant, change the bag, and "
            "come back to compare."
        )
        same = self.tr("These bags measure the same.")
        self._nothing.setText(same if self._variants.variants else alone)
        self._nothing.setVisible(not figures)
        wide = max(column, 0)
        self.table.setCurrentCell(max(row, 0), min(wide, len(self._columns) - 1))
        self._show_choice()

    def _make_table(self) -> QTableWidget:
        table = QTableWidget(0, 0, self)
        table.setAccessibleName(self.tr("Variants"))
        table.setWhatsThis(
            self.tr("A column for each bag, a row for each measure. Choose a column to open it.")
        )
        table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        table.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectColumns)
        table.setSelectionMode(QTableWidget.SelectionMode.SingleSelection)
        table.setTabKeyNavigation(False)
        table.setShowGrid(False)
        table.setAlternatingRowColors(True)
        table.setWordWrap(False)
        table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        table.verticalHeader().setDefaultSectionSize(table.fontMetrics().height() + 8)
        table.verticalHeader().setDefaultAlignment(
            Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        )
        head = table.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        head.setMinimumSectionSize(120)
        table.verticalHeader().setHighlightSections(False)
        return table

    def _build(self) -> None:
        lead = self.hint(self.tr("Compared with the starting bag: ▲ is more, ▼ is less."))
        self._nothing = self.hint("")
        chosen = (self.open_button, self.rename_button, self.delete_button)
        tools = holding(
            QHBoxLayout(), *chosen, self.back_button, self.keep_button, None, self.every
        )
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.rejected.connect(self.reject)
        body = holding(QVBoxLayout(), lead, self.table, self._nothing, tools)
        body.setStretchFactor(self.table, 1)
        columns = FIRST + len(self._variants.variants)
        self.lay_out(body, buttons, letters=(min(184, 70 + 28 * columns), 32))

    def _found(self) -> list[ComparedBag]:
        document = self._document
        starting = self._variants.starting
        name = self.tr("As opened") if starting is None else starting.name
        columns = [
            ComparedBag(name, document.starting, starting),
            ComparedBag(self.tr("Present bag"), document.result),
        ]
        for kept in self._variants.variants:
            known = (each.result for each in self._columns if each.result.bag is kept.bag)
            columns.append(ComparedBag(kept.name, next(known, None) or compute(kept.bag), kept))
        return columns

    def _listed(self, figure: Figure) -> bool:
        values = [figure_value(column.result, figure) for column in self._columns]
        if all(value is None for value in values):
            return False
        return self.every.isChecked() or any(is_changed(values[START], each) for each in values[1:])

    def _write_heads(self) -> None:
        self.table.setColumnCount(len(self._columns))
        for place, column in enumerate(self._columns):
            short = column.head
            if len(short) > LONGEST_HEAD:
                short = f"{short[: LONGEST_HEAD - 1]}…"
            item = QTableWidgetItem(short)
            item.setToolTip(plain_tip(column.head))
            self.table.setHorizontalHeaderItem(place, item)

    def _write_figure(self, row: int, figure: Figure) -> None:
        self.table.setVerticalHeaderItem(row, QTableWidgetItem(translated(figure.label)))
        was = figure_value(self._columns[START].result, figure)
        for place, column in enumerate(self._columns):
            value = figure_value(column.result, figure)
            text = shown_value(figure.quantity, value, self._display)
            differs = place != START and is_changed(was, value)
            if differs and was is not None and value is not None:
                arrow = "▲" if value > was else "▼"
                more = shown_value(figure.quantity, abs(value - was), self._display)
                text = f"{arrow} {more.removeprefix(NEAR).strip()}     {text}"
            self._put(row, place, text)

    def _write_findings(self, row: int) -> None:
        self.table.setVerticalHeaderItem(row, QTableWidgetItem(self.tr("Findings")))
        for place, column in enumerate(self._columns):
            self._put(row, place, counted(column.result.findings) or self.tr("none"))

    def _put(self, row: int, place: int, text: str) -> None:
        item = QTableWidgetItem(text)
        item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.table.setItem(row, place, item)

    @property
    def _chosen(self) -> NamedBag | None:
        """What is kept of the bag in the chosen column; None of the present bag."""
        place = self.table.currentColumn()
        return self._columns[place].kept if 0 <= place < len(self._columns) else None

    def _show_choice(self) -> None:
        kept, place = self._chosen, self.table.currentColumn()
        is_variant = kept is not None and place >= FIRST
        self.open_button.setEnabled(kept is not None and not self._variants.is_present(kept))
        self.rename_button.setEnabled(is_variant)
        self.delete_button.setEnabled(is_variant)
        if 0 <= place < len(self._columns):
            index = self.table.currentIndex()
            select = QItemSelectionModel.SelectionFlag.ClearAndSelect
            columns = QItemSelectionModel.SelectionFlag.Columns
            self.table.selectionModel().select(index, select | columns)

    def _on_open(self) -> None:
        chosen = self._chosen
        if chosen is None:
            return
        if self.table.currentColumn() == START:
            self._variants.open_starting()
        else:
            self._variants.open_variant(chosen.name)

    def _on_rename(self) -> None:
        if self._chosen is not None:
            self._variants.rename_variant(self._chosen.name)

    def _on_lost_changed(self) -> None:
        self.back_button.setEnabled(bool(self._variants.restorable))

    def _on_delete(self) -> None:
        if self._chosen is not None:
            self._variants.delete_variant(self._chosen.name)
