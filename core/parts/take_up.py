"""Take-up: what sewing leaves of the sizes that are drawn, by direction.

Taken up is what lies in the wall. What shows of a zip is not, and neither is what is laid on
cut cloth: pocket, handles, the length of the zip.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType


class Direction(Enum):
    """The three directions of a bag."""

    ACROSS = "across"
    DEEP = "front to back"
    UP = "up"


DIRECTIONS: Mapping[str, Direction] = MappingProxyType(
    {
        "opening_width": Direction.ACROSS,
        "base_width": Direction.ACROSS,
        "gusset_depth": Direction.DEEP,
        "gusset_depth_at_side": Direction.DEEP,
        "face_height": Direction.UP,
        "zip_offset": Direction.UP,
    }
)
"""Finished figure -> the direction in which it is taken up.

Zip clearance follows its zip offset, volumes the sizes of their box.
"""


@dataclass(frozen=True, slots=True)
class TakeUp:
    """Sewn size over drawn size, in each direction, measured outside; each > 0."""

    across: float = 1.0
    deep: float = 1.0
    up: float = 1.0

    def factor(self, direction: Direction) -> float:
        """Sewn over drawn in one direction."""
        return {
            Direction.ACROSS: self.across,
            Direction.DEEP: self.deep,
            Direction.UP: self.up,
        }[direction]

    @property
    def volume_share(self) -> float:
        """Sewn over drawn volume of a box."""
        return self.across * self.deep * self.up

    def sewn(self, drawn: Mapping[str, float | None]) -> dict[str, float | None]:
        """Sizes as they come out, from sizes measured on the stitch lines, mm.

        Volumes, and what is not taken up, stay as they are.
        """
        found = dict(drawn)
        for name, direction in DIRECTIONS.items():
            value = drawn.get(name)
            if value is not None:
                found[name] = value * self.factor(direction)
        offset, clearance = drawn.get("zip_offset"), drawn.get("zip_clearance")
        if offset is not None and clearance is not None:
            found["zip_clearance"] = clearance - offset * (1.0 - self.up)
        return found


NO_TAKE_UP = TakeUp()
"""Every size comes out as it is drawn."""
