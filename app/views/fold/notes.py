"""What is written and lit on the folded bag: dimensions, mismatches, edges pointed at, a step."""

import math
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QFontMetricsF,
    QPainter,
    QPen,
    QPolygonF,
    QStaticText,
    QTransform,
)

from app.session.document import Highlight
from app.views.fold.scene import View
from app.widgets.desktop import translucent
from app.widgets.theme import Cache, DrawingTheme, lit_pens
from core.flat.geometry import distance_to_segment
from core.flat.roles import EdgeRef, Face
from core.solid.fold import Folded, SolidDimension
from core.space.zones import AreaKind, Gap, Spatial, add, scaled

if TYPE_CHECKING:  # it comes with the first filled shape, after the window has opened
    from app.views.fold.surface_scene import SurfaceView

    Seen = View | SurfaceView

_OFF = 16.0
"""How far a dimension line stands off the bag, pixels."""
_TICK = 4.0
_WORDS = 60.0
"""How far from its line the words of a dimension reach, pixels."""
_REACH = 14.0
"""How near to a dimension a spot must lie to mean it, pixels."""
_MOST_TEXTS = 200


class NoteText(NamedTuple):
    """Where texts come from.

    Attributes:
        figure: the label of a finished figure by its name.
        value: a finished figure as the reader reads it, by its name.
        gap, edge: what is written at a gap, and at an edge that is pointed at.
    """

    figure: Callable[[str], str]
    value: Callable[[str], str]
    gap: Callable[[Gap], str]
    edge: Callable[[EdgeRef], str]


class Texts:
    """NoteText laid out once and written at every turn of the bag."""

    def __init__(self) -> None:
        self._font = QFont()
        self._written = Cache[str, tuple[QStaticText, float]](
            _MOST_TEXTS, lambda text: _laid_out(text, self._font)
        )

    def written(self, text: str, font: QFont) -> tuple[QStaticText, float]:
        """And its width, pixels."""
        if font != self._font:
            self._written.clear()
            self._font = QFont(font)
        return self._written[text]


def _laid_out(text: str, font: QFont) -> tuple[QStaticText, float]:
    laid = QStaticText(text)
    laid.setTextFormat(Qt.TextFormat.PlainText)
    laid.prepare(QTransform(), font)
    return laid, laid.size().width()


class NotePainter:
    """Writes on one view with one look; words are kept within `room`, pixels.

    Attributes:
        boxes: where dimensions and gaps are written, pixels.
    """

    def __init__(
        self,
        painter: QPainter,
        view: "Seen",
        look: DrawingTheme,
        words: NoteText,
        room: QRectF,
        texts: Texts,
    ) -> None:
        self._painter, self._view, self._look, self._words = painter, view, look, words
        self._room = room.adjusted(2.0, 2.0, -2.0, -2.0)
        self.boxes: list[QRectF] = []
        self._labels: list[tuple[list[str], QPointF, QPointF, QColor]] = []
        self._font, self._texts = painter.font(), texts
        self._metrics = QFontMetricsF(self._font)
        self._thin, self._line = (QPen(look.dimension, width) for width in (look.thin, look.line))
        self._paper = translucent(look.paper, 0.88)
        """What words stand on, so that no line runs through them."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)

    def dimensions(self, folded: Folded) -> None:
        """Every dimension on the side of the bag that is seen."""
        camera = self._view.camera
        for each in _towards(folded, camera.eye):
            self._dimension(each)

    def _dimension(self, each: SolidDimension) -> None:
        """Its line, where that comes from, and its words, further along the way aside."""
        painter = self._painter
        off = scaled(each.aside, _OFF / self._view.camera.scale)
        begin, end_of = add(each.start, off), add(each.end, off)
        spots = self._view.camera.project(
            (begin, end_of, *each.anchors, add(begin, off), each.start)
        )
        (x0, y0, _), (x1, y1, _), (ax, ay, _), (bx, by, _), further, foot = spots
        across, up = x1 - x0, y1 - y0
        length = math.hypot(across, up)
        if length < 4.0:
            return
        tick = _TICK / length
        x, y = (across - up) * tick, (up + across) * tick
        painter.setPen(self._thin)
        painter.drawLines([QLineF(ax, ay, x0, y0), QLineF(bx, by, x1, y1)])
        painter.setPen(self._line)
        ticks = [QLineF(a - x, b - y, a + x, b + y) for a, b in ((x0, y0), (x1, y1))]
        painter.drawLines([QLineF(x0, y0, x1, y1), *ticks])
        figure = each.size.figure
        texts = [self._words.figure(figure), self._words.value(figure)]
        middle = QPointF((x0 + x1) / 2, (y0 + y1) / 2)
        outward = QPointF(further[0] - foot[0], further[1] - foot[1])
        self._labels.append((texts, middle, outward, self._look.dimension))

    def gaps(self, folded: Folded) -> None:
        """A hatched opening, with its words, at the end of the bag that is seen."""
        seen = Face.RIGHT if self._view.camera.eye[0] >= 0.0 else Face.LEFT
        for gap in folded.gaps:
            if gap.face is seen:
                self._opening(gap)
                self._gap_words(gap)

    def _opening(self, gap: Gap) -> None:
        painter, colour = self._painter, self._look.gap
        wash = translucent(colour, 0.14)
        for outline in gap.outlines:
            shape = QPolygonF(self._view.spots(outline))
            painter.setPen(QPen(colour, self._look.bold))
            painter.setBrush(wash)
            painter.drawPolygon(shape)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QBrush(colour, Qt.BrushStyle.BDiagPattern))
            painter.drawPolygon(shape)

    def _gap_words(self, gap: Gap) -> None:
        start, end = self._view.spots((gap.start, gap.end))
        middle = (start + end) / 2
        away = 1.0 if gap.face is Face.RIGHT else -1.0
        away *= 1.0 if self._view.camera.axes[0][0] >= 0.0 else -1.0
        foot = middle + QPointF(30.0 * away, -58.0)
        self._painter.setPen(QPen(self._look.gap, self._look.line))
        self._painter.drawLine(middle, foot)
        texts = [self._words.figure(gap.figure), self._words.gap(gap)]
        self._labels.append((texts, foot, QPointF(2.0 * away, -8.0), self._look.gap))

    def write(self) -> None:
        """The words of gaps and dimensions, over the lines of all of them."""
        for texts, at, outward, colour in self._labels:
            self._label(texts, at, outward, colour)
        self._labels.clear()

    def pointed(self, edge: EdgeRef | None, mates: Iterable[EdgeRef]) -> None:
        """The edge pointed at: solid, with a dot; its mates: dashed, with a diamond.

        They are named in a caption, each behind its own mark.
        """
        if edge is None:
            return
        look = self._look
        wanted = [(each, look.mate, True) for each in mates] + [(edge, look.highlight, False)]
        lit = [(self._view.edge_lines(each[0]), each) for each in wanted]
        lit = [each for each in lit if each[0]]
        for lines, (_, colour, mate) in lit:
            self._lit(lines, colour, mate=mate)
        self._caption([each for _, each in reversed(lit)])

    def corner(self, lines: tuple[str, ...]) -> None:
        """Lines of words in the lower left corner, broken where the pane is narrow."""
        if not lines:
            return
        painter, text = self._painter, "\n".join(lines)
        flags = int(Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap)
        box = self._metrics.boundingRect(self._room.adjusted(12.0, 0.0, -12.0, 0.0), flags, text)
        box.moveBottomLeft(self._room.bottomLeft() + QPointF(12.0, -9.0))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._paper)
        painter.drawRoundedRect(box.adjusted(-6.0, -3.0, 6.0, 3.0), 5.0, 5.0)
        painter.setPen(self._look.ink)
        painter.drawText(box, flags, text)

    def _caption(self, lit: list[tuple[EdgeRef, QColor, bool]]) -> None:
        """A row for each lit edge in the upper left corner."""
        painter, metrics = self._painter, self._metrics
        rows = [(self._words.edge(edge), colour, mate) for edge, colour, mate in lit]
        if not rows:
            return
        row = metrics.height() + 4.0
        width = max(metrics.horizontalAdvance(text) for text, _, _ in rows) + 34.0
        at = self._room.topLeft() + QPointF(6.0, 6.0)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._paper)
        painter.drawRoundedRect(QRectF(at.x(), at.y(), width, row * len(rows) + 6.0), 5.0, 5.0)
        for i, (text, colour, mate) in enumerate(rows):
            top = at.y() + 3.0 + i * row
            self._marker(QPointF(at.x() + 14.0, top + row / 2), colour, diamond=mate)
            painter.setPen(colour)
            painter.drawText(
                QRectF(at.x() + 28.0, top, width, row), Qt.AlignmentFlag.AlignVCenter, text
            )

    def _lit(self, lines: list[list[QPointF]], colour: QColor, *, mate: bool) -> None:
        painter = self._painter
        halo = QPen(self._look.paper, self._look.glow + 3.0)
        pen = QPen(colour, self._look.glow, c=Qt.PenCapStyle.RoundCap)
        if mate:
            pen.setDashPattern([2.0, 1.6])
        for each in (halo, pen):
            painter.setPen(each)
            for line in lines:
                painter.drawPolyline(line)
        longest = max(lines, key=lambda line: QLineF(line[0], line[-1]).length())
        self._marker((longest[0] + longest[-1]) / 2, colour, diamond=mate)

    def _marker(self, at: QPointF, colour: QColor, *, diamond: bool) -> None:
        painter = self._painter
        painter.setPen(QPen(self._look.paper, 2.0))
        painter.setBrush(colour)
        if diamond:
            ways = (QPointF(0, -8), QPointF(8, 0), QPointF(0, 8), QPointF(-8, 0))
            painter.drawPolygon(QPolygonF([at + way for way in ways]))
        else:
            painter.drawEllipse(at, 6.5, 6.5)

    def _label(self, texts: list[str], at: QPointF, outward: QPointF, colour: QColor) -> None:
        """Lines of words beside a point, kept inside the window, on a piece of paper."""
        painter, row = self._painter, self._metrics.height()
        texts = "\n".join(texts).split("\n")
        written = [self._texts.written(text, self._font) for text in texts]
        width = max(wide for _, wide in written) + 8.0
        height = row * len(texts) + 2.0
        size = max(math.hypot(outward.x(), outward.y()), 1e-6)
        ux, uy = outward.x() / size, outward.y() / size
        # As far out as the paper needs to come clear of the point.
        clear = min((width / 2 + 6.0) / max(abs(ux), 1e-6), (height / 2 + 6.0) / max(abs(uy), 1e-6))
        centre = at + QPointF(ux, uy) * clear
        room = self._room
        x = min(max(centre.x() - width / 2, room.left()), room.right() - width)
        y = min(max(centre.y() - height / 2, room.top()), room.bottom() - height)
        box = clear_box(QRectF(x, y, width, height), self.boxes, room)
        self.boxes.append(box)
        painter.fillRect(box, self._paper)
        painter.setPen(colour)
        for i, (text, wide) in enumerate(written):
            at_text = QPointF(box.x() + (width - wide) / 2, box.y() + 1.0 + i * row)
            painter.drawStaticText(at_text, text)


def clear_box(box: QRectF, taken: Iterable[QRectF], room: QRectF) -> QRectF:
    """The box, moved up or down as little as brings it clear of those that are taken.

    Where there is no such place within `room`, it stays.
    """
    taken = list(taken)
    if not any(box.intersects(other) for other in taken):
        return box
    tops = [top for other in taken for top in (other.top() - box.height(), other.bottom())]
    free = [
        moved
        for moved in (QRectF(box.x(), top, box.width(), box.height()) for top in tops)
        if room.contains(moved) and not any(moved.intersects(other) for other in taken)
    ]
    return min(free, key=lambda moved: abs(moved.top() - box.top()), default=box)


def dimension_near(view: "Seen", folded: Folded, at: QPointF) -> str:
    """The figure whose dimension line, or the words beside its middle, lie near; else empty."""
    camera = view.camera
    near: list[tuple[float, str]] = []
    for each in _towards(folded, camera.eye):
        off = scaled(each.aside, _OFF / camera.scale)
        begin = add(each.start, off)
        start, end, aside = view.spots((begin, add(each.end, off), add(begin, off)))
        away = distance_to_segment((at.x(), at.y()), (start.x(), start.y()), (end.x(), end.y()))
        # The words stand outward of the middle.
        out = aside - start
        long = max(math.hypot(out.x(), out.y()), 1.0)
        middle = (start + end) / 2.0
        words = middle + out * (_WORDS / long)
        here = (middle.x(), middle.y()), (words.x(), words.y())
        away = min(away, distance_to_segment((at.x(), at.y()), *here))
        if away <= _REACH:
            near.append((away, each.size.figure))
    return min(near)[1] if near else ""


def _towards(folded: Folded, eye: Spatial) -> Iterator[SolidDimension]:
    """The dimensions on the side that the eye sees, where the bag is alike on both.

    One that is on one side only is left out when that side is not seen.
    """
    front, right = eye[1] <= 0.0, eye[0] >= 0.0
    for size in folded.sizes:
        if size.face is None or (size.face is Face.FRONT) == front:
            x = -1.0 if size.follows_x and not right else 1.0
            y = -1.0 if size.follows_y and not front else 1.0
            yield _turned(folded.measured(size), x, y)


def _turned(each: SolidDimension, x: float, y: float) -> SolidDimension:
    """With every x and every y times 1 or -1."""
    if x > 0.0 and y > 0.0:
        return each
    size, *points, anchors = each
    start, end, aside, one, other = ((x * a, y * b, c) for a, b, c in (*points, *anchors))
    return SolidDimension(size, start, end, aside, (one, other))


WASH = 0.22
"""How much of the light's colour lies on a part that is lit as a whole."""
_PARTS = (AreaKind.LAID_ON, AreaKind.BAND, AreaKind.STIFFENER, AreaKind.TAPE)


def paint_lit(painter: QPainter, lit: Highlight, view: "Seen", look: DrawingTheme) -> None:
    """Edges that a step works on, and parts; a wall is told by its edges alone."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if isinstance(view, View):
        _paint_parts(painter, part_areas(lit, view), look)
    for pen in lit_pens(look):
        painter.setPen(pen)
        for line in edge_lines(lit, view):
            painter.drawPolyline(line)
    painter.restore()


def edge_lines(lit: Highlight, view: "Seen") -> list[list[QPointF]]:
    """The lit edges in the picture."""
    return [line for edge in (*lit.edges, *lit.rims) for line in view.edge_lines(edge)]


def part_areas(lit: Highlight, view: View) -> list[list[QPointF]]:
    """Areas of lit parts that can be seen; the board is seen through the wall it lies behind."""
    found = [
        (area.zone, view.polygon(area), area.kind)
        for zone in range(len(view.folded.model.zones))
        for area in view.folded.model.on(zone).areas
        if area.kind in _PARTS and area.piece in lit.parts
    ]
    return [
        area
        for zone, area, kind in found
        if kind is AreaKind.STIFFENER
        or (zone in view.zones and (kind is AreaKind.BAND or zone in view.outside))
    ]


def _paint_parts(painter: QPainter, areas: list[list[QPointF]], look: DrawingTheme) -> None:
    painter.setBrush(translucent(look.highlight, WASH))
    painter.setPen(QPen(look.highlight, look.bold))
    for area in areas:
        painter.drawPolygon(QPolygonF(area))
    painter.setBrush(Qt.BrushStyle.NoBrush)
