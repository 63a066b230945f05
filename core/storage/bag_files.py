"""Bag files on disk, and the bags that come with the program."""

import os
from itertools import islice
from pathlib import Path
from typing import BinaryIO, Final

from core.bag.bag import Bag
from core.base.atomic_write import beside, led_to, reason_of, write_whole
from core.base.errors import BagFileError, did_you_mean
from core.base.sanitize import printable
from core.base.sentences import Last, Listing, Sentence, say
from core.storage.bag_file import (
    MOST_BYTES,
    TOO_LARGE,
    Reading,
    file_error,
    project_to_json,
    reading_from_json,
)
from core.storage.project import Project
from resources import FOLDER

SAMPLES: Final = ("demo", "lunch", "tote", "boxed", "coolbox", "wrap", "jar")
"""Names of the bags that come with the program; the first is the demo bag."""

_MOST_BESIDE = 1000


def sample(name: str) -> Bag:
    """One of `SAMPLES`; a BagFileError says that none has that name."""
    if name not in SAMPLES:
        told = say(
            "There is no sample called {name}: it must be one of {names}.",
            words={"name": printable(name), "names": Listing(SAMPLES, Last.COMMA)},
        )
        raise BagFileError(did_you_mean(told, name, SAMPLES))
    file = f"{name}.json"
    text = (FOLDER / "samples" / file).read_bytes()
    return reading_from_json(text, source=file).project.bag


def demo_bag() -> Bag:
    """The bag that stands in where no bag file is named."""
    return sample(SAMPLES[0])


def read_project(path: Path) -> Project:
    """Read a bag file.

    A BagFileError says that it is not there, not a bag file of a version that we know, or that its
    bag cannot be; the sentence names the file and, where there is one, the field.
    """
    return read_file(path).project


def read_file(path: Path) -> Reading:
    """As `read_project`, with what there is to remark on how it was read."""
    return reading_from_json(_file_bytes(path), source=_file_name(path))


def reading_from_stream(stream: BinaryIO, *, source: str) -> Reading:
    """As `read_file`, out of a stream, to its end; `source` names it in messages."""
    try:
        text = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise file_error(
            "{file} cannot be read: {reason}.", file=source, reason=reason_of(error)
        ) from error
    return reading_from_json(text, source=source)


def write_project(project: Project, path: Path) -> Sentence | None:
    """Write a bag file, whole or not at all: a failure leaves an older file as it was.

    What the file held before is kept beside it, as told by `backup_of`. The answer is why that
    could not be kept; None where it was, or there was nothing to keep. A BagFileError says that
    the file cannot be written there.
    """
    name = _file_name(path)
    data = project_to_bytes(project, source=name)
    try:
        target = led_to(path)
        lost = write_whole(target, data, backup=backup_of(target))
    except (OSError, ValueError) as error:
        raise file_error(
            "{file} cannot be written: {reason}.", file=name, reason=reason_of(error)
        ) from error
    if lost is None:
        return None
    return say(
        "{file} was saved, but no backup of its earlier contents could be kept: {reason}.",
        words={"file": name},
        terms={"reason": reason_of(lost)},
    )


def project_to_bytes(project: Project, *, source: str) -> bytes:
    """A bag file's content; `source` names the file in messages.

    A BagFileError says that it would be larger than what is read, or as `project_to_json`.
    """
    data = project_to_json(project).encode()
    if len(data) > MOST_BYTES:
        raise file_error(TOO_LARGE, file=source)
    return data


def backup_of(path: Path) -> Path:
    """Where the version before the last saving lies: beside the file itself, `~` at its end.

    A name for which that is too long is cut, as told by `core.base.atomic_write.beside`.
    """
    return beside(Path(os.path.realpath(path)), "", "~")


def _file_bytes(path: Path) -> bytes:
    name = _file_name(path)
    try:
        if path.is_dir():
            raise file_error("{file} is a folder: choose a bag file.", file=name)
        # A pipe or a device could keep us waiting for ever.
        if path.exists() and not path.is_file():
            raise file_error("{file} is not an ordinary file.", file=name)
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except FileNotFoundError as error:
        told = say("There is no file {file}.", words={"file": name})
        raise BagFileError(_with_bags_beside(told, path)) from error
    except (OSError, ValueError) as error:
        raise file_error(
            "{file} cannot be read: {reason}.", file=name, reason=reason_of(error)
        ) from error


def _with_bags_beside(told: Sentence, path: Path) -> Sentence:
    """What is told of a name that is not there, and which bag files in its folder it may mean."""
    from difflib import get_close_matches  # only for who has erred

    try:
        with os.scandir(path.parent) as entries:
            bags = [Path(entry.name) for entry in islice(entries, _MOST_BESIDE)]
    except OSError:
        return told
    stems = {bag.stem.casefold(): bag.name for bag in bags if bag.suffix.lower() == ".json"}
    near = get_close_matches(path.stem.casefold(), stems, cutoff=0.8)
    return did_you_mean(told, path.name, [printable(stems[stem]) for stem in near])


def _file_name(path: Path) -> str:
    return printable(path.name or str(path))
