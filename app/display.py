"""How a bag is shown: unit, ruler step, paper, currency, shared by every view; never its own."""

from collections.abc import Mapping
from types import MappingProxyType

from PySide6.QtCore import QObject, Signal

from core.goods.money import money
from core.paper.papers import Paper, usual_paper
from core.units import (
    MM_PER_INCH,
    NEAR,
    NO_BREAK,
    Unit,
    default_step,
    format_exact,
    format_length,
    ruler_steps,
    unbroken,
)
from core.volumes import format_volume

LEAST_MM = 0.05
"""Half of the last digit of a length in mm or cm: what is less is not read as a difference."""
_MARK = f"{NEAR}{NO_BREAK}"


class Display(QObject):
    """The reader's unit, ruler step, paper and currency.

    Signals:
        changed: one of them is another one; views show their texts again.
    """

    changed = Signal()

    def __init__(
        self,
        unit: Unit = Unit.INCH,
        step: float | None = None,
        parent: QObject | None = None,
        *,
        steps: Mapping[Unit, float] | None = None,
    ) -> None:
        super().__init__(parent)
        self._unit = unit
        self._steps = {each: default_step(each) for each in Unit} | dict(steps or {})
        if step is not None:
            self._steps[unit] = step
        self._paper: Paper | None = None
        self._currency = ""

    @property
    def unit(self) -> Unit:
        """The unit shown, and the one of bare numbers that are typed."""
        return self._unit

    @property
    def step(self) -> float:
        """Ruler step, mm: arrows, wheel and drags move by it."""
        return self._steps[self._unit]

    @property
    def steps(self) -> Mapping[Unit, float]:
        """Unit -> the ruler step that goes with it, mm."""
        return MappingProxyType(self._steps)

    def set_unit(self, unit: Unit) -> None:
        """Show another unit, with the ruler step that goes with it."""
        if unit is not self._unit:
            self._unit = unit
            self.changed.emit()

    def set_step(self, step: float) -> None:
        """Use another ruler step with this unit, mm; one of `ruler_steps(unit)`."""
        self.set_step_of(self._unit, step)

    def set_step_of(self, unit: Unit, step: float) -> None:
        """Let another ruler step go with a unit, mm; one of `ruler_steps(unit)`."""
        if step not in ruler_steps(unit):
            raise ValueError(f"{step} mm is no ruler step of {unit}")
        if step != self._steps[unit]:
            self._steps[unit] = step
            if unit is self._unit:
                self.changed.emit()

    @property
    def paper(self) -> Paper:
        """The cut sheet to print on: the one that was chosen, else the usual one of the unit."""
        return self._paper or usual_paper(self._unit)

    def set_paper(self, paper: Paper | None) -> None:
        """Print on this cut sheet; None: on the usual one of the unit."""
        if paper != self._paper:
            self._paper = paper
            self.changed.emit()

    @property
    def currency(self) -> str:
        """The code of the currency that prices are in; empty where nobody says which."""
        return self._currency

    def set_currency(self, code: str) -> None:
        """Tell prices in this currency, one of `core.goods.money.CURRENCIES`; empty: in none."""
        if code != self._currency:
            self._currency = code
            self.changed.emit()

    def money(self, amount: float) -> str:
        """An amount of money as it is read: one word that no line breaks."""
        return unbroken(money(amount, self._currency))

    def length(self, mm: float) -> str:
        """A length as it is read, with its unit: one word that no line breaks."""
        return unbroken(self.typed(mm))

    def typed(self, mm: float) -> str:
        """A length as it is typed, and as other programs read it: with plain spaces."""
        return format_length(mm, unit=self._unit, step=self.step)

    def bare(self, mm: float) -> str:
        """A length as it is read, without its unit."""
        return unbroken(format_length(mm, unit=self._unit, step=self.step, suffix=False))

    def difference(self, mm: float) -> str:
        """How far two lengths lie apart, unsigned, to a quarter of the finest ruler step.

        Empty for what is too small to be read; never marked as being only near.
        """
        fine = ruler_steps(self._unit)[0] / 4
        if abs(mm) < (fine / 2 if self._unit is Unit.INCH else LEAST_MM):
            return ""
        text = format_length(abs(mm), unit=self._unit, step=fine)
        return unbroken(text).removeprefix(_MARK)

    def signed(self, mm: float, *, suffix: bool = True) -> str:
        """A difference with its sign, as in `+1/2 in` or `≈ −1/2 in`; empty for none."""
        text = self.length(mm) if suffix else self.bare(mm)
        if not any(digit in text for digit in "123456789"):
            return ""
        near = _MARK if text.startswith(_MARK) else ""
        return f"{near}+{text.removeprefix(near)}" if mm > 0 else text

    def thickness(self, mm: float) -> str:
        """A thickness as it is typed: in mm, as the trade tells it, with inches for who reads them.

        A ruler's fractions say nothing about the thickness of cloth.
        """
        text = format_exact(mm, unit=Unit.MM)
        return f"{text} ({mm / MM_PER_INCH:.3f} in)" if self._unit is Unit.INCH else text

    def volume(self, litres: float | None) -> str:
        """A volume as it is read."""
        return format_volume(litres, unit=self._unit)
