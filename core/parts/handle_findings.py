"""What is doubtful about handles: zip, corners and a hand's room. Lengths are mm."""

import math

from core.errors import Sentence
from core.findings import Finding, Mend, Severity
from core.parts.handles import MOST_STRIPS, SHORTEST_DROP, STOP_CLEARANCE, Handles
from core.parts.site import Face, Finished, Site
from core.tolerance import shorter

_NEAR_ZIP = (
    "Only {value} lies between the zip's stitch line and the end of the handle's stitching: "
    "the foot needs {limit}."
)
_OVER_CUT = (
    "The handle legs reach {value} across, but the base is {limit} wide: they run over the "
    "corner cut."
)
_OVER_SEAM = (
    "The handle legs reach {value} across, but the base is {limit} wide: they run into the "
    "corner seam."
)
_NO_LOOP = "The strips are too short: {value} is left for the {face} handle after the sewn legs."
_LOW_DROP = "The {face} handle drops only {value}: a hand needs {limit}."


def handle_findings(handles: Handles, site: Site, finished: Finished) -> tuple[Finding, ...]:
    """Whether the handles clear zip and corners, and are long enough for a hand."""
    return (
        *_zip_findings(handles, site),
        *_corner_findings(handles, site, finished),
        *_drop_findings(handles, site, finished),
    )


def _zip_findings(handles: Handles, site: Site) -> tuple[Finding, ...]:
    room = handles.stop - site.top_seam
    if site.zip_width <= 0.0 or not shorter(room, STOP_CLEARANCE):
        return ()
    stop = site.top_seam + STOP_CLEARANCE
    mends: tuple[Mend, ...] = ()
    if shorter(stop + handles.reach - handles.stop, site.front_top):
        label = Sentence("End the stitching {value} below the edge", {"value": stop})
        mends = (Mend(label, (("handle_stop", stop),)),)
    return (
        Finding(
            code="zip-near-handle-stop",
            severity=Severity.WARN,
            figure="handle_stop",
            value=handles.stop,
            limit=stop,
            message=Sentence(_NEAR_ZIP, {"value": room, "limit": STOP_CLEARANCE}),
            mends=mends,
        ),
    )


def _corner_findings(handles: Handles, site: Site, finished: Finished) -> tuple[Finding, ...]:
    base, span = finished["base_width"] or 0.0, handles.gap + 2 * handles.width
    if not _reaches_corner(handles, site) or not shorter(base, span):
        return ()
    over_cut = shorter(site.panel_width - 2 * site.corner_width, span)
    gap = base - 2 * handles.width
    mends: tuple[Mend, ...] = ()
    if gap >= 0.0:
        label = Sentence("Make the handle gap {value}", {"value": gap})
        mends = (Mend(label, (("handle_gap", gap),)),)
    return (
        Finding(
            code="handle-over-corner",
            severity=Severity.STOP if over_cut else Severity.WARN,
            figure="handle_gap",
            value=handles.gap,
            limit=gap,
            message=Sentence(_OVER_CUT if over_cut else _OVER_SEAM, {"value": span, "limit": base}),
            mends=mends,
        ),
    )


def _reaches_corner(handles: Handles, site: Site) -> bool:
    if not site.has_corners:
        return handles.gap + 2 * handles.width > site.panel_width - 2 * site.side_seam
    corner = site.corner_depth + site.corner_seam
    return any(
        site.top(face) - handles.stop - handles.sewn_leg(site, face) < corner for face in Face
    )


def _drop_findings(handles: Handles, site: Site, finished: Finished) -> tuple[Finding, ...]:
    drops = {name: finished[name] for name in ("handle_drop_front", "handle_drop_back")}
    name = min(drops, key=lambda each: -math.inf if drops[each] is None else drops[each] or 0.0)
    drop = drops[name]
    if drop is not None and not shorter(drop, SHORTEST_DROP):
        return ()
    face = Face.FRONT if name.endswith("front") else Face.BACK
    free = handles.free_length(site, face)
    strips = handles.strips_for_drop(site, SHORTEST_DROP)
    mends: tuple[Mend, ...] = ()
    if strips <= MOST_STRIPS:
        label = Sentence("Join {count} strips", words={"count": str(strips)})
        changes: tuple[tuple[str, float], ...] = (("handle_strips", strips),)
        if handles.last_strip is not None:
            changes += (("handle_last_strip", site.whole_strip),)
        mends = (Mend(label, changes),)
    return (
        Finding(
            code="handle-loop-short",
            severity=Severity.STOP if drop is None else Severity.WARN,
            figure=name,
            value=free if drop is None else drop,
            limit=handles.centres if drop is None else SHORTEST_DROP,
            message=Sentence(
                _NO_LOOP if drop is None else _LOW_DROP,
                {"value": free if drop is None else drop, "limit": SHORTEST_DROP},
                {"face": face.value},
            ),
            mends=mends,
        ),
    )
