"""The tab of the order of sewing: empty until it is first looked at.

So the window opens sooner. It also does what the menu asks of the steps.
"""

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from app.session.display import tr
from app.session.session import Session
from app.widgets.layouts import spaced
from app.widgets.menus import Command, MenuLine, copying, widget_at

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
        self._column = spaced(QVBoxLayout(self))

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
        self.wanted.emit()
        self.body.list.setFocus()

    def go(self, way: int) -> None:
        """Read the next step, 1, or the one before, -1; from another tab, first the present one."""
        if self.isVisible():
            self.body.go(way)
        else:
            self.show_order()

    def tick_step(self) -> None:
        """Tick the step that is being read and go on; from another tab, first show it."""
        if self.isVisible():
            self.body.tick()
        else:
            self.show_order()

    def menu_at(self, at: QPoint | None) -> list[MenuLine]:
        body = self.body
        index = body.list.currentIndex()
        if at is not None and widget_at(self, at) is body.list.viewport():
            index = body.list.indexAt(body.list.viewport().mapFromGlobal(at))
        if not index.isValid():
            return []
        row, done = body.model.rows[index.row()], body.model.ticked(index.row())
        tick = tr("Take the tick off step {number}") if done else tr("Tick step {number}")
        read = tr("Read step {number}").format(number=row.number)
        return [
            Command(
                tick.format(number=row.number),
                lambda: body.model.tick_asked.emit(row.key, not done),
            ),
            Command(read, lambda: body.show_step(row.number)),
            None,
            copying(tr("Copy this step"), f"{row.number}. {row.title}. {row.text}"),
        ]

    # Qt's own names from here on.

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.body.show()
