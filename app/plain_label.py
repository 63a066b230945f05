"""Labels for texts that may come out of a file: shown as they are, and never too wide."""

import re

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QLabel, QStyleOptionFrame, QWidget

from core.units import NO_BREAK

LONGEST_WORD = 20
"""Letters that stay together; hardly a word of the trade is longer."""
_PART = 8
BREAK = "\u200b"
"""A place where a line may break, and nothing else is seen (Unicode: ZERO WIDTH SPACE)."""
_BLANKS = re.compile(rf"[^\S{NO_BREAK}]+")
"""Line breaks and the like; a length is not parted from its unit."""
_LONG = re.compile(rf"\S{{{LONGEST_WORD + 1},}}")


def breakable(text: str) -> str:
    """The text with places for a line break in whatever is longer than a word.

    Qt breaks lines between words only, and makes a label as wide as its longest word.
    """
    return _LONG.sub(lambda found: _parted(found[0]), text)


def _parted(word: str) -> str:
    return BREAK.join(word[place : place + _PART] for place in range(0, len(word), _PART))


class PlainLabel(QLabel):
    """A label whose text is no markup, and wraps within words that are too long for one line."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._text = ""
        self.setTextFormat(Qt.TextFormat.PlainText)  # a name out of a file is no markup
        self.setText(text)

    # Qt's own names from here on.

    def text(self) -> str:
        return self._text

    def setText(self, text: str) -> None:
        self._text = text
        super().setText(breakable(text))

    def clear(self) -> None:
        self.setText("")


class ElidedLabel(PlainLabel):
    """A label on one line that ends in an ellipsis, and tells the rest as a tip, where it must."""

    _tip = ""

    # Qt's own names from here on.

    def setText(self, text: str) -> None:
        super().setText(_BLANKS.sub(" ", text).strip())
        self.updateGeometry()

    def setToolTip(self, tip: str) -> None:
        self._tip = tip
        super().setToolTip(tip)

    def minimumSizeHint(self) -> QSize:
        least = self.fontMetrics().averageCharWidth() * _PART
        size = super().minimumSizeHint()
        return QSize(min(size.width(), least), size.height())

    def paintEvent(self, event: QPaintEvent) -> None:
        room = self.contentsRect()
        shown = self.fontMetrics().elidedText(self._text, Qt.TextElideMode.ElideRight, room.width())
        told = "" if shown == self._text else breakable(self._text)
        super().setToolTip("\n\n".join(filter(None, (told, self._tip))))
        option = QStyleOptionFrame()
        self.initStyleOption(option)
        painter = QPainter(self)
        self.style().drawItemText(
            painter,
            room,
            int(self.alignment()),
            option.palette,
            self.isEnabled(),
            shown,
            self.foregroundRole(),
        )
