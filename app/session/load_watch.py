"""What the filled bag weighs against its handles, kept up with the document off the GUI thread."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.session.session import Session
from app.session.work import Answer, Failure, Work
from core.bag.bag import Bag
from core.bag.compute import Result
from core.bag.making import Load
from core.base.units import Unit
from core.model.findings import Finding

if TYPE_CHECKING:  # what it is worked out with is loaded by the first job
    from core.sewing.strength import LoadEstimate

Found = tuple["LoadEstimate | None", "Finding | None"]


class LoadWatch(QObject):
    """Asks for the load of every bag whose capacity is known, and of every other load.

    Signals:
        changed: `estimate`, `finding` or `current` is another one.
    """

    changed = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._document, self._display = session.document, session.display
        self._capacity = session.capacity
        self._answered: tuple[Bag, Load | None] | None = None
        self._found: Found = (None, None)
        self.work = Work(self)
        self.work.answered.connect(self._on_answer)
        self.work.failed.connect(self._on_failure)
        self._capacity.changed.connect(self._on_stale)
        self._document.kept_changed.connect(self._on_kept_change)
        self._display.changed.connect(self._on_display_change)

    @property
    def estimate(self) -> "LoadEstimate | None":
        """The last estimate; None before the first, and for a bag that has none."""
        return self._found[0]

    @property
    def finding(self) -> Finding | None:
        """That the bag is too heavy for its handles, by the last estimate."""
        return self._found[1]

    @property
    def current(self) -> bool:
        """Whether the last estimate is that of the document's bag and load."""
        return self._answered == self._question

    @property
    def inside_filled(self) -> float | None:
        """What the document's bag holds, filled, inside its wall, litres; None if not known."""
        stuffed = self._capacity.stuffed
        return stuffed.capacity.inside_filled if stuffed and self._capacity.current else None

    def close(self) -> None:
        """End the work; it is not waited for."""
        self.work.close()

    @property
    def _question(self) -> tuple[Bag, Load | None]:
        return self._document.bag, self._document.project.load

    def _on_kept_change(self) -> None:
        if not self.current:
            self._on_stale()

    def _on_stale(self) -> None:
        if self._capacity.current and not self.current:
            document, holds = self._document, self.inside_filled
            result, load, unit = document.result, document.project.load, self._display.unit
            self.work.ask(self._question, lambda _hear: work_out(result, holds, load, unit))
        self.changed.emit()

    def _on_answer(self, answer: Answer) -> None:
        if isinstance(answer.question, tuple):
            self._answered = answer.question
            self._found = answer.found
            self._tell_again()  # the reader's unit may be another by now
            self.changed.emit()

    def _on_display_change(self) -> None:
        if self._tell_again():
            self.changed.emit()

    def _tell_again(self) -> bool:
        """Tell the finding in the reader's unit; whether it is told in another one now."""
        estimate, finding = self._found
        if estimate is None or finding is None:
            return False
        from core.sewing.strength import load_finding

        other = load_finding(estimate, self._display.unit)
        differs = other != finding
        if differs:
            self._found = estimate, other
        return differs

    def _on_failure(self, failure: Failure) -> None:
        if isinstance(failure.question, tuple):
            self._answered, self._found = failure.question, (None, None)
            self.changed.emit()
        failure.meet()


def work_out(result: Result, inside_filled: float | None, load: Load | None, unit: Unit) -> Found:
    """The estimate of a bag that holds so many litres, and what is found in it, in this unit."""
    from core.sewing.strength import load_finding, load_of

    estimate = load_of(result, inside_filled, load)
    return estimate, load_finding(estimate, unit)
