"""Where parts are sewn on under a top that is rolled down: below its rolls. Lengths are mm."""

import math

from core.base.sentences import Template, say
from core.base.tolerance import shorter
from core.flat.roles import Face
from core.model.findings import Finding, Fix, Severity
from core.site.site import Site


def fill_line(site: Site, faces: tuple[Face, ...]) -> float:
    """How far below the cut top edge of these faces all is rolled in, mm; 0: nothing is."""
    if not shorter(0.0, site.rolled):
        return 0.0
    return max(site.seats[face].top_allowance for face in faces) + site.rolled


def below_rolls(site: Site, faces: tuple[Face, ...]) -> float:
    """The same, as a ruler can draw it."""
    return math.ceil(fill_line(site, faces) / site.ruler - 1e-9) * site.ruler


def rolled_in(
    code: str, figure: str, begins: float, limit: float, told: Template, fixes: tuple[Fix, ...]
) -> Finding:
    """What begins above the fill line is rolled in with the top.

    Args:
        figure: how far below the cut top edge it begins, mm.
        limit: the fill line.
        told: with {value} and {limit}, these two.
        fixes: that have it begin below the rolls.
    """
    return Finding(
        code=code,
        severity=Severity.WARN,
        figure=figure,
        value=begins,
        limit=limit,
        message=say(told, value=begins, limit=limit),
        fixes=fixes,
    )
