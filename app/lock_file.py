"""Lock files: what only a living process holds, and nobody once that process is gone."""

import os
import stat
from enum import Enum
from pathlib import Path
from typing import Final

from PySide6.QtCore import QCoreApplication, QLockFile

STALE_ENDING: Final = ".rmlock"
"""What Qt puts after a lock's name for the lock under which it removes one of a dead process."""
SETTLING = 200
"""Milliseconds in which a process that has just made a lock has surely put its name in."""


class Taking(Enum):
    """How the taking of a lock ended."""

    TAKEN = "taken"
    HELD = "held by another process"
    IMPOSSIBLE = "no lock can lie there"


class LockFile:
    """One lock file, taken or not.

    The system's own name of a process tells a lock whose process is gone: such a lock is
    taken over. So is one that names no process, which a full disk or a crash leaves, or that
    names this process without being its own: left on a drive that was gone for a while, or by
    a dead process whose number came round again.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._lock = QLockFile(str(path))
        # No lock grows old by itself: a bag may lie open for days.
        self._lock.setStaleLockTime(0)

    @property
    def is_held(self) -> bool:
        """Whether it was taken here and not given back."""
        return self._lock.isLocked()

    def take(self) -> Taking:
        """Take it, at once or after a moment; again if somebody took the file away."""
        if self._lock.isLocked():
            if os.path.lexists(self._path):
                return Taking.TAKEN
            self._lock.unlock()
        if not self._is_place():
            return Taking.IMPOSSIBLE
        if self._lock.tryLock(0):
            return Taking.TAKEN
        if self._lock.error() is not QLockFile.LockError.LockFailedError:
            return Taking.IMPOSSIBLE
        return Taking.HELD if self._names_another() else self._take_from_nobody()

    @property
    def holder(self) -> str:
        """Which other process has it, and where."""
        process, host, _ = self._lock.getLockInfo() if self._is_place() else (0, "", "")
        if process <= 0:
            return QCoreApplication.translate("FileLock", "it is not known which")
        if not host:
            told = QCoreApplication.translate("FileLock", "process {process}")
            return told.format(process=process)
        told = QCoreApplication.translate("FileLock", "process {process} on {host}")
        return told.format(process=process, host=host)

    def free(self) -> None:
        """Let others have it."""
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

    def _take_from_nobody(self) -> Taking:
        # It may be one that is being written just now.
        if self._lock.tryLock(SETTLING):
            return Taking.TAKEN
        if self._names_another():
            return Taking.HELD
        # The system refuses to remove a file that is locked, by whomever.
        if self._lock.removeStaleLockFile() and self._lock.tryLock(0):
            return Taking.TAKEN
        return Taking.HELD


def is_ordinary(path: Path) -> bool:
    """Whether an ordinary file is there, through links, as far as can be seen."""
    try:
        return stat.S_ISREG(path.stat().st_mode)
    except (OSError, ValueError):
        return False
