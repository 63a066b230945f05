"""The boxed panel in space: its rigid zones, where they stand, and what is measured on them.

Its zones are cut in `core.bodies.boxed_panel.zones`.
"""

import math
from collections.abc import Callable, Mapping
from enum import Enum

from core.base.sentences import Sentence, mark
from core.base.tolerance import same_length
from core.bodies.boxed_panel.draft import corner_seams
from core.bodies.boxed_panel.folding import (
    ACROSS,
    BoxedZone,
    stands_at,
    widest_opening,
)
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.boxed_panel.wall import Wall, flat_only, measure_wall
from core.bodies.boxed_panel.zones import WallStretch, stretches_of, zones_of
from core.flat.geometry import Frame2
from core.flat.piece import Point
from core.flat.roles import FACES, EdgeId, EdgeRef, EdgeRole, Face, Side
from core.flat.seam import Draft
from core.space.zones import (
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
    add,
    scaled,
)


def boxed_folding(panel: BoxedPanel, draft: Draft, closing: Closing | None) -> Folding:
    """How a panel folds; `closing` joins its two upper edges, None leaves it open."""
    wall = measure_wall(panel, draft, closing)
    why_flat = flat_only(panel, draft, wall)
    stretches = stretches_of(panel, wall, closing)
    zones = zones_of(wall, stretches, foldable=why_flat is None)
    place = {zone.key: i for i, zone in enumerate(zones)}
    # None is missing from a bag that folds.
    on_front, on_back = place.get(BoxedZone.FRONT, 0), place.get(BoxedZone.BACK, 0)
    on_bases = (place.get(BoxedZone.BASE_FRONT, 0), place.get(BoxedZone.BASE_BACK, 0))
    remark = None
    if why_flat is None and widest_opening(wall) < math.pi / 2:
        remark = Sentence(_TOO_SHORT, {"value": wall.face_height})
    elif why_flat is None and wall.rolled:
        remark = Sentence(STANDS_UP)
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


STANDS_UP = mark(
    "Its top is shown rolled down where it is sewn. The filled shape is shown without the rolls."
)
_TOO_SHORT = mark(
    "The faces are only {value} high, too short to close over the open bottom: "
    "it stays folded along its middle."
)


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


def _frames(wall: Wall, stretches: tuple[WallStretch, ...]) -> Callable[[float], Frames]:
    """Moment -> where every zone stands, in the frame of its piece."""
    of_key = {key: stretch for stretch in stretches for key in stretch.all_keys}

    def frames(at: float) -> Mapping[Enum, Frame]:
        stands = stands_at(wall, at)
        found: dict[Enum, Frame] = {}
        for key, stretch in of_key.items():
            (x, y, z), across, (a, b, c) = stands[key]
            start, way = stretch.start, stretch.way
            shifted = x + a * start, y + b * start, z + c * start
            found[key] = Frame(shifted, across, (a * way, b * way, c * way))
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
    upward = "rolled_height" if wall.rolled else "face_height"
    add_size(upward, foot, head, out, at_left, True, True)
    if wall.closed and not wall.rolled:
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
