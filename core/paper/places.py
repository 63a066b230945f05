"""Free places: where a text or an arrow fits on a piece without touching anything drawn.

Everything drawn counts as an upright box; a text is tried at a few places around the
wanted one, the nearest first. Plain Python: the few boxes of a piece cost less than
handing them to an array library, and the screen asks for this at every step. mm.
"""

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise

from core.flat.piece import Point

Box = tuple[float, float, float, float]
"""(left, bottom, right, top)."""

_STEPS = 7
"""Places tried to each side of the wanted one, along each axis."""
_ACROSS = 0.9
"""Share of the piece from which a line counts as running all the way across it."""


class Places:
    """What is taken on one piece; it grows as texts are placed."""

    def __init__(self, outline: tuple[Point, ...], lines: Iterable[tuple[Point, ...]]) -> None:
        self._outline = outline
        xs, ys = zip(*outline, strict=True)
        self._bounds: Box = (min(xs), min(ys), max(xs), max(ys))
        self._taken: list[Box] = []
        self._texts: list[Box] = []
        self.take_line((*outline, outline[0]))
        self._rim = list(self._taken)
        for line in lines:
            self.take_line(line)
        self._bands_x = self._bands(0)
        self._bands_y = self._bands(1)

    def take_line(self, points: tuple[Point, ...]) -> None:
        """Keep texts off a polyline."""
        for (x0, y0), (x1, y1) in pairwise(points):
            self._taken.append((min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))

    def keep_off(self, points: tuple[Point, ...]) -> None:
        """Keep texts off the upright box around these points."""
        xs, ys = zip(*points, strict=True)
        self._taken.append((min(xs), min(ys), max(xs), max(ys)))

    def find(
        self,
        width: float,
        height: float,
        wanted: Point,
        *,
        near: float = math.inf,
        across_lines: bool = False,
        keep_off: Iterable[tuple[Point, Point]] = (),
    ) -> Point | None:
        """Middle of a free box of this size, the wanted one where that is free.

        The box found is taken. `across_lines` keeps it off texts and the rim only; `keep_off`
        are straight lines that this box alone keeps off, along x or y. None
        when there is no room on the piece, or none whose middle lies within `near` of the
        wanted point.
        """
        taken = (self._rim if across_lines else self._taken) + self._texts
        off = [
            (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)) for (x0, y0), (x1, y1) in keep_off
        ]
        taken += off
        if not across_lines and not self._can_hold(width, height):
            return None
        half_width, half_height = width / 2, height / 2
        for x, y in self._tries(width, height, wanted, near, off):
            left, right = x - half_width, x + half_width
            bottom, top = y - half_height, y + half_height
            for box in taken:
                if box[0] < right and box[2] > left and box[1] < top and box[3] > bottom:
                    break
            else:
                if self._inside(x, y):
                    self._texts.append((left, bottom, right, top))
                    return x, y
        return None

    def _can_hold(self, width: float, height: float) -> bool:
        """A quick no: lines all the way across leave bands that are too narrow."""
        return any(high - low >= width for low, high in self._bands_x) and any(
            high - low >= height for low, high in self._bands_y
        )

    def _bands(self, axis: int) -> list[tuple[float, float]]:
        """Between the lines that run all the way across the other axis."""
        other = 1 - axis
        reach = _ACROSS * (self._bounds[other + 2] - self._bounds[other])
        cuts = {self._bounds[axis], self._bounds[axis + 2]}
        cuts |= {
            box[axis]
            for box in self._taken
            if box[axis] == box[axis + 2] and box[other + 2] - box[other] >= reach
        }
        return list(pairwise(sorted(cuts)))

    def _tries(
        self, width: float, height: float, wanted: Point, near: float, off: list[Box]
    ) -> Iterator[Point]:
        xs = self._along(0, width, wanted[0], near, self._bands_x) | self._between(0, width, off)
        ys = self._along(1, height, wanted[1], near, self._bands_y) | self._between(1, height, off)
        x0, y0 = wanted
        if x0 in xs and y0 in ys:
            yield wanted  # mostly free: the others need not be put in order
        places = sorted((math.hypot(x - x0, y - y0), x, y) for x in xs for y in ys)
        for away, x, y in places:
            if away > near:
                return
            yield x, y

    def _along(
        self, axis: int, size: float, wanted: float, near: float, bands: list[tuple[float, float]]
    ) -> set[float]:
        """Middles to try along one axis: the wanted one, steps from it, narrow bands' middles."""
        low, high = self._bounds[axis] + size / 2, self._bounds[axis + 2] - size / 2
        step = min(near, high - low) / _STEPS
        tries = {wanted + i * step for i in range(-_STEPS, _STEPS + 1)}
        for start, end in bands:
            if size <= end - start < 4 * size:
                # In a narrow band only its middle looks right.
                tries = {each for each in tries if not start < each < end}
                tries.add((start + end) / 2)
        return {each for each in tries if low <= each <= high}

    def _between(self, axis: int, size: float, off: list[Box]) -> set[float]:
        """Along one axis the middles between lines to keep off, where there is room."""
        if not off:
            return set()
        low, high = self._bounds[axis], self._bounds[axis + 2]
        cuts = [box[axis] for box in off if box[axis] == box[axis + 2] and low < box[axis] < high]
        stops = sorted({low, high, *cuts})
        return {(a + b) / 2 for a, b in pairwise(stops) if b - a >= size}

    def _inside(self, x: float, y: float) -> bool:
        """Whether a point lies in the piece: even-odd rule."""
        inside = False
        (px, py) = self._outline[-1]
        for qx, qy in self._outline:
            if (py > y) != (qy > y) and x < px + (y - py) / (qy - py) * (qx - px):
                inside = not inside
            px, py = qx, qy
        return inside
