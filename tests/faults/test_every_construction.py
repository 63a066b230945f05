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
