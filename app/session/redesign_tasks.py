"""What the maker wishes of a redesign, and what it came to: values only. Lengths are mm.

The solver is loaded when it is first asked: the window starts without it.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from app.session.undo import MergeKey
from app.session.work import CancelledError
from core.bag.bag import Bag, cut_value
from core.bag.compute import Result
from core.bag.figures import MATCHED, RULED, WANTED, is_cut, is_filled, is_matched
from core.base.errors import CornerwrightError
from core.base.progress import Progress
from core.storage.project import Project

if TYPE_CHECKING:
    from core.redesign.request import RedesignRequest
    from core.redesign.rounding import Rounded


class Wanted(NamedTuple):
    """A figure that the maker wants, and the pins given up for it.

    Attributes:
        name: of a cut or finished figure.
        value: mm, litres or pieces.
        released: names of pins that are given up, a mismatch for what is kept matched.
    """

    name: str
    value: float
    released: frozenset[str] = frozenset()


class RedesignTask(NamedTuple):
    """A wish on its way to its answer.

    Attributes:
        request: what is asked first.
        instead: what is asked where that cannot be; the same where there is nothing else.
        step: of the ruler that the answer is put on, mm; None: it stays exact.
        hold: merge key of the undo step.
    """

    wish: Wanted
    start: Result
    request: "RedesignRequest"
    instead: "RedesignRequest"
    step: float | None
    hold: MergeKey | None


class RedesignDone(NamedTuple):
    """The answer to a task.

    Attributes:
        request: what of it could be had.
        rounded: the exact redesign on the ruler, if that was asked for.
    """

    task: RedesignTask
    request: "RedesignRequest"
    rounded: "Rounded"


def solve(task: RedesignTask, hear: Progress | None = None) -> RedesignDone:
    """Carry out a task.

    ConflictError, FieldError: it cannot be; FillCancelledError: `hear` said not to go on.
    """
    from core.redesign.redesign import redesign
    from core.redesign.request import ConflictError
    from core.redesign.rounding import exact, on_ruler

    request = task.request
    try:
        found = redesign(task.start.bag, request, progress=hear)
    except ConflictError:
        if task.instead == request:
            raise
        request = task.instead
        found = redesign(task.start.bag, request, progress=hear)
    rounded = exact(found) if task.step is None else on_ruler(found, task.step)
    return RedesignDone(task, request, rounded)


class RoundingTask(NamedTuple):
    """The present bag on its way to the ruler.

    Attributes:
        holds: figures that count as much as what is wanted.
        step: of the ruler, mm.
    """

    start: Result
    holds: frozenset[str]
    step: float


class RoundedBag(NamedTuple):
    """The answer to a ruling.

    `exactly` has for finished figures that count what they were, mm or litres.
    """

    ruling: RoundingTask
    exactly: Mapping[str, float]
    rounded: "Rounded"


def round_bag(ruling: RoundingTask, hear: Progress | None = None) -> RoundedBag:
    """Put a bag on the ruler; FieldError: it cannot be; FillCancelledError: `hear` said no."""
    from core.redesign.redesign import unchanged
    from core.redesign.rounding import on_ruler

    found = unchanged(ruling.start, ruling.holds, progress=hear)
    rounded = on_ruler(found, ruling.step, names=RULED)
    told = ((name, rounded.exactly[name]) for name in ruling.holds & WANTED)
    exactly = {name: value for name, value in told if value is not None}
    return RoundedBag(ruling, exactly, rounded)


def answer(
    task: RedesignTask | RoundingTask, hear: Progress
) -> RedesignDone | RoundedBag | CornerwrightError:
    """What a task comes to, or why it cannot be; CancelledError: `hear` said not to go on."""
    from core.solid.fill_solve import FillCancelledError

    try:
        return solve(task, hear) if isinstance(task, RedesignTask) else round_bag(task, hear)
    except FillCancelledError as error:
        raise CancelledError from error
    except CornerwrightError as error:
        return error


class Outcome(NamedTuple):
    """What a redesign did to the bag that it led to.

    Attributes:
        asked: finished figure -> the exact value that was wanted or held.
        cost: finished figure -> what the ruler added to it, mm or litres.
        off_ruler: cut figures that no ruler step fits.
    """

    bag: Bag
    asked: Mapping[str, float]
    cost: Mapping[str, float | None]
    off_ruler: tuple[str, ...]


class KeyRun(NamedTuple):
    """Wishes for one figure that follow one another quickly, as from a held arrow key.

    Each is solved from where the run began, so that the way back leads back.

    Attributes:
        start: what there was before the first wish.
        reached: the bag that the last one led to.
        at: when, seconds.
    """

    name: str
    start: Result
    reached: Bag
    at: float


def present_pins(pinned: frozenset[str], result: Result) -> frozenset[str]:
    """The pins of figures that this bag has; what only filling it tells, any bag with a zip."""
    return frozenset(name for name in pinned if not is_matched(name) and _is_there(name, result))


def _is_there(name: str, result: Result) -> bool:
    if is_filled(name):
        return result.bag.site.closed
    return (cut_value(result.bag, name) if is_cut(name) else result.finished[name]) is not None


def fills(request: "RedesignRequest") -> bool:
    """Whether bags are filled to answer a request, which takes longer than a frame."""
    return any(is_filled(name) for name in (*request.wants, *request.holds))


def released(project: Project, names: frozenset[str]) -> Project:
    """The project with these pins released, a mismatch among them for what is kept matched."""
    if not names:
        return project
    return replace(
        project,
        pinned=project.pinned - names,
        seams_matched=project.seams_matched and names.isdisjoint(MATCHED),
    )
