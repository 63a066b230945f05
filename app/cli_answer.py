"""What a command answers. Imports nothing, so that the window need not load a command."""

from pathlib import Path
from typing import Final, NamedTuple

DONE: Final = 0


class Answer(NamedTuple):
    """What a command prints, and its exit code."""

    text: str
    code: int


def is_file(path: str) -> bool:
    """Whether there is an ordinary file of that name."""
    try:
        return Path(path).is_file()
    except (OSError, ValueError):  # no path at all on this system
        return False
