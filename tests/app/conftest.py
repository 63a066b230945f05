"""What several tests of the window start from."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings
from pytestqt.qtbot import QtBot

from core.bagfile import demo_bag, write_bag
from tests.app.cutting_bench import Bench, processes
from tests.app.hands import Hands


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
def cutting(qtbot: QtBot, store: QSettings) -> Iterator[Bench]:
    """The cutting plan's tab; no worker is left when it is shut."""
    made = Bench(qtbot, store)
    yield made
    made.pane.shut()
    assert processes(made.body.watch) == []
    made.pane.close()
    made.pane.deleteLater()
