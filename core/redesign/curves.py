"""The curve that cuts a polytope where one handle drop is exact, and what curves are made of.

Along a curve each place leaves a polytope. What can be reached along it without a gap is
one stretch; a stretch may be a single place.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from core.redesign.polytope import Polytope, Taut, quadratic_roots
from core.redesign.space import Vector

_SAME = 1e-9
"""mm, or share of a volume: nearer than this is the same."""
_TANGENTS = 3
_LOOSE = 1e-7
"""mm; how much further out than tangents and chord what lies about a curve is cut."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of a curve without a gap.

    Attributes:
        low, high: its ends; the same for a single place.
        cut: (c, n) corners of what a place of it leaves of the polytope; none beyond its ends.
    """

    low: float
    high: float
    cut: Callable[[float], Vector]

    @property
    def middle(self) -> Vector:
        """(c, n) corners well within it."""
        corners = self.cut((self.low + self.high) / 2)
        return corners if len(corners) else self.cut(self.low)

    def places(self, count: int) -> list[float]:
        """So many places from end to end; one where there is no more."""
        if self.high <= self.low:
            return [self.low]
        places: list[float] = np.linspace(self.low, self.high, count).tolist()
        return places


def drop_curve(polytope: Polytope, taut: Taut, drop: float) -> list[Stretch]:
    """Where a handle drops exactly so: by rise, which settles the free length.

    Seen in rise and free length the polytope is a polygon, so that the curve crosses it at
    roots of quadratics.
    """
    corners = polytope.corners
    if not len(corners):
        return []

    def cut(rise: float) -> Vector:
        free = float(taut.needed(drop, np.array([rise]))[0])
        level = polytope.where(taut.rise.slope, rise - taut.rise.base)
        return level.where(taut.free.slope, free - taut.free.base).corners

    ends = _crossings(corners, taut, drop)
    found: list[Stretch] = []
    for place, low in enumerate(ends):
        high = ends[place + 1] if place + 1 < len(ends) else low
        if high == low or not len(cut((low + high) / 2)):
            high = low
        if found and found[-1].high == low:
            found[-1] = Stretch(found[-1].low, high, cut)
        elif len(cut(low)) or high > low:
            found.append(Stretch(low, high, cut))
    return found


def around_curve(polytope: Polytope, taut: Taut, drop: float) -> Polytope:
    """What of a polytope lies about the curve: between its chord and tangents to it.

    The free length that is needed is convex in the rise, so that all of the curve is kept.
    """
    if not len(polytope.corners):
        return polytope
    _, rises = taut.parts(polytope.corners)
    low, high = float(rises.min()), float(rises.max())
    ends = taut.needed(drop, np.array([low, high]))
    free, rise = taut.free, taut.rise
    for place in np.linspace(low, high, _TANGENTS if high - low > _LOOSE else 1).tolist():
        needed = float(taut.needed(drop, np.array([place]))[0])
        steep = (drop + place) / max(needed, _SAME)
        least = needed - steep * (place - rise.base) - free.base
        polytope = polytope.above(free.slope - steep * rise.slope, least - _LOOSE)
    steep = float(ends[1] - ends[0]) / max(high - low, _LOOSE)
    most = float(ends.max()) if high - low <= _LOOSE else float(ends[0]) - steep * (low - rise.base)
    steep = 0.0 if high - low <= _LOOSE else steep
    return polytope.above(steep * rise.slope - free.slope, free.base - most - _LOOSE)


def _crossings(corners: Vector, taut: Taut, drop: float) -> list[float]:
    """Ascending rises at which the curve crosses the polygon of rise and free length."""
    free, rise = taut.parts(corners)
    ring = _ring(np.stack([rise, free], axis=1))
    after = np.roll(ring, -1, axis=0)
    up, longer = (after - ring).T
    over, now = drop + ring[:, 0], ring[:, 1]
    # (free + s longer)^2 = (drop + rise + s up)^2 + half_gap^2
    shares = quadratic_roots(
        longer**2 - up**2, 2 * (now * longer - over * up), now**2 - over**2 - taut.half_gap**2
    )
    inside = (shares >= -_SAME) & (shares <= 1.0 + _SAME)
    at = ring[:, :1] + np.clip(shares, 0.0, 1.0) * up[:, None]
    met = np.abs(taut.needed(drop, ring[:, 0]) - now) <= _SAME
    kept: list[float] = []
    for place in np.unique(np.concatenate([ring[met, 0], at[inside]])).tolist():
        if not kept or place - kept[-1] > _SAME:
            kept.append(place)
    return kept


def _ring(points: Vector) -> Vector:
    """(r, 2) the hull of points in a plane, all the way round; of points on a line their ends."""
    ordered = points[np.lexsort((points[:, 1], points[:, 0]))].tolist()
    hull: list[list[float]] = []
    for way in (ordered, ordered[::-1]):
        start = len(hull)
        for x, y in way:
            while len(hull) >= start + 2:
                (x0, y0), (x1, y1) = hull[-2:]
                if (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) > _SAME:
                    break
                hull.pop()
            hull.append([x, y])
        hull.pop()
    return np.array(hull or ordered[:1])
