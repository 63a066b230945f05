"""The slider through the stages of folding, which a screen reader tells by their names."""

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QAccessible, QAccessibleInterface
from PySide6.QtWidgets import QAccessibleWidget, QSlider, QWidget

from app.session.display import tr


class StageSlider(QSlider):
    """A slider whose value is a stage, or a place between two, and never a bare number."""

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
