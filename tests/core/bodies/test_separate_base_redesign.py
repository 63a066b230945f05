"""A separate base in other sizes: its walls follow, on the ruler and off it; formulas as a check.

Base B = size + 2 s4, walls b = P / n + 2 s1 with P = 2 (w + d) - (8 - 2 pi) r, height
H = h + s4 + s3: plane geometry.
"""

import math

import pytest

from core.bag.bag import with_figures
from core.bag.compute import compute
from core.base.errors import FieldError
from core.redesign.redesign import redesign
from core.redesign.request import ConflictError, RedesignRequest
from core.redesign.rounding import on_ruler
from core.solid.capacity import capacity
from tests.core.bodies.test_separate_base import ROUND_OFF, bag_of, cut_for
from tests.core.bodies.test_separate_base_space import SIZE, lidded, zipped

BAGS = {
    "square": bag_of(cut_for(SIZE)),
    "rounded": bag_of(cut_for(SIZE, 40.0)),
    "one piece": bag_of(cut_for(SIZE, 40.0, pieces=1)),
    "four pieces": bag_of(cut_for(SIZE, pieces=4)),
    "lid": lidded(cut_for(SIZE, pieces=4)),
    "zipped": zipped(cut_for(SIZE, 40.0)),
}
EVERY = pytest.mark.parametrize("name", BAGS)
SIZES = ("base_width", "gusset_depth", "face_height", "corner_radius")


def walls_fit(body) -> float:
    """How much longer the walls are than the way round the base, by the closed formula."""
    seam = body.base_seam
    wide, deep = body.base_cut_width - 2 * seam, body.base_cut_depth - 2 * seam
    radius = body.corner_rounding - seam if body.corner_rounding else 0.0
    walls = {1: [body.body_width], 2: [body.body_width] * 2}.get(body.body_pieces)
    walls = walls or [body.body_width, body.body_end_width] * 2
    ring = sum(walls) - 2 * body.side_seam * len(walls)
    return ring - (2 * (wide + deep) - ROUND_OFF * radius)


@EVERY
def test_a_little_deeper_and_not_so_wide(name):
    was = compute(BAGS[name]).finished
    wants = {"gusset_depth": 175.0, "base_width": 280.0}
    found = redesign(BAGS[name], RedesignRequest(wants=wants, holds=frozenset({"face_height"})))
    after = found.after.finished
    assert [after[each] for each in wants] == pytest.approx([175.0, 280.0])
    assert after["face_height"] == pytest.approx(was["face_height"])
    assert after["corner_radius"] == pytest.approx(was["corner_radius"], abs=1e-6)
    assert walls_fit(found.after.bag.body) == pytest.approx(0.0, abs=1e-6)
    if after["base_end_mismatch"] is not None:
        assert after["base_end_mismatch"] == pytest.approx(0.0, abs=1e-6)
    assert {each.code for each in found.after.findings if each.severity.word == "stop"} == set()


@EVERY
@pytest.mark.parametrize("step", [1.0, 5.0])
def test_on_the_ruler_the_walls_alone_leave_it_and_still_fit(name, step):
    wants = {"gusset_depth": 173.3, "base_width": 281.7}
    rounded = on_ruler(redesign(BAGS[name], RedesignRequest(wants=wants)), step)
    cut, body = rounded.result.cut, rounded.result.bag.body
    assert walls_fit(body) == pytest.approx(0.0, abs=1e-5)
    for figure in ("base_cut_width", "base_cut_depth"):
        assert cut[figure] / step == pytest.approx(round(cut[figure] / step), abs=1e-9)
    # Round corners take a part of pi off the way; square ones leave all on the ruler.
    assert set(rounded.off_ruler) <= {"body_width"}
    assert ("body_width" in rounded.off_ruler) == bool(body.corner_rounding)


@pytest.mark.parametrize("name", ["rounded", "one piece", "zipped"])
def test_a_radius_on_the_ruler_takes_the_walls_with_it(name):
    found = redesign(BAGS[name], RedesignRequest(wants={"corner_radius": 46.7}))
    rounded = on_ruler(found, 5.0).result
    assert rounded.cut["corner_rounding"] / 5.0 == pytest.approx(11.0)  # 46.7 and 10 of seam
    assert walls_fit(rounded.bag.body) == pytest.approx(0.0, abs=1e-5)


@pytest.mark.parametrize("name", ["rounded", "one piece", "zipped"])
def test_another_radius_alone(name):
    request = RedesignRequest(wants={"corner_radius": 55.0}, holds=frozenset(SIZES[:3]))
    found = redesign(BAGS[name], request).after
    assert found.finished["corner_radius"] == pytest.approx(55.0)
    assert found.cut["corner_rounding"] == pytest.approx(65.0)
    assert walls_fit(found.bag.body) == pytest.approx(0.0, abs=1e-6)
    walls = found.bag.body.body_pieces
    way = 2 * (300.0 + 160.0) - ROUND_OFF * 55.0
    assert found.cut["body_width"] == pytest.approx(way / walls + 20.0)


def test_square_corners_are_rounded_where_a_radius_is_asked_for():
    found = redesign(BAGS["square"], RedesignRequest(wants={"corner_radius": 30.0})).after
    assert found.finished["corner_radius"] == pytest.approx(30.0)
    assert walls_fit(found.bag.body) == pytest.approx(0.0, abs=1e-6)


@EVERY
def test_a_box_of_another_volume(name):
    """Its corners left out: (w d - (4 - pi) r^2) h."""
    was = compute(BAGS[name]).finished["box_volume"]
    found = redesign(BAGS[name], RedesignRequest(wants={"box_volume": 1.2 * was})).after.finished
    wide, deep, high, radius = (found[each] for each in SIZES)
    litres = (wide * deep - (4 - math.pi) * radius**2) * high / 1e6
    assert found["box_volume"] == pytest.approx(1.2 * was) == pytest.approx(litres)


@pytest.mark.parametrize("name", ["zipped", "lid"])
def test_a_bag_that_holds_more_when_it_is_filled(name):
    held = capacity(BAGS[name]).filled
    found = redesign(BAGS[name], RedesignRequest(wants={"filled_volume": 1.15 * held})).after
    assert capacity(found.bag).filled == pytest.approx(1.15 * held, rel=1.2e-3)
    assert walls_fit(found.bag.body) == pytest.approx(0.0, abs=1e-6)


def test_a_base_less_wide_than_two_radii_is_refused_with_what_there_can_be():
    request = RedesignRequest(
        wants={"base_width": 70.0}, holds=frozenset({"corner_radius", "gusset_depth"})
    )
    with pytest.raises(ConflictError) as refused:
        redesign(BAGS["rounded"], request)
    assert "80" in str(refused.value)  # two radii of 40


def test_a_figure_by_hand_tells_what_no_longer_fits():
    off = compute(with_figures(BAGS["rounded"], {"base_cut_width": 330.0}))
    assert off.finished["base_mismatch"] == pytest.approx(-20.0)
    assert "base-edges-differ" in {each.code for each in off.findings}
    with pytest.raises(FieldError, match=r"^Body end width cannot be set: the body pieces of this"):
        with_figures(BAGS["rounded"], {"body_end_width": 100.0})
