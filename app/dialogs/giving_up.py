"""The question before changes made in a dialog are given up."""

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QWidget

from app.questions import Unsaved, choose


def ask_to_give_up(dialog: QWidget) -> bool:
    """Ask whether what was changed is given up; Enter, Esc and closing the box mean no."""
    chosen = choose(
        dialog,
        tr("Layers and materials"),
        tr("Discard the changes made here?"),
        {Unsaved.DISCARD: tr("&Discard changes"), Unsaved.CANCEL: tr("Go on &editing")},
        tr("Layers, other materials, notions and your own materials then stay as they were."),
        usual=Unsaved.CANCEL,
    )
    return chosen is Unsaved.DISCARD


def tr(text: str) -> str:
    """A text of the question in the reader's language."""
    return QCoreApplication.translate("LayersDialog", text)
