"""Finished figures, measured on the stitch lines of the pieces and along the seams.

Nothing here is computed from the cut figures by formula: what is measured is what the
needle will make of the drafted pieces, whatever the construction. Where a bag's take-up is
known, its finished sizes are those that it comes out with, and no longer the drawn ones.
"""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from core.bag import FINISHED_FIGURES, Bag, draft_walls
from core.flat.draft import Draft
from core.flat.seam import SeamKind, WalkedSeam, chain_length
from core.parts.compartments import compartments
from core.parts.panel import FILLED_FIGURES
from core.parts.site import Face, Finished
from core.parts.take_up import NO_TAKE_UP
from core.tolerance import shorter
from core.volumes import litres


def measure(bag: Bag, draft: Draft) -> Finished:
    """Every finished figure by name: mm, volumes in litres, None for what is not there.

    Sizes are those of the sewn bag, outside, and what lies inside is those less the wall.

    Reads only the panel's and the closure's pieces of the draft.
    """
    found = _measured(bag, draft)
    found |= _volumes(bag, found, _boxes_that_close(bag, found))
    return MappingProxyType(found)


def _measured(bag: Bag, draft: Draft) -> dict[str, float | None]:
    """Every finished figure but the volumes."""
    found: dict[str, float | None] = {figure.name: None for figure in FINISHED_FIGURES}
    found |= _corners(draft)
    found |= _faces(bag, draft)
    if bag.take_up != NO_TAKE_UP:
        found = bag.take_up.sewn(found)
    site = bag.site
    for part in bag.parts:
        found |= part.finished(site)
    found |= compartments(bag.pocket, bag.handles, site)
    return found


def measure_drawn(bag: Bag, draft: Draft) -> Finished:
    """The same figures as they are drawn: those of the stitch lines."""
    return measure(replace(bag, take_up=NO_TAKE_UP), draft)


def measure_walls(bag: Bag) -> Finished:
    """The same figures without drawing marks and laid-on parts: for those who search for a bag.

    Where corners do not match, a box is as deep here as the end of the base, whatever its
    sides allow: a search that is on its way to corners that match sees its volume change.
    """
    found = _measured(bag, draft_walls(bag))
    found |= _volumes(bag, found, box_sides(bag, found))
    return MappingProxyType(found)


def _corners(draft: Draft) -> dict[str, float | None]:
    """Base and gusset, from the corner seams; the worse corner counts."""
    base = _base_width(draft)
    corners = draft.walked_seams(SeamKind.CORNER)
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
    for seam in draft.walked_seams(SeamKind.BOTTOM):
        return seam.length
    outline = draft.outlines["panel"]
    (fold,) = outline.piece.folds
    return outline.fold_length(fold)


def _faces(bag: Bag, draft: Draft) -> dict[str, float | None]:
    """Opening, face height and the place of the zip, from the side and top seams."""
    top = bag.panel.ref(Face.FRONT, "top front")
    side = draft.walked_seams(SeamKind.SIDE)[0]
    found: dict[str, float | None] = {
        "opening_width": draft.outlines[top.piece].length(top.edge),
        "face_height": (side.length + side.mate_length) / 2,
    }
    if not side.seam.other:
        found |= _zip_place(side, draft)
    return found


def _zip_place(side: WalkedSeam, draft: Draft) -> dict[str, float | None]:
    """Walk the side seam from the back's corner up: half way round is the top fold."""
    _front, zip_end, back = side.seam.one
    back_length = chain_length((back,), draft.outlines)
    zip_width = chain_length((zip_end,), draft.outlines)
    clearance = back_length - side.length
    return {"zip_clearance": clearance, "zip_offset": clearance + zip_width / 2}


def _volumes(
    bag: Bag, found: Finished, sides: Mapping[str, tuple[float, float, float]]
) -> dict[str, float | None]:
    """Box outside and inside the wall, litres; None where a side is gone.

    What the bag holds when it is filled takes longer: `core.solid.capacity`.
    """
    boxes = {name: _box(*each) for name, each in sides.items()}
    if bag.sandwich.thickness > 0.0 and not shorter(0.0, min(sides["inside_volume"])):
        boxes["inside_volume"] = None  # a wall that is there takes up a side to the last
    return boxes | dict.fromkeys(FILLED_FIGURES)


def _boxes_that_close(bag: Bag, found: Finished) -> dict[str, tuple[float, float, float]]:
    """`box_sides` of what there is cloth for: as deep as the shorter edges of the corner seams.

    A box as deep as the longer ones would have more surface than its sheet.
    """
    depths = (found["gusset_depth"] or 0.0, found["gusset_depth_at_side"] or 0.0)
    return box_sides(bag, {**found, "gusset_depth": min(depths)})


def box_sides(bag: Bag, found: Finished) -> dict[str, tuple[float, float, float]]:
    """Each volume that is a box -> its three sides, mm: negative where a side is gone."""
    sizes = [found["base_width"], found["gusset_depth"], found["face_height"]]
    base, gusset, face = (size if size is not None else 0.0 for size in sizes)
    wall = bag.sandwich.thickness
    return {
        "box_volume": (base, gusset, face),
        "inside_volume": (base - 2 * wall, gusset - 2 * wall, face - wall),
    }


def _box(width: float, depth: float, height: float) -> float | None:
    if any(shorter(side, 0.0) for side in (width, depth, height)):
        return None
    return litres(max(width, 0.0) * max(depth, 0.0) * max(height, 0.0))
