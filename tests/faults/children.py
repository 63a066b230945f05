"""Programs that the faults are tried on: run in processes of their own, as `-m`."""

import json
import os
import resource
import signal
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from core.bag.bag import with_figures
from core.base.errors import BagFileError
from core.storage.bag_file import project_to_json
from core.storage.bag_files import backup_of, demo_bag, write_project
from core.storage.project import Project
from tests.faults.mutations import Mutator
from tests.faults.plain_files import judge
from tests.faults.plain_files import read as read_plainly
from tests.faults.stepping import carry_out
from tests.helpers import project_from_json

VARIANTS = 40


def two_projects() -> tuple[Project, Project]:
    """A large project and another one, so that a save takes its time."""
    bag = demo_bag()
    one = Project(bag=bag)
    for number in range(VARIANTS):
        wider = with_figures(bag, {"panel_width": 480.0 + number})
        one = one.with_variant(f"variant {number}", wider)
    return one, one.without_variant("variant 3")


def save_for_ever(path: Path) -> None:
    """Save one project and the other by turns, until killed."""
    one, other = two_projects()
    while True:
        write_project(one, path)
        write_project(other, path)


def nursery(path: Path) -> None:
    """For each line read, a number of microseconds: fork a saver, kill -9 it after that time.

    Answers each with what lies in file and backup: `one`, `other`, `none`, or `BROKEN`.
    """
    whole = {
        project_to_json(project).encode(): name
        for project, name in zip(two_projects(), ("one", "other"), strict=True)
    }

    def state(file: Path) -> str:
        return whole.get(file.read_bytes(), "BROKEN") if file.exists() else "none"

    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            save_for_ever(path)
        time.sleep(int(line) / 1e6)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        print(state(path), state(backup_of(path)), flush=True)


def saver() -> None:
    """For each line read, an `Order`, save so in a process of its own; answers how it went."""
    for line in sys.stdin:
        print(json.dumps(carry_out(json.loads(line))), flush=True)


def save_within(path: Path, room: int) -> None:
    """Save when no file may grow beyond so many bytes, as on a disk that is full."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    _, other = two_projects()
    hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
    for limit in range(room):
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit * 997, hard))
        _tell(lambda: write_project(other, path))


def save_once(*paths: Path) -> None:
    """Save the second project to each."""
    _, other = two_projects()
    for path in paths:
        _tell(partial(write_project, other, path))


def _tell(save: Callable[[], object]) -> None:
    try:
        save()
    except BagFileError as error:
        print(f"refused: {error}", flush=True)
    else:
        print("saved", flush=True)


def mutate(count: int, seed: int) -> None:
    """Read so many damaged files, each a second time by the plain reading, which must agree.

    Tells how many were read and refused, time and memory of the program's own reading.
    """
    mutator = Mutator(seed)
    read_plainly(mutator.text())  # what it takes from the start on is not the program's
    before = _most_memory()
    read = refused = 0
    slowest, slowest_text = 0.0, b""
    told: set[str] = set()
    for number in range(count):
        text = mutator.text()
        outcome: Project | BagFileError
        written = ""
        begun = time.process_time()
        try:
            outcome = project_from_json(text, source="mine.json")
            written = project_to_json(outcome)
            read += 1
        except BagFileError as error:
            outcome = error
            refused += 1
            told.add(error.sentence.template)
            sentence = str(error)
            if not sentence.startswith("mine.json") or not sentence.endswith("."):
                raise AssertionError(sentence) from error
            if len(sentence.splitlines()) != 1 or len(sentence) > 1000:
                raise AssertionError(sentence) from error
        taken = time.process_time() - begun
        if taken > slowest:
            slowest, slowest_text = taken, text
        try:
            judge(text, outcome)
            if isinstance(outcome, Project):
                judge(written.encode(), outcome)
        except AssertionError as error:
            raise AssertionError(f"file {number} of seed {seed}: {text[:20_000]!r}") from error
    print(read, refused, len(told), slowest, _most_memory() - before, len(slowest_text))


def read_file(path: Path) -> None:
    """Read one file, and judge it by the plain reading; tells what was said, seconds and MB."""
    from core.storage.bag_files import read_project

    before = _most_memory()
    outcome: Project | BagFileError
    begun = time.process_time()
    try:
        outcome = read_project(path)
        said = "read"
    except BagFileError as error:
        outcome = error
        said = str(error)
    print(f"{time.process_time() - begun:.4f} {_most_memory() - before:.1f} {said}")
    judge(path.read_bytes(), outcome)


def _most_memory() -> float:
    """The most memory held so far, MB."""
    status = Path("/proc/self/status")
    if status.exists():  # the other way counts what the process that started this one held
        (line,) = [each for each in status.read_text().splitlines() if each.startswith("VmHWM")]
        return int(line.split()[1]) / 1024.0
    held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return held / (1048576.0 if sys.platform == "darwin" else 1024.0)


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["saver"]:
            saver()
        case ["nursery", path]:
            nursery(Path(path))
        case ["save_within", path, room]:
            save_within(Path(path), int(room))
        case ["save_once", *paths]:
            save_once(*map(Path, paths))
        case ["mutate", count, seed]:
            mutate(int(count), int(seed))
        case ["read", path]:
            read_file(Path(path))
