"""The tab of the order of sewing: empty until it is first looked at.

So the window opens sooner. It also does what the menu asks of the steps.
"""

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from app.session.session import Session

if TYPE_CHECKING:
    from app.views.sewing.body import SewingBody


class SewingPane(QFrame):
    """Holds the steps, and makes them when they are wanted.

    Signals:
        wanted: the tab is to be shown.
        booklet_asked, load_asked: the maker wants the booklet, or the load's fields.
    """

    wanted = Signal()
    booklet_asked = Signal()
    load_asked = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._body: SewingBody | None = None
        self.setAccessibleName(self.tr("Sewing order"))
        self.setMinimumSize(160, 80)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)

    @property
    def body(self) -> "SewingBody":
        """What stands on the tab; made when first asked for."""
        if self._body is None:
            from app.views.sewing.body import SewingBody

            self._body = SewingBody(self._session, self)
            self._body.booklet_asked.connect(self.booklet_asked)
            self._body.load_asked.connect(self.load_asked)
            self._column.addWidget(self._body)
        return self._body

    def show_order(self) -> None:
        """Show the order of sewing."""
        self.wanted.emit()
        self.body.list.setFocus()

    def next_step(self) -> None:
        """Read the next step; from another tab, first the present one."""
        self._move(1)

    def previous_step(self) -> None:
        """Read the step before; from another tab, first the present one."""
        self._move(-1)

    def tick_step(self) -> None:
        """Tick the step that is being read and go on; from another tab, first show it."""
        if self.isVisible():
            self.body.tick()
        else:
            self.show_order()

    def _move(self, way: int) -> None:
        if self.isVisible():
            self.body.go(way)
        else:
            self.show_order()

    # Qt's own names from here on.

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.body.show()
