"""Whether corners can be sewn, and whether joins keep clear of them. Lengths are mm."""

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from core.base.sentences import Template, mark, say
from core.base.tolerance import shorter
from core.bodies.gusset_strip.draft import RIGHT_ANGLE
from core.bodies.gusset_strip.sizes import (
    STRIP_LENGTH,
    STRIP_PIECES,
    TOP_STRIP_LENGTH,
    UPPER_ROUNDING,
)
from core.bodies.gusset_strip.solving import SQUARED
from core.bodies.gusset_strip.words import words_of
from core.bodies.rounded import CORNER_ROUNDING
from core.model.figures import CutFigure
from core.model.findings import Finding, Fix, Severity
from core.site.site import Site

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody

LEAST_RADIUS, RADIUS_IN_WALLS = 12.0, 3.0
"""The tightest corner that is sewn neatly, mm, and in pressed walls (own choice)."""
_CLEAR = 1e-3
"""mm; how much farther from a corner a fix moves a join than it must."""


def corner_findings(body: "StripBody", site: Site) -> Iterator[Finding]:
    """Roundings that are too tight, and joins that lie on a corner."""
    yield from _tight(body, site)
    yield from _joins(body, site)


def _tight(body: "StripBody", site: Site) -> Iterator[Finding]:
    """That corners are rounded too tightly, told of the tighter ones."""
    least = max(LEAST_RADIUS, RADIUS_IN_WALLS * site.pressed)
    radii = {CORNER_ROUNDING: body.stitched_radius, UPPER_ROUNDING: body.stitched_upper_radius}
    tight = {
        figure: radius
        for figure, radius in radii.items()
        if shorter(0.0, radius) and shorter(radius, least)
    }
    if not tight:
        return
    figure = min(tight, key=lambda each: tight[each])
    yield Finding(
        code="corner-too-tight",
        severity=Severity.WARN,
        figure=figure.name,
        value=tight[figure] + body.gusset_seam,
        limit=least + body.gusset_seam,
        message=say(_TIGHT, value=tight[figure], limit=least),
        fixes=tuple(_wider(body, site, tight, least)),
    )


def _wider(
    body: "StripBody", site: Site, tight: Mapping[CutFigure, float], least: float
) -> Iterator[Fix]:
    """Round the corners more, and cut the strip as much shorter as the panels' edge gets."""
    rounding = least + body.gusset_seam
    more = math.fsum(least - radius for radius in tight.values())
    sizes = dict.fromkeys(tight, rounding)
    sizes[STRIP_LENGTH] = body.strip_length - SQUARED * more
    if body.can_be({figure.attribute: size for figure, size in sizes.items()}, site):
        label = say("Round the corners by {value}", value=rounding)
        yield Fix(label, tuple((figure.name, size) for figure, size in sizes.items()))


_TIGHT = mark(
    "The corners are rounded by only {value} along the stitch line: a wall as thick as this one "
    "puckers below {limit}."
)


def corner_spans(body: "StripBody") -> tuple[tuple[float, float], ...]:
    """From where to where the strip goes round each corner at its upper end.

    Along the strip from the middle of the bottom, mm; a square corner is one place. The last is
    the upper corner, of a ring alone.
    """
    half, radius, upper = body.bottom_half, body.stitched_radius, body.stitched_upper_radius
    low = half - radius
    found = [(low, low + radius * RIGHT_ANGLE)]
    if body.closed:
        high = body.face_cut_height - 2 * body.gusset_seam
        start = found[0][1] + high - radius - upper
        found.append((start, start + upper * RIGHT_ANGLE))
    return tuple(found)


def _on_corner(body: "StripBody", at: float) -> tuple[float, float] | None:
    """The corner on which a join lies with its allowances; None where it lies on a straight."""
    room = body.strip_seam
    for low, high in corner_spans(body):
        if shorter(low - room, abs(at)) and shorter(abs(at), high + room):
            return low - room, high + room
    return None


def joins_of(body: "StripBody") -> tuple[float, ...]:
    """Where the pieces of the strip are joined, along it, mm."""
    return tuple(body.strip_ends(number)[1] for number in range(body.strip_pieces - 1))


def _is_clear(body: "StripBody") -> bool:
    """Whether every join lies on a straight."""
    ends = (body.drawn_strip / 2,) if body.closed else ()
    return all(_on_corner(body, at) is None for at in (*joins_of(body), *ends))


def _joins(body: "StripBody", site: Site) -> Iterator[Finding]:
    """That a join of the strip, or of strip and top strip, lies on a corner."""
    for at in joins_of(body):
        corner = _on_corner(body, at)
        if corner is not None:
            yield _on_it(
                body,
                STRIP_PIECES.name,
                float(body.strip_pieces),
                at,
                _JOIN,
                _other_count(body, site),
            )
            break
    if not body.closed:
        return
    end = body.drawn_strip / 2
    corner = _on_corner(body, end)
    if corner is not None:
        fixes = tuple(fix for to in corner for fix in _moved_end(body, site, end, to))
        yield _on_it(body, TOP_STRIP_LENGTH.name, body.top_strip_length, end, _END, fixes)


def _on_it(
    body: "StripBody",
    figure: str,
    value: float,
    at: float,
    message: Template,
    fixes: tuple[Fix, ...],
) -> Finding:
    return Finding(
        code="strip-join-on-corner",
        severity=Severity.WARN,
        figure=figure,
        value=value,
        limit=None,
        message=say(message, terms={"panels": words_of(body).panels}, value=abs(at)),
        fixes=fixes,
    )


def _other_count(body: "StripBody", site: Site) -> tuple[Fix, ...]:
    """As many pieces as leave no join on a corner; more rather than fewer."""
    now = body.strip_pieces
    for pieces in (*range(now + 1, int(STRIP_PIECES.high) + 1), *range(now - 1, 0, -1)):
        if not body.can_be({STRIP_PIECES.attribute: pieces}, site):
            continue
        if _is_clear(body.having({STRIP_PIECES.attribute: pieces})):
            label = say("Cut the strip in {number}", numbers={"number": pieces})
            return (Fix(label, ((STRIP_PIECES.name, pieces),), tried=True),)
    return ()


def _moved_end(body: "StripBody", site: Site, end: float, to: float) -> Iterator[Fix]:
    """Move the joins to the top strip off the corner: it is as much longer as the strip is not."""
    shift = to - end + (_CLEAR if to > end else -_CLEAR)
    top, length = body.top_strip_length - 2 * shift, body.strip_length + 2 * shift
    sizes = {TOP_STRIP_LENGTH.attribute: top, STRIP_LENGTH.attribute: length}
    if not body.can_be(sizes, site):
        return
    if _is_clear(body.having(sizes)):
        label = say("Cut the top strip {value} long", value=top)
        moved = (TOP_STRIP_LENGTH.name, top), (STRIP_LENGTH.name, length)
        yield Fix(label, moved, tried=True)


_JOIN = mark(
    "A join of the strip lies {value} from the middle of the bottom, on a corner of the {panels}: "
    "its allowances do not go round."
)
_END = mark(
    "The top strip is too long or too short for these {panels}: it is joined on {value} from the "
    "middle of the bottom, on a corner, and the allowances do not go round."
)
