"""New bags: the demo bag again, and the dialog that asks for their sizes, and what comes of it."""

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QDialog, QWidget

from app.display import Display
from app.files import Files


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
        from app.dialogs.new_bag_dialog import NewBagDialog

        dialog = NewBagDialog(self._display, self._window)
        accepted = dialog.exec() == QDialog.DialogCode.Accepted
        dialog.deleteLater()
        return accepted and dialog.made is not None and self._files.begin(dialog.made.result.bag)
