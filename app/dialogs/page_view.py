"""The pages of a PDF on the screen: one page at a time, fitted, as sharp as the screen."""

import logging
from collections import OrderedDict
from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QSizePolicy, QWidget

_KEPT = 12
"""Rendered pages that are kept, so that turning back costs nothing."""
_EDGE = 12.0
_log = logging.getLogger("cornerwright")
Shown = TypeVar("Shown")
_SHADOW = 3.0


class PageView(QWidget):
    """Shows one page of a PDF, as large as fits; `page` is counted from 0."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._data = b""
        self._sizes: list[tuple[float, float]] = []
        self.page = 0
        self._is_broken = False
        self._images: OrderedDict[tuple[int, int], QImage] = OrderedDict()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(self.tr("Preview of the page"))

    @property
    def count(self) -> int:
        """Pages in the file shown."""
        return len(self._sizes)

    def show_file(self, data: bytes | None) -> None:
        """Show another file from its first page; None shows nothing."""
        self._data = data or b""
        self._images.clear()
        self._is_broken = False
        self._sizes = [] if data is None else self._tried(lambda: _page_sizes(data), [])
        self.page = 0
        self.update()

    def show_page(self, page: int) -> None:
        """Turn to a page, counted from 0."""
        if 0 <= page < self.count and page != self.page:
            self.page = page
            self.update()

    def sheet(self) -> QRectF:
        """Where the page lies in this widget, px."""
        width, height = self._sizes[self.page]
        room = QRectF(self.rect()).adjusted(_EDGE, _EDGE, -_EDGE, -_EDGE)
        scale = max(min(room.width() / width, room.height() / height), 0.0)
        sheet = QRectF(0.0, 0.0, scale * width, scale * height)
        sheet.moveCenter(room.center())
        return sheet

    def _tried(self, read: Callable[[], Shown], nothing: Shown) -> Shown:
        """What the reader of pages gives; `nothing` of a file that it cannot read."""
        try:
            return read()
        except Exception as error:  # an error must not leave a painter, or older pages, behind
            self._is_broken = True
            _log.critical("unexpected error in a preview", exc_info=error)
            return nothing

    def _image(self, pixels: int) -> QImage:
        """The page in this many device pixels across; a null one of a page that is broken."""
        key = (self.page, pixels)
        found = self._images.get(key)
        if found is None:
            found = self._tried(lambda: _render(self._data, self.page, pixels), QImage())
            self._images[key] = found
            while len(self._images) > _KEPT:
                self._images.popitem(last=False)
        return found

    def _paint(self, painter: QPainter) -> None:
        painter.fillRect(self.rect(), self.palette().color(QPalette.ColorRole.Mid))
        if not self.count:
            self._say(painter, self.tr("There are no pages to show."))
            return
        sheet = self.sheet()
        if sheet.width() < 1.0:
            return
        painter.fillRect(sheet.translated(_SHADOW, _SHADOW), QColor(0, 0, 0, 70))
        ratio = self.devicePixelRatioF()
        # On whole device pixels, so that the image is shown one to one.
        left, top = round(sheet.left() * ratio) / ratio, round(sheet.top() * ratio) / ratio
        image = self._image(max(round(sheet.width() * ratio), 1))
        size = QRectF(left, top, image.width() / ratio, image.height() / ratio)
        painter.drawImage(size, image)
        if image.isNull():
            self._say(painter, "")

    def _say(self, painter: QPainter, text: str) -> None:
        if self._is_broken:
            text = self.tr(
                "The page cannot be shown: something went wrong in the program. The details are "
                "in its log."
            )
        painter.setPen(self.palette().color(QPalette.ColorRole.WindowText))
        place = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        painter.drawText(self.rect(), place, text)

    # Qt's own names from here on.

    def sizeHint(self) -> QSize:
        return QSize(560, 620)

    def minimumSizeHint(self) -> QSize:
        return QSize(220, 240)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        self._paint(painter)
        painter.end()  # at once, whoever still holds the frame of an error


def _page_sizes(data: bytes) -> list[tuple[float, float]]:
    """(width, height) of each page, points."""
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    try:
        return [document.get_page_size(index) for index in range(len(document))]
    finally:
        document.close()


def _render(data: bytes, page: int, pixels: int) -> QImage:
    """One page, `pixels` wide. The reader is not thread-safe: GUI thread only."""
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    try:
        sheet = document[page]
        bitmap = sheet.render(scale=pixels / sheet.get_width(), rev_byteorder=True)
        if bitmap.n_channels == 4:
            form = QImage.Format.Format_RGBX8888
        elif bitmap.n_channels == 3:
            form = QImage.Format.Format_RGB888
        else:
            form = QImage.Format.Format_Grayscale8
        buffer = bytes(bitmap.buffer)
        return QImage(buffer, bitmap.width, bitmap.height, bitmap.stride, form).copy()
    finally:
        document.close()
