"""Where a command's bag comes from and where its files go: names, and `-` for standard streams."""

import os
import signal
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from types import FrameType
from typing import Final

from app.cli.answer import DONE, Answer, say_if_done, usage_error
from app.cli.report import show_in
from core.base.atomic_write import check_place, is_same_file, reason_of, write_whole
from core.base.errors import CommandError
from core.base.sanitize import on_one_title
from core.base.sentences import mark, say
from core.storage.bag_file import Reading
from core.storage.bag_files import (
    SAMPLES,
    backup_of,
    demo_bag,
    read_file,
    reading_from_stream,
    sample,
)
from core.storage.project import Project

STANDARD: Final = "-"
"""Standard input or output in place of a file (POSIX Utility Syntax Guideline 13); a file that
is called so is ./-"""
PDF: Final = ".pdf"


def project_named(files: Sequence[str]) -> Project:
    """What the one bag file holds, or standard input; the demo bag where none is named.

    A sample goes by its name, unless a file has it.

    A CommandError says that several are named, one of no signs, or a standard input that is
    closed; a BagFileError, that it is no bag file.
    """
    if len(files) > 1:
        raise usage_error("Give one bag file, not {count}.", count=str(len(files)))
    if not files:
        return Project(bag=demo_bag())
    (file,) = files
    if not file:  # a path of no signs would be the present folder
        raise usage_error(
            "The name of the bag file is empty: give a name, or leave it out for the demo bag."
        )
    if file in SAMPLES and not Path(file).exists():
        return Project(bag=sample(file))
    if file != STANDARD:
        return _told(read_file(Path(file)))
    if sys.stdin is None:
        raise usage_error("No bag can be read: standard input is closed.")
    return _told(reading_from_stream(sys.stdin.buffer, source=mark("standard input")))


def _told(reading: Reading) -> Project:
    """What was read; what was not taken as it stands there is told beside the answer."""
    if reading.remark is not None:
        say_if_done(reading.remark.text(show_in(reading.project.bag.unit)))
    return reading.project


def bag_paths(files: Sequence[str]) -> list[Path]:
    """The files that are named as bags, without standard input."""
    return [Path(file) for file in files if file != STANDARD]


@dataclass(frozen=True, slots=True)
class Destination:
    """Where a command writes one file; `name` is as it was typed."""

    name: str

    @property
    def path(self) -> Path | None:
        """None for standard output."""
        return None if self.name == STANDARD else Path(self.name)

    def write(self, content: bytes) -> None:
        """Write the file, whole or not at all; a CommandError says why it cannot be."""
        try:
            with interruptions_held():
                write_whole(Path(self.name), content)
        except (OSError, ValueError) as error:
            raise _unwritable(self.name, error) from error


def place_to_write(out: str, *, endings: tuple[str, ...] = (), replaces: bool) -> Destination:
    """Where a command's file goes; says before any work is done that it cannot be.

    A CommandError says that the name is empty or its ending another, that a file lies there,
    that it is goods that are kept, or that none can be written.

    Args:
        out: the name as typed.
        endings: those that the name may have, such as `.pdf`; any without. Standard output
            takes the first.
        replaces: a file that lies there may be written over. An empty one always may: it
            holds nothing, and is what scripts make to have a name.
    """
    if not out:
        raise usage_error("The name of the file to write is empty: give one.")
    if out == STANDARD:
        _check_output(endings[:1])
        return Destination(out)
    if out.endswith(("/", os.sep)):
        raise usage_error("{file} names a folder: give the file in it a name.", file=out)
    path = Path(out)
    if endings and path.suffix.lower() not in endings:
        allowed = " or ".join(endings)
        raise usage_error(
            "{file}: the file to write must end in {allowed}.", file=out, allowed=allowed
        )
    try:
        with interruptions_held():
            check_place(path)
        is_in_use = path.exists() and path.stat().st_size > 0
        is_library = is_in_use and replaces and _is_library(path)
    except (OSError, ValueError) as error:
        raise _unwritable(out, error) from error
    if is_library:
        raise usage_error("{file} holds the materials library: give another name.", file=out)
    if is_in_use and not replaces:
        raise usage_error(
            "{file} already exists: give another name, or add --replace to write over it.", file=out
        )
    return Destination(out)


def refuse_clashes(
    places: Sequence[Destination],
    files: Sequence[str],
    *,
    prints: bool = False,
    may_be_bag: bool = False,
) -> None:
    """Keep a file from being written over another one, its bag, or what was kept of the bag.

    A CommandError says that two of them are one file, by whatever names and links.

    Args:
        places: of all files that the command writes.
        files: the bag file, if one is named.
        prints: whether standard output is taken by JSON that was asked for besides.
        may_be_bag: the command makes a bag, and may put it in its old place.
    """
    if prints and any(place.path is None for place in places):
        raise usage_error("Standard output takes --json or a file, not both: give the file a name.")
    for one, other in combinations(places, 2):
        if one.path is None and other.path is None:
            raise usage_error("Only one file can go to standard output: give the others names.")
        if one.path and other.path and is_same_file(one.path, other.path):
            raise usage_error(
                "{one} and {other} are the same file: give two names.",
                one=one.name,
                other=other.name,
            )
    bags = bag_paths(files)
    for place in places:
        if place.path is None:
            continue
        if not may_be_bag and any(is_same_file(place.path, bag) for bag in bags):
            raise usage_error("{file} is the bag file itself: give another name.", file=place.name)
        if any(is_same_file(place.path, backup_of(bag)) for bag in bags):
            raise usage_error(
                "{file} is the bag file’s backup: give another name.", file=place.name
            )


def written(
    outputs: Sequence[tuple[Destination, bytes]], told: str = "", *, names_them: bool = True
) -> Answer:
    """Write the files, and answer with what is told and where they lie.

    The one for standard output is all of the answer: who reads it wants no word besides.

    Args:
        outputs: each file's place and content.
        told: what there is to tell, besides or alone.
        names_them: whether the files are named after it.
    """
    content: bytes | None = None
    saved = [told] if told else []
    for place, each in outputs:
        if place.path is None:
            content = each
            continue
        place.write(each)
        if names_them:
            saved.append(saved_text(place))
    return Answer("\n\n".join(saved) if content is None else content, DONE)


def saved_text(place: Destination) -> str:
    """What a command says of a file that it has written."""
    return say("Saved {file}.", words={"file": on_one_title(place.name)}).text()


@contextmanager
def interruptions_held() -> Iterator[None]:
    """Let an interruption, or being asked to end, wait for the file that is being written.

    Only for the main thread, where alone Python hears of signals.
    """
    names = ("SIGINT", "SIGTERM", "SIGHUP")
    numbers = [getattr(signal, name) for name in names if hasattr(signal, name)]
    # None is a handler that somebody's C has set: Python could not give it back.
    numbers = [number for number in numbers if signal.getsignal(number) is not None]
    held: list[int] = []

    def hold(number: int, _frame: FrameType | None) -> None:
        held.append(number)

    before = {number: signal.signal(number, hold) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        for number in held:
            signal.raise_signal(number)


def _check_output(kind: tuple[str, ...]) -> None:
    if sys.stdout is None:
        raise usage_error("The answer cannot be written: standard output is closed.")
    if kind == (PDF,) and sys.stdout.isatty():
        raise usage_error(
            "A PDF cannot be shown in a terminal: give a file, or add > and a file’s name."
        )


def _is_library(path: Path) -> bool:
    from core.storage.goods_library import LONGEST_HEAD, begins_library

    with path.open("rb") as file:
        return begins_library(file.read(LONGEST_HEAD))


def _unwritable(name: str, error: OSError | ValueError) -> CommandError:
    return usage_error("{file} cannot be written: {reason}.", file=name, reason=reason_of(error))
