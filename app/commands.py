"""Undo steps: the bag before, the bag after, and what the step is called."""

import time
from collections.abc import Callable

from PySide6.QtGui import QUndoCommand

from core.bag import Bag

MERGE_WITHIN = 1.0
"""Seconds in which steps of one hold or drag count as one step."""


class ReplaceBag(QUndoCommand):
    """One edit. Holds values only, never a widget.

    Steps with the same `merge_key` that follow one another quickly become one: a held
    arrow key, a turned wheel, a drag.
    """

    def __init__(
        self,
        before: Bag,
        after: Bag,
        label: str,
        show: Callable[[Bag], None],
        *,
        merge_key: str | None = None,
    ) -> None:
        super().__init__(label)
        self.before = before
        self.after = after
        self.merge_key = merge_key
        self.last_at = time.monotonic()
        self._show = show

    # Qt's own names from here on.

    def redo(self) -> None:
        self._show(self.after)

    def undo(self) -> None:
        self._show(self.before)

    def id(self) -> int:
        return -1 if self.merge_key is None else 1

    def mergeWith(self, other: QUndoCommand) -> bool:
        if not isinstance(other, ReplaceBag) or other.merge_key != self.merge_key:
            return False
        if other.last_at - self.last_at > MERGE_WITHIN:
            return False
        self.after = other.after
        self.last_at = other.last_at
        self.setObsolete(self.after == self.before)  # there and back again is no step
        return True
