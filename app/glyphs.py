"""Small line drawings for the toolbar, drawn here and coloured by the palette."""

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
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

GRID = 20.0
"""Every glyph is drawn on a square of so many units."""
SIZES = (20, 30, 40, 60)
"""Pixels at which glyphs are drawn: one to three device pixels per unit."""
STROKE = 1.6

Strokes = Callable[[], QPainterPath]


def _path(*lines: tuple[tuple[float, float], ...], closed: bool = False) -> QPainterPath:
    path = QPainterPath()
    for points in lines:
        path.addPolygon(QPolygonF([QPointF(x, y) for x, y in points]))
        if closed:
            path.closeSubpath()
    return path


def _open() -> QPainterPath:
    """A folder with its lid ajar."""
    return _path(
        ((3, 16), (3, 4.5), (8, 4.5), (9.8, 6.8), (15.5, 6.8), (15.5, 9.2)),
        ((3, 16), (5.6, 9.2), (18, 9.2), (15.4, 16), (3, 16)),
    )


def _save() -> QPainterPath:
    """An arrow into a tray."""
    return _path(
        ((10, 3), (10, 12)),
        ((6.4, 8.6), (10, 12.2), (13.6, 8.6)),
        ((3.5, 12.5), (3.5, 16.5), (16.5, 16.5), (16.5, 12.5)),
    )


def _undo() -> QPainterPath:
    """A line that turns back to the left."""
    path = _path(((7, 4), (3.4, 7.6), (7, 11.2)))
    path.moveTo(3.4, 7.6)
    path.lineTo(12, 7.6)
    path.arcTo(QRectF(8, 7.6, 8.4, 8.4), 90, -180)
    path.lineTo(7.5, 16)
    return path


def _redo() -> QPainterPath:
    """The same, to the right."""
    path = _path(((13, 4), (16.6, 7.6), (13, 11.2)))
    path.moveTo(16.6, 7.6)
    path.lineTo(8, 7.6)
    path.arcTo(QRectF(3.6, 7.6, 8.4, 8.4), 90, 180)
    path.lineTo(12.5, 16)
    return path


def _fit() -> QPainterPath:
    """Four corners around a sheet."""
    corners = _path(
        ((3, 7), (3, 3), (7, 3)),
        ((13, 3), (17, 3), (17, 7)),
        ((17, 13), (17, 17), (13, 17)),
        ((7, 17), (3, 17), (3, 13)),
    )
    corners.addRect(QRectF(7, 7, 6, 6))
    return corners


def _print() -> QPainterPath:
    """A sheet with a measured edge."""
    return _path(
        ((5, 3), (12, 3), (15.5, 6.5), (15.5, 17), (5, 17), (5, 3)),
        ((12, 3), (12, 6.5), (15.5, 6.5)),
        ((5, 8), (7.6, 8)),
        ((5, 11), (9, 11)),
        ((5, 14), (7.6, 14)),
    )


def _ruler() -> QPainterPath:
    """A ruler with its steps."""
    path = _path(
        ((5.5, 6.5), (5.5, 10.5)),
        ((8.5, 6.5), (8.5, 9)),
        ((11.5, 6.5), (11.5, 10.5)),
        ((14.5, 6.5), (14.5, 9)),
    )
    path.addRect(QRectF(2.5, 6.5, 15, 8))
    return path


GLYPHS: dict[str, Strokes] = {
    "open": _open,
    "save": _save,
    "undo": _undo,
    "redo": _redo,
    "fit": _fit,
    "print": _print,
    "ruler": _ruler,
}


def glyph(name: str, palette: QPalette) -> QIcon:
    """The icon of one glyph, for enabled and disabled buttons."""
    path = GLYPHS[name]()
    icon = QIcon()
    for mode, group in (
        (QIcon.Mode.Normal, QPalette.ColorGroup.Active),
        (QIcon.Mode.Disabled, QPalette.ColorGroup.Disabled),
    ):
        colour = palette.color(group, QPalette.ColorRole.ButtonText)
        for size in SIZES:
            icon.addPixmap(_drawn(path, size, colour), mode)
    return icon


def _drawn(path: QPainterPath, size: int, colour: QColor) -> QPixmap:
    pixmap = QPixmap(size, size)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(size / GRID, size / GRID)
    pen = QPen(colour, STROKE)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.drawPath(path)
    painter.end()
    return pixmap
