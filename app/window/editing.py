"""The Edit menu's own: undo, redo, cut, copy, paste and select all.

They go to the field with the focus while it has something to do; undo and redo else go to
the bag. So the menu, the toolbar and the keys do the same.
"""

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple, cast

from PySide6.QtCore import QObject, Qt, SignalInstance
from PySide6.QtGui import QAction, QGuiApplication
from PySide6.QtWidgets import (
    QApplication,
    QLineEdit,
    QMainWindow,
    QMenu,
    QMenuBar,
    QWidget,
)
from shiboken6 import isValid

from app.session.document import Document
from app.widgets.figure_box import FigureBox, finish_typing
from app.widgets.menus import menu_text

if TYPE_CHECKING:
    from PySide6.QtWidgets import QAbstractItemView

_Step = tuple[bool, bool, str]
"""Of undo or redo: whether it is that of a text, whether the bag has one, and what it is called."""


class _Standing(NamedTuple):
    """All that the actions show follows from; equal ones look the same.

    Attributes:
        cut, copy, paste, select_all: whether they can be done.
    """

    undo: _Step
    redo: _Step
    cut: bool
    copy: bool
    paste: bool
    select_all: bool


class EditCommands(QObject):
    """Does what the Edit menu says, and says there what can be done.

    Args:
        document: whose undo stack is the bag's.
        window: whose fields are meant; a dialog's fields have their own keys.
    """

    def __init__(self, document: Document, window: QMainWindow) -> None:
        super().__init__(window)
        self._document, self._window = document, window
        self._actions: Mapping[str, QAction] = {}
        self._focus: QWidget | None = None
        self._followed: QWidget | None = None
        self._has_text: bool | None = None
        self._shown: _Standing | None = None
        document.undo_stack.indexChanged.connect(self.refresh)
        self._program = cast(QApplication, QApplication.instance())
        self._program.focusChanged.connect(self._on_focus_changed)
        QGuiApplication.clipboard().dataChanged.connect(self._on_clipboard_changed)

    def close(self) -> None:
        if not self._actions:
            return
        self._program.focusChanged.disconnect(self._on_focus_changed)
        QGuiApplication.clipboard().dataChanged.disconnect(self._on_clipboard_changed)
        self._document.undo_stack.indexChanged.disconnect(self.refresh)
        self._follow_field(None)
        self._actions = {}

    def follow(self, actions: Mapping[str, QAction]) -> None:
        """Keep the actions of these names as they are by now."""
        self._actions, self._shown = actions, None
        self.refresh()

    def undo(self) -> None:
        """Take back what is being typed, else the bag's last step."""
        line = self._line()
        if line is not None and _undoes_typing(self._present()):
            line.undo()
        else:
            finish_typing()
            self._document.undo_stack.undo()

    def redo(self) -> None:
        """Type again what was taken back, else take the bag's step again."""
        line = self._line()
        if line is not None and _redoes_typing(self._present()):
            line.redo()
        else:
            finish_typing()
            self._document.undo_stack.redo()

    def cut(self) -> None:
        """Put the selected text on the clipboard and take it out."""
        if (line := self._line()) is not None:
            line.cut()

    def copy(self) -> None:
        """Put the selected text, or the text of a table's cell, on the clipboard."""
        table = _table_of(self._present())
        if (line := self._line()) is not None:
            line.copy()
        elif table is not None:
            text = table.currentIndex().data(Qt.ItemDataRole.DisplayRole)
            QGuiApplication.clipboard().setText("" if text is None else str(text))

    def paste(self) -> None:
        """Put the clipboard's text in place of the selected text."""
        if (line := self._line()) is not None:
            line.paste()

    def select_all(self) -> None:
        if (line := self._line()) is not None:
            line.selectAll()

    def refresh(self) -> None:
        if not self._actions:
            return
        standing = self._standing()
        if standing == self._shown:
            return
        self._shown = standing
        self._show_step(
            self._actions["undo"], standing.undo, self.tr("&Undo"), self.tr("&Undo: {step}")
        )
        self._show_step(
            self._actions["redo"], standing.redo, self.tr("&Redo"), self.tr("&Redo: {step}")
        )
        for name in ("cut", "copy", "paste", "select_all"):
            self._actions[name].setEnabled(getattr(standing, name))

    def _standing(self) -> "_Standing":
        stack, focus = self._document.undo_stack, self._present()
        line, table = _line_of(focus), _table_of(focus)
        selected = line is not None and line.hasSelectedText()
        writes = line is not None and not line.isReadOnly()
        return _Standing(
            undo=(_undoes_typing(focus), stack.canUndo(), stack.undoText()),
            redo=(_redoes_typing(focus), stack.canRedo(), stack.redoText()),
            cut=writes and selected,
            copy=selected or (table is not None and table.currentIndex().isValid()),
            paste=writes and self._may_paste(),
            select_all=line is not None and bool(line.text()),
        )

    def _show_step(self, action: QAction, step: "_Step", plain: str, named: str) -> None:
        typing, can, text = step
        told = self.tr("typing") if typing else text
        action.setEnabled(can or typing)
        action.setText(named.format(step=menu_text(told)) if told else plain)

    def _may_paste(self) -> bool:
        """Whether the clipboard has a text; another program is asked for it, so once for each."""
        if self._has_text is None:
            self._has_text = bool(QGuiApplication.clipboard().text())
        return self._has_text

    def _line(self) -> QLineEdit | None:
        return _line_of(self._present())

    def _present(self) -> QWidget | None:
        """What has the focus of the window; a menu that is open over it does not count."""
        return self._focus if self._focus is not None and isValid(self._focus) else None

    def _on_focus_changed(self, _before: QWidget | None, now: QWidget | None) -> None:
        # A menu bar that is gone through by keys has the focus itself; another window keeps
        # what this one had.
        if now is None or now.window() is not self._window or isinstance(now, (QMenuBar, QMenu)):
            return
        self._focus = now
        self._follow_field(now)
        self.refresh()

    def _on_clipboard_changed(self) -> None:
        self._has_text = None
        self.refresh()

    def _follow_field(self, field: QWidget | None) -> None:
        if self._followed is not None and isValid(self._followed):
            for signal in self._told_by(self._followed):
                signal.disconnect(self.refresh)
        self._followed = field
        for signal in self._told_by(field):
            signal.connect(self.refresh)

    def _told_by(self, field: QWidget | None) -> list[SignalInstance]:
        """What tells that something else can be done in a field."""
        line = field.lineEdit() if isinstance(field, FigureBox) else field
        if not isinstance(line, QLineEdit):
            return []
        ended = [field.typing_changed] if isinstance(field, FigureBox) else []
        return [line.textChanged, line.selectionChanged, *ended]


# What has the focus.


def _line_of(focus: QWidget | None) -> QLineEdit | None:
    """The line of text that is written in."""
    if isinstance(focus, FigureBox):
        return focus.lineEdit()
    return focus if isinstance(focus, QLineEdit) else None


def _table_of(focus: QWidget | None) -> "QAbstractItemView | None":
    # By its name: the class itself, with its enums, is made when a table first comes.
    is_table = focus is not None and focus.inherits("QAbstractItemView")
    return cast("QAbstractItemView", focus) if is_table else None


def _undoes_typing(focus: QWidget | None) -> bool:
    return isinstance(focus, FigureBox) and focus.undoes_typing


def _redoes_typing(focus: QWidget | None) -> bool:
    return isinstance(focus, FigureBox) and focus.redoes_typing
