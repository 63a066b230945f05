"""The log, and what happens on a bug."""

import atexit
import logging
import math
import os
import sys
import threading
import time
import traceback
from collections import Counter
from io import TextIOWrapper
from pathlib import Path
from types import TracebackType
from typing import NamedTuple

from PySide6.QtCore import (
    QCoreApplication,
    QMessageLogContext,
    QObject,
    QStandardPaths,
    Qt,
    QtMsgType,
    Signal,
    qInstallMessageHandler,
    qVersion,
)
from PySide6.QtWidgets import QApplication, QWidget
from shiboken6 import isValid

from app.session.display import tr
from core.base.atomic_write import PRIVATE, close_to_others

LOG_BYTES = 400_000
LOG_FILES = 2
QUIET = 10.0
"""Seconds after a bug's box was closed in which none is opened: time to save."""

_log = logging.getLogger("cornerwright")
_qt_log = logging.getLogger("qt")
_QT_LEVELS = {
    QtMsgType.QtDebugMsg: logging.DEBUG,
    QtMsgType.QtInfoMsg: logging.INFO,
    QtMsgType.QtWarningMsg: logging.WARNING,
    QtMsgType.QtCriticalMsg: logging.ERROR,
    QtMsgType.QtFatalMsg: logging.CRITICAL,
}


def log_folder() -> Path:
    """Where the log lies on this platform."""
    place = QStandardPaths.StandardLocation.AppLocalDataLocation
    return Path(QStandardPaths.writableLocation(place)) / "log"


def open_log(
    path: Path | str, *, encoding: str | None = "utf-8", errors: str | None = None
) -> TextIOWrapper:
    """Open a log to write on in it; what is new is for its owner alone."""

    def create(name: str, flags: int) -> int:
        return os.open(name, flags, PRIVATE)

    return open(path, "a", encoding=encoding, errors=errors, opener=create)


class LogHandler(logging.Handler):
    """Hands what is told to the log's file, which is loaded and made with the first message.

    The library's comes with sockets and queues: a start of which there is nothing to tell does
    without.
    """

    def __init__(self, path: Path) -> None:
        super().__init__()
        self._path = path
        self._file: logging.Handler | None = None

    # The library's own names from here on.

    def emit(self, record: logging.LogRecord) -> None:
        if self._file is None:
            from app.window.log_file import LogFile

            self._file = LogFile(self._path, largest=LOG_BYTES, older=LOG_FILES)
            self._file.setFormatter(self.formatter)
        self._file.handle(record)

    def close(self) -> None:
        if self._file is not None:
            self._file.close()
        super().close()


def start_log(folder: Path) -> None:
    """Write Python's and Qt's messages into a rotating log, and errors to standard error."""
    root = logging.getLogger()
    form = logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s")
    handlers: list[logging.Handler] = []
    if sys.stderr is not None:  # a windowed start on Windows has none
        handlers.append(logging.StreamHandler())
    path = folder / "cornerwright.log"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        close_to_others(folder, f"{path.name}*")  # an earlier program left them to the umask
        open_log(path).close()  # it may be there and not be writable
        handlers.append(LogHandler(path))
    except OSError as error:
        _log.warning("no log can be written: %s", error)
    for handler in handlers:
        handler.setFormatter(form)
        handler.setLevel(logging.WARNING)
        root.addHandler(handler)
    qInstallMessageHandler(_on_qt_message)
    # Qt speaks until the process is gone, and unloads its plugins after Python: what it says
    # then must not go to a Python that is no more. This runs before PySide ends Qt's application.
    atexit.register(qInstallMessageHandler, None)


class _ErrorSource(NamedTuple):
    """Where an error comes from: what comes from there again is the same one."""

    kind: type[BaseException]
    file: str
    line: int


class _Bugs(QObject):
    """Errors that nobody expected: each place of them is logged in full and told once.

    The box is opened in the thread of the windows, and by its event loop: not in the middle
    of painting, nor where Qt waits for an answer. There is one box at a time and, once it is
    closed, none for a while, so that the bag can be saved even if an error comes at each
    frame. What was not told is in the log.
    """

    rung = Signal(object, str)

    def __init__(self) -> None:
        super().__init__(QCoreApplication.instance())
        self._met: Counter[_ErrorSource] = Counter()
        self._told: set[_ErrorSource] = set()
        self._is_open = False
        self._closed = -math.inf
        # To a method: its object's thread is the one in which it is called.
        self.rung.connect(self._on_rung, Qt.ConnectionType.QueuedConnection)

    def meet(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        """Log an error of any thread, and have it told if it is time to."""
        place = _place_of(kind, trace)
        with _counting:
            self._met[place] += 1
            times = self._met[place]
        if times == 1:
            _log.critical("unexpected error", exc_info=(kind, error, trace))
        elif times.bit_count() == 1:  # 2, 4, 8 ...: the log keeps room for what came first
            what = "".join(traceback.format_exception_only(kind, error)).strip()
            where = f"{place.file}, line {place.line}"
            _log.error("unexpected error, %d times by now: %s (%s)", times, what, where)
        if not isValid(self) or not self._may_tell(place):
            return
        details = f"{_surroundings()}\n{''.join(traceback.format_exception(kind, error, trace))}"
        if self.thread().isCurrentThread() and self.thread().loopLevel() == 0:
            self._on_rung(place, details)  # no loop would bring it: the program starts or ends
        else:
            self.rung.emit(place, details)

    def _may_tell(self, place: _ErrorSource) -> bool:
        is_quiet = self._is_open or time.monotonic() - self._closed < QUIET
        return not is_quiet and place not in self._told

    def _on_rung(self, place: _ErrorSource, details: str) -> None:
        # Others may have been told since this one was met.
        if QApplication.instance() is None or not self._may_tell(place):
            return
        self._told.add(place)
        self._is_open = True
        try:
            _tell_bug(details)
        finally:
            self._is_open, self._closed = False, time.monotonic()


_counting = threading.Lock()


def tell_bugs() -> None:
    """From now on, an error that nobody expected is logged and told; the window stays.

    That holds for errors in any thread; what goes wrong where nothing can be raised, while
    something is cleared away for one, is logged only.
    """
    bugs = _Bugs()

    def on_thread_bug(met: threading.ExceptHookArgs) -> None:
        if met.exc_type is not SystemExit and met.exc_value is not None:
            bugs.meet(met.exc_type, met.exc_value, met.exc_traceback)

    sys.excepthook = bugs.meet
    sys.unraisablehook = _on_unraisable
    threading.excepthook = on_thread_bug


def _on_qt_message(kind: QtMsgType, context: QMessageLogContext, text: str) -> None:
    where = f"{context.category}: " if context.category else ""
    _qt_log.log(_QT_LEVELS.get(kind, logging.WARNING), "%s%s", where, text)


def _on_unraisable(met: "sys.UnraisableHookArgs") -> None:
    error = met.exc_value or met.exc_type()
    where = f"{met.err_msg or 'error'} in {met.object!r}"
    _log.error("%s", where, exc_info=(met.exc_type, error, met.exc_traceback))


def _place_of(kind: type[BaseException], trace: TracebackType | None) -> _ErrorSource:
    """The innermost frame of an error."""
    if trace is None:
        return _ErrorSource(kind, "", 0)
    while trace.tb_next is not None:
        trace = trace.tb_next
    return _ErrorSource(kind, trace.tb_frame.f_code.co_filename, trace.tb_lineno)


def _surroundings() -> str:
    """What whoever fixes the program asks first."""
    import platform

    from app.about import program_version

    system, python = platform.platform(), platform.python_version()
    own = f"Cornerwright {program_version()}, Qt {qVersion()}, Python {python}"
    return f"{own}, {system}; log: {log_folder()}"


def _tell_bug(details: str) -> None:
    text = tr(
        "Something went wrong in the program. Your bag is as it was; save it under another "
        "name to be safe. The details help to correct the program."
    )
    from app.widgets.dialog import tell  # the window opens sooner without

    tell(None, text, details=details, over=_over())


def _over() -> QWidget | None:
    """What a box stands over: the dialog that is open, or the window."""
    from PySide6.QtWidgets import QProgressDialog  # as in _tell_bug

    modal = QApplication.activeModalWidget()
    while isinstance(modal, QProgressDialog):
        modal = modal.parentWidget()  # it closes by itself
    return QApplication.activeWindow() if modal is None else modal
