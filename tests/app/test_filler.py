"""The process that fills bags: its answers, its ends, and that the window outlives it."""

import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from app.session.filler import Filler, FillerError
from app.session.work import CancelledError
from app.session.workers import worker_environment
from core.bag.bag import Bag
from core.bag.choices import without_part
from core.model.figures import TakeUp
from core.solid.capacity import capacity
from core.solid.filled_bag import FilledBag, fill_bag
from tests.helpers import changed, demo, inch

ROOT = Path(__file__).parents[2]
LONGER = changed(demo(), panel_length=inch(44))


def on(_share: float) -> bool:
    return True


def ask(filler: Filler, bag: Bag, *, follow: bool = False) -> FilledBag:
    return filler.fill(bag, on, follow=follow)


def pid_of(filler: Filler) -> int:
    assert filler._process is not None
    return filler._process.pid


@pytest.fixture
def filler() -> Iterator[Filler]:
    filler = Filler()
    yield filler
    filler.close()


def patched(program: str) -> Filler:
    """One whose process runs these lines first."""
    serve = "filler.serve(sys.stdin.buffer, sys.stdout.buffer)"
    lines = ("import os, sys", "from core.solid import filler", program, serve)
    return Filler((sys.executable, "-c", "\n".join(lines)))


def test_it_finds_what_this_process_finds(filler: Filler) -> None:
    here, there = fill_bag(demo(), None, on), ask(filler, demo())
    for name in ("bag", "filled", "inside_filled", "filled_over_box", "no_room"):
        assert getattr(there.capacity, name) == getattr(here.capacity, name), name
    assert here.surface is not None and there.surface is not None
    assert np.array_equal(there.surface.at(1.0), here.surface.at(1.0))
    assert not there.followed


def test_the_shape_stays_where_it_was_worked_out(filler: Filler) -> None:
    """It is ten times what the window reads; a question for what takes it is a clear error."""
    found = ask(filler, replace(demo(), take_up=TakeUp(0.95, 0.95, 0.95))).capacity
    assert found.outside is None
    with pytest.raises(ValueError, match="stays where it was worked out"):
        _ = found.drawn


def test_a_bag_may_follow_the_one_before(filler: Filler) -> None:
    assert not ask(filler, demo(), follow=True).followed, "there is none before the first"
    followed, alone = ask(filler, LONGER, follow=True), ask(filler, LONGER)
    assert followed.followed and not alone.followed
    assert alone.capacity.filled == capacity(LONGER).filled
    assert followed.capacity.filled == pytest.approx(alone.capacity.filled, rel=1e-3)


def test_a_bag_that_cannot_be_filled_is_answered_too(filler: Filler) -> None:
    found = ask(filler, without_part(demo(), "zip"))
    assert found.surface is None
    assert found.capacity.not_filled == capacity(without_part(demo(), "zip")).not_filled
    assert ask(filler, demo(), follow=True).surface is not None


def test_a_bag_that_is_given_up_is_left_and_the_next_one_answered(filler: Filler) -> None:
    ask(filler, demo())
    process = pid_of(filler)
    shares: list[float] = []

    def once(share: float) -> bool:
        shares.append(share)
        return False

    with pytest.raises(CancelledError):
        filler.fill(LONGER, once, follow=False)
    assert len(shares) == 1, "once it is given up nobody is asked again"
    assert ask(filler, LONGER).capacity.bag == LONGER
    assert pid_of(filler) == process


def test_shares_are_told_as_they_grow(filler: Filler) -> None:
    shares: list[float] = []
    filler.fill(demo(), lambda share: not shares.append(share), follow=False)
    assert shares and shares == sorted(shares) and shares[-1] <= 1.0


def test_windows_take_turns_and_who_waits_can_leave(filler: Filler) -> None:
    begun, leave = threading.Event(), threading.Event()

    def long(_share: float) -> bool:
        begun.set()
        return not leave.wait(10.0)

    def first() -> None:
        with pytest.raises(CancelledError):
            filler.fill(demo(), long, follow=False)

    thread = threading.Thread(target=first)
    thread.start()
    assert begun.wait(10.0)
    with pytest.raises(CancelledError):
        filler.fill(LONGER, lambda _share: False, follow=False)
    leave.set()
    thread.join()
    assert ask(filler, LONGER).capacity.bag == LONGER


def test_a_bag_whose_process_dies_is_asked_of_another(filler: Filler) -> None:
    ask(filler, demo())
    process = pid_of(filler)

    def kill(_share: float) -> bool:
        if pid_of(filler) == process:
            os.kill(process, signal.SIGTERM)
        return True

    found = filler.fill(LONGER, kill, follow=True)
    assert found.capacity.filled == capacity(LONGER).filled
    assert pid_of(filler) != process


def test_one_that_dies_of_every_bag_is_told_of(filler: Filler) -> None:
    def kill(_share: float) -> bool:
        os.kill(pid_of(filler), signal.SIGTERM)
        return True

    with pytest.raises(FillerError, match="the process that fills bags ended"):
        filler.fill(LONGER, kill, follow=False)
    assert ask(filler, LONGER).capacity.bag == LONGER


def test_one_that_speaks_no_sense_is_told_of() -> None:
    filler = Filler((sys.executable, "-c", "print('no pickle', flush=True); input()"))
    with pytest.raises(FillerError, match="the process that fills bags ended"):
        ask(filler, demo())
    assert filler._process is None


def test_where_no_file_can_be_made_for_its_last_words_bags_are_filled(
    filler: Filler, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse() -> None:
        raise OSError("read-only file system")

    monkeypatch.setattr(tempfile, "TemporaryFile", refuse)
    assert ask(filler, demo()).capacity.filled == capacity(demo()).filled


def test_a_process_that_died_between_two_bags_is_replaced_unnoticed(filler: Filler) -> None:
    ask(filler, demo())
    os.kill(pid_of(filler), signal.SIGTERM)
    filler._process.wait(10.0)
    assert not ask(filler, LONGER, follow=True).followed


def test_the_last_words_of_a_process_are_told() -> None:
    filler = patched("sys.exit('the disk is full')")
    with pytest.raises(FillerError, match=r"ended: the disk is full$"):
        ask(filler, demo())
    filler.close()


def test_one_that_cannot_be_started_says_so(tmp_path: Path) -> None:
    with pytest.raises(FillerError, match=r"ended: .*No such file.*missing"):
        ask(Filler((str(tmp_path / "missing"),)), demo())


def test_an_error_in_the_process_is_told_with_its_place_and_the_process_goes_on() -> None:
    filler = patched(
        "right = filler.fill_bag\n"
        "def fill_bag(bag, start, progress):\n"
        "    if bag.body.length < 1000: return 1 / 0\n"
        "    return right(bag, start, progress)\n"
        "filler.fill_bag = fill_bag"
    )
    with pytest.raises(FillerError, match=r"(?s)in fill_bag.*ZeroDivisionError"):
        ask(filler, changed(demo(), panel_length=inch(39)))
    process = pid_of(filler)
    assert ask(filler, LONGER).capacity.bag == LONGER
    assert pid_of(filler) == process
    filler.close()


def test_closed_it_leaves_no_process(filler: Filler) -> None:
    ask(filler, demo())
    process = filler._process
    filler.close()
    filler.close()
    assert process is not None and process.poll() is not None


@pytest.mark.skipif(sys.platform == "win32", reason="asks the system in its own words")
@pytest.mark.parametrize("busy", [True, False])
def test_it_ends_with_the_program_however_that_ends(*, busy: bool) -> None:
    program = (
        "import os, signal, sys\n"
        "from app.session.filler import FILLER\n"
        "from core.storage.bag_files import demo_bag\n"
        "bag = demo_bag()\n"
        "FILLER.fill(bag, lambda share: True, follow=False)\n"
        "print(FILLER._process.pid, flush=True)\n"
        "end = lambda share: os.kill(os.getpid(), signal.SIGKILL)\n"
        f"{'FILLER.fill(bag, end, follow=False)' if busy else 'end(1.0)'}\n"
    )
    ended = subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env=worker_environment(),
        check=False,
    )
    assert ended.returncode == -signal.SIGKILL, ended.stderr
    process, until = int(ended.stdout), time.monotonic() + 10.0
    while _runs(process):
        assert time.monotonic() < until, "the process outlives the program"
        time.sleep(0.02)


def _runs(process: int) -> bool:
    """Whether a process is still at work: one that only waits to be buried is not."""
    told = subprocess.run(
        ["ps", "-o", "stat=", "-p", str(process)], capture_output=True, text=True, check=False
    ).stdout
    return bool(told.strip()) and not told.startswith("Z")


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl+C is no signal to a process there")
def test_a_key_that_ends_the_program_in_a_terminal_is_not_its_affair(filler: Filler) -> None:
    ask(filler, demo())
    process = pid_of(filler)
    os.kill(process, signal.SIGINT)
    assert ask(filler, LONGER).capacity.bag == LONGER
    assert pid_of(filler) == process
