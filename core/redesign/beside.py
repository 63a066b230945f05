"""A bag and what lies beside it: its sizes, and those with one unknown moved a little.

Slopes are made of these. A held key asks for one bag after another, each solved from where the
hold began: what is measured there is the same for every key, and so it is kept.
"""

from collections.abc import Mapping
from contextlib import suppress
from functools import lru_cache
from types import MappingProxyType

from core.bag.bag import Bag
from core.bag.compute import measure_walls
from core.bag.figures import FINISHED
from core.base.errors import FieldError
from core.model.figures import Form
from core.redesign.variables import bag_without_slivers, value_of
from core.site.site import Finished

DIFFERENCE = 1e-2
"""mm; difference step. Sizes are some 100 mm, so that three quarters of the digits remain."""
_DIGITS = 9
"""Slopes of lengths are plain numbers such as 1/2 and 2: what rounding leaves beyond is dust."""
_KEPT = 64
"""How much is remembered: of each bag that a search began from, some five neighbours."""


@lru_cache(maxsize=_KEPT)
def at_start(bag: Bag) -> Finished:
    """Finished figures of a bag that searches begin from, as `measure_walls` tells them."""
    return measure_walls(bag)


@lru_cache(maxsize=_KEPT)
def beside(bag: Bag, name: str, step: float) -> Finished:
    """The same with an unknown that the bag has moved by a step, mm; FieldError: none is so."""
    value = value_of(bag, name)
    assert value is not None, name
    return measure_walls(bag_without_slivers(bag, {name: value + step}))


@lru_cache(maxsize=_KEPT)
def length_slopes(bag: Bag, name: str) -> Mapping[str, float]:
    """What a mm more of a cut figure adds to each finished length of the bag that is linear.

    Nothing where the figure can be moved neither way.
    """
    now = at_start(bag)
    lengths = [figure for figure, value in now.items() if value is not None and _is_linear(figure)]
    for step in (DIFFERENCE, -DIFFERENCE):
        with suppress(FieldError):
            there = beside(bag, name, step)
            moved = {each: ((there[each] or 0.0) - (now[each] or 0.0)) / step for each in lengths}
            return MappingProxyType({each: round(slope, _DIGITS) for each, slope in moved.items()})
    return MappingProxyType(dict.fromkeys(lengths, 0.0))


def _is_linear(name: str) -> bool:
    return FINISHED[name].form is Form.LINEAR
