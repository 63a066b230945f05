"""Tab goes round everything that takes keys, in the window and in every dialog, and comes back."""

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QLineEdit, QPushButton, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.dialogs.layers.table import MaterialTable
from core.solid.fold import FLAT, FOLDED, SEWN
from tests.app.hands import Hands

MOST = 400
"""Presses after which Tab has come round whatever there is."""
DIALOGS = (
    "print",
    "edit_layers",
    "compare",
    "fit_tape",
    "take_up",
    "preferences",
    "edit_load",
    "new_bag",
)


def by_tab(window: QWidget) -> set[QWidget]:
    """Everything in a window that Tab must come to."""
    tab = Qt.FocusPolicy.TabFocus
    return {
        each
        for each in window.findChildren(QWidget)
        if each.focusPolicy() & tab == tab
        and each.isVisible()
        and each.isEnabled()
        and each.focusProxy() is None
        and each.window() is window
        # A spin box and an editable list stand for the line that is typed in.
        and (each.parentWidget() is None or each.parentWidget().focusProxy() is not each)
    }


def missed(window: QWidget) -> tuple[set[QWidget], bool]:
    """What pressing Tab does not come to, and whether it comes round."""
    wanted = by_tab(window)
    first = next(iter(sorted(wanted, key=lambda each: (each.y(), each.x()))))
    first.setFocus()
    met: set[QWidget] = set()
    for _ in range(MOST):
        focus = window.focusWidget()
        assert focus is not None
        if focus in met:
            break
        met.add(focus)
        QTest.keyClick(focus, Qt.Key.Key_Tab)
    # What is worked out meanwhile may take a button away, or give one.
    return (wanted & by_tab(window)) - met, window.focusWidget() in met


def test_tab_comes_round_the_window_from_every_tab(hands: Hands, qtbot: QtBot) -> None:
    hands.type("panel_width", "19")  # so that there are changes and findings to go to
    for go in ("go_changes", "cutting_plan", "sewing_order"):
        hands.window.commands[go].trigger()
        qtbot.wait(30)
        left, is_round = missed(hands.window)
        assert {each.objectName() or each.accessibleName() for each in left} == set(), go
        assert is_round, go


@pytest.mark.parametrize("name", DIALOGS)
def test_a_dialog_begins_in_its_fields_and_tab_comes_round(
    hands: Hands, qtbot: QtBot, name: str
) -> None:
    found: list[tuple[set[QWidget], bool]] = []

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, QDialog):
            timer.stop()
            try:
                # A figure typed at once must not press OK with its space.
                assert not isinstance(dialog.focusWidget(), QPushButton | None)
                found.append(missed(dialog))
                left = {each.accessibleName() or repr(each) for each in found[0][0]}
                assert left == set()
            finally:
                dialog.reject()

    timer = QTimer(interval=10)
    timer.timeout.connect(look)
    timer.start()
    hands.window.commands[name].trigger()
    timer.stop()
    assert len(found) == 1
    assert found[0][1]


def test_arrows_move_in_the_table_of_goods_and_tab_leaves_it(hands: Hands, qtbot: QtBot) -> None:
    bench = QWidget()
    qtbot.addWidget(bench)
    table, after = MaterialTable(hands.window.display, "Goods"), QLineEdit()
    column = QVBoxLayout(bench)
    column.addWidget(table)
    column.addWidget(after)
    bench.show()
    bench.activateWindow()
    table.setFocus()
    for row, goods in enumerate(hands.document.bag.sandwich.layers[:2]):
        table.insert(row, goods)
    table.setCurrentCell(0, 0)
    QTest.keyClick(table, Qt.Key.Key_Right)
    QTest.keyClick(table, Qt.Key.Key_Down)
    assert (table.currentRow(), table.currentColumn()) == (1, 1)
    QTest.keyClick(table, Qt.Key.Key_Tab)
    assert bench.focusWidget() is after
    assert (table.currentRow(), table.currentColumn()) == (1, 1)


def test_the_fold_slider_is_read_as_a_stage(hands: Hands) -> None:
    fold = hands.window.fold
    read = QAccessible.queryAccessibleInterface(fold.slider)
    assert read is not None
    heard = []
    for at in (FLAT, FOLDED, SEWN, (FLAT + FOLDED) / 2, FOLDED + (SEWN - FOLDED) * 0.9):
        fold.show_moment(at)
        heard.append(read.text(QAccessible.Text.Value))
        assert read.text(QAccessible.Text.Description) == heard[-1]
    assert heard == [
        "flat",
        "folded",
        "sewn",
        "50 % from flat to folded",
        "90 % from folded to sewn",
    ]
    assert read.role() is QAccessible.Role.Slider
    assert read.text(QAccessible.Text.Name) == "From flat to filled"
