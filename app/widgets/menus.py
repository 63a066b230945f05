"""What menus of several windows share, and what a view says for its context menu."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, NamedTuple, Protocol

from PySide6.QtCore import QPoint
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QMenu, QWidget

from app.widgets.figure_box import finish_typing
from core.flat.piece import Piece
from core.flat.roles import EdgeRef
from core.storage.project import Removed

if TYPE_CHECKING:  # numpy comes with it
    from app.session.variants import Variants


def menu_text(text: str) -> str:
    """A text as a menu or button shows it: with `&` for itself, not for the key after it."""
    return text.replace("&", "&&")


def without_mnemonic(text: str) -> str:
    """The text of a menu or button as it is read: without the sign for its key."""
    return text.replace("&", "")


class RestoreMenu(QMenu):
    """What was deleted or replaced, to be brought back."""

    def __init__(self, variants: "Variants", parent: QWidget) -> None:
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


class Command(NamedTuple):
    """A line of its own; its text is shown as it is."""

    text: str
    do: Callable[[], object]


class FigureLines(NamedTuple):
    """All that can be done with the figure of this name; `here`: its field is where the menu is."""

    name: str
    here: bool = False


MenuLine = Command | FigureLines | EdgeRef | Piece | str | None
"""One or more lines: a command, all that can be done with a figure, an edge or a flat piece, an
action of the window by its name; None for a line between groups."""


class HasMenu(Protocol):
    """A view with a context menu."""

    def menu_at(self, at: QPoint | None) -> list[MenuLine]:
        """What can be done with what is at a place on the screen, px; None: what has the focus."""
        ...


def copying(text: str, copied: str) -> Command:
    """A line that puts something on the clipboard."""
    plain = copied.replace("\N{NO-BREAK SPACE}", " ")
    return Command(text, lambda: QGuiApplication.clipboard().setText(plain))


def widget_at(view: QWidget, at: QPoint | None) -> QWidget | None:
    """What is at a place on the screen, in the window of a view; None for a place: the focus."""
    if at is None:
        return QApplication.focusWidget()
    return view.window().childAt(view.window().mapFromGlobal(at))
