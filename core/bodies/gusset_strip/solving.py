"""What gusset strip and wrap tell the solver. Lengths are mm."""

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from core.base.sentences import mark
from core.base.tolerance import same_length
from core.bodies.boxed_panel.sizes import LEAST_FILLED, ONLY_TOLD
from core.bodies.gusset_strip.sizes import (
    FACE_CUT_HEIGHT,
    FACE_CUT_WIDTH,
    GUSSET,
    GUSSET_SEAM,
    STRIP_LENGTH,
    STRIP_SEAM,
    STRIP_WIDTH,
    TOP_SEAM,
    TOP_STRIP_LENGTH,
    UPPER_ROUNDING,
)
from core.bodies.rounded import CORNER_RADIUS, CORNER_ROUNDING
from core.model.figures import Form, TakeUp
from core.model.record import Bend, FillSize, Follower, NewSize, SizeLimit, Solving, Unknown
from core.site.owner import SolvedBody
from core.site.site import Finished, Site
from core.space.boxes import BoxSize

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody

SIZES = ("face_width", "gusset_depth", "face_height")
SQUARED = 4.0 - math.pi
"""How much shorter two rounded corners of radius 1 are than square ones."""


SOLVING = Solving(
    unknowns=tuple(
        Unknown(name=figure.name)
        for figure in (
            FACE_CUT_WIDTH,
            FACE_CUT_HEIGHT,
            CORNER_ROUNDING,
            STRIP_WIDTH,
            STRIP_LENGTH,
            TOP_STRIP_LENGTH,
        )
    ),
    # A top strip is first left as long as it is: what it follows is settled by `joined_as`.
    aims=(*SIZES, CORNER_RADIUS.name, "opening_width"),
    # Of a strip that goes once round but for its gap, and of one that is open; whichever keeps
    # them matched is the bag's.
    followers=(
        Follower(
            name=STRIP_LENGTH.name,
            rates={
                FACE_CUT_WIDTH.name: 2.0,
                FACE_CUT_HEIGHT.name: 2.0,
                CORNER_ROUNDING.name: -SQUARED,
                TOP_STRIP_LENGTH.name: -1.0,
            },
        ),
        Follower(
            name=STRIP_LENGTH.name,
            rates={
                FACE_CUT_WIDTH.name: 1.0,
                FACE_CUT_HEIGHT.name: 2.0,
                CORNER_ROUNDING.name: -SQUARED,
            },
        ),
    ),
    asked={
        "face_width": NewSize(mark("Side to side across the front, sewn."), 292.1, 290.0),
        "gusset_depth": NewSize(mark("Front to back across the bottom, sewn."), 165.1, 165.0),
        "face_height": NewSize(mark("From the bottom up to the top, sewn."), 254.0, 255.0),
    },
    # Closed all round, it grows with each of its sizes alone.
    fill_sizes=(
        FillSize(figure="face_width", full_power=1.0, flat=BoxSize.WIDTH),
        FillSize(figure="gusset_depth", full_power=1.0, flat=BoxSize.DEPTH),
        FillSize(figure="face_height", full_power=1.0, flat=BoxSize.HEIGHT),
    ),
    kept=(UPPER_ROUNDING.name, GUSSET_SEAM.name, STRIP_SEAM.name, TOP_SEAM.name),
)


def may_change(body: "StripBody", name: str, site: Site) -> bool:
    """Square corners stay square, and an open ring has no top strip."""
    if name == CORNER_ROUNDING.name:
        return body.corner_rounding > 0.0
    return name != TOP_STRIP_LENGTH.name or body.closed


def bends(body: "StripBody", site: Site, finished: Finished) -> tuple[Bend, ...]:
    """The box outside and inside the wall, mm; sides are negative where they are gone.

    Inside lies a wall less at either end of each side; of an open one none at the top.
    """
    wide, deep, high = (finished[name] or 0.0 for name in SIZES)
    names = SIZES
    if body.MAKES is not GUSSET:
        wide, deep = deep, wide
        names = (SIZES[1], SIZES[0], SIZES[2])
    across, along, up = names
    radii = (finished[CORNER_RADIUS.name] or 0.0, body.stitched_upper_radius)
    wall = site.wall
    walls = 2 * wall if body.closed else wall
    return (
        Bend("box_volume", Form.BOX, (wide, high, deep), (across, up, along), radii),
        Bend(
            "inside_volume",
            Form.BOX,
            (wide - 2 * wall, high - walls, deep - 2 * wall),
            (across, up, along),
            (radii[0] - wall, radii[1] - wall),
        ),
    )


_SQUARE, _ROUNDED = "square", "rounded"
_ROUNDING_START = 25.0
"""mm; the stitched radius that square corners start from when they may be rounded (own choice)."""
_NOTHING = 1e-9


def shapes(body: "StripBody", exact: Mapping[str, float]) -> tuple[str, ...]:
    """Square or rounded below, as it is unless a radius is asked for."""
    for name in (CORNER_ROUNDING.name, CORNER_RADIUS.name):
        if name in exact:
            return (_ROUNDED if exact[name] > _NOTHING else _SQUARE,)
    return (_ROUNDED if body.corner_rounding > 0.0 else _SQUARE,)


def shaped(body: "StripBody", shape: str) -> Mapping[str, float]:
    """Small roundings where there are none, or none; the strip goes round as well as before."""
    if (body.corner_rounding > 0.0) is (shape == _ROUNDED):
        return {}
    if shape == _SQUARE:
        return _rounded(body, 0.0)
    rest = body.upper_rounding or body.panel_top_allowance
    room = min(body.face_cut_width / 2, body.face_cut_height - rest) - body.gusset_seam
    return _rounded(body, min(_ROUNDING_START, room / 2))


def _rounded(body: "StripBody", radius: float) -> Mapping[str, float]:
    """With lower corners of this stitched radius."""
    more = SQUARED * (body.stitched_radius - radius)
    return {
        CORNER_ROUNDING.name: body.gusset_seam + radius if radius > 0.0 else 0.0,
        STRIP_LENGTH.name: body.strip_length + more,
    }


def joined_as(body: "StripBody", was: SolvedBody) -> Mapping[str, float]:
    """The top strip reaches as far down beside the panels, or ends as near their sides, as it did.

    The strip takes up what the top strip does not.
    """
    if not isinstance(was, type(body)) or not (body.closed and was.closed):
        return {}
    wide, before, gap = 2 * body.bottom_half, 2 * was.bottom_half, was.drawn_gap
    gap = gap * wide / before if gap < before else gap + wide - before
    longer = gap - body.drawn_gap
    if same_length(longer, 0.0):
        return {}
    return {
        TOP_STRIP_LENGTH.name: body.top_strip_length + longer,
        STRIP_LENGTH.name: body.strip_length - longer,
    }


def fill_limits(body: "StripBody", *, flat_base: bool, take_up: TakeUp) -> tuple[SizeLimit, ...]:
    """A bag with sizes."""
    return tuple(SizeLimit(figure=name, least=LEAST_FILLED, rule=ONLY_TOLD) for name in SIZES)
