"""Boxes with rounded corners in a redesign: against closed formulas and scipy.

No construction of the program is asked: the demo's panel is told to have rounded corners whose
radius goes by its zip offset, half of the front trim, which a redesign may change.
"""

import math
from collections.abc import Iterator

import numpy as np
import pytest
from scipy.optimize import least_squares

from core.bag.compute import compute, volumes
from core.base.units import Unit, format_length
from core.bodies.boxed_panel.panel import BoxedPanel
from core.model.figures import Form
from core.model.record import Bend
from core.redesign.beside import beside, kept_slopes, length_slopes
from core.redesign.convex import Product
from core.redesign.feasible import FeasibilitySearch
from core.redesign.linear_model import measure_model
from core.redesign.redesign import redesign
from core.redesign.request import ConflictError, RedesignRequest
from core.redesign.rounded_box import RoundedBox
from core.redesign.variables import sizes_of
from tests.core.redesign.reference import BOX, SCALE, SIZES, START, UNKNOWNS, Reference
from tests.helpers import demo, inch

SIDES = ("base_width", "face_height", "gusset_depth")
"""The corners lie in the rectangle of base and face."""
SHARE = 2 - math.pi / 2


@pytest.fixture
def rounded(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The demo's panel has a rounding, outside and inside its wall."""

    def bends(panel, site, finished):
        wall = site.wall
        base, face, gusset = (finished[name] or 0.0 for name in SIDES)
        radius = finished["zip_offset"] or 0.0
        inside = (base - 2 * wall, face - wall, gusset - 2 * wall)
        return (
            Bend(figure="box_volume", form=Form.BOX, lengths=(base, face, gusset), sizes=SIDES,
                 radii=(radius,)),
            Bend(figure="inside_volume", form=Form.BOX, lengths=inside, sizes=SIDES,
                 radii=(radius - wall,)),
        )  # fmt: skip

    kept = (beside, sizes_of, kept_slopes, length_slopes)
    for each in kept:
        each.cache_clear()
    monkeypatch.setattr(BoxedPanel, "bends", bends)
    yield
    for each in kept:
        each.cache_clear()


def test_the_model_has_rows_for_radii(rounded: None) -> None:
    now = compute(demo()).finished
    rows = measure_model(demo(), {"box_volume": 1.0, "inside_volume": 1.0})
    outside, inside = rows.volumes["box_volume"], rows.volumes["inside_volume"]
    assert isinstance(outside, RoundedBox)
    assert isinstance(inside, RoundedBox)
    radius, thickness = inch(0.75), demo().sandwich.thickness
    assert outside.radii(rows.start) == pytest.approx([radius])
    assert inside.radii(rows.start) == pytest.approx([radius - thickness])
    assert outside.at(rows.start) == pytest.approx(now["box_volume"])
    assert inside.at(rows.start) == pytest.approx(now["inside_volume"])
    area = inch(11) * inch(15) - SHARE * radius**2
    assert now["box_volume"] == pytest.approx(area * inch(6.75) / 1e6)


def test_a_box_without_roundings_is_the_product_that_it_was() -> None:
    rows = measure_model(demo(), {"box_volume": 1.0})
    assert isinstance(rows.volumes["box_volume"], Product)


def test_corners_that_overlap_leave_no_box(rounded: None) -> None:
    """A base of 11 in and a face of 1 in, rounded with 8 in."""
    bends = BoxedPanel.bends
    sizes = {"base_width": 280.0, "face_height": 25.0, "gusset_depth": 170.0, "zip_offset": 200.0}
    site = demo().site
    (outside, _) = bends(demo().body, site, sizes)
    assert outside.radii == (200.0,)
    assert volumes(demo(), sizes)["box_volume"] is None


class Rounded(Reference):
    """The closed formulas of such a bag, as `Reference` has them of the demo."""

    ROUND = np.array(SIZES["zip_offset"])

    def _radius(self, y: np.ndarray) -> float:
        return max(float(self.ROUND[:5] @ y + self.ROUND[5] / SCALE), 0.0)

    def misses(self, y: np.ndarray) -> np.ndarray:
        off = self.rows @ y + self.rest
        if self.volume is None:
            return off
        b, d, f = BOX[:, :5] @ y + BOX[:, 5] / SCALE
        return np.append(off, (b * f - SHARE * self._radius(y) ** 2) * d - self.volume)

    def slopes(self, y: np.ndarray) -> np.ndarray:
        if self.volume is None:
            return self.rows
        b, d, f = BOX[:, :5] @ y + BOX[:, 5] / SCALE
        r = self._radius(y)
        sides = np.array([d * f, b * f - SHARE * r * r, b * d]) @ BOX[:, :5]
        return np.vstack([self.rows, sides - 2 * SHARE * r * d * self.ROUND[:5]])


@pytest.mark.parametrize("seed", [30, 31])
def test_the_least_change_is_that_of_scipy(rounded: None, seed: int) -> None:
    """Wants and holds with the volume among them; what scipy cannot find is refused."""
    chance = np.random.default_rng(seed)
    now = {**compute(demo()).finished, **compute(demo()).cut}
    counts = {True: 0, False: 0}
    names = [name for name in SIZES if name != "corner_mismatch"]
    for _ in range(45):
        order = [str(name) for name in chance.permutation(names)]
        wants = {"box_volume": now["box_volume"] * chance.uniform(0.85, 1.15)}
        wants |= {name: float(now[name]) * chance.uniform(0.9, 1.1) for name in order[:1]}
        holds = order[1 : 1 + int(chance.integers(0, 5))]
        held = {name: now[name] for name in holds}
        least = Rounded({"corner_mismatch": 0.0, **held, **wants}).least()
        try:
            found = redesign(demo(), RedesignRequest(wants=wants, holds=frozenset(holds)))
        except ConflictError:
            assert least is None, (wants, holds, least)
            counts[False] += 1
            continue
        counts[True] += 1
        assert least is not None, (wants, holds)
        assert found.change == pytest.approx(least[1], abs=1e-6), (wants, holds)
        told = compute(found.bag).finished
        assert told["box_volume"] == pytest.approx(wants["box_volume"], rel=1e-7)
    assert min(counts.values()) >= 4, counts


def refused(wants: dict[str, float], *holds: str) -> ConflictError:
    with pytest.raises(ConflictError) as caught:
        redesign(demo(), RedesignRequest(wants=wants, holds=frozenset(holds)))
    return caught.value


def test_the_most_of_a_volume_beside_lengths(rounded: None) -> None:
    """With the sides held nothing but the rounding is left: the most is the square box's."""
    error = refused({"box_volume": 20.0}, "base_width", "gusset_depth", "face_height")
    assert error.bound is not None
    square = inch(11) * inch(15) * inch(6.75) / 1e6
    assert error.bound.at_most
    assert error.bound.value == pytest.approx(square, rel=1e-6)
    # What lies below is had by more rounding, down to what the front trim leaves.
    less = redesign(
        demo(),
        RedesignRequest(
            wants={"box_volume": square - SHARE * inch(2) ** 2 * inch(6.75) / 1e6},
            holds=frozenset({"base_width", "gusset_depth", "face_height"}),
        ),
    )
    assert compute(less.bag).finished["zip_offset"] == pytest.approx(inch(2))


def rounded_by(radius: float) -> dict[str, float]:
    """Both volumes of the demo with another rounding, litres."""
    thick = demo().sandwich.thickness
    base, face, gusset = inch(11), inch(15), inch(6.75)
    inside = (base - 2 * thick) * (face - thick) - SHARE * (radius - thick) ** 2
    return {
        "box_volume": (base * face - SHARE * radius**2) * gusset / 1e6,
        "inside_volume": inside * (gusset - 2 * thick) / 1e6,
    }


def test_both_volumes_can_be_had_by_another_rounding(rounded: None) -> None:
    """Sides that are held leave both volumes to the rounding alone."""
    wants = rounded_by(inch(1.25))
    found = redesign(
        demo(), RedesignRequest(wants=wants, holds=frozenset({"base_width", "gusset_depth"}))
    )
    told = compute(found.bag).finished
    for name, value in wants.items():
        assert told[name] == pytest.approx(value, rel=1e-7)
    assert told["zip_offset"] == pytest.approx(inch(1.25), abs=1e-3)


def test_a_search_looks_beyond_the_rounding_that_proofs_keep(rounded: None) -> None:
    exact = {**rounded_by(inch(1.25)), "base_width": inch(11), "gusset_depth": inch(6.75),
             "corner_mismatch": 0.0}  # fmt: skip
    search = FeasibilitySearch(demo(), exact)
    assert search.kept(exact) == {"front_trim": pytest.approx(inch(1.5))}
    assert not search.can(exact)
    hit = search.find(exact)
    assert hit is not None
    region, x = hit
    for name in rounded_by(0.0):
        assert region.figure(name).at(x) == pytest.approx(exact[name], rel=1e-7)
    # One volume alone needs nothing kept.
    del exact["inside_volume"]
    assert search.kept(exact) == {}
    assert search.can(exact)


@pytest.mark.parametrize(
    ("share", "holds"), [(0.99, ()), (0.4, ("base_width", "gusset_depth", "corner_mismatch"))]
)
def test_two_volumes_are_refused_with_the_rounding_that_it_is_told_of(
    rounded: None, share: float, holds: tuple[str, ...]
) -> None:
    """What is proven is proven of corners as they are: the refusal says so."""
    now = compute(demo()).finished
    wants = {"box_volume": now["box_volume"], "inside_volume": now["box_volume"] * share}
    error = refused(wants, *holds)
    assert set(error.names) >= set(wants)
    assert "front_trim" not in error.names
    told = error.sentence.text(lambda length: format_length(length, unit=Unit.INCH))
    assert "“Front trim” at 1 1/2 in" in told
    assert error.bound is not None
    if holds:
        # What is deep holds more of its box: a panel of 10 m is the longest that there is.
        assert (error.bound.figure, error.bound.limit) == ("gusset_depth", "panel_length")
    else:
        _judge_end(error, wants)


def test_a_rounding_that_is_held_is_told_once(rounded: None) -> None:
    now = compute(demo()).finished
    wants = {"box_volume": now["box_volume"], "inside_volume": now["box_volume"] * 0.99}
    told = refused(wants, "front_trim").sentence.text(str)
    assert told.count("Front trim") <= 1


def _judge_end(error: ConflictError, wants: dict[str, float]) -> None:
    """That end is reached, and not gone beyond, with that rounding: by scipy."""
    asked = error.bound.figure
    (other,) = set(wants) - {asked}
    thick = demo().sandwich.thickness
    sides = np.array([SIZES[name] for name in SIDES])
    radius = inch(0.75)

    def both(y: np.ndarray) -> dict[str, float]:
        x = np.array([y[0], y[1], START[2], y[2], y[2] - inch(0.375)])
        a, b, c = sides[:, :5] @ x + sides[:, 5]
        return {
            "box_volume": (a * b - SHARE * radius**2) * c / 1e6,
            "inside_volume": ((a - 2 * thick) * (b - thick) - SHARE * (radius - thick) ** 2)
            * (c - 2 * thick)
            / 1e6,
        }

    assert UNKNOWNS[:2] == ("panel_width", "panel_length")
    sign = -1.0 if error.bound.at_most else 1.0
    chance = np.random.default_rng(1)
    ends = []
    for _ in range(40):
        start = [START[0], START[1], START[3]] * chance.uniform(0.5, 2.0, 3)
        met = least_squares(lambda y: both(y)[other] - wants[other], start, bounds=(30, 8000))
        if abs(both(met.x)[other] - wants[other]) < 1e-6:
            ends.append(sign * both(met.x)[asked])
    assert ends
    assert min(ends) >= sign * error.bound.value - 1e-4
