"""Preferences: what is chosen holds everywhere that asks for it, comes back, and cannot harm."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pypdfium2
import pytest
from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QApplication, QComboBox, QDialogButtonBox
from pytestqt.qtbot import QtBot

from app.__main__ import make_window
from app.dialogs.layers.dialog import LayersDialog
from app.dialogs.preferences import PreferencesDialog
from app.dialogs.print import PrintDialog
from app.session.settings import Settings, local_currency, present_preferences, usual
from app.views.cutting.table import rows_of
from app.window.main_window import MainWindow
from core.bag.compute import compute
from core.base.units import Unit, unbroken
from core.cutting.buying import purchases
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.storage.bag_files import demo_bag
from tests.app.hands import Hands
from tests.helpers import inch, write_bag, zip_to_buy

Button = QDialogButtonBox.StandardButton
LEGAL = (8.5 * 72, 14 * 72)
"""Points: 8 1/2 x 14 in (common practice, no source)."""


def choose(box: QComboBox, text: str) -> None:
    place = box.findText(text)
    assert place >= 0, [box.itemText(each) for each in range(box.count())]
    box.setCurrentIndex(place)


def prefer(window: MainWindow, change: Callable[[PreferencesDialog], None], button: Button) -> None:
    """Press the key of the preferences, change something, press a button."""
    seen: list[PreferencesDialog] = []

    def act() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, PreferencesDialog)
        seen.append(dialog)
        try:
            change(dialog)
            dialog.buttons.button(button).click()
        finally:
            dialog.reject()

    QTimer.singleShot(0, act)
    window.commands["preferences"].trigger()
    assert seen


def restore(dialog: PreferencesDialog) -> None:
    dialog.buttons.button(Button.RestoreDefaults).click()


def zip_line(window: MainWindow) -> str:
    """What is told of the zip among what to buy."""
    plan = best_plan(window.document.result, PlanOptions(builds=1))
    (line,) = (each for each in purchases(plan) if each.what.text() == "zip")
    return line.remark.text(show=window.display.typed)


def test_the_usual_key_and_place_on_every_system(hands: Hands) -> None:
    action = hands.window.commands["preferences"]
    assert QKeySequence("Ctrl+,") in action.shortcuts()
    assert action.menuRole() is QAction.MenuRole.PreferencesRole
    assert action in hands.window.menus.menus["edit"].actions()


def test_paper_is_that_of_every_document(hands: Hands, monkeypatch: pytest.MonkeyPatch) -> None:
    window = hands.window
    assert window.booklet.forms[0].paper == "Letter"
    # What was chosen at an earlier printing gives way to what is preferred now.
    print_with(window, monkeypatch, lambda dialog: choose_paper(dialog, "Tabloid"))
    prefer(window, lambda dialog: choose(dialog.paper, "Legal"), Button.Ok)
    window.statusBar().count_pages()
    assert window.statusBar().texts[2].endswith("Legal")
    shown: list[str] = []
    print_with(window, monkeypatch, lambda dialog: shown.append(dialog.options.paper.name))
    assert shown == ["Legal"]
    assert window.booklet.forms[0].paper == "Legal"
    assert materials_size(window) == pytest.approx(LEGAL)


def test_zips_are_bought_in_the_lengths_of_the_shop(hands: Hands, qtbot: QtBot) -> None:
    window = hands.window
    hands.type("front_trim", "2")
    bag = window.document.bag
    prefer(window, lambda dialog: qtbot.keyClicks(dialog.zips, "18 in; 61; 24in"), Button.Apply)
    assert window.document.bag is not bag
    assert window.document.bag == bag, "no preference stands in the bag's file"
    assert window.document.bag.shop_zips == pytest.approx((inch(18), inch(24), inch(61)))
    assert "24 in long, the next length sold, cut to 22 in" in zip_line(window)
    findings = {each.code: each for each in window.document.result.findings}
    assert findings["zip-length-not-sold"].limit == pytest.approx(inch(24))
    hands.undo()
    assert window.document.bag == demo_bag()
    assert zip_to_buy(window.document.bag) == pytest.approx(inch(24)), "a step of before, too"
    assert zip_to_buy(window.document.starting.bag) == pytest.approx(inch(24))


def test_prices_are_told_in_the_currency_and_for_one_bag_too(
    hands: Hands, store: QSettings, qtbot: QtBot
) -> None:
    """The total is that of the costs as they are read, and one of three bags a third of it."""
    window, display = hands.window, hands.window.display
    assert display.currency == local_currency()
    prefer(window, lambda dialog: choose(dialog.currency, "EUR"), Button.Ok)
    bag = replace(
        demo_bag(), supplies=replace(demo_bag().supplies, zip_price=1.2351, spool_price=2.495)
    )
    plan = best_plan(compute(bag), PlanOptions(bags=3, builds=1))
    *costs, whole, one = [row.cells[3] for row in rows_of(plan, display) if row.cells[3]]
    assert unbroken("3.71 EUR") in costs, "three zips of 1.2351"
    read = [Decimal(text.split()[0]) for text in costs]
    assert whole == unbroken(f"{sum(read)} EUR")
    assert one == unbroken(f"{(sum(read) / 3).quantize(Decimal('0.01'))} EUR")
    display.set_currency("JPY")
    assert unbroken("4 JPY") in [row.cells[3] for row in rows_of(plan, display)]
    dialog = LayersDialog(
        bag.sandwich.layers, display, supplies=bag.supplies, shop_zips=(inch(18), inch(24))
    )
    qtbot.addWidget(dialog)
    heads = dialog.table.horizontalHeaderItem
    assert "Price per yd or sheet, JPY" in [
        heads(column).text().replace("\n", " ") for column in range(dialog.table.columnCount())
    ]
    assert dialog.notions.lines["zip_price"].accessibleName() == "Price of a zip, JPY"
    assert dialog.notions.lines["zip_lengths"].placeholderText() == "18 in; 24 in"
    assert Settings(store).currency == "EUR"


def test_unit_and_ruler_hold_for_every_bag_and_come_back(
    hands: Hands, store: QSettings, tmp_path: Path
) -> None:
    window, display = hands.window, hands.window.display

    def change(dialog: PreferencesDialog) -> None:
        choose(dialog.unit, "Centimetres")
        choose(dialog.steps[Unit.CM], "0.5 cm")
        choose(dialog.steps[Unit.INCH], "1/16 in")
        dialog.zips.setText("61")
        dialog.rounding.setChecked(True)
        dialog.opens_last.setChecked(False)

    prefer(window, change, Button.Ok)
    assert (display.unit, display.step) == (Unit.CM, 5.0)
    assert window.commands["rounding"].isChecked()
    assert window.document.saved
    path = tmp_path / "inches.json"
    write_bag(demo_bag(), path)
    assert window.files.open(path)
    assert display.unit is Unit.CM
    assert zip_to_buy(window.document.bag) == pytest.approx(inch(61))
    prefer(window, lambda dialog: dialog.opens_last.setChecked(True), Button.Ok)
    assert Settings(store).last_file == path
    prefer(window, lambda dialog: dialog.opens_last.setChecked(False), Button.Ok)
    assert Settings(store).last_file is None, "the demo bag is asked for"
    window.commands["new"].trigger()
    assert (display.unit, window.document.bag.unit) == (Unit.CM, Unit.CM)
    window.close()
    again = make_window(Settings(store))
    try:
        assert (again.display.unit, again.display.step) == (Unit.CM, 5.0)
        assert zip_to_buy(again.document.bag) == pytest.approx(inch(61))
        assert again.commands["rounding"].isChecked()
        again.commands["inches"].trigger()
        assert again.display.step == inch(1 / 16)
        prefer(again, restore, Button.Ok)
        assert present_preferences(again.session) == usual()
        assert zip_to_buy(again.document.bag) == pytest.approx(inch(22))
    finally:
        again.close()
        again.deleteLater()


def choose_paper(dialog: PrintDialog, name: str) -> None:
    choose(dialog.paper, next(text for text in texts(dialog.paper) if text.startswith(name)))


def texts(box: QComboBox) -> list[str]:
    return [box.itemText(place) for place in range(box.count())]


def print_with(
    window: MainWindow, monkeypatch: pytest.MonkeyPatch, act: Callable[[PrintDialog], object]
) -> None:
    """Open the print dialog, do something in it and close it."""

    def run(dialog: PrintDialog) -> int:
        act(dialog)
        dialog.reject()
        return 0

    with monkeypatch.context() as patch:
        patch.setattr(PrintDialog, "exec", run)
        window.commands["print"].trigger()


def materials_size(window: MainWindow) -> tuple[float, float]:
    """Points of the first page of the materials as the cutting plan's tab writes them."""
    plan = best_plan(window.document.result, PlanOptions(builds=1))
    found = pypdfium2.PdfDocument(window.cutting.tab._pdf(plan))
    size = found.get_page_size(0)
    found.close()
    return size


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("18; wide", "Zips are sold in: type a length"),
        ("12,5", "Zips are sold in: write the decimals with a point"),
        ("18; 0", "Zip lengths is 0"),
        (";", "there must be 1 to 100"),
    ],
)
def test_lengths_of_zips_that_are_none_are_told_and_nothing_is_lost(
    hands: Hands, qtbot: QtBot, text: str, says: str
) -> None:
    dialog = PreferencesDialog(present_preferences(hands.window.session), hands.window.display)
    qtbot.addWidget(dialog)
    told: list[object] = []
    dialog.applied.connect(told.append)
    dialog.show()
    choose(dialog.paper, "A3")
    qtbot.keyClicks(dialog.zips, text)
    qtbot.keyClick(dialog.zips, Qt.Key.Key_Return)
    assert says in dialog.problem
    assert dialog.isVisible()
    assert (dialog.zips.text(), dialog.paper.currentText(), told) == (text, "A3", [])
