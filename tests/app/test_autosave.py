"""Keeping a copy by itself: when it is written, when no more, and what is told if it cannot be."""

import errno
import os
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

import app.files.autosave
from app.files.autosave import Autosave
from app.files.recovery import left_overs
from app.files.watch import LockResult, ProcessLock
from app.session.document import Document
from core.base.errors import BagFileError
from core.storage.bag_file import project_to_json
from core.storage.bag_files import demo_bag

SOON = 40
"""Milliseconds from a change to its copy."""
NEVER = 600_000


@pytest.fixture
def document(qapp: object) -> Document:
    return Document(demo_bag())


@pytest.fixture
def autosave(document: Document, tmp_path: Path) -> Iterator[Autosave]:
    made = Autosave(document, tmp_path, delay=SOON)
    yield made
    made.close()


def change(document: Document, width: float) -> None:
    document.set_figures({"panel_width": width}, "Panel width")


def writers() -> list[threading.Thread]:
    return [each for each in threading.enumerate() if each.name.startswith("autosave")]


def test_a_copy_is_written_a_while_after_the_change_and_once(
    autosave: Autosave, document: Document, qtbot: QtBot
) -> None:
    change(document, 500.0)
    qtbot.waitUntil(autosave.copy.exists)
    assert not autosave._soon.isActive()
    written = autosave.copy.stat().st_mtime_ns
    qtbot.wait(4 * SOON)
    assert autosave.copy.stat().st_mtime_ns == written


def test_what_follows_within_the_while_goes_into_the_same_copy(
    document: Document, tmp_path: Path, qtbot: QtBot
) -> None:
    autosave = Autosave(document, tmp_path, delay=NEVER)
    change(document, 500.0)
    qtbot.wait(2 * SOON)
    assert not autosave.copy.exists()
    assert autosave.write_now()
    assert not autosave._soon.isActive(), "what is written is not written again"
    autosave.close()


def test_what_the_file_was_seen_to_hold_goes_into_the_copy(
    autosave: Autosave, document: Document, tmp_path: Path, qtbot: QtBot
) -> None:
    change(document, 500.0)
    autosave.write_now()
    before = autosave.copy.stat().st_mtime_ns
    autosave.set_seen("digest")
    qtbot.waitUntil(lambda: autosave.copy.stat().st_mtime_ns != before)
    autosave.leave()
    (left,) = left_overs(tmp_path)
    assert left.seen == "digest"
    left.forget()


@pytest.mark.parametrize("stays", [True, False])
def test_after_its_end_nothing_is_kept_any_more(
    document: Document, tmp_path: Path, qtbot: QtBot, stays: bool
) -> None:
    """What is left lies there for who looks for it; what is closed is gone."""
    autosave = Autosave(document, tmp_path, delay=SOON)
    change(document, 500.0)
    assert autosave.write_now()
    assert autosave._lock.is_held
    assert writers()
    change(document, 501.0)
    (autosave.leave if stays else autosave.close)()
    change(document, 502.0)
    qtbot.wait(4 * SOON)
    assert not autosave._lock.is_held
    qtbot.waitUntil(lambda: not writers())
    found = left_overs(tmp_path)
    assert [each.project.bag.body.width for each in found] == ([500.0] if stays else [])
    for each in found:
        each.forget()
    assert list(tmp_path.iterdir()) == []


def test_where_no_lock_can_be_no_copy_is_and_that_is_told(
    autosave: Autosave,
    document: Document,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
    caplog: pytest.LogCaptureFixture,
) -> None:
    """Without one another window would take the copy for one that was left."""
    told: list[str] = []
    autosave.failed.connect(told.append)
    monkeypatch.setattr(ProcessLock, "take", lambda _: LockResult.IMPOSSIBLE)
    change(document, 500.0)
    assert not autosave.write_now()
    assert not autosave.copy.exists()
    assert len(told) == 1
    assert "its folder cannot be written" in told[0]
    caplog.clear()


def test_a_disk_that_hangs_holds_nobody(
    autosave: Autosave, document: Document, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = app.files.autosave.write_whole

    def late(*arguments: object, **more: object) -> object:
        time.sleep(0.2)
        return real(*arguments, **more)

    monkeypatch.setattr(app.files.autosave, "write_whole", late)
    monkeypatch.setattr(app.files.autosave, "PATIENCE", 0.02)
    change(document, 500.0)
    assert not autosave.write_now()
    monkeypatch.setattr(app.files.autosave, "PATIENCE", 5.0)
    assert autosave.write_now()


# --- When -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "act",
    [
        lambda document: change(document, 510.0),
        lambda document: document.replace_project(
            document.project.with_variant("Mine", demo_bag()), "Keep as a variant"
        ),
    ],
    ids=["the bag", "what is kept beside it"],
)
def test_what_changes_after_a_copy_is_copied_too(
    autosave: Autosave, document: Document, qtbot: QtBot, act: Callable[[Document], object]
) -> None:
    change(document, 500.0)
    assert autosave.write_now()
    before = autosave.copy.stat().st_mtime_ns
    act(document)
    qtbot.waitUntil(lambda: autosave.copy.stat().st_mtime_ns != before)
    autosave.leave()
    (left,) = left_overs(autosave.copy.parent)
    assert left.project == document.to_keep
    left.forget()


def test_a_bag_that_no_file_holds_any_more_has_a_copy(
    autosave: Autosave, document: Document, qtbot: QtBot
) -> None:
    document.mark_unsaved()
    qtbot.waitUntil(autosave.copy.exists)


def test_where_nothing_can_be_lost_the_copy_is_up_to_date(
    autosave: Autosave, document: Document, tmp_path: Path
) -> None:
    assert autosave.write_now()
    assert list(tmp_path.iterdir()) == []
    change(document, 500.0)
    assert autosave.write_now()
    document.undo_stack.undo()
    assert autosave.write_now()
    assert not autosave.copy.exists()


def test_after_trouble_it_is_tried_again_after_a_while(
    document: Document, tmp_path: Path, qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    """Not at once, nor when it went well meanwhile."""
    barred = tmp_path / "file"
    barred.touch()
    autosave = Autosave(document, barred / "recovery", delay=NEVER, again=NEVER)
    change(document, 500.0)
    assert not autosave.write_now()
    barred.unlink()
    qtbot.wait(2 * SOON)
    assert not autosave.copy.exists()
    assert autosave._again.isActive()
    assert autosave.write_now()
    assert not autosave._again.isActive()
    autosave.close()
    caplog.clear()


@pytest.mark.parametrize("end", [Autosave.leave, Autosave.close])
def test_what_could_not_be_kept_is_not_tried_after_the_end(
    document: Document,
    tmp_path: Path,
    qtbot: QtBot,
    caplog: pytest.LogCaptureFixture,
    end: Callable[[Autosave], None],
) -> None:
    barred = tmp_path / "file"
    barred.touch()
    autosave = Autosave(document, barred / "recovery", delay=SOON, again=SOON)
    change(document, 500.0)
    assert not autosave.write_now()
    end(autosave)
    barred.unlink()
    qtbot.wait(3 * SOON)
    assert list(tmp_path.iterdir()) == []
    caplog.clear()


# --- A slow disk ----------------------------------------------------------------------------------


class SlowDisk:
    """Writes nothing before it is told to go on, but for two seconds at most."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.begun, self.go_on = threading.Event(), threading.Event()
        self._write = app.files.autosave.write_whole
        monkeypatch.setattr(app.files.autosave, "write_whole", self)

    def __call__(self, *arguments: object, **more: object) -> object:
        self.begun.set()
        self.go_on.wait(2.0)
        return self._write(*arguments, **more)


def test_the_last_state_is_the_one_that_lies_there(
    autosave: Autosave,
    document: Document,
    tmp_path: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Though the disk was slower with the one before."""
    with monkeypatch.context() as patch:
        disk = SlowDisk(patch)
        change(document, 500.0)
        qtbot.waitUntil(disk.begun.is_set)
    change(document, 510.0)
    threading.Timer(0.1, disk.go_on.set).start()
    assert autosave.write_now()
    qtbot.wait(150)
    autosave.leave()
    (left,) = left_overs(tmp_path)
    assert left.project.bag.body.width == 510.0
    left.forget()


def test_a_copy_that_is_being_written_goes_with_the_bag_that_is_closed(
    autosave: Autosave,
    document: Document,
    tmp_path: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    disk = SlowDisk(monkeypatch)
    change(document, 500.0)
    qtbot.waitUntil(disk.begun.is_set)
    threading.Timer(0.1, disk.go_on.set).start()
    autosave.close()
    qtbot.waitUntil(lambda: not writers())
    assert list(tmp_path.iterdir()) == []


def test_a_disk_that_hangs_does_not_hold_who_leaves(
    autosave: Autosave,
    document: Document,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    disk = SlowDisk(monkeypatch)
    monkeypatch.setattr(app.files.autosave, "PATIENCE", 0.02)
    change(document, 500.0)
    qtbot.waitUntil(disk.begun.is_set)
    autosave.leave()
    assert writers(), "it is at it still"
    monkeypatch.setattr(disk, "_write", failing(OSError(errno.EIO, os.strerror(errno.EIO))))
    with qtbot.waitSignal(autosave.failed):
        disk.go_on.set()
    qtbot.waitUntil(lambda: not writers())
    assert not autosave._again.isActive(), "what fails after the end is not tried again"
    caplog.clear()


# --- What is told -----------------------------------------------------------------------------


def failing(error: Exception) -> Callable[..., None]:
    def fail(*_: object, **__: object) -> None:
        raise error

    return fail


def test_trouble_is_told_once_and_shown_for_as_long_as_it_lasts(
    document: Document,
    tmp_path: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    autosave = Autosave(document, tmp_path, delay=NEVER)
    told: list[str] = []
    shown: list[str] = []
    autosave.failed.connect(told.append)
    autosave.trouble_changed.connect(shown.append)
    full, other = (
        f"No recovery copy can be kept: {reason}. Save often."
        for reason in ("all is full", "embedded null byte")
    )
    errors = (
        OSError(errno.ENOSPC, "All is full"),
        OSError(errno.ENOSPC, "All is full"),
        ValueError("embedded null byte"),
        None,
        None,
        ValueError("embedded null byte"),
    )
    for width, error in enumerate(errors, 500):
        with monkeypatch.context() as patch:
            if error is not None:
                patch.setattr(app.files.autosave, "write_whole", failing(error))
            change(document, float(width))
            assert autosave.write_now() is (error is None)
        qtbot.wait(1)
    assert shown == [full, other, "", other]
    assert told == [full, other]
    autosave.close()
    caplog.clear()


def test_a_bag_that_no_file_could_hold_is_told(
    tmp_path: Path, qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    document = Document(replace(demo_bag(), name="half a sign: \ud83e"))
    autosave = Autosave(document, tmp_path, delay=NEVER)
    with pytest.raises(BagFileError) as refused:
        project_to_json(document.to_keep)
    told: list[str] = []
    autosave.failed.connect(told.append)
    document.mark_unsaved()
    assert not autosave.write_now()
    qtbot.waitUntil(lambda: bool(told))
    reason = str(refused.value)
    assert told == [f"No recovery copy can be kept: {reason} Save often."]
    assert reason.endswith(".")
    autosave.close()
    caplog.clear()


def test_a_copy_is_kept_of_what_a_file_may_hold_and_no_more(
    autosave: Autosave,
    document: Document,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    told: list[str] = []
    autosave.failed.connect(told.append)
    change(document, 500.0)
    size = len(project_to_json(document.to_keep).encode())
    monkeypatch.setattr(app.files.autosave, "MOST_BYTES", size)
    assert autosave.write_now()
    monkeypatch.setattr(app.files.autosave, "MOST_BYTES", size - 1)
    assert not autosave.write_now()
    qtbot.waitUntil(lambda: bool(told))
    assert told == ["No recovery copy can be kept: the bag is too large. Save often."]
    caplog.clear()
