"""The finished sizes of the boxed panel, measured on its stitch lines. Lengths are mm."""

from typing import TYPE_CHECKING

from core.flat.roles import EdgeId, EdgeRole, Face, SeamRole
from core.flat.seam import Draft
from core.site.site import Finished

if TYPE_CHECKING:
    from core.bodies.boxed_panel.panel import BoxedPanel


def panel_sizes(panel: "BoxedPanel", draft: Draft) -> dict[str, float | None]:
    """Base and gusset from the corner seams, opening and face height from top and sides.

    Corners that are sewn across have nothing to match; the depth at their sides is that of the
    solver alone.
    """
    top = panel.ref(Face.FRONT, EdgeId(EdgeRole.TOP, Face.FRONT))
    side = draft.walked_seams(SeamRole.SIDE)[0]
    found = _corners(draft) | {
        "opening_width": draft.outlines[top.piece].length(top.edge),
        "face_height": (side.length + side.mate_length) / 2,
    }
    return found | {"corner_mismatch": None} if panel.sewn_across else found


def as_closed(found: Finished) -> Finished:
    """The sizes of the box that there is cloth for: as deep as the shorter edges of its corners.

    A box as deep as the longer ones would have more surface than its sheet.
    """
    depths = (found["gusset_depth"] or 0.0, found["gusset_depth_at_side"] or 0.0)
    return {**found, "gusset_depth": min(depths)}


def _corners(draft: Draft) -> dict[str, float | None]:
    """Base and gusset, from the corner seams; the worse corner counts."""
    base = _base_width(draft)
    corners = draft.walked_seams(SeamRole.CORNER)
    if not corners:
        return {
            "base_width": base,
            "gusset_depth": 0.0,
            "gusset_depth_at_side": 0.0,
            "corner_mismatch": 0.0,
        }
    worst = max(corners, key=lambda corner: abs(corner.difference))
    return {
        "base_width": base,
        "gusset_depth": worst.mate_length,
        "gusset_depth_at_side": worst.length,
        "corner_mismatch": worst.difference,
    }


def _base_width(draft: Draft) -> float:
    """Along the bottom fold, or along the bottom seam."""
    for seam in draft.walked_seams(SeamRole.BOTTOM):
        return seam.length
    (panel,) = draft.walls
    (fold,) = panel.folds
    return draft.outlines[panel.id].fold_length(fold)
