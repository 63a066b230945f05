"""One quadratic step: least squares under linear conditions and limits."""

from itertools import combinations, product

import numpy as np

from core.redesign.space import Vector

_RANK = 1e-8
"""Relative size below which two conditions count as saying the same."""
_SAME = 1e-9
"""Residuals and limits nearer than this count as equal, mm."""


def bounded_step(
    aims: tuple[Vector, Vector],
    conditions: tuple[Vector, Vector],
    limits: tuple[Vector, Vector],
) -> Vector:
    """The step d that minimises |A d + a|^2 subject to C d + c = 0 and low <= d <= high.

    Where the conditions cannot be met, they are met as nearly as they can. The sets of
    active limits are tried one by one: with this few unknowns that is exact, and limits
    are rarely active.

    Args:
        aims: A (m, n) and a (m,).
        conditions: C (k, n) and c (k,).
        limits: low (n,) and high (n,), with low <= 0 <= high.
    """
    low, high = limits
    free = _step(aims, conditions, {})
    if _inside(free, low, high):
        return free
    best: tuple[float, float, Vector] | None = None
    count = len(free)
    for size in range(1, count + 1):
        for chosen in combinations(range(count), size):
            for ends in product((0, 1), repeat=size):
                pins = {i: float((low, high)[end][i]) for i, end in zip(chosen, ends, strict=True)}
                if not all(np.isfinite(value) for value in pins.values()):
                    continue
                best = _better(best, _step(aims, conditions, pins), aims, conditions, limits)
    return best[2] if best is not None else np.clip(free, low, high)


def _better(
    best: tuple[float, float, Vector] | None,
    step: Vector,
    aims: tuple[Vector, Vector],
    conditions: tuple[Vector, Vector],
    limits: tuple[Vector, Vector],
) -> tuple[float, float, Vector] | None:
    """The better of two steps: conditions first, then the aims."""
    if not _inside(step, *limits):
        return best
    missed = float(np.linalg.norm(conditions[0] @ step + conditions[1]))
    change = float(np.linalg.norm(aims[0] @ step + aims[1]))
    if best is None or missed < best[0] - _SAME:
        return missed, change, step
    if missed < best[0] + _SAME and change < best[1]:
        return missed, change, step
    return best


def _inside(step: Vector, low: Vector, high: Vector) -> bool:
    return bool(np.all(step >= low - _SAME) and np.all(step <= high + _SAME))


def _step(
    aims: tuple[Vector, Vector], conditions: tuple[Vector, Vector], pins: dict[int, float]
) -> Vector:
    """Least squares under conditions, with some components pinned."""
    (a_slopes, a), (c_slopes, c) = aims, conditions
    step = np.zeros(a_slopes.shape[1])
    for index, value in pins.items():
        step[index] = value
    free = np.array([index not in pins for index in range(len(step))])
    if not free.any():
        return step
    a_free, c_free = a_slopes[:, free], c_slopes[:, free]
    met, kernel = _solve_conditions(c_free, -(c + c_slopes @ step))
    left = a + a_slopes @ step + a_free @ met
    if kernel.shape[1]:
        along, *_ = np.linalg.lstsq(a_free @ kernel, -left, rcond=_RANK)
        met = met + kernel @ along
    step[free] = met
    return step


def _solve_conditions(slopes: Vector, wanted: Vector) -> tuple[Vector, Vector]:
    """A least-squares solution of the conditions and a basis of what they leave free."""
    if not len(wanted):
        return np.zeros(slopes.shape[1]), np.eye(slopes.shape[1])
    left, sizes, right = np.linalg.svd(slopes)
    rank = int(np.sum(sizes > _RANK * max(float(sizes[0]), 1e-300)))
    met = right[:rank].T @ ((left[:, :rank].T @ wanted) / sizes[:rank])
    return met, right[rank:].T
