"""Asking where an exported file goes, with the platform's own box, and what is never replaced."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QWidget

from core.errors import ExportError, Sentence
from core.wholefile import is_same_file

AskExport = Callable[[QWidget, str, str, Path], Path | None]
"""(parent, title, kind such as "PDF file (*.pdf)", suggested path) -> chosen path or None."""

_NO_SIGN_OF_NAMES = '<>:"/\\|?*'


def ask_export(parent: QWidget, title: str, kind: str, suggested: Path) -> Path | None:
    """Ask where a file goes; the box asks before an existing file is replaced."""
    from PySide6.QtWidgets import QFileDialog  # the window opens sooner without

    dialog = QFileDialog(parent, title, str(suggested.parent), kind)
    dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
    # Set here, the suffix is there before the box asks about overwriting.
    dialog.setDefaultSuffix(suggested.suffix.removeprefix("."))
    dialog.selectFile(suggested.name)
    accepted = dialog.exec()
    chosen = dialog.selectedFiles()
    dialog.deleteLater()
    return Path(chosen[0]) if accepted and chosen else None


def refuse_bag_itself(path: Path, own: Path | None) -> None:
    """Keep an export from being written over the bag that it was made of.

    Args:
        path: where the export is to go.
        own: the file of the bag, if it has one.

    Raises:
        ExportError: they are one file.
    """
    if own is not None and is_same_file(path, own):
        words = {"file": path.name}
        raise ExportError(Sentence("{file} is the bag’s own file: give another name.", words=words))


def file_name(name: str, *, otherwise: str) -> str:
    """A bag's name without the signs that no system allows in a file's name."""
    plain = "".join(sign for sign in name if sign not in _NO_SIGN_OF_NAMES and sign.isprintable())
    return plain.strip(" .") or otherwise
