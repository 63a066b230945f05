"""The main window: puts panes, actions, files and status line together, nothing else."""

from functools import cached_property, partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QShowEvent
from PySide6.QtWidgets import QMainWindow, QTabWidget, QWidget

from app.files.files import Files
from app.files.questions import BoxQuestions
from app.help.access import HelpAccess
from app.help.topics import describe_tabs
from app.session.display import plain_name
from app.session.session import Session
from app.session.settings import put_remembered_to_use
from app.views.changes.pane import ChangesPane
from app.views.cutting.pane import CuttingPane
from app.views.findings.pane import FindingsPane
from app.views.flat.pane import FlatPane
from app.views.fold.pane import FoldPane
from app.views.measures.pane import MeasuresPane
from app.views.sewing.pane import SewingPane
from app.widgets.desktop import room_for
from app.widgets.menus import HasMenu
from app.window.action_table import make_actions
from app.window.dialog_actions import DialogActions, finish_redesign
from app.window.editing import EditCommands
from app.window.layout import KeptLayout, TabRoom, dropped_file, splitter_of
from app.window.menus import ContextMenus, Menus
from app.window.navigation import Navigation, Zooming, first_in, give_keys, show_tab
from app.window.status_line import LastBag, RestoreOffers, StatusLine
from app.window.toolbar import Toolbar
from core.base.sanitize import on_one_title
from core.base.units import Unit, ruler_steps

if TYPE_CHECKING:
    from app.files.export import BookletExport

TAB_ROOM = QSize(780, 370)
"""Wanted by cutting plan and order of sewing alike: from one to the other nothing moves."""
SAID_FOR = 4000
"""Milliseconds for which the status line says something in passing."""


class MainWindow(QMainWindow):
    """One bag in one window.

    Signals:
        closed: nothing was left unsaved that the maker wanted.
    """

    closed = Signal()

    def __init__(self, session: Session, *, flat: FlatPane | None = None) -> None:
        """`flat` is the pane of the session's flat pieces, where there is one already."""
        super().__init__()
        self.session = session
        self.document, self.display = session.document, session.display
        self.settings = session.settings
        session.setParent(self)
        session.ask_by(BoxQuestions(self))
        session.finish_work = partial(finish_redesign, session, self)
        session.said.connect(self.say)
        self.files = Files(session, self)
        # Before the panes: these hear of a change first, and are asked what came of it.
        self.variants, self.redesigner = session.variants, session.redesigner
        put_remembered_to_use(session)
        self.dialogs = DialogActions(session, self.files, self)
        self._make_panes(flat)
        self._lay_out()
        self.zooming = Zooming(session, self.flat, self.fold, self.cutting, self)
        self.editing = EditCommands(self.document, self)
        self.navigation = Navigation(
            self,
            measures=self.measures,
            flat=self.flat,
            fold=self.fold,
            findings=self.findings,
            changes=self.changes,
        )
        self.help = HelpAccess(self.display, self.settings, self)
        self.commands = make_actions(self)
        self.editing.follow(self.commands)
        views: dict[QWidget, HasMenu] = {
            self.flat: self.flat,
            self.fold.view: self.fold,
            self.findings: self.findings,
            self.changes: self.changes,
            self.cutting: self.cutting,
            self.sewing: self.sewing,
            self.measures: self.measures,
        }
        self.context_menus = ContextMenus(
            session, self.commands, self, views, help_on=self.help.show
        )
        for each in self.measures.boxes:
            self.context_menus.add_field(self.measures, each)
        self.measures.field_made.connect(partial(self.context_menus.add_field, self.measures))
        self.navigation.follow(self.commands["full_screen"])
        self.toolbar = Toolbar(self.commands, self.display, self)
        self.addToolBar(self.toolbar)
        self.menus = Menus(self.menuBar(), self.commands, session, self.files, self)
        self._connect()
        self.setAcceptDrops(True)
        self.setGeometry(room_for(self))
        self.kept_layout.restore()
        self._on_file_changed()
        self._on_display_changed()
        self._on_kept_changed()
        self.commands["rounding"].setChecked(self.redesigner.rounding)

    @cached_property
    def booklet(self) -> "BookletExport":
        """Writes the booklet; loaded and made when it is first asked for."""
        from app.files.export import BookletExport

        return BookletExport(self.session, self)

    def export_booklet(self) -> None:
        self.booklet.export()

    def say(self, text: str) -> None:
        """Tell something in passing, in the status line."""
        self.statusBar().showMessage(text, SAID_FOR)

    def shut(self) -> None:
        """Remember how it stands, let go of the file, and end all work."""
        self.kept_layout.keep()
        self.settings.keep_display(self.display.unit, self.display.steps)
        self.editing.close()
        self.session.close()
        self.files.close()
        self.help.close()
        self.cutting.shut()
        if "booklet" in self.__dict__:
            self.booklet.close()

    def fix_worst(self) -> None:
        if not self.findings.fix_worst():
            self.say(self.tr("No finding has a fix."))

    def toggle_pin(self) -> None:
        if not self.measures.toggle_pin():
            self.say(self.tr("Click a measure first: the one that you are editing is pinned."))

    def toggle_rounding(self) -> None:
        """Put what a redesign changes on the ruler, or leave it exact."""
        self.redesigner.set_rounding(not self.redesigner.rounding)
        kept = self.tr("Redesigned patterns are kept to the ruler step from now on.")
        exact = self.tr("Redesigned patterns come out exact from now on.")
        self.say(kept if self.redesigner.rounding else exact)

    def _make_panes(self, flat: FlatPane | None) -> None:
        session = self.session
        self.measures = MeasuresPane(session, self)
        self.flat = FlatPane(session, self) if flat is None else flat
        self.fold = FoldPane(session, self)
        self.findings = FindingsPane(session, self)
        self.changes = ChangesPane(session, self)
        self.cutting = CuttingPane(session, self)
        self.sewing = SewingPane(session, self)
        line = self.status_line = StatusLine(session, self)
        self.setStatusBar(line)
        RestoreOffers(session.variants, line.offer, self)
        self.last_bag = LastBag(session, self.files, line.offer, self)

    def _lay_out(self) -> None:
        self.tabs = QTabWidget(self)
        self.tabs.setDocumentMode(True)
        self.tabs.addTab(self.changes, self.tr("Changes"))
        self.tabs.addTab(self.cutting, self.tr("Cutting plan"))
        self.tabs.addTab(self.sewing, self.tr("Sewing order"))
        describe_tabs(self.tabs)
        self._drawings = splitter_of(Qt.Orientation.Horizontal, self.flat, self.fold)
        self._below = splitter_of(Qt.Orientation.Horizontal, self.findings, self.tabs)
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
        roomy = {"cutting": (self.cutting, TAB_ROOM), "sewing": (self.sewing, TAB_ROOM)}
        room = TabRoom(self.tabs, self._below, self._right, roomy, self.settings)
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
        self.measures.layers_asked.connect(self.dialogs.edit_layers)
        self.measures.reckoned.connect(self.session.said)
        self.cutting.materials_asked.connect(self.dialogs.edit_layers)
        self.cutting.wanted.connect(lambda: show_tab(self.cutting))
        self.sewing.wanted.connect(lambda: show_tab(self.sewing))
        self.sewing.booklet_asked.connect(self.export_booklet)
        self.sewing.load_asked.connect(self.dialogs.edit_load)
        self.files.changed.connect(self._on_file_changed)
        self.session.capacity.changed.connect(self._on_capacity_changed)
        self.document.kept_changed.connect(self._on_kept_changed)
        self.redesigner.rounding_changed.connect(self._on_rounding_changed)
        self.document.saved_changed.connect(self._on_saved_changed)
        self.display.changed.connect(self._on_display_changed)

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
        capacity = self.session.capacity
        filled_bag, current = capacity.filled_bag, capacity.current
        found = None if filled_bag is None else filled_bag.capacity
        self.measures.show_capacity(found, current=current)
        self.fold.show_filled(filled_bag, current=current)

    def _on_rounding_changed(self, rounding: bool) -> None:
        self.commands["rounding"].setChecked(rounding)
        self.settings.rounding = rounding

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
        self.session.capacity.wake()
        if self.focusWidget() is None:
            # Else Qt begins on what was made first: an offer, whose button leaves this bag.
            # What Tab comes to is looked through only where it must: see `give_ground`.
            give_keys(self.measures.first_field() or first_in(self.measures) or self.measures)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.WindowStateChange:
            self.navigation.tell_full_screen()

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
