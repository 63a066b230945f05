"""What is doubtful about panels and strip: lengths, corners, joins, room, reach. Lengths are mm."""

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from core.base.sentences import Template, mark, say
from core.base.tolerance import shorter
from core.bodies.boxed_panel.findings import (
    MATCH_NOTE,
    MATCH_STOP,
    MATCH_WARN,
)
from core.bodies.gusset_strip.corners import corner_findings
from core.bodies.gusset_strip.room import room_finding
from core.bodies.gusset_strip.sizes import (
    FACE_CUT_HEIGHT,
    FACE_CUT_WIDTH,
    GUSSET,
    STRIP_LENGTH,
    STRIP_WIDTH,
)
from core.bodies.gusset_strip.solving import SQUARED
from core.bodies.openings import opening_findings
from core.bodies.rounded import CORNER_ROUNDING
from core.model.findings import Finding, Fix, Severity
from core.site.site import FOOT_ROOM, Finished, Site

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody

WARN_SHARE, STOP_SHARE = 0.005, 0.015
"""Shares of a long seam from which its ease is a disappointment, or impossible (own choice)."""
NO_PIECE = FOOT_ROOM / 5
"""Between its seams a piece that is narrower cannot be sewn or turned, mm (own choice)."""
SLIP = 1.0
"""How near to the slip of a strip reckoned from cut sizes a difference is taken for it, mm."""


def body_findings(body: "StripBody", site: Site, finished: Finished) -> tuple[Finding, ...]:
    """Whether the strip goes round, corners can be sewn, room is left, and a hand gets in."""
    room = room_finding(body, site.wall, finished)
    return (
        *_size_findings(body, site, finished),
        *(() if room is None else (room,)),
        *_mismatch_findings(body, site, finished),
        *corner_findings(body, site),
        *opening_findings(site, finished),
    )


def _known(finished: Finished, name: str) -> float:
    value = finished[name]
    if value is None:
        raise KeyError(name)
    return value


def _size_findings(body: "StripBody", site: Site, finished: Finished) -> Iterator[Finding]:
    """Whether bottom and strip are wide enough for a foot, and the bag stands."""
    told = _NARROW if body.MAKES is GUSSET else _NARROW_WRAP
    for name, message in told.items():
        size = _known(finished, name)
        if shorter(size, FOOT_ROOM):
            # Between roundings a bottom may be flat for next to nothing; a piece may not be so.
            between = name == "base_width" and body.MAKES is GUSSET and body.corner_rounding > 0.0
            gone = not between and shorter(size, NO_PIECE)
            yield Finding(
                code="base-narrow",
                severity=Severity.STOP if gone else Severity.WARN,
                figure=name,
                value=size,
                limit=FOOT_ROOM,
                message=say(message, value=size, limit=FOOT_ROOM),
                fixes=tuple(_widened(body, site, name, FOOT_ROOM - size)),
            )
    high, deep = _known(finished, "face_height"), _known(finished, "gusset_depth")
    if shorter(high, deep):
        yield Finding(
            code="face-too-short",
            severity=Severity.NOTE,
            figure="face_height",
            value=high,
            limit=deep,
            message=say(_LOW, value=high, limit=deep),
        )


def _widened(body: "StripBody", site: Site, name: str, missing: float) -> Iterator[Fix]:
    """Round the corners less, or cut what is narrow wider; the strip goes round as well."""
    across = name == ("base_width" if body.MAKES is GUSSET else "gusset_depth")
    radius = body.stitched_radius - missing / 2
    if across and body.MAKES is GUSSET and shorter(0.0, radius):
        size = radius + body.gusset_seam
        longer = body.strip_length + SQUARED * missing / 2
        label = say("Round the corners by {value}", value=size)
        sizes = {CORNER_ROUNDING: size, STRIP_LENGTH: longer}
    elif across:
        size = body.face_cut_width + missing
        longer = body.strip_length + missing * (2 if body.closed else 1)
        label = say("Cut the panels {value} wide", value=size)
        sizes = {FACE_CUT_WIDTH: size, STRIP_LENGTH: longer}
    else:
        size = body.strip_width + missing
        label = say("Cut the strip {value} wide", value=size)
        sizes = {STRIP_WIDTH: size}
    if body.can_be({figure.attribute: value for figure, value in sizes.items()}, site):
        yield Fix(label, tuple((figure.name, value) for figure, value in sizes.items()))


_NARROW = {
    "base_width": mark(
        "The bottom is flat for only {value} between its corners: the presser foot needs {limit}."
    ),
    "gusset_depth": mark(
        "The strip is only {value} deep between its seams: the presser foot needs {limit}."
    ),
}
_NARROW_WRAP = {
    "base_width": mark(
        "The strip is only {value} wide between its seams: the presser foot needs {limit}."
    ),
    "gusset_depth": mark(
        "The ends are only {value} deep between their seams: the presser foot needs {limit}."
    ),
}
_LOW = mark(
    "The face is {value} high and the bottom {limit} deep: the bag will be lower than it is deep."
)


def limits_of_ease(edge: float) -> tuple[tuple[float, Severity], ...]:
    """From which difference on a seam of that length stops, warns, or is noted; mm."""
    return (
        (max(MATCH_STOP, STOP_SHARE * edge), Severity.STOP),
        (max(MATCH_WARN, WARN_SHARE * edge), Severity.WARN),
        (MATCH_NOTE, Severity.NOTE),
    )


def _mismatch_findings(body: "StripBody", site: Site, finished: Finished) -> Iterator[Finding]:
    """Whether the strip is as long as the edge that it is sewn to, within ease."""
    off = finished["gusset_mismatch"] or 0.0
    for limit, severity in limits_of_ease(body.drawn_edge):
        if shorter(abs(off), limit):
            continue
        message = _MISMATCH[severity][off > 0.0]
        if off < 0.0 and is_slip(body, -off):
            message = _SLIP_ROUND if body.corner_rounding > 0.0 else _SLIP
        yield Finding(
            code="gusset-edges-differ",
            severity=severity,
            figure="gusset_mismatch",
            value=off,
            limit=limit if off > 0.0 else -limit,
            message=say(message, value=abs(off)),
            fixes=tuple(_mismatch_fixes(body, site, off)),
        )
        return


def is_slip(body: "StripBody", excess: float) -> bool:
    """Whether a strip is as much too long as one that is reckoned from cut sizes.

    A square corner takes both allowances off it, two in all; a rounded one, whose stitch line is
    shorter than its cut edge by a quarter of a turn, pi / 2 of one. Round a ring with a gap the
    allowances of its joins may be among what was reckoned, and the slip may be halved between
    strip and top strip.
    """
    seam, square, rounded = body.gusset_seam, 2.0, math.pi / 2
    lower = 2 * (rounded if body.corner_rounding > 0.0 else square) * seam
    likely = [lower]
    if body.closed:
        upper = 2 * (rounded if body.upper_rounding > 0.0 else square) * seam
        around = lower + upper
        likely = [around / 2, around, around - 4 * body.strip_seam]
    return any(abs(excess - each) <= SLIP for each in likely)


def _mismatch_fixes(body: "StripBody", site: Site, off: float) -> Iterator[Fix]:
    """Cut the strip as long as the edge, or the panels as high as the strip allows."""
    length, high = body.strip_length + off, body.face_cut_height - off / 2
    if body.can_be({STRIP_LENGTH.attribute: length}, site):
        label = say("Cut the strip {value} long", value=length)
        yield Fix(label, ((STRIP_LENGTH.name, length),))
    if body.can_be({FACE_CUT_HEIGHT.attribute: high}, site):
        label = say("Cut the panels {value} high", value=high)
        yield Fix(label, ((FACE_CUT_HEIGHT.name, high),))


_SLIP = mark(
    "The strip is {value} too long, as one worked out from cut sizes: each corner takes "
    "two allowances off it."
)
_SLIP_ROUND = mark(
    "The strip is {value} too long, as one worked out from cut sizes: along the stitch line "
    "each corner is shorter than at the cut edge."
)
_MISMATCH: dict[Severity, tuple[Template, Template]] = {
    Severity.NOTE: (
        mark("The strip is {value} longer than the edge of the panels: ease it in."),
        mark("The strip is {value} shorter than the edge of the panels: ease them in."),
    ),
    Severity.WARN: (
        mark("The strip is {value} longer than the edge of the panels: it will pucker."),
        mark("The strip is {value} shorter than the edge of the panels: they will pucker."),
    ),
    Severity.STOP: (
        mark("The strip is {value} longer than the edge of the panels: it cannot be eased in."),
        mark("The strip is {value} shorter than the edge of the panels: it does not go round."),
    ),
}
"""Where the strip is longer, and where the panels are."""
