"""What handles tell the solver: the loop that may change, and the drops that are kept by it."""

import math
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from core.base.errors import FieldError
from core.base.sentences import mark
from core.base.tolerance import same_length, shorter
from core.base.units import MM_PER_INCH, round_to_step
from core.flat.roles import Face
from core.model.figures import Form
from core.model.record import Bend, Chain, Solving, Unknown
from core.parts.handles.figures import whole_strip
from core.parts.handles.level import level_again
from core.site.owner import Rounding, Surround
from core.site.site import Finished, Site

if TYPE_CHECKING:
    from core.parts.handles.handles import Handles

DROPS: Final[Mapping[Face, str]] = MappingProxyType(
    {Face.FRONT: "handle_drop_front", Face.BACK: "handle_drop_back"}
)
"""Face -> the finished figure of the drop on it."""
UNSEEN_DROP = MM_PER_INCH / 8
"""No strip is joined for less than this, which a tape on a soft bag cannot tell (own choice)."""

_LOOP = "handle_loop"
_CHAIN = Chain(
    count="handle_strips",
    last="handle_last_strip",
    of=frozenset({"handle_strips", "handle_last_strip", "goods_width"}),
)
_LENGTH = frozenset({_LOOP, *_CHAIN.of})
SOLVING = Solving(
    unknowns=(Unknown(name=_LOOP, only_for=frozenset(DROPS.values()), chain=_CHAIN),),
    settled_by=_LENGTH.union(DROPS.values()),
)


def bends(handles: "Handles", site: Site, finished: Finished) -> tuple[Bend, ...]:
    """The drop on each face."""
    return tuple(
        Bend(figure=name, form=Form.TAUT, lengths=handles.taut(site, face), rules=(_SPANS, _HANGS))
        for face, name in DROPS.items()
    )


def following(handles: "Handles", was: Surround, now: Surround) -> "Handles":
    """Drops are kept as every other size is: the loop follows the body.

    A front trim that changes lets only one of the two be kept: the one that leaves the other
    nearer to what it was, and the front of two that are alike. Where no number of strips
    gives such a loop the handles stay as they are.
    """
    finished, site = was.finished, now.site
    handles = level_again(handles, was.site, site)
    drops = {face: drop for face, name in DROPS.items() if (drop := finished[name]) is not None}
    tries = [
        followed
        for face, drop in drops.items()
        if (followed := _with_drop(handles, site, face, drop)) is not None
    ]
    if not tries:
        return handles
    kept, *others = tries
    for other in others:
        if other != kept and shorter(_moved(other, site, drops), _moved(kept, site, drops)):
            kept = other
    return handles if kept == handles else kept


def on_ruler(handles: "Handles", rounding: Rounding, was: Surround, now: Surround) -> "Handles":
    """The last strip on the upper step, so that no handle drops less; or a whole one."""
    if _CHAIN.last not in rounding.names:
        return handles
    if not rounding.exact & _LENGTH:  # a drop that was asked for is still a drop
        # The body has moved by a part of a step: its handles are cut for where it is now.
        handles = following(handles, was, now)
    whole = whole_strip(now.site)
    last = whole if handles.last_strip is None else handles.last_strip
    upper = round_to_step(last, rounding.step)
    if shorter(upper, last):
        upper = round_to_step(upper + rounding.step, rounding.step)
    upper = min(upper, whole)
    return replace(handles, last_strip=None if same_length(upper, whole) else upper)


def _with_drop(handles: "Handles", site: Site, face: Face, drop: float) -> "Handles | None":
    now = handles.drop(site, face)
    if now is not None and same_length(now, drop):
        return handles
    try:
        followed = handles.with_loop(site, handles.loop_for_drop(site, drop, face))
    except FieldError:
        return None
    if followed.strips > 1:
        whole = replace(followed, strips=followed.strips - 1, last_strip=None)
        near = whole.drop(site, face)
        if near is not None and drop - near <= UNSEEN_DROP:
            return whole
    return followed


def _moved(handles: "Handles", site: Site, drops: Mapping[Face, float]) -> float:
    """The larger change of a drop, mm; what is lost altogether counts most."""
    found = ((handles.drop(site, face), was) for face, was in drops.items())
    return max(math.inf if now is None else abs(now - was) for now, was in found)


_SPANS = mark("half of its free length must reach over half of the distance of its legs, {limit}.")
_HANGS = mark("its top must be no lower than its stops, at {limit}.")
