"""Every construction with every top, at random: seams, folding, what it holds."""

import random
from collections.abc import Callable

import pytest

from core.bodies.body import Body
from tests.core.bodies.every_construction import (
    KINDS,
    any_body,
    check_meets_in_space,
    check_seams,
    off_refined,
    over_a_board,
    with_every_top,
)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.KIND)
def test_their_seams_match_and_meet_in_space(
    kind: type[Body], share: Callable[[int], int], tell: Callable[[str], None]
) -> None:
    chance, count, bags = random.Random(71), share(300), 0
    for _ in range(count):
        for bag in with_every_top(any_body(chance, kind)):
            check_seams(bag)
            check_meets_in_space(bag)
            bags += 1
    tell(f"{kind.KIND}: {count} bodies, {bags} bags with their tops: all seams meet")


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.KIND)
def test_they_hold_what_finer_meshes_tend_to(
    kind: type[Body], share: Callable[[int], int], tell: Callable[[str], None]
) -> None:
    """Within 0.5 %, over a board too."""
    chance, lows = random.Random(59), {"": [0.0], " over a board": [0.0]}
    for _ in range(share(300)):
        for bag in with_every_top(any_body(chance, kind)):
            for over, made in zip(lows, (bag, over_a_board(bag)), strict=True):
                off = off_refined(made)
                if off is not None:
                    assert abs(off) < 0.005, (off, over, bag.body)
                    lows[over].append(off)
    told = ", ".join(f"{len(each) - 1}{over} {min(each):+.2%}" for over, each in lows.items())
    tell(f"{kind.KIND} filled against finer meshes, lowest: {told}")
