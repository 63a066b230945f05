"""What choices left out of the bag on the way to it: each state of undo has its own."""

from typing import TYPE_CHECKING

from PySide6.QtGui import QUndoStack

from app.session.undo import UndoStep

if TYPE_CHECKING:
    from core.bag.left_out import LeftOut


class LeftOutSteps:
    """What was left out, by the step of undo that it was left out with.

    A step that was undone, and in whose place another came, has left out nothing.
    """

    def __init__(self, stack: QUndoStack) -> None:
        self._stack = stack
        self._steps: list[tuple[int, int, LeftOut]] = []  # place, the step's own number, what

    @property
    def now(self) -> "LeftOut":
        """What was left out on the way to the bag as it is now."""
        from core.bag.left_out import LeftOut  # with the first choice, after the window

        there = [left for place, number, left in self._steps if self._is_done(place, number)]
        return there[-1] if there else LeftOut()

    def put(self, left: "LeftOut") -> None:
        """The last step left out this."""
        place = self._stack.index()
        step = self._stack.command(place - 1)
        assert isinstance(step, UndoStep)
        ahead = [each for each in self._steps if self._is_done(*each[:2])]
        self._steps = [*ahead, (place, step.number, left)]

    def forget(self) -> None:
        """Another bag was opened: nothing was left out of it."""
        self._steps.clear()

    def _is_done(self, place: int, number: int) -> bool:
        if place > self._stack.index():
            return False
        step = self._stack.command(place - 1)
        return isinstance(step, UndoStep) and step.number == number
