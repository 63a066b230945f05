"""The program as the shell sees it: its window, its process, its help."""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from core.storage.bag_files import demo_bag
from tests.helpers import bag_to_json, write_bag

ROOT = Path(__file__).parents[2]
INCH = 25.4  # exactly: international yard and pound agreement, 1959


def fresh(*words: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """The program in a process of its own."""
    program = "import sys; from app.cli import main; sys.exit(main())"
    return subprocess.run(
        [sys.executable, "-W", "error", "-c", program, *words],
        cwd=ROOT,
        env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"} | environment,
        capture_output=True,
        timeout=60,
        check=False,
    )


# --- The window -----------------------------------------------------------------------------------


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[str | None]:
    """Stands in for the window; collects the paths that it is opened with."""
    paths: list[str | None] = []

    class Start:
        @staticmethod
        def run_window(path: str | None) -> int:
            paths.append(path)
            return 0

    monkeypatch.setitem(sys.modules, "app.__main__", Start)
    return paths


def test_no_word_opens_the_window(opened: list[str | None], answer: Callable[..., str]) -> None:
    assert answer() == ""
    assert opened == [None]


def test_a_file_alone_opens_in_the_window(
    opened: list[str | None], answer: Callable[..., str], tmp_path: Path
) -> None:
    path = tmp_path / "figs.json"
    write_bag(demo_bag(), path)
    answer(str(path))
    assert opened == [str(path)]


def test_a_file_and_more_is_no_command(
    opened: list[str | None], complaint: Callable[..., str], tmp_path: Path
) -> None:
    path = tmp_path / "figs.json"
    write_bag(demo_bag(), path)
    assert "Give one bag file for the window" in complaint(str(path), "--json")
    assert opened == []


def test_a_machine_without_qt_is_told(
    complaint: Callable[..., str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "app.__main__", None)
    assert "The window cannot open" in complaint()


# --- The program in a process of its own ----------------------------------------------------------


def test_figures_load_nothing_heavy() -> None:
    program = (
        "import sys\nfrom app.cli import main\ncode = main(['figures', '--json'])\n"
        "heavy = ('PySide6', 'shiboken6', 'reportlab', 'scipy', 'pypdfium2', 'hypothesis')\n"
        "print(*[name for name in heavy if name in sys.modules], file=sys.stderr)\n"
        "sys.exit(code)"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, timeout=60, check=False
    )
    assert (run.returncode, run.stderr.split()) == (0, [])
    assert json.loads(run.stdout)["cut"]["panel_width"] == 469.9


def test_exit_codes_reach_the_shell() -> None:
    good, stopped, wrong = fresh("check"), fresh("check", "--set", "corner_cut_depth=4"), fresh("x")
    assert [run.returncode for run in (good, stopped, wrong)] == [0, 1, 2]
    assert good.stderr == stopped.stderr == b""
    assert wrong.stdout == b""
    assert wrong.stderr.count(b"\n") == 1


def test_answers_are_utf8_where_the_locale_is_not(tmp_path: Path) -> None:
    path = tmp_path / "bag.json"
    path.write_text(bag_to_json(demo_bag()).replace("carrier", "Pflücker"), encoding="utf-8")
    run = fresh("figures", str(path), PYTHONIOENCODING="ascii", LC_ALL="C")
    assert run.returncode == 0
    assert "Quince Row Pflücker" in run.stdout.decode()
    wrong = fresh("figures", "ä½.json", PYTHONIOENCODING="ascii", PYTHONUTF8="1")
    assert "There is no file ä½.json" in wrong.stderr.decode()


# --- Streams that are closed, full or left --------------------------------------------------------

PROGRAM = f'"{sys.executable}" -c "import sys; from app.cli import main; sys.exit(main())"'


def in_shell(script: str, folder: Path) -> tuple[int, bytes, bytes]:
    """Exit code, output and errors of a line of bash in which `$program` is the program."""
    # Without a buffer a stream that takes nothing says so at once, and not to whoever ends last.
    own = {name: value for name, value in os.environ.items() if name != "PYTHONUNBUFFERED"}
    run = subprocess.run(
        ["bash", "-c", script],
        cwd=folder,
        env=own | {"program": PROGRAM, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        timeout=60,
        check=False,
    )
    return run.returncode, run.stdout, run.stderr


UNWRITABLE = b"cornerwright: The answer cannot be written: "


@pytest.mark.skipif(os.name == "nt", reason="shells redirect otherwise there")
@pytest.mark.parametrize(
    ("script", "code", "told"),
    [
        ("eval $program check >/dev/full", 2, UNWRITABLE + b"No space left on device.\n"),
        ("eval $program --help >/dev/full", 2, UNWRITABLE + b"No space left on device.\n"),
        ("eval $program steps --help >&-", 2, UNWRITABLE + b"standard output is closed.\n"),
        ("eval $program export - >&-", 2, UNWRITABLE + b"standard output is closed.\n"),
        ("eval $program figures --set x=1 2>&-", 2, b""),
        ("eval $program figures --set x=1 2>/dev/full", 2, b""),
        ("eval $program figures - <&-", 2, b"cornerwright: No bag can be read: standard input"),
    ],
)
def test_a_stream_that_takes_nothing(script: str, code: int, told: bytes, tmp_path: Path) -> None:
    """What cannot be told on one stream is not told on the other, and is no success."""
    if "/dev/full" in script and not Path("/dev/full").exists():
        pytest.skip("no full disk to write on")
    ended, output, errors = in_shell(script, tmp_path)
    assert (ended, output) == (code, b"")
    assert errors.startswith(told) and errors.count(b"\n") == (1 if told else 0)


@pytest.mark.skipif(os.name == "nt", reason="pipes end otherwise there")
@pytest.mark.parametrize("words", [("steps",), ("export", "-")], ids=" ".join)
def test_a_reader_who_leaves_early_is_no_matter(words: tuple[str, ...]) -> None:
    """128 and the number of SIGPIPE, as a shell tells of any program that it ended."""
    reading, writing = os.pipe()
    os.close(reading)
    run = subprocess.run(
        [sys.executable, "-c", "import sys; from app.cli import main; sys.exit(main())", *words],
        cwd=ROOT,
        stdout=writing,
        stderr=subprocess.PIPE,
        timeout=60,
        check=False,
    )
    os.close(writing)
    assert (run.returncode, run.stderr) == (141, b"")


@pytest.mark.skipif(os.name == "nt", reason="shells redirect otherwise there")
def test_no_file_takes_the_place_of_a_closed_stream(tmp_path: Path) -> None:
    """What is opened next would be written into by whoever writes to a stream by its number."""
    opens = "import os; from app.cli import main; main(); os._exit(os.open(os.devnull, 0))"
    script = f'"{sys.executable}" -c "{opens}" figures <&- >&- 2>&-'
    ended, output, errors = in_shell(script, tmp_path)
    assert ended > 2
    assert output == errors == b""


def heed_interruptions() -> None:
    """Whatever the tests themselves were started with: a shell's `&` has it ignored."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@pytest.mark.skipif(os.name == "nt", reason="signals end otherwise there")
def test_an_interruption_that_is_ignored_stays_so(tmp_path: Path) -> None:
    """POSIX.1-2017, 2.11: a shell starts what it puts into the background with it ignored."""
    program = (
        "import os\nimport app.cli.program as p\nfrom app.cli import main\n"
        "p._run = lambda words: os.kill(os.getpid(), 2) or p.Answer('done', 0)\nmain()"
    )
    run = subprocess.run(
        [sys.executable, "-c", program],
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        timeout=60,
        check=False,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_IGN),
    )
    assert (run.returncode, run.stdout) == (0, b"done\n")


@pytest.mark.skipif(os.name == "nt", reason="signals end otherwise there")
def test_an_interruption_ends_a_command_without_a_word(tmp_path: Path) -> None:
    """It comes at the first import, at the work, and while a file is written."""
    filling = (
        "import core.base.atomic_write as w; real = w._fill\n"
        "def fill(*words, **more): real(*words, **more); kill()\n"
        "w._fill = fill"
    )
    stages = {
        "loaded": "import app.cli.program as p; p._run = lambda words: kill()",
        "importing": "import builtins; real = builtins.__import__\n"
        "def slow(name, *rest): name == 'signal' and kill(); return real(name, *rest)\n"
        "builtins.__import__ = slow",
        "trying the place": filling,
        "writing": f"{filling}\nimport app.cli.files as f; f.check_place = lambda path: None",
    }
    for stage, code in stages.items():
        program = (
            "import os, sys, time\nfrom app.cli import main\n"
            "def kill():\n    os.kill(os.getpid(), 2)\n"
            f"{code}\nsys.exit(main())"
        )
        run = subprocess.run(
            [sys.executable, "-c", program, "export", "out.pdf"],
            cwd=tmp_path,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
            capture_output=True,
            timeout=60,
            check=False,
            preexec_fn=heed_interruptions,
        )
        assert (run.stdout, run.stderr) == (b"", b""), stage
        assert run.returncode == (130 if stage == "importing" else -2), stage
        left = [each.name for each in tmp_path.iterdir()]
        assert left == (["out.pdf"] if stage == "writing" else []), stage


@pytest.mark.parametrize("words", [("--help",), ("figures", "--help"), ("export", "-h")])
def test_help_is_an_answer(words: tuple[str, ...], answer: Callable[..., str]) -> None:
    assert answer(*words).startswith("usage: cornerwright")


@pytest.mark.parametrize("command", ["figures", "check"])
def test_filled_volume_is_litres_for_a_closed_bag_and_null_for_an_open_one(
    command: str, answer: Callable[..., str]
) -> None:
    told = json.loads(answer(command, "--json"))["finished"]
    assert told["filled_volume"] == pytest.approx(18.29, abs=0.1)
    assert 0.5 * told["filled_volume"] < told["inside_filled_volume"] < told["filled_volume"]
    told = json.loads(answer(command, "--json", "--without", "zip"))["finished"]
    assert told["filled_volume"] is None and told["inside_filled_volume"] is None
    assert told["box_volume"] is not None


def test_text_says_why_an_open_top_has_no_filled_volume(answer: Callable[..., str]) -> None:
    text = answer("figures", "--without", "zip")
    assert "Filled volume: An open top encloses no volume" in text
    assert "Filled over box volume" not in text


def test_a_pillow_has_a_filled_volume_but_no_box_to_compare(answer: Callable[..., str]) -> None:
    words = [w for name in ("width", "depth") for w in ("--set", f"corner_cut_{name}=0")]
    lines = answer("figures", "--without", "board", *words).splitlines()
    rows = {line[:28].strip(): line[28:].strip() for line in lines}
    assert rows["Filled over box volume"] == "–"
    assert rows["Filled volume"].endswith("filled_volume")
