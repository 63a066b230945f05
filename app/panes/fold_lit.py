"""On the folding bag: what a sewing step works on, lit."""

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.lit import Lit
from app.panes.fold_notes import Seen
from app.panes.fold_scene import View
from app.panes.look import Look
from core.solid.content import Kind

WASH = 0.22
"""How much of the light's colour lies on a part that is lit as a whole."""
_PARTS = (Kind.POCKET, Kind.HANDLE, Kind.BOARD, Kind.ZIP)


def paint_lit(painter: QPainter, lit: Lit, view: Seen, look: Look) -> None:
    """Edges that a step works on, and parts; a wall is told by its edges alone."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if isinstance(view, View):
        _paint_parts(painter, part_areas(lit, view), look)
    halo = QPen(look.paper, look.glow + 2.0)
    pen = QPen(look.highlight, look.glow - 1.0)
    for each in (halo, pen):
        each.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(each)
        for line in edge_lines(lit, view):
            painter.drawPolyline(line)
    painter.restore()


def edge_lines(lit: Lit, view: Seen) -> list[list[QPointF]]:
    """The lit edges in the picture."""
    return [line for edge in lit.edges for line in view.edge_lines(edge)]


def part_areas(lit: Lit, view: View) -> list[list[QPointF]]:
    """Areas of lit parts on zones that show their outer side."""
    return [
        view.polygon(index)
        for zone in view.order
        for index, patch in view.catalogue.patches[zone]
        if patch.kind in _PARTS and patch.piece in lit.pieces and _shows(patch.kind, zone, view)
    ]


def _shows(kind: Kind, zone: object, view: View) -> bool:
    # The board lies inside: it is seen through the wall, from either side.
    return kind is Kind.BOARD or kind is Kind.HANDLE or zone in view.outside


def _paint_parts(painter: QPainter, areas: list[list[QPointF]], look: Look) -> None:
    wash = QColor(look.highlight)
    wash.setAlphaF(WASH)
    painter.setBrush(wash)
    painter.setPen(QPen(look.highlight, look.bold))
    for area in areas:
        painter.drawPolygon(QPolygonF(area))
    painter.setBrush(Qt.BrushStyle.NoBrush)
