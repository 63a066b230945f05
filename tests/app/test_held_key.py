"""A held arrow key: each step with its key while the window keeps up, else several at once."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtGui import QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.session.display import Display
from app.session.soon import Soon
from app.widgets.inputs import LengthBox
from core.base.units import Unit
from tests.app.hands import Hands
from tests.helpers import inch

START, STEP = 470.0, 1.0


class Picture(QWidget):
    """Something large that is drawn anew for each step; it takes down what it showed."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setMinimumSize(60, 60)
        self.shown = START
        self.told: Callable[[str, float], None] = lambda _what, _value: None

    def show_value(self, value: float) -> None:
        self.shown = value
        self.update()

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        self.told("painted", self.shown)


class Film(QWidget):
    """A box and what is drawn of its value; `happened` has steps and pictures in their order."""

    def __init__(self) -> None:
        super().__init__()
        self.box = LengthBox("Gusset depth", Display(Unit.MM), self)
        self.box.throttled = True
        self.box.show_value(START)
        self.picture = Picture(self)
        column = QVBoxLayout(self)
        column.addWidget(self.box)
        column.addWidget(self.picture)
        self.happened: list[tuple[str, float]] = []
        self.keys = 0
        self.to_come = 0
        self.box.value_edited.connect(self._on_value_edited)

    @property
    def steps(self) -> list[float]:
        return [value for what, value in self.happened if what == "step"]

    def begin(self) -> None:
        self.happened.clear()
        self.picture.told = lambda what, value: self.happened.append((what, value))

    def press(self) -> None:
        self.keys += 1
        QApplication.sendEvent(self.box, key_up())

    def _on_value_edited(self, value: float) -> None:
        self.happened.append(("step", value))
        self.box.show_value(value)
        self.picture.show_value(value)
        for _ in range(min(3, self.to_come)):  # keys that come while the step is worked out
            self.to_come -= 1
            self.keys += 1
            QCoreApplication.postEvent(self.box, key_up())


def key_up() -> QKeyEvent:
    return QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_Up, Qt.KeyboardModifier.NoModifier, "", True)


@pytest.fixture
def film(qtbot: QtBot) -> Film:
    film = Film()
    qtbot.addWidget(film)
    film.show()
    film.activateWindow()
    film.box.setFocus()
    qtbot.waitUntil(film.box.hasFocus)
    qtbot.wait(20)
    film.begin()
    return film


def test_each_key_is_a_step_and_a_picture_while_the_window_keeps_up(film: Film) -> None:
    for count in range(1, 21):
        film.press()
        assert film.steps == [START + each * STEP for each in range(1, count + 1)], "at once"
        QApplication.processEvents()
        QApplication.processEvents()
    assert film.happened == [
        (what, START + count * STEP) for count in range(1, 21) for what in ("step", "painted")
    ]


def test_keys_that_come_faster_are_added_up_and_every_step_is_painted(
    film: Film, qtbot: QtBot
) -> None:
    film.to_come = 30
    film.press()
    qtbot.waitUntil(lambda: film.box.value == START + 31 * STEP)
    qtbot.wait(50)
    assert film.keys == 31
    assert film.steps[-1] == START + 31 * STEP, "no key is lost, and none is taken twice"
    assert len(film.steps) == 1 + 30 // 3, "the three keys of one step make one step together"
    assert film.happened == [(what, value) for value in film.steps for what in ("step", "painted")]


def test_keys_in_a_box_that_is_out_of_sight_are_taken_all_the_same(
    film: Film, qtbot: QtBot
) -> None:
    film.hide()
    for _ in range(5):
        film.press()
    qtbot.waitUntil(lambda: film.box.value == START + 5 * STEP)


@pytest.mark.parametrize("view", ["status line", "changes", "findings", "sewing order"])
def test_what_is_written_after_the_drawings_follows_a_held_key(
    hands: Hands, qtbot: QtBot, view: str
) -> None:
    """It is put off by a change, but not put off further by those that come meanwhile."""
    window = hands.window
    window.tabs.setCurrentWidget(window.sewing if view == "sewing order" else window.changes)
    qtbot.waitUntil(lambda: not window.status_line._soon.active)
    steps = window.sewing.tab
    views: dict[str, tuple[Soon, Callable[[], object]]] = {
        "status line": (window.status_line._soon, lambda: window.status_line.texts[:2]),
        "changes": (window.changes._soon, lambda: tuple(window.changes.model.lines)),
        "findings": (window.findings._soon, lambda: window.findings.rows[0].sentence),
        "sewing order": (steps._soon, lambda: steps.model.rows),
    }
    put_off, written = views[view]
    put_off.after.setInterval(100)  # longer than a busy machine takes for a key
    box = hands.box("gusset_depth")
    box.setFocus()
    seen = {written()}
    for _ in range(30):
        QApplication.sendEvent(box, key_up())
        qtbot.wait(10)
        seen.add(written())
    assert len(seen) >= 3, "while the key was down"


def test_texts_of_the_status_line_make_no_room_that_the_next_step_takes_back(
    hands: Hands, qtbot: QtBot
) -> None:
    line = hands.window.status_line
    qtbot.waitUntil(lambda: not line._pause.isActive())
    line._pause.setInterval(60_000)
    places: list[int] = []
    texts: list[str] = []
    for width in (19.0, 19.0 + 1 / 16, 19.25, 20.0):
        hands.document.set_figures({"panel_width": inch(width)}, "Panel width")
        line.refresh()
        for _ in range(3):
            QCoreApplication.sendPostedEvents()
        places.append(line._pages.x())
        texts.append(line.texts[1])
    assert len(texts[1]) > len(texts[2]) > len(texts[3]) == len(texts[0])
    assert places[0] < places[1] == places[2] == places[3]
    line._pause.start(0)
    qtbot.waitUntil(lambda: line._pages.x() < places[3])
