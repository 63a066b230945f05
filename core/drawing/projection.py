"""The eye that looks at the bag: projection, fit, and what is drawn before what."""

import math
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from core.base.arrays import Flags, Floats

_ON_PLANE = 0.05
"""mm; corners so near to a plane lie on it, for the order of drawing."""


def eye_axes(yaw: float, pitch: float) -> Floats:
    """(3, 3) array: unit vectors to the right and up in the picture, and towards the eye.

    Angles are radians; yaw 0 looks at the front, positive comes round to the right side of the
    bag; pitch is positive from above.
    """
    sy, cy, sp, cp = math.sin(yaw), math.cos(yaw), math.sin(pitch), math.cos(pitch)
    return np.array([[cy, sy, 0.0], [-sy * sp, cy * sp, cp], [sy * cp, -cy * cp, sp]])


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """Where the eye is and how its picture lies on the widget.

    Attributes:
        yaw, pitch: radians; yaw 0 looks at the front, positive comes round to the right
            side of the bag; pitch is positive from above.
        target: (3,) array, mm: the point that is shown at `centre`.
        scale: pixels for 1 mm at the target.
        distance: from the target to the eye, mm.
        centre: pixels.
        axes: (3, 3) array: unit vectors to the right and up in the picture, and towards the eye.
        eye: (3,) array, mm: where it is.
    """

    yaw: float
    pitch: float
    target: Floats
    scale: float
    distance: float
    centre: tuple[float, float]
    axes: Floats = field(init=False, repr=False, compare=False)
    eye: Floats = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        axes = eye_axes(self.yaw, self.pitch)
        object.__setattr__(self, "axes", axes)
        object.__setattr__(self, "eye", self.target + self.distance * axes[2])

    @property
    def key(self) -> tuple[object, ...]:
        """Equal for eyes that see the same picture."""
        target = tuple(self.target.tolist())
        return (self.yaw, self.pitch, target, self.scale, self.distance, self.centre)

    def project(self, points: Floats) -> Floats:
        """(n, 3) points, mm, to (n, 3): x and y in pixels, y down, and nearness in mm."""
        seen = (points - self.target) @ self.axes.T
        grown = self.scale * self.distance / _ahead(self.distance, seen[:, 2])
        seen[:, 0] = self.centre[0] + seen[:, 0] * grown
        seen[:, 1] = self.centre[1] - seen[:, 1] * grown
        return np.asarray(seen)

    def faces(self, normals: Floats, through: Floats) -> Floats:
        """(n,) sine of the angle at which planes look at the eye; negative from behind."""
        ways = self.eye - through
        ways /= np.linalg.norm(ways, axis=1, keepdims=True)
        return np.asarray(np.einsum("ij,ij->i", normals, ways))


class Fit(NamedTuple):
    """A target (3,) mm and a scale, pixels for 1 mm, that show everything."""

    target: Floats
    scale: float


def fit(
    points: Floats, *, yaw: float, pitch: float, room: tuple[float, float], distance: float
) -> Fit:
    """What shows all points in a room of (width, height) pixels, seen from this side."""
    target = (points.min(axis=0) + points.max(axis=0)) / 2
    axes = eye_axes(yaw, pitch)
    scale = 1.0
    for _ in range(3):  # the picture of a shifted target differs a little: near eye
        across, up, nearness = ((points - target) @ axes.T).T
        grown = distance / _ahead(distance, nearness)
        across, up = across * grown, up * grown
        left, low, right, high = (
            float(end) for end in (across.min(), up.min(), across.max(), up.max())
        )
        scale = min(room[0] / max(right - left, 1e-6), room[1] / max(high - low, 1e-6))
        target = target + (left + right) / 2 * axes[0] + (low + high) / 2 * axes[1]
    return Fit(target, scale)


def _ahead(distance: float, nearness: Floats) -> Floats:
    """(n,) how far before the eye points lie that are so much nearer than its target, mm.

    What comes nearer than a tenth of the distance would turn inside out.
    """
    return np.maximum(distance - nearness, distance / 10)


def between(one: Fit, other: Fit, share: float) -> Fit:
    """A fit part of the way from one to the other."""
    scale = math.exp(math.log(one.scale) * (1 - share) + math.log(other.scale) * share)
    return Fit(one.target * (1 - share) + other.target * share, scale)


def paint_order(corners: Floats, normals: Floats, eye: Floats) -> list[int]:
    """Indices of flat convex outlines, the furthest first.

    Of two outlines the one that lies wholly beyond the other's plane, seen from the eye,
    is drawn first (Newell, Newell and Sancha, "A solution to the hidden surface problem",
    1972; from memory). What no plane decides goes by the distance of the middles.

    Args:
        corners: (n, m, 3) array, mm: m of each outline; a shorter one repeats its first.
        normals: (n, 3) unit vectors.
        eye: (3,), mm.
    """
    if not len(corners):  # a flat sheet seen edge on
        return []
    through = corners[:, 0]
    side = np.where(np.einsum("ij,ij->i", normals, eye - through) >= 0.0, 1.0, -1.0)
    facing = normals * side[:, None]
    count, most = corners.shape[:2]
    heights = (facing @ corners.reshape(-1, 3).T).reshape(count, count, most)
    heights -= np.einsum("ik,ik->i", through, facing)[:, None, None]
    beyond = heights.max(axis=2) <= _ON_PLANE
    nearer = heights.min(axis=2) >= -_ON_PLANE
    # first[i, j]: i is drawn before j; of what lies in both planes, or in neither, none is.
    first = (beyond > nearer).T | (nearer > beyond)
    first = first > first.T
    return _sorted_by(first, np.linalg.norm(corners.mean(axis=1) - eye, axis=1))


def _sorted_by(first: Flags, away: Floats) -> list[int]:
    """The furthest of those before which nothing is left to be drawn, and so on.

    Where each waits for another, the furthest goes ahead.
    """
    before = [{i for i, goes in enumerate(column) if goes} for column in first.T.tolist()]
    waiting = np.argsort(-away, kind="stable").tolist()
    left = set(waiting)
    order: list[int] = []
    while waiting:
        chosen = next((i for i in waiting if left.isdisjoint(before[i])), waiting[0])
        order.append(chosen)
        waiting.remove(chosen)
        left.remove(chosen)
    return order
