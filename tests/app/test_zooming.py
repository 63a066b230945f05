"""Zooming by menu in the pane used last, and the first layout again."""

import pytest
from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.views.cutting.tab import CuttingTab
from app.widgets import desktop as screen_room
from app.window.navigation import MM_PER_INCH
from tests.app.hands import Hands


def scales(hands: Hands) -> tuple[float, float]:
    """Of flat pieces and fold preview, px per mm."""
    return hands.window.flat.view.scale, hands.window.fold.view.camera.scale


def test_zoom_acts_on_the_pane_that_was_used_last(hands: Hands, qtbot: QtBot) -> None:
    window, commands = hands.window, hands.window.commands
    window.grab()
    flat, fold = scales(hands)
    commands["zoom_in"].trigger()
    assert scales(hands) == (pytest.approx(1.25 * flat), fold), "the flat pieces at first"
    commands["zoom_out"].trigger()
    assert scales(hands) == (pytest.approx(flat), fold)
    QTest.mouseClick(window.fold.slider, Qt.MouseButton.LeftButton, pos=QPoint(3, 3))
    window.fold.slider.setFocus()
    flat, fold = scales(hands)
    hands.box("base_width").setFocus()
    QTest.keyClick(window, Qt.Key.Key_Plus, Qt.KeyboardModifier.ControlModifier)
    assert scales(hands) == (flat, pytest.approx(1.2 * fold)), "the fold preview had it last"
    commands["fit"].trigger()
    assert scales(hands) == (pytest.approx(flat, rel=0.01), pytest.approx(fold, rel=0.01))


def test_actual_size_is_that_of_the_screen(hands: Hands, qtbot: QtBot) -> None:
    window = hands.window
    window.grab()
    window.commands["actual_size"].trigger()
    per_mm = window.screen().physicalDotsPerInch() / MM_PER_INCH
    assert window.flat.view.scale == pytest.approx(per_mm)
    window.fold.view.setFocus()
    before = scales(hands)
    window.commands["actual_size"].trigger()
    assert scales(hands) == before
    assert "no actual size" in window.statusBar().currentMessage()


def test_the_cutting_plan_is_zoomed_too(hands: Hands, qtbot: QtBot) -> None:
    window = hands.window
    window.commands["cutting_plan"].trigger()
    body = window.cutting.findChild(CuttingTab)
    assert body is not None
    qtbot.waitUntil(lambda: body.view.goods is not None, timeout=60_000)
    body.view.setFocus()
    before, flat = body.view.view.scale, window.flat.view.scale
    window.commands["zoom_in"].trigger()
    assert body.view.view.scale > before
    assert window.flat.view.scale == flat
    hands.box("base_width").setFocus()
    window.tabs.setCurrentIndex(0)
    QApplication.processEvents()  # the flat pieces have more room again, and are fitted to it
    flat = window.flat.view.scale
    window.commands["zoom_in"].trigger()
    assert window.flat.view.scale > flat, "a plan out of sight is not what is meant"


def test_reset_layout_gives_the_first_sizes_again(
    hands: Hands, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(screen_room, "available", lambda _: QRect(QPoint(0, 0), QSize(1280, 760)))
    window = hands.window
    reset = window.commands["reset_layout"]

    def sizes() -> list[list[int]]:
        QApplication.processEvents()
        splitters = (window._whole, window._right, window._drawings, window._below)
        return [each.sizes() for each in splitters]

    reset.trigger()
    first, place = sizes(), window.geometry()
    assert place == screen_room.room_for(window)
    window.setGeometry(50, 60, 1000, 620)
    window.tabs.setCurrentIndex(1)
    for splitter in (window._whole, window._right, window._drawings, window._below):
        splitter.splitterMoved.emit(0, 1)  # as of a hand
        splitter.setSizes([400, 100])
        splitter.splitterMoved.emit(0, 1)
    window.kept_layout.keep()
    assert sizes() != first
    reset.trigger()
    assert sizes() == first
    assert window.geometry() == place
    assert window.tabs.currentIndex() == 0
    assert window.settings.layout("right") is None
    window.tabs.setCurrentIndex(1)
    beside, tab = window._below.sizes()
    assert tab > beside, "what was set by hand under this tab is forgotten, too"


@pytest.mark.parametrize("width", [1280, 1024])
def test_findings_keep_their_room_beside_the_cutting_plan(
    hands: Hands, qtbot: QtBot, width: int
) -> None:
    window = hands.window
    window.resize(width, 720)
    window.tabs.setCurrentIndex(1)
    QApplication.processEvents()
    whole = sum(window._below.sizes())
    assert window.findings.width() >= min(300, 0.39 * whole)
