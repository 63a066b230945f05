"""The law of a filled volume, against its own definition and against what one bag tells of it.

ln (V / V0) = sum of power ln((size + shift) / (size0 + shift)) + sum of tilt (size - size0)
"""

import math
from collections.abc import Mapping

import numpy as np
import pytest

from core.bodies.boxed_panel.panel import BoxedPanel
from core.redesign.filled_volume import NO_LAWS, PowerLaw, law_of, with_laws

BASE, DEEP, SIDE, FACE = NAMES = (
    "base_width", "gusset_depth", "gusset_depth_at_side", "face_height",
)  # fmt: skip
HOME = {BASE: 280.0, DEEP: 170.0, SIDE: 171.0, FACE: 380.0}
FULL = {BASE: 1.3, DEEP: 0.8, SIDE: 0.8, FACE: 1.0}
"""Powers where a size is large, as measured: said here again, so that they cannot slip."""
GROWTH = {BASE: 0.9, DEEP: 0.3, SIDE: 0.9, FACE: 1.1}


@pytest.mark.parametrize("growth", [
    GROWTH,
    {BASE: 1.3, DEEP: 0.8, SIDE: 0.8, FACE: 1.0},
    {BASE: 2.0, DEEP: 0.02, SIDE: -0.3, FACE: 0.5},
    {BASE: -0.1, DEEP: 0.0, SIDE: 0.5, FACE: -0.2},
])  # fmt: skip
def test_a_law_grows_as_the_bag_does_that_it_is_of(growth: dict[str, float]) -> None:
    law = law_of(18.0, HOME, growth, FULL)
    assert law.at(HOME) == pytest.approx(18.0)
    for name in NAMES:
        more, less = ({**HOME, name: HOME[name] * (1 + by)} for by in (1e-4, -1e-4))
        grown = math.log(law.at(more) / law.at(less)) / 2e-4
        assert grown == pytest.approx(growth[name], abs=1e-6), name


def test_the_panel_says_what_a_filled_volume_follows_from() -> None:
    told = BoxedPanel.SOLVING.fill_sizes
    assert {each.figure: each.full_power for each in told} == FULL
    assert [each.flat.value for each in told] == ["base", "corner_up", "corner_along", "wall"]


def test_far_off_a_size_counts_by_its_full_power() -> None:
    law = law_of(18.0, HOME, GROWTH, FULL)
    # Where it counts by more already it counts by that, and without a shift.
    assert law.powers == {BASE: 1.3, DEEP: 0.8, SIDE: 0.9, FACE: 1.1}
    assert law.tilts == {}
    for name in NAMES:
        big, bigger = ({**HOME, name: HOME[name] * times} for times in (1e9, 2e9))
        grown = math.log2(law.at(bigger) / law.at(big))
        assert grown == pytest.approx(max(FULL[name], GROWTH[name]), abs=1e-6)
        shift = HOME[name] * (max(FULL[name], GROWTH[name]) / GROWTH[name] - 1.0)
        assert law.shifts[name] == pytest.approx(shift)
    # What hardly grows at all is taken to grow by a thousandth.
    assert law_of(18.0, HOME, {**GROWTH, BASE: 1e-5}, FULL).shifts[BASE] == pytest.approx(
        1299 * 280.0
    )


def test_a_law_is_its_definition() -> None:
    law = PowerLaw(
        12.0, HOME, powers={BASE: 1.3, FACE: 0.7}, shifts={BASE: 40.0, FACE: 0.0},
        tilts={DEEP: -0.004},
    )  # fmt: skip
    there = {BASE: 200.0, DEEP: 90.0, SIDE: 1.0, FACE: 500.0}
    told = (240.0 / 320.0) ** 1.3 * (500.0 / 380.0) ** 0.7 * math.exp(-0.004 * (90.0 - 170.0))
    assert law.at(there) == pytest.approx(12.0 * told)
    assert law.at({**there, DEEP: None}) == pytest.approx(12.0 * told * math.exp(-0.004 * -90.0))
    assert law.reach == np.inf


@pytest.mark.parametrize(("sizes", "held"), [
    ({BASE: 0.5}, True), ({FACE: 0.5}, True), ({BASE: 0.0}, False), ({FACE: 0.0}, False),
    ({BASE: -1.0}, False), ({FACE: None}, False), ({DEEP: 0.0}, True), ({SIDE: -5.0}, True),
])  # fmt: skip
def test_a_bag_with_a_size_that_is_gone_holds_nothing(
    sizes: Mapping[str, float | None], held: bool
) -> None:
    law = PowerLaw(
        12.0, HOME, powers={BASE: 1.3, FACE: 0.7}, shifts={BASE: 40.0, FACE: 0.0},
        tilts={DEEP: -0.004},
    )  # fmt: skip
    assert (law.at({**HOME, **sizes}) is not None) is held


def test_a_size_that_the_bag_has_not_got_counts_for_nothing() -> None:
    """A pillow has no gusset."""
    pillow = {**HOME, DEEP: 0.0, SIDE: 0.0}
    law = law_of(10.0, pillow, GROWTH, FULL)
    assert law.powers.keys() == law.shifts.keys() == {BASE, FACE}
    assert law.at({**pillow, DEEP: 50.0}) == pytest.approx(10.0)
    assert DEEP in law_of(10.0, {**HOME, DEEP: 0.5}, GROWTH, FULL).powers


def test_a_law_stays_a_number_far_away() -> None:
    law = PowerLaw(2.0, HOME, powers={}, shifts={}, tilts={DEEP: 1.0})
    assert law.at({**HOME, DEEP: 1e6}) == pytest.approx(2.0 * math.exp(600.0))


def test_a_law_is_trusted_so_many_times_the_size() -> None:
    sizes = {BASE: 400.0, DEEP: 40.0, SIDE: 41.0, FACE: 300.0}
    law = PowerLaw(1.0, sizes, {}, {}, {}, reach=2.0)
    # Up to a tenth of the largest a size counts as that tenth, and may be nothing.
    ends = {BASE: (200.0, 800.0), DEEP: (0.0, 80.0), SIDE: (20.5, 82.0), FACE: (150.0, 600.0)}
    for name, (low, high) in ends.items():
        assert law.trusted(name) == pytest.approx((low, high))
        for size, trusted in ((low, True), (high, True), (low - 1, False), (high + 1, False)):
            assert law.trusts({**sizes, name: size}) is trusted, (name, size)
    assert law.trusts({**sizes, DEEP: None})
    assert not law.trusts({**sizes, BASE: None})
    small = dict.fromkeys(NAMES, 1.2)
    assert not PowerLaw(1.0, small, {}, {}, {}, reach=2.0).trusts({**small, BASE: None})
    everywhere = PowerLaw(1.0, sizes, {}, {}, {})
    assert everywhere.trusts(dict.fromkeys(NAMES, 1e12))


def test_figures_are_told_with_their_laws() -> None:
    law = law_of(18.0, HOME, GROWTH, FULL)
    assert with_laws(HOME, NO_LAWS) is HOME
    wide = {**HOME, BASE: 300.0, "filled_volume": None}
    assert with_laws(wide, {"filled_volume": law}) == {**wide, "filled_volume": law.at(wide)}
