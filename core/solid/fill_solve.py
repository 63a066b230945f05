"""The largest volume that a sheet can enclose: it wrinkles freely and does not stretch.

Maximise the volume V(x) over the points x while the gradient F_t of every triangle is one that
the sheet allows. Each step splits the two: Z_t is the allowed gradient nearest to F_t + U_t, U_t
collects what F_t and Z_t still differ by (r U_t is the tension), and x solves one linear system
whose matrix never changes,

    L x = G'A (Z - U) + grad V(x) / r,     L = G'AG,

with G the gradients and A the flat areas, everything measured by the root of the whole flat
area. This is the alternating direction method of multipliers with over-relaxation (Boyd et al.,
Distributed Optimization and Statistical Learning via the Alternating Direction Method of
Multipliers, 2011, sections 3.1 and 3.4.3), with V linearised at the last x, on the constant
matrix of projective dynamics (Bouaziz et al., 2014).

That system is taken apart once and solved often. Up to some size its inverse is kept whole;
above that scipy's sparse factor wins, and only then is scipy loaded. The inverse is built band
by band: vertices are ordered in rings round one of them, so that each ring touches only the
rings beside it. That takes a fraction of the work, in blocks so small that the linear algebra
library does not hand them to threads, which on busy cores cost more than they give.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from core.base.arrays import Floats, Ints
from core.base.progress import Progress
from core.solid.fill_problem import Problem, allowed, cross, stretch

WHOLE_UP_TO = 700
"""Free vertices up to which a whole inverse pays (measured: scipy alone takes 0.3 s to load)."""

Solve = Callable[[Floats], Floats]
"""Forces (3, n) to points (3, n), the held ones included."""

_SolveRow = Callable[[Floats], Floats]
"""Forces (m,) to one coordinate of the m free vertices."""

_Entries = tuple[Ints, Ints, Floats]
"""Row, column and value of entries that are still to be added up."""


def factor(problem: Problem, weights: Floats) -> Solve:
    """Take apart the stiffness of the sheet, for each coordinate without its held vertices.

    Args:
        problem: in any unit; its start gives the held coordinates.
        weights: (t,) of each triangle, area included.
    """
    rows, columns, values = entries = _stiffness(problem, weights)
    start, held = problem.start, problem.held
    pull = [
        np.bincount(rows, values * each[columns], problem.count)
        for each in np.where(held, start, 0.0)
    ]
    order = np.argsort(problem.rings, kind="stable")
    free = [order[~each[order]] for each in held]
    solvers = [_solver(entries, each, problem) for each in free]

    def solve(forces: Floats) -> Floats:
        points = start.copy()
        for axis, (solver, each) in enumerate(zip(solvers, free, strict=True)):
            points[axis, each] = solver(forces[axis, each] - pull[axis][each])
        return points

    return solve


def _stiffness(problem: Problem, weights: Floats) -> _Entries:
    """Entries of G'AG, (9 t,) each."""
    hats, triangles = problem.hats, problem.triangles
    values = np.einsum("t,tix,tjx->tij", weights, hats, hats)
    rows = np.broadcast_to(triangles[:, :, None], values.shape)
    columns = np.broadcast_to(triangles[:, None, :], values.shape)
    return rows.ravel(), columns.ravel(), values.ravel()


def _solver(entries: _Entries, free: Ints, problem: Problem) -> _SolveRow:
    """Solves for the free vertices of one coordinate, given ring by ring."""
    size = len(free)
    place = np.full(problem.count, -1, dtype=np.int64)
    place[free] = np.arange(size)
    rows, columns, values = place[entries[0]], place[entries[1]], entries[2]
    inner = (rows >= 0) & (columns >= 0)
    kept = rows[inner], columns[inner], values[inner]
    if size > WHOLE_UP_TO:
        return _sparse(kept, size)
    flat = np.bincount(kept[0] * size + kept[1], kept[2], size * size)
    matrix: Floats = flat.astype(np.float64, copy=False).reshape(size, size)
    in_ring = np.bincount(problem.rings[free])
    inverse = banded_inverse(matrix, in_ring[in_ring > 0])
    # einsum rather than @: a product of this size is not worth waking threads for.
    return lambda forces: np.einsum("ij,j->i", inverse, forces)


def _sparse(entries: _Entries, size: int) -> _SolveRow:
    """Scipy's sparse factor; it takes a while to load, so only where it pays."""
    from scipy.sparse import csc_matrix
    from scipy.sparse.linalg import splu

    rows, columns, values = entries
    matrix = csc_matrix((values, (rows, columns)), shape=(size, size))
    factored = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0)

    def solve(forces: Floats) -> Floats:
        answer: Floats = factored.solve(forces)
        return answer

    return solve


def banded_inverse(matrix: Floats, blocks: Ints) -> Floats:
    """Inverse of a symmetric matrix whose blocks only touch the blocks beside them.

    Args:
        matrix: (m, m), positive definite.
        blocks: sizes of the diagonal blocks in order, adding up to m.
    """
    ends = np.cumsum(blocks)
    parts = [slice(end - size, end) for size, end in zip(blocks, ends, strict=True)]
    inverse = np.zeros_like(matrix)
    pivots: list[Floats] = []
    for index, part in enumerate(parts):
        pivot = matrix[part, part]
        if index:
            before = parts[index - 1]
            carry = matrix[part, before] @ pivots[-1]
            pivot = pivot - carry @ matrix[before, part]
            inverse[part, : before.stop] = -carry @ inverse[before, : before.stop]
        inverse[part, part] = np.eye(part.stop - part.start)
        pivots.append(np.asarray(np.linalg.inv(pivot), dtype=np.float64))
    for index in range(len(parts) - 1, -1, -1):
        part = parts[index]
        rows = inverse[part, : part.stop]
        if index + 1 < len(parts):
            after = parts[index + 1]
            rows = rows - matrix[part, after] @ inverse[after, : part.stop]
        inverse[part, : part.stop] = pivots[index] @ rows
        inverse[: part.start, part] = inverse[part, : part.start].T
    return inverse


STRETCH_ALLOWED = 0.004
"""Largest share by which a triangle of a finished shape is longer than flat."""

_OVER = 1.7
_FIRST_R, _LAST_R = 1.5, 4.0
_RAISE_AT = (10, 20, 30, 40)
_REWEIGHT_AT, _REWEIGHT_AFTER = (40, 70, 100), 50
"""And then once in so many steps: a sheet that is all but taut hangs by a few triangles, which
creep towards their lengths."""
_STEADY_STEPS, _TO_COME, _TAIL_STEPS = 5, 0.0015, 60
_DUAL_ALLOWED, _DUAL_GIVEN_UP_AFTER = 0.002, 80
_MOST_STEPS = 1000
"""Half of 200 random bags took 34, the slowest 60; walls with next to no slack over a board take
70 to 150, 400 where the corner seam is eased to half its length as well, and up to 700 over a
rounded one."""
_HEAVIEST, _HEAVIEST_OF_SLOW = 20.0, 200.0
"""Times the stiffness of the rest at most; the second where even that left them creeping."""
_NO_PULL = 1e-300


class FillCancelledError(Exception):
    """The listener of the progress said to stop."""


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """A filled shape of the share of the sheet that was asked for.

    Attributes:
        points: (3, n), in the problem's unit.
        tension: (6, t) pull of each triangle, over unit area and pressure and the root
            of the flat area: with the points, what a changed bag starts from.
        size: root of the whole flat area, in the problem's unit.
        volume: of the whole, unit cubed.
        stretch: of the worst triangle, as a share.
        steps: how many it took.
        converged: whether it came to rest within the stretch allowed.
    """

    points: Floats
    tension: Floats
    size: float
    volume: float
    stretch: float
    steps: int
    converged: bool


def solve(
    problem: Problem, *, warm: Solution | None = None, progress: Progress | None = None
) -> Solution:
    """Fill a sheet.

    Args:
        problem: in any unit.
        warm: the answer for a sheet nearly alike, cut into the same mesh.
        progress: hears the share done; when it answers False, FillCancelledError is raised.
    """
    size = problem.size
    return _Filling(problem.scaled(1 / size), warm).run(progress, size)


class _Filling:
    """The state of one solution under way; lengths over the root of the flat area."""

    def __init__(self, problem: Problem, warm: Solution | None) -> None:
        self.problem = problem
        self.weights = problem.areas
        # A soft sheet swings slowly, and where it turns it all but stands still.
        self.to_come = _TO_COME / problem.softness**0.5
        self.last_r = _LAST_R / problem.softness
        self.r = _FIRST_R / problem.softness if warm is None else self.last_r
        self._prepare_gather()
        points = problem.start
        if warm is not None:
            points = np.where(problem.held, problem.start, warm.points / warm.size)
        self._place(points)
        self.nearest = allowed(self.gradients)
        self.misfit = np.zeros_like(self.gradients)
        if warm is not None:
            self.misfit = warm.tension / self.r
        self.solver: Solve = factor(problem, self.weights)
        self.volumes: list[float] = []

    def run(self, progress: Progress | None, size: float) -> Solution:
        """Step until it rests; `size` takes the answer back to the caller's unit."""
        longest, at_rest = np.inf, False
        for step in range(1, _MOST_STEPS + 1):
            self._step()
            longest = stretch(self.gradients)
            at_rest = self._rests(step, longest)
            if at_rest:
                break
            if progress is not None and not progress(_share(step)):
                raise FillCancelledError
            if step in _RAISE_AT:
                self._raise_r()
            if step in _REWEIGHT_AT:
                self._reweight(_HEAVIEST)
            elif step > _REWEIGHT_AT[-1] and step % _REWEIGHT_AFTER == 0:
                self._reweight(_HEAVIEST_OF_SLOW)
        return Solution(
            points=self.points * size,
            tension=self._tension(),
            size=size,
            volume=self.volumes[-1] * size**3,
            stretch=longest,
            steps=len(self.volumes),
            converged=at_rest,
        )

    def _prepare_gather(self) -> None:
        """What adds the forces of triangles up at their vertices, all three axes at once."""
        problem = self.problem
        corners = problem.triangles.T.ravel()
        self.slots = np.concatenate([corners + axis * problem.count for axis in range(3)])
        self.corners = tuple(np.ascontiguousarray(each) for each in problem.triangles.T)
        hats = problem.hats
        self.hats = tuple(
            np.ascontiguousarray(hats[:, corner, axis]) for corner in (1, 2) for axis in (0, 1)
        )

    def _step(self) -> None:
        over = _OVER * self.gradients + (1 - _OVER) * self.nearest + self.misfit
        self.nearest = allowed(over)
        self.misfit = over - self.nearest
        points = self.solver(self._forces())
        # A half that leans through its mirror plane would count the other half's volume.
        self._place(np.where(self.problem.mirrored, np.maximum(points, 0.0), points))
        first, _, _ = self.ends
        enclosed = float(np.einsum("it,it->", first, self.outward)) / 6
        self.volumes.append(self.problem.copies * enclosed)

    def _place(self, points: Floats) -> None:
        """Take up these points, with what follows from them for every triangle."""
        first, second, third = (points.take(each, axis=1) for each in self.corners)
        one, two = second - first, third - first
        a, b, c, d = self.hats
        self.points = points
        self.ends = first, second, third
        self.outward = cross(second, third)
        self.gradients = np.concatenate((one * a + two * c, one * b + two * d))

    def _forces(self) -> Floats:
        """G'A (Z - U) + grad V / r at every vertex, (3, n)."""
        pull = (self.nearest - self.misfit) * self.weights
        a, b, c, d = self.hats
        at_second = pull[:3] * a + pull[3:] * b
        at_third = pull[:3] * c + pull[3:] * d
        first, second, third = self.ends
        push = 1 / (6 * self.r)
        forces = np.concatenate(
            (
                push * self.outward - at_second - at_third,
                push * cross(third, first) + at_second,
                push * cross(first, second) + at_third,
            ),
            axis=1,
        )
        count = self.problem.count
        added: Floats = np.bincount(self.slots, forces.ravel(), 3 * count).astype(
            np.float64, copy=False
        )
        return added.reshape(3, count)

    def _rests(self, step: int, longest: float) -> bool:
        if step <= _STEADY_STEPS or longest >= STRETCH_ALLOWED:
            return False
        now, lately = self.volumes[-1], self.volumes[-1 - _STEADY_STEPS :]
        # What n steps still leave to be gained falls off as 1/n: as much again as n such steps.
        to_come = (max(lately) - min(lately)) / _STEADY_STEPS * min(step, _TAIL_STEPS)
        if to_come >= self.to_come * abs(now):
            return False
        return step > _DUAL_GIVEN_UP_AFTER or abs(self._owed()) < _DUAL_ALLOWED * abs(now)

    def _owed(self) -> float:
        """Volume that the remaining misfit of gradients and sheet is worth, first order."""
        work = self._tension() * (self.gradients - self.nearest)
        return self.problem.copies * float(work.sum(axis=0) @ self.problem.areas)

    def _tension(self) -> Floats:
        return self.misfit * (self.r * self.weights / self.problem.areas)

    def _raise_r(self) -> None:
        """Loose at first to find the shape, stiff at last to find the lengths."""
        factor_up = (_LAST_R / _FIRST_R) ** (1 / len(_RAISE_AT))
        if self.r * factor_up <= self.last_r * (1 + 1e-9):
            self.misfit = self.misfit / factor_up
            self.r *= factor_up

    def _reweight(self, heaviest: float) -> None:
        """Stiffen the triangles that carry most: what still stretches, stretches there."""
        tension = self._tension()
        pull = np.sqrt(np.einsum("it,it->t", tension, tension))
        # A sheet that came to nothing pulls nowhere.
        heavier = np.clip(pull / max(float(pull.mean()), _NO_PULL), 1.0, heaviest)
        self.weights = self.problem.areas * heavier
        self.misfit = tension / (self.r * heavier)
        self.solver = factor(self.problem, self.weights)


def _share(step: int) -> float:
    """A guess at the share done that never reaches 1: most bags rest after 25 to 50 steps."""
    return step / (step + 12.0)
