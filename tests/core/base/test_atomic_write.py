"""Writing a file whole: who may read it at any moment, and the names of what lies beside it.

That a kill or a power cut at any step leaves a whole file is tried in
`tests/faults/test_saving.py`.
"""

import errno
import os
import stat
import struct
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from core.base import atomic_write as wholefile
from core.base.atomic_write import (
    PRIVATE,
    PRIVATE_FOLDER,
    RefusedPlaceError,
    beside,
    check_place,
    close_to_others,
    reason_of,
    write_whole,
)
from core.base.errors import BagFileError
from core.storage.bag_file import project_to_json
from core.storage.bag_files import backup_of, demo_bag, sample, write_project
from core.storage.project import Project
from tests.core.output.test_languages import Marked, marked
from tests.helpers import read_bag, write_bag

of_posix = pytest.mark.skipif(os.name == "nt", reason="permissions and their mask are of POSIX")


def mode_of(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@contextmanager
def umask(mask: int) -> Iterator[None]:
    before = os.umask(mask)
    try:
        yield
    finally:
        os.umask(before)


@contextmanager
def no_links() -> Iterator[None]:
    """As on a disk without hard links, where the backup is copied."""

    def refuse(*_: object) -> None:
        raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "link", refuse)
        yield


@pytest.fixture
def seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Permissions of every file in the folder whenever one is about to be synced."""
    found: list[int] = []
    sync = os.fsync

    def look(opened: int) -> None:
        found.extend(mode_of(each) for each in tmp_path.iterdir() if each.is_file())
        sync(opened)

    monkeypatch.setattr(os, "fsync", look)
    return found


def test_a_file_as_long_as_the_older_one_leaves_a_backup_too(tmp_path: Path) -> None:
    """One digit changed in a bag makes a file of the same size."""
    path, backup = tmp_path / "bag.json", tmp_path / "bag.json~"
    for content in (b"480 mm", b"481 mm", b"481 mm"):
        write_whole(path, content, backup=backup)
    assert backup.read_bytes() == b"480 mm", "the same again is no other state"


@of_posix
def test_the_folder_that_a_link_leads_to_is_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A new name lasts once its own folder was (POSIX.1-2017, fsync), be it reached by a link."""
    real = tmp_path / "elsewhere"
    real.mkdir()
    (real / "pattern.pdf").write_bytes(b"old")
    link = tmp_path / "pattern.pdf"
    link.symlink_to(real / "pattern.pdf")
    waited: list[int] = []
    sync = os.fsync

    def note(opened: int) -> None:
        sync(opened)
        waited.append(os.fstat(opened).st_ino)

    monkeypatch.setattr(os, "fsync", note)
    write_whole(link, b"new")
    assert waited == [(real / "pattern.pdf").stat().st_ino, real.stat().st_ino]


# --- Who may read it --------------------------------------------------------------------------


@of_posix
@pytest.mark.parametrize("mode", [0o600, 0o640, 0o606])
@pytest.mark.parametrize("links", [True, False])
def test_nothing_of_a_save_is_more_open_than_the_file(
    tmp_path: Path, seen: list[int], mode: int, links: bool
) -> None:
    path = tmp_path / "bag.json"
    with umask(0):
        write_bag(sample("lunch"), path)
        path.chmod(mode)
        seen.clear()
        if links:
            write_bag(sample("tote"), path)
        else:
            with no_links():
                write_bag(sample("tote"), path)
    assert mode_of(path) == mode_of(backup_of(path)) == mode
    assert len(seen) >= 4, "file, and backup, were looked at while they were made"
    assert all(each | mode == mode for each in seen)


@of_posix
@pytest.mark.parametrize("mask", [0o000, 0o022, 0o027, 0o077])
def test_a_new_file_is_as_open_as_the_umask_says(
    tmp_path: Path, seen: list[int], mask: int
) -> None:
    with umask(mask):
        write_bag(demo_bag(), tmp_path / "bag.json")
    assert mode_of(tmp_path / "bag.json") == 0o666 & ~mask
    assert set(seen) == {0o666 & ~mask}


@of_posix
def test_a_private_file_is_so_from_its_first_byte(tmp_path: Path, seen: list[int]) -> None:
    path = tmp_path / "copy.json"
    with umask(0):
        path.write_bytes(b"older")
        write_whole(path, b"newer", mode=PRIVATE)
        assert mode_of(path) == 0o600
        path.unlink()
        seen.clear()
        write_whole(path, b"newer", mode=PRIVATE)
        assert set(seen) == {0o600}
        seen.clear()
        check_place(tmp_path / "pattern.pdf")
        assert set(seen) == {0o600}


@of_posix
@pytest.mark.parametrize("mode", [0o644, 0o640])
def test_permissions_that_are_asked_for_are_given(tmp_path: Path, mode: int) -> None:
    with umask(0):
        write_whole(tmp_path / "copy.json", b"content", mode=mode)
    assert mode_of(tmp_path / "copy.json") == mode


@of_posix
def test_what_is_for_its_owner_alone_gives_others_nothing(tmp_path: Path) -> None:
    """POSIX.1-2017, <sys/stat.h>: the owner's bits are the upper three of nine."""
    folder = tmp_path / "private"
    with umask(0):
        folder.mkdir(PRIVATE_FOLDER)
        write_whole(folder / "copy.json", b"content", mode=PRIVATE)
    assert mode_of(folder) == PRIVATE_FOLDER == stat.S_IRWXU
    assert mode_of(folder / "copy.json") == PRIVATE == stat.S_IRUSR | stat.S_IWUSR


def test_a_place_that_was_written_to_is_one_though_its_trial_cannot_be_removed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))

    with monkeypatch.context() as patch:
        patch.setattr(Path, "unlink", refuse)
        check_place(tmp_path / "pattern.pdf")
    (left,) = tmp_path.iterdir()
    assert left.name.endswith(".tmp")


@of_posix
def test_a_group_that_cannot_be_given_gets_what_others_get(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The new file is of the writer's own group then: not those whom the mode was meant for."""

    def refuse(*_: object) -> None:
        raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "fchown", refuse)
    path = tmp_path / "bag.json"
    for mode, expected in ((0o640, 0o600), (0o664, 0o644), (0o604, 0o644), (0o705, 0o755)):
        write_bag(sample("lunch"), path)
        path.chmod(mode)
        write_bag(sample("tote"), path)
        assert mode_of(path) == expected


@of_posix
def test_owner_and_group_are_given_or_else_the_group_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """POSIX.1-2017, chown: an ID of -1 is left as it is; only who may all may give an owner."""
    given: list[tuple[int, int]] = []

    def refuse_owner(_: int, owner: int, group: int) -> None:
        given.append((owner, group))
        if owner != -1:
            raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))

    path = tmp_path / "bag.json"
    path.write_bytes(b"old")
    path.chmod(0o4640)
    status = path.stat()
    monkeypatch.setattr(os, "fchown", refuse_owner)
    write_whole(path, b"new")
    assert given == [(status.st_uid, status.st_gid), (-1, status.st_gid)]
    assert mode_of(path) == 0o640, "as before, but that nobody becomes its owner by running it"
    given.clear()
    monkeypatch.setattr(os, "fchown", lambda *words: given.append(words[1:]))
    write_whole(path, b"newer")
    assert given == [(status.st_uid, status.st_gid)]


@of_posix
@pytest.mark.parametrize("call", ["fchmod", "getxattr", "setxattr"])
def test_a_file_whose_readers_cannot_be_set_is_for_its_owner_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    path = tmp_path / "bag.json"
    path.write_bytes(b"old")
    path.chmod(0o644)
    if call == "setxattr":
        set_list(path, "access")

    def refuse(*_: object) -> None:
        raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, call, refuse, raising=False)
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert mode_of(path) == (0o644 if call == "getxattr" else 0o600)


@pytest.mark.skipif(not hasattr(os, "removexattr"), reason="access lists are of Linux")
@pytest.mark.parametrize(("number", "mode"), [(errno.ENODATA, 0o644), (errno.EPERM, 0o600)])
def test_a_folders_list_that_stays_opens_the_file_to_nobody(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, mode: int
) -> None:
    """To set the mode would let in whom the list names; ENODATA: there is none (removexattr(2))."""
    path = tmp_path / "bag.json"
    path.write_bytes(b"old")
    path.chmod(0o644)

    def fail(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    def have_none(*_: object) -> None:
        raise OSError(errno.ENODATA, os.strerror(errno.ENODATA))

    monkeypatch.setattr(os, "getxattr", have_none)
    monkeypatch.setattr(os, "removexattr", fail)
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert mode_of(path) == mode


@of_posix
def test_a_system_without_access_lists_is_asked_for_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("getxattr", "setxattr", "removexattr"):
        monkeypatch.delattr(os, name, raising=False)
    path = tmp_path / "bag.json"
    path.write_bytes(b"old")
    path.chmod(0o644)
    write_whole(path, b"new")
    assert mode_of(path) == 0o644


@of_posix
def test_on_windows_a_file_takes_after_its_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """There neither owners nor modes of POSIX are, and no folder can be opened."""
    like, path = tmp_path / "like", tmp_path / "made"
    for each, mode in ((like, 0o644), (path, 0o600)):
        each.write_bytes(b"content")
        each.chmod(mode)
    with path.open("rb") as file, monkeypatch.context() as patch:
        patch.setattr(os, "name", "nt")
        patch.delattr(os, "fchown")
        patch.delattr(os, "open")
        wholefile._share_like(file.fileno(), like)
        wholefile._settle(tmp_path)
    assert mode_of(path) == 0o600


def access_list(*entries: tuple[int, int, int]) -> bytes:
    """An access list as Linux keeps it (linux/posix_acl_xattr.h): tag, permissions, who."""
    return struct.pack("<I", 2) + b"".join(struct.pack("<HHI", *entry) for entry in entries)


NOBODY = 0xFFFF_FFFF
OWNER, USER, GROUP, MASK, OTHERS = 1, 2, 4, 16, 32
READER = access_list(
    (OWNER, 6, NOBODY), (USER, 4, 4321), (GROUP, 0, NOBODY), (MASK, 4, NOBODY), (OTHERS, 0, NOBODY)
)
"""One more reader, and none in the file's group: its mode reads 0640 all the same."""


def set_list(path: Path, kind: str) -> None:
    try:
        os.setxattr(path, f"system.posix_acl_{kind}", READER)
    except (AttributeError, OSError) as error:
        pytest.skip(f"no access lists here: {error}")


@pytest.mark.parametrize("links", [True, False])
def test_a_list_of_further_readers_stays_as_it_is(tmp_path: Path, links: bool) -> None:
    path = tmp_path / "bag.json"
    write_bag(sample("lunch"), path)
    set_list(path, "access")
    if links:
        write_bag(sample("tote"), path)
    else:
        with no_links():
            write_bag(sample("tote"), path)
    for each in (path, backup_of(path)):
        assert os.getxattr(each, "system.posix_acl_access") == READER
        assert mode_of(each) == 0o640


def test_a_folders_list_adds_no_readers_to_a_file_that_has_none(tmp_path: Path) -> None:
    path = tmp_path / "bag.json"
    write_bag(sample("lunch"), path)
    path.chmod(0o640)
    set_list(tmp_path, "default")
    write_bag(sample("tote"), path)
    with pytest.raises(OSError, match="No data"):
        os.getxattr(path, "system.posix_acl_access")
    assert mode_of(path) == 0o640


@of_posix
def test_files_are_closed_to_others_and_links_are_left(tmp_path: Path) -> None:
    names = ("a.log", "a.log.1", "other")
    for name in names:
        (tmp_path / name).touch(0o666)
        (tmp_path / name).chmod(0o664)
    (tmp_path / "a.log.2").symlink_to(tmp_path / "other")
    (tmp_path / "a.log.3").mkdir(0o755)
    close_to_others(tmp_path, "a.log*")
    modes = {each.name: mode_of(each) for each in tmp_path.iterdir()}
    assert modes == {
        "a.log": 0o600, "a.log.1": 0o600, "a.log.2": 0o664, "a.log.3": 0o755, "other": 0o664,
    }  # fmt: skip
    close_to_others(tmp_path / "does not exist", "*")
    (tmp_path / "a.log").chmod(0o755)
    close_to_others(tmp_path, "a.log")
    assert mode_of(tmp_path / "a.log") == 0o700


# --- Where it lies -------------------------------------------------------------------------------


@of_posix
def test_a_link_that_leads_nowhere_known_is_not_put_out_of_its_place(tmp_path: Path) -> None:
    one, other = tmp_path / "one.json", tmp_path / "other.json"
    one.symlink_to(other)
    other.symlink_to(one)
    with pytest.raises(BagFileError, match=r"one\.json cannot be written: .*symbolic links"):
        write_bag(demo_bag(), one)
    assert one.is_symlink()
    assert {each.name for each in tmp_path.iterdir()} == {"one.json", "other.json"}
    other.unlink()
    write_bag(demo_bag(), one)
    assert read_bag(other) == demo_bag(), "the link's file is made where it is missing"
    assert one.is_symlink()


def make_pipe(path: Path) -> None:
    os.mkfifo(path)


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (Path.mkdir, "it is a folder"),
        (make_pipe, "it is not an ordinary file"),
        (lambda path: path.parent.rmdir(), "its folder does not exist"),
    ],
)
@of_posix
def test_where_no_file_can_lie_is_told_in_plain_words(
    tmp_path: Path, make: Callable[[Path], object], told: str
) -> None:
    path = tmp_path / "bags" / "bag.json"
    path.parent.mkdir()
    make(path)
    before = sorted(tmp_path.rglob("*"))
    for act in (check_place, lambda path: write_whole(path, b"content")):
        with pytest.raises(OSError, match=told) as caught:
            act(path)
        assert reason_of(caught.value).text(translate=Marked()) == marked(told)
    assert sorted(tmp_path.rglob("*")) == before


def test_a_file_that_is_write_protected_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever runs this may be allowed all: the system's answer is put in its mouth."""
    path = tmp_path / "bag.json"
    path.write_bytes(b"old")
    asked: list[tuple[Path, int]] = []
    monkeypatch.setattr(os, "access", lambda *words: asked.append(words))
    with pytest.raises(RefusedPlaceError, match="it is write-protected"):
        write_whole(path, b"new")
    assert asked == [(path, os.W_OK)]
    assert path.read_bytes() == b"old"


def test_a_backup_that_is_the_file_itself_becomes_one_of_its_own(tmp_path: Path) -> None:
    """A killed save leaves it so. To rename to another name of the same file does nothing.

    (POSIX.1-2017, rename: "shall return successfully and perform no other action".)
    """
    path, backup = tmp_path / "bag.json", tmp_path / "bag.json~"
    path.write_bytes(b"old")
    backup.hardlink_to(path)
    assert write_whole(path, b"new", backup=backup) is None
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == {
        path.name: b"new",
        backup.name: b"old",
    }


@of_posix
def test_no_folder_stays_open(tmp_path: Path) -> None:
    def next_free() -> int:
        opened = os.open(os.devnull, os.O_RDONLY)
        os.close(opened)
        return opened

    before = next_free()
    write_whole(tmp_path / "bag.json", b"content")
    assert next_free() == before


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (OSError(errno.EIO, "Input/output error"), "input/output error"),
        (OSError("No number"), "no number"),
        (ValueError("Embedded Null byte"), "embedded Null byte"),
    ],
)
def test_a_reason_is_the_end_of_a_sentence(error: OSError | ValueError, told: str) -> None:
    assert reason_of(error).text(translate=Marked()) == told


# --- Names of what lies beside it -----------------------------------------------------------------

LONGEST = 255
"""Of a name on the disks that are in use: bytes (ext4, XFS, btrfs, APFS), or units of UTF-16."""


def bytes_of(path: Path) -> int:
    return len(path.name.encode())


@pytest.mark.parametrize(
    "name", ["x" * 250 + ".json", "é" * 125 + ".json", "\N{SPOOL OF THREAD}" * 62 + "12.json"]
)
def test_a_file_with_the_longest_name_has_a_backup(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    assert bytes_of(path) == LONGEST
    write_bag(sample("lunch"), path)
    assert write_project(Project(bag=sample("tote")), path) is None
    assert read_bag(backup_of(path)) == sample("lunch")
    assert read_bag(path) == sample("tote")
    assert {each.name for each in tmp_path.iterdir()} == {name, backup_of(path).name}
    kept = backup_of(path).name
    assert kept.endswith("~")
    assert kept.startswith(name[:50])
    assert kept.isprintable(), "no sign is cut in two"


def test_a_name_is_cut_only_where_it_must_be(tmp_path: Path) -> None:
    just = tmp_path / ("x" * 249 + ".json")
    assert backup_of(just).name == f"{just.name}~"
    longer = [tmp_path / ("x" * 249 + f".json{last}") for last in "abc"]
    backups = {backup_of(each) for each in longer}
    assert len(backups) == len(longer), "each its own"
    assert {bytes_of(each) for each in backups} == {LONGEST}
    for spare in (0, 7, 100):
        found = beside(longer[0], ".", ".lock", spare=spare)
        assert bytes_of(found) == LONGEST - spare
        assert found.name.startswith(".xxx")
        assert found.name.endswith(".lock")
        assert found == beside(longer[0], ".", ".lock", spare=spare)


@of_posix
def test_a_disk_with_shorter_names_is_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Disks that encrypt names have room for fewer bytes: 143 with eCryptfs (from memory)."""
    monkeypatch.setattr(os, "pathconf", lambda *_: 143, raising=False)
    assert bytes_of(backup_of(tmp_path / ("x" * 143))) == 143
    assert backup_of(tmp_path / ("x" * 142)).name == "x" * 142 + "~"


# --- A backup that cannot be kept ------------------------------------------------------------


def test_why_there_is_no_backup_is_told(tmp_path: Path) -> None:
    path = tmp_path / "bag.json"
    first, second = Project(bag=sample("lunch")), Project(bag=sample("tote"))
    assert write_project(first, path) is None
    backup_of(path).mkdir()
    lost = write_project(second, path)
    assert lost is not None
    told = "bag.json was saved, but no backup of its earlier contents could be kept: "
    assert lost.text().startswith(told)
    assert lost.text().endswith(".")
    assert path.read_text(encoding="utf-8") == project_to_json(second)
    assert write_project(second, path) is None, "there was nothing else to keep"


@pytest.mark.parametrize(
    ("text", "wanted"),
    [("", "cbf29ce484222325"), ("a", "af63dc4c8601ec8c"), ("foobar", "85944171f73967e8")],
)
def test_the_digest_of_a_name_is_fnv_1a(text: str, wanted: str) -> None:
    """Test vectors of draft-eastlake-fnv, Appendix C (from memory)."""
    assert wholefile._digest(text) == wanted


@of_posix
def test_a_name_that_is_not_utf_8_has_a_digest_too(tmp_path: Path) -> None:
    one, other = (tmp_path / os.fsdecode(b"\xff" * 250 + end) for end in (b"one", b"two"))
    names = {beside(each, "~", ".bak").name for each in (one, other)}
    assert len(names) == 2
    assert all(len(os.fsencode(name)) <= 255 for name in names)


@of_posix
def test_a_disk_is_asked_for_its_longest_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the name that POSIX has for it (POSIX.1-2017, <limits.h>: NAME_MAX)."""
    monkeypatch.setattr(os, "pathconf", lambda _, asked: {"PC_NAME_MAX": 40}[asked])
    name = beside(tmp_path / ("long" * 20 + ".json"), "~", ".bak").name
    assert len(name) == 40


@of_posix
@pytest.mark.parametrize("error", [OSError(errno.ENOENT, "none"), ValueError("unknown name")])
def test_a_disk_that_does_not_tell_has_names_as_most_have(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def refuse(*_: object) -> None:
        raise error

    monkeypatch.setattr(os, "pathconf", refuse)
    assert bytes_of(backup_of(tmp_path / ("x" * 300))) == LONGEST


@of_posix
def test_on_windows_names_are_counted_in_units_of_utf_16(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """255 of them (NTFS); a sign beyond U+FFFF is two (Unicode 15.0, 3.9, D91)."""
    with monkeypatch.context() as patch:
        patch.setattr(os, "name", "nt")
        patch.delattr(os, "pathconf")
        longest = wholefile._longest_name(tmp_path)
        lengths = [wholefile._length(name) for name in ("é", "\N{SPOOL OF THREAD}", "\ud800")]
    assert longest == LONGEST
    assert lengths == [1, 2, 1]


def test_a_disk_without_room_for_any_such_name_is_given_the_shortest(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(wholefile, "_longest_name", lambda _: 5)
    name = beside(tmp_path / "bag.json", "~", ".bak").name
    assert name.startswith("~b-")
    assert name.endswith(".bak")


@of_posix
def test_files_that_cannot_be_closed_stop_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("a.json", "b.json", "c.json"):
        (tmp_path / name).write_text("")
        (tmp_path / name).chmod(0o644)
    chmod = Path.chmod

    def but_one(path: Path, mode: int) -> None:
        if path.name == "b.json":
            raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))
        chmod(path, mode)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "chmod", but_one)
        close_to_others(tmp_path, "*.json")
    assert [mode_of(tmp_path / f"{name}.json") for name in "abc"] == [0o600, 0o644, 0o600]

    def refuse(*_: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    with monkeypatch.context() as patch:
        patch.setattr(Path, "glob", refuse)
        close_to_others(tmp_path, "*.json")


def test_of_old_files_only_those_that_a_killed_writer_left_are_cleared_away(
    tmp_path: Path,
) -> None:
    """Whatever else lies in the maker's folder is the maker's, however old and whatever its end."""
    ours, fresh = ".cornerwright-0123456789ab.tmp", ".cornerwright-ba9876543210.tmp"
    others = ("notes.tmp", ".cornerwright-settings", "cornerwright-0123456789ab.tmp", "old.json")
    for name in (ours, *others):
        (tmp_path / name).write_text(name)
        os.utime(tmp_path / name, (1.6e9, 1.6e9))
    now = time.time()
    for name, hours in ((ours, 1.5), (fresh, 0.5)):
        (tmp_path / name).write_text(name)
        os.utime(tmp_path / name, (now - 3600 * hours, now - 3600 * hours))
    write_whole(tmp_path / "bag.json", b"content")
    assert {each.name for each in tmp_path.iterdir()} == {fresh, *others, "bag.json"}


@of_posix
def test_what_cannot_be_cleared_away_stops_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    left = [tmp_path / f".cornerwright-{number}.tmp" for number in "0123"]
    for each in left:
        each.symlink_to(tmp_path / "nothing")
        os.utime(each, (1.6e9, 1.6e9), follow_symlinks=False)
    stuck: list[Path] = []
    unlink = Path.unlink

    def refuse_one(path: Path) -> None:
        if path in left and stuck in ([], [path]):
            stuck[:] = [path]
            raise PermissionError(errno.EPERM, os.strerror(errno.EPERM))
        unlink(path)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "unlink", refuse_one)
        write_whole(tmp_path / "bag.json", b"content")
    assert {each.name for each in tmp_path.iterdir()} == {stuck[0].name, "bag.json"}

    def refuse(*_: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    with monkeypatch.context() as patch:
        patch.setattr(os, "scandir", refuse)
        write_whole(tmp_path / "bag.json", b"other")
    assert (tmp_path / "bag.json").read_bytes() == b"other"
