"""The rows of the filled bag: what it holds, inside its wall, and against its box.

They come from work that takes longer than a frame. While it is under way they show the
last value behind an ellipsis, in muted ink: the value of older numbers, never the present.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QCoreApplication
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QWidget

from app.display import Display
from app.document import Document
from app.measures.group import Group
from app.measures.row import Row, ValueText, field_width
from app.measures.rows import change_text
from app.theme import muted_colour
from app.words import from_core, marked, shown_litres, told
from core.bag import FINISHED_FIGURES
from core.figures import Kind

if TYPE_CHECKING:  # the solver is loaded by the first work, after the window has opened
    from core.solid.capacity import Capacity

FILLED: Final = "filled_volume"
INSIDE: Final = "inside_filled_volume"
OVER_BOX: Final = "filled_over_box"

_FIGURES: Final = {each.name: each for each in FINISHED_FIGURES if each.name in (FILLED, INSIDE)}
_OVER_LABEL: Final = marked("capacity", "Filled over box")
_OVER_HELP: Final = marked(
    "capacity", "Filled volume over box volume: a closed bag holds more or less than its box."
)
_OLDER: Final = marked("capacity", "Of the last numbers: the new value is being worked out.")


@dataclass(slots=True)
class _Line:
    row: Row
    text: ValueText
    help: str


class CapacityRows:
    """Three rows at the end of a group.

    Args:
        document: changes are told against its starting bag, once that is known filled.
        margin: room right of the values, px.
    """

    def __init__(
        self, document: Document, display: Display, group: Group, margin: int, parent: QWidget
    ) -> None:
        self._document, self._display, self._margin = document, display, margin
        self._shown: tuple[Capacity | None, bool] = (None, False)
        self._first: Capacity | None = None
        self._lines = {
            **{
                name: self._add(
                    group, name, from_core(figure.label), from_core(figure.help), parent
                )
                for name, figure in _FIGURES.items()
            },
            OVER_BOX: self._add(group, OVER_BOX, tr(_OVER_LABEL), tr(_OVER_HELP), parent),
        }
        self.refresh()

    def row(self, name: str) -> Row | None:
        """The row of a figure; None for one that is not here."""
        line = self._lines.get(name)
        return None if line is None else line.row

    def text(self, name: str) -> str:
        """What a row shows."""
        return self._lines[name].text.text()

    def show(self, capacity: "Capacity | None", *, current: bool) -> None:
        """Show what a bag holds; as older numbers unless it is `current`."""
        self._shown = (capacity, current)
        if capacity is not None and capacity.bag == self._document.starting.bag:
            self._first = capacity
        self.refresh()

    def refresh(self) -> None:
        """Write the rows again: another unit, another starting bag."""
        capacity, current = self._shown
        starting = self._document.starting.bag
        first = self._first if self._first and self._first.bag == starting else None
        self._lines[FILLED].row.set_note(self._note(capacity, current=current), wrong=False)
        self._lines[INSIDE].row.set_note(self._no_room(capacity, current=current), wrong=False)
        for name, line in self._lines.items():
            value, was = _value(capacity, name), _value(first, name)
            there = name == FILLED or capacity is None or capacity.filled is not None
            line.row.setVisible(there)
            line.text.show_text(_shown(name, value, current=current, waits=capacity is None))
            self._mark(line, older=not current)
            known = current and was is not None and name != OVER_BOX
            changed = change_text(Kind.VOLUME, value, was, self._display) if known else ""
            line.row.change.set_text(changed)

    def _note(self, capacity: "Capacity | None", *, current: bool) -> str:
        """The volume in other units, or why there is none."""
        if capacity is None:
            return ""
        if capacity.trouble is not None:
            return told(capacity.trouble, self._display) if current else ""
        return self._display.volume(capacity.filled).partition(" (")[2].rstrip(")")

    def _no_room(self, capacity: "Capacity | None", *, current: bool) -> str:
        """Why nothing is left inside the wall; nothing where something is."""
        if capacity is None or capacity.no_room is None or not current:
            return ""
        return told(capacity.no_room.message, self._display)

    def _mark(self, line: _Line, *, older: bool) -> None:
        palette = line.text.palette()
        plain = QPalette().color(QPalette.ColorRole.Text)
        ink = muted_colour(QPalette()) if older else plain
        if palette.color(QPalette.ColorRole.Text) != ink:
            palette.setColor(QPalette.ColorRole.Text, ink)
            line.text.setPalette(palette)
        tip = f"{tr(_OLDER)} {line.help}" if older else line.help
        if line.text.toolTip() != tip:
            line.text.setToolTip(tip)
            line.text.setAccessibleDescription(tr(_OLDER) if older else "")

    def _add(self, group: Group, name: str, label: str, help_text: str, parent: QWidget) -> _Line:
        text = ValueText(label, self._margin, parent)
        text.setObjectName(name)
        text.setFixedWidth(field_width(parent))
        row = group.add_row(label, text, help_text)
        row.setWhatsThis(help_text)
        return _Line(row, text, help_text)


def tr(text: str) -> str:
    """A text of these rows in the reader's language."""
    return QCoreApplication.translate("capacity", text)


def _value(capacity: "Capacity | None", name: str) -> float | None:
    if capacity is None:
        return None
    return {
        FILLED: capacity.filled,
        INSIDE: capacity.inside_filled,
        OVER_BOX: capacity.filled_over_box,
    }[name]


def _shown(name: str, value: float | None, *, current: bool, waits: bool) -> str:
    if value is None:
        plain = "" if waits else "–"
    else:
        plain = f"{value:.2f}" if name == OVER_BOX else shown_litres(value)
    return plain if current else f"… {plain}".rstrip()
