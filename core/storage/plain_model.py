"""What a new bag is made after: a sample's top edge and parts, and a plain wall."""

from dataclasses import replace
from typing import Final

from core.bag.bag import Bag
from core.base.sentences import mark
from core.base.units import MM_PER_INCH, Unit
from core.goods.layers import EIGHTH_YARD, Layer, Sandwich
from core.goods.supplies import Supplies
from core.storage.bag_files import sample
from core.tops.table import TOPS

_CLOSED, _OPEN = "demo", "tote"
"""Samples that a bag with a top that closes it, or any other one, is made after."""

_WALL: Final = (
    (mark("outer fabric"), mark("cotton canvas"), 0.7, 0.5, 280.0),
    (mark("lining"), mark("plain cotton"), 0.25, 0.2, 120.0),
)
"""Role and name of its layers; mm thick, and pressed; g/m² (invented, as such goods are)."""


def plain_model(top: str | None, unit: Unit) -> Bag:
    """The model of a bag with a top of this kind, by its word; None: one that closes it.

    Its wall is of cloth and lining, as they are sold where this unit is used.
    """
    # A rolled top is hemmed first, as an open one is.
    closes = top is None or any(
        each.CLOSES and not each.FILLED_BY for each in TOPS if top == each.KIND
    )
    model = sample(_CLOSED if closes else _OPEN)
    inches = unit is Unit.INCH
    wide, step = (54 * MM_PER_INCH, EIGHTH_YARD) if inches else (1400.0, 100.0)
    wall = [
        Layer(
            role=role,
            name=name,
            thickness=thickness,
            pressed=pressed,
            mass_per_area=mass,
            usable_width=wide,
            sold_step=step,
        )
        for role, name, thickness, pressed, mass in _WALL
    ]
    return replace(
        model, name=mark("New bag"), sandwich=Sandwich(layers=tuple(wall)), supplies=Supplies()
    )
