"""What stands typed in a field counts, whatever is done next."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.questions import Unsaved
from core.bagfile import read_bag
from tests.app.hands import Hands

CONTROL = Qt.KeyboardModifier.ControlModifier
BEFORE, TYPED = 76.2, 88.9  # 3 in and 3 1/2 in, mm


@pytest.fixture(autouse=True)
def typed(hands: Hands, qtbot: QtBot) -> None:
    """A new corner cut depth is typed and not yet taken."""
    box = hands.box("corner_cut_depth")
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "3 1/2")
    assert hands.document.bag.panel.corner_depth == BEFORE, "it is read after a pause only"


def test_a_save_by_key_saves_it(hands: Hands, qtbot: QtBot, tmp_path: Path) -> None:
    hands.answers.saved = tmp_path / "mine.json"
    qtbot.keyClick(hands.box("corner_cut_depth"), Qt.Key.Key_S, CONTROL)
    assert read_bag(tmp_path / "mine.json").panel.corner_depth == TYPED
    assert hands.document.saved


def test_closing_asks_about_it(hands: Hands) -> None:
    hands.answers.leaving = Unsaved.CANCEL
    hands.window.close()
    assert hands.answers.asked == ["unsaved"]
    assert hands.window.isVisible()
    assert hands.document.bag.panel.corner_depth == TYPED


def test_a_menu_undoes_it_and_nothing_before(hands: Hands) -> None:
    document = hands.document
    document.replace_project(document.project.with_variant("as it was", document.bag), "keep")
    hands.undo()
    assert len(document.project.variants) == 1
    assert hands.document.bag.panel.corner_depth == BEFORE
    assert hands.document.undo_stack.canRedo()
    assert hands.box("corner_cut_depth").text() == "3 in"


def test_a_variant_opened_from_the_menu_comes_after_it(hands: Hands) -> None:
    document, keeping = hands.document, hands.window.keeping
    document.replace_project(document.project.with_variant("as it was", document.bag), "keep")
    hands.window.menus.variants.aboutToShow.emit()
    *_, variant = hands.window.menus.variants.actions()
    variant.trigger()
    assert document.bag.panel.corner_depth == BEFORE
    assert [kept.name for kept in keeping.variants if keeping.lies_open(kept)] == ["as it was"]
    hands.undo()
    assert document.bag.panel.corner_depth == TYPED


def test_what_cannot_be_read_stays_typed_and_the_bag_is_saved(
    hands: Hands, qtbot: QtBot, tmp_path: Path
) -> None:
    box = hands.box("corner_cut_depth")
    qtbot.keyClicks(box, "x")
    hands.answers.saved = tmp_path / "mine.json"
    qtbot.keyClick(box, Qt.Key.Key_S, CONTROL)
    assert read_bag(tmp_path / "mine.json").panel.corner_depth == BEFORE
    assert box.text() == "3 1/2x"
    assert box.problem
