"""The separate base in space: its rigid zones, where they stand, what is measured on them. mm."""

from collections.abc import Callable, Mapping, Sequence
from enum import Enum

from core.base.sentences import Sentence, mark
from core.base.tolerance import same_length
from core.bodies.separate_base.body import SeparateBase
from core.bodies.separate_base.closed import closed_folding, closes_rigidly
from core.bodies.separate_base.draft import BASE
from core.bodies.separate_base.lid import lid_frames, lid_plates, lid_zones
from core.bodies.separate_base.ring import (
    BASE_ZONE,
    JOIN_GAP,
    TAPES,
    WALLS,
    WallRing,
    bag_moments,
    base_frame,
    bent_ways,
    measure_ring,
    over_the_top,
    root_of,
    standing,
    why_flat,
)
from core.flat.geometry import Frame2, HalfPlane
from core.flat.piece import Point
from core.flat.roles import FACES, Face, PieceId
from core.flat.seam import Draft
from core.site.site import Seat
from core.space.strips import Flat, limits_of, stitched_outline
from core.space.zones import (
    CREASED,
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
    Zone,
    add,
    scaled,
)

_ACROSS: Spatial = (1.0, 0.0, 0.0)


def base_folding(body: SeparateBase, draft: Draft, closing: Closing | None) -> Folding:
    """How the walls come round the base.

    `closing` joins front and back, or lies as a lid on four walls; None leaves it open.
    """
    lid = closing if closing is not None and closing.rows else None
    if closing is not None and lid is None and closes_rigidly(body, draft, closing):
        return closed_folding(body, draft, closing)
    rolled = closing is not None and closing.rolled > 0.0
    closing = None if lid is not None or rolled else closing
    ring, seats = measure_ring(body, draft, closing), body.seats()
    flat_only = why_flat(body, draft)
    outline = stitched_outline(draft.outlines[BASE])
    base = Zone(
        key=BASE_ZONE,
        piece=BASE,
        kind=AreaKind.WALL,
        region=Face.BASE,
        outline=outline,
        limits=limits_of(outline),
        floor=True,
    )
    spans = [(_span(flat), _creases(ring, place)) for place, flat in enumerate(ring.flats)]
    walls = tuple(_wall_zone(ring, place, *span) for place, span in enumerate(spans))
    tapes = tuple(_tapes(ring, seats, closing, spans)) if closing is not None else ()
    if lid is not None:
        tapes = lid_zones(lid)
    zones = (base, *walls, *tapes)
    root = root_of(ring) + 1
    behind = _behind(ring) + 1
    corners = zones[root].outline
    left, right = corners[0][0], corners[1][0]
    top = ring.top(Face.FRONT)
    return Folding(
        zones=zones,
        plates=(*_plates(ring, seats, closing), *lid_plates(lid, len(zones) - len(tapes))),
        frames=_frames(ring, seats, closing, lid),
        gaps=_gaps(ring, seats),
        sizes=_sizes(ring, seats, root),
        lies={face: (Lie(seat.piece, face, seat.frame),) for face, seat in seats.items()},
        brims={face: ring.top(face) for face in body.ring_faces},
        carriers={Face.FRONT: root, Face.BACK: behind},
        brim=((root, (left, top)), (root, (right, top))),
        closed=lid is not None,
        mouth=_mouth(zones, len(walls)) if lid is None else (),
        flat_only=flat_only,
        remark=_remark(closing, rolled=rolled) if flat_only is None else None,
    )


def _mouth(zones: Sequence[Zone], walls: int) -> tuple[Spot, ...]:
    """The upper corners of walls after the base; of what stands on all of them all corners."""
    if len(zones) > walls + 1:
        places = range(walls + 1, len(zones))
        return tuple((place, at) for place in places for at in zones[place].outline)
    return tuple((place, at) for place in range(1, walls + 1) for at in zones[place].outline[2:])


def _remark(closing: Closing | None, *, rolled: bool) -> Sentence | None:
    if rolled:
        return Sentence(_NOT_ROLLED)
    return None if closing is None else Sentence(_ZIP_OPEN)


_NOT_ROLLED = mark(
    "It is shown before it is rolled down: rolled, front and back lie together at the top, and the "
    "sides are drawn in."
)
_ZIP_OPEN = mark(
    "It is shown with its zip open: closed, the zip lays front and back together at the top, and "
    "draws the sides in."
)


def _behind(ring: WallRing) -> int:
    """Place of the flat in the middle of the back."""
    middle = next((low + high) / 2 for face, low, high in ring.pieces if face is Face.BACK)
    return ring.strip.root(middle)


def _span(flat: Flat) -> tuple[float, float]:
    """From where to where a flat reaches across its piece."""
    start, end = (flat.part.frame.at((0.0, at))[0] for at in (flat.low, flat.high))
    return start, end


def _box(left: float, right: float, low: float, high: float) -> tuple[Point, ...]:
    return (left, low), (right, low), (right, high), (left, high)


def _bounds(left: float, right: float, low: float, high: float) -> tuple[HalfPlane, ...]:
    return (-1.0, 0.0, -left), (1.0, 0.0, right), (0.0, -1.0, -low), (0.0, 1.0, high)


def _creases(ring: WallRing, place: int) -> tuple[bool, bool]:
    """Whether the ring is bent where a flat starts, and where it ends."""
    flats, faces = ring.flats, ring.faces
    own = flats[place]
    starts = place > 0 and faces[place - 1] is faces[place] and abs(own.turn) > CREASED
    after = place + 1
    ends = after < len(flats) and faces[after] is faces[place] and abs(flats[after].turn) > CREASED
    return starts, ends


def _wall_zone(
    ring: WallRing, place: int, span: tuple[float, float], creases: tuple[bool, bool]
) -> Zone:
    flat, face = ring.flats[place], ring.faces[place]
    bounds = (*span, 0.0, ring.tops[face])
    return _zone(WALLS[place], flat.part.piece, AreaKind.WALL, face, bounds, creases)


def _zone(
    key: Enum,
    piece: PieceId,
    kind: AreaKind,
    region: Face | None,
    bounds: tuple[float, float, float, float],
    creases: tuple[bool, bool],
) -> Zone:
    a, b, c, d = outline = _box(*bounds)
    hinges = zip(((a, d), (b, c)), creases, strict=True)
    folds = [(LineKind.CREASE, *ends) for ends, is_bent in hinges if is_bent]
    return Zone(
        key=key,
        piece=piece,
        kind=kind,
        region=region,
        outline=outline,
        limits=_bounds(*bounds),
        folds=tuple(folds),
    )


def _tapes(
    ring: WallRing,
    seats: Mapping[Face, Seat],
    closing: Closing,
    spans: Sequence[tuple[tuple[float, float], tuple[bool, bool]]],
) -> list[Zone]:
    """Half of the zip above each flat of front and back; `spans` and creases are those of flats."""
    line, half = -closing.frame.origin[1], closing.width / 2
    found = []
    for place, face in enumerate(ring.faces):
        ((left, right), creases), low = spans[place], line
        if face is Face.BACK:
            width = seats[face].width
            left, right, low = width - right, width - left, line + half
        bounds = (left, right, low, low + half)
        if face is Face.BACK:
            creases = creases[1], creases[0]
        found.append(_zone(TAPES[place], closing.piece, AreaKind.TAPE, None, bounds, creases))
    return found


def _plates(ring: WallRing, seats: Mapping[Face, Seat], closing: Closing | None) -> list[Plate]:
    base = seats[Face.BASE]
    found = [Plate(zones=(0,), limits=(), side=Face.BASE, frame=base.frame.inverse)]
    middles = [(flat.low + flat.high) / 2 for flat in ring.flats]
    for face, low, high in ring.pieces:
        places = [place for place, own in enumerate(ring.faces, 1) if own is face]
        # A plate's first zone bears the allowances: what is in the middle of a wall.
        places.sort(key=lambda place: abs(middles[place - 1] - (low + high) / 2))
        limits: tuple[HalfPlane, ...] = ()
        if seats[Face.FRONT].piece == seats[Face.BACK].piece:
            joint = ring.flats[places[0] - 1].part.frame.at((0.0, ring.pieces[0][2]))[0]
            limits = ((1.0, 0.0, joint),) if face is Face.FRONT else ((-1.0, 0.0, -joint),)
        frame = seats[face].frame.inverse
        found.append(Plate(zones=tuple(places), limits=limits, side=face, frame=frame))
    if closing is not None:
        found += _tape_plates(ring, seats, closing, found[1:])
    return found


def _tape_plates(
    ring: WallRing, seats: Mapping[Face, Seat], closing: Closing, walls: list[Plate]
) -> list[Plate]:
    count, line = len(ring.flats), -closing.frame.origin[1]
    middle = line + closing.width / 2
    front, back = (ring.tops[face] for face in FACES)
    half = seats[Face.FRONT].width / 2
    frames = {
        Face.FRONT: Frame2((-half, front - line)),
        Face.BACK: Frame2((-half, back + line + closing.width), up=(0.0, -1.0)),
    }
    limits: dict[Face, HalfPlane] = {
        Face.FRONT: (0.0, 1.0, middle),
        Face.BACK: (0.0, -1.0, -middle),
    }
    return [
        Plate(
            zones=tuple(place + count for place in wall.zones),
            limits=(limits[wall.side],),
            side=wall.side,
            frame=frames[wall.side],
        )
        for wall in walls
    ]


def _frames(
    ring: WallRing, seats: Mapping[Face, Seat], closing: Closing | None, lid: Closing | None
) -> Callable[[float], Frames]:
    """Moment -> where every zone stands, in the frame of its piece."""
    middle = seats[Face.BASE].width / 2

    def frames(at: float) -> Mapping[Enum, Frame]:
        first, second = bag_moments(at)
        gap = JOIN_GAP * (1.0 - first)
        # The base is sewn in last: until it turns up it hangs apart.
        apart = JOIN_GAP * (1.0 - second)
        found: dict[Enum, Frame] = {BASE_ZONE: base_frame(ring, middle, second, apart)}
        ways = bent_ways(ring, second, first)
        for place, (flat, way) in enumerate(zip(ring.flats, ways, strict=True)):
            found[WALLS[place]] = standing(flat, way)
        if closing is not None:
            _add_tapes(found, ring, seats, closing, gap)
            if at < 0.5:
                back, over = over_the_top(ring, seats[Face.FRONT].width / 2, first, gap)
                for place, face in enumerate(ring.faces):
                    if face is Face.BACK:
                        found[WALLS[place]], found[TAPES[place]] = back, over
        if lid is not None:
            found |= lid_frames(ring, lid, second, gap)
        return found

    return frames


def _add_tapes(
    found: dict[Enum, Frame],
    ring: WallRing,
    seats: Mapping[Face, Seat],
    closing: Closing,
    gap: float,
) -> None:
    """Each half of the zip in the plane of the wall below it."""
    line, far = -closing.frame.origin[1], closing.width - closing.frame.origin[1]
    for place, face in enumerate(ring.faces):
        wall = found[WALLS[place]]
        if face is Face.FRONT:
            origin = wall.at((0.0, ring.tops[face] - line + gap))
            found[TAPES[place]] = wall._replace(origin=origin)
        else:
            origin = wall.at((seats[face].width, ring.tops[face] + far + gap))
            across, up = scaled(wall.across, -1.0), scaled(wall.up, -1.0)
            found[TAPES[place]] = Frame(origin, across, up)


def _sizes(ring: WallRing, seats: Mapping[Face, Seat], root: int) -> tuple[Measured, ...]:
    """Base width, gusset depth and face height, beside the box that they make."""
    x, y = ring.wide / 2, ring.deep / 2
    frame = seats[Face.BASE].frame

    def on_base(at: Point) -> Spot:
        return 0, frame.at(at)

    seat = seats[Face.FRONT]
    corner = seat.frame.at((-x, 0.0))
    head = corner[0], ring.face_height
    at_left, at_right = on_base((-x, y)), on_base((x, y))
    foot = root, corner
    sizes = [
        ("base_width", at_left, at_right, (0.0, -1.0, 0.0), False, True),
        ("gusset_depth", at_right, on_base((x, -y)), _ACROSS, True, False),
        ("face_height", foot, (root, head), (-1.0, 0.0, 0.0), True, True),
    ]
    return tuple(
        Measured(
            figure=figure,
            start=start,
            end=end,
            aside=aside,
            anchors=(start, end),
            follows_x=follows_x,
            follows_y=follows_y,
        )
        for figure, start, end, aside, follows_x, follows_y in sizes
    )


def _gaps(ring: WallRing, seats: Mapping[Face, Seat]) -> Callable[[Frames], tuple[Gap, ...]]:
    """Between the back of the base and the foot of the walls there; none where they meet."""
    frame, half = seats[Face.BASE].frame, ring.wide / 2

    def gaps(now: Frames) -> tuple[Gap, ...]:
        if same_length(ring.over, 0.0):
            return ()
        base = now[BASE_ZONE]
        found = []
        for face, end in ((Face.LEFT, -half), (Face.RIGHT, half)):
            inner, outer = (base.at(frame.at((x, -ring.deep / 2))) for x in (0.0, end))
            off = (0.0, ring.over, 0.0)
            middle = scaled(add(inner, outer), 0.5)
            found.append(
                Gap(
                    face=face,
                    figure="base_mismatch",
                    pucker=ring.over > 0.0,
                    outlines=((inner, outer, add(outer, off), add(inner, off)),),
                    start=middle,
                    end=add(middle, off),
                )
            )
        return tuple(found)

    return gaps
