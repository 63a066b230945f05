"""The window's layout: splitters, and their coming back at the next start."""

from collections.abc import Mapping

from PySide6.QtCore import QPoint, QRect
from PySide6.QtWidgets import QMainWindow, QSplitter, QWidget

from app.screen_room import bring_within
from app.settings import Settings
from app.tab_room import TabRoom


class KeptLayout:
    """Remembers where window and splitters stood."""

    def __init__(
        self,
        window: QMainWindow,
        splitters: Mapping[str, QSplitter],
        room: TabRoom,
        settings: Settings,
        *,
        pieces: QWidget,
    ) -> None:
        """`splitters` is name in the settings -> splitter; `pieces` is shown first at a start."""
        self._window = window
        self._splitters = splitters
        self._room = room
        self._settings = settings
        self._pieces = pieces

    def restore(self) -> None:
        """Put everything where it stood when the window was last closed."""
        if (state := self._settings.layout("window")) is not None:
            self._window.restoreGeometry(state)
            bring_within(self._window)  # it may have been a larger screen
        for name, each in self._splitters.items():
            if (state := self._settings.layout(name)) is not None:
                each.restoreState(state)

    def keep(self) -> None:
        """Remember it for the next start."""
        self._room.keep()
        self._settings.keep_layout("window", self._window.saveGeometry())
        for name, each in self._splitters.items():
            self._settings.keep_layout(name, each.saveState())
        corner = self._pieces.mapTo(self._window, QPoint(0, 0))
        self._settings.keep_place("pieces", QRect(corner, self._pieces.size()))
