"""Arrays of numpy, named once, and flat frames and regions as such.

Only for modules that load numpy anyway.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
"""Of any shape; each use says which."""
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


def placed(frames: Floats, points: Floats) -> Floats:
    """(k, d) where points (k, 2) go: origin + x * across + y * up, each by its own of (k, 3, d)."""
    return np.asarray(frames[:, 0] + points[:, :1] * frames[:, 1] + points[:, 1:] * frames[:, 2])


def beyond(limits: Floats, points: Floats) -> Floats:
    """(z, k) how far points (k, 2) lie outside regions, mm; below 0 inside.

    Args:
        limits: (z, m, 3) half planes (a, b, c) that bound each: a x + b y <= c.
        points: mm.
    """
    raised = np.array((points[:, 0], points[:, 1], np.full(len(points), -1.0)))
    away = (limits.reshape(-1, 3) @ raised).reshape(*limits.shape[:2], -1)
    return np.asarray(away.max(axis=1))


def table(limits: Sequence[tuple[tuple[float, float, float], ...]]) -> Floats:
    """(z, m, 3) half planes of regions, short lists filled up with their first."""
    most = max(map(len, limits))
    return np.array([(*each, *each[:1] * (most - len(each))) for each in limits])
