"""Other seam allowances of a panel that leave its finished sizes alone. Lengths are mm."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from core.base.sentences import mark, say
from core.base.tolerance import shorter
from core.bodies.boxed_panel.figures import Tips
from core.model.findings import Finding, Fix, Severity
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
    edge = panel.cut_depth + panel.corner_seam if panel.has_corners else panel.bottom_seam
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
        fixes=(Fix(label, tuple(changes.items())),) if changes else (),
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
