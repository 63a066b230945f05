"""The log's file, loaded when there is something to tell."""

import logging
import sys
from contextlib import suppress
from io import TextIOWrapper
from logging.handlers import RotatingFileHandler
from pathlib import Path

from app.window.error_log import open_log

_log = logging.getLogger("cornerwright")


class LogFile(RotatingFileHandler):
    """The log, which says once that it cannot be written any more, and goes on trying.

    Args:
        largest: bytes at which it is put aside.
        older: how many that were put aside are kept.
    """

    def __init__(self, path: Path, *, largest: int, older: int) -> None:
        super().__init__(
            path,
            maxBytes=largest,
            backupCount=older,
            encoding="utf-8",
            errors="backslashreplace",  # a file's name may hold what UTF-8 cannot
            delay=True,
        )
        self._has_failed = False

    # The library's own names from here on.

    def _open(self) -> TextIOWrapper:
        # Also of the next one when this one has grown too long.
        return open_log(self.baseFilename, encoding=self.encoding, errors=self.errors)

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802 - its base's name
        # Without this, the library prints a page for each message that it cannot write.
        error = sys.exc_info()[1]
        if self.stream is not None:
            # What failed may have been closed: the next message opens it anew.
            with suppress(OSError, ValueError):
                self.stream.close()
            self.stream = None
        if not self._has_failed:
            self._has_failed = True  # first: what is said now comes here, too
            _log.warning("the log cannot be written: %s", error)
