"""What a closed bag holds, outside and inside of its wall. Volumes are litres.

It takes some tens of milliseconds and is therefore no part of `compute`: it is worked out
where it is told, and carries the bag that it answers.
"""

from dataclasses import dataclass

from core.bag import Bag
from core.errors import Sentence
from core.finished import measure_walls
from core.solid.fill import MOST_STRETCH, Filled, fill
from core.solid.fill_solve import Progress
from core.solid.quarter import NotFillableError
from core.volumes import litres

_OUTSIDE_SHARE = 0.6
"""Of the work, until the outside is done."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Capacity:
    """What one bag holds when it is stuffed hard.

    Attributes:
        bag: the bag that this answers.
        filled: litres of the outer size; None for an open top, or when it cannot be filled.
        filled_inside: litres inside the wall; None when the wall takes up all the room.
        filled_over_box: filled volume over box volume; None where either is missing.
        trouble: why it cannot be filled; None when it can.
        outside, inside: the shapes; None when there are none.
    """

    bag: Bag
    filled: float | None
    filled_inside: float | None
    filled_over_box: float | None
    trouble: Sentence | None
    outside: Filled | None
    inside: Filled | None

    @property
    def converged(self) -> bool:
        """Whether every shape came to rest; True where there is none to wait for."""
        return all(each.converged for each in (self.outside, self.inside) if each is not None)

    @property
    def stretch(self) -> float:
        """Of the worst triangle of either shape, as a share of its flat length; 0 for none."""
        shapes = [each for each in (self.outside, self.inside) if each is not None]
        return max((each.stretch for each in shapes), default=0.0)


def capacity(
    bag: Bag, *, start: Capacity | None = None, progress: Progress | None = None
) -> Capacity:
    """Fill a bag outside and inside of its wall.

    Args:
        bag: any bag; one that cannot be filled is answered with the reason.
        start: the answer to a bag nearly alike, to start from.
        progress: hears the share done; when it answers False, the work is given up.

    Raises:
        FillCancelledError: the listener said to stop.
    """
    try:
        outside = _filled(
            bag, start.outside if start else None, _part(progress, 0.0, _OUTSIDE_SHARE)
        )
    except NotFillableError as error:
        return _none(bag, error.sentence)
    if outside is None:
        return _none(bag, Sentence(_NO_SHAPE))
    try:
        rest = _part(progress, _OUTSIDE_SHARE, 1.0)
        inside = _filled(bag, (start.inside if start else None) or outside, rest, inside=True)
    except NotFillableError:
        inside = None
    holds = litres(outside.volume)
    box = measure_walls(bag)["box_volume"]
    return Capacity(
        bag=bag,
        filled=holds,
        filled_inside=None if inside is None else litres(inside.volume),
        filled_over_box=holds / box if box else None,
        trouble=None,
        outside=outside,
        inside=inside,
    )


def _filled(
    bag: Bag, start: Filled | None, progress: Progress | None, *, inside: bool = False
) -> Filled | None:
    """A shape that the sheet can take; None when the solver found none."""
    filled = fill(bag, inside=inside, start=start, progress=progress)
    if filled.stretch > MOST_STRETCH and start is not None:
        filled = fill(bag, inside=inside, progress=progress)
    return filled if filled.stretch <= MOST_STRETCH else None


def _none(bag: Bag, trouble: Sentence) -> Capacity:
    return Capacity(
        bag=bag,
        filled=None,
        filled_inside=None,
        filled_over_box=None,
        trouble=trouble,
        outside=None,
        inside=None,
    )


def _part(progress: Progress | None, low: float, high: float) -> Progress | None:
    """A listener to one part of the work."""
    if progress is None:
        return None
    return lambda share: progress(low + share * (high - low))


_NO_SHAPE = "No filled shape was found that the wall can take without stretching."
