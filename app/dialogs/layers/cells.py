"""What the columns of a table of goods hold, how a cell is written, and how it is read."""

import re
from dataclasses import dataclass
from enum import Enum

from app.session.display import Display, told_rule, tr, translated
from core.base.quantities import MM_PER_YARD, reckon_length, rounded
from core.base.sentences import mark
from core.base.units import LengthTextError, Unit, parse_number
from core.flat.piece import GrainTurn
from core.goods.layers import Layer
from core.model.record import GOODS_NAME, ROLE, TextLimit
from core.storage.goods_library import OUNCE_PER_YARD

_IN_BRACKETS = re.compile(r"\s*\([^()]*\)\s*$")
"""The inches that stand after a thickness in mm."""
MM_PER_METRE = 1000.0

Value = str | float | GrainTurn
"""What a cell holds: words, mm, a number, or how far pieces may be turned."""

TURNS = {
    GrainTurn.NEVER: mark("not at all"),
    GrainTurn.HALF: mark("half turn"),
    GrainTurn.QUARTER: mark("quarter turns"),
}


class CellError(ValueError):
    """A cell's text that cannot be taken; `str()` names the column and what would be right."""


class CellKind(Enum):
    """How a column is typed and shown."""

    WORDS = "words"
    THICKNESS = "thickness"
    LENGTH = "length"
    NUMBER = "number"
    PRICE = "price"
    MASS = "mass"
    SHARE = "share"
    TURN = "turn"
    CHECK = "check"


@dataclass(frozen=True, slots=True)
class Cell:
    """One column: an attribute of `Layer`, its head, its kind, its tooltip.

    `short` is how the core calls the attribute in an error where that is not its name;
    `optional` says whether words may be left out, and `limit` how long they may be.
    """

    attribute: str
    label: str
    kind: CellKind
    help: str
    short: str = ""
    optional: bool = False
    limit: TextLimit | None = None

    @property
    def is_check(self) -> bool:
        return self.kind is CellKind.CHECK

    def head(self, display: Display) -> str:
        """The column's head; a weight says in what, a price for what and in which currency."""
        if self.kind is CellKind.MASS and display.unit is Unit.INCH:
            return tr("Weight, oz/yd²")
        if self.kind is not CellKind.PRICE:
            return translated(self.label)
        per = tr("Price per m or sheet")
        if display.unit is Unit.INCH:
            per = tr("Price per yd or sheet")
        return in_currency(per, display)

    def tip(self) -> str:
        return translated(self.help)

    def written(self, value: Value, display: Display, priced: float) -> str:
        """The text of a cell that holds this value.

        Args:
            value: mm; money for 1 mm for a price; 0 to 1 for a share.
            display: unit of lengths.
            priced: the length that a price is told for, mm.
        """
        if isinstance(value, GrainTurn):
            return translated(TURNS[value])
        if isinstance(value, str):
            return translated(value)
        match self.kind:
            case CellKind.THICKNESS:
                return display.thickness(value)
            case CellKind.LENGTH:
                return display.typed(value)
            case CellKind.PRICE:
                return price_text(value * priced, display)
            case CellKind.MASS:
                return f"{value / _mass_unit(display):.4g}"
            case CellKind.SHARE:
                return f"{100 * value:.4g} %"
            case _:
                return f"{value:g}"

    def read(self, text: str, display: Display, priced: float) -> Value:
        """The value that a typed text means, or a CellError.

        `priced` is the length that a price is told for, mm.
        """
        match self.kind:
            case CellKind.WORDS:
                return self._words(text)
            case CellKind.THICKNESS:
                return self._length(_IN_BRACKETS.sub("", text), Unit.MM)
            case CellKind.LENGTH:
                return self._length(text, display.unit)
            case CellKind.PRICE:
                return self._number(text, display) / priced
            case CellKind.MASS:
                return self._number(text, display) * _mass_unit(display)
            case CellKind.SHARE:
                return self._share(text)
            case CellKind.TURN:
                return self._turn(text)
            case _:
                return self._number(text, display)

    def _words(self, text: str) -> str:
        plain = " ".join(text.split())
        if not plain and not self.optional:
            rule = tr("{head}: say what it is, such as lining")
            raise CellError(rule.format(head=translated(self.label)))
        if self.limit is not None and len(plain) > self.limit.most:
            rule = tr("{head}: keep it to {limit} characters")
            raise CellError(rule.format(head=translated(self.label), limit=self.limit.most))
        return plain

    def _length(self, text: str, unit: Unit) -> float:
        try:
            return reckon_length(text, unit=unit, stands=None).value
        except LengthTextError as error:
            raise CellError(f"{translated(self.label)}: {told_rule(error)}") from error

    def _share(self, text: str) -> float:
        number = parse_number(text.strip().removesuffix("%"))
        if number is None:
            rule = tr("{head}: type a percentage from 0 up, such as 3 %")
            raise CellError(rule.format(head=translated(self.label)))
        return number / 100

    def _turn(self, text: str) -> GrainTurn:
        for turn, words in TURNS.items():
            if text.strip().casefold() == translated(words).casefold():
                return turn
        choices = ", ".join(translated(words) for words in TURNS.values())
        rule = tr("{head}: choose one of {choices}")
        raise CellError(rule.format(head=translated(self.label), choices=choices))

    def _number(self, text: str, display: Display) -> float:
        number = parse_number(text)
        if number is None:
            rule = tr("{head}: type a number that is 0 or more, such as 12.50")
            raise CellError(rule.format(head=self.head(display)))
        return number


def _mass_unit(display: Display) -> float:
    """g/m2 of one in which the mass of a surface is told."""
    return OUNCE_PER_YARD if display.unit is Unit.INCH else 1.0


def in_currency(label: str, display: Display) -> str:
    """The label of a price, with the currency that it is in."""
    return f"{label}, {display.currency}" if display.currency else label


def price_text(price: float, display: Display) -> str:
    """A price as it is typed: in the digits of its currency."""
    return f"{rounded(price, display.currency):f}"


def priced_length(display: Display, *, in_sheets: bool, sold_step: float) -> float:
    """The length that a price is told for, mm: a sheet, else a yard or a metre."""
    return sold_step if in_sheets else yard_or_metre(display)


def yard_or_metre(display: Display) -> float:
    """The length of one by which cloth and thread are told in the reader's unit, mm."""
    return MM_PER_YARD if display.unit is Unit.INCH else MM_PER_METRE


def priced_length_of(goods: Layer, display: Display) -> float:
    """`priced_length` of these goods."""
    return priced_length(display, in_sheets=goods.in_sheets, sold_step=goods.sold_step)


CELLS: tuple[Cell, ...] = (
    Cell(
        "role",
        mark("Role"),
        CellKind.WORDS,
        mark("What it does in the bag, such as outer fabric or lining."),
        limit=ROLE,
    ),
    Cell(
        "name",
        mark("Material"),
        CellKind.WORDS,
        mark("Name of the material; layers with the same name are bought together."),
        optional=True,
        limit=GOODS_NAME,
    ),
    Cell(
        "usable_width",
        mark("Usable width"),
        CellKind.LENGTH,
        mark("Width of the material without its selvedges."),
    ),
    Cell(
        "sold_step",
        mark("Selling step"),
        CellKind.LENGTH,
        mark("It is sold in whole multiples of this length: 4 1/2 in is 1/8 yd."),
    ),
    Cell(
        "in_sheets",
        mark("In sheets"),
        CellKind.CHECK,
        mark("Ticked when it is sold in sheets of that length: no piece runs across two."),
    ),
    Cell(
        "price_per_length",
        mark("Price"),
        CellKind.PRICE,
        mark("Price of a length at full width, or of a sheet, in your own currency."),
        "price",
    ),
    Cell(
        "one_way",
        mark("One way"),
        CellKind.CHECK,
        mark("Ticked when its print or nap runs one way only: no piece is turned."),
    ),
    Cell(
        "turn",
        mark("May turn"),
        CellKind.TURN,
        mark("How far pieces may be turned on it, where print and nap allow."),
    ),
    Cell(
        "shrink_length",
        mark("Shrinks along"),
        CellKind.SHARE,
        mark("In its length, in the first wash."),
    ),
    Cell(
        "shrink_width",
        mark("Shrinks across"),
        CellKind.SHARE,
        mark("In its width, in the first wash."),
    ),
    Cell(
        "cut_washed",
        mark("Washed first"),
        CellKind.CHECK,
        mark(
            "Ticked when you wash it before cutting, if it shrinks; otherwise pieces are cut "
            "larger by what they will shrink when the bag is washed."
        ),
    ),
    Cell(
        "mass_per_area",
        mark("Weight, g/m²"),
        CellKind.MASS,
        mark(
            "Weight of a square metre in grams, or of a square yard in ounces; 0 if you do not "
            "know it."
        ),
        "mass",
    ),
    Cell(
        "thickness",
        mark("Thickness"),
        CellKind.THICKNESS,
        mark("Thickness when not pressed; a number without a unit is mm."),
    ),
    Cell(
        "pressed",
        mark("Pressed"),
        CellKind.THICKNESS,
        mark("Thickness under the presser foot; a number without a unit is mm."),
    ),
    Cell("melts", mark("Melts"), CellKind.CHECK, mark("Ticked when a hot iron harms it.")),
    Cell(
        "fusible",
        mark("Fusible"),
        CellKind.CHECK,
        mark("Ticked when it is bonded on with an iron."),
    ),
    Cell(
        "insulating",
        mark("Insulating"),
        CellKind.CHECK,
        mark("Ticked when it keeps things cold or warm: the cautions about food apply then."),
    ),
    Cell(
        "wipe_clean",
        mark("Wipe-clean"),
        CellKind.CHECK,
        mark("Ticked when it has a film that needle holes damage."),
    ),
    Cell(
        "laid_last",
        mark("Laid last"),
        CellKind.CHECK,
        mark(
            "Ticked when it is basted in after pocket and handles are sewn on: only the seams "
            "pierce it then. It does not count for the outermost layer."
        ),
    ),
)
"""The columns, in reading order."""
