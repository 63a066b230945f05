"""What comes back at the next start: unit, ruler step, layout, last folder, recent files.

A value that cannot be read, because somebody edited the file or an older program wrote it,
counts as not set.
"""

import math
from pathlib import Path

from PySide6.QtCore import QByteArray, QSettings, QStandardPaths

from core.units import Unit, ruler_steps

MOST_RECENT = 8


class Settings:
    """The user's settings, in the store that is passed in."""

    def __init__(self, store: QSettings) -> None:
        self._store = store

    @property
    def unit(self) -> Unit | None:
        """The unit shown last; None before the first start."""
        found = self._store.value("display/unit")
        return next((unit for unit in Unit if unit.value == found), None)

    @property
    def step(self) -> float | None:
        """The ruler step used last with that unit, mm."""
        unit = self.unit
        if unit is None:
            return None
        try:
            stored = float(str(self._store.value("display/step")))
        except ValueError:
            return None
        near = (step for step in ruler_steps(unit) if math.isclose(step, stored, rel_tol=1e-9))
        return next(near, None)

    def keep_display(self, unit: Unit, step: float) -> None:
        """Remember unit and ruler step (mm)."""
        self._store.setValue("display/unit", unit.value)
        self._store.setValue("display/step", repr(step))

    @property
    def rounding(self) -> bool:
        """Whether redesigns are put on the ruler; not before the maker says so."""
        return self._store.value("redesign/rounding") in ("true", True)

    def keep_rounding(self, rounding: bool) -> None:
        """Remember whether redesigns are put on the ruler."""
        self._store.setValue("redesign/rounding", "true" if rounding else "false")

    @property
    def folder(self) -> Path:
        """The folder used last, or the user's documents."""
        stored = self._store.value("files/folder")
        if isinstance(stored, str) and stored and Path(stored).is_dir():
            return Path(stored)
        documents = QStandardPaths.StandardLocation.DocumentsLocation
        return Path(QStandardPaths.writableLocation(documents))

    def keep_folder(self, folder: Path) -> None:
        """Remember the folder used last."""
        self._store.setValue("files/folder", str(folder))

    @property
    def recent(self) -> list[Path]:
        """The files used last, the latest first."""
        stored = self._store.value("files/recent")
        names = [stored] if isinstance(stored, str) else stored
        if not isinstance(names, list):
            return []
        return [Path(name) for name in names if isinstance(name, str) and name][:MOST_RECENT]

    def keep_recent(self, path: Path) -> None:
        """Put a file at the top of the recent ones."""
        kept = [path, *(other for other in self.recent if other != path)]
        self._store.setValue("files/recent", [str(each) for each in kept[:MOST_RECENT]])

    def forget_recent(self, path: Path | None = None) -> None:
        """Take one file, or all, off the recent ones."""
        kept = [] if path is None else [other for other in self.recent if other != path]
        self._store.setValue("files/recent", [str(each) for each in kept])

    def layout(self, name: str) -> QByteArray | None:
        """The kept state of a window or splitter."""
        stored = self._store.value(f"layout/{name}")
        return stored if isinstance(stored, QByteArray) and not stored.isEmpty() else None

    def keep_layout(self, name: str, state: QByteArray) -> None:
        """Remember the state of a window or splitter."""
        self._store.setValue(f"layout/{name}", state)
