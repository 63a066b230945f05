"""The cutting plan's tab with its document, and what its box is asked."""

from pathlib import Path

from PySide6.QtCore import QProcess, QSettings
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.session.cutting_plan import CuttingPlanModel, WorkerProcess
from app.views.cutting.pane import CuttingPane
from app.views.cutting.tab import CuttingTab
from tests.app.sessions import Told, session_on

PATIENT = 120_000
"""Milliseconds: far more than is ever needed, so that a busy machine is no failure."""


class Asked(Told):
    """Stands in for the box that asks where a file goes."""

    def __init__(self) -> None:
        super().__init__()
        self.path: Path | None = None
        self.suggested: list[Path] = []

    def ask(self, parent: QWidget, title: str, kind: str, suggested: Path) -> Path | None:
        self.suggested.append(suggested)
        return self.path


class Bench:
    """A document, its pane, and what is asked."""

    def __init__(self, qtbot: QtBot, store: QSettings) -> None:
        self.qtbot = qtbot
        self.asked = Asked()
        self.session = session_on(store=store, questions=self.asked)
        self.document, self.display = self.session.document, self.session.display
        self.pane = CuttingPane(self.session, ask=self.asked.ask)
        self.pane.resize(720, 420)

    @property
    def tab(self) -> CuttingTab:
        return self.pane.tab

    def open(self) -> None:
        self.pane.show()
        self.wait()

    def wait(self) -> None:
        """Until the search for the bag as it is now has come to its end."""
        body = self.tab
        self.qtbot.waitUntil(lambda: body.is_current and not body.watch.busy, timeout=PATIENT)

    def widen(self, width: float) -> None:
        self.document.set_figures({"panel_width": width}, "Panel width")


def processes(watch: CuttingPlanModel) -> list[WorkerProcess]:
    """Those that run."""
    return [
        each
        for each in watch.findChildren(WorkerProcess)
        if each.state() is not QProcess.ProcessState.NotRunning
    ]
