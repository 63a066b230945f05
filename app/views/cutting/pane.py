"""The cutting plan's tab: empty until it is first looked at, so that the window opens sooner."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, Signal
from PySide6.QtGui import QHideEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.session.session import Session
from app.widgets.desktop import width_beside_bar
from app.widgets.layouts import spaced
from app.widgets.menus import MenuLine

if TYPE_CHECKING:
    from app.files.export import AskExport
    from app.views.cutting.tab import CuttingTab
    from app.views.cutting.view import CuttingView


class CuttingPane(QFrame):
    """Holds the cutting plan, and makes it when it is wanted.

    Signals:
        materials_asked: the maker wants to edit the goods.
        wanted: the tab is to be shown.
    """

    materials_asked = Signal()
    wanted = Signal()

    def __init__(
        self,
        session: Session,
        parent: QWidget | None = None,
        *,
        ask: "AskExport | None" = None,
    ) -> None:
        """`ask` is asked where a file goes; None asks with the box of the platform."""
        super().__init__(parent)
        self._session, self._ask = session, ask
        self._tab: CuttingTab | None = None
        self._is_shut = False
        self._area: QScrollArea | None = None
        self.setAccessibleName(self.tr("Cutting plan"))
        self._column = spaced(QVBoxLayout(self))
        self.setMinimumSize(160, 80)

    @property
    def drawing(self) -> "CuttingView | None":
        """The plan that is drawn; None before the tab was first looked at."""
        return None if self._tab is None else self._tab.view

    @property
    def tab(self) -> "CuttingTab":
        """What stands on the tab; made when first asked for."""
        if self._tab is None:
            self._tab = self._made()
        return self._tab

    def show_plan(self) -> None:
        self.wanted.emit()
        self.tab.view.setFocus()

    def export_cut_list(self) -> None:
        """Write the cut list as CSV, once the plan is there."""
        self.wanted.emit()
        self.tab.export_cut_list()

    def export_materials(self) -> None:
        """Write what to buy, the cut list and the plans as PDF, once the plan is there."""
        self.wanted.emit()
        self.tab.export_materials()

    def shut(self) -> None:
        """End all work: the window closes."""
        self._is_shut = True
        if self._tab is not None:
            self._tab.shut()

    def _made(self) -> "CuttingTab":
        from app.files.export import ask_export
        from app.views.cutting.tab import CuttingTab

        tab = CuttingTab(self._session, self, ask=self._ask or ask_export)
        tab.materials_asked.connect(self.materials_asked)
        # A narrow pane scrolls: its other tabs must not be held as wide as this one.
        area = QScrollArea(self)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setWidgetResizable(True)
        area.setWidget(tab)
        self._column.addWidget(area)
        self._area = area
        tab.arrange(width_beside_bar(area, self.width()))
        return tab

    def menu_at(self, at: QPoint | None) -> list[MenuLine]:
        return [*self.tab.copies_at(at), None, "edit_layers", "export_cut_list"]

    # Qt's own names from here on.

    def resizeEvent(self, event: QResizeEvent) -> None:
        if self._tab is not None and self._area is not None:
            self._tab.arrange(width_beside_bar(self._area, self.width()))
        super().resizeEvent(event)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not self._is_shut:
            self.tab.open()

    def hideEvent(self, event: QHideEvent) -> None:
        if self._tab is not None:
            self._tab.leave()
        super().hideEvent(event)
