"""What stands typed in a field counts, whatever is done next."""

from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.session.session import Unsaved
from core.storage.bag_files import demo_bag
from tests.app.hands import Hands
from tests.helpers import inch, read_bag, write_bag

CONTROL = Qt.KeyboardModifier.ControlModifier
BEFORE, TYPED = 76.2, 88.9  # 3 in and 3 1/2 in, mm


@pytest.fixture(autouse=True)
def typed(hands: Hands, qtbot: QtBot) -> None:
    """A new corner cut depth is typed and not yet taken."""
    box = hands.box("corner_cut_depth")
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "3 1/2")
    assert hands.document.bag.body.corner_depth == BEFORE, "it is read after a pause only"


def test_a_save_by_key_saves_it(hands: Hands, qtbot: QtBot, tmp_path: Path) -> None:
    hands.answers.saved = tmp_path / "mine.json"
    qtbot.keyClick(hands.box("corner_cut_depth"), Qt.Key.Key_S, CONTROL)
    assert read_bag(tmp_path / "mine.json").body.corner_depth == TYPED
    assert hands.document.saved


def test_closing_asks_about_it(hands: Hands) -> None:
    hands.answers.leaving = Unsaved.CANCEL
    hands.window.close()
    assert hands.answers.asked == ["unsaved"]
    assert hands.window.isVisible()
    assert hands.document.bag.body.corner_depth == TYPED


def test_a_menu_undoes_it_and_nothing_before(hands: Hands) -> None:
    document = hands.document
    document.set_figures({"front_trim": 30.0}, "Front trim")
    hands.undo()
    assert document.bag.body.front_trim == 30.0
    assert hands.document.bag.body.corner_depth == BEFORE
    assert hands.box("corner_cut_depth").text() == "3 in"
    assert document.undo_stack.index() == document.undo_stack.count() == 1


def test_a_variant_opened_from_the_menu_comes_after_it(hands: Hands) -> None:
    document, keeping = hands.document, hands.window.variants
    document.keep(document.project.with_variant("as it was", document.bag))
    hands.window.menus.variants.aboutToShow.emit()
    *_, variant = hands.window.menus.variants.actions()
    variant.trigger()
    assert document.bag.body.corner_depth == BEFORE
    assert [kept.name for kept in keeping.variants if keeping.is_present(kept)] == ["as it was"]
    hands.undo()
    assert document.bag.body.corner_depth == TYPED


def test_what_cannot_be_read_stays_typed_and_the_bag_is_saved(
    hands: Hands, qtbot: QtBot, tmp_path: Path
) -> None:
    box = hands.box("corner_cut_depth")
    qtbot.keyClicks(box, "x")
    hands.answers.saved = tmp_path / "mine.json"
    qtbot.keyClick(box, Qt.Key.Key_S, CONTROL)
    assert read_bag(tmp_path / "mine.json").body.corner_depth == BEFORE
    assert box.text() == "3 1/2x"
    assert box.problem


def test_undo_by_key_after_the_pause_is_the_documents(hands: Hands, qtbot: QtBot) -> None:
    box, document = hands.box("corner_cut_depth"), hands.document
    qtbot.waitUntil(lambda: document.bag.body.corner_depth == TYPED)
    for _ in range(2):
        qtbot.keyClick(box, Qt.Key.Key_Z, CONTROL)
    assert document.bag.body.corner_depth == BEFORE
    assert (document.undo_stack.count(), document.undo_stack.index()) == (1, 0)
    assert box.text() == "3 in"


def test_undo_by_key_before_the_pause_is_the_texts(hands: Hands, qtbot: QtBot) -> None:
    box = hands.box("corner_cut_depth")
    qtbot.keyClick(box, Qt.Key.Key_Z, CONTROL)
    assert box.text() != "3 1/2"
    assert hands.document.undo_stack.count() == 0


@pytest.mark.parametrize("name", ["gusset_depth", "box_volume", "panel_width"])
def test_a_text_typed_and_taken_back_asks_for_nothing(
    hands: Hands, qtbot: QtBot, name: str
) -> None:
    # With corners apart, and with volumes cut to two decimals, it would not be the same bag.
    hands.box("corner_cut_depth").finish_text()
    document, box = hands.document, hands.box(name)
    before, shown = document.bag, box.text()
    box.setFocus()
    box.lineEdit().end(False)
    qtbot.keyClicks(box, "x")
    qtbot.keyClick(box, Qt.Key.Key_Backspace)
    qtbot.keyClick(box, Qt.Key.Key_Return)
    assert box.text() == shown
    assert document.bag is before
    assert document.undo_stack.count() == 1


def test_a_fix_that_is_pressed_is_the_one_that_is_made(hands: Hands, qtbot: QtBot) -> None:
    document, findings = hands.document, hands.window.findings
    box = hands.box("corner_cut_depth")
    box.revert_text()
    document.set_figures({"board_width": inch(12)}, "Board width")
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "3 1/2")
    findings.refresh()
    button = findings.rows[0].fix_buttons[0]
    said = button.text().replace("\n", " ")
    assert said.startswith("Cut the board")
    # As a hand does it: what is typed is taken on the press, which makes a worse finding.
    qtbot.mousePress(button, Qt.MouseButton.LeftButton)
    qtbot.wait(60)
    qtbot.mouseRelease(button, Qt.MouseButton.LeftButton)
    stack = document.undo_stack
    assert [stack.text(place) for place in range(stack.count())][1:] == ["Corner cut depth", said]
    qtbot.waitUntil(lambda: "Make the corner cut" in findings.rows[0].fix_buttons[0].text())


def test_another_window_in_front_is_no_end_of_typing(hands: Hands, qtbot: QtBot) -> None:
    box = hands.box("corner_cut_depth")
    QApplication.sendEvent(
        box, QFocusEvent(QEvent.Type.FocusOut, Qt.FocusReason.ActiveWindowFocusReason)
    )
    assert box.text() == "3 1/2"
    assert hands.document.undo_stack.count() == 0
    qtbot.waitUntil(lambda: hands.document.bag.body.corner_depth == TYPED)


def test_what_was_refused_goes_with_the_bag_that_it_was_meant_for(
    hands: Hands, qtbot: QtBot, tmp_path: Path
) -> None:
    box = hands.box("corner_cut_depth")
    qtbot.keyClicks(box, "x")
    qtbot.keyClick(box, Qt.Key.Key_Return)
    assert box.problem
    write_bag(demo_bag(), tmp_path / "other.json")
    assert hands.window.files.open(tmp_path / "other.json")
    assert (box.text(), box.problem) == ("3 in", "")


def test_typed_and_taken_back_the_redo_is_the_bags_again(hands: Hands, qtbot: QtBot) -> None:
    """The text that is taken back is the one that stood: nothing else says that it changed."""
    box, redo = hands.box("corner_cut_depth"), hands.window.commands["redo"]
    while box.undoes_typing:
        hands.window.editing.undo()
    assert redo.isEnabled() and "typing" in redo.text()
    qtbot.waitUntil(lambda: not box.redoes_typing)
    assert not redo.isEnabled()
