"""Random separate bases through all that is quick: judged, mended, folded, sewn.

What a fix promises and what an order of sewing must keep to stand in the tests of boxed panels
too; sizes go to their ends.
"""

import math
import random
from dataclasses import replace

import pytest

from core.bag.bag import Bag
from core.bag.choices import with_fix
from core.bag.compute import Around, compute
from core.base.errors import FieldError
from core.base.units import Unit
from core.bodies.separate_base.body import SeparateBase
from core.parts.board.board import BaseBoard
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.sewing.steps import operations, steps
from core.solid.fold import FoldModel
from core.tops.hem.hem import Hem
from core.tops.top_strip.strip import TopStrip
from core.tops.zip_forward.zip import ZipForward
from tests.core.bodies.test_separate_base import ROUND_OFF
from tests.core.sewing.order_proof import faults_in, wrongly_used
from tests.helpers import bag_from_json, bag_to_json, layer, sandwich

MENDED = {"base-edges-differ", "corner-too-tight", "ring-seam-on-corner"}


def drawn(chance: random.Random) -> Bag | None:
    """One that can be, or none."""

    def between(low: float, high: float) -> float:
        return chance.choice((low, high, *(chance.uniform(low, high) for _ in range(3))))

    side, base, top = (between(0.0, 25.0) for _ in range(3))
    pieces = chance.choice((1, 2, 2, 2, 4))
    wide, deep, high = (between(5.0, 600.0) for _ in range(3))
    radius = 0.0
    if pieces != 4 and chance.random() < 0.7:
        radius = between(0.5, min(wide, deep) / 2)
    off = chance.choice((0.0, 0.0, chance.uniform(-60.0, 60.0)))
    way = 2 * (wide + deep) - ROUND_OFF * radius + off
    front = wide + off / 4 if pieces == 4 else way / pieces
    try:
        body = SeparateBase(
            base_cut_width=wide + 2 * base,
            base_cut_depth=deep + 2 * base,
            corner_rounding=radius + base if radius else 0.0,
            body_width=front + 2 * side,
            body_end_width=deep + off / 4 + 2 * side if pieces == 4 else 0.0,
            body_height=high + top + base,
            front_trim=between(0.0, high / 2) if pieces == 2 else 0.0,
            body_pieces=pieces,
            side_seam=side,
            base_seam=base,
            top_seam=top,
        )
        roles = chance.choice((("outer",), ("outer", "batting", "lining")))
        wall = sandwich(
            *(
                layer(
                    role=role,
                    usable_width=5000.0,
                    thickness=between(0.2, 8.0),
                    pressed=between(0.1, 0.2),
                )
                for role in roles
            )
        )
        unit = chance.choice((Unit.MM, Unit.INCH))
        bag = Bag(name="any", unit=unit, body=body, top=Hem(), sandwich=wall)
        kind = {2: ZipForward, 4: TopStrip}.get(pieces)
        if kind is not None and chance.random() < 0.6:
            bag = replace(bag, top=kind.fresh(Around(bag)))
        for part in (Pocket, Handles, BaseBoard):
            if chance.random() < 0.5:
                bag = bag.with_part(part.fresh(Around(bag)))
    except FieldError:
        return None
    return bag


BAGS = [bag for bag in map(drawn, map(random.Random, range(220))) if bag is not None]


def test_enough_of_them_can_be() -> None:
    assert len(BAGS) > 60
    assert {bag.body.body_pieces for bag in BAGS} == {1, 2, 4}


@pytest.mark.parametrize("part", range(4))
def test_what_is_found_is_mended_by_each_fix(part: int) -> None:
    for bag in BAGS[part::4]:
        for found in compute(bag).findings:
            for fix in found.fixes:
                after = compute(with_fix(bag, fix)).findings  # a fix is never refused
                if found.code in MENDED:
                    same = [each for each in after if each.code == found.code]
                    assert not same, (bag.body, found.message.text())


@pytest.mark.parametrize("part", range(4))
def test_they_fold_and_are_sewn_in_an_order_that_holds(part: int) -> None:
    for bag in BAGS[part::4]:
        result = compute(bag)
        model = FoldModel(bag, result.draft)
        for at in (0.0, 0.3, 0.5, 0.8, 1.0) if model.folding.flat_only is None else (0.0,):
            folded = model.at(at)
            assert all(math.isfinite(value) for point in folded.extent for value in point)
        every = operations(bag, result.draft)
        assert faults_in(every, [step.operation for step in steps(result)]) == ()
        assert wrongly_used(result.draft, every) == ()


def test_a_file_gives_them_back() -> None:
    for bag in BAGS:
        text = bag_to_json(bag)
        assert bag_to_json(bag_from_json(text, source="any")) == text
