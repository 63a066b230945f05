"""Quarters of bags that are cut like a box, for filling: a body says only its sizes.

A ring of strips round two panels is flat, between stitch lines:

    +-----------+  u = depth / 2 + gap + height
    |   panel    )
    |    3      |
    |           |
    |            )    its lower and upper corners rounded
    +-----------+  u = depth / 2 + gap
    +-----------+---------------+-----------+  u = depth / 2
    | 0  bottom |    1  side    |   2  top  |
    +-----------+---------------+-----------+  u = 0
    x = 0                                   x = half of the ring

A wrap is the same with x and u changed over, and width and depth. A ring of walls round a base,
that closes flat over it:

    +-----------+----------+  u = depth / 2 + gap + height, top fold
    |     1     |    2     |
    +-----------+----------+  u = depth / 2 + gap
    +-----------+
    |  base 0    )            its outer corner rounded
    +-----------+  u = 0
    x = 0       x = width / 2   x = a quarter of the ring

Where strips are cut in the plane, half of a rounded corner lies on either side.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import Enum
from typing import TypeVar

import numpy as np

from core.base.arrays import Floats
from core.space.boxes import PANEL_GAP, BoxSize
from core.space.over_board import check_closes, softness_over_board
from core.space.patches import Border, Copy, Crowding, Join, Patch, Quarter, StraightPart
from core.space.working_cells import (
    is_taut,
    round_cells,
    square_cells,
    taut_round_cells,
    taut_round_crowds,
    working_crowds,
)

_BULGE = 0.25
"""Of the start, over the smaller side of a face: it only has to be roughly round."""
_LEAN = 0.9
"""How far the walls of the start lean in at most, over their height."""
_OVER_ROUND = 0.75
"""Crowding of the rows of walls round the rounded corners of a board: where rows are higher than
their columns are wide they lock there; even ones came up to 2 % low (measured)."""
_OVER_NARROW = 0.65
_NARROW_ENDS = 0.3, 0.8
"""How far the rows of a panel over a board crowd towards its ends where the arc beyond the board
takes one part of a cell, and not at all where it takes the other: even ones lock there, too."""
_LEAST_STRAIGHT = 0.01
"""Over a size: one with less of it is told to grow with its arcs."""
_LEAST_TURN = 1e-6
"""Radians; where a strip has turned no more it is flat."""
_HALF_CORNER = np.pi / 4
_ON = 1e-6
"""mm; a node so near to where a board ends lies on it."""
_LEFT, _RIGHT, _BOTTOM, _TOP = (
    frozenset((each,)) for each in (Border.LEFT, Border.RIGHT, Border.BOTTOM, Border.TOP)
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxSizes:
    """What a quarter of such a bag needs to know, on its stitch lines.

    Attributes:
        width, depth, height: of the box, > 0. With a flat top the height is that of its faces.
        radius: of rounded corners, 0 for square ones: the lower ones of a panel that strips are
            sewn round, or those of a separate base.
        upper_radius: of the panel's upper ones.
        ease: length of what is sewn round a panel or a base, over the edge that it is sewn to.
    """

    width: float
    depth: float
    height: float
    radius: float = 0.0
    upper_radius: float = 0.0
    ease: float = 1.0


def ring_quarter(sizes: BoxSizes, *, copies: tuple[Copy, ...] = (), board: bool = False) -> Quarter:
    """Two panels, and strips all round between them; a board keeps the flat bottom flat.

    Corners that are rounder than a panel has room for are a ValueError.
    """
    half, deep, low = sizes.width / 2, sizes.depth / 2, sizes.depth / 2 + PANEL_GAP
    lower, upper = sizes.radius, sizes.upper_radius
    bottom = half - lower + _HALF_CORNER * lower
    side = sizes.height - lower - upper + _HALF_CORNER * (lower + upper)
    top = half - upper + _HALF_CORNER * upper
    ends = (np.cumsum([0.0, bottom, side, top]) * sizes.ease).tolist()
    # What is straight both below and above, and at the sides.
    level, upright = half - max(lower, upper), sizes.height - lower - upper
    _check_room(level, upright)
    held = half - lower if board and half - lower > _LEAST_STRAIGHT * half else 0.0
    rounded = max(lower, upper) > 0.0
    counts = ring_counts(sizes, flat=held / bottom)
    crowding: dict[Enum, Crowding] = {}
    if lower and held:
        bend = held / bottom
        crowding[BoxSize.WIDTH] = Crowding(from_middle=True, bend=bend)
        narrow = _NARROW_ENDS[1] - (1.0 - bend) * counts[BoxSize.WIDTH]
        if narrow > 0.0:
            share = min(narrow / (_NARROW_ENDS[1] - _NARROW_ENDS[0]), 1.0)
            crowding[BoxSize.HEIGHT] = Crowding(_OVER_NARROW * share)

    def eased(start: float, straight: float, length: float) -> StraightPart | None:
        return _straight(start, straight, length, rounded=rounded, ease=sizes.ease)

    patches = [
        Patch(
            low=(start, 0.0),
            high=(end, deep),
            across=across,
            up=BoxSize.DEPTH,
            mirror_x=mirror_x,
            mirror_y=_BOTTOM,
            held=held > 0.0 and start == 0.0,
            held_to=(held * sizes.ease + _ON, deep + _ON),
            grows=(grows, None),
        )
        for start, end, across, mirror_x, grows in (
            (ends[0], ends[1], BoxSize.WIDTH, _LEFT, eased(0.0, level, half)),
            (
                ends[1],
                ends[2],
                BoxSize.HEIGHT,
                frozenset(),
                eased(bottom + _HALF_CORNER * lower, upright, sizes.height),
            ),
            (
                ends[2],
                ends[3],
                BoxSize.WIDTH,
                _RIGHT,
                eased(bottom + side + top - level, level, half),
            ),
        )
    ]
    patches.append(
        Patch(
            low=(0.0, low),
            high=(half, low + sizes.height),
            across=BoxSize.WIDTH,
            up=BoxSize.HEIGHT,
            mirror_x=_LEFT,
            radii=(0.0, lower, upper, 0.0),
            grows=(
                _straight(0.0, level, half, rounded=rounded),
                _straight(low + lower, upright, sizes.height, rounded=rounded),
            ),
        )
    )
    wide: dict[Enum, float] = {BoxSize.WIDTH: 1.0} if patches[0].grows[0] is None else {}
    return Quarter(
        patches=tuple(patches),
        joins=(
            Join((0, Border.RIGHT), (1, Border.LEFT)),
            Join((1, Border.RIGHT), (2, Border.LEFT)),
            Join((3, Border.BOTTOM), (0, Border.TOP)),
            Join((3, Border.RIGHT), (1, Border.TOP)),
            Join((3, Border.TOP), (2, Border.TOP), reversed=True),
        ),
        copies=copies,
        counts=counts,
        crowding=crowding,
        start=lambda patch, x, u: _ring_start(sizes, patch == 3, x, u, flat=held > 0.0),
        held_sizes=(wide, {BoxSize.DEPTH: 1.0}) if held else ({}, {}),
    )


def _check_room(*straights: float) -> None:
    """Refuse arcs that overlap, by a ValueError; `straights` is what they leave of their sides."""
    if min(straights) < -_ON:
        raise ValueError(f"rounded corners overlap by {-min(straights)} mm")


def _straight(
    start: float, straight: float, length: float, *, rounded: bool, ease: float = 1.0
) -> StraightPart | None:
    """The straight part of a size; None where it has no arcs, or nothing else."""
    if not rounded or straight <= _LEAST_STRAIGHT * length:
        return None
    return StraightPart(start * ease, (start + straight) * ease, length * ease)


def ring_counts(sizes: BoxSizes, *, flat: float = 0.0) -> Mapping[Enum, int]:
    """Cells along each size of a ring of strips, even and at least 4.

    As many go round the shortest way round the bag, and along each size with the root of it (as in
    the boxed panel). The factors were measured: bags of 60 to 600 mm each way, with every rounding,
    come within 0.5 % of what ever finer meshes tend to.

    Args:
        flat: share of half of the width that a board holds.
    """
    lengths = np.array((sizes.width, sizes.depth, sizes.height))
    girth = 2 * (lengths.sum() - lengths.max())
    low = flat > 0.0 and sizes.height < _LOW * min(sizes.width, sizes.depth)
    shares = (_OF_LOW if low else _FACTORS) * np.sqrt(lengths / girth)
    for factor in np.geomspace(_MOST_TIMES, 0.3, 80).tolist():
        width, depth, height = (
            max(_LEAST_CELLS, 2 * round(factor * each / 2)) for each in shares.tolist()
        )
        vertices = (width + 1) * (height + 1) + (2 * width + height + 1) * depth
        held = (round(flat * width) + 1) * (depth + 1) if flat else 0
        if vertices - held <= (_MOST_FREE_OF_LOW if low else _MOST_FREE) and (
            low or vertices <= _MOST_VERTICES
        ):
            break
    return {BoxSize.WIDTH: width, BoxSize.DEPTH: depth, BoxSize.HEIGHT: height}


_FACTORS = np.array((20.0, 14.0, 36.0))
"""Of half of the width, half of the depth, and the height."""
_LOW, _OF_LOW, _MOST_FREE_OF_LOW = 0.45, np.array((25.0, 20.0, 36.0)), 760
"""Height over the shorter side of a board, below which its straight edges bend all of the bag:
the factors and free vertices then."""
_MOST_TIMES = 1.3
"""How many times those at most, while there is room for them."""
_LEAST_CELLS = 4
"""With two a face has no middle that could bulge."""
_MOST_FREE, _MOST_VERTICES = 690, 760
"""Of a quarter: beyond so many that nothing holds the whole inverse no longer pays
(`core.solid.fill_solve`), and more over a board take longer than they are worth."""


def _ring_start(sizes: BoxSizes, on_panel: bool, x: Floats, u: Floats, *, flat: bool) -> Floats:
    """A box with round faces, (3, n) mm."""
    width, depth, height = sizes.width, sizes.depth, sizes.height
    # What is shorter than the other draws it in.
    drawn_in = np.array((min(sizes.ease, 1.0), 1.0, min(sizes.ease, 1.0)))[:, None]
    if on_panel:
        z = u - depth / 2 - PANEL_GAP
        out = np.cos(np.pi * x / width) * np.sin(np.pi * z / height)
        y = depth / 2 + _BULGE * min(width, height) * out
        return np.asarray(drawn_in * (x, y, z))
    x, z, turn = _round_rectangle(sizes, x / sizes.ease)
    on_level = np.cos(np.pi * x / width) * np.cos(turn) ** 2 * min(width, depth)
    on_side = np.sin(np.pi * z / height) * np.sin(turn) ** 2 * min(height, depth)
    out = _BULGE * (on_level + on_side) * np.cos(np.pi * u / depth)
    if flat:
        out = np.where(turn > _LEAST_TURN, out, 0.0)
    return np.asarray(drawn_in * (x + out * np.sin(turn), u, z - out * np.cos(turn)))


def wrap_quarter(sizes: BoxSizes, *, copies: tuple[Copy, ...] = (), board: bool = False) -> Quarter:
    """Two end panels, and a strip as wide as the bag round them; sizes are those of the bag."""
    turned = ring_quarter(replace(sizes, width=sizes.depth, depth=sizes.width), board=board)
    start = turned.start
    return replace(
        turned,
        patches=tuple(
            replace(
                patch,
                low=patch.low[::-1],
                high=patch.high[::-1],
                across=_size_over(patch.up),
                up=_size_over(patch.across),
                mirror_x=frozenset(map(_OVER.__getitem__, patch.mirror_y)),
                mirror_y=frozenset(map(_OVER.__getitem__, patch.mirror_x)),
                held_to=patch.held_to[::-1],
                grows=patch.grows[::-1],
                radii=(patch.radii[0], patch.radii[3], patch.radii[2], patch.radii[1]),
            )
            for patch in turned.patches
        ),
        joins=tuple(
            Join((one, _OVER[border]), (other, _OVER[beside]), each.reversed)
            for each in turned.joins
            for (one, border), (other, beside) in ((each.one, each.other),)
        ),
        copies=copies,
        counts=_sizes_over(turned.counts),
        crowding=_sizes_over(turned.crowding),
        start=lambda patch, x, u: start(patch, u, x)[[1, 0, 2]],
        held_sizes=(_sizes_over(turned.held_sizes[1]), _sizes_over(turned.held_sizes[0])),
    )


_OVER = {
    Border.BOTTOM: Border.LEFT,
    Border.LEFT: Border.BOTTOM,
    Border.RIGHT: Border.TOP,
    Border.TOP: Border.RIGHT,
}
"""What each border is with x and u changed over."""

_Told = TypeVar("_Told")


def _size_over(size: Enum) -> Enum:
    """What a size is with x and u changed over."""
    if size is BoxSize.WIDTH:
        return BoxSize.DEPTH
    return BoxSize.WIDTH if size is BoxSize.DEPTH else size


def _sizes_over(told: Mapping[Enum, _Told]) -> dict[Enum, _Told]:
    return {_size_over(size): each for size, each in told.items()}


def base_quarter(sizes: BoxSizes, *, copies: tuple[Copy, ...] = (), board: bool = False) -> Quarter:
    """A base and walls round it that close flat over it; a board keeps the base flat.

    A NotFillableError where the walls do not reach over the board, or only just; corners that are
    rounder than the base has room for are a ValueError.
    """
    half, deep, radius, height = sizes.width / 2, sizes.depth / 2, sizes.radius, sizes.height
    low = deep + PANEL_GAP
    _check_room(half - radius, deep - radius)
    if board:
        check_closes(height, deep)
    corner = _HALF_CORNER * radius
    fronts = (half - radius + corner) * sizes.ease
    ends = fronts + (deep - radius + corner) * sizes.ease

    def eased(start: float, straight: float, length: float) -> StraightPart | None:
        return _straight(start, straight, length, rounded=radius > 0.0, ease=sizes.ease)

    patches = (
        Patch(
            low=(0.0, 0.0),
            high=(half, deep),
            across=BoxSize.WIDTH,
            up=BoxSize.DEPTH,
            mirror_x=_LEFT,
            mirror_y=_BOTTOM,
            held=board,
            radii=(0.0, 0.0, radius, 0.0),
            grows=(
                _straight(0.0, half - radius, half, rounded=radius > 0.0),
                _straight(0.0, deep - radius, deep, rounded=radius > 0.0),
            ),
        ),
        Patch(
            low=(0.0, low),
            high=(fronts, low + height),
            across=BoxSize.WIDTH,
            up=BoxSize.HEIGHT,
            mirror_x=_LEFT,
            mirror_y=_TOP,
            grows=(eased(0.0, half - radius, half), None),
        ),
        Patch(
            low=(fronts, low),
            high=(ends, low + height),
            across=BoxSize.DEPTH,
            up=BoxSize.HEIGHT,
            mirror_y=_TOP | _RIGHT,
            grows=(eased(half - radius + 2 * corner, deep - radius, deep), None),
        ),
    )
    sides = zip((BoxSize.WIDTH, BoxSize.DEPTH), patches[0].grows, strict=True)
    held: list[dict[Enum, float]] = [{size: 1.0} if span is None else {} for size, span in sides]
    counts, crowding = _base_cells(sizes, board=board)
    return Quarter(
        patches=patches,
        joins=(
            Join((0, Border.TOP), (1, Border.BOTTOM)),
            Join((1, Border.RIGHT), (2, Border.LEFT)),
            # The end of the base runs up while the wall's foot runs out to its middle.
            Join((0, Border.RIGHT), (2, Border.BOTTOM), reversed=True),
        ),
        copies=copies,
        counts=counts,
        crowding=crowding,
        start=lambda patch, x, u: _base_start(sizes, patch == 0, x, u, flat=board),
        softness=softness_over_board(deep / height, (half - radius) / deep) if board else 1.0,
        held_sizes=(held[0], held[1]) if board else ({}, {}),
    )


def _base_cells(
    sizes: BoxSizes, *, board: bool
) -> tuple[Mapping[Enum, int], Mapping[Enum, Crowding]]:
    """Cells along each size of walls round a base, and how they crowd."""
    half, deep, radius, height = sizes.width / 2, sizes.depth / 2, sizes.radius, sizes.height
    taut = board and is_taut(deep, height)
    if taut and radius > 0.0:
        counts = taut_round_cells(deep, height)
        crowds = taut_round_crowds((half - radius, deep - radius), _HALF_CORNER * radius)
        return dict(zip(BoxSize, counts, strict=True)), dict(zip(BoxSize, crowds, strict=True))
    counts = (round_cells if radius > 0.0 else square_cells)(half, deep, height, flat=board)
    lengths = (each / count for each, count in zip((half, deep, height), counts, strict=True))
    in_width, in_height = working_crowds(*lengths, taut=taut)
    if board and radius > 0.0:
        in_height = Crowding(max(in_height.share, _OVER_ROUND))
    crowding: dict[Enum, Crowding] = {BoxSize.WIDTH: in_width, BoxSize.HEIGHT: in_height}
    return dict(zip(BoxSize, counts, strict=True)), crowding


def _base_start(sizes: BoxSizes, on_base: bool, x: Floats, u: Floats, *, flat: bool) -> Floats:
    """A tent with round walls, (3, n) mm."""
    half, deep, height = sizes.width / 2, sizes.depth / 2, sizes.height
    # Walls that are lower than half of the base draw it together, and its middle hangs.
    drawn_in = 1.0 if flat else min(1.0, _LEAN * height / deep)
    sag = deep * math.sqrt(1.0 - drawn_in**2)
    # What is shorter than the other draws it in.
    eased = np.array((min(sizes.ease, 1.0), min(sizes.ease, 1.0), 1.0))[:, None]
    if on_base:
        hang = np.cos(np.pi / 2 * x / half) * np.cos(np.pi / 2 * u / deep)
        drop = 0.0 if flat else _BULGE * min(half, deep)
        return np.asarray(eased * (x, drawn_in * u, -drop * hang - (1.0 - u / deep) * sag))
    end = (half + deep - (2 - np.pi / 2) * sizes.radius) * sizes.ease
    foot = _round_rectangle(
        BoxSizes(width=sizes.width, height=deep, depth=0.0, radius=sizes.radius), x / sizes.ease
    )
    foot_x, foot_y = foot[0], drawn_in * (deep - foot[1])
    rise = (u - deep - PANEL_GAP) / height
    round_out = np.sin(np.pi * rise) * np.cos(np.pi / 2 * x / end)
    bulge = _BULGE * min(end, height) * round_out
    top = np.sqrt(height**2 - np.minimum(foot_y, _LEAN * height) ** 2)
    sunk = (foot[1] / deep) * sag
    y = np.maximum(foot_y, 0.0) * (1.0 - rise) + bulge
    return np.asarray(eased * (foot_x + rise * (x - foot_x), y, rise * top - sunk))


def _round_rectangle(sizes: BoxSizes, along: Floats) -> tuple[Floats, Floats, Floats]:
    """Places along half of a panel's edge from its bottom middle: x, z, and the turn there."""
    half, lower, upper = sizes.width / 2, sizes.radius, sizes.upper_radius
    straights = half - lower, sizes.height - lower - upper, half - upper
    arcs = np.pi / 2 * lower, np.pi / 2 * upper
    x, z, turn, at = np.zeros_like(along), np.zeros_like(along), np.zeros_like(along), along
    for straight, arc, radius in zip(straights, (*arcs, 0.0), (lower, upper, 0.0), strict=True):
        gone = np.clip(at, 0.0, straight)
        x, z = x + gone * np.cos(turn), z + gone * np.sin(turn)
        at = at - straight
        bent = np.clip(at, 0.0, arc) / radius if radius else np.where(at > 0.0, np.pi / 2, 0.0)
        x += radius * (np.sin(turn + bent) - np.sin(turn))
        z -= radius * (np.cos(turn + bent) - np.cos(turn))
        turn, at = turn + bent, at - arc
    return x, z, np.minimum(turn, np.pi)
