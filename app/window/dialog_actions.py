"""Dialogs about other patterns of the bag: variants, a measured bag, and take-up."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QEventLoop, QObject, Qt, Signal
from PySide6.QtWidgets import QDialog, QProgressDialog, QWidget

from app.files.export import BookletExport
from app.files.files import Files
from app.session.capacity import CapacityWatch
from app.session.display import Display, tr
from app.session.document import Document
from app.session.load_watch import LoadWatch
from app.session.redesigner import Redesigner
from app.session.settings import Settings
from app.session.variants import Keeping
from app.views.sewing.pane import SewingPane


class RedesignDesk(QObject):
    """Opens the dialogs, and takes over what was chosen there."""

    def __init__(
        self, document: Document, display: Display, keeping: Keeping, window: QWidget
    ) -> None:
        super().__init__(window)
        self._document, self._display = document, display
        self._keeping, self._window = keeping, window

    def compare_variants(self) -> None:
        """Show starting bag, present bag and variants side by side."""
        from app.dialogs.variants import VariantsDialog

        _run(VariantsDialog(self._document, self._display, self._keeping, self._window))

    def fit_tape(self) -> None:
        """Draw the pattern that comes nearest to what a tape measure finds; one undo step."""
        from app.dialogs.measured_bag import FitDialog

        if not self._keeping.finish_work():
            return
        dialog = FitDialog(self._document.bag, self._display, self._window)
        if _run(dialog) and dialog.fitted is not None:
            found = dialog.fitted.result
            self._document.replace_bag(found.bag, self.tr("From a measured bag"), ready=found)

    def enter_take_up(self) -> None:
        """Enter what a sewn sample measures, and allow for it."""
        from app.dialogs.take_up import TakeUpDialog

        if not self._keeping.finish_work():  # it would come under the dialog, and be lost with OK
            return
        dialog = TakeUpDialog(self._document.project, self._display, self._window)
        if _run(dialog):
            self._keeping.keep_sample(dialog.project)


def _run(dialog: QDialog) -> bool:
    accepted = dialog.exec() == QDialog.DialogCode.Accepted
    dialog.deleteLater()
    return accepted


# --- new bag ---
# New bags: the demo bag again, and the dialog that asks for their sizes, and what comes of it.


class NewBagDesk(QObject):
    """Asks for the sizes of a new bag and shows it."""

    def __init__(self, display: Display, files: Files, window: QWidget) -> None:
        super().__init__(window)
        self._display = display
        self._files = files
        self._window = window

    def start_from_demo(self) -> None:
        """Start again from the demo bag."""
        self._files.start_from("demo")

    def ask(self) -> bool:
        """Ask for construction, sizes and unit; show the bag as one that no file has yet."""
        from app.dialogs.new_bag import NewBagDialog

        dialog = NewBagDialog(self._display, self._window)
        accepted = dialog.exec() == QDialog.DialogCode.Accepted
        dialog.deleteLater()
        return accepted and dialog.made is not None and self._files.begin(dialog.made.result.bag)


# --- sewing desk ---
# Everything of the window that has to do with sewing: the steps, the load, the booklet.


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
        from app.dialogs.load import LoadDialog

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


# --- unfinished ---
# What is still being worked out when a bag is saved or left: it is waited for.


def finish_redesign(redesigner: Redesigner, window: QWidget) -> bool:
    """Wait until a redesign that fills bags has come to its end; False where the maker will not.

    What was typed a moment ago counts: the bag of before would else be saved unnoticed.
    """
    wish = redesigner.pending
    if not redesigner.is_pending:
        return True
    told = tr("Rounding to the ruler…")
    if wish is not None:
        told = tr("Working out the pattern for {figure}…").format(figure=redesigner.said(wish.name))
    box = QProgressDialog(told, tr("Cancel"), 0, 0, window)
    box.setWindowTitle(tr("One moment"))
    box.setWindowModality(Qt.WindowModality.WindowModal)
    box.setMinimumDuration(0)
    loop = QEventLoop()

    def look() -> None:
        if not redesigner.is_pending:
            loop.quit()

    redesigner.pending_changed.connect(look)
    box.canceled.connect(loop.quit)
    box.show()
    loop.exec()
    redesigner.pending_changed.disconnect(look)
    box.hide()
    box.deleteLater()
    return not redesigner.is_pending
