"""Going about the window by menu and keys: zooming, from pane to pane, the whole screen."""

from PySide6.QtCore import QObject, QPointF, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QApplication,
    QLineEdit,
    QMainWindow,
    QTabWidget,
    QWidget,
)

from app.session.session import Session
from app.views.cutting.pane import CuttingPane
from app.views.flat.pane import FlatPane
from app.views.fold.pane import FoldPane
from app.views.fold.view import ZOOM_STEP, FoldView
from app.widgets.drawing_view import DrawingView
from core.base.units import MM_PER_INCH


class Zooming(QObject):
    """Acts on the drawing of the pane that has the focus, or had it last."""

    def __init__(
        self,
        session: Session,
        flat: FlatPane,
        fold: FoldPane,
        cutting: CuttingPane,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._flat, self._fold, self._cutting = flat, fold, cutting
        self._last: QWidget = flat
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._on_focus_change)

    @property
    def drawing(self) -> DrawingView | FoldView:
        """What is zoomed: the flat pieces, where the pane used last has no drawing in sight."""
        if self._last is self._fold:
            view: FoldView = self._fold.view
            return view
        plan = self._cutting.drawing
        if self._last is self._cutting and plan is not None and plan.isVisible():
            return plan
        return self._flat

    def show_actual_size(self) -> None:
        """Show a flat drawing as large as the pieces are, as far as the screen tells its size."""
        drawing = self.drawing
        if isinstance(drawing, FoldView):
            self._session.said.emit(
                self.tr("The fold preview has no actual size: click the flat pieces first.")
            )
            return
        per_inch = drawing.screen().physicalDotsPerInch()
        drawing.zoom_to(per_inch / MM_PER_INCH)

    def fit_everything(self) -> None:
        """Show all flat pieces, the whole bag, and the cutting plan as it was first."""
        self._flat.fit()
        self._fold.fit()
        if (plan := self._cutting.drawing) is not None:
            plan.fit()

    def zoom(self, steps: int) -> None:
        """So many steps closer, or back."""
        drawing = self.drawing
        if isinstance(drawing, FoldView):
            middle = QPointF(drawing.width() / 2, drawing.height() / 2)
            drawing.zoom(ZOOM_STEP**steps, middle)
        elif steps > 0:
            drawing.zoom_in()
        else:
            drawing.zoom_out()

    def _on_focus_change(self, _before: QWidget | None, now: QWidget | None) -> None:
        for pane in (self._flat, self._fold, self._cutting):
            if now is not None and (pane is now or pane.isAncestorOf(now)):
                self._last = pane


KEYS = Qt.FocusReason.ShortcutFocusReason


class Navigation(QObject):
    """Puts the focus into a pane: where it was last, else on the first thing there is to go to.

    Args:
        window: shown on the whole screen, or not.
        panes: by the names that `go_to` takes.
    """

    def __init__(self, window: QMainWindow, **panes: QWidget) -> None:
        super().__init__(window)
        self._window, self._panes = window, panes
        self._full_screen: QAction | None = None

    def follow(self, full_screen: QAction) -> None:
        """Show in an action whether the window has the whole screen."""
        self._full_screen = full_screen

    def tell_full_screen(self) -> None:
        """The window has the whole screen, or has it no longer."""
        if self._full_screen is not None:
            self._full_screen.setChecked(self._window.isFullScreen())

    def go_to(self, pane: str) -> None:
        """Put the focus into the pane of this name; on the worst finding, of the findings."""
        go_into(self._panes[pane])

    def toggle_full_screen(self) -> None:
        """Give the window the whole screen, or take it back."""
        self._window.setWindowState(self._window.windowState() ^ Qt.WindowState.WindowFullScreen)


def go_into(pane: QWidget) -> None:
    """Show a pane where a tab hides it, and put the focus into it.

    A pane with nothing to go to has the focus itself, so that its name is read.
    """
    show_tab(pane)
    # Qt's stubs leave out that a pane may not have had the focus yet.
    target: QWidget | None = pane.focusWidget()
    if target is None or not _takes_keys(target):
        target = first_in(pane) or pane
    give_keys(target)


def give_keys(target: QWidget) -> None:
    """Put the focus on a widget, all of the text in a field selected."""
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
