"""The goods as tables: the wall's layers, the other parts', notions, and the maker's own."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import QStandardPaths, Qt
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QMenu, QTabWidget, QVBoxLayout, QWidget

from app.dialogs.layers.cells import CellError
from app.dialogs.layers.notions import NotionsForm
from app.dialogs.layers.table import CellTroubleError, MaterialTable
from app.help.topics import Topic, set_topic
from app.session.display import Display, told, told_error, translated
from app.widgets.dialog import FittedDialog, ask_to_give_up
from app.widgets.labels import TonedLabel, keep_room
from app.widgets.layouts import button, holding
from app.widgets.menus import menu_text, without_mnemonic
from app.widgets.theme import problem_colour
from core.base.errors import CornerwrightError, FieldError
from core.base.sentences import mark
from core.goods.layers import MOST_LAYERS, Layer
from core.goods.supplies import Supplies
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.storage.goods_library import GENERIC, KINDS, LayerKind, MaterialLibrary, placed

OPTIONAL = {
    Pocket.SLOT: (mark("Pocket"), mark("The pocket has its own material")),
    Handles.SLOT: (mark("Handles"), mark("The handles have their own material")),
}
"""Parts that are cut from the outer layer's goods unless they have their own: slot -> what their
row is called, and what is ticked where they have."""


def library_file() -> Path:
    """Where the maker's own goods lie on this platform."""
    place = QStandardPaths.StandardLocation.AppDataLocation
    return Path(QStandardPaths.writableLocation(place)) / "goods.json"


class LayersDialog(FittedDialog):
    """Edits copies of layers and supplies; `layers` and `supplies` give them once accepted.

    The maker's own goods are written to their file when the dialog is accepted. When it is
    closed otherwise and something was changed, `may_give_up` asks, over the dialog, whether that
    is meant.
    """

    def __init__(
        self,
        layers: Sequence[Layer],
        display: Display,
        parent: QWidget | None = None,
        *,
        supplies: Supplies | None = None,
        shop_zips: tuple[float, ...] | None = None,
        library: MaterialLibrary | None = None,
        may_give_up: Callable[[QWidget], bool] = ask_to_give_up,
    ) -> None:
        super().__init__(parent)
        self._display = display
        self._library = library or MaterialLibrary(library_file())
        self._is_library_readable = True
        self._may_give_up = may_give_up
        self.layers: tuple[Layer, ...] = tuple(layers)
        self.supplies = supplies or Supplies()
        self.setWindowTitle(self.tr("Layers and materials"))
        set_topic(self, Topic.MATERIALS)
        self.table = MaterialTable(display, self.tr("Layers"), self)
        self.parts = MaterialTable(display, self.tr("Materials of the other parts"), self)
        self.own = MaterialTable(display, self.tr("My materials"), self)
        self.notions = NotionsForm(self.supplies, display, self, shop_zips=shop_zips)
        self._problem = TonedLabel(problem_colour, parent=self)
        keep_room(self._problem, 2)
        self._problem.hide()
        self._make_buttons()
        self._make_switches()
        self._build()
        self._fill()
        self.table.currentCellChanged.connect(self._on_row_change)
        self.own.currentCellChanged.connect(self._on_row_change)
        self.tabs.currentChanged.connect(self._on_row_change)
        self._on_row_change()
        self._first = self._typed()

    @property
    def problem(self) -> str:
        """What keeps the goods from being taken; empty when nothing does."""
        return self._problem.text()

    # --- making ---------------------------------------------------------------------------

    def _make_buttons(self) -> None:
        self._add = button(self.tr("Add"), self, then=self._on_add)
        self._remove = button(self.tr("Remove"), self, then=self._on_remove)
        self._up = button(self.tr("Move up"), self, then=lambda: self._move(-1))
        self._down = button(self.tr("Move down"), self, then=lambda: self._move(1))
        self._add.setToolTip(self.tr("Add a row below the chosen one."))
        self._remove.setToolTip(self.tr("Take the chosen row away."))
        self._up.setToolTip(self.tr("Put the chosen row before the one above it."))
        self._down.setToolTip(self.tr("Put the chosen row after the one below it."))
        self.take = button(self.tr("Use a material"), self)
        self.take.setToolTip(
            self.tr("Fill the row with a material from a library; its role in the bag stays.")
        )
        self._menu = QMenu(self.take)
        self._menu.aboutToShow.connect(self.fill_menu)
        self.take.setMenu(self._menu)
        self.kind = button(self.tr("Kind of layer"), self)
        self.kind.setToolTip(
            self.tr(
                "Fill in what a layer of this kind usually is: role, thickness, weight and what it "
                "is for. Material, width and price stay."
            )
        )
        kinds = QMenu(self.kind)
        for kind in KINDS:
            kinds.addAction(translated(kind.role)).triggered.connect(partial(self._on_kind, kind))
        self.kind.setMenu(kinds)
        self.keep = button(self.tr("Add to my materials"), self, then=self._on_keep)
        self.keep.setToolTip(
            self.tr(
                "Save the material of this row in your own library, or bring it up to date there."
            )
        )

    def _make_switches(self) -> None:
        self.switches: dict[str, QCheckBox] = {}
        for part, (_, text) in OPTIONAL.items():
            switch = QCheckBox(translated(text), self)
            switch.setToolTip(self.tr("Otherwise cut from the material of the outer layer."))
            switch.setChecked(self.supplies.own_goods(part) is not None)
            switch.toggled.connect(self._on_switch)
            self.switches[part] = switch

    def _build(self) -> None:
        self.tabs = QTabWidget(self)
        self.tabs.addTab(
            self._page(
                self.table,
                self.tr("Outermost first. Pressed is the thickness under the presser foot."),
            ),
            self.tr("Layers of the wall"),
        )
        self.tabs.addTab(
            self._page(
                self.parts, self.tr("Parts cut from materials that are not a layer of the wall."),
                *self.switches.values(),
            ),
            self.tr("Other parts"),
        )  # fmt: skip
        self.tabs.addTab(self.notions, self.tr("Zip, thread, clips"))
        self.tabs.addTab(
            self._page(
                self.own,
                self.tr(
                    "Kept for every bag, on this computer. Add a row, or choose a layer and press "
                    "{button}."
                ).format(button=without_mnemonic(self.keep.text())),
            ),
            self.tr("My materials"),
        )
        body = QVBoxLayout()
        body.addWidget(self.tabs, 1)
        moving = (self._add, self._remove, self._up, self._down)
        body.addLayout(holding(QHBoxLayout(), *moving, None, self.kind, self.take, self.keep))
        self.lay_out(body, self._problem, self.ok_and_cancel(), letters=(208, 30))

    def _page(self, table: MaterialTable, lead: str, *others: QWidget) -> QWidget:
        page = QWidget(self)
        holding(QVBoxLayout(page), self.hint(lead), *others).addWidget(table, 1)
        return page

    def _fill(self) -> None:
        self.table.show_goods(self.layers)
        self.table.setCurrentCell(0, 0)
        outer = self.layers[0] if self.layers else self.supplies.board
        own = [
            self.supplies.own_goods(each.SLOT)
            or replace(outer, role=translated(each.WORD), extras=())
            for each in (Pocket, Handles)
        ]
        self.parts.show_goods((self.supplies.board, *own))
        names = (translated(name) for name, _ in OPTIONAL.values())
        self.parts.setVerticalHeaderLabels([self.tr("Base board"), *names])
        self.parts.setCurrentCell(0, 0)
        self._on_switch()
        try:
            self._kept = self._library.read()
            if self._library.remark is not None:
                self._tell(told(self._library.remark, self._display))
        except CornerwrightError as error:
            self._kept = ()
            self._is_library_readable = False
            self._tell(told_error(error, self._display))
        self.own.show_goods(self._kept)

    # --- libraries ------------------------------------------------------------------------

    def fill_menu(self) -> None:
        """List what can be taken: the maker's own goods first."""
        self._menu.clear()
        try:
            own = self.own.read()
        except CellTroubleError:
            own = self._kept
        for goods in own:
            self._offer(goods)
        if own:
            self._menu.addSeparator()
        for goods in GENERIC:
            self._offer(goods)

    def _offer(self, goods: Layer) -> None:
        width = self._display.length(goods.usable_width)
        text = self.tr("{material}, {width} wide").format(material=goods.title, width=width)
        action = self._menu.addAction(menu_text(text))
        action.triggered.connect(partial(self._on_taken, goods))

    def _on_taken(self, goods: Layer, _checked: bool = False) -> None:
        table = self._current
        if table is None:
            return
        row = table.currentRow()
        if table is self.own:
            self._insert(goods)
        elif row >= 0:
            item = table.item(row, 0)
            role = goods.role if item is None else item.text().strip() or goods.role
            table.put(row, self._laid(replace(goods, role=role), row))

    def _on_kind(self, kind: LayerKind, _checked: bool = False) -> None:
        table = self._current
        if table is None or (row := table.currentRow()) < 0:
            return
        try:
            goods = table.read_row(row)
        except CellTroubleError as trouble:
            self._tell(trouble.text)
            return
        self._tell("")
        table.put(row, self._laid(kind.of(goods), row))

    def _laid(self, goods: Layer, row: int) -> Layer:
        """Goods for a row: in the wall they are laid as is usual at their place."""
        if self._current is not self.table:
            return goods
        innermost = 0 < row == self.table.rowCount() - 1
        return placed(goods, innermost=innermost)

    def _on_keep(self) -> None:
        table = self._current
        if table is None or table.currentRow() < 0:
            return
        try:
            goods = table.read_row(table.currentRow())
            own = self.own.read()
        except CellTroubleError as trouble:
            self._tell(trouble.text)
            return
        place = next((row for row, each in enumerate(own) if each.title == goods.title), len(own))
        if place < len(own):
            self.own.put(place, goods)
        else:
            self.own.insert(place, replace(goods, extras=()))
        self.own.setCurrentCell(place, 0)
        self.tabs.setTabText(3, self.tr("My materials ({count})").format(count=self.own.rowCount()))

    # --- rows -----------------------------------------------------------------------------

    @property
    def _current(self) -> MaterialTable | None:
        return (self.table, self.parts, None, self.own)[self.tabs.currentIndex()]

    def _insert(self, goods: Layer) -> None:
        table = self._current
        if table is None:
            return
        place = table.currentRow() + 1
        table.insert(place, goods)
        table.setCurrentCell(place, 0)
        self._on_row_change()

    def _move(self, way: int) -> None:
        table = self._current
        if table is None:
            return
        row, column = table.currentRow(), table.currentColumn()
        if 0 <= row + way < table.rowCount():
            table.swap(row, row + way)
            table.setCurrentCell(row + way, column)

    def _on_add(self) -> None:
        table = self._current
        width = self.layers[0].usable_width if self.layers else 1000.0
        role = self.tr("new layer") if table is self.table else self.tr("new material")
        self._insert(Layer(role=role, thickness=0.5, pressed=0.4, usable_width=width))
        if table is not None and (item := table.item(table.currentRow(), 0)) is not None:
            table.editItem(item)

    def _on_remove(self) -> None:
        if (table := self._current) is not None:
            table.removeRow(table.currentRow())
        self._on_row_change()

    def _on_switch(self) -> None:
        for row, part in enumerate(OPTIONAL, 1):
            self.parts.setRowHidden(row, not self.switches[part].isChecked())

    def _on_row_change(self) -> None:
        table = self._current
        row, count = (-1, 0) if table is None else (table.currentRow(), table.rowCount())
        is_wall, is_own = table is self.table, table is self.own
        self._add.setEnabled((is_wall and count < MOST_LAYERS) or is_own)
        self._remove.setEnabled((is_wall and count > 1 and row >= 0) or (is_own and row >= 0))
        self._up.setEnabled((is_wall or is_own) and row > 0)
        self._down.setEnabled((is_wall or is_own) and 0 <= row < count - 1)
        self.kind.setEnabled((is_wall or is_own) and row >= 0)
        self.take.setEnabled(is_own or (table is not None and row >= 0))
        self.keep.setEnabled(table is not None and not is_own and self._is_library_readable)
        self.own.setEnabled(self._is_library_readable)

    def _typed(self) -> list[object]:
        """All that can be changed here, to be compared with what it was."""
        return [
            *(table.typed() for table in (self.table, self.parts, self.own)),
            *(switch.isChecked() for switch in self.switches.values()),
            *(line.text() for line in self.notions.lines.values()),
        ]

    # --- taking ---------------------------------------------------------------------------

    def _tell(self, text: str) -> None:
        self._problem.setText(text)
        self._problem.setVisible(bool(text))

    def _read(self, table: MaterialTable, tab: int, where: str) -> tuple[Layer, ...] | None:
        """The goods of one table; None when one cannot be taken, which is then told."""
        try:
            return table.read()
        except CellTroubleError as trouble:
            self.tabs.setCurrentIndex(tab)
            self._tell(where.format(number=trouble.row + 1, reason=trouble.text))
            table.setCurrentCell(trouble.row, trouble.column)
            return None

    def _read_supplies(self, parts: tuple[Layer, ...]) -> Supplies | None:
        """Everything but the wall; None when something cannot be taken, which is then told."""
        board, *others = parts
        own: dict[str, Any] = {
            part: goods if self.switches[part].isChecked() else None
            for part, goods in zip(OPTIONAL, others, strict=True)
        }
        try:
            own.update(self.notions.read())
            return replace(self.supplies, board=board, **own)
        except (CellError, FieldError) as error:
            self.tabs.setCurrentIndex(2)
            if isinstance(error, FieldError):
                self.notions.go_to(error)
                self._tell(told_error(error, self._display))
            else:
                self._tell(str(error))
            return None

    def _keep_own(self, own: tuple[Layer, ...]) -> bool:
        """Put the changes to the maker's own goods into their file; False when that cannot be."""
        if own == self._kept or not self._is_library_readable:
            return True
        try:
            self._library.update(self._kept, own, self.own.sources())
        except CornerwrightError as error:
            self._tell(told_error(error, self._display))
            return False
        return True

    # Qt's own names from here on.

    def accept(self) -> None:
        # Ends the editing of a cell, and takes what was typed.
        self.tabs.setFocus(Qt.FocusReason.OtherFocusReason)
        layers = self._read(self.table, 0, self.tr("Layer {number}: {reason}"))
        parts = self._read(self.parts, 1, self.tr("Other part {number}: {reason}"))
        own = self._read(self.own, 3, self.tr("My materials, line {number}: {reason}"))
        if layers is None or parts is None or own is None:
            return
        supplies = self._read_supplies(parts)
        if supplies is None or not self._keep_own(own):
            return
        self.layers, self.supplies = layers, supplies
        super().accept()

    def reject(self) -> None:
        if (table := self._current) is not None:
            # Ends the editing of a cell: what was typed there is a change, too.
            table.setFocus(Qt.FocusReason.OtherFocusReason)
        if self._typed() == self._first or self._may_give_up(self):
            super().reject()
