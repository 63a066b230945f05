"""Whole bags with a strip round two panels, with every top that their mouth takes. mm."""

from dataclasses import replace
from itertools import product

from core.bag.bag import Bag
from core.bag.parts import Parts
from core.base.errors import FieldError
from core.base.units import Unit
from core.bodies.gusset_strip.body import StripBody
from core.parts.board.board import BaseBoard
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.tops.table import TOPS
from core.tops.top import Top
from core.tops.top_strip.strip import TopStrip
from core.tops.zip_forward.zip import ZipForward
from tests.core.bodies.strip_bags import KINDS, e2, matched, open_bag
from tests.helpers import demo, inch, layer, sandwich

WALL = sandwich(layer(), layer("insulating fleece"), layer("wipe-clean lining", wipe_clean=True))
TOP_STRIP = TopStrip(tape_width=inch(1.25), length=inch(24))


def strip_bag(body: StripBody, top: Top, *, parts: bool = True, **other: object) -> Bag:
    """A bag of this body, with what of pocket, handles and board it takes."""
    bag = replace(
        demo(), name="carrier", unit=Unit.MM, body=body, top=top, parts=Parts(()), **other
    )
    if not parts:
        return bag
    for part in (
        Pocket(cut_height=260.0, drop=60.0, seam=10.0),
        Handles(width=25.0, gap=60.0, stop=60.0, strips=1, style=HandleStyle.SEPARATE),
        BaseBoard(width=150.0, depth=90.0),
    ):
        bag = _having(bag, part)
    return bag


def _having(bag: Bag, part: object) -> Bag:
    try:
        return bag.with_part(part)  # type: ignore[arg-type]  # any part
    except FieldError:
        return bag


def every_bag() -> list[Bag]:
    """Both kinds, round and square, of one piece to four, in one layer and in three, each top."""
    found: list[Bag] = []
    walls = (sandwich(layer()), WALL)
    for kind, pieces, wall in product(KINDS, (1, 2, 3, 4), walls):
        for square in (False, True):
            corners = {"corner_rounding": 0.0} if square else {}
            uppers = {"upper_rounding": 0.0} if square else {}
            opened = matched(open_bag(kind, strip_pieces=pieces, **corners))
            closed = matched(e2(kind, strip_pieces=pieces, **corners, **uppers))
            for top in TOPS:
                if top is ZipForward:
                    continue
                made = TOP_STRIP if top is TopStrip else top()
                body = closed if top.CLOSES_RING else opened
                found.append(strip_bag(body, made, sandwich=wall))
    return found
