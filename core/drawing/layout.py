"""Pieces beside each other on one sheet: the same way for the same bag, always. mm."""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from core.drawing.records import DrawingRecord, Line, Polygon, Text
from core.flat.geometry import Bounds
from core.flat.piece import Point

_SLACK = 1e-6


class PiecePlace(NamedTuple):
    """Where a piece lies: turned first (a quarter turn counter-clockwise), then moved by mm."""

    dx: float
    dy: float
    turned: bool = False

    def point(self, point: Point) -> Point:
        """A point of the piece's frame on the sheet."""
        x, y = (-point[1], point[0]) if self.turned else point
        return x + self.dx, y + self.dy

    def back(self, point: Point) -> Point:
        """A point of the sheet in the piece's frame."""
        x, y = point[0] - self.dx, point[1] - self.dy
        return (y, -x) if self.turned else (x, y)


class Slab(NamedTuple):
    """Bounds of something to be laid out, mm, in its own frame.

    It may be allowed a quarter turn where it does not fit otherwise.
    """

    bounds: Bounds
    may_turn: bool = False

    def size(self, turned: bool) -> tuple[float, float]:
        """(width, height) as it would lie, mm."""
        left, bottom, right, top = self.bounds
        size = (right - left, top - bottom)
        return (size[1], size[0]) if turned else size


class Breaks(NamedTuple):
    """Where pages begin and end down a sheet.

    Attributes:
        page: usable length of one page, mm.
        overlap: what it shares with the page before and the page after it, mm.
        step: from the beginning of one page to that of the next, mm.
    """

    page: float
    step: float
    overlap: float

    def settled(self, depth: float, tall: float) -> float:
        """The depth moved down to the next page where a page would cut what fits on one."""
        row = int((depth + _SLACK) // self.step)
        if tall > self.page or depth + tall <= row * self.step + self.page + _SLACK:
            return depth
        below = (row + 1) * self.step
        # Below the shared strip, where there is room: nothing of it on the page before.
        return below + self.overlap if tall <= self.page - self.overlap else below


def lay_slabs(
    slabs: Sequence[Slab], *, gap: float, width: float, breaks: Breaks | None = None
) -> tuple[PiecePlace, ...]:
    """Put slabs side by side: each as near the top as it goes, then as far left.

    The first comes first; after it those that still fit beside it, the tallest first.
    The order of the answer is that of `slabs`. With `breaks`, whatever fits on one page
    is kept off the page joins.
    """
    turned = [_lies_turned(slab, width) for slab in slabs]
    sizes = [slab.size(turn) for slab, turn in zip(slabs, turned, strict=True)]
    room = width - sizes[0][0] - gap

    def order(place: int) -> tuple[bool, bool, float]:
        wide, tall = sizes[place]
        return place > 0, wide > room + _SLACK, -tall

    corners: dict[int, Point] = {}
    skyline: list[tuple[float, float, float]] = [(0.0, width, 0.0)]
    for place in sorted(range(len(slabs)), key=order):
        wide, tall = sizes[place]
        x, depth = _highest_place(skyline, (wide, tall), gap, width, breaks)
        corners[place] = (x, depth)
        skyline = _covered(skyline, x, x + wide + gap, depth + tall + gap)
    bottom = max(corners[place][1] + tall for place, (_, tall) in enumerate(sizes))
    return tuple(
        _placed(slab, turned[place], corners[place], bottom) for place, slab in enumerate(slabs)
    )


def sheet_size(slabs: Iterable[Slab], placed: Iterable[PiecePlace]) -> tuple[float, float]:
    """(width, height) that the placed slabs take, mm."""
    right = top = 0.0
    for slab, place in zip(slabs, placed, strict=True):
        left, bottom, far_right, far_top = slab.bounds
        for corner in ((left, bottom), (far_right, far_top)):
            x, y = place.point(corner)
            right, top = max(right, x), max(top, y)
    return right, top


def moved(record: DrawingRecord, place: PiecePlace) -> DrawingRecord:
    """The record as its piece lies on the sheet."""
    if isinstance(record, Text):
        angle = record.angle + (90.0 if place.turned else 0.0)
        return record._replace(at=place.point(record.at), angle=angle)
    points = tuple(place.point(point) for point in record.points)
    if isinstance(record, Line):
        return Line(record.ink, points, record.edge, record.piece)
    return Polygon(record.ink, points, record.piece)


def _lies_turned(slab: Slab, width: float) -> bool:
    wide, tall = slab.size(False)
    return slab.may_turn and wide > width + _SLACK and tall < wide


def _placed(slab: Slab, turned: bool, corner: Point, bottom: float) -> PiecePlace:
    """Upper left corner on the sheet, counted down, into the shift of the piece's frame."""
    left, low, _, high = slab.bounds
    x, depth = corner
    tall = slab.size(turned)[1]
    lower_left = (-high, left) if turned else (left, low)
    return PiecePlace(x - lower_left[0], bottom - depth - tall - lower_left[1], turned)


def _highest_place(
    skyline: list[tuple[float, float, float]],
    size: Point,
    gap: float,
    width: float,
    breaks: Breaks | None,
) -> tuple[float, float]:
    """(x, depth) of the place nearest to the top, then farthest left."""
    wide, tall = size
    best = (math.inf, 0.0)
    for start, _, _ in skyline:
        if start + wide > width + _SLACK and start > 0.0:
            continue
        end = start + wide + gap
        depth = max(deep for x0, x1, deep in skyline if x0 < end - _SLACK and x1 > start + _SLACK)
        best = min(best, (breaks.settled(depth, tall) if breaks else depth, start))
    return best[1], best[0]


def _covered(
    skyline: list[tuple[float, float, float]], left: float, right: float, depth: float
) -> list[tuple[float, float, float]]:
    """The skyline after something reaches down to `depth` between left and right."""
    kept: list[tuple[float, float, float]] = []
    for x0, x1, deep in skyline:
        if x0 < left:
            kept.append((x0, min(x1, left), deep))
        if x1 > right:
            kept.append((max(x0, right), x1, deep))
    return sorted([*kept, (left, right, depth)])
