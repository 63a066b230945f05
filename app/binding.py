"""Two-way binding of one widget and one value of the document.

Model to widget happens with its signals blocked, widget to model only when the value is
another one; otherwise an undo would push a new step.
"""

from collections.abc import Callable
from typing import Generic, Protocol, TypeVar

from PySide6.QtCore import SignalInstance

Value = TypeVar("Value")
Shown_contra = TypeVar("Shown_contra", contravariant=True)


class Editor(Protocol[Shown_contra]):
    """A widget that shows a value and says when the maker wants another one."""

    value_edited: SignalInstance

    def show_value(self, value: Shown_contra | None) -> None:
        """Show this value; None when there is none to show."""
        ...

    def blockSignals(self, block: bool) -> bool:  # noqa: N802 - QObject's own
        """Keep signals back."""
        ...


class Binding(Generic[Value]):
    """Keeps one editor and one value of the document the same.

    `refresh` is for the owner to call when the document has changed. A value that the
    document has already is not written, unless `rewrite` says that asking for it may do more.
    """

    def __init__(
        self,
        editor: Editor[Value],
        *,
        read: Callable[[], Value | None],
        write: Callable[[Value], bool],
        rewrite: bool = False,
    ) -> None:
        self._editor = editor
        self._read = read
        self._write = write
        self._rewrite = rewrite
        editor.value_edited.connect(self._on_value_edited)

    def refresh(self) -> None:
        """Show what the document holds."""
        was_blocked = self._editor.blockSignals(True)
        try:
            self._editor.show_value(self._read())
        finally:
            self._editor.blockSignals(was_blocked)

    def _on_value_edited(self, value: Value) -> None:
        if value == self._read() and not self._rewrite:
            self.refresh()
        else:
            self._write(value)
