"""The maker's hands in a program that is about to be ended: run in it, not in the tests."""

import time
from collections.abc import Callable

from PySide6.QtCore import QEvent, Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QFileDialog

from app.files.recovery import Recovery
from app.widgets.figure_box import FigureBox
from app.window.main_window import MainWindow
from core.base.progress import Progress
from tests.nursery import say

LONG_AFTER = 10_000_000
"""Milliseconds: no copy is written by itself."""


def begin(window: MainWindow, case: str) -> None:
    """Do what a case wants as soon as the window is kept safe."""
    timer = QTimer(window, interval=10)

    def look() -> None:
        recovery = window.findChild(Recovery)
        if recovery is not None and window.isVisible():
            timer.stop()
            recovery.autosave._soon.setInterval(LONG_AFTER)
            window.activateWindow()
            CASES[case](window)

    timer.timeout.connect(look)
    timer.start()


def _box(window: MainWindow) -> FigureBox:
    box = window.measures.cut_rows["panel_width"].box
    assert box is not None
    box.setFocus()
    return box


def _send(box: FigureBox, key: Qt.Key, text: str = "") -> None:
    for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
        event = QKeyEvent(kind, key, Qt.KeyboardModifier.NoModifier, text)
        QApplication.sendEvent(box, event)


def change(window: MainWindow) -> None:
    """Something that is not saved: 500 mm."""
    window.document.set_figures({"panel_width": 500.0}, "Panel width")


def type_half(window: MainWindow) -> None:
    """Half an inch typed, and no more: 20 in."""
    box = _box(window)
    box.lineEdit().selectAll()
    for sign in "20":
        _send(box, Qt.Key.Key_unknown, sign)
    say("ready")


def hold_key(window: MainWindow) -> None:
    """An arrow key held: 19 steps up, of which the last are not taken yet."""
    box = _box(window)
    box.throttled = True
    _send(box, Qt.Key.Key_Up)
    box.killTimer(box._until_painted)
    box._until_painted = box.startTimer(LONG_AFTER)
    for _ in range(18):
        _send(box, Qt.Key.Key_Up)
    say("ready")


def have_dialog_open(window: MainWindow) -> None:
    """Text half typed, and a dialog over it."""
    type_then(window, window.dialogs.show_about)


def have_question_open(window: MainWindow) -> None:
    """Asked whether to save, as the window closes."""
    change(window)
    type_then(window, window.close)


def have_file_box_open(window: MainWindow) -> None:
    """Asked where to save."""
    change(window)
    type_then(window, window.files.ask_save, QFileDialog)


def have_menu_open(window: MainWindow) -> None:
    """A menu hangs open."""
    change(window)
    menu = window.menus.variants
    menu.aboutToShow.connect(lambda: QTimer.singleShot(0, lambda: say("ready")))
    menu.exec()
    say("menu closed")


def type_then(window: MainWindow, open_box: Callable[[], object], kind: type = object) -> None:
    box = _box(window)
    box.lineEdit().selectAll()
    for sign in "20":
        _send(box, Qt.Key.Key_unknown, sign)
    timer = QTimer(window, interval=10)

    def look() -> None:
        if isinstance(QApplication.activeModalWidget(), kind):
            timer.stop()
            say("ready")

    timer.timeout.connect(look)
    timer.start()
    open_box()


def have_job_running(window: MainWindow) -> None:
    """Work of seconds goes on in its thread."""
    change(window)

    def job(hear: Progress) -> None:
        while hear(0.5):
            time.sleep(0.01)

    window.booklet.work.ask("for ever", job)
    say("ready")


def have_cutting_plan_running(window: MainWindow) -> None:
    """A process works out a cutting plan."""
    change(window)
    window.tabs.setCurrentWidget(window.cutting)
    QTimer.singleShot(300, lambda: say("ready"))


def be_saved(window: MainWindow) -> None:
    """Nothing was changed."""
    say("ready")


def be_busy(window: MainWindow) -> None:
    """The loop does not come round for long: one signal is not answered yet."""
    change(window)
    say("ready")
    time.sleep(100)


def end_session(window: MainWindow) -> None:
    """The desktop asks to keep what is to be kept, and the session goes on."""
    change(window)
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    app.commitDataRequest.emit(None)
    say("ready")


def stay_away(window: MainWindow) -> None:
    """The window is made, and does not show for long."""
    say("ready")
    time.sleep(100)


CASES: dict[str, Callable[[MainWindow], None]] = {
    each.__name__: each
    for each in (
        *(type_half, hold_key, have_dialog_open, have_question_open, have_file_box_open),
        *(have_menu_open, have_job_running, have_cutting_plan_running, be_saved, be_busy),
        end_session,
    )
}
