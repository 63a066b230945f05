"""Starting the program: first bag, a file named on the command line, a bad one."""

import builtins
import gc
import json
import logging
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, QSettings, QTimer, qInstallMessageHandler
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from app.__main__ import OpeningPage, make_app, make_window, run_window, window_icon
from app.dialogs.layers.dialog import library_file
from app.files.autosave import recovery_folder
from app.session.settings import Settings
from app.widgets.inputs import LengthBox
from app.window.error_log import log_folder
from app.window.main_window import MainWindow
from app.window.status_line import Offer
from core.storage.bag_files import demo_bag
from tests.helpers import demo, write_bag


@pytest.fixture(autouse=True)
def as_before(qtbot: QtBot) -> Iterator[None]:
    """Gives back what a start takes: hooks, log handlers, signals, frozen objects."""
    root = logging.getLogger()
    handlers = list(root.handlers)
    hooks = sys.excepthook, sys.unraisablehook, threading.excepthook
    importing = builtins.__import__
    kept = qInstallMessageHandler(None)
    qInstallMessageHandler(kept)
    heeded = {each: signal.getsignal(each) for each in signal.valid_signals()}
    yield
    for each, handler in heeded.items():
        if signal.getsignal(each) is not handler:
            signal.signal(each, handler)
    qInstallMessageHandler(kept)
    sys.excepthook, sys.unraisablehook, threading.excepthook = hooks
    builtins.__import__ = importing
    for handler in [each for each in root.handlers if each not in handlers]:
        root.removeHandler(handler)
        handler.close()
    gc.unfreeze()


def pass_over_offscreen(caplog: pytest.LogCaptureFixture) -> None:
    """The program logs what Qt says; the offscreen platform says that it has no window manager."""
    offscreen = "This plugin does not support "
    assert [each for each in caplog.messages if offscreen not in each] == []
    caplog.clear()


class Visitor:
    """Notes what is open, presses Close in a box, and at last closes the window."""

    def __init__(self) -> None:
        self.titles: list[str] = []
        self.told: list[str] = []
        self._timer = QTimer(interval=60)
        self._timer.timeout.connect(self._look)
        self._timer.start()

    def _look(self) -> None:
        box = QApplication.activeModalWidget()
        if isinstance(box, QMessageBox):
            self.told.append(box.text())
            box.reject()
            return
        for widget in QApplication.topLevelWidgets():
            if isinstance(widget, MainWindow) and widget.isVisible():
                self.titles.append(widget.document.bag.name)
                self._timer.stop()
                widget.close()
                widget.deleteLater()


def test_a_plain_start_shows_the_demo_bag(caplog: pytest.LogCaptureFixture) -> None:
    visitor = Visitor()
    assert run_window() == 0
    assert visitor.titles == [demo_bag().name]
    assert visitor.told == []
    assert Settings(QSettings()).tour_offered
    assert gc.isenabled()
    assert builtins.__import__.__name__ != "__feature_import__"
    pass_over_offscreen(caplog)


def test_a_file_named_is_opened(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "mine.json"
    write_bag(demo(name="Mine"), path)
    shown: list[QWidget] = []
    monkeypatch.setattr(OpeningPage, "show_pieces", lambda self, pane, place: shown.append(pane))
    visitor = Visitor()
    assert run_window(str(path)) == 0
    assert visitor.titles == ["Mine"]
    assert shown == [], "no pieces of another bag"
    pass_over_offscreen(caplog)


def test_a_bad_file_named_is_told_over_the_demo_bag(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    path = tmp_path / "bad.json"
    path.write_text("not a bag")
    visitor = Visitor()
    assert run_window(str(path)) == 0
    assert len(visitor.told) == 1
    assert "bad.json" in visitor.told[0]
    assert visitor.titles == [demo_bag().name]
    pass_over_offscreen(caplog)


def start(caplog: pytest.LogCaptureFixture, path: Path | None = None) -> Visitor:
    """One start of the program."""
    visitor = Visitor()
    assert run_window(None if path is None else str(path)) == 0
    pass_over_offscreen(caplog)
    return visitor


def test_the_last_bag_comes_back_with_the_demo_bag_one_click_away(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, other = tmp_path / "mine.json", tmp_path / "other.json"
    write_bag(demo(name="Mine"), path)
    write_bag(demo(name="Other"), other)
    start(caplog, path)
    told: list[str] = []
    selected: list[bool] = []
    make = Offer.make

    def watched(self: Offer, text: str, button: str, do: Callable[[], object]) -> None:
        told.append(text)
        make(self, text, button, do)
        field = self.window().focusWidget()
        assert isinstance(field, LengthBox), "the first key opens no other bag"
        selected.append(field.lineEdit().selectedText() == field.text())

    monkeypatch.setattr(Offer, "make", watched)
    assert start(caplog).titles == ["Mine"]
    assert told == ["This is the bag that you had open last."]
    assert selected == [True], "what is typed first takes the place of what stands"
    assert start(caplog, other).titles == ["Other"], "a file that is named goes before it"
    assert start(caplog).titles == ["Other"]
    other.write_text("not a bag")
    visitor = start(caplog)
    assert visitor.titles == [demo_bag().name]
    assert visitor.told == [], "it is told in passing, and nothing is asked"
    assert "other.json" in told[-1]
    assert told[-1].endswith("The demo bag is shown instead.")
    other.unlink()
    assert start(caplog).titles == [demo_bag().name]
    assert "other.json" in told[-1]


class WatchedOpening(OpeningPage):
    """Keeps what it shows of the flat pieces."""

    def __init__(self) -> None:
        settings = Settings(QSettings())
        super().__init__(window_icon(), settings.layout("window"))
        self.place = QRect()
        self.picture = QImage()

    def show_pieces(self, pane: QWidget, place: QRect | None) -> None:
        super().show_pieces(pane, place)
        if pane.isVisibleTo(self):
            self.place, self.picture = pane.geometry(), pane.grab().toImage()


def start_over(opening: WatchedOpening) -> MainWindow:
    """A window after its opening page, as a start brings them up."""
    opening.show()
    window = make_window(Settings(QSettings()), opening)
    window.show()
    opening.close()
    opening.deleteLater()
    QApplication.processEvents()
    return window


def end(window: MainWindow) -> None:
    window.close()
    window.deleteLater()


def test_the_flat_pieces_show_first_where_the_window_has_them(
    caplog: pytest.LogCaptureFixture,
) -> None:
    opening = WatchedOpening()
    window = start_over(opening)
    assert window.isAncestorOf(window.flat)
    assert not opening.picture.isNull(), "the first start shows them too"
    window.resize(790, 700)  # the offscreen screen is 800 x 800
    QApplication.processEvents()
    end(window)
    opening = WatchedOpening()
    window = start_over(opening)
    flat = window.flat
    assert opening.place == QRect(flat.mapTo(window, QPoint(0, 0)), flat.size())
    assert opening.picture == flat.grab().toImage()
    end(window)
    pass_over_offscreen(caplog)


def test_pieces_shown_first_are_laid_out_once(tmp_path: Path) -> None:
    """On a screen with room for it, a first start knows where the window will have them."""
    screen = {"name": "desk", "x": 0, "y": 0, "width": 1416, "height": 944}
    (tmp_path / "screen.json").write_text(json.dumps({"screens": [screen]}))
    program = """
from app.__main__ import make_app, make_window, show_opening
opening = show_opening(make_app())
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication
from app.session.settings import Settings
from app.views.flat.pane import FlatPane
fits, fit = [], FlatPane.fit
FlatPane.fit = lambda pane: (fits.append(pane.size().toTuple()), fit(pane))
window = make_window(Settings(QSettings()), opening)
window.show()
opening.close()
QApplication.processEvents()
assert window.size().toTuple() == (1400, 900)
print(fits == [window.flat.size().toTuple()], end="")"""
    own = {
        "QT_QPA_PLATFORM": f"offscreen:configfile={tmp_path}/screen.json",
        "XDG_CONFIG_HOME": str(tmp_path / "config"),
    }
    run = subprocess.run(
        [sys.executable, "-c", program],
        env=os.environ | own,
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert run.stdout == "True", run.stderr


def test_pieces_that_have_no_room_wait_for_the_window(qtbot: QtBot) -> None:
    opening, pane = WatchedOpening(), QWidget()
    qtbot.addWidget(opening)
    qtbot.addWidget(pane)
    opening.resize(300, 200)
    opening.show_pieces(pane, QRect(100, 50, 400, 400))
    assert pane.parent() is None and not pane.isVisible()


def test_the_icon_is_there_at_every_size(qapp: QApplication) -> None:
    icon = window_icon()
    assert not icon.isNull()
    for size in (16, 32, 64, 256):
        assert not icon.pixmap(size, size).isNull()


@pytest.mark.skipif(sys.platform != "linux", reason="the README's other columns are of others")
def test_the_readme_tells_where_everything_lies(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each place lies in one that the README names, as the XDG base directories have it."""
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    rows = [row for row in readme.splitlines() if row.startswith("| ") and "~/." in row]
    settings, goods = ({word for word in row.split("`") if "~" in word} for row in rows)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / ".config"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / ".local/share"))
    app = QApplication.instance()
    assert app is not None
    names = app.organizationName(), app.applicationName()
    make_app()
    lying = {library_file(), recovery_folder(), log_folder()}
    app.setOrganizationName(names[0])
    app.setApplicationName(names[1])
    (data,) = {tmp_path / word[2:] for word in goods if word.startswith("~/.")}
    assert {each.parent for each in lying} == {data / data.name}
    assert f"one folder deeper, in a second `{data.name}`" in readme
    assert {each.name for each in lying} == {"goods.json", "recovery", "log"}
    (config,) = {word for word in settings if word.startswith("~/.")}
    assert config == f"~/.config/{data.name}"
