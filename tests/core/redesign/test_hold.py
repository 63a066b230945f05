"""What the keys of one hold ask anew: a count of bags, not of seconds."""

import pytest

from core.bag.bag import Bag
from core.bag.compute import measure_walls
from core.redesign.beside import at_start, beside
from core.redesign.redesign import redesign
from core.redesign.request import RedesignRequest
from tests.helpers import changed, demo, inch

UNKNOWNS = 5
"""Of the demo bag: width, length, front trim, and both sides of a corner cut."""


@pytest.fixture
def measured(monkeypatch: pytest.MonkeyPatch) -> list[Bag]:
    """Each bag that a redesign measures from here on, with nothing remembered from before."""
    bags: list[Bag] = []

    def counted(bag: Bag) -> object:
        bags.append(bag)
        return measure_walls(bag)

    for module in ("core.redesign.beside", "core.redesign.variables", "core.bag.compute"):
        monkeypatch.setattr(f"{module}.measure_walls", counted)
    beside.cache_clear()
    at_start.cache_clear()
    return bags


def count(measured: list[Bag], start: Bag, name: str, value: float) -> int:
    """How many bags one key measures that asks for so much."""
    measured.clear()
    redesign(start, RedesignRequest(wants={name: value}))
    return len(measured)


@pytest.mark.parametrize("name", ["base_width", "gusset_depth", "face_height"])
def test_only_the_first_key_of_a_hold_measures_where_it_began(
    name: str, measured: list[Bag]
) -> None:
    start = demo()
    value = measure_walls(start)[name]
    first, *following = (
        count(measured, start, name, value + inch(keys / 8)) for keys in (1, 2, 3, 2, -4)
    )
    # Where the step led, and what the parts follow: lengths are linear, and so it is one step.
    assert following == [2, 2, 2, 2]
    assert first == 2 + 1 + UNKNOWNS, "and the bag that it begins from, with its neighbours"


def test_what_is_kept_is_of_that_very_bag(measured: list[Bag]) -> None:
    """One that is equal is the same bag; one that is a little wider is not."""
    start = demo()
    assert count(measured, start, "base_width", 300.0) == 3 + UNKNOWNS
    assert count(measured, demo(), "base_width", 310.0) == 2
    other = changed(start, panel_width=470.0)
    assert count(measured, other, "base_width", 310.0) == 3 + UNKNOWNS
