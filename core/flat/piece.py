"""A flat piece: a closed outline of named edges, its folds, marks, cutting notes and sizes.

Frame of every piece: x across, y along, mm. Outlines run counter-clockwise, so the
inside lies to the left of each edge.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cached_property
from types import MappingProxyType
from typing import NamedTuple

from core.base.compared import Compared
from core.base.sentences import NO_TEXT, Sentence, Template, mark, say
from core.flat.arcs import arc_point, arc_points
from core.flat.roles import EdgeId, Face, FoldRole, MarkRole, PieceId, Side
from core.model.figures import CutFigure

Point = tuple[float, float]
"""(x, y), mm, in the frame of the piece."""

ARC_TOLERANCE = 0.02
"""How far a flattened arc may lie off the arc, mm (own choice: a fifth of a pencil line)."""


class CutFrom(Enum):
    """Which roles of goods a piece is cut from."""

    EVERY_LAYER = "every layer"
    CLOTH = mark("outer fabric")
    BOUGHT = "zip"
    SHEET = "board"


class GrainTurn(Enum):
    """How a piece may be turned on its goods without breaking the grain."""

    NEVER = "never"
    HALF = "half turn"
    QUARTER = "quarter turns"


class Upright(Enum):
    """What of a piece stands upright in the bag, as far as a print or nap is seen there."""

    WHOLE = "whole"
    FRONT = "front"
    """Only one end of it: a folded panel runs down the back and up the front."""
    NOTHING = "nothing"
    """Strips and boards have no top."""


class MarkStyle(Enum):
    """How a mark is drawn."""

    # That of an Enum is Python code, and every mark that is drawn is looked up by its style.
    __hash__ = object.__hash__

    PLACEMENT = "placement line"
    STITCHING = "stitching"
    HALFWAY = "halfway mark"


_SIDES = {Side.LEFT: mark("left"), Side.RIGHT: mark("right")}
FACE_WORDS: Mapping[Face, Template] = MappingProxyType(
    {
        Face.FRONT: mark("front"),
        Face.BACK: mark("back"),
        Face.LEFT: mark("left side"),
        Face.RIGHT: mark("right side"),
        Face.BASE: mark("bottom"),
        Face.TOP: mark("top"),
        Face.INSIDE: mark("inside"),
    }
)
"""What each face of a bag is called."""


class Edge(NamedTuple):
    """One edge of the cut line: straight, or an arc of a circle.

    Attributes:
        id: unique in its piece.
        start, end: mm; the piece lies to the left on the way from start to end.
        allowance: seam allowance, mm, >= 0: the stitch line lies this far inside.
        heading: unit vector of the way from start to end. Kept because an edge may
            have no length (a corner cut of no depth) and still have a direction.
        label: what it is called, the side left out, e.g. "side front".
        turn: of an arc, radians, less than a whole turn: > 0 curves to the left, as a rounded
            corner does; 0 of a straight edge.
    """

    id: EdgeId
    start: Point
    end: Point
    allowance: float
    heading: Point
    label: Template = NO_TEXT
    turn: float = 0.0

    @property
    def radius(self) -> float:
        """Of an arc, mm, with the sign of its turn; infinite of a straight edge."""
        chord = along(self.heading, self.start, self.end)
        return chord / (2 * math.sin(self.turn / 2)) if self.turn else math.inf

    @property
    def length(self) -> float:
        """Length from start to end, mm; negative where that is against the heading."""
        if self.turn:
            return self.radius * self.turn
        return along(self.heading, self.start, self.end)

    @property
    def start_heading(self) -> Point:
        """Unit vector of the way on which it sets out."""
        return self.heading_at(0.0)

    @property
    def end_heading(self) -> Point:
        """Unit vector of the way on which it arrives."""
        return self.heading_at(1.0)

    def heading_at(self, share: float) -> Point:
        """Unit vector of its way at a share of its length."""
        return turned(self.heading, (share - 0.5) * self.turn) if self.turn else self.heading

    def point_at(self, share: float) -> Point:
        """The point at a share of its length, mm."""
        if not self.turn:
            (x, y), length = self.start, share * self.length
            return x + length * self.heading[0], y + length * self.heading[1]
        return self._along((arc_point(self.turn, share),))[0]

    def points(self, tolerance: float = ARC_TOLERANCE) -> tuple[Point, ...]:
        """Its points but the last, mm: of an arc so many that no chord is off by more than that."""
        if not self.turn or abs(self.radius) <= tolerance:
            return (self.start,)
        radius = abs(self.radius)
        count = math.ceil(abs(self.turn) / (2 * math.acos(1 - tolerance / radius)))
        return (self.start, *self._along(arc_points(self.turn, count)))

    def divided(self, count: int) -> tuple[Point, ...]:
        """Of an arc the ends of so many stretches of equal length, mm."""
        return (self.start, *self._along(arc_points(self.turn, count)), self.end)

    def _along(self, shape: Iterable[Point]) -> list[Point]:
        """Points of an arc told as shares of its chord, along it and to the left of it, mm."""
        (x, y), (a, b) = self.start, self.heading
        chord = along(self.heading, self.start, self.end)
        a, b = a * chord, b * chord
        return [(x + a * far - b * off, y + b * far + a * off) for far, off in shape]

    @property
    def line(self) -> tuple[Point, ...]:
        """Its points from start to end, mm, an arc flattened."""
        return (*self.points(), self.end) if self.turn else (self.start, self.end)

    @property
    def extremes(self) -> tuple[Point, ...]:
        """Where an arc comes farthest to a side on its way, mm; none of a straight edge."""
        if not self.turn:
            return ()
        first, quarter = math.atan2(self.start_heading[1], self.start_heading[0]), math.pi / 2
        low, high = sorted((first, first + self.turn))
        level = range(math.ceil(low / quarter), math.floor(high / quarter) + 1)
        shares = ((number * quarter - first) / self.turn for number in level)
        return tuple(self.point_at(share) for share in shares)

    @property
    def title(self) -> Sentence:
        """Its label and its side, e.g. "side front left"."""
        if self.id.side is None:
            return Sentence(self.label)
        return say("{edge} {side}", terms={"edge": self.label, "side": _SIDES[self.id.side]})


class Fold(NamedTuple):
    """A straight fold across a piece, from the stitch line of one edge to another's.

    Attributes:
        start_edge, end_edge: the edges whose stitch lines end it.
        y: mm; folds in this program run across the piece.
        label: what it is called, e.g. "bottom fold".
        number: of several of one kind, from 0 up the piece.
    """

    id: FoldRole
    start_edge: EdgeId
    end_edge: EdgeId
    y: float
    label: Template
    number: int = 0


class Mark(NamedTuple):
    """A line or outline drawn on a piece for the maker.

    Attributes:
        owner: whose it is: "body", "top", or the slot of a part.
        points: at least two, mm.
        style: how it is drawn.
        face, side: of the bag, where it lies; None where that does not matter.
        closed: whether the last point joins the first.
        end: what ends at its far side, which runs from its second to its third point: a line
            of its own on the pattern, with these words.
        label: what it is called, e.g. "handle leg".
    """

    role: MarkRole
    owner: str
    points: tuple[Point, ...]
    style: MarkStyle
    label: Template
    face: Face | None = None
    side: Side | None = None
    closed: bool = False
    end: Sentence | None = None


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Piece(Compared):
    """One flat piece, as it is cut.

    Not slotted: its outline and its bounds are reckoned when they are first asked, and kept.

    Attributes:
        id: unique in its bag.
        label: what it is called, e.g. "front pocket".
        edges: the closed cut line, counter-clockwise; each ends where the next starts.
        marks: placement lines, halfway marks and the like.
        count: how many to cut from each goods.
        turn: how it may be turned on the goods.
        upright: which way what is printed on it stands in the bag.
        grain: unit vector of the lengthwise grain, towards the end that is up on goods with a
            top: a print or a nap.
        notes: short sentences for the maker, lengths in mm until shown.
        rough: corners of what is cut first, mm, counter-clockwise, where the cut line is only
            trimmed to later; None: the cut line itself.
        trimmed: whether a piece with a rough outline is trimmed to its cut line at all.
        sized_by: names of the cut figures that its width and its height come from.
    """

    id: PieceId
    label: Template
    edges: tuple[Edge, ...]
    folds: tuple[Fold, ...] = ()
    marks: tuple[Mark, ...] = ()
    count: int = 1
    cut_from: CutFrom = CutFrom.CLOTH
    turn: GrainTurn = GrainTurn.HALF
    upright: Upright = Upright.NOTHING
    grain: Point = (0.0, 1.0)
    notes: tuple[Sentence, ...] = ()
    rough: tuple[Point, ...] | None = None
    trimmed: bool = True
    sized_by: tuple[str, str] = ("", "")

    def edge(self, edge_id: EdgeId) -> Edge:
        """The edge of that id; KeyError when there is none."""
        for edge in self.edges:
            if edge.id == edge_id:
                return edge
        raise KeyError(edge_id)

    @cached_property
    def outline(self) -> tuple[Point, ...]:
        """The cut line, mm, counter-clockwise, arcs flattened, edges of no length left out."""
        edges = [edge for edge in self.edges if edge.length > 0]
        if not any(edge.turn for edge in edges):
            return tuple(edge.start for edge in edges)
        return tuple(point for edge in edges for point in edge.points())

    @property
    def cut_outline(self) -> tuple[Point, ...]:
        """What is cut from the goods, mm, counter-clockwise: its rough outline where it has one."""
        return self.rough or self.outline

    @property
    def cut_sides(self) -> tuple[tuple[Point, Point], ...]:
        """Sides of its rough outline, mm; none where it has no such outline."""
        rough = self.rough
        return () if rough is None else tuple(zip(rough, (*rough[1:], *rough[:1]), strict=True))

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """(left, bottom, right, top) of the cut line, mm."""
        points = [edge.start for edge in self.edges]
        points += [point for edge in self.edges if edge.turn for point in edge.extremes]
        xs, ys = zip(*points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def perimeter(self) -> float:
        """Once around the cut line, mm."""
        return math.fsum(abs(edge.length) for edge in self.edges)

    @property
    def cut_perimeter(self) -> float:
        """Once around what is cut from the goods, mm."""
        if self.rough is None:
            return self.perimeter
        return math.fsum(map(math.dist, self.rough, (*self.rough[1:], self.rough[0])))

    @property
    def area(self) -> float:
        """Within the cut line, mm2."""
        corners = [edge.start for edge in self.edges if edge.length > 0]
        following = (*corners[1:], *corners[:1])
        pairs = zip(corners, following, strict=True)
        chords = math.fsum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)
        arcs = (
            edge.radius**2 * (edge.turn - math.sin(edge.turn)) for edge in self.edges if edge.turn
        )
        return abs(chords + math.fsum(arcs)) / 2

    @property
    def width(self) -> float:
        """Across, mm."""
        left, _, right, _ = self.bounds
        return right - left

    @property
    def height(self) -> float:
        """Along, mm."""
        _, bottom, _, top = self.bounds
        return top - bottom


def turned(vector: Point, angle: float) -> Point:
    """A vector turned to the left by an angle, radians."""
    (x, y), sine, cosine = vector, math.sin(angle), math.cos(angle)
    return x * cosine - y * sine, x * sine + y * cosine


def along(heading: Point, start: Point, end: Point) -> float:
    """Signed distance from start to end measured along a unit vector, mm."""
    return (end[0] - start[0]) * heading[0] + (end[1] - start[1]) * heading[1]


def point_between(one: Point, other: Point, share: float) -> Point:
    """The point that is so far on the way from one to the other: 0 to 1."""
    return one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])


def edge_between(
    edge_id: EdgeId,
    start: Point,
    end: Point,
    *,
    allowance: float,
    label: Template = NO_TEXT,
    turn: float = 0.0,
) -> Edge:
    """An edge with the heading of its own two points; with a turn, radians, an arc.

    A ValueError where the points coincide, so that there is no direction.
    """
    length = math.hypot(end[0] - start[0], end[1] - start[1])
    if length == 0.0:
        raise ValueError(f"edge {edge_id} has no length and no heading")
    heading = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    return Edge(edge_id, start, end, allowance, heading, label, turn)


def rectangle(
    names: tuple[tuple[EdgeId, Template], ...],
    size: Point,
    *,
    allowances: tuple[float, float, float, float],
    corner: Point = (0.0, 0.0),
) -> tuple[Edge, ...]:
    """Four edges, counter-clockwise from the bottom one.

    Args:
        names: id and label of the bottom, right, top and left edge.
        size: (width, height), mm, both > 0.
        allowances: in the order of the names, mm.
        corner: lower left, mm.
    """
    (x, y), (w, h) = corner, size
    corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
    ends = (*corners[1:], corners[0])
    ids, labels = zip(*names, strict=True)
    return tuple(map(Edge, ids, corners, ends, allowances, _HEADINGS, labels))


_HEADINGS = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))
"""Of the edges of a rectangle."""


class Out(Enum):
    """Which way a dimension line is moved off what it measures: (right, down) on the screen."""

    # That of an Enum is Python code, and each size is looked up by where it stands.
    __hash__ = object.__hash__

    LEFT = (-1, 0)
    RIGHT = (1, 0)
    ABOVE = (0, -1)
    BELOW = (0, 1)
    ON = (0, 0)

    @property
    def step(self) -> tuple[int, int]:
        """(right, down)."""
        return self._value_


class Dimension(NamedTuple):
    """One size.

    Attributes:
        label: what it is; empty when the number says enough.
        start, end: what is measured, level or upright.
        out: which way its line is moved off it.
        row: 0 for the line next to the piece.
    """

    label: Template
    start: Point
    end: Point
    out: Out
    row: int = 0

    @property
    def length(self) -> float:
        """The size, mm."""
        return abs(self.end[0] - self.start[0]) + abs(self.end[1] - self.start[1])

    @property
    def level(self) -> bool:
        """Whether it runs across."""
        return self.start[1] == self.end[1]


def overall(
    piece: Piece, across: CutFigure | None = None, along: CutFigure | None = None
) -> tuple[Dimension, ...]:
    """Width below and height on the left, called by the figures that they are."""
    left, bottom, right, top = piece.bounds
    names = [figure.label if figure is not None else NO_TEXT for figure in (across, along)]
    return (
        Dimension(names[0], (left, bottom), (right, bottom), Out.BELOW),
        Dimension(names[1], (left, bottom), (left, top), Out.LEFT),
    )
