"""What one key on a measure makes the whole window do: what it changes, and all of it once.

Counted are calls and events, in the real window, until both drawings are painted; what timers put
off comes after.
"""

import sys
import threading
import time
from collections import Counter
from collections.abc import Callable

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QObject, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.session import document
from app.views.flat import pane as flat_pane
from app.views.flat.pane import FlatPane
from app.views.flat.piece_picture import PieceLayouter
from app.views.fold.view import FoldView
from app.views.measures.figure_row import FigureRow
from app.views.measures.row import MeasureGroup, MeasureRow
from app.widgets.figure_box import SHADED, FigureBox
from app.window.main_window import MainWindow
from core.bag import compute
from core.redesign import redesign
from core.redesign.beside import beside, kept_slopes, length_slopes
from core.redesign.variables import sizes_of
from core.solid.fold import FoldModel
from core.storage.project import Project
from tests.app.hands import Hands

CALLS: tuple[tuple[str, object, str], ...] = (
    ("bags computed", document, "compute"),
    ("bags computed", redesign, "compute"),
    ("bags drafted", compute, "draft_bag"),
    ("bags measured", compute, "_measured"),
    ("bags judged", compute, "_judge"),
    ("bags folded", FoldModel, "__init__"),
    ("projects made", Project, "__post_init__"),
    ("sheets laid", flat_pane, "lay_sheet"),
    ("pictures planned", PieceLayouter, "plan"),
    ("rows written", FigureRow, "write_note"),
)
PAINTED = {
    FlatPane: "flat pictures",
    FoldView: "folded pictures",
    MeasureRow: "rows painted",
    MeasureGroup: "groups painted",
    FigureBox: "boxes painted",
}


class Watch(QObject):
    """Counts what the window is made to do. The thread that fills the bag is not meant."""

    def __init__(self, hands: Hands, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
        super().__init__()
        self._hands, self._qtbot = hands, qtbot
        self.done: Counter[str] = Counter()
        for name, where, function in CALLS:
            monkeypatch.setattr(where, function, self._counting(name, getattr(where, function)))
        QApplication.instance().installEventFilter(self)

    def _counting(self, name: str, real: Callable[..., object]) -> Callable[..., object]:
        def call(*args: object, **words: object) -> object:
            self.done[name] += threading.current_thread() is threading.main_thread()
            return real(*args, **words)

        return call

    def rest(self) -> None:
        """Let everything be done that is put off, but for the pages, which wait longest."""
        window = self._hands.window
        put_off = (window.findings._soon, window.status_line._soon, window.changes._soon)
        self._qtbot.waitUntil(lambda: not any(each.active for each in put_off), timeout=10_000)
        for _ in range(5):
            QCoreApplication.sendPostedEvents()

    def key(self, name: str) -> dict[str, int]:
        """What a press of the arrow down makes the window do until it is painted."""
        box = self._hands.box(name)
        self.done.clear()
        QTest.keyClick(box, Qt.Key.Key_Down)
        for _ in range(3):  # layouts, which ask for others, and pictures; nothing of any timer
            QCoreApplication.sendPostedEvents()
        return {name: count for name, count in self.done.items() if count}

    # Qt's own names from here on.

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is QEvent.Type.Paint:
            kinds = (name for kind, name in PAINTED.items() if isinstance(watched, kind))
            self.done.update(kinds)
        elif event.type() is QEvent.Type.LayoutRequest:
            self.done["window laid out"] += isinstance(watched, MainWindow)
        return False


@pytest.fixture
def watch(hands: Hands, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Watch:
    capacity = hands.window.session.capacity
    qtbot.waitUntil(lambda: capacity.current, timeout=10_000)
    pages = hands.window.status_line._pause
    qtbot.waitUntil(lambda: not pages.isActive(), timeout=10_000)  # the last that a start puts off
    monkeypatch.setattr(capacity._soon, "start", lambda: None)
    for kept in (sizes_of, beside, kept_slopes, length_slopes):  # of other tests' bags
        kept.cache_clear()
    made = Watch(hands, qtbot, monkeypatch)
    made.rest()
    return made


ONCE = {
    "bags computed": 1,
    "bags drafted": 1,
    "bags folded": 1,
    "flat pictures": 1,
    "folded pictures": 1,
}


def checked(done: dict[str, int], exactly: dict[str, int], at_most: dict[str, int]) -> None:
    """Nothing else is done than these."""
    assert {name: count for name, count in done.items() if name not in at_most} == exactly
    assert {name: count for name, count in done.items() if count > at_most.get(name, 99)} == {}


@pytest.mark.parametrize(
    ("name", "measured", "pictures", "projects"),
    [
        # Panel, tape and pocket are as wide as the panel. A cut size is measured as it is computed.
        ("panel_width", (1, 1), 3, 2),
        # For a wanted size a hold's first key measures the bag as it is, one beside it for each of
        # five unknowns, and where that leads; the next ones only where it leads. All five pieces
        # follow, and one whose neighbours leave it another room is planned with it.
        ("gusset_depth", (8, 2), 6, 4),
    ],
)
def test_a_key_does_all_that_it_changes_once(
    hands: Hands, watch: Watch, name: str, measured: tuple[int, int], pictures: int, projects: int
) -> None:
    """The bag is judged later; no box is painted for its text; the window has its layout."""
    hands.box(name).setFocus()
    QCoreApplication.sendPostedEvents()
    at_most = {
        "pictures planned": pictures,
        "projects made": projects,  # that the step asks for, and that it leads to
        "sheets laid": 64,  # one, and every arrangement where the pieces are fitted anew
        "rows written": 18,  # of 42: figures that are others now
        "rows painted": 12,  # no more than there is room for
        "boxes painted": 4,  # what has the focus, and the filled bag's, now of older numbers
        "window laid out": 1,  # the toolbar has something to undo
    }
    first = watch.key(name)
    # The bag that the changes are told against is folded at the first of them.
    checked(first, ONCE | {"bags folded": 2, "bags measured": measured[0]}, at_most)
    for _ in range(2):
        watch.rest()
        following = watch.key(name)
        held = at_most | {
            "rows painted": 9,
            "boxes painted": 8 if sys.platform in SHADED else 0,
            "sheets laid": 1,
            "window laid out": 0,
        }
        checked(following, ONCE | {"bags measured": measured[1]}, held)


def test_what_is_put_off_judges_once_and_lays_the_window_out_twice_at_most(
    hands: Hands, watch: Watch
) -> None:
    """Heads of findings and the status line, with another size of the panel, need other room."""
    most = 4  # the table of changes comes with the first
    for name in ("panel_width", "gusset_depth"):
        hands.box(name).setFocus()
        for _ in range(2):
            watch.key(name)
            watch.done.clear()
            watch.rest()
            laid = watch.done.pop("window laid out", 0)
            counts = {each: count for each, count in watch.done.items() if count}
            # Each fix is tried on the bag as it would be: drafted, measured and judged.
            tried = counts.pop("bags drafted", 0)
            assert counts.pop("bags measured", 0) == tried
            assert counts == {"bags judged": 1 + tried}
            assert tried <= 3
            assert laid <= most
            most = 2


def test_what_is_put_off_waits_for_the_pictures_however_late_they_are(
    hands: Hands, qtbot: QtBot
) -> None:
    """Fixes are tried, the filled shape and lines of text asked for: none of it beside a key."""
    window, happened = hands.window, []
    window.tabs.setCurrentWidget(window.changes)
    users = (window.findings, window.status_line, window.changes, window.session.capacity)
    qtbot.waitUntil(lambda: not any(each._soon.active for each in users), timeout=10_000)
    for each in users:
        each._soon.came.connect(lambda each=each: happened.append(type(each)))
    QTest.keyClick(hands.box("gusset_depth"), Qt.Key.Key_Up)
    time.sleep(max(each._soon.after.interval() for each in users) / 1000)
    seen = Pictures(happened)
    QApplication.instance().installEventFilter(seen)
    while len(happened) < 2:
        QApplication.processEvents()
    assert set(happened) == {FlatPane, FoldView}, "and events are heard before anything else"
    qtbot.waitUntil(lambda: len(happened) == 2 + len(users))


class Pictures(QObject):
    """Takes down when a drawing is painted."""

    def __init__(self, happened: list[type]) -> None:
        super().__init__()
        self._happened = happened

    # Qt's own name.

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is QEvent.Type.Paint and isinstance(watched, FlatPane | FoldView):
            self._happened.append(type(watched))
        return False
