"""Two windows on one file, and a file that changes on the disk while it is open."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings
from pytestqt.qtbot import QtBot

from app.file_watch import FileLock, file_digest
from app.questions import Changed
from core.bagfile import backup_of, demo_bag, read_bag, sample, write_bag
from tests.app.hands import Hands


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    hands = Hands(qtbot, QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat))
    yield hands
    hands.close()


@pytest.fixture
def path(hands: Hands, tmp_path: Path) -> Path:
    """A bag file that the window has open."""
    (tmp_path / "bags").mkdir()
    path = tmp_path / "bags" / "mine.json"
    write_bag(demo_bag(), path)
    assert hands.window.files.open(path)
    return path


def wait_for_question(qtbot: QtBot, hands: Hands) -> None:
    qtbot.waitUntil(lambda: "changed mine.json" in hands.answers.asked)


# --- Two windows ----------------------------------------------------------------------------------


def test_a_file_that_another_window_has_open_is_asked_about(hands: Hands, tmp_path: Path) -> None:
    path = tmp_path / "shared.json"
    write_bag(sample("tote"), path)
    other = FileLock(path)
    assert other.take()
    assert not hands.window.files.open(path)
    assert hands.answers.asked == ["elsewhere shared.json"]
    assert hands.document.bag == demo_bag()
    hands.answers.going_on = True
    assert hands.window.files.open(path)
    assert hands.document.bag == sample("tote")
    other.free()


def test_saving_over_a_file_that_another_window_has_open_is_asked_about(
    hands: Hands, tmp_path: Path
) -> None:
    path = tmp_path / "shared.json"
    write_bag(sample("tote"), path)
    other = FileLock(path)
    assert other.take()
    hands.answers.saved = path
    hands.window.commands["save_as"].trigger()
    assert hands.answers.asked[-1] == "elsewhere shared.json"
    assert read_bag(path) == sample("tote")
    other.free()


def test_a_lock_is_given_back_with_the_file(hands: Hands, path: Path, tmp_path: Path) -> None:
    assert not FileLock(path).take()
    assert hands.window.files.open(path), "the own file is not open elsewhere"
    second = tmp_path / "second.json"
    hands.answers.saved = second
    hands.window.commands["save_as"].trigger()
    freed = FileLock(path)
    assert freed.take()
    freed.free()
    assert not FileLock(second).take()
    hands.window.commands["new"].trigger()
    assert FileLock(second).take()
    assert [each for each in hands.answers.asked if each.startswith("elsewhere")] == []
    assert {each.name for each in path.parent.iterdir()} == {"mine.json"}


def test_closing_leaves_no_lock_behind(hands: Hands, path: Path) -> None:
    hands.window.close()
    assert [each.name for each in path.parent.iterdir()] == ["mine.json"]


def test_where_no_lock_can_be_written_the_file_opens_all_the_same(tmp_path: Path) -> None:
    assert FileLock(tmp_path / "no such folder" / "mine.json").take()


# --- Changes on the disk --------------------------------------------------------------------------


def test_a_change_on_the_disk_is_asked_about_once(hands: Hands, path: Path, qtbot: QtBot) -> None:
    write_bag(sample("tote"), path)
    wait_for_question(qtbot, hands)
    path.touch()
    qtbot.wait(600)
    assert hands.answers.asked == ["changed mine.json"]
    assert hands.document.bag == demo_bag()


def test_reading_again_is_a_step_that_undo_takes_back(
    hands: Hands, path: Path, qtbot: QtBot
) -> None:
    hands.document.set_figures({"panel_width": 500.0}, "Panel width")
    mine = hands.document.bag
    hands.answers.on_disk = Changed.READ_AGAIN
    write_bag(sample("tote"), path)
    wait_for_question(qtbot, hands)
    assert hands.document.bag == sample("tote")
    assert hands.document.saved
    hands.undo()
    assert hands.document.bag == mine
    assert not hands.document.saved


def test_keeping_mine_replaces_the_file_at_the_next_saving(
    hands: Hands, path: Path, qtbot: QtBot
) -> None:
    hands.answers.on_disk = Changed.KEEP_MINE
    write_bag(sample("tote"), path)
    wait_for_question(qtbot, hands)
    assert hands.document.bag == demo_bag()
    assert not hands.document.saved, "the file holds another bag"
    hands.window.commands["save"].trigger()
    assert hands.answers.asked == ["changed mine.json"]
    assert read_bag(path) == demo_bag()
    assert read_bag(backup_of(path)) == sample("tote"), "what was there is not lost"


@pytest.mark.parametrize(
    ("choice", "in_file", "saved"),
    [
        (Changed.READ_AGAIN, "tote", True),
        (Changed.KEEP_MINE, "demo", True),
        (Changed.SAVE_AS, "tote", True),
        (Changed.LATER, "tote", False),
    ],
)
def test_saving_over_a_changed_file_asks_first(
    hands: Hands, path: Path, choice: Changed, in_file: str, saved: bool
) -> None:
    hands.document.set_figures({"panel_width": 500.0}, "Panel width")
    hands.answers.on_disk = choice
    hands.answers.saved = path.with_name("aside.json")
    write_bag(sample("tote"), path)
    hands.window.commands["save"].trigger()  # sooner than the watch would notice
    assert hands.answers.asked[0] == "changed mine.json"
    assert (read_bag(path) == sample("tote")) is (in_file == "tote")
    assert hands.document.saved is saved
    assert path.with_name("aside.json").exists() is (choice is Changed.SAVE_AS)


def test_own_saving_is_no_change(hands: Hands, path: Path, qtbot: QtBot) -> None:
    for width in (500.0, 510.0):
        hands.document.set_figures({"panel_width": width}, "Panel width")
        hands.window.commands["save"].trigger()
        qtbot.wait(500)
    assert hands.answers.asked == []


def test_a_file_that_goes_is_told_and_the_bag_counts_as_unsaved(
    hands: Hands, path: Path, qtbot: QtBot
) -> None:
    path.unlink()
    qtbot.waitUntil(lambda: not hands.document.saved)
    assert "mine.json is no longer there" in hands.window.statusBar().currentMessage()
    hands.window.commands["save"].trigger()
    assert read_bag(path) == demo_bag()
    assert hands.answers.asked == []


def test_a_drive_that_vanishes_is_told_and_the_bag_stays(
    hands: Hands, path: Path, qtbot: QtBot
) -> None:
    hands.document.set_figures({"panel_width": 500.0}, "Panel width")
    mine = hands.document.bag
    path.parent.rename(path.parent.with_name("pulled out"))
    hands.window.commands["save"].trigger()
    assert hands.answers.told == [
        "mine.json cannot be written: its folder is not there. "
        "Your bag stays open and unsaved: save it to another place."
    ]
    assert hands.document.bag == mine
    assert not hands.document.saved
    path.parent.with_name("pulled out").rename(path.parent)
    hands.window.commands["save"].trigger()
    assert read_bag(path) == mine


def test_a_digest_tells_contents_apart(tmp_path: Path) -> None:
    path = tmp_path / "x"
    assert file_digest(path) is None
    assert file_digest(tmp_path) is None
    path.write_bytes(b"one")
    first = file_digest(path)
    path.write_bytes(b"two")
    assert file_digest(path) != first
