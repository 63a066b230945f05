"""The maker's own goods, kept in a file beside the program's other data."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QStandardPaths

from core.base.atomic_write import reason_of, write_whole
from core.base.errors import BagFileError
from core.base.sentences import Sentence, Template, mark
from core.goods.layers import Layer
from core.storage.goods_library import GENERIC, library_to_json, merged, read_library

FILE = "goods.json"


def library_file() -> Path:
    """Where the library lies on this platform."""
    place = QStandardPaths.StandardLocation.AppDataLocation
    return Path(QStandardPaths.writableLocation(place)) / FILE


class MaterialLibrary:
    """The library's way to and from its file.

    `remark` is what was not taken as the file has it when it was read last; None for nothing.
    """

    def __init__(self, path: Path | None = None) -> None:
        self._path = path or library_file()
        self.remark: Sentence | None = None

    @property
    def generic(self) -> tuple[Layer, ...]:
        """Goods that come with the program."""
        return GENERIC

    def read(self) -> tuple[Layer, ...]:
        """The maker's own goods; none before any was kept.

        A CornerwrightError says that the file is there, and cannot be read.
        """
        return self._read() or ()

    def update(
        self, before: Sequence[Layer], after: Sequence[Layer], sources: Sequence[int | None]
    ) -> None:
        """Put what was changed in goods that were read into what the file holds by now.

        What another window kept meanwhile stays. A file that is gone holds `after` then. `sources`
        has for each in `after` its place in `before`, from 0; None of a new one. CornerwrightError:
        the file is there and cannot be read, or cannot be written.
        """
        now = self._read()
        if now is None:
            now = tuple(before)
        self.write(merged(now, before=before, after=after, sources=sources))

    def write(self, goods: Sequence[Layer]) -> None:
        """Keep these, whole or not at all; BagFileError: the file cannot be written."""
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(self._path, library_to_json(goods).encode())
        except OSError as error:
            raise self._trouble(mark("{path} cannot be written: {reason}."), error) from error

    def _read(self) -> tuple[Layer, ...] | None:
        """The goods in the file; None where there is no file."""
        try:
            text = self._path.read_bytes()
        except FileNotFoundError:
            return None
        except OSError as error:
            raise self._trouble(mark("{path} cannot be read: {reason}."), error) from error
        library = read_library(text, source=self._path.name)
        self.remark = library.remark
        return library.goods

    def _trouble(self, template: Template, error: OSError) -> BagFileError:
        words = {"path": str(self._path), "reason": reason_of(error)}
        return BagFileError(Sentence(template, words=words))
