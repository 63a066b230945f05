"""Least squares under linear conditions and limits in one step, and polytopes.

Of a polytope the corners are kept, and what a figure comes to over it is told by them.
"""

from dataclasses import dataclass
from itertools import combinations
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from core.base.arrays import Floats

_RANK = 1e-8
"""Relative size below which two conditions count as saying the same."""
_MOST_TURNS = 60
"""Limits that are taken in or let go of in one step, at most."""
_SAME = 1e-9
"""Residuals and limits nearer than this count as equal, mm."""


def bounded_step(
    aims: tuple[Floats, Floats], conditions: tuple[Floats, Floats], limits: tuple[Floats, Floats]
) -> Floats | None:
    """The step d that minimises |A d + a|^2 subject to C d + c = 0 and low <= d <= high.

    Where the conditions cannot be met, they are met as nearly as they can. None where the
    shortest step that does so leaves the limits: whether another one can be had is for
    those to say who know every limit.

    Args:
        aims: A (m, n) and a (m,).
        conditions: C (k, n) and c (k,).
        limits: low (n,) and high (n,), with low <= 0 <= high.
    """
    (slopes, off), (turns, missed), (low, high) = aims, conditions, limits
    met, kernel = _solve_conditions(turns, -missed)
    free = met
    if kernel.shape[1]:
        free = met + kernel @ _least(slopes, kernel, -(off + slopes @ met))
    if _inside(free, low, high):
        return free
    if not _inside(met, low, high):
        return None
    every = np.eye(len(met))
    room = np.maximum(np.concatenate([met - low, high - met]), 0.0)
    return met + step_within(slopes, off + slopes @ met, turns, np.vstack([every, -every]), room)


def _least(slopes: Floats, kernel: Floats, wanted: Floats) -> Floats:
    """The shortest way along a kernel on which slopes come nearest to what is wanted.

    A way on which they hardly rise beside their own size leads nowhere: what dust they have there
    would take it anywhere.
    """
    along = slopes @ kernel
    size, own = float(np.linalg.norm(slopes)), float(np.linalg.norm(along))
    if own <= _RANK * size:
        return np.zeros(kernel.shape[1])
    found, *_ = np.linalg.lstsq(along, wanted, rcond=min(_RANK * size / own, 1.0))
    return np.asarray(found)


def _inside(step: Floats, low: Floats, high: Floats) -> bool:
    return bool(np.all(step >= low - _SAME) and np.all(step <= high + _SAME))


def _solve_conditions(slopes: Floats, wanted: Floats) -> tuple[Floats, Floats]:
    """A least-squares solution of the conditions and a basis of what they leave free."""
    if not len(wanted):
        return np.zeros(slopes.shape[1]), np.eye(slopes.shape[1])
    left, sizes, right = np.linalg.svd(slopes)
    rank = int(np.sum(sizes > _RANK * max(float(sizes[0]), 1e-300)))
    met = right[:rank].T @ ((left[:, :rank].T @ wanted) / sizes[:rank])
    return met, right[rank:].T


def step_within(aims: Floats, off: Floats, exact: Floats, over: Floats, room: Floats) -> Floats:
    """The step d that minimises |A d + a|^2 subject to C d = 0 and G d >= -r.

    The way of active sets: go to the least of what the limits in force leave, stop at the
    first limit that is met and take it in, let go of the one that pulls back.

    Args:
        aims, off: A (m, n) and a (m,).
        exact: C (k, n).
        over, room: G (j, n) and r (j,), r >= 0.
    """
    step = np.zeros(aims.shape[1])
    held: list[int] = []
    for _ in range(_MOST_TURNS):
        rows = np.vstack([exact, over[held]])
        left = off + aims @ step
        _, kernel = _solve_conditions(rows, np.zeros(len(rows)))
        move = np.zeros(len(step))
        if kernel.shape[1]:
            move = kernel @ _least(aims, kernel, -left)
        if np.abs(move).max(initial=0.0) <= _SAME:
            pulls, *_ = np.linalg.lstsq(rows.T, aims.T @ left, rcond=_RANK)
            loose = pulls[len(exact) :]
            if not len(loose) or loose.min() >= -_SAME:
                return step
            held.pop(int(loose.argmin()))
            continue
        slope = over @ move
        nearer = slope < -_SAME * np.abs(move).max()
        nearer[held] = False
        share = np.full(len(over), np.inf)
        share[nearer] = np.maximum(room + over @ step, 0.0)[nearer] / -slope[nearer]
        first = int(share.argmin()) if len(share) else -1
        if first >= 0 and share[first] < 1.0:
            step = step + share[first] * move
            held.append(first)
        else:
            step = step + move
    return step


Indices = NDArray[np.intp]

_POLYTOPE_SAME = 1e-8
"""mm; rows are met to this, a tenth of what conditions are."""
_FLAT = 1e-9
"""mm; a box no wider than this has no width."""
_POLYTOPE_RANK = 1e-9
"""Relative size below which three points lie in a plane with the origin."""
_MOST_LIMITS = 62
"""As many as a whole number has bits for."""


class Polytope:
    """The corners of a polytope, and on which limits each of them lies.

    It starts as a box and is cut down by one limit or one equation after the other: a cut
    keeps the corners on its side and makes one on each edge that it crosses (the double
    description method of Motzkin, Raiffa, Thompson and Thrall 1953, from memory). Two
    corners share an edge when no third one lies on every limit that they share.

    Attributes:
        corners: (c, n) none where it holds nothing.
    """

    def __init__(self, corners: Floats, on: Indices, limits: int) -> None:
        self.corners = corners
        self._on, self._limits = on, limits

    @staticmethod
    def box(low: Floats, high: Floats) -> "Polytope":
        """Everything between two corners (n,); where they agree there is no choice."""
        wide = np.flatnonzero(high - low > _FLAT)
        if len(low) and float((low - high).max()) > _FLAT:
            return Polytope(np.zeros((0, len(low))), np.zeros(0, dtype=np.intp), 0)
        count = len(wide)
        picks = (np.arange(2**count)[:, None] >> np.arange(count)) & 1
        corners = np.repeat(((low + high) / 2)[None, :], 2**count, axis=0)
        corners[:, wide] = np.where(picks == 1, high[wide], low[wide])
        on = (1 << (2 * np.arange(count) + picks)).sum(axis=1).astype(np.intp)
        return Polytope(corners, on, 2 * count)

    def above(self, slope: Floats, least: float) -> "Polytope":
        """What lies where slope . x >= least."""
        return self._cut(self.corners @ slope - least, equal=False)

    def where(self, slope: Floats, value: float) -> "Polytope":
        """What lies where slope . x = value."""
        return self._cut(self.corners @ slope - value, equal=True)

    def _cut(self, over: Floats, *, equal: bool) -> "Polytope":
        size = float(np.abs(over).max(initial=0.0))
        at = np.abs(over) <= _POLYTOPE_SAME
        below, beyond = over < -_POLYTOPE_SAME, over > _POLYTOPE_SAME
        if size <= _POLYTOPE_SAME or (not equal and not below.any() and not at.any()):
            return self
        if self._limits >= _MOST_LIMITS:
            raise ValueError("too many limits for one polytope")
        bit = np.intp(1 << self._limits)
        kept = at if equal else ~below
        corners, on = [self.corners[kept]], [np.where(at, self._on | bit, self._on)[kept]]
        if below.any() and beyond.any():
            one, other = self._crossed(np.flatnonzero(below), np.flatnonzero(beyond))
            share = (over[one] / (over[one] - over[other]))[:, None]
            start, end = self.corners[one], self.corners[other]
            corners.append(start + share * (end - start))
            on.append((self._on[one] & self._on[other]) | bit)
        return Polytope(np.concatenate(corners), np.concatenate(on), self._limits + 1)

    def _crossed(self, below: Indices, beyond: Indices) -> tuple[Indices, Indices]:
        """Pairs of corners on the two sides that share an edge."""
        shared = self._on[below][:, None] & self._on[beyond][None, :]
        # An edge lies on no more limits than another shared set holds: most pairs fall here.
        one, other = (each.ravel() for each in np.indices(shared.shape))
        every = shared.ravel()
        others = (every[:, None] & ~self._on[None, :]) == 0
        edges = others.sum(axis=1) == 2
        return below[one[edges]], beyond[other[edges]]


@dataclass(frozen=True, slots=True)
class Extent:
    """What a figure comes to over a polytope: everything from `low` to `high`.

    Attributes:
        low, high: of the figure, mm or litres.
        at_low, at_high: (n,) where.
    """

    low: float
    high: float
    at_low: Floats
    at_high: Floats


def at_corners(values: Floats, corners: Floats) -> Extent:
    """What a figure comes to that is so much at each of some corners, and no more between."""
    low, high = int(values.argmin()), int(values.argmax())
    return Extent(float(values[low]), float(values[high]), corners[low], corners[high])


@dataclass(frozen=True, slots=True)
class Linear:
    """A figure that is linear in the unknowns.

    Attributes:
        slope: (n,); base: its value where the unknowns are 0, mm.
    """

    slope: Floats
    base: float

    def at(self, x: Floats) -> float:
        """Its value, mm."""
        return float(self.slope @ x + self.base)

    def gradient(self, x: Floats) -> Floats:
        """(n,) slopes at x."""
        return self.slope

    def extent(self, corners: Floats) -> Extent:
        """Least and most are at corners."""
        return at_corners(corners @ self.slope + self.base, corners)


@dataclass(frozen=True, slots=True)
class Product:
    """A volume: the product of sides that are linear and nowhere below nothing.

    Its logarithm is concave: the least is at a corner, the most on a face of the polytope
    where all sides trade against one another.

    Attributes:
        slopes: (3, n); bases: (3,) mm; scale: mm³ in a litre.
    """

    slopes: Floats
    bases: Floats
    scale: float

    def sides(self, x: Floats) -> Floats:
        """(..., 3) sides, mm."""
        return x @ self.slopes.T + self.bases

    def at(self, x: Floats) -> float:
        """Its value, litres."""
        return float(np.prod(np.maximum(self.sides(x), 0.0))) / self.scale

    def gradient(self, x: Floats) -> Floats:
        """(n,) slopes at x, litres per mm."""
        a, b, c = self.sides(x)
        return np.array([b * c, a * c, a * b]) @ self.slopes / self.scale

    def extent(self, corners: Floats) -> Extent:
        """Exact: by corners, by pairs of them and by threes of them."""
        sides = np.maximum(self.sides(corners), 0.0)
        volumes = sides.prod(axis=1)
        low = int(volumes.argmin())
        weights = _largest_product(sides, volumes)
        at_high = weights @ corners
        return Extent(self.at(corners[low]), self.at(at_high), corners[low], at_high)


@dataclass(frozen=True, slots=True)
class Taut:
    """The drop of a handle: sqrt(free^2 - half_gap^2) - rise, free and rise linear.

    It is concave where it is at all, which is where `free` is at least `half_gap`.

    Attributes:
        free: half of the handle's free length; rise: from its stops to the top fold, mm.
        half_gap: half of the distance between its legs, mm.
    """

    free: Linear
    rise: Linear
    half_gap: float

    def at(self, x: Floats) -> float:
        """Its value, mm."""
        square = self.free.at(x) ** 2 - self.half_gap**2
        return float(np.sqrt(max(square, 0.0))) - self.rise.at(x)

    def gradient(self, x: Floats) -> Floats:
        """(n,) slopes at x."""
        free = self.free.at(x)
        height = max(float(np.sqrt(max(free**2 - self.half_gap**2, 0.0))), 1e-9)
        return free / height * self.free.slope - self.rise.slope

    def needed(self, drop: float, rise: Floats) -> Floats:
        """Half of the free length that gives this drop at these rises, mm."""
        return np.hypot(drop + rise, self.half_gap)

    def parts(self, corners: Floats) -> tuple[Floats, Floats]:
        """Half of the free length and the rise at each of some corners, mm."""
        free = corners @ self.free.slope + self.free.base
        return free, corners @ self.rise.slope + self.rise.base

    def extent(self, corners: Floats) -> Extent:
        """Exact: the least is at a corner, the most on a line between two corners."""
        free, rise = self.parts(corners)
        drops = np.sqrt(np.maximum(free**2 - self.half_gap**2, 0.0)) - rise
        low, high = int(drops.argmin()), int(drops.argmax())
        best, at_high = float(drops[high]), corners[high]
        one, other = np.triu_indices(len(corners), 1)
        longer, up = free[other] - free[one], rise[other] - rise[one]
        with np.errstate(divide="ignore", invalid="ignore"):
            steep = up / longer
            flat = self.half_gap * steep / np.sqrt(steep**2 - 1.0)
            share = (flat - free[one]) / longer
            inside = (steep > 1.0) & (share > 0.0) & (share < 1.0)
        for i, j, part in zip(one[inside], other[inside], share[inside], strict=True):
            between = corners[i] + part * (corners[j] - corners[i])
            value = self.at(between)
            if value > best:
                best, at_high = value, between
        return Extent(float(drops[low]), best, corners[low], at_high)


class PolytopeFigure(Protocol):
    """Something that is read off the unknowns: a length, a volume or a drop."""

    def at(self, x: Floats) -> float:
        """Its value, mm or litres."""

    def gradient(self, x: Floats) -> Floats:
        """(n,) slopes at x."""

    def extent(self, corners: Floats) -> Extent:
        """Its least and its most over the hull of some corners (c, n)."""


def _largest_product(points: Floats, values: Floats) -> Floats:
    """(c,) weights of the corners where the product of three sides is largest.

    On a segment the product is a cubic; on the plane u.p = 1 it is largest at
    p = 1 / (3 u). Whatever is below another corner in every side can be left out.
    """
    weights = np.zeros(len(points))
    kept = undominated(points, values)
    best = kept[int(values[kept].argmax())]
    weights[best], most = 1.0, float(values[best])
    if len(kept) > 1:
        for chosen, shares in (_on_segments(points[kept]), _on_planes(points[kept])):
            if not len(shares):
                continue
            reached = np.einsum("cj,cjd->cd", shares, points[kept][chosen]).prod(axis=1)
            top = int(reached.argmax())
            if float(reached[top]) > most:
                most = float(reached[top])
                weights[:] = 0.0
                np.add.at(weights, kept[chosen[top]], shares[top])
    return weights


def undominated(points: Floats, values: Floats) -> Indices:
    """Those that no other point beats in every side; of equal ones the first."""
    order = np.argsort(-values, kind="stable")
    ranked = points[order]
    beaten = np.all(ranked[None, :, :] >= ranked[:, None, :] - _POLYTOPE_SAME, axis=2)
    kept: Indices = order[~np.tril(beaten, -1).any(axis=1)]
    return kept


def _on_segments(points: Floats) -> tuple[Indices, Floats]:
    """(c, 2) pairs and their shares where the product is largest on the line between them."""
    one, other = np.triu_indices(len(points), 1)
    p, q = points[one], points[other] - points[one]
    # (p0 + s q0)(p1 + s q1)(p2 + s q2): its derivative is a s^2 + b s + c.
    a = 3 * q.prod(axis=1)
    b = 2 * (
        p[:, 0] * q[:, 1] * q[:, 2] + q[:, 0] * p[:, 1] * q[:, 2] + q[:, 0] * q[:, 1] * p[:, 2]
    )
    c = p[:, 1] * p[:, 2] * q[:, 0] + p[:, 0] * p[:, 2] * q[:, 1] + p[:, 0] * p[:, 1] * q[:, 2]
    roots = quadratic_roots(a, b, c)
    pairs = np.tile(np.stack([one, other], axis=1), (2, 1))
    share = np.concatenate([roots[:, 0], roots[:, 1]])
    inside = (share > 0.0) & (share < 1.0)
    share = share[inside]
    return pairs[inside], np.stack([1.0 - share, share], axis=1)


def _on_planes(points: Floats) -> tuple[Indices, Floats]:
    """(c, 3) threes and their shares where the product is largest on the plane through them."""
    threes = np.array(list(combinations(range(len(points)), 3)), dtype=np.intp).reshape(-1, 3)
    squares = points[threes]
    sound = np.abs(np.linalg.det(squares)) > _POLYTOPE_RANK * np.abs(squares).max(initial=1.0) ** 3
    threes, squares = threes[sound], squares[sound]
    if not len(threes):
        return threes, np.zeros((0, 3))
    normals = np.linalg.solve(squares, np.ones((len(squares), 3, 1)))[:, :, 0]
    facing = np.all(normals > 0.0, axis=1)
    threes, squares, normals = threes[facing], squares[facing], normals[facing]
    if not len(threes):
        return threes, np.zeros((0, 3))
    tops = 1.0 / (3.0 * normals)
    shares = np.linalg.solve(squares.transpose(0, 2, 1), tops[:, :, None])[:, :, 0]
    inside = np.all(shares >= 0.0, axis=1)
    return threes[inside], shares[inside]


def quadratic_roots(a: Floats, b: Floats, c: Floats) -> Floats:
    """(k, 2) real roots of a s^2 + b s + c; nan where there are none."""
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(b * b - 4 * a * c)
        half = -(b + np.where(b < 0.0, -1.0, 1.0) * root) / 2
        return np.stack([half / a, c / half], axis=1)
