"""Where the base seam crosses the side seams: walls under the foot, pressed."""

from core.base.sentences import plural
from core.base.tolerance import shorter
from core.bodies.boxed_panel.allowances import SewnAllowances, walls_at_corner
from core.model.findings import Crossing
from core.site.site import Site


def side_allowances(site: Site) -> SewnAllowances:
    """How a side seam's allowances lie there: to one side, unless the foot does not take that.

    The base is one wall there, as the end of the bottom is in a boxed corner.
    """
    stack = walls_at_corner(SewnAllowances.ASIDE, seamed=False) * site.pressed
    opened = shorter(site.sandwich.foot_clearance, stack)
    return SewnAllowances.OPEN if opened else SewnAllowances.ASIDE


def base_crossings(site: Site) -> tuple[Crossing, ...]:
    """The base seam where a side seam comes down to it."""
    return (Crossing(walls_at_corner(side_allowances(site), seamed=False), _CROSSED),)


_CROSSED = plural(
    "Where side seam and base seam cross, 1 wall goes under the presser foot even with the seams "
    "pressed open, {value} thick when pressed; your machine takes {limit}.",
    "Where side seam and base seam cross, {count} walls go under the presser foot even with the "
    "seams pressed open, {value} thick when pressed; your machine takes {limit}.",
)
