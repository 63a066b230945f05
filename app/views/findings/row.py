"""One finding as it is read: sign, word, sentence, and the changes that fix it."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFont,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPalette,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from app.widgets.labels import PlainLabel, TonedLabel
from app.widgets.layouts import spaced, turned
from app.widgets.theme import heading_font, rule_colour, severity_colour, severity_tone
from core.model.findings import Severity

SIGN_SIZE = 18
MARGIN = 8
_OCTAGON = ((5, 0), (13, 0), (18, 5), (18, 13), (13, 18), (5, 18), (0, 13), (0, 5))
_TRIANGLE = ((9, 0.8), (17.6, 16.6), (0.4, 16.6))


class Sign(QWidget):
    """The sign of a severity: an octagon, a triangle or a dot, told apart by shape."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._severity = Severity.NOTE
        self.setFixedSize(SIGN_SIZE, SIGN_SIZE)

    def show_severity(self, severity: Severity) -> None:
        if severity is not self._severity:
            self._severity = severity
            self.update()

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(severity_colour(self._severity, self.palette()))
        ink = self.palette().color(QPalette.ColorRole.Base)
        match self._severity:
            case Severity.STOP:
                painter.drawPolygon(_polygon(_OCTAGON))
                _stroke(painter, ink, ((5.6, 9), (12.4, 9)))
            case Severity.WARN:
                painter.drawPolygon(_polygon(_TRIANGLE))
                _stroke(painter, ink, ((9, 6.6), (9, 10.6)))
                _stroke(painter, ink, ((9, 13.8), (9, 13.9)))
            case Severity.NOTE:
                painter.drawEllipse(QRectF(4, 4, 10, 10))


class FixButton(QPushButton):
    """A fix, in as many lines as it needs."""

    _placed: tuple[str, int, QFont] | None = None

    def show_label(self, label: str, room: int) -> None:
        """Say it in lines that fit into so many pixels, whatever was said before."""
        placed = label, room, self.font()
        if placed == self._placed:
            return
        self._placed = placed
        metrics = self.fontMetrics()
        # Whole, it tells how wide the frame is: a short text has more room than that around it.
        self.setText(label)
        inside = room - (self.sizeHint().width() - metrics.size(0, label).width())
        lines = [""]
        for word in label.split(" "):  # not at a space within a length
            longer = f"{lines[-1]} {word}".lstrip()
            if lines[-1] and metrics.horizontalAdvance(longer) > inside:
                lines.append(word)
            else:
                lines[-1] = longer
        self.setText("\n".join(lines))


class FindingRow(QWidget):
    """A row for one finding; it is used again for another one when findings change.

    Signals:
        asked: the maker wants to see the figure that is meant.
        fix_asked(int): the maker wants the fix of this number.
    """

    asked = Signal()
    fix_asked = Signal(int)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._sign = Sign(self)
        self._word = TonedLabel(severity_tone(Severity.NOTE), parent=self)
        self._word.setFont(heading_font(self._word.font()))
        self._sentence = PlainLabel(parent=self)
        self._sentence.setWordWrap(True)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self._sentence.setSizePolicy(policy)
        self._buttons: list[FixButton] = []
        self.fixes: tuple[str, ...] = ()
        self._wide = 0
        self._pressed = spaced(QHBoxLayout(), 6)
        self._said = spaced(QHBoxLayout(), 4)
        self._said.addWidget(self._sentence, 1)
        self._said.addLayout(self._pressed)
        self._line = spaced(QHBoxLayout(self), MARGIN, (MARGIN, 5, MARGIN, 6))
        top = Qt.AlignmentFlag.AlignTop
        self._line.addWidget(self._sign, 0, top)
        self._line.addWidget(self._word, 0, top)
        self._line.addLayout(self._said, 1)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setToolTip(self.tr("Click to go to the measure."))

    @property
    def sentence(self) -> str:
        return self._sentence.text()

    @property
    def fix_buttons(self) -> list[FixButton]:
        """The buttons shown, the best fix first."""
        return [button for button in self._buttons if not button.isHidden()]

    def show_finding(
        self, severity: Severity, word: str, sentence: str, fixes: list[str], word_width: int
    ) -> None:
        """Show one finding; only what differs is written again."""
        self._sign.show_severity(severity)
        if word != self._word.text():
            self._word.setText(word)
            self._word.set_tone(severity_tone(severity))
        self._word.setFixedWidth(word_width)
        if sentence != self._sentence.text():
            self._sentence.setText(sentence)
        self.setAccessibleName(f"{word}: {sentence}")
        while len(self._buttons) < len(fixes):
            self._add_button()
        self.fixes = tuple(fixes)
        for place, button in enumerate(self._buttons):
            button.setVisible(place < len(fixes))
        self._place_fixes()

    def fit(self, wide: int) -> None:
        """Arrange what is shown for a row that is so many pixels wide.

        The row is told, and does not ask its own size: a scroll bar that comes with one
        arrangement and goes with the other would never come to rest.
        """
        if wide != self._wide:
            self._wide = wide
            self._place_fixes()

    def _place_fixes(self) -> None:
        """Buttons stand beside the sentence where both have room, else below it."""
        around = SIGN_SIZE + self._word.width() + 5 * MARGIN
        said = self.fontMetrics().horizontalAdvance(self._sentence.text())
        room = self._wide - around
        for button, label in zip(self._buttons, self.fixes, strict=False):
            button.show_label(label, room)
        taken = sum(button.sizeHint().width() + 6 for button in self.fix_buttons)
        # Two lines of sentence beside the buttons read better than one above them.
        beside = room - taken >= min(said, said / 2 + 60)
        turned(self._said, across=beside)
        turned(self._pressed, across=taken <= room)
        low = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
        side = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop
        self._said.setAlignment(self._pressed, side if beside else low)

    def _add_button(self) -> None:
        place = len(self._buttons)
        button = FixButton(self)
        button.setToolTip(self.tr("Make this change. Undo takes it back."))
        button.clicked.connect(lambda: self.fix_asked.emit(place))
        self._pressed.addWidget(button)
        self._buttons.append(button)

    # Qt's own names from here on.

    def minimumSizeHint(self) -> QSize:
        return QSize(160, SIGN_SIZE + 8)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self.asked.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.asked.emit()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(rule_colour(self.palette()))
        painter.drawLine(8, self.height() - 1, self.width() - 8, self.height() - 1)
        if self.hasFocus():
            painter.setPen(QPen(self.palette().color(QPalette.ColorRole.Highlight), 1.5))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(2, 1, -2, -2), 3, 3)


def _polygon(points: tuple[tuple[float, float], ...]) -> QPolygonF:
    return QPolygonF([QPointF(x, y) for x, y in points])


def _stroke(
    painter: QPainter, ink: QColor, points: tuple[tuple[float, float], tuple[float, float]]
) -> None:
    painter.setPen(QPen(ink, 2.2, c=Qt.PenCapStyle.RoundCap))
    painter.drawLine(QPointF(*points[0]), QPointF(*points[1]))
