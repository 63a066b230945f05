"""The layers as a short list with the way to edit them."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QPushButton, QVBoxLayout, QWidget

from app.display import Display
from app.document import Document
from app.plain_label import PlainLabel
from app.theme import muted_colour
from app.toned_label import TonedLabel
from app.words import from_core
from core.parts.layers import Layer
from core.units import Unit


class LayersList(QWidget):
    """One line per layer, outermost first.

    Signals:
        asked: the maker wants to edit the layers.
    """

    asked = Signal()

    def __init__(self, document: Document, display: Display, parent: QWidget) -> None:
        super().__init__(parent)
        self._document, self._display = document, display
        self._shown: tuple[tuple[Layer, ...], Unit] = (), display.unit
        self._lines = QGridLayout()
        self._lines.setContentsMargins(0, 4, 0, 4)
        self._lines.setVerticalSpacing(2)
        self._lines.setColumnStretch(0, 1)
        self.button = QPushButton(self.tr("Edit layers…"), self)
        self.button.setToolTip(
            self.tr("Layers of the wall, outermost first: thickness, width, what melts, price.")
        )
        self.button.clicked.connect(self.asked)
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 0, 10, 4)
        column.addLayout(self._lines)
        column.addWidget(self.button, 0, Qt.AlignmentFlag.AlignLeft)

    def refresh(self) -> None:
        """Show the document's layers when they, or the unit, are other ones."""
        layers = self._document.bag.sandwich.layers
        shown = layers, self._display.unit
        if shown == self._shown:
            return
        self._shown = shown
        while (item := self._lines.takeAt(0)) is not None:
            if (line := item.widget()) is not None:
                line.deleteLater()
        for place, layer in enumerate(layers):
            role = PlainLabel(from_core(layer.role), self)
            role.setWordWrap(True)
            thickness = TonedLabel(muted_colour, self._display.thickness(layer.thickness), self)
            self._lines.addWidget(role, place, 0)
            self._lines.addWidget(thickness, place, 1, Qt.AlignmentFlag.AlignRight)
