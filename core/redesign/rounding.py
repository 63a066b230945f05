"""Ruler-friendly results: cut figures put on the ruler step, chosen together.

Rounding each figure to its nearest step can part matched corners and add up in the same
direction. Here the neighbouring steps of all figures are tried together: corners that
matched stay matched, and what is nearest to the wanted finished sizes wins.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import product
from types import MappingProxyType
from typing import cast

import numpy as np

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.compute import Result, compute, measure_walls
from core.bag.figures import MATCHED, is_volume
from core.base.arrays import Vector
from core.base.errors import FieldError
from core.base.tolerance import LEAST_LENGTH, LENGTH_TOLERANCE, same_length, shorter, without_sliver
from core.base.units import round_to_step
from core.parts.board.board import board_on_ruler, board_room, moved_board
from core.redesign.drops import with_drops
from core.redesign.filled_volume import Laws, with_laws
from core.redesign.linear_model import DROP_FACES
from core.redesign.request import VOLUME_SHARE
from core.redesign.solve import Redesign
from core.site.site import Finished

_ROUNDED = (
    "panel_width",
    "panel_length",
    "front_trim",
    "corner_cut_depth",
    "corner_cut_width",
)
_AIMS = ("base_width", "gusset_depth", "face_height", "zip_offset")
_CORNER = ("corner_cut_width", "corner_cut_depth")
"""Either can follow the other, so that corners match."""
_POCKET = ("pocket_cut_height", "pocket_drop")
"""Nothing else depends on them: each is put on its own nearest step."""
_LAST_STRIP = "handle_last_strip"
"""It is put on the upper step, so that no handle drops less."""
BOARD = ("board_width", "board_depth")
"""Figures that are put on the lower step, so that a board that fits its room still does."""
_WANTED_COUNTS = 10.0
"""How much more a wanted or held size weighs than one that is only kept near."""
_NUDGES = (LEAST_LENGTH, -LEAST_LENGTH)
"""mm; by how much a figure is moved to see what follows: back, where a limit is near."""


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
    return Rounded(redesign.after, _cost(finished, finished), slivers=redesign.slivers)


def on_ruler(redesign: Redesign, step: float, *, names: Iterable[str] | None = None) -> Rounded:
    """Put the cut figures that a redesign changed on the ruler.

    Figures that were wanted or held as cut figures stay exactly as they are, and those that are
    nothing stay nothing. Where no combination of steps keeps matched corners matched (an
    allowance that is off the ruler), the corner cut width alone follows its depth and stays off
    it; where the width was wanted or held, the depth follows it.

    Args:
        step: ruler step, mm, > 0.
        names: cut figures to round instead of the changed ones, such as `RULED`.
    """
    bag = redesign.after.bag
    asked = redesign.cut_changes if names is None else names
    loose = [name for name in asked if cut_value(bag, name) and _loose(redesign, name)]
    best = _best(redesign, [name for name in loose if name in _ROUNDED], step)
    off = tuple(
        name
        for name in _ROUNDED
        if (name in loose or _size(best, name) != _size(bag, name)) and _is_off(best, name, step)
    )
    if _LAST_STRIP in loose:
        # The panel has moved by a part of a step: its handles are cut for where it is now.
        best = with_drops(best, redesign.after.finished, _settled_strips(redesign))
        best = _with_last_strip(best, step)
    best = _with_pocket(best, [name for name in _POCKET if name in loose], step)
    best = _with_board(redesign, best, loose, step)
    result = compute(best)
    held = _held(best) if redesign.filled else {}
    exactly = {**redesign.after.finished, **redesign.filled}
    cost = _cost({**result.finished, **held}, exactly)
    return Rounded(result, cost, off)


def _settled_strips(redesign: Redesign) -> frozenset[str]:
    """What of the strips was asked for as such; a drop that was asked for is still a drop."""
    return _asked(redesign) - DROP_FACES.keys()


def _asked(redesign: Redesign) -> frozenset[str]:
    """What is to come out exactly."""
    return redesign.request.holds.union(redesign.request.wants)


def _loose(redesign: Redesign, name: str) -> bool:
    return name not in _asked(redesign)


def _size(bag: Bag, name: str) -> float:
    """A cut figure that this bag has, mm."""
    return cast(float, cut_value(bag, name))


def _is_off(bag: Bag, name: str, step: float) -> bool:
    value = _size(bag, name)
    return not same_length(value, round_to_step(value, step))


def _best(redesign: Redesign, names: Sequence[str], step: float) -> Bag:
    """The nearest combination on the ruler that keeps matched corners matched."""
    bag = redesign.after.bag
    if not names:
        return bag
    for follower in (None, *(name for name in _CORNER if _loose(redesign, name))):
        found = _nearest(redesign, names, step, follower)
        if found is not None:
            return found
    return bag


def _moved(bag: Bag, values: Mapping[str, float], follower: str | None) -> Bag:
    """The bag with these cut figures, one side of its corners following the other.

    Args:
        bag: as it is.
        values: cut figure -> mm.
        follower: the side that moves as the other one does, whatever `values` say; None: neither.

    Raises:
        FieldError: no such bag can be drawn.
    """
    if follower is None:
        return with_figures(bag, values)
    (leader,) = (name for name in _CORNER if name != follower)
    moved = values.get(leader, _size(bag, leader)) - _size(bag, leader)
    return with_figures(bag, {**values, follower: without_sliver(_size(bag, follower) + moved)})


def _nearest(
    redesign: Redesign, names: Sequence[str], step: float, follower: str | None
) -> Bag | None:
    """The nearest neighbouring combination that can be drawn and keeps matched corners matched.

    None where there is none.

    Args:
        redesign: as it is.
        names: figures of the panel that are put on a step.
        step: of the ruler, mm.
        follower: side of the corners that moves as the other one does, on no step, if any.
    """
    bag = redesign.after.bag
    weights = _weights(redesign)
    slopes = _slopes(bag, names, (*weights, *MATCHED), follower, redesign.laws)
    start = np.array([_size(bag, name) for name in names])
    combinations = np.array(list(product(*(_neighbours(each, step) for each in start.tolist()))))
    # The sizes that count are linear in the cut (a volume nearly so over a step), so that
    # one table of slopes ranks them all.
    changes = (combinations - start) @ slopes
    for place, mismatch in enumerate(_vector(redesign.after.finished, MATCHED).tolist()):
        if same_length(mismatch, 0.0):
            kept = np.abs(changes[:, len(weights) + place]) <= LENGTH_TOLERANCE
            combinations, changes = combinations[kept], changes[kept]
    missed = ((changes[:, : len(weights)] * np.array(list(weights.values()))) ** 2).sum(axis=1)
    # Of those that are as near, the one of the nearest steps: this sort keeps their order.
    for index in sorted(range(len(missed)), key=missed.__getitem__):
        values = dict(zip(names, combinations[index].tolist(), strict=True))
        with suppress(FieldError):
            return _moved(bag, values, follower)
    return None


def _neighbours(value: float, step: float) -> tuple[float, ...]:
    """The nearest step, the one below and the one above."""
    nearest = round_to_step(value, step)
    return nearest, round_to_step(nearest - step, step), round_to_step(nearest + step, step)


def _weights(redesign: Redesign) -> dict[str, float]:
    """How much each size counts: those of the box, and volumes that were asked for.

    A hundredth of a volume counts like a millimetre.
    """
    asked = _asked(redesign)
    weights = {name: _WANTED_COUNTS if name in asked else 1.0 for name in _AIMS}
    for name, size in with_laws(redesign.after.finished, redesign.laws).items():
        if size and name in asked and is_volume(name):
            weights[name] = _WANTED_COUNTS * VOLUME_SHARE / size
    return weights


def _slopes(
    bag: Bag, names: Sequence[str], aims: Sequence[str], follower: str | None, laws: Laws
) -> Vector:
    """(names, aims) differences of the pattern model by each cut figure.

    0 where a figure can be moved neither way.
    """

    def sizes(each: Bag) -> Vector:
        return _vector(with_laws(measure_walls(each), laws), aims)

    now = sizes(bag)
    slopes = np.zeros((len(names), len(aims)))
    for row, name in enumerate(names):
        for nudge in _NUDGES:
            with suppress(FieldError):
                beside = _moved(bag, {name: _size(bag, name) + nudge}, follower)
                slopes[row] = (sizes(beside) - now) / nudge
                break
    return slopes


def _vector(finished: Finished, names: Sequence[str]) -> Vector:
    return np.array([finished[name] or 0.0 for name in names])


def _with_last_strip(bag: Bag, step: float) -> Bag:
    """The last strip on the upper step, or as long as its goods are wide."""
    last = _size(bag, _LAST_STRIP)
    upper = round_to_step(last, step)
    if shorter(upper, last):
        upper = round_to_step(upper + step, step)
    return with_figures(bag, {_LAST_STRIP: min(upper, bag.site.whole_strip)})


def _with_pocket(bag: Bag, names: Sequence[str], step: float) -> Bag:
    """Figures of the pocket, each on the nearest step that leaves a pocket."""
    for name in names:
        for value in filter(None, _neighbours(_size(bag, name), step)):
            with suppress(FieldError):
                bag = with_figures(bag, {name: value})
                break
    return bag


def _with_board(redesign: Redesign, bag: Bag, names: Collection[str], step: float) -> Bag:
    """The board in the room that rounding the panel has left it, and cut down to the ruler.

    Args:
        redesign: before it was rounded.
        bag: with its panel on the ruler.
        names: figures that are to be rounded.
        step: of the ruler, mm.
    """
    board = bag.board
    if board is None:
        return bag
    after = redesign.after
    room = board_room(board.way, bag.site, measure_walls(bag))
    if all(_loose(redesign, name) for name in BOARD):
        moved = moved_board(board, board_room(board.way, after.bag.site, after.finished), room)
        names = names if moved == board else BOARD
        board = moved
    keep = tuple(name for name in BOARD if name not in names)
    return replace(bag, board=board_on_ruler(board, room, step, keep=keep))


def _held(bag: Bag) -> Mapping[str, float | None]:
    """What a bag holds filled, litres: it is filled."""
    from core.solid.capacity import capacity

    return capacity(bag).volumes


def _cost(rounded: Finished, exact: Finished) -> Mapping[str, float | None]:
    """Finished figure -> rounded less exact, mm or litres; None where either lacks it."""
    cost: dict[str, float | None] = {}
    for name, value in rounded.items():
        before = exact[name]
        cost[name] = None if value is None or before is None else value - before
    return MappingProxyType(cost)
