"""Opening the file that is open, and a file that changes on the disk while it is open."""

import os
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QFileSystemWatcher, Qt
from PySide6.QtWidgets import QApplication, QDialog, QWidget
from pytestqt.qtbot import QtBot

from app.files.autosave import Autosave
from app.files.watch import PAUSE, BagFileLock, FileWatch, digest_of, file_digest, is_there
from app.session.session import Changed, Unsaved
from core.storage.bag_files import backup_of, demo_bag, sample, write_project
from core.storage.project import Project
from tests.app.hands import Hands
from tests.helpers import read_bag, write_bag

needs_pipes = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes there")
needs_links = pytest.mark.skipif(os.name == "nt", reason="links want a privilege there")


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
    assert read_bag(path).body.width == 500.0
    assert hands.document.bag.body.width == 500.0
    assert hands.document.saved
    qtbot.wait(500)
    hands.document.set_figures({"panel_width": 510.0}, "Panel width")
    hands.window.commands["save"].trigger()
    assert read_bag(path).body.width == 510.0
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
    assert hands.document.bag.body.width == read_bag(path).body.width == 500.0
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
    assert hands.document.bag.body.width == 500.0
    assert not hands.document.saved
    free = BagFileLock(path)
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


def test_reading_again_loses_nothing_that_was_kept(hands: Hands, path: Path) -> None:
    document, keeping = hands.document, hands.window.variants
    document.keep(document.project.with_variant("Mine", document.bag))
    document.keep(replace(document.project, ticked=frozenset({"hem"})))
    theirs = Project(bag=sample("tote")).with_variant("Theirs", sample("tote"))
    write_project(theirs, path)
    assert hands.window.files._read_again(path, "Read the file again")
    assert [each.name for each in document.project.variants] == ["Theirs"]
    assert [keeping.label(each) for each in keeping.restorable] == ["Variant “Mine”"]
    document.keep(document.project.with_variant("Since", document.bag))
    hands.undo()
    assert [each.name for each in document.project.variants] == ["Since", "Mine"]
    assert document.project.ticked == frozenset({"hem"})
    assert [keeping.label(each) for each in keeping.restorable] == ["Variant “Theirs”"]
    hands.window.commands["redo"].trigger()
    assert [each.name for each in document.project.variants] == ["Since", "Theirs"]
    assert document.bag == sample("tote")
    keeping.delete_variant("Theirs")
    document.keep(replace(document.project, ticked=frozenset({"zip"})))
    hands.undo()
    assert [each.name for each in document.project.variants] == ["Since", "Mine"]
    assert document.project.ticked == frozenset({"zip"}), "ticked since"


def test_reverting_goes_back_on_what_was_still_being_worked_out(hands: Hands, path: Path) -> None:
    hands.type("filled_volume", "20")
    assert hands.window.redesigner.pending is not None
    assert hands.document.saved, "what was typed has not come to anything yet"
    hands.window.commands["revert"].trigger()
    assert hands.answers.asked == ["revert mine.json"]
    assert hands.window.redesigner.pending is None
    assert hands.document.bag == demo_bag()
    assert hands.document.undo_stack.count() == 2, "both are steps to undo"


def test_reverting_is_asked_about_and_undone(hands: Hands, path: Path) -> None:
    revert = hands.window.commands["revert"]
    revert.trigger()
    assert hands.answers.asked == [], "the bag is as it was saved"
    hands.type("front_trim", "1")
    mine = hands.document.bag
    hands.document.keep(hands.document.project.with_variant("Mine", mine))
    hands.answers.reverting = False
    revert.trigger()
    assert hands.answers.asked == ["revert mine.json"]
    assert hands.document.bag == mine
    hands.answers.reverting = True
    revert.trigger()
    assert hands.document.bag == demo_bag()
    assert hands.document.saved
    assert hands.document.undo_stack.undoText() == "Revert to saved"
    hands.undo()
    assert hands.document.bag == mine
    assert [each.name for each in hands.document.project.variants] == ["Mine"]
    assert not hands.document.saved
    hands.answers.leaving = Unsaved.DISCARD
    hands.window.files.start_from("demo")
    revert.trigger()
    assert hands.answers.asked[-1] != "revert mine.json", "a bag without a file has no saved one"


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
    assert hands.document.bag.body.width == pytest.approx(508.0)
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
        assert "mine.json is no longer a file" in hands.window.statusBar().currentMessage()
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
        "mine.json cannot be written: its folder does not exist. "
        "Your bag stays open and unsaved: save it to another place."
    ]
    assert hands.document.bag == mine
    assert not hands.document.saved
    path.parent.with_name("pulled out").rename(path.parent)
    hands.window.commands["save"].trigger()
    assert read_bag(path) == mine


# --- The watch alone ------------------------------------------------------------------------------

MOMENT = 60
"""Milliseconds for which a file must be at rest here before it is looked at."""


class Watched:
    """A file that holds "one", followed, and what is heard of it."""

    def __init__(self, folder: Path, qtbot: QtBot) -> None:
        self.path = folder / "mine.json"
        self.path.write_bytes(b"one")
        self.heard: list[str] = []
        self.watch = FileWatch()
        self.watch.changed.connect(lambda: self.heard.append("changed"))
        self.watch.gone.connect(lambda: self.heard.append("gone"))
        self.watch.follow(self.path, digest_of(b"one"))
        self._qtbot = qtbot

    def hears(self, *expected: str) -> None:
        """Nothing else until now, nor in the time in which it would come."""
        self._qtbot.waitUntil(lambda: len(self.heard) >= len(expected))
        self._qtbot.wait(3 * MOMENT)
        assert self.heard == [*expected]


@pytest.fixture
def watched(tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Iterator[Watched]:
    monkeypatch.setattr("app.files.watch.PAUSE", MOMENT)
    made = Watched(tmp_path, qtbot)
    yield made
    made.watch.close()


def test_a_file_that_is_written_in_steps_is_heard_once_it_is_at_rest(
    tmp_path: Path, qtbot: QtBot
) -> None:
    watched = Watched(tmp_path, qtbot)
    for _ in range(4):
        with watched.path.open("ab") as file:
            file.write(b"more")
        qtbot.wait(PAUSE // 20)
    assert watched.heard == []
    watched.hears("changed")
    assert not watched.watch._pause.isActive(), "and is not looked at for ever"
    watched.watch.close()


@pytest.mark.parametrize("kept", [True, False])
def test_a_file_is_followed_through_others_that_are_put_in_its_place(
    watched: Watched, kept: bool
) -> None:
    """As most programs save: to the system the file that was watched is gone then.

    Or it is not, as long as it has another name or somebody has it open: then the system tells
    nothing of its end (inotify(7), IN_DELETE_SELF).
    """
    new = watched.path.with_name("new")
    for number in (1, 3):
        if kept:
            watched.path.with_name(f"backup {number}").hardlink_to(watched.path)
        new.write_bytes(b"whole %d" % number)
        new.replace(watched.path)
        watched.hears(*["changed"] * number)
        watched.path.write_bytes(b"in place %d" % number)
        watched.hears(*["changed"] * (number + 1))


def test_what_was_asked_about_or_accepted_is_not_told(watched: Watched) -> None:
    watch, path = watched.watch, watched.path
    assert not watch.differs()
    path.write_bytes(b"two")
    assert watch.differs()
    watched.hears()
    path.write_bytes(b"three")
    watch.accept()
    assert watch.seen == digest_of(b"three")
    assert not watch.differs()
    path.write_bytes(b"four")
    watch.seen = digest_of(b"four")
    watched.hears()
    path.write_bytes(b"three")
    watched.hears("changed")
    path.unlink()
    assert not watch.differs(), "what is gone holds nothing else"
    watch.follow(None, None)
    assert not watch.differs()


def test_that_a_file_went_is_told_each_time_once(watched: Watched) -> None:
    watched.path.unlink()
    watched.hears("gone")
    watched.path.with_name("other").touch()
    watched.hears("gone")
    watched.path.write_bytes(b"two")
    watched.hears("gone", "changed")
    watched.path.unlink()
    watched.hears("gone", "changed", "gone")


def test_a_file_that_is_there_but_not_to_be_read_is_not_gone(
    watched: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As while a virus scanner holds it."""
    monkeypatch.setattr("app.files.watch.file_digest", lambda _: None)
    watched.path.write_bytes(b"two")
    watched.hears()
    assert not watched.watch.differs()


def test_a_change_is_not_told_into_an_open_box(watched: Watched, qtbot: QtBot) -> None:
    box = QDialog()
    qtbot.addWidget(box)
    box.setModal(True)
    box.show()
    watched.path.write_bytes(b"two")
    watched.hears()
    box.close()
    watched.hears("changed")


def test_a_change_is_not_told_into_a_drag(watched: Watched, qtbot: QtBot) -> None:
    held = QWidget()
    qtbot.addWidget(held)
    held.show()
    qtbot.mousePress(held, Qt.MouseButton.LeftButton)
    watched.path.write_bytes(b"two")
    watched.hears()
    qtbot.mouseRelease(held, Qt.MouseButton.LeftButton)
    watched.hears("changed")


def test_a_disk_that_tells_nothing_is_looked_at_when_the_maker_comes_back(
    tmp_path: Path, qtbot: QtBot, qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One of another machine: the system hears of no change there (inotify(7), "Limitations")."""

    class Deaf(QFileSystemWatcher):
        def addPaths(self, files: Sequence[str]) -> list[str]:  # noqa: N802 - Qt's own
            return [*files]

    monkeypatch.setattr("PySide6.QtCore.QFileSystemWatcher", Deaf)
    monkeypatch.setattr("app.files.watch.PAUSE", MOMENT)
    watched = Watched(tmp_path, qtbot)
    watched.path.write_bytes(b"two")
    qapp.applicationStateChanged.emit(Qt.ApplicationState.ApplicationInactive)
    watched.hears()
    qapp.applicationStateChanged.emit(Qt.ApplicationState.ApplicationActive)
    watched.hears("changed")
    watched.watch.close()
    qapp.applicationStateChanged.emit(Qt.ApplicationState.ApplicationActive)
    watched.hears("changed")


def test_a_file_that_is_left_while_it_changes_is_not_told(watched: Watched, qtbot: QtBot) -> None:
    watched.path.write_bytes(b"two")
    qtbot.waitUntil(watched.watch._pause.isActive)
    watched.watch.follow(None, None)
    watched.hears()


def test_a_folder_that_a_file_came_in_place_of_is_watched_without_a_word(
    watched: Watched,
) -> None:
    """Qt's own warning would fail this test."""
    watched.watch.follow(watched.path / "mine.json", None)
    watched.hears()


def test_a_lock_is_kept_for_as_long_as_its_file_is_followed(
    watched: Watched, tmp_path: Path
) -> None:
    watch, path, seen = watched.watch, watched.path, watched.watch.seen
    lock = watch.lock_of(path)
    assert lock.take()
    watch.follow(path, seen, lock)
    watch.follow(path, seen, lock)
    assert not BagFileLock(path).take()
    assert watch.holds(lock)
    for same in (path, Path(os.path.relpath(path))):
        assert watch.lock_of(same) is lock
    for other in (tmp_path / "other.json", Path("a\0b"), Path("x" * 300)):
        assert not watch.holds(watch.lock_of(other))
    watch.follow(None, None)
    assert not watch.holds(lock)
    freed = BagFileLock(path)
    assert freed.take()
    freed.free()


@needs_links
def test_the_open_file_is_known_through_a_link(watched: Watched, tmp_path: Path) -> None:
    lock = watched.watch.lock_of(watched.path)
    assert lock.take()
    watched.watch.follow(watched.path, watched.watch.seen, lock)
    (tmp_path / "link.json").symlink_to(watched.path)
    assert watched.watch.lock_of(tmp_path / "link.json") is lock


# --- Digests -----------------------------------------------------------------------------------


def test_a_digest_tells_contents_apart(tmp_path: Path) -> None:
    path = tmp_path / "x"
    assert file_digest(path) is None
    assert file_digest(tmp_path) is None
    path.write_bytes(b"one")
    first = file_digest(path)
    path.write_bytes(b"two")
    assert file_digest(path) != first


@pytest.mark.parametrize("name", ["There is no file", "a\0b", "x" * 300])
def test_what_cannot_be_read_has_no_digest(tmp_path: Path, name: str) -> None:
    assert file_digest(tmp_path / name) is None
    assert not is_there(tmp_path / name)


def test_a_file_has_the_digest_of_all_that_a_bag_may_hold(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SHA-256 of "abc" as in FIPS 180-2, appendix B.1."""
    known = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    path = tmp_path / "x"
    path.write_bytes(b"abc")
    monkeypatch.setattr("app.files.watch.MOST_BYTES", 3)
    assert file_digest(path) == digest_of(b"abc") == known
    path.write_bytes(b"abcd")
    assert file_digest(path) != known, "what is too long is not what it begins with"


@needs_pipes
def test_a_file_is_opened_so_that_it_keeps_nobody_waiting_and_becomes_no_terminal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """POSIX.1-2017, open: O_NONBLOCK, O_NOCTTY. A system without them is asked for neither."""
    asked: list[int] = []
    real = os.open

    def note(path: str, flags: int) -> int:
        asked.append(flags)
        return real(path, flags)

    path = tmp_path / "x"
    path.write_bytes(b"one")
    with monkeypatch.context() as patch:
        patch.setattr(os, "open", note)
        assert file_digest(path) == digest_of(b"one")
        patch.delattr(os, "O_NONBLOCK")
        patch.delattr(os, "O_NOCTTY")
        assert file_digest(path) == digest_of(b"one")
    both = os.O_NONBLOCK | os.O_NOCTTY
    assert [each & both for each in asked] == [both, 0]


def test_what_is_no_file_is_not_left_open(tmp_path: Path) -> None:
    def next_free() -> int:
        opened = os.open(os.devnull, os.O_RDONLY)
        os.close(opened)
        return opened

    before = next_free()
    assert file_digest(tmp_path) is None
    assert next_free() == before
