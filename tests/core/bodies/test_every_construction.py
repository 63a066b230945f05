"""Random bags of each construction with every top: seams, folding, and what they hold.

Sources: closed formulas (`test_strip_formulas`, `test_separate_base`), the tests' own walks, and
for what is filled the value that finer meshes tend to. Long runs: `tests/faults`.
"""

import random

import pytest

from core.bodies.body import Body
from core.bodies.separate_base.body import SeparateBase
from tests.core.bodies.every_construction import (
    KINDS,
    any_body,
    check_meets_in_space,
    check_seams,
    with_every_top,
)
from tests.core.bodies.test_separate_base import bag_of, cut_for


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.KIND)
def test_their_seams_match_and_meet_in_space(kind: type[Body]) -> None:
    chance = random.Random(29)
    tops = set()
    for _ in range(60):
        for bag in with_every_top(any_body(chance, kind)):
            tops.add(bag.top.KIND)
            check_seams(bag)
            check_meets_in_space(bag)
    rings = {"hem", "facing", "top-strip"}
    assert tops == (rings | {"zip-forward", "roll-top"} if kind is SeparateBase else rings)


# On a stadium whose corners are all of its width, dust told the front's middle by turns; walls that
# a sum leaves 2e-13 mm short of a circle's ends were not shown round them.
NARROW = cut_for(
    (101.05619328094814, 470.52063496008583, 200.0), 101.05619328094814 / 2, seams=(10.0, 9.1, 10.0)
)
SHORT = SeparateBase(
    base_cut_width=437.92207634039397, base_cut_depth=315.49289396933926,
    corner_rounding=157.74644698466963, body_width=606.3491902502979,
    body_height=117.62451562267023, body_pieces=2, side_seam=10.835584267915827,
    base_seam=10.60807154467895, top_seam=12.259780273634615,
)  # fmt: skip


@pytest.mark.parametrize("body", [NARROW, SHORT], ids=["narrow", "short"])
def test_the_dust_of_a_sum_does_not_turn_a_ring(body: SeparateBase) -> None:
    check_meets_in_space(bag_of(body))
