"""Whether a hand gets into a bag, and an arm down to its bottom. Lengths are mm."""

from collections.abc import Iterator

from core.base.sentences import mark, say
from core.base.tolerance import shorter
from core.model.findings import Finding, Severity
from core.site.site import Finished, Site


def opening_findings(site: Site, finished: Finished) -> Iterator[Finding]:
    """Whether a hand gets in to turn the bag, and an arm down to its bottom."""
    # A mouth that stands open as a box takes a hand by half of the way round it.
    boxed = len(site.mouth.runs) == 4 and not site.closed
    opening, deep, face = (
        finished[name] or 0.0 for name in ("opening_width", "gusset_depth", "face_height")
    )
    flat = opening + deep if boxed else opening
    if shorter(flat, site.hand):
        yield Finding(
            code="opening-narrow",
            severity=Severity.WARN,
            figure="opening_width",
            value=opening,
            limit=site.hand - (flat - opening),
            message=say(_NO_HAND, value=flat, limit=site.hand),
        )
    if shorter(site.arm, face):
        yield Finding(
            code="face-beyond-reach",
            severity=Severity.NOTE,
            figure="face_height",
            value=face,
            limit=site.arm,
            message=say(_NO_REACH, value=face, limit=site.arm),
        )


_NO_HAND = mark(
    "The opening is only {value} wide: a hand needs {limit} to turn the bag right side out "
    "through it."
)
_NO_REACH = mark(
    "The face is {value} high: beyond {limit} an arm does not reach the bottom to turn its "
    "corners out or to take anything from it."
)
