"""The box in which a figure is typed, whatever it counts.

A box keeps the exact value that it was given and reads its text only when somebody has
typed in it, so that showing 461.96 mm as `≈ 18 3/16 in` never turns it into 18 3/16 in.
"""

import sys
from abc import abstractmethod
from collections.abc import Callable

from PySide6.QtCore import QEvent, QSize, Qt, QTimerEvent, Signal, Slot
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QPalette,
    QValidator,
    QWheelEvent,
)
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QWidget

from app.session.display import told_reckoning, told_rule
from app.widgets.theme import muted_colour, problem_colour
from core.base.quantities import Reckoning
from core.base.units import LengthTextError

TYPING_PAUSE = 700
"""Milliseconds without a key after which typed text is taken."""
ARROWS = 34
"""Room for arrows and frame beside the text, px."""
SIGNS = tuple("+-*/×÷")
"""What may follow the value shown, to change it."""
SHADED = ("win32", "darwin")
"""Where a box's ground is shaded, so that its text cannot bring a plain one of its own."""
PAGE_STEPS = 4
"""Steps of the Page up and Page down keys: half an inch on a ruler of eighths."""


class FigureBox(QAbstractSpinBox):
    """A spin box for one figure.

    Typed text is taken on Enter, Tab, or after a pause; arrows and, with the focus, the
    wheel move by a step. Text that cannot be read stays, with `problem` saying why, and so does a
    value that was refused; Escape gives back the value as it is by then. A step leads from what
    stands refused back to what can be, and no further away; from what cannot be read it leads
    back to the value.

    A change is typed as one (`+2 cm`, `*0.7`, `70 %`): of the value that stood when that text was
    begun, however often it is taken while it grows.

    Attributes:
        value: the exact value shown, mm, litres or pieces; not what may be half typed.
        problem: what is wrong with the text; empty when nothing is.
        optional: whether it may be left empty, which means that nothing is known.
        asks: whether the value of a text is being asked for in this very moment.
        throttled: whether steps that come before all that the last one led to is done and painted
            are added up and taken together. So a held key is followed step by step while the
            window keeps up, and a window that does not has its events and pictures all the same.
        step_from: gives the value that steps start from, where that is not the one shown.

    Signals:
        value_edited(float): the maker wants this value (mm, litres or pieces).
        cleared: the maker has emptied an optional box.
        problem_changed(str): what is wrong with the text; empty when nothing is.
        reckoned(str): what a change or a sum that is about to be asked for comes to.
        typing_changed: whether an undo or a redo is its text's may have changed, its text the same.
    """

    value_edited = Signal(float)
    cleared = Signal()
    problem_changed = Signal(str)
    reckoned = Signal(str)
    typing_changed = Signal()

    def __init__(self, label: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.optional = False
        self.throttled = False
        self.step_from: Callable[[], float | None] | None = None
        self._label = label
        self._steps = 0
        self.asks = False
        self.value: float | None = None
        self._taken: float | None = None
        self._edited = False
        self._reference: float | None = None
        self._shown = ""
        self._replaces = False
        self.problem = ""
        self._colour: QColor | None = None
        self._waiting = ""
        self._remark = ""
        # The widget's own timers, by number, 0 where none runs: they end with it. A QBasicTimer
        # of Python's runs on after its receiver is gone, and its next event goes to nobody.
        self._pause = 0
        self._until_painted = 0
        self.setKeyboardTracking(False)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.setAccessibleName(label)
        line = self.lineEdit()
        # Any text may stand: nobody is asked for each that is shown.
        line.setValidator(None)  # type: ignore[arg-type]  # which Qt takes, and its types forget
        if sys.platform not in SHADED:
            # It covers all of itself: box, row and list below are not painted for another text.
            line.setBackgroundRole(QPalette.ColorRole.Base)
            line.setAutoFillBackground(True)
        line.textEdited.connect(self._on_text_edited)
        line.selectionChanged.connect(self._on_selection_changed)

    @property
    def undoes_typing(self) -> bool:
        """Whether an undo is its text's: something is being typed that was not taken."""
        return self._is_typed_in() and self.lineEdit().isUndoAvailable()

    @property
    def redoes_typing(self) -> bool:
        """Whether a redo is its text's: what is being typed was taken back."""
        return self._is_typed_in() and self.lineEdit().isRedoAvailable()

    def show_value(self, value: float | None) -> None:
        """Show a value; text that was just read as this very value may stay as typed.

        So may text whose value came out near it: it is written properly when it is left.
        """
        if self._edited and value is not None and (self.asks or value == self._taken):
            self.value = value
            self.set_problem("")
            return
        if value == self.value:
            return
        self.value = value
        self._rewrite()

    def set_problem(self, problem: str) -> None:
        """Say what is wrong; the text stays for the maker to correct."""
        if problem == self.problem:
            return
        self.problem = problem
        self._colour_text()
        self._describe()
        self.problem_changed.emit(problem)
        self.typing_changed.emit()

    def set_pending(self, told: str) -> None:
        """Show the value in muted ink: it is not the present one, as is told; empty: it is."""
        if told != self._waiting:
            self._waiting = told
            self._colour_text()
            self._describe()

    def set_remark(self, remark: str) -> None:
        """What a screen reader says of it where nothing is wrong and nothing waits."""
        if remark != self._remark:
            self._remark = remark
            self._describe()

    def show_refused(self, value: float) -> None:
        """Show a value as if it stood typed: it was asked for, and is about to be refused."""
        if not self._edited:
            self.lineEdit().setText(self._written(value))
            self._edited, self._taken, self._reference = True, value, self.value

    def revert_text(self) -> None:
        """Forget what was typed and show the value again."""
        self._rewrite()

    @abstractmethod
    def _read(self, text: str, stands: float | None) -> Reckoning:
        """What a text means, where `stands` is what it may be a change of.

        A LengthTextError says what would be right.
        """

    @abstractmethod
    def _written(self, value: float) -> str:
        """A value as it is read."""

    @abstractmethod
    def _moved(self, value: float, steps: int) -> float:
        """A value moved by so many steps."""

    @abstractmethod
    def _widest(self) -> str:
        """A text as wide as any usual one."""

    def _describe(self) -> None:
        self.setAccessibleDescription(self.problem or self._waiting or self._remark)

    def _colour_text(self) -> None:
        """Red while there is a problem, muted while it waits; again when light turns dark."""
        plain, colour = QGuiApplication.palette(), None
        if self.problem:
            colour = problem_colour(plain)
        elif self._waiting:
            colour = muted_colour(plain)
        if colour != self._colour:
            self._colour = colour
            palette = QPalette()
            if colour is not None:
                palette.setColor(QPalette.ColorRole.Text, colour)
            # Of its text alone: with another palette all of the box would be painted again.
            self.lineEdit().setPalette(palette)

    def _write_value(self) -> None:
        text = self._shown = "" if self.value is None else self._written(self.value)
        if text != self.lineEdit().text():
            self.lineEdit().setText(text)

    def _stop_pause(self) -> None:
        if self._pause:
            self.killTimer(self._pause)
            self._pause = 0

    def _rewrite(self) -> None:
        self._stop_pause()
        self._edited = False
        self._taken = None
        self._write_value()
        self.set_problem("")
        self.typing_changed.emit()

    def _take_text(self) -> bool:
        """Read typed text and ask for its value; False when it means none."""
        self._stop_pause()
        if not self._edited:
            return True
        if self.optional and not self.text().strip():
            self.value = None
            self._rewrite()
            self.cleared.emit()
            return True
        if self.value is not None and self.text() == self._written(self.value):
            self._rewrite()  # typed and taken back, it asks for nothing
            return True
        try:
            found = self._reckon(self.text())
        except LengthTextError as error:
            self.set_problem(f"{self._label}: {told_rule(error)}")
            return False
        if found.value != self._taken or self.problem:
            self._taken = found.value
            if told := told_reckoning(found, self._written):
                self.reckoned.emit(f"{self._label}: {told}")
            self._ask(found.value)
            self.typing_changed.emit()
        return not self.problem

    def _reckon(self, text: str) -> Reckoning:
        """What a text means; a sign after the value that was shown changes the exact one."""
        shown = "" if self._reference is None else self._written(self._reference)
        rest = text.strip().removeprefix(shown).lstrip()
        if shown and text.strip().startswith(shown) and rest[:1] in SIGNS:
            return self._read(rest, self._reference)
        return self._read(text, self._reference)

    def _is_typed_in(self) -> bool:
        """Whether somebody is typing: what stands there was not taken, or could not be."""
        return self._edited and (self._taken is None or bool(self.problem))

    def _ask(self, wanted: float) -> None:
        self.asks = True
        try:
            self.value_edited.emit(wanted)
        finally:
            self.asks = False

    def finish_text(self) -> None:
        """Take what was typed and, when it could be taken, write it properly."""
        self._step_now()
        if self._take_text() and self._edited:
            self._rewrite()

    @Slot()  # one that is told so is connected in a third of the time
    def _on_text_edited(self) -> None:
        if not self._edited or self._replaces:
            self._reference = self.value
        self._edited = True
        self._taken = None
        self.set_problem("")
        self._stop_pause()
        self._pause = self.startTimer(TYPING_PAUSE)
        is_other = self.value is not None and self._written(self.value) != self._shown
        if is_other and self.text() == self._shown:
            self._rewrite()  # typing is undone, to a text in the unit or step of before

    @Slot()
    def _on_selection_changed(self) -> None:
        # Told after the text that takes the place of what was selected: a new text, a new start.
        line = self.lineEdit()
        self._replaces = line.hasSelectedText() and line.selectedText() == line.text()

    def _step_now(self) -> None:
        steps, self._steps = self._steps, 0
        refused = self._taken if self.problem else None
        asked = None if self.step_from is None else self.step_from()
        stands = self.value if asked is None else asked
        start = stands if refused is None else refused
        if not steps or start is None:
            return
        moved = self._moved(start, steps)
        if refused is not None and stands is not None:
            if abs(moved - stands) > abs(refused - stands):
                return  # further away than what cannot be; there it would have to be walked back
            if self.value is not None and self._written(moved) == self._written(self.value):
                self._rewrite()  # back where it was, it asks for nothing
                return
        self._rewrite()
        self.value_edited.emit(moved)
        if self.throttled and not self._until_painted:
            self._until_painted = self.startTimer(0)  # what is posted, pictures last, comes before

    # Qt's own names from here on.

    def timerEvent(self, event: QTimerEvent) -> None:
        if event.timerId() == self._until_painted:
            self.killTimer(self._until_painted)
            self._until_painted = 0
            self._step_now()
        elif event.timerId() == self._pause:
            self._take_text()
        else:
            super().timerEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange and (self.problem or self._waiting):
            self._colour_text()

    def stepBy(self, steps: int) -> None:
        if self._edited and self._taken is None and not self.problem:
            self._take_text()  # what is typed was not asked for yet
        self._steps += steps
        if not self._until_painted:
            self._step_now()

    def stepEnabled(self) -> QAbstractSpinBox.StepEnabledFlag:
        return (
            QAbstractSpinBox.StepEnabledFlag.StepUpEnabled
            | QAbstractSpinBox.StepEnabledFlag.StepDownEnabled
        )

    def validate(self, text: str, position: int) -> tuple[QValidator.State, str, int]:
        return QValidator.State.Acceptable, text, position

    def event(self, event: QEvent) -> bool:
        # With nothing being typed, undo and redo are the document's, not the line edit's.
        if isinstance(event, QKeyEvent) and event.type() is QEvent.Type.ShortcutOverride:
            undo, redo = QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo
            for key, is_its_own in ((undo, self.undoes_typing), (redo, self.redoes_typing)):
                if event.matches(key) and not is_its_own:
                    event.ignore()
                    return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        match event.key():
            case Qt.Key.Key_Return | Qt.Key.Key_Enter:
                self.finish_text()
                self.selectAll()
            case Qt.Key.Key_Escape if self._edited or self.problem:
                self.revert_text()
                self.selectAll()
            case Qt.Key.Key_PageUp:
                self.stepBy(PAGE_STEPS)
            case Qt.Key.Key_PageDown:
                self.stepBy(-PAGE_STEPS)
            case Qt.Key.Key_Up | Qt.Key.Key_Down if event.isAutoRepeat():
                # As Qt has it, but for the first repeat of a held key, which Qt takes twice.
                steps = 10 if event.modifiers() & Qt.KeyboardModifier.ControlModifier else 1
                self.stepBy(steps if event.key() == Qt.Key.Key_Up else -steps)
            case _:
                super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        # Another window in front is no end of typing: "1" may become "1/2" after it. Nor is a
        # menu: what is chosen there takes the text, or is its undo.
        leaves = event.reason() not in (
            Qt.FocusReason.PopupFocusReason,
            Qt.FocusReason.ActiveWindowFocusReason,
            Qt.FocusReason.MenuBarFocusReason,
        )
        # What was refused is not asked again: its answer may take a while, and the buttons that
        # it came with would be gone before the click on one of them is done.
        if leaves and not (self.problem and self._taken is not None):
            self.finish_text()
        super().focusOutEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()  # the list scrolls instead

    def sizeHint(self) -> QSize:
        self.ensurePolished()
        height = super().sizeHint().height()
        if self.minimumWidth() == self.maximumWidth():  # it has the width of its column
            return QSize(self.minimumWidth(), height)
        width = self.fontMetrics().horizontalAdvance(self._widest()) + 8
        return QSize(width + ARROWS, height)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()


def finish_typing() -> None:
    """Take what stands typed in the box with the focus: what is done next counts it in.

    Each window has its own: a dialog, or another program in front, does not end what was
    begun in the box below.
    """
    for window in QApplication.topLevelWidgets():
        box = window.focusWidget()
        if isinstance(box, FigureBox) and window.isVisible():
            box.finish_text()
