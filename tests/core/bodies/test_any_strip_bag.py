"""Gusset strips and wraps of any sizes, with parts: judged, mended, sewn, kept and folded.

Source: rules of the program itself: no fix is refused, and each leaves nothing of what it fixes;
nothing is sewn before what it needs; a file gives the bag back.
"""

import random
from dataclasses import replace

import pytest

from core.bag.bag import Bag
from core.bag.choices import with_fix
from core.bag.compute import Around, compute
from core.base.errors import CornerwrightError, FieldError
from core.parts.table import SLOTS
from core.sewing.steps import operations, steps
from core.solid.fold import FoldModel
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from core.tops.top_strip.strip import TopStrip
from tests.core.bodies.strip_bags import KINDS, chance_bag, matched
from tests.core.sewing.order_proof import wrongly_used
from tests.helpers import bag_from_json, bag_to_json, codes, stops

MODELS = [sample(name).without(*sample(name).parts) for name in ("demo", "lunch")]


def any_bag(chance: random.Random, number: int) -> Bag | None:
    """A bag of such a body with some parts; None where its sizes cannot be."""
    try:
        body = chance_bag(chance, KINDS[number % 2])
        if chance.random() < 0.6:
            body = matched(body)
        tape = 2 * body.top_seam + chance.uniform(4.0, 20.0)
        closing = TopStrip(tape_width=tape, length=chance.uniform(100.0, 900.0))
        bag = replace(chance.choice(MODELS), body=body, top=closing if body.closed else Hem())
    except FieldError:
        return None
    for kind in SLOTS:
        if chance.random() < 0.5:
            try:
                bag = bag.with_part(kind.fresh(Around(bag)))
            except CornerwrightError:
                continue
    return bag


CHANCE = random.Random(5)
BAGS = [bag for number in range(120) if (bag := any_bag(CHANCE, number)) is not None]


def test_there_are_many() -> None:
    assert len(BAGS) > 90
    assert {type(bag.body) for bag in BAGS} == set(KINDS)
    assert {bag.body.strip_pieces for bag in BAGS} == {1, 2, 3, 4}  # type: ignore[attr-defined]


@pytest.mark.parametrize("part", range(6))
def test_any_of_them_is_judged_mended_sewn_kept_and_folded(part: int) -> None:
    for bag in BAGS[part::6]:
        result = compute(bag)
        for finding in result.findings:
            for fix in finding.fixes:
                after = compute(with_fix(bag, fix))
                assert finding.code not in codes(after), (finding.code, fix.changes)
                assert stops(after) <= stops(result), finding.code
        assert wrongly_used(result.draft, operations(bag, result.draft)) == ()
        assert steps(result)
        assert bag_from_json(bag_to_json(bag), source="bag") == bag
        model = FoldModel(bag, result.draft)
        assert all(model.at(at).extent for at in (0.0, 0.5, 1.0))


def test_a_ring_closes_over_a_board_however_low_it_is() -> None:
    """Front and back need not meet: a strip lies between them."""
    bags = [bag for bag in BAGS if bag.body.closed and "board" in bag.parts]  # type: ignore[attr-defined]
    assert bags
    assert not any("zip-does-not-close" in codes(compute(bag)) for bag in bags)
