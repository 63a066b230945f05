"""A bag on the table, and a sewn sample."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.compute import compute
from core.bag.sewn_sample import Sample, sample_of
from core.base.errors import FieldError
from core.model.figures import Direction
from core.redesign.measured import MeasuredFit, allow_for, fit, take_back
from core.redesign.redesign import redesign
from core.redesign.request import RedesignRequest
from core.storage.bag_files import demo_bag, sample
from core.tops.hem.hem import Hem
from tests.helpers import demo, inch

FLAT = ("opening_width", "base_width", "face_height", "gusset_depth", "zip_offset")


@settings(max_examples=25)
@given(st.floats(0.7, 1.4), st.floats(0.7, 1.4), st.floats(0.7, 1.3), st.floats(6, 14))
def test_agreeing_measurements_leave_nothing(
    base: float, depth: float, face: float, drop: float
) -> None:
    sizes = {
        "base_width": inch(11) * base,
        "gusset_depth": inch(6.75) * depth,
        "face_height": inch(15) * face,
        "handle_drop_front": inch(drop),
    }
    sizes["opening_width"] = sizes["base_width"] + sizes["gusset_depth"]
    found = fit(demo(), sizes)
    assert found.largest < 1e-3
    assert found.result.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)


def test_contradicting_widths_share_the_difference() -> None:
    # With matched corners and equal allowances: opening = base + depth. Least squares of
    # three measurements of which the sum is off by e leaves e/3 on each (normal equations).
    measured = {"opening_width": 460.0, "base_width": 290.0, "gusset_depth": 164.0}
    left = fit(demo(), measured).residuals
    assert left["opening_width"] == pytest.approx(2.0, abs=1e-3)
    assert left["base_width"] == pytest.approx(-2.0, abs=1e-3)
    assert left["gusset_depth"] == pytest.approx(-2.0, abs=1e-3)


def test_agrees_with_plain_linear_least_squares() -> None:
    # Reference: numpy.linalg.lstsq on the closed formulas, in (W, C, t, b) with a = b + s1.
    s = inch(0.375)
    measured = np.array([465.0, 288.0, 380.0, 170.0, 21.0])
    matrix = np.array(
        [[1, 0, 0, 0], [1, 0, 0, -2], [0, 0.5, 0, -1], [0, 0, 0, 2], [0, 0, 0.5, 0]], dtype=float
    )
    offset = np.array([-2 * s, -4 * s, -s, 2 * s, 0.0])
    solved, *_ = np.linalg.lstsq(matrix, measured - offset, rcond=None)
    expected = measured - (matrix @ solved + offset)
    found = fit(demo(), dict(zip(FLAT, measured.tolist(), strict=True)))
    assert [found.residuals[name] for name in FLAT] == pytest.approx(expected.tolist(), abs=1e-3)


@pytest.mark.parametrize("value", [0.0, -5.0, math.nan, math.inf, 1e6])
def test_what_is_no_measurement_is_refused(value: float) -> None:
    with pytest.raises(FieldError, match=r"Base width is .*: it must be more than 0 mm, and at"):
        fit(demo(), {"base_width": value})


@pytest.mark.parametrize("value", [0.5, 9_999.0, 10_000.0])
def test_any_size_that_a_tape_can_find_is_taken(value: float) -> None:
    """The widest panel is 5 m: its corners take two seams of 3/8 in at either side."""
    found, widest = fit(demo(), {"base_width": value}), 5000.0 - 4 * inch(0.375)
    drawn = min(value, widest)
    assert found.result.finished["base_width"] == pytest.approx(drawn, abs=1e-6)
    assert found.residuals["base_width"] == pytest.approx(value - drawn, abs=1e-6)


def test_what_is_beyond_a_tape_or_a_sliver_is_refused() -> None:
    with pytest.raises(FieldError, match=r"Base width is 10000\.1 mm: .* at most 10000 mm"):
        fit(demo(), {"base_width": 10_000.1})
    with pytest.raises(FieldError, match=r"Zip offset is 0\.005 mm: .* at least 0\.01 mm"):
        fit(demo(), {"zip_offset": 0.005})


@pytest.mark.parametrize(
    "name",
    [
        *("opening_width", "base_width", "face_height", "gusset_depth"),
        *("zip_offset", "pocket_height", "handle_drop_front", "handle_drop_back"),
    ],
)
def test_each_single_size_can_be_measured_and_is_drawn(name: str) -> None:
    bag = demo()
    measured = 1.02 * compute(bag).finished[name]
    found = fit(bag, {name: measured})
    assert found.result.finished[name] == pytest.approx(measured, abs=1e-6)
    assert found.largest < 1e-6


def test_the_largest_difference_is_told_whichever_way_it_goes() -> None:
    found = fit(demo(), {"opening_width": 400.0, "base_width": 290.0, "gusset_depth": 164.0})
    assert found.largest == pytest.approx(54.0 / 3, abs=1e-3)
    assert found.residuals["opening_width"] == pytest.approx(-18.0, abs=1e-3)
    assert MeasuredFit(found.result, {"face_height": 2.0, "base_width": -3.0}).largest == 3.0
    assert fit(demo(), {}).largest == 0.0


def test_what_cannot_be_measured_is_refused() -> None:
    with pytest.raises(FieldError, match="Box volume"):
        fit(demo(), {"box_volume": 10.0})
    with pytest.raises(FieldError, match="Zip offset"):
        fit(demo(top=Hem()), {"zip_offset": 10.0})
    with pytest.raises(FieldError, match="Corner mismatch cannot be measured"):
        fit(demo(), {"corner_mismatch": 1.0})


# --- Take-up ------------------------------------------------------------------------------


def test_the_factor_is_measured_over_drawn() -> None:
    sample = sample_of(demo(), {"base_width": inch(10.56), "face_height": inch(15)})
    assert sample.factor(Direction.ACROSS) == pytest.approx(0.96)
    assert sample.factor(Direction.UP) == 1.0
    assert sample.factor(Direction.DEEP) == 1.0


def test_two_sizes_of_one_direction_are_weighed_by_least_squares() -> None:
    # k = sum(m p) / sum(p^2), the normal equation of m = k p.
    sample = sample_of(demo(), {"base_width": inch(10.6), "opening_width": inch(17.4)})
    expected = (10.6 * 11 + 17.4 * 17.75) / (11**2 + 17.75**2)
    assert sample.factor(Direction.ACROSS) == pytest.approx(expected)


def test_allowing_for_it_is_sewn_to_the_wanted_size() -> None:
    measured = {"base_width": inch(10.7), "gusset_depth": inch(6.5), "face_height": inch(14.6)}
    sample = sample_of(demo(), measured)
    after = allow_for(demo(), sample).after
    before = compute(demo()).finished
    factors = {
        "base_width": sample.factor(Direction.ACROSS),
        "gusset_depth": sample.factor(Direction.DEEP),
        "face_height": sample.factor(Direction.UP),
    }
    for name, factor in factors.items():
        assert after.finished[name] == pytest.approx(before[name], abs=1e-6)
        assert after.drawn[name] * factor == pytest.approx(before[name], abs=1e-6)
    assert after.finished["zip_offset"] == pytest.approx(before["zip_offset"], abs=1e-6)
    assert after.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)


def test_it_can_be_taken_back() -> None:
    sample = sample_of(demo(), {"base_width": inch(10.7), "face_height": inch(14.6)})
    back = take_back(allow_for(demo(), sample).after.bag).after
    drawn = demo_bag()  # its figures are plain decimals of mm
    sewn = sample_of(drawn, {"base_width": inch(10.7), "face_height": inch(14.6)})
    assert take_back(allow_for(drawn, sewn).after.bag).after.bag == drawn
    for name in ("width", "length", "front_trim", "corner_width", "corner_depth"):
        expected = getattr(demo().body, name)
        assert getattr(back.bag.body, name) == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf, inch(40)])
def test_a_slip_of_the_tape_is_refused(value: float) -> None:
    with pytest.raises(FieldError, match="Base width of the sample"):
        sample_of(demo(), {"base_width": value})


def test_a_sample_measures_only_what_it_can() -> None:
    with pytest.raises(FieldError, match="zip_offset"):
        Sample(drawn={"zip_offset": 19.0}, measured={"zip_offset": 19.0})


@pytest.mark.parametrize(
    ("name", "rounded"), [("coolbox", True), ("coolbox", False), ("jar", True)]
)
def test_the_radius_of_a_corner_can_be_measured(name: str, rounded: bool) -> None:
    """And the zip is as long as the opening that was measured needs: 25.4 mm more at each end."""
    bag = sample(name)
    if not rounded:
        bag = redesign(bag, RedesignRequest(wants={"corner_radius": 0.0})).bag
    found = fit(bag, {"corner_radius": 33.0, "opening_width": 480.0})
    assert found.largest < 1e-3
    assert found.result.finished["corner_radius"] == pytest.approx(33.0, abs=1e-3)
    needed = found.result.bag.top.spans(found.result.bag.site.mouth) + 50.8
    assert needed <= found.result.cut["zip_length"] <= needed + 50.0


@pytest.mark.parametrize("name", ["coolbox", "jar", "wrap"])
def test_a_corner_that_is_measured_as_square_is_square(name: str) -> None:
    measured = {"corner_radius": 0.0, "gusset_depth": 190.0}
    found = fit(sample(name), measured)
    assert found.result.finished["corner_radius"] == 0.0
    assert found.residuals == pytest.approx(dict.fromkeys(measured, 0.0), abs=1e-3)
