"""What is doubtful about a top strip: how far it opens, and its zip. Lengths are mm."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from core.base.sentences import mark, say
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH
from core.flat.roles import FACES
from core.goods.supplies import sold_length
from core.model.findings import Finding, Fix, Severity
from core.site.site import Finished, Ring, Site
from core.tops.zips.findings import ZIP_END, length_findings, tape_findings

if TYPE_CHECKING:
    from core.tops.top_strip.strip import TopStrip

NARROWEST = MM_PER_INCH / 2
"""A half strip that shows less than this is hard to sew and to topstitch (own choice)."""

_SHORT = mark(
    "The opening is {value} long, and the straight top of the panels {limit}: what is as wide as "
    "the bag will not go in flat."
)
_NARROW = mark(
    "Only {value} of a half strip shows beside the zip: less than {limit} is hard to hold under "
    "the presser foot."
)


def strip_findings(strip: "TopStrip", site: Site, finished: Finished) -> tuple[Finding, ...]:
    """Whether it opens far enough, and whether strips and zip can be sewn and bought."""
    return (
        *_opening_findings(strip, site),
        *_width_findings(strip, site),
        *length_findings(strip, site),
        *tape_findings(strip),
    )


def _opening_findings(strip: "TopStrip", site: Site) -> Iterator[Finding]:
    """Whether it opens as far as the panels are straight; a longer one takes a longer zip."""
    if (ring := site.mouth.ring) is None:
        return
    opening = ring.length - 2 * ring.end_seam
    if not shorter(opening, ring.flat):
        return
    longer, taken = ring.flat + 2 * ring.end_seam, ring.flat - opening
    changes = [("top_strip_length", longer)]
    if ring.rest_figure:
        changes.append((ring.rest_figure, ring.rest - taken))
    if shorter(strip.length, longer + 2 * ZIP_END):
        zip_ = longer + 2 * ZIP_END
        zip_ = zip_ if strip.by_length else sold_length(zip_, site.zip_lengths)
        changes.append(("zip_length", zip_))
    label = say("Make the top strip {value} long", value=longer)
    told = ring.rest_figure and shorter(taken, ring.rest) and _keeps_parts(ring, site, taken)
    yield Finding(
        code="opening-too-short",
        severity=Severity.NOTE,
        figure="top_strip_length",
        value=ring.length,
        limit=longer,
        message=say(_SHORT, value=opening, limit=ring.flat),
        fixes=(Fix(label, tuple(changes), tried=True),) if told else (),
    )


def _keeps_parts(ring: Ring, site: Site, taken: float) -> bool:
    """Whether what is sewn to the strip still lies on it where its two ends are shorter, mm."""
    ends = {edge.piece for edge in ring.ends.values()}
    on_strip = (face for face in FACES if site.seats[face].piece in ends)
    return all(not shorter(site.seats[face].top - taken / 2, site.reach(face)) for face in on_strip)


def _width_findings(strip: "TopStrip", site: Site) -> Iterator[Finding]:
    from core.tops.top_strip.strip import place_of

    mouth = site.mouth
    narrower = min(strip.half_widths(mouth)) - mouth.allowance - place_of(mouth).seam
    if not shorter(narrower, NARROWEST):
        return
    missing = NARROWEST - narrower
    shift, tape = abs(strip.shift), strip.tape_width - 2 * missing
    fixes: tuple[Fix, ...] = ()
    if not shorter(shift, missing):
        less = shift - missing if strip.shift > 0.0 else missing - shift
        fixes = (Fix(say("Shift the zip by {value}", value=less), (("zip_shift", less),)),)
    elif shorter(2 * mouth.allowance, tape):
        label = say("Use a zip with tape {value} wide", value=tape)
        fixes = (Fix(label, (("zip_tape_width", tape),)),)
    yield Finding(
        code="top-strip-narrow",
        severity=Severity.NOTE,
        figure="zip_shift" if shift else "zip_tape_width",
        value=strip.shift if shift else strip.tape_width,
        limit=None,
        message=say(_NARROW, value=narrower, limit=NARROWEST),
        fixes=fixes,
    )
