"""The list of measures: finished figures first, then what is cut, part by part.

Rows come from the tables of figures, so that a new figure needs nothing here.
"""

from dataclasses import dataclass
from itertools import pairwise

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.binding import Binding
from app.display import Display
from app.document import Change, Document
from app.measures.choices import CHOICES, Choice, ChoiceBox, Chooser, tr
from app.measures.group import Group
from app.measures.layers_list import LayersList
from app.measures.length_box import CountSpinBox, FigureBox, LengthSpinBox
from app.measures.row import Row, ValueText, field_width
from app.words import from_core, told_error
from core.bag import CUT_FIGURES, FINISHED_FIGURES, PART_LABELS, Bag, cut_value
from core.compute import Result
from core.errors import CornerwrightError, FieldError
from core.figures import CutFigure, FinishedFigure, Kind
from core.parts.handles import HandleStyle

FINISHED_FIRST = ("panel", "closure")
"""Parts whose finished figures stand together at the top; the others' stand with the part."""

SIGHT = 40
"""What stays in sight above and below a row that the maker was led to, px."""

SAME = 1e-6
"""Differences below this (mm, litres) are no change."""


@dataclass(slots=True)
class CutRow:
    """A cut figure with its row, box and binding."""

    figure: CutFigure
    row: Row
    box: FigureBox
    binding: Binding[float]
    compared: tuple[object, ...] = ()


@dataclass(slots=True)
class FinishedRow:
    """A finished figure with its row and text."""

    figure: FinishedFigure
    row: Row
    text: ValueText
    compared: tuple[object, ...] = ()


@dataclass(slots=True)
class ChoiceRow:
    """A choice with its row and binding."""

    choice: Choice
    row: Row
    binding: Binding[str]


class MeasuresPane(QScrollArea):
    """Every figure of the bag; the cut ones can be typed in.

    Signals:
        layers_asked: the maker wants to edit the layers.
    """

    layers_asked = Signal()

    def __init__(self, document: Document, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._display = display
        self._chooser = Chooser(document)
        self._writing: Row | None = None
        self.cut_rows: dict[str, CutRow] = {}
        self.finished_rows: dict[str, FinishedRow] = {}
        self.choice_rows: dict[str, ChoiceRow] = {}
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName(self.tr("Measures"))
        self._list = QWidget()
        self._column = QVBoxLayout(self._list)
        self._column.setContentsMargins(6, 4, 6, 8)
        self._column.setSpacing(0)
        self._layers = LayersList(document, self._list)
        self._layers.asked.connect(self.layers_asked)
        self._build()
        self._column.addStretch(1)
        self.setWidget(self._list)
        self._keep_tab_order()
        document.changed.connect(self._on_changed)
        document.refused.connect(self._on_refused)
        document.figure_asked.connect(self.show_figure)
        display.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the document's figures; only what differs is written again."""
        result, starting = self._document.result, self._document.starting
        for each in self.choice_rows.values():
            each.binding.refresh()
        for cut in self.cut_rows.values():
            self._refresh_cut(cut, result.bag, starting.bag)
        for finished in self.finished_rows.values():
            self._refresh_finished(finished, result, starting)
        self._layers.refresh()

    def show_figure(self, name: str) -> None:
        """Scroll to the row of a figure, light it, and give its field the focus."""
        found = self.cut_rows.get(name) or self.finished_rows.get(name)
        if found is None:
            if name == "layers":
                self.ensureWidgetVisible(self._layers)
            return
        # Again once the rows that came or grew in this very change have found their places.
        self.ensureWidgetVisible(found.row, 0, SIGHT)
        QTimer.singleShot(0, found.row, lambda: self.ensureWidgetVisible(found.row, 0, SIGHT))
        found.row.light()
        found.row.field.setFocus(Qt.FocusReason.OtherFocusReason)

    def _build(self) -> None:
        finished = Group(self.tr("Finished"), self._list)
        first = [figure for figure in FINISHED_FIGURES if figure.part in FINISHED_FIRST]
        for figure in sorted(first, key=lambda each: each.kind is Kind.VOLUME):
            self._add_finished(figure, finished)
        self._column.addWidget(finished)
        for part, label in PART_LABELS.items():
            group = Group(self.tr("Cut") if part == "panel" else from_core(label), self._list)
            self._fill(group, part)
            self._column.addWidget(group)

    def _fill(self, group: Group, part: str) -> None:
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
        if part == "sandwich":
            group.add(self._layers)

    def _add_choice(self, choice: Choice, group: Group) -> None:
        box = ChoiceBox(choice, self)
        box.setFixedWidth(field_width(self))
        row = group.add_row(tr(choice.label), box, tr(choice.help))
        binding = Binding[str](
            box,
            read=lambda: choice.read(self._document.bag),
            write=lambda key: self._choose(row, choice, key),
        )
        self.choice_rows[choice.name] = ChoiceRow(choice, row, binding)

    def _add_cut(self, figure: CutFigure, group: Group) -> None:
        label = from_core(figure.label)
        box: FigureBox
        if figure.kind is Kind.COUNT:
            box = CountSpinBox(label, self)
        else:
            box = LengthSpinBox(label, self._display, self)
        box.setObjectName(figure.name)
        box.setFixedWidth(field_width(self))
        row = group.add_row(label, box, from_core(figure.help))
        box.problem_changed.connect(lambda problem: row.set_note(problem, wrong=True))
        binding = Binding[float](
            box,
            read=lambda: cut_value(self._document.bag, figure.name),
            write=lambda value: self._write(row, figure, value),
        )
        self.cut_rows[figure.name] = CutRow(figure, row, box, binding)

    def _add_finished(self, figure: FinishedFigure, group: Group) -> None:
        label = from_core(figure.label)
        text = ValueText(label, ARROWS_WIDTH, self)
        text.setObjectName(figure.name)
        text.setFixedWidth(field_width(self))
        row = group.add_row(label, text, from_core(figure.help))
        self.finished_rows[figure.name] = FinishedRow(figure, row, text)

    def _keep_tab_order(self) -> None:
        rows = [row for group in self._list.findChildren(Group) for row in group.rows]
        fields = [row.field for row in rows] + [self._layers.button]
        for one, other in pairwise(fields):
            QWidget.setTabOrder(one, other)

    def _refresh_cut(self, cut: CutRow, bag: Bag, starting: Bag) -> None:
        name = cut.figure.name
        value, was = cut_value(bag, name), cut_value(starting, name)
        shown = value is not None and applies(name, bag)
        if shown is cut.row.isHidden():
            cut.row.setVisible(shown)
        if not shown:
            return
        cut.binding.refresh()
        compared = (value, was, self._display.unit, self._display.step)
        if compared != cut.compared:
            cut.compared = compared
            cut.row.change.set_text(self._change(cut.figure.kind, value, was))

    def _refresh_finished(self, finished: FinishedRow, result: Result, starting: Result) -> None:
        figure = finished.figure
        value, was = result.value(figure), starting.value(figure)
        shown = value is not None
        if shown is finished.row.isHidden():
            finished.row.setVisible(shown)
        compared = (value, was, self._display.unit, self._display.step)
        if compared == finished.compared or value is None:
            return
        finished.compared = compared
        if figure.kind is Kind.VOLUME:
            litres, _, other = self._display.volume(value).partition(" (")
            finished.text.show_text(litres)
            finished.row.set_note(other.rstrip(")"), wrong=False)
        else:
            finished.text.show_text(self._display.length(value))
        finished.row.change.set_text(self._change(figure.kind, value, was))

    def _change(self, kind: Kind, value: float | None, was: float | None) -> str:
        """What differs from the starting bag, signed; empty for nothing."""
        if value is None:
            return ""
        if was is None:
            return self.tr("new")
        difference = value - was
        if abs(difference) < SAME:
            return ""
        sign = "+" if difference > 0 else "−"
        size = abs(difference)
        if kind is Kind.LENGTH:
            return f"{sign} {self._display.bare(size)}"
        return f"{sign} {size:g}" if kind is Kind.COUNT else f"{sign} {size:.2f} L"

    def _write(self, row: Row, figure: CutFigure, value: float) -> bool:
        self._writing = row
        try:
            return self._document.set_figures(
                {figure.name: value}, from_core(figure.label), merge_key=f"figure {figure.name}"
            )
        finally:
            self._writing = None

    def _choose(self, row: Row, choice: Choice, key: str) -> bool:
        row.set_note("", wrong=True)
        try:
            return self._chooser.choose(choice, key)
        except FieldError as error:
            row.set_note(told_error(error, self._display), wrong=True)
            self.choice_rows[choice.name].binding.refresh()
            self._document.refuse(error)
            return False

    def _on_changed(self, change: Change) -> None:
        if change.result is self._document.starting:
            self._chooser.forget()
        for each in self.choice_rows.values():
            each.row.set_note("", wrong=True)
        self.refresh()

    def _on_refused(self, error: CornerwrightError) -> None:
        row = self._writing
        if row is not None and isinstance(row.field, FigureBox):
            row.field.set_problem(told_error(error, self._display))

    # Qt's own names from here on.

    def sizeHint(self) -> QSize:
        return QSize(self._list.sizeHint().width() + 18, 640)

    def minimumSizeHint(self) -> QSize:
        return QSize(self._list.minimumSizeHint().width() + 18, 160)


ARROWS_WIDTH = 22
"""Room right of a read-only value, px, so that its digits stand under those in the boxes."""


def applies(name: str, bag: Bag) -> bool:
    """Whether a figure that the bag holds plays a role in its construction."""
    if name == "handle_leg":
        return bag.handles is not None and bag.handles.style is HandleStyle.SEPARATE
    return name != "bottom_seam" or not bag.panel.folded
