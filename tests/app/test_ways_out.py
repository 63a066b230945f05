"""The real program's ways out, in processes of their own: with Qt talking, and with work under way.

Whatever Qt says while it is unloaded after Python, and whatever a job still does, the exit code
is that of the program.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from core.storage.bag_files import demo_bag
from tests.helpers import write_bag

ROOT = Path(__file__).parents[2]
CRASH = ("Fatal Python error", "Segmentation fault", "core dumped")

BEGIN = """
import signal
import sys
from pathlib import Path
from PySide6.QtCore import QObject, QTimer
from app import __main__ as start
from app.cli import main
from app.session.work import is_any_at_work

app = start.make_app()
words = sys.argv[1:]

def shown():
    from app.window.main_window import MainWindow
    return next((w for w in app.topLevelWidgets() if isinstance(w, MainWindow)), None)

def once_shown(act):
    def look():
        window = shown()
        # At rest: while a job runs, the process ends before Qt has said its last words.
        if window is not None and window.session.capacity.current and not is_any_at_work():
            timer.stop()
            act(window)
    timer = QTimer(app, interval=20)
    timer.timeout.connect(look)
    timer.start()

"""
END = "sys.exit(main(words))\n"

WAYS: dict[str, tuple[str, int]] = {
    "closed": ("once_shown(lambda window: window.close())\n", 0),
    # What shells tell of a program that a signal ended: 128 and its number (POSIX, sh, 2.8.2:
    # more than 128).
    "ended by a signal": ("once_shown(lambda window: signal.raise_signal(15))\n", 128 + 15),
    "an error at the start": (
        "def broken(*args): raise ZeroDivisionError('a bug')\n"
        "start.make_window = broken\n"
        "QTimer(app, interval=20, timeout=lambda: [b.reject() for b in [app.activeModalWidget()]"
        " if b]).start()\n",
        1,
    ),
    "left by sys.exit": ("start.make_window = lambda *args: sys.exit(5)\n", 5),
}


def run(program: str, home: Path, *words: str, **settings: str) -> subprocess.CompletedProcess[str]:
    folders = {
        name: str(home / name)
        for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME")
    }
    return subprocess.run(
        [sys.executable, "-X", "faulthandler", "-c", BEGIN + program + END, *words],
        cwd=ROOT,
        env=os.environ | folders | {"PYTHONPATH": str(ROOT), **settings},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


@pytest.mark.parametrize("way", WAYS)
def test_qt_may_talk_to_the_very_end(way: str, tmp_path: Path) -> None:
    program, code = WAYS[way]
    done = run(program, tmp_path, QT_DEBUG_PLUGINS="1", QT_LOGGING_RULES="*.debug=true")
    assert done.returncode == code, done.stderr[-3000:]
    assert not any(word in done.stderr for word in CRASH)
    # The last words come after Python's: without them this test would show nothing.
    assert "unloaded library" in done.stderr.splitlines()[-1]


DEAF = """
def deaf(*args, **named):
    (out / "started").touch()
    while True:  # a thread that is inside of Qt when Python goes aborts the process
        [QObject() for _ in range(200)]

out = Path(words.pop())

def act(window):
    import app.files.export as booklet
    booklet.booklet_bytes = deaf
    window.booklet._ask = lambda *args: (out / "book.pdf", window.booklet.forms[0])
    window.commands["export_booklet"].trigger()
    def look():
        if (out / "started").exists() and app.activeModalWidget() is not None:
            timer.stop()
            window.settings.keep_folder(out)
            window.close()
    timer = QTimer(window, interval=20)
    timer.timeout.connect(look)
    timer.start()

once_shown(act)
"""
"""A booklet that is never done, and does not hear that it is to stop."""


def test_closing_waits_for_no_job_and_leaves_nothing_of_it(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    bag = tmp_path / "bag.json"
    write_bag(demo_bag(), bag)
    done = run(DEAF, tmp_path, str(bag), str(out))  # it would never end if it waited
    assert done.returncode == 0, done.stderr[-3000:]
    assert not any(word in done.stderr for word in CRASH)
    assert [each.name for each in out.iterdir()] == ["started"]
    assert [each.name for each in tmp_path.glob(".*lock*")] == []
    kept = "".join(each.read_text() for each in tmp_path.rglob("*.conf"))
    assert f"folder={out}" in kept, "what was remembered last is written all the same"
