"""Dimension lines around a piece: what the maker measures with the ruler. mm."""

from core.base.errors import ShowLength
from core.drawing.lettering import Words, with_fractions
from core.drawing.records import Line, Record, Text
from core.flat.piece import Piece, Point
from core.work.scene import Ink

_APART = 2.4
"""From the piece to its first dimension line, and between two, in text heights."""


def dimensions(piece: Piece, *, show: ShowLength, text_height: float) -> list[Record]:
    """Overall sizes below and to the right; faces and corner cuts of a panel.

    Overall sizes lie outside the piece, at most 5.5 text heights from it. The sizes of a
    corner cut are set into the corner that is cut away.
    """
    drawn = _Dimensions(piece.name, show, text_height)
    left, bottom, right, top = piece.bounds
    drawn.below(left, right, bottom)
    drawn.beside(bottom, top, right, row=1 if not piece.folds or piece.part != "panel" else 2)
    if piece.part == "panel":
        for fold in piece.folds:
            drawn.beside(fold.y, top, right, row=1)
            drawn.beside(bottom, fold.y, right, row=1)
        _corner(piece, drawn)
    return drawn.records


def _corner(piece: Piece, drawn: "_Dimensions") -> None:
    """Width of the front's corner cut, depth of the back's, at the left.

    A piece with one face only has both in the same corner, one below the other's text.
    """
    edges = {edge.name: edge for edge in piece.edges}
    front, back = edges.get("corner front left"), edges.get("corner back left")
    across, up = front or back, back or front
    if across is None or up is None or across.length <= 0.0:
        return
    outer, inner = sorted((across.start[0], across.end[0]))
    level = 0.0 if piece.folds else _nearest(across.start[1], piece.bounds[1], piece.bounds[3])
    drawn.inside_corner((outer, inner), across.start[1], up.start[1], level)


def _nearest(y: float, one: float, other: float) -> float:
    return one if abs(one - y) < abs(other - y) else other


class _Dimensions:
    def __init__(self, piece: str, show: ShowLength, height: float) -> None:
        self.records: list[Record] = []
        self._piece = piece
        self._show = show
        self._height = height

    def below(self, left: float, right: float, edge: float) -> None:
        y = edge - _APART * self._height
        self._draw((left, y), (right, y), 0.0)

    def beside(self, bottom: float, top: float, edge: float, *, row: int) -> None:
        x = edge + row * _APART * self._height
        self._draw((x, bottom), (x, top), 90.0)

    def inside_corner(self, span: Point, across: float, up: float, level: float) -> None:
        """Width beside the edge at y = `across`, depth from `level` to y = `up`.

        Left out, each alone, where the corner has no room for its figure.
        """
        outer, inner = span
        away = -1.0 if level < across else 1.0
        gap = self._height
        y = across + away * gap
        if self._fits(inner - outer, abs(across - level) - 2.5 * gap):
            self._draw((outer, y), (inner, y), 0.0, flip=away < 0.0)
        low, high = sorted((level, up))
        if self._fits(high - low, inner - outer - 2.5 * gap) and across != up:
            self._draw((inner - gap, low), (inner - gap, high), 90.0)

    def _fits(self, length: float, room: float) -> bool:
        words = Words(with_fractions(self._show(length)), self._height)
        return words.width <= length and room > 0.0

    def _draw(self, start: Point, end: Point, angle: float, *, flip: bool = False) -> None:
        """The line, a tick at each end, and its length set above it, or below when flipped."""
        (x0, y0), (x1, y1) = start, end
        tick = 0.5 * self._height
        dx, dy = (0.0, tick) if angle == 0.0 else (tick, 0.0)
        self._line((start, end))
        for x, y in (start, end):
            self._line(((x - dx, y - dy), (x + dx, y + dy)))
        length = abs(x1 - x0) + abs(y1 - y0)
        words = Words(with_fractions(self._show(length)), self._height)
        off = -1.0 if flip else 1.0
        lift = self._height
        at = ((x0 + x1) / 2, (y0 + y1) / 2)
        at = (at[0], at[1] + off * lift) if angle == 0.0 else (at[0] - lift, at[1])
        self.records.append(
            Text(Ink.DIMENSION, at, words.text, self._height, angle, piece=self._piece)
        )

    def _line(self, points: tuple[Point, ...]) -> None:
        self.records.append(Line(Ink.DIMENSION, points, piece=self._piece))
