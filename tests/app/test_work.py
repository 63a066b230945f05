"""Long work beside the window: the newest question wins, and old answers are known as old."""

import sys
import threading
import time
from collections.abc import Callable, Iterator

import msgspec
import pytest
from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.session.work import (
    HAND_OVER,
    CancelledError,
    JobFailure,
    JobResult,
    Work,
    is_any_at_work,
)
from core.base.progress import Progress

ERRORS: tuple[BaseException, ...] = (
    ZeroDivisionError("a bug"),
    MemoryError(),
    RecursionError(),
    msgspec.ValidationError("not what it should be"),
    OSError(28, "No space left on device"),
    SystemExit(3),
    KeyboardInterrupt(),
    GeneratorExit(),
)


class Gate:
    """A job that runs until it is let go or told to stop."""

    def __init__(self, found: object = None) -> None:
        self.found = found
        self.started, self.open = threading.Event(), threading.Event()
        self.thread: threading.Thread | None = None
        self.stopped = False

    def __call__(self, hear: Progress) -> object:
        self.thread = threading.current_thread()
        self.started.set()
        while not self.open.wait(0.002):
            if not hear(0.5):
                self.stopped = True
                raise CancelledError
        return self.found


class Desk:
    """A `Work` whose answers are written down."""

    def __init__(self, patience: int = 40) -> None:
        self.work = Work(patience=patience)
        self.answers: list[JobResult] = []
        self.shares: list[float] = []
        self.failures: list[JobFailure] = []
        self.work.answered.connect(self.answers.append)
        self.work.progressed.connect(self.shares.append)
        self.work.failed.connect(self.failures.append)


@pytest.fixture
def desk(qtbot: QtBot) -> Iterator[Desk]:
    desk = Desk()
    yield desk
    desk.work.close()


def quick(found: object) -> Callable[[Progress], object]:
    return lambda hear: found


def test_a_job_hands_the_interpreter_over_soon(desk: Desk, qtbot: QtBot) -> None:
    """Every call of Qt that gives it up would wait so long for a busy job: Python's 5 ms."""
    desk.work.ask("", lambda _hear: sys.getswitchinterval())
    qtbot.waitUntil(lambda: bool(desk.answers))
    assert desk.answers[0].found == pytest.approx(HAND_OVER)


def test_an_answer_comes_with_its_question_from_another_thread(desk: Desk, qtbot: QtBot) -> None:
    gate = Gate("found")
    gate.open.set()
    desk.work.ask("question", gate)
    assert desk.work.busy and desk.answers == [], "asking never waits"
    qtbot.waitUntil(lambda: bool(desk.answers))
    assert desk.answers == [JobResult("question", "found", current=True)]
    assert gate.thread is not threading.current_thread()
    assert not desk.work.busy


def test_what_has_changed_is_painted_before_an_answer_comes(desk: Desk, qtbot: QtBot) -> None:
    """Showing a filled shape takes longer than showing what a key has changed."""
    window, happened = QWidget(), []
    qtbot.addWidget(window)
    window.show()
    qtbot.waitExposed(window)
    QApplication.processEvents()
    window.paintEvent = lambda _event: happened.append("painted")
    desk.work.answered.connect(lambda _answer: happened.append("answered"))
    desk.work.ask("", quick("found"))
    time.sleep(0.05)  # its answer waits in the event loop by now
    window.update()
    qtbot.waitUntil(lambda: len(happened) == 2)
    assert happened == ["painted", "answered"]


def test_progress_is_heard(desk: Desk, qtbot: QtBot) -> None:
    gate = Gate()
    desk.work.ask(1, gate)
    qtbot.waitUntil(lambda: bool(desk.shares))
    assert set(desk.shares) == {0.5}
    gate.open.set()
    qtbot.waitUntil(lambda: bool(desk.answers))


def test_only_the_newest_of_those_that_wait_is_done(desk: Desk, qtbot: QtBot) -> None:
    first, dropped = Gate("first"), Gate("dropped")
    desk.work.ask(1, first)
    desk.work.ask(2, dropped)
    desk.work.ask(3, quick("third"))
    first.open.set()
    qtbot.waitUntil(lambda: not desk.work.busy)
    assert [each.question for each in desk.answers] == [1, 3]
    assert not dropped.started.is_set()


def test_an_older_answer_is_never_current(desk: Desk, qtbot: QtBot) -> None:
    first = Gate("older")
    desk.work.ask(1, first)
    desk.work.ask(2, quick("newer"))
    first.open.set()
    qtbot.waitUntil(lambda: not desk.work.busy)
    assert [(each.found, each.current) for each in desk.answers] == [
        ("older", False),
        ("newer", True),
    ]


def test_what_takes_too_long_is_cancelled_for_a_newer_question(desk: Desk, qtbot: QtBot) -> None:
    endless = Gate()
    desk.work.ask(1, endless)
    desk.work.ask(2, quick("newer"))
    qtbot.waitUntil(lambda: bool(desk.answers))
    assert endless.stopped
    assert [each.question for each in desk.answers] == [2]


def test_a_held_key_does_not_put_patience_off(desk: Desk, qtbot: QtBot) -> None:
    endless = Gate()
    desk.work.ask(0, endless)
    for turn in range(1, 12):
        desk.work.ask(turn, quick(turn))
        qtbot.wait(12)
    qtbot.waitUntil(lambda: not desk.work.busy)
    assert endless.stopped
    assert desk.answers[-1].question == 11 and desk.answers[-1].current
    assert len(desk.answers) > 1, "answers came while questions were still being asked"


def test_cancelled_work_gives_no_answer(desk: Desk, qtbot: QtBot) -> None:
    gate = Gate("late")
    desk.work.ask(1, gate)
    assert gate.started.wait(2)
    desk.work.cancel()
    qtbot.waitUntil(lambda: not desk.work.busy)
    assert gate.stopped
    desk.work.ask(2, quick("next"))
    qtbot.waitUntil(lambda: not desk.work.busy)
    assert [each.question for each in desk.answers] == [2]


def test_an_answer_found_just_before_the_cancelling_is_not_shown(desk: Desk, qtbot: QtBot) -> None:
    desk.work.ask(1, quick("found"))
    time.sleep(0.05)  # its answer waits in the event loop by now
    desk.work.cancel()
    qtbot.waitUntil(lambda: not desk.work.busy)
    qtbot.wait(20)
    assert desk.answers == []


def test_closing_never_waits_for_the_thread(qtbot: QtBot) -> None:
    desk, deaf = Desk(), threading.Event()
    started = threading.Event()

    def job(hear: Progress) -> object:
        """One that does not ask whether to go on."""
        started.set()
        deaf.wait(30)
        return "late"

    desk.work.ask(1, job)
    assert started.wait(2)
    assert is_any_at_work()
    desk.work.close()  # for ever, if it waited
    assert not desk.work.busy and is_any_at_work()
    desk.work.ask(2, quick("never"))
    deaf.set()
    qtbot.waitUntil(lambda: not is_any_at_work())
    qtbot.wait(20)
    assert desk.answers == [] and desk.failures == []


def test_closing_tells_the_job_to_stop(qtbot: QtBot) -> None:
    desk, gate = Desk(), Gate()
    desk.work.ask(1, gate)
    assert gate.started.wait(2)
    desk.work.close()
    assert gate.thread is not None
    gate.thread.join(2)
    assert gate.stopped
    qtbot.wait(20)
    assert desk.answers == []


def test_a_window_that_is_gone_is_not_told(qtbot: QtBot) -> None:
    owner = QObject()
    work, gate = Work(owner), Gate("too late")
    answers: list[JobResult] = []
    work.answered.connect(answers.append)
    work.ask(1, gate)
    assert gate.started.wait(2) and gate.thread is not None
    owner.deleteLater()
    qtbot.wait(20)
    gate.open.set()
    gate.thread.join(2)
    qtbot.wait(20)
    assert answers == []


def broken(error: BaseException) -> Callable[[Progress], object]:
    def job(hear: Progress) -> object:
        raise error

    return job


@pytest.mark.parametrize("error", ERRORS, ids=lambda error: type(error).__name__)
def test_a_job_that_breaks_off_is_told_whatever_broke_it(
    desk: Desk, qtbot: QtBot, error: BaseException
) -> None:
    desk.work.ask(1, broken(error))
    qtbot.waitUntil(lambda: not desk.work.busy)
    [failure] = desk.failures
    assert (failure.question, failure.current) == (1, True)
    assert error in (failure.error, failure.error.__cause__)
    assert failure.error.__traceback__ is not None
    desk.work.ask(2, quick("goes on"))
    qtbot.waitUntil(lambda: bool(desk.answers))
    assert [each.question for each in desk.answers] == [2]


def test_what_breaks_off_after_it_was_given_up_is_not_current(desk: Desk, qtbot: QtBot) -> None:
    held = threading.Event()

    def job(hear: Progress) -> object:
        held.wait(30)
        raise ZeroDivisionError

    desk.work.ask(1, job)
    desk.work.cancel()
    held.set()
    qtbot.waitUntil(lambda: not desk.work.busy)
    assert [failure.current for failure in desk.failures] == [False]


def test_a_failure_is_met_as_any_other_bug(qtbot: QtBot) -> None:
    with qtbot.captureExceptions() as seen:
        JobFailure(1, ZeroDivisionError("a bug"), current=True).meet()
    assert [kind for kind, *_ in seen] == [ZeroDivisionError]
