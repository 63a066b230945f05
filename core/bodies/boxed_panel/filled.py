"""A quarter of the boxed panel's closed wall: what its mirror planes leave of it, for filling.

Front and back of a closed bag are equally long, for the top fold lies half way round, and
left and right are alike: a quarter of the wall says it all. It is a rectangle with the
corner cut taken out of it, flat, between stitch lines, x from the middle of the wall:

        top fold
    +---------+-----+  u = corner_up + wall
    |         |     |
    |    1    |  2  |  side seam
    |         |     |
    +---------+-----+  u = corner_up
    |    0    |  corner_along
    +---------+        u = 0, bottom line
    x = 0    base
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType

import numpy as np

from core.base.arrays import Floats
from core.base.sentences import mark
from core.base.tolerance import same_length
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.boxed_panel.sizes import FlatSize
from core.bodies.boxed_panel.wall import Wall, measure_wall
from core.flat.geometry import Frame2
from core.flat.roles import FACES, SeamRole
from core.flat.seam import Draft
from core.space.over_board import LEAST_OVER_BOARD, check_closes, softness_over_board
from core.space.patches import Border, Copy, Crowding, Join, NotFillableError, Patch, Quarter
from core.space.working_cells import is_taut, working_cells, working_crowds
from core.space.zones import Closing

_BULGE = 0.25
"""Of the start, over the smaller side of the quarter: it only has to be roughly round."""
_LEAN = 0.9
"""How far the walls of the start lean in at most, over their height."""
_BOAT = 0.6
"""Depth of a base whose ends are gathered to points, over its flat depth."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """The flat sizes of a quarter of the closed wall, mm.

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
    def half_opening(self) -> float:
        """From the middle to the side seam."""
        return self.base + self.corner_along

    @property
    def half_loop(self) -> float:
        """From the middle of the bottom to the top fold."""
        return self.corner_up + self.wall

    @property
    def corner(self) -> float:
        """The longer edge of the corner seam."""
        return max(self.corner_along, self.corner_up)

    @property
    def board_depth(self) -> float:
        """Half of what a flat base has front to back: the shorter edge of the corner seam."""
        return min(self.corner_along, self.corner_up)

    @property
    def spread(self) -> float:
        """How far a wall leans in over a flat base, over its height: at 1 it is taut."""
        return self.board_depth / self.wall

    @property
    def least_over_board(self) -> float:
        """Wall from which what the bag holds over a flat base can be told, mm."""
        return LEAST_OVER_BOARD * self.board_depth


def quarter(panel: BoxedPanel, draft: Draft, closing: Closing | None, *, board: bool) -> Quarter:
    """The quarter of a closed panel's wall, every length measured on its stitch lines.

    A board keeps the bottom flat where there is one. A NotFillableError where the top is open, no
    base or wall is left, or the walls do not reach over the board, or only just; a ValueError where
    front and back, or left and right, differ: no quarter says it all.
    """
    if closing is None:
        raise NotFillableError(_OPEN)
    wall = measure_wall(panel, draft, closing)
    sizes = measure_sizes(draft, wall)
    flat = board and sizes.board_depth > 0.0
    if flat:
        check_closes(sizes.wall, sizes.board_depth)
    return quarter_of(sizes, flat=flat, copies=_copies(panel, wall, closing))


def measure_sizes(draft: Draft, wall: Wall) -> Sizes:
    """The sizes of a closed wall's quarter.

    A NotFillableError where no base or wall is left, a ValueError where front and back, or left
    and right, differ.
    """
    corners = [
        (each.length / 2, each.mate_length / 2) for each in draft.walked_seams(SeamRole.CORNER)
    ]
    along, up = corners[0] if corners else (0.0, 0.0)
    ends = (wall.base_left - wall.left, wall.right - wall.base_right)
    sizes = [*corners, *((end, wall.corner) for end in ends)]
    if not all(same_length(size[0], along) and same_length(size[1], up) for size in sizes):
        raise ValueError("the corners of the bag are not alike")
    along, up = _or_nothing(along), _or_nothing(up)
    base, height = (wall.base_right - wall.base_left) / 2, wall.face_height
    for gone, sentence in (
        (_or_nothing(base) <= 0.0, _NO_BASE),
        (_or_nothing(height) <= 0.0, _NO_FACE),
        (min(along, up) < 0.0, _NO_GUSSET),
    ):
        if gone:
            raise NotFillableError(sentence)
    return Sizes(base=base, corner_along=along, corner_up=up, wall=height)


def quarter_of(sizes: Sizes, *, flat: bool, copies: tuple[Copy, ...] = ()) -> Quarter:
    """A quarter of these sizes; `flat`: whether a board holds its base, which it must have."""
    base, opening, up, loop = sizes.base, sizes.half_opening, sizes.corner_up, sizes.half_loop
    low, beside = up > 0.0, sizes.corner_along > 0.0
    right = frozenset((Border.RIGHT,))
    patches = [
        Patch(
            low=(0.0, up),
            high=(base, loop),
            across=FlatSize.BASE,
            up=FlatSize.WALL,
            mirror_x=frozenset((Border.LEFT,)),
            mirror_y=frozenset((Border.TOP,))
            | (frozenset() if low else frozenset((Border.BOTTOM,)))
            | (frozenset() if beside else right),
        )
    ]
    wall = 1 if low else 0
    joins: list[Join] = []
    gathered: list[tuple[int, Border]] = []
    if low:
        patches.insert(
            0,
            Patch(
                low=(0.0, 0.0),
                high=(base, up),
                across=FlatSize.BASE,
                up=FlatSize.CORNER_UP,
                mirror_x=frozenset((Border.LEFT,)),
                mirror_y=frozenset((Border.BOTTOM,)),
                held=flat,
            ),
        )
        joins.append(Join((0, Border.TOP), (wall, Border.BOTTOM)))
    if beside:
        patches.append(
            Patch(
                low=(base, up),
                high=(opening, loop),
                across=FlatSize.CORNER_ALONG,
                up=FlatSize.WALL,
                mirror_y=frozenset((Border.TOP, Border.RIGHT)),
            )
        )
        joins.append(Join((wall, Border.RIGHT), (wall + 1, Border.LEFT)))
    if low and beside:
        # The end of the base runs down while its mate runs out to the side seam.
        joins.append(Join((0, Border.RIGHT), (wall + 1, Border.BOTTOM), reversed=True))
    elif low:
        gathered.append((0, Border.RIGHT))
    elif beside:
        gathered.append((wall + 1, Border.BOTTOM))
    # A board is as deep as the shorter edge of the corner seam.
    along = 0.5 * (1.0 + float(np.sign(sizes.corner_up - sizes.corner_along)))
    wide: Mapping[Enum, float] = {FlatSize.BASE: 1.0}
    deep: Mapping[Enum, float] = {FlatSize.CORNER_ALONG: along, FlatSize.CORNER_UP: 1.0 - along}
    counts = working_counts(sizes, flat=flat)
    return Quarter(
        patches=tuple(patches),
        joins=tuple(joins),
        gathered=tuple(gathered),
        copies=copies,
        counts=counts,
        crowding=working_crowding(sizes, counts, flat=flat),
        start=lambda patch, x, u: _start(sizes, patch < wall, x, u, flat=flat),
        softness=softness_over_board(sizes.spread) if flat else 1.0,
        held_sizes=(wide, deep) if flat else ({}, {}),
    )


def _copies(panel: BoxedPanel, wall: Wall, closing: Closing) -> tuple[Copy, ...]:
    """Both halves of front and back, of what of the back is folded over, and of the tape."""
    front, back = (panel.wall(face) for face in FACES)
    half, tape = wall.top_fold, wall.front_top + closing.frame.origin[1]
    end = wall.front_top + wall.zip_width
    parts = (
        # piece, lowest and highest y of it, u = start + way * y, whether it lies on the back
        (front, 0.0, min(wall.front_top, half), 0.0, 1.0, False),
        (back, -min(wall.back_top, half), 0.0, 0.0, -1.0, True),
        (back, -wall.back_top, -half, wall.loop, 1.0, False),
        (closing.piece, wall.front_top - tape, min(end, half) - tape, tape, 1.0, False),
        (closing.piece, max(wall.front_top, half) - tape, end - tape, wall.loop - tape, -1.0, True),
    )
    found: list[Copy] = []
    # What is rolled in is not filled.
    for piece, low, high, start, way, behind in parts[:2] if closing.rolled else parts:
        for side in (1.0, -1.0) if low < high else ():
            found.append(
                Copy(
                    piece=piece,
                    limits=((-side, 0.0, -side * wall.middle), (0.0, -1.0, -low), (0.0, 1.0, high)),
                    frame=Frame2((-side * wall.middle, start), (side, 0.0), (0.0, way)),
                    signs=(side, 1.0 if behind else -1.0),
                )
            )
    return tuple(found)


def _or_nothing(length: float) -> float:
    """A length too short to cut is no length."""
    return 0.0 if same_length(length, 0.0) else length


_OPEN = mark("An open top encloses no volume: only a closed bag can be filled.")
_NO_BASE = mark("The bag encloses no volume: it has no base width left.")
_NO_FACE = mark("The bag encloses no volume: it has no face height left.")
_NO_GUSSET = mark("The bag encloses no volume: it has no gusset depth left.")


def working_counts(sizes: Sizes, *, flat: bool) -> Mapping[Enum, int]:
    """Cells along each size."""
    in_base, in_corner, in_wall = working_cells(sizes.base, sizes.corner, sizes.wall, flat=flat)
    found: dict[Enum, int] = {FlatSize.BASE: in_base, FlatSize.WALL: in_wall}
    if sizes.corner_along > 0.0:
        found[FlatSize.CORNER_ALONG] = in_corner
    if sizes.corner_up > 0.0:
        found[FlatSize.CORNER_UP] = in_corner
    return MappingProxyType(found)


def working_crowding(
    sizes: Sizes, counts: Mapping[Enum, int], *, flat: bool
) -> Mapping[Enum, Crowding]:
    """How the cells of a long face crowd towards its ends."""
    column, row = sizes.base / counts[FlatSize.BASE], sizes.wall / counts[FlatSize.WALL]
    # What is eased in to the end of a board is as long in space as the board is deep.
    corner = sizes.board_depth if flat else sizes.corner
    end = max([corner / counts[each] for each in _CORNER if each in counts], default=0.0)
    taut = flat and is_taut(sizes.corner, sizes.wall)
    in_base, in_wall = working_crowds(column, end, row, taut=taut)
    return MappingProxyType({FlatSize.BASE: in_base, FlatSize.WALL: in_wall})


_CORNER = (FlatSize.CORNER_ALONG, FlatSize.CORNER_UP)


def _start(sizes: Sizes, on_base: bool, x: Floats, u: Floats, *, flat: bool) -> Floats:
    """A tent with round walls, (3, n) mm: near enough to start from, stretched here and there."""
    depth = _depth(sizes, x, flat=flat)
    if on_base:
        return _on_base(sizes, x, u, depth, flat=flat)
    return _on_wall(sizes, x, (u - sizes.corner_up) / sizes.wall, depth)


def _depth(sizes: Sizes, x: Floats, *, flat: bool) -> Floats:
    """(n,) half of the base front to back where its edge is still base, mm."""
    if flat:
        return np.full_like(x, sizes.board_depth)
    if sizes.board_depth > 0.0:
        return np.full_like(x, min(sizes.board_depth, _LEAN * sizes.wall))
    # Gathered to a point at either end, the base is a boat.
    boat = np.cos(np.pi / 2 * np.minimum(x / sizes.base, 1.0))
    return min(_BOAT * sizes.corner_up, _LEAN * sizes.wall) * boat


def _on_base(sizes: Sizes, x: Floats, u: Floats, depth: Floats, *, flat: bool) -> Floats:
    """Points (3, n) of a quarter of the base, x and y positive, mm."""
    if sizes.corner_up == 0.0:
        return np.stack((x, u, np.zeros_like(x)))
    share = u / sizes.corner_up
    hang = np.cos(np.pi / 2 * x / sizes.base) * np.cos(np.pi / 2 * share)
    drop = 0.0 if flat else _BULGE * min(sizes.base, sizes.corner_up)
    return np.stack((x, share * depth, -drop * hang - (1.0 - share) * _sag(sizes, depth)))


def _sag(sizes: Sizes, depth: Floats) -> Floats:
    """How far the middle of a base that the walls pull together hangs below its edges, mm."""
    if sizes.board_depth == 0.0:
        return np.zeros_like(depth)
    lost: Floats = np.sqrt(np.maximum(sizes.board_depth**2 - depth**2, 0.0))
    return lost


def _on_wall(sizes: Sizes, x: Floats, rise: Floats, depth: Floats) -> Floats:
    """Points (3, n) of a quarter of the walls, x and y positive, mm.

    `x` lies flat, from the middle; `rise` is how far up the wall, 0 to 1: what lies below is not
    meant; `depth` is half of the base front to back.
    """
    bottom_x, bottom_y = np.minimum(x, sizes.base), depth
    sunk = np.zeros_like(x)
    if sizes.corner_along > 0.0:
        beside = np.maximum(x - sizes.base, 0.0) / sizes.corner_along
        bottom_y, sunk = depth * (1.0 - beside), beside * _sag(sizes, depth)
        # What goes down does not go out.
        out = np.sqrt(np.maximum(sizes.corner_along**2 - _sag(sizes, depth) ** 2, 0.0))
        x = bottom_x + beside * out
    round_out = np.sin(np.pi * rise) * np.cos(np.pi / 2 * x / sizes.half_opening)
    bulge = _BULGE * min(sizes.half_opening, sizes.wall) * round_out
    height = np.sqrt(sizes.wall**2 - np.minimum(bottom_y, _LEAN * sizes.wall) ** 2)
    y = bottom_y * (1.0 - rise) + bulge
    return np.stack((bottom_x + rise * (x - bottom_x), y, rise * height - sunk))
