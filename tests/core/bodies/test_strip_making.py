"""Gusset strips and wraps from sizes, opened, closed, and with other allowances: sizes stay.

Source: the sizes themselves, measured on the stitch lines before and after.
"""

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from core.bag.compute import Around
from core.base.units import Unit
from core.bodies.gusset_strip.body import GussetStrip, StripBody, Wrap
from core.bodies.gusset_strip.corners import corner_findings
from core.flat.roles import Face
from core.model.findings import Allowance
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from tests.core.bodies.strip_bags import INCH, KINDS, any_bags, e2, matched, measured, open_bag

DEMO = sample("demo")
BARE = replace(DEMO.without(*DEMO.parts), top=Hem())
STAY = ("face_width", "base_width", "gusset_depth", "face_height", "corner_radius",
        "gusset_mismatch")  # fmt: skip


def sizes(body: StripBody, *more: str) -> dict[str, float]:
    found = measured(body)
    return {name: found[name] for name in (*STAY, *more)}


@pytest.mark.parametrize("kind", KINDS)
def test_a_ring_is_closed_and_opened_again_with_the_same_sizes(kind: type[StripBody]) -> None:
    body = open_bag(kind, strip_length=790.0)
    closed = body.made_for(BARE.site, closes_ring=True)
    assert closed.closed
    assert type(closed) is kind
    assert sizes(closed) == pytest.approx(sizes(body), abs=1e-9)
    # 300 across and a quarter of 250 down either side, with both allowances, on an inch ruler.
    assert closed.top_strip_length == pytest.approx(300.0 + 125.0 + 20.0, abs=INCH / 16)
    steps = closed.top_strip_length / BARE.site.ruler
    assert steps == pytest.approx(round(steps), abs=1e-9)
    assert closed.upper_rounding == 60.0, "rounded all round"
    assert body.made_for(None, closes_ring=True).top_strip_length == pytest.approx(445.0)
    again = closed.made_for(BARE.site, closes_ring=False)
    assert replace(again, strip_length=body.strip_length) == body
    assert again.strip_length == pytest.approx(body.strip_length, abs=1e-9)
    assert body.made_for(BARE.site, closes_ring=False) is body
    assert closed.made_for(BARE.site, closes_ring=True) is closed


def test_a_top_strip_runs_down_past_rounded_corners_where_there_is_room_for_its_joins() -> None:
    """A corner of 90 ends (pi / 2 - 1) 90 = 51.4 further down than the half width of 150.

    Its join's allowance of 10 lies below that: 61.4 down, less than a quarter of 250. Corners of
    110 leave 30 straight: the join, 72.8 down, has 10 of them above it and 20 below.
    """
    for rounding, down in ((100.0, 62.5), (120.0, (math.pi / 2 - 1.0) * 110.0 + 10.0)):
        body = matched(open_bag(corner_rounding=rounding))
        closed = body.made_for(None, closes_ring=True)
        assert closed.upper_rounding == rounding
        assert closed.top_strip_length == pytest.approx(300.0 + 2 * down + 20.0)
        assert sizes(closed) == pytest.approx(sizes(body), abs=1e-9)


def test_corners_with_no_straight_for_a_join_between_them_stay_square_above() -> None:
    """Corners of 120 leave 10 of 250, and a join takes 20."""
    body = open_bag(corner_rounding=130.0)
    closed = body.made_for(BARE.site, closes_ring=True)
    assert closed.upper_rounding == 0.0
    assert sizes(closed) == pytest.approx(sizes(body), abs=1e-9)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("off", [-8.0, 0.0, 8.0])
def test_no_join_of_a_new_top_strip_lies_on_a_corner(kind: type[StripBody], off: float) -> None:
    """Source: the finding that says so. Each side keeps 20 straight below its upper corner."""
    for rounding in range(0, 150, 3):
        if 0 < rounding <= 12:
            continue
        body = open_bag(kind, corner_rounding=float(rounding), strip_length=1000.0)
        body = replace(body, strip_length=1000.0 + measured(body)["gusset_mismatch"] + off)
        for site in (BARE.site, None):
            closed = body.made_for(site, closes_ring=True)
            codes = [each.code for each in corner_findings(closed, BARE.site)]
            assert "strip-join-on-corner" not in codes, rounding
            assert (closed.upper_rounding > 0.0) is (0 < rounding <= 125), rounding


def test_e2_opened_keeps_its_sizes() -> None:
    opened = e2().made_for(None, closes_ring=False)
    assert opened.upper_rounding == opened.top_strip_length == 0.0
    assert sizes(opened) == pytest.approx(sizes(e2()), abs=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_from_a_boxed_bag(kind: type[StripBody]) -> None:
    """Its base, its depth and its face."""
    around = Around(BARE)
    made = kind.fresh(around)
    had = around.finished
    found = measured(made)
    assert found["face_width"] == pytest.approx(had["base_width"])
    for name in ("gusset_depth", "face_height"):
        assert found[name] == pytest.approx(had[name])
    assert (found["gusset_mismatch"], found["corner_radius"]) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert made.gusset_seam == made.strip_seam == BARE.site.new_allowance
    assert made.top_seam == BARE.site.mouth.allowance


@pytest.mark.parametrize(("one", "other"), [(GussetStrip, Wrap), (Wrap, GussetStrip)])
def test_from_one_to_the_other_and_back(one: type[StripBody], other: type[StripBody]) -> None:
    bag = replace(BARE, body=open_bag(one, face_cut_height=320.0))
    turned = replace(bag, body=other.fresh(Around(bag)))
    back = one.fresh(Around(turned))
    for name in ("face_width", "gusset_depth", "face_height"):
        assert measured(turned.body)[name] == pytest.approx(measured(bag.body)[name])
        assert measured(back)[name] == pytest.approx(measured(bag.body)[name])
    assert measured(turned.body)["gusset_mismatch"] == pytest.approx(0.0, abs=1e-9)


def test_what_has_no_depth_is_given_one() -> None:
    class Flat:
        parts: Mapping[str, object] = {}
        site = replace(BARE.site, unit=Unit.MM)
        finished: Mapping[str, float | None] = {
            "opening_width": 300.0, "face_height": 200.0, "gusset_depth": 0.0,
            "base_width": 300.0,
        }  # fmt: skip

    found = measured(GussetStrip.fresh(Flat()))
    assert (found["face_width"], found["gusset_depth"]) == pytest.approx((300.0, 100.0))


def test_a_print_that_runs_one_way_is_joined_at_the_bottom() -> None:
    layers = BARE.sandwich.layers
    printed = replace(BARE.sandwich, layers=(replace(layers[0], one_way=True), *layers[1:]))
    assert GussetStrip.fresh(Around(replace(BARE, sandwich=printed))).strip_pieces == 2


WANTED = {"gusset_seam": 21.0, "strip_seam": 7.5, "zip_seam": 30.0}


@pytest.mark.parametrize("name", [*WANTED, ""])
def test_other_allowances_leave_every_size_alone(name: str) -> None:
    wanted = {name: WANTED[name]} if name else WANTED
    names = {figure.name: figure.attribute for figure in GussetStrip.FIGURES}
    for body in any_bags(60):
        changes, moved = body.with_allowances(wanted, 3.0)
        values: dict[str, Any] = {names[key]: value for key, value in changes.items()}
        other = replace(body, **values)
        for key, size in wanted.items():
            assert getattr(other, names[key]) == size
        assert sizes(other, "opening_width") == pytest.approx(
            sizes(body, "opening_width"), abs=1e-9
        )
        assert measured(other)["opening_width"] > 0.0
        was, now = body.seats()[Face.FRONT], other.seats()[Face.FRONT]
        assert moved.width == pytest.approx(now.width - was.width, abs=1e-9)
        assert moved.top == pytest.approx(now.top - was.top, abs=1e-9)


def test_seams_that_are_sewn_and_what_crosses_them() -> None:
    top = Allowance("zip_seam", "hem", 10.0)
    assert [each.figure for each in open_bag().allowances(top)] == ["gusset_seam", "zip_seam"]
    joined = open_bag(strip_pieces=2)
    figures = [each.figure for each in joined.allowances(top)]
    assert (
        figures
        == ["gusset_seam", "zip_seam", "strip_seam"]
        == [each.figure for each in e2().allowances(top)]
    )
    assert open_bag().crossings(BARE.site) == ()
    for body in (joined, e2()):
        (crossing,) = body.crossings(BARE.site)
        assert crossing.walls == 3
