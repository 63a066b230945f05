"""What a closed bag holds, outside and inside of its wall, and how that grows. Volumes are litres.

It takes some tens of milliseconds and is therefore no part of `compute`: it is worked out
where it is told, and carries the bag that it answers.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from core.bag.bag import Bag, draft_walls
from core.bag.compute import measure
from core.bag.figures import FILLED_NAMES, FINISHED, volume_name
from core.base.progress import Progress
from core.base.quantities import litres
from core.base.sentences import Sentence, mark
from core.model.figures import NO_TAKE_UP, Form
from core.model.findings import Finding, Severity
from core.solid.fill import MOST_STRETCH, Filled, fill
from core.solid.fill_solve import FillCancelledError
from core.solid.growth import Growth, growth, sheet_growth
from core.solid.inner_body import inner_volume
from core.space.patches import NotFillableError

_OUTSIDE_SHARE = 0.7
"""Of the work, until the outside is done."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Capacity:
    """What one bag holds when it is stuffed hard.

    Attributes:
        filled: litres of the outer size, as sewn; None for an open top, or when it cannot be
            filled.
        inside_filled: litres of that inside the wall; None where the wall leaves no room.
        filled_over_box: filled volume over box volume; None where either is missing.
        not_filled: why it cannot be filled; None when it can.
        no_room: that nothing is left inside the wall of a bag that can be filled, among the
            findings of `compute` where sizes alone tell it; None when something is left.
        outside: the shape; None when there is none, or it stays in the process that filled it.
    """

    bag: Bag
    filled: float | None = None
    inside_filled: float | None = None
    filled_over_box: float | None = None
    not_filled: Sentence | None = None
    no_room: Finding | None = None
    outside: Filled | None = None

    @property
    def volumes(self) -> Mapping[str, float | None]:
        """Every finished figure that only filling tells -> litres, as sewn."""
        return _by_figure(self.filled, self.inside_filled)

    @property
    def drawn(self) -> Mapping[str, float | None]:
        """The same of the sheet as it is drawn, before anything is taken up, litres.

        ValueError: that takes the shape, and it is not here.
        """
        if self.filled is None or self.bag.take_up == NO_TAKE_UP:
            return self.volumes
        if self.outside is None:
            raise ValueError("the shape of the drawn sheet stays where it was worked out")
        wall = self.bag.sandwich.thickness
        inside = None if self.no_room else litres(inner_volume(self.outside, wall))
        return _by_figure(litres(self.outside.volume), inside)


def _by_figure(outside: float | None, inside: float | None) -> Mapping[str, float | None]:
    return {name: inside if FINISHED[name].inside else outside for name in FILLED_NAMES}


def capacity(
    bag: Bag, *, start: Capacity | None = None, progress: Progress | None = None
) -> Capacity:
    """Fill a bag, and see what its wall leaves of it.

    Args:
        bag: any bag; one that cannot be filled is answered with the reason.
        start: the answer to a bag nearly alike, to start from.
        progress: hears the share done; when it answers False, FillCancelledError is raised.
    """
    hear = progress and (lambda share: progress(share * _OUTSIDE_SHARE))
    try:
        outside = _filled(bag, start.outside if start else None, hear)
    except NotFillableError as error:
        return Capacity(bag=bag, not_filled=error.sentence)
    if outside is None:
        return Capacity(bag=bag, not_filled=Sentence(_NO_SHAPE))
    if progress is not None and not progress(_OUTSIDE_SHARE):
        raise FillCancelledError
    wall, finished = bag.sandwich.thickness, measure(bag, draft_walls(bag))
    no_room = bag.body.room(wall, finished)
    if no_room is not None and no_room.severity is not Severity.STOP:
        no_room = None  # it is told that little goes in; this much does
    inside = 0.0 if no_room else inside_of(bag, outside)
    if inside <= 0.0 and no_room is None:
        no_room = _too_thick(wall)
    holds, box = litres(outside.volume * bag.take_up.volume_share), finished[volume_name(Form.BOX)]
    return Capacity(
        bag=bag,
        filled=holds,
        inside_filled=None if no_room else inside,
        filled_over_box=holds / box if box else None,
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
        figure=volume_name(Form.FILLED, inside=True),
        value=0.0,
        limit=None,
        message=Sentence(_TOO_THICK, {"wall": wall}),
    )


_NO_SHAPE = mark("No filled shape was found that the wall can take without stretching.")
_TOO_THICK = mark(
    "Nothing fits inside: even stuffed as full as possible, the bag is nowhere thicker "
    "than its own two walls of {wall}."
)


def inside_growth(capacity: Capacity) -> Growth:
    """Of what lies inside the wall, to some hundredths; ValueError where nothing does.

    The wall takes its thickness of a surface that grows as the flat sheet does.
    """
    filled, inside = capacity.outside, capacity.inside_filled
    if filled is None or not inside or not capacity.filled:
        raise ValueError("nothing lies inside the wall")
    taken = (capacity.filled - inside) / inside
    sheet = sheet_growth(filled)
    return {size: out + taken * (out - sheet[size]) for size, out in growth(filled).items()}
