"""The help window: contents and search on the left, the page on the right."""

from functools import partial

from PySide6.QtCore import QEvent, QObject, QSize, Qt, QUrl, Signal
from PySide6.QtGui import (
    QColor,
    QDesktopServices,
    QImage,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPalette,
    QPixmap,
    QResizeEvent,
    QShortcut,
    QShowEvent,
    QTextDocument,
)
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QSplitter,
    QTextBrowser,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.help.drawings import Drawings
from app.help.page import Page, native, page_html
from app.help.search import Hit, all_pages, find, places
from app.help.topics import Topic
from app.session.display import Display, translated
from app.widgets.desktop import bring_within, within
from app.widgets.layouts import holding, spaced
from app.widgets.record_painter import paint_picture
from app.widgets.theme import DrawingTheme, change_colour
from core.base.sentences import plural, say

SCHEME = "help"
PICTURE = "help-picture"
LETTERS, LINES = 104, 38
"""Wanted size of the window, in letters and lines: larger fonts get a larger window."""
SIDE_LETTERS = 30
PIXELS = 3.4
"""Of a drawing, for one mm of its paper, where letters are 16 px high."""
USUAL_HEIGHT = 16.0
ADDRESS = Qt.ItemDataRole.UserRole


class HelpText(QTextBrowser):
    """Shows the pages, whose text and drawings are made when they are asked for."""

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self.pages = all_pages()
        self.setFrameShape(QTextBrowser.Shape.NoFrame)
        self.setOpenLinks(False)
        self.document().setDocumentMargin(14)
        self._restyle()
        display.changed.connect(self._show_again)

    @property
    def page(self) -> Page:
        return self.pages[_topic_of(self.source())]

    def show_address(self, address: str) -> None:
        url = QUrl(f"{SCHEME}:{address}")
        if url != self.source():
            self.setSource(url, QTextDocument.ResourceType.HtmlResource)
        elif url.hasFragment():
            self.scrollToAnchor(url.fragment())

    def _restyle(self) -> None:
        colour = change_colour(self.palette()).name()
        self.document().setDefaultStyleSheet(
            f"a {{ color: {colour}; }} li {{ margin-bottom: 5px; }}"
        )

    def _show_again(self) -> None:
        if not self.source().isEmpty():
            before = self.verticalScrollBar().value()
            self.reload()
            self.verticalScrollBar().setValue(before)

    def _drawing(self, name: str) -> QPixmap:
        """A drawing in the window's colours, as large as its letters ask for."""
        drawings = Drawings(show=self._display.length, translate=translated)
        picture = drawings.picture(name)
        scale = PIXELS * max(self.fontMetrics().height() / USUAL_HEIGHT, 1.0)
        ratio = self.devicePixelRatioF()
        size = QSize(round(picture.width * scale * ratio), round(picture.height * scale * ratio))
        image = QImage(size, QImage.Format.Format_ARGB32_Premultiplied)
        image.setDevicePixelRatio(ratio)
        image.fill(QColor(Qt.GlobalColor.transparent))
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self.font())
        paint_picture(painter, picture, scale, DrawingTheme.for_palette(self.palette()))
        painter.end()
        return QPixmap.fromImage(image)

    # Qt's own names from here on.

    def loadResource(self, kind: int, name: QUrl | str) -> object:
        name = QUrl(name)
        if name.scheme() == SCHEME:
            return page_html(self.pages[_topic_of(name)], self._display)
        if name.scheme() == PICTURE:
            return self._drawing(name.path())
        return None

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            self._restyle()
            self._show_again()


class HelpWindow(QDialog):
    """One window for all of the help; it stands beside the bag and stops nothing.

    `address` is that of the page that is shown, with its place.

    Signals:
        shown(str): another address is shown.
    """

    shown = Signal(str)

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent, Qt.WindowType.Window)
        self._display = display
        self.address = ""
        self.setWindowTitle(self.tr("Help"))
        self.text = HelpText(display, self)
        self.field = QLineEdit(self)
        self.list = QListWidget(self)
        self.told = QLabel(self)
        self.back = self._button("←", self.tr("Back"), QKeySequence.StandardKey.Back)
        self.forward = self._button("→", self.tr("Forward"), QKeySequence.StandardKey.Forward)
        self._build()
        self._fill()

    def show_address(self, address: str) -> None:
        self.text.show_address(address)
        self.text.setFocus()

    def look_for(self, typed: str) -> None:
        self.field.setText(typed)
        self.field.setFocus()

    def _button(self, sign: str, name: str, key: QKeySequence.StandardKey) -> QToolButton:
        button = QToolButton(self)
        button.setText(sign)
        button.setAccessibleName(name)
        button.setAutoRaise(True)
        bound = QKeySequence.keyBindings(key)
        shown = f" ({native(bound[0])})" if bound else ""
        button.setToolTip(f"{name}{shown}")
        for each in bound:
            if each.toString() != "Backspace":  # it is for the search field
                QShortcut(each, self).activated.connect(button.click)
        return button

    def _build(self) -> None:
        self._build_search()
        self.text.setAccessibleName(self.tr("Page"))
        self.text.setWhatsThis(self.tr("The page. Tab goes from link to link, Enter follows one."))
        self.text.anchorClicked.connect(self._on_link)
        self.text.sourceChanged.connect(self._on_source_change)
        self.text.backwardAvailable.connect(self.back.setEnabled)
        self.text.forwardAvailable.connect(self.forward.setEnabled)
        self.back.clicked.connect(self.text.backward)
        self.forward.clicked.connect(self.text.forward)
        for button in (self.back, self.forward):
            button.setEnabled(False)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close, self)
        buttons.rejected.connect(self.reject)
        close = buttons.button(QDialogButtonBox.StandardButton.Close)
        close.setAutoDefault(False)
        close.setToolTip(self.tr("Close the help; the page is remembered."))
        head = spaced(QHBoxLayout(), around=(8, 8, 8, 0))
        holding(head, self.back, self.forward, self.field, buttons)
        head.setStretchFactor(self.field, 1)
        side = QWidget(self)
        column = spaced(QVBoxLayout(side), around=(8, 0, 0, 8))
        holding(column, self.told).addWidget(self.list, 1)
        self.split = QSplitter(self)
        self.split.addWidget(side)
        self.split.addWidget(self.text)
        self.split.setStretchFactor(1, 1)
        holding(spaced(QVBoxLayout(self)), head).addWidget(self.split, 1)
        QWidget.setTabOrder(self.field, self.list)
        QWidget.setTabOrder(self.list, self.text)
        self._take_room()

    def _build_search(self) -> None:
        self.field.setPlaceholderText(self.tr("Search the help"))
        self.field.setAccessibleName(self.tr("Search the help"))
        self.field.setWhatsThis(
            self.tr("Type words, or how they begin: every place that has all of them is listed.")
        )
        self.field.setClearButtonEnabled(True)
        self.field.textChanged.connect(self._fill)
        self.field.returnPressed.connect(self._on_return)
        self.field.installEventFilter(self)
        self.list.setAccessibleName(self.tr("Pages"))
        self.list.setWhatsThis(self.tr("All pages, or what the search has found, the best first."))
        self.list.setWordWrap(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.itemActivated.connect(self._on_chosen)
        self.list.itemClicked.connect(self._on_chosen)
        self.list.currentItemChanged.connect(self._tint)
        self.told.setWordWrap(True)
        QShortcut(QKeySequence(QKeySequence.StandardKey.Find), self).activated.connect(
            partial(self.field.setFocus, Qt.FocusReason.ShortcutFocusReason)
        )

    def _take_room(self) -> None:
        letter, line = self.fontMetrics().averageCharWidth(), self.fontMetrics().height()
        wanted = QSize(LETTERS * letter, LINES * line)
        self.resize(within(wanted, self))
        self.split.setSizes([SIDE_LETTERS * letter, (LETTERS - SIDE_LETTERS) * letter])

    def _fill(self) -> None:
        """The contents, or what the search has found."""
        typed = self.field.text()
        self.list.clear()
        if not typed.strip():
            self.told.setText(self.tr("Contents"))
            for topic, page in self.text.pages.items():
                self._add(translated(page.title), topic.value)
            self._mark_page()
            return
        hits = find(typed, places(self.text.pages, self._display))
        if not hits:
            none = self.tr("Nothing is found. Try fewer letters, or another word for it.")
            self.told.setText(none)
            return
        counted = say(plural("1 place", "{count} places"), numbers={"count": len(hits)})
        self.told.setText(counted.text(translate=translated))
        for hit in hits:
            self._add_hit(hit)
        self.list.setCurrentRow(0)
        self._tint(self.list.item(0), None)

    def _add(self, words: str, address: str) -> QListWidgetItem:
        item = QListWidgetItem(words, self.list)
        item.setData(ADDRESS, address)
        return item

    def _add_hit(self, hit: Hit) -> None:
        """One place: where it stands, and some of what stands there."""
        place = hit.place
        head = f"{place.title}: {place.heading}" if place.heading else place.title
        item = self._add("", place.address)
        item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{head}. {_bare(hit.snippet)}")
        label = QLabel(f"<b>{head}</b><br>{hit.snippet}", self.list)
        label.setWordWrap(True)
        label.setMargin(4)
        label.setForegroundRole(QPalette.ColorRole.Text)
        label.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        bar = self.list.verticalScrollBar().sizeHint().width()
        wide = max(self.list.width() - bar - 2 * self.list.frameWidth(), 120)
        item.setSizeHint(QSize(wide, label.heightForWidth(wide) + 2))
        self.list.setItemWidget(item, label)

    def _mark_page(self) -> None:
        topic = self.address.partition("#")[0]
        for row in range(self.list.count()):
            if self.list.item(row).data(ADDRESS) == topic:
                self.list.setCurrentRow(row)

    def _tint(self, now: QListWidgetItem | None, before: QListWidgetItem | None) -> None:
        """The words of the chosen place stand on the colour of the choice."""
        for item, role in (
            (before, QPalette.ColorRole.Text),
            (now, QPalette.ColorRole.HighlightedText),
        ):
            label = None if item is None else self.list.itemWidget(item)
            if label is not None:
                label.setForegroundRole(role)

    def _on_return(self) -> None:
        item = self.list.currentItem()
        if self.field.text().strip() and item is not None:
            self._on_chosen(item)

    def _on_chosen(self, item: QListWidgetItem) -> None:
        self.show_address(item.data(ADDRESS))

    def _on_link(self, url: QUrl) -> None:
        if url.scheme() == SCHEME:
            self.text.show_address(url.toString().removeprefix(f"{SCHEME}:"))
        else:
            QDesktopServices.openUrl(url)

    def _on_source_change(self, url: QUrl) -> None:
        if url.isEmpty():  # on the way to the same page shown again
            return
        self.address = url.toString().removeprefix(f"{SCHEME}:")
        page = self.text.pages[_topic_of(url)]
        self.setWindowTitle(self.tr("{page} – Help").format(page=translated(page.title)))
        if not self.field.text().strip():
            self._mark_page()
        self.shown.emit(self.address)

    # Qt's own names from here on.

    def showEvent(self, event: QShowEvent) -> None:
        bring_within(self)
        super().showEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self.field.text().strip():
            chosen = self.list.currentRow()
            self._fill()
            self.list.setCurrentRow(chosen)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if (
            watched is self.field
            and isinstance(event, QKeyEvent)
            and event.type() is QEvent.Type.KeyPress
        ):
            if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up, Qt.Key.Key_PageDown):
                self.list.setFocus()
                return True
            if event.key() == Qt.Key.Key_Escape and self.field.text():
                self.field.clear()
                return True
        return super().eventFilter(watched, event)


def _topic_of(url: QUrl) -> Topic:
    return Topic(url.path())


def _bare(snippet: str) -> str:
    return snippet.replace("<b>", "").replace("</b>", "")
