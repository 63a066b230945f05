"""How lengths are shown: unit and ruler step, shared by every view; never part of the bag."""

from PySide6.QtCore import QObject, Signal

from core.units import Unit, default_step, format_length, ruler_steps, unbroken
from core.volumes import format_volume

LEAST_MM = 0.005
"""Half of the last digit of a length in mm or cm: what is less is not read as a difference."""


class Display(QObject):
    """The reader's unit and ruler step.

    Signals:
        changed: unit or step is another one; views show their lengths again.
    """

    changed = Signal()

    def __init__(
        self, unit: Unit = Unit.INCH, step: float | None = None, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._unit = unit
        self._step = step if step is not None else default_step(unit)

    @property
    def unit(self) -> Unit:
        """The unit shown, and the one of bare numbers that are typed."""
        return self._unit

    @property
    def step(self) -> float:
        """Ruler step, mm: arrows, wheel and drags move by it."""
        return self._step

    def set_unit(self, unit: Unit) -> None:
        """Show another unit, with that unit's usual ruler step."""
        if unit is not self._unit:
            self._unit = unit
            self._step = default_step(unit)
            self.changed.emit()

    def set_step(self, step: float) -> None:
        """Use another ruler step, mm; one of `ruler_steps(unit)`."""
        if step not in ruler_steps(self._unit):
            raise ValueError(f"{step} mm is no ruler step of {self._unit}")
        if step != self._step:
            self._step = step
            self.changed.emit()

    def length(self, mm: float) -> str:
        """A length as it is read, with its unit: one word that no line breaks."""
        return unbroken(self.typed(mm))

    def typed(self, mm: float) -> str:
        """A length as it is typed, and as other programs read it: with plain spaces."""
        return format_length(mm, unit=self._unit, step=self._step)

    def bare(self, mm: float) -> str:
        """A length as it is read, without its unit."""
        return unbroken(format_length(mm, unit=self._unit, step=self._step, suffix=False))

    def difference(self, mm: float) -> str:
        """How far two lengths lie apart, unsigned, to a quarter of the finest ruler step.

        Empty for what is too small to be read; never marked as being only near.
        """
        fine = ruler_steps(self._unit)[0] / 4
        if abs(mm) < (fine / 2 if self._unit is Unit.INCH else LEAST_MM):
            return ""
        return unbroken(format_length(abs(mm), unit=self._unit, step=fine).removeprefix("~"))

    def signed(self, mm: float, *, suffix: bool = True) -> str:
        """A difference with its sign, as in `+1/2 in` or `~−1/2 in`; empty for none."""
        text = self.length(mm) if suffix else self.bare(mm)
        if not any(digit in text for digit in "123456789"):
            return ""
        near = "~" if text.startswith("~") else ""
        return f"{near}+{text.removeprefix(near)}" if mm > 0 else text

    def volume(self, litres: float | None) -> str:
        """A volume as it is read."""
        return format_volume(litres, unit=self._unit)
