"""What a closed bag holds, outside and inside of its wall. Volumes are litres.

It takes some tens of milliseconds and is therefore no part of `compute`: it is worked out
where it is told, and carries the bag that it answers.
"""

from dataclasses import dataclass

from core.bag import Bag, draft_walls
from core.errors import Sentence
from core.findings import Finding, Severity
from core.finished import measure
from core.parts.room import room_finding
from core.parts.take_up import NO_TAKE_UP
from core.solid.fill import MOST_STRETCH, Filled, fill
from core.solid.fill_solve import FillCancelledError, Progress
from core.solid.inner_body import inner_volume
from core.solid.quarter import NotFillableError
from core.volumes import litres

_OUTSIDE_SHARE = 0.7
"""Of the work, until the outside is done."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Capacity:
    """What one bag holds when it is stuffed hard.

    Attributes:
        bag: the bag that this answers.
        filled: litres of the outer size, as sewn; None for an open top, or when it cannot be
            filled.
        inside_filled: litres of that inside the wall; None where the wall leaves no room.
        filled_over_box: filled volume over box volume; None where either is missing.
        trouble: why it cannot be filled; None when it can.
        no_room: that nothing is left inside the wall of a bag that can be filled, among the
            findings of `compute` where sizes alone tell it; None when something is left.
        outside: the shape; None when there is none.
    """

    bag: Bag
    filled: float | None
    inside_filled: float | None
    filled_over_box: float | None
    trouble: Sentence | None
    no_room: Finding | None
    outside: Filled | None

    @property
    def converged(self) -> bool:
        """Whether the shape came to rest; True where there is none to wait for."""
        return self.outside is None or self.outside.converged

    @property
    def drawn(self) -> tuple[float | None, float | None]:
        """Filled and inside volume of the sheet as it is drawn, before anything is taken up, L."""
        if self.outside is None or self.bag.take_up == NO_TAKE_UP:
            return self.filled, self.inside_filled
        wall = self.bag.sandwich.thickness
        inside = None if self.no_room else litres(inner_volume(self.outside, wall))
        return litres(self.outside.volume), inside

    @property
    def stretch(self) -> float:
        """Of the shape's worst triangle, as a share of its flat length; 0 for no shape."""
        return 0.0 if self.outside is None else self.outside.stretch


def capacity(
    bag: Bag, *, start: Capacity | None = None, progress: Progress | None = None
) -> Capacity:
    """Fill a bag, and see what its wall leaves of it.

    Args:
        bag: any bag; one that cannot be filled is answered with the reason.
        start: the answer to a bag nearly alike, to start from.
        progress: hears the share done; when it answers False, the work is given up.

    Raises:
        FillCancelledError: the listener said to stop.
    """
    try:
        outside = _filled(bag, start.outside if start else None, _first_part(progress))
    except NotFillableError as error:
        return no_capacity(bag, error.sentence)
    if outside is None:
        return no_capacity(bag, Sentence(_NO_SHAPE))
    if progress is not None and not progress(_OUTSIDE_SHARE):
        raise FillCancelledError
    wall, finished = bag.sandwich.thickness, measure(bag, draft_walls(bag))
    no_room = room_finding(bag.panel, wall, finished)
    if no_room is not None and no_room.severity is not Severity.STOP:
        no_room = None  # it is told that little goes in; this much does
    inside = 0.0 if no_room else inside_of(bag, outside)
    if inside <= 0.0 and no_room is None:
        no_room = _too_thick(wall)
    holds, box = litres(outside.volume * bag.take_up.volume_share), finished["box_volume"]
    return Capacity(
        bag=bag,
        filled=holds,
        inside_filled=None if no_room else inside,
        filled_over_box=holds / box if box else None,
        trouble=None,
        no_room=no_room,
        outside=outside,
    )


def inside_of(bag: Bag, outside: Filled) -> float:
    """What a bag's wall leaves of a shape that is sewn smaller than its sheet is drawn, litres.

    The shape of the drawn sheet stands for it, smaller all round by the share of its volume:
    a wall of thickness T lies in it as one of T over the cube root of the share in the drawn.
    """
    share = bag.take_up.volume_share
    return litres(inner_volume(outside, bag.sandwich.thickness / share ** (1 / 3)) * share)


def _filled(bag: Bag, start: Filled | None, progress: Progress | None) -> Filled | None:
    """A shape that the sheet can take; None when the solver found none."""
    filled = fill(bag, start=start, progress=progress)
    if filled.stretch > MOST_STRETCH and start is not None:
        filled = fill(bag, progress=progress)
    return filled if filled.stretch <= MOST_STRETCH else None


def _too_thick(wall: float) -> Finding:
    """Nothing is left although every size has room for its walls: the bag fills too flat."""
    return Finding(
        code="no-room-inside",
        severity=Severity.STOP,
        figure="inside_filled_volume",
        value=0.0,
        limit=None,
        message=Sentence(_TOO_THICK, {"wall": wall}),
    )


def no_capacity(bag: Bag, trouble: Sentence) -> Capacity:
    """The answer for a bag of which no volume is told, and why."""
    return Capacity(
        bag=bag,
        filled=None,
        inside_filled=None,
        filled_over_box=None,
        trouble=trouble,
        no_room=None,
        outside=None,
    )


def _first_part(progress: Progress | None) -> Progress | None:
    """A listener to the filling of the outside."""
    if progress is None:
        return None
    return lambda share: progress(share * _OUTSIDE_SHARE)


_NO_SHAPE = "No filled shape was found that the wall can take without stretching."
_TOO_THICK = (
    "Nothing fits inside: even stuffed as full as possible, the bag is nowhere thicker "
    "than its own two walls of {wall}."
)
