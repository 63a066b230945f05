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
    return [line for edge in (*lit.edges, *lit.rims) for line in view.edge_lines(edge)]


def part_areas(lit: Lit, view: View) -> list[list[QPointF]]:
    """Areas of lit parts that can be seen; the board is seen through the wall it lies behind."""
    found = [
        (zone, view.polygon(index), patch.kind)
        for zone, patches in view.catalogue.patches.items()
        for index, patch in patches
        if patch.kind in _PARTS and patch.piece in lit.parts
    ]
    shown = frozenset(view.order)
    return [
        area
        for zone, area, kind in found
        if kind is Kind.BOARD or (zone in shown and (kind is Kind.HANDLE or zone in view.outside))
    ]


def _paint_parts(painter: QPainter, areas: list[list[QPointF]], look: Look) -> None:
    wash = QColor(look.highlight)
    wash.setAlphaF(WASH)
    painter.setBrush(wash)
    painter.setPen(QPen(look.highlight, look.bold))
    for area in areas:
        painter.drawPolygon(QPolygonF(area))
    painter.setBrush(Qt.BrushStyle.NoBrush)
