"""Recovery copies on the disk: what is offered, what cannot be, and who holds one."""

import errno
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PySide6.QtCore import QLockFile
from pytestqt.qtbot import QtBot

import app.files.recovery
from app.files.recovery import FORMAT, CopyRecord, Recovery, left_overs
from core.storage.bag_file import VERSION, project_to_json
from core.storage.bag_files import demo_bag
from core.storage.project import Project
from tests.app.hands import Hands
from tests.app.test_file_watch import needs_pipes, nobody_waits_for
from tests.app.test_recovery import copies, kept
from tests.helpers import write_bag

A, B = "a" * 16, "b" * 16
"""Names of copies."""
YEAR_3000 = datetime(3000, 1, 1, tzinfo=UTC).timestamp()
"""By Python's own calendar."""


def copy_text(**other: object) -> bytes:
    """A copy's content as earlier programs wrote it, with other values under some keys."""
    plain = {"format": FORMAT, "path": None, "seen": None, "at": 1.7e9}
    return json.dumps(
        plain | {"project": project_to_json(Project(bag=demo_bag()))} | other
    ).encode()


def failing(number: int) -> Callable[..., None]:
    """What the disk answers instead of doing anything; which kind of error it is, Python knows."""

    def fail(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    return fail


def test_a_damaged_copy_is_put_aside(folder: Path, caplog: pytest.LogCaptureFixture) -> None:
    folder.mkdir()
    whole = b'{"format":"cornerwright recovery 1","path":null,"seen":null,"at":1.0,"project":"{}"}'
    bad = (b"", b"{", b"[]", b"\xff", whole, whole.replace(b"1.0", b"1e300"))
    for number, content in enumerate(bad):
        (folder / f"{number:016}.json").write_bytes(content)
    assert left_overs(folder) == []
    assert len(list(folder.glob("*.unreadable"))) == len(bad)
    assert left_overs(folder) == []
    caplog.clear()


def test_a_damaged_copy_is_told_once_with_its_place(
    hands: Hands, folder: Path, caplog: pytest.LogCaptureFixture
) -> None:
    folder.mkdir()
    (folder / f"{A}.json").write_bytes(b"{")
    recovery = Recovery(hands.window, folder)
    recovery.begin(None)
    assert hands.answers.told == [
        "A bag was not saved when the program ended, and its recovery copy is damaged. What is "
        f"left of it is kept as {folder / (A + '.unreadable')}."
    ]
    assert (folder / f"{A}.unreadable").read_bytes() == b"{"
    recovery.begin(None)
    assert len(hands.answers.told) == 1
    caplog.clear()


@pytest.mark.parametrize("at", [1e300, -1e300, -5, 0, YEAR_3000, "noon", None, [1], 10**30, True])
def test_a_copy_with_a_bad_time_is_still_offered(folder: Path, at: object) -> None:
    folder.mkdir()
    copy = folder / f"{A}.json"
    copy.write_bytes(copy_text(at=at))
    os.utime(copy, (1.6e9, 1.6e9))
    (found,) = left_overs(folder)
    assert found.project == Project(bag=demo_bag())
    assert found.at == datetime.fromtimestamp(1.6e9)
    found.leave()


@pytest.mark.parametrize("at", [0.5, YEAR_3000 - 1.0])
def test_any_other_time_is_that_of_the_copy(folder: Path, at: float) -> None:
    folder.mkdir()
    (folder / f"{A}.json").write_bytes(copy_text(at=at))
    (found,) = left_overs(folder)
    assert found.at == datetime.fromtimestamp(at)
    found.leave()


def test_a_copy_of_an_earlier_program_is_read(folder: Path, tmp_path: Path) -> None:
    folder.mkdir()
    (folder / f"{A}.json").write_bytes(copy_text(path=str(tmp_path / "mine.json"), seen="abc"))
    (found,) = left_overs(folder)
    assert (found.path, found.seen) == (tmp_path / "mine.json", "abc")
    assert found.at == datetime.fromtimestamp(1.7e9)
    found.leave()


@pytest.mark.parametrize(
    "other",
    [
        {"format": "cornerwright recovery 2"},
        {"format": "cornerwright recovery 2", "project": ["of another kind"]},
        {"format": "cornerwright recovery 10"},
        {"project": json.dumps({"format": "cornerwright bag", "version": VERSION + 1})},
    ],
)
def test_a_copy_of_a_newer_program_stays_and_is_told(
    hands: Hands, folder: Path, other: dict[str, object]
) -> None:
    folder.mkdir()
    content = copy_text(**other)
    (folder / f"{A}.json").write_bytes(content)
    Recovery(hands.window, folder).begin(None)
    (told,) = hands.answers.told
    assert "newer version" in told
    assert str(folder / f"{A}.json") in told
    assert [each.name for each in folder.iterdir()] == [f"{A}.json"]
    assert (folder / f"{A}.json").read_bytes() == content


def test_a_copy_that_the_disk_does_not_give_stays_and_is_told(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder.mkdir()
    copy = folder / f"{A}.json"
    copy.write_bytes(copy_text())

    told: list[str] = []
    with monkeypatch.context() as patch:
        patch.setattr(Path, "open", failing(errno.EIO))
        assert left_overs(folder, told.append) == []
    (sentence,) = told
    assert sentence.startswith(f"The recovery copy {copy} of an unsaved bag cannot be read: ")
    (found,) = left_overs(folder, told.append)
    assert len(told) == 1
    found.leave()


@needs_pipes
def test_what_is_no_file_is_no_copy(folder: Path) -> None:
    (folder / f"{A}.json").mkdir(parents=True)
    os.mkfifo(folder / f"{B}.json")
    with nobody_waits_for(folder / f"{B}.json"):
        assert left_overs(folder) == []
    assert {each.name for each in folder.iterdir()} == {f"{A}.json", f"{B}.json"}


@pytest.mark.parametrize("spoil", [Path.touch, Path.mkdir, lambda lock: lock.write_text("zzz")])
def test_a_copy_whose_lock_names_nobody_is_offered(
    folder: Path, spoil: Callable[[Path], None]
) -> None:
    kept(folder)
    (copy,) = copies(folder)
    spoil(copy.with_suffix(".lock"))
    (found,) = left_overs(folder)
    assert found.project.bag.body.width == 500.0
    found.forget()
    assert copies(folder) == []


def test_the_lock_of_a_killed_window_goes_where_it_has_no_copy(folder: Path) -> None:
    kept(folder)
    (copy,) = copies(folder)
    for name in (f"{B}.lock", copy.with_suffix(".lock").name):
        (folder / name).write_text("999999999\ncornerwright\n\n")
    living = QLockFile(str(folder / f"{A}.lock"))
    assert living.tryLock(0)
    (found,) = left_overs(folder)
    assert {each.stem for each in folder.glob("*.lock")} == {copy.stem, A}
    found.forget()
    living.unlock()
    assert list(folder.iterdir()) == []


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere names are Unicode")
@pytest.mark.parametrize("name", [b"caf\xe9.json", b"caf\xe9/mine.json"])
def test_a_file_whose_name_is_not_unicode_has_a_copy_too(
    hands: Hands, folder: Path, tmp_path: Path, name: bytes
) -> None:
    path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/" + name))
    path.parent.mkdir(exist_ok=True)
    write_bag(demo_bag(), path)
    recovery = Recovery(hands.window, folder)
    recovery.begin(str(path))
    hands.document.set_figures({"panel_width": 500.0}, "Panel width")
    assert recovery.autosave.write_now()
    recovery.autosave._lock.free()  # as a kill would have done
    (found,) = left_overs(folder)
    assert found.path == path
    assert found.seen == hands.window.files.watch.seen
    assert found.project.bag.body.width == 500.0
    found.leave()


def test_a_lock_of_a_dead_process_holds_nothing(qtbot: QtBot, folder: Path) -> None:
    kept(folder)
    (copy,) = copies(folder)
    dead = subprocess.Popen([sys.executable, "-c", ""])
    dead.wait()
    lock = QLockFile(str(copy.with_suffix(".lock")))
    assert lock.tryLock(0)
    content = copy.with_suffix(".lock").read_text().splitlines()
    lock.unlock()
    copy.with_suffix(".lock").write_text("\n".join([str(dead.pid), *content[1:]]) + "\n")
    (found,) = left_overs(folder)
    found.forget()


@pytest.mark.parametrize(
    "other",
    [
        {"format": "another program 2", "project": json.dumps({"version": VERSION + 1})},
        {"format": "cornerwright recovery 0"},
        {"format": "cornerwright recovery two"},
        {"format": "cornerwright recovery 01"},
        {"format": "cornerwright recovery " + "9" * 5000},
        {"format": "2"},
        {"format": ["cornerwright recovery 2"]},
        {"project": json.dumps({"format": "cornerwright bag", "version": VERSION})},
        {"project": json.dumps({"format": "cornerwright bag", "version": "newest"})},
        {"project": json.dumps([VERSION + 1])},
        {"project": json.dumps({})},
        {"project": "no text of a file"},
        {"project": "[" * 100_000},
    ],
)
def test_what_is_not_of_a_newer_program_is_damaged_and_put_aside(
    folder: Path, other: dict[str, object], caplog: pytest.LogCaptureFixture
) -> None:
    folder.mkdir()
    (folder / f"{A}.json").write_bytes(copy_text(**other))
    told: list[str] = []
    assert left_overs(folder, told.append) == []
    (sentence,) = told
    assert "is damaged" in sentence
    assert str(folder / f"{A}.unreadable") in sentence
    assert [each.name for each in folder.iterdir()] == [f"{A}.unreadable"]
    caplog.clear()


def test_a_damaged_copy_that_cannot_be_put_aside_is_told_where_it_lies(
    folder: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    folder.mkdir()
    (folder / f"{A}.json").write_bytes(b"{")

    def refuse(*_: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    told: list[str] = []
    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", refuse)
        assert left_overs(folder, told.append) == []
    (sentence,) = told
    assert sentence.endswith(f"is kept as {folder / (A + '.json')}.")
    caplog.clear()


@pytest.mark.parametrize("key", ["at", "of another program"])
def test_a_copy_that_is_nested_without_end_stops_no_other(
    folder: Path, key: str, caplog: pytest.LogCaptureFixture
) -> None:
    """A limit of the decoder's own: 100,000 levels are too many for any (JSON has none)."""
    folder.mkdir()
    endless = b"[" * 100_000 + b"]" * 100_000
    (folder / f"{A}.json").write_bytes(copy_text(**{key: "endless"}).replace(b'"endless"', endless))
    (folder / f"{B}.json").write_bytes(copy_text())
    told: list[str] = []
    (found,) = left_overs(folder, told.append)
    assert found.project == Project(bag=demo_bag())
    (sentence,) = told
    assert str(folder / f"{A}.unreadable") in sentence
    found.leave()
    caplog.clear()


def test_copies_are_found_in_the_order_of_their_time_and_then_of_their_names(
    folder: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """Whatever order the disk gives them in."""
    folder.mkdir()
    times = {"a": 1.6e9, "b": 1.7e9, "c": 1.7e9, "d": 1.5e9}
    for name, at in times.items():
        bag = replace(demo_bag(), name=name)
        text = project_to_json(Project(bag=bag))
        (folder / f"{name * 16}.json").write_bytes(copy_text(at=at, project=text))
    for name in ("e", "f"):
        (folder / f"{name * 16}.json").write_bytes(b"{")
    glob = Path.glob
    monkeypatch.setattr(Path, "glob", lambda *args: sorted(glob(*args), reverse=True))
    told: list[str] = []
    found = left_overs(folder, told.append)
    assert [each.project.bag.name for each in found] == ["b", "c", "a", "d"]
    first, second = told
    assert f"{'e' * 16}.unreadable" in first
    assert f"{'f' * 16}.unreadable" in second
    for each in found:
        each.forget()
    caplog.clear()


def test_the_same_bag_of_two_files_is_found_twice(folder: Path, tmp_path: Path) -> None:
    folder.mkdir()
    files = {tmp_path / "one.json", tmp_path / "other.json"}
    for number, file in enumerate(files):
        (folder / f"{number:016}.json").write_bytes(copy_text(path=str(file)))
    found = left_overs(folder)
    assert {each.path for each in found} == files
    for each in found:
        each.leave()
    again = left_overs(folder)
    assert {each.path for each in again} == files, "who leaves them leaves them to the next start"
    for each in again:
        each.forget()
    assert list(folder.iterdir()) == []


def test_a_folder_that_cannot_be_entered_holds_no_copies(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def bar(*_: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(Path, "glob", bar)
    told: list[str] = []
    assert left_overs(folder, told.append) == []
    assert told == []


def test_a_copy_tells_its_time_and_its_file_in_plain_text_where_that_is_some(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Earlier programs know the file by nothing else."""
    monkeypatch.chdir(tmp_path)
    path = Path("méh.json")
    project = Project(bag=demo_bag())
    before = time.time()
    record = CopyRecord.of(project, path, "digest")
    assert before <= record.at <= time.time()
    assert (record.path, record.path_bytes) == (str(tmp_path / path), None)
    assert record.file == tmp_path / path
    assert CopyRecord.of(project, None, None).file is None


def test_a_copy_that_another_window_was_quicker_with_is_passed_over(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder.mkdir()
    (folder / f"{A}.json").write_bytes(copy_text())

    told: list[str] = []
    with monkeypatch.context() as patch:
        patch.setattr(Path, "open", failing(errno.ENOENT))
        assert left_overs(folder, told.append) == []
    assert told == []


def test_a_copy_that_goes_while_it_is_read_stops_nothing(
    folder: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    folder.mkdir()
    (folder / f"{A}.json").write_bytes(copy_text(at=None))

    with monkeypatch.context() as patch:
        patch.setattr(app.files.recovery, "_moment", failing(errno.ENOENT))
        assert left_overs(folder, lambda _: None) == []
    caplog.clear()
