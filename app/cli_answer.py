"""What a command answers. Imports little, so that the window need not load a command."""

from pathlib import Path
from typing import Final, NamedTuple

DONE: Final = 0


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
