"""The bag that the work started from: a faint outline in the same state, over the present bag."""

from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from app.panes.fold_scene import HANDLES, View
from app.panes.look import Look

if TYPE_CHECKING:
    from app.panes.skin_scene import SkinView

_FAINT = 0.85


def paint_folded_ghost(painter: QPainter, view: View, look: Look) -> None:
    """Around all of the wall that is seen of a folding bag."""
    outline = QPainterPath()
    outline.setFillRule(Qt.FillRule.WindingFill)
    for zone, spans in zip(view.catalogue.zones, view.catalogue.outlines, strict=True):
        if zone in HANDLES or zone not in view.order:
            continue
        for start, end in spans:
            outline.addPolygon(QPolygonF(_same_way_round(view.pixels[start:end])))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(_pen(look))
    painter.drawPath(outline.simplified())


def _same_way_round(corners: list[QPointF]) -> list[QPointF]:
    """Closed, and in one sense, so that overlapping shapes add up to one."""
    closed = [*corners, corners[0]]
    twice = sum(one.x() * other.y() - one.y() * other.x() for one, other in pairwise(closed))
    return closed if twice > 0.0 else closed[::-1]


def paint_skin_ghost(painter: QPainter, view: "SkinView", look: Look) -> None:
    """Where the wall turns away from the eye."""
    lines = view.seen[view.outline][..., :2].reshape(-1, 4).tolist()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(_pen(look))
    painter.drawLines([QLineF(*line) for line in lines])


def _pen(look: Look) -> QPen:
    colour = QColor(look.starting)
    colour.setAlphaF(_FAINT)
    pen = QPen(colour, look.line)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    return pen
