"""Whether what is bought for a bag is used in its steps, and what they use is bought."""

import re
from functools import lru_cache

from core.bag.bag import Bag
from core.bag.compute import compute
from core.cutting.cut_list import notions_of
from core.sewing.steps import operations

BOUGHT = ("basting tape", "buckle", "webbing", "stiffener strip", "zip")
"""Every notion that is bought by its own name."""


@lru_cache(maxsize=256)
def texts(bag: Bag) -> tuple[str, ...]:
    """What the steps tell, a sentence each."""
    every = operations(bag, compute(bag).draft)
    return tuple(sentence.text() for each in every for sentence in each.sentences)


def assert_bought_is_used(bag: Bag) -> None:
    bought = {each.what for each in notions_of(compute(bag)).others}
    told = " ".join(texts(bag)).lower()
    used = {name for name in BOUGHT if re.search(rf"\b{name}\b", told)}
    assert bought <= set(BOUGHT)
    assert used == bought, bag.top.KIND
