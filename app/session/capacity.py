"""What the bag holds filled, and what its handles then carry; worked out beside the window."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from app.session.document import Change
from app.session.filler import FILLER
from app.session.session import Session
from app.session.soon import Soon
from app.session.work import JobFailure, JobResult, Work
from core.bag.bag import Bag
from core.bag.compute import Result
from core.bag.making import Load
from core.base.sentences import Sentence, mark
from core.base.units import Unit
from core.model.findings import Finding

if TYPE_CHECKING:  # the solver is loaded by the first job, after the window has opened
    from core.sewing.strength import LoadEstimate
    from core.solid.filled_bag import FilledBag

FIRST = 250
"""Milliseconds after the window has come up at which the first work starts, and with it the
loading of the solver."""
SOON = 12
"""Milliseconds after a change at which the work starts: the panes are painted first."""
SETTLE = 400
"""Milliseconds without a change after which an answer that followed from another bag's is
worked out from nothing, so that a bag has one capacity however it was come by."""


_BROKEN = mark("The filled shape could not be worked out: something went wrong in the program.")


class CapacityModel(QObject):
    """Asks for the capacity of every new bag, and once before for that of the starting bag.

    Changes are told against that one; what is worked out on the way is told, as an older number.
    It sleeps until `wake`, so that nothing of it delays the first picture. `filled_bag` is the
    last answer; None before the first.

    Signals:
        changed: `filled_bag` or `current` is another one.
        progressed(float): share done of the work under way.
    """

    changed = Signal()
    progressed = Signal(float)

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._document, self._redesigner = session.document, session.redesigner
        self.filled_bag: FilledBag | None = None
        self._told: tuple[FilledBag | None, bool] = (None, False)
        self._starting: Bag | None = None
        """The starting bag that has been answered."""
        self._awake = False
        self.work = Work(self)
        self.work.answered.connect(self._on_answer)
        self.work.failed.connect(self._on_failure)
        self.work.progressed.connect(self.progressed)
        self._soon = Soon(self, SOON)
        self._soon.came.connect(self._ask)
        self._settle = QTimer(self, singleShot=True, interval=SETTLE)
        self._settle.timeout.connect(self._ask_anew)
        session.document.changed.connect(self._on_change)

    @property
    def current(self) -> bool:
        """Whether the last answer is that of the document's bag."""
        return self.filled_bag is not None and self.filled_bag.capacity.bag == self._document.bag

    def wake(self) -> None:
        """Start to follow the document."""
        if not self._awake:
            self._awake = True
            QTimer.singleShot(FIRST, self, self._ask)

    def close(self) -> None:
        """End the work; it is not waited for."""
        self._soon.stop()
        self._settle.stop()
        self.work.close()

    def _on_change(self, _change: Change) -> None:
        self._settle.stop()
        if not self._awake:
            return
        if self.current:  # back again before anything else was found
            self._soon.stop()
            self.work.cancel()
            self._settle_later()
        else:
            self._soon.start()
        self._tell()

    def _tell(self) -> None:
        """Say that something changed where it did: older numbers are told as such only once."""
        now = self.filled_bag, self.current
        if now != self._told:
            self._told = now
            self.changed.emit()

    def _ask(self) -> None:
        starting = self._document.starting.bag
        if self.current:
            return
        if starting not in (self._starting, self._document.bag):
            if not self.work.asks(starting):  # asked again it would be given up for itself
                self._ask_for(starting, follow=False)
        else:
            # An answer of its own takes longer than one that follows from another bag's, but is
            # what was asked for where a redesign was to hold so much.
            exactly = self.filled_bag is None or self._redesigner.asks_filled()
            self._ask_for(self._document.bag, follow=not exactly)

    def _ask_anew(self) -> None:
        self._ask_for(self._document.bag, follow=False)

    def _ask_for(self, bag: Bag, *, follow: bool) -> None:
        self.work.ask(bag, lambda hear: FILLER.fill(bag, hear, follow=follow))

    def _on_answer(self, answer: JobResult) -> None:
        filled_bag: FilledBag = answer.found
        self.filled_bag = filled_bag
        self._take_down(filled_bag.capacity.bag)
        self._settle_later()
        self._tell()

    def _take_down(self, answered: Bag) -> None:
        if answered == self._document.starting.bag:
            self._starting = answered
            if not self.current and not self.work.busy:
                self._ask()

    def _settle_later(self) -> None:
        if self.filled_bag is not None and self.current and self.filled_bag.followed:
            self._settle.start()

    def _on_failure(self, failure: JobFailure) -> None:
        from core.solid.capacity import Capacity
        from core.solid.filled_bag import FilledBag

        if isinstance(failure.question, Bag):
            capacity = Capacity(bag=failure.question, not_filled=Sentence(_BROKEN))
            self.filled_bag = FilledBag(capacity, None, followed=False)
            self._take_down(failure.question)
            self._tell()
        failure.meet()


# The load.


Found = tuple["LoadEstimate | None", "Finding | None"]


class LoadModel(QObject):
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
        filled_bag = self._capacity.filled_bag
        return filled_bag.capacity.inside_filled if filled_bag and self._capacity.current else None

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
            self.work.ask(self._question, lambda _hear: estimate_load_of(result, holds, load, unit))
        self.changed.emit()

    def _on_answer(self, answer: JobResult) -> None:
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

    def _on_failure(self, failure: JobFailure) -> None:
        if isinstance(failure.question, tuple):
            self._answered, self._found = failure.question, (None, None)
            self.changed.emit()
        failure.meet()


def estimate_load_of(
    result: Result, inside_filled: float | None, load: Load | None, unit: Unit
) -> Found:
    """The estimate of a bag that holds so many litres, and what is found in it, in this unit."""
    from core.sewing.strength import load_finding, load_of

    estimate = load_of(result, inside_filled, load)
    return estimate, load_finding(estimate, unit)
