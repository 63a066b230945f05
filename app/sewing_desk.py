"""Everything of the window that has to do with sewing: the steps, the load, the booklet."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QDialog, QWidget

from app.booklet import BookletExport
from app.capacity import CapacityWatch
from app.display import Display
from app.document import Document
from app.load_watch import LoadWatch
from app.panes.sewing_pane import SewingPane
from app.settings import Settings


class SewingDesk(QObject):
    """Ties the tab of the steps, the estimate of the load and the booklet together.

    Signals:
        said(str): something for the status line.
    """

    said = Signal(str)

    def __init__(
        self,
        document: Document,
        display: Display,
        settings: Settings,
        capacity: CapacityWatch,
        window: QWidget,
        *,
        tell: Callable[[str], None],
    ) -> None:
        super().__init__(window)
        self._document, self._display, self._window = document, display, window
        self.load = LoadWatch(document, display, capacity, self)
        self.pane = SewingPane(document, display, self.load, window)
        self.booklet = BookletExport(document, display, settings, window, tell=tell)
        self.pane.booklet_asked.connect(self.booklet.export)
        self.pane.load_asked.connect(self.edit_load)
        self.booklet.written.connect(self._on_booklet_written)

    def edit_load(self) -> None:
        """Edit load and thread; one undo step."""
        from app.dialogs.load_dialog import LoadDialog

        document = self._document
        dialog = LoadDialog(
            *(document.result, self.load.inside_filled, document.project.load),
            *(self._display, self._window),
        )
        accepted = dialog.exec() == QDialog.DialogCode.Accepted
        dialog.deleteLater()
        if accepted:
            # A bag that was typed before may have come while the dialog was open.
            changed = replace(document.project, load=dialog.load)
            document.replace_project(changed, self.tr("Load and thread"))

    def close(self) -> None:
        """End all work: the window closes."""
        self.load.close()
        self.booklet.close()

    def _on_booklet_written(self, path: Path) -> None:
        self.said.emit(self.tr("Booklet saved: {file}").format(file=path.name))
