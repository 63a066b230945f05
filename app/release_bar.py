"""Buttons that release the pins which fight in a conflict, and try again."""

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QPushButton, QWidget


class ReleaseBar(QWidget):
    """One button per pin that fights; hidden while there is none.

    The buttons stand beside each other where there is room, else below each other.

    Signals:
        release_asked(str): the maker gives up the pin of this name.
    """

    release_asked = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._names: tuple[str, ...] = ()
        self._buttons: list[QPushButton] = []
        self._line = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._line.setContentsMargins(0, 0, 0, 4)
        self._line.setSpacing(4)
        self._line.addStretch(1)
        self.hide()

    @property
    def buttons(self) -> list[QPushButton]:
        """The buttons shown, in the order of the names."""
        return self._buttons[: len(self._names)]

    def show_pins(self, pins: Sequence[tuple[str, str]]) -> None:
        """Offer to release these: (name, what the maker reads)."""
        self._names = tuple(name for name, _ in pins)
        while len(self._buttons) < len(pins):
            self._add_button()
        for button, (_, label) in zip(self._buttons, pins, strict=False):
            button.setText(self.tr("Release {figure}").format(figure=label))
        for place, button in enumerate(self._buttons):
            button.setVisible(place < len(pins))
        self.setVisible(bool(pins))
        self._place()

    def _add_button(self) -> None:
        place = len(self._buttons)
        button = QPushButton(self)
        button.setToolTip(self.tr("Release this pin and try again; one undo takes both back."))
        button.clicked.connect(lambda: self.release_asked.emit(self._names[place]))
        self._buttons.append(button)
        self._line.insertWidget(place, button, 0, Qt.AlignmentFlag.AlignLeft)

    def _place(self) -> None:
        widths = [button.sizeHint().width() for button in self.buttons]
        taken = sum(widths) + self._line.spacing() * len(widths)
        across, down = QBoxLayout.Direction.LeftToRight, QBoxLayout.Direction.TopToBottom
        direction = across if taken <= self.contentsRect().width() else down
        if direction != self._line.direction():
            self._line.setDirection(direction)
            self.updateGeometry()

    # Qt's own names from here on.

    def minimumSizeHint(self) -> QSize:
        widest = max((button.sizeHint().width() for button in self.buttons), default=0)
        return QSize(widest, self._line.minimumSize().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()
