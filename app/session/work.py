"""Long work off the GUI thread: one job at a time, and the newest question wins.

An answer always carries its question, and says whether that is still the one last asked:
an older answer may be shown as an older one, never as current. A job that breaks off says so:
whoever waits for it must not wait for ever.
"""

import logging
import os
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from threading import Event
from typing import Any, NamedTuple

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from core.base.progress import Progress

ThreadJob = Callable[[Progress], Any]
"""The work itself, run in another thread: it touches no widget. It raises CancelledError
when it has been told not to go on."""

PATIENCE = 150
"""Milliseconds that a job may go on after a newer question has come: what is nearly done is
worth having, for the newer job starts from it and a held key can be followed."""


HAND_OVER = 0.0005
"""Seconds after which a job leaves the interpreter to the thread of the window, which gives it
up in many calls of Qt: at the 0.005 of Python a key beside a job took a third longer."""


class CancelledError(Exception):
    """A job that was told not to go on."""


class JobResult(NamedTuple):
    """What a job found; `current` tells whether no newer question has been asked."""

    question: object
    found: Any
    current: bool


class JobFailure(NamedTuple):
    """A job that an error broke off.

    Attributes:
        question: what was asked.
        error: what went wrong; of a job that left by SystemExit or the like, a RuntimeError
            that was caused by it, for that must not end the window.
        current: whether no newer question has been asked, and this one was not given up.
    """

    question: object
    error: Exception
    current: bool

    def meet(self) -> None:
        """Have it logged and told like any other error that nobody expected."""
        sys.excepthook(type(self.error), self.error, self.error.__traceback__)


class _End(NamedTuple):
    """How a job ended, as its thread tells it."""

    question: object
    found: Any
    error: Exception | None


class _JobThread(threading.Thread):
    """The thread of one job."""


class ThreadSignals(QObject):
    """What a thread speaks through; both hold it, so that it outlives the window if need be."""

    ended = Signal(object)
    heard = Signal(float)


class Work(QObject):
    """Runs jobs in a thread of their own.

    Signals:
        answered(JobResult): a job came to its end, and all that was changed before is painted;
            none comes from a cancelled one.
        failed(JobFailure): a job broke off. Whoever asks hears this too, gives back what waited
            for the answer, and sees to it that the error is logged and told.
        progressed(float): share done of the job that runs, 0 to 1.
    """

    answered = Signal(object)
    failed = Signal(object)
    progressed = Signal(float)

    def __init__(self, parent: QObject | None = None, *, patience: int = PATIENCE) -> None:
        super().__init__(parent)
        self._waiting: tuple[object, ThreadJob] | None = None
        self._asked: object = None
        self._thread: _JobThread | None = None
        self._stop = Event()
        self._closed = False
        self._patience = QTimer(self, singleShot=True, interval=patience)
        self._patience.timeout.connect(self._lose_patience)
        self._end: _End | None = None
        # It comes after all events that are posted: what a key has changed is painted first.
        self._idle = QTimer(self, singleShot=True, interval=0)
        self._idle.timeout.connect(self._take_in)

    @property
    def busy(self) -> bool:
        """Whether something is under way."""
        return self._thread is not None

    def asks(self, question: object) -> bool:
        """Whether this is what is under way, or waits."""
        return self.busy and self._asked == question

    def ask(self, question: object, job: ThreadJob) -> None:
        """Do this job next; what waited before it is dropped, what runs is soon cancelled."""
        if self._closed:
            return
        self._asked = question
        self._waiting = (question, job)
        if self._thread is None:
            self._start()
        elif not self._patience.isActive() and not self._stop.is_set():
            self._patience.start()

    def cancel(self) -> None:
        """Give up what runs and what waits; no answer comes."""
        self._asked = self._waiting = None
        self._stop.set()

    def close(self) -> None:
        """Give everything up; nothing can be asked after.

        It is not waited for: what runs ends when it next asks whether to go on, and is not
        heard any more.
        """
        self._closed = True
        self.cancel()
        self._patience.stop()
        self._idle.stop()
        self._thread = None

    def _start(self) -> None:
        if self._waiting is None:
            return
        question, job = self._waiting
        self._waiting = None
        sys.setswitchinterval(HAND_OVER)
        self._stop, line = Event(), ThreadSignals()
        # From the other thread these arrive through the event loop of this one.
        line.ended.connect(self._on_end, Qt.ConnectionType.QueuedConnection)
        line.heard.connect(self._on_heard, Qt.ConnectionType.QueuedConnection)
        self._thread = _JobThread(
            target=_run,
            args=(question, job, self._stop, line),
            name="work",
            daemon=True,
        )
        self._thread.start()

    def _lose_patience(self) -> None:
        self._stop.set()

    def _on_heard(self, share: float) -> None:
        if self._thread is not None and not self._stop.is_set():
            self.progressed.emit(share)

    def _on_end(self, end: _End) -> None:
        if not self._closed:
            self._end = end
            self._idle.start()

    def _take_in(self) -> None:
        end, self._end = self._end, None
        if end is None or self._thread is None:
            return
        self._thread.join()
        self._thread = None
        self._patience.stop()
        dropped = self._stop.is_set() or isinstance(end.error, CancelledError)
        current = end.question is self._asked
        self._start()
        if end.error is not None and not isinstance(end.error, CancelledError):
            self.failed.emit(JobFailure(end.question, end.error, current and not dropped))
        elif not dropped:
            self.answered.emit(JobResult(end.question, end.found, current))


def is_any_at_work() -> bool:
    """Whether the thread of a job is still running, be it one that nobody waits for."""
    return any(isinstance(each, _JobThread) for each in threading.enumerate())


def leave_jobs_behind(code: int) -> None:
    """End the process with this exit code if a job still runs; at the very end of the program.

    A thread that runs on while interpreter and libraries are taken down around it may crash
    the process, and is not worth waiting for: nothing of its answer would be kept.
    """
    if is_any_at_work():
        logging.shutdown()
        for stream in filter(None, (sys.stdout, sys.stderr)):
            with suppress(OSError, ValueError):
                stream.flush()
        os._exit(code)


def _run(question: object, job: ThreadJob, stop: Event, line: ThreadSignals) -> None:
    """In the other thread."""

    def hear(share: float) -> bool:
        if not stop.is_set():
            line.heard.emit(share)
        return not stop.is_set()

    try:
        end = _End(question, job(hear), None)
    except Exception as error:  # whatever it is, it is told in the thread of the window
        end = _End(question, None, error)
    except BaseException as error:  # would end this thread, and nobody would hear of it
        broken = RuntimeError(f"a job left by {type(error).__name__}")
        broken.__cause__ = error
        end = _End(question, None, broken.with_traceback(error.__traceback__))
    line.ended.emit(end)
