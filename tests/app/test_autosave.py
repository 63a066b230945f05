"""Keeping a copy by itself: when it is written, when no more, and what is told if it cannot be."""

import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

import app.autosave
from app.autosave import Autosave
from app.document import Document
from app.lock_file import LockFile, Taking
from app.recovery_copy import left_overs
from core.bagfile import demo_bag

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
    assert [each.project.bag.panel.width for each in found] == ([500.0] if stays else [])
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
    monkeypatch.setattr(LockFile, "take", lambda _: Taking.IMPOSSIBLE)
    change(document, 500.0)
    assert not autosave.write_now()
    assert not autosave.copy.exists()
    assert len(told) == 1
    assert "its folder cannot be written" in told[0]
    caplog.clear()


def test_a_disk_that_hangs_holds_nobody(
    autosave: Autosave, document: Document, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = app.autosave.write_whole

    def late(*arguments: object, **more: object) -> object:
        time.sleep(0.2)
        return real(*arguments, **more)

    monkeypatch.setattr(app.autosave, "write_whole", late)
    monkeypatch.setattr(app.autosave, "PATIENCE", 0.02)
    change(document, 500.0)
    assert not autosave.write_now()
    monkeypatch.setattr(app.autosave, "PATIENCE", 5.0)
    assert autosave.write_now()
