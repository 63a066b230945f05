"""Notes come and go while numbers are typed: no row moves for them, and each is told."""

import threading

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QDialog
from pytestqt.qtbot import QtBot

from app.dialogs.take_up import TakeUpDialog
from app.session import redesigner
from app.views.measures.row import MeasureRow
from app.views.measures.rows import LONG_WAIT, WAITS
from core.bag.choices import without_part
from core.base.units import Unit
from tests.app.hands import Hands


def places(hands: Hands) -> dict[str, int]:
    """Where each row in sight begins, px from the top of the measures."""
    pane = hands.window.measures
    rows = pane.widget().findChildren(MeasureRow)
    return {
        row.field.objectName(): row.mapTo(pane, QPoint()).y() for row in rows if row.isVisible()
    }


@pytest.fixture
def small(hands: Hands, qtbot: QtBot) -> Hands:
    hands.window.resize(1280, 720)
    qtbot.waitUntil(lambda: hands.window.session.capacity.current, timeout=20_000)
    qtbot.wait(50)
    return hands


@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
def test_no_row_moves_for_what_is_told_of_one(  # noqa: PLR0915 - one window, asked much
    small: Hands, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, unit: Unit
) -> None:
    hands, foot = small, small.window.measures.foot
    hands.window.display.set_unit(unit)
    qtbot.wait(200)  # rows of another unit find their places one after the other
    at, told = places(hands), []

    def look(name: str) -> None:
        qtbot.wait(20)
        assert places(hands) == at, f"moved: {told}"
        told.append(foot.text)
        row = small.window.measures._row_of(name)
        assert row is not None and row.remark in foot.text
        assert foot.releases.isHidden() or foot.rect().contains(
            foot.releases.mapTo(foot, foot.releases.rect().bottomRight())
        ), "the buttons are in sight"

    hands.box("base_width").setFocus()
    hands.type("base_width", "abc")  # what cannot be read
    look("base_width")
    assert "Base width: " in foot.text
    hands.box("base_width").revert_text()
    look("base_width")
    hands.type("base_width", "10000 in")  # what cannot be
    look("base_width")
    assert foot.text == hands.box("base_width").problem
    qtbot.keyClick(hands.box("base_width"), Qt.Key.Key_Escape)
    look("base_width")
    hands.window.redesigner.set_rounding(True)
    hands.type("base_width", "11.03 in")  # what the ruler cost
    look("base_width")
    assert "what you asked for" in foot.text
    assert "what you asked for" in hands.box("base_width").accessibleDescription()
    assert "what you asked for" in hands.box("base_width").toolTip()
    hands.window.redesigner.set_rounding(False)
    hands.type("base_width", "+1/4 in")  # what a change came to
    look("base_width")
    assert "+ 1/4 in = " in foot.text
    for name in ("base_width", "gusset_depth"):
        hands.window.redesigner.pin(name, True)
    hands.window.measures.show_figure("corner_cut_depth")
    qtbot.wait(20)
    at = places(hands)
    hands.type("corner_cut_depth", "+1 in")  # a conflict, with a button
    look("corner_cut_depth")
    assert [button.isVisible() for button in foot.releases.buttons] == [True]
    hands.click(foot.releases.buttons[0])
    qtbot.waitUntil(lambda: not hands.box("corner_cut_depth").problem)
    look("corner_cut_depth")
    hands.window.measures.show_figure("filled_volume")
    qtbot.wait(20)
    at = places(hands)
    held = threading.Event()
    monkeypatch.setattr(redesigner, "answer", lambda *_: held.wait(20.0))
    hands.type("filled_volume", "20")  # what is on its way
    qtbot.wait(LONG_WAIT + 100)
    assert hands.window.redesigner.pending is not None, "it is held"
    assert hands.note("filled_volume").endswith(WAITS)
    look("filled_volume")
    held.set()
    hands.window.redesigner.close()


def test_a_bag_that_closes_again_has_its_rows_where_they_were(small: Hands, qtbot: QtBot) -> None:
    at, document = places(small), small.window.document
    document.replace_bag(without_part(document.bag, "zip"), "open")
    qtbot.wait(50)
    assert not {"filled_volume", "inside_filled_volume", "filled_over_box"} & set(places(small))
    document.undo_stack.undo()
    qtbot.wait(50)
    assert places(small) == at


def test_a_screen_reader_is_told_what_is_wrong(small: Hands) -> None:
    hands, box = small, small.box("base_width")
    hands.type("base_width", "abc")
    read = QAccessible.queryAccessibleInterface(box)
    assert read is not None
    assert read.text(QAccessible.Text.Description) == box.problem != ""
    assert box.problem.split(": ")[1] in box.toolTip()


def test_no_row_of_a_dialog_moves_for_what_is_wrong_in_one(hands: Hands, qtbot: QtBot) -> None:
    dialog: QDialog = TakeUpDialog(hands.document.project, hands.window.display, hands.window)
    assert isinstance(dialog, TakeUpDialog)
    dialog.resize(440, 720)
    dialog.show()
    qtbot.wait(20)
    boxes = dialog.rows.boxes
    at = [box.mapTo(dialog, QPoint()).y() for box in boxes.values()]
    box = boxes["base_width"]
    for text in ("abc", "10 3/4", "-1/4", "18 -1/2"):
        box.setFocus()
        box.selectAll()
        qtbot.keyClicks(box, text)
        qtbot.keyClick(box, Qt.Key.Key_Return)
        qtbot.wait(20)
        assert [each.mapTo(dialog, QPoint()).y() for each in boxes.values()] == at, text
        assert dialog.rows.told or text == "10 3/4"
    dialog.reject()
    dialog.deleteLater()
