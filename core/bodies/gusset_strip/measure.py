"""The finished sizes of panels and strip on their stitch lines. Lengths are mm."""

from typing import TYPE_CHECKING

from core.bodies.gusset_strip.draft import (
    panel_edge,
    panel_piece,
    strip_end,
)
from core.bodies.gusset_strip.sizes import GUSSET
from core.flat.piece import along
from core.flat.roles import EdgeRef, EdgeRole, SeamRole, Side
from core.flat.seam import Draft, chain_length

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody


def body_sizes(body: "StripBody", draft: Draft) -> dict[str, float | None]:
    """Width, height and corner of the panels, depth and length of the strip, and the opening."""
    faces, face = body.MAKES, body.MAKES.panels[0]
    outline = draft.outlines[panel_piece(face)]
    bottom, right, left = (
        outline.line(panel_edge(faces, face, role, side).edge)
        for role, side in (
            (EdgeRole.BOTTOM, None),
            (EdgeRole.SIDE, faces.side(face, right=True)),
            (EdgeRole.SIDE, faces.side(face, right=False)),
        )
    )
    top = outline.line(panel_edge(faces, face, EdgeRole.TOP).edge)
    wide, high = right[0][0] - left[0][0], top[0][1] - bottom[0][1]
    end = strip_end(faces, body.strip_pieces, 0, Side.LEFT)
    deep = length_of(draft, end)
    radius = 0.0
    if body.corner_rounding > 0.0:
        arc = panel_edge(faces, face, EdgeRole.ROUND, Side.RIGHT).edge
        radius = outline.stitched(arc).radius
    flat = along((1.0, 0.0), *bottom)
    is_wrap = faces is not GUSSET
    opening = _gap(body, draft)
    across = deep if is_wrap else wide
    return {
        "face_width": across,
        "base_width": deep if is_wrap else flat,
        "gusset_depth": wide if is_wrap else deep,
        "face_height": high,
        "corner_radius": radius,
        "gusset_mismatch": mismatch(body, draft),
        "opening_width": across if opening is None else opening,
    }


def length_of(draft: Draft, ref: EdgeRef) -> float:
    """Of the stitch line of an edge."""
    return draft.outlines[ref.piece].length(ref.edge)


def _gap(body: "StripBody", draft: Draft) -> float | None:
    """How long the top strip is between its two joins; None where the ring is open."""
    if not body.closed:
        return None
    for walked in draft.walked_seams(SeamRole.RING):
        if walked.seam.closed:
            return length_of(draft, walked.seam.other[0])
    return body.drawn_gap


def mismatch(body: "StripBody", draft: Draft) -> float:
    """How much longer the edge of a panel is than what is sewn round it; the worse one counts.

    Without the top strip that is sewn in between it is reckoned as long as it is to be.
    """
    seams = [walked.difference for walked in draft.walked_seams(SeamRole.RING)]
    if not seams:
        ring = body.mouth().ring
        for face in body.MAKES.panels if ring is not None else ():
            assert ring is not None
            strips = chain_length(ring.strips[face], draft.outlines) + (_gap(body, draft) or 0.0)
            seams.append(chain_length(ring.panels[face], draft.outlines) - strips)
    return max(seams, key=abs)
