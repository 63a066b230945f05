"""What room the wall leaves inside panels and strip. Lengths are mm."""

from typing import TYPE_CHECKING

from core.base.sentences import Sentence, mark
from core.base.tolerance import shorter
from core.model.findings import Finding, Severity
from core.site.site import Finished

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody

LEAST_INSIDE = 0.25
"""Share of the box that is left inside the wall: with less, little fits in (own choice)."""


def room_finding(body: "StripBody", wall: float, finished: Finished) -> Finding | None:
    """That a wall of this thickness leaves no room inside, or little; None where it leaves some."""
    if not shorter(0.0, wall):
        return None
    for name, told, walls in (
        ("face_width", _NO_WIDTH, 2),
        ("gusset_depth", _NO_DEPTH, 2),
        ("face_height", _NO_HEIGHT, 2 if body.closed else 1),
    ):
        size = finished[name] or 0.0
        # A size that is not there at all is another finding.
        if shorter(0.0, size) and not shorter(walls * wall, size):
            return Finding(
                code="no-room-inside",
                severity=Severity.STOP,
                figure=name,
                value=size,
                limit=walls * wall,
                message=Sentence(told, {"value": size, "wall": wall}),
            )
    inside, box = finished["inside_volume"], finished["box_volume"]
    if inside is None or box is None or inside >= LEAST_INSIDE * box:
        return None
    return Finding(
        code="little-room-inside",
        severity=Severity.WARN,
        figure="inside_volume",
        value=inside,
        limit=None,
        message=Sentence(_LITTLE, {"wall": wall}),
    )


_NO_WIDTH = mark("Nothing fits inside: two walls of {wall} take up the face, {value} wide.")
_NO_DEPTH = mark("Nothing fits inside: two walls of {wall} take up the strip, {value} deep.")
_NO_HEIGHT = mark("Nothing fits inside: walls of {wall} take up the height of {value}.")
_LITTLE = mark("The wall, {wall} thick, takes up most of the space in the bag: little fits inside.")
