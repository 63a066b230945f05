"""Ruler-friendly results: cut figures put on the ruler step, chosen together.

Rounding each figure to its nearest step can part matched corners and add up in the same
direction. Here the neighbouring steps of all figures are tried together: corners that
matched stay matched, and what is nearest to the wanted finished sizes wins.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import product
from types import MappingProxyType

import numpy as np

from core.bag import Bag, cut_value, with_figures
from core.compute import Result, compute
from core.errors import FieldError
from core.finished import measure_walls
from core.parts.board import board_on_ruler, board_room, moved_board
from core.parts.site import Finished
from core.redesign.drops import with_drops
from core.redesign.laws import Laws, with_laws
from core.redesign.rows import DROP_FACES
from core.redesign.solve import Redesign
from core.redesign.space import Vector
from core.redesign.wants import MATCHED, VOLUME_SHARE, is_volume
from core.tolerance import LENGTH_TOLERANCE, same_length, without_sliver
from core.units import round_to_step

_ROUNDED = (
    "panel_width",
    "panel_length",
    "front_trim",
    "corner_cut_depth",
    "corner_cut_width",
)
_AIMS = ("base_width", "gusset_depth", "face_height", "zip_offset")
_LAID_ON = ("pocket_cut_height", "pocket_drop", "handle_last_strip")
"""Figures that lie on nothing else: each is put on its nearest step, and a last strip on the
upper one so that no handle drops less."""
BOARD = ("board_width", "board_depth")
"""Figures that are put on the lower step, so that a board that fits its room still does."""
RULED = (*_ROUNDED, *_LAID_ON, *BOARD)
"""Every cut figure that a ruler rounds."""
_WANTED_COUNTS = 10.0
"""How much more a wanted or held size weighs than one that is only kept near."""
_NUDGES = (1.0, -1.0, 0.01, -0.01)
"""mm; by how much a figure is moved to see what follows: less, where a limit is near."""


@dataclass(frozen=True, slots=True)
class Rounded:
    """A redesign on the ruler step.

    Attributes:
        result: everything that follows from the rounded bag.
        cost: finished figure -> rounded less exact, mm or litres; None where it is absent.
        off_ruler: changed cut figures that no step fits, such as a corner cut width that
            must follow an allowance which is off the ruler.
        slivers: as in `Redesign`; none on a ruler, which has no step so small.
    """

    result: Result
    cost: Mapping[str, float | None]
    off_ruler: tuple[str, ...] = ()
    slivers: tuple[str, ...] = ()


def exact(redesign: Redesign) -> Rounded:
    """The redesign as it is: a ruler that costs nothing."""
    finished = {**redesign.after.finished, **redesign.filled}
    cost = {name: None if value is None else 0.0 for name, value in finished.items()}
    return Rounded(redesign.after, MappingProxyType(cost), slivers=redesign.slivers)


def on_ruler(redesign: Redesign, step: float, *, names: Iterable[str] | None = None) -> Rounded:
    """Put the cut figures that a redesign changed on the ruler.

    Figures that were wanted or held as cut figures stay exactly as they are. Where no
    combination of steps keeps matched corners matched (an allowance that is off the
    ruler), the corner cut width alone follows its depth and stays off it.

    Args:
        step: ruler step, mm, > 0.
        names: cut figures to round instead of the changed ones, such as `RULED`; those that
            are nothing in this bag stay nothing.
    """
    bag = redesign.after.bag
    asked = (
        list(redesign.cut_changes)
        if names is None
        else [each for each in names if cut_value(bag, each)]
    )
    loose = [name for name in asked if _loose(redesign, name)]
    free = [name for name in loose if name in _ROUNDED]
    best = _best(redesign, bag, free, step)
    if "handle_last_strip" in loose:
        # The panel has moved by a part of a step: its handles are cut for where it is now.
        best = with_drops(best, redesign.after.finished, _settled_strips(redesign))
    best = _laid_on(best, [name for name in loose if name in _LAID_ON], step)
    best = _with_board(redesign, best, [name for name in loose if name in BOARD], step)
    result = compute(best)
    cost = _cost(result.finished, redesign.after.finished) | _filled_cost(redesign, best)
    return Rounded(
        result, MappingProxyType(cost), tuple(name for name in free if _is_off(best, name, step))
    )


def _settled_strips(redesign: Redesign) -> frozenset[str]:
    """What of the strips was asked for as such; a drop that was asked for is still a drop."""
    return frozenset(redesign.request.wants.keys() | redesign.request.holds) - DROP_FACES.keys()


def _is_off(bag: Bag, name: str, step: float) -> bool:
    value = cut_value(bag, name) or 0.0
    return not same_length(value, round_to_step(value, step))


def _loose(redesign: Redesign, name: str) -> bool:
    return name not in redesign.request.wants and name not in redesign.request.holds


def _best(redesign: Redesign, bag: Bag, free: list[str], step: float) -> Bag:
    """The nearest combination on the ruler that keeps matched corners matched."""
    matched = same_length(redesign.after.finished[MATCHED] or 0.0, 0.0)
    if not matched:
        return next(_nearest_first(redesign, bag, free, step), bag)
    following = [name for name in free if name != "corner_cut_width"]
    for names, finish in ((free, _as_it_is), (following, _followed)):
        for candidate in _nearest_first(redesign, bag, names, step, finish=finish, matched=True):
            if abs(measure_walls(candidate)[MATCHED] or 0.0) <= LENGTH_TOLERANCE:
                return candidate
    return bag


def _as_it_is(bag: Bag) -> Bag:
    return bag


def _followed(bag: Bag) -> Bag:
    """The corner cut width that matches the depth, whatever the ruler says."""
    panel = bag.panel
    width = panel.corner_depth - panel.bottom_seam + panel.side_seam
    return with_figures(bag, {"corner_cut_width": without_sliver(width)})


def _nearest_first(
    redesign: Redesign,
    bag: Bag,
    names: list[str],
    step: float,
    *,
    finish: Callable[[Bag], Bag] = _as_it_is,
    matched: bool = False,
) -> Iterator[Bag]:
    """Every neighbouring combination that can be drawn (and is matched), the nearest first."""
    if not names:
        yield bag
        return
    steps = [_neighbours(bag, name, step) for name in names]
    aims = _aims(redesign)
    slopes, now = _slopes(bag, names, (*aims, MATCHED), finish, redesign.laws)
    start = np.array([cut_value(bag, name) for name in names], dtype=float)
    combinations = np.array(list(product(*steps)), dtype=float)
    # The sizes that count are linear in the cut (a volume nearly so over a step), so that
    # one table of slopes ranks them all.
    reached = (combinations - start) @ slopes.T + now
    if matched:
        kept = np.abs(reached[:, -1]) <= LENGTH_TOLERANCE
        combinations, reached = combinations[kept], reached[kept]
    home = _vector(with_laws(redesign.after.finished, redesign.laws), aims)
    missed = (reached[:, :-1] - home) * _weights(redesign, aims)
    for index in np.argsort((missed**2).sum(axis=1), kind="stable"):
        values = dict(zip(names, combinations[index].tolist(), strict=True))
        try:
            candidate = finish(with_figures(bag, values))
        except FieldError:
            continue
        yield candidate


def _neighbours(bag: Bag, name: str, step: float) -> tuple[float, ...]:
    """The step below, the nearest and the step above."""
    value = cut_value(bag, name) or 0.0
    nearest = round_to_step(value, step)
    around = (nearest, round_to_step(nearest - step, step), round_to_step(nearest + step, step))
    return tuple(each for each in around if each >= 0.0)


def _aims(redesign: Redesign) -> tuple[str, ...]:
    """The sizes that count: those of the box, and a volume that was asked for."""
    asked = sorted(redesign.request.wants.keys() | redesign.request.holds)
    told = with_laws(redesign.after.finished, redesign.laws)
    return (*_AIMS, *(name for name in asked if is_volume(name) and told[name] is not None))


def _slopes(
    bag: Bag, names: list[str], aims: tuple[str, ...], finish: Callable[[Bag], Bag], laws: Laws
) -> tuple[Vector, Vector]:
    """(aims, names) differences of the pattern model by each cut figure, and (aims,) values."""
    now = _vector(with_laws(measure_walls(bag), laws), aims)
    columns = []
    for name in names:
        beside, nudge = _beside(bag, name, finish)
        there = _vector(with_laws(measure_walls(beside), laws), aims)
        columns.append((there - now) / nudge)
    return np.array(columns).T, now


def _beside(bag: Bag, name: str, finish: Callable[[Bag], Bag]) -> tuple[Bag, float]:
    """The bag with one cut figure a little larger or smaller, as its limits allow, and by how much.

    The bag itself where there is nothing beside it.
    """
    value = cut_value(bag, name) or 0.0
    for nudge in _NUDGES:
        try:
            return finish(with_figures(bag, {name: value + nudge})), nudge
        except FieldError:
            continue
    return bag, 1.0


def _vector(finished: Finished, aims: tuple[str, ...]) -> Vector:
    return np.array([finished[name] or 0.0 for name in aims], dtype=float)


def _weights(redesign: Redesign, aims: tuple[str, ...]) -> Vector:
    """How much each size counts; a hundredth of a volume counts like a millimetre."""
    asked = redesign.request.wants.keys() | redesign.request.holds
    finished = with_laws(redesign.after.finished, redesign.laws)
    return np.array(
        [
            (_WANTED_COUNTS if name in asked else 1.0)
            * (VOLUME_SHARE / max(finished[name] or 0.0, 1e-3) if is_volume(name) else 1.0)
            for name in aims
        ]
    )


def _laid_on(bag: Bag, names: list[str], step: float) -> Bag:
    """Parts that lie on nothing else, each on its own step."""
    changes: dict[str, float] = {}
    for name in names:
        value = cut_value(bag, name)
        if value is None:
            continue
        nearest = round_to_step(value, step)
        if name == "handle_last_strip":
            if bag.handles is None or bag.handles.last_strip is None:
                continue  # as long as its goods are wide, whatever the ruler says
            if nearest < value - LENGTH_TOLERANCE:
                nearest = round_to_step(nearest + step, step)
            nearest = min(nearest, bag.site.whole_strip)
        if nearest > 0.0:
            changes[name] = nearest
    return with_figures(bag, changes)


def _with_board(redesign: Redesign, bag: Bag, names: list[str], step: float) -> Bag:
    """The board in the room that rounding the panel has left it, and cut down to the ruler.

    Args:
        redesign: before it was rounded.
        bag: with its panel on the ruler.
        names: figures of the board that are to be rounded.
        step: of the ruler, mm.
    """
    board = bag.board
    if board is None:
        return bag
    after = redesign.after
    room = board_room(board.way, bag.site, measure_walls(bag))
    free = tuple(name for name in BOARD if _loose(redesign, name))
    if free == BOARD:
        before = board_room(board.way, after.bag.site, after.finished)
        moved = moved_board(board, before, room)
        names = names if moved == board else list(BOARD)
        board = moved
    ruled = board_on_ruler(board, room, step, keep=tuple(n for n in BOARD if n not in names))
    return replace(bag, board=ruled)


def _filled_cost(redesign: Redesign, rounded: Bag) -> dict[str, float | None]:
    """What the ruler added to filled volumes that were asked for, litres: the bag is filled."""
    if not redesign.filled:
        return {}
    from core.solid.capacity import capacity

    found = capacity(rounded)
    held = {"filled_volume": found.filled, "inside_filled_volume": found.inside_filled}
    return {
        name: None if (there := held[name]) is None else there - exact
        for name, exact in redesign.filled.items()
    }


def _cost(rounded: Finished, exact: Finished) -> dict[str, float | None]:
    cost: dict[str, float | None] = {}
    for name, value in rounded.items():
        before = exact[name]
        cost[name] = None if value is None or before is None else value - before
    return cost
