"""A bag and what lies beside it: its sizes, and those with one unknown moved a little.

Slopes are made of these. A held key asks for one bag after another, each solved from where the
hold began: what is measured there is the same for every key, and so it is kept.
"""

from functools import lru_cache

from core.bag.bag import Bag
from core.bag.compute import measure_walls
from core.redesign.variables import bag_without_slivers, value_of
from core.site.site import Finished

DIFFERENCE = 1e-2
"""mm; difference step. Sizes are some 100 mm, so that three quarters of the digits remain."""
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
