"""Writing a file whole or not at all: a failure leaves an older file as it was."""

import errno
import os
import secrets
import shutil
import time
import unicodedata
from contextlib import suppress
from pathlib import Path
from typing import Final

_MARK: Final = ".cornerwright-"
_ENDING: Final = ".tmp"
_ABANDONED: Final = 3600.0
"""Seconds after which a temporary file is one that its writer did not live to name."""


def write_whole(path: Path, content: bytes, *, backup: Path | None = None) -> None:
    """Put the content under its name only when all of it lies on the disk.

    A link is followed: the file that it points to is replaced, not the link.

    Args:
        path: the file to write.
        content: all that will be in it.
        backup: where the older file, if there is one with another content, is kept. It is
            complete at any time, too. A backup that cannot be kept does not stop the writing.

    Raises:
        OSError, ValueError: it cannot be written there; nothing was changed.
    """
    target = _target(path)
    _clear_abandoned(target.parent)
    temporary = _beside(target)
    try:
        _fill(temporary, content)
        # Who may read the older file may read the new one, where the disk knows such things.
        if target.exists():
            with suppress(OSError):
                shutil.copymode(target, temporary)
            if backup is not None:
                with suppress(OSError):
                    _keep(target, backup, content)
        temporary.replace(target)
    finally:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)
    _settle(target.parent)


def check_place(path: Path) -> None:
    """Find out before a long work whether its file can be written there; nothing stays behind.

    Raises:
        OSError, ValueError: it cannot.
    """
    target = _target(path)
    temporary = _beside(target)
    try:
        _fill(temporary, b" ")
    finally:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)


def is_same_file(one: Path, other: Path) -> bool:
    """Whether both names lead to one file, be it there or not yet.

    Of a file that is not there nobody can say whether its disk tells capitals or accents of
    two kinds apart: names that differ in nothing else count as one.
    """
    try:
        if one.exists() or other.exists():
            return one.samefile(other)
        return _folded(one) == _folded(other)
    except (OSError, ValueError):  # only one of them is there, or one is no name
        return False


def reason_of(error: OSError | ValueError) -> str:
    """Why a file could not be read or written, as the end of a sentence."""
    told = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return told[:1].lower() + told[1:]


def _target(path: Path) -> Path:
    """The file that is really replaced."""
    target = Path(os.path.realpath(path))
    if target.is_dir():
        raise IsADirectoryError(errno.EISDIR, "it is a folder")
    if target.exists() and not target.is_file():
        raise OSError(errno.EINVAL, "it is not an ordinary file")
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, "it is write-protected")
    if not target.parent.is_dir():
        raise FileNotFoundError(errno.ENOENT, "its folder is not there")
    return target


def _folded(path: Path) -> str:
    """Where a name leads through all links, spelt as the least exact of disks spells it."""
    return unicodedata.normalize("NFC", os.path.realpath(path)).casefold()


def _beside(target: Path) -> Path:
    """A fresh name in the same folder, because only there is the last step one step."""
    return target.with_name(f"{_MARK}{secrets.token_hex(6)}{_ENDING}")


def _fill(temporary: Path, content: bytes) -> None:
    with temporary.open("xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _keep(target: Path, backup: Path, content: bytes) -> None:
    """Put the older file under the backup's name, in one step too."""
    if target.stat().st_size == len(content) and target.read_bytes() == content:
        return  # the backup would no longer hold an earlier state
    temporary = _beside(backup)
    try:
        try:
            # A second name for the same file: nothing is copied, nothing can be half there.
            os.link(target, temporary)
        except OSError:  # a disk without such links
            _fill(temporary, target.read_bytes())
        temporary.replace(backup)
    finally:
        temporary.unlink(missing_ok=True)


def _settle(folder: Path) -> None:
    """Make the new name itself last through a power cut, where the system offers that."""
    if os.name == "nt":
        return  # folders cannot be opened there
    with suppress(OSError):
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def _clear_abandoned(folder: Path) -> None:
    """Take away what writers that were killed left in the folder, long after."""
    long_ago = time.time() - _ABANDONED
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.startswith(_MARK) and entry.name.endswith(_ENDING):
                with suppress(OSError):
                    if entry.stat(follow_symlinks=False).st_mtime < long_ago:
                        Path(entry.path).unlink()
