"""The page that stands where the window will be, while the program is still loading.

It needs Qt and next to nothing of ours, so that it shows at once; on a cold disk the rest takes
seconds. The flat pieces come next, where the window will have them; then the window comes up
in the same place and takes them over.
"""

from PySide6.QtCore import QByteArray, QCoreApplication, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QFont, QIcon, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.screen_room import bring_within, room_for

MEASURES_WIDTH = 368
"""Of the window's left column at the first start, px."""
BELOW_HEIGHT = 184
"""Of what lies below the drawings at the first start, px."""
DRAWING_SHARES = (585, 437)
"""How flat pieces and fold preview share the width at the first start."""
_ABOVE, _UNDER, _GAP = 54, 23, 5
"""Menus and toolbar, status line, and the handle between two panes, px."""
_ICON = 96.0


def start_place(size: QSize) -> QRect:
    """About where a window of this size has the flat pieces at the first start, px."""
    left = MEASURES_WIDTH + _GAP
    shared = size.width() - left - _GAP
    width = shared * DRAWING_SHARES[0] // sum(DRAWING_SHARES)
    height = size.height() - _ABOVE - _GAP - BELOW_HEIGHT - _UNDER
    return QRect(left, _ABOVE, width, height)


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
        self._words = QCoreApplication.translate("Opening", "Opening the bag…")
        self.setWindowTitle(self._words)
        self.setAccessibleName(self._words)
        self.setGeometry(room_for(self))
        if geometry is not None:
            self.restoreGeometry(geometry)
            bring_within(self)

    def show_pieces(self, pane: QWidget, place: QRect | None) -> None:
        """Show the flat pieces; the icon and the words make room for them.

        Args:
            pane: what shows them, until somebody else takes it.
            place: where the window had them last; None at the first start.
        """
        for room in (place, start_place(self.size())):
            if room is not None and not room.isEmpty() and self.rect().contains(room):
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
