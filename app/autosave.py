"""Recovery copies: what is on the table, kept aside in case the program ends badly.

A copy is one file in the platform's own folder, with a lock beside it that only a living
window holds. A copy whose lock nobody holds was left by a program that did not end well.
"""

import logging
import secrets
import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Literal

import msgspec
from PySide6.QtCore import QLockFile, QObject, QStandardPaths, QTimer, Signal

from app.document import Document
from core.bagfile import MOST_BYTES, project_from_json, project_to_json
from core.errors import BagFileError, CornerwrightError
from core.project import Project
from core.wholefile import reason_of, write_whole

DELAY = 1500
"""Milliseconds from a change to its copy; further changes in that time go into the same one."""
PATIENCE = 5.0
"""Seconds that a closing window waits for the disk."""

_log = logging.getLogger("cornerwright")


class CopyRecord(msgspec.Struct, kw_only=True):
    """A recovery copy as it lies on the disk.

    Attributes:
        path: the file that the bag was read from or saved to last.
        seen: digest of what that file held.
        at: seconds since 1970.
        project: the bag file's text, as saving would have written it.
    """

    format: Literal["cornerwright recovery 1"]
    path: str | None
    seen: str | None
    at: float
    project: str


def recovery_folder() -> Path:
    """Where recovery copies lie on this platform."""
    place = QStandardPaths.StandardLocation.AppLocalDataLocation
    return Path(QStandardPaths.writableLocation(place)) / "recovery"


class _Line(QObject):
    """What the writing thread speaks through; it outlives the window if need be."""

    ended = Signal(str)


class Autosave(QObject):
    """Keeps one recovery copy of a document, as long as it has unsaved changes.

    Copies are written by a thread, one after another: no change waits for the disk.

    Signals:
        failed(str): no copy can be kept, and why. Once, until one can be kept again.
    """

    failed = Signal(str)

    def __init__(
        self,
        document: Document,
        folder: Path,
        parent: QObject | None = None,
        *,
        delay: int = DELAY,
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._folder = folder
        self._copy = folder / f"{secrets.token_hex(8)}.json"
        self._lock = _lock_of(self._copy)
        self._is_failing = False
        self._seen: str | None = None
        self._writer: ThreadPoolExecutor | None = None
        self._last: Future[None] | None = None
        self._is_closed = False
        self._line = _Line()
        self._line.ended.connect(self._on_ended)
        self._soon = QTimer(self, singleShot=True, interval=delay)
        self._soon.timeout.connect(self._on_time)
        document.changed.connect(self._on_changed)
        document.kept_changed.connect(self._on_changed)
        document.saved_changed.connect(self._on_changed)

    @property
    def copy(self) -> Path:
        """Where this document's copy lies when it has one."""
        return self._copy

    def set_seen(self, seen: str | None) -> None:
        """Digest of what the document's file holds, to be kept with the next copy."""
        self._seen = seen

    def write_now(self) -> bool:
        """Bring the copy up to date and wait for it; whether it is."""
        self._on_time()
        self._wait()
        return self._document.saved or self._copy.exists()

    def close(self) -> None:
        """The document is given up or saved: no copy is needed any more."""
        self._is_closed = True
        self._soon.stop()
        self._wait()
        if self._writer is not None:
            self._writer.shutdown(wait=False)
        _remove(self._copy)
        self._lock.unlock()

    def _on_changed(self) -> None:
        # Not started anew by each change: a held key must not put the copy off for ever.
        if not self._soon.isActive() and not self._is_closed:
            self._soon.start()

    def _on_time(self) -> None:
        self._soon.stop()
        if self._document.saved:
            if self._lock.isLocked():
                self._do(partial(_remove, self._copy))
            return
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            self._on_ended(reason_of(error))
            return
        # Before the copy is there, so that no other window takes it for one left over.
        if not self._lock.isLocked() and not self._lock.tryLock(0):
            self._on_ended(self.tr("its folder cannot be written"))
            return
        document = self._document
        write = partial(_write, self._copy, document.to_keep, document.path, self._seen)
        self._do(partial(_tell, self._line, write))

    def _do(self, job: Callable[[], None]) -> None:
        """Leave something to the writing thread; it does one thing after another."""
        if self._writer is None:
            self._writer = ThreadPoolExecutor(1, thread_name_prefix="autosave")
        self._last = self._writer.submit(job)

    def _wait(self) -> None:
        if self._last is not None:
            with suppress(TimeoutError):  # a disk that hangs must not hold the window
                self._last.result(PATIENCE)

    def _on_ended(self, trouble: str) -> None:
        if trouble and not self._is_failing:
            _log.error("no recovery copy: %s", trouble)
            told = self.tr("No recovery copy can be kept: {reason}. Save often.")
            self.failed.emit(told.format(reason=trouble))
        self._is_failing = bool(trouble)


class LeftOver:
    """A copy that a program that ended badly left; held so that no other window takes it.

    Attributes:
        project: what was on the table.
        path: its file, if it had one.
        seen: digest of what was last read from that file or written to it.
        at: when the copy was written.
    """

    def __init__(self, copy: Path, lock: QLockFile, record: CopyRecord) -> None:
        """`lock` is taken.

        Raises:
            CornerwrightError, ValueError: the copy holds no bag.
        """
        self.project: Project = project_from_json(record.project, source=copy.name)
        self.path = None if record.path is None else Path(record.path)
        self.seen = record.seen
        self.at = datetime.fromtimestamp(record.at)
        self._copy = copy
        self._lock = lock

    def forget(self) -> None:
        """Take the copy away."""
        _remove(self._copy)
        self._lock.unlock()

    def leave(self) -> None:
        """Let it lie for another time."""
        self._lock.unlock()


def left_overs(folder: Path) -> list[LeftOver]:
    """Every copy in the folder that no living window holds, the newest first.

    A copy that cannot be read is put aside as `.unreadable`, so that it is told once.
    """
    found = []
    copies = sorted(folder.glob("*.json")) if folder.is_dir() else []
    for copy in copies:
        lock = _lock_of(copy)
        if not lock.tryLock(0):
            continue
        try:
            record = msgspec.json.decode(copy.read_bytes(), type=CopyRecord)
            found.append(LeftOver(copy, lock, record))
        except (
            OSError,
            ValueError,
            OverflowError,
            msgspec.MsgspecError,
            CornerwrightError,
        ) as error:
            _log.error("recovery copy %s cannot be read: %s", copy.name, error)
            with suppress(OSError):
                copy.replace(copy.with_suffix(".unreadable"))
            lock.unlock()
    return sorted(found, key=lambda each: each.at, reverse=True)


def _lock_of(copy: Path) -> QLockFile:
    lock = QLockFile(str(copy.with_suffix(".lock")))
    lock.setStaleLockTime(0)  # only the end of its process ends a lock
    return lock


def _write(copy: Path, project: Project, path: Path | None, seen: str | None) -> str:
    """Write a copy, in any thread; what went wrong, or nothing."""
    try:
        record = CopyRecord(
            format="cornerwright recovery 1",
            path=None if path is None else str(path.absolute()),
            seen=seen,
            at=time.time(),
            project=project_to_json(project),
        )
        if len(record.project.encode()) > MOST_BYTES:
            return "the bag is too large"
        write_whole(copy, msgspec.json.encode(record))
    except BagFileError as error:
        return str(error).rstrip(".")
    except (OSError, ValueError) as error:
        return reason_of(error)
    return ""


def _tell(line: _Line, write: Callable[[], str]) -> None:
    line.ended.emit(write())


def _remove(copy: Path) -> None:
    with suppress(OSError):
        copy.unlink(missing_ok=True)
