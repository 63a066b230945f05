"""Small pictures: records at the size in which they are printed. mm, y up from the lower left."""

import math
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass

from core.base.sentences import Language, ShowLength
from core.drawing.dimension_lines import SMALL, Pointer, Span, dimension_records
from core.drawing.layout import PiecePlace, moved
from core.drawing.lettering import shortened, text_width, with_fractions
from core.drawing.records import (
    HATCH_COLOUR,
    HATCH_WIDTH,
    Anchor,
    DrawingRecord,
    Line,
    Polygon,
    Text,
    hatch_lines,
    text_box,
)
from core.flat.geometry import Bounds
from core.flat.ink import Ink
from core.flat.piece import Point
from core.work.scene import DiagramArea, DiagramItem, DiagramNote, Placed, fitted_scale

_PAD = 1.5


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture.

    Attributes:
        records: in the order in which they are painted; areas are filled.
        width, height: mm.
        told: what it shows, for who cannot see it.
    """

    records: tuple[DrawingRecord, ...]
    width: float
    height: float
    told: str = ""


def bounds_of(points: Iterable[Point]) -> Bounds:
    """(left, bottom, right, top)."""
    every = list(points)
    xs, ys = [x for x, _ in every], [y for _, y in every]
    return min(xs), min(ys), max(xs), max(ys)


class Sketch:
    """Draws a model at a smaller scale, with lines and letters at their printed size.

    The box is the (width, height) that it may take on paper, mm; at `most` 1 it is life size.
    """

    def __init__(
        self, bounds: Bounds, box: tuple[float, float], *, show: ShowLength, most: float = 1.0
    ) -> None:
        self.scale = fitted_scale(bounds, box, most)
        self._left, self._bottom = bounds[:2]
        self.show = show
        self.records: list[DrawingRecord] = []
        self._spans: list[Span] = []
        self._pointers: list[Pointer] = []

    def at(self, point: Point) -> Point:
        """A point of the model on the paper."""
        x, y = point
        return (x - self._left) * self.scale, (y - self._bottom) * self.scale

    def area(self, ink: Ink, points: Sequence[Point], *, outline: bool = True) -> None:
        """A filled outline, with a thin line around it; a wrong side is hatched."""
        corners = tuple(self.at(point) for point in points)
        self.records.append(Polygon(ink, corners))
        if ink is Ink.INSIDE:
            self.records += [Line(Ink.HATCH, stroke) for stroke in hatch_lines(corners)]
        if outline and ink is not Ink.NEW_AREA:
            self.records.append(Line(Ink.CUT, (*corners, corners[0])))

    def line(self, ink: Ink, points: Sequence[Point]) -> None:
        """A line."""
        self.records.append(Line(ink, tuple(self.at(point) for point in points)))

    def label(
        self,
        text: str,
        point: Point,
        *,
        shift: Point = (0.0, 0.0),
        anchor: Anchor = Anchor.MIDDLE,
        angle: float = 0.0,
    ) -> None:
        """A text at a point of the model, shifted on paper."""
        x, y = self.at(point)
        at = (x + shift[0], y + shift[1])
        self.records.append(Text(Ink.LABEL, at, with_fractions(text), SMALL, angle, anchor))

    def measure(self, start: Point, end: Point, length: float | None = None) -> None:
        """A length between two points of the model, told beside the drawing.

        It is told as `length`, mm, where the drawing is not to its scale or is of what is drawn
        and not of what is sewn.
        """
        told = math.dist(start, end) if length is None else length
        self._spans.append(Span(self.at(start), self.at(end), self._shown(told)))

    def point_out(self, point: Point, length: float) -> None:
        """A length told beside the drawing, with a line to a point of the model."""
        self._pointers.append(Pointer(self.at(point), self._shown(length)))

    def _shown(self, length: float) -> str:
        return with_fractions(self.show(length))

    def picture(self, told: str = "") -> Picture:
        """Everything drawn, moved so that it starts at the lower left corner."""
        records = list(self.records)
        if self._spans or self._pointers:
            records += dimension_records(record_bounds(records), self._spans, self._pointers)
        left, bottom, right, top = record_bounds(records)
        left, bottom = left - _PAD, bottom - _PAD
        place = PiecePlace(-left, -bottom)
        shifted = tuple(moved(record, place) for record in records)
        return Picture(shifted, right - left + _PAD, top - bottom + _PAD, told)


def draw_all(
    sketch: Sketch,
    drawn: Iterable[DiagramItem],
    placed: Iterable[Placed],
    *,
    told: Collection[str],
    translate: Language,
    at: Callable[[Point], Point] = lambda point: point,
) -> None:
    """Draw what an operation brings, and where its measures lie.

    Of those no others are drawn than are told, by their names; `at` turns points into those of
    the sketch.
    """
    for each in drawn:
        if isinstance(each, DiagramNote):
            text = each.text.text(translate=translate)
            if each.room is not None:
                text = shortened(text, SMALL, each.room)
            anchor = Anchor.START if each.begins else Anchor.MIDDLE
            sketch.label(text, at(each.at), shift=each.shift, anchor=anchor)
            continue
        draw = sketch.area if isinstance(each, DiagramArea) else sketch.line
        draw(each.ink, [at(point) for point in each.points])
    for measure in placed:
        if measure.measure not in told:
            continue
        if measure.end is None:
            sketch.point_out(at(measure.start), measure.length)
        else:
            sketch.measure(at(measure.start), at(measure.end), measure.length)


def record_bounds(records: Iterable[DrawingRecord]) -> Bounds:
    """What records take up, letters included."""
    points: list[Point] = []
    for record in records:
        if isinstance(record, Text):
            left, bottom, right, top = text_box(record)
            points += [(left, bottom), (right, top)]
        else:
            points += record.points
    return bounds_of(points)


def fits(text: str, room: float) -> bool:
    """Whether a label is no longer than `room`, mm."""
    return text_width(with_fractions(text), SMALL) <= room


@dataclass(frozen=True, slots=True)
class Stroke:
    """One layer on the booklet's paper.

    Attributes:
        width: of the line, mm; 0 draws none.
        colour: of the line, (red, green, blue), 0 to 255.
        dashes: mm.
        fill: of an area; None leaves it empty.
    """

    width: float
    colour: tuple[int, int, int] = (30, 30, 30)
    dashes: tuple[float, ...] = ()
    fill: tuple[int, int, int] | None = None


def _flat(colour: tuple[int, int, int]) -> Stroke:
    """An area without an outline: its own colour closes the hairlines between two."""
    return Stroke(0.1, colour, (), colour)


_DARK = (30, 30, 30)
_MID = (110, 110, 110)
NEW_COLOUR = (150, 18, 18)
"""New work: prints dark, and is the only thick line, so that it stands out without colour."""
_PLAIN = Stroke(0.25)
_STROKES: dict[Ink, Stroke] = {
    Ink.CUT: Stroke(0.3),
    Ink.STITCH: Stroke(0.25, _DARK, (1.2, 0.8)),
    Ink.FOLD: Stroke(0.25, _DARK, (2.6, 0.7, 0.5, 0.7)),
    Ink.PLACEMENT: Stroke(0.25, _MID, (0.6, 0.8)),
    Ink.BASTE: Stroke(0.25, _MID, (0.6, 0.6)),
    Ink.NOTCH: Stroke(0.5),
    Ink.DIMENSION: Stroke(0.18, _MID),
    Ink.LABEL: Stroke(0.2),
    Ink.GOODS: _flat((250, 246, 239)),
    Ink.SHADE: _flat((229, 222, 210)),
    Ink.INSIDE: _flat((234, 238, 242)),
    Ink.HATCH: Stroke(HATCH_WIDTH, HATCH_COLOUR),
    Ink.PART: _flat((212, 203, 190)),
    Ink.PLATE: _flat((255, 255, 255)),
    Ink.NEW: Stroke(0.9, NEW_COLOUR),
    Ink.NEW_AREA: Stroke(0.7, NEW_COLOUR, (), (243, 210, 200)),
    Ink.NEW_GROUND: _flat((243, 210, 200)),
}


def stroke_of(ink: Ink) -> Stroke:
    """How a layer is drawn."""
    return _STROKES.get(ink, _PLAIN)
