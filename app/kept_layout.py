"""The window's layout: splitters, and their coming back at the next start."""

from collections.abc import Mapping

from PySide6.QtCore import QPoint, QRect, QSize
from PySide6.QtWidgets import QMainWindow, QSplitter, QWidget

from app.opening import BELOW_HEIGHT, DRAWING_SHARES, MEASURES_WIDTH
from app.screen_room import bring_within, room_for
from app.settings import Settings
from app.tab_room import TabRoom

BELOW_SHARES = (500, 500)
"""How findings and the tabs beside them share the width at the first start."""


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

    def lay_out(self, size: QSize) -> None:
        """Share a window of this size (px) out among the panes as at the first start."""
        first = {
            "whole": [MEASURES_WIDTH, size.width() - MEASURES_WIDTH],
            "right": [size.height() - BELOW_HEIGHT, BELOW_HEIGHT],
            "drawings": list(DRAWING_SHARES),
            "below": list(BELOW_SHARES),
        }
        for name, each in self._splitters.items():
            each.setSizes(first[name])

    def reset(self) -> None:
        """Give the window and all of its panes their first sizes, and forget any others."""
        self._settings.forget_layout()
        self._room.reset()
        if self._window.isMaximized() or self._window.isFullScreen():
            self._window.showNormal()
        self._window.setGeometry(room_for(self._window))
        self.lay_out(self._window.size())

    def keep(self) -> None:
        """Remember it for the next start."""
        self._room.keep()
        self._settings.keep_layout("window", self._window.saveGeometry())
        for name, each in self._splitters.items():
            self._settings.keep_layout(name, each.saveState())
        corner = self._pieces.mapTo(self._window, QPoint(0, 0))
        self._settings.keep_place("pieces", QRect(corner, self._pieces.size()))
