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
    from app.views.sewing.tab import SewingTab


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
        self._tab: SewingTab | None = None
        self.setAccessibleName(self.tr("Sewing order"))
        self.setMinimumSize(160, 80)
        self._column = spaced(QVBoxLayout(self))

    @property
    def tab(self) -> "SewingTab":
        """What stands on the tab; made when first asked for."""
        if self._tab is None:
            from app.views.sewing.tab import SewingTab

            self._tab = SewingTab(self._session, self)
            self._tab.booklet_asked.connect(self.booklet_asked)
            self._tab.load_asked.connect(self.load_asked)
            self._column.addWidget(self._tab)
        return self._tab

    def show_order(self) -> None:
        self.wanted.emit()
        self.tab.list.setFocus()

    def go(self, way: int) -> None:
        """Read the next step, 1, or the one before, -1; from another tab, first the present one."""
        if self.isVisible():
            self.tab.go(way)
        else:
            self.show_order()

    def tick_step(self) -> None:
        """Tick the step that is being read and go on; from another tab, first show it."""
        if self.isVisible():
            self.tab.tick()
        else:
            self.show_order()

    def menu_at(self, at: QPoint | None) -> list[MenuLine]:
        tab = self.tab
        index = tab.list.currentIndex()
        if at is not None and widget_at(self, at) is tab.list.viewport():
            index = tab.list.indexAt(tab.list.viewport().mapFromGlobal(at))
        if not index.isValid():
            return []
        row, done = tab.model.rows[index.row()], tab.model.ticked(index.row())
        tick = tr("Take the tick off step {number}") if done else tr("Tick step {number}")
        read = tr("Read step {number}").format(number=row.number)
        return [
            Command(
                tick.format(number=row.number), lambda: tab.model.tick_asked.emit(row.key, not done)
            ),
            Command(read, lambda: tab.show_step(row.number)),
            None,
            copying(tr("Copy this step"), f"{row.number}. {row.title}. {row.text}"),
        ]

    # Qt's own names from here on.

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.tab.show()
