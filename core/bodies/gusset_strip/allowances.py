"""Other seam allowances that leave finished sizes alone, and where seams cross. Lengths are mm."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from core.base.sentences import mark, plural, say
from core.base.tolerance import shorter
from core.bodies.gusset_strip.sizes import (
    FACE_CUT_HEIGHT,
    FACE_CUT_WIDTH,
    GUSSET,
    GUSSET_SEAM,
    STRIP_LENGTH,
    STRIP_PIECES,
    STRIP_SEAM,
    STRIP_WIDTH,
    TOP_SEAM,
    TOP_STRIP_LENGTH,
    UPPER_ROUNDING,
)
from core.bodies.rounded import CORNER_ROUNDING
from core.model.findings import Allowance, Crossing, Finding, Fix, Severity
from core.site.owner import KeepSizes, Moved
from core.site.site import Site

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody


def own_allowances(body: "StripBody", top: Allowance) -> tuple[Allowance, ...]:
    """Of the ring, of what is joined end to end, and of the top."""
    found = [Allowance(GUSSET_SEAM.name, mark("gusset seam"), body.gusset_seam), top]
    if body.applies(STRIP_SEAM.name):
        found.append(Allowance(STRIP_SEAM.name, mark("joins of the strip"), body.strip_seam))
    return tuple(found)


def other_allowances(
    body: "StripBody", wanted: Mapping[str, float], shows: float
) -> tuple[dict[str, float], Moved]:
    """As `Body.with_allowances`: every finished size and the mismatch stay.

    What shows of a zip lies in the top strip, whose halves are as much narrower.
    """
    seam, join, top = (
        wanted.get(figure.name, now) - now
        for figure, now in (
            (GUSSET_SEAM, body.gusset_seam),
            (STRIP_SEAM, body.strip_seam),
            (TOP_SEAM, body.top_seam),
        )
    )
    end, above = (join, seam) if body.closed else (top, top)
    more = {
        GUSSET_SEAM: seam,
        STRIP_SEAM: join,
        TOP_SEAM: top,
        FACE_CUT_WIDTH: 2 * seam,
        FACE_CUT_HEIGHT: seam + above,
        STRIP_WIDTH: 2 * seam,
        STRIP_LENGTH: 2 * end,
    }
    if body.closed:
        more[TOP_STRIP_LENGTH] = 2 * join
    for figure in (CORNER_ROUNDING, UPPER_ROUNDING):
        if getattr(body, figure.attribute) > 0.0:
            more[figure] = seam
    changes = {
        figure.name: getattr(body, figure.attribute) + size
        for figure, size in more.items()
        if size != 0.0
    }
    return changes, Moved(width=2 * seam, top=above if body.MAKES is GUSSET else end)


def crossings(site: Site, *, joined: bool) -> tuple[Crossing, ...]:
    """Where a join of the strip lies in the gusset seam.

    There are a wall of the panel, one of the strip, and an allowance of the join, pressed open.
    """
    return (Crossing(_AT_JOIN, _JOIN, mark("a join"), meets_sides=True),) if joined else ()


_AT_JOIN = 3
_JOIN = plural(
    "Where a join of the strip and the gusset seam cross, 1 wall goes under the presser foot, "
    "{value} thick when pressed; your machine takes {limit}.",
    "Where a join of the strip and the gusset seam cross, {count} walls go under the presser "
    "foot, {value} thick when pressed; your machine takes {limit}.",
)


def upside_down(body: "StripBody", site: Site, keep: KeepSizes) -> Iterator[Finding]:
    """That a print that runs one way stands on its head on one leg of a strip in one piece."""
    outer = site.sandwich.layers[0]
    if not outer.one_way or body.strip_pieces > 1:
        return
    changes: Mapping[str, float] | None = {}
    if shorter(body.strip_seam, site.sandwich.least_allowance):
        changes = keep({STRIP_SEAM.name: site.new_allowance})
    fixes: tuple[Fix, ...] = ()
    if changes is not None and shorter(2 * body.lower_arc, body.drawn_strip):
        label = say("Join the strip in the middle of the bottom")
        fixes = (Fix(label, ((STRIP_PIECES.name, 2), *changes.items())),)
    yield Finding(
        code="print-upside-down",
        severity=Severity.NOTE,
        figure=STRIP_PIECES.name,
        value=1,
        limit=None,
        message=say(_PRINT if body.MAKES is GUSSET else _ON_BACK, words={"goods": outer.title}),
        fixes=fixes,
    )


_PRINT = mark(
    "The print or nap of {goods} runs one way, and the strip runs down one side and up the other: "
    "on one side it is upside down."
)
_ON_BACK = mark(
    "The print or nap of {goods} runs one way, and the strip runs down the back and up the front: "
    "on the back it is upside down."
)
