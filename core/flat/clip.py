"""Cutting flat polygons and polylines by half planes, mm.

A half plane is (a, b, c): the points with a x + b y <= c. Plain tuples, because the
polygons have four to six corners and there are a hundred of them: arrays are slower.
"""

from collections.abc import Iterable, Sequence

from core.flat.piece import Point, point_between

HalfPlane = tuple[float, float, float]

_ON = 1e-7
"""mm; a point so near to the border lies on it."""


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
            low = max(low, first / (first - last))
        elif last > _ON:
            high = min(high, first / (first - last))
    length = abs(x1 - x0) + abs(y1 - y0)
    if (high - low) * length <= 10 * _ON:
        return None
    return (
        start if low == 0.0 else point_between(start, end, low),
        end if high == 1.0 else point_between(start, end, high),
    )
