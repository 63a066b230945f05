"""Boxes that tell, the log, and what happens on an error that nobody expected."""

import logging
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer, qInstallMessageHandler, qWarning
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QMessageBox
from pytestqt.qtbot import QtBot

from app.messages import LOG_BYTES, LOG_FILES, log_folder, start_log, tell, tell_bugs


@pytest.fixture
def log(tmp_path: Path) -> Iterator[Path]:
    root = logging.getLogger()
    before = list(root.handlers)
    hooks = sys.excepthook, sys.unraisablehook, threading.excepthook
    kept = qInstallMessageHandler(None)
    start_log(tmp_path / "log")
    yield tmp_path / "log" / "cornerwright.log"
    qInstallMessageHandler(kept)
    sys.excepthook, sys.unraisablehook, threading.excepthook = hooks
    for handler in [each for each in root.handlers if each not in before]:
        root.removeHandler(handler)
        handler.close()


class Hand:
    """Presses buttons in the box that is open, as soon as one is."""

    def __init__(self, *buttons: str) -> None:
        self.seen: list[str] = []
        self._buttons = list(buttons)
        self._timer = QTimer(interval=5)
        self._timer.timeout.connect(self._press)
        self._timer.start()

    def _press(self) -> None:
        box = QApplication.activeModalWidget()
        if not isinstance(box, QMessageBox):
            return
        if not self._buttons:
            self._timer.stop()
            return
        self.seen.append(box.text())
        wanted = self._buttons.pop(0)
        next(each for each in box.buttons() if each.text().replace("&", "") == wanted).click()


def test_what_is_told_can_be_copied_and_the_box_stays_for_it(qtbot: QtBot) -> None:
    hand = Hand("Copy", "Close")
    tell(None, "It cannot be.", details="line 1")
    assert hand.seen == ["It cannot be.", "It cannot be."]
    assert QGuiApplication.clipboard().text() == "It cannot be.\n\nline 1"


def test_an_unexpected_error_is_logged_and_told_once(
    qtbot: QtBot, log: Path, caplog: pytest.LogCaptureFixture
) -> None:
    tell_bugs()
    hand = Hand("Close")
    try:
        raise ZeroDivisionError("a bug")
    except ZeroDivisionError as error:
        sys.excepthook(type(error), error, error.__traceback__)
    assert len(hand.seen) == 1
    assert "save it under another name" in hand.seen[0]
    text = log.read_text(encoding="utf-8")
    assert "ZeroDivisionError: a bug" in text
    assert "Traceback" in text
    caplog.clear()


def test_an_error_in_a_thread_is_logged_and_told_with_what_is_needed_to_mend_it(
    qtbot: QtBot, log: Path, caplog: pytest.LogCaptureFixture
) -> None:
    tell_bugs()
    hand = Hand("Copy", "Close")

    def fail() -> None:
        raise ZeroDivisionError("a bug in a thread")

    thread = threading.Thread(target=fail)
    thread.start()
    thread.join()
    qtbot.waitUntil(lambda: len(hand.seen) == 2)
    copied = QGuiApplication.clipboard().text()
    assert "ZeroDivisionError: a bug in a thread" in copied
    assert "Python 3." in copied
    assert str(log_folder()) in copied
    assert "a bug in a thread" in log.read_text(encoding="utf-8")
    caplog.clear()


def test_an_error_that_cannot_be_raised_is_logged(
    qtbot: QtBot, log: Path, caplog: pytest.LogCaptureFixture
) -> None:
    class Careless:
        def __del__(self) -> None:
            raise ZeroDivisionError("a bug at the end")

    tell_bugs()
    careless = Careless()
    del careless
    assert "a bug at the end" in log.read_text(encoding="utf-8")
    caplog.clear()


def test_the_log_is_turned_over(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    root = logging.getLogger()
    before = list(root.handlers)
    kept = qInstallMessageHandler(None)
    start_log(tmp_path / "log")
    qInstallMessageHandler(kept)
    fresh = [each for each in root.handlers if each not in before]
    for each in fresh:
        if type(each) is logging.StreamHandler:
            root.removeHandler(each)  # the test's own output stays readable
    for _ in range(3 * LOG_FILES):
        logging.getLogger("cornerwright").error("x" * (LOG_BYTES // 2))
    for each in fresh:
        root.removeHandler(each)
        each.close()
    files = sorted((tmp_path / "log").iterdir())
    assert len(files) == LOG_FILES + 1
    assert all(each.stat().st_size <= LOG_BYTES for each in files)
    caplog.clear()


def test_what_is_told_is_no_markup(qtbot: QtBot) -> None:
    hand = Hand("Close")
    formats = []

    def look() -> None:
        box = QApplication.activeModalWidget()
        if isinstance(box, QMessageBox):
            formats.append(box.textFormat())

    timer = QTimer(interval=1)
    timer.timeout.connect(look)
    timer.start()
    tell(None, "<b>bold</b>.json is not there")
    timer.stop()
    assert hand.seen == ["<b>bold</b>.json is not there"]
    assert set(formats) == {Qt.TextFormat.PlainText}


def test_what_qt_says_goes_into_the_log(
    qapp: QApplication, log: Path, caplog: pytest.LogCaptureFixture
) -> None:
    qWarning("a thread is late")
    assert "a thread is late" in log.read_text(encoding="utf-8")
    caplog.clear()


def test_a_log_that_cannot_be_written_does_not_keep_the_window_from_opening(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "log").write_text("a file, not a folder")
    root = logging.getLogger()
    before = list(root.handlers)
    kept = qInstallMessageHandler(None)
    start_log(tmp_path / "log")
    qInstallMessageHandler(kept)
    assert "no log can be written" in caplog.text
    for handler in [each for each in root.handlers if each not in before]:
        root.removeHandler(handler)
    caplog.clear()
