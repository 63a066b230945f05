"""The menus: the action table, the bags that come with the program, and the recent files."""

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QMenuBar

from app.files.files import Files
from app.session.display import translated
from app.session.session import Session
from app.widgets.figure_box import finish_typing
from app.widgets.menus import RestoreMenu, menu_text
from app.window.bag_actions import ACTIONS, MENUS, SUBMENUS
from core.base.sanitize import shown
from core.storage import SAMPLES, sample
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
            action.triggered.connect(partial(self._start_from, name))

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
        action.triggered.connect(partial(self._put, put))

    def _put(self, put: Callable[[], bool], _checked: bool = False) -> None:
        finish_typing()
        put()

    def _start_from(self, name: str, _checked: bool = False) -> None:
        self._files.start_from(name)

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
