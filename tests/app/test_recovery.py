"""Recovery copies: kept while something is unsaved, offered after a kill, gone otherwise."""

import errno
import json
import os
import shutil
import signal
import stat
import subprocess
import sys
import time
from datetime import datetime
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.files.autosave import Autosave, recovery_folder
from app.files.questions import BoxQuestions
from app.files.recovery import Recovery, left_overs
from app.session.document import Document
from app.session.session import RecoveryChoice, Unsaved
from app.window.status_line import StatusLine
from core.storage.bag_files import demo_bag, read_project
from core.storage.project import Project
from tests.app.hands import Hands
from tests.helpers import write_bag

ROOT = Path(__file__).parents[2]

KILLED = """
import sys
from pathlib import Path
from PySide6.QtCore import QCoreApplication, QTimer
from app.files.autosave import Autosave
from app.session.document import Document
from core.storage.bag_files import read_project

app = QCoreApplication([])
path = Path(sys.argv[2])
document = Document(read_project(path), path=path)
autosave = Autosave(document, Path(sys.argv[1]), delay=1)
document.set_figures({"panel_width": 500.0}, "Panel width")
QTimer.singleShot(100, lambda: print("ready", autosave.write_now(), flush=True))
app.exec()
"""
"""A program that changes a bag, has its copy written, and waits to be killed."""


def kept(folder: Path) -> Document:
    """A document whose program was killed with an unsaved change, as far as the disk knows."""
    document = Document(demo_bag())
    autosave = Autosave(document, folder)
    document.set_figures({"panel_width": 500.0}, "Panel width")
    assert autosave.write_now()
    autosave._lock.free()
    return document


def copies(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.json"))


def test_a_change_is_copied_soon_and_only_once(qtbot: QtBot, folder: Path) -> None:
    document = Document(demo_bag())
    autosave = Autosave(document, folder, delay=30)
    assert not folder.exists(), "nothing is written before something is at risk"
    for width in range(480, 500):
        document.set_figures({"panel_width": float(width)}, "Panel width")
    assert copies(folder) == []
    qtbot.waitUntil(lambda: copies(folder) == [autosave.copy])
    autosave.write_now()
    assert left_overs(folder) == [], "a living window holds its copy"
    autosave._lock.free()
    (found,) = left_overs(folder)
    assert found.project == document.to_keep
    assert found.project.bag == document.bag
    found.forget()
    autosave.close()


@pytest.mark.skipif(os.name == "nt", reason="a file there takes after its folder")
def test_nobody_else_can_read_a_copy(qtbot: QtBot, tmp_path: Path) -> None:
    """Even of a bag whose file all may read: the copy is not where the maker put that."""
    folder = tmp_path / "data" / "recovery"
    mask = os.umask(0)
    try:
        kept(folder)
    finally:
        os.umask(mask)
    (copy,) = copies(folder)
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    damaged = folder / f"{'a' * 16}.unreadable"
    for each in (copy, damaged):  # as an earlier program left them
        each.touch()
        each.chmod(0o644)
    (found,) = left_overs(folder)
    assert stat.S_IMODE(copy.stat().st_mode) == stat.S_IMODE(damaged.stat().st_mode) == 0o600
    found.leave()


@pytest.mark.skipif(os.name == "nt", reason="links and modes are those of Unix")
def test_files_of_others_in_the_folder_are_left_alone(folder: Path, tmp_path: Path) -> None:
    """As where the recovery folder is a link to one that holds other things."""
    others = tmp_path / "documents"
    others.mkdir()
    names = ("letter.txt", "data.json", "data.lock", "abcdef.json")
    for name in names:
        (others / name).write_text("{")
        (others / name).chmod(0o644)
    folder.symlink_to(others)
    kept(folder)
    told: list[str] = []
    (found,) = left_overs(folder, told.append)
    found.forget()
    assert told == []
    assert sorted(each.name for each in others.iterdir()) == sorted(names)
    for name in names:
        assert stat.S_IMODE((others / name).stat().st_mode) == 0o644
        assert (others / name).read_text() == "{"


def test_what_was_not_taken_from_a_copy_is_told(hands: Hands, folder: Path) -> None:
    kept(folder)
    (copy,) = copies(folder)
    record = json.loads(copy.read_text())
    project = json.loads(record["project"])
    project["body"]["front_trim"] = 0.001
    copy.write_text(json.dumps(record | {"project": json.dumps(project)}))
    said: list[str] = []
    hands.window.session.said.connect(said.append)
    hands.answers.left = RecoveryChoice.RECOVER
    Recovery(hands.window, folder).begin(None)
    assert hands.document.bag.body.front_trim == 0.0
    assert len(said) == 1
    assert "front trim" in said[0].casefold()


def test_a_held_key_does_not_put_the_copy_off(qtbot: QtBot, folder: Path) -> None:
    document = Document(demo_bag())
    autosave = Autosave(document, folder, delay=60)
    width, start = 480.0, time.monotonic()
    while not copies(folder) and time.monotonic() - start < 5:
        width += 0.01
        document.set_figures({"panel_width": width}, "Panel width", merge_key="held")
        qtbot.wait(5)
    assert copies(folder)
    autosave.close()


@pytest.mark.parametrize("end", ["saved", "undone", "closed"])
def test_a_copy_goes_when_nothing_is_at_risk(
    qtbot: QtBot, folder: Path, tmp_path: Path, end: str
) -> None:
    document = Document(demo_bag())
    autosave = Autosave(document, folder, delay=1)
    document.set_figures({"panel_width": 500.0}, "Panel width")
    assert autosave.write_now()
    assert copies(folder)
    if end == "saved":
        document.mark_saved(tmp_path / "mine.json")
    elif end == "undone":
        document.undo_stack.undo()
    else:
        autosave.close()
    qtbot.waitUntil(lambda: copies(folder) == [])
    if end != "closed":
        autosave.close()
    assert list(folder.iterdir()) == []


def test_a_copy_that_cannot_be_kept_is_told_once(
    qtbot: QtBot, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "file").write_text("no folder")
    document = Document(demo_bag())
    autosave = Autosave(document, tmp_path / "file" / "recovery", delay=1)
    told: list[str] = []
    autosave.failed.connect(told.append)
    for width in (500.0, 510.0):
        document.set_figures({"panel_width": width}, "Panel width")
        assert not autosave.write_now()
    assert len(told) == 1
    assert told[0].startswith("No recovery copy can be kept: ")
    autosave.close()
    caplog.clear()


def test_trouble_stands_in_the_status_line_for_as_long_as_it_lasts(
    hands: Hands, tmp_path: Path, caplog: pytest.LogCaptureFixture, qtbot: QtBot
) -> None:
    folder = tmp_path / "file" / "recovery"
    folder.parent.write_text("no folder")
    recovery = Recovery(hands.window, folder)
    line = hands.window.statusBar()
    assert isinstance(line, StatusLine)
    hands.document.set_figures({"panel_width": 500.0}, "Panel width")
    assert not recovery.autosave.write_now()
    assert line.currentMessage().startswith("No recovery copy can be kept: ")
    line.clearMessage()  # what is said in passing has passed
    line.refresh()
    assert line.texts[-1] == "Not saved, no recovery copy"
    assert line._saved.toolTip().startswith("No recovery copy can be kept: ")
    hands.undo()
    line.refresh()
    assert line.texts[-1] == "Unchanged", "nothing is at risk"
    assert "recovery" not in line._saved.toolTip()
    hands.document.set_figures({"panel_width": 510.0}, "Panel width")
    line.refresh()
    assert line.texts[-1] == "Not saved, no recovery copy"
    folder.parent.unlink()
    assert recovery.autosave.write_now()
    qtbot.waitUntil(lambda: line.texts[-1] == "Not saved")
    assert "recovery" not in line._saved.toolTip()
    caplog.clear()


def test_a_copy_that_could_not_be_kept_is_tried_again(
    qtbot: QtBot, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    folder = tmp_path / "file" / "recovery"
    folder.parent.write_text("no folder")
    document = Document(demo_bag())
    autosave = Autosave(document, folder, delay=1, again=50)
    document.set_figures({"panel_width": 500.0}, "Panel width")
    assert not autosave.write_now()
    folder.parent.unlink()
    qtbot.waitUntil(autosave.copy.exists)
    autosave.close()
    caplog.clear()


def test_an_older_copy_is_no_copy_of_what_could_not_be_written(
    qtbot: QtBot,
    folder: Path,
    caplog: pytest.LogCaptureFixture,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    document = Document(demo_bag())
    autosave = Autosave(document, folder)
    document.set_figures({"panel_width": 500.0}, "Panel width")
    assert autosave.write_now()
    document.set_figures({"panel_width": 510.0}, "Panel width")

    def fail(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("app.files.autosave.write_whole", fail)
    assert not autosave.write_now()
    assert copies(folder) == [autosave.copy]
    autosave.close()
    qtbot.wait(1)
    caplog.clear()


@pytest.mark.skipif(os.name == "nt", reason="what is open cannot be removed there")
@pytest.mark.parametrize("gone", ["folder", "lock"])
def test_a_copy_whose_lock_was_removed_is_locked_again(
    qtbot: QtBot, folder: Path, gone: str
) -> None:
    document = Document(demo_bag())
    autosave = Autosave(document, folder)
    document.set_figures({"panel_width": 500.0}, "Panel width")
    assert autosave.write_now()
    if gone == "folder":
        shutil.rmtree(folder)
    else:
        autosave.copy.with_suffix(".lock").unlink()
    document.set_figures({"panel_width": 510.0}, "Panel width")
    assert autosave.write_now()
    assert copies(folder) == [autosave.copy]
    assert left_overs(folder) == [], "a living window holds it"
    autosave.close()
    assert list(folder.iterdir()) == []


@pytest.mark.skipif(os.name == "nt", reason="no kill -9 there")
def test_after_a_kill_the_bag_and_its_file_are_found(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.json"
    write_bag(demo_bag(), path)
    program = subprocess.Popen(
        [sys.executable, "-c", KILLED, str(folder), str(path)],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        text=True,
    )
    assert program.stdout is not None
    assert program.stdout.readline() == "ready True\n"
    assert left_overs(folder) == [], "it is still alive"
    program.send_signal(signal.SIGKILL)
    program.wait()
    program.stdout.close()
    (found,) = left_overs(folder)
    assert found.project.bag.body.width == 500.0
    assert found.path == path
    assert left_overs(folder) == [], "one window offers it, not two"
    found.forget()
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("choice", list(RecoveryChoice))
def test_a_left_over_is_recovered_forgotten_or_left(
    hands: Hands, folder: Path, choice: RecoveryChoice
) -> None:
    lost = kept(folder)
    hands.answers.left = choice
    recovery = Recovery(hands.window, folder)
    recovery.begin(None)
    assert hands.answers.asked == [f"left over {lost.bag.name}"]
    recovered = choice is RecoveryChoice.RECOVER
    assert (hands.document.bag == lost.bag) is recovered
    was, now = (each.bag.body.width for each in (hands.document.starting, lost.starting))
    assert was == now, "what was changed is still told"
    assert hands.document.saved is not recovered
    assert hands.window.isWindowModified() is recovered
    left = {RecoveryChoice.RECOVER: [recovery.autosave.copy], RecoveryChoice.FORGET: []}
    if choice is RecoveryChoice.LATER:
        assert len(copies(folder)) == 1
        assert copies(folder) != [recovery.autosave.copy]
    else:
        assert copies(folder) == left[choice]


def test_a_bag_that_was_left_twice_is_found_once(folder: Path) -> None:
    """As by a program that was ended with its own copy written, and the older one still there."""
    kept(folder)
    lost = kept(folder)
    other = Document(demo_bag())
    other.set_figures({"panel_width": 510.0}, "Panel width")
    autosave = Autosave(other, folder)
    assert autosave.write_now()
    autosave._lock.free()
    assert len(copies(folder)) == 3
    found = left_overs(folder)
    assert [each.project for each in found] == [other.to_keep, lost.to_keep]
    assert len(copies(folder)) == 2
    for each in found:
        each.forget()
    assert list(folder.iterdir()) == []


def test_recovering_asks_about_a_bag_that_is_changed_already(hands: Hands, folder: Path) -> None:
    kept(folder)
    hands.document.set_figures({"panel_width": 480.0}, "Panel width")
    hands.answers.left, hands.answers.leaving = RecoveryChoice.RECOVER, Unsaved.CANCEL
    Recovery(hands.window, folder).begin(None)
    assert hands.document.bag.body.width == 480.0
    assert len(left_overs(folder)) == 1, "what was not recovered is still there"


def test_a_bag_that_has_no_new_copy_keeps_the_one_it_was_recovered_from(
    hands: Hands,
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    lost = kept(folder)
    (copy,) = copies(folder)
    hands.answers.left = RecoveryChoice.RECOVER

    def fail(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr("app.files.autosave.write_whole", fail)
        Recovery(hands.window, folder).begin(None)
    assert hands.document.bag == lost.bag
    assert copies(folder) == [copy]
    caplog.clear()


def test_what_stands_typed_goes_into_the_copy_that_is_asked_for(
    hands: Hands, folder: Path, qtbot: QtBot
) -> None:
    """As at the end of a session; and who leaves does so with the copy free for the next start."""
    recovery = Recovery(hands.window, folder)
    box = hands.box("panel_width")
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "20")
    assert recovery.keep()
    recovery.leave()
    (found,) = left_overs(folder)
    assert found.project.bag.body.width == pytest.approx(20 * 25.4)
    found.forget()


def test_closing_the_window_takes_its_copy_away(hands: Hands, folder: Path) -> None:
    recovery = Recovery(hands.window, folder)
    hands.document.set_figures({"panel_width": 500.0}, "Panel width")
    assert recovery.autosave.write_now()
    hands.answers.leaving = Unsaved.CANCEL
    hands.window.close()
    assert copies(folder) == [recovery.autosave.copy], "the window stayed, so does the copy"
    hands.answers.leaving = Unsaved.DISCARD
    hands.window.close()
    assert list(folder.iterdir()) == []


def test_a_recovered_file_that_changed_meanwhile_is_not_replaced_unasked(
    hands: Hands, folder: Path, tmp_path: Path
) -> None:
    path = tmp_path / "mine.json"
    write_bag(demo_bag(), path)
    hands.window.files.open(path)
    first = Recovery(hands.window, folder)
    hands.window.files.changed.emit()
    hands.document.set_figures({"panel_width": 500.0}, "Panel width")
    assert first.autosave.write_now()
    first.autosave._lock.free()  # as a kill would have done
    hands.window.files.watch.close()
    write_bag(demo_bag(), tmp_path / "other.json")
    path.write_text(path.read_text() + "\n")
    hands.answers.left, hands.answers.leaving = RecoveryChoice.RECOVER, Unsaved.DISCARD
    Recovery(hands.window, folder).begin(None)
    assert hands.document.path == path
    hands.window.commands["save"].trigger()
    assert hands.answers.asked[-1] == "changed mine.json"
    assert read_project(path) == Project(bag=demo_bag())


def test_copies_lie_in_the_platforms_place(own_settings: Path, qtbot: QtBot) -> None:
    assert recovery_folder().name == "recovery"
    if sys.platform == "linux":
        assert own_settings in recovery_folder().parents


@pytest.mark.parametrize(
    ("place", "day"), [("C", "{:%A, %d %B %Y}"), ("en_US", "{:%A, %B %d, %Y}")]
)
def test_the_day_of_the_end_is_told_so_that_it_is_read_in_one_way_only(
    place: str, day: str, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """3/4/26 is a day in March or in April; the days are named by Python's own calendar."""
    window = QWidget()
    qtbot.addWidget(window)
    boxes, asked = BoxQuestions(window), list[str]()

    def choose(_title: str, text: str, *_more: object) -> RecoveryChoice:
        asked.append(text)
        return RecoveryChoice.LATER

    monkeypatch.setattr(boxes, "_choose", choose)
    usual, at = QLocale(), datetime(2026, 4, 13, 15, 58)
    QLocale.setDefault(QLocale(place))
    try:
        boxes.left_over("Carrier", None, at)
    finally:
        QLocale.setDefault(usual)
    (told,) = asked
    start = f"“Carrier” was not saved when the program ended on {day.format(at)} at "
    assert told.startswith(start)
    assert "58" in told.removeprefix(start)
