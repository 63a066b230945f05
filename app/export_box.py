"""Asking where an exported file goes, with the platform's own box, and what is never replaced."""

import logging
from collections.abc import Callable, Collection, Mapping
from pathlib import Path

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import QWidget

from app.plain_label import breakable
from core.errors import CornerwrightError, ExportError, Sentence
from core.wholefile import is_same_file

AskExport = Callable[[QWidget, str, str, Path], Path | None]
"""(parent, title, kind such as "PDF file (*.pdf)", suggested path) -> chosen path or None. The
path has the suggested one's ending, and a file that lies there may be replaced."""

_log = logging.getLogger("cornerwright")
_BROKEN = "Nothing was saved: something went wrong in the program. The details are in its log."
_NO_SIGN_OF_NAMES = '<>:"/\\|?*'
_ALIKE = {".htm": ".html"}
"""Another ending -> the one that means the same."""


def ask_export(parent: QWidget, title: str, kind: str, suggested: Path) -> Path | None:
    """Ask where a file goes, and before an existing file is replaced.

    Args:
        parent: what the box stands over.
        title: of the box.
        kind: what the box calls such files; several are parted by ";;".
        suggested: the path offered; its ending is that of the path that comes back.
    """
    kinds = dict.fromkeys(kind.split(";;"), suggested.suffix)
    found = ask_export_as(parent, title, kinds, suggested)
    return None if found is None else found[0]


def ask_export_as(
    parent: QWidget, title: str, kinds: Mapping[str, str], suggested: Path
) -> tuple[Path, str] | None:
    """Ask where a file goes and as what kind, and before an existing file is replaced.

    The box itself asks about the name as it was typed. Where the ending has to be put right
    afterwards, the same is asked here; after a no, the box comes back.

    Args:
        parent: what the box stands over.
        title: of the box.
        kinds: what the box calls each kind -> the ending of its files, such as ".pdf"; the
            usual one first.
        suggested: the path offered.

    Returns:
        The path, with the ending of its kind, and the kind; None if nothing was chosen.
    """
    while (found := _asked(parent, title, kinds, suggested)) is not None:
        chosen, kind = found
        path = with_ending(chosen, kinds[kind], others=kinds.values())
        # Of a folder with that name the writer will tell.
        if path == chosen or not path.is_file() or _may_replace(parent, title, path):
            return path, kind
        suggested = path
    return None


def _asked(
    parent: QWidget, title: str, kinds: Mapping[str, str], suggested: Path
) -> tuple[Path, str] | None:
    """The path as it was typed, and the kind."""
    from PySide6.QtWidgets import QFileDialog  # the window opens sooner without

    dialog = QFileDialog(parent, title, str(suggested.parent), ";;".join(kinds))
    dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)

    def set_ending(kind: str) -> None:
        dialog.setDefaultSuffix(kinds.get(kind, suggested.suffix).removeprefix("."))

    # Set here, the ending is there before the box asks about overwriting.
    set_ending(next(iter(kinds)))
    dialog.filterSelected.connect(set_ending)
    # Where the ending hangs on the kind, it is left to the box to add the right one.
    is_open = len(set(kinds.values())) > 1
    dialog.selectFile(suggested.stem if is_open else suggested.name)
    accepted = dialog.exec()
    chosen, kind = dialog.selectedFiles(), dialog.selectedNameFilter()
    dialog.deleteLater()
    if not accepted or not chosen:
        return None
    return Path(chosen[0]), kind if kind in kinds else next(iter(kinds))


def with_ending(path: Path, ending: str, *, others: Collection[str] = ()) -> Path:
    """The path with the ending: a file without it is not listed when one is to be opened.

    Args:
        path: as chosen. A dot in its name does not make what follows an ending.
        ending: such as ".pdf"; one in capitals is as good.
        others: what files may be called that are asked for in the same box; such an ending
            is replaced, for a PDF named .html would be opened as what it is not.
    """
    present = path.suffix.lower()
    if present == ending.lower():
        return path
    if _ALIKE.get(present, present) in others:
        return path.with_suffix(ending)
    return path.with_name((path.name.rstrip(".") or path.name) + ending)


def _may_replace(parent: QWidget, title: str, path: Path) -> bool:
    from app.fitted_dialog import FittedBox

    box = FittedBox(parent)
    box.setIcon(FittedBox.Icon.Warning)
    box.setWindowTitle(title)
    # A file's name is no markup.
    box.setTextFormat(Qt.TextFormat.PlainText)
    text = QCoreApplication.translate("export_box", "{file} is there already. Replace it?")
    box.setText(breakable(text.format(file=path.name)))
    yes, no = FittedBox.StandardButton.Yes, FittedBox.StandardButton.No
    box.setStandardButtons(yes | no)
    box.setDefaultButton(no)
    answer = box.exec()
    box.deleteLater()
    return answer == yes


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


def exported(make: Callable[[], bytes]) -> bytes:
    """What a writer makes, for a file.

    Raises:
        CornerwrightError: it cannot be made; an error that nobody expected is logged, too.
    """
    try:
        return make()
    except Exception as error:  # whatever it is, the window waits for a file or for a word
        raise broken_off(error) from error


def broken_off(error: Exception) -> CornerwrightError:
    """What is told of an error that broke an export off; one nobody expected is logged here."""
    if isinstance(error, CornerwrightError):
        return error
    _log.critical("unexpected error in an export", exc_info=error)
    return ExportError(_BROKEN)


def file_name(name: str, *, otherwise: str) -> str:
    """A bag's name without the signs that no system allows in a file's name."""
    plain = "".join(sign for sign in name if sign not in _NO_SIGN_OF_NAMES and sign.isprintable())
    return plain.strip(" .") or otherwise
