"""A save taken call by call: stopped there, failed there, or watched; and what a power cut leaves.

Every function of C that the save calls, itself or through the library, is a stage: no call that
somebody adds to the writer can be forgotten. A stage is told apart by the number of calls before
it, which is the same in each save of the same files.
"""

import errno
import json
import os
import resource
import signal
import stat
import sys
import traceback
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product
from pathlib import Path
from types import FrameType
from typing import Any, TypedDict

from core.bag.bag import with_figures
from core.base.errors import BagFileError
from core.storage import bag_files
from core.storage.bag_file import project_to_json
from core.storage.bag_files import sample, write_project
from core.storage.project import Project

LOST = "lost"
"""The content of a file whose bytes were not waited for: whatever the disk had there before."""
NONE = "none"
"""The content of a name that leads to no file."""


@cache
def states() -> dict[str, Project]:
    """Three states of a bag, the earliest first, each with a shorter file than the one before.

    The newest is short enough for Python to hold it back until it is told not to.
    """
    found = {}
    for number, name in enumerate(("older", "old", "new")):
        bag = with_figures(sample("tote"), {"panel_width": 480.0 + number})
        project = Project(bag=bag)
        for variant in range(4 - 2 * number):
            project = project.with_variant(f"variant {variant}", bag)
        found[name] = project
    return found


@cache
def texts() -> dict[bytes, str]:
    """The files of those states, and their names."""
    return {project_to_json(project).encode(): name for name, project in states().items()}


# --- In the process that saves --------------------------------------------------------------------


class Order(TypedDict):
    """What is done with one save.

    Attributes:
        do: `watch` all of it, `kill` it or have a call `fail` at a stage, or `tear` its writes.
        at: number of the stage, from 1; to tear, the size that no file may exceed, bytes.
        every: whether each call is a stage, or only those that may reach the disk.
        path: where the bag is saved.
        root: the folder in which everything happens.
        links: whether the disk has hard links.
    """

    do: str
    at: int
    every: bool
    path: str
    root: str
    links: bool


class Seen(TypedDict):
    """A file at one moment.

    Attributes:
        inode: its number.
        mode: its permissions.
        holds: which state, or how many bytes of something else.
    """

    inode: int
    mode: int
    holds: str


class Moment(TypedDict):
    """Just before a stage.

    Attributes:
        call: what is about to be called.
        is_disk: whether that may reach the disk.
        files: each name below the root, and the file that it leads to.
        synced: numbers of the inodes that were waited for since the moment before.
    """

    call: str
    is_disk: bool
    files: dict[str, Seen]
    synced: list[int]


class Outcome(TypedDict):
    """How a save went.

    Attributes:
        said: what was told; None if it did not come to its end.
        signal: by which it was killed, or 0.
        call: the one at the stage that was asked for; None if there is none.
        moments: all of them, and one after the end, if it was watched.
        written: every path that was opened to be written.
    """

    said: str | None
    signal: int
    call: str | None
    moments: list[Moment]
    written: list[str]


def carry_out(order: Order) -> Outcome:
    """Save in a process of its own, as the order says."""
    text = project_to_json(states()["new"])
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        # What is written is known beforehand: only the writing is stepped through.
        bag_files.project_to_json = lambda _project: text  # type: ignore[attr-defined]
        try:
            _save(order, write)
        except BaseException:
            traceback.print_exc()
            raise
        finally:
            os._exit(1)
    os.close(write)
    with os.fdopen(read, "rb") as told:
        parts = [json.loads(part) for part in told.read().splitlines()]
    ended = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    outcome = Outcome(said=None, signal=max(-ended, 0), call=None, moments=[], written=[])
    for part in parts:
        outcome.update(part)
    return outcome


def _save(order: Order, out: int) -> None:
    def tell(part: Mapping[str, object]) -> None:
        os.write(out, json.dumps(part).encode() + b"\n")

    moments: list[Moment] = []
    written: list[str] = []
    os.umask(0)
    if not order["links"]:
        os.link = _refuse_link
    match order["do"]:
        case "watch":
            step = _Watcher(Path(order["root"]), moments).see
            sys.addaudithook(_note_into(written))
        case "kill":
            step = _at(order, tell, lambda: os.kill(os.getpid(), signal.SIGKILL))
        case "fail":
            step = _at(order, tell, _fail)
        case _:
            step = lambda _called: None  # noqa: E731 - a step that does nothing
            _tear_at(order["at"])

    def look(_frame: FrameType, event: str, called: Any) -> None:
        if event == "c_call":
            step(called)

    path, project = Path(order["path"]), states()["new"]
    sys.setprofile(look)
    try:
        lost = write_project(project, path)
    except BagFileError as error:
        said = f"refused: {error}"
    else:
        said = "saved" if lost is None else f"saved: {lost.text()}"
    finally:
        sys.setprofile(None)
    if order["do"] == "watch":
        step(None)
    tell({"said": said, "moments": moments, "written": written})
    os._exit(0)


def _at(order: Order, tell: Callable[[Mapping[str, object]], None], act: Callable[[], None]) -> Any:
    """A step that does something at the stage that was asked for."""
    count = 0

    def step(called: Any) -> None:
        nonlocal count
        count += order["every"] or is_disk_call(called)
        if count == order["at"]:
            count += 1
            tell({"call": called.__name__})
            act()

    return step


def _fail() -> None:
    sys.setprofile(None)
    raise OSError(errno.EIO, os.strerror(errno.EIO))


def _tear_at(size: int) -> None:
    """Die in the middle of the first write that would make a file larger."""
    signal.signal(signal.SIGXFSZ, signal.SIG_DFL)
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))


def _refuse_link(*_: object) -> None:
    raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))


def _note_into(written: list[str]) -> Callable[[str, tuple[Any, ...]], None]:
    def hook(event: str, given: tuple[Any, ...]) -> None:
        if event == "open" and given[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
            written.append(os.fsdecode(given[0]))

    return hook


class _Watcher:
    """Looks at all files below a folder at each stage, and sees which ones are waited for."""

    def __init__(self, root: Path, moments: list[Moment]) -> None:
        self._root = root
        self._known = texts()
        self._moments = moments
        self._synced: list[int] = []
        self._sync = os.fsync
        # Any other way to wait for the disk goes unnoticed, and so counts as none.
        os.fsync = self._note_sync

    def see(self, called: Any) -> None:
        """Note what is there; `called` is None at the end."""
        call = "" if called is None else called.__name__
        seen = {
            str(path.relative_to(self._root)): self._seen(path)
            for path in sorted(self._root.rglob("*"))
            if not path.is_dir()
        }
        self._moments.append(
            Moment(call=call, is_disk=is_disk_call(called), files=seen, synced=self._synced)
        )
        self._synced = []

    def _seen(self, path: Path) -> Seen:
        status = path.lstat()
        if path.is_symlink():
            holds = f"link to {path.readlink()}"
        else:
            content = path.read_bytes()
            holds = self._known.get(content, f"{len(content)} bytes")
        return Seen(inode=status.st_ino, mode=stat.S_IMODE(status.st_mode), holds=holds)

    def _note_sync(self, opened: int) -> None:
        self._sync(opened)
        self._synced.append(os.fstat(opened).st_ino)


def is_disk_call(called: Any) -> bool:
    """Whether a function of C is one of the system's, or of an open file."""
    if called is None or called.__name__ == "fspath":
        return False
    of_object = type(getattr(called, "__self__", None)).__module__
    return (called.__module__ or of_object) in ("posix", "io", "_io")


# --- What a power cut leaves ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _File:
    """One file, also where a later one gets its number again."""

    inode: int
    birth: int


class Disk:
    """What may lie on the disk if the power fails, as far as POSIX promises.

    A file holds for certain what it held when it was last waited for (fsync); if it was
    written since, anything. A name leads for certain to the file to which it led when its
    folder was last waited for; until that is done again, to any to which it led since, and
    each name for itself: the disk may put changes in another order.
    """

    def __init__(self, folders: Mapping[str, int], begin: Mapping[str, Seen]) -> None:
        """`folders`: path below the root and inode of each; `begin`: what lies there for good."""
        self._folders = {inode: folder for folder, inode in folders.items()}
        self._living: dict[int, _File] = {}
        self._holds: dict[_File, str] = {}
        self._certain: dict[_File, str] = {}
        self._leads: dict[str, set[_File | None]] = {}
        self._now: dict[str, _File] = {}
        self._births = 0
        self.see(begin)
        self._certain = dict(self._holds)
        self._leads = {name: {file} for name, file in self._now.items()}

    def see(self, seen: Mapping[str, Seen]) -> None:
        """The names and files as they are now to the programs that run."""
        living = {}
        for each in seen.values():
            file = self._living.get(each["inode"])
            if file is None:
                self._births += 1
                file = _File(each["inode"], self._births)
            living[each["inode"]] = file
            self._holds[file] = each["holds"]
        self._living = living
        self._now = {name: living[each["inode"]] for name, each in seen.items()}
        for name in self._now.keys() - self._leads.keys():
            self._leads[name] = {None}
        for name, leads in self._leads.items():
            leads.add(self._now.get(name))

    def sync(self, inode: int) -> None:
        """A file or a folder was waited for."""
        if inode in self._folders:
            for name in self._leads:
                if str(Path(name).parent) == self._folders[inode]:
                    self._leads[name] = {self._now.get(name)}
        else:
            file = self._living[inode]
            self._certain[file] = self._holds[file]

    def may_hold(self, name: str) -> set[str]:
        """What a file of this name may hold after a power cut."""
        found = set()
        for file in self._leads.get(name, {None}):
            if file is None:
                found.add(NONE)
            else:
                held = self._holds[file]
                found.add(held if self._certain.get(file) == held else LOST)
        return found


def power_cuts(
    moments: Sequence[Moment], folders: Mapping[str, int], names: Sequence[str]
) -> list[set[tuple[str, ...]]]:
    """What files of these names may hold if the power fails at each moment, all together."""
    disk = Disk(folders, moments[0]["files"])
    found = []
    for moment in moments:
        disk.see(moment["files"])
        for inode in moment["synced"]:
            disk.sync(inode)
        found.append(set(product(*(disk.may_hold(name) for name in names))))
    return found
