"""What others do to the file of the open bag: other windows on it, and changes on the disk.

A lock file is what only a living process holds, and nobody once that process is gone.
"""

import errno
import os
import stat
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from app.session.display import tr
from core.base.atomic_write import beside
from core.storage.bag_file import MOST_BYTES

if TYPE_CHECKING:
    from PySide6.QtCore import QFileSystemWatcher

PAUSE = 400
"""Milliseconds: a program that writes a file in several steps is heard once."""


def digest_of(content: bytes) -> str:
    """What tells one content of a file from another."""
    from hashlib import sha256  # the window starts without it

    return sha256(content).hexdigest()


def file_digest(path: Path) -> str | None:
    """The digest of a file; None when there is no ordinary one that can be read."""
    try:
        with open(path, "rb", opener=_open_ordinary) as file:
            return digest_of(file.read(MOST_BYTES + 1))
    except (OSError, ValueError):
        return None


def is_there(path: Path) -> bool:
    """Whether anything of that name can be seen."""
    return os.path.exists(path)  # noqa: PTH110 - Path's own raises where a folder bars the way


class BagFileLock:
    """The sign beside a file that a window has it open.

    It lies beside the file itself, whatever links lead there. Where none can be written, a
    read-only folder for one, the file is open to everybody: nobody could save there either.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._lock = ProcessLock(beside(_real(path), ".", ".lock", spare=len(STALE_ENDING)))

    def take(self) -> bool:
        """Whether no other window has the file."""
        return self._lock.take() is not LockResult.HELD

    @property
    def holder(self) -> str:
        return self._lock.holder

    def free(self) -> None:
        self._lock.free()


class FileWatch(QObject):
    """Follows one file after another; `seen` is the digest of what was last read or written.

    Signals:
        changed: the file holds something else than was last read from it or written to it.
            It waits until no box is open and no mouse button is down, and comes once for
            each other content.
        gone: the file is not there any more, or something else is in its place.
    """

    changed = Signal()
    gone = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._path: Path | None = None
        self.seen: str | None = None
        self._told: str | None = None
        self._is_gone = False
        self._lock: BagFileLock | None = None
        self._watcher: QFileSystemWatcher | None = None
        self._pause = QTimer(self, singleShot=True, interval=PAUSE)
        self._pause.timeout.connect(self._look)

    def lock_of(self, path: Path) -> BagFileLock:
        """The lock of a file, not taken yet unless it is the one that is followed."""
        if self._lock is not None and _same(self._lock.path, path):
            return self._lock
        return BagFileLock(path)

    def follow(self, path: Path | None, seen: str | None, lock: BagFileLock | None = None) -> None:
        """From now on this is the file, and this its content; None for no file.

        `seen` is the digest of what was read or written; `lock` is taken already, or not to be had.
        """
        if self._lock is not None and self._lock is not lock:
            self._lock.free()
        self._lock, self._path = lock, path
        self.seen, self._told, self._is_gone = seen, None, False
        self._watch()

    def differs(self) -> bool:
        """Whether the file now holds something else than was last read or written.

        Who asks is told by that: `changed` does not come for the same content as well.
        """
        now = None if self._path is None else file_digest(self._path)
        if now is None or now == self.seen:
            return False
        self._told = now
        return True

    def accept(self) -> None:
        """What the file holds now is known, and may be replaced."""
        if self._path is not None:
            self.seen = file_digest(self._path)

    def holds(self, lock: BagFileLock) -> bool:
        """Whether this is the lock of the file that is followed."""
        return lock is self._lock

    def close(self) -> None:
        self.follow(None, None)

    def _watch(self) -> None:
        if self._watcher is None:
            if self._path is None:
                return
            from PySide6.QtCore import QFileSystemWatcher

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
            wanted = (self._path, self._path.absolute().parent)
            there = [str(each) for each in wanted if is_there(each)]
            if there:
                self._watcher.addPaths(there)

    def _look(self) -> None:
        if self._path is None:
            return
        if QApplication.activeModalWidget() or QApplication.mouseButtons():
            self._pause.start()
            return
        self._watch()  # a file put in place of another one is a new one to the system
        now = file_digest(self._path)
        if now is None:
            if not self._is_gone and not is_ordinary(self._path):
                self._is_gone = True
                self.gone.emit()
        else:
            self._is_gone = False
            if now not in (self.seen, self._told):
                self._told = now
                self.changed.emit()

    def _on_stirred(self, _path: str) -> None:
        self._pause.start()

    def _on_state_changed(self, state: Qt.ApplicationState) -> None:
        if state is Qt.ApplicationState.ApplicationActive:
            self._pause.start()


def _open_ordinary(path: str, flags: int) -> int:
    """Open a file; a pipe or a device, which could keep us waiting for ever, is refused."""
    opened = os.open(path, flags | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOCTTY", 0))
    if stat.S_ISREG(os.fstat(opened).st_mode):
        return opened
    os.close(opened)
    raise OSError(errno.EINVAL, "it is not an ordinary file")


def _real(path: Path) -> Path:
    try:
        return Path(os.path.realpath(path))
    except ValueError:  # no name that the system could have
        return path


def _same(one: Path, other: Path) -> bool:
    try:
        return one.absolute() == other.absolute() or one.samefile(other)
    except (OSError, ValueError):
        return False


STALE_ENDING: Final = ".rmlock"
"""What Qt puts after a lock's name for the lock under which it removes one of a dead process."""
SETTLING = 200
"""Milliseconds in which a process that has just made a lock has surely put its name in."""


class LockResult(Enum):
    """How the taking of a lock ended."""

    TAKEN = "taken"
    HELD = "held by another process"
    IMPOSSIBLE = "no lock can lie there"


class ProcessLock:
    """One lock file, taken or not.

    The system's own name of a process tells a lock whose process is gone: such a lock is
    taken over. So is one that names no process, which a full disk or a crash leaves, or that
    names this process without being its own: left on a drive that was gone for a while, or by
    a dead process whose number came round again.
    """

    def __init__(self, path: Path) -> None:
        from PySide6.QtCore import QLockFile  # the window opens sooner without

        self._path = path
        self._lock = QLockFile(str(path))
        self._others = QLockFile.LockError.LockFailedError
        # No lock grows old by itself: a bag may lie open for days.
        self._lock.setStaleLockTime(0)

    @property
    def is_held(self) -> bool:
        """Whether it was taken here and not given back."""
        return self._lock.isLocked()

    def take(self) -> LockResult:
        """Take it, at once or after a moment; again if somebody took the file away."""
        if self._lock.isLocked():
            if os.path.lexists(self._path):
                return LockResult.TAKEN
            self._lock.unlock()
        if not self._is_place():
            return LockResult.IMPOSSIBLE
        if self._lock.tryLock(0):
            return LockResult.TAKEN
        if self._lock.error() is not self._others:
            return LockResult.IMPOSSIBLE
        return LockResult.HELD if self._names_another() else self._take_from_nobody()

    @property
    def holder(self) -> str:
        process, host, _ = self._lock.getLockInfo() if self._is_place() else (0, "", "")
        if process <= 0:
            return tr("it is not known which")
        if not host:
            told = tr("process {process}")
            return told.format(process=process)
        told = tr("process {process} on {host}")
        return told.format(process=process, host=host)

    def free(self) -> None:
        self._lock.unlock()

    def _is_place(self) -> bool:
        """Whether there is a lock file or room for one: no folder, pipe, or bad name."""
        try:
            return stat.S_ISREG(os.lstat(self._path).st_mode)
        except OSError:
            return True
        except ValueError:
            return False

    def _names_another(self) -> bool:
        """Whether the lock file names a process, and not this one."""
        process, _, _ = self._lock.getLockInfo()
        return process > 0 and process != os.getpid()

    def _take_from_nobody(self) -> LockResult:
        # It may be one that is being written just now.
        if self._lock.tryLock(SETTLING):
            return LockResult.TAKEN
        if self._names_another():
            return LockResult.HELD
        # The system refuses to remove a file that is locked, by whomever.
        if self._lock.removeStaleLockFile() and self._lock.tryLock(0):
            return LockResult.TAKEN
        return LockResult.HELD


def is_ordinary(path: Path) -> bool:
    """Whether an ordinary file is there, through links, as far as can be seen."""
    try:
        return stat.S_ISREG(path.stat().st_mode)
    except (OSError, ValueError):
        return False
