"""The bag in space, rigid: what moves, how, and what is measured on it. Plain data, mm.

A body says its folding: convex zones of its pieces, each in the frame of its piece, and where each
stands at every moment of the folding. Parts say what they lay on its faces, in the frame of a
face: x from its middle to the right, y up from its base line. What draws the folding bag knows
these, and no construction. Frame in space: x across from the middle of the bag, y from front to
back (the front looks towards -y), z up; frames are plain tuples, which need no numpy.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from enum import Enum
from typing import NamedTuple

from core.base.sentences import Sentence
from core.flat.geometry import Frame2, HalfPlane
from core.flat.piece import Point
from core.flat.roles import EdgeRef, Face, PieceId

Spatial = tuple[float, float, float]
"""A point or a way in space."""


class Frame(NamedTuple):
    """Where a flat region stands: (x, y) of its piece lies at origin + x * across + y * up, mm.

    `across`, `up`: orthogonal unit vectors; `across x up` points out of the bag: pieces are drawn
    from their right side.
    """

    origin: Spatial
    across: Spatial
    up: Spatial

    def at(self, point: Point) -> Spatial:
        """Where a point of the piece lies, mm."""
        ((x0, y0, z0), (ax, ay, az), (ux, uy, uz)), (x, y) = self, point
        return x0 + x * ax + y * ux, y0 + x * ay + y * uy, z0 + x * az + y * uz

    def all_at(self, points: Iterable[Point]) -> list[Spatial]:
        """Where points of the piece lie, mm."""
        (x0, y0, z0), (ax, ay, az), (ux, uy, uz) = self
        return [
            (x0 + x * ax + y * ux, y0 + x * ay + y * uy, z0 + x * az + y * uz) for x, y in points
        ]

    @property
    def normal(self) -> Spatial:
        """The unit vector out of the bag."""
        return cross(self.across, self.up)

    def turned(self, pivot: Spatial, axis: Spatial, angle: float) -> "Frame":
        """Turned about a unit axis through a point, radians (Rodrigues' formula)."""
        sine, rest = math.sin(angle), 1.0 - math.cos(angle)
        a, b, c = axis

        def turn(way: Spatial) -> Spatial:
            x, y, z = way
            u, v, w = b * z - c * y, c * x - a * z, a * y - b * x  # across the axis
            return (
                x + (u * sine + (b * w - c * v) * rest),
                y + (v * sine + (c * u - a * w) * rest),
                z + (w * sine + (a * v - b * u) * rest),
            )

        origin = add(pivot, turn(minus(self.origin, pivot)))
        return Frame(origin, turn(self.across), turn(self.up))


def ease(share: float) -> float:
    """A smooth way from 0 to 1: starts and ends at rest; held at both ends."""
    held = min(max(share, 0.0), 1.0)
    return held * held * (3.0 - 2.0 * held)


def add(one: Spatial, other: Spatial) -> Spatial:
    """The sum."""
    return one[0] + other[0], one[1] + other[1], one[2] + other[2]


def minus(one: Spatial, other: Spatial) -> Spatial:
    """The difference."""
    return one[0] - other[0], one[1] - other[1], one[2] - other[2]


def scaled(one: Spatial, factor: float) -> Spatial:
    """So many times as long."""
    return one[0] * factor, one[1] * factor, one[2] * factor


def dot(one: Spatial, other: Spatial) -> float:
    """The scalar product."""
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def cross(one: Spatial, other: Spatial) -> Spatial:
    """The vector product."""
    (a, b, c), (d, e, f) = one, other
    return b * f - c * e, c * d - a * f, a * e - b * d


class AreaKind(Enum):
    """What an area on the bag is."""

    # Asked some hundred times for a picture: that of an enum is told in Python.
    __hash__ = object.__hash__

    WALL = "wall"
    ALLOWANCE = "allowance"
    TIP = "tip"
    """Cloth beyond a seam that is sewn across it: seen until the bag is folded."""
    FLAT_TIP = "flat-tip"
    """The same flattened, as the seam is sewn: seen where a picture asks for it."""
    TAPE = "tape"
    LAID_ON = "laid on"
    BAND = "band"
    STIFFENER = "stiffener"
    FACING = "facing"
    """Cloth that is turned to the inside of a wall, and seen from there alone."""


class LineKind(Enum):
    """What a line on the bag is."""

    __hash__ = object.__hash__  # as that of areas

    CUT = "cut line"
    TRIM = "trim line"
    SEAM = "seam"
    FOLD = "fold"
    CREASE = "crease"
    TEETH = "teeth"
    TOPSTITCH = "topstitch"
    FREE_EDGE = "free edge"
    BAND_STITCHING = "band stitching"
    HALFWAY = "halfway"
    STIFFENER_EDGE = "stiffener edge"


class ZoneKey(Enum):
    """What a body names its zones by; those of a ring are made by their number."""

    __hash__ = object.__hash__  # as that of areas


CREASED = math.radians(30.0)
"""Where a wall turns less, from one zone to the next, it goes round a corner without a crease (own
choice: a rounded corner is a few narrow zones)."""


class ClosingRow(NamedTuple):
    """One of the pieces that lie side by side in what closes a mouth.

    Attributes:
        kind: WALL or TAPE.
        low, high: its two stitch lines, y as in `Closing`, mm.
        frame: from the piece into the (x, y) of the `Closing`.
    """

    piece: PieceId
    kind: AreaKind
    low: float
    high: float
    frame: Frame2


class Closing(NamedTuple):
    """What lies flat between the two edges of a mouth that it closes.

    Between the upper edges of front and back it is one piece, and x is that of the bag. In a ring
    of strips, or as a lid on four edges, it is several, and x runs along it, from its middle to
    the end at the right; `Mouth.ring` says which faces it lies between, and what its ends join.

    Attributes:
        piece: that can be opened.
        width: from the one stitch line to the other, mm: of all its pieces.
        frame: from that piece into (x, y): y from the front's, or the first panel's, stitch line
            on.
        rows: all its pieces, from that line on; none where it is one.
        length: of these from end to end on the stitch lines, mm.
        rolled: of a top that is rolled down nothing lies between the edges, and `piece` is the
            front's: how far below them front and back come together, mm.
        rolls, turn: in how many turns that is rolled in, and how thick each of them is, mm.
    """

    piece: PieceId
    width: float
    frame: Frame2
    rows: tuple[ClosingRow, ...] = ()
    length: float = 0.0
    rolled: float = 0.0
    rolls: int = 0
    turn: float = 0.0


class Zone(NamedTuple):
    """A flat convex region of a piece that moves as one. Lengths are mm, in the piece's frame.

    Attributes:
        key: its own name in its body; nobody else asks it.
        piece: whose region it is.
        kind: WALL or TAPE: what is seen of the piece.
        region: the face whose parts it carries; None where nothing is laid on.
        outline: convex, at least three corners.
        limits: what bounds it; the stitch lines of its piece last.
        folds: those of its sides that are a FOLD or a CREASE.
        floor: whether the sewn bag stands on it.
    """

    key: Enum
    piece: PieceId
    kind: AreaKind
    region: Face | None
    outline: tuple[Point, ...]
    limits: tuple[HalfPlane, ...]
    folds: tuple[tuple[LineKind, Point, Point], ...] = ()
    floor: bool = False


class Tip(NamedTuple):
    """Cloth of a piece beyond a seam that is sewn across it, as it is until then.

    Lengths are mm, in the frame of the piece.

    Attributes:
        zone: place in the folding of the zone that it moves with until the bag is folded.
        outline: between its stitch lines and folds; convex, apart from the zones.
        cut: the same with its allowances.
        cut_lines: sides of that along which no edge of the piece runs.
        lines: its seams and folds; `edge` is the one that runs on in a seam.
        under: place of the zone beside whose end it lies once it is flattened.
        flat: its lower half then, from one end of the seam across it to the middle and its end.
    """

    zone: int
    outline: tuple[Point, ...]
    cut: tuple[Point, ...]
    cut_lines: tuple[tuple[Point, Point], ...]
    lines: tuple[tuple[LineKind, Point, Point, EdgeRef | None], ...]
    under: int
    flat: tuple[Point, Point, Point]


class Plate(NamedTuple):
    """Zones of one piece that lie in one plane until the bag is folded.

    Attributes:
        zones: their places in the folding; the first bears the seam allowances.
        limits: its part of the piece, allowances included.
        side: of the sewn bag, on which it comes to lie.
        frame: from the piece into (x from the middle, height above the bottom) of that side.
    """

    zones: tuple[int, ...]
    limits: tuple[HalfPlane, ...]
    side: Face
    frame: Frame2


class Lie(NamedTuple):
    """Where a face lies on the pieces.

    Attributes:
        region: of the zones that may carry what is laid on the face.
        frame: from the face (x from its middle, y up from its base line) into the piece.
    """

    piece: PieceId
    region: Face
    frame: Frame2


Spot = tuple[int, Point]
"""A zone's place in the folding, and a point of its piece."""


class Measured(NamedTuple):
    """A finished figure between two spots of the sewn bag.

    Attributes:
        start, end: where it is measured.
        aside: the way in which its dimension line is set off the bag.
        anchors: where extension lines start from.
        follows_x, follows_y: the bag is alike at both sides (left and right; front and back):
            it is shown at the one that is seen.
        face: shown only where this one is seen.
        overall: a size of the whole bag, and not of something on it.
    """

    figure: str
    start: Spot
    end: Spot
    aside: Spatial
    anchors: tuple[Spot, Spot]
    follows_x: bool = False
    follows_y: bool = False
    face: Face | None = None
    overall: bool = True


class Gap(NamedTuple):
    """A place where a seam of the sewn bag does not meet.

    Attributes:
        face: at which end of the bag: LEFT or RIGHT.
        pucker: True when one edge is too long and stands off, False when the seam stays open.
        outlines: the openings, each nearly flat, mm in space.
        start, end: across the opening where it is widest.
    """

    face: Face
    figure: str
    pucker: bool
    outlines: tuple[tuple[Spatial, ...], ...]
    start: Spatial
    end: Spatial


Frames = Mapping[Enum, Frame]
"""Key of a zone -> where it stands."""


class Folding(NamedTuple):
    """The bag in space, rigid.

    Attributes:
        zones, plates: of the wall.
        frames: moment (0 flat, 1/2 folded, 1 sewn) -> every zone's; asked for 0 alone of what can
            only be shown flat.
        gaps: of the sewn bag, from its frames.
        sizes: measured on the sewn bag.
        lies: each face that parts may lie on -> where it lies on the pieces.
        brims: side -> height above which nothing holds a band: the top fold, or a hem.
        carriers: side -> the zone that its bands hang on.
        brim: both ends of the front's upper edge.
        closed: whether it is shut all round once it is sewn, so that its inside is not seen.
        mouth: corners around all that is open at the top of the sewn bag, but for its gaps; none
            where it is closed, or where a few zones alone could be hidden behind it.
        tips: what is seen until it is folded.
        across: edges sewn across the tips, which nothing shows on the folded bag.
        flat_only: why it can only be shown flat; None when it folds.
        remark: what about its folded shape is not as a maker would think; None for nothing.
    """

    zones: tuple[Zone, ...]
    plates: tuple[Plate, ...]
    frames: Callable[[float], Frames]
    gaps: Callable[[Frames], tuple[Gap, ...]]
    sizes: tuple[Measured, ...]
    lies: Mapping[Face, tuple[Lie, ...]]
    brims: Mapping[Face, float]
    carriers: Mapping[Face, int]
    brim: tuple[Spot, Spot]
    closed: bool
    mouth: tuple[Spot, ...] = ()
    tips: tuple[Tip, ...] = ()
    across: frozenset[EdgeRef] = frozenset()
    flat_only: Sentence | None = None
    remark: Sentence | None = None


def mostly_on(face: Face, low: float, high: float) -> tuple[Face, float]:
    """Where something lies that may hang past the bottom line of front or back.

    On the face that it was meant for it reaches from `low` to `high`, mm. That gives the face with
    most of it; and 1, or -1 where that is the other one, on which it lies upside down.
    """
    if low + high >= 0.0:
        return face, 1.0
    return (Face.BACK if face is Face.FRONT else Face.FRONT), -1.0


class FaceArea(NamedTuple):
    """Cloth or board on a face; convex."""

    face: Face
    kind: AreaKind
    piece: PieceId
    points: tuple[Point, ...]


class FaceLine(NamedTuple):
    """A straight line on a face; `edge` where it is the stitch line of one of the part's."""

    face: Face
    kind: LineKind
    start: Point
    end: Point
    edge: EdgeRef | None = None


class Band(NamedTuple):
    """A strip that leaves a face where its stitching stops, and stands free above the brim.

    Attributes:
        width: mm.
        line: its middle from stop to stop, in the frame of the face, when it is held up.
    """

    face: Face
    piece: PieceId
    width: float
    line: tuple[Point, ...]


class Laid(NamedTuple):
    """What a part shows on the bag, in the order in which it is laid on."""

    areas: tuple[FaceArea, ...] = ()
    lines: tuple[FaceLine, ...] = ()
    bands: tuple[Band, ...] = ()
