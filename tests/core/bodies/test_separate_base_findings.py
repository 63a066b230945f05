"""What is doubtful about a separate base, just inside and just outside of its limits."""

from dataclasses import replace

import pytest

from core.bag.compute import compute
from core.bodies.separate_base.body import SeparateBase
from core.model.findings import Finding, Severity
from tests.core.bodies.test_separate_base import bag_of, cut_for
from tests.core.bodies.test_separate_base_space import lidded
from tests.helpers import layer, sandwich

SIZE = (300.0, 160.0, 260.0)
WAY = 920.0
ATTRIBUTES = {figure.name: figure.attribute for figure in SeparateBase.FIGURES}


def found(body: SeparateBase, code: str, **wall: float) -> Finding | None:
    bag = bag_of(body)
    if wall:
        bag = replace(bag, sandwich=sandwich(layer(usable_width=5000.0, **wall)))
    return next((each for each in compute(bag).findings if each.code == code), None)


def mended(body: SeparateBase, changes) -> SeparateBase:
    return replace(body, **{ATTRIBUTES[name]: size for name, size in changes})


def longer(body: SeparateBase, over: float) -> SeparateBase:
    return replace(body, body_width=body.body_width + over / body.body_pieces)


@pytest.mark.parametrize("pieces", [1, 2])
@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize(
    ("limit", "severity"),
    [
        # 1/16 in; the larger of 1/8 in and 0.5 %; the larger of 3/8 in and 1.5 % of 920 mm.
        (25.4 / 16, Severity.NOTE),
        (0.005 * WAY, Severity.WARN),
        (0.015 * WAY, Severity.STOP),
    ],
)
def test_walls_that_do_not_fit_are_told_by_how_much(pieces, sign, limit, severity):
    body = cut_for(SIZE, pieces=pieces)
    told = found(longer(body, sign * (limit + 0.01)), "base-edges-differ")
    assert told.severity is severity
    assert told.value == pytest.approx(sign * (limit + 0.01))
    inside = found(longer(body, sign * (limit - 0.01)), "base-edges-differ")
    assert inside is None or inside.severity < severity
    assert ("longer" if sign > 0 else "shorter") in told.message.text()


@pytest.mark.parametrize("pieces", [1, 2])
@pytest.mark.parametrize("radius", [0.0, 40.0])
def test_each_fix_makes_them_fit(radius, pieces):
    body = longer(cut_for(SIZE, radius, pieces=pieces), 20.0)
    told = found(body, "base-edges-differ")
    assert [fix.changes[0][0] for fix in told.fixes] == ["body_width", "base_cut_width"]
    for fix in told.fixes:
        result = compute(bag_of(mended(body, fix.changes)))
        assert result.finished["base_mismatch"] == pytest.approx(0.0, abs=1e-6)
        assert found(mended(body, fix.changes), "base-edges-differ") is None


def test_each_of_four_walls_has_a_side_of_its_own_to_fit():
    """What one is too long another is too short: once round nothing is missing."""
    body = cut_for(SIZE, pieces=4)
    off = replace(body, body_width=body.body_width + 8.0, body_end_width=body.body_end_width - 8.0)
    assert compute(bag_of(off)).finished["base_mismatch"] == pytest.approx(0.0, abs=1e-9)
    told = found(off, "base-edges-differ")
    assert abs(told.value) == pytest.approx(8.0)
    assert len(told.fixes) == 2
    for fix in told.fixes:
        assert found(mended(off, fix.changes), "base-edges-differ") is None


def test_what_lies_on_four_walls_keeps_them_as_wide_as_they_are():
    bag = lidded(cut_for(SIZE, pieces=4))
    body = replace(bag.body, body_end_width=bag.body.body_end_width + 20.0)
    codes = {each.code: each for each in compute(replace(bag, body=body)).findings}
    assert [fix.changes[0][0] for fix in codes["base-edges-differ"].fixes] == ["base_cut_width"]


def test_corners_are_no_tighter_than_the_wall_goes_round():
    assert found(cut_for(SIZE, 12.01), "corner-too-tight") is None
    body = cut_for(SIZE, 11.99)
    told = found(body, "corner-too-tight")
    assert (told.severity, told.limit) == (Severity.WARN, 22.0)
    assert found(mended(body, told.fixes[0].changes), "corner-too-tight") is None
    thick = {"thickness": 8.0, "pressed": 6.0}  # three times that is 18
    told = found(cut_for(SIZE, 17.0), "corner-too-tight", **thick)
    assert told.limit == pytest.approx(28.0)
    assert found(cut_for(SIZE, 18.1), "corner-too-tight", **thick) is None
    after = compute(bag_of(mended(body, found(body, "corner-too-tight").fixes[0].changes)))
    assert after.finished["base_mismatch"] == pytest.approx(0.0, abs=1e-6)


def test_a_side_seam_keeps_off_the_rounding_where_there_is_a_straight():
    """Half of the depth less the radius: 80 - r against 10 of allowance and 6."""
    assert found(cut_for(SIZE, 63.99), "ring-seam-on-corner") is None
    body = cut_for(SIZE, 64.01)
    told = found(body, "ring-seam-on-corner")
    assert told.severity is Severity.WARN
    after = mended(body, told.fixes[0].changes)
    assert found(after, "ring-seam-on-corner") is None
    assert compute(bag_of(after)).finished["base_mismatch"] == pytest.approx(0.0, abs=1e-6)
    # Half circles have no straight to lie on, and four walls no rounding.
    assert found(cut_for(SIZE, 80.0), "ring-seam-on-corner") is None
    assert found(cut_for(SIZE, pieces=4), "ring-seam-on-corner") is None


@pytest.mark.parametrize(
    ("size", "code", "severity"),
    [
        ((9.0, 160.0, 260.0), "base-narrow", Severity.WARN),
        ((300.0, 9.0, 260.0), "base-narrow", Severity.WARN),
        ((1.9, 160.0, 260.0), "base-narrow", Severity.STOP),
        ((300.0, 160.0, 159.0), "face-too-short", Severity.NOTE),
        ((60.0, 39.0, 260.0), "opening-narrow", Severity.WARN),
        ((300.0, 160.0, 712.0), "face-beyond-reach", Severity.NOTE),
    ],
)
def test_sizes_that_nobody_wants(size, code, severity):
    assert found(cut_for(size), code).severity is severity
    assert found(cut_for(SIZE), code) is None


@pytest.mark.parametrize("pieces", [1, 2, 4])
@pytest.mark.parametrize("size", [(9.0, 160.0, 260.0), (300.0, 9.0, 260.0)])
def test_a_base_for_no_foot_is_cut_larger_and_the_walls_go_round_it(size, pieces):
    """Source: a presser foot takes 10 mm (own choice)."""
    body = cut_for(size, pieces=pieces)
    (fix,) = found(body, "base-narrow").fixes
    after = compute(bag_of(mended(body, fix.changes))).finished
    assert min(after["base_width"], after["gusset_depth"]) == pytest.approx(10.0)
    assert after["base_mismatch"] == pytest.approx(0.0, abs=1e-6)


def test_a_wall_that_takes_up_the_base_leaves_no_room():
    told = found(cut_for((300.0, 40.0, 260.0)), "no-room-inside", thickness=20.0, pressed=5.0)
    assert told.figure == "gusset_depth"
    assert found(cut_for(SIZE), "no-room-inside") is None


def test_a_bag_that_fits_has_nothing_doubtful_about_its_base():
    for pieces, radius in ((1, 40.0), (2, 0.0), (2, 40.0), (2, 80.0), (4, 0.0)):
        codes = {
            each.code for each in compute(bag_of(cut_for(SIZE, radius, pieces=pieces))).findings
        }
        assert codes <= {"thin-allowance"}


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"body_width": -18.0}, "Front and back are 18 mm narrower"),
        ({"body_end_width": 18.0}, "The two sides are 18 mm wider"),
    ],
)
def test_of_four_walls_those_are_told_that_do_not_go_with_the_base(
    changes: dict[str, float], told: str
) -> None:
    body = cut_for(SIZE, pieces=4)
    sizes = {name: getattr(body, name) + more for name, more in changes.items()}
    finding = found(replace(body, **sizes), "base-edges-differ")
    assert finding.message.text().startswith(told)
