"""The wall of a bag laid out flat: its quarter and the three mirror images of it, side by side.

(x, u), mm: x to the right, u positive on the front and negative on the back. A zone across which
the wall is cut open there, such as the middle of a strip that closes a ring, lies on it in parts.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from core.flat.geometry import Frame2, HalfPlane, clip_polygon, clip_segment
from core.flat.piece import Point
from core.space.patches import Copy, Quarter
from core.space.zones import Zone

_LEAST = 1e-3
"""Share of a zone below which what a copy has of it is none."""


class FlatPart(NamedTuple):
    """What of a zone lies on the plane in one piece.

    Attributes:
        frame: from the frame of its piece into (x, u).
        limits: what parts it from the rest of the zone, in the frame of the piece.
    """

    frame: Frame2
    limits: tuple[HalfPlane, ...]


class FlatWall:
    """Where everything on the zones of a wall lies on the plane.

    Attributes:
        parts: of each zone, at least one.
    """

    def __init__(self, zones: Sequence[Zone], quarter: Quarter) -> None:
        self.parts = tuple(_parts_of(zone, quarter) for zone in zones)

    def polygons(self, zone: int, corners: Sequence[Point]) -> list[list[Point]]:
        """Where a convex shape on a zone lies."""
        first, *others = self.parts[zone]
        if not others:
            return [[first.frame.at(corner) for corner in corners]]
        kept = [(part.frame, clip_polygon(corners, part.limits)) for part in self.parts[zone]]
        return [[frame.at(corner) for corner in shape] for frame, shape in kept if shape]

    def segments(self, zone: int, start: Point, end: Point) -> list[tuple[Point, Point]]:
        """Where a straight line on a zone lies."""
        first, *others = self.parts[zone]
        if not others:
            return [(first.frame.at(start), first.frame.at(end))]
        kept = [(part.frame, clip_segment(start, end, part.limits)) for part in self.parts[zone]]
        return [(frame.at(line[0]), frame.at(line[1])) for frame, line in kept if line is not None]

    def at(self, zone: int, point: Point) -> Point:
        """Where a point of a zone lies."""
        return min(self.parts[zone], key=lambda part: _beyond(part.limits, point)).frame.at(point)


def _beyond(limits: Sequence[HalfPlane], point: Point) -> float:
    """How far a point lies outside of what they bound, mm."""
    return max((a * point[0] + b * point[1] - c for a, b, c in limits), default=0.0)


def _parts_of(zone: Zone, quarter: Quarter) -> tuple[FlatPart, ...]:
    """One for each place at which copies of its piece lay it on the plane."""
    copies = [each for each in quarter.copies if each.piece == zone.piece]
    count = len(zone.outline)
    x, y = (sum(values) / count for values in zip(*zone.outline, strict=True))
    copies.sort(key=lambda each: _beyond(each.limits, (x, y)))
    least = _LEAST * abs(_area(zone.outline))
    found: dict[tuple[float, ...], list[Copy]] = {}
    frames: dict[tuple[float, ...], Frame2] = {}
    for i, each in enumerate(copies):
        if i and abs(_area(clip_polygon(zone.outline, each.limits))) <= least:
            continue
        right, back = each.signs
        frame = Frame2(*((right * x, -back * y) for x, y in each.frame))
        key = tuple(round(value, 6) + 0.0 for place in frame for value in place)
        found.setdefault(key, []).append(each)
        frames.setdefault(key, frame)
    if len(found) == 1:
        return tuple(FlatPart(frame, ()) for frame in frames.values())
    return tuple(FlatPart(frames[key], _shared(own)) for key, own in found.items())


def _shared(copies: Sequence[Copy]) -> tuple[HalfPlane, ...]:
    """What bounds all of them: where they meet one another is no border."""
    first, *others = copies
    return tuple(
        plane for plane in first.limits if all(_same(plane, each.limits) for each in others)
    )


def _same(plane: HalfPlane, limits: Sequence[HalfPlane]) -> bool:
    return any(
        all(math.isclose(one, other, abs_tol=1e-6) for one, other in zip(plane, each, strict=True))
        for each in limits
    )


def _area(corners: Sequence[Point]) -> float:
    """Signed, mm²."""
    turned = zip(corners, (*corners[1:], *corners[:1]), strict=True)
    return math.fsum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in turned) / 2
