"""Ruler-friendly results: cut figures put on the ruler step, chosen together.

Rounding each figure to its nearest step can part matched corners and add up in the same
direction. Here the neighbouring steps of all figures are tried together: corners that
matched stay matched, and what is nearest to the wanted finished sizes wins.
"""

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import product
from types import MappingProxyType
from typing import cast

import numpy as np

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.compute import Around, Result, compute, volumes
from core.bag.figures import is_volume, matched_in
from core.bag.tables import CUT_FIGURES
from core.base.arrays import Floats
from core.base.errors import FieldError
from core.base.tolerance import LENGTH_TOLERANCE, same_length, without_sliver
from core.base.units import round_to_step
from core.model.figures import Ruled
from core.model.record import Follower
from core.redesign.beside import DIFFERENCE, Slopes, length_slopes
from core.redesign.filled_volume import with_laws
from core.redesign.redesign import Redesign
from core.redesign.request import VOLUME_SHARE
from core.redesign.variables import aims_of, sizes_of
from core.site.owner import Rounding
from core.site.site import Finished

_WANTED_COUNTS = 10.0
"""How much more a wanted or held size weighs than one that is only kept near."""
_PLACES = 9
"""Of a mm that a follower's size is kept to: what a sum leaves beyond would make another bag."""
_NEAR_DIGITS = 6
"""What is missed, mm squared, that agrees in so many is as near: the rest is dust of sums."""


@dataclass(frozen=True, slots=True)
class Rounded:
    """A redesign on the ruler step.

    Attributes:
        result: everything that follows from the rounded bag.
        cost: finished figure -> rounded less exact, mm or litres; None where it is absent.
        off_ruler: changed cut figures that no step fits, such as a corner cut width that
            must follow an allowance which is off the ruler.
        slivers: as in `Redesign`; none on a ruler, which has no step so small.
        exactly: finished figure -> what it was without the ruler, mm or litres.
    """

    result: Result
    cost: Mapping[str, float | None]
    exactly: Finished
    off_ruler: tuple[str, ...] = ()
    slivers: tuple[str, ...] = ()


def exact(redesign: Redesign) -> Rounded:
    """The redesign as it is: a ruler that costs nothing."""
    finished = {**redesign.after.finished, **redesign.filled}
    cost = _cost(finished, finished)
    return Rounded(redesign.after, cost, finished, slivers=redesign.slivers)


def on_ruler(redesign: Redesign, step: float, *, names: Iterable[str] | None = None) -> Rounded:
    """Put the cut figures that a redesign changed on the ruler.

    Figures that were wanted or held as cut figures stay exactly as they are, and those that are
    nothing stay nothing. Where no combination of steps keeps what matches matched (an
    allowance that is off the ruler), the first follower of the body (`Solving.followers`) that was
    neither wanted nor held moves with the others and stays off it.

    Args:
        step: ruler step, mm, > 0.
        names: cut figures to round instead of the changed ones, such as `RULED`.
    """
    bag = redesign.bag
    asked = redesign.cut_changes if names is None else names
    loose = [name for name in asked if cut_value(bag, name) and _loose(redesign, name)]
    together = _together(bag)
    best = _best(redesign, [name for name in loose if name in together], step)
    off = tuple(
        name
        for name in together
        if (name in loose or _size(best, name) != _size(bag, name)) and _is_off(best, name, step)
    )
    best = _nearest_each(best, [name for name in _NEAREST if name in loose], step)
    best = _with_parts(
        redesign, best, Rounding(step=step, names=frozenset(loose), exact=_asked(redesign))
    )
    result = compute(best)
    held = _held(best) if redesign.filled else {}
    exactly = {**redesign.finished, **redesign.filled}
    cost = _cost({**result.finished, **held}, exactly)
    return Rounded(result, cost, exactly, off)


_TOGETHER, _NEAREST = (
    tuple(figure.name for figure in CUT_FIGURES if figure.ruled is way)
    for way in (Ruled.TOGETHER, Ruled.NEAREST)
)


def _together(bag: Bag) -> tuple[str, ...]:
    """Figures that are put on the ruler together: what may leave it last, and what does first."""
    leaving = tuple(dict.fromkeys(follower.name for follower in reversed(_followers(bag))))
    own = (name for name in _TOGETHER if cut_value(bag, name) is not None)
    return (*(name for name in own if name not in leaving), *leaving)


def _followers(bag: Bag) -> tuple[Follower, ...]:
    every = (each for _, member in bag.members for each in member.SOLVING.followers)
    return tuple(
        each
        for each in every
        if all(cut_value(bag, name) is not None for name in (each.name, *each.rates))
    )


def _asked(redesign: Redesign) -> frozenset[str]:
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
    bag = redesign.bag
    if not names:
        return bag
    loose = (each for each in _followers(bag) if _loose(redesign, each.name))
    for follower in (None, *loose):
        found = _nearest(redesign, names, step, follower)
        if found is not None:
            return found
    return bag


def _moved(bag: Bag, values: Mapping[str, float], follower: Follower | None) -> Bag:
    """The bag with these cut figures, mm; FieldError: none such can be drawn.

    A follower moves as its leaders do, whatever `values` say.
    """
    if follower is None:
        return with_figures(bag, values)
    moved = sum(
        rate * (values.get(leader, _size(bag, leader)) - _size(bag, leader))
        for leader, rate in follower.rates.items()
    )
    there = without_sliver(round(_size(bag, follower.name) + moved, _PLACES))
    return with_figures(bag, {**values, follower.name: there})


def _nearest(
    redesign: Redesign, names: Sequence[str], step: float, follower: Follower | None
) -> Bag | None:
    """The nearest neighbouring combination that can be drawn and keeps matched corners matched.

    None where there is none. The names are put on a step (mm); a follower moves as its leaders
    do, on none.
    """
    bag = redesign.bag
    weights = _weights(redesign)
    matches = matched_in(redesign.finished)
    slopes = _slopes(redesign, names, (*weights, *matches), follower)
    start = np.array([_size(bag, name) for name in names])
    combinations = np.array(list(product(*(_neighbours(each, step) for each in start.tolist()))))
    # The sizes that count are linear in the cut (a volume nearly so over a step), so that
    # one table of slopes ranks them all.
    changes = (combinations - start) @ slopes
    for place, mismatch in enumerate(_vector(redesign.finished, matches).tolist()):
        if same_length(mismatch, 0.0):
            kept = np.abs(changes[:, len(weights) + place]) <= LENGTH_TOLERANCE
            combinations, changes = combinations[kept], changes[kept]
    missed = ((changes[:, : len(weights)] * np.array(list(weights.values()))) ** 2).sum(axis=1)
    # Of those that are as near, the one of the nearest steps: this sort keeps their order.
    for index in np.argsort(missed.round(_NEAR_DIGITS), kind="stable").tolist():
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
    finished = redesign.finished
    aims = aims_of(redesign.bag, finished)
    weights = {name: _WANTED_COUNTS if name in asked else 1.0 for name in aims}
    for name, size in with_laws(finished, redesign.laws).items():
        if size and name in asked and is_volume(name):
            weights[name] = _WANTED_COUNTS * VOLUME_SHARE / size
    return weights


def _slopes(
    redesign: Redesign, names: Sequence[str], aims: Sequence[str], follower: Follower | None
) -> Floats:
    """(names, aims) what a mm of each cut figure adds to the sizes that count, mm or litres."""
    lengths = _length_slopes(redesign, aims)
    rows = [_with_follower(lengths, name, follower) for name in names]
    if not any(map(is_volume, aims)):
        return np.array([[row[aim] for aim in aims] for row in rows])
    bag, finished = redesign.bag, redesign.finished

    def sizes(found: Finished) -> Floats:
        boxes = {**found, **volumes(bag, found)}
        return _vector(with_laws(boxes, redesign.laws), aims)

    now = sizes(finished)
    slopes = []
    for row in rows:
        moved = {name: (finished[name] or 0.0) + slope * DIFFERENCE for name, slope in row.items()}
        slopes.append((sizes({**finished, **moved}) - now) / DIFFERENCE)
    return np.array(slopes)


def _length_slopes(redesign: Redesign, aims: Sequence[str]) -> Slopes:
    """Slopes of lengths where a redesign ended: those where it began, if they tell of both.

    Lengths are linear in the cut, and where a hold began they are measured once for all its keys.
    """
    names = _together(redesign.bag)
    began = length_slopes(redesign.before, names)
    if _tell(began, redesign, [aim for aim in aims if not is_volume(aim)]):
        return began
    return length_slopes(redesign.bag, names)


def _tell(slopes: Slopes, redesign: Redesign, lengths: Sequence[str]) -> bool:
    """Whether these slopes lead from the lengths where it began to those where it ended."""
    before, after = sizes_of(redesign.before), redesign.finished
    moved = {name: _size(redesign.bag, name) - _size(redesign.before, name) for name in slopes}
    return all(
        all(aim in row for row in slopes.values())
        and same_length(
            (before[aim] or 0.0) + sum(row[aim] * moved[name] for name, row in slopes.items()),
            after[aim] or 0.0,
        )
        for aim in lengths
    )


def _with_follower(slopes: Slopes, name: str, follower: Follower | None) -> Mapping[str, float]:
    """Finished length -> what a mm of a cut figure adds to it with what follows that."""
    if follower is None:
        return slopes[name]
    own, rate = float(name != follower.name), follower.rates.get(name, 0.0)
    following = slopes[follower.name]
    return {aim: own * slope + rate * following[aim] for aim, slope in slopes[name].items()}


def _vector(finished: Finished, names: Sequence[str]) -> Floats:
    return np.array([finished[name] or 0.0 for name in names])


def _nearest_each(bag: Bag, names: Sequence[str], step: float) -> Bag:
    """Figures that nothing depends on, each on the nearest step above 0 that there can be."""
    for name in names:
        for value in filter(None, _neighbours(_size(bag, name), step)):
            with suppress(FieldError):
                bag = with_figures(bag, {name: value})
                break
    return bag


def _with_parts(redesign: Redesign, bag: Bag, rounding: Rounding) -> Bag:
    """The bag, the rest of it on the ruler, with what its parts round themselves."""
    now = Around(bag)
    top = bag.top.following(Around(redesign.before), now, rounding.exact)
    bag = bag if top is bag.top else replace(bag, top=top)
    was = Around(redesign.bag, redesign.finished)
    return bag.with_parts([part.on_ruler(rounding, was, now) for part in bag.parts.values()])


def _held(bag: Bag) -> Mapping[str, float | None]:
    """What a bag holds filled, litres: it is filled."""
    from core.solid.capacity import capacity

    return capacity(bag).volumes


def _cost(rounded: Finished, exact: Finished) -> Mapping[str, float | None]:
    """Finished figure -> rounded less exact, mm or litres; None where either lacks it."""
    cost: dict[str, float | None] = {}
    for name, value in rounded.items():
        before = exact[name]
        if value is None or before is None:
            cost[name] = None
        else:  # less than counts as a length is what sums leave
            cost[name] = 0.0 if same_length(value, before) else value - before
    return MappingProxyType(cost)
