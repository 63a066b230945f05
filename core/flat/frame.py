"""Flat rigid motions: from the frame of one thing into that of another."""

from typing import NamedTuple

from core.flat.clip import HalfPlane
from core.flat.piece import Point


class Frame2(NamedTuple):
    """A flat rigid motion, which may mirror: (x, y) goes to origin + x * right + y * up, mm.

    Attributes:
        origin: where (0, 0) goes.
        right, up: orthogonal unit vectors.
    """

    origin: Point = (0.0, 0.0)
    right: Point = (1.0, 0.0)
    up: Point = (0.0, 1.0)

    def at(self, point: Point) -> Point:
        """Where a point goes."""
        (x0, y0), (rx, ry), (ux, uy), (x, y) = self.origin, self.right, self.up, point
        return x0 + x * rx + y * ux, y0 + x * ry + y * uy

    def back(self, point: Point) -> Point:
        """Where a point comes from."""
        (x0, y0), (rx, ry), (ux, uy), (x, y) = self.origin, self.right, self.up, point
        x, y = x - x0, y - y0
        return x * rx + y * ry, x * ux + y * uy

    @property
    def inverse(self) -> "Frame2":
        """The motion back."""
        x0, y0 = self.back((0.0, 0.0))
        (x1, y1), (x2, y2) = self.back((1.0, 0.0)), self.back((0.0, 1.0))
        return Frame2((x0, y0), (x1 - x0, y1 - y0), (x2 - x0, y2 - y0))

    def plane_back(self, plane: HalfPlane) -> HalfPlane:
        """The half plane whose image is this one."""
        (x0, y0), (rx, ry), (ux, uy), (a, b, c) = self.origin, self.right, self.up, plane
        return a * rx + b * ry, a * ux + b * uy, c - a * x0 - b * y0
