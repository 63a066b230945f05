"""Start-up of the window: first paint, log, settings, first bag.

Only Qt is loaded here; what the window is made of is loaded when something is on the screen,
and of that the flat pieces and what draws them first.
"""

import atexit
import builtins
import gc
import sys
from importlib import resources
from importlib.resources.abc import Traversable
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QSettings, QTimer
from PySide6.QtGui import QGuiApplication, QIcon
from PySide6.QtWidgets import QApplication

from app.ending import Ending, end_at_once
from app.opening import Opening
from app.readable import keep_readable

if TYPE_CHECKING:
    from app.main_window import MainWindow
    from app.settings import Settings

NAME = "cornerwright"
CLASSIC_STYLES = ("windows", "motif")
"""Styles that Qt falls back to where the platform has none of its own."""


def run_window(path: str | None = None) -> int:
    """Show the window until it is closed: with a bag file, the last bag or the demo bag.

    Returns:
        The exit code: what shells tell of the signal, where one has ended it.
    """
    # Nothing made while the window is built is garbage: looking for some would only delay
    # it, and later stop a drag for a moment each time all of it is looked through again.
    gc.disable()
    end_at_once()
    import_plainly()
    app = make_app()
    opening = show_opening(app)
    from app.messages import log_folder, start_log, tell_bugs
    from app.settings import Settings
    from app.work import leave_jobs_behind

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
    gc.freeze()
    gc.enable()
    # Once the window stands, so that what is asked and told stands over it.
    QTimer.singleShot(0, window, lambda: _keep_safe(window, path))
    code = app.exec()
    window.settings.sync()
    atexit.register(leave_jobs_behind, code)
    return code


def _keep_safe(window: "MainWindow", path: str | None) -> None:
    from app.autosave import recovery_folder
    from app.recovery import Recovery

    recovery = Recovery(window, recovery_folder())
    Ending(window, recovery)
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
    if app.style().name().lower() in CLASSIC_STYLES:
        app.setStyle("Fusion")
    keep_readable(app)
    return app


def show_opening(app: QApplication) -> Opening:
    """Something to see at once, in the place where the window was last."""
    stored = QSettings().value("layout/window")
    opening = Opening(app.windowIcon(), stored if isinstance(stored, QByteArray) else None)
    opening.show()
    app.processEvents()
    return opening


def make_window(settings: "Settings", opening: Opening | None = None) -> "MainWindow":
    """The window on the demo bag, in the unit and ruler step that were used last.

    Args:
        opening: shows the flat pieces at once, while the rest of the window is loaded.
    """
    from app.display import Display
    from app.document import Document
    from app.panes.flat_pane import FlatPane
    from core.bagfile import demo_bag

    bag = demo_bag()
    document = Document(bag)
    display = Display(settings.own_unit or settings.unit or bag.unit, steps=settings.steps)
    flat = FlatPane(document, display)
    flat.set_starting(document.starting)
    if opening is not None:
        opening.show_pieces(flat, settings.place("pieces"))
        QApplication.processEvents()
    from app.main_window import MainWindow

    return MainWindow(document, display, settings, flat=flat)


def opening_icon() -> QIcon:
    """The program's icon in one size: what draws it in any has yet to be loaded."""
    return QIcon(str(_icons().joinpath("cornerwright.png")))


def window_icon() -> QIcon:
    """The program's icon."""
    icon = QIcon(str(_icons().joinpath("cornerwright.svg")))
    icon.addFile(str(_icons().joinpath("cornerwright.png")))
    return icon


def _icons() -> Traversable:
    return resources.files("resources").joinpath("icons")


if __name__ == "__main__":
    sys.exit(run_window(sys.argv[1] if len(sys.argv) > 1 else None))
