"""What several tests of the window start from."""

from pathlib import Path

import pytest

from core.bagfile import demo_bag, write_bag
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
