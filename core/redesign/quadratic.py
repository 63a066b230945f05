"""One quadratic step: least squares under linear conditions and limits."""

import numpy as np

from core.redesign.space import Vector

_RANK = 1e-8
"""Relative size below which two conditions count as saying the same."""
_MOST_TURNS = 60
"""Limits that are taken in or let go of in one step, at most."""
_SAME = 1e-9
"""Residuals and limits nearer than this count as equal, mm."""


def bounded_step(
    aims: tuple[Vector, Vector],
    conditions: tuple[Vector, Vector],
    limits: tuple[Vector, Vector],
) -> Vector | None:
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
        along, *_ = np.linalg.lstsq(slopes @ kernel, -(off + slopes @ met), rcond=_RANK)
        free = met + kernel @ along
    if _inside(free, low, high):
        return free
    if not _inside(met, low, high):
        return None
    every = np.eye(len(met))
    room = np.maximum(np.concatenate([met - low, high - met]), 0.0)
    return met + step_within(slopes, off + slopes @ met, turns, np.vstack([every, -every]), room)


def _inside(step: Vector, low: Vector, high: Vector) -> bool:
    return bool(np.all(step >= low - _SAME) and np.all(step <= high + _SAME))


def _solve_conditions(slopes: Vector, wanted: Vector) -> tuple[Vector, Vector]:
    """A least-squares solution of the conditions and a basis of what they leave free."""
    if not len(wanted):
        return np.zeros(slopes.shape[1]), np.eye(slopes.shape[1])
    left, sizes, right = np.linalg.svd(slopes)
    rank = int(np.sum(sizes > _RANK * max(float(sizes[0]), 1e-300)))
    met = right[:rank].T @ ((left[:, :rank].T @ wanted) / sizes[:rank])
    return met, right[rank:].T


def step_within(aims: Vector, off: Vector, exact: Vector, over: Vector, room: Vector) -> Vector:
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
            along, *_ = np.linalg.lstsq(aims @ kernel, -left, rcond=_RANK)
            move = kernel @ along
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
