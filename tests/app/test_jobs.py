"""A job that fails gives its box back: whatever breaks it, one sentence is told, and all goes on.

The error is put where the work is done, and reaches the maker by the program's own way.
"""

import os
import signal
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from PySide6.QtWidgets import QApplication, QProgressDialog
from pytestqt.qtbot import QtBot

import app.files.export
import app.session.cutting_plan
import core.cutting.planner
import core.output.booklet.content
import core.output.booklet.pdf
import core.output.materials
import core.output.printed_pattern
import core.sewing.strength
from app.dialogs import page_view
from app.dialogs.print import PrintDialog
from app.session.display import Display
from app.session.filler import FILLER
from core.bag.compute import compute
from core.storage.bag_files import demo_bag
from tests.app.cutting_bench import PATIENT, Bench, processes
from tests.app.hands import Hands
from tests.app.test_cutting_process import ENDLESS

ERRORS: tuple[BaseException, ...] = (
    ZeroDivisionError("what broke it"),
    MemoryError("what broke it"),
    msgspec.ValidationError("what broke it"),
)
LEAVING: tuple[BaseException, ...] = (SystemExit("what broke it"), KeyboardInterrupt())
"""What would end the thread of a job without a word."""


def named(error: BaseException) -> str:
    return type(error).__name__


def breaks(error: BaseException, once: threading.Event | None = None) -> Callable[..., object]:
    """Something that is called and only fails; it waits for `once` before."""

    def broken(*args: object, **options: object) -> object:
        if once is not None:
            assert once.wait(30)
        raise error.with_traceback(None)

    return broken


@pytest.fixture
def logged(caplog: pytest.LogCaptureFixture) -> Callable[[str], bool]:
    """Whether the log tells so, in full; what it holds by then is expected."""

    def told(text: str) -> bool:
        found = text in caplog.text and "Traceback" in caplog.text
        caplog.clear()
        return found

    return told


def boxes() -> list[QProgressDialog]:
    return [each for each in QApplication.allWidgets() if isinstance(each, QProgressDialog)]


def until_visible(qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: any(box.isVisible() for box in boxes()), timeout=PATIENT)


# --- The booklet ----------------------------------------------------------------------------------


@pytest.mark.parametrize("error", ERRORS + LEAVING, ids=named)
def test_a_booklet_that_fails_gives_the_window_back(
    hands: Hands,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    logged: Callable[[str], bool],
    error: BaseException,
) -> None:
    window, path = hands.window, tmp_path / "book.html"
    export = window.booklet
    monkeypatch.setattr(export, "_ask", lambda *args: (path, export.forms[2]))
    shown = threading.Event()
    with monkeypatch.context() as broken:
        broken.setattr(core.output.booklet.content, "booklet", breaks(error, shown))
        window.commands["export_booklet"].trigger()
        until_visible(qtbot)
        assert QApplication.activeModalWidget() is not None
        shown.set()
        qtbot.waitUntil(lambda: bool(hands.answers.told), timeout=PATIENT)
    qtbot.waitUntil(lambda: boxes() == [], timeout=PATIENT)
    assert QApplication.activeModalWidget() is None
    assert hands.answers.told == [
        "Nothing was saved: something went wrong in the program. The details are in its log."
    ]
    assert logged(named(error))
    assert not path.exists()
    with qtbot.waitSignal(export.written, timeout=PATIENT):  # and the next one is written
        window.commands["export_booklet"].trigger()
    assert path.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_a_booklet_under_way_does_not_keep_the_window(
    hands: Hands, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, path = hands.window, tmp_path / "book.html"
    path.write_text("older")
    export, held = window.booklet, threading.Event()

    def slow(*args: object) -> bytes:
        held.wait(30)
        return b"never"

    monkeypatch.setattr(export, "_ask", lambda *args: (path, export.forms[2]))
    monkeypatch.setattr(app.files.export, "booklet_bytes", slow)
    window.commands["export_booklet"].trigger()
    until_visible(qtbot)
    assert window.close()
    qtbot.waitUntil(lambda: boxes() == [], timeout=PATIENT)
    held.set()
    qtbot.wait(50)
    assert [each.name for each in tmp_path.iterdir() if each.suffix == ".html"] == ["book.html"]
    assert path.read_text() == "older"


# --- What is worked out beside the window ---------------------------------------------------------


@pytest.mark.parametrize("error", (ERRORS[1], LEAVING[0]), ids=named)
def test_a_capacity_that_fails_is_said_where_it_would_stand(
    hands: Hands, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, error: BaseException
) -> None:
    window = hands.window
    with monkeypatch.context() as broken, qtbot.captureExceptions() as seen:
        broken.setattr(FILLER, "fill", breaks(error))
        qtbot.waitUntil(lambda: window.session.capacity.current, timeout=PATIENT)
        qtbot.waitUntil(lambda: bool(seen), timeout=PATIENT)
        rows = window.measures._capacity
        assert rows.text("filled_volume") == "–", "it is not said to be under way"
        row = rows.row("filled_volume")
        assert row is not None
        assert row.note == (
            "The filled shape could not be worked out: something went wrong in the program."
        )
        assert not window.session.capacity.work.busy
    [(kind, met, _)] = seen
    assert error in (met, met.__cause__), "logged and told as any other bug"
    assert issubclass(kind, Exception), "none that would end the program"
    window.document.set_figures({"panel_length": 800.0}, "Longer")
    qtbot.waitUntil(lambda: window.session.capacity.current, timeout=PATIENT)
    assert rows.text("filled_volume").endswith(" L")


@pytest.mark.parametrize("error", (ERRORS[0], LEAVING[0]), ids=named)
def test_a_load_that_fails_shows_none(
    hands: Hands, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, error: BaseException
) -> None:
    window = hands.window
    load = window.session.load
    with monkeypatch.context() as broken, qtbot.captureExceptions() as seen:
        broken.setattr(core.sewing.strength, "load_of", breaks(error))
        qtbot.waitUntil(lambda: bool(seen), timeout=PATIENT)
        assert load.current and load.estimate is None and load.finding is None
        assert not load.work.busy
    window.document.set_figures({"panel_length": 800.0}, "Longer")
    qtbot.waitUntil(lambda: load.current and load.estimate is not None, timeout=PATIENT)


# --- Pages ----------------------------------------------------------------------------------------


@pytest.fixture
def pages(qtbot: QtBot, tmp_path: Path) -> PrintDialog:
    dialog = PrintDialog(
        compute(demo_bag()),
        Display(),
        folder=tmp_path,
        choose_path=lambda *args: str(tmp_path / "pattern.pdf"),
    )
    qtbot.addWidget(dialog)
    dialog.show()
    assert dialog.view.count > 0
    return dialog


@pytest.mark.parametrize("error", ERRORS, ids=named)
def test_pages_that_fail_are_not_shown_as_older_ones(
    pages: PrintDialog,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    logged: Callable[[str], bool],
    error: BaseException,
) -> None:
    with monkeypatch.context() as broken:
        broken.setattr(core.output.printed_pattern, "pdf_bytes", breaks(error))
        pages.half.setChecked(True)
        pages.save_button.click()
        assert pages.problem == (
            "Nothing was saved: something went wrong in the program. The details are in its log."
        )
        assert pages.view.count == 0
        assert not pages.save_button.isEnabled()
        assert pages.isVisible()
        assert list(tmp_path.glob("*.pdf")) == []
    assert logged(named(error))
    pages.whole.setChecked(True)
    pages.refresh()
    assert pages.problem == "" and pages.view.count > 0
    pages.save_button.click()
    assert (tmp_path / "pattern.pdf").exists()


@pytest.mark.parametrize("part", ["_page_sizes", "_render"])
def test_a_preview_that_fails_says_so(
    pages: PrintDialog,
    monkeypatch: pytest.MonkeyPatch,
    logged: Callable[[str], bool],
    part: str,
) -> None:
    said: list[str] = []
    say = page_view.PageView._say
    with monkeypatch.context() as broken:
        broken.setattr(page_view, part, breaks(ERRORS[0]))
        broken.setattr(
            page_view.PageView, "_say", lambda view, *args: (said.append("said"), say(view, *args))
        )
        pages.refresh()
        pages.view.grab()
        assert said and pages.view._is_broken
    assert logged("ZeroDivisionError")
    pages.refresh()
    said.clear()
    pages.view.grab()
    assert not said and not pages.view._is_broken


# --- The cutting plan -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("what", "error"), [("export_materials", ERRORS[1]), ("export_cut_list", ERRORS[0])]
)
def test_goods_lists_that_fail_are_told(
    cutting: Bench,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    logged: Callable[[str], bool],
    what: str,
    error: BaseException,
) -> None:
    cutting.open()
    path = cutting.asked.path = tmp_path / "list"
    with monkeypatch.context() as broken:
        broken.setattr(core.output.materials, "materials_pdf_bytes", breaks(error))
        broken.setattr("app.views.cutting.tab.cut_list_csv", breaks(error))
        getattr(cutting.tab, what)()
        assert cutting.asked.texts == [
            "Nothing was saved: something went wrong in the program. The details are in its log."
        ]
        assert not path.exists()
    assert logged(named(error))
    getattr(cutting.tab, what)()
    assert path.exists()


@pytest.mark.parametrize(("part", "error"), [("plan", ERRORS[0]), ("__init__", ERRORS[1])])
def test_a_plan_that_fails_is_waited_for_no_longer(
    cutting: Bench,
    monkeypatch: pytest.MonkeyPatch,
    logged: Callable[[str], bool],
    part: str,
    error: BaseException,
) -> None:
    body = cutting.tab
    with monkeypatch.context() as broken:
        broken.setattr(core.cutting.planner.Planner, part, breaks(error))
        cutting.pane.show()
        cutting.qtbot.waitUntil(lambda: bool(body.watch.trouble), timeout=PATIENT)
        assert not body.watch.busy
        assert body.state.text() == (
            "The cutting plan could not be worked out: something went wrong in the program; "
            "the details are in its log."
        )
        assert not body.progress.isVisible() and body.again.isVisible()
        cutting.qtbot.waitUntil(lambda: processes(body.watch) == [], timeout=PATIENT)
    assert logged(named(error))
    body.again.click()
    cutting.wait()
    assert body.watch.trouble == ""


@pytest.mark.skipif(os.name == "nt", reason="signals are of POSIX")
@pytest.mark.parametrize("first", [True, False], ids=["before its first plan", "after it"])
def test_a_planner_that_is_killed_is_told(
    cutting: Bench, caplog: pytest.LogCaptureFixture, first: bool
) -> None:
    body, watch = cutting.tab, cutting.tab.watch
    idle = (sys.executable, "-c", "import time; time.sleep(60)")
    kept = watch._command
    watch._command = idle if first else (sys.executable, "-c", ENDLESS)
    cutting.pane.show()
    cutting.qtbot.waitUntil(
        lambda: bool(processes(watch)) and (first or body.is_current), timeout=PATIENT
    )
    [process] = processes(watch)
    cutting.qtbot.waitUntil(lambda: process.processId() > 0, timeout=PATIENT)
    os.kill(process.processId(), signal.SIGKILL)
    cutting.qtbot.waitUntil(lambda: bool(watch.trouble), timeout=PATIENT)
    assert (
        body.state.text()
        == "The cutting plan could not be worked out: the search was stopped by the system (9)."
    )
    assert not watch.busy and body.again.isVisible() and not body.progress.isVisible()
    assert "cutting plan" in caplog.text
    watch._command = kept
    body.again.click()
    cutting.wait()
    assert watch.trouble == ""
    caplog.clear()
