"""The real program, started again and again in a fifth of a second, and ended as may be.

A process of its own loads all that the window needs, without starting Qt, and forks for each
start: what comes then is the program itself, on folders of its own, with somebody's hands in
its window.
"""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]
LONGEST = 600
"""Seconds after which a program that does not end is ended, to be found as a failure."""

needs_forks = pytest.mark.skipif(
    sys.platform != "linux", reason="forks a process that has loaded Qt, which only Linux allows"
)


class Program:
    """One start of the program.

    Attributes:
        pid: of its process.
        status: once it has ended, its exit code, or the signal that ended it, negative.
        said: what it said so far, line by line.
    """

    def __init__(self, nursery: "Nursery", home: Path) -> None:
        self._nursery = nursery
        self._errors = home / "stderr"
        self.status: int | None = None
        self.said: list[Any] = []
        self.pid = int(nursery.hear()["pid"])

    @property
    def errors(self) -> str:
        """What stands on its standard error, but for what the offscreen platform cannot."""
        lines = self._errors.read_text(encoding="utf-8").splitlines()
        return "\n".join(each for each in lines if "This plugin does not support " not in each)

    def wait_for(self, word: str) -> None:
        """Wait until it says this."""
        while self._hear() != word:
            assert self.status is None, f"it ended with {self.status}: {self.errors}"

    def send(self, number: signal.Signals) -> None:
        """Send it a signal."""
        os.kill(self.pid, number)

    def wait(self) -> int:
        """Wait until it ends; its status."""
        while self.status is None:
            self._hear()
        return self.status

    def _hear(self) -> Any:
        told = self._nursery.hear()
        if "ended" in told:
            self.status = os.waitstatus_to_exitcode(told["ended"])
            return None
        self.said.append(told["said"])
        return told["said"]


class Nursery:
    """Starts programs, one after another."""

    def __init__(self) -> None:
        self._last: Program | None = None
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.nursery"],
            cwd=ROOT,
            env=os.environ | {"QT_QPA_PLATFORM": "offscreen", "OPENBLAS_NUM_THREADS": "1"},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            bufsize=1,
        )

    def start(
        self, hands: str, *words: Any, home: Path, path: Path | None = None, ignored: int = 0
    ) -> Program:
        """Start the program.

        Args:
            hands: `module:function`, called with its main window and these words.
            words: as JSON has them.
            home: where its folders are to be.
            path: the bag file named on the command line.
            ignored: a signal that it is told to ignore.
        """
        home.mkdir(parents=True, exist_ok=True)
        asked = {
            "hands": hands,
            "words": words,
            "home": str(home),
            "path": path and str(path),
            "ignored": ignored,
        }
        assert self._process.stdin is not None
        self._end_last()
        self._process.stdin.write(json.dumps(asked) + "\n")
        self._last = Program(self, home)
        return self._last

    def hear(self) -> dict[str, Any]:
        """The next thing told: of a program that it started or ended, or said by one."""
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        assert line, "the nursery has ended"
        return json.loads(line)  # type: ignore[no-any-return]

    def close(self) -> None:
        """Start none any more."""
        self._end_last()
        self._process.communicate()

    def _end_last(self) -> None:
        """What a test that failed left running."""
        if self._last is not None and self._last.status is None:
            self._last.send(signal.SIGKILL)
            self._last.wait()


@contextmanager
def nursery() -> Iterator[Nursery]:
    """A nursery for the tests of one file."""
    made = Nursery()
    try:
        yield made
    finally:
        made.close()


def say(told: Any) -> None:
    """Tell the test something, in the program; nothing said is lost to a kill."""
    _tell({"said": told})


def _tell(told: dict[str, Any]) -> None:
    os.write(1, (json.dumps(told) + "\n").encode())


def _serve() -> None:
    for module in (
        "app.window.main_window",
        "app.window.error_log",
        "app.files.recovery",
        "app.session.settings",
        "shapely",
    ):
        import_module(module)
    for line in sys.stdin:
        pid = os.fork()
        if pid == 0:
            _run(**json.loads(line))
        _tell({"pid": pid})
        _tell({"ended": os.waitpid(pid, 0)[1]})


def _run(*, hands: str, words: list[Any], home: str, path: str | None, ignored: int) -> None:
    signal.alarm(LONGEST)
    # Whatever the tests themselves were started with; and Ctrl+C as Python begins.
    for number in (signal.SIGTERM, signal.SIGQUIT, signal.SIGHUP):
        signal.signal(number, signal.SIG_IGN if number == ignored else signal.SIG_DFL)
    signal.signal(signal.SIGINT, signal.default_int_handler)
    for variable in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
        os.environ[variable] = home
    os.environ["HOME"] = home
    errors = os.open(Path(home, "stderr"), os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    os.dup2(errors, 2)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    import app.__main__ as program
    from app.cli import main

    module, function = hands.split(":")
    made = program.make_window

    def make(*given: Any) -> Any:
        window = made(*given)
        getattr(import_module(module), function)(window, *words)
        return window

    program.make_window = make
    sys.exit(main([] if path is None else [path]))


if __name__ == "__main__":
    _serve()
