"""What is doubtful about base and walls: lengths, corners, side seams, room, reach. mm."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from core.base.sentences import Sentence, Template, mark, say
from core.base.tolerance import same_length, shorter
from core.bodies.boxed_panel.findings import MATCH_NOTE, MATCH_STOP, MATCH_WARN
from core.bodies.boxed_panel.measure import box_room
from core.bodies.openings import opening_findings
from core.bodies.rounded import CORNER_ROUNDING
from core.bodies.separate_base.sizes import (
    BASE_DEPTH,
    BASE_MISMATCH,
    BASE_WIDTH,
    BODY_WIDTH,
    END_MISMATCH,
    END_WIDTH,
    ROUND_OFF,
)
from core.model.findings import Finding, Fix, Severity
from core.site.site import FOOT_ROOM, Finished, Site

if TYPE_CHECKING:
    from core.bodies.separate_base.body import SeparateBase

WARN_SHARE, STOP_SHARE = 0.005, 0.015
"""Shares of a long seam from which its ease is a disappointment, or impossible (own choice)."""
LEAST_RADIUS, RADIUS_IN_WALLS = 12.0, 3.0
"""The tightest corner that is sewn neatly, mm, and in pressed walls (own choice)."""
NO_PIECE = FOOT_ROOM / 5
"""Between its seams a piece that is narrower cannot be sewn or turned, mm (own choice)."""
CLEAR_OF_CORNER = 6.0
"""How far off a rounding the allowances of a side seam end at least, mm (own choice)."""


def base_findings(body: "SeparateBase", site: Site, finished: Finished) -> tuple[Finding, ...]:
    """Whether walls and base fit, corners can be sewn, room is left, and a hand gets in."""
    room = room_finding(body, site.wall, finished)
    return (
        *_size_findings(body, finished),
        *(() if room is None else (room,)),
        *_mismatch_findings(body, site),
        *_tight_findings(body, site),
        *_seam_findings(body),
        *opening_findings(site, finished),
    )


def room_finding(body: "SeparateBase", wall: float, finished: Finished) -> Finding | None:
    """As for any bag with a bottom."""
    return box_room(wall, finished) if shorter(0.0, wall) else None


def _size_findings(body: "SeparateBase", finished: Finished) -> Iterator[Finding]:
    for name, message in _NARROW.items():
        size = finished[name] or 0.0
        if shorter(size, FOOT_ROOM):
            yield Finding(
                code="base-narrow",
                severity=Severity.STOP if shorter(size, NO_PIECE) else Severity.WARN,
                figure=name,
                value=size,
                limit=FOOT_ROOM,
                message=say(message, value=size, limit=FOOT_ROOM),
                fixes=tuple(_widened(body, name, FOOT_ROOM - size)),
            )
    face, deep = (finished[name] or 0.0 for name in ("face_height", "gusset_depth"))
    if shorter(face, deep):
        yield Finding(
            code="face-too-short",
            severity=Severity.NOTE,
            figure="face_height",
            value=face,
            limit=deep,
            message=say(_LOW, value=face, limit=deep),
        )


def _widened(body: "SeparateBase", name: str, missing: float) -> Iterator[Fix]:
    """Cut the base so much wider or deeper, and the walls to go as well round it."""
    across = name == "base_width"
    figure, told = (BASE_WIDTH, _BASE_WIDE) if across else (BASE_DEPTH, _BASE_DEEP)
    if body.body_pieces == 4:
        wall, longer = (BODY_WIDTH if across else END_WIDTH), missing
    else:
        wall, longer = BODY_WIDTH, 2 * missing / body.body_pieces
    sizes = {each: getattr(body, each.attribute) for each in (figure, wall)}
    changes = {figure.name: sizes[figure] + missing, wall.name: sizes[wall] + longer}
    yield from _fix(body, say(told, value=changes[figure.name]), changes)


_BASE_WIDE, _BASE_DEEP = mark("Cut the base {value} wide"), mark("Cut the base {value} deep")
_NARROW = {
    "base_width": mark("The base is only {value} wide: the presser foot needs {limit}."),
    "gusset_depth": mark("The base is only {value} deep: the presser foot needs {limit}."),
}
_LOW = mark(
    "The face is {value} high and the bottom {limit} deep: the bag will be lower than it is deep."
)


def _mismatch_findings(body: "SeparateBase", site: Site) -> Iterator[Finding]:
    """Whether the walls are as long as the way round the base, within ease."""
    name, off, edge = _worst(body)
    limits = (
        (max(MATCH_STOP, STOP_SHARE * edge), Severity.STOP),
        (max(MATCH_WARN, WARN_SHARE * edge), Severity.WARN),
        (MATCH_NOTE, Severity.NOTE),
    )
    for limit, severity in limits:
        if shorter(abs(off), limit):
            continue
        yield Finding(
            code="base-edges-differ",
            severity=severity,
            figure=name,
            value=off,
            limit=limit if off > 0.0 else -limit,
            message=_mismatch(body, name, severity, off),
            fixes=tuple(_mismatch_fixes(body, site)),
        )
        return


def _mismatch(body: "SeparateBase", name: str, severity: Severity, off: float) -> Sentence:
    """How much too long walls are for what they are sewn to; of four, which of them."""
    if body.body_pieces != 4:
        return say(_MISMATCH[severity][off > 0.0], value=abs(off))
    walls = _OF_FOUR[name == END_MISMATCH.name]
    return say(_WALL_MISMATCH[severity][off > 0.0], terms={"walls": walls}, value=abs(off))


def _worst(body: "SeparateBase") -> tuple[str, float, float]:
    """The mismatch that counts: its figure, how much too long the walls are, and of how much.

    Each of four walls has a side of the base of its own.
    """
    if body.body_pieces != 4:
        return BASE_MISMATCH.name, body.ring_length - body.way_round, body.way_round
    front, end = (
        (wall - 2 * body.side_seam - side, side)
        for wall, side in (
            (body.body_width, body.drawn_width),
            (body.body_end_width, body.drawn_depth),
        )
    )
    if abs(end[0]) > abs(front[0]):
        return END_MISMATCH.name, *end
    return BASE_MISMATCH.name, *front


def _mismatch_fixes(body: "SeparateBase", site: Site) -> Iterator[Fix]:
    """Cut the walls as wide as the base wants them, or the base as wide as the walls go round."""
    if body.body_pieces == 4:
        wide, deep = (side + 2 * body.side_seam for side in (body.drawn_width, body.drawn_depth))
        changes = {BODY_WIDTH.name: wide, END_WIDTH.name: deep}
        label = say("Cut front and back {wide} wide, the sides {deep}", wide=wide, deep=deep)
        # What lies on four walls may want them as wide as they are.
        if not site.closed or not shorter(deep, body.body_end_width):
            yield from _fix(body, label, changes)
        wide, deep = (
            wall - 2 * body.side_seam + 2 * body.base_seam
            for wall in (body.body_width, body.body_end_width)
        )
        label = say("Cut the base {wide} wide and {deep} deep", wide=wide, deep=deep)
        yield from _fix(body, label, {BASE_WIDTH.name: wide, BASE_DEPTH.name: deep})
        return
    over = body.ring_length - body.way_round
    wall = body.body_width - over / body.body_pieces
    cut = mark("Cut the wall {value} wide") if body.body_pieces == 1 else _EACH_WALL
    yield from _fix(body, say(cut, value=wall), {BODY_WIDTH.name: wall})
    base = body.base_cut_width + over / 2
    yield from _fix(body, say(_BASE_WIDE, value=base), {BASE_WIDTH.name: base})


def _fix(body: "SeparateBase", label: Sentence, changes: Mapping[str, float]) -> Iterator[Fix]:
    if body.can_be(changes):
        yield Fix(label, tuple(changes.items()))


_EACH_WALL = mark("Cut each wall {value} wide")
_MISMATCH: dict[Severity, tuple[Template, Template]] = {
    Severity.NOTE: (
        mark("The walls are {value} shorter than the way round the base: ease the base in."),
        mark("The walls are {value} longer than the way round the base: ease them in."),
    ),
    Severity.WARN: (
        mark("The walls are {value} shorter than the way round the base: it will pucker."),
        mark("The walls are {value} longer than the way round the base: they will pucker."),
    ),
    Severity.STOP: (
        mark("The walls are {value} shorter than the way round the base: they do not meet."),
        mark("The walls are {value} longer than the way round the base: they cannot be eased in."),
    ),
}
"""Where the base is longer, and where the walls are."""
_OF_FOUR = mark("Front and back are"), mark("The two sides are")
_WALL_MISMATCH: dict[Severity, tuple[Template, Template]] = {
    Severity.NOTE: (
        mark("{walls} {value} narrower than their edges of the base: ease the base in."),
        mark("{walls} {value} wider than their edges of the base: ease them in."),
    ),
    Severity.WARN: (
        mark("{walls} {value} narrower than their edges of the base: it will pucker."),
        mark("{walls} {value} wider than their edges of the base: they will pucker."),
    ),
    Severity.STOP: (
        mark("{walls} {value} narrower than their edges of the base: they do not meet it."),
        mark("{walls} {value} wider than their edges of the base: they cannot be eased in."),
    ),
}
"""The same of each of four walls and the edge of the base that it is sewn to."""


def _tight_findings(body: "SeparateBase", site: Site) -> Iterator[Finding]:
    """That the corners are rounded more tightly than the wall goes round."""
    least, radius = max(LEAST_RADIUS, RADIUS_IN_WALLS * site.pressed), body.drawn_radius
    if body.corner_rounding and shorter(radius, least):
        yield Finding(
            code="corner-too-tight",
            severity=Severity.WARN,
            figure=CORNER_ROUNDING.name,
            value=body.corner_rounding,
            limit=least + body.base_seam,
            message=say(_TIGHT, value=radius, limit=least),
            fixes=tuple(_rounded_by(body, least)),
        )


_TIGHT = mark(
    "The corners are rounded by only {value} along the stitch line: a wall as thick as this one "
    "puckers below {limit}."
)


def _rounded_by(body: "SeparateBase", radius: float) -> Iterator[Fix]:
    """Round the base so along its stitch line, and cut the walls to go as well round it."""
    rounding = radius + body.base_seam
    shorter_by = ROUND_OFF * (radius - body.drawn_radius) / body.body_pieces
    changes = {
        CORNER_ROUNDING.name: rounding,
        BODY_WIDTH.name: body.body_width - shorter_by,
    }
    yield from _fix(body, say("Round the corners by {value}", value=rounding), changes)


def _seam_findings(body: "SeparateBase") -> Iterator[Finding]:
    """That a side seam comes down on a rounding: its allowances do not go round it."""
    radius, half = body.drawn_radius, body.drawn_depth / 2
    straight, room = half - radius, body.side_seam + CLEAR_OF_CORNER
    # Where the ends are half circles there is no better place.
    if not body.corner_rounding or same_length(straight, 0.0) or not shorter(straight, room):
        return
    yield Finding(
        code="ring-seam-on-corner",
        severity=Severity.WARN,
        figure=CORNER_ROUNDING.name,
        value=body.corner_rounding,
        limit=half - room + body.base_seam if half > room else None,
        message=say(_ON_CORNER, value=max(straight, 0.0), limit=room),
        fixes=tuple(_rounded_by(body, half - room)) if half > room else (),
    )


_ON_CORNER = mark(
    "Between side seam and rounded corners the base is straight for only {value}: with "
    "their allowances they need {limit}, or they lie on the rounding."
)
