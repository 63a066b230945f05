"""What a bag file holds that this program does not know, kept for whoever does."""

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

Item = TypeVar("Item", bound=Hashable)


@dataclass(frozen=True, slots=True, kw_only=True)
class Absent:
    """An item that its list does not have at present.

    Attributes:
        called: what tells that it is the same one when it comes back.
        number: tells those that are called alike apart.
    """

    called: str
    number: int


Step = int | Absent
"""An item of a list: where it stands, from 0, or that it does not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ForeignEntry:
    """One entry of a file that is not ours.

    Attributes:
        path: what leads to it, its own key last: keys of groups and items of lists. It is
            true of the lists as they are: who changes a list rewrites the paths through it.
        value: as JSON text, which cannot be changed by accident.
    """

    path: tuple[str | Step, ...]
    value: str


Foreign = tuple[ForeignEntry, ...]


def with_items_moved(
    entries: Foreign, head: tuple[str, ...], moves: Mapping[Step, Step]
) -> Foreign:
    """The entries after a list has changed, each with the item that it belongs to.

    Args:
        entries: as before the change.
        head: the keys that lead to the list.
        moves: where an item stood -> where it stands; what is not there is gone for good and
            takes its entries with it.
    """
    place = len(head)
    moved: list[ForeignEntry] = []
    for entry in entries:
        step = _step(entry, head)
        if step is None:
            moved.append(entry)
        elif step in moves:
            path = (*entry.path[:place], moves[step], *entry.path[place + 1 :])
            moved.append(replace(entry, path=path))
    return tuple(moved)


def with_items_said(
    entries: Foreign, head: tuple[str, ...], sources: Sequence[int | None]
) -> Foreign:
    """The entries after somebody has changed a list and says which item was which.

    Args:
        entries, head: as in `with_items_moved`.
        sources: for each item of the list as it is now, where it stood before; None for one
            that is new. What is not among them is gone for good.
    """
    moves: dict[Step, Step] = {old: new for new, old in enumerate(sources) if old is not None}
    moves |= {step: step for step in _steps(entries, head) if isinstance(step, Absent)}
    return with_items_moved(entries, head, moves)


def with_items_found(
    entries: Foreign,
    head: tuple[str, ...],
    before: Sequence[Item],
    after: Sequence[Item],
    called: Callable[[Item], str],
    likenesses: Sequence[Callable[[Item], Hashable]] = (),
) -> Foreign:
    """The entries after a list has become another one of which nobody says what was what.

    An item is known again by being the same in everything, else by what it is called, else
    by a likeness; of several, the one in the old place comes first. One that is missing may
    come back later under its name.

    Args:
        entries, head: as in `with_items_moved`.
        before, after: the items of both lists.
        called: the name of an item; several may share one.
        likenesses: what else an item can be known by, the surest first.
    """
    steps = _steps(entries, head)
    if before == after or not steps:
        return entries
    absent = [step for step in steps if isinstance(step, Absent)]
    names = [called(item) for item in after]
    moves: dict[Step, Step] = {}
    _claim(moves, dict(enumerate(before)), after)
    _claim(moves, dict(enumerate(map(called, before))), names)
    _claim(moves, {step: step.called for step in absent}, names)
    for likeness in likenesses:
        _claim(moves, dict(enumerate(map(likeness, before))), [likeness(item) for item in after])
    for step in steps:
        if step not in moves:
            moves[step] = step if isinstance(step, Absent) else _left(called(before[step]), absent)
    return with_items_moved(entries, head, moves)


def _step(entry: ForeignEntry, head: tuple[str, ...]) -> Step | None:
    """The item of a list that an entry belongs to; None for one that lies elsewhere."""
    place = len(head)
    if len(entry.path) <= place or entry.path[:place] != head:
        return None
    step = entry.path[place]
    return None if isinstance(step, str) else step


def _steps(entries: Foreign, head: tuple[str, ...]) -> list[Step]:
    """The items of a list that have entries, each once."""
    found = (_step(entry, head) for entry in entries)
    return list(dict.fromkeys(step for step in found if step is not None))


def _claim(moves: dict[Step, Step], old: Mapping[Any, Hashable], new: Sequence[Hashable]) -> None:
    """Give each item that has no place yet a free place where its like stands."""
    taken = set(moves.values())
    for fits_place in (True, False):
        for step, item in old.items():
            if step in moves:
                continue
            free = (
                place
                for place, other in enumerate(new)
                if other == item and place not in taken and (not fits_place or place == step)
            )
            if (place := next(free, None)) is not None:
                moves[step] = place
                taken.add(place)


def _left(called: str, absent: list[Absent]) -> Absent:
    """An item that has just left, told apart from those that left before it."""
    number = 1 + max((each.number for each in absent if each.called == called), default=0)
    absent.append(Absent(called=called, number=number))
    return absent[-1]
