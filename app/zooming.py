"""Looking closer and from farther, by menu and keys: in the drawing that was used last."""

from PySide6.QtCore import QObject, QPointF, Signal
from PySide6.QtWidgets import QApplication, QWidget

from app.panes.cutting_pane import CuttingPane
from app.panes.flat_pane import FlatPane
from app.panes.fold_pane import FoldPane
from app.panes.fold_view import ZOOM_STEP, FoldView
from app.panes.view2d import DrawingView

MM_PER_INCH = 25.4


class Zooming(QObject):
    """Acts on the drawing of the pane that has the focus, or had it last.

    Signals:
        said(str): something for the status line.
    """

    said = Signal(str)

    def __init__(
        self, flat: FlatPane, fold: FoldPane, cutting: CuttingPane, parent: QObject
    ) -> None:
        super().__init__(parent)
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

    def zoom_in(self) -> None:
        """One step closer."""
        self._zoom(1)

    def zoom_out(self) -> None:
        """One step back."""
        self._zoom(-1)

    def show_actual_size(self) -> None:
        """Show a flat drawing as large as the pieces are, as far as the screen tells its size."""
        drawing = self.drawing
        if isinstance(drawing, FoldView):
            self.said.emit(
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

    def _zoom(self, steps: int) -> None:
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
