"""How far a long command has come, on a terminal alone."""

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Final, Protocol

_BETWEEN: Final = 0.1
"""Seconds: nobody reads faster."""


class Tell(Protocol):
    """Tells what is being done, and what share of it is done, 0 to 1, where that is known."""

    def __call__(self, doing: str, share: float | None = None) -> None:
        """Rewrite the line."""


@contextmanager
def progress_line() -> Iterator[Tell]:
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
