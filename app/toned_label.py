"""A label in one of the window's own colours, which follows light and dark."""

from collections.abc import Callable

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QWidget

from app.plain_label import PlainLabel

Tone = Callable[[QPalette], QColor]


def keep_room(label: PlainLabel, lines: int) -> None:
    """Give a label that says something now and then room for so many lines, said or not.

    What stands around it is a field that is being typed in: it must not move.
    """
    policy = label.sizePolicy()
    policy.setRetainSizeWhenHidden(True)
    label.setSizePolicy(policy)
    label.setWordWrap(True)
    label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
    label.setMinimumHeight(lines * label.fontMetrics().lineSpacing() + 2)


class TonedLabel(PlainLabel):
    """A label whose colour is worked out from the surroundings."""

    def __init__(self, tone: Tone, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self._tone = tone
        self._colour: QColor | None = None
        self._apply()

    def set_tone(self, tone: Tone) -> None:
        """Use another colour."""
        if tone is not self._tone:
            self._tone = tone
            self._apply()

    def _apply(self) -> None:
        colour = self._tone(QGuiApplication.palette())
        if colour != self._colour:  # setting a palette tells of a change of palette again
            self._colour = colour
            palette = QPalette()
            palette.setColor(QPalette.ColorRole.WindowText, colour)
            self.setPalette(palette)

    # Qt's own names from here on.

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.PaletteChange:
            self._apply()
        super().changeEvent(event)
