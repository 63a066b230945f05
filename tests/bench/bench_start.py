"""How long the window takes to come up, against a bare one.

Four programs are started in turns, each in a process of its own with its bytecode cached:
a bare QMainWindow until its first paint, the program until its first paint, until the flat
pieces of the demo bag are drawn, and until the whole window is. The quickest of each counts, in
wall time, and the middle one in time of the processor, which tells more where others use the
machine too. The screen has room for a window of 1400x900, which the bare one takes too.
"""

import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROUNDS = 9

SCREEN = {"name": "desk", "x": 0, "y": 0, "width": 1416, "height": 944}
"""With bars and a frame taken off, what `app.widgets.desktop.room_for` leaves is 1400x900 px."""

BARE = """
import os
from PySide6.QtWidgets import QApplication, QMainWindow
app = QApplication([])
window = QMainWindow()
window.resize(1400, 900)
window.show()
app.processEvents()
os._exit(0)
"""

FIRST_PAINT = """
import gc, os
gc.disable()
from app.__main__ import import_plainly, make_app, make_window, show_opening
import_plainly()
opening = show_opening(make_app())
"""

LOADED = (
    FIRST_PAINT
    + """
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication
from app.window.error_log import log_folder, start_log, tell_bugs
from app.session.settings import Settings
start_log(log_folder())
tell_bugs()
"""
)

PIECES = (
    LOADED
    + """
def stop_here(pane, place, show=opening.show_pieces):
    show(pane, place)
    QApplication.processEvents()
    os._exit(0)
opening.show_pieces = stop_here
make_window(Settings(QSettings()), opening)
"""
)

WINDOW = (
    LOADED
    + """
window = make_window(Settings(QSettings()), opening)
window.show()
opening.close()
QApplication.processEvents()
os._exit(0)
"""
)


def milliseconds(program: str, home: str) -> tuple[float, float]:
    """From the start of the process to its end, at the moment in question; and of processor."""
    environment = os.environ | {
        "PYTHONPATH": str(ROOT),
        "PYTHONPYCACHEPREFIX": f"{home}/bytecode",
        "XDG_CONFIG_HOME": f"{home}/config",
        "XDG_DATA_HOME": f"{home}/data",
        "QT_QPA_PLATFORM": f"offscreen:configfile={home}/screen.json",
        # It says at each window what it lacks, which would load the log's file: no desktop does.
        "QT_LOGGING_RULES": "default.warning=false",
    }
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    start, used = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, "-c", program], env=environment, check=True, stderr=subprocess.DEVNULL
    )
    wall, now = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    worked = now.ru_utime + now.ru_stime - used.ru_utime - used.ru_stime
    return wall * 1e3, worked * 1e3


def main() -> None:
    """Print the figures."""
    programs = {
        "bare window": BARE,
        "first paint": FIRST_PAINT + "os._exit(0)",
        "flat pieces drawn": PIECES,
        "whole window drawn": WINDOW,
    }
    with tempfile.TemporaryDirectory() as home:
        Path(home, "screen.json").write_text(json.dumps({"screens": [SCREEN]}))
        for program in programs.values():
            milliseconds(program, home)
        taken: dict[str, list[tuple[float, float]]] = {name: [] for name in programs}
        for _ in range(ROUNDS):
            for name, program in programs.items():
                taken[name].append(milliseconds(program, home))
    least = {name: min(wall for wall, _ in times) for name, times in taken.items()}
    middle = {name: statistics.median(used for _, used in times) for name, times in taken.items()}
    bare = "bare window"
    for name, wall in least.items():
        used = middle[name]
        print(
            f"{name:18} {wall:6.0f} ms   {wall / least[bare]:.2f} x bare"
            f"   {used:6.0f} ms of processor   {used / middle[bare]:.2f} x bare"
        )


if __name__ == "__main__":
    main()
