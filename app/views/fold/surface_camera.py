"""The eye of the fold view for arrays: the filled bag has thousands of points."""

import numpy as np

from core.base.arrays import Floats
from core.drawing.projection import Axes, Camera
from core.flat.geometry import Bounds
from core.space.zones import Spatial


def project(camera: Camera, points: Floats) -> Floats:
    """(n, 3) points, mm, to (n, 3): x and y in pixels, y down, and nearness in mm."""
    seen = (points - np.array(camera.target)) @ np.array(camera.axes).T
    grown = camera.scale * camera.distance / _ahead(camera.distance, seen[:, 2])
    seen[:, 0] = camera.centre[0] + seen[:, 0] * grown
    seen[:, 1] = camera.centre[1] - seen[:, 1] * grown
    return np.asarray(seen)


def _ahead(distance: float, nearness: Floats) -> Floats:
    """(n,) as `core.drawing.projection.ahead` has it."""
    return np.maximum(distance - nearness, distance / 10)


class ArrayExtent:
    """The extent of points (n, 3), mm."""

    def __init__(self, points: Floats) -> None:
        self._points = points

    def box(self) -> tuple[Spatial, Spatial]:
        """Their least and greatest x, y and z, mm."""
        return _spatial(self._points.min(axis=0)), _spatial(self._points.max(axis=0))

    def spread(self, axes: Axes, target: Spatial, distance: float) -> "ArraySpread":
        """How they lie in the picture of an eye."""
        seen = (self._points - np.array(target)) @ np.array(axes).T
        return ArraySpread(seen[:, :2], distance / _ahead(distance, seen[:, 2]))


class ArraySpread:
    """(n, 2) points right of and above the target, mm, and (n,) how many times as large each is."""

    def __init__(self, points: Floats, grown: Floats) -> None:
        self._points, self._grown = points, grown[:, None]

    def about(self, across: float, up: float) -> Bounds:
        """What they take up, mm, for an eye whose target is moved so far in the picture."""
        seen = (self._points - (across, up)) * self._grown
        (left, low), (right, high) = seen.min(axis=0).tolist(), seen.max(axis=0).tolist()
        return left, low, right, high


def _spatial(point: Floats) -> Spatial:
    x, y, z = point.tolist()
    return x, y, z
