"""What is doubtful about a pocket: its corners, what is sewn above it, its height. mm."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from core.base.sentences import mark, say
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH
from core.flat.roles import Face
from core.model.findings import Finding, Fix, Severity
from core.parts.rolls import below_rolls, fill_line, rolled_in
from core.site.site import FOOT_ROOM, Below, Site

if TYPE_CHECKING:
    from core.parts.pocket.pocket import Pocket

NO_POCKET = MM_PER_INCH
"""A pocket lower than this takes nothing at all (own choice); no hand, than one needs."""

_LOW = mark("The pocket is only {value} high: a hand needs {limit} to reach in.")
_NO_POCKET = mark(
    "The pocket is only {value} high: its upper edge and its bottom stitching almost meet, "
    "and a hand needs {limit}."
)
_PAST_BOTTOM = {
    Face.FRONT: mark("The front pocket runs {value} past the bottom, onto the other face."),
    Face.BACK: mark("The back pocket runs {value} past the bottom, onto the other face."),
}
_PAST_SEAM = {
    Face.FRONT: mark("The front pocket runs {value} past the seam below it, off its face."),
    Face.BACK: mark("The back pocket runs {value} past the seam below it, off its face."),
}
_ONTO_BASE = {
    Face.FRONT: mark("The front pocket runs {value} past the face, onto the bottom."),
    Face.BACK: mark("The back pocket runs {value} past the face, onto the bottom."),
}
_INTO_ROUND = {
    Face.FRONT: mark(
        "The front pocket runs {value} into the rounded corners: its own corners stand out there."
    ),
    Face.BACK: mark(
        "The back pocket runs {value} into the rounded corners: its own corners stand out there."
    ),
}
_INTO_CORNER = {
    Face.FRONT: mark("The front pocket runs {value} past the corner seam and into the corner cut."),
    Face.BACK: mark("The back pocket runs {value} past the corner seam and into the corner cut."),
}
_INTO_TIP = {
    Face.FRONT: mark("The front pocket runs {value} past the corner seam, into the tip."),
    Face.BACK: mark("The back pocket runs {value} past the corner seam, into the tip."),
}
_INTO_SEAM = {
    Face.FRONT: mark(
        "The front pocket runs {value} into the corner seam: its edge will be caught there."
    ),
    Face.BACK: mark(
        "The back pocket runs {value} into the corner seam: its edge will be caught there."
    ),
}
_ROLLED = mark(
    "The pocket's upper edge is {value} below the top edge, and down to the fill line, {limit} "
    "below it, all is rolled in: it opens only with the top unrolled."
)
_BEYOND = {Below.TIP: _INTO_TIP, Below.ROUND: _INTO_ROUND}
_NEAR_TOP = mark(
    "There is only {value} between the pocket's upper edge and the stitch line above it: "
    "the presser foot needs {limit} and would ride on the edge."
)
_MEETS_TOP = mark(
    "The pocket's upper edge is {value} below the cut edge, above the stitch line at "
    "{limit}: it will be sewn shut."
)


def pocket_findings(pocket: "Pocket", site: Site) -> tuple[Finding, ...]:
    """Whether the pocket clears the corners below and the seam or hem above, and takes a hand."""
    found = [_corner_finding(pocket, site, face) for face in pocket.faces.faces]
    worst = max((each for each in found if each), key=lambda each: each.severity, default=None)
    worst_one = (worst,) if worst else ()
    return (
        *worst_one,
        *_top_finding(pocket, site),
        *_rolled_finding(pocket, site),
        *_height_finding(pocket, site),
    )


def _corner_finding(pocket: "Pocket", site: Site, face: Face) -> Finding | None:
    seat = site.seats[face]
    bottom, stitch = pocket.bottom(site, face), seat.clear_of
    if not shorter(bottom, stitch):
        return None
    cut_into = shorter(bottom, seat.cut_low)
    message = _BEYOND.get(seat.below, _INTO_CORNER) if cut_into else _INTO_SEAM
    if not seat.cornered:
        message = _PAST_SEAM if seat.below is Below.SEAM else _PAST_BOTTOM
        message = _ONTO_BASE if shorter(0.0, seat.low) else message
    elif seat.below is Below.ROUND and shorter(bottom, seat.low):
        message = _PAST_SEAM
    # A bottom fold has no base of its own: there it is the corner's finding, as it always was.
    meets_base = not seat.cornered and (not seat.flat_below or shorter(0.0, seat.low))
    drop = seat.top - pocket.height - stitch
    fixes: tuple[Fix, ...] = ()
    if not shorter(drop, seat.top_allowance):
        label = say("Set the pocket drop to {value}", value=drop)
        fixes = (Fix(label, (("pocket_drop", drop),)),)
    return Finding(
        code="pocket-meets-base" if meets_base else "pocket-meets-corner",
        severity=Severity.STOP if cut_into else Severity.WARN,
        figure="pocket_drop",
        value=pocket.drop,
        limit=None if shorter(drop, 0.0) else drop,
        message=say(message[face], value=stitch - bottom),
        fixes=fixes,
    )


def _top_finding(pocket: "Pocket", site: Site) -> Iterator[Finding]:
    """Whether the pocket's upper edge lies clear of the seam above it, and of its foot."""
    seam = pocket.seam_above(site)
    clear = seam + FOOT_ROOM
    if not shorter(pocket.drop, clear):
        return
    shut = shorter(pocket.drop, seam)
    room = pocket.room(site) - pocket.height
    drop = next((each for each in (clear, seam) if not shorter(room, each)), None)
    fixes: tuple[Fix, ...] = ()
    if drop is not None and (shut or drop == clear):
        label = say("Set the pocket drop to {value}", value=drop)
        fixes = (Fix(label, (("pocket_drop", drop),)),)
    message = say(_MEETS_TOP, value=pocket.drop, limit=seam)
    if not shut:
        message = say(_NEAR_TOP, value=pocket.drop - seam, limit=FOOT_ROOM)
    yield Finding(
        code="pocket-meets-zip" if shut else "pocket-near-zip",
        severity=Severity.STOP if shut else Severity.NOTE,
        figure="pocket_drop",
        value=pocket.drop,
        limit=seam if shut else clear,
        message=message,
        fixes=fixes,
    )


def _rolled_finding(pocket: "Pocket", site: Site) -> Iterator[Finding]:
    """Whether it lies below the rolls of a top that is rolled down."""
    limit, drop = (each(site, pocket.faces.faces) for each in (fill_line, below_rolls))
    if not shorter(pocket.drop, limit) or shorter(pocket.drop, pocket.seam_above(site)):
        return  # above the seam it is sewn shut, which stops
    lower = pocket.lowered(site, drop)
    changes: tuple[tuple[str, float], ...] = (("pocket_drop", drop),)
    if shorter(lower.height, pocket.height):
        changes += (("pocket_cut_height", lower.cut_height),)
    fix = Fix(say("Set the pocket drop to {value}", value=drop), changes, tried=True)
    yield rolled_in("pocket-in-rolls", "pocket_drop", pocket.drop, limit, _ROLLED, (fix,))


def _height_finding(pocket: "Pocket", site: Site) -> Iterator[Finding]:
    if not shorter(pocket.height, site.hand):
        return
    cut, none = 2 * (site.hand + pocket.seam), shorter(pocket.height, NO_POCKET)
    room = pocket.room(site) - pocket.drop
    fixes: tuple[Fix, ...] = ()
    if not shorter(room, site.hand):
        label = say("Cut the pocket {value} high", value=cut)
        fixes = (Fix(label, (("pocket_cut_height", cut),)),)
    yield Finding(
        code="pocket-low",
        severity=Severity.WARN if none else Severity.NOTE,
        figure="pocket_height",
        value=pocket.height,
        limit=NO_POCKET if none else site.hand,
        message=say(_NO_POCKET if none else _LOW, value=pocket.height, limit=site.hand),
        fixes=fixes,
    )
