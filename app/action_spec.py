"""What one action is: its names, its keys, its handler, and where it stands."""

from dataclasses import dataclass

from PySide6.QtGui import QAction, QKeySequence

Standard = QKeySequence.StandardKey


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionSpec:
    """One action.

    Attributes:
        name: fixed, for handlers and tests.
        menu: the menu that it stands in, one of `MENUS`.
        text: with the `&` of its mnemonic.
        tip: one sentence for tooltip and status line.
        keys: its own, on every platform; no field may have a use for them but those of an edit.
        standard: the platform's standard key, where there is one; it goes before `keys`.
        handler: name of the window's method, "pane.method" where one of its panes has it.
        group: name of the choice that it is one option of, if any; it is then checkable.
        checkable: whether it is switched on and off by itself.
        glyph: of its toolbar button, if it has one there.
        on_toolbar: whether it stands on the toolbar.
        apart: whether a line stands above it.
        takes_typing: whether what stands typed in a field is taken first.
        role: where macOS puts it.
    """

    name: str
    menu: str
    text: str
    tip: str
    handler: str
    keys: str = ""
    standard: Standard | None = None
    group: str = ""
    checkable: bool = False
    glyph: str = ""
    on_toolbar: bool = False
    apart: bool = False
    takes_typing: bool = True
    role: QAction.MenuRole = QAction.MenuRole.NoRole
