"""What is told and asked in a box of its own, the log, and what happens on a bug."""

import logging
import sys
import traceback
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import (
    QCoreApplication,
    QMessageLogContext,
    QStandardPaths,
    QtMsgType,
    qInstallMessageHandler,
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


def tell_bugs() -> None:
    """From now on, an error that nobody expected is logged and told; the window stays."""
    sys.excepthook = _on_bug


def _on_qt_message(kind: QtMsgType, context: QMessageLogContext, text: str) -> None:
    where = f"{context.category}: " if context.category else ""
    _qt_log.log(_QT_LEVELS.get(kind, logging.WARNING), "%s%s", where, text)


def _on_bug(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    if issubclass(kind, KeyboardInterrupt):
        QCoreApplication.quit()
        return
    _log.critical("unexpected error", exc_info=(kind, error, trace))
    # One box at a time: an error in painting would otherwise open one per frame.
    if QApplication.activeModalWidget() is not None or QApplication.instance() is None:
        return
    tell(
        QApplication.activeWindow(),
        _tr(
            "Something went wrong in the program. Your bag is as it was; save it under another "
            "name to be safe. The details help to mend the program."
        ),
        details="".join(traceback.format_exception(kind, error, trace)),
    )


def _tr(text: str) -> str:
    return QCoreApplication.translate("messages", text)
