"""The window's layout: panes that give way to a tab, splitters, their state of the last time."""

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QPoint, QRect, QSize, Qt
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QMainWindow, QSplitter, QTabWidget, QWidget

from app.session.settings import Settings
from app.widgets.desktop import BELOW_HEIGHT, DRAWING_SHARES, MEASURES_WIDTH, bring_within, room_for


def splitter_of(orientation: Qt.Orientation, *widgets: QWidget) -> QSplitter:
    """Panes side by side or above one another; none can be shut."""
    splitter = QSplitter(orientation)
    splitter.setChildrenCollapsible(False)
    splitter.setHandleWidth(5)
    for widget in widgets:
        splitter.addWidget(widget)
    return splitter


def dropped_file(event: QDropEvent) -> Path | None:
    """The one local file that is dropped; None for anything else."""
    urls = event.mimeData().urls()
    if len(urls) != 1 or not urls[0].isLocalFile():
        return None
    return Path(urls[0].toLocalFile())


LEAST_BESIDE = 56
"""Average letters across that what stands beside the tabs keeps: a finding's sentence is read
without a strain."""
MOST_BESIDE = 0.4
"""... but no more than this share of the width."""
MOST_UP = 0.45
"""The largest share of the height that a tab is given by itself: the drawings keep the most."""
ENOUGH = 0.9
"""A tab that has this share of the room it would be given stays as it is."""
PLAIN = "plain"
"""Names the tabs that need no more room than they have."""


class TabRoom(QObject):
    """Gives a roomy tab its room while it is open, and takes it back exactly.

    A splitter that the maker has set by hand is hers. Set under a plain tab, it stays where
    it is under every tab; set under a roomy tab, it comes back with that tab alone, also at
    the next start.
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
        self._open = PLAIN
        self._before: dict[str, list[int]] = {}
        self._by_hand: dict[tuple[str, str], list[int]] = {}
        for name in (PLAIN, *wanted):
            for way, splitter in self._splitters.items():
                sizes = settings.sizes(f"{name}-{way}")
                if sizes is not None and len(sizes) == splitter.count():
                    self._by_hand[name, way] = sizes
        for way, splitter in self._splitters.items():
            splitter.splitterMoved.connect(partial(self._on_splitter_move, way))
        tabs.currentChanged.connect(self._on_current_change)

    def least_beside(self, whole: int) -> int:
        """Px that what stands beside the tabs keeps of a width."""
        letters = LEAST_BESIDE * self._tabs.fontMetrics().averageCharWidth()
        return min(letters, round(MOST_BESIDE * whole))

    def reset(self) -> None:
        """Open the first tab, in the plain layout, and forget what was set by hand."""
        self._by_hand.clear()
        self._tabs.setCurrentIndex(0)
        self._turn_to(PLAIN)

    def keep(self) -> None:
        """Remember what was set by hand for the next start, and put the plain layout in place."""
        self._turn_to(PLAIN)
        for (name, way), sizes in self._by_hand.items():
            self._settings.keep_sizes(f"{name}-{way}", sizes)

    def _turn_to(self, name: str) -> None:
        if name == self._open:
            return
        for way, splitter in self._splitters.items():
            here = splitter.sizes()
            if self._open == PLAIN:
                self._before[way] = here
            # Once for each splitter: a layout in between would be drawn, too.
            if (sizes := self._sizes(name, way, here)) != here:
                splitter.setSizes(sizes)
        self._open = name

    def _sizes(self, name: str, way: str, here: Sequence[int]) -> list[int]:
        """What the widgets of a splitter are given under a tab; px, `here` is what they have."""
        whole = sum(here)
        plain = _fitted(self._before[way], whole, way)
        if name == PLAIN:
            return plain
        if (name, way) in self._by_hand:
            return _fitted(self._by_hand[name, way], whole, way)
        if (PLAIN, way) in self._by_hand:
            return plain
        size = self._wanted[name][1]
        if way == "across":
            room = min(size.width(), whole - self.least_beside(whole))
        else:
            room = min(size.height(), round(MOST_UP * whole))
        return plain if plain[-1] >= ENOUGH * room else _with_last(plain, room, whole)

    def _on_splitter_move(self, way: str, _place: int, _handle: int) -> None:
        """Qt tells this of a hand only, never of `setSizes`."""
        self._by_hand[self._open, way] = self._splitters[way].sizes()

    def _on_current_change(self) -> None:
        current = self._tabs.currentWidget()
        names = (name for name, (tab, _) in self._wanted.items() if tab is current)
        self._turn_to(next(names, PLAIN))


def _fitted(sizes: Sequence[int], whole: int, way: str) -> list[int]:
    """Sizes brought to another whole as the window would: below, the height stays."""
    before = sum(sizes)
    if before in (0, whole):
        return list(sizes)
    last = sizes[-1] if way == "up" else round(sizes[-1] * whole / before)
    return _with_last(sizes, min(last, whole), whole)


def _with_last(sizes: Sequence[int], last: int, whole: int) -> list[int]:
    """Sizes whose last is another one; the others share what is left as they did."""
    *others, _ = sizes
    scale = (whole - last) / max(sum(others), 1)
    shared = [round(scale * each) for each in others[1:]]
    return [whole - last - sum(shared), *shared, last]


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
        self._room.keep()
        self._settings.keep_layout("window", self._window.saveGeometry())
        for name, each in self._splitters.items():
            self._settings.keep_layout(name, each.saveState())
        corner = self._pieces.mapTo(self._window, QPoint(0, 0))
        self._settings.keep_place("pieces", QRect(corner, self._pieces.size()))
