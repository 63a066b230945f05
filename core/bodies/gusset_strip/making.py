"""A gusset strip or a wrap from finished sizes, and its ring opened or closed. Lengths are mm."""

import math
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH, Unit, round_to_step
from core.bodies.gusset_strip.draft import RIGHT_ANGLE
from core.bodies.gusset_strip.sizes import GUSSET
from core.site.owner import Surround
from core.site.site import Site

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody

Kind = TypeVar("Kind", bound="StripBody")

_DEPTH_INCH, _DEPTH = 4 * MM_PER_INCH, 100.0
"""What a bag becomes deep that had no depth (own choice)."""
_SHARE = 0.25
"""How far down each side a new top strip runs, as a share of the height (own choice)."""


def fresh_body(cls: type[Kind], around: Surround) -> Kind:
    """As wide, deep and high as the bag around it, with its corners; open at the top."""
    site, sizes = around.site, around.finished
    seam, top = site.new_allowance, site.mouth.allowance
    deep = sizes.get("gusset_depth") or (_DEPTH_INCH if site.unit is Unit.INCH else _DEPTH)
    # A bag without a bottom of its own is as wide as its opening.
    across = sizes.get("face_width") or sizes.get("base_width") or sizes.get("opening_width")
    wide, high = across or 0.0, sizes.get("face_height") or 0.0
    if cls.MAKES is not GUSSET:
        wide, deep = deep, wide
    radius = sizes.get("corner_radius") or 0.0
    if not shorter(radius, min(wide / 2, high)):
        radius = 0.0
    return cls(
        face_cut_width=wide + 2 * seam,
        face_cut_height=high + seam + top,
        corner_rounding=radius + seam if radius > 0.0 else 0.0,
        strip_width=deep + 2 * seam,
        strip_length=wide + 2 * high - (4.0 - math.pi) * radius + 2 * top,
        strip_pieces=2 if site.sandwich.layers[0].one_way else 1,
        gusset_seam=seam,
        strip_seam=seam,
        top_seam=top,
    )


def opened_or_closed(body: Kind, site: Site | None, *, closes_ring: bool) -> Kind:
    """As `Body.made_for`: width, depth, height, corners and mismatch stay.

    A new top strip runs down a quarter of either side, on the ruler of the site; farther where it
    would be joined on a corner. All corners are rounded where its joins then lie on straights.
    """
    if closes_ring is body.closed:
        return body
    seam, join, top = body.gusset_seam, body.strip_seam or body.gusset_seam, body.top_seam
    high = body.face_cut_height - seam - body.panel_top_allowance
    off = body.drawn_edge - body.drawn_strip - body.drawn_gap
    if not closes_ring:
        edge = 2 * (body.bottom_half + high) - (4.0 - math.pi) * body.stitched_radius
        return replace(
            body,
            face_cut_height=high + seam + top,
            upper_rounding=0.0,
            top_strip_length=0.0,
            strip_length=edge - off + 2 * top,
        )
    upper = body.stitched_radius
    room = _room(body, high, upper, off)
    if shorter(room[1], room[0]):  # no straight is left between the corners for the joins
        upper = 0.0
        room = _room(body, high, upper, off)
    wanted, ruler = 2 * (body.bottom_half + _SHARE * high), site.ruler if site is not None else None
    length = _length_within(wanted, room, join, ruler)
    gap, radius = length - 2 * join, body.stitched_radius
    edge = 4 * body.bottom_half + 2 * high - (4.0 - math.pi) * (radius + upper)
    return replace(
        body,
        face_cut_height=high + 2 * seam,
        upper_rounding=body.corner_rounding if upper else 0.0,
        strip_seam=join,
        strip_length=edge - gap - off + 2 * join,
        top_strip_length=length,
    )


def _room(body: "StripBody", high: float, upper: float, off: float) -> tuple[float, float]:
    """The shortest and the longest gap that end on the sides, the allowances of the joins too.

    Args:
        high: of the panels between their stitch lines.
        upper: radius of the stitch lines at their upper corners.
        off: how much longer their edge is than the strips.
    """
    join = body.strip_seam or body.gusset_seam
    least = 2 * (body.bottom_half + (RIGHT_ANGLE - 1.0) * upper + join) - off
    return least, least + 2 * (high - body.stitched_radius - upper - 2 * join)


def _length_within(
    wanted: float, room: tuple[float, float], join: float, ruler: float | None
) -> float:
    """Of the top strip as it is cut: next to a gap that is wanted, on the ruler where it can be.

    Where nothing fits it is the gap that is wanted.
    """
    least, most = room
    gap = wanted if shorter(most, least) else min(max(wanted, least), most)
    length = gap + 2 * join
    if ruler is None:
        return length
    near = round_to_step(length, ruler)
    for each in (near, near + ruler, near - ruler):
        if not shorter(each - 2 * join, least) and not shorter(most, each - 2 * join):
            return each
    return near if shorter(most, least) else length
