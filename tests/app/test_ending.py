"""Ended by a signal, the program leaves its last edits in a recovery copy and asks nothing."""

import json
import os
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from core.storage.bag_files import demo_bag
from tests.nursery import Nursery, Program, needs_forks, nursery

HANDS = "tests.app.last_edits:begin"
INCH = 25.4
"""mm, exactly (international yard and pound agreement, 1959)."""

pytestmark = needs_forks


@pytest.fixture(scope="module")
def starts() -> Iterator[Nursery]:
    with nursery() as made:
        yield made


def copies(home: Path) -> list[dict[str, Any]]:
    """What lies in the recovery folder, read as plain JSON."""
    return [
        json.loads(each.read_bytes())
        for each in home.rglob("*.json")
        if each.parent.name == "recovery"
    ]


def kept_width(home: Path) -> float:
    (copy,) = copies(home)
    return float(json.loads(copy["project"])["body"]["panel_width"])


def began(starts: Nursery, home: Path, case: str) -> Program:
    program = starts.start(HANDS, case, home=home)
    program.wait_for("ready")
    return program


def caught_by(program: Program) -> set[int]:
    """Signals that a process has handlers for, as the system tells (proc(5), SigCgt)."""
    told = Path(f"/proc/{program.pid}/status").read_text(encoding="ascii")
    (mask,) = (int(each.split()[1], 16) for each in told.splitlines() if "SigCgt" in each)
    return {number for number in range(1, 65) if mask >> (number - 1) & 1}


def wait_until(holds: Callable[[], bool]) -> None:
    end = time.monotonic() + 60.0
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.01)


def nothing_else_is_left(home: Path) -> None:
    folder = next(home.rglob("recovery"))
    assert [each.suffix for each in folder.iterdir()] == [".json"], "no lock, nothing half there"


@pytest.mark.parametrize(
    "number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT], ids=lambda n: n.name
)
def test_a_signal_ends_the_program_with_what_was_half_typed_kept(
    starts: Nursery, tmp_path: Path, number: signal.Signals
) -> None:
    program = began(starts, tmp_path, "type_half")
    assert list(tmp_path.rglob("recovery/*")) == [], "the signal alone brings the copy"
    program.send(number)
    assert program.wait() == 128 + number
    assert kept_width(tmp_path) == pytest.approx(20 * INCH)
    nothing_else_is_left(tmp_path)
    assert program.errors == ""


def test_the_last_steps_of_a_held_key_are_kept(starts: Nursery, tmp_path: Path) -> None:
    program = began(starts, tmp_path, "hold_key")
    program.send(signal.SIGTERM)
    assert program.wait() == 128 + signal.SIGTERM
    # Up arrows move by the ruler step, an eighth of an inch at the first start.
    assert kept_width(tmp_path) == pytest.approx(demo_bag().body.width + 19 * INCH / 8)


@pytest.mark.parametrize(
    ("case", "width"),
    [
        ("have_dialog_open", 20 * INCH),
        ("have_question_open", 20 * INCH),
        ("have_file_box_open", 20 * INCH),
        ("have_menu_open", 500.0),
        ("have_job_running", 500.0),
        ("have_cutting_plan_running", 500.0),
    ],
)
def test_it_ends_whatever_is_open_or_runs(
    starts: Nursery, tmp_path: Path, case: str, width: float
) -> None:
    program = began(starts, tmp_path, case)
    program.send(signal.SIGTERM)
    assert program.wait() == 128 + signal.SIGTERM
    assert kept_width(tmp_path) == pytest.approx(width)
    nothing_else_is_left(tmp_path)
    assert program.errors == ""


def test_nothing_is_kept_where_nothing_was_changed(starts: Nursery, tmp_path: Path) -> None:
    program = began(starts, tmp_path, "be_saved")
    program.send(signal.SIGHUP)
    assert program.wait() == 128 + signal.SIGHUP
    assert copies(tmp_path) == []


def test_what_stands_in_the_settings_is_kept_as_by_closing(starts: Nursery, tmp_path: Path) -> None:
    program = began(starts, tmp_path, "be_saved")
    program.send(signal.SIGTERM)
    program.wait()
    (settings,) = tmp_path.rglob("cornerwright.conf")
    assert "window=" in settings.read_text()


def test_the_second_signal_ends_it_at_once(starts: Nursery, tmp_path: Path) -> None:
    program = began(starts, tmp_path, "be_busy")
    program.send(signal.SIGTERM)
    wait_until(lambda: signal.SIGTERM not in caught_by(program))
    program.send(signal.SIGTERM)
    assert program.wait() == -signal.SIGTERM


def test_a_signal_before_the_window_stands_ends_it_at_once(starts: Nursery, tmp_path: Path) -> None:
    program = starts.start("tests.app.last_edits:stay_away", home=tmp_path)
    program.wait_for("ready")
    program.send(signal.SIGINT)
    assert program.wait() == -signal.SIGINT
    assert program.errors == ""


def test_a_signal_that_it_was_told_to_ignore_is_ignored(starts: Nursery, tmp_path: Path) -> None:
    """As `nohup` does (POSIX.1-2017, nohup: SIGHUP is set to be ignored)."""
    program = starts.start(HANDS, "be_saved", home=tmp_path, ignored=signal.SIGHUP)
    program.wait_for("ready")
    assert caught_by(program) >= {signal.SIGINT, signal.SIGTERM, signal.SIGQUIT}
    assert signal.SIGHUP not in caught_by(program)
    program.send(signal.SIGHUP)
    program.send(signal.SIGTERM)
    assert program.wait() == 128 + signal.SIGTERM


def test_a_session_that_ends_has_the_copy_written(starts: Nursery, tmp_path: Path) -> None:
    program = began(starts, tmp_path, "end_session")
    assert kept_width(tmp_path) == 500.0
    os.kill(program.pid, 0)  # it goes on: another program may hold the session up
    program.send(signal.SIGTERM)
    program.wait()
    assert kept_width(tmp_path) == 500.0
