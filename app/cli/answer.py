"""What a command answers, how far a long one has come. Imports little, for the window's sake."""

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final, NamedTuple, Protocol, TextIO

from core.base.errors import CommandError
from core.base.sanitize import terminal_signs
from core.base.sentences import Listing, Sentence, say

_BETWEEN: Final = 0.1
"""Seconds: nobody reads faster."""


def usage_error(
    template: str, *, reason: Sentence | None = None, **words: str | Listing
) -> CommandError:
    """The error for a command line, as one sentence with its gaps filled."""
    return CommandError(
        say(template, terms={} if reason is None else {"reason": reason}, words=words)
    )


class ProgressReporter(Protocol):
    """Tells what is being done, and what share of it is done, 0 to 1, where that is known."""

    def __call__(self, doing: str, share: float | None = None) -> None:
        """Rewrite the line."""


@contextmanager
def progress_line() -> Iterator[ProgressReporter]:
    """One line on standard error, rewritten and at the end taken away; none where no eye is."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield lambda doing, share=None: None
        return
    line = _Line()
    try:
        yield line.tell
    finally:
        line.write("")


class _Line:
    def __init__(self) -> None:
        self._told = self._doing = ""
        self._told_at = 0.0

    def tell(self, doing: str, share: float | None = None) -> None:
        now = time.monotonic()
        if doing == self._doing and now - self._told_at < _BETWEEN:
            return
        self._doing, self._told_at = doing, now
        self.write(f"{doing} ..." if share is None else f"{doing}: {100 * share:.0f} %")

    def write(self, told: str) -> None:
        """Blanks, no escapes, cover what stood there: every terminal knows them."""
        rest = " " * (len(self._told) - len(told))
        with suppress(OSError):  # a terminal that has gone keeps no plan from being made
            sys.stderr.write(f"\r{told}{rest}" if told else f"\r{rest}\r")
            sys.stderr.flush()
        self._told = told


DONE: Final = 0
_LONGEST_LINE: Final = 500


class Answer(NamedTuple):
    """What a command puts on standard output and standard error, and its exit code.

    Attributes:
        told: text without its last line end, or a file's content as it is; empty for nothing.
        warning: one sentence for standard error, of what did not go as it should; or empty.
    """

    told: str | bytes
    code: int
    warning: str = ""


class HelpAsked(SystemExit):
    """Ends a command that is only asked how it is used; `text` is the answer."""

    def __init__(self, text: str) -> None:
        super().__init__(DONE)
        self.text = text


def is_file(path: str) -> bool:
    """Whether there is an ordinary file of that name."""
    try:
        return Path(path).is_file()
    except (OSError, ValueError):  # no path at all on this system
        return False


def say_beside(told: str) -> None:
    """One line on standard error, beside the answer, whatever was in the input."""
    line = " ".join(terminal_signs(told).split())
    if len(line) > _LONGEST_LINE:
        line = line[: _LONGEST_LINE - 3] + "..."
    if sys.stderr is not None:  # closed: the exit code has to do
        try:
            sys.stderr.write(f"cornerwright: {line}\n")
            sys.stderr.flush()
        except OSError:
            drop(sys.stderr)


_REMARKS: list[str] = []


def say_if_done(told: str) -> None:
    """One line on standard error, once the command is carried out: a refusal stands alone."""
    _REMARKS.append(told)


def remarks() -> list[str]:
    """What there is to be said so, which is forgotten with that."""
    said, _REMARKS[:] = list(_REMARKS), []
    return said


def drop(stream: TextIO) -> None:
    """Nobody reads any more: let the interpreter's last flush go nowhere."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
