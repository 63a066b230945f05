"""What several tests of the window start from."""

import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings
from pytestqt.qtbot import QtBot

from app.cli import main
from app.session import cutting_plan
from core.cutting.packing import sheets
from core.cutting.worker import request_json
from core.storage.bag_files import demo_bag
from tests.app.cutting_bench import Bench, processes
from tests.app.hands import Hands
from tests.helpers import write_bag


@pytest.fixture
def path(hands: Hands, tmp_path: Path) -> Path:
    """A bag file that the window has open."""
    (tmp_path / "bags").mkdir()
    path = tmp_path / "bags" / "mine.json"
    write_bag(demo_bag(), path)
    assert hands.window.files.open(path)
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Where recovery copies go; it is not there yet."""
    return tmp_path / "recovery"


@pytest.fixture
def cutting(qtbot: QtBot, store: QSettings, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    """The cutting plan's tab, with a short search; no worker is left when it is shut."""
    monkeypatch.setattr(cutting_plan, "request_json", partial(_short, request_json))
    made = Bench(qtbot, store)
    yield made
    made.pane.shut()
    assert processes(made.tab.watch) == []
    made.pane.close()
    made.pane.deleteLater()


def _short(ask: Callable[..., bytes], *sections: object, seed: int, builds: int | None) -> bytes:
    return ask(*sections, seed=seed, builds=builds or 40)


@pytest.fixture
def quick_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """A cutting plan is sought among a tenth of the layouts: how good it is, others ask."""
    usual = dict(sheets._WORK)
    monkeypatch.setattr(sheets, "_WORK", {way: work // 10 for way, work in usual.items()})
    monkeypatch.setattr(sheets, "_FEWEST", 4)


@pytest.fixture
def answer(capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    """Runs a command that must end with `code`; returns what it printed."""

    def run(*words: str, code: int = 0) -> str:
        assert main(words) == code
        out, err = capsys.readouterr()
        assert err == ""
        return out

    return run


@pytest.fixture
def complaint(capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    """Runs a command that must be refused in one line, within a second; returns the line."""

    def run(*words: str) -> str:
        begun = time.perf_counter()
        assert main(words) == 2
        assert time.perf_counter() - begun < 1.0
        out, err = capsys.readouterr()
        assert out == ""
        assert err.startswith("cornerwright: ")
        assert err.count("\n") == 1
        assert err.endswith("\n")
        return err

    return run
