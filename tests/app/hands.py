"""The whole window, and the maker's hands on it."""

from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QAbstractButton
from pytestqt.qtbot import QtBot

from app.session.document import Document
from app.session.session import Unsaved
from app.widgets.figure_box import FigureBox
from app.window.main_window import MainWindow
from tests.app.sessions import session_on
from tests.app.test_main_window import Answers


class StillClock:
    """A clock that stands still but where a test lets time pass: a busy machine is no slow hand."""

    def __init__(self) -> None:
        self._now = 0.0

    def __call__(self) -> float:
        return self._now

    def pass_by(self, seconds: float) -> None:
        """Let time pass."""
        self._now += seconds


class Hands:
    """The window on the demo bag, and the maker's hands, whose pauses `clock` counts."""

    def __init__(self, qtbot: QtBot, store: QSettings) -> None:
        self._qtbot = qtbot
        self.answers = Answers()
        self.clock = StillClock()
        session = session_on(store=store, questions=self.answers, clock=self.clock)
        self.window = MainWindow(session)
        self.window.resize(1400, 900)
        self.window.show()
        self.window.activateWindow()

    @property
    def document(self) -> Document:
        return self.window.document

    @property
    def finished(self) -> dict[str, float | None]:
        return dict(self.document.result.finished)

    def box(self, name: str) -> FigureBox:
        measures = self.window.measures
        box = measures._row_of(name).field
        assert isinstance(box, FigureBox)
        return box

    def note(self, name: str) -> str:
        return self.window.measures._row_of(name).note

    def type(self, name: str, text: str) -> None:
        box = self.box(name)
        box.setFocus()
        box.selectAll()
        self._qtbot.keyClicks(box, text)
        self._qtbot.keyClick(box, Qt.Key.Key_Return)

    def press_pin(self, name: str) -> None:
        measures = self.window.measures
        pin = measures._row_of(name).pin
        assert pin is not None
        pin.setFocus()
        self._qtbot.keyClick(pin, Qt.Key.Key_Space)

    def click(self, button: QAbstractButton) -> None:
        self._qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    def undo(self) -> None:
        self.window.commands["undo"].trigger()

    def close(self) -> None:
        self.answers.leaving = Unsaved.DISCARD
        self.window.close()
        self.window.deleteLater()
