"""The sewing order: every step with its tick, the one that is read, and how much is done."""

from dataclasses import replace

from PySide6.QtCore import QItemSelectionModel, QSize, Qt, Signal
from PySide6.QtGui import QHideEvent, QIcon, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHBoxLayout,
    QLabel,
    QListView,
    QProgressBar,
    QSplitter,
    QStyle,
    QVBoxLayout,
    QWidget,
)

from app.session.capacity import LoadModel
from app.session.display import Display
from app.session.document import NO_HIGHLIGHT
from app.session.session import Session
from app.session.soon import Soon
from app.views.sewing.step_detail import StepDetail
from app.views.sewing.step_list import StepDelegate, StepsModel
from app.views.sewing.step_texts import StepTexts
from app.widgets.layouts import button, holding, spaced, turned
from core.bag.making import KG_PER_POUND
from core.base.units import Unit

GAP = 8


class SewingFoot(QWidget):
    """Progress on the left, load and booklet on the right; below each other where it is narrow."""

    def __init__(self, display: Display, load: LoadModel, parent: QWidget) -> None:
        super().__init__(parent)
        self._display = display
        self._load = load
        self.done_text = QLabel(self)
        self.progress = QProgressBar(self)
        self.progress.setTextVisible(False)
        self.progress.setFixedHeight(8)
        self.progress.setMinimumWidth(24)
        self.progress.setMaximumWidth(160)
        self.progress.setAccessibleName(self.tr("Steps done"))
        self.load_text = QLabel(self)
        self.load_text.setTextFormat(Qt.TextFormat.PlainText)
        self.load_button = button(self.tr("Change &load…"), self)
        self.booklet_button = button(
            self.tr("Export &booklet…"),
            self,
            self.tr(
                "Sizes, materials, cutting plan and every step with its drawing: PDF or web page."
            ),
        )
        self._lay_out()
        load.changed.connect(self.show_load)
        self.show_load()

    def show_done(self, done: int, count: int) -> None:
        self.progress.setRange(0, max(count, 1))
        self.progress.setValue(done)
        told = self.tr("{done} of {count} done").format(done=done, count=count)
        self.done_text.setText(told)

    def show_load(self) -> None:
        """The filled bag against its handles, in two lines; a sign where it is too heavy."""
        estimate = self._load.estimate
        text, icon = "", QIcon()
        if estimate is not None:
            told = self.tr("Filled, it weighs {weight}\nOne handle holds {allowed}, both {both}")
            weight = self._mass(estimate.weight) if self._load.current else "…"
            allowed, both = self._mass(estimate.allowed), self._mass(estimate.allowed_by_both)
            text = told.format(weight=weight, allowed=allowed, both=both)
            if estimate.heavy and self._load.current:
                icon = self.style().standardIcon(QStyle.StandardPixmap.SP_MessageBoxWarning)
        self.load_text.setText(text)
        self.load_text.setVisible(bool(text))
        self.load_button.setIcon(icon)
        self.load_button.setAccessibleDescription(text.replace("\n", ". "))
        tip = self.tr(
            "The weight of the filled bag, and what one handle and both together may carry, by an "
            "estimate of their stitching. Click to enter your own load, thread and safety."
        )
        for widget in (self.load_text, self.load_button):
            widget.setToolTip(tip)
        self._place()

    def _lay_out(self) -> None:
        self._ticked, self._asked = QHBoxLayout(), QHBoxLayout()
        self._ticked.addWidget(self.done_text)
        self._ticked.addWidget(self.progress, 1)
        self._ticked.addStretch(1)
        self._done = QHBoxLayout()
        self._done.addLayout(self._ticked, 1)
        self._done.addWidget(self.load_text)
        holding(self._asked, None, self.load_button, self.booklet_button)
        self._line = spaced(QHBoxLayout(self), GAP, (GAP, 4, GAP - 2, 4))
        for part in (self._ticked, self._done, self._asked):
            part.setSpacing(GAP)
        for part in (self._done, self._asked):
            self._line.addLayout(part, 1)

    def _place(self) -> None:
        """Beside each other where all have room, else below each other."""
        load = 0 if self.load_text.isHidden() else self.load_text.sizeHint().width() + GAP
        done = self._ticked.sizeHint().width() + load
        wanted = done + self._asked.sizeHint().width() + 3 * GAP
        for line, width in ((self._line, wanted), (self._done, done + 2 * GAP)):
            if turned(line, across=width <= self.width()):
                self.updateGeometry()

    def _mass(self, kg: float) -> str:
        if self._display.unit is Unit.INCH:
            return self.tr("{mass} lb").format(mass=f"{kg / KG_PER_POUND:.0f}")
        return self.tr("{mass} kg").format(mass=f"{kg:.1f}")

    # Qt's own names from here on.

    def minimumSizeHint(self) -> QSize:
        load = 0 if self.load_text.isHidden() else self.load_text.minimumSizeHint().width()
        width = max(load, *(part.minimumSize().width() for part in (self._ticked, self._asked)))
        return QSize(width + 2 * GAP, self._line.minimumSize().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()


LATER = 16
"""Milliseconds after a change at which the steps are told again: the drawings come first."""
SHARES = (210, 490)
"""Widths of list and step at the start."""


class SewingTab(QFrame):
    """The steps of the document's bag; what the current one works on is lit in the drawings.

    Signals:
        booklet_asked, load_asked: the maker wants the booklet, or the load's fields.
    """

    booklet_asked = Signal()
    load_asked = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document = session.document
        self._display = display = session.display
        self._load = session.load
        self._cards: StepTexts | None = None
        self._key = ""
        self.model = StepsModel(self)
        self.model.tick_asked.connect(self._on_tick_asked)
        self._soon = Soon(self, LATER)
        self._soon.came.connect(self.refresh)
        self.setAccessibleName(self.tr("Sewing order"))
        # In reading order: so the Tab key goes.
        self._make_list()
        self.detail = StepDetail(self)
        self.detail.moved.connect(self.go)
        self.detail.step_asked.connect(self.show_step)
        self.detail.ticked.connect(self._on_detail_ticked)
        self.foot = SewingFoot(self._display, self._load, self)
        self.foot.load_button.clicked.connect(self.load_asked)
        self.foot.booklet_button.clicked.connect(self.booklet_asked)
        self._lay_out()
        document.changed.connect(self._on_stale)
        document.kept_changed.connect(self._show_ticks)
        display.changed.connect(self._on_stale)
        self.refresh()

    @property
    def number(self) -> int:
        """Number of the step that is being read, from 1; 0 where there is none."""
        return self.list.currentIndex().row() + 1

    @property
    def cards(self) -> StepTexts:
        if self._cards is None:
            self._cards = StepTexts(self._document.result, self._display)
        return self._cards

    def refresh(self) -> None:
        """Tell the steps of the current bag now."""
        self._soon.stop()
        self.model.show_rows(self.cards.rows)
        self.model.show_ticks(self._document.project.ticked)
        place = self.model.place_of(self._key)
        place = self.model.first_open() if place is None else place
        if place != self.list.currentIndex().row():  # else the list stays as it is scrolled
            self._choose(place)
        self._show_current()
        self._show_progress()

    def show_step(self, number: int) -> None:
        """Read the step of that number, from 1; one that is not there changes nothing."""
        if 1 <= number <= self.model.rowCount():
            self._choose(number - 1)

    def go(self, way: int) -> None:
        """Read the step so many further on; negative for back."""
        self.show_step(self.number + way)

    def tick(self) -> None:
        """Tick the step that is being read and go on to the next; one undo step."""
        place = self.number - 1
        if place < 0:
            return
        if not self.model.ticked(place):
            self._on_tick_asked(self.model.rows[place].key, True)
        self.go(1)

    def _make_list(self) -> None:
        self.list = QListView(self)
        self.list.setModel(self.model)
        self.list.setItemDelegate(StepDelegate(self.list))
        self.list.setFrameShape(QFrame.Shape.NoFrame)
        self.list.setMouseTracking(True)
        self.list.setResizeMode(QListView.ResizeMode.Adjust)
        self.list.setAccessibleName(self.tr("Steps"))
        self.list.setAccessibleDescription(
            self.tr("Arrow keys go from step to step, the space bar ticks one.")
        )
        self.list.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setMinimumWidth(170)
        self.list.selectionModel().currentChanged.connect(self._show_current)

    def _lay_out(self) -> None:
        self._parts = QSplitter(Qt.Orientation.Horizontal, self)
        self._parts.setChildrenCollapsible(False)
        self._parts.setHandleWidth(5)
        self._parts.addWidget(self.list)
        self._parts.addWidget(self.detail)
        self._parts.setStretchFactor(0, 2)
        self._parts.setStretchFactor(1, 3)
        self._parts.setSizes(list(SHARES))
        column = spaced(QVBoxLayout(self), 0)
        column.addWidget(self._parts, 1)
        column.addWidget(self.foot)

    def _choose(self, place: int) -> None:
        flag = QItemSelectionModel.SelectionFlag.ClearAndSelect
        self.list.selectionModel().setCurrentIndex(self.model.index(place), flag)
        self._scroll_to(place)

    def _scroll_to(self, place: int) -> None:
        # The step after it is seen too, where there is room.
        self.list.scrollTo(self.model.index(min(place + 1, self.model.rowCount() - 1)))
        self.list.scrollTo(self.model.index(place))

    def _show_current(self) -> None:
        """Tell the step that is being read, and light what it works on."""
        number = self.number
        if number < 1:
            return
        cards = self.cards
        self._key = self.model.rows[number - 1].key
        needs = [(each, cards.rows[each - 1].title) for each in cards.steps[number - 1].needs]
        self.detail.show_step(cards.card(number), needs, of=len(cards.rows))
        self.detail.show_tick(self.model.ticked(number - 1))
        self._light()

    def _light(self) -> None:
        shown = self.isVisible() and self.number > 0
        self._document.highlight(self.cards.lit(self.number) if shown else NO_HIGHLIGHT)

    def _show_ticks(self) -> None:
        self.model.show_ticks(self._document.project.ticked)
        if self.number > 0:
            self.detail.show_tick(self.model.ticked(self.number - 1))
        self._show_progress()

    def _show_progress(self) -> None:
        self.foot.show_done(self.model.done, self.model.rowCount())

    def _on_detail_ticked(self, done: bool) -> None:
        if self.number > 0:
            self._on_tick_asked(self.model.rows[self.number - 1].key, done)

    def _on_tick_asked(self, key: str, done: bool) -> None:
        project = self._document.project
        ticked = project.ticked | {key} if done else project.ticked - {key}
        self._document.keep(replace(project, ticked=ticked))

    def _on_stale(self) -> None:
        self._cards = None
        self.foot.show_load()
        # Not put off by further changes: a held key is followed.
        if self.isVisible():
            self._soon.start()

    # Qt's own names from here on.

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()
        self._scroll_to(self.number - 1)

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self._document.highlight(NO_HIGHLIGHT)
