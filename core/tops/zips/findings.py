"""What is doubtful about any zip: how long and how wide it is, and its teeth. Lengths are mm."""

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from core.base.sentences import Number, Sentence, mark, say, typed
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH, Unit
from core.goods.supplies import sold_length
from core.model.findings import Finding, Fix, Severity
from core.site.owner import KeepSizes
from core.site.site import Site

if TYPE_CHECKING:
    from core.tops.zips.zipped import Zipped

MUCH_TOO_LONG = 4 * MM_PER_INCH
"""Of a zip that is bought for nothing: a shorter one is told of from here on (own choice)."""
ZIP_END = MM_PER_INCH
"""Spare zip at each end, to trim after sewing (common practice, no source)."""
WIDEST_TAPE = 2.5 * MM_PER_INCH
"""Wider zip tape is hardly sold (own choice)."""
SLIDER_ROOM = 5.0
"""What a slider is wider than the closed teeth, mm (own choice)."""
USUAL_GAUGE = 5.0
"""Taken where a zip's gauge is no number that the trade uses."""
GAUGES = (2.0, 20.0)
"""The trade's numbers: about the width of the closed teeth in mm (common practice, no source)."""

_WIDE_TAPE = mark(
    "Zip tape {value} wide is hard to find: if it is wider than {limit}, buy it before you "
    "cut anything."
)
_SHORT = mark(
    "The zip is {value} long and needs {limit}: what it closes, as cut, and {spare} to spare at "
    "each end."
)
_LONG = mark(
    "The zip is {value} long, and one of {needed} does: {over} more of it is cut off than need be."
)
_NOT_SOLD = mark(
    "A zip {value} long is not a length that shops sell; this bag needs one of {needed} or longer."
)
_NONE_REACHES = mark(
    "The zip of {needed} that this bag needs is not a length that shops sell: buy "
    "continuous zip and cut it to length."
)


def length_findings(zip_: "Zipped", site: Site) -> Iterator[Finding]:
    """Whether the zip spans what it closes, and whether it can be bought."""
    span = zip_.spans(site.mouth)
    needed = span + 2 * ZIP_END
    short = shorter(zip_.length, needed)
    sold = needed if zip_.by_length else sold_length(needed, site.zip_lengths)
    is_long = zip_.is_sold(site) and not shorter(zip_.length, sold + MUCH_TOO_LONG)
    if not short and not is_long and zip_.is_sold(site):
        return
    label = say("Use a zip {value} long", value=sold)
    fixes = (Fix(label, (("zip_length", sold),)),)
    if is_long:
        yield Finding(
            code="zip-too-long",
            severity=Severity.NOTE,
            figure="zip_length",
            value=zip_.length,
            limit=sold,
            message=say(_LONG, value=zip_.length, needed=sold, over=zip_.length - sold),
            fixes=fixes,
        )
    elif short:
        yield Finding(
            code="zip-too-short",
            severity=Severity.STOP if shorter(zip_.length, span) else Severity.WARN,
            figure="zip_length",
            value=zip_.length,
            limit=needed,
            message=say(_SHORT, value=zip_.length, limit=needed, spare=ZIP_END),
            fixes=fixes,
        )
    else:
        reaches = any(not shorter(each, needed) for each in site.zip_lengths)
        told = _NOT_SOLD if reaches else _NONE_REACHES
        yield Finding(
            code="zip-length-not-sold",
            severity=Severity.NOTE,
            figure="zip_length",
            value=zip_.length,
            limit=sold if reaches else None,
            message=say(told, value=zip_.length, needed=needed),
            fixes=fixes if reaches else (),
        )


def tape_findings(zip_: "Zipped") -> Iterator[Finding]:
    """Whether such a tape is sold."""
    if shorter(WIDEST_TAPE, zip_.tape_width):
        yield Finding(
            code="zip-tape-not-sold",
            severity=Severity.NOTE,
            figure="zip_tape_width",
            value=zip_.tape_width,
            limit=WIDEST_TAPE,
            message=say(_WIDE_TAPE, value=zip_.tape_width, limit=WIDEST_TAPE),
        )


def teeth_width(zip_: "Zipped") -> float:
    """Width of the closed teeth, mm, by the first number in the zip's gauge.

    A gauge without such a number is taken as `USUAL_GAUGE`: `gauge_is_told` says which.
    """
    number = _gauge(zip_)
    return USUAL_GAUGE if number is None else number


def gauge_is_told(zip_: "Zipped") -> bool:
    """Whether the zip's gauge holds a number that the trade uses."""
    return _gauge(zip_) is not None


def _gauge(zip_: "Zipped") -> float | None:
    found = re.search(r"[0-9]{1,3}(\.[0-9]{1,3})?", zip_.gauge)
    number = float(found[0]) if found else 0.0
    return number if GAUGES[0] <= number <= GAUGES[1] else None


def usual_tape(unit: Unit) -> float:
    """Width of the tape of most zips (common practice, no source)."""
    return 1.25 * MM_PER_INCH if unit is Unit.INCH else 32.0


def least_tape(zip_: "Zipped", seam: float) -> float:
    """Width of a tape whose slider passes between seams of this allowance."""
    return 2 * seam + teeth_width(zip_) + SLIDER_ROOM


def teeth_findings(zip_: "Zipped", site: Site, keep: KeepSizes) -> tuple[Finding, ...]:
    """Whether needle and slider pass the teeth."""
    teeth, seam = teeth_width(zip_), site.mouth.allowance
    shows, needed = zip_.tape_width - 2 * seam, teeth + SLIDER_ROOM
    if not shorter(shows, needed):
        return ()
    sewn_over = shorter(shows, teeth)
    limit = teeth if sewn_over else needed
    assumed = say("not given, assumed {gauge}", numbers={"gauge": Number(teeth)})
    gauge = typed(Number(teeth).text()) if gauge_is_told(zip_) else assumed
    lengths = {"value": shows, "limit": limit, "teeth": teeth}
    return (
        Finding(
            code="teeth-under-needle",
            severity=Severity.STOP if sewn_over else Severity.WARN,
            figure="zip_tape_width",
            value=zip_.tape_width,
            limit=limit + 2 * seam,
            message=Sentence(_TEETH if sewn_over else _SLIDER, lengths, terms={"gauge": gauge}),
            fixes=_teeth_fixes(zip_, site, needed, keep),
        ),
    )


def _teeth_fixes(zip_: "Zipped", site: Site, needed: float, keep: KeepSizes) -> tuple[Fix, ...]:
    """Sew nearer to the tape's edge where that holds; else, or also, a wider tape."""
    fixes = []
    seam = (zip_.tape_width - needed) / 2
    if not shorter(seam, site.sandwich.least_allowance):
        label = say("Sew the zip {value} from the edge", value=seam)
        fixes.append((label, keep({site.mouth.allowance_figure: seam})))
    tape = needed + 2 * site.mouth.allowance
    label = say("Use a zip with tape {value} wide", value=tape)
    fixes.append((label, keep({"zip_tape_width": tape})))
    return tuple(Fix(label, tuple(each.items())) for label, each in fixes if each)


WITH_TAPE = mark(
    "Allow {value} at the {seams}, keeping the finished sizes, and use a zip with tape "
    "{zip_tape_width} wide"
)
_TEETH = mark(
    "Only {value} of the zip shows between its stitch lines, and teeth of its gauge "
    "({gauge}) are {limit} wide: the needle would hit them."
)
_SLIDER = mark(
    "Only {value} of the zip shows between its stitch lines: teeth of its gauge ({gauge}) are "
    "{teeth} wide, and the slider needs {limit} to pass."
)
