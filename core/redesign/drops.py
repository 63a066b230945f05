"""Handle drops are kept as every other size is: the loop follows the panel."""

import math
from collections.abc import Mapping, Set
from dataclasses import replace

from core.bag.bag import Bag
from core.base.errors import FieldError
from core.base.tolerance import same_length, shorter
from core.flat.roles import Face
from core.parts.handles.handles import Handles
from core.redesign.linear_model import DROP_FACES
from core.redesign.variables import LOOP, STRIP_FIGURES
from core.site.site import INCH, Finished, Site

UNSEEN_DROP = INCH / 8
"""No strip is joined for less than this, which a tape on a soft bag cannot tell (own choice)."""
SETTLE_DROPS = frozenset({LOOP, *STRIP_FIGURES, *DROP_FACES})
"""Figures that say how long the handles are: where one of them is asked for nothing follows."""


def with_drops(after: Bag, wanted: Finished, exact: Set[str]) -> Bag:
    """The bag with a loop that gives the drops of `wanted`, unless its strips are asked for.

    A front trim that changes lets only one of the two be kept: the one that leaves the other
    nearer to what it was, and the front of two that are alike. Where no number of strips
    gives such a loop the handles stay as they are.

    Args:
        after: the bag as it will be but for its handles.
        wanted: finished figures whose drops are kept, mm.
        exact: figures that were wanted or held.
    """
    handles, site = after.handles, after.site
    if handles is None or exact & SETTLE_DROPS:
        return after
    drops = {face: drop for name, face in DROP_FACES.items() if (drop := wanted[name]) is not None}
    tries = [
        followed
        for face, drop in drops.items()
        if (followed := _with_drop(handles, site, face, drop)) is not None
    ]
    if not tries:
        return after
    kept, *others = tries
    for other in others:
        if shorter(_moved(other, site, drops), _moved(kept, site, drops)):
            kept = other
    return after if kept == handles else replace(after, handles=kept)


def _with_drop(handles: Handles, site: Site, face: Face, drop: float) -> Handles | None:
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


def _moved(handles: Handles, site: Site, drops: Mapping[Face, float]) -> float:
    """The larger change of a drop, mm; what is lost altogether counts most."""
    return max(_change(handles.drop(site, face), was) for face, was in drops.items())


def _change(now: float | None, was: float) -> float:
    return math.inf if now is None else abs(now - was)
