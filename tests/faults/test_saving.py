"""Saving under kill -9, on full and read-only disks: the file is the old or the new one."""

import os
import random
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from core.bagfile import project_to_json, read_project, write_project
from tests.faults.children import two_projects

ROOT = Path(__file__).parents[2]
pytestmark = pytest.mark.skipif(os.name == "nt", reason="signals and limits are of POSIX")


def child(*words: object) -> list[str]:
    return [sys.executable, "-m", "tests.faults.children", *map(str, words)]


def run(*words: object) -> list[str]:
    """What a child says, line by line."""
    done = subprocess.run(
        child(*words), cwd=ROOT, capture_output=True, text=True, timeout=600, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


def test_a_kill_during_a_save_leaves_a_whole_file(
    tmp_path: Path, share: Callable[[int], int], tell: Callable[[str], None]
) -> None:
    path = tmp_path / "mine.json"
    write_project(two_projects()[0], path)
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
    assert sum(found.values()) == kills
    assert not [state for state in found if "BROKEN" in state]
    assert found.keys() - {"one none"}, "some saves came to their end"
    assert halves > 0, "some kills came in the middle of a save"
    tell(f"kill -9 during a save: {kills}, in the middle of one {halves}, broken files 0")


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
    refused = 0
    for kilobytes in range(need // 1024 + 40, 2 * need // 1024 + 60, 16):
        folder = small_disk(f"size={kilobytes}k")
        path = folder / "mine.json"
        write_project(one, path)
        (said,) = run("save_once", path)
        if said == "saved":
            assert read_project(path) == two_projects()[1]
        else:
            assert said == "refused: mine.json cannot be written: no space left on device."
            assert read_project(path) == one
            assert [each.name for each in folder.iterdir()] == ["mine.json"]
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
    assert said == "refused: mine.json cannot be written: its folder is not there."
    subprocess.run(["mount", "-t", "tmpfs", "tmpfs", str(folder)], check=True)  # to be unmounted
