"""The finished sizes of the boxed panel on its stitch lines, and the room between its walls. mm."""

import math
from typing import TYPE_CHECKING

from core.base.sentences import Sentence, mark
from core.base.tolerance import shorter
from core.flat.roles import EdgeId, EdgeRole, Face, SeamRole
from core.flat.seam import Draft
from core.model.findings import Finding, Severity
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


MOST_WALL = 0.75
"""Share of what the bag would hold without thickness that its wall may take up (own choice)."""

_NOTHING = {
    "base_width": mark("Nothing fits inside: two walls of {wall} take up the base, {value} wide."),
    "gusset_depth": mark(
        "Nothing fits inside: two walls of {wall} take up the bottom, {value} deep."
    ),
    "face_height": mark(
        "Nothing fits inside: the bottom alone is {wall} thick, and the face is {value} high."
    ),
}
_NO_FLOOR = {
    "base_width": mark(
        "Two walls of {wall} take up the base, {value} wide: nothing can stand "
        "on it, and the bag fills like a pillow."
    ),
    "gusset_depth": mark(
        "Two walls of {wall} take up the bottom, {value} deep: nothing can "
        "stand on it, and the bag fills like a pillow."
    ),
    "face_height": mark(
        "The bottom alone is {wall} thick, and the face is {value} high: "
        "nothing can stand in the bag, and it fills like a pillow."
    ),
}
_PILLOW = mark(
    "Nothing fits inside: laid flat, the bag measures {value}; it would have to measure "
    "more than {limit}, even stuffed round, for two walls of {wall}."
)
_LITTLE = mark("The wall, {wall} thick, takes up most of the space in the bag: little fits inside.")


def room_finding(panel: "BoxedPanel", wall: float, finished: Finished) -> Finding | None:
    """That a wall of this thickness leaves no room inside, or little; None where it leaves some.

    Across base and gusset lie two walls, and below the top fold one. Where they take up one
    of these sizes nothing goes in, unless the bag is all but a pillow: one with next to no
    gusset still fills, and only has nothing to stand on.
    """
    if not shorter(0.0, wall):
        return None
    return box_room(wall, finished) if panel.has_corners else _pillow_finding(wall, finished)


def box_room(wall: float, finished: Finished) -> Finding | None:
    """The same for any bag with a bottom; the wall, mm, is not nothing."""
    most = _all_wall(finished)
    for name, walls in (("base_width", 2), ("gusset_depth", 2), ("face_height", 1)):
        size = finished[name] or 0.0
        # A size that is not there at all is another finding.
        if shorter(0.0, size) and not shorter(walls * wall, size):
            full = not shorter(wall, most)
            return Finding(
                code="no-room-inside",
                severity=Severity.STOP if full else Severity.WARN,
                figure=name,
                value=size,
                limit=walls * wall,
                message=Sentence((_NOTHING if full else _NO_FLOOR)[name], _lengths(size, wall)),
            )
    inside = finished["inside_volume"]
    if inside is None or shorter(wall, MOST_WALL * most):
        return None
    return Finding(
        code="little-room-inside",
        severity=Severity.WARN,
        figure="inside_volume",
        value=inside,
        limit=None,
        message=Sentence(_LITTLE, {"wall": wall}),
    )


def _pillow_finding(wall: float, finished: Finished) -> Finding | None:
    """A ball as thick as the wall must fit into the stuffed bag.

    No way round such a ball is shorter than its girth, 2 pi wall, and none round a pillow is
    longer than twice its flat size.
    """
    limit = math.pi * wall
    for name in ("opening_width", "face_height"):
        size = finished[name] or 0.0
        if shorter(0.0, size) and not shorter(limit, size):
            return Finding(
                code="no-room-inside",
                severity=Severity.STOP,
                figure=name,
                value=size,
                limit=limit,
                message=Sentence(_PILLOW, {**_lengths(size, wall), "limit": limit}),
            )
    return None


def _all_wall(finished: Finished) -> float:
    """How thick a wall is that takes up itself all that the bag holds without thickness, about.

    That is taken for what a pillow of the same flat size holds, by Robin's short formula
    (Paper Bag Problem, Mathematics Today, June 2004, as an encyclopaedia quotes it).
    """
    across, gusset = finished["opening_width"] or 0.0, finished["gusset_depth"] or 0.0
    up = (finished["face_height"] or 0.0) + gusset / 2
    short, long = min(across, up), max(across, up)
    at_side = finished["gusset_depth_at_side"]
    area = 2 * across * up - gusset * (gusset if at_side is None else at_side)
    if not shorter(0.0, min(short, area)):
        return math.inf  # corners that do not match by far: their cuts leave no sheet to speak of
    holds = short**3 * (long / (math.pi * short) - 0.142 * (1 - 10 ** (-long / short)))
    return holds / area


def _lengths(size: float, wall: float) -> dict[str, float]:
    return {"value": size, "wall": wall}
