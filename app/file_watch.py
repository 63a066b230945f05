"""What others do to the file of the open bag: other windows on it, and changes on the disk."""

import hashlib
from pathlib import Path

from PySide6.QtCore import (
    QCoreApplication,
    QFileSystemWatcher,
    QLockFile,
    QObject,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from core.bagfile import MOST_BYTES

PAUSE = 400
"""Milliseconds: a program that writes a file in several steps is heard once."""


def digest_of(content: bytes) -> str:
    """What tells one content of a file from another."""
    return hashlib.sha256(content).hexdigest()


def file_digest(path: Path) -> str | None:
    """The digest of a file; None when there is none that can be read."""
    try:
        with path.open("rb") as file:
            return digest_of(file.read(MOST_BYTES + 1))
    except (OSError, ValueError):
        return None


class FileLock:
    """The sign beside a file that a window has it open.

    The system's own name of a process tells a lock whose window is gone: such a lock is
    taken over. Where none can be written, a read-only folder for one, the file is open to
    everybody: nobody could save there either.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._lock = QLockFile(str(path.with_name(f".{path.name}.lock")))
        # No lock grows old by itself: a bag may lie open for days.
        self._lock.setStaleLockTime(0)

    def take(self) -> bool:
        """Whether no other window has the file."""
        if self._lock.isLocked() or self._lock.tryLock(0):
            return True
        return self._lock.error() is not QLockFile.LockError.LockFailedError

    @property
    def holder(self) -> str:
        """Which process has it, and where."""
        process, host, _ = self._lock.getLockInfo()
        told = QCoreApplication.translate("FileLock", "process {process} on {host}")
        return told.format(process=process, host=host or "?")

    def free(self) -> None:
        """Let others have it."""
        self._lock.unlock()


class FileWatch(QObject):
    """Follows one file after another.

    Signals:
        changed: the file holds something else than was last read from it or written to it.
            It waits until no box is open and no mouse button is down, and comes once for
            each other content.
        gone: the file is not there any more.
    """

    changed = Signal()
    gone = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._path: Path | None = None
        self._seen: str | None = None
        self._told: str | None = None
        self._is_gone = False
        self._lock: FileLock | None = None
        self._watcher: QFileSystemWatcher | None = None
        self._pause = QTimer(self, singleShot=True, interval=PAUSE)
        self._pause.timeout.connect(self._look)

    @property
    def seen(self) -> str | None:
        """The digest of what was last read or written."""
        return self._seen

    def lock_of(self, path: Path) -> FileLock:
        """The lock of a file, not taken yet unless it is the one that is followed."""
        if self._lock is not None and _same(self._lock.path, path):
            return self._lock
        return FileLock(path)

    def follow(self, path: Path | None, seen: str | None, lock: FileLock | None = None) -> None:
        """From now on this is the file, and this its content; None for no file.

        Args:
            path: of the file.
            seen: digest of what was read or written.
            lock: taken already, or not to be had.
        """
        if self._lock is not None and self._lock is not lock:
            self._lock.free()
        self._lock, self._path = lock, path
        self._seen, self._told, self._is_gone = seen, None, False
        self._watch()

    def differs(self) -> bool:
        """Whether the file now holds something else than was last read or written."""
        now = None if self._path is None else file_digest(self._path)
        return now is not None and now != self._seen

    def accept(self) -> None:
        """What the file holds now is known, and may be replaced."""
        if self._path is not None:
            self.accept_as(file_digest(self._path))

    def accept_as(self, seen: str | None) -> None:
        """What the file holds is what has this digest."""
        self._seen = seen

    def holds(self, lock: FileLock) -> bool:
        """Whether this is the lock of the file that is followed."""
        return lock is self._lock

    def close(self) -> None:
        """Follow no file any more."""
        self._pause.stop()
        self.follow(None, None)

    def _watch(self) -> None:
        if self._watcher is None:
            if self._path is None:
                return
            self._watcher = QFileSystemWatcher(self)
            self._watcher.fileChanged.connect(self._on_stirred)
            self._watcher.directoryChanged.connect(self._on_stirred)
            # A disk of another machine tells nothing: look when the maker comes back.
            app = QGuiApplication.instance()
            if isinstance(app, QGuiApplication):
                app.applicationStateChanged.connect(self._on_state_changed)
        followed = [*self._watcher.files(), *self._watcher.directories()]
        if followed:
            self._watcher.removePaths(followed)
        if self._path is not None:
            there = [each for each in (self._path, self._path.absolute().parent) if each.exists()]
            if there:
                self._watcher.addPaths([str(each) for each in there])

    def _look(self) -> None:
        if self._path is None:
            return
        if QApplication.activeModalWidget() or QApplication.mouseButtons():
            self._pause.start()
            return
        self._watch()  # a file put in place of another one is a new one to the system
        now = file_digest(self._path)
        if now is None:
            if not self._is_gone and not self._path.exists():
                self._is_gone = True
                self.gone.emit()
        else:
            self._is_gone = False
            if now not in (self._seen, self._told):
                self._told = now
                self.changed.emit()

    def _on_stirred(self, _path: str) -> None:
        self._pause.start()

    def _on_state_changed(self, state: Qt.ApplicationState) -> None:
        if state is Qt.ApplicationState.ApplicationActive and self._path is not None:
            self._pause.start()


def _same(one: Path, other: Path) -> bool:
    try:
        return one.absolute() == other.absolute() or one.samefile(other)
    except (OSError, ValueError):
        return False
