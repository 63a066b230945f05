"""A quarter of the closed wall: what its mirror planes leave of it. Lengths are mm.

Front and back of a zipped bag are equally long, for the top fold lies half way round, and
left and right are alike: a quarter of the sheet says it all. It is a rectangle with the
corner cut taken out of it, flat, between stitch lines, x from the middle of the sheet:

        top fold
    +---------------+  u = corner_up + wall
    |               |
    |               |  side seam
    |               |
    |         +-----+  u = corner_up
    |         |  corner_along
    +---------+        u = 0, bottom line
    x = 0    base
"""

from dataclasses import dataclass

from core.bag.bag import Bag
from core.base.errors import CornerwrightError
from core.base.sentences import Sentence
from core.base.tolerance import same_length, shorter
from core.flat.seam import Draft, SeamRole
from core.solid.sheet import Sheet

LEAST_OVER_BOARD = 1.03
"""Wall over half the base: lower, a hair more or less is worth percents of the volume, and no
working mesh comes within 0.5 % (measured; the limit is an own choice)."""


class NotFillableError(CornerwrightError):
    """A bag that encloses no volume."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quarter:
    """The flat sizes of a quarter of the closed wall.

    Attributes:
        base: half of the base width, > 0.
        corner_along: the corner seam's edge along the side, 0 on a pillow.
        corner_up: its mate, half of the end of the base, 0 on a pillow; the two are sewn
            together in proportion, the longer one eased in.
        wall: from the corner seam to the top fold, > 0.
    """

    base: float
    corner_along: float
    corner_up: float
    wall: float

    @property
    def corner(self) -> float:
        """The longer edge of the corner seam, mm; 0 on a pillow."""
        return max(self.corner_along, self.corner_up)

    @property
    def half_opening(self) -> float:
        """From the middle to the side seam."""
        return self.base + self.corner_along

    @property
    def half_loop(self) -> float:
        """From the middle of the bottom to the top fold."""
        return self.corner_up + self.wall

    @property
    def area(self) -> float:
        """Flat area of the quarter, mm²."""
        return self.half_opening * self.half_loop - self.corner_along * self.corner_up

    @property
    def board_depth(self) -> float:
        """Half of what a flat base has front to back: the shorter edge of the corner seam."""
        return min(self.corner_along, self.corner_up)

    @property
    def spread(self) -> float:
        """How far a wall leans in over a flat base, over its height: at 1 it is taut."""
        return self.board_depth / self.wall

    @property
    def closes_over_board(self) -> bool:
        """Whether the walls reach from the edges of a flat base to the top fold's middle."""
        return shorter(self.board_depth, self.wall)

    @property
    def least_over_board(self) -> float:
        """Wall from which what the bag holds over a flat base can be told, mm."""
        return LEAST_OVER_BOARD * self.board_depth


def quarter_of(bag: Bag, draft: Draft, sheet: Sheet) -> Quarter:
    """The quarter of a zipped bag's sheet, every length measured on its stitch lines.

    Raises:
        NotFillableError: the top is open, or no base or wall is left.
        ValueError: front and back, or left and right, differ: no quarter says it all.
    """
    if not sheet.closed:
        raise NotFillableError(_OPEN)
    corners = [
        (each.length / 2, each.mate_length / 2) for each in draft.walked_seams(SeamRole.CORNER)
    ]
    along, up = corners[0] if corners else (0.0, 0.0)
    ends = (sheet.base_left - sheet.left, sheet.right - sheet.base_right)
    sizes = [*corners, *((end, sheet.corner) for end in ends)]
    if not all(same_length(size[0], along) and same_length(size[1], up) for size in sizes):
        raise ValueError(f"the corners of {bag.name!r} are not alike")
    return _checked(
        base=(sheet.base_right - sheet.base_left) / 2,
        corner_along=along,
        corner_up=up,
        wall=sheet.face_height,
    )


def _checked(*, base: float, corner_along: float, corner_up: float, wall: float) -> Quarter:
    """A quarter whose sizes bound an area.

    Raises:
        NotFillableError: one of them does not.
    """
    along, up = _or_nothing(corner_along), _or_nothing(corner_up)
    for gone, what in (
        (_or_nothing(base) <= 0.0, "base width"),
        (_or_nothing(wall) <= 0.0, "face height"),
        (min(along, up) < 0.0, "gusset depth"),
    ):
        if gone:
            raise NotFillableError(Sentence(_NO_SIZE, words={"what": what}))
    return Quarter(base=base, corner_along=along, corner_up=up, wall=wall)


def _or_nothing(length: float) -> float:
    """A length too short to cut is no length."""
    return 0.0 if same_length(length, 0.0) else length


_OPEN = "An open top encloses no volume: only a zipped bag can be filled."
_NO_SIZE = "The bag encloses no volume: it has no {what} left."
