"""Typing into the boxes of the measures, as a person does it: keys, wheel, focus."""

from collections.abc import Callable

import pytest
import shiboken6
from PySide6.QtCore import QAbstractEventDispatcher, QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.session.display import Display
from app.widgets.figure_box import TYPING_PAUSE
from app.widgets.inputs import CountBox, LengthBox, VolumeBox
from core.base.units import Unit
from tests.helpers import inch


class Bench(QWidget):
    """A length box between two plain fields, and what it asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.display = Display()
        self.before = QLineEdit(self)
        self.box = LengthBox("Panel width", self.display, self)
        self.after = QLineEdit(self)
        column = QVBoxLayout(self)
        for widget in (self.before, self.box, self.after):
            column.addWidget(widget)
        self.box.show_value(inch(18.5))
        self.asked: list[float] = []
        self.box.value_edited.connect(self.asked.append)


@pytest.fixture
def bench(qtbot: QtBot) -> Bench:
    bench = Bench()
    qtbot.addWidget(bench)
    bench.show()
    bench.activateWindow()
    bench.before.setFocus()
    qtbot.waitUntil(bench.before.hasFocus)
    return bench


def retype(qtbot: QtBot, bench: Bench, text: str) -> None:
    bench.box.setFocus()
    bench.box.selectAll()
    qtbot.keyClicks(bench.box, text)


def turn_wheel(widget: QWidget, notches: int) -> None:
    middle = QPointF(widget.rect().center())
    event = QWheelEvent(
        middle,
        widget.mapToGlobal(middle),
        QPoint(),
        QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(widget, event)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("18 1/2", 469.9),
        ("18-1/2", 469.9),
        ("18.5", 469.9),
        ("18 ½", 469.9),
        ("47 cm", 470.0),
        ("470mm", 470.0),
        ('18.5"', 469.9),
        ("0.47 m", 470.0),
    ],
)
@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
def test_every_spelling_is_taken_whatever_unit_is_shown(
    qtbot: QtBot, bench: Bench, text: str, mm: float, unit: Unit
) -> None:
    bench.box.show_value(100.0)
    bench.display.set_unit(unit)
    bare = text[-1].isdigit() or text[-1] == "½"
    retype(qtbot, bench, text if unit is Unit.INCH or not bare else f"{text} in")
    qtbot.keyClick(bench.box, Qt.Key.Key_Return)
    assert bench.asked == [mm]


def test_nothing_is_asked_for_while_typing_and_all_of_it_after_a_pause(
    qtbot: QtBot, bench: Bench
) -> None:
    retype(qtbot, bench, "1")
    qtbot.wait(TYPING_PAUSE // 3)
    qtbot.keyClicks(bench.box, "20")
    assert bench.asked == []
    qtbot.waitUntil(lambda: bench.asked != [], timeout=4 * TYPING_PAUSE)
    assert bench.asked == [3048.0]
    assert bench.box.text() == "120", "what is being typed is not rewritten under the hand"


def test_tab_takes_the_text_and_goes_on(qtbot: QtBot, bench: Bench) -> None:
    retype(qtbot, bench, "19")
    qtbot.keyClick(bench.box, Qt.Key.Key_Tab)
    assert bench.asked == [482.6]
    assert bench.after.hasFocus()


def test_taken_text_is_written_properly_once_the_bag_has_it(qtbot: QtBot, bench: Bench) -> None:
    bench.box.value_edited.connect(bench.box.show_value)
    retype(qtbot, bench, "47cm")
    qtbot.keyClick(bench.box, Qt.Key.Key_Return)
    assert bench.box.value == 470.0
    assert bench.box.text() == "≈ 18 1/2 in"
    qtbot.keyClick(bench.box, Qt.Key.Key_Return)
    qtbot.keyClick(bench.box, Qt.Key.Key_Tab)
    assert bench.asked == [470.0], "a rounded text that nobody typed is never read back"
    assert bench.box.value == 470.0


def test_escape_gives_back_the_value(qtbot: QtBot, bench: Bench) -> None:
    retype(qtbot, bench, "seven")
    qtbot.keyClick(bench.box, Qt.Key.Key_Return)
    assert bench.box.problem
    qtbot.keyClick(bench.box, Qt.Key.Key_Escape)
    assert (bench.box.text(), bench.box.problem, bench.asked) == ("18 1/2 in", "", [])


def test_arrows_and_page_keys_move_by_the_ruler_step(qtbot: QtBot, bench: Bench) -> None:
    bench.box.value_edited.connect(bench.box.show_value)
    bench.box.setFocus()
    for key in (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
        qtbot.keyClick(bench.box, key)
    assert bench.asked == [473.075, 469.9, 482.6, 469.9]


def test_an_arrow_goes_on_from_what_was_typed(qtbot: QtBot, bench: Bench) -> None:
    bench.box.value_edited.connect(bench.box.show_value)
    retype(qtbot, bench, "20")
    qtbot.keyClick(bench.box, Qt.Key.Key_Up)
    assert bench.asked == [508.0, 511.175]


@pytest.fixture
def walled(bench: Bench) -> Bench:
    """Nothing over 19 in can be had; a step that is refused stands as if it was typed."""

    def take(value: float) -> None:
        if value < inch(19) + 0.01:
            bench.box.show_value(value)
            return
        bench.box.show_refused(value)
        bench.box.set_problem("it must be at most 19 in.")

    bench.box.value_edited.connect(take)
    bench.box.setFocus()
    return bench


def test_steps_stop_at_what_cannot_be_and_lead_back_from_it(qtbot: QtBot, walled: Bench) -> None:
    seen = []
    for key in (Qt.Key.Key_Up,) * 7 + (Qt.Key.Key_PageUp,) + (Qt.Key.Key_Down,) * 3:
        qtbot.keyClick(walled.box, key)
        seen.append((walled.box.text().removesuffix(" in"), bool(walled.box.problem)))
    assert seen == [
        *(("18 5/8", False), ("18 3/4", False), ("18 7/8", False), ("19", False)),
        *(("19 1/8", True), ("19 1/8", True), ("19 1/8", True), ("19 1/8", True)),
        *(("19", False), ("18 7/8", False), ("18 3/4", False)),
    ]
    asked = [round(value / 25.4, 6) for value in walled.asked]
    assert asked == [18.625, 18.75, 18.875, 19, 19.125, 18.875, 18.75], "no step for nothing"


@pytest.mark.parametrize("step", ["key", "page", "wheel"])
def test_every_kind_of_step_leads_on_from_a_typed_text_that_was_refused(
    qtbot: QtBot, walled: Bench, step: str
) -> None:
    retype(qtbot, walled, "20")
    qtbot.keyClick(walled.box, Qt.Key.Key_Return)
    assert walled.box.problem
    if step == "key":
        qtbot.keyClick(walled.box, Qt.Key.Key_Down)
    elif step == "page":
        qtbot.keyClick(walled.box, Qt.Key.Key_PageDown)
    else:
        turn_wheel(walled.box, -1)
    assert walled.asked == [508.0, 495.3 if step == "page" else 504.825]
    for _ in range(7):
        qtbot.keyClick(walled.box, Qt.Key.Key_Down)
    assert walled.box.problem == "" and walled.box.value is not None
    assert walled.box.value < inch(19) + 0.01


def test_a_step_from_a_text_that_cannot_be_read_starts_from_the_value(
    qtbot: QtBot, walled: Bench
) -> None:
    retype(qtbot, walled, "seven")
    qtbot.keyClick(walled.box, Qt.Key.Key_Down)
    assert (walled.box.text(), walled.box.problem) == ("18 3/8 in", "")


def test_what_is_refused_beside_a_value_stands_in_any_unit(qtbot: QtBot, bench: Bench) -> None:
    bench.box.set_problem("it must be at most 18 1/2 in.")
    bench.display.set_unit(Unit.MM)
    bench.box.show_value(inch(18.5))
    assert bench.box.text() == "469.9 mm"
    assert bench.box.problem == "it must be at most 18 1/2 in."
    bench.box.show_value(460.0)
    assert (bench.box.text(), bench.box.problem) == ("460 mm", "")


def test_the_wheel_moves_only_the_box_with_the_focus(qtbot: QtBot, bench: Bench) -> None:
    turn_wheel(bench.box, 1)
    assert bench.asked == []
    bench.box.setFocus()
    turn_wheel(bench.box, 1)
    assert bench.asked == [473.075]


def test_a_bare_number_keeps_the_unit_it_was_typed_in(qtbot: QtBot, bench: Bench) -> None:
    retype(qtbot, bench, "10")
    bench.display.set_unit(Unit.MM)
    qtbot.keyClick(bench.box, Qt.Key.Key_Return)
    assert bench.asked == [254.0]


def test_typed_text_stays_when_something_else_of_the_bag_changes(
    qtbot: QtBot, bench: Bench
) -> None:
    retype(qtbot, bench, "18 1/")
    bench.box.show_value(inch(18.5))
    assert bench.box.text() == "18 1/"
    bench.box.show_value(inch(12))
    assert bench.box.text() == "12 in", "the figure itself changed: the document is right"


@pytest.mark.parametrize(
    "text", ["", "three", "1.5", "1_000", "²", "99999999", "inf", "/2", "50 %", "+1.5"]
)
def test_a_count_is_a_whole_number(qtbot: QtBot, text: str) -> None:
    box = CountBox("Handle strips")
    qtbot.addWidget(box)
    box.show_value(3)
    asked: list[float] = []
    box.value_edited.connect(asked.append)
    box.show()
    box.selectAll()
    qtbot.keyClick(box, Qt.Key.Key_Delete)
    qtbot.keyClicks(box, text)
    qtbot.keyClick(box, Qt.Key.Key_Return)
    assert asked == []
    assert box.problem.startswith("Handle strips: ")
    assert "whole number" in box.problem


def test_a_change_is_of_what_stood_when_it_was_begun_and_taken_once(
    qtbot: QtBot, bench: Bench
) -> None:
    told: list[str] = []
    bench.box.reckoned.connect(told.append)
    bench.box.value_edited.connect(bench.box.show_value)
    retype(qtbot, bench, "+2")
    qtbot.waitUntil(lambda: bench.asked != [], timeout=4 * TYPING_PAUSE)
    assert bench.box.text() == "+2", "what is being typed is not rewritten under the hand"
    qtbot.keyClicks(bench.box, " cm")
    qtbot.keyClick(bench.box, Qt.Key.Key_Return)
    assert bench.asked == [520.7, 489.9], "not 2 cm more than what + 2 was taken for"
    assert bench.box.text() == "≈ 19 1/4 in"
    sums = [each.removeprefix("Panel width: ") for each in told]
    assert sums == [
        "18 1/2 in + 2 in = 20 1/2 in",
        "18 1/2 in + 2 cm ≈ 19 1/4 in",
    ]
    qtbot.keyClick(bench.box, Qt.Key.Key_Return)
    qtbot.keyClick(bench.box, Qt.Key.Key_Tab)
    assert len(bench.asked) == 2


def test_a_text_in_the_place_of_one_that_was_taken_starts_from_what_that_came_to(
    qtbot: QtBot, bench: Bench
) -> None:
    bench.box.value_edited.connect(bench.box.show_value)
    retype(qtbot, bench, "+1")
    qtbot.waitUntil(lambda: bench.asked != [], timeout=4 * TYPING_PAUSE)
    retype(qtbot, bench, "+1")
    qtbot.keyClick(bench.box, Qt.Key.Key_Return)
    assert bench.asked == [495.3, 520.7]


@pytest.mark.parametrize(
    ("text", "mm"), [(" - 1/2", 457.2), ("*2", 939.8), (" / 2", 234.95), ("+2 cm", 489.9)]
)
def test_a_sign_after_the_length_shown_changes_the_exact_one(
    qtbot: QtBot, bench: Bench, text: str, mm: float
) -> None:
    bench.box.setFocus()
    bench.box.lineEdit().end(False)
    qtbot.keyClicks(bench.box, text)
    qtbot.keyClick(bench.box, Qt.Key.Key_Tab)
    assert bench.asked == [pytest.approx(mm, abs=1e-12)]
    bench.box.show_value(100.0)
    assert bench.box.text().startswith("≈ ")
    bench.box.setFocus()
    bench.box.lineEdit().end(False)
    qtbot.keyClicks(bench.box, "*2")
    qtbot.keyClick(bench.box, Qt.Key.Key_Tab)
    assert bench.asked[1:] == [200.0], "twice what is there, not what is shown for it"


def test_a_change_of_nothing_is_refused_in_words(qtbot: QtBot, bench: Bench) -> None:
    bench.box.optional = True
    bench.box.show_value(None)
    retype(qtbot, bench, "+2 cm")
    qtbot.keyClick(bench.box, Qt.Key.Key_Return)
    assert bench.asked == []
    assert bench.box.problem == "Panel width: type the value itself here, not a change of it"


def test_steps_down_from_a_measured_volume_come_to_nothing(qtbot: QtBot) -> None:
    box = VolumeBox("Filled volume")
    qtbot.addWidget(box)
    box.value_edited.connect(box.show_value)
    box.show_value(0.200007033)
    for _ in range(2):
        qtbot.keyClick(box, Qt.Key.Key_Down)
    assert (box.text(), box.value) == ("0.00 L", 0.0)
    qtbot.keyClick(box, Qt.Key.Key_Up)
    assert box.value == 0.1


@pytest.mark.parametrize(
    "change",
    [lambda display: display.set_unit(Unit.MM), lambda display: display.move_step(-1)],
    ids=["unit", "step"],
)
def test_typing_that_is_undone_after_a_change_of_unit_gives_the_value_as_it_is_read_now(
    bench: Bench, qtbot: QtBot, change: Callable[[Display], None]
) -> None:
    """The text of before means another size now: entered, it would change the bag."""
    bench.display.move_step(2)
    bench.box.show_value(461.5)
    before = bench.box.text()
    retype(qtbot, bench, "abc")
    qtbot.keyClick(bench.box, Qt.Key.Key_Return)
    assert bench.box.problem
    change(bench.display)
    line = bench.box.lineEdit()
    while line.isUndoAvailable() and line.text() != bench.display.typed(461.5):
        qtbot.keyClick(line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert bench.box.text() == bench.display.typed(461.5) != before
    assert not bench.box.problem
    qtbot.keyClick(bench.box, Qt.Key.Key_Return)
    assert bench.asked == [] and bench.box.value == 461.5


def test_a_box_that_goes_while_it_waits_takes_its_timers_along(qtbot: QtBot) -> None:
    """A timer that ran on would send its next event to what is gone: the interpreter dies."""
    box = LengthBox("Panel width", Display())
    box.throttled = True
    box.show_value(inch(18.5))
    box.show()
    box.stepBy(1)
    qtbot.keyClicks(box.lineEdit(), "1")
    dispatcher = QAbstractEventDispatcher.instance()
    running = [timer.timerId for timer in dispatcher.registeredTimers(box)]
    assert len(running) == 2, "the pause of what is typed, and that of a step"
    shiboken6.delete(box)
    assert all(dispatcher.remainingTime(timer) < 0 for timer in running), "none runs any more"
