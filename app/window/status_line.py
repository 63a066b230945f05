"""The status line: capacity, size, pages, unit, saved or not; its offers, and the last bag."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, QSize, Qt, QTimer
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QStatusBar, QToolButton, QWidget

from app.files.files import Files
from app.session.display import FIGURES, UNITS, figure_value, plain_tip, shown_size, translated
from app.session.session import Session
from app.session.soon import Soon
from app.session.variants import Variants
from app.widgets.labels import ElidedLabel, TonedLabel
from app.widgets.layouts import holding, spaced
from app.widgets.theme import change_colour, muted_colour, problem_colour
from core.base.errors import CornerwrightError
from core.base.sentences import plural, say
from core.model.figures import NO_TAKE_UP, Quantity
from core.storage.project import Removed


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
        row = spaced(QHBoxLayout(self), around=(8, 0, 8, 0))
        holding(row, self._label, self.button, self.dismiss, None)
        self._do: Callable[[], object] | None = None
        self.button.clicked.connect(self._on_clicked)
        self.dismiss.clicked.connect(self.withdraw)
        self.hide()

    @property
    def text(self) -> str:
        """The sentence; empty where nothing is offered."""
        return "" if self._do is None else self._label.text()

    def makes(self, do: Callable[[], object]) -> bool:
        return self._do is do

    def make(self, text: str, button: str, do: Callable[[], object]) -> None:
        """Offer to do something by a press of the button; what was offered before is past."""
        self._do = do
        self._label.setText(text)
        self.button.setText(button)
        self.button.setAccessibleDescription(text)
        self.show()
        told = QAccessibleAnnouncementEvent(self, text)
        QAccessible.updateAccessibility(told)

    def withdraw(self) -> None:
        self._do = None
        self.hide()

    def _on_clicked(self) -> None:
        do = self._do
        self.withdraw()
        if do is not None:
            do()


class RestoreOffers(QObject):
    """Offers to put back what was deleted or replaced, for as long as it can be."""

    def __init__(self, variants: Variants, offer: Offer, parent: QObject) -> None:
        super().__init__(parent)
        self._variants = variants
        self._offer = offer
        self._offered: tuple[Removed, ...] = ()
        variants.lost.connect(self._on_lost)
        variants.changed.connect(self._on_changed)

    def _on_lost(self, lost: tuple[Removed, ...]) -> None:
        self._offered = lost
        if len(lost) == 1:
            text, button = self._variants.sentence(lost[0]), self.tr("Put it &back")
        else:
            said = ", ".join(map(self._variants.label, lost))
            text = self.tr("No longer kept: {things}.").format(things=said)
            button = self.tr("Put them &back")
        self._offer.make(text, button, partial(self._put_back, lost))

    def _on_changed(self) -> None:
        there = self._variants.restorable
        if self._offered and not any(each is other for each in self._offered for other in there):
            self._offered = ()
            self._offer.withdraw()

    def _put_back(self, lost: tuple[Removed, ...]) -> None:
        for each in lost:
            self._variants.bring_back(each)


class LastBag(QObject):
    """Opens the file that was open last, and says in the status line what came of it."""

    def __init__(self, session: Session, files: Files, offer: Offer, parent: QObject) -> None:
        super().__init__(parent)
        self._document, self._settings = session.document, session.settings
        self._files, self._offer = files, offer
        self._do: Callable[[], object] | None = None

    def show(self) -> None:
        """Show it; where it cannot be shown the bag that is open stays, and the reason is told.

        A bag that has a file, or that was changed, is never replaced.
        """
        path = self._settings.last_file
        if path is None or self._document.path is not None or not self._document.saved:
            return
        reason = self._files.reopen(path)
        told = self.tr("This is the bag that you had open last.")
        do: Callable[[], object] = partial(self._files.start_from, "demo")
        button = self.tr("Open the &demo bag")
        if reason:
            told = self.tr("{reason} The demo bag is shown instead.").format(reason=reason)
            button, do = self.tr("&Open another bag…"), self._files.ask_open
        self._do = do
        self._offer.make(told, button, do)
        self._document.changed.connect(self._on_changed)

    def _on_changed(self) -> None:
        """Work has begun: nobody looks for another bag any more."""
        self._document.changed.disconnect(self._on_changed)
        if self._do is not None and self._offer.makes(self._do):
            self._offer.withdraw()


SOON = 120
"""Milliseconds after a change at which capacity and size are written."""
PAUSE = 350
"""Milliseconds without a change after which the pages are laid out."""


class SteadyLabel(ElidedLabel):
    """Keeps the room of its longest text, until told to settle: what is beside it stands still.

    A length has more figures at one step of a held key and fewer at the next.
    """

    _widest = 0

    def settle(self) -> None:
        """Take no more room than the text needs now."""
        self._widest = 0
        self.updateGeometry()

    # Qt's own names from here on.

    def sizeHint(self) -> QSize:
        hint = super().sizeHint()
        self._widest = max(self._widest, hint.width())
        return QSize(self._widest, hint.height())


class StatusLine(QStatusBar):
    """Says where the bag stands, and makes offers; tips of menus pass over it.

    `offer` is what can be done about something that just happened.
    """

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document = session.document
        self._display = display = session.display
        self.setSizeGripEnabled(False)
        # On a narrow window they end in an ellipsis: no text sets the window's least width.
        self._capacity, self._size, self._pages = SteadyLabel(), SteadyLabel(), SteadyLabel()
        self._near = ElidedLabel(self.tr("≈ between two marks of the ruler"))
        self._unit = TonedLabel(muted_colour)
        self._saved = TonedLabel(muted_colour)
        self._saved_tip = self.tr("Whether the bag has changes that are not saved.")
        self._trouble = ""
        for label, tip in (
            (self._capacity, self.tr("Box volume: an open bag filled to the top.")),
            (self._size, self.tr("Cut size of the walls, after the front trim.")),
            (self._pages, self.tr("Number of pages that the whole pattern takes at true scale.")),
            (
                self._near,
                self.tr(
                    "A length with ≈ before it lies between two marks of the ruler: the nearest "
                    "one is shown, the exact size is kept and printed."
                ),
            ),
            (self._unit, self.tr("Unit of all lengths, and the ruler step of the arrow keys.")),
            (self._saved, self._saved_tip),
        ):
            label.setToolTip(tip)
            label.setContentsMargins(8, 1, 8, 3)
        for label in (self._capacity, self._size, self._pages):
            self.addWidget(label)
        self.offer = Offer(self)
        self.addWidget(self.offer, 1)
        self.offer.hide()
        for label in (self._near, self._unit, self._saved):
            self.addPermanentWidget(label)
        self._near.hide()
        self._soon = Soon(self, SOON)
        self._soon.came.connect(self.refresh)
        self._pause = QTimer(self, singleShot=True, interval=PAUSE)
        self._pause.timeout.connect(self._on_pause)
        document.changed.connect(self._on_changed)
        document.saved_changed.connect(self._on_changed)
        display.changed.connect(self._on_changed)

    @property
    def texts(self) -> tuple[str, ...]:
        """Everything that the line says, from left to right."""
        labels = (self._capacity, self._size, self._pages, self._unit, self._saved)
        return tuple(label.text() for label in labels)

    @property
    def legend(self) -> str:
        """What the sign before some of the lengths means; empty while none has it."""
        return "" if self._near.isHidden() else self._near.text()

    def set_trouble(self, trouble: str) -> None:
        """Show, as long as the bag is not saved, why no recovery copy of it can be kept.

        The trouble is a sentence; empty once a copy is kept.
        """
        self._trouble = trouble
        self._show_saved()

    def refresh(self) -> None:
        """Write everything but the pages now."""
        self._soon.stop()
        result = self._document.result
        body = result.bag.body
        volume = self._display.volume(result.finished.get(body.CAPACITY))
        told = self.tr("Box {volume}")
        if result.bag.take_up != NO_TAKE_UP:
            told = self.tr("Box {volume}, as sewn")
        # Empty, not hidden: shown again, it would stand over a message that is told meanwhile.
        self._capacity.setText(told.format(volume=volume) if body.CAPACITY else "")
        self._size.setText(shown_size(body.cut_size(result.draft.walls), self._display))
        self._unit.setText(
            self.tr("{unit}, steps of {step}").format(
                unit=translated(UNITS[self._display.unit]),
                step=self._display.length(self._display.step),
            )
        )
        self._near.setVisible(self._has_near())
        self._show_saved()

    def _has_near(self) -> bool:
        """Whether a measure of the bag is shown as being only near."""
        result = self._document.result
        lengths = (
            figure_value(result, each) for each in FIGURES if each.quantity is Quantity.LENGTH
        )
        return any(length is not None and self._display.is_near(length) for length in lengths)

    def count_pages(self) -> None:
        """Lay out the pages and say how many there are."""
        # The window opens without laying out pages.
        from core.output.pages import plan_pages
        from core.output.print_options import PrintOptions

        self._pause.stop()
        paper = self._display.paper
        options = PrintOptions.usual(self._display.unit, paper=paper)
        try:
            plan = plan_pages(self._document.result, options)
        except CornerwrightError:
            # The print dialog says why, and offers other paper.
            self._pages.setText(self.tr("Too large for {paper}").format(paper=paper.name))
            return
        pages = say(
            plural("1 page {paper}", "{count} pages {paper}"),
            numbers={"count": plan.count},
            words={"paper": paper.name},
        )
        self._pages.setText(pages.text(translate=translated))

    def _show_saved(self) -> None:
        tip, tone = self._saved_tip, muted_colour
        if self._document.saved:
            saved = self.tr("Unchanged") if self._document.path is None else self.tr("Saved")
        elif self._trouble:
            saved, tip = self.tr("Not saved, no recovery copy"), plain_tip(self._trouble)
            tone = problem_colour
        else:
            saved, tone = self.tr("Not saved"), change_colour
        self._saved.setText(saved)
        self._saved.setToolTip(tip)
        self._saved.set_tone(tone)

    def _on_pause(self) -> None:
        self.count_pages()
        for label in (self._capacity, self._size, self._pages):
            label.settle()

    def _on_changed(self) -> None:
        self._soon.start()
        self._pause.start()

    # Qt's own names from here on.

    def showEvent(self, event: QShowEvent) -> None:
        self.refresh()
        self._pause.start()
        super().showEvent(event)
