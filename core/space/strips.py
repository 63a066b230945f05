"""Strips that bend round corners, and zones that turn about hinges. Lengths are mm.

A strip is told by itself first, (across, along), along from some place on it; its parts say on
which pieces it lies. Round an arc it is a few narrow flats, whose lengths are those of the cloth:
hinges between them turn so that the end lies where the end of the arc lies.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import Enum
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from core.base.tolerance import LENGTH_TOLERANCE, shorter
from core.flat.geometry import Frame2, HalfPlane
from core.flat.piece import Edge, Point
from core.flat.roles import Face, PieceId
from core.flat.stitch import StitchOutline
from core.space.zones import (
    CREASED,
    AreaKind,
    Frame,
    LineKind,
    Zone,
    add,
    cross,
    ease,
    minus,
    scaled,
)

FLATS = 6
"""Of a rounded corner: off the arc by less than 0.9 % of its radius."""


class Hinge(NamedTuple):
    """A line about which a zone turns against the one that bears it.

    Attributes:
        key, bearer: of the zone that turns, and of that which it hangs on.
        start, end: on the line, in the frame of the bearer's piece; seen from outside, the zone
            lies to the left of the way from start to end.
        turn: until it is sewn, radians; > 0 into the bag.
        lie: from the frame of the zone's piece into that of the bearer's, while both lie flat and
            are joined; it does not mirror.
        gap: how far it lies off the line at first, in its own plane, mm: of pieces not yet joined.
        span: the moments from which to which it turns, and closes the gap.
    """

    key: Enum
    bearer: Enum
    start: Point
    end: Point
    turn: float
    lie: Frame2 = Frame2()
    gap: float = 0.0
    span: tuple[float, float] = (0.0, 1.0)


def hinged(
    standing: Mapping[Enum, Frame], hinges: Iterable[Hinge], at: float, *, apart: float = 1.0
) -> dict[Enum, Frame]:
    """Where zones stand at a moment, 0 to 1, in the frames of their pieces.

    Args:
        standing: where those stand that turn about nothing.
        hinges: of all others; a zone that bears comes before what hangs on it, or is a KeyError.
        at: the moment.
        apart: how much of its gap each of them still has by then, beside what its span leaves.
    """
    found = dict(standing)
    for hinge in hinges:
        bearer, (begin, end) = found[hinge.bearer], hinge.span
        share = ease((at - begin) / (end - begin))
        pivot = bearer.at(hinge.start)
        way = minus(bearer.at(hinge.end), pivot)
        axis = scaled(way, 1.0 / math.hypot(*way))
        frame = laid_in(bearer, hinge.lie).turned(pivot, axis, -share * hinge.turn)
        gap = hinge.gap * apart
        if gap:
            off = scaled(cross(frame.normal, axis), gap * (1.0 - share))
            frame = frame._replace(origin=add(frame.origin, off))
        found[hinge.key] = frame
    return found


def way_to(key: Enum, hinges: Iterable[Hinge]) -> list[Hinge]:
    """Those that bear a zone, from the first of them to its own: no other moves it."""
    by_key = {hinge.key: hinge for hinge in hinges}
    found: list[Hinge] = []
    while key in by_key:
        found.append(by_key[key])
        key = by_key[key].bearer
    return found[::-1]


def laid_in(bearer: Frame, lie: Frame2) -> Frame:
    """Where a piece stands that lies so in the frame of another one's piece."""
    (a, b, c), (d, e, f) = bearer.across, bearer.up
    (rx, ry), (ux, uy) = lie.right, lie.up
    return Frame(
        bearer.at(lie.origin),
        (a * rx + d * ry, b * rx + e * ry, c * rx + f * ry),
        (a * ux + d * uy, b * ux + e * uy, c * ux + f * uy),
    )


class StripStretch(NamedTuple):
    """A part of a strip: straight, an arc, or a square corner.

    Attributes:
        length: of the cloth, mm; 0 of a square corner.
        turn: in all, radians, > 0 into the bag; 0 of a straight one.
        region, floor: as of its zones.
    """

    length: float
    turn: float = 0.0
    region: Face | None = None
    floor: bool = False


class StripPart(NamedTuple):
    """The part of a strip that one piece makes.

    Attributes:
        low, high: from where to where along the strip, mm.
        frame: from (across, along) of the strip into the frame of the piece; it does not mirror.
        kind: of its zones.
    """

    piece: PieceId
    low: float
    high: float
    frame: Frame2
    kind: AreaKind = AreaKind.WALL


class Flat(NamedTuple):
    """What of a bent strip is flat.

    Attributes:
        low, high: from where to where along the strip, mm.
        turn: at its low end, against the flat before, radians.
        stretch, part: which ones it belongs to.
    """

    low: float
    high: float
    turn: float
    stretch: StripStretch
    part: StripPart


class BentStrip(NamedTuple):
    """A strip as it is bent in the sewn bag.

    Attributes:
        flats: one after the other along it.
        left, right: its stitch lines, across.
    """

    flats: tuple[Flat, ...]
    left: float
    right: float

    def root(self, along: float) -> int:
        """Place of the flat that has this place of the strip in it."""
        return next(
            (i for i, each in enumerate(self.flats) if shorter(along, each.high)),
            len(self.flats) - 1,
        )

    def zones(self, keys: Sequence[Enum]) -> tuple[Zone, ...]:
        """One for each flat, with the keys at their places; hinges that turn are creases."""
        return tuple(self._zones(keys))

    def _zones(self, keys: Sequence[Enum]) -> Iterator[Zone]:
        left, right = self.left, self.right
        turns = [0.0, *(each.turn for each in self.flats[1:]), 0.0]
        part: StripPart | None = None
        for i, each in enumerate(self.flats):
            low, high, frame = each.low, each.high, each.part.frame
            if each.part is not part:
                part = each.part
                at_left = frame.plane_at((-1.0, 0.0, -left))
                at_right = frame.plane_at((1.0, 0.0, right))
            a, b, c, d = map(frame.at, ((left, low), (right, low), (right, high), (left, high)))
            ends = map(frame.plane_at, ((0.0, -1.0, -low), (0.0, 1.0, high)))
            folds = ((turns[i], a, b), (turns[i + 1], d, c))
            yield Zone(
                key=keys[i],
                piece=each.part.piece,
                kind=each.part.kind,
                region=each.stretch.region,
                outline=(a, b, c, d),
                limits=(*ends, at_left, at_right),
                folds=tuple(
                    [(LineKind.CREASE, one, two) for turn, one, two in folds if abs(turn) > CREASED]
                ),
                floor=each.stretch.floor,
            )

    def hinges(
        self,
        keys: Sequence[Enum],
        root: int,
        *,
        gap: float = 0.0,
        span: tuple[float, float] = (0.0, 1.0),
    ) -> tuple[Hinge, ...]:
        """Of all flats but the one at the place `root`, which bears the others.

        Args:
            keys: as of the zones.
            root: place of the one that is hung on nothing here.
            gap: between pieces until they are joined, mm.
            span: of all of them.
        """
        count = len(self.flats)
        upwards = [(i, i - 1) for i in range(root + 1, count)]
        downwards = [(i, i + 1) for i in range(root - 1, -1, -1)]
        found: list[Hinge] = []
        for i, bearer in (*upwards, *downwards):
            upper = self.flats[max(i, bearer)]
            part, own = self.flats[bearer].part, self.flats[i].part
            # Seen from outside, what lies further along is at the left of the way to the right.
            sides = (self.left, self.right) if i > bearer else (self.right, self.left)
            start, end = (part.frame.at((side, upper.low)) for side in sides)
            lie = Frame2() if own.piece == part.piece else between(own.frame, part.frame)
            found.append(
                Hinge(
                    key=keys[i],
                    bearer=keys[bearer],
                    start=start,
                    end=end,
                    turn=upper.turn,
                    lie=lie,
                    gap=0.0 if own.piece == part.piece else gap,
                    span=span,
                )
            )
        return tuple(found)


def bent_strip(
    stretches: Iterable[StripStretch],
    parts: Sequence[StripPart],
    sides: tuple[float, float],
    *,
    start: float = 0.0,
) -> BentStrip:
    """A strip cut into flats: a few for each arc, and cut once more where pieces meet.

    Args:
        stretches: along the strip; those without length only turn.
        parts: along the strip; the first and the last are its ends, however long they are.
        sides: its left and right stitch line, across, mm.
        start: where along the strip the first stretch starts, mm.
    """
    cuts = [part.low for part in parts[1:]]
    flats: list[Flat] = []
    at, turn = start, 0.0
    for stretch in stretches:
        if stretch.length <= LENGTH_TOLERANCE:
            turn += stretch.turn
            continue
        count = _flats_of(stretch)
        inner = _turn_within(stretch.turn, count)
        outer = (stretch.turn - (count - 1) * inner) / 2
        turn += outer
        step = stretch.length / count
        for number in range(count):
            ends = (at + number * step, at + (number + 1) * step)
            within = [cut for cut in cuts if shorter(ends[0], cut) and shorter(cut, ends[1])]
            for low, high in pairwise((ends[0], *within, ends[1])):
                part = parts[sum(cut < (low + high) / 2 for cut in cuts)]
                flats.append(Flat(low, high, turn, stretch, part))
                turn = 0.0
            turn = inner
        at, turn = at + stretch.length, outer
    return BentStrip(tuple(flats), *sides)


def _flats_of(stretch: StripStretch) -> int:
    """How many a stretch is bent in; of a part of a corner two or more, so that its end is met."""
    turn = abs(stretch.turn)
    return max(2, math.ceil(FLATS * turn / (math.pi / 2) - 1e-9)) if turn else 1


@lru_cache(maxsize=32)
def _turn_within(turn: float, count: int) -> float:
    """At each hinge within an arc, radians, so that its flats end where it ends.

    Flats as long as their part of the arc reach a little too far where every hinge turns alike:
    those within turn a little more, those at both ends less.
    """
    if count == 1:
        return 0.0
    reach = 2 * count * math.sin(turn / 2) / turn
    low, high = abs(turn) / count, abs(turn) / (count - 1)
    for _ in range(60):
        middle = (low + high) / 2
        if math.sin(count * middle / 2) > reach * math.sin(middle / 2):
            low = middle
        else:
            high = middle
    return math.copysign(low, turn)


def between(one: Frame2, other: Frame2) -> Frame2:
    """From where `one` leads into where `other` leads, by what both start from."""
    back = one.inverse
    (x0, y0) = origin = other.at(back.origin)
    corners = (back.at((1.0, 0.0)), back.at((0.0, 1.0)))
    (x1, y1), (x2, y2) = map(other.at, corners)
    return Frame2(origin, (x1 - x0, y1 - y0), (x2 - x0, y2 - y0))


_BEND = 0.2
"""How far the lines of an arc may lie off it, mm."""


def bends(arc: Edge, count: int | None = None) -> tuple[Point, ...]:
    """The ends of the straight lines that an arc is drawn in, so many or as many as it takes."""
    return arc.divided(count) if count else (*arc.points(_BEND), arc.end)


def bent_outline(edges: Iterable[Edge]) -> tuple[Point, ...]:
    """A closed line of edges, mm, arcs as they are drawn in space."""
    return tuple(
        point for edge in edges for point in (bends(edge)[:-1] if edge.turn else (edge.start,))
    )


def stitched_outline(outline: StitchOutline) -> tuple[Point, ...]:
    """The stitch lines of a piece, mm, counter-clockwise, arcs as they are drawn in space."""
    return bent_outline(outline.stitched(edge.id) for edge in outline.piece.edges)


def limits_of(outline: Sequence[Point]) -> tuple[HalfPlane, ...]:
    """The half planes of the sides of a convex outline, counter-clockwise."""
    found: list[HalfPlane] = []
    for (x0, y0), (x1, y1) in pairwise((*outline, outline[0])):
        length = math.hypot(x1 - x0, y1 - y0)
        a, b = (y1 - y0) / length, (x0 - x1) / length
        found.append((a, b, a * x0 + b * y0))
    return tuple(found)
