"""The finished sizes of the separate base on its stitch lines. Lengths are mm."""

import math
from typing import TYPE_CHECKING

from core.bodies.separate_base.draft import BASE, wall_of
from core.flat.piece import Point
from core.flat.roles import FACES, EdgeId, EdgeRef, EdgeRole, Face, SeamRole
from core.flat.seam import Draft, chain_length
from core.site.site import Finished

if TYPE_CHECKING:
    from core.bodies.separate_base.body import SeparateBase


def base_sizes(body: "SeparateBase", draft: Draft) -> Finished:
    """Base from its own piece, the way round it from the base seam, face and opening from walls."""
    left, low, right, high, radius = _base_lines(draft)
    (seam,) = draft.walked_seams(SeamRole.BASE)
    tops = [EdgeRef(wall_of(body, face), EdgeId(EdgeRole.TOP, face)) for face in FACES]
    return {
        "base_width": right - left,
        "gusset_depth": high - low,
        "corner_radius": radius,
        "base_mismatch": seam.difference,
        "base_end_mismatch": _end_mismatch(body, draft),
        "face_height": _face_height(body, draft),
        "opening_width": chain_length(tops, draft.outlines) / 2,
    }


def _base_lines(draft: Draft) -> tuple[float, float, float, float, float]:
    """(left, low, right, high) of the base's stitch lines, and the radius of its corners."""
    outline = draft.outlines[BASE]
    points: list[Point] = list(outline.corners)
    radius = 0.0
    for edge in outline.piece.edges:
        if edge.turn:
            stitched = outline.stitched(edge.id)
            points += stitched.extremes
            radius = stitched.radius
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys), radius


def _end_mismatch(body: "SeparateBase", draft: Draft) -> float | None:
    """How much wider each end wall is than its side of the base; None where there is none."""
    if body.body_pieces != 4:
        return None
    bottom = EdgeId(EdgeRole.BOTTOM, Face.RIGHT)
    wall = draft.outlines[wall_of(body, Face.RIGHT)].length(bottom)
    return wall - draft.outlines[BASE].length(bottom)


def _face_height(body: "SeparateBase", draft: Draft) -> float:
    """Half of the way up the front, across what closes the top, and down the back."""
    for seam in draft.walked_seams(SeamRole.SIDE):
        return (seam.length + seam.mate_length) / 2
    joins = draft.walked_seams(SeamRole.STRIP)
    return math.fsum((joins[0].length, joins[0].mate_length)) / 2
