"""A quarter of the closed wall as patches: all that filling needs to know of a construction.

A bag that can be filled is alike left and right, and front and back: two mirror planes cut it
into four, x = 0 and y = 0. The quarter at the right of the front is described flat, in patches
that are joined along their borders; where a piece lies on them its copies say.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import Enum, IntEnum
from typing import TYPE_CHECKING, NamedTuple

from core.base.errors import CornerwrightError
from core.flat.geometry import Frame2, HalfPlane
from core.flat.piece import Point
from core.flat.roles import PieceId

if TYPE_CHECKING:  # numpy comes with the first filling
    from core.base.arrays import Floats


class NotFillableError(CornerwrightError):
    """A bag that encloses no volume."""


class Border(IntEnum):
    """The sides of a patch. Each is walked to the right, or up."""

    BOTTOM = 0
    RIGHT = 1
    TOP = 2
    LEFT = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """A flat rectangle of a quarter, between stitch lines; its corners may be rounded.

    Attributes:
        low, high: its lower left and its upper right corner, mm.
        radii: of its corners, mm, from the lower left one counter-clockwise; half of a rounded
            corner belongs to each of its two borders. 0: a square one.
        across, up: which flat size each way is; patches that share one are cut alike.
        grows: what of it lengthens with its size across, and up; None: all of it alike.
        mirror_x: borders on the plane between left and right.
        mirror_y: borders on the plane between front and back.
        held: whether it stays where it starts: the bottom over a board.
        held_to: how far to the right and up it does, where that is not all of it.
    """

    low: Point
    high: Point
    across: Enum
    up: Enum
    mirror_x: frozenset[Border] = frozenset()
    mirror_y: frozenset[Border] = frozenset()
    held: bool = False
    held_to: Point = (math.inf, math.inf)
    radii: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    grows: "tuple[StraightPart | None, StraightPart | None]" = (None, None)

    @property
    def area(self) -> float:
        """Flat, mm²."""
        square = (self.high[0] - self.low[0]) * (self.high[1] - self.low[1])
        return square - (1.0 - math.pi / 4) * math.fsum(each * each for each in self.radii)

    @property
    def corners(self) -> "tuple[RoundedCorner, ...]":
        """Those that are rounded."""
        ends = self.low, self.high
        places = ((0, 0), (1, 0), (1, 1), (0, 1))
        return tuple(
            RoundedCorner(
                (ends[i][0] - right * radius, ends[j][1] - up * radius), (right, up), radius
            )
            for radius, (i, j) in zip(self.radii, places, strict=True)
            if radius > 0.0
            for right, up in ((2.0 * i - 1.0, 2.0 * j - 1.0),)
        )


class StraightPart(NamedTuple):
    """The straight part of a patch, which lengthens with a size while its arcs stay, mm.

    Attributes:
        low, high: from where to where on the plane.
        length: of the size itself.
    """

    low: float
    high: float
    length: float


class RoundedCorner(NamedTuple):
    """A quarter of a circle at the corner of a patch, mm.

    Attributes:
        centre: of the circle.
        out: from there to the corner: 1 or -1 across, and up.
    """

    centre: Point
    out: Point
    radius: float


class Crowding(NamedTuple):
    """How the cells along a size shrink towards the ends of the bag, where it is round.

    Attributes:
        share: of an even cell's length by which cells at an end are shorter, and those farthest
            from it longer, 0 to less than 1.
        from_middle: the size runs from the middle of the bag to one end, not from end to end.
        bend: a share of the size at which a line of cells lies, and even ones on either side of
            it: where what a board holds ends; 0 for none.
    """

    share: float = 0.0
    from_middle: bool = False
    bend: float = 0.0


PatchBorder = tuple[int, Border]
"""A border of the patch at that place."""


@dataclass(frozen=True, slots=True)
class Join:
    """Two borders that are one line in space, node by node in proportion.

    It is a seam, or a cut inside a piece. `reversed`: one is walked against the other.
    """

    one: PatchBorder
    other: PatchBorder
    reversed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """Where a part of a piece lies on the patches, and on which quarter of the bag.

    Attributes:
        limits: half planes that bound the part, in the frame of the piece.
        frame: from the piece into the plane of the patches.
        signs: of x and y in space: right and back are positive.
    """

    piece: PieceId
    limits: tuple[HalfPlane, ...]
    frame: Frame2
    signs: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Quarter:
    """A quarter of the closed wall.

    Corner 0 of the first patch lies on both mirror planes, and holds the bag at its height.

    Attributes:
        patches, joins: the quarter; where joined patches start at different places the later
            patch decides.
        gathered: borders that are drawn together to their first corner.
        copies: of all pieces that the wall is made of.
        counts: cells along each size, even and at least 2.
        crowding: of the sizes whose cells are not all alike.
        start: (patch, (k,) x, (k,) y) -> (3, k) mm: a rough shape, x and y not negative.
        softness: as in `core.solid.fill_problem.Problem`.
        held_sizes: whose growth a held bottom follows, across and front to back, by share.
    """

    patches: tuple[Patch, ...]
    joins: tuple[Join, ...] = ()
    gathered: tuple[PatchBorder, ...] = ()
    copies: tuple[Copy, ...] = ()
    counts: Mapping[Enum, int]
    crowding: Mapping[Enum, Crowding] = field(default_factory=dict)
    start: "Callable[[int, Floats, Floats], Floats]" = field(compare=False)
    softness: float = 1.0
    held_sizes: tuple[Mapping[Enum, float], Mapping[Enum, float]] = ({}, {})

    @property
    def area(self) -> float:
        """Flat area of the quarter, mm²."""
        return sum(patch.area for patch in self.patches)
