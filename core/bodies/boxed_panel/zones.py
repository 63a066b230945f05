"""The zones of the boxed panel: its wall cut along folds and hinges.

Zones are cut in (x, w) (see `core.bodies.boxed_panel.folding`); each is then told in the frame
of its piece, in which w runs up or down.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from core.base.tolerance import shorter
from core.bodies.boxed_panel.folding import (
    BACKS,
    BASES,
    FLAPS,
    FRONTS,
    ROLLED,
    ROLLS,
    ZIPS,
    ZIPS_OVER,
    BoxedZone,
    side_slopes,
)
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.boxed_panel.wall import Wall
from core.flat.geometry import HalfPlane
from core.flat.piece import Point
from core.flat.roles import Face, PieceId
from core.space.zones import AreaKind, Closing, LineKind, Zone

_ON = 1e-6
"""mm; a point so near to a line lies on it."""


class WallStretch:
    """A stretch of the loop that lies on one side of the folded bag.

    Attributes:
        keys: its zones: middle, left, right, and its half of the base where it has one.
        piece, kind, region, side: as in `Zone` and `Plate`.
        low, high: from where to where it reaches, w.
        start, way: w = start + way * y of the piece.
        left, right: x = left + right * x of the piece.
        own: half planes of the piece that part it from what lies on the other side.
    """

    def __init__(
        self,
        keys: tuple[BoxedZone, ...],
        piece: PieceId,
        region: Face | None,
        side: Face,
        span: tuple[float, float],
        on_piece: tuple[float, float],
        own: tuple[HalfPlane, ...] = (),
        *,
        across: tuple[float, float] = (0.0, 1.0),
    ) -> None:
        self.keys, self.piece, self.region, self.side = keys, piece, region, side
        self.kind = AreaKind.TAPE if region is None else AreaKind.WALL
        self.low, self.high = span
        self.start, self.way = on_piece
        self.left, self.right = across
        self.own = own

    @property
    def all_keys(self) -> tuple[BoxedZone, ...]:
        """With its half of the base where it has one."""
        if self.keys is FRONTS:
            return (*FRONTS, BoxedZone.BASE_FRONT)
        return (*BACKS, BoxedZone.BASE_BACK) if self.keys is BACKS else self.keys

    def corners(self, outline: Iterable[Point]) -> tuple[Point, ...]:
        """Points (x, w) in the frame of the piece."""
        start, way, left, right = self.start, self.way, self.left, self.right
        return tuple([((x - left) * right, (w - start) * way) for x, w in outline])

    def planes(self, planes: Iterable[HalfPlane]) -> tuple[HalfPlane, ...]:
        """Half planes of (x, w) in the frame of the piece."""
        start, way, left, right = self.start, self.way, self.left, self.right
        return tuple([(a * right, b * way, c - a * left - b * start) for a, b, c in planes])

    def plate_limits(self, wall: Wall) -> tuple[HalfPlane, ...]:
        """What of the piece, allowances included, lies with this stretch."""
        if self.keys[0] in ROLLED:
            # Only the topmost roll goes on to the edge.
            at = next(place for place, keys in enumerate(ROLLS) if self.keys[0] in keys)
            above = [(0.0, 1.0, self.high)] if at + 1 < wall.rolls else []
            return (*self.own, *self.planes([(0.0, -1.0, -self.low), *above]))
        if not wall.closed or (self.keys is FRONTS and not wall.rolled):
            return self.own
        return (*self.own, *self.planes([(0.0, 1.0, wall.top_fold)]))


def stretches_of(panel: BoxedPanel, wall: Wall, closing: Closing | None) -> tuple[WallStretch, ...]:
    """Front, back, and of what closes the top that on the front and that folded over."""
    half, loop = (wall.top_fold if wall.closed else math.inf), wall.loop
    front, back = panel.wall(Face.FRONT), panel.wall(Face.BACK)
    upper = () if wall.seamed else ((0.0, -1.0, 0.0),)
    lower = () if wall.seamed else ((0.0, 1.0, 0.0),)
    on_front, on_back = ((0.0, min(top, half)) for top in (wall.front_top, wall.back_top))
    found = [
        WallStretch(FRONTS, front, Face.FRONT, Face.FRONT, on_front, (0.0, 1.0), upper),
        WallStretch(BACKS, back, Face.BACK, Face.BACK, on_back, (0.0, -1.0), lower),
    ]
    if closing is not None and closing.rolled:
        found += rolled_stretches(wall, (front, back), (found[0].own, found[1].own))
    elif closing is not None:
        tape = wall.front_top + closing.frame.origin[1]
        piece, end = closing.piece, wall.front_top + wall.zip_width
        found += [
            WallStretch(FLAPS, back, Face.BACK, Face.FRONT, (end, half), (loop, 1.0), lower),
            WallStretch(
                ZIPS, piece, None, Face.FRONT, (wall.front_top, min(end, half)), (tape, 1.0)
            ),
            WallStretch(
                ZIPS_OVER, piece, None, Face.BACK, (wall.back_top, half), (loop - tape, -1.0)
            ),
        ]
    return tuple(found)


def rolled_stretches(
    wall: Wall,
    pieces: tuple[PieceId, PieceId],
    own: tuple[tuple[HalfPlane, ...], tuple[HalfPlane, ...]] = ((), ()),
    *,
    start: float = 0.0,
    mirrored: tuple[float, float] | None = None,
) -> list[WallStretch]:
    """What of front and back is above the line at which they come together.

    Args:
        wall: of what.
        pieces, own: of front and back; see `WallStretch`.
        start: w of y = 0 of both pieces.
        mirrored: how x runs on a back that is drawn upright; None where it hangs down.
    """
    (front, back), up = pieces, -1.0 if mirrored is None else 1.0
    depth, found = wall.rolled / wall.rolls, []
    for number, (of_front, of_back) in enumerate(ROLLS[: wall.rolls]):
        low, high = (wall.top_fold + turns * depth for turns in (number, number + 1))
        on_front, on_back = ((low, min(top, high)) for top in (wall.front_top, wall.back_top))
        if shorter(low, on_front[1]):
            found.append(
                WallStretch(
                    (of_front,), front, Face.FRONT, Face.FRONT, on_front, (start, 1.0), own[0]
                )
            )
        if shorter(low, on_back[1]):
            found.append(
                WallStretch(
                    (of_back,),
                    back,
                    Face.BACK,
                    Face.BACK,
                    on_back,
                    (start, up),
                    own[1],
                    across=mirrored or (0.0, 1.0),
                )
            )
    return found


_Border = tuple[float, float]
"""A hinge, or an end of the base, in (x, w): x = the first + the second * w."""


class _Strip(NamedTuple):
    """What part of a side of the bag a zone is; no border where the wall's own side bounds it.

    `planes` is what bounds it sideways, in (x, w).
    """

    left: _Border | None
    right: _Border | None
    planes: tuple[HalfPlane, ...]


def _strip(left: _Border | None, right: _Border | None) -> _Strip:
    planes: list[HalfPlane] = []
    if left is not None:
        planes.append((-1.0, left[1], -left[0]))
    if right is not None:
        planes.append((1.0, -right[1], right[0]))
    return _Strip(left, right, tuple(planes))


def zones_of(
    wall: Wall,
    stretches: tuple[WallStretch, ...],
    *,
    foldable: bool,
    bases: tuple[WallStretch, ...] = (),
) -> tuple[Zone, ...]:
    """The zones that a wall has, in the order of their keys; one a face where it stays flat.

    `bases` are the halves of a base of its own; none where front and back run on in it.
    """
    boxed = wall.has_corners and foldable
    corner = wall.corner if boxed else 0.0
    found: list[Zone] = []
    strips = _strips(wall) if boxed else (_strip(None, None),)
    ends = _strip((wall.base_left, 0.0), (wall.base_right, 0.0))
    for stretch in stretches:
        low = stretch.low or corner
        if low < stretch.high:
            found += _zones_between(wall, stretch, stretch.keys, strips, (low, stretch.high))
    if boxed:
        for stretch, key in zip(bases or stretches, BASES, strict=False):
            found += _zones_between(wall, stretch, (key,), (ends,), (0.0, corner))
    return tuple(sorted(found, key=lambda zone: zone.key.value))


def _strips(wall: Wall) -> tuple[_Strip, ...]:
    """The middle, left and right zone of a side."""
    slope, other_slope = side_slopes(wall)
    left = wall.base_left - slope * wall.corner, slope
    right = wall.base_right - other_slope * wall.corner, other_slope
    return _strip(left, right), _strip(None, left), _strip(right, None)


def _zones_between(
    wall: Wall,
    stretch: WallStretch,
    keys: tuple[BoxedZone, ...],
    strips: tuple[_Strip, ...],
    span: tuple[float, float],
) -> Iterator[Zone]:
    """The zones of a stretch between some heights, as far as anything is left of them."""
    low, high = span
    floor = keys[0] in BASES
    hinge = None if floor or not wall.has_corners else LineKind.CREASE
    level = [_level_fold(wall, keys[0], w) for w in span]
    sides = ((-1.0, 0.0, -wall.left), (1.0, 0.0, wall.right))
    bounds = stretch.planes(((0.0, -1.0, -low), (0.0, 1.0, high), *sides))
    # Both zones at a hinge have its line: either may be the one that hides the other.
    for key, strip in zip(keys, strips, strict=False):
        outline, kinds = _outline(wall, strip, span, (*level, hinge))
        if len(outline) < 3:
            continue
        corners = stretch.corners(outline)
        folds = [
            (kind, start, end)
            for kind, (start, end) in zip(kinds, pairwise((*corners, corners[0])), strict=True)
            if kind is not None
        ]
        if key is BoxedZone.FRONT and not wall.has_corners and not wall.seamed:
            folds.append((LineKind.FOLD, (wall.left, 0.0), (wall.right, 0.0)))
        yield Zone(
            key=key,
            piece=stretch.piece,
            kind=stretch.kind,
            region=stretch.region,
            outline=corners,
            limits=(*stretch.planes(strip.planes), *bounds),
            folds=tuple(folds),
            floor=floor,
        )


def _outline(
    wall: Wall,
    strip: _Strip,
    span: tuple[float, float],
    kinds: Sequence[LineKind | None],
) -> tuple[list[Point], list[LineKind | None]]:
    """Corners of a strip between two heights, in (x, w), and what the side after each is.

    Where its borders meet it has a corner less.

    Args:
        wall, strip, span: of what.
        kinds: of the lower side, of the upper one, and of a hinge.
    """
    low_kind, high_kind, hinge = kinds
    (x0, x1), (x2, x3) = (_ends(wall, strip, w) for w in span)
    low, high = span
    found: list[Point] = [(x0, low)]
    sides: list[LineKind | None] = []
    whole = strip.left is None and strip.right is None
    if whole or x1 - x0 > _ON:
        found.append((x1, low))
        sides.append(low_kind)
    sides.append(hinge if strip.right is not None else None)
    found.append((x3, high))
    if whole or x3 - x2 > _ON:
        found.append((x2, high))
        sides.append(high_kind)
    sides.append(hinge if strip.left is not None else None)
    return found, sides


def _ends(wall: Wall, strip: _Strip, height: float) -> tuple[float, float]:
    """From where to where a strip reaches at a height; no further than the wall."""
    left = wall.left if strip.left is None else strip.left[0] + strip.left[1] * height
    right = wall.right if strip.right is None else strip.right[0] + strip.right[1] * height
    return (
        left if left > wall.left + _ON else wall.left,
        right if right < wall.right - _ON else wall.right,
    )


def _level_fold(wall: Wall, key: BoxedZone, height: float) -> LineKind | None:
    """Which fold or hinge a level side of a zone is; None for no such."""
    if wall.closed and abs(height - wall.top_fold) < _ON:
        return LineKind.FOLD
    if height < _ON:
        return None if wall.seamed or key is BoxedZone.BASE_BACK else LineKind.FOLD
    return LineKind.CREASE if key in BASES else None
