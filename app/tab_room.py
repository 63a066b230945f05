"""Room for tabs that need more of it: the panes give way while such a tab is open."""

from collections.abc import Mapping

from PySide6.QtCore import QByteArray, QObject, QSize
from PySide6.QtWidgets import QSplitter, QTabWidget, QWidget

from app.settings import Settings

MOST_ACROSS, MOST_UP = 0.68, 0.56
"""The largest share of the window's panes that a tab is given by itself."""


class TabRoom(QObject):
    """Keeps one layout of the splitters for the plain tabs, and one for each roomy tab.

    A roomy tab has its room when it is first opened; what the maker makes of it by hand comes
    back with the tab, also at the next start.
    """

    def __init__(
        self,
        tabs: QTabWidget,
        across: QSplitter,
        up: QSplitter,
        wanted: Mapping[str, tuple[QWidget, QSize]],
        settings: Settings,
    ) -> None:
        """`across` has the tabs last, `up` has `across` last; `wanted` is name -> (tab, size)."""
        super().__init__(tabs)
        self._tabs = tabs
        self._splitters = {"across": across, "up": up}
        self._wanted = wanted
        self._settings = settings
        self._kept: dict[str, dict[str, QByteArray]] = {}
        self._open = ""
        tabs.currentChanged.connect(self._on_current_change)

    def keep(self) -> None:
        """Remember every layout for the next start, and put the plain one in place."""
        self._turn_to("")
        for name, states in self._kept.items():
            for way, state in states.items():
                if name:
                    self._settings.keep_layout(f"{name}-{way}", state)

    def _turn_to(self, name: str) -> None:
        if name == self._open:
            return
        self._kept[self._open] = {
            way: splitter.saveState() for way, splitter in self._splitters.items()
        }
        self._open = name
        for way, splitter in self._splitters.items():
            state = self._kept.get(name, {}).get(way) or self._settings.layout(f"{name}-{way}")
            if state is not None:
                splitter.restoreState(state)
            else:
                self._make_room(name, way, splitter)

    def _make_room(self, name: str, way: str, splitter: QSplitter) -> None:
        if name not in self._wanted:
            return
        size = self._wanted[name][1]
        wanted, most = (size.width(), MOST_ACROSS) if way == "across" else (size.height(), MOST_UP)
        *others, last = splitter.sizes()
        whole = sum(others) + last
        room = max(last, min(wanted, round(most * whole)))
        left = whole - room
        scale = left / max(sum(others), 1)
        splitter.setSizes([*(round(scale * each) for each in others), room])

    def _on_current_change(self) -> None:
        current = self._tabs.currentWidget()
        names = (name for name, (tab, _) in self._wanted.items() if tab is current)
        self._turn_to(next(names, ""))
