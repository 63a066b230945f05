"""Random bags of each construction with every top: seams, folding, and what they hold.

Sources: closed formulas (`test_strip_formulas`, `test_separate_base`), the tests' own walks, and
for what is filled the value that finer meshes tend to. Long runs: `tests/faults`.
"""

import random

import pytest

from core.bag.compute import compute
from core.bodies.body import Body
from core.bodies.gusset_strip.body import GussetStrip
from core.bodies.separate_base.body import SeparateBase
from core.redesign.redesign import redesign
from core.redesign.request import RedesignRequest
from core.redesign.rounding import on_ruler
from core.solid.capacity import capacity
from core.solid.fill_problem import build_mesh, problem_of
from core.solid.fill_solve import solve
from core.space.box_quarters import BoxSizes, base_quarter
from tests.core.bodies.every_construction import (
    KINDS,
    any_body,
    check_meets_in_space,
    check_seams,
    off_refined,
    over_a_board,
    with_every_top,
)
from tests.core.bodies.test_separate_base import bag_of, cut_for
from tests.core.bodies.test_strip_formulas import cut
from tests.core.solid.sheets import times


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


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.KIND)
def test_they_hold_what_finer_meshes_tend_to(kind: type[Body]) -> None:
    """Within 0.5 %; every other one over a board."""
    chance, found = random.Random(53), 0
    while found < (12 if kind is SeparateBase else 6):  # a wrap is a strip bag turned round
        for bag in with_every_top(any_body(chance, kind)):
            off = off_refined(over_a_board(bag) if found % 2 else bag)
            if off is not None:
                assert abs(off) < 0.005, (off, found, bag.body, bag.top)
                found += 1


def test_f9_a_ring_of_strips_round_a_cube() -> None:
    """1.2604 times the cube, by a solver of the project's own list; 1.2512 is published.

    An isometric folding of a cube (doi 10.3390/math13040645).
    """
    body = cut(GussetStrip, (100.0,) * 3, r=0.0, q=0.0, s=5.0, e=5.0, c=5.0, gap=100.0)
    (bag,) = with_every_top(body)
    held = capacity(bag).filled
    assert held == pytest.approx(1.2604, rel=5e-3)
    assert held is not None and held > 1.2512


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.KIND)
def test_a_redesign_leads_there_and_back(kind: type[Body]) -> None:
    """To the sizes it has: that bag. To others, one pinned, on the ruler and off it, and back."""
    chance = random.Random(61)
    box = kind.BOX
    for _ in range(16):
        for bag in with_every_top(any_body(chance, kind)):
            now = compute(bag)
            sizes = {name: now.finished[name] or 0.0 for name in (box.width, box.depth, box.height)}
            same = redesign(bag, RedesignRequest(wants=sizes)).after
            assert same.cut == pytest.approx(now.cut, abs=1e-6)
            pinned, *others = chance.sample([*sizes], 3)
            wants = {name: sizes[name] + chance.uniform(0.0, 30.0) for name in others}
            found = redesign(bag, RedesignRequest(wants=wants, holds=frozenset({pinned})))
            after = compute(found.bag)
            expected = {**sizes, **wants}
            assert {name: after.finished[name] for name in sizes} == pytest.approx(expected)
            ruled = on_ruler(found, 1.0)
            assert compute(ruled.result.bag).finished == ruled.result.finished
            for walked in (*after.draft.walked, *ruled.result.draft.walked):
                assert walked.difference == pytest.approx(0.0, abs=2e-6), walked.seam.label
            back = redesign(found.bag, RedesignRequest(wants=sizes)).after
            assert {name: back.finished[name] for name in sizes} == pytest.approx(sizes)


def test_taut_walls_over_a_rounded_board_hold_what_finer_meshes_tend_to() -> None:
    """Walls hardly higher than half of the base is deep, its width all but rounded away."""
    quarter = base_quarter(
        BoxSizes(width=213.0, depth=282.0, height=160.0, radius=103.0), board=True
    )
    working, twice = (
        solve(problem_of(build_mesh(quarter, times(quarter.counts, factor)))).volume
        for factor in (1, 2)
    )
    assert working == pytest.approx(twice + (twice - working) / 3, rel=5e-3)


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
