"""What the sizes of panels and strip must keep to among themselves. Lengths are mm."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from core.base.sentences import mark
from core.base.tolerance import LEAST_LENGTH
from core.bodies.gusset_strip.sizes import (
    FACE_CUT_HEIGHT,
    FACE_CUT_WIDTH,
    GUSSET,
    STRIP_LENGTH,
    STRIP_WIDTH,
    TOP_STRIP_LENGTH,
    UPPER_ROUNDING,
)
from core.bodies.rounded import CORNER_ROUNDING
from core.model.figures import Limit
from core.site.site import FOOT_ROOM

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody


def body_limits(body: "StripBody") -> tuple[Limit, ...]:
    """Seams leave something of each piece, roundings end on straights, strips reach round them."""
    wide, high, seam = body.face_cut_width, body.face_cut_height, body.gusset_seam
    above = body.panel_top_allowance
    least = 2 * body.end_allowance + body.strip_pieces * body.lower_arc
    found = [
        Limit(FACE_CUT_WIDTH, wide, 2 * seam, _BOTH_SEAMS, above=True),
        Limit(FACE_CUT_HEIGHT, high, seam + above, _BOTH_SEAMS, above=True),
        Limit(STRIP_WIDTH, body.strip_width, 2 * seam, _BOTH_SEAMS, above=True),
        Limit(STRIP_LENGTH, body.strip_length, least, _ROUND_A_CORNER, above=True),
        *_roundings(body),
    ]
    if body.closed:
        length, end = body.top_strip_length, 2 * body.strip_seam
        found.append(Limit(TOP_STRIP_LENGTH, length, end, _BOTH_SEAMS, above=True))
        found.append(Limit(TOP_STRIP_LENGTH, length, body.drawn_edge + end, _ROUND_THE_PANEL))
    return tuple(found)


def _roundings(body: "StripBody") -> Iterator[Limit]:
    """A rounding is more than its seam, and runs on into straight edges on both sides.

    What is straight between two of them is a length too: no search ends on less than the least.
    """
    lower, upper, seam = body.corner_rounding, body.upper_rounding, body.gusset_seam
    half, high = (body.face_cut_width - LEAST_LENGTH) / 2, body.face_cut_height
    for figure, rounding in ((CORNER_ROUNDING, lower), (UPPER_ROUNDING, upper)):
        if rounding > 0.0:
            yield Limit(figure, rounding, seam, _USED_UP, above=True)
            yield Limit(figure, rounding, half, _WITHIN_HALF)
    if lower > 0.0 and body.MAKES is GUSSET:
        # Who types it may round the bottom away; no search does, of which it was not asked.
        flat = body.face_cut_width / 2 - FOOT_ROOM / 2
        unless = frozenset({"base_width"})
        yield Limit(CORNER_ROUNDING, lower, flat, _LEAVES_FLAT, reachable=True, unless=unless)
    if lower > 0.0:
        rest = upper if upper > 0.0 else body.panel_top_allowance
        if high - rest <= seam:  # no rounding would do: it is the height that is too little
            yield Limit(FACE_CUT_HEIGHT, high, lower + rest, _ROUNDED, above=True)
        yield Limit(CORNER_ROUNDING, lower, high - rest, _WITHIN_HEIGHT)
    elif upper > 0.0:
        yield Limit(UPPER_ROUNDING, upper, high - seam, _WITHIN_HEIGHT)


_BOTH_SEAMS = mark("it must be more than its two seam allowances, {limit}.")
_USED_UP = mark("it must be 0 or more than {limit}: the seam uses up as much.")
_WITHIN_HALF = mark("it must be less than half the panel's width, {limit}.")
_LEAVES_FLAT = mark("it must be at most {limit}, or the bottom is too narrow for a presser foot.")
_WITHIN_HEIGHT = mark("it must be less than {limit}, where the side of the panel ends.")
_ROUNDED = mark("it must be more than {limit}, which its rounded corners take up.")
_ROUND_A_CORNER = mark("it must be more than {limit}, or a piece of it is shorter than a corner.")
_ROUND_THE_PANEL = mark("it must be less than {limit}, once round a panel with its two allowances.")
