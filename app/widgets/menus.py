"""What menus of several windows share."""

from functools import partial

from PySide6.QtWidgets import QMenu, QWidget

from app.session.variants import Variants
from app.widgets.figure_box import finish_typing
from core.storage.project import Removed


def menu_text(text: str) -> str:
    """A text as a menu or button shows it: with `&` for itself, not for the key after it."""
    return text.replace("&", "&&")


def without_mnemonic(text: str) -> str:
    """The text of a menu or button as it is read: without the sign for its key."""
    return text.replace("&", "")


class RestoreMenu(QMenu):
    """What was deleted or replaced, to be brought back."""

    def __init__(self, variants: Variants, parent: QWidget) -> None:
        super().__init__(parent)
        self.setTitle(self.tr("&Bring back"))
        self._variants = variants
        self.aboutToShow.connect(self._fill)
        variants.changed.connect(self._on_changed)
        self._on_changed()

    def _fill(self) -> None:
        self.clear()
        for lost in self._variants.restorable:
            action = self.addAction(menu_text(self._variants.label(lost)))
            action.triggered.connect(partial(self._bring_back, lost))

    def _bring_back(self, lost: Removed, _checked: bool = False) -> None:
        finish_typing()
        self._variants.bring_back(lost)

    def _on_changed(self) -> None:
        self.setEnabled(bool(self._variants.restorable))
