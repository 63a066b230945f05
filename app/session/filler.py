"""Filling bags in a process of its own.

A job in a thread shares the interpreter with the window: beside one, a held key took half as
long again.
"""

import atexit
import tempfile
import threading
from collections.abc import Sequence
from contextlib import suppress
from typing import IO, TYPE_CHECKING

from app.session.work import CancelledError
from app.session.workers import worker_command, worker_environment
from core.bag.bag import Bag
from core.base.progress import Progress

if TYPE_CHECKING:  # they are loaded by the first job, after the window has opened
    from subprocess import Popen

    from core.solid.filled_bag import FilledBag, Message

WORKER = "core.solid.filler"
LOOK_AGAIN = 0.02
"""Seconds between two looks at whether it is still worth waiting for another window's bag."""
LAST_WORDS = 0.5
"""Seconds that it is given to say why it ends."""
ENDS_WITHIN = 3.0
"""Seconds that the process is given to end."""


class FillerError(RuntimeError):
    """A bag could not be filled: something went wrong in the process, or with it."""


class Filler:
    """The process that fills bags, one at a time; it is started by the first one.

    Any thread may ask; it waits for its answer.
    """

    def __init__(self, command: Sequence[str] | None = None) -> None:
        self._command = command
        self._turn = threading.Lock()
        self._process: Popen[bytes] | None = None
        self._errors: IO[bytes] | None = None

    def fill(self, bag: Bag, progress: Progress, *, follow: bool) -> "FilledBag":
        """Fill a bag; `follow` lets it start from the one filled before.

        CancelledError: `progress` answered False. FillerError: what went wrong.
        """
        while not self._turn.acquire(timeout=LOOK_AGAIN):
            if not progress(0.0):
                raise CancelledError
        try:
            return self._answer(bag, progress, follow=follow)
        finally:
            self._turn.release()

    def close(self) -> None:
        """End the process, if there is one; the next bag would start another."""
        process, self._process = self._process, None
        errors, self._errors = self._errors, None
        if process is not None:
            process.kill()
            process.wait(ENDS_WITHIN)
            for pipe in (process.stdin, process.stdout):
                with suppress(OSError):  # what it did not read is lost
                    if pipe is not None:
                        pipe.close()
        if errors is not None:
            errors.close()

    def _answer(self, bag: Bag, progress: Progress, *, follow: bool) -> "FilledBag":
        from core.solid.filled_bag import Broken, FilledBag

        try:
            found = self._heard(bag, progress, follow=follow)
        except EOFError:  # it was ended from without: another is asked, once
            try:
                found = self._heard(bag, progress, follow=False)
            except EOFError as error:
                raise FillerError(f"the process that fills bags ended: {error}") from error
        if isinstance(found, Broken):
            raise FillerError(found.told)
        if not isinstance(found, FilledBag):
            raise CancelledError
        return found

    def _heard(self, bag: Bag, progress: Progress, *, follow: bool) -> "Message | None":
        """The last word, None where it was given up; EOFError, with what is known: it ended."""
        from pickle import UnpicklingError  # with the first bag to fill, after the window

        answered = False
        try:
            found = self._last_word(bag, progress, follow=follow)
            answered = True
        except (EOFError, OSError, UnpicklingError) as error:
            raise EOFError(self._told() or str(error)) from error
        finally:
            if not answered:  # what it would say next belongs to this question
                self.close()
        return found

    def _last_word(self, bag: Bag, progress: Progress, *, follow: bool) -> "Message | None":
        """None where it was given up."""
        from core.solid.filled_bag import GIVE_UP, Question, Share, receive, send

        process = self._started()
        if process.stdin is None or process.stdout is None:
            raise EOFError
        send(process.stdin, Question(bag, follow))
        given_up = False
        while isinstance(said := receive(process.stdout), Share):
            if not given_up and not progress(said.done):
                send(process.stdin, GIVE_UP)
                given_up = True
        return None if given_up else said

    def _started(self) -> "Popen[bytes]":
        import subprocess

        if self._process is None or self._process.poll() is not None:
            self.close()
            # Not a pipe: that would be full one day, for nobody reads it.
            with suppress(OSError):  # without it, it is not told why the process ended
                self._errors = tempfile.TemporaryFile()  # noqa: SIM115 (lives as long as that)
            self._process = subprocess.Popen(
                self._command or worker_command(WORKER),
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=self._errors or subprocess.DEVNULL,
                env=worker_environment(),
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
            )
        return self._process

    def _told(self) -> str:
        """The last that the process said, else its exit code; empty when it never began."""
        if self._process is None or self._errors is None:
            return ""
        from subprocess import TimeoutExpired

        with suppress(TimeoutExpired):  # of one that closed its ends, or speaks no sense
            self._process.wait(LAST_WORDS)
        self._process.kill()
        code = self._process.wait(ENDS_WITHIN)
        self._errors.seek(0)
        lines = self._errors.read().decode(errors="replace").strip().splitlines()
        return lines[-1] if lines else str(code)


FILLER = Filler()
"""The program's own: windows take turns."""
atexit.register(FILLER.close)
