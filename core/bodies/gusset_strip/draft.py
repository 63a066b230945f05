"""Drawing two panels and the strip that is sewn round them. Lengths are mm.

Frames: of a panel x from the left cut edge, y up from the bottom stitch line, both panels as seen
from outside. Of every piece of the strip x from its left cut edge, y along it from the middle of
the whole strip on.
"""

import math
from collections.abc import Iterator, Mapping
from functools import cache
from typing import TYPE_CHECKING

from core.base.sentences import Template, mark
from core.bodies.gusset_strip.sizes import GUSSET, Faces
from core.bodies.rounded import CORNER_ROUNDING
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
    overall,
    rectangle,
    turned,
)
from core.flat.roles import (
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
from core.site.site import ring_seam

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody

RIGHT_ANGLE = math.pi / 2
_HEADINGS = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))


@cache
def panel_piece(face: Face) -> PieceId:
    """The panel that makes a face."""
    return PieceId("body", PieceRole.WALL, face)


@cache
def strip_piece(number: int) -> PieceId:
    """A piece of the strip, counted from its lower end, from 0."""
    return PieceId("body", PieceRole.WALL, None, number)


@cache
def panel_edge(
    faces: Faces, face: Face, role: EdgeRole, side: Side | None = None, *, upper: bool = False
) -> EdgeRef:
    """An edge of a panel: BOTTOM, TOP, or at one side of it SIDE, or ROUND, a lower or upper arc.

    Its id has the side only where that is one of the bag's; else it is told by its number.
    """
    number = 2 if upper else 0
    if side is not None and faces is not GUSSET:
        number, side = number + SIDES.index(side), None
    return EdgeRef(panel_piece(face), EdgeId(role, face, side, number))


@cache
def strip_edge(faces: Faces, number: int, face: Face) -> EdgeRef:
    """The long edge of a piece of the strip that is sewn to the panel of that face."""
    return EdgeRef(strip_piece(number), EdgeId(EdgeRole.SIDE, face))


@cache
def strip_end(faces: Faces, pieces: int, number: int, side: Side) -> EdgeRef:
    """The end of a piece of the strip: a join, or, of a TOP role, the strip's own end."""
    last = number == (0 if side is Side.LEFT else pieces - 1)
    edge = EdgeId(EdgeRole.TOP, faces.leg(side)) if last else EdgeId(EdgeRole.END, side=side)
    return EdgeRef(strip_piece(number), edge)


def draft_pieces(body: "StripBody", marks: Mapping[Face, tuple[Mark, ...]]) -> tuple[Piece, ...]:
    """The two panels, then the pieces of the strip, with the marks that belong on each face."""
    on: dict[PieceId, tuple[Mark, ...]] = {}
    for face, seat in body.seats().items():
        on[seat.piece] = on.get(seat.piece, ()) + tuple(marks.get(face, ()))
    return (
        *(_panel(body, face, on) for face in body.MAKES.panels),
        *(_strip(body, number, on) for number in range(body.strip_pieces)),
    )


_Marks = Mapping[PieceId, tuple[Mark, ...]]


def _panel(body: "StripBody", face: Face, marks: _Marks) -> Piece:
    piece = panel_piece(face)
    return Piece(
        id=piece,
        label=_PANELS[face],
        edges=tuple(_panel_edges(body, face)),
        marks=marks.get(piece, ()),
        cut_from=CutFrom.EVERY_LAYER,
        turn=GrainTurn.QUARTER,
        upright=Upright.WHOLE,
        sized_by=("face_cut_width", "face_cut_height"),
    )


def _panel_edges(body: "StripBody", face: Face) -> Iterator[Edge]:
    """Counter-clockwise from the bottom; an arc has its neighbours' allowance."""
    wide, seam = body.face_cut_width, body.gusset_seam
    low, top = -seam, body.face_cut_height - seam
    corners = ((0.0, low), (wide, low), (wide, top), (0.0, top))
    lower, upper = body.corner_rounding, body.upper_rounding
    radii = (lower, lower, upper, upper)
    allowances = (seam, seam, body.panel_top_allowance, seam)
    for at, (straight, label, arc, arc_label) in enumerate(_around(body.MAKES, face)):
        heading, after, corner = _HEADINGS[at], _HEADINGS[(at + 1) % 4], corners[(at + 1) % 4]
        radius = radii[(at + 1) % 4]
        start, end = _moved(corners[at], heading, radii[at]), _moved(corner, heading, -radius)
        yield Edge(straight, start, end, allowances[at], heading, label)
        if radius > 0.0:
            way = turned(heading, RIGHT_ANGLE / 2)
            yield Edge(arc, end, _moved(corner, after, radius), seam, way, arc_label, RIGHT_ANGLE)


def _moved(point: Point, way: Point, far: float) -> Point:
    return point[0] + far * way[0], point[1] + far * way[1]


@cache
def _around(faces: Faces, face: Face) -> tuple[tuple[EdgeId, Template, EdgeId, Template], ...]:
    """Each straight edge of a panel from the bottom on, and the arc that may follow it."""
    right, left = (faces.side(face, right=each) for each in (True, False))
    found: list[tuple[EdgeId, Template, EdgeId, Template]] = []
    for role, side, turn, upper in (
        (EdgeRole.BOTTOM, None, right, False),
        (EdgeRole.SIDE, right, right, True),
        (EdgeRole.TOP, None, left, True),
        (EdgeRole.SIDE, left, left, False),
    ):
        straight = panel_edge(faces, face, role, side).edge
        arc = panel_edge(faces, face, EdgeRole.ROUND, turn, upper=upper).edge
        at = None if faces is GUSSET or side is None else faces.leg(side)
        bend = None if faces is GUSSET else faces.leg(turn)
        label, arc_label = _EDGES[role, face, at], _ROUNDS[face, bend, upper]
        found.append((straight, label, arc, arc_label))
    return tuple(found)


def _strip(body: "StripBody", number: int, marks: _Marks) -> Piece:
    faces, pieces, piece = body.MAKES, body.strip_pieces, strip_piece(number)
    low, high = body.strip_ends(number)
    seam, below, above = body.gusset_seam, *body.end_allowances(number)
    first, last = faces.panels
    names = [
        (strip_end(faces, pieces, number, Side.LEFT), _END),
        (strip_edge(faces, number, last), _LONG[last]),
        (strip_end(faces, pieces, number, Side.RIGHT), _END),
        (strip_edge(faces, number, first), _LONG[first]),
    ]
    runs_down = 2 * number + 1 < pieces
    return Piece(
        id=piece,
        label=_STRIPS[faces.legs][pieces - 1][number],
        edges=rectangle(
            tuple((ref.edge, label) for ref, label in names),
            (body.strip_width, high + above - (low - below)),
            corner=(0.0, low - below),
            allowances=(below, seam, above, seam),
        ),
        marks=marks.get(piece, ()),
        cut_from=CutFrom.EVERY_LAYER,
        turn=GrainTurn.QUARTER,
        upright=Upright.FRONT if 2 * number + 1 == pieces else Upright.WHOLE,
        sized_by=("strip_width", "strip_length"),
        grain=(0.0, -1.0 if runs_down else 1.0),
    )


Chains = tuple[tuple[EdgeRef, ...], tuple[EdgeRef, ...]]


@cache
def ring_chains(faces: Faces, pieces: int, face: Face, *, lower: bool, upper: bool) -> Chains:
    """What is sewn together round one panel: its own edges, and the strip's; the top left out.

    `lower`, `upper`: whether it has arcs there.
    """
    right, left = (faces.side(face, right=each) for each in (True, False))

    def at(side: Side, role: EdgeRole, *, high: bool = False) -> EdgeRef:
        return panel_edge(faces, face, role, side, upper=high)

    arcs = EdgeRole.ROUND
    panel = (
        *((at(left, arcs, high=True),) if upper else ()),
        at(left, EdgeRole.SIDE),
        *((at(left, arcs),) if lower else ()),
        panel_edge(faces, face, EdgeRole.BOTTOM),
        *((at(right, arcs),) if lower else ()),
        at(right, EdgeRole.SIDE),
        *((at(right, arcs, high=True),) if upper else ()),
    )
    strips = tuple(strip_edge(faces, number, face) for number in range(pieces))
    return panel, strips if face is faces.panels[0] else strips[::-1]


@cache
def ring_seams(faces: Faces, pieces: int, *, rounded: bool) -> tuple[Seam, ...]:
    """Of an open ring: the strip to either panel, from top edge to top edge."""
    return tuple(
        [
            ring_seam(
                face,
                *ring_chains(faces, pieces, face, lower=rounded, upper=False),
                closed=False,
            )
            for face in faces.panels
        ]
    )


@cache
def join_seams(faces: Faces, pieces: int) -> tuple[Seam, ...]:
    """Of the pieces of the strip; none where it is one."""
    found: list[Seam] = []
    for number in range(pieces - 1):
        one = strip_end(faces, pieces, number, Side.RIGHT)
        other = strip_end(faces, pieces, number + 1, Side.LEFT)
        middle = 2 * number + 2 - pieces
        side = None if middle == 0 else Side.LEFT if middle < 0 else Side.RIGHT
        label = _JOIN if side is None else _JOINS[faces.leg(side)]
        seam = SeamId("body", SeamRole.STRIP, side=side)
        found.append(Seam(id=seam, label=label, one=(one,), other=(other,)))
    return tuple(found)


def body_dimensions(body: "StripBody", piece: Piece) -> tuple[Dimension, ...]:
    """Width and height, and of a panel how far its lower right corner is rounded."""
    if piece.id.face is None:
        width, length = (body.FIGURES[at] for at in (4, 5))
        return overall(piece, across=width, along=length if body.strip_pieces == 1 else None)
    width, height = body.FIGURES[:2]
    sizes = overall(piece, across=width, along=height)
    _, low, right, top = piece.bounds
    corners = (
        (CORNER_ROUNDING.label, body.corner_rounding, low, Out.BELOW),
        (body.FIGURES[3].label, body.upper_rounding, top, Out.ABOVE),
    )
    rounded = (
        Dimension(label, (right - radius, y), (right, y), out)
        for label, radius, y, out in corners
        if radius > 0.0
    )
    return (*sizes, *rounded)


_PANELS = {
    Face.FRONT: mark("front"),
    Face.BACK: mark("back"),
    Face.LEFT: mark("left end panel"),
    Face.RIGHT: mark("right end panel"),
}
_EDGES: Mapping[tuple[EdgeRole, Face, Face | None], Template] = {
    (EdgeRole.BOTTOM, Face.FRONT, None): mark("bottom front"),
    (EdgeRole.BOTTOM, Face.BACK, None): mark("bottom back"),
    (EdgeRole.BOTTOM, Face.LEFT, None): mark("bottom of the left end panel"),
    (EdgeRole.BOTTOM, Face.RIGHT, None): mark("bottom of the right end panel"),
    (EdgeRole.TOP, Face.FRONT, None): mark("top front"),
    (EdgeRole.TOP, Face.BACK, None): mark("top back"),
    (EdgeRole.TOP, Face.LEFT, None): mark("top of the left end panel"),
    (EdgeRole.TOP, Face.RIGHT, None): mark("top of the right end panel"),
    (EdgeRole.SIDE, Face.FRONT, None): mark("side front"),
    (EdgeRole.SIDE, Face.BACK, None): mark("side back"),
    (EdgeRole.SIDE, Face.LEFT, Face.FRONT): mark("front edge of the left end panel"),
    (EdgeRole.SIDE, Face.LEFT, Face.BACK): mark("back edge of the left end panel"),
    (EdgeRole.SIDE, Face.RIGHT, Face.FRONT): mark("front edge of the right end panel"),
    (EdgeRole.SIDE, Face.RIGHT, Face.BACK): mark("back edge of the right end panel"),
}
_ROUNDS: Mapping[tuple[Face, Face | None, bool], Template] = {
    (Face.FRONT, None, False): mark("lower corner front"),
    (Face.FRONT, None, True): mark("upper corner front"),
    (Face.BACK, None, False): mark("lower corner back"),
    (Face.BACK, None, True): mark("upper corner back"),
    (Face.LEFT, Face.FRONT, False): mark("lower front corner of the left end panel"),
    (Face.LEFT, Face.FRONT, True): mark("upper front corner of the left end panel"),
    (Face.LEFT, Face.BACK, False): mark("lower back corner of the left end panel"),
    (Face.LEFT, Face.BACK, True): mark("upper back corner of the left end panel"),
    (Face.RIGHT, Face.FRONT, False): mark("lower front corner of the right end panel"),
    (Face.RIGHT, Face.FRONT, True): mark("upper front corner of the right end panel"),
    (Face.RIGHT, Face.BACK, False): mark("lower back corner of the right end panel"),
    (Face.RIGHT, Face.BACK, True): mark("upper back corner of the right end panel"),
}
_END = mark("end of the strip")
_LONG = {
    Face.FRONT: mark("edge of the strip at the front"),
    Face.BACK: mark("edge of the strip at the back"),
    Face.LEFT: mark("edge of the strip at the left end panel"),
    Face.RIGHT: mark("edge of the strip at the right end panel"),
}
_STRIPS: Mapping[tuple[Face, Face], tuple[tuple[Template, ...], ...]] = {
    (Face.LEFT, Face.RIGHT): (
        (mark("gusset strip"),),
        (mark("gusset strip left"), mark("gusset strip right")),
        (mark("gusset strip left"), mark("gusset strip bottom"), mark("gusset strip right")),
        (
            mark("gusset strip left"),
            mark("gusset strip lower left"),
            mark("gusset strip lower right"),
            mark("gusset strip right"),
        ),
    ),
    (Face.BACK, Face.FRONT): (
        (mark("wrap"),),
        (mark("wrap back"), mark("wrap front")),
        (mark("wrap back"), mark("wrap bottom"), mark("wrap front")),
        (
            mark("wrap back"),
            mark("wrap lower back"),
            mark("wrap lower front"),
            mark("wrap front"),
        ),
    ),
}
_JOIN = mark("join of the strip")
_JOINS = {
    Face.LEFT: mark("join of the strip left"),
    Face.RIGHT: mark("join of the strip right"),
    Face.FRONT: mark("join of the strip front"),
    Face.BACK: mark("join of the strip back"),
}
