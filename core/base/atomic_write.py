"""Writing a file whole or not at all: a failure leaves an older file as it was."""

import errno
import os
import stat
import time
import unicodedata
from contextlib import suppress
from pathlib import Path
from typing import Final

from core.base.sentences import Sentence, Template, mark, typed

PRIVATE: Final = 0o600
"""Permissions of a file that is for its owner alone."""
PRIVATE_FOLDER: Final = 0o700
"""Permissions of a folder that is for its owner alone."""

_MARK: Final = ".cornerwright-"
_ENDING: Final = ".tmp"
_ABANDONED: Final = 3600.0
"""Seconds after which a temporary file is one that its writer did not live to name."""
_ANYBODY: Final = 0o666
"""Permissions that an ordinary program asks for: the system takes away what the umask says."""
_USUAL_LONGEST: Final = 255
"""Length of the longest name on most disks, where the system does not tell it."""
_ACCESS_LIST: Final = "system.posix_acl_access"
"""The attribute in which Linux keeps who else may read a file."""


def write_whole(
    path: Path, content: bytes, *, backup: Path | None = None, mode: int | None = None
) -> OSError | None:
    """Put the content under its name only when all of it lies on the disk.

    A link is followed: the file that it points to is replaced, not the link. At no time can
    anybody read the new file who could not read the older one. What is returned is why no backup
    could be kept; None where it was, or there was nothing to keep. An OSError or ValueError: the
    file cannot be written there; nothing was changed.

    Args:
        path: the file to write.
        content: all that will be in it.
        backup: where the older file, if there is one with another content, is kept, in the
            same folder. It is complete at any time, too, and lies there for good before the
            new file does. A backup that cannot be kept does not stop the writing.
        mode: permissions of the file; None for those of the older file or, for a new one,
            what the umask says.
    """
    target = _target(path)
    _clear_abandoned(target.parent)
    older = target.stat() if target.exists() else None
    temporary = _fresh(target)
    trouble = None
    try:
        if mode is not None:
            _fill(temporary, content, mode=mode)
        elif older is None:
            _fill(temporary, content, mode=_ANYBODY)
        else:
            _fill(temporary, content, like=target)
        if older is not None and backup is not None:
            try:
                _keep(target, backup, content)
            except OSError as error:
                trouble = error
        temporary.replace(target)
    finally:
        with suppress(OSError):
            temporary.unlink()
    _settle(target.parent)
    return trouble


def check_place(path: Path) -> None:
    """Find out before a long work whether its file can be written there; nothing stays behind.

    Where it cannot, that is an OSError or a ValueError.
    """
    target = _target(path)
    temporary = _fresh(target)
    try:
        _fill(temporary, b" ")
    finally:
        with suppress(OSError):
            temporary.unlink()


def beside(target: Path, before: str, after: str, *, spare: int = 0) -> Path:
    """The name of what goes with a file: in its folder, its name between `before` and `after`.

    A name that would be too long there is cut, and a digest of all of it put in: the same file
    has the same one each time, and another file another.

    Args:
        target: the file itself, no link to it.
        before: what the name begins with.
        after: what it ends with.
        spare: how much shorter than the longest name it must be.
    """
    most = _longest_name(target.parent) - spare
    name = f"{before}{target.name}{after}"
    if _length(name) > most:
        digest = _digest(target.name)
        kept = target.name[:most]
        while kept and _length(name := f"{before}{kept}-{digest}{after}") > most:
            kept = kept[:-1]
    return target.parent / name


def _digest(text: str) -> str:
    """FNV-1a with 64 bits: to load a library while a disk fails would fail too."""
    found = 0xCBF29CE484222325
    for byte in text.encode(errors="surrogatepass"):
        found = (found ^ byte) * 0x100000001B3 & 0xFFFFFFFFFFFFFFFF
    return f"{found:016x}"


def led_to(path: Path) -> Path:
    """The file to which a path leads through all links, whether it is there or not.

    An OSError or ValueError where that cannot be told: to guess could put a file in a link's place.
    """
    # Some drives of Windows do not tell the way to files that are there.
    if os.name != "nt":
        with suppress(FileNotFoundError, NotADirectoryError):
            return Path(os.path.realpath(path, strict=True))
    return Path(os.path.realpath(path))


def close_to_others(folder: Path, names: str) -> None:
    """Take the files in a folder away from all but their owner, as far as that can be done.

    Args:
        folder: where they lie; it need not be there.
        names: a pattern of their names, as `Path.glob` reads it.
    """
    with suppress(OSError):
        for path in folder.glob(names):
            with suppress(OSError):
                status = path.lstat()
                if stat.S_ISREG(status.st_mode) and stat.S_IMODE(status.st_mode) & 0o077:
                    path.chmod(stat.S_IMODE(status.st_mode) & 0o700)


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


class RefusedPlaceError(OSError):
    """Where no file can be written; `reason` tells why, as the end of a sentence."""

    def __init__(self, number: int, reason: Template) -> None:
        super().__init__(number, reason)
        self.reason = reason


def reason_of(error: OSError | ValueError) -> Sentence:
    """Why a file could not be read or written, as the end of a sentence; ours are translated."""
    if isinstance(error, RefusedPlaceError):
        return Sentence(error.reason)
    told = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return typed(told[:1].lower() + told[1:])


def _target(path: Path) -> Path:
    """The file that is really replaced."""
    target = led_to(path)
    if target.is_dir():
        raise RefusedPlaceError(errno.EISDIR, mark("it is a folder"))
    if target.exists() and not target.is_file():
        raise RefusedPlaceError(errno.EINVAL, mark("it is not an ordinary file"))
    if target.exists() and not os.access(target, os.W_OK):
        raise RefusedPlaceError(errno.EACCES, mark("it is write-protected"))
    if not target.parent.is_dir():
        raise RefusedPlaceError(errno.ENOENT, mark("its folder does not exist"))
    return target


def _folded(path: Path) -> str:
    """Where a name leads through all links, spelt as the least exact of disks spells it."""
    return unicodedata.normalize("NFC", os.path.realpath(path)).casefold()


def _longest_name(folder: Path) -> int:
    """How long a name may be in a folder, as `_length` counts."""
    if os.name == "nt":
        return _USUAL_LONGEST
    try:
        return os.pathconf(folder, "PC_NAME_MAX")
    except (OSError, ValueError):
        return _USUAL_LONGEST


def _length(name: str) -> int:
    """How long a name is to the system: in bytes, on Windows in units of UTF-16."""
    if os.name == "nt":
        return len(name.encode("utf-16-le", errors="surrogatepass")) // 2
    return len(name.encode(errors="surrogatepass"))


def _fresh(target: Path) -> Path:
    """A new name in the same folder, because only there is the last step one step."""
    return target.with_name(f"{_MARK}{os.urandom(6).hex()}{_ENDING}")


def _fill(
    temporary: Path, content: bytes, *, mode: int = PRIVATE, like: Path | None = None
) -> None:
    """Write a new file and wait until it lies on the disk.

    Its permissions are `mode`, less what the umask takes away; it gets the readers of the file
    `like`, once it is written.
    """

    def create(name: str, flags: int) -> int:
        return os.open(name, flags, mode)

    with open(temporary, "xb", opener=create) as file:
        file.write(content)
        file.flush()
        if like is not None:
            _share_like(file.fileno(), like)
        os.fsync(file.fileno())


def _share_like(opened: int, like: Path) -> None:
    """Let those read and write an open file who may do so with another one, and nobody else.

    Its owner and group are kept where the system allows that; where it does not, the group
    that it gets instead may do what all others may.
    """
    if os.name == "nt":
        return  # a file there takes after its folder
    pattern = like.stat()
    mode = stat.S_IMODE(pattern.st_mode) & 0o777
    if not _give(opened, pattern.st_uid, pattern.st_gid) and not _give(opened, -1, pattern.st_gid):
        mode = mode & ~0o070 | (mode & 0o007) << 3
    # What cannot be set stays as it was made: for its owner alone.
    with suppress(OSError):
        _copy_access_list(opened, like)
        os.fchmod(opened, mode)


def _give(opened: int, owner: int, group: int) -> bool:
    try:
        os.fchown(opened, owner, group)
    except OSError:
        return False
    return True


def _copy_access_list(opened: int, like: Path) -> None:
    """The same list of further readers, or none, as the other file has."""
    if not hasattr(os, "getxattr"):
        return
    try:
        listed = os.getxattr(like, _ACCESS_LIST)
    except OSError as error:
        if error.errno == errno.ENODATA:  # then not one that the folder gives, either
            _drop_access_list(opened)
        return  # or a disk that keeps no such lists
    os.setxattr(opened, _ACCESS_LIST, listed)


def _drop_access_list(opened: int) -> None:
    try:
        os.removexattr(opened, _ACCESS_LIST)
    except OSError as error:
        if error.errno != errno.ENODATA:
            raise


def _keep(target: Path, backup: Path, content: bytes) -> None:
    """Put the older file under the backup's name, in one step too."""
    if target.stat().st_size == len(content) and target.read_bytes() == content:
        return  # the backup would no longer hold an earlier state
    temporary = _fresh(backup)
    try:
        try:
            # A second name for the same file: nothing is copied, nothing can be half there.
            os.link(target, temporary)
        except OSError:  # a disk without such links
            _fill(temporary, target.read_bytes(), like=target)
        temporary.replace(backup)
    finally:
        with suppress(OSError):
            temporary.unlink()
    # A power cut must not leave the new file without it.
    _settle(backup.parent)


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
