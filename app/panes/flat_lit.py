"""On the flat pieces: what a sewing step works on, lit."""

from collections.abc import Iterator, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.lit import Lit
from app.panes.flat_sheet import Sheet
from app.panes.look import Look
from app.panes.view2d import View2D
from core.flat.piece import Point

WASH = 0.16
"""How much of the light's colour lies on what is lit as a whole."""

Line = tuple[QPolygonF, bool]
"""A line on the screen, and whether it closes an area."""


def paint_lit(painter: QPainter, lit: Lit, sheet: Sheet, view: View2D, look: Look) -> None:
    """Pieces, outlines, edges and lines that a step works on, thick and over everything."""
    wash = QColor(look.highlight)
    wash.setAlphaF(WASH)
    halo = QPen(look.paper, look.glow + 2.0)
    pen = QPen(look.highlight, look.glow - 1.0)
    for each in (halo, pen):
        each.setCapStyle(Qt.PenCapStyle.RoundCap)
        each.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    lines = list(lit_lines(lit, sheet, view))
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(wash)
    for line, closed in lines:
        if closed:
            painter.drawPolygon(line)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for each in (halo, pen):
        painter.setPen(each)
        for line, closed in lines:
            if closed:
                painter.drawPolygon(line)
            else:
                painter.drawPolyline(line)
    painter.restore()


def lit_lines(lit: Lit, sheet: Sheet, view: View2D) -> Iterator[Line]:
    """Everything that is lit, px."""
    for name, points, closed in _on_pieces(lit, sheet):
        if name in sheet.places:
            x, y = sheet.places[name]
            yield QPolygonF([view.to_screen(px + x, py + y) for px, py in points]), closed


def _on_pieces(lit: Lit, sheet: Sheet) -> Iterator[tuple[str, Sequence[Point], bool]]:
    """(piece, points in mm, whether they close)."""
    draft = sheet.result.draft
    for name in lit.pieces:
        yield name, draft.piece(name).outline, True
    for name, place in lit.marks:
        mark = draft.piece(name).marks[place]
        yield name, mark.points, mark.closed
    for ref in lit.edges:
        edge = draft.piece(ref.piece).edge(ref.edge)
        if edge.length > 0.0:
            yield ref.piece, (edge.start, edge.end), False
    for name, points in lit.lines:
        yield name, points, False
