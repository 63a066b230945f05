"""Room for the tabs: given while such a tab is open, taken back exactly, never against a hand."""

import pytest
from PySide6.QtCore import QPoint, QSettings, QSize, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QSplitter, QTabWidget, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.session.settings import Settings
from app.window.layout import MOST_UP, TabRoom, splitter_of

CALM, ROOMY, OTHER = 0, 1, 2
"""Tabs."""


class Table:
    """Splitters as the window has them, and three tabs of which two want room."""

    def __init__(self, qtbot: QtBot, store: QSettings, size: tuple[int, int]) -> None:
        self.top = QWidget()
        qtbot.addWidget(self.top)
        self.tabs = QTabWidget()
        pages = [QLabel("x") for _ in range(3)]
        for page in pages:
            page.setMinimumSize(10, 10)
            self.tabs.addTab(page, "t")
        self.across = splitter_of(Qt.Orientation.Horizontal, QLabel("findings"), self.tabs)
        self.up = splitter_of(Qt.Orientation.Vertical, QLabel("drawings"), self.across)
        self.up.setStretchFactor(0, 1)
        self.up.setStretchFactor(1, 0)
        column = QVBoxLayout(self.top)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.up)
        self.room = TabRoom(
            self.tabs,
            self.across,
            self.up,
            {"roomy": (pages[ROOMY], QSize(700, 370)), "other": (pages[OTHER], QSize(700, 370))},
            Settings(store),
        )
        self.top.resize(*size)
        self.top.show()
        self.across.setSizes([size[0] // 2, size[0] - size[0] // 2])
        self.up.setSizes([size[1] - 180, 180])

    def open(self, tab: int) -> None:
        self.tabs.setCurrentIndex(tab)

    @property
    def sizes(self) -> tuple[list[int], list[int]]:
        return self.across.sizes(), self.up.sizes()


def drag(splitter: QSplitter, by: QPoint) -> None:
    """A hand moves the handle."""
    handle = splitter.handle(1)
    at = handle.rect().center()
    QTest.mousePress(handle, Qt.MouseButton.LeftButton, pos=at)
    QTest.mouseMove(handle, at + by)
    QTest.mouseRelease(handle, Qt.MouseButton.LeftButton, pos=at)


@pytest.mark.parametrize("size", [(1030, 820), (650, 620), (1900, 1000)])
def test_a_tab_has_what_it_wants_and_no_more_and_gives_it_back(
    qtbot: QtBot, store: QSettings, size: tuple[int, int]
) -> None:
    table = Table(qtbot, store, size)
    before = table.sizes
    table.open(ROOMY)
    (beside, wide), (drawings, high) = table.sizes
    whole = drawings + high
    least = table.room.least_beside(wide + beside)
    assert least >= min(300, 0.39 * (wide + beside))
    assert wide == max(min(700, wide + beside - least), before[0][1])
    assert high == min(370, round(MOST_UP * whole))
    assert drawings > whole / 2, "the drawings keep the larger part"
    now = table.sizes
    table.open(OTHER)
    assert table.sizes == now, "nothing moves from one roomy tab to another"
    table.open(CALM)
    assert table.sizes == before


def test_a_tab_that_has_room_enough_moves_nothing(qtbot: QtBot, store: QSettings) -> None:
    table = Table(qtbot, store, (1500, 820))
    table.across.setSizes([700, 795])
    table.up.setSizes([440, 375])
    before = table.sizes
    table.open(ROOMY)
    assert table.sizes == before


def test_a_splitter_set_under_a_plain_tab_stays_under_every_tab(
    qtbot: QtBot, store: QSettings
) -> None:
    table = Table(qtbot, store, (1030, 820))
    drag(table.up, QPoint(0, -40))
    mine = table.sizes
    assert mine[1][1] == pytest.approx(220, abs=6)
    table.open(ROOMY)
    assert table.sizes[1] == mine[1], "hers"
    assert table.sizes[0] != mine[0], "nobody set this one"
    table.open(CALM)
    assert table.sizes == mine


def test_what_is_set_under_a_roomy_tab_is_that_tabs_own(qtbot: QtBot, store: QSettings) -> None:
    table = Table(qtbot, store, (1030, 820))
    before = table.sizes
    table.open(ROOMY)
    given = table.sizes
    drag(table.up, QPoint(0, 90))
    mine = table.sizes
    assert mine != given
    table.open(OTHER)
    assert table.sizes == given
    table.open(CALM)
    assert table.sizes == before
    table.open(ROOMY)
    assert table.sizes == mine


def test_what_a_hand_set_comes_back_at_the_next_start(qtbot: QtBot, store: QSettings) -> None:
    table = Table(qtbot, store, (1030, 820))
    table.open(ROOMY)
    drag(table.up, QPoint(0, 90))
    mine = table.sizes
    table.room.keep()
    assert table.sizes[1][1] == 180, "the plain layout is what is kept of the window"
    again = Table(qtbot, store, (1030, 820))
    again.open(ROOMY)
    assert again.sizes[1] == mine[1]
    assert again.sizes[0] == mine[0]


def test_a_window_made_larger_meanwhile_has_its_plain_layout(
    qtbot: QtBot, store: QSettings
) -> None:
    table = Table(qtbot, store, (1030, 820))
    table.open(ROOMY)
    table.top.resize(1330, 1000)
    table.open(CALM)
    (beside, wide), (_, high) = table.sizes
    assert high == 180
    assert beside == pytest.approx(wide, abs=8)


@pytest.mark.parametrize("stored", ["", "a b", "-3 4", "12", "1 2 3", "9" * 400 + " 1", 7, None])
def test_sizes_that_cannot_be_read_count_as_not_set(
    qtbot: QtBot, store: QSettings, stored: object
) -> None:
    store.setValue("sizes/roomy-up", stored)
    table = Table(qtbot, store, (1030, 820))
    table.open(ROOMY)
    assert sum(table.sizes[1]) == pytest.approx(820, abs=6)
    table.open(CALM)
    assert table.sizes[1][1] == 180
