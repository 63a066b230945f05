"""The page that stands where the window will be, while the program is still loading.

It needs Qt and nothing of ours, so that it shows at once; on a cold disk the rest takes
seconds. The window comes up in the same place and takes it away.
"""

from PySide6.QtCore import QByteArray, QCoreApplication, QRectF, QSize, Qt
from PySide6.QtGui import QFont, QIcon, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

START_SIZE = QSize(1400, 900)
"""Size of the window at the first start."""
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
        self._words = QCoreApplication.translate("Opening", "Laying out the bag…")
        self.setWindowTitle(self._words)
        self.setAccessibleName(self._words)
        self.resize(START_SIZE)
        if geometry is not None:
            self.restoreGeometry(geometry)

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        middle = QRectF(self.rect()).center()
        place = QRectF(middle.x() - _ICON / 2, middle.y() - _ICON, _ICON, _ICON)
        self._icon.paint(painter, place.toRect())
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 1.3)
        painter.setFont(font)
        painter.setPen(self.palette().windowText().color())
        below = QRectF(0.0, middle.y() + 16.0, float(self.width()), 60.0)
        painter.drawText(
            below, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop, self._words
        )
