"""Whether two separate handles hang level: the front trim moves the top fold to the front. mm.

Both are equally long, so that the one whose stops lie nearer to the top fold stands higher. A loop
makes up for the trim by itself: its halfway points lie on the bottom line.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from core.base.sentences import mark, say
from core.base.tolerance import same_length, shorter
from core.base.units import MM_PER_INCH, round_to_step
from core.flat.roles import Face
from core.model.findings import Finding, Fix, Severity
from core.parts.handles.figures import HandleStyle
from core.site.site import Finished, Site

if TYPE_CHECKING:
    from core.parts.handles.handles import Handles

UNLIKE = MM_PER_INCH / 4
"""Two handles that one hand holds may differ by so much in height (own choice)."""


def level_lower(handles: "Handles", site: Site) -> float:
    """How much lower the stops of the back are to lie so that both handles hang level, mm.

    As a ruler draws it; 0 where the front's stops would have to be the lower ones.
    """
    front, back = (handles.stop_to_top_fold(site, face) for face in (Face.FRONT, Face.BACK))
    return max(round_to_step(handles.back_lower + front - back, site.ruler), 0.0)


def levelled(handles: "Handles", site: Site) -> "Handles":
    """Separate handles that hang level; as they are where the back has no room for that."""
    if handles.style is not HandleStyle.SEPARATE:
        return handles
    lower = level_lower(handles, site)
    return replace(handles, back_lower=lower) if _has_room(handles, site, lower) else handles


def _has_room(handles: "Handles", site: Site, lower: float) -> bool:
    return not shorter(site.seats[Face.BACK].top, handles.stop + lower + handles.leg)


def level_again(handles: "Handles", was: Site, now: Site) -> "Handles":
    """Handles that hung as level as a ruler draws them, so on another bag; others as they are."""
    hung_level = same_length(handles.back_lower, level_lower(handles, was))
    return levelled(handles, now) if hung_level else handles


def level_findings(handles: "Handles", site: Site, finished: Finished) -> Iterator[Finding]:
    """Whether one of two separate handles stands higher than the other."""
    front, back = finished["handle_drop_front"], finished["handle_drop_back"]
    if handles.style is not HandleStyle.SEPARATE or front is None or back is None:
        return
    higher = back - front
    if not shorter(UNLIKE, abs(higher)):
        return
    lower, fixes = level_lower(handles, site), tuple[Fix, ...]()
    if _has_room(handles, site, lower):
        label = say("End the stitching {value} lower on the back", value=lower)
        fixes = (Fix(label, (("handle_back_lower", lower),), tried=True),)
    yield Finding(
        code="handles-unlike",
        severity=Severity.WARN,
        figure="handle_back_lower",
        value=handles.back_lower,
        limit=lower,
        message=say(_HIGHER[higher > 0.0], value=abs(higher)),
        fixes=fixes,
    )


_HIGHER = {
    True: mark(
        "Pulled taut, the back handle stands {value} higher than the front one: of two that are "
        "held together the lower one would carry the bag alone."
    ),
    False: mark(
        "Pulled taut, the front handle stands {value} higher than the back one: of two that are "
        "held together the lower one would carry the bag alone."
    ),
}
"""Whether it is the back's."""
