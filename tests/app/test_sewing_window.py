"""The order of sewing along the maker's path through the whole window, by menu and by key."""

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.dialogs.weight import LoadDialog
from app.session.document import NO_HIGHLIGHT
from app.window.main_window import MainWindow
from tests.app.sessions import session_on
from tests.ids import PIECES

WAIT = 120_000


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    store = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    made = MainWindow(session_on(store=store))
    made.show()
    qtbot.waitExposed(made)
    yield made
    made.document.mark_saved(Path("mine.json"))
    made.close()
    made.deleteLater()


def test_keys_open_the_tab_then_go_tick_and_come_back(window: MainWindow, qtbot: QtBot) -> None:
    pane = window.sewing
    assert not pane.isVisible()
    window.commands["next_step"].trigger()
    assert pane.isVisible()
    assert pane.tab.number == 1, "the first press only shows where the work stands"
    assert window.document.highlighted.pieces == (PIECES["panel"],)
    window.commands["tick_step"].trigger()
    window.commands["next_step"].trigger()
    window.commands["previous_step"].trigger()
    assert pane.tab.number == 2
    window.document.set_figures({"front_trim": 30.0}, "Front trim")
    window.commands["undo"].trigger()
    assert len(window.document.project.ticked) == 1, "undoing the bag leaves what is sewn"
    assert not window.document.saved
    window.tabs.setCurrentWidget(window.changes)
    assert window.document.highlighted == NO_HIGHLIGHT


@pytest.mark.parametrize("key", ["join zip back", "join corner seam left"])
def test_on_a_small_screen_a_step_is_read_beside_its_drawing(
    window: MainWindow, qtbot: QtBot, key: str
) -> None:
    """Above the words half of the drawing, and none of the words, would be in sight."""
    window.resize(1280, 720)
    window.commands["sewing_order"].trigger()
    tab = window.sewing.tab
    tab.show_step(1 + [row.key for row in tab.model.rows].index(key))
    qtbot.wait(50)
    detail = tab.detail
    words = detail._do.itemAt(0).widget()
    at = detail.drawing.geometry()
    assert at.left() > words.geometry().right()
    assert at.bottom() <= detail.viewport().height() + 40


def test_the_tab_has_room_and_gives_it_back(window: MainWindow, qtbot: QtBot) -> None:
    before = window._below.sizes(), window._right.sizes()
    window.commands["sewing_order"].trigger()
    assert window._right.sizes()[1] > before[1][1] + 100
    assert window.sewing.tab.list.hasFocus()
    window.tabs.setCurrentWidget(window.changes)
    assert (window._below.sizes(), window._right.sizes()) == before


def test_a_load_of_water_is_found_below_the_drawings(window: MainWindow, qtbot: QtBot) -> None:
    def fill() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, LoadDialog)
        # As a bag that was asked for before and comes while the dialog is open.
        window.document.set_figures({"front_trim": 30.0}, "Front trim")
        for name, text in (("density", "2.5"), ("safety", "14")):
            dialog.fields[name].selectAll()
            qtbot.keyClicks(dialog.fields[name], text)
        qtbot.keyClick(dialog, Qt.Key.Key_Return)

    QTimer.singleShot(0, fill)
    window.commands["edit_load"].trigger()
    assert window.document.undo_stack.undoText() == "Load and thread"
    assert window.document.bag.body.front_trim == 30.0, "the load alone is another"
    rows = window.findings.rows
    qtbot.waitUntil(
        lambda: bool(rows) and not rows[0].isHidden() and "One handle may" in rows[0].sentence,
        timeout=WAIT,
    )
    qtbot.mouseClick(rows[0], Qt.MouseButton.LeftButton)
    window.commands["undo"].trigger()
    qtbot.waitUntil(lambda: "One handle may" not in rows[0].sentence, timeout=WAIT)


def test_closing_ends_the_work(window: MainWindow, qtbot: QtBot) -> None:
    works = (window.session.load.work, window.booklet.work)
    gate = threading.Event()
    for work in works:
        work.ask("a question", lambda _hear: gate.wait(WAIT / 1000))
    assert all(work.busy for work in works)
    window.close()
    still = [work.busy for work in works]
    gate.set()
    assert still == [False, False]
