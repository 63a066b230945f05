"""The foot of the measures: what is told of one, and the rows of the filled bag above it.

What is told has one place that never moves a row. The rows (what the bag holds, inside its wall,
and against its box) come from work that takes longer than a frame. While it is under way they show
the last value behind an ellipsis, in muted ink: the value of older numbers, never the present.
The first two can be typed and pinned as other finished sizes are; what was typed stands
there in muted ink until the bag that holds it is found.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, cast

from PySide6.QtCore import QObject, QPoint, QRect, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QApplication, QFrame, QScrollArea, QVBoxLayout, QWidget

from app.session.display import DASH, told, translated
from app.session.session import Session
from app.views.measures.row import (
    MARK_ROOM,
    MeasureGroup,
    MeasureRow,
    PinButton,
    ReadOnlyValue,
    field_width,
)
from app.views.measures.rows import WAITS, change_text, cost_text, other_units
from app.widgets.desktop import enclosing
from app.widgets.inputs import VolumeBox
from app.widgets.labels import ReleaseBar, TonedLabel
from app.widgets.layouts import spaced
from app.widgets.theme import muted_colour, problem_colour, text_colour
from core.bag.figures import FILLED_NAMES, FINISHED
from core.base.quantities import Reckoning
from core.base.sentences import mark
from core.base.units import Unit
from core.model.figures import Quantity

if TYPE_CHECKING:
    from core.solid.capacity import Capacity


OVER_BOX: Final = "filled_over_box"

OLDER: Final = "…"
"""Stands before a value of older numbers, and alone before the first."""

_OVER_LABEL: Final = mark("Filled over box volume")
_OVER_HELP: Final = mark(
    "Filled volume divided by box volume: a closed bag holds more or less than its box."
)
_OPEN_TOP: Final = mark("Filled volume: none, as the top is open")
_OLDER: Final = mark("From before the last change: the new value is being worked out.")


class FilledBox(VolumeBox):
    """A box for a volume that may be one of older numbers: behind an ellipsis then."""

    def __init__(self, label: str, parent: QWidget) -> None:
        super().__init__(label, parent)
        self._older = False

    def show_filled(self, value: float | None, *, older: bool, waits: bool) -> None:
        """Show a volume, L.

        Args:
            value: None where there is none, or none yet.
            waits: whether it is not known at all yet.
        """
        changed, self._older = older is not self._older, older
        self.lineEdit().setPlaceholderText(OLDER if waits else DASH)
        if self.problem:
            self.value = value  # what was typed stands until it is given up
            return
        if changed and value == self.value and not self._edited:
            self._rewrite()
        self.show_value(value)

    @property
    def shown(self) -> str:
        return self.text() or self.lineEdit().placeholderText()

    def _read(self, text: str, stands: float | None) -> Reckoning:
        return super()._read(text.removeprefix(OLDER), stands)

    def _written(self, value: float) -> str:
        plain = super()._written(value)
        return f"{OLDER} {plain}" if self._older else plain


@dataclass(slots=True)
class _FilledRow:
    row: MeasureRow
    field: FilledBox | ReadOnlyValue
    help: str


class CapacityRows:
    """Three rows at the end of a group; one line that says why in place of them with an open top.

    That hangs on the choice of the top alone: what numbers take away stands as a dash. Changes
    are told against the document's starting bag, once that is known filled. `margin` is the room
    right of a value that is only read, px.
    """

    def __init__(self, session: Session, group: MeasureGroup, margin: int, parent: QWidget) -> None:
        self._document, self._display = session.document, session.display
        self._redesigner = session.redesigner
        self._shown: tuple[Capacity | None, bool] = (None, False)
        self._first: Capacity | None = None
        self._boxes: dict[str, FilledBox] = {}
        self._lines = {name: self._add_box(group, name, parent) for name in FILLED_NAMES}
        text = ReadOnlyValue(translated(_OVER_LABEL), margin, parent)
        self._lines[OVER_BOX] = self._add(
            group, OVER_BOX, text, translated(_OVER_LABEL), translated(_OVER_HELP)
        )
        self.open = TonedLabel(muted_colour, translated(_OPEN_TOP), parent)
        self.open.setWordWrap(True)
        self.open.setContentsMargins(MARK_ROOM, 1, 4, 1)
        group.add(self.open)
        self.refresh()

    @property
    def rows(self) -> dict[str, MeasureRow]:
        return {name: line.row for name, line in self._lines.items()}

    @property
    def boxes(self) -> tuple[FilledBox, ...]:
        return tuple(self._boxes.values())

    def row(self, name: str) -> MeasureRow | None:
        """The row of a figure; None for one that is not here."""
        line = self._lines.get(name)
        return None if line is None else line.row

    def text(self, name: str) -> str:
        field = self._lines[name].field
        return field.shown if isinstance(field, FilledBox) else field.text()

    def show(self, capacity: "Capacity | None", *, current: bool) -> None:
        """Show what a bag holds; as older numbers unless it is `current`."""
        self._shown = (capacity, current)
        if capacity is not None and capacity.bag == self._document.starting.bag:
            self._first = capacity
        self.refresh()

    def refresh(self) -> None:
        """Write the rows again: another unit, another starting bag, another wish."""
        closes = self._document.bag.top.CLOSES
        if self.open.isHidden() is not closes:
            self.open.setHidden(closes)
            for line in self._lines.values():
                line.row.setVisible(closes)
        if not closes:
            return
        capacity, current = self._shown
        starting = self._document.starting.bag
        first = self._first if self._first and self._first.bag == starting else None
        for name, line in self._lines.items():
            value, was = _value(capacity, name), _value(first, name)
            if isinstance(line.field, FilledBox):
                self._show_box(name, line, line.field)
            else:
                line.field.show_text(_shown(value, current=current, waits=capacity is None))
                self._mark(line, line.field, older=not current)
            known = current and was is not None and name != OVER_BOX
            changed = change_text(Quantity.VOLUME, value, was, self._display) if known else ""
            line.row.change.set_text(changed)

    def _show_box(self, name: str, line: _FilledRow, box: FilledBox) -> None:
        capacity, current = self._shown
        wish = self._redesigner.pending
        if wish is not None and wish.name == name:
            box.show_filled(wish.value, older=False, waits=False)
            told = translated(WAITS)
        else:
            older = not current
            box.show_filled(_value(capacity, name), older=older, waits=capacity is None)
            told = translated(_OLDER) if older else ""
        box.set_pending(told)
        tip = f"{told} {line.help}" if told else line.help
        line.row.set_tip(tip)
        self._write_note(name)

    def _write_note(self, name: str) -> None:
        """What is wrong with the text, else other units, the ruler's cost, or why there is none."""
        line, box = self._lines[name], self._boxes[name]
        if box.problem:
            line.row.set_note(box.problem, wrong=True)
            return
        line.row.offer_releases(())
        wish = self._redesigner.pending
        if wish is not None and wish.name == name:
            line.row.set_second(other_units(wish.value, self._display), there=self._in_inches)
            if not line.row.waits:
                line.row.set_note("", wrong=False)
            return
        capacity, current = self._shown
        asked = name in self._redesigner.asked
        cost = self._redesigner.cost.get(name) if current else None
        notes = (self._reason(name), cost_text(FINISHED[name], cost, self._display, asked=asked))
        units = other_units(_value(capacity, name), self._display)
        line.row.set_second(units, there=self._in_inches)
        line.row.set_note("\n".join(filter(None, notes)), wrong=False)

    @property
    def _in_inches(self) -> bool:
        """Whether litres are told in other units too."""
        return self._display.unit is Unit.INCH

    def _reason(self, name: str) -> str:
        """Why the present bag has no such volume; empty where it has one, or it is not known."""
        capacity, current = self._shown
        if capacity is None or not current:
            return ""
        if not FINISHED[name].inside:
            trouble = capacity.not_filled
            return "" if trouble is None else told(trouble, self._display)
        no_room = capacity.no_room
        return "" if no_room is None else told(no_room.message, self._display)

    def _mark(self, line: _FilledRow, text: ReadOnlyValue, *, older: bool) -> None:
        palette = text.palette()
        plain = QPalette().color(QPalette.ColorRole.Text)
        ink = muted_colour(QPalette()) if older else plain
        if palette.color(QPalette.ColorRole.Text) != ink:
            palette.setColor(QPalette.ColorRole.Text, ink)
            text.setPalette(palette)
        tip = f"{translated(_OLDER)} {line.help}" if older else line.help
        if text.toolTip() != tip:
            text.setToolTip(tip)
            text.setAccessibleDescription(translated(_OLDER) if older else "")

    def _add_box(self, group: MeasureGroup, name: str, parent: QWidget) -> _FilledRow:
        figure = FINISHED[name]
        label = translated(figure.label)
        box = self._boxes[name] = FilledBox(label, parent)
        box.throttled = True
        box.step_from = lambda: self._redesigner.asked_of(name)
        pin = PinButton(label, parent)
        pin.clicked.connect(lambda pinned: self._redesigner.pin(name, pinned))
        line = self._add(group, name, box, label, translated(figure.help), pin)
        box.value_edited.connect(lambda value: self._redesigner.want(name, value))
        box.problem_changed.connect(lambda _problem: self._write_note(name))
        return line

    def _add(
        self,
        group: MeasureGroup,
        name: str,
        field: FilledBox | ReadOnlyValue,
        label: str,
        help_text: str,
        pin: PinButton | None = None,
    ) -> _FilledRow:
        field.setObjectName(name)
        field.setFixedWidth(field_width(field))
        row = group.add_row(label, field, help_text, pin)
        row.setWhatsThis(help_text)
        return _FilledRow(row, field, help_text)


def _value(capacity: "Capacity | None", name: str) -> float | None:
    if capacity is None:
        return None
    return capacity.filled_over_box if name == OVER_BOX else capacity.volumes[name]


def _shown(over: float | None, *, current: bool, waits: bool) -> str:
    plain = f"{over:.2f}" if over is not None else "" if waits else DASH
    return plain if current else f"{OLDER} {plain}".rstrip()


LINES = 4
"""Lines of text for which there is always room, or two and a button; longer ones scroll."""
AROUND = 4
"""Above and below the text, px."""


class MeasureNotes(QWidget):
    """Tells of one row: what is wrong with it, or what there is to say of it, and what it is.

    The row with the focus, or the one that was refused last. The list leaves room for
    `rest_height`, always the same; for a refusal and its buttons the foot may rise over the list.

    Attributes:
        releases: the buttons that release pins which stand against what was typed.

    Signals:
        height_wanted: another text may want another height.
    """

    height_wanted = Signal()

    def __init__(self, rows: Sequence[MeasureRow], parent: QWidget) -> None:
        super().__init__(parent)
        self._list = parent
        self._row: MeasureRow | None = None
        self._reckoned = ""
        self._hint = self.tr(
            "Type a length, a sum such as 18 + 1/2, or a change such as +2 cm, *0.7, /2 or 70 %. "
            "What there is to say of a measure stands here."
        )
        self.setAutoFillBackground(True)  # the list runs on beneath it where it has risen
        self.setAccessibleName(self.tr("About the measure"))
        self._said = TonedLabel(text_colour, parent=self)
        self._about = TonedLabel(muted_colour, parent=self)
        self.releases = ReleaseBar(self)
        page = QWidget(self)
        column = self._column = spaced(QVBoxLayout(page), 2, (MARK_ROOM + 6, AROUND, 6, AROUND))
        for label in (self._said, self._about):
            label.setWordWrap(True)
            label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        for widget in (self._said, self.releases, self._about):
            column.addWidget(widget)
        column.addStretch(1)
        self._page = QScrollArea(self)
        self._page.setFrameShape(QFrame.Shape.NoFrame)
        self._page.setWidgetResizable(True)
        self._page.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._page.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._page.setWidget(page)
        around = QVBoxLayout(self)
        around.setContentsMargins(0, 1, 0, 0)  # a hairline parts it from the list
        around.addWidget(self._page)
        for row in rows:
            row.note_changed.connect(self._on_note_changed)
        program = cast(QApplication, QApplication.instance())
        program.focusChanged.connect(self._on_focus_changed)
        self._write()

    @property
    def text(self) -> str:
        """What stands there of the row, without what it is."""
        return self._said.text()

    @property
    def rest_height(self) -> int:
        """The height that the list leaves free, px."""
        return LINES * self.fontMetrics().lineSpacing() + 2 * AROUND + 1

    def place(self, above: QRect) -> None:
        """Stand below the list, which is seen in `above`, of the same parent; or over its end.

        Over it for a refusal that needs more room, but never over the row that is refused.
        """
        end = above.bottom() + 1 + self.rest_height
        height = self._height_for(above.width())
        if self._row is not None:
            below = self._row.mapTo(self._list, QPoint(0, self._row.height())).y()
            if above.top() < below < end:
                height = max(self.rest_height, min(height, end - below))
        self.setGeometry(above.x(), end - height, above.width(), height)
        self.raise_()

    def _height_for(self, width: int) -> int:
        """The height at which a refusal is seen whole with its buttons, px; else `rest_height`."""
        row = self._row
        if row is None or not row.is_wrong:
            return self.rest_height
        margins = self._column.contentsMargins()
        text = self._said.heightForWidth(width - margins.left() - margins.right())
        bar = self.releases.sizeHint().height() + self._column.spacing()
        whole = text + (bar if row.offers else 0) + 2 * AROUND + 1
        return max(self.rest_height, whole)

    def tell(self, reckoned: str) -> None:
        """Tell what a typed change or sum came to, until another row is gone to."""
        self._reckoned = reckoned
        self._write()

    def _write(self) -> None:
        row = self._row
        note = "" if row is None else row.remark  # the second line stands in the row itself
        wrong = row is not None and row.is_wrong
        self._said.set_tone(problem_colour if wrong else text_colour)
        said = note if wrong else "\n".join(filter(None, (self._reckoned, note)))
        self._said.setText(said)
        self._said.setVisible(bool(said))
        self._about.setText(self._hint if row is None else row.help)
        self._about.setVisible(not wrong)
        offers = () if row is None else row.offers
        if (
            row is not None
            and not offers
            and any(each.hasFocus() for each in self.releases.buttons)
        ):
            # A button that goes with the focus on it would give it to the top of the list.
            row.field.setFocus(Qt.FocusReason.OtherFocusReason)
        self.releases.show_pins(offers)
        self._page.verticalScrollBar().setValue(0)
        self.height_wanted.emit()

    def _on_note_changed(self) -> None:
        row = cast(MeasureRow, QObject.sender(self))
        if row.is_wrong:
            self._go_to(row)
        if row is self._row:
            self._write()

    def _on_focus_changed(self, _before: QWidget | None, now: QWidget | None) -> None:
        row = enclosing(now, MeasureRow)
        if row is not None and row.window() is self.window():
            self._go_to(row)

    def _go_to(self, row: MeasureRow) -> None:
        if row is not self._row:
            self._row, self._reckoned = row, ""
            self._write()

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(self.palette().mid().color())
        painter.drawLine(MARK_ROOM, 0, self.width(), 0)
