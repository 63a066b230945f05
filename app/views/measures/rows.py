"""What the list of measures keeps of its rows, and the rows that are no plain measure."""

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from app.session.display import (
    SAME,
    Display,
    reads_as_nothing,
    shown_difference,
    shown_litres,
    told,
    told_error,
    tr,
    translated,
)
from app.session.document import Document
from app.session.left_out import LeftOutSteps
from app.session.redesigner import Redesigner
from app.session.session import Session
from app.views.measures.row import MeasureRow, PinButton
from app.widgets.figure_box import FigureBox
from app.widgets.inputs import Binding, OptionBox
from app.widgets.labels import PlainLabel, TonedLabel
from app.widgets.layouts import button, spaced
from app.widgets.theme import muted_colour
from core.bag.bag import Bag
from core.bag.choices import lost_by
from core.base.errors import CornerwrightError
from core.base.quantities import volume_elsewhere
from core.base.sentences import mark
from core.base.units import Unit
from core.goods.layers import Layer
from core.model.figures import CutFigure, FinishedFigure, Quantity
from core.site.owner import Choice

LONG_WAIT = 400
"""Milliseconds after which a row says so in words: before, nothing need move for it."""


class WaitingRow(QObject):
    """Shows what was typed in muted ink until it is had or refused.

    Args:
        row_of: gives the row of a figure.
        refresh: writes the rows again, each as it is wanted or as it is.
    """

    def __init__(
        self,
        redesigner: Redesigner,
        row_of: Callable[[str], MeasureRow | None],
        refresh: Callable[[], None],
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._redesigner, self._row_of, self._refresh = redesigner, row_of, refresh
        self._row: MeasureRow | None = None
        self._long_wait = QTimer(self, singleShot=True, interval=LONG_WAIT)
        self._long_wait.timeout.connect(self._tell)
        redesigner.pending_changed.connect(self._on_pending_changed)

    def _on_pending_changed(self) -> None:
        wish = self._redesigner.pending
        before, self._row = self._row, None if wish is None else self._row_of(wish.name)
        if before is not None and before is not self._row:
            if before.waits:
                before.set_note("", wrong=False)
            _mark(before, "")
        self._refresh()
        if self._row is None:
            self._long_wait.stop()
        elif self._row is not before:
            _mark(self._row, translated(WAITS))
            self._long_wait.start()

    def _tell(self) -> None:
        if self._row is not None and not self._row.is_wrong:
            self._row.set_note(translated(WAITS), wrong=False, waits=True)


class RefusedRow(QObject):
    """Has the row in which something was asked for that cannot be say so, until it is given up.

    Args:
        row_of: gives the row of a figure.
        bring: brings a row into sight.
    """

    def __init__(
        self,
        session: Session,
        row_of: Callable[[str], MeasureRow | None],
        bring: Callable[[MeasureRow], None],
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._document, self._display = session.document, session.display
        self._redesigner = session.redesigner
        self._row_of, self._bring = row_of, bring
        self._row: MeasureRow | None = None
        self._document.refused.connect(self._on_refused)
        self._document.refusal_cleared.connect(self._on_refusal_cleared)
        self._display.changed.connect(self._tell)

    def _on_refused(self, error: CornerwrightError) -> None:
        refusal, asks = self._document.refusal, self._redesigner
        row = None if refusal is None else self._row_of(refusal.field)
        if row is None or not isinstance(row.field, FigureBox):
            return
        before = self._go_to(row)
        if before is not None and before is not row:
            before.revert_text()
        if asks.refused is not None and row is self._row_of(asks.refused.name):
            row.field.show_refused(asks.refused.value)
        self._tell()
        row.offer_releases([(name, asks.label_of(name)) for name in asks.releasable(error)])
        self._bring(row)

    def _go_to(self, row: MeasureRow | None) -> MeasureRow | None:
        """Watch this row, or none, for what was refused to be given up; the one before it."""
        before, self._row = self._row, row
        if before is not None and isinstance(before.field, FigureBox):
            before.field.problem_changed.disconnect(self._on_problem)
        if row is not None and isinstance(row.field, FigureBox):
            row.field.problem_changed.connect(self._on_problem)
        return before

    def _on_problem(self, problem: str) -> None:
        if not problem:
            self._go_to(None)
            self._document.clear_refusal()

    def _tell(self) -> None:
        """Say why not, in the unit that lengths are shown in by now."""
        row, refusal = self._row, self._document.refusal
        if row is not None and refusal is not None and isinstance(row.field, FigureBox):
            row.field.set_problem(told_error(refusal.error, self._display))

    def _on_refusal_cleared(self) -> None:
        """Something else is the case by now: the field shows what the bag has."""
        row = self._go_to(None)
        if row is not None:
            row.revert_text()


def _mark(row: MeasureRow, text: str) -> None:
    if isinstance(row.field, FigureBox):
        row.field.set_pending(text)


class LayersList(QWidget):
    """One line per layer, outermost first.

    Signals:
        asked: the maker wants to edit the layers.
    """

    asked = Signal()

    def __init__(self, document: Document, display: Display, parent: QWidget) -> None:
        super().__init__(parent)
        self._document, self._display = document, display
        self._shown: tuple[tuple[Layer, ...], Unit] = (), display.unit
        self._lines = QGridLayout()
        self._lines.setContentsMargins(0, 4, 0, 4)
        self._lines.setVerticalSpacing(2)
        self._lines.setColumnStretch(0, 1)
        self.button = button(
            self.tr("Edit layers…"),
            self,
            self.tr("Layers of the wall, outermost first: thickness, width, what melts, price."),
            then=self.asked,
        )
        column = spaced(QVBoxLayout(self), around=(10, 0, 10, 4))
        column.addLayout(self._lines)
        column.addWidget(self.button, 0, Qt.AlignmentFlag.AlignLeft)

    def refresh(self) -> None:
        """Show the document's layers when they, or the unit, are other ones."""
        layers = self._document.bag.sandwich.layers
        shown = layers, self._display.unit
        if shown == self._shown:
            return
        self._shown = shown
        while (item := self._lines.takeAt(0)) is not None:
            if (line := item.widget()) is not None:
                line.deleteLater()
        for place, layer in enumerate(layers):
            role = PlainLabel(layer.role, self)
            role.setWordWrap(True)
            thickness = TonedLabel(muted_colour, self._display.thickness(layer.thickness), self)
            self._lines.addWidget(role, place, 0)
            self._lines.addWidget(thickness, place, 1, Qt.AlignmentFlag.AlignRight)


class ChoiceBox(OptionBox):
    """The options of one choice; arrow keys pass those that the bag refuses.

    Signals:
        value_edited(str): the maker chose the option with this word.
    """

    value_edited = Signal(str)

    def __init__(self, choice: Choice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(translated(choice.label))
        for word, label in choice.options:
            self.addItem(translated(label), word)
        self._tried: int | None = None
        self.activated.connect(self._on_activated)

    def show_value(self, value: str | None) -> None:
        index = self.findData(value)
        if index != self.currentIndex():
            self.setCurrentIndex(index)

    def _on_activated(self, index: int) -> None:
        self._tried = index
        self.value_edited.emit(self.itemData(index))

    # Qt's own name.

    def keyPressEvent(self, event: QKeyEvent) -> None:
        self._tried = None
        super().keyPressEvent(event)
        way, nearest = _WAYS.get(event.key(), 0), self._refused
        if not way or nearest is None:
            return
        ahead = range(nearest + way, self.count() if way > 0 else -1, way)
        if not any(map(self._can_be, ahead)):
            self._can_be(nearest)  # its reason is the one to be read

    @property
    def _refused(self) -> int | None:
        """The option that was tried last, if it is not the one that is shown."""
        return None if self._tried == self.currentIndex() else self._tried

    def _can_be(self, index: int) -> bool:
        """Choose an option, and tell whether the bag took it."""
        self.setCurrentIndex(index)
        self._on_activated(index)
        return self._refused is None


_WAYS: dict[int, int] = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}
"""Which way in its list a key goes."""


class Chooser:
    """Applies choices to a document and remembers what was left out of its bag."""

    def __init__(self, session: Session) -> None:
        self._session, self._document = session, session.document
        self._left_out = LeftOutSteps(session.document.undo_stack)

    def forget(self) -> None:
        self._left_out.forget()

    def choose(self, choice: Choice, word: str) -> bool:
        """Make one choice, as one undo step; a CornerwrightError leaves the bag as it was."""
        bag = self._document.bag
        other, left = self._left_out.now.chosen(bag, choice, word, self._drawn)
        made = self._document.replace_bag(other, translated(choice.step))
        if made:
            self._left_out.put(left)
        if (lost := lost_by(choice, bag, other)) is not None:
            self._session.said.emit(told(lost, self._session.display))
        return made

    def _drawn(self, bag: Bag) -> Bag:
        """The bag drawn for what sewing takes up in its construction, in the same sizes."""
        take_up = self._document.project.take_up_of(bag)
        if bag.take_up == take_up:
            return bag
        from core.redesign.measured import drawn_for  # with the solver

        return drawn_for(bag, take_up)


class ChoiceRow:
    """A choice with its row and binding.

    Attributes:
        word: of the option that is shown; None: the bag's list has no such row.
    """

    def __init__(self, choice: Choice, row: MeasureRow, binding: Binding[str | None]) -> None:
        self.choice, self.row, self.binding = choice, row, binding
        self.word: str | None = None

    def show(self, word: str | None) -> None:
        """Show this option; nothing is done where it is what is shown."""
        if word != self.word:
            self.word = word
            self.row.setVisible(word is not None)
            self.binding.refresh()


WAITS = mark("Being worked out: the bag is filled several times over.")
"""What stands at a row whose figure is on its way to what was typed."""


def matched_pin(figure: FinishedFigure, redesigner: Redesigner, parent: QWidget) -> PinButton:
    """A pin that keeps a mismatch at 0."""
    pin = PinButton(translated(figure.matched), parent)
    pin.set_tips(
        tr(
            "Corner edges may differ in length when a finished size is typed. Click to keep "
            "them matched."
        ),
        tr("Corner edges stay matched when a finished size is typed. Click to let them differ."),
    )
    pin.clicked.connect(lambda pinned: redesigner.pin(figure.name, pinned))
    return pin


def other_units(litres: float | None, display: Display) -> str:
    """A volume in the units beside litres; empty where litres are enough."""
    if litres is None or display.unit is not Unit.INCH:
        return ""
    return volume_elsewhere(litres)


def change_text(
    quantity: Quantity, value: float | None, was: float | None, display: Display
) -> str:
    """What differs from the starting bag, signed; empty for nothing."""
    if value is None:
        return ""
    if was is None:
        return tr("new")
    if abs(value - was) < SAME:
        return ""
    return shown_difference(quantity, value - was, display, suffix=False)


def cost_text(quantity: Quantity, cost: float | None, display: Display, *, asked: bool) -> str:
    """What the ruler step left over or under; empty for nothing that can be read."""
    if cost is None or abs(cost) < SAME:
        return ""
    size = abs(cost)
    shown = shown_litres(size) if quantity is Quantity.VOLUME else display.difference(size)
    if reads_as_nothing(shown):
        return ""
    return translated(_COSTS[cost > 0.0, asked]).format(size=shown)


_COSTS = {
    (True, True): mark("{size} over what you asked for"),
    (False, True): mark("{size} under what you asked for"),
    (True, False): mark("{size} over, by rounding"),
    (False, False): mark("{size} under, by rounding"),
}


Made = TypeVar("Made")
Listed = TypeVar("Listed", Choice, CutFigure, FinishedFigure)


def made_when(
    rows: dict[str, Made], listed: Listed, make: Callable[[Listed], Made], *, needed: bool
) -> Made | None:
    """The row of a choice or figure, made the first time that it is needed; None before."""
    if needed and listed.name not in rows:
        rows[listed.name] = make(listed)
    return rows.get(listed.name)
