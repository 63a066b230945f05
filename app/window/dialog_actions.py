"""The window's dialogs: each is opened here, and what was chosen in it is taken over."""

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QWidget

from app.files.files import Files
from app.session.display import told_error, tr
from app.session.session import Session
from app.session.settings import present_preferences, put_to_use
from core.base.errors import FieldError

if TYPE_CHECKING:  # of Qt, too, a class is made when it is first named
    from PySide6.QtWidgets import QDialog


class DialogActions(QObject):
    """Opens the dialogs of a window; each is loaded when it is first asked for.

    Signals:
        pattern_saved(Path): the pattern was saved as a PDF.
    """

    pattern_saved = Signal(object)

    def __init__(self, session: Session, files: Files, window: QWidget) -> None:
        super().__init__(window)
        self._session, self._files, self._window = session, files, window
        self._document, self._display = session.document, session.display

    def new_bag(self) -> bool:
        """Ask for construction, sizes and unit; show the bag as one that no file has yet."""
        from app.dialogs.new_bag import NewBagDialog

        dialog = NewBagDialog(self._display, self._window)
        accepted = _run(dialog)
        return accepted and dialog.made is not None and self._files.begin(dialog.made.result.bag)

    def compare_variants(self) -> None:
        """Show starting bag, present bag and variants side by side."""
        from app.dialogs.variants import VariantsDialog

        _run(VariantsDialog(self._session, self._window))

    def fit_tape(self) -> None:
        """Draw the pattern that comes nearest to what a tape measure finds; one undo step."""
        from app.dialogs.measured_bag import FitDialog

        if not self._session.finish_work():
            return
        dialog = FitDialog(self._document.bag, self._display, self._window)
        if _run(dialog) and dialog.fitted is not None:
            found = dialog.fitted.result
            self._document.replace_bag(found.bag, self.tr("From a measured bag"), ready=found)

    def enter_take_up(self) -> None:
        from app.dialogs.take_up import TakeUpDialog

        if not self._session.finish_work():  # it would come under the dialog, and be lost with OK
            return
        dialog = TakeUpDialog(self._document.project, self._display, self._window)
        if _run(dialog):
            self._session.variants.keep_sample(dialog.project)

    def edit_load(self) -> None:
        """Edit load and thread; one undo step."""
        from app.dialogs.weight import LoadDialog

        document = self._document
        dialog = LoadDialog(
            *(document.result, self._session.load.inside_filled, document.project.load),
            *(self._display, self._window),
        )
        if _run(dialog):
            # A bag that was typed before may have come while the dialog was open.
            changed = replace(document.project, load=dialog.load)
            document.replace_project(changed, self.tr("Load and thread"))

    def edit_layers(self) -> None:
        """Edit layers, other goods and notions in tables; one undo step."""
        from app.dialogs.layers.dialog import LayersDialog

        if not self._session.finish_work():  # it would come under the dialog, and be lost with OK
            return
        bag = self._document.bag
        dialog = LayersDialog(
            bag.sandwich.layers,
            self._display,
            self._window,
            supplies=bag.supplies,
            shop_zips=bag.shop_zips,
        )
        if _run(dialog):
            sandwich = replace(bag.sandwich, layers=dialog.layers)
            try:
                other = replace(bag, sandwich=sandwich, supplies=dialog.supplies)
                self._document.replace_bag(other, self.tr("Edit layers and materials"))
            except FieldError as error:
                self._session.questions.tell(told_error(error, self._display))

    def print_pattern(self) -> None:
        from app.dialogs.print import PrintDialog

        if not self._session.finish_work():
            return
        settings, unit = self._session.settings, self._display.unit
        dialog = PrintDialog(
            self._document.result,
            self._display,
            folder=settings.folder,
            own=self._document.path,
            choices=settings.print_choices(unit),
            parent=self._window,
        )
        _run(dialog)
        if dialog.choices is not None:
            settings.keep_print_choices(unit, dialog.choices)
        if dialog.path is not None:
            settings.keep_folder(dialog.path.absolute().parent)
            told = self.tr("Pattern saved: {file}").format(file=dialog.path.name)
            self._session.said.emit(told)
            self.pattern_saved.emit(dialog.path)

    def edit_preferences(self) -> None:
        from app.dialogs.preferences import PreferencesDialog

        present = present_preferences(self._session)
        dialog = PreferencesDialog(present, self._display, self._window)
        dialog.applied.connect(lambda wanted: put_to_use(self._session, wanted))
        _run(dialog)

    def show_about(self) -> None:
        from app.dialogs.about import AboutDialog

        _run(AboutDialog(self._window))


def _run(dialog: "QDialog") -> bool:
    accepted = dialog.exec() == dialog.DialogCode.Accepted
    dialog.deleteLater()
    return accepted


def finish_redesign(session: Session, window: QWidget) -> bool:
    """Wait until a redesign that fills bags has come to its end; False where the maker will not.

    What was typed a moment ago counts: the bag of before would else be saved unnoticed.
    """
    redesigner = session.redesigner
    wish = redesigner.pending
    if not redesigner.is_pending:
        return True
    from PySide6.QtCore import QEventLoop
    from PySide6.QtWidgets import QProgressDialog

    told = tr("Rounding to the ruler…")
    if wish is not None:
        told = tr("Working out the pattern for {figure}…").format(
            figure=redesigner.label_of(wish.name)
        )
    box = QProgressDialog(told, tr("Cancel"), 0, 0, window)
    box.setWindowTitle(tr("One moment"))
    box.setWindowModality(Qt.WindowModality.WindowModal)
    box.setMinimumDuration(0)
    loop = QEventLoop()

    def look() -> None:
        if not redesigner.is_pending:
            loop.quit()

    redesigner.pending_changed.connect(look)
    box.canceled.connect(loop.quit)
    box.show()
    loop.exec()
    redesigner.pending_changed.disconnect(look)
    box.hide()
    box.deleteLater()
    return not redesigner.is_pending
