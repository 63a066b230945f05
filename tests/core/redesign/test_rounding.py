"""Ruler-friendly results: on the step, matched, and nearest."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag import with_figures
from core.bagfile import sample
from core.compute import compute
from core.redesign.rounding import RULED, exact, on_ruler
from core.redesign.solve import Redesign, redesign
from core.redesign.wants import Request
from core.units import round_to_step
from tests.helpers import changed, demo, inch

EIGHTH = inch(1 / 8)


@settings(max_examples=25)
@given(st.floats(0.85, 1.2), st.floats(0.85, 1.2), st.floats(0.85, 1.2))
def test_on_the_ruler_and_matched(base: float, depth: float, face: float) -> None:
    wants = {
        "base_width": inch(11) * base,
        "gusset_depth": inch(6.75) * depth,
        "face_height": inch(15) * face,
    }
    found = redesign(demo(), Request(wants=wants))
    rounded = on_ruler(found, EIGHTH)
    assert rounded.result.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)
    assert rounded.off_ruler == ()
    for name in found.cut_changes:
        if name != "handle_strips":
            value = rounded.result.cut[name]
            assert value == pytest.approx(round_to_step(value, EIGHTH), abs=1e-6), name
    for name, value in rounded.cost.items():
        if value is not None:
            now, before = rounded.result.finished[name], found.after.finished[name]
            assert value == pytest.approx(now - before)


def test_nothing_on_the_ruler_comes_nearer() -> None:
    wants = {"base_width": 262.0, "gusset_depth": 185.0, "face_height": 388.0}
    found = redesign(demo(), Request(wants=wants))
    rounded = on_ruler(found, EIGHTH)

    def missed(finished: object) -> float:
        return sum((finished[name] - value) ** 2 for name, value in wants.items())

    panel = found.after.bag.panel
    names = ("panel_width", "panel_length", "corner_cut_width", "corner_cut_depth")
    sizes = (panel.width, panel.length, panel.corner_width, panel.corner_depth)
    steps = [[round_to_step(v, EIGHTH) + k * EIGHTH for k in (-2, -1, 0, 1, 2)] for v in sizes]
    others = []
    for values in product(*steps):
        other = compute(with_figures(found.after.bag, dict(zip(names, values, strict=True))))
        if abs(other.finished["corner_mismatch"]) < 1e-6:
            others.append(missed(other.finished))
    assert missed(rounded.result.finished) == pytest.approx(min(others), rel=1e-6)


def test_an_allowance_off_the_ruler_leaves_one_figure_off_it() -> None:
    # 1/4 in allowances on a 5 mm ruler: width less depth must be 6.35 mm.
    found = redesign(demo(), Request(wants={"gusset_depth": 180.0}))
    rounded = on_ruler(found, 5.0)
    assert rounded.off_ruler == ("corner_cut_width",)
    assert rounded.result.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)
    assert rounded.result.bag.panel.corner_depth % 5.0 == pytest.approx(0.0, abs=1e-9)


def test_what_was_asked_for_as_cut_is_not_rounded() -> None:
    found = redesign(demo(), Request(wants={"panel_width": 471.3}))
    assert on_ruler(found, EIGHTH).result.bag.panel.width == 471.3


def test_unmatched_corners_are_only_rounded() -> None:
    parted = changed(demo(), corner_cut_depth=inch(3.5))
    request = Request(wants={"face_height": 391.7}, matched=False)
    rounded = on_ruler(redesign(parted, request), EIGHTH)
    panel = rounded.result.bag.panel
    assert panel.length == pytest.approx(round_to_step(panel.length, EIGHTH), abs=1e-9)


def test_no_ruler_costs_nothing() -> None:
    found = exact(redesign(demo(), Request(wants={"base_width": 300.0})))
    assert set(found.cost.values()) == {0.0, None}


def test_a_figure_that_follows_counts_where_it_ends_up() -> None:
    # On a 5 mm ruler with 1/4 in allowances the corner cut width follows its depth: every
    # choice of the other three steps is tried, the width following, and the best must win.
    wants = {"base_width": 262.1, "gusset_depth": 185.1, "face_height": 388.2}
    found = redesign(demo(), Request(wants=wants))
    rounded = on_ruler(found, 5.0)

    def missed(finished: object) -> float:
        return sum((finished[name] - value) ** 2 for name, value in wants.items())

    panel, others = found.after.bag.panel, []
    steps = [
        [round_to_step(v, 5.0) + k * 5.0 for k in (-2, -1, 0, 1, 2)]
        for v in (panel.width, panel.length, panel.corner_depth)
    ]
    for width, length, depth in product(*steps):
        figures = {
            "panel_width": width,
            "panel_length": length,
            "corner_cut_depth": depth,
            "corner_cut_width": depth + panel.side_seam,
        }
        others.append(missed(compute(with_figures(found.after.bag, figures)).finished))
    assert missed(rounded.result.finished) == pytest.approx(min(others), rel=1e-6)


def test_a_volume_that_was_held_counts_in_the_rounding() -> None:
    request = Request(
        wants={"gusset_depth": 191.45, "base_width": 249.4}, holds=frozenset({"box_volume"})
    )
    found = redesign(demo(), request)
    held = on_ruler(found, 5.0)
    panel = held.result.bag.panel
    volume = held.result.finished["box_volume"] - found.after.finished["box_volume"]
    for length in (panel.length - 5.0, panel.length + 5.0):
        other = compute(with_figures(held.result.bag, {"panel_length": length})).finished
        assert abs(volume) < abs(other["box_volume"] - found.after.finished["box_volume"])


def test_every_figure_can_be_put_on_the_ruler() -> None:
    bag = changed(demo(), panel_width=470.3, corner_cut_depth=77.0, corner_cut_width=86.525)
    as_it_is = Redesign(Request(wants={}), bag, compute(bag), 0.0)
    assert on_ruler(as_it_is, EIGHTH).result.bag == bag, "nothing changed, nothing is rounded"
    rounded = on_ruler(as_it_is, EIGHTH, names=RULED)
    for name in RULED:
        value = rounded.result.cut[name]
        assert value == pytest.approx(round_to_step(value, EIGHTH), abs=1e-9), name
    assert rounded.result.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)
    kept = Redesign(Request(wants={}, holds=frozenset({"panel_width"})), bag, compute(bag), 0.0)
    assert on_ruler(kept, EIGHTH, names=RULED).result.bag.panel.width == 470.3


def test_a_figure_by_its_limit_is_put_on_the_ruler_too() -> None:
    """Both volumes leave a front that is half a mm longer than its corner cut is deep."""
    wants = {"box_volume": 11.747575183395856, "inside_volume": 7.434338092541284}
    found = redesign(sample("lunch"), Request(wants=wants))
    panel = found.after.bag.panel
    assert 0.0 < panel.front_length - panel.corner_depth < 1.0
    rounded = on_ruler(found, 1.0).result.bag.panel
    assert rounded.width == pytest.approx(round(rounded.width), abs=1e-9)
    assert rounded.corner_depth < rounded.front_length
