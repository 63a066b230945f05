"""The row whose figure is on its way to what was typed, while bags are filled for it."""

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer

from app.figure_box import FigureBox
from app.measures.row import Row
from app.measures.rows import WAITS, tr
from app.redesigner import Redesigner

LONG_WAIT = 400
"""Milliseconds after which a row says so in words: before, nothing need move for it."""


class WaitingRow(QObject):
    """Shows what was typed in muted ink until it is had or refused.

    Args:
        row_of: gives the row of a figure.
        refresh: writes the rows again, each as it is wanted or as it is.
    """

    def __init__(
        self,
        redesigner: Redesigner,
        row_of: Callable[[str], Row | None],
        refresh: Callable[[], None],
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._redesigner, self._row_of, self._refresh = redesigner, row_of, refresh
        self._row: Row | None = None
        self._long_wait = QTimer(self, singleShot=True, interval=LONG_WAIT)
        self._long_wait.timeout.connect(self._tell)
        redesigner.pending_changed.connect(self._on_pending_changed)

    def _on_pending_changed(self) -> None:
        wish = self._redesigner.pending
        before, self._row = self._row, None if wish is None else self._row_of(wish.name)
        if before is not None and before is not self._row:
            if before.remark == tr(WAITS):
                before.set_note("", wrong=False)
            _mark(before, "")
        self._refresh()
        if self._row is None:
            self._long_wait.stop()
        elif self._row is not before:
            _mark(self._row, tr(WAITS))
            self._long_wait.start()

    def _tell(self) -> None:
        if self._row is not None:
            self._row.set_note(tr(WAITS), wrong=False)


def _mark(row: Row, told: str) -> None:
    if isinstance(row.field, FigureBox):
        row.field.set_waiting(told)
