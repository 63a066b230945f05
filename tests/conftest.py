"""Strict surroundings for every test.

No screen, no settings of the user's, and nothing passes silently: any Python warning
(pyproject.toml), Qt warning (pyproject.toml), logged warning or window left open fails the
test. Nothing here starts Qt for a test that has not.
"""

import gc
import logging
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

if TYPE_CHECKING:
    from PySide6.QtCore import QSettings
    from PySide6.QtWidgets import QWidget
    from pytestqt.qtbot import QtBot

    from tests.app.hands import Hands

# Read by Qt when its application object is made, so it must stand before any test runs.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

# Two shared cores stall at random: a slow example is no failing one.
settings.register_profile(
    "here", deadline=None, print_blob=True, suppress_health_check=[HealthCheck.too_slow]
)
# The same examples in every run, so that a red run can be repeated.
settings.register_profile("ci", settings.get_profile("here"), derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")

_OWN_FOLDERS = {
    "XDG_CONFIG_HOME": "config",
    "XDG_DATA_HOME": "data",
    "XDG_STATE_HOME": "state",
    "XDG_CACHE_HOME": "cache",
}


@pytest.fixture(autouse=True)
def own_settings(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Gives the test settings, data and cache folders of its own; returns their parent.

    They are not made: as on a new account, that is for whoever writes there.
    """
    home = tmp_path_factory.mktemp("home")
    for variable, name in _OWN_FOLDERS.items():
        monkeypatch.setenv(variable, str(home / name))
    if "PySide6.QtCore" in sys.modules:
        _move_qt_settings(home / "config")
    return home


def _move_qt_settings(folder: Path) -> None:
    """Points every QSettings made from now on to `folder`, on each platform."""
    from PySide6.QtCore import QSettings

    # Ini files everywhere: what a platform keeps elsewhere cannot be moved aside.
    QSettings.setDefaultFormat(QSettings.Format.IniFormat)
    for form in (QSettings.Format.IniFormat, QSettings.Format.NativeFormat):
        for scope in (QSettings.Scope.UserScope, QSettings.Scope.SystemScope):
            QSettings.setPath(form, scope, str(folder))


@pytest.fixture(autouse=True)
def no_logged_warning(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """Fails a test that logs a warning; one that means to says `caplog.clear()` at its end."""
    yield
    logged = [
        f"{record.name}: {record.getMessage()}"
        for phase in ("setup", "call")
        for record in caplog.get_records(phase)
        if record.levelno >= logging.WARNING
    ]
    if logged:
        pytest.fail("logged: " + "; ".join(logged))


@pytest.fixture(autouse=True)
def no_window_left() -> Iterator[None]:
    """Fails a test that leaves a top-level widget behind, and clears it away for the next."""
    before = {address for address, _ in _windows()}
    yield
    if not _new_windows(before):
        return
    gc.collect()  # a window in a cycle of signals is no leak, only garbage not yet collected
    _delete_what_was_asked()
    gc.freeze()  # what is left now stays: it is not looked through again after every window
    left = _new_windows(before)
    names = [f"{type(window).__name__} {window.objectName()!r}" for window in left]
    for window in left:
        window.close()
        window.deleteLater()
    _delete_what_was_asked()
    if names:
        pytest.fail("windows left open: " + ", ".join(names))


def _windows() -> list[tuple[int, "QWidget"]]:
    """Every parentless widget with its address in C++; empty where Qt has not started."""
    if "PySide6.QtWidgets" not in sys.modules:
        return []
    import shiboken6
    from PySide6.QtWidgets import QApplication

    if QApplication.instance() is None:
        return []
    return [
        (shiboken6.getCppPointer(widget)[0], widget)
        for widget in QApplication.topLevelWidgets()
        # Qt keeps the one tooltip label for the next tooltip.
        if widget.parent() is None and not widget.inherits("QTipLabel")
    ]


def _new_windows(before: set[int]) -> list["QWidget"]:
    return [widget for address, widget in _windows() if address not in before]


def _delete_what_was_asked() -> None:
    """Carries out `deleteLater`, which only a running event loop would."""
    if "PySide6.QtCore" not in sys.modules:
        return
    from PySide6.QtCore import QCoreApplication, QEvent

    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def pytest_collection_finish() -> None:
    """Frees the tests from looking through every module for garbage after each window."""
    gc.collect()
    gc.freeze()


@pytest.fixture
def store(tmp_path: Path) -> "QSettings":
    """Settings in a file of the test's own."""
    from PySide6.QtCore import QSettings

    return QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)


@pytest.fixture
def hands(qtbot: "QtBot", store: "QSettings") -> "Iterator[Hands]":
    """The whole window on the demo bag, and the maker's hands on it."""
    from tests.app.hands import Hands

    made = Hands(qtbot, store)
    yield made
    made.close()
