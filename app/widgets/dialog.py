"""Dialogs that fit every screen: what they hold scrolls, their buttons always show."""

from collections.abc import Mapping

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QGuiApplication, QShowEvent
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFrame,
    QGridLayout,
    QLabel,
    QLayout,
    QMessageBox,
    QScrollArea,
    QStyle,
    QVBoxLayout,
    QWidget,
)
from shiboken6 import isValid

from app.session.display import tr
from app.session.session import Reply, Unsaved
from app.widgets.desktop import bring_within, within
from app.widgets.labels import TonedLabel, breakable
from app.widgets.theme import muted_colour
from core.base.units import NO_BREAK

LEAST_LINES = 5
"""Lines of text that can be seen of what scrolls, however small the dialog is made."""
TEXT_LABELS = ("qt_msgbox_label", "qt_msgbox_informativelabel")
"""What Qt calls the texts of its message box."""


class FittedDialog(QDialog):
    """A dialog that opens no larger than the screen has room for.

    A subclass gives `lay_out` what it shows. What must always be seen, such as the buttons,
    goes into the foot, the rest into the body, which scrolls where there is too little room.
    """

    def lay_out(
        self, body: QLayout, *foot: QWidget | QLayout, letters: tuple[int, int] = (0, 0)
    ) -> None:
        """Put body and foot in place.

        Args:
            body: scrolls where it must.
            foot: what stands below it, from above.
            letters: size to open with, in average letters across and lines of text up, so
                that larger fonts get a larger dialog; what needs more is given more.
        """
        self._body = _Body(body)
        self._area = _Area(self._body, self)
        self._letters = letters
        column = QVBoxLayout(self)
        column.addWidget(self._area, 1)
        for each in foot:
            if isinstance(each, QWidget):
                column.addWidget(each)
            else:
                column.addLayout(each)
        self.resize(self._first_size())

    def ok_and_cancel(self, ok: str = "") -> QDialogButtonBox:
        """The buttons that take what is in the dialog, and leave it; `ok` stands in place of OK."""
        kinds = QDialogButtonBox.StandardButton
        buttons = QDialogButtonBox(kinds.Ok | kinds.Cancel, self)
        if ok:
            buttons.button(kinds.Ok).setText(ok)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        return buttons

    def hint(self, text: str) -> QLabel:
        """A sentence beside the fields, in lines as long as there is room for."""
        label = TonedLabel(muted_colour, text, self)
        label.setWordWrap(True)
        return label

    def _first_size(self) -> QSize:
        """As it would like to be, within the screen; a narrower one is higher for its texts."""
        wanted = self.sizeHint()
        size = within(wanted, self)
        if (lack := wanted.width() - size.width()) > 0:
            area = self._area.sizeHint()
            high = self._body.heightForWidth(area.width() - lack)
            size.setHeight(max(size.height(), wanted.height() + high - area.height()))
        return within(size, self)

    def _show_whole(self) -> None:
        """Become higher, within the screen, where texts break into more lines than was reckoned."""
        view = self._area.viewport()
        lack = self._body.heightForWidth(view.width()) - view.height()
        if lack > 0:
            self.resize(within(self.size() + QSize(0, lack), self))

    def _begin_in_body(self) -> None:
        """Put the focus on the first field, where nothing has it yet.

        The area takes its fields over after the buttons were made, so that Qt would begin on
        OK: what is typed would be lost, and the space in `10 3/4` would press it.
        """
        if self.focusWidget() is not None:
            return
        tab = Qt.FocusPolicy.TabFocus
        each = self._area.nextInFocusChain()
        while each is not None and each is not self._area:
            inside = self._body.isAncestorOf(each) and each.isVisibleTo(self) and each.isEnabled()
            if inside and each.focusProxy() is None and each.focusPolicy() & tab == tab:
                each.setFocus(Qt.FocusReason.TabFocusReason)
                return
            each = each.nextInFocusChain()

    # Qt's own names from here on.

    def sizeHint(self) -> QSize:
        across, up = getattr(self, "_letters", (0, 0))
        metrics = self.fontMetrics()
        wanted = QSize(across * metrics.averageCharWidth(), up * metrics.height())
        return super().sizeHint().expandedTo(wanted)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if layout := self.layout():
            layout.activate()
            self._show_whole()
            self._begin_in_body()
        bring_within(self)


class FittedBox(QMessageBox):
    """A question, or something told, whose text scrolls where it is longer than the screen."""

    def _let_text_scroll(self) -> None:
        """Put each text, that takes up more than it may, into an area that scrolls."""
        grid = self.layout()
        labels = [label for name in TEXT_LABELS if (label := self.findChild(QLabel, name))]
        if not isinstance(grid, QGridLayout) or not labels:
            return
        other = self.height() - sum(label.height() for label in labels)
        most = max(within(self.size(), self).height() - other, 0) // len(labels)
        for label in labels:
            if label.height() > most or len(labels) == 1:
                bar = self.style().pixelMetric(QStyle.PixelMetric.PM_ScrollBarExtent)
                high = max(most, LEAST_LINES * self.fontMetrics().height())
                size = QSize(label.width() + bar, high)
                row, column, rows, columns = _place_in(grid, label)
                area = _Area(label, self)
                area.setFixedSize(size)
                grid.addWidget(area, row, column, rows, columns)
                area.show()
        # The box reckons its size anew when it is given a text; it takes a text for narrow
        # that can be scrolled.
        self.setText(self.text())
        for label in labels:
            label.setWordWrap(True)

    # Qt's own names from here on.

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self.height() > within(self.size(), self).height():
            self._let_text_scroll()
        bring_within(self)


def _place_in(grid: QGridLayout, widget: QWidget) -> tuple[int, int, int, int]:
    """(row, column, rows, columns) of a widget."""
    place = grid.getItemPosition(grid.indexOf(widget))
    if not isinstance(place, tuple):
        raise TypeError(f"a place in a grid is {place!r}")
    return place


class _Body(QWidget):
    """What scrolls: no higher than it must be at its width."""

    def __init__(self, layout: QLayout) -> None:
        super().__init__()
        layout.setContentsMargins(0, 0, 0, 0)
        self.setLayout(layout)

    # Qt's own names from here on.

    def heightForWidth(self, width: int) -> int:
        # A scroll area would make room for the preferred height, and scroll a list or a
        # preview that could as well be lower.
        layout = self.layout()
        if layout is None or not layout.hasHeightForWidth():
            return -1
        return layout.totalMinimumHeightForWidth(width)


class _Area(QScrollArea):
    """Scrolls its page, would like to be as large as that, and can be small."""

    def __init__(self, page: QWidget, parent: QWidget) -> None:
        super().__init__(parent)
        self._page = page
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setWidget(page)
        # The dialog's own ground, in place of one of its own.
        self.viewport().setAutoFillBackground(False)
        page.setAutoFillBackground(False)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    # Qt's own names from here on.

    def sizeHint(self) -> QSize:
        return self._page.sizeHint()

    def minimumSizeHint(self) -> QSize:
        bar = self.verticalScrollBar().sizeHint().width()
        least = self._page.minimumSizeHint()
        lines = LEAST_LINES * self.fontMetrics().height()
        return QSize(min(least.width(), lines) + bar, min(least.height(), lines))


def plain_box(
    parent: QWidget | None, icon: QMessageBox.Icon, title: str, text: str, details: str = ""
) -> FittedBox:
    """A box that tells or asks; its text may hold a name out of a file: none of it is markup."""
    box = FittedBox(parent)
    box.setIcon(icon)
    box.setWindowTitle(title)
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setText(breakable(text))
    if details:
        box.setDetailedText(details)
    return box


def tell(
    parent: QWidget | None, text: str, *, details: str = "", over: QWidget | None = None
) -> None:
    """Tell something that went wrong; its text and details can be copied.

    Args:
        parent: what the box stands over, and goes with.
        details: shown when asked for.
        over: what the box only stands over, instead of a parent: it does not learn of the box.
    """
    name = QGuiApplication.applicationDisplayName()
    box = plain_box(parent, FittedBox.Icon.Warning, name, text, details)
    close = box.addButton(FittedBox.StandardButton.Close)
    copy = box.addButton(tr("Copy"), FittedBox.ButtonRole.ActionRole)
    # Copying must not close the box: the button's own way there is cut.
    copy.clicked.disconnect()
    copy.clicked.connect(
        lambda: QGuiApplication.clipboard().setText(
            "\n\n".join(filter(None, (text, details))).replace(NO_BREAK, " ")
        )
    )
    box.setDefaultButton(close)
    box.setEscapeButton(close)
    if over is not None and over.windowHandle() is not None:
        box.winId()  # makes its window
        box.windowHandle().setTransientParent(over.windowHandle())
    box.exec()
    if isValid(box):  # not if what it stands over was taken away meanwhile
        box.deleteLater()


def choose(
    over: QWidget,
    title: str,
    text: str,
    answers: Mapping[Reply, str],
    more: str = "",
    *,
    usual: Reply | None = None,
    details: str = "",
) -> Reply:
    """Ask with one button per answer. Esc gives the last one, Enter the usual or first.

    `details` stand behind a button: they help whoever helps the maker.
    """
    box = plain_box(over, FittedBox.Icon.Question, title, text, details)
    box.setInformativeText(breakable(more))
    last = list(answers)[-1]
    accept, reject = FittedBox.ButtonRole.AcceptRole, FittedBox.ButtonRole.RejectRole
    buttons = {
        each: box.addButton(told, reject if each is last else accept)
        for each, told in answers.items()
    }
    box.setEscapeButton(buttons[last])
    box.setDefaultButton(buttons[usual or next(iter(answers))])
    box.exec()
    clicked = box.clickedButton()
    box.deleteLater()
    return next((each for each, button in buttons.items() if button is clicked), last)


def ask_to_give_up(dialog: QWidget) -> bool:
    """Ask whether what was changed is given up; Enter, Esc and closing the box mean no."""
    chosen = choose(
        dialog,
        tr("Layers and materials"),
        tr("Discard the changes made here?"),
        {Unsaved.DISCARD: tr("&Discard changes"), Unsaved.CANCEL: tr("Go on &editing")},
        tr("Layers, other materials, notions and your own materials then stay as they were."),
        usual=Unsaved.CANCEL,
    )
    return chosen is Unsaved.DISCARD
