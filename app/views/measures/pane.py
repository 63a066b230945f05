"""The list of measures: finished figures first, then what is cut, part by part.

Rows come from the tables of figures, so that a new figure needs nothing here: each is made when
the bag first has it. Those that a window just opened does not reach down to come right after its
first picture, or when one of them is asked for: made before, they put that picture off.
"""

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPoint, QRect, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QPaintEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QApplication,
    QFrame,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.session.display import DASH, Figure, told_error, translated
from app.session.document import Change
from app.session.session import Session
from app.views.measures.capacity_rows import CapacityRows
from app.views.measures.figure_row import FigureRow, Standings
from app.views.measures.foot import MeasureNotes
from app.views.measures.row import (
    ARROWS_WIDTH,
    MeasureGroup,
    MeasureRow,
    PinButton,
    field_width,
    keep_tab_order,
)
from app.views.measures.rows import (
    ChoiceBox,
    ChoiceRow,
    Chooser,
    LayersList,
    RefusedRow,
    WaitingRow,
    made_when,
    matched_pin,
)
from app.widgets.desktop import MEASURES_WIDTH, enclosing, room_for
from app.widgets.figure_box import FigureBox
from app.widgets.inputs import Binding, CountBox, LengthBox, VolumeBox
from app.widgets.labels import ReadOnlyValue
from app.widgets.layouts import give_ground, holding, spaced
from app.widgets.menus import FigureLines, MenuLine, widget_at
from core.bag.choices import CHOICES, word_of
from core.bag.figures import PINNABLE, WANTED
from core.bag.tables import BODY, CUT_ROWS, FINISHED_ROWS, OWNERS, SANDWICH, TOP
from core.base.errors import CornerwrightError
from core.goods.layers import LAYERS
from core.model.figures import CutFigure, FinishedFigure, Form, Quantity
from core.site.owner import Choice

if TYPE_CHECKING:
    from core.solid.capacity import Capacity

FINISHED_FIRST = (BODY, TOP)
"""Parts whose finished figures stand together at the top, and whose cut ones come next; the
others' stand with the part."""

LISTED_FINISHED = sorted(
    (figure for figure in FINISHED_ROWS if figure.form is not Form.FILLED),
    key=lambda each: each.part in FINISHED_FIRST and each.quantity is Quantity.VOLUME,
)
"""Finished figures in reading order: volumes last of those at the top, before the filled ones."""

PLACES = {each: place for place, each in enumerate((*CHOICES, *CUT_ROWS, *LISTED_FINISHED))}
"""Choice or figure -> where its row stands among those of its group."""

NARROW = 1000
"""Room on a screen, px, in which a window may be no wider than its rows let it be."""

SIGHT = 40
"""Kept in sight above and below a row that the maker was led to, px."""


class MeasuresPane(QScrollArea):
    """Every figure of the bag: the cut ones, and the finished ones that the pattern follows.

    Signals:
        layers_asked: the maker wants to edit the layers.
        reckoned(str): what a typed change or sum came to.
        field_made(QAbstractSpinBox): a field has come with a row that the bag had not had yet.
    """

    layers_asked = Signal()
    reckoned = Signal(str)
    field_made = Signal(QAbstractSpinBox)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._document = document = session.document
        self._display = display = session.display
        self._redesigner = redesigner = session.redesigner
        self._chooser = Chooser(session)
        self._cut_rows: dict[str, FigureRow] = {}
        self._finished_rows: dict[str, FigureRow] = {}
        self._choice_rows: dict[str, ChoiceRow] = {}
        # Where a screen is narrow, a window is as wide as all rows let it be from the first.
        self._has_rest = room_for(self).width() < NARROW
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        give_ground(self)
        self.setAccessibleName(self.tr("Measures"))
        self._list = _List()
        self._list.painted.connect(self._on_painted)
        self._column = spaced(QVBoxLayout(self._list), 0, (6, 4, 6, 8))
        self._field_width = field_width(self)
        self._layers = LayersList(document, display, self._list)
        self._layers.asked.connect(self.layers_asked)
        self._build()
        self._make_foot()
        self.refresh()
        self._column.addStretch(1)
        self.setWidget(self._list)  # with all its rows: it is laid out once
        document.changed.connect(self._on_changed)
        document.kept_changed.connect(self.refresh)
        redesigner.outcome_changed.connect(self.refresh)
        document.figure_asked.connect(self.show_figure)
        display.changed.connect(self.refresh)
        self._waiting = WaitingRow(redesigner, self._row_of, self.refresh, self)
        self._refusals = RefusedRow(session, self._row_of, self._bring_into_sight, self)

    @property
    def cut_rows(self) -> dict[str, FigureRow]:
        self.make_rest()
        return self._cut_rows

    @property
    def finished_rows(self) -> dict[str, FigureRow]:
        self.make_rest()
        return self._finished_rows

    @property
    def choice_rows(self) -> dict[str, ChoiceRow]:
        self.make_rest()
        return self._choice_rows

    def make_rest(self) -> None:
        """Make the rows below the first ones; nothing is done once they are made."""
        if not self._has_rest:
            self._has_rest = True
            self.refresh()

    def refresh(self) -> None:
        """Show the document's figures: each row that follows from something else than before."""
        standings, bag, before = Standings(self._session), self._document.bag, len(self._all_rows)
        for choice in CHOICES:
            word = word_of(bag, choice)
            due = word is not None and self._is_due(choice)
            if shown := made_when(self._choice_rows, choice, self._add_choice, needed=due):
                shown.show(word)
        for cut in CUT_ROWS:
            standing = standings.of_cut(cut)
            due = standing.listed and self._is_due(cut)
            if row := made_when(self._cut_rows, cut, self._add_cut, needed=due):
                row.show(standing)
        for finished in LISTED_FINISHED:
            standing = standings.of_finished(finished)
            due = standing.listed and self._is_due(finished)
            if row := made_when(self._finished_rows, finished, self._add_finished, needed=due):
                row.show(standing)
        if len(self._all_rows) > before:
            keep_tab_order(self._groups, self._layers.button)
        sewn, plain = self.tr("Finished, as sewn: take-up is allowed for"), self.tr("Finished")
        self._finished.set_title(sewn if standings.sewn else plain)
        self._capacity.refresh()
        if self._has_rest:
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

    @property
    def boxes(self) -> list[FigureBox]:
        """The boxes of the rows that are made; `field_made` tells of those that come."""
        return [row.field for row in self._all_rows if isinstance(row.field, FigureBox)]

    def first_field(self) -> FigureBox | None:
        """Of the finished figures that the bag has."""
        fields = [row.field for row in self._finished.rows]
        return next((it for it in fields if isinstance(it, FigureBox) and it.isVisible()), None)

    def toggle_pin(self) -> bool:
        """Pin or release the row that has the focus; False when there is none to pin."""
        for row in self._all_rows:
            pin = row.pin
            if pin is not None and (row.field.hasFocus() or pin.hasFocus()):
                return self._redesigner.pin(row.field.objectName(), not pin.isChecked())
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

    def _is_due(self, listed: Choice | Figure) -> bool:
        """Whether a row is to be made by now."""
        return self._has_rest or listed.part == BODY or _stands_first(listed)

    @property
    def _all_rows(self) -> list[MeasureRow]:
        return [row for group in self._groups for row in group.rows]

    def _build(self) -> None:
        self._finished = MeasureGroup(self.tr("Finished"), self._list)
        self._capacity = CapacityRows(self._session, self._finished, ARROWS_WIDTH, self)
        self._of_part = {
            part: MeasureGroup(translated(label), self._list) for part, label in OWNERS.items()
        }
        self._of_part[SANDWICH].add(self._layers)
        self._groups = [self._finished, *self._of_part.values()]
        holding(self._column, *self._groups)

    def _make_foot(self) -> None:
        self.foot = MeasureNotes(self._session, self)
        for row in self._all_rows:
            self.foot.follow(row)
        self.foot.releases.release_asked.connect(self._redesigner.release)
        self.reckoned.connect(self.foot.tell)
        self.foot.height_wanted.connect(self._place_foot)
        self.verticalScrollBar().valueChanged.connect(self._place_foot)
        self.setViewportMargins(0, 0, 0, self.foot.rest_height)

    def _add_choice(self, choice: Choice) -> ChoiceRow:
        box = ChoiceBox(choice, self)
        label, help_text = translated(choice.label), translated(choice.help)
        row = self._add_row(choice, label, box, help_text)
        binding = Binding[str | None](
            box,
            read=lambda: word_of(self._document.bag, choice),
            write=lambda word: self._choose(row, choice, word),
        )
        return ChoiceRow(choice, row, binding)

    def _add_cut(self, figure: CutFigure) -> FigureRow:
        label = translated(figure.label)
        box: FigureBox
        if figure.quantity is Quantity.COUNT:
            box = CountBox(label, self, among=figure.among)
        else:
            box = LengthBox(label, self._display, self)
        return self._add_box(figure, label, box)

    def _add_finished(self, figure: FinishedFigure) -> FigureRow:
        label = translated(figure.label)
        if not figure.wanted:
            text = ReadOnlyValue(label, ARROWS_WIDTH, self)
            text.setObjectName(figure.name)
            pin = matched_pin(figure, self._redesigner, self) if figure.matched else None
            row = self._add_row(figure, label, text, translated(figure.help), pin)
            return FigureRow(figure, row, self._display, text=text)
        box: FigureBox
        if figure.quantity is Quantity.VOLUME:
            box = VolumeBox(label, self)
        else:
            box = LengthBox(label, self._display, self)
        box.lineEdit().setPlaceholderText(DASH)
        # From what was asked for: the ruler must not hold an arrow key back.
        box.step_from = lambda: self._redesigner.asked_of(figure.name)
        return self._add_box(figure, label, box)

    def _add_box(self, figure: Figure, label: str, box: FigureBox) -> FigureRow:
        name, pin = figure.name, None
        box.setObjectName(name)
        box.throttled = True
        box.reckoned.connect(self.reckoned)
        if name in PINNABLE:
            pin = PinButton(label, self)
            pin.clicked.connect(lambda pinned: self._redesigner.pin(name, pinned))
        row = self._add_row(figure, label, box, translated(figure.help), pin)
        binding = Binding[float](
            box,
            read=lambda: self._wished(figure),
            write=lambda value: self._write(name, value),
            rewrite=isinstance(figure, FinishedFigure),
        )
        self.field_made.emit(box)
        shown = FigureRow(figure, row, self._display, box=box, binding=binding)
        box.problem_changed.connect(lambda _problem: shown.write_note())
        return shown

    def _add_row(
        self,
        listed: Choice | Figure,
        label: str,
        field: QWidget,
        help_text: str,
        pin: PinButton | None = None,
    ) -> MeasureRow:
        field.setFixedWidth(self._field_width)
        group = self._finished if _stands_first(listed) else self._of_part[listed.part]
        row = group.add_row(label, field, help_text, pin, place=PLACES[listed])
        self.foot.follow(row)
        return row

    def _write(self, name: str, value: float) -> bool:
        if name in WANTED:
            return self._redesigner.want(name, value)
        return self._redesigner.set_cut(name, value)

    def _wished(self, figure: Figure) -> float | None:
        """What a row shows: the value that was typed while it is being worked out."""
        wish = self._redesigner.pending
        if wish is not None and wish.name == figure.name:
            return wish.value
        if isinstance(figure, FinishedFigure):
            return self._document.result.value(figure)
        return self._document.result.cut[figure.name]

    def _choose(self, row: MeasureRow, choice: Choice, word: str | None) -> bool:
        row.set_note("", wrong=True)
        try:
            return word is not None and self._chooser.choose(choice, word)
        except CornerwrightError as error:
            row.set_note(told_error(error, self._display), wrong=True)
            self._choice_rows[choice.name].binding.refresh()
            self._bring_into_sight(row)
            return False

    def _on_changed(self, change: Change) -> None:
        if change.opened:
            self._chooser.forget()
            self._give_back()
        for each in self._choice_rows.values():
            each.row.set_note("", wrong=True)
        row, chosen = enclosing(self._list.focusWidget(), MeasureRow), self._chosen
        at = 0 if row is None else self._height_of(row)
        self.refresh()
        if change.opened:
            self.verticalScrollBar().setValue(0)  # another bag is read from its top
        elif row is not None and self._chosen != chosen:
            self._keep_in_place(row, at)

    @property
    def _chosen(self) -> list[str | None]:
        """The words that the rows of choices show, which other rows come and go by."""
        return [each.word for each in self._choice_rows.values()]

    def _height_of(self, row: MeasureRow) -> int:
        """How far below the top of what is seen a row stands, px."""
        return row.mapTo(self.viewport(), QPoint()).y()

    def _keep_in_place(self, row: MeasureRow, at: int) -> None:
        """Scroll so that a row stands where it stood, whatever came or went above it."""
        for _ in range(3):  # rows, then groups, then the list: each asks the next one
            QApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest)
        bar = self.verticalScrollBar()
        bar.setValue(bar.value() + self._height_of(row) - at)

    def _give_back(self) -> None:
        """What stands refused was meant for the bag before."""
        for row in self._all_rows:
            row.revert_text()

    def _row_of(self, name: str) -> MeasureRow | None:
        found = self.cut_rows.get(name) or self.finished_rows.get(name)
        return self._capacity.row(name) if found is None else found.row

    def _on_painted(self) -> None:
        self._list.painted.disconnect(self._on_painted)
        QTimer.singleShot(0, self, self.make_rest)

    def _place_foot(self) -> None:
        self.foot.place(self.viewport().geometry())

    # Qt's own names from here on.

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place_foot()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        is_filled = self._list.sizeHint().height() >= self.viewport().height()
        # In a narrow pane the rest might ask for more width: what stands beside it would move.
        if not is_filled or self.width() < MEASURES_WIDTH:
            self.make_rest()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self._field_width = field_width(self)
            for row in self.findChildren(MeasureRow):
                row.field.setFixedWidth(self._field_width)

    def sizeHint(self) -> QSize:
        return QSize(self._list.sizeHint().width() + 18, 640)

    def minimumSizeHint(self) -> QSize:
        return QSize(self._list.minimumSizeHint().width() + 18, 160)


class _List(QWidget):
    """What is scrolled.

    Signals:
        painted: some of it was.
    """

    painted = Signal()

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        self.painted.emit()


def _stands_first(listed: Choice | Figure) -> bool:
    """Whether the row stands among the finished figures at the top."""
    return isinstance(listed, FinishedFigure) and listed.part in FINISHED_FIRST
