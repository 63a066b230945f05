"""Where parts may sit on panels and strip, and where a top is sewn on. Lengths are mm."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from core.bodies.gusset_strip.draft import (
    RIGHT_ANGLE,
    panel_edge,
    panel_piece,
    ring_chains,
    strip_edge,
    strip_end,
    strip_piece,
)
from core.bodies.gusset_strip.sizes import FACE_CUT_HEIGHT, GUSSET, STRIP_LENGTH
from core.flat.geometry import Frame2
from core.flat.roles import SIDES, EdgeRef, EdgeRole, Face, Side
from core.site.site import Below, Mouth, Ring, Run, Seat

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody


def body_seats(body: "StripBody") -> Mapping[Face, Seat]:
    """On the panels, on the legs of the strip, and on its bottom where one piece makes that."""
    found = {face: _on_panel(body, face) for face in body.MAKES.panels}
    found |= {body.MAKES.leg(side): _on_leg(body, side) for side in SIDES}
    base = _on_base(body)
    return found if base is None else found | {Face.BASE: base}


def _on_panel(body: "StripBody", face: Face) -> Seat:
    """Above the bottom seam, and between the rounded corners."""
    seam, wide, rounding = body.gusset_seam, body.face_cut_width, body.corner_rounding
    # The back, drawn from its right side too, has the bag's right at its left.
    right = -1.0 if face is Face.BACK else 1.0
    return Seat(
        face=face,
        piece=panel_piece(face),
        frame=Frame2((wide / 2, 0.0), (right, 0.0)),
        width=wide,
        top=body.face_cut_height - seam,
        side_allowance=seam,
        top_allowance=body.panel_top_allowance,
        low=0.0,
        cut_low=rounding - seam if rounding > 0.0 else 0.0,
        low_width=wide - 2 * rounding,
        below=Below.ROUND if rounding > 0.0 else Below.SEAM,
        under=None,
        flat_below=False,
        width_figure="face_cut_width",
        sides=_ends_of(body, face),
    )


def _ends_of(body: "StripBody", face: Face) -> tuple[EdgeRef, EdgeRef]:
    """A panel's straight edges at the bag's left and right; of an end as it is seen."""
    faces = body.MAKES
    edges = [
        panel_edge(faces, face, EdgeRole.SIDE, faces.side(face, right=right))
        for right in (False, True)
    ]
    left, right = edges[::-1] if face is Face.BACK else edges
    return left, right


def _on_leg(body: "StripBody", side: Side) -> Seat:
    """On what the strip makes at one end of its bottom.

    In a gusset strip its base line lies as far below the leg as its rounded corner is high: what
    is laid on stays above that. In a wrap it is the middle of the bottom, over which a strip of
    one piece runs on flat, and one that is joined there.
    """
    wide, pieces, face = body.strip_width, body.strip_pieces, body.MAKES.leg(side)
    end = Side.RIGHT if side is Side.RIGHT else Side.LEFT
    number = pieces - 1 if side is Side.RIGHT else 0
    up = 1.0 if side is Side.RIGHT else -1.0
    is_wrap = body.MAKES is not GUSSET
    half = body.strip_ends(pieces - 1)[1]
    join = body.strip_ends(number)[0 if side is Side.RIGHT else 1] * up
    bottom, radius = body.bottom_half, body.stitched_radius
    straight = bottom - radius + radius * RIGHT_ANGLE
    foot = 0.0 if is_wrap else straight - radius
    low = bottom if is_wrap else radius
    cut = max(join - foot, 0.0 if is_wrap else radius)
    whole = pieces <= 2
    right = -1.0 if end is Side.LEFT and not is_wrap else 1.0
    other = body.MAKES.leg(side.other) if is_wrap else Face.BASE
    return Seat(
        face=face,
        piece=strip_piece(number),
        frame=Frame2((wide / 2, up * foot), (right, 0.0), (0.0, up)),
        width=wide,
        top=half + body.end_allowance - foot,
        side_allowance=body.gusset_seam,
        top_allowance=body.end_allowance,
        low=max(low, cut),
        cut_low=cut,
        low_width=wide,
        below=Below.FOLD if pieces == 1 or (not is_wrap and join < foot) else Below.SEAM,
        under=other if pieces == 1 else None,
        flat_below=is_wrap and whole,
        width_figure="strip_width",
        sides=_beside_leg(body, number, face),
        above=body.above_legs,
    )


def _beside_leg(body: "StripBody", number: int, face: Face) -> tuple[EdgeRef, EdgeRef]:
    """The strip's long edges at the left and right of one of its legs."""
    faces = body.MAKES
    first, second = (strip_edge(faces, number, panel) for panel in faces.panels)
    return (second, first) if face is Face.LEFT and faces is GUSSET else (first, second)


def _on_base(body: "StripBody") -> Seat | None:
    """On the flat part of the bottom, the front up; None where it is joined of two pieces."""
    pieces, wide, seam = body.strip_pieces, body.strip_width, body.gusset_seam
    if pieces % 2 == 0:
        return None
    number = pieces // 2
    flat = min(body.bottom_half - body.stitched_radius, body.strip_ends(number)[1])
    is_wrap = body.MAKES is not GUSSET
    across, high = (wide, 2 * flat) if is_wrap else (2 * flat, wide)
    frame = Frame2((wide / 2, 0.0)) if is_wrap else Frame2((wide / 2, 0.0), (0.0, 1.0), (-1.0, 0.0))
    inset = 0.0 if is_wrap else seam
    return Seat(
        face=Face.BASE,
        piece=strip_piece(number),
        frame=frame,
        width=across,
        top=high / 2,
        side_allowance=seam if is_wrap else 0.0,
        top_allowance=inset,
        low=inset - high / 2,
        cut_low=-high / 2,
        low_width=across,
        below=Below.FOLD if is_wrap else Below.SEAM,
        under=Face.BACK if is_wrap else None,
        flat_below=is_wrap,
    )


def body_mouth(body: "StripBody") -> Mouth:
    """The top edges of panels and legs, front first; of a ring those of front and back alone."""
    faces, pieces = body.MAKES, body.strip_pieces
    edges: dict[Face, tuple[EdgeRef, float]] = {
        face: (panel_edge(faces, face, EdgeRole.TOP), body.face_cut_width) for face in faces.panels
    }
    for side in SIDES:
        number = pieces - 1 if side is Side.RIGHT else 0
        edges[faces.leg(side)] = strip_end(faces, pieces, number, side), body.strip_width
    around = (Face.FRONT, Face.BACK) if body.closed else _ROUND_THE_MOUTH
    is_wrap = faces is not GUSSET
    # Of a wrap a join of its pieces may end the face, and goes up as it gets longer.
    length = STRIP_LENGTH if is_wrap else FACE_CUT_HEIGHT
    rate = max(2.0, float(pieces)) if is_wrap else 1.0
    other, along = (FACE_CUT_HEIGHT, rate / 2) if is_wrap else (STRIP_LENGTH, 2.0)
    return Mouth(
        runs=tuple(
            [
                Run(face, edges[face][0], body.top_seam, edges[face][1], body.gusset_seam)
                for face in around
            ]
        ),
        sides={},
        trim=0.0,
        length=getattr(body, length.attribute),
        trim_figure="",
        length_figure=length,
        length_rate=rate,
        length_along=((other.name, getattr(body, other.attribute), along),),
        allowance_figure="zip_seam",
        ring=_ring(body) if body.closed else None,
    )


_ROUND_THE_MOUTH = (Face.FRONT, Face.RIGHT, Face.BACK, Face.LEFT)


def _ring(body: "StripBody") -> Ring:
    faces, pieces = body.MAKES, body.strip_pieces
    lower, upper = body.corner_rounding > 0.0, body.upper_rounding > 0.0
    panels: dict[Face, tuple[EdgeRef, ...]] = {}
    strips: dict[Face, tuple[EdgeRef, ...]] = {}
    for face in faces.panels:
        edges, strips[face] = ring_chains(faces, pieces, face, lower=lower, upper=upper)
        panels[face] = (panel_edge(faces, face, EdgeRole.TOP), *edges)
    return Ring(
        panels=panels,
        strips=strips,
        ends={
            side: strip_end(faces, pieces, pieces - 1 if side is Side.RIGHT else 0, side)
            for side in SIDES
        },
        length=body.top_strip_length,
        depth=body.strip_width - 2 * body.gusset_seam,
        seam=body.gusset_seam,
        end_seam=body.strip_seam,
        flat=body.face_cut_width - 2 * max(body.upper_rounding, body.gusset_seam),
        rest=body.strip_length,
        rest_figure="strip_length",
    )
