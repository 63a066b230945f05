"""Sequential quadratic steps against scipy's, on closed formulas; and what a step costs."""

from collections.abc import Mapping

import numpy as np
import pytest

from core.bag.bag import Bag, cut_value
from core.bag.compute import measure_walls
from core.base.errors import FieldError
from core.redesign.beside import kept_slopes
from core.redesign.least_change import Conditions, Descent, least_change
from core.redesign.variables import Variables, open_variables
from core.storage.bag_files import demo_bag
from core.tops.hem.hem import Hem
from tests.core.redesign.reference import UNKNOWNS, Reference
from tests.helpers import changed, demo, inch


def sought(exact: Mapping[str, float], bag: Bag | None = None) -> tuple[Variables, Descent]:
    """Where the search for some exact figures ends, from the demo or another bag."""
    bag = demo() if bag is None else bag
    fixed = {name: value for name, value in exact.items() if name in UNKNOWNS}
    wanted = {name: value for name, value in exact.items() if name not in UNKNOWNS}
    space = open_variables(bag, measure_walls(bag), fixed, frozenset(wanted))
    values = np.array(list(wanted.values()))
    # A hundredth of a volume counts as a millimetre.
    scales = [value / 100 if "volume" in name else 1.0 for name, value in wanted.items()]
    return space, least_change(space, Conditions(tuple(wanted), values, np.array(scales)))


@pytest.mark.parametrize(("exact", "bags"), [
    # One bag, a neighbour of it in each unknown, and the answer: all is linear.
    ({}, 7),
    ({"gusset_depth": inch(7.75)}, 7),
    ({"panel_width": 500.0, "face_height": 350.0}, 6),
    # A small step.
    ({"box_volume": 18.26}, 9),
    # No least: the answer is the only one.
    ({"base_width": 250.0, "gusset_depth": 150.0, "face_height": 300.0, "zip_offset": 9.0}, 7),
    # Slopes are taken anew near the end, so that the least change is the least.
    ({"box_volume": 13.0}, 24),
    ({"box_volume": 16.0}, 24),
    ({"box_volume": 30.0}, 32),
    ({"box_volume": 9.0, "face_height": 300.0}, 30),
    ({"panel_width": 500.0, "box_volume": 14.0}, 25),
    # A single answer: nothing is taken anew.
    ({"base_width": 400.0, "box_volume": 15.0, "face_height": 350.0, "zip_offset": 15.0}, 10),
])  # fmt: skip
def test_the_least_change_is_met_in_few_bags(
    exact: dict[str, float], bags: int, measured: list[Bag]
) -> None:
    exact = {"corner_mismatch": 0.0, **exact}
    space, solution = sought(exact)
    least = Reference(exact).least()
    assert least is not None
    x = dict(zip(space.unknowns, solution.x.tolist(), strict=True)) | exact
    assert solution.feasible
    assert [x[name] for name in UNKNOWNS] == pytest.approx(least[0], abs=0.02)
    assert solution.change == pytest.approx(least[1], abs=1e-7)
    assert len(measured) <= bags
    start, *others = ([cut_value(bag, name) for name in space.unknowns] for bag in measured)
    found = solution.finished
    assert solution.bag == space.at(solution.x)
    assert found == measure_walls(solution.bag)
    for name, value in exact.items():
        if name not in UNKNOWNS:
            assert found[name] == pytest.approx(value, rel=1e-9, abs=1e-7), name
    # Differences are taken a hundredth of a millimetre away, which keeps digits.
    for place, near in enumerate(others[: len(space.unknowns)]):
        away = np.zeros(len(space.unknowns))
        away[place] = 0.01
        assert np.subtract(near, start) == pytest.approx(away, abs=1e-9)


def test_what_cannot_be_met_is_met_as_nearly_as_it_can() -> None:
    """O - B = G where corners match: off by 100 mm, shared by four sizes."""
    _, solution = sought(
        {"corner_mismatch": 0.0, "opening_width": 300.0, "base_width": 300.0, "gusset_depth": 100.0}
    )
    assert not solution.feasible
    assert solution.missed == pytest.approx(25.0, abs=1e-6)


def test_without_unknowns_or_conditions_the_bag_is_as_it_is() -> None:
    now = demo().body
    sizes = (now.width, now.length, now.front_trim, now.corner_width, now.corner_depth)
    fixed = dict(zip(UNKNOWNS, sizes, strict=True))
    space, solution = sought({**fixed, "base_width": inch(11), "box_volume": 1.0})
    assert len(solution.x) == 0
    base, deep, face = inch(11), inch(6.75), inch(15)
    assert solution.missed == pytest.approx((base * deep * face / 1e6 - 1.0) * 100)
    assert not solution.feasible
    space, solution = sought({})
    assert (solution.missed, solution.change) == (0.0, pytest.approx(0.0, abs=1e-20))
    assert solution.feasible
    assert solution.x == pytest.approx(space.start)


def test_impossible_bags_stop_the_way() -> None:
    """A gusset of 40 in takes corner cuts that are deeper than a face of 18 1/2 in."""
    space, solution = sought({"panel_length": inch(38.5), "gusset_depth": inch(40)})
    assert not solution.feasible
    assert measure_walls(space.at(solution.x))["gusset_depth"] < inch(40)
    # Half of the way, and half of what is left, as long as there are bags.
    assert solution.x[space.unknowns.index("corner_cut_depth")] > inch(16)


def test_unknowns_end_at_their_limits() -> None:
    """The front trim cannot be less than nothing: the gusset gives way to the face alone."""
    exact = {"corner_mismatch": 0.0, "panel_length": inch(38.5), "face_height": inch(15) + 40.0}
    space, solution = sought(exact)
    least = Reference(exact).least()
    assert least is not None
    assert solution.feasible
    assert solution.change == pytest.approx(least[1], rel=1e-6)
    assert np.all(solution.x >= space.low)
    # No panel is wider than 5 m: what a deeper gusset takes more goes off the base.
    wide = changed(demo(board=None, pocket=None, handles=None), panel_width=4900.0)
    exact = {"corner_mismatch": 0.0, "gusset_depth": inch(6.75) + 150.0}
    space, solution = sought(exact, wide)
    least = Reference(exact, [cut_value(wide, name) for name in UNKNOWNS]).least()
    assert least is not None
    assert solution.feasible
    assert solution.x == pytest.approx(least[0], abs=1e-3)
    assert solution.x[0] == pytest.approx(5000.0)


def test_a_neighbour_is_sought_on_either_side(monkeypatch: pytest.MonkeyPatch) -> None:
    """Corners cut to a hair of the middle leave no wider cut."""
    narrow = changed(demo(board=None), corner_cut_width=inch(18.5) / 2 - 0.005)
    _, solution = sought({"base_width": 100.0}, narrow)
    assert solution.feasible

    kept_slopes.cache_clear()

    def alone(bag: Bag, name: str, step: float) -> object:
        raise FieldError("No.", field=name, value=None)

    monkeypatch.setattr("core.redesign.beside.beside", alone)
    with pytest.raises(FieldError, match="No"):
        sought({"base_width": 100.0})


def test_a_figure_that_the_bag_has_not_got_is_named() -> None:
    with pytest.raises(FieldError) as caught:
        sought({"base_width": 300.0, "zip_offset": 10.0}, demo(top=Hem()))
    assert caught.value.field == "zip_offset"


def test_a_drop_is_met_by_the_loop_alone() -> None:
    _, solution = sought({"handle_drop_front": inch(12)}, demo_bag())
    assert solution.feasible
    assert solution.change == pytest.approx(0.0, abs=1e-12)
    assert solution.finished["handle_drop_front"] == pytest.approx(inch(12), abs=1e-6)
