"""The step that is being read: its drawing, what to do, and everything that goes with it."""

import math
from html import escape

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QFont, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QCheckBox,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLayoutItem,
    QScrollArea,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.views.sewing.step_texts import StepSign, StepSignWidget, tone
from app.widgets.desktop import translucent, width_beside_bar
from app.widgets.labels import PlainLabel, TonedLabel
from app.widgets.layouts import arrow_button, holding, spaced
from app.widgets.record_painter import READABLE, PictureView
from app.widgets.theme import heading_font, muted_colour
from core.output.booklet.blocks import StepCard

LETTERS = 26
"""Room in letters that the words need for a drawing to stand beside them, not above."""
DRAWN = (150, 300)
"""Least and greatest width of the drawing, px."""
SHARE = 0.42
"""Of the width, for the drawing beside the words."""
LONG = 1.45
"""Width over height from which a drawing stands above the words: beside them it would be tiny."""
SPACE = 8
BETWEEN = 12
"""Between the words and the drawing beside them, px."""
AROUND = BETWEEN + 22
"""What of the width neither words nor the drawing beside them take, px."""


class Notice(QFrame):
    """Words that must not be missed: behind a sign, on a ground of its colour."""

    def __init__(self, mark: StepSign, parent: QWidget) -> None:
        super().__init__(parent)
        self._mark = mark
        self._title = TonedLabel(tone(mark), parent=self)
        self._title.setFont(heading_font(self._title.font()))
        self._title.setWordWrap(True)
        self._body = _words(self)
        row = spaced(QHBoxLayout(self), SPACE, (10, 6, 8, 6))
        row.addWidget(StepSignWidget(mark, self), 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(holding(spaced(QVBoxLayout(), 2), self._title, self._body), 1)
        self.hide()

    @property
    def text(self) -> str:
        """Everything that it says; empty when it is not shown."""
        return "" if self.isHidden() else f"{self._title.text()}\n{self._body.text()}"

    def say(self, title: str, body: str) -> None:
        """Say something else; nothing hides it."""
        self._title.setText(title)
        self._body.setText(body)
        self.setAccessibleName(f"{title}: {body}")
        self.setVisible(bool(body))

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        colour = tone(self._mark)(self.palette())
        painter = QPainter(self)
        painter.fillRect(self.rect(), translucent(colour, 0.10))
        painter.fillRect(0, 0, 3, self.height(), colour)


class StepDetail(QScrollArea):
    """Shows one step.

    Signals:
        moved(int): the maker wants the step so many further on; negative for back.
        step_asked(int): the maker wants to see the step of this number.
        ticked(bool): the maker ticks the step shown, or takes its tick away.
    """

    moved = Signal(int)
    step_asked = Signal(int)
    ticked = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._facts_shown: tuple[tuple[str, str], ...] = ()
        self._do_shown: tuple[str, ...] = ()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName(self.tr("Current step"))
        self._page = QWidget()
        self._page.setAutoFillBackground(False)
        self._make_head()
        self.change = Notice(StepSign.CHANGE, self._page)
        self.care = Notice(StepSign.CARE, self._page)
        self._do = spaced(QVBoxLayout(), 4)
        self._facts = QGridLayout()
        self._facts.setHorizontalSpacing(10)
        self._facts.setVerticalSpacing(3)
        self._facts.setColumnStretch(1, 1)
        self._needs = QLabel(self._page)
        self._needs.setWordWrap(True)
        self._needs.setTextFormat(Qt.TextFormat.RichText)
        self._needs.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse
            | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self._needs.linkActivated.connect(self._on_link)
        self.drawing = PictureView(self._page)
        self._lay_out()

    @property
    def text(self) -> str:
        """Everything that is said of the step, without its notices."""
        facts = [f"{label}: {told}" for label, told in self._facts_shown]
        return "\n".join((self._title.text(), *self._do_shown, *facts))

    def show_step(self, card: StepCard, needs: list[tuple[int, str]], *, of: int) -> None:
        """Show another step.

        Args:
            needs: numbers and titles of the steps that it builds on.
            of: how many steps there are.
        """
        new = self._title.text() != card.title or self._number.text() != str(card.number)
        self._number.setText(str(card.number))
        self._title.setText(card.title)
        self.change.say(self.tr("Change the machine settings"), self._change_text(card))
        self.care.say(self.tr("Caution"), card.caution)
        self._show_do(card.do)
        self._show_facts(card.facts)
        self._show_needs(needs)
        self.drawing.show_picture(card.picture)
        self._fit_drawing()
        self.back_button.setEnabled(card.number > 1)
        self.next_button.setEnabled(card.number < of)
        if new:
            self.verticalScrollBar().setValue(0)

    def show_tick(self, ticked: bool) -> None:
        with QSignalBlocker(self.tick_box):
            self.tick_box.setChecked(ticked)

    def _change_text(self, card: StepCard) -> str:
        told = " ".join(card.change)
        if told and card.without:
            without = self.tr("Or without changing them: {spare}").format(spare=card.without)
            return f"{told}\n{without}"
        return told

    def _fit_drawing(self) -> None:
        """The drawing beside the words, or above them in a narrow pane, as large as is good."""
        wide, picture = width_beside_bar(self, self.width()), self.drawing.picture
        if picture is None:
            return
        needed = LETTERS * self.fontMetrics().averageCharWidth()
        legible = math.ceil(READABLE * picture.width)
        drawn = max(round(SHARE * wide), legible)
        beside = wide - drawn - AROUND >= needed and picture.width < LONG * picture.height
        across, up = QBoxLayout.Direction.LeftToRight, QBoxLayout.Direction.BottomToTop
        wanted = across if beside else up
        if self._body.direction() != wanted:
            self._body.setDirection(wanted)
        least, most = DRAWN
        width = min(max(drawn if beside else wide - 24, least), max(most, legible))
        high_here = self.viewport().height()
        room = max(high_here - 60 if beside else round(0.55 * high_here), 130)
        high = min(round(width * picture.height / picture.width), room)
        self.drawing.setFixedSize(width, max(high, math.ceil(READABLE * picture.height), 60))

    def _make_head(self) -> None:
        page = self._page
        self._number, self._title = QLabel(page), _words(page)
        large = QFont(heading_font(self._title.font()))
        large.setPointSizeF(large.pointSizeF() * 1.25)
        for label in (self._number, self._title):
            label.setFont(large)
        self.tick_box = QCheckBox(self.tr("&Done"), page)
        self.tick_box.setToolTip(
            self.tr(
                "Tick the step; ticks are kept in the bag's file. Ctrl+Return ticks and goes on."
            )
        )
        self.tick_box.toggled.connect(self.ticked)
        self.back_button = self._arrow(Qt.ArrowType.LeftArrow, self.tr("Previous step"), -1)
        self.next_button = self._arrow(Qt.ArrowType.RightArrow, self.tr("Next step"), 1)

    def _arrow(self, arrow: Qt.ArrowType, name: str, way: int) -> QToolButton:
        button = arrow_button(arrow, name, self._page)
        button.setAutoRaise(True)
        button.clicked.connect(lambda: self.moved.emit(way))
        return button

    def _lay_out(self) -> None:
        top = Qt.AlignmentFlag.AlignTop
        head = spaced(QHBoxLayout(), SPACE)
        head.addWidget(self._number, 0, top)
        head.addWidget(self._title, 1)
        for widget in (self.tick_box, self.back_button, self.next_button):
            head.addWidget(widget, 0, top)
        told = spaced(QVBoxLayout(), SPACE)
        holding(told, self.change, self._do, self.care, self._facts, self._needs, None)
        self._body = spaced(QBoxLayout(QBoxLayout.Direction.LeftToRight), BETWEEN)
        self._body.addLayout(told, 1)
        self._body.addWidget(self.drawing, 0, top | Qt.AlignmentFlag.AlignHCenter)
        column = spaced(QVBoxLayout(self._page), SPACE, (12, 8, 10, 8))
        column.addLayout(head)
        column.addLayout(self._body, 1)
        self.setWidget(self._page)

    def _show_do(self, sentences: tuple[str, ...]) -> None:
        """One paragraph each; those that are too many are hidden."""
        self._do_shown = sentences
        while self._do.count() < len(sentences):
            self._do.addWidget(_words(self._page))
        for place in range(self._do.count()):
            label = _label(self._do.itemAt(place))
            text = sentences[place] if place < len(sentences) else ""
            label.setText(text)
            label.setVisible(bool(text))

    def _show_facts(self, facts: tuple[tuple[str, str], ...]) -> None:
        """Only what differs is written again; rows that are too many are hidden."""
        self._facts_shown = facts
        while self._facts.rowCount() - 1 < len(facts):
            self._add_fact()
        for row in range(1, self._facts.rowCount()):
            said = facts[row - 1] if row <= len(facts) else ("", "")
            for column, text in enumerate(said):
                label = _label(self._facts.itemAtPosition(row, column))
                label.setText(text)
                label.setVisible(bool(text))

    def _add_fact(self) -> None:
        row = self._facts.rowCount()
        name = TonedLabel(muted_colour, parent=self._page)
        name.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self._facts.addWidget(name, row, 0)
        self._facts.addWidget(_words(self._page), row, 1)

    def _show_needs(self, needs: list[tuple[int, str]]) -> None:
        links = ", ".join(
            f'<a href="{number}">{number}&nbsp;{escape(title)}</a>' for number, title in needs
        )
        self._needs.setText(self.tr("Builds on: {steps}").format(steps=links))
        self._needs.setVisible(bool(needs))

    def _on_link(self, target: str) -> None:
        self.step_asked.emit(int(target))

    # Qt's own names from here on.

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_drawing()


def _label(item: QLayoutItem | None) -> PlainLabel:
    label = None if item is None else item.widget()
    if not isinstance(label, PlainLabel):
        raise TypeError("no label stands there")
    return label


def _words(parent: QWidget) -> PlainLabel:
    """Plain words that wrap and can be copied."""
    label = PlainLabel(parent=parent)
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
    policy.setHeightForWidth(True)
    label.setSizePolicy(policy)
    return label
