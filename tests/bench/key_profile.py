"""Where a key goes in the real window: `python -m tests.bench.key_profile gusset_depth`.

Of a sample, which is named first: `python -m tests.bench.key_profile jar base_width`.

Every function of the program with what it and all that it calls take of one key, ms, and how
often it is called for one. A profiler makes small functions look dear: what a key takes is told
by `bench_window`.
"""

import cProfile
import pstats
import sys
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.__main__ import collect_seldom
from core.storage.bag_files import SAMPLES, sample
from tests.bench.bench_window import (
    APART,
    PRESSES,
    THERE,
    WARM_UP,
    Desk,
    first_measures,
    settings,
)

ROOT = Path(__file__).parents[2]
SHOWN = 60


def profile(desk: Desk, name: str) -> pstats.Stats:
    """Of so many keys on a measure, from the key until all is painted."""
    field, profiler = desk.field(name), cProfile.Profile()
    for turn in range(-WARM_UP, PRESSES):
        key = Qt.Key.Key_Up if (turn + WARM_UP) // THERE % 2 == 0 else Qt.Key.Key_Down
        if turn >= 0:
            profiler.enable()
        desk.waited(lambda key=key: QTest.keyClick(field, key))
        profiler.disable()
        desk.rest(APART)
    return pstats.Stats(profiler)


def main() -> None:
    """Print the dearest functions of the program for a key on each measure asked for."""
    asked = sys.argv[1:]
    bag = sample(asked.pop(0) if asked and asked[0] in SAMPLES else SAMPLES[0])
    application = QApplication([])
    with settings() as store:
        desk = Desk(bag, store)
        collect_seldom()
        for name in asked or first_measures(bag):
            rows = profile(desk, name).stats.items()
            own = [
                (spent, calls, f"{Path(file).relative_to(ROOT)}:{line} {function}")
                for (file, line, function), (_, calls, _, spent, _) in rows
                if any(Path(file).is_relative_to(ROOT / room) for room in ("app", "core"))
            ]
            print(f"--- {name}\n   ms    calls  of one key")
            for spent, calls, told in sorted(own, reverse=True)[:SHOWN]:
                print(f"{spent / PRESSES * 1e3:6.2f} {calls / PRESSES:7.1f}  {told}")
        desk.close()
    application.quit()


if __name__ == "__main__":
    main()
