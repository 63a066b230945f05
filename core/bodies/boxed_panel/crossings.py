"""Where the seams of a boxed panel cross: how many walls lie under the foot there, pressed. mm.

A wall counts once for each time that the needle goes through all of its layers. How the
allowances lie decides: both on one side, or one on either side (common practice, no source; the
counts follow from the geometry).
"""

from enum import Enum

from core.base.sentences import plural
from core.base.tolerance import shorter
from core.model.findings import Crossing
from core.site.site import Site


class Allowances(Enum):
    """How the two allowances of a seam lie once it is sewn."""

    ASIDE = "turned to one side"
    OPEN = "pressed open"


def walls_at_corner(side: Allowances, *, seamed: bool) -> int:
    """Walls where a side seam meets the end of the base in a boxed corner.

    The corner seam joins the end of the base to the side edges, on whose middle the side seam
    lies. On the thicker side of that the needle goes through

    - the end of the base, one wall; where the bottom is a seam, which is always pressed open,
      one of its allowances too;
    - the face above it, one wall, and of the side seam both allowances where they are turned
      to one side, or one where they are pressed open.
    """
    base = 2 if seamed else 1
    return base + 1 + (2 if side is Allowances.ASIDE else 1)


def side_allowances(site: Site) -> Allowances:
    """How the side seam's allowances lie where the corner seam crosses them.

    Turned to one side, as they lie anyway, unless that is more than the foot takes.
    """
    stack = walls_at_corner(Allowances.ASIDE, seamed=site.front.under is None) * site.pressed
    return Allowances.OPEN if shorter(site.sandwich.foot_clearance, stack) else Allowances.ASIDE


def panel_crossings(site: Site) -> tuple[Crossing, ...]:
    """The boxed corner; without corners the side seam ends on the bottom seam, if there is one."""
    seamed = site.front.under is None
    if site.front.cornered:
        return (Crossing(walls_at_corner(side_allowances(site), seamed=seamed), _CORNER),)
    return (Crossing(_AT_BOTTOM, _BOTTOM),) if seamed else ()


_AT_BOTTOM = 4
"""A wall and an allowance of each face."""
_CORNER = plural(
    "Where side seam and corner seam cross, 1 wall goes under the presser foot even with the "
    "seams pressed open, {value} thick when pressed; your machine takes {limit}.",
    "Where side seam and corner seam cross, {count} walls go under the presser foot even with "
    "the seams pressed open, {value} thick when pressed; your machine takes {limit}.",
)
_BOTTOM = plural(
    "Where side seam and bottom seam cross, 1 wall goes under the presser foot, {value} thick "
    "when pressed; your machine takes {limit}.",
    "Where side seam and bottom seam cross, {count} walls go under the presser foot, {value} "
    "thick when pressed; your machine takes {limit}.",
)
