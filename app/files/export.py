"""Exports: asked for with the box of the platform, what is never replaced, and the booklet."""

import logging
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QWidget

from app.session.display import told_error, tr, translated
from app.session.session import Session
from app.session.work import CancelledError, JobFailure, JobResult, Work
from core.bag.compute import Result
from core.base.atomic_write import check_place, is_same_file, reason_of, write_whole
from core.base.errors import CornerwrightError, ExportError
from core.base.progress import Progress
from core.base.sentences import mark, say

if TYPE_CHECKING:
    from PySide6.QtWidgets import QProgressDialog

    from core.output.booklet.content import BookletOptions


AskExport = Callable[[QWidget, str, str, Path], Path | None]
"""(parent, title, kind such as "PDF file (*.pdf)", suggested path) -> chosen path or None. The
path has the suggested one's ending, and a file that lies there may be replaced."""

_log = logging.getLogger("cornerwright")
_BROKEN = mark(
    "Nothing was saved: something went wrong in the program. The details are in its log."
)
_NO_SIGN_OF_NAMES = '<>:"/\\|?*'
_ALIKE = {".htm": ".html"}
"""Another ending -> the one that means the same."""


def ask_export(parent: QWidget, title: str, kind: str, suggested: Path) -> Path | None:
    """Ask where a file goes, and before an existing file is replaced.

    `kind` is what the box calls such files, several parted by ";;"; the ending of the suggested
    path is that of the path that comes back.
    """
    kinds = dict.fromkeys(kind.split(";;"), suggested.suffix)
    found = ask_export_as(parent, title, kinds, suggested)
    return None if found is None else found[0]


def ask_export_as(
    parent: QWidget, title: str, kinds: Mapping[str, str], suggested: Path
) -> tuple[Path, str] | None:
    """Ask where a file goes and as what kind, and before an existing file is replaced.

    The box itself asks about the name as it was typed. Where the ending has to be put right
    afterwards, the same is asked here; after a no, the box comes back. What comes back is the
    path, with the ending of its kind, and the kind; None if nothing was chosen. `kinds` is what
    the box calls each kind -> the ending of its files, such as ".pdf"; the usual one first.
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
    from app.widgets.dialog import FittedBox, plain_box

    text = tr("{file} is there already. Replace it?").format(file=path.name)
    box = plain_box(parent, FittedBox.Icon.Warning, title, text)
    yes, no = FittedBox.StandardButton.Yes, FittedBox.StandardButton.No
    box.setStandardButtons(yes | no)
    box.setDefaultButton(no)
    answer = box.exec()
    box.deleteLater()
    return answer == yes


def save_export(path: Path, make: Callable[[], bytes], *, own: Path | None) -> None:
    """Write an export of the bag whose file is `own`, whole or not at all.

    `make` is only called where it can be written; errors as in `refuse_bad_place`, `exported`.
    """
    refuse_bad_place(path, own=own)
    content = exported(make)
    try:
        write_whole(path, content)
    except (OSError, ValueError) as error:
        raise _unwritable(path, error) from error


def refuse_bad_place(path: Path, *, own: Path | None) -> None:
    """Ask before the work is done whether an export can be written there.

    An ExportError says that it cannot, or that it is `own`, the file of that bag, if it has one.
    """
    if own is not None and is_same_file(path, own):
        words = {"file": path.name}
        raise ExportError(say("{file} is the bag’s own file: give another name.", words=words))
    try:
        check_place(path)
    except (OSError, ValueError) as error:
        raise _unwritable(path, error) from error


def _unwritable(path: Path, error: OSError | ValueError) -> ExportError:
    return ExportError(
        say(
            "{path} cannot be written: {reason}. Choose another place.",
            words={"path": str(path)},
            terms={"reason": reason_of(error)},
        )
    )


def exported(make: Callable[[], bytes]) -> bytes:
    """What a writer makes, for a file.

    A CornerwrightError says that it cannot be made; an error that nobody expected is logged, too.
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


PATIENT = 200
"""Milliseconds after which it is shown that the booklet is being written."""
_PARTS = 100


class FileKind(NamedTuple):
    """One way to write a booklet.

    Attributes:
        kind: what the file box calls it.
        paper: name of the sheet; empty for a page that takes that of its printer.
    """

    kind: str
    suffix: str
    paper: str = ""


AskBooklet = Callable[[QWidget, str, tuple[FileKind, ...], Path], tuple[Path, FileKind] | None]
"""(parent, title, forms, suggested path) -> chosen path and form, or None. The path has the form's
ending, and a file that lies there may be replaced."""


class BookletExport(QObject):
    """Writes the booklet of the document's bag.

    It is worked out in another thread; what was cancelled writes nothing.

    Signals:
        written(Path): the booklet lies there.
    """

    written = Signal(object)

    def __init__(self, session: Session, window: QWidget, *, ask: AskBooklet | None = None) -> None:
        super().__init__(window)
        self._document, self._display = session.document, session.display
        self._settings, self._tell = session.settings, session.questions.tell
        self._window, self._ask = window, ask or ask_booklet
        self._box: QProgressDialog | None = None
        self.work = Work(self)
        self.work.answered.connect(self._on_answer)
        self.work.failed.connect(self._on_failure)
        self.work.progressed.connect(self._on_progress)

    @property
    def forms(self) -> tuple[FileKind, ...]:
        """Ways to write it, the usual one first."""
        kind = self.tr("PDF on {paper} paper (*.pdf)")
        papers = dict.fromkeys((self._display.paper.name, "Letter", "A4"))
        sheets = (FileKind(kind.format(paper=name), ".pdf", name) for name in papers)
        return (*sheets, FileKind(self.tr("Web page (*.html)"), ".html"))

    def export(self) -> None:
        if self._box is not None:  # one is being written
            return
        bag = self._document.bag
        stem = file_name(bag.name, otherwise=self.tr("bag"))
        name = self.tr("{bag} booklet").format(bag=stem)
        forms = self.forms
        suggested = self._settings.folder / f"{name}{forms[0].suffix}"
        chosen = self._ask(self._window, self.tr("Export the booklet"), forms, suggested)
        if chosen is None:
            return
        path, form = chosen
        try:
            refuse_bad_place(path, own=self._document.path)  # before the work, which takes a while
        except ExportError as error:
            self._tell(told_error(error, self._display))
            return
        self._write(path, form)

    def close(self) -> None:
        """End the work; it is not waited for, and nothing of it is written."""
        self.work.close()
        self._drop_box()

    def _write(self, path: Path, form: FileKind) -> None:
        result, project = self._document.result, self._document.project
        unit, step = self._display.unit, self._display.step
        currency = self._display.currency

        def job(hear: Progress) -> bytes | ExportError:
            from core.output.booklet.content import BookletOptions

            options = BookletOptions(
                unit=unit,
                step=step,
                translate=translated,
                load=project.load,
                making=project.making,
                currency=currency,
            )
            return booklet_bytes(result, options, form, hear)

        self._show_box()
        self.work.ask(path, job)

    def _show_box(self) -> None:
        from PySide6.QtWidgets import QProgressDialog

        box = QProgressDialog(
            self.tr("Saving the booklet…"), self.tr("Cancel"), 0, _PARTS, self._window
        )
        box.setWindowTitle(self.tr("Export the booklet"))
        box.setWindowModality(Qt.WindowModality.WindowModal)
        box.setMinimumDuration(PATIENT)
        box.setAutoClose(False)
        box.setAutoReset(False)
        box.canceled.connect(self._give_up)
        box.setValue(0)
        self._box = box

    def _drop_box(self) -> None:
        if self._box is not None:
            self._box.canceled.disconnect(self._give_up)
            self._box.close()
            self._box.deleteLater()
            self._box = None

    def _give_up(self) -> None:
        self.work.cancel()
        self._drop_box()

    def _on_progress(self, share: float) -> None:
        if self._box is not None:
            self._box.setValue(round(share * _PARTS))

    def _on_answer(self, answer: JobResult) -> None:
        path, found = answer.question, answer.found
        if not isinstance(path, Path) or not answer.current:
            return
        self._drop_box()
        try:
            if isinstance(found, ExportError):
                raise found
            save_export(path, lambda: found, own=self._document.path)
        except CornerwrightError as error:
            self._tell(told_error(error, self._display))
            return
        self._settings.keep_folder(path.absolute().parent)
        self.written.emit(path)

    def _on_failure(self, failure: JobFailure) -> None:
        error = broken_off(failure.error)
        if failure.current:
            self._drop_box()
            self._tell(told_error(error, self._display))


def booklet_bytes(
    result: Result, options: "BookletOptions", form: FileKind, hear: Progress
) -> bytes | ExportError:
    """The booklet as a file's content, or why there is none; CancelledError: `hear` said no."""
    from core.output.booklet.content import booklet
    from core.output.booklet.html import booklet_html
    from core.output.booklet.pdf import booklet_pdf
    from core.output.papers import paper_named

    _go_on(hear, 0.1)
    told = booklet(result, options)
    _go_on(hear, 0.4)
    if not form.paper:
        return booklet_html(told).encode()
    try:
        found = booklet_pdf(told, paper_named(form.paper))
    except ExportError as error:
        return error
    _go_on(hear, 0.95)
    return found


def _go_on(hear: Progress, share: float) -> None:
    if not hear(share):
        raise CancelledError


def ask_booklet(
    parent: QWidget, title: str, forms: tuple[FileKind, ...], suggested: Path
) -> tuple[Path, FileKind] | None:
    """Ask where the booklet goes and as what, and before an existing file is replaced."""
    kinds = {form.kind: form.suffix for form in forms}
    found = ask_export_as(parent, title, kinds, suggested)
    if found is None:
        return None
    path, kind = found
    return path, next(form for form in forms if form.kind == kind)
