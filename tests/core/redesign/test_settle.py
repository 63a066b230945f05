"""From a bag that has what is asked to the one that changes least, against scipy's SLSQP."""

from collections.abc import Mapping

import numpy as np
import pytest

from core.bag.bag import cut_value
from core.bag.compute import measure_walls
from core.redesign.feasible import FeasibilitySearch
from core.redesign.least_change import Aims, least_change_within
from core.redesign.region import Region
from core.redesign.variables import scales_of
from tests.core.redesign.reference import AIMS, UNKNOWNS, Reference
from tests.helpers import changed, demo, inch

NOW = {**measure_walls(demo()), **{name: cut_value(demo(), name) for name in UNKNOWNS}}
HOME = np.array([NOW[name] for name in AIMS])
AS_THEY_ARE = Aims(AIMS, HOME, scales_of(HOME))


def region_of(exact: Mapping[str, float]) -> tuple[Region, np.ndarray]:
    """All bags that have this, and one of them."""
    found = FeasibilitySearch(demo(), exact).find(exact)
    assert found is not None
    return found


@pytest.mark.parametrize("exact", [
    {},
    {"opening_width": inch(12), "box_volume": 16.0},
    {"box_volume": 7.0},
    {"panel_length": 1100.0, "box_volume": 18.0, "panel_width": 420.0},
    # Had by a deep bag or by a flat one, and the second changes less.
    {"panel_length": NOW["panel_length"], "box_volume": 22.0, "base_width": NOW["base_width"]},
    {"opening_width": NOW["opening_width"], "face_height": 935.0, "box_volume": 36.0},
    # The front trim comes to its limit, 0, and a limit is left again.
    {"panel_length": NOW["panel_length"], "face_height": NOW["face_height"] + 40.0},
    {"panel_length": NOW["panel_length"], "box_volume": 24.0, "base_width": NOW["base_width"]},
    {"panel_length": 900.0, "zip_offset": 0.0, "panel_width": 500.0},
    {"base_width": 300.0, "gusset_depth": 150.0},
    # Said twice.
    {"panel_width": 480.0, "opening_width": 480.0 - inch(0.75), "box_volume": 17.0},
    # Cut figures that are no unknowns stay as they are.
    {"base_width": 300.0, "side_seam": inch(0.375), "box_volume": 17.0},
])  # fmt: skip
def test_the_least_change_is_the_least(exact: dict[str, float]) -> None:
    exact = {"corner_mismatch": 0.0, **exact}
    region, start = region_of(exact)
    sizes = {name: value for name, value in exact.items() if name != "side_seam"}
    least = Reference(sizes).least()
    assert least is not None
    chance = np.random.default_rng(4)
    for away in (0.0, 0.0, 3.0, 30.0):
        begin = start + away * chance.uniform(-1.0, 1.0, len(start))
        x, change = least_change_within(region, begin, AS_THEY_ARE)
        assert change == pytest.approx(least[1], rel=1e-6, abs=1e-9)
        assert x[:5] == pytest.approx(least[0], abs=0.02)
        bag = region.rows.at(x, {})
        now = {**measure_walls(bag), **{name: cut_value(bag, name) for name in UNKNOWNS}}
        for name, value in sizes.items():
            assert now[name] == pytest.approx(value, rel=1e-9, abs=1e-7), name
        off = [(now[name] - NOW[name]) / max(abs(NOW[name]), 25.0) for name in AIMS]
        assert change == pytest.approx(float(np.dot(off, off)), rel=1e-6, abs=1e-12)


def test_where_nothing_is_exact_the_bag_stays_as_it_is() -> None:
    region, start = region_of({})
    x, change = least_change_within(region, start, AS_THEY_ARE)
    assert x == pytest.approx(region.rows.start, abs=1e-6)
    assert change == pytest.approx(0.0, abs=1e-15)


def test_the_least_lies_within_the_limits_wherever_it_is_sought_from() -> None:
    """The face takes what there is of the front trim, and the rest from the gusset."""
    bag = changed(demo(), front_trim=1.0)
    now = measure_walls(bag)
    home = np.array([now[name] for name in AIMS])
    exact = {
        "corner_mismatch": 0.0, "panel_length": bag.body.length,
        "face_height": now["face_height"] + 20.0,
    }  # fmt: skip
    found = FeasibilitySearch(bag, exact).find(exact)
    assert found is not None
    region, start = found
    least = Reference(exact, [cut_value(bag, name) for name in UNKNOWNS]).least()
    assert least is not None
    assert least[0][2] == pytest.approx(0.0, abs=1e-6)
    # The second has all that is exact, with a front trim of less than nothing.
    for away in (0.0, -start[2] - 20.0):
        begin = start + away * np.array([0.0, 0.0, 1.0, -0.5, -0.5])
        x, change = least_change_within(region, begin, Aims(AIMS, home, scales_of(home)))
        assert x == pytest.approx(least[0], abs=1e-3)
        assert change == pytest.approx(least[1], rel=1e-6)
        assert min(rule.room.at(x) - rule.least for rule in region.rules) >= -1e-8


def test_a_drop_is_kept_on_the_way_to_the_least() -> None:
    """The loop is free: it takes nothing from what the panel comes to without it."""
    sizes = {"corner_mismatch": 0.0, "opening_width": inch(12), "box_volume": 16.0}
    exact = {**sizes, "handle_drop_front": inch(12), "inside_volume": 15.0}
    region, start = region_of(exact)
    x, change = least_change_within(region, start, AS_THEY_ARE)
    now = measure_walls(region.rows.at(x, {}))
    for name, value in exact.items():
        assert now[name] == pytest.approx(value, rel=1e-9, abs=1e-7), name
    del exact["inside_volume"]
    region, start = region_of(exact)
    least = Reference(sizes).least()
    assert least is not None
    x, change = least_change_within(region, start, AS_THEY_ARE)
    assert measure_walls(region.rows.at(x, {}))["handle_drop_front"] == pytest.approx(inch(12))
    assert change == pytest.approx(least[1], rel=1e-6)


def test_a_start_that_is_not_brought_back_is_the_answer() -> None:
    region, start = region_of({"corner_mismatch": 0.0, "box_volume": 16.0})
    there = Region(region.rows, {"box_volume": 1e9})
    x, change = least_change_within(there, start, AS_THEY_ARE)
    assert x is start
    off = [(region.figure(name).at(start) - NOW[name]) / max(abs(NOW[name]), 25.0) for name in AIMS]
    assert change == pytest.approx(float(np.dot(off, off)))
