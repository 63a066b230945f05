"""Flat boxes and rigid motions, and cutting flat polygons and polylines by half planes, mm.

A half plane is (a, b, c): the points with a x + b y <= c. Plain tuples, because the polygons
have four to six corners and there are a hundred of them: arrays are slower.
"""

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from core.flat.piece import Point, point_between

HalfPlane = tuple[float, float, float]
Bounds = tuple[float, float, float, float]
"""(left, bottom, right, top)."""

_ON = 1e-7
"""mm; a point so near to the border lies on it."""


_FEW = 8
"""A line of more points has arcs."""


def corners_of(box: Bounds) -> tuple[Point, ...]:
    """Of a box, counter-clockwise from the lower left."""
    left, bottom, right, top = box
    return (left, bottom), (right, bottom), (right, top), (left, top)


class Frame2(NamedTuple):
    """From the frame of one thing into that of another, which may mirror, mm.

    (x, y) goes to origin + x * right + y * up; `right`, `up`: orthogonal unit vectors.
    """

    origin: Point = (0.0, 0.0)
    right: Point = (1.0, 0.0)
    up: Point = (0.0, 1.0)

    def at(self, point: Point) -> Point:
        """Where a point goes."""
        ((x0, y0), (rx, ry), (ux, uy)), (x, y) = self, point
        return x0 + x * rx + y * ux, y0 + x * ry + y * uy

    def back(self, point: Point) -> Point:
        """Where a point comes from."""
        (x0, y0), (rx, ry), (ux, uy), (x, y) = self.origin, self.right, self.up, point
        x, y = x - x0, y - y0
        return x * rx + y * ry, x * ux + y * uy

    @property
    def inverse(self) -> "Frame2":
        """The motion back."""
        (rx, ry), (ux, uy) = self.right, self.up
        return Frame2(self.back((0.0, 0.0)), (rx, ux), (ry, uy))

    def plane_at(self, plane: HalfPlane) -> HalfPlane:
        """The image of a half plane."""
        ((x0, y0), (rx, ry), (ux, uy)), (a, b, c) = self, plane
        a, b = a * rx + b * ux, a * ry + b * uy
        return a, b, c + a * x0 + b * y0

    def plane_back(self, plane: HalfPlane) -> HalfPlane:
        """The half plane whose image is this one."""
        (x0, y0), (rx, ry), (ux, uy), (a, b, c) = self.origin, self.right, self.up, plane
        return a * rx + b * ry, a * ux + b * uy, c - a * x0 - b * y0


def thinned(points: Sequence[Point], chord: float) -> Sequence[Point]:
    """A polyline without what of its arcs lies nearer together than a length, mm.

    Every point stays that a longer line leads to or from, and so each corner of straight lines.
    """
    if len(points) <= _FEW:
        return points
    kept = [points[0]]
    for at, following in pairwise(points[1:]):
        if math.dist(kept[-1], at) >= chord or math.dist(at, following) >= chord:
            kept.append(at)
    return [*kept, points[-1]]


def distance_to_segment(at: Point, start: Point, end: Point) -> float:
    """From a point to the nearest point of a segment, which may have no length."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    px, py = at[0] - start[0], at[1] - start[1]
    squared = dx * dx + dy * dy
    share = 0.0 if squared == 0.0 else min(max((px * dx + py * dy) / squared, 0.0), 1.0)
    return math.hypot(px - share * dx, py - share * dy)


def clip_polygon(corners: Sequence[Point], planes: Iterable[HalfPlane]) -> list[Point]:
    """The part of a convex polygon inside every half plane; empty when nothing is left."""
    kept = list(corners)
    if not kept:
        return []
    for plane in planes:
        a, b, c = plane
        apart = [a * x + b * w - c for x, w in kept]
        if max(apart) > _ON:
            kept = _cut(kept, apart)
            if len(kept) < 3:
                return []
    return kept


def _cut(corners: list[Point], apart: list[float]) -> list[Point]:
    cut: list[Point] = []
    for i, corner in enumerate(corners):
        before = apart[i - 1]
        if (before > _ON and apart[i] < -_ON) or (before < -_ON and apart[i] > _ON):
            cut.append(point_between(corners[i - 1], corner, before / (before - apart[i])))
        if apart[i] <= _ON:
            cut.append(corner)
    # What touches the border from outside leaves a line, no area.
    return cut if min(apart) < -_ON else []


def clip_segment(
    start: Point, end: Point, planes: Iterable[HalfPlane]
) -> tuple[Point, Point] | None:
    """The part of a segment inside every half plane, its ends in order; None for none."""
    low, high = 0.0, 1.0
    (x0, y0), (x1, y1) = start, end
    for a, b, c in planes:
        first, last = a * x0 + b * y0 - c, a * x1 + b * y1 - c
        if first > _ON:
            if last > _ON:
                return None
            share = first / (first - last)
            low = share if share > low else low
        elif last > _ON:
            share = first / (first - last)
            high = share if share < high else high
    length = abs(x1 - x0) + abs(y1 - y0)
    if (high - low) * length <= 10 * _ON:
        return None
    return (
        start if low == 0.0 else point_between(start, end, low),
        end if high == 1.0 else point_between(start, end, high),
    )
