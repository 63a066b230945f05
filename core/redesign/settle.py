"""From a bag that has what is asked to the one that changes least: along the rows.

    minimise  | (aims(x) - home) / scales |^2    over a region

Each step is the exact answer of its tangent, within every limit, and is brought back to
what is exact; it is halved until it changes less. Nothing but rows is asked, so that a
step costs no measured bag.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from core.redesign.quadratic import step_within
from core.redesign.region import Region
from core.redesign.space import Vector
from core.redesign.wants import VOLUME_SHARE, is_drop, is_volume

_STEPS = 40
_HALVINGS = 12
_BACK = 12
"""Most steps that bring a point back to what is exact."""
_MET = 1e-9
"""mm; what is exact is met to this, a hundredth of what is accepted."""
_ROOM = 1e-9
"""mm; how far beyond a limit rounding may leave a point."""
_SETTLED = 1e-10
"""Relative gain below which nothing more is to be had."""


@dataclass(frozen=True, slots=True)
class Aims:
    """Sizes that stay as near as they can.

    Attributes:
        names: of m figures; home: (m,) what they shall be, mm; scales: (m,) mm.
    """

    names: tuple[str, ...]
    home: Vector
    scales: Vector


def least_change_within(region: Region, start: Vector, aims: Aims) -> tuple[Vector, float]:
    """The x of least weighed change, and that change.

    It is sought from a start, and from what changes least where nothing that bends is asked: a
    volume may be had by a flat bag and by a deep one, and no way leads from the one to the other.

    Args:
        region: what is exact, and the limits.
        start: (n,) an x of it.
        aims: what is weighed.
    """
    rows = [region.figure(name) for name in aims.names]
    slopes = np.array([row.gradient(start) for row in rows]) / aims.scales[:, None]
    over = np.array([rule.room.slope for rule in region.rules])
    least = np.array([rule.least - rule.room.base for rule in region.rules])

    def off(x: Vector) -> Vector:
        return (np.array([row.at(x) for row in rows]) - aims.home) / aims.scales

    flat = np.array([row.slope for row in region.equal]).reshape(-1, len(start))
    within = (*_conditions(region, flat), over, least)
    room = np.maximum(over @ start - least, 0.0)
    near = start + step_within(slopes, off(start), flat, over, room)
    begins = [_brought_back(each, *within) for each in (start, near)]
    ends = [_least_from(x, slopes, off, within) for x in begins if x is not None]
    x = min(ends, key=lambda end: float(off(end) @ off(end)), default=start)
    return x, float(off(x) @ off(x))


def _least_from(x: Vector, slopes: Vector, off: "Misses", within: "Within") -> Vector:
    """The x of least change that steps from one lead to."""
    _, turns, over, least = within
    now = off(x)
    for _ in range(_STEPS):
        room = np.maximum(over @ x - least, 0.0)
        better = _shortened(x, step_within(slopes, now, turns(x), over, room), now, off, within)
        if better is None:
            break
        gain = float(now @ now)
        x, now = better
        if gain - float(now @ now) <= _SETTLED * max(gain, 1e-12):
            break
    return x


Misses = Callable[[Vector], Vector]
Within = tuple[Misses, Misses, Vector, Vector]
"""What is missed of what is exact and its slopes; the limits and what they come to at least."""


def _conditions(region: Region, flat: Vector) -> tuple[Misses, Misses]:
    """(k,) how far what is exact is missed at x, in mm, and (k, n) its slopes.

    Args:
        region: of what is exact.
        flat: slopes of what of it is linear.
    """
    bent = [name for name in region.exact if is_volume(name) or is_drop(name)]
    shares = np.array(
        [VOLUME_SHARE / max(region.exact[name], 1e-3) if is_volume(name) else 1.0 for name in bent]
    )
    figures = [region.figure(name) for name in bent]
    wanted = np.array([region.exact[name] for name in bent])
    bases = np.array([row.base for row in region.equal])

    def misses(x: Vector) -> Vector:
        curved = (np.array([figure.at(x) for figure in figures]) - wanted) * shares
        return np.concatenate([flat @ x + bases, curved])

    def turns(x: Vector) -> Vector:
        if not bent:
            return flat
        return np.vstack([flat, np.array([f.gradient(x) for f in figures]) * shares[:, None]])

    return misses, turns


def _shortened(
    x: Vector,
    step: Vector,
    now: Vector,
    off: Misses,
    within: Within,
) -> tuple[Vector, Vector] | None:
    """The longest part of a step that changes less; None when none does."""
    for _ in range(_HALVINGS):
        there = _brought_back(x + step, *within)
        if there is not None:
            after = off(there)
            if float(after @ after) < float(now @ now):
                return there, after
        step = step / 2
    return None


def _brought_back(
    x: Vector, misses: Misses, turns: Misses, over: Vector, least: Vector
) -> Vector | None:
    """The nearest x that meets what is exact within the limits; None where that fails."""
    for _ in range(_BACK):
        missed = misses(x)
        room = over @ x - least
        if np.abs(missed).max(initial=0.0) <= _MET and room.min() >= -_ROOM:
            return x
        slopes = turns(x)
        # Limits that are reached are kept as if they were exact.
        reached = room <= _ROOM * 10
        rows = np.vstack([slopes, over[reached]])
        wanted = np.concatenate([-missed, -np.minimum(room[reached], 0.0)])
        step, *_ = np.linalg.lstsq(rows, wanted, rcond=1e-11)
        x = x + step
    return None
