"""Boxes that tell, the log, and what happens on an error that nobody expected."""

import logging
import os
import stat
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QObject, Qt, QThread, QTimer, qInstallMessageHandler, qWarning
from PySide6.QtGui import QGuiApplication, QPaintEvent
from PySide6.QtWidgets import QApplication, QDialog, QMessageBox, QProgressDialog, QWidget
from pytestqt.qtbot import QtBot

from app.widgets.dialog import tell
from app.window import error_log as messages
from app.window.error_log import LOG_BYTES, LOG_FILES, LogHandler, log_folder, start_log, tell_bugs


@contextmanager
def own_log(folder: Path) -> Iterator[None]:
    """The log lies in the folder meanwhile."""
    root = logging.getLogger()
    before = list(root.handlers)
    kept = qInstallMessageHandler(None)
    start_log(folder)
    try:
        yield
    finally:
        qInstallMessageHandler(kept)
        for handler in [each for each in root.handlers if each not in before]:
            root.removeHandler(handler)
            handler.close()


@pytest.fixture
def log(tmp_path: Path) -> Iterator[Path]:
    hooks = sys.excepthook, sys.unraisablehook, threading.excepthook
    with own_log(tmp_path / "log"):
        yield tmp_path / "log" / "cornerwright.log"
    sys.excepthook, sys.unraisablehook, threading.excepthook = hooks


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


@pytest.mark.skipif(os.name == "nt", reason="a file there takes after its folder")
def test_nobody_else_can_read_the_log(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    """It holds names and paths; what an earlier program left open is closed, too."""
    folder = tmp_path / "log"
    folder.mkdir()
    for number in (1, 2):
        (folder / f"cornerwright.log.{number}").write_text("older")
        (folder / f"cornerwright.log.{number}").chmod(0o644)
    mask = os.umask(0)
    try:
        with own_log(folder):
            modes = {each.name: stat.S_IMODE(each.stat().st_mode) for each in folder.iterdir()}
            assert len(modes) == 1 + LOG_FILES
            assert set(modes.values()) == {0o600}
            for _ in range(LOG_FILES + 2):
                logging.getLogger("cornerwright").error("x" * (LOG_BYTES * 3 // 4))
    finally:
        os.umask(mask)
    assert {each.read_text()[-2:] for each in folder.iterdir()} == {"x\n"}, "all are new"
    assert {stat.S_IMODE(each.stat().st_mode) for each in folder.iterdir()} == {0o600}
    caplog.clear()


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


def test_an_error_in_a_thread_is_logged_and_told_with_what_is_needed_to_fix_it(
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
    with own_log(tmp_path / "log"):
        root = logging.getLogger()
        for each in [each for each in root.handlers if type(each) is logging.StreamHandler]:
            root.removeHandler(each)  # the test's own output stays readable
        for _ in range(3 * LOG_FILES):
            logging.getLogger("cornerwright").error("x" * (LOG_BYTES // 2))
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
    with own_log(tmp_path / "log"):
        pass
    assert "no log can be written" in caplog.text
    caplog.clear()


# --- many errors, and errors in odd places --------------------------------------------------------


class Closer:
    """Closes each box as soon as it is there; keeps the titles of what they stood over."""

    def __init__(self) -> None:
        self.over: list[str] = []
        self._timer = QTimer(interval=5)
        self._timer.timeout.connect(self._close)
        self._timer.start()

    def stop(self) -> None:
        self._timer.stop()

    def _close(self) -> None:
        box = QApplication.activeModalWidget()
        if isinstance(box, QMessageBox) and box.isVisible():
            below = box.windowHandle().transientParent()
            self.over.append("" if below is None else below.title())
            box.reject()


def raising(name: str) -> Callable[[], None]:
    """A function that fails, in a file of that name."""
    room: dict[str, Callable[[], None]] = {}
    exec(compile("def fail():\n    raise ValueError('a bug')", name, "exec"), room)
    return room["fail"]


def flood(fail: Callable[[], None]) -> QTimer:
    timer = QTimer(interval=10)
    timer.timeout.connect(fail)
    timer.start()
    return timer


@pytest.fixture
def closer(qtbot: QtBot, log: Path) -> Iterator[Closer]:
    tell_bugs()
    closer = Closer()
    yield closer
    closer.stop()


def test_a_flood_of_one_error_is_told_once_and_counted_in_the_log(
    closer: Closer,
    qtbot: QtBot,
    caplog: pytest.LogCaptureFixture,
    log: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(messages, "QUIET", 0.0)
    met = []

    def fail() -> None:
        met.append(1)
        raise ValueError("a bug")

    timer = flood(fail)
    qtbot.waitUntil(lambda: len(met) > 70, timeout=120_000)
    timer.stop()
    qtbot.wait(50)
    assert len(closer.over) == 1
    text = log.read_text(encoding="utf-8")
    assert text.count("Traceback") == 1
    assert "64 times by now: ValueError: a bug (" in text
    assert f"{Path(__file__).name}, line " in text
    assert text.count("times by now") == 6  # 2, 4, 8, 16, 32, 64
    caplog.clear()


def test_a_flood_of_different_errors_opens_one_box_and_all_are_in_the_log(
    closer: Closer, qtbot: QtBot, caplog: pytest.LogCaptureFixture, log: Path
) -> None:
    fails = [raising(f"place {number}.py") for number in range(40)]
    left = list(fails)
    timer = flood(lambda: left.pop()() if left else None)
    qtbot.waitUntil(lambda: not left, timeout=120_000)
    timer.stop()
    qtbot.wait(50)
    assert len(closer.over) == 1
    text = log.read_text(encoding="utf-8")
    for number in range(40):
        assert f"place {number}.py" in text
    caplog.clear()


def test_another_error_is_told_when_it_was_quiet_for_a_while(
    closer: Closer, qtbot: QtBot, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(messages, "QUIET", 0.2)
    QTimer.singleShot(0, raising("one.py"))
    qtbot.waitUntil(lambda: len(closer.over) == 1)
    QTimer.singleShot(0, raising("two.py"))  # too soon
    qtbot.wait(300)
    assert len(closer.over) == 1
    QTimer.singleShot(0, raising("one.py"))  # told before
    QTimer.singleShot(0, raising("two.py"))  # not told before
    qtbot.waitUntil(lambda: len(closer.over) == 2)
    caplog.clear()


def test_errors_below_an_open_box_are_logged_and_open_no_other(
    qtbot: QtBot, log: Path, caplog: pytest.LogCaptureFixture
) -> None:
    tell_bugs()
    seen: list[int] = []

    def look() -> None:
        boxes = [each for each in QApplication.topLevelWidgets() if isinstance(each, QMessageBox)]
        seen.append(len([each for each in boxes if each.isVisible()]))
        QApplication.closeAllWindows()

    QTimer.singleShot(0, raising("one.py"))
    QTimer.singleShot(50, raising("two.py"))
    QTimer.singleShot(150, look)
    qtbot.wait(400)
    assert seen == [1]
    assert "two.py" in log.read_text(encoding="utf-8")
    caplog.clear()


def test_an_error_in_a_dialog_is_told_over_it(
    closer: Closer, qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    dialog = QDialog()
    qtbot.addWidget(dialog)
    dialog.setWindowTitle("Layers")
    QTimer.singleShot(0, raising("one.py"))
    QTimer.singleShot(300, dialog.reject)
    dialog.exec()
    assert closer.over == ["Layers"]
    caplog.clear()


def test_an_error_beside_shown_work_is_told_and_stays_when_the_work_ends(
    qtbot: QtBot, log: Path, caplog: pytest.LogCaptureFixture
) -> None:
    tell_bugs()
    window = QWidget()
    qtbot.addWidget(window)
    window.show()
    work = QProgressDialog("Writing", "Cancel", 0, 100, window)
    work.setWindowModality(Qt.WindowModality.WindowModal)
    work.setMinimumDuration(0)
    work.show()
    seen: list[bool] = []

    def end_work() -> None:
        work.close()
        work.deleteLater()

    def look() -> None:
        box = QApplication.activeModalWidget()
        seen.append(isinstance(box, QMessageBox) and box.isVisible())
        QApplication.closeAllWindows()

    QTimer.singleShot(0, raising("one.py"))
    QTimer.singleShot(100, end_work)
    QTimer.singleShot(200, look)
    qtbot.wait(400)
    assert seen == [True]
    caplog.clear()


def test_a_box_goes_with_the_dialog_that_it_stands_over(qtbot: QtBot) -> None:
    dialog = QDialog()
    QTimer.singleShot(50, dialog.deleteLater)
    guard = QTimer(singleShot=True, interval=5_000)
    guard.timeout.connect(QApplication.closeAllWindows)
    guard.start()
    tell(dialog, "It cannot be.")
    assert guard.isActive()


def test_an_error_in_painting_is_told_once_and_after_it(
    qtbot: QtBot, log: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Broken(QWidget):
        painted = 0

        def paintEvent(self, event: QPaintEvent) -> None:
            self.painted += 1
            raise ValueError("cannot paint")

    tell_bugs()
    widget = Broken()
    qtbot.addWidget(widget)
    in_painting: list[bool] = []
    painting = Qt.WidgetAttribute.WA_WState_InPaintEvent
    monkeypatch.setattr(
        "app.widgets.dialog.tell",
        lambda *words, **more: in_painting.append(widget.testAttribute(painting)),
    )
    widget.show()
    timer = flood(widget.update)
    qtbot.waitUntil(lambda: widget.painted > 5, timeout=120_000)
    timer.stop()
    assert in_painting == [False]
    assert "cannot paint" in log.read_text(encoding="utf-8")
    caplog.clear()


def test_an_error_in_an_event_filter_is_logged_and_told(
    closer: Closer, qtbot: QtBot, caplog: pytest.LogCaptureFixture, log: Path
) -> None:
    class Broken(QObject):
        def eventFilter(self, watched: QObject, event: QEvent) -> bool:
            raise ValueError("cannot filter")

    widget, broken = QWidget(), Broken()
    qtbot.addWidget(widget)
    widget.show()
    widget.installEventFilter(broken)
    QTimer.singleShot(0, lambda: widget.resize(300, 200))
    qtbot.waitUntil(lambda: len(closer.over) == 1, timeout=120_000)
    widget.removeEventFilter(broken)
    assert "cannot filter" in log.read_text(encoding="utf-8")
    caplog.clear()


def test_an_error_in_a_thread_of_qt_is_logged_and_told(
    closer: Closer, qtbot: QtBot, caplog: pytest.LogCaptureFixture, log: Path
) -> None:
    class Broken(QThread):
        def run(self) -> None:
            raise ValueError("cannot run")

    thread = Broken()
    thread.start()
    assert thread.wait(10_000)
    qtbot.waitUntil(lambda: len(closer.over) == 1, timeout=120_000)
    assert "cannot run" in log.read_text(encoding="utf-8")
    caplog.clear()


# --- a log that cannot be written -----------------------------------------------------------------


def test_a_log_file_that_cannot_be_written_is_told_once(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "log" / "cornerwright.log").mkdir(parents=True)  # nothing can be appended to it
    with own_log(tmp_path / "log"):
        for _ in range(3):
            logging.getLogger("cornerwright").error("said")
    assert caplog.text.count("no log can be written") == 1
    told = capsys.readouterr().err
    assert told.count("said") == 3
    assert "Traceback" not in told
    caplog.clear()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a file that is always full")
def test_a_log_that_fails_later_is_told_once_and_tried_again(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "log").mkdir()
    path = tmp_path / "log" / "cornerwright.log"
    path.symlink_to("/dev/full")
    said = logging.getLogger("cornerwright")
    with own_log(tmp_path / "log"):
        for _ in range(3):
            said.error("said")
        told = capsys.readouterr().err
        assert told.count("said") == 3
        assert told.count("the log cannot be written") == 1
        assert "Traceback" not in told
        path.unlink()
        [handler] = [each for each in logging.getLogger().handlers if type(each) is LogHandler]
        # As a file's name may be; other handlers of the test's could not keep it.
        handler.handle(logging.makeLogRecord({"msg": "written \udc80"}))
    assert "written \\udc80" in path.read_text(encoding="utf-8")
    caplog.clear()
