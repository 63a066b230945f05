"""Drawing the separate base: the base, and the ring of walls sewn round it.

The base is drawn from its right side, from below, with the front's edge at the top: x from its
left cut edge, y from its middle towards the front. Walls are drawn upright: x from the left cut
edge, y up from the stitch line of the base seam.
"""

import math
from collections.abc import Iterator, Mapping
from functools import cache
from typing import TYPE_CHECKING

from core.base.sentences import Template, mark
from core.base.tolerance import same_length
from core.bodies.rounded import CORNER_ROUNDING
from core.bodies.separate_base.sizes import (
    BASE_DEPTH,
    BASE_WIDTH,
    BODY_HEIGHT,
    BODY_WIDTH,
    END_WIDTH,
)
from core.flat.geometry import Frame2
from core.flat.piece import (
    CutFrom,
    Dimension,
    Edge,
    GrainTurn,
    Mark,
    Out,
    Piece,
    Point,
    Upright,
    edge_between,
    overall,
    rectangle,
)
from core.flat.roles import (
    FACES,
    SIDES,
    EdgeId,
    EdgeRef,
    EdgeRole,
    Face,
    PieceId,
    PieceRole,
    SeamId,
    SeamRole,
    Side,
)
from core.flat.seam import Seam
from core.site.site import Below, Mouth, Run, Seat

if TYPE_CHECKING:
    from core.bodies.separate_base.body import SeparateBase

AROUND = (Face.FRONT, Face.RIGHT, Face.BACK, Face.LEFT)
"""The four sides of the base in the order in which the walls go round it."""
BASE = PieceId("body", PieceRole.WALL, Face.BASE)
_RING = PieceId("body", PieceRole.WALL)
_WALLS = {face: PieceId("body", PieceRole.WALL, face) for face in AROUND}
_TOPS = {face: EdgeId(EdgeRole.TOP, face) for face in AROUND}
_BOTTOMS = {face: EdgeId(EdgeRole.BOTTOM, face) for face in AROUND}
_LABELS = {
    BASE: mark("base"),
    _RING: mark("walls"),
    _WALLS[Face.FRONT]: mark("front"),
    _WALLS[Face.BACK]: mark("back"),
    _WALLS[Face.LEFT]: mark("left side"),
    _WALLS[Face.RIGHT]: mark("right side"),
}
_TOP_LABELS = {
    Face.FRONT: mark("top front"),
    Face.BACK: mark("top back"),
    Face.LEFT: mark("top of the left side"),
    Face.RIGHT: mark("top of the right side"),
}
_BOTTOM_LABELS = {
    Face.FRONT: mark("bottom front"),
    Face.BACK: mark("bottom back"),
    Face.LEFT: mark("bottom of the left side"),
    Face.RIGHT: mark("bottom of the right side"),
}
_BASE_LABELS = {
    Face.FRONT: mark("base front"),
    Face.BACK: mark("base back"),
    Face.LEFT: mark("base left"),
    Face.RIGHT: mark("base right"),
}
_SIDE_LABELS = {
    Face.FRONT: mark("side front"),
    Face.BACK: mark("side back"),
    Face.LEFT: mark("edge of the left side"),
    Face.RIGHT: mark("edge of the right side"),
}
_ROUND = mark("base corner")
_JOINS = {
    None: mark("side seam"),
    (Face.FRONT, Side.LEFT): mark("side seam front left"),
    (Face.FRONT, Side.RIGHT): mark("side seam front right"),
    (Face.BACK, Side.LEFT): mark("side seam back left"),
    (Face.BACK, Side.RIGHT): mark("side seam back right"),
}


def wall_of(body: "SeparateBase", face: Face) -> PieceId:
    """The piece that holds a face."""
    if face is Face.BASE:
        return BASE
    return _RING if body.body_pieces == 1 else _WALLS[face]


def base_pieces(body: "SeparateBase", marks: Mapping[Face, tuple[Mark, ...]]) -> tuple[Piece, ...]:
    """The walls, the front first, and the base, with the marks of each face on them."""
    walls = _one_wall(body, marks) if body.body_pieces == 1 else _walls(body, marks)
    return (*walls, _base(body, marks[Face.BASE]))


def _walls(body: "SeparateBase", marks: Mapping[Face, tuple[Mark, ...]]) -> tuple[Piece, ...]:
    found = []
    for face in body.ring_faces:
        first, last = _ends(face)
        ids = (_BOTTOMS[face], last, _TOPS[face], first)
        width = body.wall_width(face)
        edges = rectangle(
            tuple((each, _label(each)) for each in ids),
            (width, body.top(face) + body.base_seam),
            corner=(0.0, -body.base_seam),
            allowances=(body.base_seam, body.side_seam, body.top_seam, body.side_seam),
        )
        sized = (END_WIDTH if face in _END_FACES else BODY_WIDTH).name, BODY_HEIGHT.name
        found.append(_piece(_WALLS[face], edges, marks[face], sized))
    return tuple(found)


def _one_wall(body: "SeparateBase", marks: Mapping[Face, tuple[Mark, ...]]) -> tuple[Piece, ...]:
    """Front and back in a row, which meet at the bag's right side."""
    low, top, far, half = (
        -body.base_seam,
        body.top(Face.FRONT),
        body.body_width,
        body.body_width / 2,
    )
    (first, _), (_, last) = _ends(Face.FRONT), _ends(Face.BACK)
    ids = (
        *(_BOTTOMS[face] for face in FACES),
        last,
        *(_TOPS[face] for face in reversed(FACES)),
        first,
    )
    s1, s3, s4 = body.side_seam, body.top_seam, body.base_seam
    corners = ((0.0, low), (half, low), (far, low), (far, top), (half, top), (0.0, top))
    edges = tuple(
        Edge(edge, start, end, allowance, heading, _label(edge))
        for edge, start, end, allowance, heading in zip(
            ids,
            corners,
            (*corners[1:], corners[0]),
            (s4, s4, s1, s3, s3, s1),
            (_RIGHT, _RIGHT, _UP, _LEFT, _LEFT, _DOWN),
            strict=True,
        )
    )
    both = marks[Face.FRONT] + marks[Face.BACK]
    return (_piece(_RING, edges, both, (BODY_WIDTH.name, BODY_HEIGHT.name)),)


_UP, _DOWN, _LEFT, _RIGHT = (0.0, 1.0), (0.0, -1.0), (-1.0, 0.0), (1.0, 0.0)
_END_FACES = (Face.LEFT, Face.RIGHT)


def _label(edge: EdgeId) -> Template:
    if edge.face is None:
        raise KeyError(edge)
    tables = {
        EdgeRole.TOP: _TOP_LABELS,
        EdgeRole.BOTTOM: _BOTTOM_LABELS,
        EdgeRole.SIDE: _SIDE_LABELS,
    }
    return tables[edge.role][edge.face]


@cache
def _ends(face: Face) -> tuple[EdgeId, EdgeId]:
    """The side edges of a wall as it is drawn from its right side: at the left, at the right.

    Those of the two ends are told by number, the front's first.
    """
    if face in FACES:
        sides = SIDES if face is Face.FRONT else SIDES[::-1]
        first, last = (EdgeId(EdgeRole.SIDE, face, side) for side in sides)
        return first, last
    front, back = (EdgeId(EdgeRole.SIDE, face, number=number) for number in (0, 1))
    return (front, back) if face is Face.RIGHT else (back, front)


def _piece(
    piece: PieceId,
    edges: tuple[Edge, ...],
    marks: tuple[Mark, ...],
    sized_by: tuple[str, str],
    upright: Upright = Upright.WHOLE,
) -> Piece:
    return Piece(
        id=piece,
        label=_LABELS[piece],
        edges=edges,
        marks=marks,
        cut_from=CutFrom.EVERY_LAYER,
        turn=GrainTurn.QUARTER,
        upright=upright,
        sized_by=sized_by,
    )


def _base(body: "SeparateBase", marks: tuple[Mark, ...]) -> Piece:
    edges = tuple(_base_edges(body))
    sized = BASE_WIDTH.name, BASE_DEPTH.name
    return _piece(BASE, edges, marks, sized, Upright.NOTHING)


def _base_edges(body: "SeparateBase") -> Iterator[Edge]:
    """Counter-clockwise; a side that the rounding takes up is left out.

    What is rounded from one straight edge to the next is one arc: a quarter of a circle, or half
    of one where no straight edge is left between two corners.
    """
    wide, high, radius = body.base_cut_width, body.base_cut_depth / 2, body.corner_rounding
    seam = body.base_seam
    in_x, in_y = min(radius, wide / 2), min(radius, high)
    sides: tuple[tuple[Face, Point, Point], ...] = (
        (Face.BACK, (in_x, -high), (wide - in_x, -high)),
        (Face.RIGHT, (wide, in_y - high), (wide, high - in_y)),
        (Face.FRONT, (wide - in_x, high), (in_x, high)),
        (Face.LEFT, (0.0, high - in_y), (0.0, in_y - high)),
    )
    kept = [place for place, (_, start, end) in enumerate(sides) if _is_apart(start, end)]
    if not kept:  # a circle
        (_, right, _), (_, left, _) = sides[1], sides[3]
        yield _arc(ROUNDS[Face.BACK], left, right, seam, 2)
        yield _arc(ROUNDS[Face.FRONT], right, left, seam, 2)
        return
    for place, following in zip(kept, (*kept[1:], kept[0] + 4), strict=True):
        face, start, end = sides[place]
        label = _BASE_LABELS[face]
        yield edge_between(_BOTTOMS[face], start, end, allowance=seam, label=label)
        if radius:
            quarters = following - place
            after = sides[(place + 1) % 4][0]
            edge = ROUNDS[after] if quarters == 2 else _CORNER_ARCS[place]
            yield _arc(edge, end, sides[following % 4][1], seam, quarters)


def _is_apart(start: Point, end: Point) -> bool:
    """Whether that much is left of a side."""
    return not same_length(math.dist(start, end), 0.0)


def _arc(edge: EdgeId, start: Point, end: Point, seam: float, quarters: int) -> Edge:
    turn = quarters * math.pi / 2
    return edge_between(edge, start, end, allowance=seam, label=_ROUND, turn=turn)


_CORNER_ARCS = tuple(
    EdgeId(EdgeRole.ROUND, face, side)
    for face, side in (
        (Face.BACK, Side.RIGHT),
        (Face.FRONT, Side.RIGHT),
        (Face.FRONT, Side.LEFT),
        (Face.BACK, Side.LEFT),
    )
)
"""The arcs of the base at its corners, each after the side in the same place."""
ROUNDS = {face: EdgeId(EdgeRole.ROUND, face) for face in AROUND}
"""The arcs of the base that take up a whole side."""


def base_dimensions(body: "SeparateBase", piece: Piece) -> tuple[Dimension, ...]:
    """Width and height; of the base also how far its roundings reach."""
    if piece.id != BASE:
        figure = END_WIDTH if piece.id.face in _END_FACES else BODY_WIDTH
        trimmed = piece.id.face is Face.FRONT and body.front_trim > 0.0
        return overall(piece, across=figure, along=None if trimmed else BODY_HEIGHT)
    sizes = overall(piece, across=BASE_WIDTH, along=BASE_DEPTH)
    radius = body.corner_rounding
    if not radius:
        return sizes
    across, along = sizes
    _, low, right, _ = piece.bounds
    ends = (right - radius, low), (right, low)
    return across._replace(row=1), along, Dimension(CORNER_ROUNDING.label, *ends, Out.BELOW)


def base_seats(body: "SeparateBase") -> Mapping[Face, Seat]:
    """Where parts may sit: on each wall, and on the base, from its middle towards the front."""
    found = {}
    for face in body.ring_faces:
        own = face in FACES and body.body_pieces == 1
        # In one piece each of them reaches an allowance beyond its end, as if it were cut there.
        width = body.ring_length / 2 + 2 * body.side_seam if own else body.wall_width(face)
        middle = width / 2
        if own and face is Face.BACK:
            middle += body.ring_length / 2
        found[face] = Seat(
            face=face,
            piece=wall_of(body, face),
            frame=Frame2((middle, 0.0), (-1.0 if face is Face.BACK else 1.0, 0.0)),
            width=width,
            top=body.top(face),
            side_allowance=body.side_seam,
            top_allowance=body.top_seam,
            low=0.0,
            cut_low=0.0,
            low_width=width,
            below=Below.SEAM,
            under=None,
            flat_below=False,
            width_figure="" if own else "body_width" if face in FACES else "body_end_width",
            sides=None
            if own or face not in FACES
            else (_side(face, Side.LEFT), _side(face, Side.RIGHT)),
        )
    seam, high, radius = body.base_seam, body.base_cut_depth / 2, body.corner_rounding
    found[Face.BASE] = Seat(
        face=Face.BASE,
        piece=BASE,
        frame=Frame2((body.base_cut_width / 2, 0.0)),
        width=body.base_cut_width,
        top=high,
        side_allowance=seam,
        top_allowance=seam,
        low=seam - high,
        cut_low=radius - high,
        low_width=body.base_cut_width - 2 * radius,
        below=Below.ROUND if radius else Below.SEAM,
        under=None,
        flat_below=False,
    )
    return found


def base_mouth(body: "SeparateBase") -> Mouth:
    """The top edges of the walls; only two walls can be trimmed, and have side seams to end in."""
    two = body.body_pieces == 2
    faces = AROUND if body.body_pieces == 4 else FACES
    seats = base_seats(body)
    return Mouth(
        runs=tuple(
            Run(
                face,
                EdgeRef(wall_of(body, face), _TOPS[face]),
                body.top_seam,
                seats[face].width,
                body.side_seam,
            )
            for face in faces
        ),
        sides=_SIDES if two else {},
        trim=body.front_trim,
        length=body.body_height,
        trim_figure="front_trim" if two else "",
        length_figure=BODY_HEIGHT,
        length_rate=1.0,
        allowance_figure="zip_seam",
        rounded=body.corner_rounding > 0.0,
    )


def _side(face: Face, side: Side) -> EdgeRef:
    return EdgeRef(_WALLS[face], EdgeId(EdgeRole.SIDE, face, side))


_SIDES = {side: (_side(Face.FRONT, side), _side(Face.BACK, side)) for side in SIDES}


@cache
def ring_seams(pieces: int) -> tuple[Seam, ...]:
    """The seams that make a ring of the walls, from the bottom up; none of two: the top's are.

    Of one piece its ends, at the bag's left; of four each to the next.
    """
    if pieces == 1:
        left = (EdgeId(EdgeRole.SIDE, face, Side.LEFT) for face in FACES)
        one, other = (EdgeRef(_RING, edge) for edge in left)
        found = Seam(
            id=SeamId("body", SeamRole.STRIP),
            label=_JOINS[None],
            one=(one,),
            other=(other,),
            backwards=True,
            neatened=True,
        )
        return (found,)
    if pieces == 2:
        return ()
    return tuple(
        Seam(
            id=SeamId("body", SeamRole.STRIP, face, side),
            label=_JOINS[face, side],
            one=(_side(face, side),),
            other=(EdgeRef(_WALLS[end], EdgeId(EdgeRole.SIDE, end, number=FACES.index(face))),),
            backwards=(face is Face.FRONT) is (side is Side.LEFT),
            neatened=True,
        )
        for face in FACES
        for side, end in ((Side.LEFT, Face.LEFT), (Side.RIGHT, Face.RIGHT))
    )


def base_seams(body: "SeparateBase") -> tuple[Seam, ...]:
    """The walls round the base, both from the middle of the front to the right."""
    return _base_seams(body.body_pieces, tuple(edge.id for edge in _base_edges(body)))


@cache
def _base_seams(pieces: int, base: tuple[EdgeId, ...]) -> tuple[Seam, ...]:
    faces = AROUND if pieces == 4 else FACES
    ids = base[::-1]
    front = next(place for place, edge in enumerate(ids) if edge in _FIRST)
    return (
        Seam(
            id=SeamId("body", SeamRole.BASE),
            label=_BASE_SEAM,
            one=tuple(
                EdgeRef(_RING if pieces == 1 else _WALLS[face], _BOTTOMS[face]) for face in faces
            ),
            other=tuple(EdgeRef(BASE, edge) for edge in (*ids[front:], *ids[:front])),
            neatened=True,
            closed=True,
        ),
    )


_FIRST = (_BOTTOMS[Face.FRONT], ROUNDS[Face.FRONT])
_BASE_SEAM = mark("base seam")
