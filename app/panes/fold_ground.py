"""The ground that the bag stands on."""

from functools import lru_cache

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QRadialGradient, QTransform

from app.panes.fold_camera import Camera


def soft_ellipse(
    painter: QPainter,
    camera: Camera,
    half: tuple[float, float],
    colour: QColor,
    strength: float,
) -> None:
    """A shadow on the ground about the origin, as the eye sees it lie.

    It lies as it would without perspective, which a soft edge does not show and which is
    filled three times as quickly.
    """
    points = np.array([[0, 0, 0], [half[0], 0, 0], [0, half[1], 0]], dtype=float)
    (x, y, _), across, along = camera.project(points).tolist()
    transform = QTransform(across[0] - x, across[1] - y, along[0] - x, along[1] - y, x, y)
    if abs(transform.determinant()) < 1.0:
        return  # seen edge-on: the ground is a line
    painter.save()
    painter.setTransform(transform, True)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(_soft(colour.rgba(), round(strength * 64)))
    painter.drawEllipse(QPointF(0, 0), 1.0, 1.0)
    painter.restore()


@lru_cache(maxsize=200)
def _soft(rgba: int, strength: int) -> QBrush:
    """Darkest in the middle of the unit circle; the strength is in sixty-fourths."""
    gradient = QRadialGradient(QPointF(0, 0), 1.0)
    for stop, share in ((0.0, 1.0), (0.6, 0.95), (0.72, 0.6), (0.86, 0.2), (1.0, 0.0)):
        shade = QColor.fromRgba(rgba)
        shade.setAlphaF(shade.alphaF() * share * strength / 64)
        gradient.setColorAt(stop, shade)
    return QBrush(gradient)
