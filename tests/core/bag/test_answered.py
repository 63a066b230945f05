"""What has no answer in the base of bodies, tops and parts is answered by each of them."""

import inspect

import pytest

from core.bodies.body import Body
from core.bodies.table import BODIES
from core.parts.part import Part
from core.parts.table import SLOTS
from core.site.kinds import Kinds, Told
from core.site.owner import Owner
from core.tops.table import TOPS
from core.tops.top import Top

CHAINED = {"chain_length", "chain_piece", "with_chain"}
"""Asked only of an owner one of whose lengths is joined of pieces."""


def unanswered(kind: type[Owner]) -> list[str]:
    """Methods of a class that only say that somebody else must answer."""
    found = []
    for name, method in inspect.getmembers(kind):
        code = getattr(inspect.unwrap(getattr(method, "__func__", method)), "__code__", None)
        if code is not None and "NotImplementedError" in code.co_names:
            found.append(name)
    return found


@pytest.mark.parametrize("kind", [*BODIES, *TOPS, *SLOTS])
def test_nothing_is_left_unanswered(kind: type[Owner]) -> None:
    base = next(each for each in kind.__mro__ if each in (Body, Top, Part))
    assert unanswered(base), "the base wants answers"
    chained = any(each.chain is not None for each in kind.SOLVING.unknowns)
    unasked = set() if chained else CHAINED
    assert set(unanswered(kind)) <= unasked


@pytest.mark.parametrize("kinds", [BODIES, TOPS])
def test_what_is_told_of_a_kind_before_it_is_loaded_holds_of_its_class(kinds: Kinds[Owner]) -> None:
    assert [Told.of(kind) for kind in kinds] == list(kinds.told)
    assert [kinds.of(word) for word in kinds.words] == list(kinds)
