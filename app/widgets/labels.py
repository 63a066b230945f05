"""What is only read: texts that may come out of a file, shown as they are and never too wide."""

import re
from collections.abc import Callable, Sequence

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QColor, QGuiApplication, QPainter, QPaintEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QLabel, QLineEdit, QPushButton, QWidget

from app.widgets.layouts import button, spaced, turned
from app.widgets.theme import muted_colour, problem_colour
from core.base.units import NO_BREAK

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
        painter = QPainter(self)
        painter.setPen(self.palette().color(self.foregroundRole()))
        painter.drawText(room, int(self.alignment()), shown)


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


class Verdict(TonedLabel):
    """What follows from the fields of a dialog, or what is wrong with them, with its room kept."""

    def __init__(self, lines: int, parent: QWidget) -> None:
        super().__init__(muted_colour, parent=parent)
        keep_room(self, lines)

    def say(self, text: str) -> None:
        self.set_tone(muted_colour)
        self.setText(text)

    def complain(self, text: str) -> None:
        self.set_tone(problem_colour)
        self.setText(text)


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
        self._line = spaced(QBoxLayout(QBoxLayout.Direction.LeftToRight, self), 4, (0, 0, 0, 4))
        self._line.addStretch(1)
        self.hide()

    @property
    def buttons(self) -> list[QPushButton]:
        return self._buttons[: len(self._names)]

    def show_pins(self, pins: Sequence[tuple[str, str]]) -> None:
        """Offer to release these: (name, what the maker reads)."""
        self._names = tuple(name for name, _ in pins)
        while len(self._buttons) < len(pins):
            self._add_button()
        for each, (_, label) in zip(self._buttons, pins, strict=False):
            each.setText(self.tr("Release {figure}").format(figure=label))
        for place, each in enumerate(self._buttons):
            each.setVisible(place < len(pins))
        self.setVisible(bool(pins))
        self._place()

    def _add_button(self) -> None:
        place = len(self._buttons)
        tip = self.tr("Release this pin and try again; one undo takes both back.")
        made = button("", self, tip, then=lambda: self.release_asked.emit(self._names[place]))
        self._buttons.append(made)
        self._line.insertWidget(place, made, 0, Qt.AlignmentFlag.AlignLeft)

    def _place(self) -> None:
        widths = [each.sizeHint().width() for each in self.buttons]
        taken = sum(widths) + self._line.spacing() * len(widths)
        if turned(self._line, across=taken <= self.contentsRect().width()):
            self.updateGeometry()

    # Qt's own names from here on.

    def minimumSizeHint(self) -> QSize:
        widest = max((each.sizeHint().width() for each in self.buttons), default=0)
        return QSize(widest, self._line.minimumSize().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()


class ReadOnlyValue(QLineEdit):
    """A figure that follows: read, selected and copied, but not typed in."""

    def __init__(self, label: str, right_margin: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setReadOnly(True)
        self.setFrame(False)
        self.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.setTextMargins(0, 0, right_margin, 0)
        self.setAccessibleName(label)
        self._muted = False
        self._take_ink()

    def show_text(self, text: str) -> None:
        if text != self.text():
            self.setText(text)

    def set_muted(self, *, muted: bool) -> None:
        """Write it in muted ink, as an older number, or in that of all others."""
        if muted is not self._muted:
            self._muted = muted
            self._take_ink()

    def _take_ink(self) -> None:
        palette = QPalette()
        palette.setColor(QPalette.ColorRole.Base, QColor(Qt.GlobalColor.transparent))
        if self._muted:
            ink = muted_colour(QGuiApplication.palette())
            palette.setColor(QPalette.ColorRole.Text, ink)
        self.setPalette(palette)

    # Qt's own name.

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange and self._muted:
            ink = self.palette().color(QPalette.ColorRole.Text)
            if ink != muted_colour(QGuiApplication.palette()):  # not of its own doing
                self._take_ink()
