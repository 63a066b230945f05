"""What is doubtful about where a zip lies on the front. Lengths are mm."""

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from core.base.sentences import mark, say
from core.base.tolerance import shorter
from core.model.findings import Finding, Fix, Severity
from core.site.site import Finished, Site
from core.tops.top import base_edge, base_findings
from core.tops.zips.findings import length_findings, tape_findings

if TYPE_CHECKING:
    from core.tops.zip_forward.zip import ZipForward

_LOWER_LINE = mark("zip's lower stitch line")
_ON_TOP = mark("The zip crosses the top fold by {value}: it will not lie on the front face.")
_NEAR_TOP = mark(
    "The zip is {value} from the top fold, less than the zip seam of {limit}: the fold "
    "will be bulky."
)


def zip_findings(zip_: "ZipForward", site: Site, finished: Finished) -> tuple[Finding, ...]:
    """Whether the zip lies between top fold and base, and is long enough."""
    return (
        *_top_findings(site, finished),
        *base_findings(site, "zip-near-base", _LOWER_LINE, least_trim=_clear_trim(site)),
        *length_findings(zip_, site),
        *tape_findings(zip_),
    )


def _clear_trim(site: Site) -> float:
    """The front trim, drawn, of a zip that is sewn clear of the top fold by one zip seam."""
    return (site.shows + 2 * site.front.top_allowance) / site.take_up.up


def _top_findings(site: Site, finished: Finished) -> Iterator[Finding]:
    clearance, seam = finished["zip_clearance"], site.front.top_allowance
    if clearance is None or not shorter(clearance, seam):
        return
    on_top = shorter(clearance, 0.0)
    yield Finding(
        code="zip-on-top-fold" if on_top else "zip-near-top-fold",
        severity=Severity.WARN if on_top else Severity.NOTE,
        figure="zip_clearance",
        value=clearance,
        limit=0.0 if on_top else seam,
        message=say(_ON_TOP if on_top else _NEAR_TOP, value=abs(clearance), limit=seam),
        fixes=tuple(_trim_fixes(site, finished)),
    )


def _trim_fixes(site: Site, finished: Finished) -> Iterator[Fix]:
    """Trim more off the front, where enough of the front is left for it."""
    if not site.mouth.trim_figure:
        return
    trim = _clear_trim(site)
    further = trim - site.mouth.trim
    front = site.front.top - further
    face = finished["face_height"] or 0.0
    walls = site.wall if site.front.cornered else math.pi * site.wall
    least = walls if shorter(walls, face) else 0.0  # room that is there must stay
    needed = max(base_edge(site) + site.front.top_allowance, site.reach(site.front.face))
    if shorter(needed, front) and shorter(least, face - site.take_up.up * further / 2):
        yield Fix(say("Make the front trim {value}", value=trim), ((site.mouth.trim_figure, trim),))
