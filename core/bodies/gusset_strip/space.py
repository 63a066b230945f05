"""Gusset strip and wrap in space: rigid zones, where they stand, what is measured on them. mm.

The front stands where it will stand, from the first on. First half: what lies flat in its plane,
right sides to the eye, comes together; then the bottom turns back under it, and the strip goes
round. Second half: what is still open swings up about its bottom seam: the back, of a wrap its
ends.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from enum import Enum

from core.base.sentences import Sentence, mark, say
from core.base.tolerance import same_length, shorter
from core.bodies.gusset_strip.around import FLATS, PANELS, ROWS, BentRing, ring_around
from core.bodies.gusset_strip.body import StripBody
from core.bodies.gusset_strip.corners import corner_spans
from core.bodies.gusset_strip.draft import RIGHT_ANGLE, panel_edge, panel_piece, strip_piece
from core.bodies.gusset_strip.sizes import GUSSET
from core.flat.geometry import Frame2, HalfPlane
from core.flat.piece import Point
from core.flat.roles import SIDES, EdgeRole, Face, PieceId, Side
from core.flat.seam import Draft
from core.space.strips import Flat, Hinge, hinged, laid_in, limits_of, stitched_outline, way_to
from core.space.zones import (
    AreaKind,
    Closing,
    Folding,
    Frame,
    Frames,
    Gap,
    Lie,
    Measured,
    Plate,
    Spatial,
    Spot,
    Zone,
    add,
    ease,
    minus,
    scaled,
)

JOIN_GAP = 12.0
"""How far apart pieces that will be joined lie in the flat state, mm."""
_JOINED, _ROUND, _SHUT = 0.2, 0.5, 0.75
"""Moments at which the pieces have come together, at which the strip has gone round, and at which
the panels stand (own choice: the strip is sewn to one panel, and then to the other; they stand
before their handles are lifted, which else reach below the ground)."""
_RIGHT: Spatial = (1.0, 0.0, 0.0)


def strip_folding(body: StripBody, draft: Draft, closing: Closing | None) -> Folding:
    """How strip and panels come together; `closing` closes the ring, None leaves it open."""
    ring = ring_around(body, closing)
    zones = (*_panel_zones(body, draft), *_strip_zones(ring))
    faces, count = body.MAKES, len(PANELS)
    places = {face: number for number, face in enumerate(faces.panels)}
    places |= {faces.leg(side): count + _leg_place(body, ring, side) for side in SIDES}
    brims = _brims(body, draft)
    front = zones[places[Face.FRONT]].outline
    left, right = (edge(x for x, _ in front) for edge in (min, max))
    top = _height(draft, body, Face.FRONT)
    if body.MAKES is not GUSSET:
        top = ring.half
    return Folding(
        zones=zones,
        plates=tuple(_plates(body, ring, draft)),
        frames=_frames(body, ring),
        gaps=_gaps(body, ring, draft),
        sizes=tuple(_sizes(body, ring, draft)),
        lies=_lies(body),
        brims=brims,
        carriers=places,
        brim=((places[Face.FRONT], (left, top)), (places[Face.FRONT], (right, top))),
        closed=closing is not None,
        flat_only=_flat_only(body, draft),
    )


def _flat_only(body: StripBody, draft: Draft) -> Sentence | None:
    """Why the pieces can only be shown flat; None when they make a bag."""
    for piece in draft.walls:
        if not draft.outlines[piece.id].sound:
            return say(_UNSOUND, terms={"piece": piece.label})
    past = corner_spans(body)[0][1]
    half = body.drawn_strip / 2
    if not shorter(past, half):
        return Sentence(_TOO_SHORT, {"value": past - half})
    return None


_UNSOUND = mark("The {piece} is shown flat only: its stitch lines cross one another.")
_TOO_SHORT = mark(
    "The pieces are shown flat only: the strip is {value} too short on either side to go round the "
    "lower corners."
)


def _height(draft: Draft, body: StripBody, face: Face) -> float:
    """Of the top stitch line of the panels."""
    panel = face if face in body.MAKES.panels else body.MAKES.panels[0]
    top = panel_edge(body.MAKES, panel, EdgeRole.TOP).edge
    return draft.outlines[panel_piece(panel)].line(top)[0][1]


def _panel_zones(body: StripBody, draft: Draft) -> Iterator[Zone]:
    for key, face in zip(PANELS, body.MAKES.panels, strict=True):
        piece = panel_piece(face)
        outline = stitched_outline(draft.outlines[piece])
        yield Zone(
            key=key,
            piece=piece,
            kind=AreaKind.WALL,
            region=face,
            outline=outline,
            limits=limits_of(outline),
        )


def _strip_zones(ring: BentRing) -> Iterator[Zone]:
    """Of the strip, then row by row of what closes it."""
    yield from ring.strip._replace(flats=ring.flats).zones(FLATS)
    for row in ring.rows:
        yield from row.strip.zones(row.keys)


def _leg_place(body: StripBody, ring: BentRing, side: Side) -> int:
    """Place of the upright flat of a leg: of several the uppermost."""
    spans = corner_spans(body)
    least, most = spans[0][1], spans[1][0] if body.closed else math.inf
    found = [
        (abs(flat.low + flat.high), place)
        for place, flat in enumerate(ring.flats)
        if flat.stretch.region is body.MAKES.leg(side)
        and least < abs(flat.low + flat.high) / 2 < most
    ]
    return max(found)[1] if found else ring.root


def _brims(body: StripBody, draft: Draft) -> Mapping[Face, float]:
    """Heights in the frames of the faces: of panels their top, of legs the end of the strip."""
    seats = body.seats()
    found = {face: _height(draft, body, face) for face in body.MAKES.panels}
    legs = (body.MAKES.leg(side) for side in SIDES)
    return found | {face: seats[face].top - seats[face].top_allowance for face in legs}


def _lies(body: StripBody) -> Mapping[Face, tuple[Lie, ...]]:
    """Of panels and legs on their piece; of the bottom on every piece that has some of it."""
    seats = body.seats()
    found: dict[Face, tuple[Lie, ...]] = {
        face: (Lie(seat.piece, face, seat.frame),)
        for face, seat in seats.items()
        if face is not Face.BASE
    }
    flat = corner_spans(body)[0][0]
    pieces = [
        number
        for number in range(body.strip_pieces)
        if body.strip_ends(number)[0] < flat and body.strip_ends(number)[1] > -flat
    ]
    regions = (Face.BASE,) if body.MAKES is GUSSET else body.MAKES.legs
    frame = base_frame(body)
    found[Face.BASE] = tuple(
        Lie(strip_piece(number), region, frame) for number in pieces for region in regions
    )
    return found


def base_frame(body: StripBody) -> Frame2:
    """From the bottom, its front up, into the strip."""
    middle = (body.strip_width / 2, 0.0)
    return Frame2(middle, (0.0, 1.0), (-1.0, 0.0)) if body.MAKES is GUSSET else Frame2(middle)


def _plates(body: StripBody, ring: BentRing, draft: Draft) -> Iterator[Plate]:
    seats, count = body.seats(), len(PANELS)
    for number, face in enumerate(body.MAKES.panels):
        yield Plate(zones=(number,), limits=(), side=face, frame=seats[face].frame.inverse)
    groups: dict[tuple[PieceId, Face | None], list[int]] = {}
    for place, flat in enumerate(ring.flats):
        groups.setdefault((flat.part.piece, flat.stretch.region), []).append(place)
    for (_, region), places in groups.items():
        assert region is not None
        low, high = ring.flats[places[0]].low, ring.flats[places[-1]].high
        part = ring.flats[places[0]].part
        limits: list[HalfPlane] = []
        if not same_length(low, part.low):
            limits.append((0.0, -1.0, -low))
        if not same_length(high, part.high):
            limits.append((0.0, 1.0, high))
        frame = base_frame(body) if region is Face.BASE else seats[region].frame
        yield Plate(
            zones=tuple(count + place for place in _longest_first(ring.flats, places)),
            limits=tuple(limits),
            side=region,
            frame=frame.inverse,
        )
    at = count + ring.own
    for row in ring.rows:
        flats = row.strip.flats
        order = _longest_first(flats, list(range(len(flats))))
        yield Plate(
            zones=tuple(at + place for place in order), limits=(), side=Face.TOP, frame=Frame2()
        )
        at += len(flats)


def _longest_first(flats: tuple[Flat, ...], places: list[int]) -> list[int]:
    """A plate's first zone bears the allowances."""
    return sorted(places, key=lambda place: flats[place].low - flats[place].high)


ROW_GAP = 2.0
"""Between the raw edges of half strips and zip in the flat state, mm."""


def _frames(body: StripBody, ring: BentRing) -> Callable[[float], Frames]:
    """Moment -> where every zone stands, in the frame of its piece."""
    root = ring.root
    strip = ring.strip.hinges(FLATS, root, gap=JOIN_GAP, span=(_JOINED, _ROUND))
    hinges = (*strip, *_panel_hinges(body, FLATS[root]))
    deep = body.strip_width / 2
    ground = Frame((0.0, -deep, 0.0), (0.0, 1.0, 0.0), _RIGHT)
    if body.MAKES is not GUSSET:
        ground = Frame((-deep, 0.0, 0.0), _RIGHT, (0.0, -1.0, 0.0))

    def sewn(at: float, hinges: Sequence[Hinge] = hinges) -> dict[Enum, Frame]:
        """With the bottom as far from level as the front still is from upright on it."""
        # Nothing turns before all is joined, and nothing is apart once it turns.
        apart = 1.0 - ease(at / _JOINED)
        level = 1.0 - ease((at - _JOINED) / (_ROUND - _JOINED))
        bottom = ground.turned((0.0, 0.0, 0.0), _RIGHT, -level * RIGHT_ANGLE)
        return hinged({FLATS[root]: bottom}, hinges, at, apart=apart)

    front, foot = _front_foot(ring, body)
    stands = sewn(_SHUT, way_to(front, hinges))[front].at(foot)

    def frames(at: float) -> Mapping[Enum, Frame]:
        found = sewn(at)
        off = minus(stands, found[front].at(foot))
        found = {
            key: Frame(add(origin, off), across, up) for key, (origin, across, up) in found.items()
        }
        # Flat, the allowances of half strips and zip lie beside one another, and hide no zip.
        apart = (1.0 - ease(at / _JOINED)) * (2 * body.top_seam + ROW_GAP)
        for number, (row, keys) in enumerate(zip(ring.rows[1:], ROWS[1:], strict=False), 1):
            for place in range(ring.own, len(ring.strip.flats)):
                bearer = found[FLATS[place]]
                lies = laid_in(bearer, row.lie)
                off = scaled(bearer.up, number * apart)
                found[keys[place]] = lies._replace(origin=add(lies.origin, off))
        return found

    return frames


def _front_foot(ring: BentRing, body: StripBody) -> tuple[Enum, Point]:
    """The zone that stands in front from the first on, and a point of it."""
    if body.MAKES is GUSSET:
        return PANELS[0], (body.gusset_seam, 0.0)
    place = _leg_place(body, ring, Side.LEFT)
    if body.MAKES.leg(Side.LEFT) is not Face.FRONT:
        place = _leg_place(body, ring, Side.RIGHT)
    flat = ring.flats[place]
    return FLATS[place], flat.part.frame.at((ring.strip.left, flat.low))


def _panel_hinges(body: StripBody, bearer: Enum) -> Iterator[Hinge]:
    """Each panel turns about its bottom seam, on either side of the strip; the front at once."""
    wide, seam, middle = body.strip_width, body.gusset_seam, body.face_cut_width / 2
    for key, face, x, way in zip(
        PANELS, body.MAKES.panels, (seam, wide - seam), (1.0, -1.0), strict=True
    ):
        yield Hinge(
            key=key,
            bearer=bearer,
            start=(x, -way),
            end=(x, way),
            turn=RIGHT_ANGLE,
            lie=Frame2((x, -way * middle), (0.0, way), (-way, 0.0)),
            gap=JOIN_GAP,
            span=(_JOINED, _ROUND) if face is Face.FRONT else (_ROUND, _SHUT),
        )


def _sizes(body: StripBody, ring: BentRing, draft: Draft) -> Iterator[Measured]:
    """Width, depth and height, beside the box that they make."""
    root = len(PANELS) + ring.root
    seam, across = body.gusset_seam, body.strip_width - body.gusset_seam
    half = body.bottom_half
    high = _height(draft, body, body.MAKES.panels[0])
    if body.MAKES is GUSSET:
        low_left, low_right = (0, (seam, 0.0)), (0, (body.face_cut_width - seam, 0.0))
        head: Spot = (0, (seam, high))
        foot: Spot = low_left
        depth: tuple[Spot, Spot] = (root, (seam, half)), (root, (across, half))
        width: tuple[Spot, Spot] = low_left, low_right
    else:
        near = body.face_cut_width - seam
        foot, head = (0, (near, 0.0)), (0, (near, high))
        width = (root, (seam, half)), (root, (across, half))
        depth = (1, (seam, 0.0)), (1, (near, 0.0))
    for figure, (start, end), aside, x, y in (
        ("face_width", width, (0.0, -1.0, 0.0), False, True),
        ("gusset_depth", depth, _RIGHT, True, False),
        ("face_height", (foot, head), (-1.0, 0.0, 0.0), True, True),
    ):
        yield Measured(
            figure=figure,
            start=start,
            end=end,
            aside=aside,
            anchors=(start, end),
            follows_x=x,
            follows_y=y,
        )


def _gaps(body: StripBody, ring: BentRing, draft: Draft) -> Callable[[Frames], tuple[Gap, ...]]:
    """Where a strip that is too long or too short ends; none where it goes round."""
    off = body.drawn_edge - body.drawn_strip - body.drawn_gap
    left, right = ring.strip.left, ring.strip.right

    def ends(now: Frames, key: Enum, frame: Frame2, at: float) -> tuple[Spatial, Spatial]:
        one, other = (now[key].at(frame.at((x, at))) for x in (left, right))
        return one, other

    def gap(face: Face, one: tuple[Spatial, Spatial], other: tuple[Spatial, Spatial]) -> Gap:
        (a, b), (c, d) = one, other
        return Gap(
            face=face,
            figure="gusset_mismatch",
            pucker=off < 0.0,
            outlines=((a, b, d, c),),
            start=scaled(add(a, b), 0.5),
            end=scaled(add(c, d), 0.5),
        )

    def gaps(now: Frames) -> tuple[Gap, ...]:
        if same_length(off, 0.0):
            return ()
        last = len(ring.strip.flats) - 1
        low = ends(now, FLATS[0], Frame2(), -ring.half)
        high = ends(now, FLATS[last], ring.strip.flats[last].part.frame, ring.end)
        below, above = (body.MAKES.leg(side) for side in SIDES)
        if ring.rows:
            return (gap(below, high, low),)
        found: list[Gap] = []
        for face, strip, is_right in ((below, low, False), (above, high, True)):
            corners = [
                now[key].at(_upper_corner(body, draft, panel, right=is_right is (number == 0)))
                for number, (key, panel) in enumerate(zip(PANELS, body.MAKES.panels, strict=True))
            ]
            found.append(gap(face, strip, (corners[0], corners[1])))
        return tuple(found)

    return gaps


def _upper_corner(body: StripBody, draft: Draft, face: Face, *, right: bool) -> Point:
    """Where the top stitch line of a panel ends."""
    top = panel_edge(body.MAKES, face, EdgeRole.TOP).edge
    start, end = draft.outlines[panel_piece(face)].line(top)
    return start if right else end
