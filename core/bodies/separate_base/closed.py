"""A square base whose two walls close flat over it: it folds as a boxed panel does. mm.

Its metric is that of a boxed panel of the same sizes, whose bottom is a piece of its own: front
and back lean together at the top, and the sides turn in. The base is folded along its middle
until the bag opens, as it may be before it is sewn in, and lies apart till then.
"""

from collections.abc import Callable, Mapping
from enum import Enum

from core.base.sentences import Sentence
from core.base.tolerance import same_length
from core.bodies.boxed_panel.folding import (
    ACROSS,
    BACKS,
    BASES,
    FLAPS,
    FRONTS,
    ROLLS,
    ZIPS,
    ZIPS_OVER,
    BoxedZone,
    stands_at,
    widest_opening,
)
from core.bodies.boxed_panel.space import STANDS_UP
from core.bodies.boxed_panel.wall import Wall
from core.bodies.boxed_panel.zones import WallStretch, rolled_stretches, zones_of
from core.bodies.separate_base.body import SeparateBase
from core.bodies.separate_base.draft import BASE
from core.bodies.separate_base.measure import base_sizes
from core.bodies.separate_base.ring import JOIN_GAP, bag_moments
from core.flat.geometry import Frame2
from core.flat.piece import Point
from core.flat.roles import FACES, EdgeId, EdgeRole, Face
from core.flat.seam import Draft
from core.space.zones import (
    Closing,
    Folding,
    Frame,
    Frames,
    Lie,
    Measured,
    Plate,
    Spatial,
    Spot,
    Zone,
    add,
    scaled,
)

_FRONT_SIDE = frozenset((*FRONTS, *ZIPS, *ZIPS_OVER, *(front for front, _ in ROLLS)))
"""Zones that hang on the front until the bag is folded."""


def closes_rigidly(body: SeparateBase, draft: Draft, closing: Closing) -> bool:
    """Whether its walls can be laid together at the top without a bend."""
    sizes = base_sizes(body, draft)
    fits = same_length(sizes["base_mismatch"] or 0.0, 0.0)
    if body.body_pieces != 2 or body.corner_rounding or not fits:
        return False
    # Lower faces would not close over the open base.
    return (sizes["face_height"] or 0.0) - closing.rolled >= (
        sizes["gusset_depth"] or 0.0
    ) / 2 * 1.07


def measure_closed(body: SeparateBase, draft: Draft, closing: Closing) -> Wall:
    """As the wall of a boxed panel of its sizes; x as on the front, the base's middle at w = 0."""
    sizes, width = base_sizes(body, draft), body.body_width
    half, corner = (sizes["base_width"] or 0.0) / 2, (sizes["gusset_depth"] or 0.0) / 2
    pieces = [body.seats()[face].piece for face in FACES]
    tops = [
        draft.outlines[piece].line(EdgeId(EdgeRole.TOP, face))[0][1]
        for piece, face in zip(pieces, FACES, strict=True)
    ]
    return Wall(
        left=body.side_seam,
        right=width - body.side_seam,
        base_left=width / 2 - half,
        base_right=width / 2 + half,
        corner=corner,
        front_top=tops[0] + corner,
        back_top=tops[1] + corner,
        zip_width=closing.width,
        closed=True,
        has_corners=True,
        seamed=True,
        rolled=closing.rolled,
        rolls=closing.rolls,
        turn=closing.turn,
    )


def _stretches(body: SeparateBase, wall: Wall, closing: Closing) -> tuple[WallStretch, ...]:
    """Front, back, what of it is folded over onto the front, and the zip on both."""
    half, corner, loop = wall.top_fold, wall.corner, wall.loop
    front, back = (body.seats()[face].piece for face in FACES)
    mirrored = (body.body_width, -1.0)
    tape, end = wall.front_top + closing.frame.origin[1], wall.front_top + wall.zip_width
    on_front, on_back = ((0.0, min(top, half)) for top in (wall.front_top, wall.back_top))
    piece = closing.piece
    walls = (
        WallStretch(FRONTS, front, Face.FRONT, Face.FRONT, on_front, (corner, 1.0)),
        WallStretch(BACKS, back, Face.BACK, Face.BACK, on_back, (corner, 1.0), across=mirrored),
    )
    if closing.rolled:
        rolled = rolled_stretches(wall, (front, back), start=corner, mirrored=mirrored)
        return (*walls, *rolled)
    return (
        *walls,
        WallStretch(
            FLAPS, back, Face.BACK, Face.FRONT, (end, half), (loop - corner, -1.0), across=mirrored
        ),
        WallStretch(ZIPS, piece, None, Face.FRONT, (wall.front_top, min(end, half)), (tape, 1.0)),
        WallStretch(ZIPS_OVER, piece, None, Face.BACK, (wall.back_top, half), (loop - tape, -1.0)),
    )


def _bases(body: SeparateBase, wall: Wall) -> tuple[WallStretch, ...]:
    """Both halves of the base."""
    across = ((body.body_width - body.base_cut_width) / 2, 1.0)
    return tuple(
        WallStretch(
            (key,), BASE, Face.BASE, Face.BASE, (0.0, wall.corner), (0.0, way), across=across
        )
        for key, way in zip(BASES, (1.0, -1.0), strict=True)
    )


def closed_folding(body: SeparateBase, draft: Draft, closing: Closing) -> Folding:
    """How the walls come round a square base, and close over it."""
    wall = measure_closed(body, draft, closing)
    stretches, bases = _stretches(body, wall, closing), _bases(body, wall)
    zones = tuple(
        zone._replace(folds=()) if zone.floor else zone
        for zone in zones_of(wall, stretches, foldable=True, bases=bases)
    )
    place = {zone.key: i for i, zone in enumerate(zones)}
    front = place[BoxedZone.FRONT]
    head = wall.face_height
    return Folding(
        zones=zones,
        plates=tuple(_plates(wall, (*stretches, *bases), zones, place)),
        frames=_frames(wall, (*stretches, *bases)),
        gaps=lambda frames: (),
        sizes=_sizes(body, wall, place),
        lies={face: (Lie(seat.piece, face, seat.frame),) for face, seat in body.seats().items()},
        brims=dict.fromkeys(FACES, head),
        carriers={Face.FRONT: front, Face.BACK: place[BoxedZone.BACK]},
        brim=((front, (wall.left, head)), (front, (wall.right, head))),
        closed=True,
        remark=Sentence(STANDS_UP) if closing.rolled else None,
    )


def _plates(
    wall: Wall,
    stretches: tuple[WallStretch, ...],
    zones: tuple[Zone, ...],
    place: Mapping[Enum, int],
) -> list[Plate]:
    """One for each stretch; heights are those above the base seam."""
    found = []
    for stretch in stretches:
        places = tuple(place[key] for key in stretch.keys if key in place)
        if not places:
            continue
        if stretch.region is Face.BASE:
            limits = stretch.planes([(0.0, -1.0, 0.0)])
        else:
            limits = stretch.plate_limits(wall)
        found.append(
            Plate(
                zones=places,
                limits=limits,
                side=stretch.side,
                frame=Frame2(
                    (stretch.left - wall.middle, stretch.start - wall.corner),
                    (stretch.right, 0.0),
                    (0.0, stretch.way),
                ),
            )
        )
    return found


def _frames(wall: Wall, stretches: tuple[WallStretch, ...]) -> Callable[[float], Frames]:
    """Moment -> where every zone stands, in the frame of its piece."""
    # What a seamed bottom has between front and back lies on either side of the base here.
    moved = wall._replace(seamed=False)

    def frames(at: float) -> Mapping[Enum, Frame]:
        stands = stands_at(moved, at)
        _, second = bag_moments(at)
        apart = JOIN_GAP * (1.0 - second)
        found: dict[Enum, Frame] = {}
        for stretch in stretches:
            for key in stretch.keys:
                origin, across, up = stands[key]
                if key not in BASES:
                    origin = add(origin, scaled(_lift(stands, key, at), apart))
                origin = add(origin, add(scaled(across, stretch.left), scaled(up, stretch.start)))
                found[key] = Frame(origin, scaled(across, stretch.right), scaled(up, stretch.way))
        return found

    return frames


_UP: Spatial = (0.0, 0.0, 1.0)


def _lift(stands: Mapping[BoxedZone, Frame], key: BoxedZone, at: float) -> Spatial:
    """The way in which a zone stands off the base until that is sewn in."""
    if at < 0.5:
        return stands[BoxedZone.FRONT if key in _FRONT_SIDE else BoxedZone.BACK].up
    return _UP


def _sizes(body: SeparateBase, wall: Wall, place: Mapping[Enum, int]) -> tuple[Measured, ...]:
    """Base width, gusset depth, face height, and the zip's place on the front."""
    x, y, frame = (wall.base_right - wall.base_left) / 2, wall.corner, body.seats()[Face.BASE].frame
    before, behind = (place[key] for key in BASES)
    front, back = place[BoxedZone.FRONT], place[BoxedZone.BACK]
    at_left, at_right = (before, frame.at((-x, y))), (before, frame.at((x, y)))
    out: Spatial = (-1.0, 0.0, 0.0)
    foot: Spot = (front, (wall.left, 0.0))
    head: Spot = (front, (wall.left, wall.face_height))
    height = "rolled_height" if wall.rolled else "face_height"
    found = [
        _measured("base_width", at_left, at_right, (0.0, -1.0, 0.0), at_left, y=True),
        _measured(height, foot, head, out, at_left, x=True, y=True),
    ]
    if widest_opening(wall) >= 1.5:
        far = (behind, frame.at((x, -y)))
        found.insert(1, _measured("gusset_depth", at_right, far, ACROSS, at_right, x=True))
    if wall.rolled:
        return tuple(found)
    at = wall.front_top + wall.zip_width / 2
    on_back = at > wall.top_fold
    zone, up = (back, wall.loop - at) if on_back else (front, at)
    edge = body.body_width - wall.right if on_back else wall.right
    ends: tuple[Point, Point] = ((edge, wall.face_height), (edge, up - wall.corner))
    start, end = (zone, ends[0]), (zone, ends[1])
    face = Face.BACK if on_back else Face.FRONT
    offset = _measured("zip_offset", start, end, ACROSS, start, x=True)
    found.append(offset._replace(face=face, overall=False))
    return tuple(found)


def _measured(
    figure: str,
    start: Spot,
    end: Spot,
    aside: Spatial,
    anchor: Spot,
    *,
    x: bool = False,
    y: bool = False,
) -> Measured:
    return Measured(
        figure=figure,
        start=start,
        end=end,
        aside=aside,
        anchors=(anchor, end),
        follows_x=x,
        follows_y=y,
    )
