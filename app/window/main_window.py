"""The main window: puts panes, actions, files and status line together, nothing else."""

from dataclasses import replace
from functools import partial

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QShowEvent
from PySide6.QtWidgets import QDialog, QMainWindow, QTabWidget

from app.files.files import Files
from app.help.access import HelpDesk
from app.help.topics import describe_tabs
from app.session.capacity import CapacityWatch
from app.session.display import Display, plain_name, told_error
from app.session.document import Document
from app.session.preferences import PreferencesDesk
from app.session.questions import BoxQuestions, Questions
from app.session.redesigner import Redesigner
from app.session.settings import Settings
from app.session.variants import Keeping
from app.views.changes.pane import ChangesPane
from app.views.cutting.pane import CuttingPane
from app.views.findings.pane import FindingsPane
from app.views.flat.pane import FlatPane
from app.views.fold.pane import FoldPane
from app.views.fold.view import FILLED
from app.views.measures.pane import MeasuresPane
from app.widgets.desktop import room_for
from app.window.bag_actions import make_actions
from app.window.context_menus import ContextMenus, Panes
from app.window.dialog_actions import NewBagDesk, RedesignDesk, SewingDesk, finish_redesign
from app.window.editing import EditCommands
from app.window.error_log import tell
from app.window.layout import KeptLayout, TabRoom, dropped_file, splitter_of
from app.window.menus import Menus
from app.window.navigation import Navigation, Zooming, show_tab
from app.window.status_line import LastBag, LostOffers, StatusLine
from app.window.toolbar import Toolbar
from core.base.errors import FieldError
from core.base.sanitize import on_one_title
from core.base.units import Unit, ruler_steps
from core.solid.fold import FLAT, FOLDED, SEWN

TAB_ROOM = QSize(780, 370)
"""Wanted by cutting plan and order of sewing alike: from one to the other nothing moves."""
SAID_FOR = 4000
"""Milliseconds for which the status line says something in passing."""


class MainWindow(QMainWindow):
    """One bag in one window.

    Signals:
        closed: nothing was left unsaved that the maker wanted.
        pattern_saved(Path): the pattern was saved as a PDF.
    """

    closed = Signal()
    pattern_saved = Signal(object)

    def __init__(
        self,
        document: Document,
        display: Display,
        settings: Settings,
        *,
        questions: Questions | None = None,
        flat: FlatPane | None = None,
    ) -> None:
        """`flat` is the pane of the document's flat pieces, where there is one already."""
        super().__init__()
        self.document = document
        self.display = display
        self.settings = settings
        document.setParent(self)
        display.setParent(self)
        asking = questions or BoxQuestions(self)
        self.files = Files(document, display, settings, asking, self)
        self.keeping = Keeping(document, display, asking, self)
        self.redesigning = RedesignDesk(document, display, self.keeping, self)
        self.new_bag = NewBagDesk(display, self.files, self)
        # Before the panes: it hears of a change first, and they ask it what the ruler cost.
        self.redesigner = Redesigner(document, display, self, rounding=settings.rounding)
        self.files.finish_work = partial(finish_redesign, self.redesigner, self)
        self.keeping.finish_work = self.files.finish_work
        self.preferences = PreferencesDesk(document, display, self.redesigner, settings, self)
        self._make_panes(flat)
        self._lay_out()
        self.zooming = Zooming(self.flat, self.fold, self.cutting, self)
        self.zooming.said.connect(self.say)
        self.editing = EditCommands(document, self)
        self.navigation = Navigation(
            self,
            measures=self.measures,
            flat=self.flat,
            fold=self.fold,
            findings=self.findings,
            changes=self.changes,
        )
        self.help = HelpDesk(display, settings, self)
        self.commands = make_actions(self)
        self.editing.follow(self.commands)
        panes = Panes(
            measures=self.measures,
            flat=self.flat,
            fold=self.fold,
            findings=self.findings,
            changes=self.changes,
            cutting=self.cutting,
            sewing=self.sewing.pane,
        )
        self.context_menus = ContextMenus(
            document, display, self.redesigner, self.commands, self, panes, help_on=self.help.show
        )
        self.navigation.follow(self.commands["full_screen"])
        self.addToolBar(Toolbar(self.commands, display, self))
        self.menus = Menus(self.menuBar(), self.commands, self.files, self.keeping, settings, self)
        self._connect()
        self.setAcceptDrops(True)
        self.setGeometry(room_for(self))
        self.kept_layout.restore()
        self._on_file_changed()
        self._on_display_changed()
        self._on_kept_changed()
        self._on_rounding_changed(self.redesigner.rounding)

    @property
    def tabs(self) -> QTabWidget:
        """The tabs beside the findings: changes, cutting plan, order of sewing."""
        return self._tabs

    def say(self, text: str) -> None:
        """Tell something in passing, in the status line."""
        self.statusBar().showMessage(text, SAID_FOR)

    def shut(self) -> None:
        """Remember how it stands, let go of the file, and end all work."""
        self.kept_layout.keep()
        self.settings.keep_display(self.display.unit, self.display.steps)
        self.editing.close()
        self.capacity.close()
        self.redesigner.close()
        self.files.close()
        self.help.close()
        self.cutting.shut()
        self.sewing.close()

    def mend_worst(self) -> None:
        """Apply the best mend of the worst finding."""
        if not self.findings.mend_worst():
            self.statusBar().showMessage(self.tr("No finding has a fix."), SAID_FOR)

    def ask_open(self) -> None:
        """Ask for a bag file and open it."""
        self.files.ask_open()

    def save(self) -> None:
        """Save the bag to its file."""
        self.files.save()

    def ask_save(self) -> None:
        """Save the bag to another file."""
        self.files.ask_save()

    def print_pattern(self) -> None:
        """Lay the pattern on pages and save the PDF."""
        from app.dialogs.print import PrintDialog

        if not self.files.finish_work():
            return
        dialog = PrintDialog(
            self.document.result,
            self.display,
            folder=self.settings.folder,
            own=self.document.path,
            choices=self.settings.print_choices(self.display.unit),
            parent=self,
        )
        self._run(dialog)
        if dialog.choices is not None:
            self.settings.keep_print_choices(self.display.unit, dialog.choices)
        if dialog.path is not None:
            self.settings.keep_folder(dialog.path.absolute().parent)
            told = self.tr("Pattern saved: {file}").format(file=dialog.path.name)
            self.statusBar().showMessage(told, SAID_FOR)
            self.pattern_saved.emit(dialog.path)

    def rename(self) -> None:
        """Give the bag another name."""
        self.files.ask_name()

    def edit_layers(self) -> None:
        """Edit layers, other goods and notions in tables; one undo step."""
        from app.dialogs.layers.dialog import LayersDialog
        from app.session.goods_shelf import Shelf

        if not self.files.finish_work():  # it would come under the dialog, and be lost with its OK
            return
        bag = self.document.bag
        dialog = LayersDialog(
            bag.sandwich.layers,
            self.display,
            self,
            supplies=bag.supplies,
            shop_zips=bag.shop_zips,
            shelf=Shelf(),
        )
        if self._run(dialog):
            sandwich = replace(bag.sandwich, layers=dialog.layers)
            try:
                other = replace(bag, sandwich=sandwich, supplies=dialog.supplies)
                project = self.document.project.with_bag(other, sources=dialog.sources)
                self.document.replace_project(project, self.tr("Edit layers and materials"))
            except FieldError as error:
                tell(self, told_error(error, self.display))

    def toggle_pin(self) -> None:
        """Pin or release the measure that has the focus."""
        if not self.measures.toggle_pin():
            self.statusBar().showMessage(
                self.tr("Click a measure first: the one that you are editing is pinned."), SAID_FOR
            )

    def release_all(self) -> None:
        """Release every pinned measure."""
        self.redesigner.release_all()

    def toggle_rounding(self) -> None:
        """Put what a redesign changes on the ruler, or leave it exact."""
        self.redesigner.set_rounding(not self.redesigner.rounding)
        kept = self.tr("Redesigned patterns are kept to the ruler step from now on.")
        exact = self.tr("Redesigned patterns come out exact from now on.")
        self.say(kept if self.redesigner.rounding else exact)

    def round_now(self) -> None:
        """Put every cut measure on the ruler."""
        self.redesigner.round_now()

    def show_inches(self) -> None:
        """Show lengths in inches."""
        self.display.set_unit(Unit.INCH)

    def show_millimetres(self) -> None:
        """Show lengths in millimetres."""
        self.display.set_unit(Unit.MM)

    def show_centimetres(self) -> None:
        """Show lengths in centimetres."""
        self.display.set_unit(Unit.CM)

    def finer_step(self) -> None:
        """Use the next finer ruler step."""
        self._move_step(-1)

    def coarser_step(self) -> None:
        """Use the next coarser ruler step."""
        self._move_step(1)

    def fold_flat(self) -> None:
        """Show the preview as flat pieces."""
        self.fold.show_moment(FLAT)

    def fold_folded(self) -> None:
        """Show the preview folded at the bottom."""
        self.fold.show_moment(FOLDED)

    def fold_sewn(self) -> None:
        """Close the preview's seams."""
        self.fold.show_moment(SEWN)

    def fold_filled(self) -> None:
        """Fill the preview's bag."""
        self.fold.show_moment(FILLED)

    def show_about(self) -> None:
        """Tell version and licences."""
        from app.dialogs.about import AboutDialog

        self._run(AboutDialog(self))

    def _make_panes(self, flat: FlatPane | None) -> None:
        document, display = self.document, self.display
        self.measures = MeasuresPane(document, display, self.redesigner, self)
        self.flat = FlatPane(document, display, self) if flat is None else flat
        self.fold = FoldPane(document, display, self)
        self.capacity = CapacityWatch(document, self, exactly=self.redesigner.asks_filled)
        self.findings = FindingsPane(document, display, self.redesigner, self)
        self.changes = ChangesPane(document, display, self.redesigner, self)
        say = self.files.questions.tell
        self.cutting = CuttingPane(document, display, self.settings, self, tell=say)
        self.sewing = SewingDesk(document, display, self.settings, self.capacity, self, tell=say)
        self.findings.follow_load(self.sewing.load)
        line = StatusLine(document, display, self)
        self.setStatusBar(line)
        LostOffers(self.keeping, line.offer, self)
        self.last_bag = LastBag(document, self.files, self.settings, line.offer, self)

    def _lay_out(self) -> None:
        self._tabs = QTabWidget(self)
        self._tabs.setDocumentMode(True)
        self._tabs.addTab(self.changes, self.tr("Changes"))
        self._tabs.addTab(self.cutting, self.tr("Cutting plan"))
        self._tabs.addTab(self.sewing.pane, self.tr("Sewing order"))
        describe_tabs(self._tabs)
        self._drawings = splitter_of(Qt.Orientation.Horizontal, self.flat, self.fold)
        self._below = splitter_of(Qt.Orientation.Horizontal, self.findings, self._tabs)
        self._right = splitter_of(Qt.Orientation.Vertical, self._drawings, self._below)
        self._whole = splitter_of(Qt.Orientation.Horizontal, self.measures, self._right)
        for splitter, stretches in (
            (self._drawings, (3, 2)),
            (self._below, (1, 1)),
            (self._right, (1, 0)),
            (self._whole, (0, 1)),
        ):
            for place, stretch in enumerate(stretches):
                splitter.setStretchFactor(place, stretch)
        self.setCentralWidget(self._whole)
        roomy = {
            "cutting": (self.cutting, TAB_ROOM),
            "sewing": (self.sewing.pane, TAB_ROOM),
        }
        room = TabRoom(self._tabs, self._below, self._right, roomy, self.settings)
        splitters = {
            "drawings": self._drawings,
            "below": self._below,
            "right": self._right,
            "whole": self._whole,
        }
        self.kept_layout = KeptLayout(self, splitters, room, self.settings, pieces=self.flat)
        self.kept_layout.lay_out(room_for(self).size())

    def _connect(self) -> None:
        self.document.changed.connect(self._show_title)
        self.measures.layers_asked.connect(self.edit_layers)
        self.measures.said.connect(self.say)
        self.cutting.goods_asked.connect(self.edit_layers)
        self.cutting.said.connect(self.say)
        self.cutting.wanted.connect(lambda: show_tab(self.cutting))
        self.sewing.pane.wanted.connect(lambda: show_tab(self.sewing.pane))
        self.sewing.said.connect(lambda text: self.statusBar().showMessage(text, SAID_FOR))
        self.files.changed.connect(self._on_file_changed)
        self.files.said.connect(self.say)
        self.capacity.changed.connect(self._on_capacity_changed)
        self.document.kept_changed.connect(self._on_kept_changed)
        self.redesigner.rounding_changed.connect(self._on_rounding_changed)
        self.redesigner.remarked.connect(self.say)
        self.document.saved_changed.connect(self._on_saved_changed)
        self.display.changed.connect(self._on_display_changed)

    def _move_step(self, way: int) -> None:
        steps = ruler_steps(self.display.unit)
        place = steps.index(self.display.step) + way
        if 0 <= place < len(steps):
            self.display.set_step(steps[place])

    def _run(self, dialog: QDialog) -> bool:
        accepted = dialog.exec() == QDialog.DialogCode.Accepted
        dialog.deleteLater()
        return accepted

    def _on_file_changed(self) -> None:
        path = self.document.path
        self.setWindowFilePath("" if path is None else str(path))
        self._show_title()
        self._on_saved_changed()

    def _on_kept_changed(self) -> None:
        starting = self.document.starting
        self.flat.set_starting(starting)
        self.fold.set_starting(starting)

    def _on_capacity_changed(self) -> None:
        stuffed, current = self.capacity.stuffed, self.capacity.current
        found = None if stuffed is None else stuffed.capacity
        self.measures.show_capacity(found, current=current)
        self.fold.show_stuffed(stuffed, current=current)

    def _on_rounding_changed(self, rounding: bool) -> None:
        self.commands["rounding"].setChecked(rounding)
        self.settings.keep_rounding(rounding)

    def _show_title(self) -> None:
        path = self.document.path
        names = [self.document.bag.name, *([] if path is None else [plain_name(path.name)])]
        # A literal [*] in a name would be taken for the place of the modified mark.
        shown = " – ".join(on_one_title(name).replace("[*]", "[*][*]") for name in names)
        title = f"{shown}[*] – Cornerwright"
        if title != self.windowTitle():
            self.setWindowTitle(title)

    def _on_saved_changed(self) -> None:
        self.setWindowModified(not self.document.saved)

    def _on_display_changed(self) -> None:
        names = {Unit.INCH: "inches", Unit.MM: "millimetres", Unit.CM: "centimetres"}
        self.commands[names[self.display.unit]].setChecked(True)
        place = ruler_steps(self.display.unit).index(self.display.step)
        self.commands["finer_step"].setEnabled(place > 0)
        self.commands["coarser_step"].setEnabled(place < len(ruler_steps(self.display.unit)) - 1)

    # Qt's own names from here on.

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.capacity.wake()
        if self.focusWidget() is None:
            # Else Qt begins on what was made first: an offer, whose button leaves this bag.
            self.navigation.go_to_measures()

    def closeEvent(self, event: QCloseEvent) -> None:
        if self.files.may_leave():
            self.shut()
            event.accept()
            self.closed.emit()
        else:
            event.ignore()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if dropped_file(event) is not None:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        path = dropped_file(event)
        if path is not None:
            event.acceptProposedAction()
            self.files.open(path)
