"""Dialogs about other patterns of the bag: variants, a measured bag, and take-up."""

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QDialog, QWidget

from app.display import Display
from app.document import Document
from app.keeping import Keeping


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
        from app.dialogs.variants_dialog import VariantsDialog

        _run(VariantsDialog(self._document, self._display, self._keeping, self._window))

    def fit_tape(self) -> None:
        """Draw the pattern that comes nearest to what a tape measure finds; one undo step."""
        from app.dialogs.fit_dialog import FitDialog

        if not self._keeping.finish_work():
            return
        dialog = FitDialog(self._document.bag, self._display, self._window)
        if _run(dialog) and dialog.fitted is not None:
            found = dialog.fitted.result
            self._document.replace_bag(found.bag, self.tr("From a measured bag"), ready=found)

    def enter_take_up(self) -> None:
        """Enter what a sewn sample measures, and allow for it."""
        from app.dialogs.take_up_dialog import TakeUpDialog

        if not self._keeping.finish_work():  # it would come under the dialog, and be lost with OK
            return
        dialog = TakeUpDialog(self._document.project, self._display, self._window)
        if _run(dialog):
            self._keeping.keep_sample(dialog.project)


def _run(dialog: QDialog) -> bool:
    accepted = dialog.exec() == QDialog.DialogCode.Accepted
    dialog.deleteLater()
    return accepted
