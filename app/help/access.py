"""Help where the maker is: F1, What's This, the one help window, the tour."""

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPoint
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QApplication, QPushButton, QWhatsThis, QWidget

from app.help.topics import Topic, address, describe_panes, topic_of
from app.session.display import Display
from app.session.settings import Settings

if TYPE_CHECKING:  # it brings all pages with it, when somebody asks for one
    from app.help.tour_guide import TourGuide
    from app.help.window import HelpWindow
    from app.window.main_window import MainWindow

_FROM_TIP = "whatsThisFromTip"
"""Marks an explanation that is the widget's tip, to be renewed as the tip changes."""


class HelpAccess(QObject):
    """Opens the help of what has the focus, in the main window and in its dialogs."""

    def __init__(self, display: Display, settings: Settings, window: "MainWindow") -> None:
        super().__init__(window)
        self._display, self._settings, self._main = display, settings, window
        self.window: HelpWindow | None = None
        self.guide: TourGuide | None = None
        self._offer: QPushButton | None = None
        describe_panes(
            {
                Topic.MEASURES: window.measures,
                Topic.FLAT: window.flat,
                Topic.FOLD: window.fold,
                Topic.FINDINGS: window.findings,
                Topic.VARIANTS: window.changes,
                Topic.CUTTING: window.cutting,
                Topic.SEWING: window.sewing,
            }
        )
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._on_focus_change)

    # What the menu asks for.

    def show_here(self) -> None:
        self.show(topic_of(QApplication.focusWidget()))

    def show_contents(self) -> None:
        """Open the help at the page that was read last, ready for a search."""
        last = self._settings.help_page
        known = last.partition("#")[0] in {topic.value for topic in Topic}
        self.show(last if known else address(Topic.FIRST_STEPS))
        self._help_window().look_for("")

    def start_tour(self) -> None:
        """Go through the first steps; while the tour is on, put the focus on its bar."""
        from app.help.tour_guide import TourGuide

        if self._offer is not None:
            self._main.statusBar().removeWidget(self._offer)
            self._offer.deleteLater()
            self._offer = None
        if self.guide is None:
            self.guide = TourGuide(self._main)
            self.guide.ended.connect(self._on_tour_end)
        else:
            self.guide.take_focus()

    def offer_tour(self) -> None:
        """Offer the tour in the status line, at the first start and never again."""
        if self._settings.tour_offered or self._offer is not None:
            return
        self._settings.tour_offered = True
        self._offer = QPushButton(self.tr("New here? Take the first-steps tour"))
        self._offer.setFlat(True)
        self._offer.setToolTip(self.tr("Eight steps with the bag that is open."))
        self._offer.clicked.connect(self.start_tour)
        self._main.statusBar().addPermanentWidget(self._offer)

    def _on_tour_end(self) -> None:
        self.guide = None

    def whats_this(self) -> None:
        """Explain what is clicked next; asked a second time, what has the focus."""
        if QWhatsThis.inWhatsThisMode():
            QWhatsThis.leaveWhatsThisMode()
            self.explain_focus()
        else:
            explain(QApplication.activeWindow() or self._main)
            QWhatsThis.enterWhatsThisMode()

    def explain_focus(self) -> None:
        """Explain what has the focus, without a mouse."""
        widget = QApplication.focusWidget()
        if widget is None:
            return
        explain(widget.window())
        told = explanation_of(widget)
        if told:
            QWhatsThis.showText(widget.mapToGlobal(QPoint(0, widget.height())), told, widget)

    # The window.

    def show(self, page: str) -> None:
        """Show a page of the help, over a dialog that stops everything else too."""
        from PySide6.QtWidgets import QDialog

        window = self._help_window()
        above = QApplication.activeModalWidget()
        if isinstance(above, QDialog) and window.parent() is not above:
            # Else the dialog would keep keys and clicks from it.
            window.setParent(above, window.windowFlags())
            above.finished.connect(self._come_home)
        window.show_address(page)
        window.show()
        window.raise_()
        window.activateWindow()

    def close(self) -> None:
        if self.guide is not None:
            self.guide.end()
        if self.window is not None:
            self.window.close()

    def _help_window(self) -> "HelpWindow":
        from app.help.window import HelpWindow

        if self.window is None:
            self.window = HelpWindow(self._display, self._main)
            self.window.shown.connect(partial(setattr, self._settings, "help_page"))
        return self.window

    def _come_home(self) -> None:
        """A dialog that the help window stood over ends: it must not end with it."""
        window = self.window
        if window is not None and window.parent() is not self._main:
            shown = window.isVisible()
            window.setParent(self._main, window.windowFlags())
            window.setVisible(shown)

    # Dialogs.

    def _owns(self, dialog: QWidget | None) -> bool:
        """Whether a dialog stands over the main window, or over another one that does."""
        while dialog is not None and dialog is not self._main:
            dialog = dialog.parentWidget()
        return dialog is not None

    def _on_focus_change(self, _before: QWidget | None, now: QWidget | None) -> None:
        """Give a dialog of this window the keys of help when it is first entered."""
        dialog = None if now is None else now.window()
        if dialog is None or dialog is self._main or dialog is self.window:
            return
        # No dialog is loaded before the first one opens.
        from PySide6.QtGui import QShortcut
        from PySide6.QtWidgets import QDialog

        if not isinstance(dialog, QDialog) or dialog.property(_ATTENDED) or not self._owns(dialog):
            return
        dialog.setProperty(_ATTENDED, True)
        explain(dialog)
        for key, ask in (
            (QKeySequence.StandardKey.HelpContents, self.show_here),
            (QKeySequence.StandardKey.WhatsThis, self.explain_focus),
        ):
            for each in QKeySequence.keyBindings(key):
                QShortcut(each, dialog).activated.connect(ask)


_ATTENDED = "helpAttended"


def explain(window: QWidget) -> None:
    """Let What's This tell of each widget in a window at least what its tip tells."""
    for widget in (window, *window.findChildren(QWidget)):
        told = widget.whatsThis()
        if told and not widget.property(_FROM_TIP):
            continue
        tip = widget.toolTip() or widget.accessibleDescription()
        if tip and tip != told:
            widget.setWhatsThis(tip)
            widget.setProperty(_FROM_TIP, True)


def explanation_of(widget: QWidget | None) -> str:
    """What What's This tells of a widget: its own, else of what it lies in."""
    while widget is not None:
        if widget.whatsThis():
            return widget.whatsThis()
        widget = widget.parentWidget()
    return ""
