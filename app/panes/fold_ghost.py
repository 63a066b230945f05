"""The bag that the work started from: a faint outline in the same state, over the present bag."""

from itertools import pairwise, starmap
from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from app.panes.fold_scene import HANDLES, View
from app.panes.look import Look

if TYPE_CHECKING:
    from app.panes.skin_scene import SkinView

Pixel = tuple[float, float]

_FAINT = 0.85


def folded_ghost(view: View) -> QPainterPath:
    """Around all of the wall that is seen of a folding bag."""
    outline = QPainterPath()
    outline.setFillRule(Qt.FillRule.WindingFill)
    for zone, spans in zip(view.catalogue.zones, view.catalogue.outlines, strict=True):
        if zone in HANDLES or zone not in view.order:
            continue
        for start, end in spans:
            corners = _same_way_round(view.pixels[start:end])
            outline.addPolygon(QPolygonF(list(starmap(QPointF, corners))))
    return outline.simplified()


def paint_folded_ghost(painter: QPainter, ghost: QPainterPath, look: Look) -> None:
    """The outline of the folding bag, as `folded_ghost` gives it."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(_pen(look))
    painter.drawPath(ghost)


def _same_way_round(corners: list[Pixel]) -> list[Pixel]:
    """Closed, and in one sense, so that overlapping shapes add up to one."""
    closed = [*corners, corners[0]]
    twice = sum(x0 * y1 - y0 * x1 for (x0, y0), (x1, y1) in pairwise(closed))
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
