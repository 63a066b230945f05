"""Whole bags with a strip round two panels, with every top that their mouth takes. mm."""

from dataclasses import replace
from itertools import product

from core.bag.bag import Bag
from core.bag.parts import Parts
from core.base.errors import FieldError
from core.base.units import Unit
from core.bodies.gusset_strip.body import StripBody, Wrap
from core.parts.board.board import BaseBoard, BoardWay
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.parts.part import Part
from core.parts.pocket.pocket import Pocket
from core.tops.facing.facing import Facing
from core.tops.hem.hem import Hem
from core.tops.table import TOPS
from core.tops.top import Top
from core.tops.top_strip.strip import TopStrip
from tests.core.bodies.strip_bags import KINDS, e2, matched, open_bag
from tests.helpers import demo, inch, layer, sandwich

_LAYERS = (layer(), layer("insulating fleece"), layer("wipe-clean lining", wipe_clean=True))
WALL = sandwich(*_LAYERS)
LINING_LAST = sandwich(*_LAYERS[:2], replace(_LAYERS[2], laid_last=True))
TOP_STRIP = TopStrip(tape_width=inch(1.25), length=inch(24))
MADE = {TopStrip: TOP_STRIP, Hem: Hem(), Facing: Facing(depth=40.0)}
"""The tops that such a mouth takes."""
POCKET = Pocket(cut_height=260.0, drop=60.0, seam=10.0)
HANDLES = Handles(width=25.0, gap=60.0, stop=60.0, strips=1, style=HandleStyle.SEPARATE)
BOARD = BaseBoard(width=90.0, depth=80.0)


def strip_bag(body: StripBody, top: Top, *parts: Part, **other: object) -> Bag:
    """A bag of this body with what of these parts it takes."""
    fields = {"name": "carrier", "unit": Unit.MM, "parts": Parts(()), **other}
    bag: Bag = replace(demo(), body=body, top=top, **fields)  # type: ignore[arg-type]  # its fields
    for part in parts:
        try:
            bag = bag.with_part(part)
        except FieldError:
            continue
    return bag


def every_bag() -> list[Bag]:
    """Both kinds, round and square, of one piece to four, of one layer and of three, each top.

    A wrap that runs on flat under the bag has a loop as often as two handles.
    """
    found: list[Bag] = []
    walls = (sandwich(layer()), WALL, LINING_LAST)
    for kind, pieces, wall, square in product(KINDS, (1, 2, 3, 4), walls, (False, True)):
        corners = {"corner_rounding": 0.0} if square else {}
        uppers = {"upper_rounding": 0.0, **corners} if square else {}
        opened = matched(open_bag(kind, strip_pieces=pieces, **corners))
        closed = matched(e2(kind, strip_pieces=pieces, **uppers))
        loop = kind is Wrap and pieces < 3 and square
        handles = replace(HANDLES, style=HandleStyle.LOOP, strips=3) if loop else HANDLES
        board = replace(BOARD, way=BoardWay.FUSED) if square else BOARD
        for top in TOPS:
            body = closed if top.CLOSES_RING else opened
            if top.refused(body.mouth()) is None:
                made = MADE[top]
                found.append(strip_bag(body, made, POCKET, handles, board, sandwich=wall))
    return found
