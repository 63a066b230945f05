"""The question before changes made in a dialog are given up."""

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QMessageBox, QWidget


def ask_to_give_up(parent: QWidget) -> bool:
    """Ask whether what was changed is given up; Enter, Esc and closing the box mean no."""
    words = {
        "title": QCoreApplication.translate("LayersDialog", "Layers and goods"),
        "text": QCoreApplication.translate("LayersDialog", "Give up the changes made here?"),
        "more": QCoreApplication.translate(
            "LayersDialog",
            "Layers, other goods, notions and your own goods then stay as they were.",
        ),
        "yes": QCoreApplication.translate("LayersDialog", "&Give up changes"),
        "no": QCoreApplication.translate("LayersDialog", "Go on &editing"),
    }
    box = QMessageBox(parent)
    box.setIcon(QMessageBox.Icon.Question)
    box.setWindowTitle(words["title"])
    box.setText(words["text"])
    box.setInformativeText(words["more"])
    yes = box.addButton(words["yes"], QMessageBox.ButtonRole.DestructiveRole)
    no = box.addButton(words["no"], QMessageBox.ButtonRole.RejectRole)
    box.setEscapeButton(no)
    box.setDefaultButton(no)
    box.exec()
    is_given_up = box.clickedButton() is yes
    box.deleteLater()
    return is_given_up
