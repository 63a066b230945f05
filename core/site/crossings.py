"""Where seams cross: how many walls lie under the foot there, pressed. Lengths are mm.

A wall counts once for each time that the needle goes through all of its layers. How the
allowances lie decides: both on one side, or one on either side (common practice, no source; the
counts follow from the geometry).
"""

from dataclasses import dataclass
from enum import Enum

from core.base.sentences import Plural, Template, mark, plural, say
from core.base.tolerance import shorter
from core.model.findings import Finding, Severity
from core.site.site import Site


class Allowances(Enum):
    """How the two allowances of a seam lie once it is sewn."""

    ASIDE = "turned to one side"
    OPEN = "pressed open"


class Place(Enum):
    """What crosses the side seam."""

    CORNER = "corner"
    HEM = "hem"
    BOTTOM = "bottom"


@dataclass(frozen=True, slots=True)
class Crossing:
    """One place where the side seam is crossed.

    Attributes:
        place: by what.
        walls: under the foot, on the thicker side of the side seam.
        stack: their thickness, pressed.
    """

    place: Place
    walls: int
    stack: float


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


def walls_at_hem(*, layered: bool) -> int:
    """Walls where the side seam joins two hems.

    A layered edge is turned once, two walls on each face; a single layer twice, three.
    """
    return 2 * (2 if layered else 3)


WALLS_AT_BOTTOM = 4
"""Without corners the side seam ends on the bottom seam: a wall and an allowance of each face."""


def side_allowances(site: Site, foot_clearance: float) -> Allowances:
    """How the side seam's allowances lie where the corner seam crosses them.

    Turned to one side, as they lie anyway, unless that is more than the foot takes.
    """
    stack = walls_at_corner(Allowances.ASIDE, seamed=site.front.under is None) * site.pressed
    return Allowances.OPEN if shorter(foot_clearance, stack) else Allowances.ASIDE


def crossings(site: Site, foot_clearance: float, *, layered: bool) -> tuple[Crossing, ...]:
    """Every place where the side seam is crossed by more than its own two walls."""
    seamed = site.front.under is None
    found: list[tuple[Place, int]] = []
    if site.front.cornered:
        side = side_allowances(site, foot_clearance)
        found.append((Place.CORNER, walls_at_corner(side, seamed=seamed)))
    elif seamed:
        found.append((Place.BOTTOM, WALLS_AT_BOTTOM))
    if not site.closed and site.front.top_allowance > 0.0:
        found.append((Place.HEM, walls_at_hem(layered=layered)))
    return tuple(Crossing(place, walls, walls * site.pressed) for place, walls in found)


def thickness_finding(site: Site, foot_clearance: float, *, layered: bool) -> Finding | None:
    """That the thickest crossing is more than the foot takes; None when it is not."""
    every = crossings(site, foot_clearance, layered=layered)
    thickest = max(every, key=lambda each: each.stack, default=None)
    told: Template | Plural = _THICK_SIDE
    walls: dict[str, int] = {}
    stack = 2 * site.pressed  # of a side seam that nothing crosses
    if thickest is not None:
        told, stack, walls = _THICK[thickest.place], thickest.stack, {"count": thickest.walls}
    if not shorter(foot_clearance, stack):
        return None
    return Finding(
        code="too-thick-to-sew",
        severity=Severity.WARN,
        figure="foot_clearance",
        value=stack,
        limit=foot_clearance,
        message=say(told, value=stack, limit=foot_clearance, numbers=walls),
    )


_THICK_SIDE = mark(
    "At the side seam two walls go under the presser foot, {value} thick when pressed; "
    "your machine takes {limit}."
)
_THICK = {
    Place.CORNER: plural(
        "Where side seam and corner seam cross, 1 wall goes under the presser foot even with the "
        "seams pressed open, {value} thick when pressed; your machine takes {limit}.",
        "Where side seam and corner seam cross, {count} walls go under the presser foot even with "
        "the seams pressed open, {value} thick when pressed; your machine takes {limit}.",
    ),
    Place.HEM: plural(
        "Where side seam and hem cross, 1 wall goes under the presser foot, {value} thick when "
        "pressed; your machine takes {limit}.",
        "Where side seam and hem cross, {count} walls go under the presser foot, {value} thick "
        "when pressed; your machine takes {limit}.",
    ),
    Place.BOTTOM: plural(
        "Where side seam and bottom seam cross, 1 wall goes under the presser foot, {value} thick "
        "when pressed; your machine takes {limit}.",
        "Where side seam and bottom seam cross, {count} walls go under the presser foot, {value} "
        "thick when pressed; your machine takes {limit}.",
    ),
}
