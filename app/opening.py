"""The page that stands where the window will be, while the program is still loading.

It needs Qt and nothing of ours, so that it shows at once; on a cold disk the rest takes
seconds. The flat pieces come next, where the window will have them; then the window comes up
in the same place and takes them over.
"""

from PySide6.QtCore import QByteArray, QCoreApplication, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QFont, QIcon, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

START_SIZE = QSize(1400, 900)
"""Size of the window at the first start."""
START_PLACE = QRect(373, 54, 585, 634)
"""Where the window has the flat pieces at the first start."""
_ICON = 96.0


class Opening(QWidget):
    """Icon and name on a blank page, in the place of the window.

    Args:
        icon: the program's icon.
        geometry: where the window was last; None at the first start.
    """

    def __init__(self, icon: QIcon, geometry: QByteArray | None) -> None:
        super().__init__()
        self._icon = icon
        self._pane: QWidget | None = None
        self._words = QCoreApplication.translate("Opening", "Laying out the bag…")
        self.setWindowTitle(self._words)
        self.setAccessibleName(self._words)
        self.resize(START_SIZE)
        if geometry is not None:
            self.restoreGeometry(geometry)

    def show_pieces(self, pane: QWidget, place: QRect | None) -> None:
        """Show the flat pieces; the icon and the words make room for them.

        Args:
            pane: what shows them, until somebody else takes it.
            place: where the window had them last; None at the first start.
        """
        for room in (place, START_PLACE):
            if room is not None and self.rect().contains(room):
                pane.setParent(self)
                pane.setGeometry(room)
                # Who takes it gives it a size of its own, whatever it had here.
                pane.setAttribute(Qt.WidgetAttribute.WA_Resized, False)
                pane.show()
                self._pane = pane
                self.update()
                return

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        room = QRectF(self.rect())
        if self._pane is not None:
            room.setRight(max(self._pane.x(), _ICON))
        middle = room.center()
        place = QRectF(middle.x() - _ICON / 2, middle.y() - _ICON, _ICON, _ICON)
        self._icon.paint(painter, place.toRect())
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 1.3)
        painter.setFont(font)
        painter.setPen(self.palette().windowText().color())
        below = QRectF(room.left(), middle.y() + 16.0, room.width(), 60.0)
        painter.drawText(
            below, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop, self._words
        )
