"""The constructions to choose from, each with a picture: a plain bag of it, folded up and sewn."""

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QSizePolicy, QToolButton, QWidget

from app.session.display import translated
from app.widgets.layouts import spaced
from app.widgets.record_painter import paint_picture
from app.widgets.theme import DrawingTheme
from core.bag.bag import Bag
from core.bag.construction import with_construction
from core.base.sentences import show_millimetres
from core.bodies.body import Body
from core.bodies.table import BODIES
from core.drawing.step_pictures import bag_picture
from core.storage.bag_files import demo_bag

_BOX = (34.0, 30.0)
"""Size that a picture is drawn for, mm."""
_LINES = 5
"""Height of a picture, in lines of text."""


class ConstructionRow(QWidget):
    """One button for each construction, side by side; one of them is chosen.

    Signals:
        chosen(str): the maker chose the construction of this word.
    """

    chosen = Signal(str)

    def __init__(self, word: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Construction"))
        self.buttons = {kind.KIND: _ConstructionButton(kind, self) for kind in BODIES}
        group = QButtonGroup(self)
        row = spaced(QHBoxLayout(self), 6)
        for button in self.buttons.values():
            group.addButton(button)
            row.addWidget(button, 1)
        self.buttons[word].setChecked(True)
        group.buttonClicked.connect(lambda button: self.chosen.emit(button.objectName()))

    @property
    def word(self) -> str:
        """Of the construction that is chosen."""
        return next(word for word, button in self.buttons.items() if button.isChecked())


class _ConstructionButton(QToolButton):
    """A construction: its picture, in the colours of the window, over its name."""

    def __init__(self, kind: type[Body], parent: QWidget) -> None:
        super().__init__(parent)
        name = translated(kind.LABEL)
        self._picture = bag_picture(plain_bag(kind), _BOX, show=show_millimetres)
        self.setObjectName(kind.KIND)
        self.setText(name)
        self.setAccessibleName(name)
        self.setToolTip(translated(kind.ABOUT) or name)
        self.setCheckable(True)
        self.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextUnderIcon)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.toggled.connect(lambda on: self._on_toggle(checked=on))
        self._paint()

    def _on_toggle(self, *, checked: bool) -> None:
        """Not by its shade alone: the one that is chosen is bold."""
        font = self.font()
        font.setBold(checked)
        self.setFont(font)

    def _paint(self) -> None:
        picture, ratio = self._picture, self.devicePixelRatioF()
        high = _LINES * QFontMetrics(self.font()).height()
        scale = min(high / picture.height, high * _BOX[0] / _BOX[1] / picture.width)
        size = QSize(round(high * _BOX[0] / _BOX[1]), high)
        pixels = QPixmap(size * ratio)
        pixels.setDevicePixelRatio(ratio)
        pixels.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixels)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(
            (size.width() - scale * picture.width) / 2, (high - scale * picture.height) / 2
        )
        paint_picture(painter, picture, scale, DrawingTheme.for_palette(self.palette()))
        painter.end()
        self.setIconSize(size)
        self.setIcon(QIcon(pixels))

    # Qt's own names from here on.

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            self._paint()


def plain_bag(kind: type[Body]) -> Bag:
    """A bag of this construction, as large as the demo bag and without any parts."""
    demo = demo_bag()
    return with_construction(demo.without(*demo.parts), kind)
