"""The guide of the tour: a bar that tells the step, and a frame around its place."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QRect, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QToolBar, QWidget

from app.help.tour import PINNED, TOUR_STEPS, WANTED, Tour, TourTarget, changed_figure
from app.session.display import translated
from app.widgets.layouts import button
from app.widgets.theme import change_colour

if TYPE_CHECKING:  # the guide belongs to a window, which makes it
    from app.window.main_window import MainWindow

FOLLOW_EVERY = 120
"""Milliseconds between two looks where the place of the step lies by now."""
LEAST_WIDE, FIRST_WIDE = 200, 600
"""Width of the words at the least, and before they have their place, px."""
AROUND = 3
"""Room between a place and the frame around it, px."""


class PlaceFrame(QWidget):
    """A frame around some other widget of the window; clicks go through it."""

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAttribute(Qt.WidgetAttribute.WA_NoSystemBackground)
        self.hide()

    def surround(self, widget: QWidget | None) -> None:
        """Lie around a widget, or be hidden where it cannot be seen."""
        window = self.parentWidget()
        if widget is None or window is None or widget.visibleRegion().isEmpty():
            self.hide()
            return
        seen = widget.visibleRegion().boundingRect()
        place = QRect(widget.mapTo(window, seen.topLeft()), seen.size())
        self.setGeometry(place.adjusted(-AROUND, -AROUND, AROUND, AROUND))
        self.raise_()
        self.show()

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(change_colour(self.palette()), 3.0))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5), 5.0, 5.0)
        painter.end()


class WrappedLabel(QLabel):
    """Words as high as they are at their width: a toolbar does not ask for that itself."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.RichText)

    # Qt's own names from here on.

    def hasHeightForWidth(self) -> bool:
        return False  # else its layout asks for the height at the least width

    def sizeHint(self) -> QSize:
        return self.minimumSizeHint()

    def minimumSizeHint(self) -> QSize:
        wide = self.width() if self.testAttribute(Qt.WidgetAttribute.WA_Resized) else FIRST_WIDE
        return QSize(LEAST_WIDE, self.heightForWidth(max(wide, LEAST_WIDE)))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            # Later: a layout that is just at work forgets what it is told meanwhile.
            QTimer.singleShot(0, self, self.updateGeometry)


class TourBar(QToolBar):
    """Tells the present step; its buttons show its place, go on, and leave."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tour")
        self.setWindowTitle(self.tr("First-steps tour"))
        self.setMovable(False)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.PreventContextMenu)
        self.told = WrappedLabel(self)
        tip = self.tr("Go to the place that this step is about.")
        self.show_place = button(self.tr("Show me"), self, tip)
        self.go_on = button("", self)
        tip = self.tr("The menu Help starts it again.")
        self.leave = button(self.tr("Leave the tour"), self, tip)
        inside = QWidget(self)
        line = QHBoxLayout(inside)
        line.setContentsMargins(8, 4, 8, 4)
        line.addWidget(self.told, 1)
        for each in (self.show_place, self.go_on, self.leave):
            line.addWidget(each, 0, Qt.AlignmentFlag.AlignTop)
        self.addWidget(inside)

    def tell(self, head: str, words: str, *, done: bool, last: bool) -> None:
        """Tell a step."""
        mark = self.tr("✓ Done.") if done else ""
        self.told.setText(f"<b>{head}</b><br>{mark} {words}")
        if last:
            self.go_on.setText(self.tr("Finish"))
            self.go_on.setToolTip(self.tr("End the tour."))
        elif done:
            self.go_on.setText(self.tr("Next"))
            self.go_on.setToolTip(self.tr("Go on to the next step."))
        else:
            self.go_on.setText(self.tr("Skip"))
            self.go_on.setToolTip(self.tr("Go on without doing this step."))
        self.go_on.setAccessibleDescription(f"{head}. {mark}")


class TourGuide(QObject):
    """Leads a maker through the tour in a window; deleted with all that it shows at its end.

    Signals:
        ended: it was gone through, or left.
    """

    ended = Signal()

    def __init__(self, window: "MainWindow") -> None:
        super().__init__(window)
        self._window = window
        self.tour = Tour(window, self)
        self.bar = TourBar(window)
        self.frame = PlaceFrame(window)
        window.addToolBarBreak()
        window.addToolBar(self.bar)
        self.bar.show_place.clicked.connect(self.go_to_place)
        self.bar.go_on.clicked.connect(self.tour.go_on)
        self.bar.leave.clicked.connect(self.end)
        self.tour.changed.connect(self._tell)
        self.tour.ended.connect(self.end)
        self._follow = QTimer(self, interval=FOLLOW_EVERY)
        self._follow.timeout.connect(self._surround)
        self._follow.start()
        self._tell()
        self.take_focus()

    def take_focus(self) -> None:
        """Put the focus on the bar, so that Tab and Space go through the tour."""
        self.bar.show_place.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def go_to_place(self) -> None:
        """Bring the place of the step into sight and put the focus there."""
        target, window = self.tour.step.target, self._window
        changed = changed_figure(window.document.bag)
        figures = {TourTarget.CHANGED: changed, TourTarget.WANTED: WANTED, TourTarget.PIN: PINNED}
        if target in figures:
            window.measures.show_figure(figures[target])
        place = self._place()
        if place is not None and target not in (TourTarget.CHANGED, TourTarget.WANTED):
            place.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self._surround()

    def end(self) -> None:
        """Leave the window as it was."""
        self._follow.stop()
        self.tour.blockSignals(True)
        for each in (self.bar, self.frame, self):
            each.deleteLater()
        self.ended.emit()

    def _place(self) -> QWidget | None:
        """The widget that the step is about."""
        window, finished = self._window, self._window.measures.finished_rows
        match self.tour.step.target:
            case TourTarget.SLIDER:
                return window.fold.slider
            case TourTarget.CHANGED:
                return window.measures.cut_rows[changed_figure(window.document.bag)].row
            case TourTarget.FLAT:
                return window.flat
            case TourTarget.FINDINGS:
                buttons = [each for row in window.findings.rows for each in row.fix_buttons]
                return next((each for each in buttons if each.isVisible()), window.findings)
            case TourTarget.PIN:
                return finished[PINNED].row.pin
            case TourTarget.WANTED:
                return finished[WANTED].row
            case TourTarget.TABS:
                return window.tabs.tabBar()
            case TourTarget.PRINT:
                return window.toolbar.button("print")

    def _surround(self) -> None:
        self.frame.surround(self._place())

    def _tell(self) -> None:
        tour = self.tour
        place, count = tour.place + 1, len(TOUR_STEPS)
        numbered = self.tr("Step {place} of {count}: {title}")
        head = numbered.format(place=place, count=count, title=translated(tour.step.title))
        self.bar.tell(head, tour.words, done=tour.done, last=place == count)
        self._surround()
