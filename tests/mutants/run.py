"""Running the tests on one mutant: in a copy of the tree, in a process forked from this one.

The copy holds everything that a test reads, so that programs which a test starts run the
mutant too, and the tree that one works in is never touched. The process that forks has loaded
the libraries, but nothing of the project: a mutant costs its own imports and its own tests.
"""

import importlib
import json
import os
import resource
import shutil
import signal
import sys
import threading
import time
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
_COPIED = ("core", "app", "tests", "resources", "pyproject.toml", "README.md", "DEVELOPERS.md")
_OWN = ("core", "app", "tests")
_LIBRARIES = (
    *("hypothesis", "hypothesis.strategies", "pytestqt.plugin", "numpy", "shapely", "msgspec"),
    "jsonschema",
    *("reportlab.pdfgen.canvas", "pdfplumber", "pypdfium2", "PySide6.QtWidgets", "PySide6.QtTest"),
)
_MEMORY = 8 << 30
"""Bytes that one process may ask for: a loop without end may also fill a list."""


class End(Enum):
    """What became of a mutant."""

    KILLED = "killed"
    TIMED_OUT = "timed out"
    SURVIVED = "survived"


@dataclass(frozen=True, slots=True)
class TestRecord:
    """One test on the code as it is, while the lines that it reaches are noted.

    Attributes:
        seconds: of the processor.
        clock: seconds from its beginning to its end.
        lines: of each file that it reached.
    """

    __test__ = False

    seconds: float
    clock: float
    lines: Mapping[str, frozenset[int]]


def load_libraries() -> None:
    """Load what every test needs, once, before the first fork."""
    os.environ |= {"QT_QPA_PLATFORM": "offscreen", "CI": "true", "CORNERWRIGHT_FAULTS": "small"}
    for name in _LIBRARIES:
        importlib.import_module(name)


def copy_tree(to: Path) -> Path:
    """A copy of all that the tests read."""
    for name in _COPIED:
        whole = ROOT / name
        if whole.is_dir():
            shutil.copytree(whole, to / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy2(whole, to / name)
    return to


def record(tree: Path, files: Sequence[str], tests: Sequence[str]) -> dict[str, TestRecord]:
    """Run the tests on the code as it is.

    Args:
        tree: a copy of the project.
        files: the sources whose lines are noted, relative to it.
        tests: files or names of tests.

    Raises:
        RuntimeError: a test fails already.
    """
    answer = tree / "record.json"
    plugins = [Hurry({}, []), _Recorder(tree, files, answer)]
    child = Child(tree, tests, plugins, limit=3600.0, clock=7200.0)
    child.wait()
    if child.code != 0:
        raise RuntimeError(f"the tests of {files} fail on the code as it is:\n{child.told()}")
    read = json.loads(answer.read_text(encoding="utf-8"))
    return {
        name: TestRecord(seconds, clock, {file: frozenset(each) for file, each in lines.items()})
        for name, (seconds, clock, lines) in read.items()
    }


@dataclass(slots=True)
class Child:
    """A forked process that runs some tests in one tree, until the first that fails.

    Attributes:
        tree: where it runs.
        tests: files of tests, or names of single ones.
        plugins: for pytest.
        limit: seconds of the processor that it may take.
        clock: seconds that it may take from its beginning to its end.
        code: how it ended, as pytest says; negative for a signal; None while it runs.
    """

    tree: Path
    tests: Sequence[str]
    plugins: Sequence[object]
    limit: float
    clock: float
    code: int | None = None
    _pid: int = field(init=False)
    _end: float = field(init=False)

    def __post_init__(self) -> None:
        self._end = time.monotonic() + self.clock
        self._pid = os.fork()
        if self._pid == 0:
            self._run()

    def ended(self) -> bool:
        """Whether it is done; one that is beyond its time is killed, with all it started."""
        if self.code is None:
            if time.monotonic() > self._end:
                self.kill()
                return True
            pid, status = os.waitpid(self._pid, os.WNOHANG)
            if pid:
                self.code = os.waitstatus_to_exitcode(status)
                self._clear()
        return self.code is not None

    def kill(self) -> None:
        """End it, and all that it started."""
        os.kill(self._pid, signal.SIGKILL)
        os.waitpid(self._pid, 0)
        self.code = -signal.SIGKILL
        self._clear()

    def _clear(self) -> None:
        with suppress(ProcessLookupError):  # nothing that it started is left
            os.killpg(self._pid, signal.SIGKILL)
        shutil.rmtree(self.tree / "tmp", ignore_errors=True)

    def wait(self) -> None:
        """Wait for its end; it ends with whoever waits."""
        try:
            while not self.ended():
                time.sleep(0.02)
        finally:
            if self.code is None:
                self.kill()

    def end(self) -> End:
        """What its end says about the mutant."""
        if self.code in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
            return End.SURVIVED
        out_of_time = self.code in (-signal.SIGPROF, -signal.SIGXCPU, -signal.SIGKILL)
        return End.TIMED_OUT if out_of_time else End.KILLED

    def told(self) -> str:
        """What it said, and the name of the test that failed in it."""
        return (self.tree / "told.txt").read_text(encoding="utf-8", errors="replace")

    def _run(self) -> None:
        code = 70
        try:
            os.setsid()
            whole = int(self.limit) + 1
            resource.setrlimit(resource.RLIMIT_CPU, (whole, whole + 1))
            resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
            told = os.open(self.tree / "told.txt", os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            os.dup2(told, 1)
            os.dup2(told, 2)
            (self.tree / "tmp").mkdir(exist_ok=True)
            os.environ |= {"TMPDIR": str(self.tree / "tmp"), "PYTHONDONTWRITEBYTECODE": "1"}
            sys.dont_write_bytecode = True
            os.chdir(self.tree)
            for name in [name for name in sys.modules if name.split(".")[0] in _OWN]:
                del sys.modules[name]
            sys.path[:] = [str(self.tree), *(at for at in sys.path if Path(at) != ROOT)]
            options = ["-x", "-q", "--tb=short", "-p", "no:cacheprovider", "-p", "no:xdist"]
            late = "ignore:Module already imported:pytest.PytestAssertRewriteWarning"
            code = int(pytest.main([*options, "-W", late, *self.tests], plugins=self.plugins))
            sys.stdout.flush()
        finally:
            os._exit(code)


class Hurry:
    """Runs some tests first, others not at all, and has none look for a smaller example.

    What is in neither comes last: a mutant can give a test other parameters.

    Attributes:
        first: tests in their order -> seconds of the processor that each may take; one that
            takes longer ends the process by SIGPROF.
        not_at_all: tests that are left out.
    """

    def __init__(self, first: Mapping[str, float], not_at_all: Collection[str]) -> None:
        self._limits = first
        self._places = {name: place for place, name in enumerate(first)}
        self._not_at_all = not_at_all

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        signal.setitimer(signal.ITIMER_PROF, self._limits.get(item.nodeid, 0.0))
        try:
            return (yield)
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0.0)

    def pytest_collection(self) -> None:
        from hypothesis import Phase, settings

        phases = (Phase.explicit, Phase.generate)
        settings.register_profile("mutants", settings.get_profile("ci"), phases=phases)
        settings.load_profile("mutants")

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = [each for each in items if each.nodeid not in self._not_at_all]
        items.sort(key=lambda each: self._places.get(each.nodeid, len(self._places)))


class _Recorder:
    """Notes for each test its seconds, and the lines of some files that it reached."""

    def __init__(self, tree: Path, files: Sequence[str], answer: Path) -> None:
        self._files = {str(tree / file): file for file in files}
        self._answer = answer
        self._record: dict[str, tuple[float, float, dict[str, list[int]]]] = {}

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        lines: dict[str, set[int]] = {file: set() for file in self._files}

        def call(frame: FrameType, event: str, _: object) -> Any:
            reached = lines.get(frame.f_code.co_filename)
            if reached is None:
                return None

            def line(frame: FrameType, event: str, _: object) -> Any:
                reached.add(frame.f_lineno)
                return line

            return line

        begin, clock = time.process_time(), time.monotonic()
        threading.settrace(call)
        sys.settrace(call)
        try:
            return (yield)
        finally:
            sys.settrace(None)
            threading.settrace(None)  # type: ignore[arg-type]
            reached = {self._files[path]: sorted(each) for path, each in lines.items()}
            taken = time.process_time() - begin, time.monotonic() - clock
            self._record[item.nodeid] = *taken, reached

    def pytest_sessionfinish(self) -> None:
        self._answer.write_text(json.dumps(self._record), encoding="utf-8")
