"""A piece as it is painted at one scale: lines on whole pixels, texts in free places.

Everything is px, y down, from the piece's own origin.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from PySide6.QtCore import QLineF, QPointF
from PySide6.QtGui import QPainterPath, QPolygonF

from app.session.display import translated
from app.views.flat.labels import (
    BESIDE,
    GAP,
    STAND_OFF,
    THIN_PIECE,
    TICK,
    Box,
    Figures,
    Label,
    Lettering,
    Room,
    SizedText,
    TextStyle,
    along_line,
    box_of,
    double_arrow,
    lies_over,
    line_offset,
    polygon_of,
    spanned,
    tick,
)
from app.views.flat.room import Head
from app.views.flat.sheet import Drawn
from core.base.sentences import mark, sentence_start
from core.drawing.lettering import halved
from core.drawing.pattern import baste_lines
from core.drawing.records import Line
from core.flat.geometry import thinned
from core.flat.ink import Ink
from core.flat.piece import FACE_WORDS, CutFrom, Dimension, Edge, Out, Point
from core.flat.roles import EdgeRole, Face, PieceRole

_LEADERS = (14.0, 22.0, 30.0, 40.0)
"""Lengths that the line from an arc to its radius may have: beyond the stitch line, if need be."""
_RADIUS = mark("R {radius}")
"""As technical drawings write it (ISO 129-1)."""

_NO_FINER = 2.5
"""Lines nearer to the cut line than this would only blur it."""

_CHORD = 4.5
"""Lines in which an arc is painted, px: they lie off one of 16 px by a sixth of one."""

_GRAIN, _GRAIN_LENGTH = mark("grain"), 90.0

_CLEAR = 4.0
"""Free beside a name, px: it must not read on into the number of a size."""


class PixelGrid(NamedTuple):
    """Puts the points of a piece on the middle of a device pixel.

    Attributes:
        scale: px per mm.
        ratio: device pixels in one px.
    """

    scale: float
    ratio: float

    def point(self, at: Point) -> Point:
        """A point of the piece (mm) on the screen."""
        ratio = self.ratio
        dots = self.scale * ratio
        floor = math.floor
        return (floor(dots * at[0]) + 0.5) / ratio, (floor(-dots * at[1]) + 0.5) / ratio

    def points(self, points: Iterable[Point]) -> list[Point]:
        ratio = self.ratio
        dots = self.scale * ratio
        floor = math.floor
        # Written out: every line of every piece comes through here.
        return [
            ((floor(dots * x) + 0.5) / ratio, (floor(-dots * y) + 0.5) / ratio) for x, y in points
        ]


@dataclass(slots=True, eq=False, repr=False)
class PiecePicture:
    """Everything that is painted of one piece.

    Attributes:
        role: of the piece; decides its fill.
        lines: layer -> every line of it that runs across and along: smoothing would only blur it.
        curves: layer -> every other.
        measures: dimension lines and their ticks.
        leads: thin lines that lead from what is measured to them.
    """

    role: PieceRole
    area: QPolygonF = field(default_factory=QPolygonF)
    lines: dict[Ink, QPainterPath] = field(default_factory=dict)
    curves: dict[Ink, QPainterPath] = field(default_factory=dict)
    arrow: list[QLineF] = field(default_factory=list)
    measures: list[QLineF] = field(default_factory=list)
    leads: list[QLineF] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)


PictureSpots = list[tuple[QPointF, PiecePicture]]
"""What is painted of each piece, px, and where its origin lies."""


class PieceLayouter:
    """Lays out the picture of one piece.

    `laid_at` is the scale at which room was left around it: seen from farther, it has no more.
    `head` is what stands above it, at that scale or where it is seen from nearer.
    """

    def __init__(
        self,
        drawn: Drawn,
        grid: PixelGrid,
        lettering: Lettering,
        figures: Figures,
        head: Head,
        *,
        layers: int,
        laid_at: float,
    ) -> None:
        self._drawn = drawn
        self._piece = drawn.piece
        self._grid = grid
        self._lettering = lettering
        self._figures = figures
        self._layers = layers
        self._title = sentence_start(figures.name(drawn.piece.label))
        self._thin = drawn.bounds[3] - drawn.bounds[1] <= THIN_PIECE
        self._row = figures.row
        self._room = Room()
        self._picture = PiecePicture(drawn.piece.id.role)
        left, bottom, right, top = (grid.scale * each for each in drawn.bounds)
        wide, high = right - left, top - bottom
        self._bounds: Box = left, -top, left + wide, high - top
        self._nearest = max(grid.scale, laid_at)
        self._shrunk = min(grid.scale / laid_at, 1.0)
        self._head = head

    def plan(self, *, roomy: bool) -> PiecePicture:
        """Lines first, then the texts, the most wanted first; `roomy`: also around the piece."""
        self._add_lines()
        sizes = self._drawn.dimensions if roomy else ()
        _, bottom, _, top = self._drawn.bounds
        inside = [each for each in sizes if each.level and bottom < each.start[1] < top]
        told = set(self._add_radii())  # what is told at an arc is not told along its edge too
        for dimension in sizes:
            is_told = dimension.level and round(dimension.length, 6) in told
            if dimension not in inside and not is_told:
                self._add_dimension(dimension)
        self._add_faces()
        # Which end is the front is wanted more than how far apart the handles' legs are.
        for dimension in inside:
            self._add_dimension(dimension, crossing=False)
        if roomy and self._head.has_name:
            self._name_above()
        elif not self._thin:
            self._name_inside()
        self._add_grain()
        self._add_small_names()
        return self._picture

    def _add_lines(self) -> None:
        lines = self._drawn.records[1:]
        distance = self._drawn.baste_line
        # Nearer, a basting line would run into the cut line.
        if distance and distance * self._grid.scale >= _NO_FINER:
            baste = baste_lines(self._piece, distance, layers=self._layers)
            lines += tuple(Line(Ink.BASTE, points) for points in baste)
        picture, chord = self._picture, _CHORD / self._grid.scale
        ratio, floor = self._grid.ratio, math.floor
        dots = self._grid.scale * ratio
        boxes: list[Box] = []
        for line in lines:
            if not isinstance(line, Line):
                continue
            points = line.points if len(line.points) == 2 else thinned(line.points, chord)
            # Written out, as in the grid: every line of every piece comes through here.
            spots = [
                ((floor(dots * x) + 0.5) / ratio, (floor(-dots * y) + 0.5) / ratio)
                for x, y in points
            ]
            is_level, start = True, spots.pop(0)
            x0, y0 = start
            for x1, y1 in spots:
                if y0 == y1:
                    boxes.append((x0, y0, x1, y1) if x0 < x1 else (x1, y0, x0, y1))
                elif x0 == x1:
                    boxes.append((x0, y0, x1, y1) if y0 < y1 else (x0, y1, x1, y0))
                else:
                    is_level = False
                    boxes.append(spanned((x0, y0, x1, y1)))
                x0, y0 = x1, y1
            paths = picture.lines if is_level else picture.curves
            path = paths.get(line.ink)
            if path is None:
                path = paths[line.ink] = QPainterPath()
            path.moveTo(*start)
            for x1, y1 in spots:
                path.lineTo(x1, y1)
        self._room.take(boxes)
        picture.area = polygon_of(self._grid.points(thinned(self._drawn.outline, chord)))

    def _add_dimension(self, dimension: Dimension, *, crossing: bool = True) -> None:
        """Line, text and what leads to them; only `crossing` may its line run through texts."""
        (x0, y0), (x1, y1) = self._grid.points((dimension.start, dimension.end))
        right, down = dimension.out.step
        offset = line_offset(dimension, self._row)
        dx, dy = right * offset, down * offset
        line = (x0 + dx, y0 + dy, x1 + dx, y1 + dy)
        reach = spanned(line)
        if not crossing and self._crosses_text(reach):
            return
        label = self._dimension_label(dimension, line)
        if label is None:
            return
        picture = self._picture
        picture.labels.append(label)
        picture.measures += [QLineF(*line), tick(line[0], line[1]), tick(line[2], line[3])]
        self._room.take([reach])
        if dimension.out is not Out.ON:
            sx, sy = right * STAND_OFF, down * STAND_OFF
            picture.leads += [
                QLineF(x0 + sx, y0 + sy, line[0] + sx, line[1] + sy),
                QLineF(x1 + sx, y1 + sy, line[2] + sx, line[3] + sy),
            ]

    def _add_radii(self) -> Iterator[float]:
        """Each radius once, on a line from the middle of its arc to the inner side; which, mm."""
        arcs = {round(abs(edge.radius), 6): edge for edge in self._piece.edges if edge.turn}
        for radius, arc in arcs.items():
            (hx, hy), (x, y) = arc.heading_at(0.5), self._grid.point(arc.point_at(0.5))
            # The piece lies to the left of its edges; y runs down on the screen.
            right, down = -hy, -hx
            text = translated(_RADIUS).format(radius=self._figures.text(radius))
            wide, high = self._lettering.size(text, TextStyle.FIGURE)
            for reach in _LEADERS:
                to = (x + reach * right, y + reach * down)
                box = box_of(to[0] + right * wide / 2, to[1] + down * high / 2, wide, high)
                if self._holds(box) and self._room.try_at(box):
                    self._picture.labels.append(Label(text, TextStyle.FIGURE, box))
                    self._picture.leads.append(QLineF(x, y, *to))
                    yield radius
                    break

    def _holds(self, box: Box) -> bool:
        """Whether a box lies within the bounds of the piece."""
        (x0, y0, x1, y1), (left, top, right, bottom) = box, self._bounds
        return left <= x0 and x1 <= right and top <= y0 and y1 <= bottom

    def _crosses_text(self, box: Box) -> bool:
        left, top, right, bottom = box
        return any(
            left < x1 and x0 < right and top - TICK < y1 and y0 < bottom + TICK
            for x0, y0, x1, y1 in (label.box for label in self._picture.labels)
        )

    def _dimension_label(self, dimension: Dimension, line: Box) -> Label | None:
        """The longest text that fits along the line, or the number beside a short line."""
        level = dimension.level
        span = abs(line[2] - line[0]) + abs(line[3] - line[1])
        told = self._figures.told(dimension)
        for text, wide, high in told:
            if wide + 2 * TICK <= span:
                box = along_line(line, wide, high, level=level)
                if self._room.try_at(box):
                    return Label(text, TextStyle.FIGURE, box, upright=not level)
        if level or span < 3.0:
            return None
        if lies_over(dimension, self._drawn):
            return self._over(told, line) if self._head.sizes else None
        if self._figures.fits_along(dimension, self._nearest):
            return None  # no room was left for it beside the line
        return self._beside(told[-1], dimension, line)

    def _over(self, told: tuple[SizedText, ...], line: Box) -> Label | None:
        """Over the upper end of a line that lies above its piece, where nothing else is."""
        left, bottom = line[0] - TICK, min(line[1], line[3]) - TICK - 1.0
        for text, wide, high in told:
            box = (left, bottom - high, left + wide, bottom)
            if box[2] <= self._bounds[2] and self._room.try_at(box):
                return Label(text, TextStyle.FIGURE, box)
        return None

    def _beside(self, told: SizedText, dimension: Dimension, line: Box) -> Label | None:
        """A number that is longer than its upright line stands next to it."""
        number, wide, high = told
        middle = (line[1] + line[3]) / 2
        for side in (1, -1) if dimension.out is not Out.LEFT else (-1, 1):
            box = box_of(line[0] + side * (wide / 2 + BESIDE), middle, wide, high)
            if self._stays_clear(box) and self._room.try_at(box):
                return Label(number, TextStyle.FIGURE, box)
        return None

    def _stays_clear(self, box: Box) -> bool:
        """Whether a text beside the piece leaves room for a line beside the next one.

        Seen from farther, the room around the pieces shrinks and the texts in it do not.
        """
        reach = max(box[2] - self._bounds[2], self._bounds[0] - box[0])
        both = reach + self._row + STAND_OFF + 5.0
        return both * (1.0 - self._shrunk) <= self._shrunk * GAP

    def _name_inside(self) -> None:
        """Name, and under it how many to cut from what; a short name where the name has no room."""
        name, note = self._title, self._figures.note(self._piece, self._layers)
        within, wanted = self._name_place()
        for notes in ([note], halved(note), []):
            if self._set_block(name, notes, within, wanted, clear=_CLEAR):
                return
        for title in (name, self._drawn.short):
            if self._set_block(title, [], self._bounds, wanted, clear=0.0):
                return

    def _name_place(self) -> tuple[Box, Point]:
        """On the half of the piece that has least laid on: the back of a wall, below its fold."""
        (left, top, right, bottom), share = self._bounds, 0.5
        if self._piece.folds:
            fold = self._grid.point((0.0, self._piece.folds[0].y))[1]
            if self._piece.id.role is PieceRole.WALL:
                top, share = fold, 0.4
            else:
                bottom = fold
        return (left, top, right, bottom), (left + (right - left) / 2, top + share * (bottom - top))

    def _set_block(
        self, name: str, notes: list[str], within: Box, wanted: Point, *, clear: float
    ) -> bool:
        """The name with lines of note under it, in one place that is free and `clear` px more."""
        wide, high = self._lettering.size(name, TextStyle.NAME)
        line_high = self._lettering.size(name, TextStyle.NOTE)[1]
        widths = [self._lettering.size(note, TextStyle.NOTE)[0] for note in notes]
        if notes and self._piece.marks and 2 * max(widths) > within[2] - within[0]:
            return False  # between marks there is no such place: do not look for it
        size = max([wide, *widths]) + 2 * clear, high + line_high * len(notes)
        box = self._room.find(size, within, wanted)
        if box is None:
            return False
        middle, top = (box[0] + box[2]) / 2, box[1]
        self._label(name, TextStyle.NAME, (middle, top + high / 2))
        for index, note in enumerate(notes):
            self._label(note, TextStyle.NOTE, (middle, top + high + (index + 0.5) * line_high))
        return True

    def _name_above(self) -> None:
        """Name and note in one line over everything else above the piece."""
        name, note = self._title, self._figures.note(self._piece, self._layers)
        wide, high = self._lettering.size(name, TextStyle.NAME)
        top = max((each.end[1] for each in self._drawn.dimensions), default=-math.inf)
        left, bottom = self._bounds[0], min(self._bounds[1], -top * self._grid.scale)
        bottom -= self._head.sizes + 3.0
        box = (left, bottom - high, left + wide, bottom)
        if not self._room.try_at(box):
            return
        self._picture.labels.append(Label(name, TextStyle.NAME, box))
        wide, high = self._lettering.size(note, TextStyle.NOTE)
        left, bottom = box[2] + 8.0, bottom - 1.0
        beside = (left, bottom - high, left + wide, bottom)
        if beside[2] <= self._bounds[2] and self._room.try_at(beside):
            self._picture.labels.append(Label(note, TextStyle.NOTE, beside))

    def _add_small_names(self) -> None:
        """Folds and what is laid on, each near its line."""
        if self._thin:
            return
        for fold in self._piece.folds:
            left, _, right, _ = self._bounds
            wanted = left + (right - left) / 2, self._grid.point((0.0, fold.y))[1] - 9.0
            near = (right - left) / 2
            self._small(self._figures.name(fold.label), self._bounds, wanted, near=near)
        for laid in self._piece.marks:
            if laid.closed:
                xs, ys = zip(*self._grid.points(laid.points), strict=True)
                box = left, _, right, bottom = min(xs), min(ys), max(xs), max(ys)
                wanted = left + (right - left) / 2, bottom - 10.0
                self._small(self._figures.name(laid.label), box, wanted, near=0.6 * (right - left))

    def _add_faces(self) -> None:
        for edge in () if self._thin else self._piece.edges:
            face = edge.id.face
            if edge.id.role is EdgeRole.TOP and face and face is not self._piece.id.face:
                self._name_face(edge, face)

    def _name_face(self, edge: Edge, face: Face) -> None:
        (x0, y), (x1, _) = self._grid.points((edge.start, edge.end))
        inside = 12.0 if edge.heading[0] < 0.0 else -12.0
        wanted = (x0 + x1) / 2, y + inside
        near = (self._bounds[2] - self._bounds[0]) / 2
        self._small(self._figures.name(FACE_WORDS[face]), self._bounds, wanted, near=near)

    def _small(self, text: str, within: Box, wanted: Point, *, near: float) -> None:
        wide, high = self._lettering.size(text, TextStyle.NOTE)
        (x, y), (left, top, right, bottom) = wanted, within
        reach = max(left, x - near), max(top, y - 24.0), min(right, x + near), min(bottom, y + 24.0)
        box = self._room.find((wide + 2 * _CLEAR, high), reach, wanted)
        if box is not None:
            box = box[0] + _CLEAR, box[1], box[2] - _CLEAR, box[3]
            self._picture.labels.append(Label(text, TextStyle.NOTE, box))

    def _label(self, text: str, style: TextStyle, middle: Point) -> None:
        box = box_of(*middle, *self._lettering.size(text, style))
        self._picture.labels.append(Label(text, style, box))

    def _add_grain(self) -> None:
        """An arrow with two heads and its name, as long as there is room for."""
        if self._piece.cut_from in (CutFrom.SHEET, CutFrom.BOUGHT):
            return
        (left, top, right, bottom), word = self._bounds, self._figures.name(_GRAIN)
        level = abs(self._piece.grain[0]) > abs(self._piece.grain[1])
        run = right - left if level else bottom - top
        wide, high = self._lettering.size(word, TextStyle.NOTE)
        at = left + 0.2 * (right - left), top + 0.76 * (bottom - top)
        for named in (True, False):
            broad = high + 10.0 if named else 11.0
            length = min(_GRAIN_LENGTH, 0.45 * run)
            if length < (wide + 16.0 if named else 18.0):
                continue
            size = (length, broad) if level else (broad, length)
            box = self._room.find(size, self._bounds, at)
            if box is not None:
                self._set_arrow(box, word if named else "", level=level)
                return

    def _set_arrow(self, box: Box, word: str, *, level: bool) -> None:
        """The arrow at the lower or right side of a box, the word above it or on its left."""
        x0, y0, x1, y1 = box
        if level:
            line = (x0, math.floor(y1 - 5.0) + 0.5, x1, math.floor(y1 - 5.0) + 0.5)
        else:
            line = (math.floor(x1 - 5.0) + 0.5, y0, math.floor(x1 - 5.0) + 0.5, y1)
        self._picture.arrow = double_arrow(QLineF(*line))
        if word:
            wide, high = self._lettering.size(word, TextStyle.NOTE)
            place = along_line(line, wide, high, level=level)
            self._picture.labels.append(Label(word, TextStyle.NOTE, place, upright=not level))
