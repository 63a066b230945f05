"""Boxes for lengths in any spelling and unit, for volumes, and for counts."""

from PySide6.QtWidgets import QWidget

from app.display import Display
from app.figure_box import FigureBox
from app.words import shown_litres
from core.reckoning import Reckoning, reckon_count, reckon_length, reckon_volume
from core.units import Unit, round_to_step, ruler_steps

DUST = 1e-6
"""What adding steps or solving may leave beside a length on the ruler, mm."""
VOLUME_STEP = 0.1
"""Litres by which arrows and wheel move."""
VOLUME_DIGITS = 9
"""Digits of a litre that are kept when steps are added up."""


class LengthSpinBox(FigureBox):
    """A box for a length; its value is mm, whatever unit is shown and typed."""

    def __init__(self, label: str, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(label, parent)
        self._display = display
        self._typed_in: Unit = display.unit
        self.lineEdit().textEdited.connect(self._on_typed)
        display.changed.connect(self._on_display_changed)

    def _read(self, text: str, stands: float | None) -> Reckoning:
        return reckon_length(text, unit=self._typed_in, stands=stands)

    def _written(self, value: float) -> str:
        return self._display.typed(value)

    def _moved(self, value: float, steps: int) -> float:
        moved = value + steps * self._display.step
        # On the ruler, the very float that the typed fraction would be: up and down again
        # is then the same length, and no dust of sums gets into a file.
        ruled = round_to_step(moved, ruler_steps(self._display.unit)[0])
        return ruled if abs(ruled - moved) < DUST else moved

    def _widest(self) -> str:
        return "≈ 88 15/16 in"

    def _on_typed(self) -> None:
        # A bare number keeps the meaning that it had when it was typed.
        self._typed_in = self._display.unit

    def _on_display_changed(self) -> None:
        if not self._edited and not self._problem:
            self._rewrite()


class VolumeBox(FigureBox):
    """A box for a volume; its value is litres, typed in any unit of volume."""

    def _read(self, text: str, stands: float | None) -> Reckoning:
        return reckon_volume(text, stands=stands)

    def _written(self, value: float) -> str:
        return shown_litres(value)

    def _moved(self, value: float, steps: int) -> float:
        return round(value + steps * VOLUME_STEP, VOLUME_DIGITS)

    def _widest(self) -> str:
        return "888.88 L"


class CountSpinBox(FigureBox):
    """A box for a whole number of pieces."""

    def _read(self, text: str, stands: float | None) -> Reckoning:
        return reckon_count(text, stands=stands)

    def _written(self, value: float) -> str:
        return f"{value:g}"

    def _moved(self, value: float, steps: int) -> float:
        return value + steps

    def _widest(self) -> str:
        return "000"
