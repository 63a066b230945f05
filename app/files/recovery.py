"""Keeping a window's bag safe: recovery copies on the disk, and offering those left over.

A copy is one file in the platform's own folder, with a lock beside it that only a living
window holds. A copy whose lock nobody holds was left by a program that did not end well.
"""

import logging
import os
import time
from collections.abc import Callable, Iterable
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import msgspec
from PySide6.QtCore import QObject

from app.files.watch import LockResult, ProcessLock, is_ordinary
from app.session.display import tr, translated
from app.session.session import RecoveryChoice
from app.widgets.figure_box import finish_typing
from core.base.atomic_write import close_to_others, reason_of
from core.base.errors import CornerwrightError
from core.base.sanitize import decoded, encoded, is_text
from core.storage.bag_file import MOST_BYTES, VERSION, project_to_json, reading_from_json
from core.storage.project import Project

if TYPE_CHECKING:
    from app.window.main_window import MainWindow

FORMAT: Final = "cornerwright recovery 1"
KIND: Final = "cornerwright recovery "
OWN_NAME: Final = "[0-9a-f]" * 16
"""What copies are called before the ending, as a pattern: no other file there is touched."""
END_OF_TIME: Final = 32_503_680_000.0
"""The year 3000, in seconds since 1970: a copy is no later than that."""

_UNREADABLE: Final = (ValueError, msgspec.MsgspecError, RecursionError)
"""What the decoder raises of JSON that is spoilt, of another shape, or nested without end."""

_log = logging.getLogger("cornerwright")


class CopyRecord(msgspec.Struct, kw_only=True):
    """A recovery copy as it lies on the disk.

    Attributes:
        path: the file that the bag was read from or saved to last; None where it has none, or
            one whose name is not UTF-8.
        path_bytes: such a name, as `core.base.sanitize.encoded` writes it.
        seen: digest of what that file held.
        at: seconds since 1970; whatever else it is counts as not told.
        project: the bag file's text, as saving would have written it.
    """

    format: str
    path: str | None
    path_bytes: str | None = None
    seen: str | None
    at: Any = None
    project: str

    @classmethod
    def of(cls, project: Project, path: Path | None, seen: str | None) -> "CopyRecord":
        """The copy of a project as it is now.

        BagFileError: a name in it cannot be written; OSError: a relative path, and the present
        folder is gone.
        """
        told = None if path is None else str(path.absolute())
        path_bytes = None if told is None or is_text(told) else encoded(told)
        return cls(
            format=FORMAT,
            path=told if path_bytes is None else None,
            path_bytes=path_bytes,
            seen=seen,
            at=time.time(),
            project=project_to_json(project),
        )

    @property
    def file(self) -> Path | None:
        """The bag's file, by exactly the name that it has."""
        if self.path_bytes is not None:
            return Path(decoded(self.path_bytes))
        return None if self.path is None else Path(self.path)


class RecoveredCopy:
    """A copy that a program that ended badly left; held so that no other window takes it.

    Attributes:
        project: what was on the table.
        path: its file, if it had one.
        remark: what was not taken as the copy has it; None where everything was.
        seen: digest of what was last read from that file or written to it.
        at: when the copy was written.
    """

    def __init__(self, copy: Path, lock: ProcessLock, record: CopyRecord) -> None:
        """`lock` is taken, where one can be.

        CornerwrightError, ValueError: the copy holds no bag; OSError: it went meanwhile.
        """
        # It is told to the maker, who knows the bag's file and not the copy's.
        named = record.file.name if record.file is not None else copy.name
        reading = reading_from_json(record.project, source=named)
        self.project: Project = reading.project
        self.remark = reading.remark
        self.path = record.file
        self.seen = record.seen
        self.at = _moment(record.at, copy)
        self._copy = copy
        self._lock = lock

    def forget(self) -> None:
        remove_copy(self._copy)
        self._lock.free()

    def leave(self) -> None:
        self._lock.free()


def left_overs(folder: Path, tell: Callable[[str], None] | None = None) -> list[RecoveredCopy]:
    """Every bag in the folder whose copy no living window holds, the newest first.

    Who was ended while recovering a bag left it twice: it is found once. A copy that holds no
    bag is put aside as `.unreadable`, so that it is told once. One that is of a newer version,
    or that the disk does not give, stays where it is.

    Args:
        folder: where the copies lie.
        tell: is given a sentence about each copy that cannot be used.
    """
    found: list[RecoveredCopy] = []
    close_to_others(folder, f"{OWN_NAME}.*")  # an earlier program left them to the umask
    for copy in _in(folder, f"{OWN_NAME}.json"):
        # A pipe of that name could keep us waiting for ever.
        if not is_ordinary(copy):
            continue
        lock = lock_of(copy)
        if lock.take() is LockResult.HELD:
            continue
        left_over = _left_over(copy, lock, tell or _log.error)
        if left_over is None:
            lock.free()
        else:
            found.append(left_over)
    _free_locks(folder)
    return _without_doubles(sorted(found, key=lambda each: each.at, reverse=True))


def lock_of(copy: Path) -> ProcessLock:
    """The lock beside a copy."""
    return ProcessLock(copy.with_suffix(".lock"))


def remove_copy(copy: Path) -> None:
    """Take a copy away, if it is there and can be."""
    with suppress(OSError):
        copy.unlink()


def _in(folder: Path, names: str) -> list[Path]:
    """What lies in the folder under such names; nothing where it cannot be entered."""
    try:
        return sorted(folder.glob(names))
    except OSError:  # keeping a copy there will fail, and tell why
        return []


def _without_doubles(found: list[RecoveredCopy]) -> list[RecoveredCopy]:
    """The first of those that hold the same bag of the same file; the others go."""
    kept: list[RecoveredCopy] = []
    for each in found:
        if any(each.project == other.project and each.path == other.path for other in kept):
            each.forget()
        else:
            kept.append(each)
    return kept


def _free_locks(folder: Path) -> None:
    """Take away the locks of windows that were killed while they had no copy."""
    for path in _in(folder, f"{OWN_NAME}.lock"):
        copy = path.with_suffix(".json")
        lock = lock_of(copy)
        if not os.path.lexists(copy) and lock.take() is LockResult.TAKEN:
            lock.free()


def _left_over(copy: Path, lock: ProcessLock, tell: Callable[[str], None]) -> RecoveredCopy | None:
    """What a copy holds; None, with the reason told, where it cannot be used."""
    try:
        content = _content(copy)
    except FileNotFoundError:  # another window was quicker
        return None
    except OSError as error:
        told = tr("The recovery copy {place} of an unsaved bag cannot be read: {reason}.")
        tell(told.format(place=copy, reason=reason_of(error).text(translate=translated)))
        return None
    try:
        return RecoveredCopy(copy, lock, _record(content))
    except (*_UNREADABLE, OSError, CornerwrightError) as error:
        if _is_newer(content):
            told = tr(
                "The recovery copy {place} of an unsaved bag was written by a newer version of "
                "the program: start that one to recover the bag."
            )
            tell(told.format(place=copy))
            return None
        _log.error("recovery copy %s cannot be used: %s", copy.name, error)
        told = tr(
            "A bag was not saved when the program ended, and its recovery copy is damaged. What "
            "is left of it is kept as {place}."
        )
        tell(told.format(place=_put_aside(copy)))
        return None


def _content(copy: Path) -> bytes:
    # In the copy's JSON the bag file's text takes more than in its own file, at most sixfold.
    with copy.open("rb") as file:
        return file.read(8 * MOST_BYTES)


def _record(content: bytes) -> CopyRecord:
    record = msgspec.json.decode(content, type=CopyRecord)
    if record.format != FORMAT:
        raise ValueError("it is of another format")
    return record


def _is_newer(content: bytes) -> bool:
    """Whether a copy, or the bag in it, is of a version that is still to come."""
    try:
        copy: Any = msgspec.json.decode(content)
        form = str(copy["format"])
        if form.startswith(KIND) and form != FORMAT:
            return int(form.removeprefix(KIND)) > 1
        version = msgspec.json.decode(copy["project"])["version"]
    except (*_UNREADABLE, TypeError, KeyError):
        return False
    return form == FORMAT and isinstance(version, int) and version > VERSION


def _put_aside(copy: Path) -> Path:
    """Give a damaged copy another ending, so that it is told once; where it lies then."""
    aside = copy.with_suffix(".unreadable")
    try:
        return copy.replace(aside)
    except OSError:
        return copy


def _moment(at: object, copy: Path) -> datetime:
    """When a copy was written: as it says itself, or else as the disk says."""
    if isinstance(at, int | float) and not isinstance(at, bool) and 0 < at < END_OF_TIME:
        return datetime.fromtimestamp(at)
    return datetime.fromtimestamp(copy.stat().st_mtime)


class Recovery(QObject):
    """Keeps recovery copies of a window's bag until the window is closed."""

    def __init__(self, window: "MainWindow", folder: Path) -> None:
        from app.files.autosave import Autosave  # which writes what is read here

        super().__init__(window)
        self._window = window
        self._files, self._questions = window.files, window.session.questions
        self._folder = folder
        self.autosave = Autosave(window.document, folder, self)
        self.autosave.failed.connect(window.say)
        self.autosave.trouble_changed.connect(window.status_line.set_trouble)
        self._files.changed.connect(self._on_files_changed)
        window.closed.connect(self.autosave.close)

    def keep(self) -> bool:
        """Bring the copy up to date with what stands typed, too; whether it is."""
        try:
            finish_typing()
        finally:
            kept = self.autosave.write_now()
        return kept

    def leave(self) -> None:
        """The program ends: what is not saved is left to the next start."""
        self.autosave.leave()

    def begin(self, path: str | None) -> None:
        """Open the file named, or else the last one, and offer what an earlier run left."""
        if path is not None:
            self._files.open(Path(path))
        else:
            self._window.last_bag.show()
        troubles: list[str] = []
        self.offer(left_overs(self._folder, troubles.append))
        if troubles:
            self._questions.tell("\n\n".join(troubles))

    def offer(self, found: Iterable[RecoveredCopy]) -> None:
        """Ask about each what to do with it. Nothing goes before it is safe elsewhere."""
        for each in found:
            match self._questions.left_over(each.project.bag.name, each.path, each.at):
                case RecoveryChoice.RECOVER if self._recover(each):
                    each.forget()
                case RecoveryChoice.FORGET:
                    each.forget()
                case _:
                    each.leave()

    def _recover(self, left_over: RecoveredCopy) -> bool:
        """Show it; whether it has a copy of this window's own by now."""
        shown = self._files.recover(
            left_over.project, left_over.path, left_over.seen, left_over.remark
        )
        return shown and self.autosave.write_now()

    def _on_files_changed(self) -> None:
        self.autosave.set_seen(self._files.watch.seen)
