"""The ring of walls of a separate base: where it is bent round the base, and how it comes up.

The ring is told along its lower edge, mm, from the middle of the front to the right. Walls too
long for the base, or too short, stand off it, or within it, at the back alone: their front and
their corners lie where the base has them.

First half: walls of one or two pieces are laid together, back behind front: about the zip that
joins them, or about the side at the right. Second half: the ring opens, front and back alike, and
the base turns up to it.
"""

import math
from collections.abc import Mapping
from enum import Enum
from typing import Any, NamedTuple

from core.base.sentences import Sentence, mark, say
from core.base.tolerance import shorter
from core.bodies.separate_base.body import SeparateBase
from core.bodies.separate_base.draft import AROUND, wall_of
from core.bodies.separate_base.measure import base_sizes
from core.flat.geometry import Frame2
from core.flat.roles import FACES, EdgeId, EdgeRole, Face
from core.flat.seam import Draft
from core.space.strips import BentStrip, Flat, StripPart, StripStretch, bent_strip
from core.space.zones import Closing, Frame, Spatial, ZoneKey, ease

JOIN_GAP = 12.0
"""How far apart pieces that will be joined lie in the flat state, mm."""
_MOST = 48
"""Flats of a ring: up to six arcs of six, straight ones, and cuts where pieces meet."""


def _keys() -> tuple[Enum, ...]:
    """So many: how many of them a ring needs, its pieces tell."""
    made: Any = ZoneKey
    return tuple(made("RingZone", [f"ZONE_{number}" for number in range(2 * _MOST + 1)]))


_KEYS = _keys()
BASE_ZONE, WALLS, TAPES = _KEYS[0], _KEYS[1 : _MOST + 1], _KEYS[_MOST + 1 :]
"""Keys of the base, of the flats of a ring, and of the halves of a zip above them."""


RingWalls = tuple[tuple[Face, float, float], ...]
"""Of the walls, one after the other: face, from where to where along the ring, mm."""


class WallRing(NamedTuple):
    """The walls of a bag as they go round its base, mm, and its base.

    Attributes:
        strip: bent; its across is 0 at the base seam, and less above it.
        faces: the face that each of its flats lies on.
        pieces: of the walls, one after the other: face, from where to where along the ring.
        tops: face -> its top stitch line above the base seam.
        wide, deep: of the base.
        over: how far the back stands off the base.
        closing: what closes the top; None where it is open.
    """

    strip: BentStrip
    faces: tuple[Face, ...]
    pieces: RingWalls
    tops: Mapping[Face, float]
    wide: float
    deep: float
    over: float
    closing: Closing | None

    @property
    def flats(self) -> tuple[Flat, ...]:
        """Of the ring, one after the other."""
        return self.strip.flats

    def top(self, face: Face) -> float:
        """How high a face stands, with its half of what closes the top."""
        return self.tops[face] + (0.0 if self.closing is None else self.closing.width / 2)

    @property
    def face_height(self) -> float:
        """Half of the way up the front and down the back."""
        return (self.top(Face.FRONT) + self.top(Face.BACK)) / 2


def measure_ring(body: SeparateBase, draft: Draft, closing: Closing | None) -> WallRing:
    """The ring of these pieces, on their stitch lines."""
    sizes = base_sizes(body, draft)
    wide, deep, radius, over = (
        sizes[name] or 0.0
        for name in ("base_width", "gusset_depth", "corner_radius", "base_mismatch")
    )
    pieces = _pieces(body, draft)
    tops = {
        face: draft.outlines[wall_of(body, face)].line(EdgeId(EdgeRole.TOP, face))[0][1]
        for face in body.ring_faces
    }
    parts = [
        StripPart(wall_of(body, face), low, high, _on_piece(body, draft, face, low))
        for face, low, high in pieces
    ]
    start = pieces[0][1]
    strip = bent_strip(
        _stretches(wide, deep, radius, over, start), parts, (-max(tops.values()), 0.0), start=start
    )
    faces = tuple(_face_at(pieces, (flat.low + flat.high) / 2) for flat in strip.flats)
    return WallRing(strip, faces, pieces, tops, wide, deep, over / 2, closing)


def _pieces(body: SeparateBase, draft: Draft) -> RingWalls:
    """Face, start and end along the ring, in the order in which they lie in a row.

    Four begin with the left side, and end with the back.
    """
    lengths = {
        face: draft.outlines[wall_of(body, face)].length(EdgeId(EdgeRole.BOTTOM, face))
        for face in body.ring_faces
    }
    at = -lengths[Face.FRONT] / 2
    order: tuple[Face, ...] = FACES
    if body.body_pieces == 4:
        order, at = (AROUND[3], *AROUND[:3]), at - lengths[Face.LEFT]
    found = []
    for face in order:
        found.append((face, at, at + lengths[face]))
        at += lengths[face]
    return tuple(found)


def _face_at(pieces: RingWalls, at: float) -> Face:
    """The face so far along the ring; the last one beyond the end of walls that are too short."""
    return next((face for face, _, high in pieces if at < high), pieces[-1][0])


def _on_piece(body: SeparateBase, draft: Draft, face: Face, low: float) -> Frame2:
    """From (across, along) of the ring into the frame of a wall's piece."""
    start = draft.outlines[wall_of(body, face)].line(EdgeId(EdgeRole.BOTTOM, face))[0]
    return Frame2((start[0] - low, start[1]), (0.0, -1.0), (1.0, 0.0))


def _stretches(
    wide: float, deep: float, radius: float, over: float, start: float
) -> list[StripStretch]:
    """Once round, from where the first piece starts."""
    level, upright = wide - 2 * radius, deep - 2 * radius + over / 2
    corner = StripStretch(radius * math.pi / 2, math.pi / 2)
    around: list[StripStretch] = []
    for length in (level, upright, level, upright):
        around += [StripStretch(max(length, 0.0)), corner]
    # From the middle of the front on, and back from there.
    half = around[0]._replace(length=around[0].length / 2)
    ahead, behind = [half, *around[1:]], [half, *reversed(around[1:])]
    total = math.fsum(each.length for each in around)
    after = _cut_to(ahead, total + start)
    before = _cut_to(behind, -start)
    before.reverse()
    # Both halves of the front's middle are one flat again.
    joined = before[-1]._replace(length=before[-1].length + after[0].length)
    return [*before[:-1], joined, *after[1:]]


def _cut_to(stretches: list[StripStretch], length: float) -> list[StripStretch]:
    """The first of them, as far as they come to that length."""
    found: list[StripStretch] = []
    left = length
    for each in stretches:
        if left <= 1e-9:
            break
        if each.length <= left + 1e-9:
            found.append(each)
        else:
            share = left / each.length
            found.append(each._replace(length=left, turn=each.turn * share))
        left -= each.length
    return found


class Way(NamedTuple):
    """How a flat stands upright on the ground.

    Attributes:
        start: of its lower edge, (x, y).
        angle: of that edge, radians: 0 to the right, as the front goes.
    """

    start: tuple[float, float]
    angle: float

    def along(self, length: float) -> "Way":
        """So far on."""
        (x, y), a = self.start, self.angle
        return Way((x + length * math.cos(a), y + length * math.sin(a)), a)


def root_of(ring: WallRing) -> int:
    """Place of the flat in the middle of the front."""
    return ring.strip.root(0.0)


def bent_ways(ring: WallRing, share: float, swing: float) -> list[Way]:
    """How every flat stands when the ring is bent by so much of all its turns.

    Front and back are laid on one another where it is not bent at all, and stay alike: what
    joins them at the right turns by what the front's bends leave of half a turn. `swing` is how
    far the back has come behind the front until then.
    """
    flats, root = ring.flats, root_of(ring)
    two = len(ring.pieces) == 2
    gap = JOIN_GAP * (1.0 - swing) if ring.pieces[0][0] is not ring.pieces[-1][0] else 0.0
    own = flats[root]
    angle = share * own.turn / 2 if own.stretch.turn else 0.0
    found: dict[int, Way] = {}
    found[root] = Way((0.0, -share * ring.deep / 2), angle).along(own.low)
    for i in range(root + 1, len(flats)):
        before, after = flats[i - 1], flats[i]
        way = found[i - 1].along(before.high - before.low)
        angle = way.angle + share * after.turn
        if ring.faces[i - 1] is not ring.faces[i]:
            if before.part.piece != after.part.piece:
                way = way.along(gap)
            if two:
                angle = swing * math.pi + (1.0 - 2.0 * swing) * way.angle
        found[i] = Way(way.start, angle)
    for i in range(root - 1, -1, -1):
        after = flats[i + 1]
        turned = found[i + 1]._replace(angle=found[i + 1].angle - share * after.turn)
        if flats[i].part.piece != after.part.piece:
            turned = turned.along(-gap)
        found[i] = turned.along(flats[i].low - flats[i].high)
    return [found[i] for i in range(len(flats))]


def standing(flat: Flat, way: Way) -> Frame:
    """Where the piece of a flat stands, upright with its base seam on the ground."""
    (x, y), a = way.start, way.angle
    across: Spatial = (math.cos(a), math.sin(a), 0.0)
    at, level = flat.part.frame.at((0.0, flat.low))
    return Frame((x - at * across[0], y - at * across[1], -level), across, _UP)


_UP: Spatial = (0.0, 0.0, 1.0)


def base_frame(ring: WallRing, middle: float, share: float, gap: float) -> Frame:
    """The base, which hangs on the front and turns up to the ring; `middle`: x of its piece."""
    angle = share * math.pi / 2
    up: Spatial = (0.0, -math.sin(angle), math.cos(angle))
    front = ring.deep / 2
    y, z = -share * front - front * up[1], -gap - front * up[2]
    return Frame((-middle, y, z), (1.0, 0.0, 0.0), up)


def over_the_top(ring: WallRing, middle: float, share: float, gap: float) -> tuple[Frame, Frame]:
    """The back as it swings over the zip that joins it to the front; and the zip's far half.

    `middle` is that of the wall's piece.
    """
    closing = ring.closing
    if closing is None:
        raise ValueError("nothing joins the back to the front at the top")
    angle, half = share * math.pi, closing.width / 2
    line = -closing.frame.origin[1]
    height = ring.tops[Face.FRONT] + half + gap
    # What the front is cut shorter, the back slides up by.
    shift = share * (ring.tops[Face.BACK] - ring.tops[Face.FRONT])
    up: Spatial = (0.0, math.sin(angle), math.cos(angle))

    def hung(below: float) -> tuple[float, float]:
        return below * up[1], height + below * up[2] + shift

    y, z = hung(half + ring.tops[Face.BACK] + gap)
    back = Frame((middle, y, z), (-1.0, 0.0, 0.0), (0.0, -up[1], -up[2]))
    y, z = hung(-line - half)
    return back, Frame((-middle, y, z), (1.0, 0.0, 0.0), up)


def why_flat(body: SeparateBase, draft: Draft) -> Sentence | None:
    """Why the pieces can only be shown flat; None when the walls go round the base."""
    for piece in draft.walls:
        if not draft.outlines[piece.id].sound:
            return say(_UNSOUND, terms={"piece": piece.label})
    sizes = base_sizes(body, draft)
    deep, radius, over = (
        sizes[name] or 0.0 for name in ("gusset_depth", "corner_radius", "base_mismatch")
    )
    missing = over / 2 + deep - 2 * radius if shorter(radius, deep / 2) else over
    if shorter(missing, 0.0):
        return Sentence(_TOO_SHORT, {"value": -over})
    return None


_UNSOUND = mark("The {piece} is shown flat only: its stitch lines cross one another.")
_TOO_SHORT = mark(
    "The pieces are shown flat only: the walls are {value} too short to go round the base."
)


def bag_moments(at: float) -> tuple[float, float]:
    """How far both halves of the folding have come, 0 to 1 each."""
    return ease(2 * at), ease(2 * at - 1)
