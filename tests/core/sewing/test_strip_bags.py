"""Gusset strip and wrap on the sewing table: every order, the open zip, and what a slip breaks.

Sources: the corner of K16 (pfeist.net, bags_5: "clip the wrap exactly at 1/2 in from both raw edges
of the corner, then turn"); the order of a box with a zip in its strip (sewgirls.com,
order-of-sewing-box-cushion: the zip is opened before the second panel is sewn in).
"""

from functools import cache

import pytest

from core.bag.bag import Bag
from core.bag.compute import compute
from core.bodies.gusset_strip.body import GussetStrip, Wrap
from core.sewing.order import sewing_order
from core.sewing.steps import operations
from core.work.operation import Operation
from tests.core.bodies.strip_bags import e2, matched
from tests.core.sewing.order_proof import Breach, faults_in, wrongly_used
from tests.core.sewing.strip_bags import TOP_STRIP, WALL, every_bag, strip_bag

BAGS = every_bag()


def told(bag: Bag) -> dict[str, Operation]:
    """What is done for a bag, by key."""
    return {each.key: each for each in operations(bag, compute(bag).draft)}


@cache
def closed(kind: type = GussetStrip) -> Bag:
    """E2 with its zip in a top strip, its strip of two pieces."""
    return strip_bag(matched(e2(kind, strip_pieces=2)), TOP_STRIP, sandwich=WALL)


def test_every_piece_seam_and_mark_is_used_once_and_the_order_holds() -> None:
    for bag in BAGS:
        result = compute(bag)
        every = operations(bag, result.draft)
        assert wrongly_used(result.draft, every) == (), bag.body
        assert faults_in(every, sewing_order(every)) == (), bag.body


@pytest.mark.parametrize("kind", [GussetStrip, Wrap])
def test_the_second_panel_is_sewn_in_through_the_open_zip(kind: type) -> None:
    bag = closed(kind)
    every = operations(bag, compute(bag).draft)
    order = [each.key for each in sewing_order(every)]
    first, last = (f"join gusset seam {face.value}" for face in bag.body.MAKES.panels)
    joins = [key for key in order if key.startswith("join top strip")]
    assert len(joins) == 2
    told_in_turn = [*joins, first, "open zip", last, "turn bag"]
    assert [key for key in order if key in told_in_turn] == told_in_turn
    shut = [key for key in order if key != "open zip"]
    shut.insert(shut.index(last) + 1, "open zip")
    assert [(each.breach, each.step, each.other) for each in faults_in(every, shut)] == [
        (Breach.MISSING, last, "open zip")
    ]
