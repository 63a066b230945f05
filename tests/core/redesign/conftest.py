"""What several tests of the redesign start from."""

import pytest

from core.bag.bag import Bag
from core.bag.compute import measure_walls
from core.redesign.beside import beside, kept_slopes, length_slopes
from core.redesign.variables import sizes_of


@pytest.fixture
def measured(monkeypatch: pytest.MonkeyPatch) -> list[Bag]:
    """Each bag that a redesign measures from here on, with nothing remembered from before."""
    bags: list[Bag] = []

    def counted(bag: Bag) -> object:
        bags.append(bag)
        return measure_walls(bag)

    for module in ("core.redesign.beside", "core.redesign.variables", "core.bag.compute"):
        monkeypatch.setattr(f"{module}.measure_walls", counted)
    for kept in (beside, sizes_of, kept_slopes, length_slopes):
        kept.cache_clear()
    return bags
