"""The first-steps tour: what is asked for step by step, and whether it was done.

It goes by what happens to the bag and in the window, whoever does it and however, so that it
works with any bag in any unit; it changes nothing itself.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.help.page import Amount, filled
from app.session.display import translated
from app.session.document import Change
from core.bag.bag import Bag, cut_value
from core.bag.tables import CUT_FIGURES, cut_figure
from core.base.sentences import mark
from core.base.tolerance import same_length
from core.base.units import round_to_step

if TYPE_CHECKING:  # the tour belongs to a window, which makes it
    from app.window.main_window import MainWindow

WANTED, PINNED = "gusset_depth", "base_width"
"""The finished figures that are offered as examples; every bag has them."""
MORE = Amount(0.5, 10.0)
"""What is offered is about so much more than there is, and a multiple of it."""


def changed_figure(bag: Bag) -> str:
    """The cut figure that is offered as an example: one that this bag has, and that deepens it."""
    return next(
        figure.name
        for figure in CUT_FIGURES
        if WANTED in figure.tells and cut_value(bag, figure.name) is not None
    )


@dataclass(frozen=True, slots=True)
class TourState:
    """How things stand at a moment.

    Attributes:
        fixable: codes of the findings that offer a fix.
        pinned: names of the pinned figures.
        asked: finished figures that the present bag was asked for.
        pointed: whether an edge is pointed at, in any pane.
        moment: of the fold preview's slider.
        sewing: whether the order of sewing is open.
        saved: how many patterns were saved.
    """

    bag: Bag
    fixable: frozenset[str]
    pinned: frozenset[str]
    asked: frozenset[str]
    pointed: bool
    moment: int
    sewing: bool
    saved: int


class TourTarget(Enum):
    """What a step points at."""

    SLIDER = "slider"
    CHANGED = "measure to change"
    FLAT = "flat pieces"
    FINDINGS = "findings"
    PIN = "pin"
    WANTED = "finished size to type"
    TABS = "tabs"
    PRINT = "pattern button"


@dataclass(frozen=True, slots=True)
class TourStep:
    """One step.

    Attributes:
        words: what to do, with the markup of the help's pages and gaps for examples.
        came: whether it was done, from how things stood when it began and how they stand now.
    """

    title: str
    words: str
    target: TourTarget
    came: Callable[[TourState, TourState], bool]


def _cut_otherwise(before: TourState, now: TourState) -> bool:
    for figure in CUT_FIGURES:
        was, found = cut_value(before.bag, figure.name), cut_value(now.bag, figure.name)
        if was != found and (was is None or found is None or not same_length(was, found)):
            return True
    return False


def _fixed(before: TourState, now: TourState) -> bool:
    return not before.fixable or bool(before.fixable - now.fixable)


TOUR_STEPS: tuple[TourStep, ...] = (
    TourStep(
        mark("Look at the bag"),
        mark(
            "Push the slider under the fold preview, or press the arrow keys on it: the flat "
            "pieces are folded and sewn. Drag the bag to turn it."
        ),
        TourTarget.SLIDER,
        lambda before, now: now.moment != before.moment,
    ),
    TourStep(
        mark("Change a measure"),
        mark(
            "Type another size at <b>{cut_label}</b>, such as {cut}, and press Enter. Any other "
            "size under it will do too. Both drawings follow."
        ),
        TourTarget.CHANGED,
        _cut_otherwise,
    ),
    TourStep(
        mark("See what is sewn to what"),
        mark(
            "Point at an edge of the flat pieces, or press Page down there: the edge that it is "
            "sewn to lights up in both drawings, with the lengths of the two."
        ),
        TourTarget.FLAT,
        lambda before, now: now.pointed,
    ),
    TourStep(
        mark("Fix a finding"),
        mark(
            "Read the findings, and press the button beside one: it changes the pattern so that "
            "the finding goes. [[fix_worst]] takes the worst one. Undo takes it back."
        ),
        TourTarget.FINDINGS,
        _fixed,
    ),
    TourStep(
        mark("Pin what must stay"),
        mark(
            "Press the pin beside <b>{pin_label}</b>, or of any other size. A pinned size stays "
            "while the pattern follows another one."
        ),
        TourTarget.PIN,
        lambda before, now: bool(now.pinned - before.pinned),
    ),
    TourStep(
        mark("Type the size that you want"),
        mark(
            "Type a finished size, such as {wanted} at <b>{wanted_label}</b>, and press Enter: the "
            "pattern follows, and what is pinned stays."
        ),
        TourTarget.WANTED,
        lambda before, now: bool(now.asked) and now.bag != before.bag,
    ),
    TourStep(
        mark("Read the sewing order"),
        mark(
            "Open the tab Sewing order, or choose [[sewing_order]]: every step of this bag, with "
            "its numbers and a drawing."
        ),
        TourTarget.TABS,
        lambda before, now: now.sewing,
    ),
    TourStep(
        mark("Save the pattern"),
        mark(
            "Choose [[print]], look through the pages, and save the PDF. Print it at 100 % and "
            "measure the test squares before you cut."
        ),
        TourTarget.PRINT,
        lambda before, now: now.saved > before.saved,
    ),
)
"""The steps in order."""

NOTHING_TO_FIX = mark("No finding of this bag offers a fix, so there is nothing to do here. Go on.")


class Tour(QObject):
    """Goes through the steps with a window.

    Attributes:
        place: of the present step in `TOUR_STEPS`.
        done: whether the present step was done.

    Signals:
        changed: another step, or the present one was done.
        ended: all were gone through.
    """

    changed = Signal()
    ended = Signal()

    def __init__(self, window: "MainWindow", parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._window = window
        self._saved = 0
        self.place = 0
        self.done = False
        document = window.document
        document.changed.connect(self._on_document_change)
        document.kept_changed.connect(self._look)
        document.pointed.connect(self._look)
        window.display.changed.connect(self.changed)
        window.fold.slider.valueChanged.connect(self._look)
        window.tabs.currentChanged.connect(self._look)
        window.dialogs.pattern_saved.connect(self._on_pattern_saved)
        self._before = self._seen()
        self._begin()

    @property
    def step(self) -> TourStep:
        """The present step."""
        return TOUR_STEPS[self.place]

    @property
    def words(self) -> str:
        """What the present step asks for, as HTML, in the reader's unit."""
        if self.step.target is TourTarget.FINDINGS and not self._before.fixable:
            return translated(NOTHING_TO_FIX)
        display, result = self._window.display, self._window.document.result
        more = MORE.mm(display)
        changed = changed_figure(result.bag)
        cut = round_to_step((cut_value(result.bag, changed) or 0.0) + more, more)
        wanted = round_to_step((result.finished[WANTED] or 0.0) + more, more)
        finished = self._window.measures.finished_rows
        return filled(
            translated(self.step.words),
            cut_label=translated(cut_figure(changed).label),
            cut=display.length(cut),
            pin_label=translated(finished[PINNED].figure.label),
            wanted_label=translated(finished[WANTED].figure.label),
            wanted=display.length(wanted),
        )

    def go_on(self) -> None:
        """Take the next step, done or not; after the last one the tour is at its end."""
        if self.place + 1 == len(TOUR_STEPS):
            self.ended.emit()
            return
        self.place += 1
        self._begin()

    def _begin(self) -> None:
        self._before = self._seen()
        self.done = self.step.came(self._before, self._before)
        self.changed.emit()

    def _seen(self) -> TourState:
        window, document = self._window, self._window.document
        findings = document.result.findings
        return TourState(
            bag=document.bag,
            fixable=frozenset(each.code for each in findings if each.fixes),
            pinned=document.project.pinned,
            asked=frozenset(window.session.redesigner.asked),
            pointed=document.pointing.edge is not None,
            moment=window.fold.slider.value(),
            sewing=window.tabs.currentWidget() is window.sewing,
            saved=self._saved,
        )

    def _look(self, _what: object = None) -> None:
        """Something happened: it may have been what the step asks for."""
        if not self.done and self.step.came(self._before, self._seen()):
            self.done = True
            self.changed.emit()

    def _on_document_change(self, change: Change) -> None:
        if change.opened:
            self._begin()  # another bag: what was done to the last one does not count
        else:
            self._look()

    def _on_pattern_saved(self, _path: object) -> None:
        self._saved += 1
        self._look()
