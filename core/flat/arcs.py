"""Arcs of circles by their turn alone: one shape for every arc of as much turn, of any size.

Points are told as shares of the chord, along it and to the left of it, so that those of a real
arc need no sine: the rounded corners of a bag have them in common.
"""

import math
from functools import lru_cache


def arc_point(turn: float, share: float) -> tuple[float, float]:
    """A point of an arc whose chord runs from (0, 0) to (1, 0), at a share of its length."""
    radius, half, angle = 0.5 / math.sin(turn / 2), turn / 2, (share - 0.5) * turn
    return radius * (math.sin(angle) + math.sin(half)), radius * (math.cos(half) - math.cos(angle))


@lru_cache(maxsize=256)
def arc_points(turn: float, count: int) -> tuple[tuple[float, float], ...]:
    """The points within such an arc that divide it into so many parts of equal length."""
    return tuple(arc_point(turn, number / count) for number in range(1, count))
