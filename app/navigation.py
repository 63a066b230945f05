"""Going about the window by keys: from pane to pane, and to the whole screen and back."""

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QAbstractSpinBox, QLineEdit, QMainWindow, QTabWidget, QWidget

KEYS = Qt.FocusReason.ShortcutFocusReason


class Navigation(QObject):
    """Puts the focus into a pane: where it was last, else on the first thing there is to go to.

    Args:
        window: shown on the whole screen, or not.
        measures, flat, fold, findings, changes: the panes.
    """

    def __init__(
        self,
        window: QMainWindow,
        *,
        measures: QWidget,
        flat: QWidget,
        fold: QWidget,
        findings: QWidget,
        changes: QWidget,
    ) -> None:
        super().__init__(window)
        self._window = window
        self._measures, self._flat, self._fold = measures, flat, fold
        self._findings, self._changes = findings, changes
        self._full_screen: QAction | None = None
        window.installEventFilter(self)

    def follow(self, full_screen: QAction) -> None:
        """Show in an action whether the window has the whole screen."""
        self._full_screen = full_screen

    def go_to_measures(self) -> None:
        """Put the focus on the measures."""
        go_into(self._measures)

    def go_to_flat(self) -> None:
        """Put the focus on the flat pieces."""
        go_into(self._flat)

    def go_to_fold(self) -> None:
        """Put the focus on the fold preview."""
        go_into(self._fold)

    def go_to_findings(self) -> None:
        """Put the focus on the worst finding."""
        go_into(self._findings)

    def go_to_changes(self) -> None:
        """Show the changes and put the focus on them."""
        go_into(self._changes)

    def toggle_full_screen(self) -> None:
        """Give the window the whole screen, or take it back."""
        self._window.setWindowState(self._window.windowState() ^ Qt.WindowState.WindowFullScreen)

    # Qt's own names from here on.

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is QEvent.Type.WindowStateChange and self._full_screen is not None:
            self._full_screen.setChecked(self._window.isFullScreen())
        return super().eventFilter(watched, event)


def go_into(pane: QWidget) -> None:
    """Show a pane where a tab hides it, and put the focus into it.

    A pane with nothing to go to has the focus itself, so that its name is read.
    """
    show_tab(pane)
    # Qt's stubs leave out that a pane may not have had the focus yet.
    target: QWidget | None = pane.focusWidget()
    if target is None or not _takes_keys(target):
        target = first_in(pane) or pane
    target.setFocus(KEYS)
    if isinstance(target, QAbstractSpinBox | QLineEdit):
        # Qt selects only where the focus comes anew, in a window that has the keys: else what
        # is typed next would be put behind what stands.
        target.selectAll()


def show_tab(pane: QWidget) -> None:
    """Show a pane where a tab hides it."""
    within = pane.parentWidget()
    while within is not None:
        if isinstance(within, QTabWidget):
            focus: QWidget | None = within.focusWidget()
            if focus is not None and focus.hasFocus() and within.currentWidget() is not pane:
                # Hidden with the focus on it, a tab gives it to the next in the window.
                within.tabBar().setFocus(KEYS)
            within.setCurrentWidget(pane)
        within = within.parentWidget()


def first_in(pane: QWidget) -> QWidget | None:
    """The first widget of a pane, itself included, that Tab would come to; None: there is none."""
    if _takes_keys(pane):
        return pane
    each = pane.nextInFocusChain()
    while each is not None and each is not pane:
        if pane.isAncestorOf(each) and _takes_keys(each):
            return each
        each = each.nextInFocusChain()
    return None


def _takes_keys(widget: QWidget) -> bool:
    by_tab = widget.focusPolicy() & Qt.FocusPolicy.TabFocus == Qt.FocusPolicy.TabFocus
    return by_tab and widget.isVisible() and widget.isEnabled()
