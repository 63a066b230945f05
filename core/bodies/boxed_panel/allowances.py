"""Other seam allowances of a panel that leave its finished sizes alone, and where seams cross. mm.

Where they cross, so many walls lie under the foot, pressed. A wall counts once for each time that
the needle goes through all of its layers. How the allowances lie decides: both on one side, or one
on either side (common practice, no source; the counts follow from the geometry).
"""

from collections.abc import Iterator, Mapping
from enum import Enum
from typing import TYPE_CHECKING

from core.base.sentences import mark, plural, say
from core.base.tolerance import shorter
from core.bodies.boxed_panel.sizes import Tips
from core.model.findings import Crossing, Finding, Fix, Severity
from core.site.owner import KeepSizes, Moved
from core.site.site import QUARTER_INCH, Site

if TYPE_CHECKING:
    from core.bodies.boxed_panel.panel import BoxedPanel


def other_allowances(
    panel: "BoxedPanel", wanted: Mapping[str, float], shows: float
) -> tuple[dict[str, float], Moved]:
    """As `Body.with_allowances`: opening, base, gusset, face and corner mismatch stay."""
    was = {each.name: getattr(panel, each.attribute) for each in panel.FIGURES}
    more = {name: wanted.get(name, size) - size for name, size in was.items()}
    side, corner, top, bottom = (
        more[name] for name in ("side_seam", "corner_seam", "zip_seam", "bottom_seam")
    )
    more["panel_width"] = 2 * side
    more["panel_length"] = 2 * (top + bottom) - shows
    if panel.has_corners and not panel.sewn_across:
        more["corner_cut_width"] = side - corner
        more["corner_cut_depth"] = bottom - corner
    changes = {name: was[name] + size for name, size in more.items() if size != 0.0}
    return changes, Moved(width=2 * side, top=more["panel_length"] / 2 - bottom)


def stands_as_well(panel: "BoxedPanel", site: Site, was: "BoxedPanel", site_before: Site) -> bool:
    """Whether its corners are still cut, and a front that had cloth above its base has as much."""
    cut_out = was.has_corners and not panel.sewn_across
    if cut_out and not shorter(0.0, min(panel.corner_width, panel.corner_depth)):
        return False
    room = _front_above_base(panel)
    return shorter(0.0, room) or not shorter(room, _front_above_base(was))


def _front_above_base(panel: "BoxedPanel") -> float:
    """From the base edge up to the stitch line at the top of the front."""
    edge = panel.cut_depth + panel.corner_allowance if panel.has_corners else panel.bottom_seam
    return panel.front_length - panel.top_seam - max(edge, panel.bottom_seam)


def seam_findings_of(panel: "BoxedPanel", site: Site, keep: KeepSizes) -> tuple[Finding, ...]:
    """A print upside down on one face for want of a bottom seam; tips trimmed too near."""
    return (*_upside_down(panel, site, keep), *_trimmed_near(panel, site, keep))


def _upside_down(panel: "BoxedPanel", site: Site, keep: KeepSizes) -> Iterator[Finding]:
    """That a print that runs one way turns over where the panel is folded."""
    outer = site.sandwich.layers[0]
    if not (outer.one_way and panel.folded):
        return
    changes = keep({"bottom_seam": site.new_allowance})
    label = say("Join front and back with a bottom seam of {value}", value=site.new_allowance)
    yield Finding(
        code="print-upside-down",
        severity=Severity.WARN,
        figure="bottom_seam",
        value=0.0,
        limit=None,
        message=say(_PRINT, words={"goods": outer.title}),
        fixes=(Fix(label, tuple(changes.items()), tried=True),) if changes else (),
    )


_PRINT = mark(
    "The print or nap of {goods} runs one way, and the panel runs down one face and up the "
    "other: on the back it is upside down."
)


def _trimmed_near(panel: "BoxedPanel", site: Site, keep: KeepSizes) -> Iterator[Finding]:
    """That tips are trimmed so near to their seams that a wall that frays does not hold."""
    seam, sandwich = panel.corner_seam, site.sandwich
    trimmed = panel.sewn_across and panel.has_corners and panel.tips is Tips.TRIMMED
    frays = any(not layer.wipe_clean for layer in sandwich.layers)
    thin = shorter(seam, sandwich.least_allowance)
    if not trimmed or not frays or thin or not shorter(seam, QUARTER_INCH):
        return
    changes = keep({"corner_seam": QUARTER_INCH})
    label = say("Allow {value} at the corner seam", value=QUARTER_INCH)
    yield Finding(
        code="trim-near-seam",
        severity=Severity.NOTE,
        figure="corner_seam",
        value=seam,
        limit=QUARTER_INCH,
        message=say(_NEAR_SEAM, value=seam, limit=QUARTER_INCH),
        fixes=(Fix(label, tuple(changes.items())),) if changes else (),
    )


_NEAR_SEAM = mark(
    "The tips of the corners are trimmed {value} from the seam: less than {limit} frays through "
    "to the stitches."
)


class SewnAllowances(Enum):
    """How the two allowances of a seam lie once it is sewn."""

    ASIDE = "turned to one side"
    OPEN = "pressed open"


def walls_at_corner(side: SewnAllowances, *, seamed: bool) -> int:
    """Walls where a side seam meets the end of the base in a boxed corner.

    The corner seam joins the end of the base to the side edges, on whose middle the side seam
    lies. On the thicker side of that the needle goes through

    - the end of the base, one wall; where the bottom is a seam, which is always pressed open,
      one of its allowances too;
    - the face above it, one wall, and of the side seam both allowances where they are turned
      to one side, or one where they are pressed open.
    """
    base = 2 if seamed else 1
    return base + 1 + (2 if side is SewnAllowances.ASIDE else 1)


def side_allowances(site: Site) -> SewnAllowances:
    """How the side seam's allowances lie where the corner seam crosses them.

    Turned to one side, as they lie anyway, unless that is more than the foot takes.
    """
    stack = walls_at_corner(SewnAllowances.ASIDE, seamed=site.front.under is None) * site.pressed
    opened = shorter(site.sandwich.foot_clearance, stack)
    return SewnAllowances.OPEN if opened else SewnAllowances.ASIDE


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
