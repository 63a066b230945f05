"""The tables of goods: typed cells, impossible ones, order, libraries."""

from collections.abc import Callable, Iterator
from dataclasses import fields, replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QApplication, QDialog, QLineEdit, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from app.dialogs.layers.cells import CELLS
from app.dialogs.layers.dialog import LayersDialog, library_file
from app.session.display import Display
from app.session.document import Document
from app.widgets.dialog import ask_to_give_up
from core.base.errors import CornerwrightError
from core.base.units import Unit, unbroken
from core.flat.piece import GrainTurn
from core.goods.layers import MOST_LAYERS, Layer
from core.goods.supplies import Supplies
from core.storage.bag_files import demo_bag
from core.storage.goods_library import GENERIC, KINDS, LayerKind, MaterialLibrary
from tests.helpers import layer

COLUMN = {cell.attribute: place for place, cell in enumerate(CELLS)}
LAYERS = (
    layer("outer fabric", price_per_length=0.0137, thickness=0.61234, name="cotton"),
    layer("foam", thickness=4.0, pressed=1.5, melts=True),
    layer("lining", one_way=True, mass_per_area=120.0, sold_step=100.0, shrink_length=0.03),
)


def give_up(_parent: QWidget) -> bool:
    return True


class Asked:
    """Answers whether changes are given up, and counts how often it was asked."""

    def __init__(self, *answers: bool) -> None:
        self._answers = list(answers)
        self.times = 0

    def __call__(self, _parent: QWidget) -> bool:
        self.times += 1
        return self._answers.pop(0)


def opened(qtbot: QtBot, unit: Unit = Unit.INCH) -> LayersDialog:
    dialog = LayersDialog(LAYERS, Display(unit), may_give_up=give_up)
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


@pytest.mark.parametrize("unit", list(Unit))
def test_what_nobody_typed_in_comes_back_exactly(qtbot: QtBot, unit: Unit) -> None:
    dialog = opened(qtbot, unit)
    dialog.accept()
    assert dialog.result() == QDialog.DialogCode.Accepted
    assert dialog.layers == LAYERS


def test_typed_cells_are_read_in_the_shown_unit(qtbot: QtBot) -> None:
    dialog = opened(qtbot)
    for attribute, text in (
        ("role", "  waxed   cotton "),
        ("thickness", "0.9 (0.0157 in)"),
        ("pressed", "1/32 in"),
        ("usable_width", "54"),
        ("price_per_length", "9.144"),
        ("mass_per_area", "10"),
    ):
        dialog.table.item(0, COLUMN[attribute]).setText(text)
    assert "waxed   cotton" in dialog.table.item(0, COLUMN["role"]).toolTip(), "narrow columns"
    dialog.table.item(0, COLUMN["melts"]).setCheckState(Qt.CheckState.Checked)
    dialog.accept()
    first = dialog.layers[0]
    assert (first.role, first.thickness, first.pressed) == ("waxed cotton", 0.9, 0.79375)
    assert (first.usable_width, first.melts) == (1371.6, True)
    # 1 oz = 28.349523125 g (international pound, 1959), 1 yd = 0.9144 m
    assert first.mass_per_area == pytest.approx(10 * 28.349523125 / 0.9144**2, rel=1e-6)
    assert first.price_per_length == pytest.approx(0.01), "1 yd = 914.4 mm"
    assert dialog.layers[1:] == LAYERS[1:]


@pytest.mark.parametrize(
    ("unit", "head", "mass", "thickness", "spool"),
    [
        (Unit.INCH, "Weight, oz/yd²", "3.539", "4 mm (0.157 in)", ("Yards on a spool", "218.72")),
        (Unit.CM, "Weight, g/m²", "120", "4 mm", ("Metres on a spool", "200")),
    ],
)
def test_weight_thickness_and_thread_are_told_as_the_unit_s_shops_do(
    qtbot: QtBot, unit: Unit, head: str, mass: str, thickness: str, spool: tuple[str, str]
) -> None:
    """120 g/m2 is 3.539 oz/yd2, 4 mm 0.157 in, 200 m 218.72 yd: by the definitions of 1959."""
    dialog = opened(qtbot, unit)
    heads = dialog.table.horizontalHeaderItem(COLUMN["mass_per_area"]).text()
    assert heads.replace("\n", " ") == head
    cells = {
        dialog.table.item(row, COLUMN[name]).text()
        for row in range(len(LAYERS))
        for name in ("mass_per_area", "thickness")
    }
    assert {mass, thickness} <= cells
    line = dialog.notions.lines["spool_length"]
    assert (line.accessibleName(), line.text()) == spool
    line.setText("500")
    dialog.accept()
    length = 500 * (914.4 if unit is Unit.INCH else 1000.0)
    assert dialog.supplies.spool_length == pytest.approx(length)
    assert dialog.layers == LAYERS, "what nobody typed in stays"


@pytest.mark.parametrize(
    ("attribute", "text", "told"),
    [
        ("thickness", "thick", "Thickness"),
        ("thickness", "=-1", "thickness"),
        ("thickness", "nan", "Thickness"),
        ("pressed", "50", "Pressed thickness"),
        ("usable_width", "0", "Usable width"),
        ("usable_width", "1,5", "Usable width"),
        ("usable_width", "10000 m", "Usable width"),
        ("mass_per_area", "inf", "Weight"),
        ("mass_per_area", "-5", "Weight"),
        ("mass_per_area", "1_000", "Weight"),
        ("shrink_width", "\u0663 %", "Shrinks across"),
        ("mass_per_area", "1e300", "weight"),
        ("price_per_length", "cheap", "Price"),
        ("role", "   ", "Role"),
        ("role", "x" * 61, "Role"),
    ],
)
def test_an_impossible_cell_is_named_and_nothing_is_taken(
    qtbot: QtBot, attribute: str, text: str, told: str
) -> None:
    dialog = opened(qtbot)
    dialog.table.item(1, COLUMN[attribute]).setText(text)
    dialog.accept()
    assert dialog.result() != QDialog.DialogCode.Accepted
    assert dialog.isVisible()
    assert dialog.problem.startswith("Layer 2: ")
    assert told in dialog.problem
    assert (dialog.table.currentRow(), dialog.table.currentColumn()) == (1, COLUMN[attribute])
    assert dialog.layers == LAYERS


def test_layers_are_added_moved_and_removed(qtbot: QtBot) -> None:
    dialog = opened(qtbot)
    dialog.table.setCurrentCell(0, 0)
    dialog._down.click()
    assert dialog.table.currentRow() == 1
    dialog._down.click()
    assert not dialog._down.isEnabled()
    dialog.table.setCurrentCell(0, 0)
    dialog._remove.click()
    dialog._add.click()
    dialog.accept()
    assert [each.role for each in dialog.layers] == ["lining", "new layer", "outer fabric"]
    assert dialog.layers[2] == LAYERS[0]


def test_there_is_always_one_layer_and_never_too_many(qtbot: QtBot) -> None:
    dialog = opened(qtbot)
    while dialog._remove.isEnabled():
        dialog._remove.click()
    assert dialog.table.rowCount() == 1
    while dialog._add.isEnabled():
        dialog._add.click()
    assert dialog.table.rowCount() == MOST_LAYERS


# --- Goods ----------------------------------------------------------------------------------------


@pytest.fixture
def library(tmp_path: Path) -> MaterialLibrary:
    return MaterialLibrary(tmp_path / "data" / "goods.json")


@pytest.fixture
def make(qtbot: QtBot, library: MaterialLibrary) -> Iterator[Callable[..., LayersDialog]]:
    def make(
        layers: tuple[Layer, ...] = LAYERS,
        supplies: Supplies | None = None,
        unit: Unit = Unit.INCH,
        may_give_up: Callable[[QWidget], bool] = give_up,
    ) -> LayersDialog:
        dialog = LayersDialog(
            layers, Display(unit), supplies=supplies, library=library, may_give_up=may_give_up
        )
        qtbot.addWidget(dialog)
        dialog.show()
        return dialog

    yield make


def test_every_property_of_goods_has_its_column() -> None:
    assert set(COLUMN) == {field.name for field in fields(Layer)} - {"extras"}


@pytest.mark.parametrize("unit", list(Unit))
def test_odd_goods_and_supplies_come_back_exactly(
    make: Callable[..., LayersDialog], library: MaterialLibrary, unit: Unit
) -> None:
    library.write(GENERIC)
    odd = replace(
        GENERIC[0],
        usable_width=1067.123456,
        sold_step=333.3333,
        shrink_length=0.0123456,
        price_per_length=0.00123456,
        turn=GrainTurn.HALF,
        cut_washed=False,
    )
    supplies = Supplies(
        pocket=odd, zip_price=1.23456, spool_price=0.99999, spool_length=91_440.0, clip_spacing=33.3
    )
    dialog = make((odd, *GENERIC[:3]), supplies, unit)
    dialog.accept()
    assert dialog.result() == QDialog.DialogCode.Accepted
    assert dialog.layers == (odd, *GENERIC[:3])
    assert dialog.supplies == supplies
    assert library.read() == GENERIC


def test_goods_are_typed_ticked_and_chosen(make: Callable[..., LayersDialog]) -> None:
    dialog = make(unit=Unit.MM)
    for attribute, text in (
        ("name", "heavy canvas"),
        ("sold_step", "10 cm"),
        ("shrink_length", "3"),
        ("shrink_width", "2.5 %"),
        ("turn", "half turn"),
        ("price_per_length", "18"),
    ):
        dialog.table.item(0, COLUMN[attribute]).setText(text)
    dialog.table.item(0, COLUMN["cut_washed"]).setCheckState(Qt.CheckState.Unchecked)
    dialog.accept()
    first = dialog.layers[0]
    assert (first.name, first.sold_step, first.turn) == ("heavy canvas", 100.0, GrainTurn.HALF)
    assert (first.shrink_length, first.shrink_width) == pytest.approx((0.03, 0.025))
    assert (first.cut_washed, first.price_per_length) == (False, pytest.approx(0.018))


def test_a_price_is_told_for_a_sheet_where_goods_come_in_sheets(
    make: Callable[..., LayersDialog],
) -> None:
    dialog = make()
    price = dialog.table.item(0, COLUMN["price_per_length"])
    assert price.text() == f"{0.0137 * 914.4:.2f}", "1 yd = 914.4 mm"
    dialog.table.item(0, COLUMN["in_sheets"]).setCheckState(Qt.CheckState.Checked)
    assert price.text() == f"{0.0137 * LAYERS[0].sold_step:.2f}"
    dialog.table.item(0, COLUMN["in_sheets"]).setCheckState(Qt.CheckState.Unchecked)
    dialog.table.item(0, COLUMN["sold_step"]).setText("500 mm")
    assert price.text() == f"{0.0137 * 914.4:.2f}", "a yard costs the same in any steps"
    dialog.table.item(0, COLUMN["in_sheets"]).setCheckState(Qt.CheckState.Checked)
    assert price.text() == f"{0.0137 * 500:.2f}"
    price.setText("7.50")
    dialog.accept()
    assert dialog.layers[0].price_per_length == pytest.approx(7.5 / 500)


SHEET_24 = layer("foam", price_per_length=5.004 / 609.6, sold_step=609.6, in_sheets=True)


@pytest.mark.parametrize("steps", [("30",), ("", "0", "30"), ("36", "1/8", "30")])
def test_the_price_of_a_sheet_stays_when_its_length_is_put_right(
    make: Callable[..., LayersDialog], steps: tuple[str, ...]
) -> None:
    dialog = make((SHEET_24,))
    price, step = (dialog.table.item(0, COLUMN[each]) for each in ("price_per_length", "sold_step"))
    for text in steps:
        step.setText(text)
        assert price.text() == "5.00"
    dialog.accept()
    assert dialog.layers[0].sold_step == 762.0, "30 in of 25.4 mm"
    assert dialog.layers[0].price_per_length * 762.0 == pytest.approx(5.004, rel=1e-12)


def test_a_sheet_put_right_costs_that_much_by_the_yard(make: Callable[..., LayersDialog]) -> None:
    dialog = make((SHEET_24,))
    dialog.table.item(0, COLUMN["sold_step"]).setText("36")
    dialog.table.item(0, COLUMN["in_sheets"]).setCheckState(Qt.CheckState.Unchecked)
    assert dialog.table.item(0, COLUMN["price_per_length"]).text() == "5.00", "36 in = 1 yd"
    dialog.table.item(0, COLUMN["sold_step"]).setText("18")
    assert dialog.table.item(0, COLUMN["price_per_length"]).text() == "5.00"


def test_a_sheet_price_typed_and_typed_back_is_that_of_the_new_sheet(
    make: Callable[..., LayersDialog],
) -> None:
    dialog = make((SHEET_24,))
    price, step = (dialog.table.item(0, COLUMN[each]) for each in ("price_per_length", "sold_step"))
    price.setText("6.00")
    step.setText("30")
    price.setText("5.00")
    dialog.accept()
    assert dialog.layers[0].price_per_length * 762.0 == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("attribute", "text", "told"),
    [
        ("sold_step", "0", "Selling step"),
        ("shrink_length", "51", "Shrinkage in length is 51 %"),
        ("shrink_width", "much", "Shrinks across"),
        ("turn", "sideways", "May turn: choose one of"),
        ("name", "x" * 61, "Material"),
    ],
)
def test_impossible_goods_are_named(
    make: Callable[..., LayersDialog], attribute: str, text: str, told: str
) -> None:
    dialog = make()
    dialog.table.item(1, COLUMN[attribute]).setText(text)
    dialog.accept()
    assert dialog.isVisible()
    assert told in dialog.problem
    assert dialog.table.currentColumn() == COLUMN[attribute]


def test_other_parts_get_goods_of_their_own_and_give_them_back(
    make: Callable[..., LayersDialog],
) -> None:
    dialog = make()
    assert dialog.parts.isRowHidden(1)
    dialog.switches["handles"].setChecked(True)
    assert not dialog.parts.isRowHidden(2)
    dialog.parts.item(2, COLUMN["name"]).setText("webbing")
    dialog.accept()
    assert dialog.supplies.pocket is None
    assert dialog.supplies.handles is not None
    assert dialog.supplies.handles.name == "webbing"
    again = make(supplies=dialog.supplies)
    again.switches["handles"].setChecked(False)
    again.accept()
    assert again.supplies == Supplies()


def test_notions_are_typed(make: Callable[..., LayersDialog]) -> None:
    dialog = make()
    for name, text in (
        ("zip_price", "2.40"),
        ("spool_price", "3"),
        ("spool_length", "500"),
        ("clip_spacing", "1 1/2"),
        ("zip_lengths", "12; 9 1/2, 24in;"),
    ):
        dialog.notions.lines[name].setText(text)
    dialog.accept()
    supplies = dialog.supplies
    assert (supplies.zip_price, supplies.spool_price) == (2.4, 3.0)
    assert (supplies.spool_length, supplies.clip_spacing) == (457_200.0, pytest.approx(38.1)), (
        "yards"
    )
    assert supplies.zip_lengths == pytest.approx((241.3, 304.8, 609.6))


def test_no_zip_lengths_are_the_usual_ones(make: Callable[..., LayersDialog]) -> None:
    dialog = make(supplies=Supplies(zip_lengths=(241.3, 304.8)))
    line = dialog.notions.lines["zip_lengths"]
    assert line.text() == "9 1/2 in; 12 in"
    assert line.placeholderText().startswith("7 in; 9 in; 10 in; ")
    line.setText(" ; ")
    dialog.accept()
    assert dialog.supplies.zip_lengths is None


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("zip_price", "dear", "Price of a zip: type a number"),
        ("clip_spacing", "0", "Clip spacing"),
        ("spool_length", "0", "Thread on a spool"),
        ("zip_lengths", "12; long", "Zips are sold in: type a length"),
        ("zip_lengths", "12; 0", "Zip lengths is 0 in: it must be more than 0"),
    ],
)
def test_impossible_notions_are_named(
    make: Callable[..., LayersDialog], name: str, text: str, told: str
) -> None:
    dialog = make()
    dialog.notions.lines[name].setText(text)
    dialog.accept()
    assert dialog.isVisible()
    assert unbroken(told) in dialog.problem
    assert dialog.tabs.currentWidget() is dialog.notions


def kind_named(dialog: LayersDialog, role: str) -> QAction:
    return next(each for each in dialog.kind.menu().actions() if each.text() == role)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.role)
def test_a_kind_of_layer_sets_what_such_a_layer_usually_is(
    make: Callable[..., LayersDialog], kind: LayerKind
) -> None:
    dialog = make()
    last = len(LAYERS) - 1
    dialog.table.setCurrentCell(last, 0)
    kind_named(dialog, kind.role).trigger()
    dialog.accept()
    told = dialog.layers[last]
    assert told == replace(kind.of(LAYERS[last]), laid_last=kind.melts or kind.wipe_clean)
    # Goods, width and price stay what they were.
    assert (told.name, told.usable_width) == (LAYERS[last].name, LAYERS[last].usable_width)
    assert told.price_per_length == LAYERS[last].price_per_length
    assert dialog.layers[:last] == LAYERS[:last]


def test_only_an_innermost_layer_is_laid_last_unasked(make: Callable[..., LayersDialog]) -> None:
    dialog = make()
    dialog.table.setCurrentCell(0, 0)
    kind_named(dialog, "wipe-clean lining").trigger()
    film = next(each for each in GENERIC if each.wipe_clean)
    dialog.table.setCurrentCell(len(LAYERS) - 1, 0)
    dialog._on_taken(film)
    dialog.accept()
    assert not dialog.layers[0].laid_last
    assert dialog.layers[-1].laid_last
    assert dialog.layers[-1].wipe_clean


def test_a_kind_for_a_row_that_cannot_be_read_says_why(
    make: Callable[..., LayersDialog],
) -> None:
    dialog = make()
    dialog.table.setCurrentCell(0, 0)
    dialog.table.item(0, COLUMN["usable_width"]).setText("wide")
    kind_named(dialog, "woven lining").trigger()
    assert "Usable width" in dialog.problem
    assert dialog.table.item(0, COLUMN["usable_width"]).text() == "wide"


def test_goods_are_kept_and_taken_again(
    make: Callable[..., LayersDialog], library: MaterialLibrary
) -> None:
    dialog = make()
    dialog.table.setCurrentCell(0, 0)
    dialog.keep.click()
    dialog.keep.click()
    dialog.accept()
    assert library.read() == LAYERS[:1], "goods of one name are kept once"
    again = make()
    again.table.setCurrentCell(1, 0)
    again.fill_menu()
    action = again._menu.actions()[0]
    assert action.text().startswith(unbroken("cotton, 54 in wide"))
    action.trigger()
    again.accept()
    assert again.layers[1] == replace(LAYERS[0], role="foam"), "it does what the row did"
    assert len(again._menu.actions()) == 2 + len(GENERIC), "with a line between"


def test_cancelling_keeps_nothing(
    make: Callable[..., LayersDialog], library: MaterialLibrary
) -> None:
    dialog = make()
    dialog.keep.click()
    dialog.reject()
    assert library.read() == ()


def test_my_goods_are_edited_like_any(
    make: Callable[..., LayersDialog], library: MaterialLibrary
) -> None:
    library.write(GENERIC[:2])
    dialog = make()
    dialog.tabs.setCurrentIndex(3)
    dialog.own.setCurrentCell(0, 0)
    dialog._remove.click()
    dialog._add.click()
    dialog.own.item(1, COLUMN["usable_width"]).setText("0")
    dialog.accept()
    assert "My materials, line 2" in dialog.problem
    dialog.own.item(1, COLUMN["usable_width"]).setText("60")
    dialog.accept()
    assert [each.title for each in library.read()] == [GENERIC[1].title, "new material"]


def test_a_spoilt_library_is_told_and_left_alone(
    make: Callable[..., LayersDialog], library: MaterialLibrary, tmp_path: Path
) -> None:
    file = tmp_path / "data" / "goods.json"
    file.parent.mkdir()
    file.write_text("no library")
    dialog = make()
    assert "materials library cannot be read" in dialog.problem
    assert not dialog.keep.isEnabled()
    dialog.accept()
    assert dialog.result() == QDialog.DialogCode.Accepted
    assert file.read_text() == "no library"


def test_a_library_that_cannot_be_written_is_told(qtbot: QtBot, tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file where a folder should be")
    library = MaterialLibrary(tmp_path / "data" / "goods.json")
    with pytest.raises(CornerwrightError, match="cannot be written"):
        library.write(GENERIC)


def keep_row(dialog: LayersDialog, row: int) -> None:
    dialog.table.setCurrentCell(row, 0)
    dialog.keep.click()


def test_two_dialogs_keep_what_each_of_them_added(
    make: Callable[..., LayersDialog], library: MaterialLibrary
) -> None:
    one, other = make(), make()
    keep_row(one, 0)
    keep_row(one, 2)
    one.accept()
    keep_row(other, 1)
    keep_row(other, 2)
    other.accept()
    assert library.read() == (LAYERS[0], LAYERS[2], LAYERS[1])


def test_two_dialogs_change_and_remove_their_own_and_nothing_else(
    make: Callable[..., LayersDialog], library: MaterialLibrary
) -> None:
    library.write(GENERIC[:4])
    one, other = make(), make()
    one.own.item(0, COLUMN["price_per_length"]).setText("9.144")
    one.own.removeRow(1)
    one.accept()
    other.own.item(0, COLUMN["usable_width"]).setText("40")
    other.own.item(2, COLUMN["name"]).setText("sailcloth")
    other.own.removeRow(3)
    other.accept()
    assert library.read() == (
        replace(GENERIC[0], usable_width=1016.0, price_per_length=9.144 / 914.4),
        replace(GENERIC[2], name="sailcloth"),
    )


def test_a_library_spoilt_meanwhile_is_told_and_left_alone(
    make: Callable[..., LayersDialog], library: MaterialLibrary, tmp_path: Path
) -> None:
    library.write(GENERIC[:1])
    file = tmp_path / "data" / "goods.json"
    dialog = make()
    keep_row(dialog, 0)
    file.write_text("no library")
    dialog.accept()
    assert dialog.isVisible()
    assert "materials library cannot be read" in dialog.problem
    assert file.read_text() == "no library"
    file.unlink()
    dialog.accept()
    assert library.read() == (GENERIC[0], LAYERS[0]), "a file that is gone removed no goods"


# --- Leaving --------------------------------------------------------------------------------------


@pytest.mark.parametrize("unit", list(Unit))
def test_nothing_is_asked_when_nothing_was_changed(
    make: Callable[..., LayersDialog], library: MaterialLibrary, unit: Unit
) -> None:
    library.write(GENERIC)
    asked = Asked()
    for leave in (QDialog.reject, QDialog.close):
        dialog = make((*GENERIC[:3], SHEET_24), Supplies(pocket=GENERIC[1]), unit, asked)
        dialog.tabs.setCurrentIndex(3)
        dialog.fill_menu()
        dialog.table.item(0, COLUMN["name"]).setText("canvas")
        dialog.table.item(0, COLUMN["name"]).setText(GENERIC[0].name)
        leave(dialog)
        assert not dialog.isVisible()
    assert asked.times == 0


def take_wider(dialog: LayersDialog) -> None:
    dialog.table.setCurrentCell(0, 0)
    dialog._on_taken(replace(LAYERS[0], usable_width=LAYERS[0].usable_width + 1e-6))


CHANGES: dict[str, Callable[[LayersDialog], object]] = {
    "text": lambda dialog: dialog.table.item(0, COLUMN["name"]).setText("canvas"),
    "no length": lambda dialog: dialog.table.item(0, COLUMN["usable_width"]).setText("wide"),
    "tick": lambda dialog: dialog.table.item(0, COLUMN["melts"]).setCheckState(
        Qt.CheckState.Checked
    ),
    "taken": take_wider,
    "moved": lambda dialog: dialog._down.click(),
    "removed": lambda dialog: dialog._remove.click(),
    "other part": lambda dialog: dialog.parts.item(0, COLUMN["name"]).setText("ply"),
    "switch": lambda dialog: dialog.switches["pocket"].setChecked(True),
    "notion": lambda dialog: dialog.notions.lines["zip_price"].setText("2"),
    "kept": lambda dialog: dialog.keep.click(),
}


@pytest.mark.parametrize("change", CHANGES)
def test_leaving_asks_before_changes_are_given_up(
    make: Callable[..., LayersDialog], library: MaterialLibrary, change: str
) -> None:
    asked = Asked(False, False, True)
    dialog = make(may_give_up=asked)
    CHANGES[change](dialog)
    dialog.reject()
    dialog.close()
    assert dialog.isVisible(), "no: the editing goes on"
    dialog.reject()
    assert not dialog.isVisible()
    assert asked.times == 3
    assert dialog.layers == LAYERS
    assert library.read() == ()


def test_what_is_being_typed_is_a_change_too(
    make: Callable[..., LayersDialog], qtbot: QtBot
) -> None:
    asked = Asked(False, True)
    dialog = make(may_give_up=asked)
    with qtbot.waitActive(dialog):
        dialog.activateWindow()
    dialog.table.setCurrentCell(0, COLUMN["name"])
    dialog.table.editItem(dialog.table.item(0, COLUMN["name"]))
    editor = dialog.table.viewport().findChild(QLineEdit)
    qtbot.keyClicks(editor, "canvas")
    dialog.close()
    assert dialog.isVisible()
    assert dialog.table.item(0, COLUMN["name"]).text() == "canvas"
    dialog.close()
    assert asked.times == 2


@pytest.mark.parametrize(
    ("role", "is_given_up"),
    [
        (QMessageBox.ButtonRole.AcceptRole, True),
        (QMessageBox.ButtonRole.RejectRole, False),
        (None, False),
    ],
)
def test_only_its_own_button_gives_the_changes_up(
    qtbot: QtBot, role: QMessageBox.ButtonRole | None, is_given_up: bool
) -> None:
    parent = QWidget()
    qtbot.addWidget(parent)
    usual: list[str] = []

    def answer() -> None:
        box = QApplication.activeModalWidget()
        if not isinstance(box, QMessageBox):
            return
        timer.stop()
        usual.append(box.defaultButton().text())
        if role is None:
            box.reject()
        else:
            next(each for each in box.buttons() if box.buttonRole(each) is role).click()

    timer = QTimer(interval=5)
    timer.timeout.connect(answer)
    timer.start()
    assert ask_to_give_up(parent) is is_given_up
    assert usual == ["Go on &editing"]


def test_the_library_lies_with_the_programs_data(own_settings: Path) -> None:
    assert own_settings in library_file().parents


def test_ok_is_one_step_that_can_be_taken_back(make: Callable[..., LayersDialog]) -> None:
    document = Document(demo_bag())
    bag = document.bag
    dialog = make(bag.sandwich.layers, bag.supplies)
    dialog.table.item(0, COLUMN["name"]).setText("canvas")
    dialog.notions.lines["zip_price"].setText("2")
    dialog.accept()
    sandwich = replace(bag.sandwich, layers=dialog.layers)
    document.replace_bag(replace(bag, sandwich=sandwich, supplies=dialog.supplies), "Goods")
    assert document.undo_stack.count() == 1
    document.undo_stack.undo()
    assert document.bag == bag
