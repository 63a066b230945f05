"""Two windows on one file: who has it is told, and a lock that nobody holds is in no way."""

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMessageBox

from app.files.questions import BoxQuestions
from app.files.watch import BagFileLock
from app.session.session import Unsaved
from core.storage.bag_files import demo_bag, sample
from tests.app.hands import Hands
from tests.app.test_file_watch import needs_links, needs_pipes
from tests.helpers import demo, read_bag, write_bag

ROOT = Path(__file__).parents[2]

HOLDER = """
import sys
from pathlib import Path
from app.files.watch import BagFileLock

lock = BagFileLock(Path(sys.argv[1]))
print(lock.take(), flush=True)
sys.stdin.read()
lock.free()
"""
"""A program that has a file open until it is told to end."""


@contextmanager
def other_window(path: Path) -> Iterator[None]:
    """Another process has the file open."""
    program = subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(path)],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert program.stdout is not None
    try:
        assert program.stdout.readline() == "True\n"
        yield
    finally:
        program.communicate()


def test_a_file_that_another_window_has_open_is_asked_about(hands: Hands, tmp_path: Path) -> None:
    path = tmp_path / "shared.json"
    write_bag(sample("tote"), path)
    other = BagFileLock(path)
    assert other.take()
    assert not hands.window.files.open(path)
    assert hands.answers.asked == ["elsewhere shared.json"]
    assert hands.document.bag == demo_bag()
    hands.answers.going_on = True
    assert hands.window.files.open(path)
    assert hands.document.bag == sample("tote")
    other.free()


def test_who_has_the_file_stands_behind_a_button(hands: Hands) -> None:
    def look() -> None:
        box = QApplication.activeModalWidget()
        assert isinstance(box, QMessageBox)
        shown.extend((box.text(), box.informativeText(), box.detailedText()))
        box.reject()

    shown: list[str] = []
    QTimer.singleShot(0, hands.window, look)
    assert not BoxQuestions(hands.window).open_elsewhere("mine.json", "process 4711")
    text, more, details = shown
    assert text == "“mine.json” is open in another window."
    assert "4711" not in more
    assert "process 4711" in details


def test_the_last_bag_is_left_to_the_window_that_has_it_open(hands: Hands, tmp_path: Path) -> None:
    window, offer = hands.window, hands.window.statusBar().offer
    path = tmp_path / "mine.json"
    write_bag(demo(name="Mine"), path)
    assert window.files.open(path)
    window.files.start_from("demo")
    assert window.settings.last_file is None, "a bag without a file was open last"
    window.settings.keep_last_file(path)
    other = BagFileLock(path)
    assert other.take()
    window.last_bag.show()
    other.free()
    assert hands.answers.asked == []
    assert hands.document.bag == demo_bag()
    assert offer.text == "“mine.json” is open in another window. The demo bag is shown instead."
    window.last_bag.show()
    assert hands.document.path == path
    assert hands.document.saved
    assert offer.text == "This is the bag that you had open last."
    hands.click(offer.button)
    assert hands.document.bag == demo_bag()
    assert offer.text == ""
    window.settings.keep_last_file(path)
    window.last_bag.show()
    hands.type("front_trim", "1")
    assert offer.text == "", "work has begun"
    mine = hands.document.bag
    window.last_bag.show()
    assert hands.document.bag == mine, "what is changed is never replaced"
    hands.answers.leaving = Unsaved.DISCARD
    window.files.start_from("demo")
    hands.type("front_trim", "1")
    window.settings.keep_last_file(path)
    window.last_bag.show()
    assert hands.document.path is None


def test_saving_over_a_file_that_another_window_has_open_is_asked_about(
    hands: Hands, tmp_path: Path
) -> None:
    path = tmp_path / "shared.json"
    write_bag(sample("tote"), path)
    other = BagFileLock(path)
    assert other.take()
    hands.answers.saved = path
    hands.window.commands["save_as"].trigger()
    assert hands.answers.asked[-1] == "elsewhere shared.json"
    assert read_bag(path) == sample("tote")
    other.free()


def test_a_lock_is_given_back_with_the_file(hands: Hands, path: Path, tmp_path: Path) -> None:
    assert not BagFileLock(path).take()
    assert hands.window.files.open(path), "the own file is not open elsewhere"
    second = tmp_path / "second.json"
    hands.answers.saved = second
    hands.window.commands["save_as"].trigger()
    freed = BagFileLock(path)
    assert freed.take()
    freed.free()
    assert not BagFileLock(second).take()
    hands.window.commands["new"].trigger()
    assert BagFileLock(second).take()
    assert [each for each in hands.answers.asked if each.startswith("elsewhere")] == []
    assert {each.name for each in path.parent.iterdir()} == {"mine.json"}


def test_closing_leaves_no_lock_behind(hands: Hands, path: Path) -> None:
    hands.window.close()
    assert [each.name for each in path.parent.iterdir()] == ["mine.json"]


def test_where_no_lock_can_be_written_the_file_opens_all_the_same(tmp_path: Path) -> None:
    assert BagFileLock(tmp_path / "no such folder" / "mine.json").take()


def write_nothing(lock: Path) -> None:
    lock.touch()


def write_garbage(lock: Path) -> None:
    lock.write_bytes(b"\0\1zzz")


def write_own_number(lock: Path) -> None:
    """As a drive has it that was pulled out and comes back, or a number that came round."""
    taken = BagFileLock(lock.with_name("any"))
    assert taken.take()
    content = lock.with_name(".any.lock").read_bytes()
    taken.free()
    lock.write_bytes(content)


@pytest.mark.parametrize("write", [write_nothing, write_garbage, write_own_number])
def test_a_lock_that_nobody_holds_is_taken_over(
    hands: Hands, tmp_path: Path, write: Callable[[Path], None]
) -> None:
    path, lock = tmp_path / "mine.json", tmp_path / ".mine.json.lock"
    write_bag(sample("tote"), path)
    write(lock)
    assert hands.window.files.open(path)
    assert hands.answers.asked == []
    assert not BagFileLock(path).take(), "it is this window's own now"
    hands.window.files.close()
    assert not lock.exists()


def test_a_lock_without_a_name_that_somebody_does_hold_is_left(tmp_path: Path) -> None:
    path, lock = tmp_path / "mine.json", tmp_path / ".mine.json.lock"
    with other_window(path):
        other = BagFileLock(path)
        assert not other.take()
        assert other.holder.startswith("process ")
        if os.name != "nt":
            lock.write_bytes(b"")  # the system's own lock on it is still there
            assert not other.take()
            assert other.holder == "it is not known which"
            assert lock.exists()


def test_where_a_folder_has_the_name_of_the_lock_the_file_opens_all_the_same(
    hands: Hands, tmp_path: Path
) -> None:
    path, lock = tmp_path / "mine.json", tmp_path / ".mine.json.lock"
    write_bag(sample("tote"), path)
    lock.mkdir()
    assert hands.window.files.open(path)
    assert hands.answers.asked == []
    hands.window.files.close()
    assert lock.is_dir()


@needs_pipes
def test_where_a_pipe_has_the_name_of_the_lock_nothing_waits_for_it(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / ".mine.json.lock")
    # In a process of its own, which can be ended.
    done = subprocess.run(
        [sys.executable, "-c", HOLDER, str(tmp_path / "mine.json")],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        input="",
        capture_output=True,
        text=True,
        timeout=20,
        check=True,
    )
    assert done.stdout == "True\n"


def test_a_lock_that_somebody_removed_is_taken_again(tmp_path: Path) -> None:
    path = tmp_path / "mine.json"
    lock = BagFileLock(path)
    assert lock.take()
    (tmp_path / ".mine.json.lock").unlink()
    assert lock.take()
    assert not BagFileLock(path).take()
    lock.free()


def test_a_name_that_the_system_cannot_have_leaves_no_lock(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("a\0b.json", "", ".", "x" * 300):
        lock = BagFileLock(Path(name))
        assert lock.take()
        lock.free()
    assert list(tmp_path.iterdir()) == []


@needs_links
def test_another_window_is_noticed_through_a_link(hands: Hands, tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    path = tmp_path / "real" / "mine.json"
    write_bag(sample("tote"), path)
    (tmp_path / "link.json").symlink_to(path)
    (tmp_path / "folder").symlink_to(tmp_path / "real")
    with other_window(tmp_path / "link.json"):
        for way in (path, tmp_path / "folder" / "mine.json", tmp_path / "link.json"):
            assert not hands.window.files.open(way)
            assert hands.answers.asked.pop() == f"elsewhere {way.name}"
    assert hands.window.files.open(tmp_path / "folder" / "mine.json")
    assert hands.answers.asked == []


def test_a_file_with_the_longest_name_is_locked_like_any_other(tmp_path: Path) -> None:
    """Also its lock that a dead process left is taken over, under one with a longer name."""
    path = tmp_path / ("x" * 250 + ".json")
    write_bag(sample("tote"), path)
    with other_window(path):
        assert not BagFileLock(path).take()
        (lock,) = tmp_path.glob(".x*.lock")
        content = lock.read_text().splitlines()
    dead = subprocess.Popen([sys.executable, "-c", ""])
    dead.wait()
    lock.write_text("\n".join([str(dead.pid), *content[1:]]) + "\n")
    own = BagFileLock(path)
    assert own.take()
    assert lock.read_text().startswith(f"{os.getpid()}\n")
    own.free()
    assert [each.name for each in tmp_path.iterdir()] == [path.name]
