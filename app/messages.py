"""What is told and asked in a box of its own, the log, and what happens on a bug."""

import logging
import platform
import sys
import threading
import traceback
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import TracebackType

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
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QWidget

LOG_BYTES = 400_000
LOG_FILES = 2

_log = logging.getLogger("cornerwright")
_qt_log = logging.getLogger("qt")
_QT_LEVELS = {
    QtMsgType.QtDebugMsg: logging.DEBUG,
    QtMsgType.QtInfoMsg: logging.INFO,
    QtMsgType.QtWarningMsg: logging.WARNING,
    QtMsgType.QtCriticalMsg: logging.ERROR,
    QtMsgType.QtFatalMsg: logging.CRITICAL,
}


def tell(parent: QWidget | None, text: str, *, details: str = "") -> None:
    """Tell something that went wrong; its text and details can be copied."""
    from PySide6.QtWidgets import QMessageBox  # not needed before something goes wrong

    box = QMessageBox(parent)
    box.setIcon(QMessageBox.Icon.Warning)
    box.setWindowTitle(QGuiApplication.applicationDisplayName())
    # What is told may hold a name out of a file: none of it is markup.
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setText(text)
    if details:
        box.setDetailedText(details)
    close = box.addButton(QMessageBox.StandardButton.Close)
    copy = box.addButton(_tr("Copy"), QMessageBox.ButtonRole.ActionRole)
    # Copying must not close the box: the button's own way there is cut.
    copy.clicked.disconnect()
    copy.clicked.connect(
        lambda: QGuiApplication.clipboard().setText("\n\n".join(filter(None, (text, details))))
    )
    box.setDefaultButton(close)
    box.setEscapeButton(close)
    box.exec()
    box.deleteLater()


def log_folder() -> Path:
    """Where the log lies on this platform."""
    place = QStandardPaths.StandardLocation.AppLocalDataLocation
    return Path(QStandardPaths.writableLocation(place)) / "log"


def start_log(folder: Path) -> None:
    """Write Python's and Qt's messages into a rotating log, and errors to standard error."""
    root = logging.getLogger()
    form = logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s")
    handlers: list[logging.Handler] = []
    if sys.stderr is not None:  # a windowed start on Windows has none
        handlers.append(logging.StreamHandler())
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handlers.append(
            RotatingFileHandler(
                folder / "cornerwright.log",
                maxBytes=LOG_BYTES,
                backupCount=LOG_FILES,
                encoding="utf-8",
                delay=True,
            )
        )
    except OSError as error:
        _log.warning("no log can be written: %s", error)
    for handler in handlers:
        handler.setFormatter(form)
        handler.setLevel(logging.WARNING)
        root.addHandler(handler)
    qInstallMessageHandler(_on_qt_message)


class _Bell(QObject):
    """Brings what happened in another thread to the thread of the windows."""

    rung = Signal(str)

    def __init__(self) -> None:
        super().__init__(QCoreApplication.instance())
        # To a method: its object's thread is the one in which it is called.
        self.rung.connect(self._on_rung)

    def _on_rung(self, details: str) -> None:
        _tell_bug(details)


def tell_bugs() -> None:
    """From now on, an error that nobody expected is logged and told; the window stays.

    That holds for errors in any thread; what goes wrong where nothing can be raised, while
    something is cleared away for one, is logged only.
    """
    bell = _Bell()

    def on_thread_bug(met: threading.ExceptHookArgs) -> None:
        if met.exc_type is not SystemExit and met.exc_value is not None:
            bell.rung.emit(_logged(met.exc_type, met.exc_value, met.exc_traceback))

    sys.excepthook = _on_bug
    sys.unraisablehook = _on_unraisable
    threading.excepthook = on_thread_bug


def _on_qt_message(kind: QtMsgType, context: QMessageLogContext, text: str) -> None:
    where = f"{context.category}: " if context.category else ""
    _qt_log.log(_QT_LEVELS.get(kind, logging.WARNING), "%s%s", where, text)


def _on_bug(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    if issubclass(kind, KeyboardInterrupt):
        QCoreApplication.quit()
        return
    _tell_bug(_logged(kind, error, trace))


def _on_unraisable(met: "sys.UnraisableHookArgs") -> None:
    error = met.exc_value or met.exc_type()
    where = f"{met.err_msg or 'error'} in {met.object!r}"
    _log.error("%s", where, exc_info=(met.exc_type, error, met.exc_traceback))


def _logged(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> str:
    """Log an error; what it was, to be copied and sent."""
    _log.critical("unexpected error", exc_info=(kind, error, trace))
    return f"{_surroundings()}\n{''.join(traceback.format_exception(kind, error, trace))}"


def _surroundings() -> str:
    """What whoever mends the program asks first."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        own = version("cornerwright")
    except PackageNotFoundError:  # run from its folder, not installed
        own = "-"
    system, python = platform.platform(), platform.python_version()
    return f"Cornerwright {own}, Qt {qVersion()}, Python {python}, {system}; log: {log_folder()}"


def _tell_bug(details: str) -> None:
    # One box at a time: an error in painting would otherwise open one per frame.
    if QApplication.activeModalWidget() is not None or QApplication.instance() is None:
        return
    tell(
        QApplication.activeWindow(),
        _tr(
            "Something went wrong in the program. Your bag is as it was; save it under another "
            "name to be safe. The details help to mend the program."
        ),
        details=details,
    )


def _tr(text: str) -> str:
    return QCoreApplication.translate("messages", text)
