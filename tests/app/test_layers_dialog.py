"""The layers table: typed cells, impossible ones, order."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog
from pytestqt.qtbot import QtBot

from app.dialogs.layer_cells import CELLS
from app.dialogs.layers_dialog import LayersDialog
from app.display import Display
from core.parts.layers import MOST_LAYERS
from core.units import Unit
from tests.helpers import layer

COLUMN = {cell.attribute: place for place, cell in enumerate(CELLS)}
LAYERS = (
    layer("outer fabric", price_per_length=0.0137, thickness=0.61234, name="cotton"),
    layer("foam", thickness=4.0, pressed=1.5, melts=True),
    layer("lining", one_way=True, mass_per_area=120.0, sold_step=100.0, shrink_length=0.03),
)


def opened(qtbot: QtBot, unit: Unit = Unit.INCH) -> LayersDialog:
    dialog = LayersDialog(LAYERS, Display(unit))
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
        ("thickness", "0.9"),
        ("pressed", "1/32 in"),
        ("usable_width", "54"),
        ("price_per_length", "9.144"),
        ("mass_per_area", "300"),
    ):
        dialog.table.item(0, COLUMN[attribute]).setText(text)
    dialog.table.item(0, COLUMN["melts"]).setCheckState(Qt.CheckState.Checked)
    dialog.accept()
    first = dialog.layers[0]
    assert (first.role, first.thickness, first.pressed) == ("waxed cotton", 0.9, 0.79375)
    assert (first.usable_width, first.mass_per_area, first.melts) == (1371.6, 300.0, True)
    assert first.price_per_length == pytest.approx(0.01), "1 yd = 914.4 mm"
    assert dialog.layers[1:] == LAYERS[1:]


@pytest.mark.parametrize(
    ("attribute", "text", "told"),
    [
        ("thickness", "thick", "Thickness"),
        ("thickness", "-1", "thickness"),
        ("thickness", "nan", "Thickness"),
        ("pressed", "50", "Pressed thickness"),
        ("usable_width", "0", "Usable width"),
        ("usable_width", "1,5", "Usable width"),
        ("usable_width", "10000 m", "Usable width"),
        ("mass_per_area", "inf", "Mass"),
        ("mass_per_area", "-5", "Mass"),
        ("mass_per_area", "1e300", "mass"),
        ("price_per_length", "cheap", "Price"),
        ("role", "   ", "Goods"),
        ("role", "x" * 61, "Goods"),
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
