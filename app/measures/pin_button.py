"""The pin of a row: pushed in, the figure stays as it is when another one is typed."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import QAbstractButton, QWidget

from app.theme import change_colour, highlight_wash, muted_colour

SIDE = 22
"""Width and height, px."""
LEANING = 38.0
"""Degrees by which a pin that is not pushed in lies on its side."""


class PinButton(QAbstractButton):
    """Upright and full when pinned, leaning and hollow when free: told apart by shape."""

    def __init__(self, label: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._label = label
        self._tips = ("", "")
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setFixedSize(SIDE, SIDE)
        self.set_tips(
            self.tr("Free: this may change when another finished size is typed. Click to pin it."),
            self.tr("Pinned: this stays when another finished size is typed. Click to release it."),
        )
        self.setAccessibleName(self.tr("Pin {figure}").format(figure=label))
        self.toggled.connect(self._tell)

    def set_tips(self, free: str, pinned: str) -> None:
        """What the tooltip says in either state."""
        self._tips = (free, pinned)
        self._tell()

    def show_pinned(self, pinned: bool) -> None:
        """Show a state."""
        if pinned is not self.isChecked():
            self.setChecked(pinned)

    def _tell(self) -> None:
        tip = self._tips[self.isChecked()]
        self.setToolTip(tip)
        self.setAccessibleDescription(tip)

    # Qt's own names from here on.

    def sizeHint(self) -> QSize:
        return QSize(SIDE, SIDE)

    def paintEvent(self, event: QPaintEvent) -> None:
        palette, pinned = self.palette(), self.isChecked()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        around = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        if self.underMouse() and self.isEnabled():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(highlight_wash(palette))
            painter.drawRoundedRect(around, 4, 4)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(palette.color(QPalette.ColorRole.Highlight), 1.5))
            painter.drawRoundedRect(around, 4, 4)
        painter.translate(around.center())
        painter.rotate(0.0 if pinned else LEANING)
        colour = change_colour(palette) if pinned else muted_colour(palette)
        painter.setPen(QPen(colour, 1.4, c=Qt.PenCapStyle.RoundCap, j=Qt.PenJoinStyle.RoundJoin))
        painter.setBrush(colour if pinned else Qt.BrushStyle.NoBrush)
        painter.drawPath(_head())
        painter.drawLine(QPointF(0, 2.2), QPointF(0, 7.4))
        painter.end()


def _head() -> QPainterPath:
    """A drawing pin from the side: cap, neck and collar above its point, around (0, 0)."""
    path = QPainterPath()
    path.addRoundedRect(QRectF(-3.6, -7.4, 7.2, 2.4), 1.0, 1.0)
    path.moveTo(-2.2, -5.0)
    path.lineTo(-2.2, -2.0)
    path.lineTo(-5.0, 1.2)
    path.lineTo(-5.0, 2.2)
    path.lineTo(5.0, 2.2)
    path.lineTo(5.0, 1.2)
    path.lineTo(2.2, -2.0)
    path.lineTo(2.2, -5.0)
    return path
