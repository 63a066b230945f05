"""The eye that looks at the bag: projection, fit, and what is drawn before what.

Plain tuples, as the folding bag is of them: a few hundred points are placed and projected in one
go, and the window opens before numpy is loaded.
"""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple, Protocol

from core.flat.geometry import Bounds
from core.flat.piece import Point
from core.space.zones import Frame, Spatial, add, dot, minus, scaled

_ON_PLANE = 0.05
"""mm; corners so near to a plane lie on it, for the order of drawing."""

Axes = tuple[Spatial, Spatial, Spatial]
"""Unit vectors to the right and up in the picture, and towards the eye."""


def eye_axes(yaw: float, pitch: float) -> Axes:
    """The axes of an eye.

    Angles are radians; yaw 0 looks at the front, positive comes round to the right side of the
    bag; pitch is positive from above.
    """
    sy, cy, sp, cp = math.sin(yaw), math.cos(yaw), math.sin(pitch), math.cos(pitch)
    return (cy, sy, 0.0), (-sy * sp, cy * sp, cp), (sy * cp, -cy * cp, sp)


def turned(axes: Axes, way: Spatial) -> Spatial:
    """A way in space as (right, up, towards the eye)."""
    (a, b, c), (d, e, f), (g, h, i) = axes
    x, y, z = way
    return a * x + b * y + c * z, d * x + e * y + f * z, g * x + h * y + i * z


def turned_frame(axes: Axes, frame: Frame, target: Spatial = (0.0, 0.0, 0.0)) -> Frame:
    """A frame whose points are told as (right, up, towards the eye) from a target, mm."""
    (a, b, c), (d, e, f), (g, h, i) = axes
    origin, across, up = [
        (a * x + b * y + c * z, d * x + e * y + f * z, g * x + h * y + i * z)
        for x, y, z in (minus(frame.origin, target), frame.across, frame.up)
    ]
    return Frame(origin, across, up)


class Camera:
    """Where the eye is and how its picture lies on the widget.

    Attributes:
        yaw, pitch: radians; yaw 0 looks at the front, positive comes round to the right
            side of the bag; pitch is positive from above.
        target: mm: the point that is shown at `centre`.
        scale: pixels for 1 mm at the target.
        distance: from the target to the eye, mm.
        centre: pixels.
        axes: unit vectors to the right and up in the picture, and towards the eye.
        eye: where it is, mm.
    """

    def __init__(
        self,
        *,
        yaw: float,
        pitch: float,
        target: Spatial,
        scale: float,
        distance: float,
        centre: tuple[float, float],
    ) -> None:
        self.yaw, self.pitch, self.target = yaw, pitch, target
        self.scale, self.distance, self.centre = scale, distance, centre
        self.axes: Axes = eye_axes(yaw, pitch)
        self.eye: Spatial = add(target, scaled(self.axes[2], distance))

    @property
    def key(self) -> tuple[object, ...]:
        """Equal for eyes that see the same picture."""
        return (self.yaw, self.pitch, self.target, self.scale, self.distance, self.centre)

    def project(self, points: Iterable[Spatial]) -> list[Spatial]:
        """Points, mm: x and y in pixels, y down, and nearness in mm."""
        (left, top), whole, (x0, y0, z0) = self.centre, self.scale * self.distance, self.target
        (a, b, c), (d, e, f), (g, h, i) = self.axes
        distance, least = self.distance, self.distance / 10
        return [
            (left + (a * x + b * y + c * z) * grown, top - (d * x + e * y + f * z) * grown, near)
            for right, back, up in points
            for x, y, z in ((right - x0, back - y0, up - z0),)
            for near in (g * x + h * y + i * z,)
            for grown in (whole / (distance - near if distance - near > least else least),)
        ]

    def pixels(self, seen: Frame, points: Iterable[Point]) -> list[Point]:
        """Points of a flat region, placed and projected in one go.

        `seen` is the region's frame as `turned_frame` tells it from this eye and target.
        """
        (left, top), whole = self.centre, self.scale * self.distance
        (x0, y0, z0), (ax, ay, az), (ux, uy, uz) = seen
        far, least = self.distance - z0, self.distance / 10
        return [
            (left + (x0 + x * ax + y * ux) * grown, top - (y0 + x * ay + y * uy) * grown)
            for x, y in points
            for before in (far - x * az - y * uz,)
            for grown in (whole / (before if before > least else least),)
        ]


class AnyExtent(Protocol):
    """Points that must be seen."""

    def box(self) -> tuple[Spatial, Spatial]:
        """Their least and greatest x, y and z, mm."""
        ...

    def spread(self, axes: Axes, target: Spatial, distance: float) -> "Spread":
        """How they lie in the picture of an eye."""
        ...


class Spread(Protocol):
    """Points in a picture, each grown by its nearness."""

    def about(self, across: float, up: float) -> Bounds:
        """What they take up, mm, for an eye whose target is moved so far in the picture."""
        ...


class PointExtent:
    """The extent of some points, mm."""

    def __init__(self, points: Sequence[Spatial]) -> None:
        self.points = points

    def box(self) -> tuple[Spatial, Spatial]:
        """Their least and greatest x, y and z, mm."""
        x, y, z = zip(*self.points, strict=True)
        return (min(x), min(y), min(z)), (max(x), max(y), max(z))

    def spread(self, axes: Axes, target: Spatial, distance: float) -> "PointSpread":
        """How they lie in the picture of an eye."""
        (a, b, c), (d, e, f), (g, h, i) = axes
        right, above, near = turned(axes, target)
        far, least = distance + near, distance / 10
        return PointSpread(
            [
                (
                    a * x + b * y + c * z - right,
                    d * x + e * y + f * z - above,
                    distance / (before if before > least else least),
                )
                for x, y, z in self.points
                for before in (far - g * x - h * y - i * z,)
            ]
        )


class PointSpread:
    """Points as (right, up) from the target, mm, and how many times as large each is seen."""

    def __init__(self, points: list[Spatial]) -> None:
        self._points = points

    def about(self, across: float, up: float) -> Bounds:
        """What they take up, mm, for an eye whose target is moved so far in the picture."""
        x = [(right - across) * grown for right, _, grown in self._points]
        y = [(above - up) * grown for _, above, grown in self._points]
        return min(x), min(y), max(x), max(y)


class Fit(NamedTuple):
    """A target, mm, and a scale, pixels for 1 mm, that show everything."""

    target: Spatial
    scale: float


def fit(
    extent: AnyExtent, *, yaw: float, pitch: float, room: tuple[float, float], distance: float
) -> Fit:
    """What shows all of an extent in a room of (width, height) pixels, seen from this side."""
    middle = scaled(add(*extent.box()), 0.5)
    axes = eye_axes(yaw, pitch)
    spread = extent.spread(axes, middle, distance)
    across = up = 0.0
    scale = 1.0
    for _ in range(3):  # the picture of a shifted target differs a little: near eye
        left, low, right, high = spread.about(across, up)
        scale = min(room[0] / max(right - left, 1e-6), room[1] / max(high - low, 1e-6))
        across, up = across + (left + right) / 2, up + (low + high) / 2
    return Fit(add(middle, add(scaled(axes[0], across), scaled(axes[1], up))), scale)


def ahead(distance: float, nearness: float) -> float:
    """How far before the eye a point lies that is so much nearer than its target, mm.

    What comes nearer than a tenth of the distance would turn inside out.
    """
    return max(distance - nearness, distance / 10)


def between(one: Fit, other: Fit, share: float) -> Fit:
    """A fit part of the way from one to the other."""
    scale = math.exp(math.log(one.scale) * (1 - share) + math.log(other.scale) * share)
    return Fit(add(scaled(one.target, 1 - share), scaled(other.target, share)), scale)


class Sheet(NamedTuple):
    """A flat outline in space.

    Attributes:
        corners: at least one, mm.
        normal: unit vector.
    """

    corners: Sequence[Spatial]
    normal: Spatial


def paint_order(sheets: Sequence[Sheet], eye: Spatial) -> list[int]:
    """Indices of flat outlines, the furthest first.

    Of two outlines the one that lies wholly beyond the other's plane, seen from the eye,
    is drawn first (Newell, Newell and Sancha, "A solution to the hidden surface problem",
    1972; from memory). What no plane decides goes by the distance of the middles.

    Args:
        sheets: the outlines.
        eye: mm.
    """
    places = range(len(sheets))
    before: list[set[int]] = [set() for _ in places]
    sides = _sides(sheets, eye)
    for i, of_others in enumerate(sides):
        for j in range(i):
            # Of what lies in both planes, or in neither, none goes first.
            one, other = sides[j][i], of_others[j]
            if one < other:
                before[j].add(i)
            elif other < one:
                before[i].add(j)
    most = max((len(sheet.corners) for sheet in sheets), default=0)
    away = [_away(sheet, eye, most) for sheet in sheets]
    return _sorted_by(before, sorted(places, key=lambda i: -away[i]))


def _sides(sheets: Sequence[Sheet], eye: Spatial) -> list[list[int]]:
    """Of each outline's plane, where each outline lies: as `_sides_of` tells it.

    Outlines that lie in one plane, as those side by side on a face do, are told of once.
    """
    planes: dict[tuple[Spatial, float], list[int]] = {}
    found: list[list[int]] = []
    for corners, normal in sheets:
        level = dot(normal, corners[0])
        plane = normal, round(level, 6)
        if plane not in planes:
            planes[plane] = _sides_of(normal, level, sheets, eye)
        found.append(planes[plane])
    return found


def _sides_of(normal: Spatial, through: float, sheets: Sequence[Sheet], eye: Spatial) -> list[int]:
    """Of each outline: -1 wholly beyond a plane, seen from the eye, 1 before it, else 0."""
    if dot(normal, eye) < through:
        normal, through = scaled(normal, -1.0), -through
    a, b, c = normal
    low, high = through - _ON_PLANE, through + _ON_PLANE
    found: list[int] = []
    for corners, _ in sheets:
        above = below = False
        for x, y, z in corners:
            height = a * x + b * y + c * z
            if height > high:
                above = True
                if below:
                    break
            elif height < low:
                below = True
                if above:
                    break
        found.append(above - below)
    return found


def _away(sheet: Sheet, eye: Spatial, most: int) -> float:
    """From the eye to the middle of an outline, mm.

    The first corner counts as often as brings all outlines to the most corners of any: of zones
    side by side the order, and so who draws the line between them, hangs on it.
    """
    more = most - len(sheet.corners)
    x, y, z = zip(*sheet.corners, strict=True)
    middle = (
        (sum(x) + more * x[0]) / most,
        (sum(y) + more * y[0]) / most,
        (sum(z) + more * z[0]) / most,
    )
    return math.dist(middle, eye)


def _sorted_by(before: Sequence[set[int]], waiting: list[int]) -> list[int]:
    """The furthest of those before which nothing is left to be drawn, and so on.

    Where each waits for another, the furthest goes ahead.

    Args:
        before: of each what is drawn before it.
        waiting: all of them, the furthest first.
    """
    left = set(waiting)
    order: list[int] = []
    while waiting:
        chosen = next((i for i in waiting if left.isdisjoint(before[i])), waiting[0])
        order.append(chosen)
        waiting.remove(chosen)
        left.remove(chosen)
    return order
