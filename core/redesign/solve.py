"""Redesign: wants and holds in, the bag that has them out, or who fights whom."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from core.bag import Bag, cut_value, with_figures
from core.compute import Result, compute
from core.errors import FieldError, Sentence
from core.finished import measure_walls
from core.parts.site import Finished
from core.redesign.newton import Conditions, Solution, least_change
from core.redesign.space import Space, open_space
from core.redesign.wants import (
    MATCHED,
    ConflictError,
    Request,
    is_cut,
    is_volume,
    label_of,
    targets,
)
from core.tolerance import same_length

VOLUME_SHARE = 100.0
"""A hundredth of a volume counts as much as a millimetre when conditions are weighed."""
_NOISE = 1e-7
"""mm; what differences of the model may leave of a change that is none."""
_DIGITS, _DUST = 6, 1e-9
"""A solved length this near (mm) to one of so few digits is that one: 82.55, not 82.5499999."""
_CORNER_START = 25.0
"""mm; the cut that a plain pillow starts from when it is asked for a bottom."""


@dataclass(frozen=True, slots=True)
class Redesign:
    """What a redesign came to.

    Attributes:
        request: what was asked.
        before: the bag as it was.
        after: everything that follows from the bag as it will be.
        change: the weighed change that was made least.
    """

    request: Request
    before: Bag
    after: Result
    change: float

    @property
    def cut_changes(self) -> dict[str, float]:
        """Cut figures that changed -> their new values, mm or pieces."""
        return {
            name: value
            for name, value in self.after.cut.items()
            if value is not None and value != cut_value(self.before, name)
        }


def redesign(bag: Bag, request: Request) -> Redesign:
    """The bag that has what is wanted and keeps what is held, changed as little as can be.

    Raises:
        ConflictError: wants and holds cannot be met together; names those that fight.
        FieldError: an unknown figure, or a value that is no size.
    """
    now = measure_walls(bag)
    exact = targets(request, bag, now)
    found = _solve(bag, now, exact)
    if found is None or not found[1].feasible:
        raise _conflict(bag, now, exact, request)
    space, solution = found
    after = reach(bag, now, space, solution, frozenset(exact))
    return Redesign(request, bag, compute(after), solution.change)


def reach(
    bag: Bag,
    now: Finished,
    space: Space,
    solution: Solution,
    exact: frozenset[str] = frozenset(),
) -> Bag:
    """The bag of a solution, with the board following its base.

    Args:
        bag, now: as it was, and its finished figures.
        space, solution: where the search ended.
        exact: figures that were wanted or held, and so are left alone.
    """
    return _with_board(bag, now, _settled(space, solution), exact)


def _solve(bag: Bag, now: Finished, exact: Mapping[str, float]) -> tuple[Space, Solution] | None:
    """Best bag for a set of exact figures; None when its fixed figures cannot be."""
    fixed = {name: value for name, value in exact.items() if is_cut(name)}
    finished = {name: value for name, value in exact.items() if not is_cut(name)}
    try:
        started = _started(bag, finished)
        seen = now if started is bag else measure_walls(started)
        space = open_space(started, seen, fixed, frozenset(finished))
        return space, least_change(space, _conditions(finished))
    except FieldError:
        return None


def _settled(space: Space, solution: Solution) -> Bag:
    """The bag of a solution; unknowns that only rounding moved are put back."""
    pairs = zip(solution.x.tolist(), space.start.tolist(), strict=True)
    return space.at(np.array([was if abs(x - was) < _NOISE else _undusted(x) for x, was in pairs]))


def _undusted(length: float) -> float:
    plain = round(length, _DIGITS)
    return plain if abs(plain - length) < _DUST else length


def _started(bag: Bag, finished: Mapping[str, float]) -> Bag:
    """A pillow that is asked for a bottom starts from small corner cuts."""
    if bag.panel.has_corners or finished.get("gusset_depth", 0.0) <= 0.0:
        return bag
    depth = _CORNER_START + bag.panel.bottom_seam
    width = _CORNER_START + bag.panel.side_seam
    return with_figures(bag, {"corner_cut_width": width, "corner_cut_depth": depth})


def _conditions(finished: Mapping[str, float]) -> Conditions:
    names = tuple(finished)
    values = np.array([finished[name] for name in names], dtype=float)
    scales = [
        max(value, 1e-3) / VOLUME_SHARE if is_volume(name) else 1.0
        for name, value in zip(names, values, strict=True)
    ]
    return Conditions(names, values, np.array(scales, dtype=float))


def _with_board(bag: Bag, old: Finished, after: Bag, exact: frozenset[str]) -> Bag:
    """A base board keeps its margin to the base, unless its own size is asked for."""
    if bag.board is None or any(name in exact for name in ("board_width", "board_depth")):
        return after
    new = measure_walls(after)
    changes: dict[str, float] = {}
    for board, base in (("board_width", "base_width"), ("board_depth", "gusset_depth")):
        size = (cut_value(bag, board) or 0.0) + (new[base] or 0.0) - (old[base] or 0.0)
        if size > 0.0 and not same_length(size, cut_value(bag, board) or 0.0):
            changes[board] = _undusted(size)
    return with_figures(after, changes)


def _conflict(
    bag: Bag, now: Finished, exact: Mapping[str, float], request: Request
) -> ConflictError:
    """Leave out one figure after the other: those that cannot be left out fight."""
    fighting = dict(exact)
    for name in list(fighting):
        rest = {other: value for other, value in fighting.items() if other != name}
        found = _solve(bag, now, rest)
        if found is None or not found[1].feasible:
            fighting = rest
    # Corners that part are the last resort.
    names = tuple(sorted(fighting, key=lambda name: name == MATCHED))
    listed = ", ".join(_said(name) for name in names)
    if len(names) == 1:
        return ConflictError(Sentence(_ALONE, words={"figures": listed}), names=names)
    pinned = tuple(name for name in names if name not in request.wants)
    if pinned == (MATCHED,):
        rule, loose = _PART, names[:-1]
    else:
        rule, loose = (_RELEASE, pinned) if pinned else (_CHANGE, names)
    words = {"figures": listed, "loose": ", ".join(_said(name) for name in loose)}
    return ConflictError(Sentence(rule, words=words), names=names)


def _said(name: str) -> str:
    return "matched corners" if name == MATCHED else label_of(name)


_ALONE = "{figures} cannot be had: no pattern of this construction, within its limits, has it."
_RELEASE = "These cannot all be had together: {figures}; release one of {loose}."
_PART = (
    "These cannot all be had together: {figures}; ask for another {loose}, or release matched "
    "corners."
)
_CHANGE = "These cannot all be had together: {figures}; ask for another {loose}."
