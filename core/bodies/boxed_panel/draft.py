"""Drawing the panel: the edges of its one piece, or of its two faces."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

from core.base.sentences import Template, mark, say
from core.bodies.boxed_panel.sizes import Tips, wall_of
from core.flat.geometry import Frame2
from core.flat.piece import (
    CutFrom,
    Dimension,
    Edge,
    Fold,
    GrainTurn,
    Mark,
    MarkStyle,
    Out,
    Piece,
    Point,
    Upright,
    overall,
)
from core.flat.roles import (
    FACES,
    SIDES,
    EdgeId,
    EdgeRef,
    EdgeRole,
    Face,
    FoldRole,
    MarkRole,
    SeamId,
    SeamRole,
    Side,
)
from core.flat.seam import Seam
from core.site.site import Below, Mouth, Run, Seat

if TYPE_CHECKING:
    from core.bodies.boxed_panel.panel import BoxedPanel

_IDS = {
    (role, face, side): EdgeId(role, face, side)
    for role in (EdgeRole.SIDE, EdgeRole.CORNER, EdgeRole.CORNER_END)
    for face in FACES
    for side in SIDES
}
_TOPS = {face: EdgeId(EdgeRole.TOP, face) for face in FACES}
_BOTTOMS = {face: EdgeId(EdgeRole.BOTTOM, face) for face in FACES}
_ACROSS = {side: EdgeId(EdgeRole.CORNER_END, side=side) for side in SIDES}
"""Ends of corner cuts that run on across the bottom fold."""

_LABELS = {
    (EdgeRole.SIDE, Face.FRONT): mark("side front"),
    (EdgeRole.SIDE, Face.BACK): mark("side back"),
    (EdgeRole.TOP, Face.FRONT): mark("top front"),
    (EdgeRole.TOP, Face.BACK): mark("top back"),
    (EdgeRole.CORNER, Face.FRONT): mark("corner front"),
    (EdgeRole.CORNER, Face.BACK): mark("corner back"),
    (EdgeRole.CORNER_END, Face.FRONT): mark("corner end front"),
    (EdgeRole.CORNER_END, Face.BACK): mark("corner end back"),
    (EdgeRole.CORNER_END, None): mark("corner end"),
    (EdgeRole.BOTTOM, Face.FRONT): mark("bottom front"),
    (EdgeRole.BOTTOM, Face.BACK): mark("bottom back"),
}
_CORNER_LABELS = {Side.LEFT: mark("corner seam left"), Side.RIGHT: mark("corner seam right")}
_FACE_LABELS = {None: mark("panel"), Face.FRONT: mark("front"), Face.BACK: mark("back")}


def draft_panel(panel: "BoxedPanel", marks: Mapping[Face, tuple[Mark, ...]]) -> tuple[Piece, ...]:
    """One panel, or a front and a back, with the marks that belong on each face."""
    if panel.folded:
        front, back = (_face_edges(panel, face) for face in FACES)
        edges = _joined_at_the_fold(front, back) if panel.has_corners else front + back
        every = marks[Face.FRONT] + marks[Face.BACK]
        folds = (_FOLDS[panel.has_corners],)
        return (_panel_piece(panel, Face.FRONT, edges, folds, every),)
    return tuple(
        _panel_piece(
            panel,
            face,
            (*_face_edges(panel, face), _bottom_edge(panel, face)),
            (),
            marks[face],
            grain=(0.0, 1.0 if face is Face.FRONT else -1.0),
        )
        for face in FACES
    )


def _fold(start_edge: EdgeId, end_edge: EdgeId) -> Fold:
    return Fold(FoldRole.BOTTOM, start_edge, end_edge, y=0.0, label=mark("bottom fold"))


_FOLDS = {
    True: _fold(*_ACROSS.values()),
    False: _fold(*(_IDS[EdgeRole.SIDE, Face.FRONT, side] for side in SIDES)),
}
"""Of a folded panel, with corners and without."""


def corner_seams(panel: "BoxedPanel") -> tuple[Seam, ...]:
    """The two boxed corners; none on a plain pillow."""
    if not panel.has_corners:
        return ()
    return _corner_seams(panel.folded, panel.tips is Tips.TRIMMED)


@cache
def _corner_seams(folded: bool, neatened: bool) -> tuple[Seam, ...]:
    return tuple(
        Seam(
            id=SeamId("body", SeamRole.CORNER, side=side),
            label=_CORNER_LABELS[side],
            one=tuple(_ref(folded, _IDS[EdgeRole.CORNER, face, side]) for face in FACES),
            other=_corner_ends(folded, side),
            backwards=side is Side.LEFT,
            neatened=neatened,
        )
        for side in SIDES
    )


def _corner_ends(folded: bool, side: Side) -> tuple[EdgeRef, ...]:
    if folded:
        return (_ref(folded, _ACROSS[side]),)
    return tuple(_ref(folded, _IDS[EdgeRole.CORNER_END, face, side]) for face in FACES)


def _ref(folded: bool, edge: EdgeId) -> EdgeRef:
    return EdgeRef(wall_of(edge.face or Face.FRONT, folded=folded), edge)


def panel_dimensions(panel: "BoxedPanel", piece: Piece) -> tuple[Dimension, ...]:
    """Width below; back, front and trim on the left, and the length that they make; a corner."""
    width, length, trim = panel.FIGURES[:3]
    if not piece.folds:
        sizes = overall(piece, across=width)
    else:
        left, bottom, right, top = piece.bounds
        fold, untrimmed = piece.folds[0].y, top + panel.front_trim
        sizes = (
            Dimension(width.label, (left, bottom), (right, bottom), Out.BELOW),
            Dimension(length.label, (left, bottom), (left, untrimmed), Out.LEFT, row=1),
            Dimension(trim.label, (left, top), (left, untrimmed), Out.LEFT),
            Dimension(mark("Back"), (left, bottom), (left, fold), Out.LEFT),
            Dimension(mark("Front"), (left, fold), (left, top), Out.LEFT),
        )
    return (*sizes, *_corner_dimensions(panel, piece))


def _corner_dimensions(panel: "BoxedPanel", piece: Piece) -> tuple[Dimension, ...]:
    """Width inside the corner that is cut away, depth beside it, at one right corner."""
    wide, deep, mark = panel.FIGURES[3:6]
    wanted = [_IDS[EdgeRole.CORNER, face, Side.RIGHT] for face in FACES]
    edges = (edge for each in wanted for edge in piece.edges if edge.id == each)
    edge = next(edges, None)
    if edge is None:
        return ()
    if panel.sewn_across:
        far, up = panel.width, panel.corner_mark if edge.start[1] > 0.0 else -panel.corner_mark
        return (Dimension(mark.label, (far, 0.0), (far, up), Out.RIGHT),)
    (inner, y), (outer, _) = sorted((edge.start, edge.end))
    _, bottom, _, top = piece.bounds
    nearer = bottom if abs(y - bottom) < abs(y - top) else top
    level = piece.folds[0].y if piece.folds else nearer
    inside = Out.BELOW if level < y else Out.ABOVE
    return (
        Dimension(wide.label, (inner, y), (outer, y), inside),
        Dimension(deep.label, (outer, level), (outer, y), Out.RIGHT),
    )


def _face_edges(panel: "BoxedPanel", face: Face) -> tuple[Edge, ...]:
    """Edges of one face, counter-clockwise, from one end of the bottom to the other.

    All is drawn as on the front, and the back turned about the bottom line: half a turn about
    the middle of that line keeps the outline counter-clockwise but swaps the hands: what is
    drawn at the left comes to lie at the right.
    """
    w, low, top = panel.width, -panel.bottom_seam, panel.top(face)
    s1, s2, s3 = panel.side_seam, panel.corner_allowance, panel.top_seam
    ids, labels, headings = _AROUND[face]
    corners: tuple[Point, ...]
    if panel.has_corners:
        a, b = panel.cut_width, panel.cut_depth - panel.bottom_seam
        allowances: tuple[float, ...] = (s2, s2, s1, s3, s1, s2, s2)
        walls = ((w, b), (w, top), (0.0, top), (0.0, b))
        corners = ((w - a, low), (w - a, b), *walls, (a, b), (a, low))
    else:
        allowances = (s1, s3, s1)
        ids, labels, headings = ids[_WALLS], labels[_WALLS], headings[_WALLS]
        corners = ((w, low), (w, top), (0.0, top), (0.0, low))
    if face is Face.BACK:
        corners = tuple([(w - x, -y) for x, y in corners])
    return tuple(map(Edge, ids, corners, corners[1:], allowances, headings, labels))


_UP, _DOWN, _LEFT, _RIGHT = (0.0, 1.0), (0.0, -1.0), (-1.0, 0.0), (1.0, 0.0)
_WALLS = slice(2, 5)
"""Of the edges of a face, those that are there without corners too."""


def _around(
    face: Face,
) -> tuple[tuple[EdgeId, ...], tuple[Template, ...], tuple[Point, ...]]:
    """The edges of a face with corners in order: ids, labels and headings."""
    first, last = (Side.RIGHT, Side.LEFT) if face is Face.FRONT else (Side.LEFT, Side.RIGHT)
    side, corner, end = EdgeRole.SIDE, EdgeRole.CORNER, EdgeRole.CORNER_END
    ids = (
        *(_IDS[role, face, first] for role in (end, corner, side)),
        _TOPS[face],
        *(_IDS[role, face, last] for role in (side, corner, end)),
    )
    headings: tuple[Point, ...] = (_UP, _RIGHT, _UP, _LEFT, _DOWN, _RIGHT, _DOWN)
    if face is Face.BACK:
        headings = tuple((-x, -y) for x, y in headings)
    return ids, tuple(_LABELS[edge.role, edge.face] for edge in ids), headings


_AROUND = {face: _around(face) for face in FACES}


def _bottom_edge(panel: "BoxedPanel", face: Face) -> Edge:
    a, low, w = panel.cut_width, -panel.bottom_seam, panel.width
    ends, heading = ((a, low), (w - a, low)), _RIGHT
    if face is Face.BACK:
        (x0, y0), (x1, y1) = ends
        ends, heading = ((w - x0, -y0), (w - x1, -y1)), (-1.0, -0.0)
    label = _LABELS[EdgeRole.BOTTOM, face]
    return Edge(_BOTTOMS[face], *ends, panel.bottom_seam, heading, label)


def _joined_at_the_fold(front: tuple[Edge, ...], back: tuple[Edge, ...]) -> tuple[Edge, ...]:
    """On a folded bottom the two halves of a corner end are one edge across the fold."""
    right = _joined(_ACROSS[Side.RIGHT], back[-1], front[0])
    left = _joined(_ACROSS[Side.LEFT], front[-1], back[0])
    return (right, *front[1:-1], left, *back[1:-1])


def _joined(edge: EdgeId, first: Edge, last: Edge) -> Edge:
    label = _LABELS[edge.role, edge.face]
    return Edge(edge, first.start, last.end, first.allowance, first.heading, label)


_CUT_OUT = (say("Cut out the corners through all layers."),)
_LEFT_ON = (say("Leave the corners on: they are sewn across."),)


def _panel_piece(
    panel: "BoxedPanel",
    face: Face,
    edges: tuple[Edge, ...],
    folds: tuple[Fold, ...],
    marks: tuple[Mark, ...],
    *,
    grain: Point = (0.0, 1.0),
) -> Piece:
    piece = panel.wall(face)
    across = panel.sewn_across and panel.has_corners
    notes = _CUT_OUT if folds else ()
    drawn = Piece(
        id=piece,
        label=_FACE_LABELS[piece.face],
        edges=edges,
        folds=folds,
        marks=marks,
        cut_from=CutFrom.EVERY_LAYER,
        turn=GrainTurn.QUARTER,
        upright=Upright.FRONT if folds else Upright.WHOLE,
        sized_by=("panel_width", "panel_length"),
        grain=grain,
        notes=_LEFT_ON if across else notes,
    )
    if not across:
        return drawn
    left, bottom, right, top = drawn.bounds
    return replace(
        drawn,
        rough=((left, bottom), (right, bottom), (right, top), (left, top)),
        trimmed=panel.tips is Tips.TRIMMED,
        marks=(*marks, *_tip_stitching(panel, piece.face)),
    )


def _tip_stitching(panel: "BoxedPanel", face: Face | None) -> Iterator[Mark]:
    """The side seams, and a bottom seam, where they run on through tips; None: of a folded panel.

    Those of a bottom seam are of neither side.
    """
    seam, far = panel.side_seam, panel.corner_mark
    up, down = (-far if face is Face.BACK else far), 0.0 if face else -far
    for side, x, inner in (
        (Side.LEFT, seam, seam + far),
        (Side.RIGHT, panel.width - seam, panel.width - seam - far),
    ):
        lines: list[tuple[Template, Side | None, Point, Point]] = []
        if seam > 0.0:
            lines.append((_SIDE_SEAM, side, (x, up), (x, down)))
        if face is not None:
            lines.append((_BOTTOM_SEAM, None, (x, 0.0), (inner, 0.0)))
        for label, where, start, end in lines:
            yield Mark(
                role=MarkRole.STITCH,
                owner="body",
                points=(start, end),
                style=MarkStyle.STITCHING,
                face=face,
                side=where,
                label=label,
            )


_SIDE_SEAM, _BOTTOM_SEAM = mark("side seam"), mark("bottom seam")


def panel_seats(panel: "BoxedPanel") -> Mapping[Face, Seat]:
    """Where parts may sit on front and back: above the corners, or the bottom."""
    low = cut_low = wide = 0.0
    below = Below.FOLD if panel.folded else Below.SEAM
    if panel.has_corners:
        below = Below.TIP if panel.sewn_across else Below.CORNER
        cut_low, wide = panel.cut_depth - panel.bottom_seam, panel.cut_width
        low = cut_low + panel.corner_allowance
        if panel.tips is Tips.LEFT_IN:  # nothing is cut off, but all beyond the seam is tip
            cut_low, wide = low, wide + panel.corner_allowance
    half = panel.width / 2
    return {
        face: Seat(
            face=face,
            piece=panel.wall(face),
            frame=Frame2((half, 0.0), up=(0.0, 1.0 if face is Face.FRONT else -1.0)),
            width=panel.width,
            top=panel.top(face),
            side_allowance=panel.side_seam,
            top_allowance=panel.top_seam,
            low=low,
            cut_low=cut_low,
            low_width=panel.width - 2 * wide,
            below=below,
            under=other if panel.folded else None,
            width_figure="panel_width",
        )
        for face, other in zip(FACES, reversed(FACES), strict=True)
    }


def panel_mouth(panel: "BoxedPanel") -> Mouth:
    """The top edges of front and back; a front trim lowers the front's."""
    runs, sides = _mouth_edges(panel.folded)
    return Mouth(
        runs=tuple([Run(face, edge, panel.top_seam, panel.width) for face, edge in runs]),
        sides=sides,
        trim=panel.front_trim,
        length=panel.length,
        trim_figure="front_trim",
        length_figure=panel.FIGURES[1],
        length_rate=2.0,
        allowance_figure="zip_seam",
    )


@cache
def _mouth_edges(
    folded: bool,
) -> tuple[tuple[tuple[Face, EdgeRef], ...], Mapping[Side, tuple[EdgeRef, EdgeRef]]]:
    """The top edge of each face, and the edges that each side seam joins, the front's first."""
    sides = {
        side: (
            _ref(folded, _IDS[EdgeRole.SIDE, Face.FRONT, side]),
            _ref(folded, _IDS[EdgeRole.SIDE, Face.BACK, side]),
        )
        for side in SIDES
    }
    return tuple((face, _ref(folded, _TOPS[face])) for face in FACES), sides


@cache
def bottom_seams(folded: bool) -> tuple[Seam, ...]:
    """Of front and back; none where the bottom is a fold."""
    if folded:
        return ()
    one, other = (_ref(folded, _BOTTOMS[face]) for face in FACES)
    label = mark("bottom seam")
    return (Seam(id=SeamId("body", SeamRole.BOTTOM), label=label, one=(one,), other=(other,)),)
