"""One lock file by itself: what taking it comes to, and who has it."""

import os
import threading
from pathlib import Path

import pytest

from app.files.watch import SETTLING, LockResult, ProcessLock, is_ordinary


@pytest.fixture
def place(tmp_path: Path) -> Path:
    return tmp_path / "bag.json.lock"


def test_a_lock_is_taken_kept_and_given_back(qapp: object, place: Path) -> None:
    lock = ProcessLock(place)
    assert not lock.is_held
    assert lock.take() is LockResult.TAKEN
    assert lock.take() is LockResult.TAKEN
    assert lock.is_held
    assert is_ordinary(place)
    lock.free()
    assert not lock.is_held
    assert not place.exists()


def test_a_lock_that_is_taken_away_is_taken_again(qapp: object, place: Path) -> None:
    lock = ProcessLock(place)
    lock.take()
    place.unlink()
    assert lock.take() is LockResult.TAKEN
    assert place.exists()
    lock.free()


def test_two_never_have_it(qapp: object, place: Path) -> None:
    one, other = ProcessLock(place), ProcessLock(place)
    assert one.take() is LockResult.TAKEN
    assert other.take() is LockResult.HELD
    assert not other.is_held
    assert one.is_held
    one.free()
    assert other.take() is LockResult.TAKEN
    assert one.take() is LockResult.HELD
    other.free()


def test_no_lock_grows_old(qapp: object, place: Path) -> None:
    """Qt takes one for left behind after 30 seconds, unless told that none ever is."""
    one, other = ProcessLock(place), ProcessLock(place)
    one.take()
    os.utime(place, (1.6e9, 1.6e9))
    assert other.take() is LockResult.HELD
    assert other._lock.staleLockTime() == 0
    one.free()


def test_a_lock_that_is_just_being_made_is_waited_for(qapp: object, place: Path) -> None:
    """It names nobody yet: it may be given back at once, or turn out to be another's."""
    one, other = ProcessLock(place), ProcessLock(place)
    one.take()
    place.write_text("")
    later = threading.Timer(SETTLING / 4000, one.free)
    later.start()
    assert other.take() is LockResult.TAKEN
    later.join()
    other.free()
    one.take()
    place.write_text("")
    name = f"{os.getppid()}\nanother\nelsewhere\n"
    later = threading.Timer(SETTLING / 4000, place.write_text, [name])
    later.start()
    assert other.take() is LockResult.HELD
    later.join()
    assert place.read_text() == name
    one.free()


@pytest.mark.parametrize("left", ["", f"{os.getpid()}\nname\nmachine\n"], ids=["nobody", "us"])
def test_a_lock_that_nobody_holds_is_taken_over(qapp: object, place: Path, left: str) -> None:
    """A full disk leaves one without a name; one of this process's number is a dead one's."""
    place.write_text(left)
    lock = ProcessLock(place)
    assert lock.take() is LockResult.TAKEN
    assert lock.is_held
    assert place.read_text().splitlines()[0] == str(os.getpid())
    lock.free()


def test_where_no_lock_can_lie_none_is_taken(qapp: object, tmp_path: Path) -> None:
    folder = tmp_path / "folder.lock"
    folder.mkdir()
    for path in (folder, tmp_path / "no such folder" / "bag.lock", tmp_path / "a\0b"):
        lock = ProcessLock(path)
        assert lock.take() is LockResult.IMPOSSIBLE, path
        assert not lock.is_held
        assert "not known which" in lock.holder
    assert folder.is_dir()


def test_who_has_it_is_told_with_process_and_machine(qapp: object, place: Path) -> None:
    lock, other = ProcessLock(place), ProcessLock(place)
    lock.take()
    process, _, host = place.read_text().splitlines()[:3]
    assert int(process) == os.getpid()
    assert other.holder == f"process {process} on {host}"
    lock.free()
    place.write_text(f"{process}\nname\n\n")
    assert other.holder == f"process {process}"
    place.write_text("\n\n\n")
    assert "not known which" in other.holder


def test_only_a_file_is_ordinary(tmp_path: Path, place: Path) -> None:
    assert not is_ordinary(place)
    place.write_text("")
    link = tmp_path / "link"
    link.symlink_to(place)
    assert is_ordinary(place)
    assert is_ordinary(link)
    assert not is_ordinary(tmp_path)
    assert not is_ordinary(tmp_path / "a\0b")
