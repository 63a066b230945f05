"""The menu bar, from the action table, samples and recent files; the context menus of the panes."""

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from pathlib import Path

from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QAction, QContextMenuEvent, QKeyEvent
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QMenu, QMenuBar, QWidget

from app.files.files import Files
from app.help.topics import topic_of
from app.session.display import figure_value, shown_value, tr, translated
from app.session.session import Session
from app.widgets.figure_box import finish_typing
from app.widgets.menus import (
    Command,
    FigureLines,
    HasMenu,
    RestoreMenu,
    copying,
    menu_text,
    widget_at,
)
from app.window.action_table import ACTIONS, MENUS, SUBMENUS
from core.bag.figures import FINISHED, PINNABLE, figure_of, is_matched
from core.bag.tables import CUT_FIGURES
from core.base.sanitize import shown
from core.flat.piece import Piece
from core.flat.roles import EdgeRef
from core.flat.seam import chain_length
from core.storage.bag_files import SAMPLES, sample
from core.storage.project import NamedBag


class Menus(QObject):
    """Fills the menu bar and keeps the recent files in it."""

    def __init__(
        self,
        bar: QMenuBar,
        actions: Mapping[str, QAction],
        session: Session,
        files: Files,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._files = files
        self._variants = variants = session.variants
        self._settings = session.settings
        self.menus = {
            name: QMenu(translated(title), bar)
            if name in SUBMENUS
            else bar.addMenu(translated(title))
            for name, title in MENUS.items()
        }
        for spec in ACTIONS:
            menu = self.menus[spec.menu]
            if spec.menu in SUBMENUS and menu.isEmpty():
                self.menus[SUBMENUS[spec.menu]].addSeparator()
                self.menus[SUBMENUS[spec.menu]].addMenu(menu)
            if spec.apart:
                menu.addSeparator()
            menu.addAction(actions[spec.name])
        sewing_menu = self.menus["sewing"]
        first = sewing_menu.actions()[0]
        sewing_menu.insertAction(first, actions["sewing_order"])
        sewing_menu.insertSeparator(first)
        file_menu = self.menus["file"]
        self.samples = QMenu(self.tr("New from a sa&mple"), file_menu)
        # The samples are read when somebody looks at them, not when the window opens.
        self.samples.aboutToShow.connect(self._fill_samples)
        self.recent = QMenu(self.tr("Open &recent"), file_menu)
        self.recent.aboutToShow.connect(self._fill_recent)
        file_menu.insertMenu(self._after(file_menu, actions["new"]), self.samples)
        file_menu.insertMenu(self._after(file_menu, actions["open"]), self.recent)
        redesign_menu = self.menus["redesign"]
        self.variants = QMenu(self.tr("&Open a variant"), redesign_menu)
        self.variants.aboutToShow.connect(self._fill_variants)
        redesign_menu.insertMenu(actions["compare"], self.variants)
        self.lost = RestoreMenu(variants, redesign_menu)
        redesign_menu.insertMenu(self._after(redesign_menu, actions["compare"]), self.lost)
        files.changed.connect(self._on_files_changed)
        variants.changed.connect(self._on_kept_changed)
        self._on_files_changed()
        self._on_kept_changed()

    def _after(self, menu: QMenu, action: QAction) -> QAction:
        listed = menu.actions()
        return listed[listed.index(action) + 1]

    def _fill_samples(self) -> None:
        if not self.samples.isEmpty():
            return
        for name in SAMPLES:
            action = self.samples.addAction(sample(name).name)
            action.triggered.connect(partial(_take, partial(self._files.start_from, name)))

    def _fill_recent(self) -> None:
        self.recent.clear()
        for path in self._settings.recent:
            action = self.recent.addAction(menu_text(shown(path.name)))
            action.setToolTip(shown(path))
            action.setStatusTip(shown(path))
            action.triggered.connect(partial(self._open, path))
        self.recent.addSeparator()
        self.recent.addAction(self.tr("Clear the list")).triggered.connect(self._clear)

    def _fill_variants(self) -> None:
        self.variants.clear()
        variants = self._variants
        if variants.starting is not None:
            self._add_kept(variants.starting, variants.open_starting)
            self.variants.addSeparator()
        for kept in variants.variants:
            self._add_kept(kept, partial(variants.open_variant, kept.name))

    def _add_kept(self, kept: NamedBag, put: Callable[[], bool]) -> None:
        action = self.variants.addAction(menu_text(kept.name))
        action.setCheckable(True)
        action.setChecked(self._variants.is_present(kept))
        action.setStatusTip(
            self.tr("Open this variant as the present bag; undo brings yours back.")
        )
        action.triggered.connect(partial(_take, put))

    def _open(self, path: Path, _checked: bool = False) -> None:
        self._files.open(path)

    def _clear(self) -> None:
        self._settings.forget_recent()
        self._on_files_changed()

    def _on_files_changed(self) -> None:
        self.recent.setEnabled(bool(self._settings.recent))

    def _on_kept_changed(self) -> None:
        variants = self._variants
        self.variants.setEnabled(bool(variants.variants) or variants.starting is not None)


# Context menus.


_CUT = {figure.name: figure for figure in CUT_FIGURES}


class ContextMenus(QObject):
    """Opens a menu for each pane, by the right button, the menu key or Shift+F10."""

    def __init__(
        self,
        session: Session,
        actions: Mapping[str, QAction],
        window: QWidget,
        views: Mapping[QWidget, HasMenu],
        *,
        help_on: Callable[[str], object],
    ) -> None:
        """Give the widgets of views their menus.

        Args:
            session, actions, window: that the menus are of.
            views: widget that the menu is asked of -> who says what is in it.
            help_on: opens the help at an address.
        """
        super().__init__(window)
        self._help_on = help_on
        self._document, self._display = session.document, session.display
        self._redesigner, self._actions, self._window = session.redesigner, actions, window
        self._views: dict[QObject, HasMenu] = {}
        for widget, view in views.items():
            self._views[widget] = view
            widget.installEventFilter(self)

    def add_field(self, view: HasMenu, box: QAbstractSpinBox) -> None:
        for field in (box, box.lineEdit()):
            self._views[field] = view
            field.installEventFilter(self)

    def _entries(self, view: HasMenu, at: QPoint | None) -> list[Command | QAction | None]:
        found: list[Command | QAction | None] = []
        for line in view.menu_at(at):
            match line:
                case FigureLines():
                    found += self._figure(line.name, here=line.here)
                case EdgeRef():
                    found += self._edge(line)
                case Piece():
                    found.append(self._piece(line))
                case str():
                    found.append(self._actions[line])
                case _:
                    found.append(line)
        return found

    def _open(self, pane: QWidget, at: QPoint | None) -> bool:
        """Open the menu; False where there is nothing to offer."""
        if QApplication.activePopupWidget() is not None:
            return True  # a platform that tells of the key twice
        entries = self._entries(self._views[pane], at)
        if not entries:
            return False
        menu = QMenu(self._window)
        menu.setAccessibleName(tr("What can be done here"))
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        for entry in entries:
            if entry is None:
                menu.addSeparator()
            elif isinstance(entry, QAction):
                menu.addAction(entry)
            else:
                action = menu.addAction(menu_text(entry.text))
                action.triggered.connect(partial(_take, entry.do))
        menu.addSeparator()
        page = topic_of(widget_at(pane, at) or pane)
        menu.addAction(tr("Help on this")).triggered.connect(lambda: self._help_on(page))
        if at is None:
            focus = QApplication.focusWidget() or pane
            at = focus.mapToGlobal(focus.rect().center())
            menu.setActiveAction(next(each for each in menu.actions() if not each.isSeparator()))
        menu.popup(at)
        return True

    # What can be done with a figure, or an edge.

    def _figure(self, name: str, *, here: bool = False) -> Iterator[Command]:
        """What can be done with a figure; `here`: its field is where the menu is."""
        label, shown = self._shown(name)
        if not shown:
            return
        if not here:
            change = tr("Change {figure}")
            if name in FINISHED and name not in PINNABLE:
                change = tr("Show {figure}")
            ask = self._document.figure_asked
            yield Command(change.format(figure=label), lambda: ask.emit(name))
        if name in PINNABLE or is_matched(name):
            pinned = self._redesigner.pinned(name)
            told = tr("Release {figure}") if pinned else tr("Pin {figure}")
            said = self._redesigner.label_of(name)
            yield Command(told.format(figure=said), lambda: self._redesigner.pin(name, not pinned))
        told = tr("Copy {figure}: {value}").format(figure=label, value=shown)
        yield copying(told, shown)

    def _shown(self, name: str) -> tuple[str, str]:
        """Label and value of a figure; no value where the bag has no such thing."""
        result = self._document.result
        if name not in _CUT and name not in FINISHED:
            return name, ""
        figure = figure_of(name)
        value = figure_value(result, figure)
        text = "" if value is None else shown_value(figure.quantity, value, self._display)
        return translated(figure.label), text

    def _piece(self, piece: Piece) -> Command:
        """What can be done with a flat piece: its cut size."""
        left, bottom, right, top = piece.bounds
        size = tr("{width} × {length}").format(
            width=self._display.bare(right - left), length=self._display.length(top - bottom)
        )
        told = tr("Copy the cut size of {piece}: {size}")
        return copying(told.format(piece=translated(piece.label), size=size), size)

    def _edge(self, edge: EdgeRef) -> Iterator[Command]:
        """What can be done with an edge: its length, on the stitch line where it is sewn."""
        draft = self._document.result.draft
        here = draft.edge(edge)
        cut = self._display.length(here.length)
        name = here.title.text(translate=translated)
        told = tr("Copy the cut length of {edge}: {length}").format(edge=name, length=cut)
        yield copying(told, cut)
        if any(edge in seam.edges for seam in draft.seams):
            sewn = self._display.length(chain_length((edge,), draft.outlines))
            told = tr("Copy the stitched length of {edge}: {length}")
            yield copying(told.format(edge=name, length=sewn), sewn)

    # Qt's own names from here on.

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(watched, QWidget):
            return False
        if isinstance(event, QContextMenuEvent):
            is_key = event.reason() is QContextMenuEvent.Reason.Keyboard
            return self._open(watched, None if is_key else event.globalPos())
        if isinstance(event, QKeyEvent) and event.type() is QEvent.Type.KeyPress:
            shifted = event.modifiers() == Qt.KeyboardModifier.ShiftModifier
            if event.key() == Qt.Key.Key_Menu or (event.key() == Qt.Key.Key_F10 and shifted):
                return self._open(watched, None)
        return False


def _take(do: Callable[[], object], _checked: bool = False) -> None:
    """Do it after what is half typed: opening a menu takes no text, which may be pasted into."""
    finish_typing()
    do()
