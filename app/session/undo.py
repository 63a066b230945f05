"""Undo steps: what a step changed of a project, before and after, and what it is called."""

from collections.abc import Callable, Mapping
from itertools import count
from typing import Any
from weakref import WeakMethod

from PySide6.QtGui import QUndoCommand

Values = Mapping[str, Any]
"""Attribute of a project -> its value."""

MERGE_WITHIN = 1.0
"""Seconds in which steps of one hold count as one step."""


class Drag:
    """One drag: the merge key of its steps, the same as no other."""


MergeKey = str | Drag
"""What steps that may become one have in common."""

NAMED_AFTER = 250
"""Milliseconds without a step after which one of a hold is called by what it came to: menu and
toolbar, which tell the name, are not written and laid out for each key."""

Clock = Callable[[], float]
"""Tells the time, seconds from any beginning."""


_NUMBERS = count()


class UndoStep(QUndoCommand):
    """One edit. Holds the values that it changed and no others, never a widget.

    Steps with the same `merge_key` that follow one another quickly become one: a held
    arrow key, a turned wheel. Those of one drag become one however slow the hand is.

    Args:
        before, after, label: of the edit; the same attributes in both.
        show: is called with what goes and what comes in its place.
        at: when it was made, seconds.
        merge_key: as above; None: it stays a step of its own.
    """

    def __init__(
        self,
        before: Values,
        after: Values,
        label: str,
        show: Callable[[Values, Values], None],
        *,
        at: float,
        merge_key: MergeKey | None = None,
    ) -> None:
        super().__init__(label)
        self.number = next(_NUMBERS)
        """As no other step has."""
        self.before = before
        self.after = after
        self.merge_key = merge_key
        self.last_at = at
        self._came_to = label
        # Weakly: steps belong to the stack, the stack to the document, and a ring of the
        # three is torn by Python's collector in an order that Qt does not survive.
        self._show = WeakMethod(show)

    @property
    def came_to(self) -> str:
        """What the last of the edits was called that became this step."""
        return self._came_to

    def rename(self) -> bool:
        """Be called by what it came to; whether that is another name."""
        renamed = self.text() != self._came_to
        if renamed:
            self.setText(self._came_to)
        return renamed

    def _tell(self, gone: Values, come: Values) -> None:
        show = self._show()
        if show is not None:
            show(gone, come)

    # Qt's own names from here on.

    def redo(self) -> None:
        self._tell(self.before, self.after)

    def undo(self) -> None:
        self._tell(self.after, self.before)

    def id(self) -> int:
        return -1 if self.merge_key is None else 1

    def mergeWith(self, other: QUndoCommand) -> bool:
        if not isinstance(other, UndoStep) or other.merge_key != self.merge_key:
            return False
        held = isinstance(self.merge_key, Drag)
        if not held and other.last_at - self.last_at > MERGE_WITHIN:
            return False
        self.before = {**other.before, **self.before}
        self.after = {**self.after, **other.after}
        self.last_at = other.last_at
        self._came_to = other.came_to
        # Qt deletes it now, but Python never lets go of its shell: that must hold no bag.
        other.before = other.after = {}
        self.setObsolete(self.after == self.before)  # there and back again is no step
        return True
