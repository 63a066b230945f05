"""A bag and what lies beside it: its sizes, and those with one unknown moved a little.

Slopes are made of these. A held key asks for one bag after another, each solved from where the
hold began: what is measured there is the same for every key, and so it is kept.
"""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from functools import lru_cache
from types import MappingProxyType

import numpy as np

from core.bag.bag import Bag
from core.bag.compute import measure_walls
from core.bag.figures import FINISHED
from core.base.arrays import Floats
from core.base.errors import FieldError
from core.base.sentences import mark
from core.model.figures import Form
from core.redesign.filled_volume import NO_LAWS, Laws, with_laws
from core.redesign.variables import KEPT, bag_without_slivers, sizes_of, value_of
from core.site.site import Finished

DIFFERENCE = 1e-2
"""mm; difference step. Sizes are some 100 mm, so that three quarters of the digits remain."""
_DIGITS = 9
"""Slopes of lengths are plain numbers such as 1/2 and 2: what rounding leaves beyond is dust."""


@lru_cache(maxsize=KEPT)
def beside(bag: Bag, name: str, step: float) -> Finished:
    """Finished figures with an unknown that the bag has moved by a step, mm; FieldError: none."""
    value = value_of(bag, name)
    assert value is not None, name
    return measure_walls(bag_without_slivers(bag, {name: value + step}))


def values_of(finished: Finished, names: Sequence[str]) -> Floats:
    """(f,) finished figures by name, mm or litres; FieldError: one of them is not there."""
    values = [finished[name] for name in names]
    if None in values:
        raise FieldError(_GONE, field=names[values.index(None)], value=None)
    return np.array(values)


@lru_cache(maxsize=KEPT)
def kept_slopes(bag: Bag, unknowns: tuple[str, ...], names: tuple[str, ...]) -> Floats:
    """As `slopes_at`, of figures that no law tells."""
    return slopes_at(bag, unknowns, names, NO_LAWS)


def slopes_at(bag: Bag, unknowns: tuple[str, ...], names: tuple[str, ...], laws: Laws) -> Floats:
    """(f, n) what a mm more of each unknown adds to f finished figures, by differences.

    Each neighbour is sought on whichever side there is a bag that has these figures. A FieldError
    says that there is none.
    """
    now = values_of(with_laws(sizes_of(bag), laws), names)
    columns = [_slope(bag, unknown, names, laws, now) for unknown in unknowns]
    slopes = np.array(columns).reshape(-1, len(names)).T
    slopes.flags.writeable = False
    return slopes


def _slope(bag: Bag, unknown: str, names: tuple[str, ...], laws: Laws, now: Floats) -> Floats:
    for step in (DIFFERENCE, -DIFFERENCE):
        try:
            there = with_laws(beside(bag, unknown, step), laws)
            return (values_of(there, names) - now) / step
        except FieldError as error:
            refused = error
    raise refused


Slopes = Mapping[str, Mapping[str, float]]
"""Cut figure -> finished length -> what a mm of the one adds to the other."""


@lru_cache(maxsize=KEPT)
def length_slopes(bag: Bag, names: tuple[str, ...]) -> Slopes:
    """Slopes of every finished length of the bag that is linear, by some of its cut figures.

    Nothing where a figure can be moved neither way.
    """
    return MappingProxyType({name: _length_slopes(bag, name) for name in names})


def _length_slopes(bag: Bag, name: str) -> Mapping[str, float]:
    now = sizes_of(bag)
    lengths = [figure for figure, value in now.items() if value is not None and _is_linear(figure)]
    for step in (DIFFERENCE, -DIFFERENCE):
        with suppress(FieldError):
            there = beside(bag, name, step)
            moved = {each: ((there[each] or 0.0) - (now[each] or 0.0)) / step for each in lengths}
            return MappingProxyType({each: round(slope, _DIGITS) for each, slope in moved.items()})
    return MappingProxyType(dict.fromkeys(lengths, 0.0))


def _is_linear(name: str) -> bool:
    return FINISHED[name].form is Form.LINEAR


_GONE = mark("This size is not possible.")
