"""Saving under kill -9, power cuts and calls that fail: the file is the old or the new one."""

import json
import os
import random
import shutil
import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from core.storage.bag_file import project_to_json
from core.storage.bag_files import backup_of, read_project, write_project
from tests.faults.children import two_projects
from tests.faults.stepping import NONE, Order, Outcome, power_cuts, texts

ROOT = Path(__file__).parents[2]
pytestmark = pytest.mark.skipif(os.name == "nt", reason="signals and limits are of POSIX")


def child(*words: object) -> list[str]:
    return [sys.executable, "-m", "tests.faults.children", *map(str, words)]


def run(*words: object) -> list[str]:
    """What a child says, line by line."""
    done = subprocess.run(
        child(*words), cwd=ROOT, capture_output=True, text=True, timeout=7_200, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


# --- Stage by stage -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Case:
    """What lies there when a bag is saved as `new`.

    Attributes:
        name: what is told of it.
        before: what the bag's file holds; NONE where there is no file yet.
        backup: what the backup holds.
        links: whether the disk has hard links.
        through: a link to the file that is saved to, or another name of the file.
        long: whether the file's name is as long as a name may be.
    """

    name: str
    before: str = "old"
    backup: str = "older"
    links: bool = True
    through: str = ""
    long: bool = False

    @property
    def file(self) -> str:
        """Path of the bag's file below the root."""
        return f"bags/{'x' * 250 if self.long else 'mine'}.json"

    @property
    def kept(self) -> str:
        """Path of its backup."""
        return f"bags/{backup_of(Path('/') / self.file).name}"

    def lay(self, root: Path) -> None:
        """Make it so, with nothing else there."""
        shutil.rmtree(root, ignore_errors=True)
        for folder in FOLDERS:
            (root / folder).mkdir(parents=True)
        contents = {name: text for text, name in texts().items()}
        for path, holds in ((self.file, self.before), (self.kept, self.backup)):
            if holds != NONE:
                (root / path).write_bytes(contents[holds])
                (root / path).chmod(MODE)
        match self.through:
            case "link":
                (root / OTHER).symlink_to(root / self.file)
            case "name":
                (root / OTHER).hardlink_to(root / self.file)

    def saved_to(self, root: Path) -> Path:
        """The path that is saved to."""
        return root / (OTHER if self.through == "link" else self.file)

    def allows(self, file: str, backup: str) -> bool:
        """Whether this may be what file and backup hold, whenever the save is cut off.

        The file is the older or the new one; the backup, once there is one, stays one; and
        what the file held is never lost.
        """
        if file == "new":
            return self.is_done(file, backup)
        return file == self.before and backup in {self.backup, self.before}

    def is_done(self, file: str, backup: str) -> bool:
        """Whether this is what they must hold once the bag is told to be saved."""
        return file == "new" and backup == (self.backup if self.before == NONE else self.before)


FOLDERS = ("bags", "others", "tmp")
OTHER = "others/other.json"
MODE = 0o640
CASES = (
    Case("first", before=NONE, backup=NONE),
    Case("second", backup=NONE),
    Case("third"),
    Case("first again", before=NONE),
    Case("through a link", through="link"),
    Case("of a file with two names", through="name"),
    Case("second without links", backup=NONE, links=False),
    Case("third without links", links=False),
    Case("under the longest name", long=True),
)
every_case = pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)


class Saver:
    """A program that carries out orders, and the folder where it does."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self._program = subprocess.Popen(
            child("saver"),
            cwd=ROOT,
            env=os.environ | {"TMPDIR": str(root / "tmp"), "HOME": str(root / "others")},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            bufsize=1,
        )

    def do(self, case: Case, act: str, at: int = 0, *, every: bool = False) -> Outcome:
        """Lay the case out, and save into it."""
        case.lay(self.root)
        order = Order(
            do=act,
            at=at,
            every=every,
            path=str(case.saved_to(self.root)),
            root=str(self.root),
            links=case.links,
        )
        assert self._program.stdin is not None
        assert self._program.stdout is not None
        self._program.stdin.write(json.dumps(order) + "\n")
        outcome: Outcome = json.loads(self._program.stdout.readline())
        return outcome

    def check(self, case: Case, outcome: Outcome) -> tuple[str, str]:
        """What file and backup hold by now, if nothing else is touched."""
        found = {
            str(path.relative_to(self.root)): texts().get(path.read_bytes(), "half")
            for path in self.root.rglob("*")
            if path.is_file()
        }
        file, backup = found.pop(case.file, NONE), found.pop(case.kept, NONE)
        if case.through:
            other = found.pop(OTHER)
            assert other == (file if case.through == "link" else case.before)
            assert (self.root / OTHER).is_symlink() is (case.through == "link")
        assert all(is_temporary(name) for name in found)
        if outcome["said"] is not None and outcome["call"] not in ("unlink", "remove"):
            assert not found, "a save that ends leaves nothing behind, whether it failed or not"
        return file, backup

    def close(self) -> None:
        self._program.communicate()


def is_temporary(name: str) -> bool:
    """Whether a file is one that a later save takes away, where the last step is one step."""
    path = Path(name)
    is_named_so = path.name.startswith(".cornerwright-") and path.name.endswith(".tmp")
    return is_named_so and str(path.parent) == "bags"


@pytest.fixture(scope="module")
def saver() -> Iterator[Saver]:
    # On a disk in memory, where there is one: to wait for it takes no time.
    memory = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
    with TemporaryDirectory(dir=memory) as folder:
        made = Saver(Path(folder).resolve() / "root")
        yield made
        made.close()


@every_case
def test_a_kill_at_any_stage_leaves_whole_files(
    saver: Saver, case: Case, is_full: bool, tell: Callable[[str], None]
) -> None:
    """Before each call of the save there is a kill -9; in the small run, each of the disk's."""
    calls: list[str] = []
    while (outcome := saver.do(case, "kill", len(calls) + 1, every=is_full))["said"] is None:
        assert outcome["signal"] == signal.SIGKILL
        assert outcome["call"] is not None
        calls.append(outcome["call"])
        assert case.allows(*saver.check(case, outcome)), f"killed before {calls[-3:]}"
    assert outcome["said"] == "saved"
    assert case.is_done(*saver.check(case, outcome))
    assert {"open", "write", "fsync", "replace"} <= set(calls), "these were among the stages"
    tell(f"kill -9 at every stage, save {case.name}: {len(calls)}, none of them lost a state")


@every_case
def test_a_write_that_is_torn_leaves_whole_files(saver: Saver, case: Case, is_full: bool) -> None:
    """The process dies of a file size limit in the middle of a write (SIGXFSZ)."""
    sizes = sorted(map(len, texts()))
    parts = 40 if is_full else 4
    torn = 0
    for size in range(0, sizes[-1], sizes[-1] // parts):
        outcome = saver.do(case, "tear", size)
        if outcome["said"] is None:
            assert outcome["signal"] == signal.SIGXFSZ
            torn += 1
            assert case.allows(*saver.check(case, outcome)), f"torn at {size} bytes"
        else:
            assert case.is_done(*saver.check(case, outcome))
    assert torn > 0


@every_case
def test_a_power_cut_at_any_stage_leaves_whole_files(
    saver: Saver, case: Case, tell: Callable[[str], None]
) -> None:
    """What was not waited for may be lost or come in another order, as POSIX allows."""
    outcome = saver.do(case, "watch")
    assert outcome["said"] == "saved"
    folders = {name: (saver.root / name).stat().st_ino for name in FOLDERS}
    cuts = power_cuts(outcome["moments"], folders, (case.file, case.kept))
    for moment, left in zip(outcome["moments"], cuts, strict=True):
        for file, backup in left:
            assert case.allows(file, backup), f"{file}, {backup} before {moment['call']}"
    (last,) = cuts[-1]
    assert case.is_done(*last), "what is told to be saved is so after a power cut, too"
    count = sum(map(len, cuts))
    tell(f"power cuts at every stage, save {case.name}: {len(cuts)}, {count} ends, all whole")


@every_case
def test_no_file_of_a_save_is_elsewhere_or_more_open(saver: Saver, case: Case) -> None:
    outcome = saver.do(case, "watch")
    most = 0o666 if case.before == NONE else MODE
    for moment in outcome["moments"]:
        for name, seen in moment["files"].items():
            assert name in {case.file, case.kept, OTHER} or is_temporary(name)
            if name != OTHER:
                assert seen["mode"] | most == most, f"{name} before {moment['call']}"
    assert outcome["moments"][-1]["files"][case.file]["mode"] == most
    written = {Path(path).parent for path in outcome["written"]}
    assert written == {saver.root / "bags"}


@every_case
def test_a_call_that_fails_is_told_and_harms_nothing(
    saver: Saver, case: Case, tell: Callable[[str], None]
) -> None:
    """Each call that may reach the disk fails once, with an error of the disk."""
    told: Counter[str] = Counter()
    while True:
        outcome = saver.do(case, "fail", told.total() + 1)
        if outcome["call"] is None:
            break
        said, (file, backup) = outcome["said"], saver.check(case, outcome)
        where = f"{outcome['call']} fails"
        assert said is not None, where
        told[said.split(":")[0]] += 1
        if said == "saved":
            assert case.is_done(file, backup), where
        elif said.startswith("saved: "):
            assert "no backup of its earlier contents could be kept: " in said
            assert (file, backup) == ("new", case.backup), where
        else:
            assert said.endswith(" cannot be written: input/output error."), where
            assert file == case.before, where
            assert case.allows(file, backup), where
    assert told["refused"] > 3, "some calls cannot be done without"
    tell(f"calls that fail, save {case.name}: {told.total()}, {told['refused']} told, none silent")


# --- At any time, and on disks that fail ----------------------------------------------------------


def test_a_kill_at_any_time_leaves_a_whole_file(
    tmp_path: Path, share: Callable[[int], int], tell: Callable[[str], None]
) -> None:
    """In the middle of the system's own work, too: when is left to chance."""
    path = tmp_path / "mine.json"
    one, other = two_projects()
    write_project(other, path)
    write_project(one, path)
    times = random.Random(7)
    kills = share(1000)
    found: Counter[str] = Counter()
    with subprocess.Popen(
        child("nursery", path),
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        bufsize=1,
    ) as saver:
        assert saver.stdin is not None
        assert saver.stdout is not None
        for _ in range(kills):
            saver.stdin.write(f"{times.randrange(40_000)}\n")
            found[saver.stdout.readline().strip()] += 1
        saver.stdin.close()
    halves = len([each for each in tmp_path.iterdir() if each.name.endswith(".tmp")])
    assert found.total() == kills
    assert found.keys() <= {f"{a} {b}" for a in ("one", "other") for b in ("one", "other")}
    tell(f"kill -9 at any time: {kills}, {halves} left a temporary file, file and backup whole")


def test_a_full_disk_leaves_the_older_file(
    tmp_path: Path, share: Callable[[int], int], tell: Callable[[str], None]
) -> None:
    """No file may grow beyond a limit (RLIMIT_FSIZE), tried byte range by byte range."""
    path = tmp_path / "mine.json"
    one, other = two_projects()
    size = len(project_to_json(other).encode())
    write_project(one, path)
    tries = min(share(1000), size // 997)
    said = run("save_within", path, tries)
    assert len(said) == tries
    assert set(said) == {"refused: mine.json cannot be written: file too large."}
    assert read_project(path) == one
    assert [each.name for each in tmp_path.iterdir()] == ["mine.json"]
    tell(f"saves beyond a file size limit: {tries}, all refused in words, file as before")


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Callable[[str], Path]]:
    """Mounts a disk in memory with these options; skips where that is not allowed."""
    mounted: list[Path] = []

    def mount(options: str) -> Path:
        folder = tmp_path / f"disk{len(mounted)}"
        folder.mkdir()
        words = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(folder)]
        try:
            done = subprocess.run(words, capture_output=True, text=True, check=False)
        except OSError as error:
            pytest.skip(f"no disk can be mounted here: {error}")
        if done.returncode:
            pytest.skip(f"no disk can be mounted here: {done.stderr.strip()}")
        mounted.append(folder)
        return folder

    yield mount
    for folder in mounted:
        subprocess.run(["umount", str(folder)], check=True)


def test_a_disk_without_room_is_told(
    small_disk: Callable[[str], Path], tell: Callable[[str], None]
) -> None:
    one, _ = two_projects()
    need = len(project_to_json(one).encode())
    paths = [
        small_disk(f"size={kilobytes}k") / "mine.json"
        for kilobytes in range(need // 1024 + 40, 2 * need // 1024 + 60, 16)
    ]
    for path in paths:
        write_project(one, path)
    refused = 0
    for path, said in zip(paths, run("save_once", *paths), strict=True):
        if said == "saved":
            assert read_project(path) == two_projects()[1]
        else:
            assert said == "refused: mine.json cannot be written: no space left on device."
            assert read_project(path) == one
            assert [each.name for each in path.parent.iterdir()] == ["mine.json"]
            refused += 1
    assert refused > 0
    tell(f"small disks: {refused} without room for a second file, all told in words")


def test_a_read_only_disk_is_told(small_disk: Callable[[str], Path]) -> None:
    folder = small_disk("size=4m")
    path = folder / "mine.json"
    one, _ = two_projects()
    write_project(one, path)
    subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
    (said,) = run("save_once", path)
    assert said.startswith("refused: mine.json cannot be written: ")
    assert read_project(path) == one


def test_a_disk_that_vanishes_is_told(small_disk: Callable[[str], Path]) -> None:
    folder = small_disk("size=4m")
    path = folder / "bags" / "mine.json"
    path.parent.mkdir()
    write_project(two_projects()[0], path)
    subprocess.run(["umount", "-l", str(folder)], check=True)
    (said,) = run("save_once", path)
    assert said == "refused: mine.json cannot be written: its folder does not exist."
    subprocess.run(["mount", "-t", "tmpfs", "tmpfs", str(folder)], check=True)  # to be unmounted
