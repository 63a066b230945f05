"""How lengths are shown: unit and ruler step, shared by every view; never part of the bag."""

from PySide6.QtCore import QObject, Signal

from core.units import Unit, default_step, format_length, ruler_steps
from core.volumes import format_volume


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
        """A length as it is read, with its unit."""
        return format_length(mm, unit=self._unit, step=self._step)

    def bare(self, mm: float) -> str:
        """A length as it is read, without its unit."""
        return format_length(mm, unit=self._unit, step=self._step, suffix=False)

    def difference(self, mm: float) -> str:
        """How far two lengths lie apart, unsigned, to a quarter of the finest ruler step.

        Empty for what is too small to be read; never marked as being only near.
        """
        fine = ruler_steps(self._unit)[0] / 4
        text = format_length(abs(mm), unit=self._unit, step=fine).removeprefix("~")
        return text if any(digit in text for digit in "123456789") else ""

    def volume(self, litres: float | None) -> str:
        """A volume as it is read."""
        return format_volume(litres, unit=self._unit)
