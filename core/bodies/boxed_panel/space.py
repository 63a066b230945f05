"""The boxed panel in space: its rigid zones, where they stand, and what is measured on them.

Zones are cut in (x, w) (see `core.bodies.boxed_panel.folding`); each is then told in the frame
of its piece, in which w runs up or down.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from enum import Enum
from itertools import pairwise

from core.base.sentences import Sentence, mark
from core.base.tolerance import same_length
from core.bodies.boxed_panel.draft import corner_seams
from core.bodies.boxed_panel.folding import (
    ACROSS,
    BACKS,
    BASES,
    FLAPS,
    FRONTS,
    ZIPS,
    ZIPS_OVER,
    BoxedZone,
    side_slopes,
    stands_at,
    widest_opening,
)
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.boxed_panel.wall import Wall, flat_only, measure_wall
from core.flat.geometry import Frame2, HalfPlane, clip_polygon
from core.flat.piece import Point
from core.flat.roles import FACES, EdgeId, EdgeRef, EdgeRole, Face, PieceId, Side
from core.flat.seam import Draft
from core.space.zones import (
    AreaKind,
    Closing,
    Folding,
    Frame,
    Frames,
    Gap,
    Lie,
    LineKind,
    Measured,
    Plate,
    Spatial,
    Spot,
    Tip,
    Zone,
    add,
    scaled,
)

_ON = 1e-6
"""mm; a point so near to a line lies on it."""


def boxed_folding(panel: BoxedPanel, draft: Draft, closing: Closing | None) -> Folding:
    """How a panel folds; `closing` joins its two upper edges, None leaves it open."""
    wall = measure_wall(panel, draft, closing)
    why_flat = flat_only(panel, draft, wall)
    stretches = _stretches(panel, wall, closing)
    zones = _zones(wall, stretches, foldable=why_flat is None)
    place = {zone.key: i for i, zone in enumerate(zones)}
    # None is missing from a bag that folds.
    on_front, on_back = place.get(BoxedZone.FRONT, 0), place.get(BoxedZone.BACK, 0)
    on_bases = (place.get(BoxedZone.BASE_FRONT, 0), place.get(BoxedZone.BASE_BACK, 0))
    remark = None
    if why_flat is None and widest_opening(wall) < math.pi / 2:
        remark = Sentence(_TOO_SHORT, {"value": wall.face_height})
    top = wall.top_fold if wall.closed else wall.front_top
    front, back = panel.wall(Face.FRONT), panel.wall(Face.BACK)
    upright = Frame2((wall.middle, 0.0))
    return Folding(
        zones=zones,
        plates=tuple(
            Plate(
                zones=tuple(place[key] for key in stretch.all_keys if key in place),
                limits=stretch.plate_limits(wall),
                side=stretch.side,
                frame=Frame2((-wall.middle, stretch.start), up=(0.0, stretch.way)),
            )
            for stretch in stretches
            if stretch.keys[0] in place
        ),
        frames=_frames(wall, stretches),
        gaps=_gaps(wall),
        sizes=_sizes(wall, place),
        lies={
            Face.FRONT: (Lie(front, Face.FRONT, upright),),
            Face.BACK: (Lie(back, Face.BACK, Frame2((wall.middle, 0.0), up=(0.0, -1.0))),),
            Face.BASE: (Lie(front, Face.FRONT, upright), Lie(back, Face.BACK, upright)),
        },
        brims={
            face: wall.top_fold if wall.closed else wall.top(face)
            for face in (Face.FRONT, Face.BACK)
        },
        carriers={Face.FRONT: on_front, Face.BACK: on_back},
        brim=((on_front, (wall.left, top)), (on_front, (wall.right, top))),
        closed=wall.closed,
        tips=() if why_flat else _corner_tips(panel, wall, (on_front, on_back), on_bases),
        across=_seams_across(panel),
        flat_only=why_flat,
        remark=remark,
    )


_TOO_SHORT = mark(
    "The faces are only {value} high, too short to close over the open bottom: "
    "it stays folded along its middle."
)


class _Stretch:
    """A stretch of the loop that lies on one side of the folded bag.

    Attributes:
        keys: its zones: middle, left, right, and its half of the base where it has one.
        piece, kind, region, side: as in `Zone` and `Plate`.
        low, high: from where to where it reaches, w.
        start, way: w = start + way * y of the piece.
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
    ) -> None:
        self.keys, self.piece, self.region, self.side = keys, piece, region, side
        self.kind = AreaKind.TAPE if region is None else AreaKind.WALL
        self.low, self.high = span
        self.start, self.way = on_piece
        self.own = own

    @property
    def all_keys(self) -> tuple[BoxedZone, ...]:
        """With its half of the base where it has one."""
        if self.keys is FRONTS:
            return (*FRONTS, BoxedZone.BASE_FRONT)
        return (*BACKS, BoxedZone.BASE_BACK) if self.keys is BACKS else self.keys

    def corners(self, outline: Iterable[Point]) -> tuple[Point, ...]:
        """Points (x, w) in the frame of the piece."""
        start, way = self.start, self.way
        return tuple([(x, (w - start) * way) for x, w in outline])

    def planes(self, planes: Iterable[HalfPlane]) -> tuple[HalfPlane, ...]:
        """Half planes of (x, w) in the frame of the piece."""
        start, way = self.start, self.way
        return tuple([(a, b * way, c - b * start) for a, b, c in planes])

    def plate_limits(self, wall: Wall) -> tuple[HalfPlane, ...]:
        """What of the piece, allowances included, lies with this stretch."""
        if not wall.closed or self.keys is FRONTS:
            return self.own
        return (*self.own, *self.planes([(0.0, 1.0, wall.top_fold)]))


def _stretches(panel: BoxedPanel, wall: Wall, closing: Closing | None) -> tuple[_Stretch, ...]:
    """Front, back, and of what closes the top that on the front and that folded over."""
    half, loop = (wall.top_fold if wall.closed else math.inf), wall.loop
    front, back = panel.wall(Face.FRONT), panel.wall(Face.BACK)
    upper = () if wall.seamed else ((0.0, -1.0, 0.0),)
    lower = () if wall.seamed else ((0.0, 1.0, 0.0),)
    on_front, on_back = ((0.0, min(top, half)) for top in (wall.front_top, wall.back_top))
    found = [
        _Stretch(FRONTS, front, Face.FRONT, Face.FRONT, on_front, (0.0, 1.0), upper),
        _Stretch(BACKS, back, Face.BACK, Face.BACK, on_back, (0.0, -1.0), lower),
    ]
    if closing is not None:
        tape = wall.front_top + closing.frame.origin[1]
        piece, end = closing.piece, wall.front_top + wall.zip_width
        found += [
            _Stretch(FLAPS, back, Face.BACK, Face.FRONT, (end, half), (loop, 1.0), lower),
            _Stretch(ZIPS, piece, None, Face.FRONT, (wall.front_top, min(end, half)), (tape, 1.0)),
            _Stretch(ZIPS_OVER, piece, None, Face.BACK, (wall.back_top, half), (loop - tape, -1.0)),
        ]
    return tuple(found)


def _zones(wall: Wall, stretches: tuple[_Stretch, ...], *, foldable: bool) -> tuple[Zone, ...]:
    """The zones that a wall has, in the order of their keys; one a face where it stays flat."""
    boxed = wall.has_corners and foldable
    corner = wall.corner if boxed else 0.0
    found: list[Zone] = []
    for stretch in stretches:
        low = stretch.low or corner
        if low < stretch.high:
            strips = _strips(wall) if boxed else ((),)
            for key, across in zip(stretch.keys, strips, strict=False):
                found += _zone(wall, stretch, key, across, (low, stretch.high))
    if boxed:
        ends = ((-1.0, 0.0, -wall.base_left), (1.0, 0.0, wall.base_right))
        for stretch, key in zip(stretches, BASES, strict=False):
            found += _zone(wall, stretch, key, ends, (0.0, corner))
    return tuple(sorted(found, key=lambda zone: zone.key.value))


def _strips(wall: Wall) -> tuple[tuple[HalfPlane, ...], ...]:
    """Sideways bounds of the middle, left and right zone of a side, in (x, w)."""
    left, right = side_slopes(wall)
    left_at = wall.base_left - left * wall.corner
    right_at = wall.base_right - right * wall.corner
    return (
        ((-1.0, left, -left_at), (1.0, -right, right_at)),
        ((1.0, -left, left_at),),
        ((-1.0, right, -right_at),),
    )


def _zone(
    wall: Wall,
    stretch: _Stretch,
    key: BoxedZone,
    across: tuple[HalfPlane, ...],
    span: tuple[float, float],
) -> list[Zone]:
    """The zone between some heights, if anything is left of it."""
    low, high = span
    box = ((wall.left, low), (wall.right, low), (wall.right, high), (wall.left, high))
    outline = clip_polygon(box, across)
    if not outline:
        return []
    limits = (*across, (0.0, -1.0, -low), (0.0, 1.0, high))
    sides = ((-1.0, 0.0, -wall.left), (1.0, 0.0, wall.right))
    corners = stretch.corners(outline)
    folds = [
        (kind, start, end)
        for side, (start, end) in zip(_ring(outline), _ring(corners), strict=True)
        for kind in [_fold_kind(wall, key, *side)]
        if kind is not None
    ]
    if key is BoxedZone.FRONT and not wall.has_corners and not wall.seamed:
        folds.append((LineKind.FOLD, (wall.left, 0.0), (wall.right, 0.0)))
    return [
        Zone(
            key=key,
            piece=stretch.piece,
            kind=stretch.kind,
            region=stretch.region,
            outline=corners,
            limits=stretch.planes((*limits, *sides)),
            folds=tuple(folds),
            floor=key in BASES,
        )
    ]


def _ring(corners: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    return pairwise((*corners, corners[0]))


def _fold_kind(wall: Wall, key: BoxedZone, start: Point, end: Point) -> LineKind | None:
    """Which fold or hinge a side of a zone is, in (x, w); None for no such."""
    if abs(start[1] - end[1]) < _ON:
        if wall.closed and abs(start[1] - wall.top_fold) < _ON:
            return LineKind.FOLD
        if start[1] < _ON:
            return None if wall.seamed or key is BoxedZone.BASE_BACK else LineKind.FOLD
        return LineKind.CREASE if key in BASES else None
    if key in BASES or not wall.has_corners:
        return None
    # Both zones at a hinge have its line: either may be the one that hides the other.
    at_side = max(start[0], end[0]) < wall.left + _ON or min(start[0], end[0]) > wall.right - _ON
    return None if at_side else LineKind.CREASE


def _seams_across(panel: BoxedPanel) -> frozenset[EdgeRef]:
    """The edges that are sewn across tips; none where the corners are cut out."""
    if not panel.sewn_across:
        return frozenset()
    return frozenset(ref for seam in corner_seams(panel) for ref in seam.edges)


def _corner_tips(
    panel: BoxedPanel, wall: Wall, zones: tuple[int, int], bases: tuple[int, int]
) -> tuple[Tip, ...]:
    """The four tips of front and back, which lie on these zones; none where they are cut out.

    Args:
        panel, wall: of what.
        zones, bases: places of front and back, and of their halves of the base.
    """
    if not panel.sewn_across or not panel.has_corners:
        return ()
    width = panel.width
    ends = (
        (Side.LEFT, wall.left, wall.base_left, 0.0, panel.cut_width),
        (Side.RIGHT, wall.right, wall.base_right, width, width - panel.cut_width),
    )
    low, high = -panel.bottom_seam, panel.cut_depth - panel.bottom_seam
    found: list[Tip] = []
    for face, zone, under, up in zip(FACES, zones, bases, (1.0, -1.0), strict=True):
        for side, stitched, base, raw, trimmed in ends:

            def at(x: float, w: float, up: float = up) -> Point:
                return x, up * w

            tip, foot, seam = at(stitched, 0.0), at(base, 0.0), at(stitched, wall.corner)
            sewn = panel.ref(face, EdgeId(EdgeRole.SIDE, face, side))
            lines: list[tuple[LineKind, Point, Point, EdgeRef | None]]
            lines = [(LineKind.SEAM, seam, tip, sewn)]
            cut_lines = [(at(raw, high), at(raw, low))]
            if panel.folded:
                if up > 0.0:
                    lines.append((LineKind.FOLD, tip, foot, None))
            else:
                bottom = panel.ref(face, EdgeId(EdgeRole.BOTTOM, face))
                lines.append((LineKind.SEAM, tip, foot, bottom))
                cut_lines.append((at(raw, low), at(trimmed, low)))
            found.append(
                Tip(
                    zone=zone,
                    outline=(tip, foot, at(base, wall.corner), seam),
                    cut=(at(raw, low), at(base, low), at(base, wall.corner), at(raw, wall.corner)),
                    cut_lines=tuple(cut_lines),
                    lines=tuple(lines),
                    under=under,
                    flat=(at(base, wall.corner), foot, tip),
                )
            )
    return tuple(found)


def _frames(wall: Wall, stretches: tuple[_Stretch, ...]) -> Callable[[float], Frames]:
    """Moment -> where every zone stands, in the frame of its piece."""
    of_key = {key: stretch for stretch in stretches for key in stretch.all_keys}

    def frames(at: float) -> Mapping[Enum, Frame]:
        stands = stands_at(wall, at)
        found: dict[Enum, Frame] = {}
        for key, stretch in of_key.items():
            origin, across, up = stands[key]
            shifted = add(origin, scaled(up, stretch.start))
            found[key] = Frame(shifted, across, scaled(up, stretch.way))
        return found

    return frames


def _sizes(wall: Wall, place: Mapping[Enum, int]) -> tuple[Measured, ...]:
    """Base width, gusset depth, face height, and the zip's place on the face it lies on."""
    front, back = place.get(BoxedZone.FRONT, 0), place.get(BoxedZone.BACK, 0)
    top, left, right = wall.top_fold, wall.base_left, wall.base_right
    found: list[Measured] = []

    def add_size(
        figure: str, start: Spot, end: Spot, aside: Spatial, anchor: Spot, x: bool, y: bool
    ) -> None:
        found.append(
            Measured(
                figure=figure,
                start=start,
                end=end,
                aside=aside,
                anchors=(anchor, end),
                follows_x=x,
                follows_y=y,
            )
        )

    at_left, at_right = (front, (left, wall.corner)), (front, (right, wall.corner))
    if wall.has_corners:
        add_size("base_width", at_left, at_right, (0.0, -1.0, 0.0), at_left, False, True)
        # A bottom that cannot open all the way shows no true depth.
        if widest_opening(wall) >= math.pi / 2:
            behind = (back, (right, -wall.corner))
            add_size("gusset_depth", at_right, behind, ACROSS, at_right, True, False)
    edge = wall.left if wall.closed else left
    foot, head = (front, (edge, wall.corner)), (front, (edge, top))
    out = (-1.0, 0.0, 0.0)
    add_size("face_height", foot, head, out, at_left, True, True)
    if wall.closed:
        at = wall.front_top + wall.zip_width / 2
        on_back = at > top
        zone, way, height = (back, -1.0, wall.loop - at) if on_back else (front, 1.0, at)
        start, end = (zone, (wall.right, way * top)), (zone, (wall.right, way * height))
        found.append(
            Measured(
                figure="zip_offset",
                start=start,
                end=end,
                aside=ACROSS,
                anchors=(start, end),
                follows_x=True,
                face=Face.BACK if on_back else Face.FRONT,
                overall=False,
            )
        )
    return tuple(found)


def _gaps(wall: Wall) -> Callable[[Frames], tuple[Gap, ...]]:
    """The openings at both ends of the sewn bag; none when the corner seams match."""

    def gaps(now: Frames) -> tuple[Gap, ...]:
        if not wall.has_corners:
            return ()
        found: list[Gap] = []
        for face, edge, end, front, back in (
            (Face.LEFT, wall.left, wall.base_left, BoxedZone.FRONT_LEFT, BoxedZone.BACK_LEFT),
            (Face.RIGHT, wall.right, wall.base_right, BoxedZone.FRONT_RIGHT, BoxedZone.BACK_RIGHT),
        ):
            if same_length(abs(end - edge), wall.corner):
                continue
            one, other = now[front], now[back]
            top = wall.top_fold if wall.closed else min(wall.front_top, wall.back_top)
            feet, lows, tops = (
                (one.at((x, w)), other.at((x, -w)))
                for x, w in ((end, wall.corner), (edge, wall.corner), (edge, top))
            )
            found.append(_gap(face, feet, lows, tops))
        return tuple(found)

    return gaps


_Pair = tuple[Spatial, Spatial]


def _gap(face: Face, feet: _Pair, lows: _Pair, tops: _Pair) -> Gap:
    """From the ends of the base, the lower and the upper ends of the side edges."""
    pucker = same_length(math.dist(*lows), 0.0)
    if pucker:
        outlines: tuple[tuple[Spatial, ...], ...] = ((feet[0], lows[0], feet[1]),)
        start, end = scaled(add(*feet), 0.5), lows[0]
    else:
        corner = (feet[0], lows[0], lows[1], feet[1])
        met = same_length(math.dist(*tops), 0.0)
        side = (lows[0], tops[0], lows[1]) if met else (lows[0], tops[0], tops[1], lows[1])
        outlines, (start, end) = (corner, side), lows
    return Gap(
        face=face, figure="corner_mismatch", pucker=pucker, outlines=outlines, start=start, end=end
    )
