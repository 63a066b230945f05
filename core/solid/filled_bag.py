"""A filled bag, and how one is asked of the process that fills, `core.solid.filler`.

Questions and answers are pickled: both ends are this program.
"""

import copyreg
import pickle
from dataclasses import dataclass
from types import MappingProxyType
from typing import IO, Any, Final, NamedTuple

from core.bag.bag import Bag, draft_bag
from core.base.progress import Progress
from core.solid.capacity import Capacity, capacity
from core.solid.fold import FoldModel
from core.solid.surface import FilledSurface


@dataclass(frozen=True, slots=True, eq=False)
class FilledBag:
    """What a bag holds and how it looks when it does.

    Attributes:
        capacity: with the bag that it answers.
        surface: None where the bag cannot be filled.
        followed: whether it was started from another bag's answer.
    """

    capacity: Capacity
    surface: FilledSurface | None
    followed: bool


def fill_bag(bag: Bag, start: Capacity | None, progress: Progress) -> FilledBag:
    """Fill a bag, from what was found of another if there is that.

    When `progress` answers False, FillCancelledError is raised.
    """
    found = capacity(bag, start=start, progress=progress)
    if found.outside is None:
        return FilledBag(found, None, followed=False)
    surface = FilledSurface(FoldModel(bag, draft_bag(bag)), found.outside)
    return FilledBag(found, surface, followed=start is not None and start.outside is not None)


class Question(NamedTuple):
    """A bag to be filled; `follow` lets it start from the one before."""

    bag: Bag
    follow: bool


GIVE_UP: Final = None
"""In the place of a question: the last one is to be given up."""


class Share(NamedTuple):
    """How much of the work is done, 0 to 1."""

    done: float


class Cancelled(NamedTuple):
    """The last word on a question that was given up."""


class Broken(NamedTuple):
    """The last word on a question that an error broke off, with all that Python tells of it."""

    told: str


Message = Share | FilledBag | Cancelled | Broken
"""What is answered: shares, and then a last word."""


def send(pipe: IO[bytes], message: Question | Message | None) -> None:
    """Say something to the other end; BrokenPipeError where there is none any more."""
    pickle.dump(message, pipe, pickle.HIGHEST_PROTOCOL)
    pipe.flush()


def receive(pipe: IO[bytes]) -> Any:
    """What the other end says next; EOFError when it is gone."""
    return pickle.load(pipe)


def _read_only(items: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(items)


# Sentences and findings hold mappings that cannot be written, which pickle does not know.
copyreg.pickle(MappingProxyType, lambda mapping: (_read_only, (dict(mapping),)))
