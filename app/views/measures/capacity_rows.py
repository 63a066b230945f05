"""The rows of the filled bag: what it holds, inside its wall, and against its box.

They come from work that takes longer than a frame. While it is under way they show the last value
behind an ellipsis, in muted ink: the value of older numbers, never the present. The first two can
be typed and pinned as other finished sizes are; what was typed stands there in muted ink until the
bag that holds it is found.
"""

from typing import TYPE_CHECKING, Final, NamedTuple

from PySide6.QtWidgets import QWidget

from app.session.display import DASH, told, translated
from app.session.session import Session
from app.views.measures.row import (
    MARK_ROOM,
    MeasureGroup,
    MeasureRow,
    PinButton,
    field_width,
)
from app.views.measures.rows import WAITS, change_text, cost_text, other_units
from app.widgets.inputs import VolumeBox
from app.widgets.labels import ReadOnlyValue, TonedLabel
from app.widgets.theme import muted_colour
from core.bag.figures import FILLED_NAMES, FINISHED
from core.base.quantities import Reckoning
from core.base.sentences import Sentence, mark
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


class _Standing(NamedTuple):
    """All that a row of the filled bag shows follows from; equal ones look the same.

    Attributes:
        value: litres or a share; None where there is none, or none yet.
        was: of the starting bag; None where it is not known or not compared.
        wish: what was typed and is being worked out; None: nothing is.
        older: whether the value is one of older numbers.
        waits: whether no value was known yet.
        trouble: why the present bag has no such value.
        cost: what the ruler left over or under; None: it is not known.
        asked: whether the present bag was asked for this value.
        pinned: whether it is kept as it is.
        unit: that lengths are shown in.
    """

    value: float | None
    was: float | None
    wish: float | None
    older: bool
    waits: bool
    trouble: Sentence | None
    cost: float | None
    asked: bool
    pinned: bool
    unit: Unit


class _FilledRow:
    """A row with its field; `standing` is what it shows, None before the first."""

    def __init__(self, row: MeasureRow, field: FilledBox | ReadOnlyValue, help_text: str) -> None:
        self.row, self.field, self.help = row, field, help_text
        self.standing: _Standing | None = None


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
        self._closes: bool | None = None
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
        if self._closes is not closes:
            self._closes = closes
            self.open.setHidden(closes)
            for line in self._lines.values():
                line.row.setVisible(closes)
        if not closes:
            return
        starting, first = self._document.starting.bag, self._first
        known = first is not None and first.bag == starting
        for name, line in self._lines.items():
            standing = self._standing(name, first if known else None)
            if standing != line.standing:
                line.standing = standing
                self._write(name, line, standing)

    def _standing(self, name: str, first: "Capacity | None") -> _Standing:
        """What a row follows from; `first` is what the starting bag holds, if that is known."""
        (capacity, current), wish = self._shown, self._redesigner.pending
        return _Standing(
            value=_value(capacity, name),
            was=_value(first, name) if current and name != OVER_BOX else None,
            wish=wish.value if wish is not None and wish.name == name else None,
            older=not current,
            waits=capacity is None,
            trouble=_trouble(capacity, name) if capacity is not None and current else None,
            cost=self._redesigner.cost.get(name) if current else None,
            asked=name in self._redesigner.asked,
            pinned=self._redesigner.pinned(name),
            unit=self._display.unit,
        )

    def _write(self, name: str, line: _FilledRow, standing: _Standing) -> None:
        value, was = standing.value, standing.was
        if isinstance(line.field, FilledBox):
            self._show_box(line, line.field, standing)
            self._write_note(name)
        else:
            line.field.show_text(_shown(standing))
            self._mark(line, line.field, older=standing.older)
        if line.row.pin is not None:
            line.row.pin.show_pinned(standing.pinned)
        changed = "" if was is None else change_text(Quantity.VOLUME, value, was, self._display)
        line.row.change.set_text(changed)

    def _show_box(self, line: _FilledRow, box: FilledBox, standing: _Standing) -> None:
        if standing.wish is not None:
            box.show_filled(standing.wish, older=False, waits=False)
            told = translated(WAITS)
        else:
            box.show_filled(standing.value, older=standing.older, waits=standing.waits)
            told = translated(_OLDER) if standing.older else ""
        box.set_pending(told)
        line.row.set_tip(f"{told} {line.help}" if told else line.help)

    def _write_note(self, name: str) -> None:
        """What is wrong with the text, else other units, the ruler's cost, or why there is none."""
        line, box = self._lines[name], self._boxes[name]
        row, standing = line.row, line.standing
        if box.problem:
            row.set_note(box.problem, wrong=True)
            return
        row.offer_releases(())
        if standing is None:
            return
        in_inches = standing.unit is Unit.INCH  # litres are told in other units too
        if standing.wish is not None:
            row.set_second(other_units(standing.wish, self._display), there=in_inches)
            if not row.waits:
                row.set_note("", wrong=False)
            return
        row.set_second(other_units(standing.value, self._display), there=in_inches)
        trouble = "" if standing.trouble is None else told(standing.trouble, self._display)
        cost = cost_text(Quantity.VOLUME, standing.cost, self._display, asked=standing.asked)
        row.set_note("\n".join(filter(None, (trouble, cost))), wrong=False)

    def _mark(self, line: _FilledRow, text: ReadOnlyValue, *, older: bool) -> None:
        text.set_muted(muted=older)
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


def _trouble(capacity: "Capacity", name: str) -> Sentence | None:
    """Why a bag has no such volume, where its row is to say so; None where it has one."""
    if name == OVER_BOX:
        return None
    if not FINISHED[name].inside:
        return capacity.not_filled
    return None if capacity.no_room is None else capacity.no_room.message


def _shown(over: _Standing) -> str:
    plain = f"{over.value:.2f}" if over.value is not None else "" if over.waits else DASH
    return f"{OLDER} {plain}".rstrip() if over.older else plain
