"""Start-up of the window: first paint, log, settings, first bag.

Only Qt is loaded here; what the window is made of is loaded when something is on the screen.
"""

import gc
import sys
from importlib import resources
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QSettings, QTimer
from PySide6.QtGui import QGuiApplication, QIcon
from PySide6.QtWidgets import QApplication

from app.opening import Opening

if TYPE_CHECKING:
    from app.main_window import MainWindow
    from app.settings import Settings

NAME = "cornerwright"
CLASSIC_STYLES = ("windows", "motif")
"""Styles that Qt falls back to where the platform has none of its own."""


def run_window(path: str | None = None) -> int:
    """Show the window, with a bag file or the demo bag, until it is closed; the exit code."""
    # Nothing made while the window is built is garbage: looking for some would only delay
    # it, and later stop a drag for a moment each time all of it is looked through again.
    gc.disable()
    app = make_app()
    opening = show_opening(app)
    from app.messages import log_folder, start_log, tell_bugs
    from app.settings import Settings

    start_log(log_folder())
    tell_bugs()
    window = make_window(Settings(QSettings()))
    window.show()
    opening.close()
    opening.deleteLater()
    gc.freeze()
    gc.enable()
    # Once the window stands, so that what is asked and told stands over it.
    QTimer.singleShot(0, window, lambda: _keep_safe(window, path))
    return app.exec()


def _keep_safe(window: "MainWindow", path: str | None) -> None:
    from app.autosave import recovery_folder
    from app.recovery import Recovery

    Recovery(window, recovery_folder()).begin(path)


def make_app() -> QApplication:
    """The application with its names, icon and style."""
    QGuiApplication.setApplicationDisplayName("Cornerwright")
    QGuiApplication.setDesktopFileName(NAME)
    found = QApplication.instance()
    app = found if isinstance(found, QApplication) else QApplication([NAME])
    app.setOrganizationName(NAME)
    app.setApplicationName(NAME)
    app.setWindowIcon(window_icon())
    if app.style().name().lower() in CLASSIC_STYLES:
        app.setStyle("Fusion")
    return app


def show_opening(app: QApplication) -> Opening:
    """Something to see at once, in the place where the window was last."""
    stored = QSettings().value("layout/window")
    opening = Opening(app.windowIcon(), stored if isinstance(stored, QByteArray) else None)
    opening.show()
    app.processEvents()
    return opening


def make_window(settings: "Settings") -> "MainWindow":
    """The window on the demo bag, in the unit and ruler step that were used last."""
    from app.display import Display
    from app.document import Document
    from app.main_window import MainWindow
    from core.bagfile import demo_bag

    bag = demo_bag()
    unit = settings.unit
    display = Display(bag.unit if unit is None else unit, settings.step)
    return MainWindow(Document(bag), display, settings)


def window_icon() -> QIcon:
    """The program's icon."""
    folder = resources.files("resources").joinpath("icons")
    icon = QIcon(str(folder.joinpath("cornerwright.svg")))
    icon.addFile(str(folder.joinpath("cornerwright.png")))
    return icon


if __name__ == "__main__":
    sys.exit(run_window(sys.argv[1] if len(sys.argv) > 1 else None))
