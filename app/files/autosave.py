"""Recovery copies: what is on the table, kept aside in case the program ends badly."""

import logging
import secrets
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QStandardPaths, QTimer, Signal

from app.files.recovery import CopyRecord, lock_of, remove_copy
from app.files.watch import LockResult
from app.session.display import tr, translated
from app.session.document import Document
from core.base.atomic_write import PRIVATE, PRIVATE_FOLDER, reason_of, write_whole
from core.base.errors import BagFileError
from core.base.sanitize import packed_json
from core.storage.bag_file import MOST_BYTES
from core.storage.project import Project

DELAY = 1500
"""Milliseconds from a change to its copy; further changes in that time go into the same one."""
AGAIN = 30_000
"""Milliseconds from a copy that could not be kept to the next try, if nothing changes sooner."""
PATIENCE = 5.0
"""Seconds that a closing window waits for the disk."""

_log = logging.getLogger("cornerwright")


def recovery_folder() -> Path:
    """Where recovery copies lie on this platform."""
    place = QStandardPaths.StandardLocation.AppLocalDataLocation
    return Path(QStandardPaths.writableLocation(place)) / "recovery"


class _ThreadSignals(QObject):
    """What the writing thread speaks through; it outlives the window if need be."""

    ended = Signal(str)


class Autosave(QObject):
    """Keeps one recovery copy, `copy`, of a document, as long as it has unsaved changes.

    Copies are written by a thread, one after another: no change waits for the disk.

    Signals:
        failed(str): no copy can be kept, and why. Once, until one can be kept again.
        trouble_changed(str): the same for as long as it is so; empty when a copy is kept again.
    """

    failed = Signal(str)
    trouble_changed = Signal(str)

    def __init__(
        self,
        document: Document,
        folder: Path,
        parent: QObject | None = None,
        *,
        delay: int = DELAY,
        again: int = AGAIN,
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._folder = folder
        self.copy = folder / f"{secrets.token_hex(8)}.json"
        self._lock = lock_of(self.copy)
        self._trouble = ""
        self._seen: str | None = None
        self._writer: ThreadPoolExecutor | None = None
        self._last: Future[bool] | None = None
        self._is_closed = False
        self._line = _ThreadSignals()
        self._line.ended.connect(self._on_ended)
        # Each goes off once: what it calls stops both.
        self._soon = QTimer(self, interval=delay)
        self._soon.timeout.connect(self._on_time)
        self._again = QTimer(self, interval=again)
        self._again.timeout.connect(self._on_time)
        document.changed.connect(self._on_changed)
        document.kept_changed.connect(self._on_changed)
        document.saved_changed.connect(self._on_changed)

    def set_seen(self, seen: str | None) -> None:
        """Digest of what the document's file holds, as far as the maker knows."""
        if seen != self._seen:
            self._seen = seen
            self._on_changed()

    def write_now(self) -> bool:
        """Bring the copy up to date and wait for it; whether it is."""
        return self._on_time() and self._wait()

    def close(self) -> None:
        """The document is given up or saved: no copy is needed any more."""
        self._stop()
        remove_copy(self.copy)
        self._lock.free()

    def leave(self) -> None:
        """Keep no copies any more; the last one stays for whoever looks for it."""
        self._stop()
        self._lock.free()

    def _stop(self) -> None:
        self._is_closed = True
        self._soon.stop()
        self._again.stop()
        self._wait()
        if self._writer is not None:
            self._writer.shutdown(wait=False)

    def _on_changed(self) -> None:
        # Not started anew by each change: a held key must not put the copy off for ever.
        if not self._soon.isActive() and not self._is_closed:
            self._soon.start()

    def _on_time(self) -> bool:
        """Begin to write the copy, or to take it away; whether that could begin."""
        self._soon.stop()
        self._again.stop()
        if self._document.saved:
            if self._lock.is_held:
                self._do(partial(_take_away, self.copy))
            return True
        try:
            self._folder.mkdir(PRIVATE_FOLDER, parents=True, exist_ok=True)
        except OSError as error:
            self._on_ended(reason_of(error).text(translate=translated))
            return False
        # Before the copy is there, so that no other window takes it for one left over.
        if self._lock.take() is not LockResult.TAKEN:
            self._on_ended(self.tr("its folder cannot be written"))
            return False
        document = self._document
        write = partial(_write, self.copy, document.to_keep, document.path, self._seen)
        self._do(partial(_tell, self._line, write))
        return True

    def _do(self, job: Callable[[], bool]) -> None:
        """Leave something to the writing thread; it does one thing after another."""
        if self._writer is None:
            self._writer = ThreadPoolExecutor(1, thread_name_prefix="autosave")
        self._last = self._writer.submit(job)

    def _wait(self) -> bool:
        """Whether the writing thread did what it was left last, as far as can be waited for."""
        with suppress(TimeoutError):  # a disk that hangs must not hold the window
            return self._last is None or self._last.result(PATIENCE)
        return False

    def _on_ended(self, reason: str) -> None:
        told = ""
        if reason:
            if not self._is_closed:
                self._again.start()
            told = self.tr("No recovery copy can be kept: {reason}. Save often.")
            told = told.format(reason=reason)
        if told == self._trouble:
            return
        was, self._trouble = self._trouble, told
        self.trouble_changed.emit(told)
        if not was:
            _log.error("no recovery copy: %s", reason)
            self.failed.emit(told)


def _write(copy: Path, project: Project, path: Path | None, seen: str | None) -> str:
    """Write a copy, in any thread; what went wrong, or nothing."""
    reason = ""
    try:
        record = CopyRecord.of(project, path, seen)
        if len(record.project.encode()) > MOST_BYTES:
            reason = tr("the bag is too large")
        else:
            write_whole(copy, packed_json(record), mode=PRIVATE)
    except BagFileError as error:
        reason = str(error).removesuffix(".")
    except (OSError, ValueError) as error:
        reason = reason_of(error).text(translate=translated)
    return reason


def _tell(line: _ThreadSignals, write: Callable[[], str]) -> bool:
    reason = write()
    line.ended.emit(reason)
    return not reason


def _take_away(copy: Path) -> bool:
    remove_copy(copy)
    return True
