"""Opening the file that is open, and a file that changes on the disk while it is open."""

import os
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.autosave import Autosave
from app.file_watch import FileLock, file_digest
from app.questions import Changed, Unsaved
from core.bagfile import backup_of, demo_bag, read_bag, sample, write_bag
from tests.app.hands import Hands

needs_pipes = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes there")


@contextmanager
def nobody_waits_for(pipe: Path) -> Iterator[None]:
    """Fails when a named pipe is still waited for after three seconds, and ends the wait."""
    waited = []

    def write() -> None:
        try:
            os.close(os.open(pipe, os.O_WRONLY | os.O_NONBLOCK))
        except OSError:  # nobody reads from it
            return
        waited.append(pipe)

    timer = threading.Timer(3.0, write)
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
        timer.join()
    assert waited == []


def wait_for_question(qtbot: QtBot, hands: Hands) -> None:
    qtbot.waitUntil(lambda: "changed mine.json" in hands.answers.asked)


# --- Opening what is open ----------------------------------------------------------------------


def test_the_file_that_is_open_is_read_after_its_changes_are_saved(
    hands: Hands, path: Path, qtbot: QtBot
) -> None:
    hands.document.set_figures({"panel_width": 500.0}, "Panel width")
    hands.answers.leaving = Unsaved.SAVE
    assert hands.window.files.open(path)
    assert read_bag(path).panel.width == 500.0
    assert hands.document.bag.panel.width == 500.0
    assert hands.document.saved
    qtbot.wait(500)
    hands.document.set_figures({"panel_width": 510.0}, "Panel width")
    hands.window.commands["save"].trigger()
    assert read_bag(path).panel.width == 510.0
    assert hands.answers.asked == ["unsaved mine.json"], "nobody else changed it"


def test_the_file_that_is_open_is_read_anew_where_its_changes_are_given_up(
    hands: Hands, path: Path
) -> None:
    hands.document.set_figures({"panel_width": 500.0}, "Panel width")
    hands.answers.leaving = Unsaved.DISCARD
    assert hands.window.files.open(path)
    assert hands.document.bag == demo_bag()
    assert hands.document.saved


def test_a_bag_that_is_saved_to_the_file_being_opened_is_the_bag_that_opens(
    hands: Hands, tmp_path: Path
) -> None:
    path = tmp_path / "mine.json"
    write_bag(sample("tote"), path)
    hands.document.set_figures({"panel_width": 500.0}, "Panel width")
    hands.answers.leaving, hands.answers.saved = Unsaved.SAVE, path
    assert hands.window.files.open(path)
    assert hands.document.bag.panel.width == read_bag(path).panel.width == 500.0
    assert hands.answers.asked == ["unsaved", "save quince-row-carrier.json"]
    assert hands.answers.told == []


def test_a_file_that_is_spoilt_while_it_is_asked_about_is_not_opened(
    hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "other.json"
    write_bag(sample("tote"), path)

    def spoil(name: str, file: str) -> Unsaved:
        path.write_text("{")
        return Unsaved.DISCARD

    monkeypatch.setattr(hands.answers, "unsaved", spoil)
    hands.document.set_figures({"panel_width": 500.0}, "Panel width")
    assert not hands.window.files.open(path)
    assert len(hands.answers.told) == 1
    assert hands.document.bag.panel.width == 500.0
    assert not hands.document.saved
    free = FileLock(path)
    assert free.take()
    free.free()


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


@pytest.mark.parametrize("choice", [Changed.LATER, Changed.SAVE_AS, Changed.READ_AGAIN])
def test_a_bag_that_no_file_holds_any_more_is_not_left_unasked(
    hands: Hands, path: Path, choice: Changed, qtbot: QtBot, folder: Path
) -> None:
    autosave = Autosave(hands.document, folder, delay=1)
    hands.answers.on_disk, hands.answers.saved = choice, None
    if choice is Changed.READ_AGAIN:
        path.write_text("{")  # which cannot be read
    else:
        write_bag(sample("tote"), path)
    wait_for_question(qtbot, hands)
    assert hands.document.bag == demo_bag()
    assert not hands.document.saved
    qtbot.waitUntil(autosave.copy.exists)
    hands.answers.leaving = Unsaved.CANCEL
    hands.window.close()
    assert hands.answers.asked[-1] == "unsaved mine.json"
    autosave.close()


def test_text_that_stands_typed_is_told_with_the_question(
    hands: Hands, path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[bool] = []

    def ask(file: str, *, unsaved: bool) -> Changed:
        told.append(unsaved)
        return Changed.LATER

    monkeypatch.setattr(hands.answers, "changed_on_disk", ask)
    box = hands.box("panel_width")
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "20")
    hands.window.files.watch.changed.emit()
    assert hands.document.bag.panel.width == pytest.approx(508.0)
    assert told == [True]


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


@needs_pipes
@pytest.mark.parametrize("make", [Path.mkdir, os.mkfifo])
def test_a_file_with_something_else_in_its_place_is_told(
    hands: Hands, path: Path, qtbot: QtBot, make: Callable[[Path], None]
) -> None:
    path.unlink()
    make(path)
    with nobody_waits_for(path):
        qtbot.waitUntil(lambda: not hands.document.saved, timeout=120_000)
        assert "mine.json is no file any more" in hands.window.statusBar().currentMessage()
        hands.window.commands["save"].trigger()
    assert len(hands.answers.told) == 1
    assert hands.answers.told[0].startswith("mine.json cannot be written: it is ")
    assert not hands.document.saved


@needs_pipes
def test_a_pipe_is_refused_at_once(hands: Hands, tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.json"
    os.mkfifo(pipe)
    with nobody_waits_for(pipe):
        assert file_digest(pipe) is None
        assert not hands.window.files.open(pipe)
    assert hands.answers.told == ["pipe.json is not an ordinary file."]
    assert hands.document.bag == demo_bag()


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
