"""What a window begins with: the bag that was open last, with the demo bag one click away."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject

from app.document import Document
from app.files import Files
from app.offer import Offer
from app.settings import Settings


class LastBag(QObject):
    """Opens the file that was open last, and says in the status line what came of it."""

    def __init__(
        self, document: Document, files: Files, settings: Settings, offer: Offer, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._files = files
        self._settings = settings
        self._offer = offer
        self._said = ""

    def show(self) -> None:
        """Show it; where it cannot be shown the bag that is open stays, and the reason is told.

        A bag that has a file, or that was changed, is never replaced.
        """
        path = self._settings.last_file
        if path is None or self._document.path is not None or not self._document.saved:
            return
        reason = self._files.reopen(path)
        self._said = self.tr("This is the bag that you had open last.")
        do: Callable[[], object] = partial(self._files.start_from, "demo")
        button = self.tr("Open the &demo bag")
        if reason:
            self._said = self.tr("{reason} The demo bag is shown instead.").format(reason=reason)
            button, do = self.tr("&Open another bag…"), self._files.ask_open
        self._offer.make(self._said, button, do)
        self._document.changed.connect(self._on_changed)

    def _on_changed(self) -> None:
        """Work has begun: nobody looks for another bag any more."""
        self._document.changed.disconnect(self._on_changed)
        if self._offer.text == self._said:
            self._offer.withdraw()
