"""The README's picture of the window: `QT_QPA_PLATFORM=offscreen python -m tests.picture`.

The demo bag as it opens, once it is filled and its pages are counted.
"""

import tempfile
import time
from pathlib import Path

from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication

from app.session.session import Unsaved
from app.window.main_window import MainWindow
from tests.app.sessions import session_on
from tests.app.test_main_window import Answers

PLACE = Path(__file__).parents[1] / "resources" / "screenshot.png"
SIZE = 1400, 900
LONGEST = 30.0
"""Seconds that are waited for what the window works out."""


def main() -> None:
    program = QApplication([])
    program.setStyle("Fusion")
    with tempfile.TemporaryDirectory() as folder:
        store = QSettings(str(Path(folder, "settings.ini")), QSettings.Format.IniFormat)
        answers = Answers()
        window = MainWindow(session_on(store=store, questions=answers))
        window.resize(*SIZE)
        window.show()
        begun = time.monotonic()
        settled = begun + 2.0
        while time.monotonic() < settled or not window.session.capacity.current:
            if time.monotonic() > begun + LONGEST:
                raise SystemExit("The demo bag was not filled in time.")
            program.processEvents()
            time.sleep(0.01)
        if (field := window.focusWidget()) is not None:
            field.clearFocus()
        window.grab().save(str(PLACE))
        answers.leaving = Unsaved.DISCARD
        window.close()


if __name__ == "__main__":
    main()
