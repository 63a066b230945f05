"""The maker's own goods, kept in a file beside the program's other data."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QStandardPaths

from core.errors import BagFileError, Sentence
from core.goods.library import GENERIC, library_from_json, library_to_json
from core.parts.layers import Layer
from core.wholefile import reason_of, write_whole

FILE = "goods.json"


def shelf_file() -> Path:
    """Where the library lies on this platform."""
    place = QStandardPaths.StandardLocation.AppDataLocation
    return Path(QStandardPaths.writableLocation(place)) / FILE


class Shelf:
    """The library's way to and from its file."""

    def __init__(self, path: Path | None = None) -> None:
        self._path = path or shelf_file()

    @property
    def generic(self) -> tuple[Layer, ...]:
        """Goods that come with the program."""
        return GENERIC

    def read(self) -> tuple[Layer, ...]:
        """The maker's own goods; none before any was kept.

        Raises:
            CornerwrightError: the file is there, and cannot be read.
        """
        try:
            text = self._path.read_bytes()
        except FileNotFoundError:
            return ()
        except OSError as error:
            raise self._trouble("{path} cannot be read: {reason}.", error) from error
        return library_from_json(text)

    def write(self, goods: Sequence[Layer]) -> None:
        """Keep these, whole or not at all.

        Raises:
            BagFileError: the file cannot be written.
        """
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(self._path, library_to_json(goods).encode())
        except OSError as error:
            raise self._trouble("{path} cannot be written: {reason}.", error) from error

    def _trouble(self, template: str, error: OSError) -> BagFileError:
        words = {"path": str(self._path), "reason": reason_of(error)}
        return BagFileError(Sentence(template, words=words))
