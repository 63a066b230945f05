"""What the columns of the layers table hold, how a cell is written, and how it is read."""

import math
from dataclasses import dataclass
from enum import Enum

from PySide6.QtCore import QCoreApplication

from app.display import Display
from app.words import from_core, marked, told_rule
from core.units import LengthTextError, Unit, format_length, parse_length

MM_PER_YARD = 914.4
MM_PER_METRE = 1000.0
LONGEST_ROLE = 60


class CellError(ValueError):
    """A cell's text that cannot be taken; `str()` names the column and what would be right."""


class CellKind(Enum):
    """How a column is typed and shown."""

    WORDS = "words"
    THICKNESS = "thickness"
    LENGTH = "length"
    NUMBER = "number"
    PRICE = "price"
    CHECK = "check"


@dataclass(frozen=True, slots=True)
class Cell:
    """One column: an attribute of `Layer`, its head, its kind, its tooltip.

    `short` is how the core calls the attribute in an error where that is not its name.
    """

    attribute: str
    label: str
    kind: CellKind
    help: str
    short: str = ""

    @property
    def is_check(self) -> bool:
        """Whether the cell is ticked rather than typed."""
        return self.kind is CellKind.CHECK

    def head(self, display: Display) -> str:
        """The column's head; a price says for which length it is."""
        if self.kind is not CellKind.PRICE:
            return tr(self.label)
        return tr("Price per yd") if display.unit is Unit.INCH else tr("Price per m")

    def tip(self) -> str:
        """The column's tooltip."""
        return tr(self.help)

    def written(self, value: str | float, display: Display) -> str:
        """The text of a cell that holds this value (mm; money per mm for a price)."""
        if isinstance(value, str):
            return from_core(value)
        match self.kind:
            case CellKind.THICKNESS:
                # A ruler's fractions say nothing about the thickness of cloth.
                return format_length(value, unit=Unit.MM)
            case CellKind.LENGTH:
                return display.length(value)
            case CellKind.PRICE:
                return f"{value * _priced_length(display):.2f}"
            case _:
                return f"{value:g}"

    def read(self, text: str, display: Display) -> str | float:
        """The value that a typed text means.

        Raises:
            CellError: it means none.
        """
        match self.kind:
            case CellKind.WORDS:
                return self._words(text)
            case CellKind.THICKNESS:
                return self._length(text, Unit.MM)
            case CellKind.LENGTH:
                return self._length(text, display.unit)
            case CellKind.PRICE:
                return self._number(text, display) / _priced_length(display)
            case _:
                return self._number(text, display)

    def _words(self, text: str) -> str:
        plain = " ".join(text.split())
        if not plain:
            rule = tr("{head}: say what it is, such as lining")
            raise CellError(rule.format(head=tr(self.label)))
        if len(plain) > LONGEST_ROLE:
            rule = tr("{head}: keep it to {limit} characters")
            raise CellError(rule.format(head=tr(self.label), limit=LONGEST_ROLE))
        return plain

    def _length(self, text: str, unit: Unit) -> float:
        try:
            return parse_length(text, unit=unit)
        except LengthTextError as error:
            raise CellError(f"{tr(self.label)}: {told_rule(error)}") from error

    def _number(self, text: str, display: Display) -> float:
        wrong = CellError(
            tr("{head}: type a number that is 0 or more, such as 12.50").format(
                head=self.head(display)
            )
        )
        try:
            number = float(text.strip())
        except ValueError:
            raise wrong from None
        if not math.isfinite(number) or number < 0.0:
            raise wrong
        return number


def _priced_length(display: Display) -> float:
    return MM_PER_YARD if display.unit is Unit.INCH else MM_PER_METRE


def tr(text: str) -> str:
    """A text of the layers table in the reader's language."""
    return QCoreApplication.translate("layers", text)


CELLS: tuple[Cell, ...] = (
    Cell(
        "role",
        marked("layers", "Goods"),
        CellKind.WORDS,
        marked("layers", "What the layer does, such as outer fabric or lining."),
    ),
    Cell(
        "thickness",
        marked("layers", "Thickness"),
        CellKind.THICKNESS,
        marked("layers", "Thickness under no load; a bare number is mm."),
    ),
    Cell(
        "pressed",
        marked("layers", "Pressed"),
        CellKind.THICKNESS,
        marked("layers", "Thickness under the presser foot; a bare number is mm."),
    ),
    Cell(
        "mass_per_area",
        marked("layers", "Mass, g/m²"),
        CellKind.NUMBER,
        marked("layers", "Mass of a square metre in grams; 0 when you do not know."),
        "mass",
    ),
    Cell(
        "usable_width",
        marked("layers", "Usable width"),
        CellKind.LENGTH,
        marked("layers", "Width of the goods without the woven edges."),
    ),
    Cell(
        "one_way",
        marked("layers", "One way"),
        CellKind.CHECK,
        marked("layers", "Ticked when its print or nap runs one way only."),
    ),
    Cell(
        "melts",
        marked("layers", "Melts"),
        CellKind.CHECK,
        marked("layers", "Ticked when a hot iron harms it."),
    ),
    Cell(
        "price_per_length",
        marked("layers", "Price"),
        CellKind.PRICE,
        marked("layers", "Price of a length at full width, in your own currency."),
        "price",
    ),
)
"""The columns, in reading order."""
