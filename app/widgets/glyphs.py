"""Signs on buttons, drawn in the palette's colours at the pixels that they are shown at."""

from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import (
    QColor,
    QIcon,
    QPainter,
    QPainterPath,
    QPalette,
    QPen,
    QPixmap,
    QPolygonF,
)
from PySide6.QtWidgets import QToolButton

GRID = 20.0
"""Every glyph is drawn on a square of so many units."""
STROKE = 1.6


def outline(*lines: tuple[tuple[float, float], ...], closed: bool = False) -> QPainterPath:
    """A path through points of the grid, y down."""
    path = QPainterPath()
    for points in lines:
        path.addPolygon(QPolygonF([QPointF(x, y) for x, y in points]))
        if closed:
            path.closeSubpath()
    return path


def glyph(path: QPainterPath, palette: QPalette, size: int, *, filled: bool = False) -> QIcon:
    """The icon of one glyph, for enabled and disabled buttons; `size` is device pixels."""
    icon = QIcon()
    for mode, group in (
        (QIcon.Mode.Normal, QPalette.ColorGroup.Active),
        (QIcon.Mode.Disabled, QPalette.ColorGroup.Disabled),
    ):
        colour = palette.color(group, QPalette.ColorRole.ButtonText)
        icon.addPixmap(_drawn(path, size, colour, filled=filled), mode)
    return icon


def _drawn(path: QPainterPath, size: int, colour: QColor, *, filled: bool) -> QPixmap:
    pixmap = QPixmap(size, size)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(size / GRID, size / GRID)
    if filled:
        painter.fillPath(path, colour)
    else:
        pen = QPen(colour, STROKE)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        painter.drawPath(path)
    painter.end()
    return pixmap


PLAY = ((4, 3), (17, 10), (4, 17))
STOP = ((4, 4), (16, 4), (16, 16), (4, 16))


class PlayButton(QToolButton):
    """A button that starts something, or stops it while it runs.

    The style's own signs are black also on a dark ground; and to name `QStyle` would make eleven
    enums before the window shows.
    """

    _running = False

    def show_running(self, *, running: bool) -> None:
        """Show the sign of what a click does."""
        self._running = running
        path = outline(STOP if running else PLAY, closed=True)
        size = round(self.iconSize().width() * self.devicePixelRatioF())
        self.setIcon(glyph(path, self.palette(), size, filled=True))

    # Qt's own names from here on.

    def event(self, event: QEvent) -> bool:
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.DevicePixelRatioChange):
            self.show_running(running=self._running)
        return super().event(event)
