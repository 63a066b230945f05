"""New handles for a bag that lacks them, and others for the same drop. Lengths are mm."""

import math
from dataclasses import replace

from core.base.tolerance import same_length, shorter
from core.base.units import MM_PER_INCH, Unit, round_to_step
from core.flat.roles import FACES
from core.parts.handles.figures import JOIN_SEAM, MOST_STRIPS, HandleStyle, whole_strip
from core.parts.handles.findings import SHORTEST_PIECE, highest_stop, least_width
from core.parts.handles.handles import Handles, loop_runs_under
from core.parts.handles.level import level_again, levelled
from core.parts.pocket.pocket import Pocket
from core.site.owner import Surround
from core.site.site import FOOT_ROOM, Site

WANTED_DROP = 10 * MM_PER_INCH
"""Handles that go over a shoulder in light clothes (common practice, no source)."""


def fresh_handles(around: Surround, style: HandleStyle) -> Handles:
    """Handles that fold, clear the zip, stand on the base, and reach over a shoulder.

    Two separate ones where a loop was wanted and none can run under the bag.
    """
    site = around.site
    if not loop_runs_under(site):
        style = HandleStyle.SEPARATE
    base = around.finished["base_width"] or 0.0
    between = site.front.width - 2 * site.front.side_allowance
    room = min(base, between) if base > 0.0 else between
    width = _fresh_width(site, room)
    # As a ruler can draw it, but two legs and their gap on the base.
    gap = min(max(round_to_step(room * 0.45, site.ruler), 0.0), max(room - 2 * width, 0.0))
    stop = _fresh_stop(around)
    leg = min(6 * MM_PER_INCH, site.front.top - stop)
    if not loop_runs_under(site):  # the foot still runs between its end and the seam below
        clear = site.front.top - stop - site.front.clear_of - FOOT_ROOM
        leg = min(leg, clear) if shorter(width, clear) else leg
    draft = Handles(style=style, width=width, gap=gap, stop=stop, strips=1, leg=leg)
    return _on_ruler(with_drop(levelled(draft, site), site, WANTED_DROP), site)


def _on_ruler(handles: Handles, site: Site) -> Handles:
    """With a last strip as a ruler can draw it, no shorter."""
    if handles.last_strip is None:
        return handles
    last = _ruled_up(site, handles.last_strip)
    return replace(handles, last_strip=last if shorter(last, whole_strip(site)) else None)


def with_drop(handles: Handles, site: Site, drop: float) -> Handles:
    """These handles with strips whose lower drop is this, mm, or a little more.

    A last strip too short to be worked is cut a little longer. Where even the most strips
    are too few, they are all there are.
    """
    most = MOST_STRIPS * (whole_strip(site) - 2 * JOIN_SEAM)
    loop = min(handles.loop_for_drops(site, drop), most)
    joined = handles.with_loop(site, loop)
    least = min(SHORTEST_PIECE + 2 * JOIN_SEAM, whole_strip(site))
    last = joined.strip_lengths(site)[-1]
    if joined.strips == 1 or not shorter(last, least):
        return joined
    return replace(joined, last_strip=least if shorter(least, whole_strip(site)) else None)


def _fresh_width(site: Site, room: float) -> float:
    """The usual width, or what these goods need to fold; less where two do not fit."""
    least = least_width(site)
    usual = 1.25 * MM_PER_INCH if site.unit is Unit.INCH else 30.0
    wanted = max(usual, _ruled_up(site, least))
    fits = room / 2
    return wanted if wanted <= fits else min(wanted, max(fits, least))


def _fresh_stop(around: Surround) -> float:
    """Level with a pocket's upper edge, or a quarter down the face; clear of zip and hem."""
    site = around.site
    lowest = site.front.top / 2
    clear = highest_stop(site)
    pocket = Pocket.of(around.parts)
    wanted = round_to_step(site.front.top / 4, site.ruler) if pocket is None else pocket.drop
    stop = wanted if clear <= wanted <= lowest else max(min(wanted, lowest), clear)
    # Never off the face of a very small bag.
    return stop if stop < site.front.top else lowest


def restyled(handles: Handles, style: HandleStyle, site: Site) -> Handles:
    """Strips belong to one style: the other needs those that give the same drop."""
    if handles.style is style:
        return handles
    room = site.front.top - handles.stop
    leg = handles.leg if style is HandleStyle.LOOP else min(handles.leg, room)
    drops = [handles.drop(site, face) or 0.0 for face in FACES]
    return with_drop(levelled(replace(handles, style=style, leg=leg), site), site, min(drops))


def carried_over(handles: Handles, was: Site, now: Site) -> Handles:
    """Handles as they go to another construction: as far below the bag's top, with their drop.

    Where another piece goes on up the new face, its wall may end lower than that: they are sewn
    on right below its end, and a separate one as far down as a foot still runs clear of the base.
    """
    stop = handles.stop + _end_below_top(was) - _end_below_top(now)
    if same_length(stop, handles.stop):
        return level_again(handles, was, now).made_for(now)
    stop, leg = max(stop, _ruled_up(now, highest_stop(now))), handles.leg
    room = now.front.top - stop - now.front.clear_of - FOOT_ROOM
    if not shorter(room, handles.width):
        leg = min(leg, room)
    drops = [handles.drop(was, face) for face in FACES]
    made = level_again(replace(handles, stop=stop, leg=leg), was, now).made_for(now)
    return _on_ruler(with_drop(made, now, min(each or 0.0 for each in drops)), now)


def _end_below_top(site: Site) -> float:
    """How far the cut top edge of the front lies below the bag's top, mm; below 0: above it."""
    return site.front.above - site.front.top_allowance


def _ruled_up(site: Site, length: float) -> float:
    return math.ceil(length / site.ruler - 1e-9) * site.ruler
