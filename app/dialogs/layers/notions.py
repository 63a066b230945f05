"""Prices and measures of what is bought besides goods: zip, thread, clips."""

import re

from PySide6.QtWidgets import QFormLayout, QLabel, QLineEdit, QWidget

from app.dialogs.layers.cells import (
    Cell,
    CellError,
    CellKind,
    in_currency,
    price_text,
    yard_or_metre,
)
from app.session.display import Display, tr, translated
from core.base.errors import FieldError
from core.base.sentences import mark
from core.base.units import Unit
from core.goods.supplies import Supplies

SPOOL = "spool_length"
LENGTHS = "zip_lengths"
"""The one line that holds several lengths."""
PRICES = ("zip_price", "spool_price")
NARROW, WIDE = 160, 480

FIELDS: tuple[Cell, ...] = (
    Cell(
        "zip_price",
        mark("Price of a zip"),
        CellKind.NUMBER,
        mark("In your own currency; 0 to leave it out."),
    ),
    Cell(
        LENGTHS,
        mark("Zips are sold in"),
        CellKind.LENGTH,
        mark(
            "Zip lengths for this bag, separated by semicolons; leave it empty for those of "
            "your shop, as set in Preferences."
        ),
    ),
    Cell(
        "spool_price",
        mark("Price of a spool"),
        CellKind.NUMBER,
        mark("Of thread, in your own currency; 0 to leave it out."),
    ),
    Cell(SPOOL, mark("Metres on a spool"), CellKind.NUMBER, mark("Length of thread on one spool.")),
    Cell(
        "clip_spacing",
        mark("Clip spacing"),
        CellKind.LENGTH,
        mark("Distance between the clips that hold the edges for basting."),
    ),
)


class NotionsForm(QWidget):
    """Five lines to type in."""

    def __init__(
        self,
        supplies: Supplies,
        display: Display,
        parent: QWidget | None = None,
        *,
        shop_zips: tuple[float, ...] | None = None,
    ) -> None:
        """`shop_zips` holds where nothing is typed: lengths that the maker's shop sells, mm."""
        super().__init__(parent)
        self._supplies = supplies
        self._display = display
        self.lines: dict[str, QLineEdit] = {}
        self._shown: dict[str, str] = {}
        form = QFormLayout(self)
        for cell in FIELDS:
            name, text = cell.attribute, self._written(cell)
            line = QLineEdit(text, self)
            named = self._named(cell)
            line.setAccessibleName(named)
            line.setToolTip(cell.tip())
            line.setMaximumWidth(WIDE if name == LENGTHS else NARROW)
            label = QLabel(named, self)
            label.setBuddy(line)
            form.addRow(label, line)
            if name == LENGTHS:
                usual = Supplies().zips_offered(display.unit, shop_zips)
                line.setPlaceholderText(
                    "; ".join(cell.written(each, display, 1.0) for each in usual)
                )
            self.lines[name], self._shown[name] = line, text

    def _named(self, cell: Cell) -> str:
        """The label of a line; a price says its currency, thread what it is sold by."""
        if cell.attribute in PRICES:
            return in_currency(translated(cell.label), self._display)
        by_yard = cell.attribute == SPOOL and self._display.unit is Unit.INCH
        return tr("Yards on a spool") if by_yard else translated(cell.label)

    def read(self) -> dict[str, float | tuple[float, ...] | None]:
        """What is typed, by the attribute of `Supplies`; mm and money.

        A CellError says that a text means nothing; it names the line.
        """
        values: dict[str, float | tuple[float, ...] | None] = {}
        for cell in FIELDS:
            name = cell.attribute
            text = self.lines[name].text()
            if text == self._shown[name]:
                values[name] = getattr(self._supplies, name)
                continue
            try:
                values[name] = self._meant(cell, text)
            except CellError:
                self.lines[name].setFocus()
                raise
        return values

    def _meant(self, cell: Cell, text: str) -> float | tuple[float, ...] | None:
        if cell.attribute == LENGTHS:
            # A comma followed by a figure may be a decimal one; with a space it parts two lengths.
            parts = [part for part in re.split(r";|,\s", text) if part.strip()]
            return tuple(self._number(cell, part) for part in parts) or None
        value = self._number(cell, text)
        return yard_or_metre(self._display) * value if cell.attribute == SPOOL else value

    def _number(self, cell: Cell, text: str) -> float:
        value = cell.read(text, self._display, 1.0)
        if not isinstance(value, float):
            raise TypeError(f"{cell.attribute} is no number")
        return value

    def go_to(self, error: FieldError) -> None:
        """Put the focus where the core sees something wrong."""
        if error.field in self.lines:
            self.lines[error.field].setFocus()

    def _written(self, cell: Cell) -> str:
        if cell.attribute == LENGTHS:
            lengths = self._supplies.zip_lengths or ()
            return "; ".join(cell.written(each, self._display, 1.0) for each in lengths)
        value: float = getattr(self._supplies, cell.attribute)
        if cell.attribute == SPOOL:
            return f"{value / yard_or_metre(self._display):.5g}"
        if cell.kind is CellKind.NUMBER:
            return price_text(value, self._display)
        return cell.written(value, self._display, 1.0)
