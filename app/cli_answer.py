"""What a command answers. Imports little, so that the window need not load a command."""

import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import Final, NamedTuple, TextIO

from core.signs import terminal_signs

DONE: Final = 0
_LONGEST_LINE: Final = 500


class Answer(NamedTuple):
    """What a command puts on standard output and standard error, and its exit code.

    Attributes:
        told: text without its last line end, or a file's content as it is; empty for nothing.
        code: the exit code.
        warning: one sentence for standard error, of what did not go as it should; or empty.
    """

    told: str | bytes
    code: int
    warning: str = ""


class HelpAsked(SystemExit):
    """Ends a command that is only asked how it is used.

    Attributes:
        text: the answer.
    """

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


def drop(stream: TextIO) -> None:
    """Nobody reads any more: let the interpreter's last flush go nowhere."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
