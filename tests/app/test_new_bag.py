"""New from a size, along the maker's path through the window."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QApplication, QDialogButtonBox, QScrollArea
from pytestqt.qtbot import QtBot

from app.dialogs.new_bag import NewBagDialog
from app.session.display import Display
from app.session.session import Unsaved
from core.base.units import Unit
from core.storage.bag_files import demo_bag
from core.tops.hem.hem import Hem
from tests.app.hands import Hands
from tests.helpers import inch


def in_dialog(hands: Hands, do: Callable[[NewBagDialog], None]) -> None:
    """Open the dialog from the menu, and do something in it that closes it."""

    def when_open() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, NewBagDialog)
        try:
            do(dialog)
        except BaseException:
            dialog.reject()
            raise

    QTimer.singleShot(0, hands.window, when_open)
    hands.window.commands["new_bag"].trigger()


def type_size(qtbot: QtBot, dialog: NewBagDialog, name: str, text: str) -> None:
    box = dialog.boxes[name]
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, text)
    qtbot.keyClick(box, Qt.Key.Key_Tab)


def choose(box: object, data: object) -> None:
    box.setCurrentIndex(box.findData(data))  # type: ignore[attr-defined]


def test_a_new_bag_comes_from_three_sizes_unsaved(hands: Hands, qtbot: QtBot) -> None:
    def fill(dialog: NewBagDialog) -> None:
        assert dialog.boxes["base_width"].text() == "11 in"
        choose(dialog.unit, Unit.CM)
        assert dialog.boxes["base_width"].text() == "28 cm", "on the ruler of the unit"
        choose(dialog.choices["bottom"], "seam")
        choose(dialog.top, "hem")
        type_size(qtbot, dialog, "base_width", "30")
        type_size(qtbot, dialog, "gusset_depth", "5 in")
        type_size(qtbot, dialog, "face_height", "32")
        assert "Front and back " in dialog.verdict.text()
        dialog.accept()

    hands.type("front_trim", "1")
    in_dialog(hands, fill)
    assert hands.answers.asked == ["unsaved"]
    assert hands.document.bag != demo_bag(), "the unsaved bag was not given up"
    assert isinstance(hands.document.bag.top, type(demo_bag().top))
    hands.answers.leaving = Unsaved.DISCARD
    in_dialog(hands, fill)
    document = hands.document
    for name, size in (("base_width", 300.0), ("gusset_depth", inch(5)), ("face_height", 320.0)):
        assert hands.finished[name] == pytest.approx(size, abs=1e-6)
    assert hands.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)
    assert not document.bag.body.folded
    assert isinstance(document.bag.top, Hem)
    assert (document.path, document.saved) == (None, False)
    assert document.bag.name == "New bag"
    assert hands.window.display.unit is Unit.CM
    assert hands.window.isWindowModified()


def test_a_new_bag_may_be_sewn_across_its_corners(hands: Hands) -> None:
    def fill(dialog: NewBagDialog) -> None:
        corners = dialog.choices["corners"]
        assert [corners.itemText(row) for row in range(corners.count())] == [
            "Cut out",
            "Sewn across",
        ]
        assert dialog.made is not None
        assert not dialog.made.result.bag.body.sewn_across
        choose(corners, "sewn-across")
        dialog.accept()

    in_dialog(hands, fill)
    assert hands.document.bag.body.sewn_across
    depth = hands.finished["gusset_depth"]
    assert hands.document.bag.body.corner_mark == pytest.approx(depth / 2)


def test_what_cannot_be_is_said_while_it_is_typed(hands: Hands, qtbot: QtBot) -> None:
    dialog = NewBagDialog(Display())
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    ok = dialog.findChild(QDialogButtonBox).button(QDialogButtonBox.StandardButton.Ok)
    assert ok.isEnabled()
    type_size(qtbot, dialog, "gusset_depth", "1/2")
    assert "Gusset depth" in dialog.verdict.text()
    assert not ok.isEnabled()
    type_size(qtbot, dialog, "gusset_depth", "much")
    assert dialog.verdict.text() == dialog.boxes["gusset_depth"].problem
    assert not ok.isEnabled()
    type_size(qtbot, dialog, "gusset_depth", "6 3/4")
    type_size(qtbot, dialog, "base_width", "+1")
    assert dialog.verdict.text().startswith("Base width: 11 in + 1 in = 12 in\nPanel ")
    for name in dialog.boxes:
        type_size(qtbot, dialog, name, "3")
    assert dialog.verdict.text().startswith("Panel "), "nothing was reckoned any more"
    assert ok.isEnabled()
    assert dialog.verdict.text().endswith("Left out, as there is no room for it: pocket.")
    for name, size in (("base_width", "13 1/2"), ("gusset_depth", "30"), ("face_height", "15.7")):
        type_size(qtbot, dialog, name, size)
    area = dialog.findChild(QScrollArea)
    assert area is not None
    qtbot.wait(20)
    assert area.verticalScrollBar().maximum() == 0, f"all is in sight: {dialog.verdict.text()}"
    choose(dialog.unit, Unit.CM)
    assert dialog.boxes["base_width"].text() == "34.29 cm", "what was typed stays"
