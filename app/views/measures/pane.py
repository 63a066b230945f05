"""The list of measures: finished figures first, then what is cut, part by part.

Rows come from the tables of figures, so that a new figure needs nothing here.
"""

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QRect, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QAbstractSpinBox, QFrame, QScrollArea, QVBoxLayout, QWidget

from app.session.display import DASH, shown_value, told_error, translated
from app.session.document import Change
from app.session.session import Session
from app.views.measures.foot import CapacityRows, MeasureNotes
from app.views.measures.row import (
    ARROWS_WIDTH,
    MeasureGroup,
    MeasureRow,
    PinButton,
    ReadOnlyValue,
    field_width,
    keep_tab_order,
)
from app.views.measures.rows import (
    ChoiceBox,
    ChoiceRow,
    Chooser,
    CutRow,
    FinishedRow,
    LayersList,
    WaitingRow,
    change_text,
    cost_text,
    drawn_text,
    has_row,
    matched_pin,
    other_units,
)
from app.widgets.desktop import enclosing
from app.widgets.figure_box import FigureBox
from app.widgets.inputs import Binding, CountBox, LengthBox, VolumeBox
from app.widgets.layouts import give_ground, spaced
from app.widgets.menus import FigureLines, MenuLine, widget_at
from core.bag.bag import Bag, cut_value
from core.bag.choices import CHOICES, word_of
from core.bag.compute import Result
from core.bag.figures import PINNABLE, WANTED
from core.bag.tables import BODY, CUT_FIGURES, FINISHED_FIGURES, OWNERS, SANDWICH, TOP
from core.base.errors import CornerwrightError, FieldError
from core.base.units import Unit
from core.goods.layers import LAYERS
from core.model.figures import NO_TAKE_UP, CutFigure, FinishedFigure, Form, Quantity
from core.site.owner import Choice, Owner
from core.site.site import Finished

if TYPE_CHECKING:
    from core.solid.capacity import Capacity

FINISHED_FIRST = (BODY, TOP)
"""Parts whose finished figures stand together at the top; the others' stand with the part."""

SIGHT = 40
"""Kept in sight above and below a row that the maker was led to, px."""


class MeasuresPane(QScrollArea):
    """Every figure of the bag: the cut ones, and the finished ones that the pattern follows.

    Signals:
        layers_asked: the maker wants to edit the layers.
        reckoned(str): what a typed change or sum came to.
    """

    layers_asked = Signal()
    reckoned = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._document = document = session.document
        self._display = display = session.display
        self._redesigner = redesigner = session.redesigner
        self._chooser = Chooser(session)
        self._refused: MeasureRow | None = None
        self._drawn: Finished = document.result.drawn
        self.cut_rows: dict[str, CutRow] = {}
        self.finished_rows: dict[str, FinishedRow] = {}
        self.choice_rows: dict[str, ChoiceRow] = {}
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        give_ground(self)
        self.setAccessibleName(self.tr("Measures"))
        self._list = QWidget()
        self._column = spaced(QVBoxLayout(self._list), 0, (6, 4, 6, 8))
        self._layers = LayersList(document, display, self._list)
        self._layers.asked.connect(self.layers_asked)
        self._build()
        self._column.addStretch(1)
        self.setWidget(self._list)
        self._make_foot()
        keep_tab_order(self._list.findChildren(MeasureGroup), self._layers.button)
        document.changed.connect(self._on_changed)
        document.kept_changed.connect(self.refresh)
        document.refused.connect(self._on_refused)
        document.refusal_cleared.connect(self._on_refusal_cleared)
        redesigner.outcome_changed.connect(self.refresh)
        document.figure_asked.connect(self.show_figure)
        display.changed.connect(self.refresh)
        self.refresh()
        self._waiting = WaitingRow(redesigner, self._row_of, self.refresh, self)

    def refresh(self) -> None:
        """Show the document's figures; only what differs is written again."""
        result, starting = self._document.result, self._document.starting
        self._drawn, self._larger = result.drawn, result.bag.take_up != NO_TAKE_UP
        for each in self.choice_rows.values():
            each.row.setVisible(word_of(result.bag, each.choice) is not None)
            each.binding.refresh()
        for cut in self.cut_rows.values():
            self._refresh_cut(cut, result.bag, starting.bag)
        for finished in self.finished_rows.values():
            self._refresh_finished(finished, result, starting)
        self._refresh_pins()
        self._capacity.refresh()
        self._layers.refresh()

    def show_capacity(self, capacity: "Capacity | None", *, current: bool) -> None:
        """Show what a bag holds stuffed hard; as older numbers unless it is `current`."""
        self._capacity.show(capacity, current=current)

    def show_figure(self, name: str) -> None:
        """Scroll to the row of a figure, light it, and give its field the focus."""
        found = self.cut_rows.get(name) or self.finished_rows.get(name)
        row = self._capacity.row(name) if found is None else found.row
        if row is None:
            if name == LAYERS:
                self.ensureWidgetVisible(self._layers)
            return
        self._bring_into_sight(row)
        row.light()
        row.field.setFocus(Qt.FocusReason.OtherFocusReason)

    def first_field(self) -> FigureBox | None:
        """Of the finished figures that the bag has."""
        fields = [each.row.field for each in self.finished_rows.values()]
        return next((it for it in fields if isinstance(it, FigureBox) and it.isVisible()), None)

    def toggle_pin(self) -> bool:
        """Pin or release the row that has the focus; False when there is none to pin."""
        for name, pin in self._pins().items():
            row = pin.parentWidget()
            if isinstance(row, MeasureRow) and (row.field.hasFocus() or pin.hasFocus()):
                return self._redesigner.pin(name, not pin.isChecked())
        return False

    def menu_at(self, at: QPoint | None) -> list[MenuLine]:
        widget = widget_at(self, at)
        row = enclosing(widget, MeasureRow)
        lines: list[MenuLine] = []
        if enclosing(widget, QAbstractSpinBox) is not None:
            lines += ["cut", "copy", "paste", "select_all", None]
        name = "" if row is None else row.field.objectName()
        return [*lines, FigureLines(name, here=True)] if name else lines[:-1]

    def _bring_into_sight(self, row: MeasureRow) -> None:
        seen = QRect(row.mapTo(self.viewport(), QPoint()), row.size())
        if self.viewport().rect().contains(seen):
            return
        # Again once the rows that came or grew in this very change have found their places.
        self.ensureWidgetVisible(row, 0, SIGHT)
        QTimer.singleShot(0, row, lambda: self.ensureWidgetVisible(row, 0, SIGHT))

    def _build(self) -> None:
        finished = self._finished = MeasureGroup(self.tr("Finished"), self._list)
        first = [figure for figure in FINISHED_FIGURES if figure.part in FINISHED_FIRST]
        for figure in sorted(first, key=lambda each: each.quantity is Quantity.VOLUME):
            if figure.form is not Form.FILLED:
                self._add_finished(figure, finished)
        self._capacity = CapacityRows(self._session, finished, ARROWS_WIDTH, self)
        self._column.addWidget(finished)
        for part, label in OWNERS.items():
            group = MeasureGroup(translated(label), self._list)
            self._fill(group, part)
            self._column.addWidget(group)

    def _make_foot(self) -> None:
        self.foot = MeasureNotes(self._list.findChildren(MeasureRow), self)
        self.foot.releases.release_asked.connect(self._redesigner.release)
        self.reckoned.connect(self.foot.tell)
        self.foot.height_wanted.connect(self._place_foot)
        self.verticalScrollBar().valueChanged.connect(self._place_foot)
        self.setViewportMargins(0, 0, 0, self.foot.rest_height)

    def _fill(self, group: MeasureGroup, part: str) -> None:
        for choice in CHOICES:
            if choice.part == part:
                self._add_choice(choice, group)
        for cut in CUT_FIGURES:
            if cut.part == part:
                self._add_cut(cut, group)
        if part not in FINISHED_FIRST:
            for finished in FINISHED_FIGURES:
                if finished.part == part:
                    self._add_finished(finished, group)
        if part == SANDWICH:
            group.add(self._layers)

    def _add_choice(self, choice: Choice, group: MeasureGroup) -> None:
        box = ChoiceBox(choice, self)
        box.setFixedWidth(field_width(self))
        row = group.add_row(translated(choice.label), box, translated(choice.help))
        binding = Binding[str | None](
            box,
            read=lambda: word_of(self._document.bag, choice),
            write=lambda word: self._choose(row, choice, word),
        )
        self.choice_rows[choice.name] = ChoiceRow(choice, row, binding)

    def _add_cut(self, figure: CutFigure, group: MeasureGroup) -> None:
        label = translated(figure.label)
        box: FigureBox
        if figure.quantity is Quantity.COUNT:
            box = CountBox(label, self)
        else:
            box = LengthBox(label, self._display, self)
        row = self._add_box(figure.name, label, box, translated(figure.help), group)
        box.problem_changed.connect(lambda problem: self._on_cut_problem(row, problem))
        binding = Binding[float](
            box,
            read=lambda: self._wished(figure.name, cut_value(self._document.bag, figure.name)),
            write=lambda value: self._write(figure.name, value),
        )
        self.cut_rows[figure.name] = CutRow(figure, row, box, binding)

    def _add_finished(self, figure: FinishedFigure, group: MeasureGroup) -> None:
        label, help_text = translated(figure.label), translated(figure.help)
        if figure.wanted:
            self._add_wantable(figure, group)
            return
        text = ReadOnlyValue(label, ARROWS_WIDTH, self)
        text.setObjectName(figure.name)
        text.setFixedWidth(field_width(self))
        pin = matched_pin(figure, self._redesigner, self) if figure.matched else None
        row = group.add_row(label, text, help_text, pin)
        self.finished_rows[figure.name] = FinishedRow(figure, row, text=text)

    def _add_wantable(self, figure: FinishedFigure, group: MeasureGroup) -> None:
        label = translated(figure.label)
        box: FigureBox
        if figure.quantity is Quantity.VOLUME:
            box = VolumeBox(label, self)
        else:
            box = LengthBox(label, self._display, self)
        box.lineEdit().setPlaceholderText(DASH)
        box.throttled = True
        # From what was asked for: the ruler must not hold an arrow key back.
        box.step_from = lambda: self._redesigner.asked_of(figure.name)
        row = self._add_box(figure.name, label, box, translated(figure.help), group)
        binding = Binding[float](
            box,
            read=lambda: self._wished(figure.name, self._document.result.value(figure)),
            write=lambda value: self._write(figure.name, value),
            rewrite=True,
        )
        finished = FinishedRow(figure, row, box=box, binding=binding)
        box.problem_changed.connect(lambda problem: self._on_finished_problem(finished, problem))
        self.finished_rows[figure.name] = finished

    def _add_box(
        self, name: str, label: str, box: FigureBox, help_text: str, group: MeasureGroup
    ) -> MeasureRow:
        box.setObjectName(name)
        box.setFixedWidth(field_width(self))
        box.reckoned.connect(self.reckoned)
        pin = None
        if name in PINNABLE:
            pin = PinButton(label, self)
            pin.clicked.connect(lambda pinned: self._redesigner.pin(name, pinned))
        return group.add_row(label, box, help_text, pin)

    def _refresh_cut(self, cut: CutRow, bag: Bag, starting: Bag) -> None:
        name = cut.figure.name
        value, was = cut_value(bag, name), cut_value(starting, name)
        owner = bag.owner(cut.figure.part)
        shown = value is not None and (not isinstance(owner, Owner) or owner.applies(name))
        if shown is cut.row.isHidden():
            cut.row.setVisible(shown)
        if not shown:
            return
        cut.binding.refresh()
        compared = (value, was, self._display.unit, self._display.step)
        if compared != cut.compared:
            cut.compared = compared
            cut.row.change.set_text(change_text(cut.figure.quantity, value, was, self._display))
        if not cut.box.problem:
            off = self.tr("Off the ruler, so that the corners stay matched.")
            is_off = name in self._redesigner.off_ruler
            cut.row.set_note(off if is_off else "", wrong=False)

    def _refresh_finished(self, finished: FinishedRow, result: Result, starting: Result) -> None:
        figure = finished.figure
        value, was = result.value(figure), starting.value(figure)
        shown = has_row(figure, value, result.bag)
        if shown is finished.row.isHidden():
            finished.row.setVisible(shown)
        if not shown:
            return
        if finished.binding is not None:
            finished.binding.refresh()
        cost = self._redesigner.cost.get(figure.name)
        asked = figure.name in self._redesigner.asked
        drawn = self._drawn.get(figure.name)
        shown_as = (self._larger, self._display.unit, self._display.step)
        compared = (value, was, cost, asked, drawn, *shown_as)
        if compared == finished.compared:
            return
        finished.compared = compared
        if finished.text is not None:
            finished.text.show_text(shown_value(figure.quantity, value, self._display))
        finished.row.change.set_text(change_text(figure.quantity, value, was, self._display))
        self._write_note(finished)

    def _write_note(self, finished: FinishedRow) -> None:
        """What is wrong with the text, else the volume in other units and the ruler's cost."""
        figure, row = finished.figure, finished.row
        if finished.box is not None and finished.box.problem:
            row.set_note(finished.box.problem, wrong=True)
            return
        row.offer_releases(())
        value = self._document.result.value(figure)
        is_volume = figure.quantity is Quantity.VOLUME
        units = other_units(value, self._display) if is_volume else ""
        there = self._larger or (is_volume and self._display.unit is Unit.INCH)
        drawn = drawn_text(figure, value, self._drawn.get(figure.name), self._display)
        second = "; ".join(filter(None, (units, drawn)))
        row.set_second(second, there=there)
        asked = figure.name in self._redesigner.asked
        cost = self._redesigner.cost.get(figure.name)
        row.set_note(cost_text(figure, cost, self._display, asked=asked), wrong=False)

    def _pins(self) -> dict[str, PinButton]:
        rows = {name: cut.row for name, cut in self.cut_rows.items()}
        rows |= {name: finished.row for name, finished in self.finished_rows.items()}
        rows |= self._capacity.rows
        return {name: row.pin for name, row in rows.items() if row.pin is not None}

    def _refresh_pins(self) -> None:
        for name, pin in self._pins().items():
            pin.show_pinned(self._redesigner.pinned(name))
        sewn, plain = self.tr("Finished, as sewn: take-up is allowed for"), self.tr("Finished")
        self._finished.set_title(sewn if self._larger else plain)

    def _write(self, name: str, value: float) -> bool:
        if name in WANTED:
            return self._redesigner.want(name, value)
        return self._redesigner.set_cut(name, value)

    def _wished(self, name: str, value: float | None) -> float | None:
        """What a row shows: the value that was typed while it is being worked out."""
        wish = self._redesigner.pending
        return value if wish is None or wish.name != name else wish.value

    def _choose(self, row: MeasureRow, choice: Choice, word: str | None) -> bool:
        row.set_note("", wrong=True)
        try:
            return word is not None and self._chooser.choose(choice, word)
        except FieldError as error:
            row.set_note(told_error(error, self._display), wrong=True)
            self.choice_rows[choice.name].binding.refresh()
            self._bring_into_sight(row)
            return False

    def _on_changed(self, change: Change) -> None:
        if change.opened:
            self._chooser.forget()
            self._give_back()
        for each in self.choice_rows.values():
            each.row.set_note("", wrong=True)
        self.refresh()

    def _give_back(self) -> None:
        """What stands refused was meant for the bag before."""
        finished = (each.box for each in self.finished_rows.values() if each.box is not None)
        cut = (each.box for each in self.cut_rows.values())
        for box in (*cut, *finished, *self._capacity.boxes):
            box.revert_text()

    def _on_cut_problem(self, row: MeasureRow, problem: str) -> None:
        row.set_note(problem, wrong=True)
        if not problem:
            row.offer_releases(())
            self._note_given_up(row)

    def _on_finished_problem(self, finished: FinishedRow, problem: str) -> None:
        self._write_note(finished)
        if not problem:
            self._note_given_up(finished.row)

    def _note_given_up(self, row: MeasureRow) -> None:
        """What was refused in a row is not asked for any more."""
        if row is self._refused:
            self._refused = None
            self._document.clear_refusal()

    def _on_refused(self, error: CornerwrightError) -> None:
        refusal = self._document.refusal
        row = None if refusal is None else self._row_of(refusal.field)
        if row is None or not isinstance(row.field, FigureBox):
            return
        before, self._refused = self._refused, row
        if before is not None and before is not row:
            before.revert_text()
        wish = self._redesigner.refused
        if wish is not None and row is self._row_of(wish.name):
            row.field.show_refused(wish.value)
        row.field.set_problem(told_error(error, self._display))
        asks = self._redesigner
        row.offer_releases([(name, asks.label_of(name)) for name in asks.releasable(error)])
        self._bring_into_sight(row)

    def _on_refusal_cleared(self) -> None:
        """Something else is the case by now: the field shows what the bag has."""
        row, self._refused = self._refused, None
        if row is not None:
            row.revert_text()

    def _row_of(self, name: str) -> MeasureRow | None:
        found = self.cut_rows.get(name) or self.finished_rows.get(name)
        return self._capacity.row(name) if found is None else found.row

    def _place_foot(self) -> None:
        self.foot.place(self.viewport().geometry())

    # Qt's own names from here on.

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place_foot()

    def sizeHint(self) -> QSize:
        return QSize(self._list.sizeHint().width() + 18, 640)

    def minimumSizeHint(self) -> QSize:
        return QSize(self._list.minimumSizeHint().width() + 18, 160)
