"""Fields for choices, lengths, volumes, counts and stages, bound to values of the document.

Model to widget happens with its signals blocked, widget to model only when the value is
another one; otherwise an undo would push a new step.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Generic, Protocol, TypeVar

from PySide6.QtCore import QObject, Qt, SignalInstance, Slot
from PySide6.QtGui import QAccessible, QAccessibleInterface, QWheelEvent
from PySide6.QtWidgets import QAccessibleWidget, QComboBox, QSlider, QWidget

from app.session.display import Display, shown_litres, tr
from app.widgets.figure_box import FigureBox
from core.base.quantities import Reckoning, reckon_count, reckon_length, reckon_volume
from core.base.units import Unit, round_to_step, ruler_steps

Value = TypeVar("Value")
Shown_contra = TypeVar("Shown_contra", contravariant=True)


class Editor(Protocol[Shown_contra]):
    """A widget that shows a value and says when the maker wants another one."""

    value_edited: SignalInstance

    def show_value(self, value: Shown_contra | None) -> None:
        """Show this value; None when there is none to show."""
        ...

    def blockSignals(self, block: bool) -> bool:  # noqa: N802 - QObject's own
        """Keep signals back."""
        ...


class Binding(Generic[Value]):
    """Keeps one editor and one value of the document the same.

    `refresh` is for the owner to call when the document has changed. A value that the
    document has already is not written, unless `rewrite` says that asking for it may do more.
    """

    def __init__(
        self,
        editor: Editor[Value],
        *,
        read: Callable[[], Value | None],
        write: Callable[[Value], bool],
        rewrite: bool = False,
    ) -> None:
        self._editor = editor
        self._read = read
        self._write = write
        self._rewrite = rewrite
        editor.value_edited.connect(self._on_value_edited)

    def refresh(self) -> None:
        was_blocked = self._editor.blockSignals(True)
        try:
            self._editor.show_value(self._read())
        finally:
            self._editor.blockSignals(was_blocked)

    def _on_value_edited(self, value: Value) -> None:
        if value == self._read() and not self._rewrite:
            self.refresh()
        else:
            self._write(value)


class OptionBox(QComboBox):
    """A list of options; the wheel turns it only when it has the focus, else the page scrolls."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    # Qt's own names from here on.

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


DUST = 1e-6
"""What adding steps or solving may leave beside a length on the ruler, mm."""
VOLUME_STEP = 0.1
"""Litres by which arrows and wheel move."""
VOLUME_DIGITS = 9
"""Digits of a litre that are kept when steps are added up."""
LEAST_SHOWN = 0.005
"""Litres below which a volume reads as 0."""


class LengthBox(FigureBox):
    """A box for a length; its value is mm, whatever unit is shown and typed."""

    def __init__(self, label: str, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(label, parent)
        self._display = display
        self._typed_in: Unit = display.unit
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

    @Slot()
    def _on_text_edited(self) -> None:
        super()._on_text_edited()
        # A bare number keeps the meaning that it had when it was typed.
        self._typed_in = self._display.unit

    @Slot()
    def _on_display_changed(self) -> None:
        if not self._edited:
            self._write_value()  # what a step was refused for stands on


class VolumeBox(FigureBox):
    """A box for a volume; its value is litres, typed in any unit of volume."""

    def _read(self, text: str, stands: float | None) -> Reckoning:
        return reckon_volume(text, stands=stands)

    def _written(self, value: float) -> str:
        return shown_litres(value)

    def _moved(self, value: float, steps: int) -> float:
        moved = round(value + steps * VOLUME_STEP, VOLUME_DIGITS)
        return moved if abs(moved) >= LEAST_SHOWN else 0.0  # no dust that nobody sees

    def _widest(self) -> str:
        return "888.88 L"


class CountBox(FigureBox):
    """A box for a whole number of pieces.

    `among`: the only numbers that its steps go to, ascending; none: every one.
    """

    def __init__(
        self, label: str, parent: QWidget | None = None, *, among: tuple[int, ...] = ()
    ) -> None:
        super().__init__(label, parent)
        self._among = among

    def _read(self, text: str, stands: float | None) -> Reckoning:
        return reckon_count(text, stands=stands)

    def _written(self, value: float) -> str:
        return f"{value:g}"

    def _moved(self, value: float, steps: int) -> float:
        if not self._among:
            return value + steps
        beyond = [each for each in self._among if (each > value if steps > 0 else each < value)]
        way = beyond if steps > 0 else beyond[::-1]
        return way[min(abs(steps), len(way)) - 1] if way and steps else value

    def _widest(self) -> str:
        return "000"


class StageSlider(QSlider):
    """A slider whose value is a stage, or a place between two: a screen reader tells its name."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self._stages: tuple[tuple[int, str], ...] = ()
        self.valueChanged.connect(self._tell)

    @property
    def stage(self) -> str:
        value = self.value()
        for (low, before), (high, after) in pairwise(self._stages):
            if low < value < high:
                template = tr("{share} % from {one} to {other}")
                share = round(100 * (value - low) / (high - low))
                return template.format(share=share, one=before, other=after)
        return dict(self._stages).get(value, "")

    def name_stages(self, stages: Sequence[tuple[int, str]]) -> None:
        """Give values their names, in ascending order."""
        self._stages = tuple(stages)
        self._tell()

    def _tell(self) -> None:
        # Read where a system has no value of a slider but its number, and told on each change.
        self.setAccessibleDescription(self.stage)


class _Read(QAccessibleWidget):
    """What a screen reader has of a slider: its stage in the place of a number."""

    def __init__(self, slider: StageSlider) -> None:
        super().__init__(slider, QAccessible.Role.Slider)
        self._slider = slider

    # Qt's own names from here on.

    def text(self, kind: QAccessible.Text) -> str:
        return self._slider.stage if kind is QAccessible.Text.Value else super().text(kind)


_kept: list[_Read] = []
"""Qt takes a reading back with its slider, and must find it there."""


def _read(_kind: str, watched: QObject) -> QAccessibleInterface | None:
    if not isinstance(watched, StageSlider):
        return None
    _kept.append(_Read(watched))
    return _kept[-1]


QAccessible.installFactory(_read)
