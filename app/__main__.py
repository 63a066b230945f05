"""Start-up of the window: first paint, log, settings, first bag.

The page that stands where the window will be needs Qt and next to nothing of ours, so that it
shows at once; on a cold disk the rest takes seconds. The flat pieces and what draws them come
next, where the window will have them; then the window comes up in the same place and takes
them over.
"""

import atexit
import builtins
import gc
import sys
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QPointF, QRect, QRectF, QSettings, QSize, QTimer
from PySide6.QtGui import QFont, QFontMetricsF, QGuiApplication, QIcon, QPainter, QPaintEvent
from PySide6.QtWidgets import QApplication, QWidget

from app.widgets.desktop import (
    BELOW_HEIGHT,
    DRAWING_SHARES,
    MEASURES_WIDTH,
    bring_within,
    keep_readable,
    room_for,
)
from app.window.ending import OrderlyEnd, end_at_once
from resources import FOLDER

if TYPE_CHECKING:
    from app.session.settings import Settings
    from app.window.main_window import MainWindow


_ABOVE, _UNDER, _GAP = 54, 27, 5
"""Menus and toolbar, status line, and the handle between two panes, px."""
_ICON = 96.0
_ICONS = FOLDER / "icons"


def start_place(size: QSize) -> QRect:
    """About where a window of this size has the flat pieces at the first start, px."""
    left = MEASURES_WIDTH + _GAP
    shared = size.width() - left - _GAP
    width = shared * DRAWING_SHARES[0] // sum(DRAWING_SHARES)
    height = size.height() - _ABOVE - _GAP - BELOW_HEIGHT - _UNDER
    return QRect(left, _ABOVE, width, height)


class OpeningPage(QWidget):
    """Icon and name on a blank page, in the place of the window.

    Args:
        icon: the program's icon.
        geometry: where the window was last; None at the first start.
    """

    def __init__(self, icon: QIcon, geometry: QByteArray | None) -> None:
        super().__init__()
        self._icon = icon
        self._pane: QWidget | None = None
        self._words = self.tr("Opening the bag…")
        self.setWindowTitle(self._words)
        self.setAccessibleName(self._words)
        self.setGeometry(room_for(self))
        if geometry is not None:
            self.restoreGeometry(geometry)
            bring_within(self)

    def show_pieces(self, pane: QWidget, place: QRect | None) -> None:
        """Show the flat pieces; the icon and the words make room for them.

        Args:
            pane: what shows them, until somebody else takes it.
            place: where the window had them last; None at the first start.
        """
        # Not before the first paint: a hundred enums are made when this is first named.
        from PySide6.QtCore import Qt

        for room in (place, start_place(self.size())):
            if room is not None and not room.isEmpty() and self.rect().contains(room):
                pane.setParent(self)
                pane.setGeometry(room)
                # Who takes it gives it a size of its own, whatever it had here.
                pane.setAttribute(Qt.WidgetAttribute.WA_Resized, False)
                pane.show()
                self._pane = pane
                self.update()
                return

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        room = QRectF(self.rect())
        if self._pane is not None:
            room.setRight(max(self._pane.x(), _ICON))
        middle = room.center()
        place = QRectF(middle.x() - _ICON / 2, middle.y() - _ICON, _ICON, _ICON)
        self._icon.paint(painter, place.toRect())
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 1.3)
        painter.setFont(font)
        # In the pen that the widget gives, at a point: an alignment, or a pen set by its colour,
        # would make the enums of `Qt` before there is anything to see.
        metrics = QFontMetricsF(font)
        left = middle.x() - metrics.horizontalAdvance(self._words) / 2
        painter.drawText(QPointF(left, middle.y() + 16.0 + metrics.ascent()), self._words)


NAME = "cornerwright"
COLLECT_AFTER = 20_000
"""New objects after which garbage is looked for: more than a key makes."""


def run_window(path: str | None = None) -> int:
    """Show the window until it is closed: with a bag file, the last bag or the demo bag.

    The exit code is what shells tell of the signal, where one has ended it.
    """
    # Nothing made while the window is built is garbage: looking for some would only delay
    # it, and later stop a drag for a moment each time all of it is looked through again.
    gc.disable()
    end_at_once()
    import_plainly()
    app = make_app()
    opening = show_opening(app)
    from app.session.settings import Settings
    from app.session.work import leave_jobs_behind
    from app.window.error_log import log_folder, start_log, tell_bugs

    start_log(log_folder())
    tell_bugs()
    # Who asked for a bag of their own is shown no pieces of another one.
    settings = Settings(QSettings())
    is_demo = path is None and settings.last_file is None
    window = make_window(settings, opening if is_demo else None)
    app.setWindowIcon(window_icon())
    window.show()
    opening.close()
    opening.deleteLater()
    collect_seldom()
    # Once the window stands, so that what is asked and told stands over it.
    QTimer.singleShot(0, window, lambda: _keep_safe(window, path))
    code = app.exec()
    window.settings.sync()
    atexit.register(leave_jobs_behind, code)
    return code


def collect_seldom() -> None:
    """Look for garbage in rings from now on, seldom, and not among what the window is made of.

    At Python's own 700 new objects it would be looked for in the midst of every key, among what
    the key's own work is about to drop: half a millisecond of each.
    """
    gc.freeze()
    gc.set_threshold(COLLECT_AFTER)
    gc.enable()


def _keep_safe(window: "MainWindow", path: str | None) -> None:
    from app.files.autosave import recovery_folder
    from app.files.recovery import Recovery

    recovery = Recovery(window, recovery_folder())
    OrderlyEnd(window, recovery)
    recovery.begin(path)
    window.help.offer_tour()


def import_plainly() -> None:
    """Take the wrapper off the `import` statement that PySide put there for its features.

    This program has no `from __feature__ import ...`, and to look for some the source text of
    every module loaded from now on would be read, ours and numpy's: a tenth of the start.
    """
    builtins.__import__ = getattr(builtins, "__orig_import__", builtins.__import__)


def make_app() -> QApplication:
    """The application with its names, icon and style."""
    QGuiApplication.setApplicationDisplayName("Cornerwright")
    QGuiApplication.setDesktopFileName(NAME)
    found = QApplication.instance()
    app = found if isinstance(found, QApplication) else QApplication([NAME])
    app.setOrganizationName(NAME)
    app.setApplicationName(NAME)
    app.setWindowIcon(opening_icon())
    keep_readable(app)
    return app


def show_opening(app: QApplication) -> OpeningPage:
    """Something to see at once, in the place where the window was last."""
    stored = QSettings().value("layout/window")
    opening = OpeningPage(app.windowIcon(), stored if isinstance(stored, QByteArray) else None)
    opening.show()
    app.processEvents()
    return opening


def make_window(settings: "Settings", opening: OpeningPage | None = None) -> "MainWindow":
    """The window on the demo bag, in the unit and ruler step that were used last.

    `opening` shows the flat pieces at once, while the rest of the window is loaded.
    """
    from app.session.display import Display
    from app.session.document import Document
    from app.session.session import Session
    from app.views.flat.pane import FlatPane
    from core.storage.bag_files import demo_bag

    bag = demo_bag()
    document = Document(bag)
    display = Display(settings.own_unit or settings.unit or bag.unit, steps=settings.steps)
    session = Session(document, display, settings)
    flat = FlatPane(session)
    flat.set_starting(document.starting)
    if opening is not None:
        opening.show_pieces(flat, settings.place("pieces"))
        QApplication.processEvents()
    from app.window.main_window import MainWindow

    return MainWindow(session, flat=flat)


def opening_icon() -> QIcon:
    """The program's icon as files of some sizes, each read when it is drawn.

    One is that of the opening page; what draws it in any size has yet to be loaded.
    """
    icon = QIcon()
    icon.addFile(str(_ICONS / "cornerwright-96.png"), QSize(96, 96))
    icon.addFile(str(_ICONS / "cornerwright.png"), QSize(256, 256))
    return icon


def window_icon() -> QIcon:
    """The program's icon."""
    icon = QIcon(str(_ICONS / "cornerwright.svg"))
    icon.addFile(str(_ICONS / "cornerwright.png"))
    return icon


if __name__ == "__main__":
    if sys.argv[1:] and sys.argv[1][:1] == "-":
        from core.base.sentences import mark

        sys.exit(mark("Commands and options: cornerwright --help."))
    sys.exit(run_window(sys.argv[1] if len(sys.argv) > 1 else None))
