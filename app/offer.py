"""An offer in the status line: what happened, and one click that does something about it."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QToolButton, QWidget

from app.keeping import Keeping
from app.plain_label import ElidedLabel
from core.project import Lost


class Offer(QWidget):
    """A sentence with a button, which stays until it is used or dismissed.

    A screen reader is told the sentence when it comes: nobody looks there unasked.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._label = ElidedLabel("", self)
        self.button = QPushButton(self)
        self.dismiss = QToolButton(self)
        self.dismiss.setText("✕")
        self.dismiss.setAutoRaise(True)
        self.dismiss.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.dismiss.setAccessibleName(self.tr("Dismiss"))
        self.dismiss.setToolTip(self.tr("Dismiss"))
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 0, 8, 0)
        row.addWidget(self._label)
        row.addWidget(self.button)
        row.addWidget(self.dismiss)
        row.addStretch(1)
        self._do: Callable[[], object] | None = None
        self.button.clicked.connect(self._on_clicked)
        self.dismiss.clicked.connect(self.withdraw)
        self.hide()

    @property
    def text(self) -> str:
        """The sentence; empty where nothing is offered."""
        return "" if self._do is None else self._label.text()

    def make(self, text: str, button: str, do: Callable[[], object]) -> None:
        """Offer something; what was offered before is past.

        Args:
            text: a sentence.
            button: what the button says.
            do: is called when it is pressed.
        """
        self._do = do
        self._label.setText(text)
        self.button.setText(button)
        self.button.setAccessibleDescription(text)
        self.show()
        told = QAccessibleAnnouncementEvent(self, text)
        QAccessible.updateAccessibility(told)

    def withdraw(self) -> None:
        """Offer nothing any more."""
        self._do = None
        self.hide()

    def _on_clicked(self) -> None:
        do = self._do
        self.withdraw()
        if do is not None:
            do()


class LostOffers(QObject):
    """Offers to put back what was deleted or replaced, for as long as it can be."""

    def __init__(self, keeping: Keeping, offer: Offer, parent: QObject) -> None:
        super().__init__(parent)
        self._keeping = keeping
        self._offer = offer
        self._offered: tuple[Lost, ...] = ()
        keeping.lost.connect(self._on_lost)
        keeping.changed.connect(self._on_changed)

    def _on_lost(self, lost: tuple[Lost, ...]) -> None:
        self._offered = lost
        if len(lost) == 1:
            text, button = self._keeping.told_lost(lost[0]), self.tr("Put it &back")
        else:
            said = ", ".join(map(self._keeping.said, lost))
            text = self.tr("No longer kept: {things}.").format(things=said)
            button = self.tr("Put them &back")
        self._offer.make(text, button, partial(self._put_back, lost))

    def _on_changed(self) -> None:
        there = self._keeping.to_bring_back
        if self._offered and not any(each is other for each in self._offered for other in there):
            self._offered = ()
            self._offer.withdraw()

    def _put_back(self, lost: tuple[Lost, ...]) -> None:
        for each in lost:
            self._keeping.bring_back(each)
