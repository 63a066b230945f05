"""Exporting the booklet: asks where to, writes it beside the window, and says how it went."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QWidget

from app.display import Display
from app.document import Document
from app.export_box import ask_export_as, broken_off, file_name, refuse_bag_itself
from app.settings import Settings
from app.words import from_core, told_error
from app.work import Answer, CancelledError, Failure, Hear, Work
from core.compute import Result
from core.errors import ExportError

if TYPE_CHECKING:  # only a booklet pays for its writers
    from PySide6.QtWidgets import QProgressDialog

    from core.paper.booklet.content import BookletOptions
    from core.paper.papers import Paper

PATIENT = 200
"""Milliseconds after which it is shown that the booklet is being written."""
_PARTS = 100


@dataclass(frozen=True, slots=True)
class Form:
    """One way to write a booklet.

    Attributes:
        kind: what the file box calls it.
        suffix: of its files.
        paper: name of the sheet; empty for a page that takes that of its printer.
    """

    kind: str
    suffix: str
    paper: str = ""


AskBooklet = Callable[[QWidget, str, tuple[Form, ...], Path], tuple[Path, Form] | None]
"""(parent, title, forms, suggested path) -> chosen path and form, or None. The path has the form's
ending, and a file that lies there may be replaced."""


class BookletExport(QObject):
    """Writes the booklet of the document's bag.

    It is worked out in another thread; what was cancelled writes nothing.

    Signals:
        written(Path): the booklet lies there.
    """

    written = Signal(object)

    def __init__(
        self,
        document: Document,
        display: Display,
        settings: Settings,
        window: QWidget,
        *,
        tell: Callable[[str], None],
        ask: AskBooklet | None = None,
    ) -> None:
        super().__init__(window)
        self._document, self._display, self._settings = document, display, settings
        self._window, self._tell, self._ask = window, tell, ask or ask_booklet
        self._box: QProgressDialog | None = None
        self.work = Work(self)
        self.work.answered.connect(self._on_answer)
        self.work.failed.connect(self._on_failure)
        self.work.progressed.connect(self._on_progress)

    @property
    def forms(self) -> tuple[Form, ...]:
        """Ways to write it, the usual one first."""
        kind = self.tr("PDF on {paper} paper (*.pdf)")
        papers = dict.fromkeys((self._display.paper.name, "Letter", "A4"))
        sheets = (Form(kind.format(paper=name), ".pdf", name) for name in papers)
        return (*sheets, Form(self.tr("Web page (*.html)"), ".html"))

    def export(self) -> None:
        """Ask for a file and write the booklet to it."""
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
        from core.paper.ink import refuse_bad_place

        try:
            refuse_bag_itself(path, self._document.path)
            refuse_bad_place(path)  # before the work, which takes a while
        except ExportError as error:
            self._tell(told_error(error, self._display))
            return
        self._write(path, form)

    def close(self) -> None:
        """End the work; it is not waited for, and nothing of it is written."""
        self.work.close()
        self._drop_box()

    def _write(self, path: Path, form: Form) -> None:
        result, project = self._document.result, self._document.project
        unit, step = self._display.unit, self._display.step
        currency = self._display.currency

        def job(hear: Hear) -> bytes | ExportError:
            from core.paper.booklet.content import BookletOptions

            options = BookletOptions(
                unit=unit,
                step=step,
                translate=from_core,
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

    def _on_answer(self, answer: Answer) -> None:
        from core.paper.ink import put_whole

        path, found = answer.question, answer.found
        if not isinstance(path, Path) or not answer.current:
            return
        self._drop_box()
        try:
            if isinstance(found, ExportError):
                raise found
            put_whole(path, found)
        except ExportError as error:
            self._tell(told_error(error, self._display))
            return
        self._settings.keep_folder(path.absolute().parent)
        self.written.emit(path)

    def _on_failure(self, failure: Failure) -> None:
        error = broken_off(failure.error)
        if failure.current:
            self._drop_box()
            self._tell(told_error(error, self._display))


def booklet_bytes(
    result: Result, options: "BookletOptions", form: Form, hear: Hear
) -> bytes | ExportError:
    """The booklet as a file's content, or why there is none.

    Raises:
        CancelledError: `hear` said not to go on.
    """
    from core.paper.booklet.content import booklet
    from core.paper.booklet.html import booklet_html
    from core.paper.booklet.pdf import booklet_pdf

    _go_on(hear, 0.1)
    told = booklet(result, options)
    _go_on(hear, 0.4)
    if not form.paper:
        return booklet_html(told).encode()
    try:
        found = booklet_pdf(told, _paper(form.paper))
    except ExportError as error:
        return error
    _go_on(hear, 0.95)
    return found


def _paper(name: str) -> "Paper":
    from core.paper.papers import paper_named

    return paper_named(name)


def _go_on(hear: Hear, share: float) -> None:
    if not hear(share):
        raise CancelledError


def ask_booklet(
    parent: QWidget, title: str, forms: tuple[Form, ...], suggested: Path
) -> tuple[Path, Form] | None:
    """Ask where the booklet goes and as what, and before an existing file is replaced."""
    kinds = {form.kind: form.suffix for form in forms}
    found = ask_export_as(parent, title, kinds, suggested)
    if found is None:
        return None
    path, kind = found
    return path, next(form for form in forms if form.kind == kind)
