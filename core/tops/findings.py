"""What is doubtful about any top: how near to the base it is sewn. Lengths are mm."""

from collections.abc import Iterator

from core.base.sentences import mark, say
from core.base.tolerance import shorter
from core.model.findings import Finding, Fix, Severity
from core.site.site import FOOT_ROOM, Site

_NEAR_BASE = (
    mark(
        "There is only {value} of the front between the zip's lower stitch line and the base "
        "edge: the presser foot needs {limit}."
    ),
    mark(
        "The zip's lower stitch line is {value} beyond the base edge: no front is left to sew it "
        "to."
    ),
)
_HEM_NEAR_BASE = (
    mark(
        "There is only {value} of the front between the hem's stitch line and the base edge: the "
        "presser foot needs {limit}."
    ),
    mark("The hem's stitch line is {value} beyond the base edge: no front is left to sew it to."),
)
"""Too near to the base edge, and beyond it."""


def clear_trim(site: Site) -> float:
    """The front trim, drawn, of a zip that is sewn clear of the top fold by one zip seam."""
    return (site.shows + 2 * site.front.top_allowance) / site.take_up.up


def base_edge(site: Site) -> float:
    """Height of the front's base edge above the bottom line."""
    return max(site.front.low, 0.0)


def base_findings(site: Site) -> Iterator[Finding]:
    """Whether the foot still runs between zip, or hem, and the base."""
    room = site.front.top - site.front.top_allowance - base_edge(site)
    if not shorter(room, FOOT_ROOM):
        return
    past, zipped = shorter(room, 0.0), site.shows > 0.0
    told = (_NEAR_BASE if zipped else _HEM_NEAR_BASE)[past]
    yield Finding(
        code="zip-near-base" if zipped else "hem-near-base",
        severity=Severity.STOP if past else Severity.WARN,
        figure=site.mouth.length_figure.name,
        value=site.mouth.length,
        limit=site.mouth.length + site.mouth.length_rate * (FOOT_ROOM - room),
        message=say(told, value=abs(room), limit=FOOT_ROOM),
        fixes=tuple(_base_fixes(site, FOOT_ROOM - room)),
    )


def _base_fixes(site: Site, missing: float) -> Iterator[Fix]:
    """Trim less off the front where the zip then still lies on it; or cut a longer panel."""
    trim = site.mouth.trim - missing
    if site.mouth.trim_figure and site.shows > 0.0 and not shorter(trim, clear_trim(site)):
        yield Fix(say("Make the front trim {value}", value=trim), ((site.mouth.trim_figure, trim),))
    length = site.mouth.length + site.mouth.length_rate * missing
    if not shorter(site.mouth.length_figure.high, length):
        label = say("Make the panel {value} long", value=length)
        yield Fix(label, ((site.mouth.length_figure.name, length),))
