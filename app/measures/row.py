"""One row of the measures: name, field, pin, change since the starting bag, a note below."""

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.measures.pin_button import SIDE, PinButton
from app.release_bar import ReleaseBar
from app.theme import change_colour, highlight_wash, muted_colour, problem_colour
from app.toned_label import TonedLabel
from app.words import plain_tip

LIT_FOR = 1600
"""Milliseconds for which a row stays lit that the maker was led to."""

ARROWS_WIDTH = 22
"""Room right of a read-only value, px, so that its digits stand under those in the boxes."""

GAP = 6
"""Between the parts of a row, px."""

_FIELD_SAMPLE = "~88 15/16 in"
_CHANGE_SAMPLE = "~+18 15/16"
_CHANGE_LEAST = "+15/16"


class ChangeText(QWidget):
    """A short text of fixed room: changing it never moves the list."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._text = ""

    @property
    def text(self) -> str:
        """What is shown."""
        return self._text

    def set_text(self, text: str) -> None:
        """Show another text."""
        if text != self._text:
            self._text = text
            self.setAccessibleName(text)
            self.setToolTip(plain_tip(text))
            self.update()

    # Qt's own names from here on.

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(metrics.horizontalAdvance(_CHANGE_SAMPLE), metrics.height())

    def minimumSizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        return QSize(metrics.horizontalAdvance(_CHANGE_LEAST), metrics.height())

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._text:
            return
        painter = QPainter(self)
        painter.setPen(change_colour(self.palette()))
        shown = self.fontMetrics().elidedText(self._text, Qt.TextElideMode.ElideRight, self.width())
        flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(self.rect(), flags, shown)
        painter.end()


class ValueText(QLineEdit):
    """A figure that follows: read, selected and copied, but not typed in."""

    def __init__(self, label: str, right_margin: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setReadOnly(True)
        self.setFrame(False)
        self.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.setTextMargins(0, 0, right_margin, 0)
        self.setAccessibleName(label)
        palette = QPalette()
        palette.setColor(QPalette.ColorRole.Base, QColor(Qt.GlobalColor.transparent))
        self.setPalette(palette)

    def show_text(self, text: str) -> None:
        """Show another text."""
        if text != self.text():
            self.setText(text)


class Row(QWidget):
    """A name, its field, its pin, what changed, and a note below while there is one to read.

    Signals:
        release_asked(str): the maker gives up the pin of this name to get what was typed.
    """

    release_asked = Signal(str)

    def __init__(
        self,
        name: str,
        field: QWidget,
        help_text: str,
        parent: QWidget,
        *,
        pin: PinButton | None = None,
    ) -> None:
        super().__init__(parent)
        self.field = field
        self.pin = pin
        self.change = ChangeText(self)
        self._name = QLabel(name, self)
        self._name.setBuddy(field)
        self._name.setWordWrap(True)
        self._note: TonedLabel | None = None
        self._releases: ReleaseBar | None = None
        self._lights = 0
        for widget in (self, field):
            widget.setToolTip(help_text)
            widget.setWhatsThis(help_text)
        line = QHBoxLayout()
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(GAP)
        line.addWidget(self._name, 1)
        line.addWidget(field)
        if pin is None:
            line.addSpacing(SIDE + GAP)
        else:
            line.addWidget(pin)
        line.addWidget(self.change)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(10, 1, 4, 1)
        self._column.setSpacing(1)
        self._column.addLayout(line)

    @property
    def note(self) -> str:
        """What stands below the field; empty when nothing does."""
        return "" if self._note is None else self._note.text()

    @property
    def releases(self) -> ReleaseBar | None:
        """The buttons below the note; None before the first conflict of this row."""
        return self._releases

    def set_note(self, text: str, *, wrong: bool) -> None:
        """Say something below the field; `wrong` when it tells why text cannot be taken."""
        if self._note is None:
            if not text:
                return
            self._note = TonedLabel(muted_colour, parent=self)
            self._note.setWordWrap(True)
            self._column.insertWidget(1, self._note)
        if text == self._note.text():
            return
        self._note.set_tone(problem_colour if wrong else muted_colour)
        edge = Qt.AlignmentFlag.AlignLeft if wrong else Qt.AlignmentFlag.AlignRight
        self._note.setAlignment(edge)
        # An indent, not a margin: a label drops its margins when it is first shown.
        self._note.setIndent(0 if wrong else self.change.sizeHint().width() + SIDE + 2 * GAP)
        self._note.setText(text)
        self._note.setVisible(bool(text))

    def offer_releases(self, pins: Sequence[tuple[str, str]]) -> None:
        """Offer to release pins that stand against what was typed: (name, label)."""
        if self._releases is None:
            if not pins:
                return
            self._releases = ReleaseBar(self)
            self._releases.release_asked.connect(self.release_asked)
            self._column.addWidget(self._releases)
        self._releases.show_pins(pins)

    def light(self) -> None:
        """Show the maker which row is meant."""
        self._lights += 1
        QTimer.singleShot(LIT_FOR, self, self._on_light_spent)
        self.update()

    def _on_light_spent(self) -> None:
        self._lights -= 1
        self.update()

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._lights:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(highlight_wash(self.palette()))
        painter.drawRoundedRect(self.rect(), 4.0, 4.0)
        painter.end()


def field_width(widget: QWidget) -> int:
    """Width of the column of fields, px: a long length with its unit and the arrows."""
    return widget.fontMetrics().horizontalAdvance(_FIELD_SAMPLE) + 38
