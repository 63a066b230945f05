"""Where box and inside both have an exact volume: the curve of their sides.

With sides a, b, c and an inside that is u, v, w smaller in them the two volumes give a b and
v a + u b for each c: two curves, with v a the longer part or the shorter one. What rounded corners
take off a b, outside and inside, must be the same all over the polytope. Seen by its sides that is
a body in space, a plane figure or less, which the curves cross in stretches or in single points.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

import numpy as np

from core.base.arrays import Floats
from core.redesign.convex import Extent, Polytope
from core.redesign.curves import CurveStretch, between
from core.redesign.rounded_box import BoxVolume

_SAME = 1e-9
"""mm, or share of a volume: nearer than this is the same."""
_FLAT = 1e-7
"""mm; corners whose sides spread less than this in a direction lie in a plane."""
_PLANE = 1e-4
"""mm; a place of the curve this near a plane is brought onto it."""
_FINE = 600
"""Places of the curve that are looked at to find its stretches."""
_NEAR = 40
"""Places on each side of one where both sides agree."""
_HALVINGS = 50
_ROUNDS = 6
_NET, _CLOSER = 60, 0.3
"""Places of a net each way, and how much closer the next net is drawn."""
_GOLDEN = (np.sqrt(5.0) - 1.0) / 2.0


class Volume(NamedTuple):
    """A box and what it holds.

    Attributes:
        litres: of one that is asked about, nothing is read of it.
        taken: what rounded corners take off the rectangle of its first two sides, mm².
    """

    box: BoxVolume
    litres: float
    taken: float = 0.0

    def of(self, sides: Floats) -> Floats:
        """(...) its volume where it has these sides (..., 3), mm³."""
        a, b, c = np.moveaxis(sides, -1, 0)
        return np.asarray((a * b - self.taken) * c)

    def turn(self, sides: Floats) -> Floats:
        """(3,) slopes of that by the sides, mm²."""
        a, b, c = sides
        return np.array([b * c, a * c, a * b - self.taken])


Curve = Callable[[Floats], Floats]


def volume_curve(polytope: Polytope, box: Volume, inside: Volume) -> list[CurveStretch]:
    """Where two boxes that differ by the wall have these volumes: by height, or in points."""
    if not len(polytope.corners):
        return []
    hull = Hull(box.box.sides(polytope.corners))
    walls = box.box.bases - inside.box.bases
    if walls.max() <= _SAME:
        points = _without_wall(polytope, box, inside)
    elif box.litres <= inside.litres:
        return []  # a wall that has a thickness takes something
    elif hull.rank == 3:
        return _in_space(polytope, hull, box, inside)
    else:
        points = [
            point
            for guess in _guesses(hull, box, inside)
            if (point := _polished(guess, hull, box, inside)) is not None
        ]
    return [_at(polytope, box.box, point) for point in points]


def _at(polytope: Polytope, box: BoxVolume, sides: Floats) -> CurveStretch:
    """The single place where the box has these sides (3,), mm."""
    return CurveStretch(0.0, 0.0, lambda _place: with_sides(polytope, box, sides))


def with_sides(polytope: Polytope, box: BoxVolume, sides: Floats) -> Floats:
    """(c, n) corners of what has these sides (3,), mm."""
    for slope, base, side in zip(box.slopes, box.bases, sides, strict=True):
        polytope = polytope.where(slope, float(side - base))
    return polytope.corners


def _in_space(polytope: Polytope, hull: "Hull", box: Volume, inside: Volume) -> list[CurveStretch]:
    found: list[CurveStretch] = []
    for longer in (True, False):
        curve = _sides_curve(box, inside, longer=longer)

        def room(heights: Floats, curve: _SidesCurve = curve) -> Floats:
            return hull.room(curve.at(heights))

        def cut(height: float, curve: _SidesCurve = curve) -> Floats:
            sides = curve.at(np.array([height]))[0]
            if not np.all(np.isfinite(sides)):
                return polytope.corners[:0]
            return with_sides(polytope, box.box, sides)

        grid = _heights(hull, curve)
        found += [CurveStretch(low, high, cut) for low, high in intervals(room, grid)]
    return found


def _without_wall(polytope: Polytope, box: Volume, inside: Volume) -> list[Floats]:
    """A wall of no thickness has one volume: two that differ cannot be had."""
    if abs(box.litres - inside.litres) > _SAME * max(box.litres, 1.0):
        return []
    extent = box.box.extent(polytope.corners)
    if not extent.low <= box.litres <= extent.high:
        return []
    return [box.box.sides(between(box.box, extent.at_low, extent.at_high, box.litres))]


def _guesses(hull: "Hull", box: Volume, inside: Volume) -> list[Floats]:
    """Sides near those where both volumes come out."""
    if hull.rank < 2:
        return _on_line(hull, box)
    found: list[Floats] = []
    for longer in (True, False):
        curve = _sides_curve(box, inside, longer=longer)
        grid = _heights(hull, curve)
        if len(grid) < 2:
            heights = grid
        else:
            normal, offset = hull.across[0, :3], float(hull.across[0, 3])

            def off(heights: Floats, curve: _SidesCurve = curve, normal: Floats = normal) -> Floats:
                return np.asarray(curve.at(heights) @ normal)

            heights = _roots(off, off(grid) - offset, grid, offset)
        found += [point for point in curve.at(heights) if np.all(np.isfinite(point))]
    return found


def _on_line(hull: "Hull", box: Volume) -> list[Floats]:
    """Where a line of sides has the box's volume: roots of a cubic."""
    if hull.rank == 0:
        return [hull.middle]
    way = hull.axes[0]
    a, b, c = (np.poly1d(each) for each in zip(way, hull.middle, strict=True))
    shares = ((a * b - box.taken) * c - box.litres * box.box.scale).roots
    real = shares.real[np.abs(shares.imag) <= _PLANE]
    return [hull.middle + share * way for share in real]


def _polished(guess: Floats, hull: "Hull", box: Volume, inside: Volume) -> Floats | None:
    """The point of the hull with both volumes next to a guess; None where there is none."""
    if len(hull.across) and np.abs(hull.across[:, :3] @ guess - hull.across[:, 3]).max() > _PLANE:
        return None
    walls = box.box.bases - inside.box.bases
    wanted = np.array([box.litres * box.box.scale, inside.litres * inside.box.scale])
    axes = hull.axes[: hull.rank]
    point = hull.middle + (guess - hull.middle) @ axes.T @ axes
    best, least = point, np.inf
    for _ in range(_ROUNDS):
        within = point - walls
        missed = np.array([box.of(point), inside.of(within)]) / wanted - 1.0
        if float(np.abs(missed).max()) < least:
            best, least = point, float(np.abs(missed).max())
        turns = np.array([box.turn(point) / wanted[0], inside.turn(within) / wanted[1]]) @ axes.T
        if not turns.size:
            break
        step, *_ = np.linalg.lstsq(turns, -missed, rcond=1e-12)
        point = point + step @ axes
    met = least <= _SAME / 2 and np.all(best - walls >= -_FLAT)
    return best if met and float(hull.room(best[None, :])[0]) >= -_FLAT else None


def other_extent(polytope: Polytope, known: Volume, other: Volume) -> Extent | None:
    """Least and most of a box's volume where that of another, a wall apart, is exact.

    All sides with the exact volume are looked at on a net of two of them, which is drawn
    closer again and again where the other volume is least and most. None where there are no
    such sides, or where equations leave no net to look at.
    """
    if not len(polytope.corners):
        return None
    box = known.box
    sides = box.sides(polytope.corners)
    hull = Hull(sides)
    if hull.rank < 3:
        return None
    walls = box.bases - other.box.bases
    ends: list[tuple[float, Floats]] = []
    for sign in (1.0, -1.0):
        low, high = sides.min(axis=0)[1:], sides.max(axis=0)[1:]
        best: Floats | None = None
        count = _NET
        while np.any(high - low > _SAME):
            points = _net(np.maximum(low, _SAME), high, known, count)
            points = points[hull.room(points) >= -_SAME]
            points = points[np.all(points >= walls - _SAME, axis=1)]
            if best is not None:
                points = np.vstack([best, points])
            if not len(points):
                return None
            best = points[int((sign * other.of(points - walls)).argmin())]
            reach = (high - low) * _CLOSER
            low, high = best[1:] - reach / 2, best[1:] + reach / 2
            count = _NET // 2
        if best is None:
            return None
        corners = with_sides(polytope, box, best)
        point = corners.mean(axis=0) if len(corners) else np.full(polytope.corners.shape[1], np.nan)
        ends.append((float(other.of(best - walls)) / other.box.scale, point))
    (least, at_least), (most, at_most) = ends
    return Extent(least, most, at_least, at_most)


def _net(low: Floats, high: Floats, known: Volume, count: int) -> Floats:
    """(count^2, 3) sides of a volume: even steps of the last two sides."""
    seconds, thirds = (each.ravel() for each in np.meshgrid(*np.linspace(low, high, count).T))
    areas = known.litres * known.box.scale / thirds + known.taken
    return np.stack([areas / seconds, seconds, thirds], axis=1)


@dataclass(frozen=True, slots=True)
class _SidesCurve:
    """Sides by height, for two volumes (mm³).

    Attributes:
        taken: what rounded corners take off outside and inside, mm².
        walls: (3,) what the inside is smaller than the outside in each side.
        longer: whether the first side, as often as the second one's wall goes into its own, is the
            longer of the two.
    """

    outside: float
    inside: float
    taken: tuple[float, float]
    walls: Floats
    longer: bool

    def at(self, heights: Floats) -> Floats:
        """(s, 3) sides; nan where there are none."""
        both, product = self._sums(heights)
        sides = np.empty((len(heights), 3))
        with np.errstate(invalid="ignore"):
            apart = np.sqrt(both * both - 4 * product)
        part = (both + apart) / 2 if self.longer else (both - apart) / 2
        sides[:, 0] = part * (self.walls[0] / self.walls[1])
        sides[:, 1] = both - part
        sides[:, 2] = heights
        return sides

    def spare(self, heights: Floats) -> Floats:
        """How much more the two parts come to than two equal ones; negative: there are none."""
        both, product = self._sums(heights)
        return np.asarray(both - 2 * np.sqrt(product))

    def _sums(self, heights: Floats) -> tuple[Floats, Floats]:
        """Of the first side in walls of the second one, and that: their sum and their product."""
        u, v, w = self.walls
        with np.errstate(divide="ignore", invalid="ignore"):
            product = self.outside / heights + self.taken[0]
            floor = self.inside / (heights - w) + self.taken[1]
            return (product - floor) / u + v, v / u * product


def _sides_curve(box: Volume, inside: Volume, *, longer: bool) -> _SidesCurve:
    return _SidesCurve(
        box.litres * box.box.scale,
        inside.litres * inside.box.scale,
        (box.taken, inside.taken),
        box.box.bases - inside.box.bases,
        longer,
    )


def _heights(hull: "Hull", curve: _SidesCurve) -> Floats:
    """Heights to look at: closer where the inside is nearly gone, and where both sides agree."""
    low, high = hull.low, hull.high
    if high - low <= _FLAT:
        return np.array([(low + high) / 2])
    low = max(low, float(curve.walls[2]) + _SAME)
    if high <= low:
        return np.zeros(0)
    fine = low + (high - low) * np.logspace(-9.0, 0.0, _FINE // 3)
    grid = np.sort(np.concatenate([np.linspace(low, high, _FINE), fine]))
    grid = grid[np.concatenate([[True], np.diff(grid) > 0.0])]
    ends = _roots(curve.spare, curve.spare(grid), grid)
    # Next to where both sides agree they part like a root: much happens in a hair of height.
    steps = (high - low) * np.logspace(-14.0, -2.0, _NEAR)
    beside = (ends[:, None] + np.concatenate([-steps, steps])).ravel()
    beside = beside[(beside > low) & (beside < high)]
    return np.sort(np.concatenate([grid, ends, beside]))


class Hull:
    """The hull of some points in space, of whatever dimension.

    Attributes:
        rank: 3 for a body, 2 for a plane figure, 1 for a line, 0 for a point.
        middle: (3,); axes: (3, 3) of which the first `rank` lie in it.
        across: (3 - rank, 4) planes (normal, offset) that hold all of it.
        low, high: of the third side.
    """

    def __init__(self, points: Floats) -> None:
        self.middle = points.mean(axis=0)
        spread = points - self.middle
        _, sizes, self.axes = np.linalg.svd(np.vstack([spread, np.zeros((3, 3))]))
        self.rank = int(np.sum(sizes > _FLAT))
        self.low, self.high = float(points[:, 2].min()), float(points[:, 2].max())
        self.across = np.array(
            [[*axis, axis @ self.middle] for axis in self.axes[self.rank :]]
        ).reshape(-1, 4)
        flat = _thinned(spread @ self.axes[: self.rank].T)
        normals = _outward(flat, self.rank)
        turned = normals @ self.axes[: self.rank]
        ends = (flat @ normals.T).max(axis=0, initial=-np.inf) if len(normals) else np.zeros(0)
        self._planes, self._offsets = turned, ends + turned @ self.middle

    def room(self, points: Floats) -> Floats:
        """(s,) how far within the hull points (s, 3) lie; -inf where a point is none."""
        if not len(self._planes):
            return np.zeros(len(points))
        rooms = (self._offsets - points @ self._planes.T).min(axis=1)
        return np.where(np.isfinite(rooms), rooms, -np.inf)


def _thinned(points: Floats) -> Floats:
    """Each point once."""
    kept: dict[tuple[float, ...], int] = {}
    for place, point in enumerate(np.round(points, 6).tolist()):
        kept.setdefault(tuple(point), place)
    return points[list(kept.values())]


def _outward(points: Floats, rank: int) -> Floats:
    """(f, rank) normals of the sides of a hull in as many dimensions as it has."""
    if rank < 2:
        return np.array([[1.0], [-1.0]]) if rank else np.zeros((0, 0))
    chosen = np.array(list(combinations(range(len(points)), rank)), dtype=np.intp)
    edges = points[chosen[:, 1:]] - points[chosen[:, :1]]
    if rank == 2:
        turned = np.stack([-edges[:, 0, 1], edges[:, 0, 0]], axis=1)
    else:
        turned = np.cross(edges[:, 0], edges[:, 1])
    length = np.sqrt((turned * turned).sum(axis=1))
    sound = length > _FLAT
    turned = turned[sound] / length[sound, None]
    offsets = (turned * points[chosen[sound, 0]]).sum(axis=1)
    reach = points @ turned.T - offsets
    upper, lower = reach.max(axis=0) <= _FLAT, reach.min(axis=0) >= -_FLAT
    return _thinned(np.concatenate([turned[upper], -turned[lower]]))


def _roots(function: Curve, values: Floats, grid: Floats, target: float = 0.0) -> Floats:
    """Where a function comes to a target: by its changes of sign on a grid."""
    with np.errstate(invalid="ignore"):
        turns = np.flatnonzero(values[:-1] * values[1:] <= 0.0)
    low, high = grid[turns], grid[turns + 1]
    rising = values[turns + 1] >= values[turns]
    if not len(turns):
        return low
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        below = (function(middle) < target) == rising
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.asarray((low + high) / 2)


def intervals(room: Curve, grid: Floats) -> list[tuple[float, float]]:
    """Where a function is not negative: by a grid, and by what it reaches between."""
    if not len(grid):
        return []
    values = room(grid)
    inner = (values[1:-1] >= values[:-2]) & (values[1:-1] >= values[2:]) & (values[1:-1] < 0.0)
    peaks = np.flatnonzero(inner & np.isfinite(values[1:-1])) + 1
    if len(peaks):
        grid = np.sort(np.concatenate([grid, _peaks(room, grid[peaks - 1], grid[peaks + 1])]))
        values = room(grid)
    good = values >= -_SAME
    edges = np.flatnonzero(np.diff(np.concatenate([[False], good, [False]]).astype(int)))
    firsts, lasts = edges[::2], edges[1::2] - 1
    before, after = np.maximum(firsts - 1, 0), np.minimum(lasts + 1, len(grid) - 1)
    ends = _edges(
        room,
        np.concatenate([grid[before], grid[after]]),
        np.concatenate([grid[firsts], grid[lasts]]),
    )
    low, high = ends[: len(firsts)].tolist(), ends[len(firsts) :].tolist()
    return list(zip(low, high, strict=True))


def _edges(room: Curve, out: Floats, inside: Floats) -> Floats:
    """Halve from places outside to places inside, for several ends at once."""
    for _ in range(_HALVINGS):
        middle = (out + inside) / 2
        within = room(middle) >= -_SAME
        inside, out = np.where(within, middle, inside), np.where(within, out, middle)
    return inside


def _peaks(function: Curve, low: Floats, high: Floats) -> Floats:
    """Golden sections to where a function is largest, for several stretches at once."""
    for _ in range(_HALVINGS):
        one, other = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        left = function(one) > function(other)
        high, low = np.where(left, other, high), np.where(left, low, one)
    return np.asarray((low + high) / 2)
