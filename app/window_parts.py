"""Small parts of the main window that know nothing of it."""

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QSplitter, QWidget


def splitter_of(orientation: Qt.Orientation, *widgets: QWidget) -> QSplitter:
    """Panes side by side or above one another; none can be shut."""
    splitter = QSplitter(orientation)
    splitter.setChildrenCollapsible(False)
    splitter.setHandleWidth(5)
    for widget in widgets:
        splitter.addWidget(widget)
    return splitter


def dropped_file(event: QDropEvent) -> Path | None:
    """The one local file that is dropped; None for anything else."""
    urls = event.mimeData().urls()
    if len(urls) != 1 or not urls[0].isLocalFile():
        return None
    return Path(urls[0].toLocalFile())
