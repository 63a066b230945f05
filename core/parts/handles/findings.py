"""What is doubtful about handles: zip, corners, sides, a hand's room, strips. Lengths are mm."""

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from core.base.sentences import Sentence, mark, plural, say
from core.base.tolerance import LENGTH_TOLERANCE, shorter
from core.base.units import MM_PER_INCH
from core.flat.roles import FACES, Face
from core.model.findings import Finding, Fix, Severity
from core.parts.handles.figures import (
    FOLD_CLEARANCE,
    JOIN_SEAM,
    MOST_STRIPS,
    STRIP,
    WIDTH,
    HandleStyle,
    whole_strip,
)
from core.parts.handles.joins import join_findings
from core.parts.handles.level import level_findings
from core.parts.handles.redesign import DROPS
from core.parts.handles.told import (
    BELOW_TOP,
    DRAGS_ANYHOW,
    IN_HEM,
    IN_SEAM,
    IN_ZIP_SEAM,
    LOW_DROP,
    NEAR_ZIP,
    NO_LEGS,
    NO_LOOP,
    ROLLED,
    TO_GROUND,
    over_side,
)
from core.parts.rolls import below_rolls, fill_line, rolled_in
from core.site.site import FOOT_ROOM, Below, Finished, Site

if TYPE_CHECKING:
    from core.parts.handles.handles import Handles

SHORTEST_DROP = 4 * MM_PER_INCH
"""A hand does not fit under less (common practice, no source)."""
STOP_CLEARANCE = MM_PER_INCH
"""Between the zip's stitch line and the end of the handle's stitching."""
NARROWEST_HANDLE = 3 * MM_PER_INCH / 8
"""Four layers are hard to fold, and to guide under a foot, any narrower (own choice)."""
WIDTH_TO_THICKNESS = 2.0
"""A handle is at least so many times as wide as its four pressed layers are thick: else it is
a cord that cannot be folded flat (own choice)."""
HAND_TO_GROUND = 28 * MM_PER_INCH
"""From a hanging hand to the ground, about; a bag that is longer drags (own choice)."""
SHOULDER_TO_GROUND = 52 * MM_PER_INCH
"""From the shoulder to the ground, about: over it a longer bag drags too (own choice)."""
SHORTEST_PIECE = 4 * MM_PER_INCH
"""Between its joins, of a strip that can still be turned in and pressed (own choice)."""


def handle_findings(handles: "Handles", site: Site, finished: Finished) -> tuple[Finding, ...]:
    """Whether handles clear zip, sides and corners, suit a hand, and can be made."""
    return (
        *_stop_findings(handles, site, finished),
        *_rolled_findings(handles, site),
        *_leg_findings(handles, site, finished),
        *_span_findings(handles, site, finished),
        *_fold_findings(handles, site, finished),
        *_drop_findings(handles, site, finished),
        *_ground_findings(handles, site, finished),
        *_piece_findings(handles, site, finished),
        *level_findings(handles, site, finished),
        *join_findings(handles, site),
    )


def least_width(site: Site) -> float:
    """The narrowest handle that folds well from these goods, mm."""
    return max(NARROWEST_HANDLE, WIDTH_TO_THICKNESS * 4 * site.goods(STRIP.owner).pressed)


def highest_stop(site: Site) -> float:
    """How far below the cut edge a stop lies at least, mm: clear of zip or hem, and of rolls."""
    return max(_beside_top(site), below_rolls(site, FACES))


def _beside_top(site: Site) -> float:
    """Where the stop is clear of the stitching of the zip, or of the hem, mm."""
    return site.front.top_allowance + (STOP_CLEARANCE if site.shows > 0.0 else 0.0)


def ends_well(new: "Handles", old: "Handles", site: Site, finished: Finished) -> bool:
    """Whether a change of handles leaves them long enough and brings no stop on."""
    drops = [new.drop(site, face) for face in FACES]
    if any(drop is None for drop in drops):
        return False
    # What is long enough by itself need not be set against what there was.
    if any(shorter(drop or 0.0, SHORTEST_DROP) for drop in drops):
        before = min((old.drop(site, face) or -math.inf) for face in FACES)
        if any(shorter(drop or 0.0, min(before, SHORTEST_DROP)) for drop in drops):
            return False
    return _spans_as_well(new, old, site, finished)


def _spans_as_well(new: "Handles", old: "Handles", site: Site, finished: Finished) -> bool:
    has = _span_stops(new, site, finished)
    return not has or has <= _span_stops(old, site, finished)


def _span_stops(handles: "Handles", site: Site, finished: Finished) -> set[str]:
    found = _span_findings(handles, site, finished)
    return {each.code for each in found if each.severity is Severity.STOP}


def _stop_findings(handles: "Handles", site: Site, finished: Finished) -> Iterator[Finding]:
    """Whether the stitching ends on the face, and leaves the foot room beside a zip."""
    zipped, least, stop = site.shows > 0.0, _beside_top(site), highest_stop(site)
    if not shorter(handles.stop, least):
        return
    fixes: tuple[Fix, ...] = ()
    lower = replace(handles, stop=stop)
    on_face = all(shorter(lower.reach(face), site.seats[face].top) for face in FACES)
    # A leg that is moved down whole may come to lie on a corner.
    if on_face and _spans_as_well(lower, handles, site, finished):
        label = say("End the stitching {value} below the edge", value=stop)
        fixes = (Fix(label, (("handle_stop", stop),)),)
    room = handles.stop - site.front.top_allowance
    above = shorter(room, 0.0)
    sewn_on = site.closed and not site.filled_by  # what is rolled down is hemmed
    in_it = IN_ZIP_SEAM if zipped else IN_SEAM if sewn_on else IN_HEM
    told = in_it if above else NEAR_ZIP
    yield Finding(
        code="zip-near-handle-stop" if zipped else "handle-stop-in-hem",
        severity=Severity.STOP if above else Severity.WARN,
        figure="handle_stop",
        value=handles.stop,
        limit=least,
        message=say(told, value=abs(room), limit=STOP_CLEARANCE),
        fixes=fixes,
    )


def _rolled_findings(handles: "Handles", site: Site) -> Iterator[Finding]:
    """Whether handles are sewn on below the rolls of a top that is rolled down."""
    limit, stop = fill_line(site, FACES), highest_stop(site)
    if not shorter(handles.stop, limit) or shorter(handles.stop, _beside_top(site)):
        return
    changes: tuple[tuple[str, float], ...] = (("handle_stop", stop),)
    room = site.front.top - stop - site.front.clear_of - FOOT_ROOM
    if handles.style is HandleStyle.SEPARATE and shorter(room, handles.leg):
        changes += (("handle_leg", max(room, handles.width)),)
    label = say("End the stitching {value} below the edge", value=stop)
    fixes = (Fix(label, changes, tried=True),)
    yield rolled_in("handles-in-rolls", "handle_stop", handles.stop, limit, ROLLED, fixes)


def _leg_findings(handles: "Handles", site: Site, finished: Finished) -> Iterator[Finding]:
    """Whether a leg is long enough for the square with a cross that carries the load."""
    leg, least = min(handles.sewn_leg(site, face) for face in FACES), handles.width
    if not shorter(leg, least):
        return
    looped, lowest = handles.style is HandleStyle.LOOP, site.front.top - least
    stop = min(handles.stop, lowest)
    fixes: tuple[Fix, ...] = ()
    if not shorter(stop, highest_stop(site)):
        longer = replace(handles, stop=stop, leg=handles.leg if looped else least)
        changes = [("handle_stop", stop)] if stop != handles.stop else []
        changes += [] if looped else [("handle_leg", least)]
        if ends_well(longer, handles, site, finished):
            label = say("Sew down {value} of each leg", value=least)
            fixes = (Fix(label, tuple(changes)),)
    yield Finding(
        code="handle-leg-short",
        severity=Severity.WARN,
        figure="handle_stop" if looped else "handle_leg",
        value=handles.stop if looped else handles.leg,
        limit=(lowest if lowest > 0.0 else None) if looped else least,
        message=Sentence(_SHORT_LEG, {"value": leg, "limit": least}),
        fixes=fixes,
    )


def _span_findings(handles: "Handles", site: Site, finished: Finished) -> Iterator[Finding]:
    """The worst of what the legs reach across: cut edge, corner cut, its seam, side seam."""
    # Handles lie on cut cloth: what counts is the base as it is drawn.
    base = (finished["base_width"] or 0.0) / site.take_up.across
    low = _reaches_corner(handles, site)
    between = site.front.width - 2 * site.front.side_allowance
    limits = [("handle-off-panel", Severity.STOP, site.front.width, site.front.width, _OFF_PANEL)]
    if low:
        cut = site.front.low_width
        over = _BEYOND.get(site.front.below, _OVER_CUT)
        limits += [
            ("handle-over-corner", Severity.STOP, cut, base, over),
            ("handle-over-corner", Severity.WARN, base, base, _OVER_SEAM),
        ]
    limits += [("handle-over-side-seam", Severity.WARN, between, between, over_side(site))]
    room = min(base, between) if low else between
    for code, severity, limit, told, message in limits:
        if not shorter(limit, handles.span):
            continue
        gap = room - 2 * handles.width
        by_gap = gap >= 0.0
        yield Finding(
            code=code,
            severity=severity,
            figure="handle_gap" if by_gap else "handle_width",
            value=handles.gap if by_gap else handles.width,
            limit=gap if by_gap else room / 2 if room > 0.0 else None,
            message=Sentence(message, {"value": handles.span, "limit": max(told, 0.0)}),
            fixes=tuple(_narrowed(site, gap, room)),
        )
        return


def _narrowed(site: Site, gap: float, room: float) -> Iterator[Fix]:
    """Legs as far apart as there is room; or side by side, and as wide as there is room."""
    if gap >= 0.0:
        yield Fix(say("Make the handle gap {value}", value=gap), (("handle_gap", gap),))
    elif not shorter(room / 2, least_width(site)):
        label = say("Make the handles {value} wide, side by side", value=room / 2)
        yield Fix(label, (("handle_width", room / 2), ("handle_gap", 0.0)))


def _reaches_corner(handles: "Handles", site: Site) -> bool:
    lowest = min(handles.leg_ends(site, face)[0] for face in FACES)
    return site.front.cornered and lowest < site.front.clear_of


def _fold_findings(handles: "Handles", site: Site, finished: Finished) -> Iterator[Finding]:
    least = least_width(site)
    if not shorter(handles.width, least):
        return
    nothing = handles.turned_in <= LENGTH_TOLERANCE
    lengths = {"value": handles.width, "limit": least, "strip": handles.strip_width}
    yield Finding(
        code="handle-narrower-than-folds",
        severity=Severity.STOP if nothing else Severity.WARN,
        figure="handle_width",
        value=handles.width,
        limit=FOLD_CLEARANCE / 2 if nothing else least,
        message=Sentence(_NOTHING_TO_TURN if nothing else _NARROW, lengths),
        fixes=tuple(_widened(handles, site, finished)),
    )


def _widened(handles: "Handles", site: Site, finished: Finished) -> Iterator[Fix]:
    """As wide as it folds, the legs nearer together where they would not lie well."""
    least = least_width(site)
    if least > WIDTH.high:
        return
    gap = handles.gap
    for spread in _span_findings(replace(handles, width=least), site, finished):
        if spread.figure == "handle_gap" and spread.limit is not None:
            gap = min(gap, spread.limit)
    if ends_well(replace(handles, width=least, gap=gap), handles, site, finished):
        changes: tuple[tuple[str, float], ...] = (("handle_width", least),)
        if gap != handles.gap:
            changes += (("handle_gap", gap),)
        yield Fix(say("Make the handles {value} wide", value=least), changes)


def _drop_findings(handles: "Handles", site: Site, finished: Finished) -> Iterator[Finding]:
    drops = {name: finished[name] for name in DROPS.values()}
    name = min(drops, key=lambda each: -math.inf if drops[each] is None else drops[each] or 0.0)
    drop = drops[name]
    if drop is not None and not shorter(drop, SHORTEST_DROP):
        return
    face = Face.FRONT if name == DROPS[Face.FRONT] else Face.BACK
    value = handles.free_length(site, face) if drop is None else drop
    if drop is None:
        told = NO_LOOP if value > 0.0 else NO_LEGS
    else:
        told = LOW_DROP if drop > 0.0 else BELOW_TOP
    yield Finding(
        code="handle-loop-short",
        severity=Severity.STOP if drop is None else Severity.WARN,
        figure=name,
        value=value,
        limit=handles.centres if drop is None else SHORTEST_DROP,
        message=say(told[face], value=abs(value), limit=SHORTEST_DROP),
        fixes=tuple(_longer(handles, site)),
    )


def _longer(handles: "Handles", site: Site) -> Iterator[Fix]:
    """Fewest whole strips; or no more than it takes, where a shorter last strip does."""
    strips = handles.strips_for_drop(site, SHORTEST_DROP)
    if strips > MOST_STRIPS:
        return
    label = say(plural("Join 1 strip", "Join {count} strips"), numbers={"count": strips})
    if strips == 1:
        label = say("Cut the strip {value} long", value=whole_strip(site))
    changes: tuple[tuple[str, float], ...] = (("handle_strips", strips),)
    if handles.last_strip is not None:
        changes += (("handle_last_strip", whole_strip(site)),)
    yield Fix(label, changes)
    exact = handles.with_loop(site, handles.loop_for_drops(site, SHORTEST_DROP))
    if exact.last_strip is not None and not _short_piece(exact, site):
        yield _as_joined(exact, site)


def _ground_findings(handles: "Handles", site: Site, finished: Finished) -> Iterator[Finding]:
    drops = {face: finished[name] for face, name in DROPS.items()}
    height = finished["face_height"] or 0.0
    face = max(drops, key=lambda each: drops[each] or -math.inf)
    drop, limit = drops[face], HAND_TO_GROUND - height
    if drop is None or not shorter(limit, drop):
        return
    fixes: tuple[Fix, ...] = ()
    if not shorter(limit, SHORTEST_DROP):
        exact = handles.with_loop(site, handles.loop_for_drop(site, limit, face))
        tried = [exact]
        if exact.strips > 1:
            tried.append(replace(exact, strips=exact.strips - 1, last_strip=None))
        fit = (each for each in tried if not _short_piece(each, site))
        fixes = tuple(
            _as_joined(each, site) for each in fit if ends_well(each, handles, site, finished)
        )[:1]
    anyhow = shorter(SHOULDER_TO_GROUND, drop + height)
    most = SHOULDER_TO_GROUND if anyhow else HAND_TO_GROUND
    told = (DRAGS_ANYHOW if anyhow else TO_GROUND)[face]
    yield Finding(
        code="handle-to-ground",
        severity=Severity.WARN if anyhow else Severity.NOTE,
        figure=DROPS[face],
        value=drop,
        limit=most - height if most > height else None,
        message=say(told, value=drop + height, limit=most),
        fixes=fixes,
    )


def _piece_findings(handles: "Handles", site: Site, finished: Finished) -> Iterator[Finding]:
    """A short strip: cut longer; or left out, so that the handles drop a little less."""
    cut = _short_piece(handles, site)
    if cut is None:
        return
    least = SHORTEST_PIECE + 2 * JOIN_SEAM
    fixes: tuple[Fix, ...] = ()
    narrow_goods = shorter(whole_strip(site), least)
    if not narrow_goods:
        label = say("Cut the last strip {value} long", value=least)
        fixes = (Fix(label, (("handle_last_strip", least),)),)
        fewer = replace(handles, strips=handles.strips - 1, last_strip=None)
        if ends_well(fewer, handles, site, finished):
            lost = max(
                (handles.drop(site, face) or 0.0) - (fewer.drop(site, face) or 0.0)
                for face in FACES
            )
            changes = (("handle_strips", fewer.strips), ("handle_last_strip", whole_strip(site)))
            fixes += (Fix(say(_LEAVE_OUT, value=lost), changes),)
    yield Finding(
        code="handle-piece-short",
        severity=Severity.NOTE,
        figure="goods_width" if narrow_goods else "handle_last_strip",
        value=cut,
        limit=least,
        message=Sentence(_SHORT_PIECE, {"value": cut - 2 * JOIN_SEAM, "limit": SHORTEST_PIECE}),
        fixes=fixes,
    )


def _short_piece(handles: "Handles", site: Site) -> float | None:
    """Cut length of the shortest strip, mm, if it is joined and too short for it."""
    if handles.strips == 1:
        return None
    cut = min(handles.strip_lengths(site))
    return cut if shorter(cut - 2 * JOIN_SEAM, SHORTEST_PIECE) else None


def _as_joined(handles: "Handles", site: Site) -> Fix:
    """The strips of these handles as a change of figures."""
    last, count = handles.strip_lengths(site)[-1], {"count": handles.strips}
    if handles.last_strip is None:
        label = say(_JOIN_WHOLE, numbers=count)
    elif handles.strips == 1:
        label = say("Cut the strip {value} long", value=last)
    else:
        label = say(_JOIN_LAST, value=last, numbers=count)
    return Fix(label, (("handle_strips", handles.strips), ("handle_last_strip", last)))


_LEAVE_OUT = mark("Leave the last strip out: the handles drop {value} less")
_SHORT_LEG = mark(
    "Only {value} of a leg is sewn down: the square of stitches below its stop, which "
    "carries all of the load, needs {limit}."
)
_OFF_PANEL = mark(
    "The handle legs measure {value} across, but the face is {limit} wide: they run over "
    "its cut edges, with nothing to be sewn to."
)
_OVER_CUT = mark(
    "The handle legs measure {value} across, but the base is {limit} wide: they run over "
    "the corner cut."
)
_OVER_TIP = mark(
    "The handle legs measure {value} across, but the base is {limit} wide: they run past the "
    "corner seam, over the tip."
)
_OVER_ROUND = mark(
    "The handle legs measure {value} across, but between the rounded corners the face is {limit} "
    "wide: they run over its edge."
)
_BEYOND = {Below.TIP: _OVER_TIP, Below.ROUND: _OVER_ROUND}
_OVER_SEAM = mark(
    "The handle legs measure {value} across, but the base is {limit} wide: they run into "
    "the corner seam."
)
_NOTHING_TO_TURN = mark(
    "A strip {strip} wide has nothing to turn in for a handle {value} wide: make the "
    "handle at least {limit} wide."
)
_NARROW = mark(
    "Four layers of this material do not fold flat to {value}: make the handle at least "
    "{limit} wide."
)
_SHORT_PIECE = mark(
    "One strip leaves only {value} between its joins: less than {limit} is hard to turn in "
    "and press."
)
_JOIN_WHOLE = plural(
    "Join 1 strip, as long as its material is wide",
    "Join {count} strips, each as long as its material is wide",
)
_JOIN_LAST = plural("Join 1 strip, {value} long", "Join {count} strips, the last one {value} long")
