"""Panes that scroll come to rest at every size: no bar that comes and goes without end."""

import pytest
from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QApplication, QScrollArea, QWidget
from pytestqt.qtbot import QtBot

from app.session.session import Session
from app.views.cutting.pane import CuttingPane
from app.views.findings.pane import FindingsPane
from app.views.sewing.pane import SewingPane
from core.base.units import Unit
from tests.app.sessions import Told, session_on
from tests.helpers import changed, demo, inch

MOST = 12
"""Sizes that a page may be given for one new size of its pane; up to five are usual."""


class Counter(QObject):
    """Counts the sizes given to the page of an area, and ends what would not end."""

    def __init__(self, area: QScrollArea) -> None:
        super().__init__(area)
        self.count = 0
        self._area = area
        area.widget().installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is QEvent.Type.Resize:
            self.count += 1
            # Qt gives one size within the other: without an end it would be the stack's.
            self._area.setWidgetResizable(self.count < 10 * MOST)
        return False


def restless(pane: QWidget, *, widths: range, heights: range) -> list[tuple[int, int]]:
    """The sizes of the pane at which a page within it is given one size after another."""
    pane.show()
    QApplication.processEvents()
    counters = [Counter(area) for area in pane.findChildren(QScrollArea)]
    assert counters
    found = []
    for wide in widths:
        for high in heights:
            for counter in counters:
                counter.count = 0
            # As in a window: one way and then the other, with no turn of the loop between.
            pane.resize(wide + 57, heights.start)
            QApplication.processEvents()
            pane.resize(wide, heights.start)
            pane.resize(wide, high)
            for _ in range(4):
                QApplication.processEvents()
            if any(counter.count > MOST for counter in counters):
                found.append((wide, high))
    return found


@pytest.fixture
def session(qtbot: QtBot) -> Session:
    """A bag with three findings, two of them with two fixes in long words."""
    bag = changed(demo(), handle_strips=1, corner_cut_width=inch(3.125) + 2, board_width=inch(10.5))
    session = session_on(bag, questions=Told())
    session.display.set_unit(Unit.MM)
    return session


def test_findings_come_to_rest(qtbot: QtBot, session: Session) -> None:
    pane = FindingsPane(session)
    qtbot.addWidget(pane)
    assert [len(row.fix_buttons) for row in pane.rows] == [2, 2, 1]
    assert restless(pane, widths=range(228, 256, 2), heights=range(184, 424, 6)) == []


def test_steps_of_sewing_come_to_rest(qtbot: QtBot, session: Session) -> None:
    pane = SewingPane(session)
    qtbot.addWidget(pane)
    pane.show()
    pane.tab.show_step(4)
    assert restless(pane, widths=range(300, 900, 60), heights=range(180, 420, 24)) == []


def test_a_cutting_plan_comes_to_rest(qtbot: QtBot, session: Session) -> None:
    pane = CuttingPane(session)
    qtbot.addWidget(pane)
    assert restless(pane, widths=range(420, 700, 40), heights=range(180, 620, 60)) == []
    pane.shut()  # its worker may still be looking for plans
