"""The law of a filled volume over a polytope, against the law itself and scipy's SLSQP."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize

from core.redesign.convex import Linear
from core.redesign.filled_volume import PowerLawFigure, law_of, powers_of

SIZES = ("base_width", "gusset_depth", "gusset_depth_at_side", "face_height")
FULL = dict(zip(SIZES, (1.3, 0.8, 0.8, 1.0), strict=True))
HOME = dict(zip(SIZES, (280.0, 170.0, 171.0, 380.0), strict=True))


@pytest.mark.parametrize(
    "growth", [(0.9, 0.3, 0.9, 1.1), (2.0, 0.02, -0.3, 0.5), (-0.1, 0.0, 0.5, 1)]
)
def test_over_unknowns_it_is_the_same_law(growth: tuple[float, ...]) -> None:
    chance = np.random.default_rng(6)
    law = law_of(18.0, HOME, dict(zip(SIZES, growth, strict=True)), FULL)
    slopes = chance.uniform(-1.0, 1.0, (4, 3))
    rows = {name: Linear(slope, HOME[name]) for name, slope in zip(SIZES, slopes, strict=True)}
    powers = powers_of(law, rows)
    assert powers.at(np.zeros(3)) == pytest.approx(18.0)
    for _ in range(3):
        x = chance.uniform(-60.0, 60.0, 3)
        sizes = {name: row.at(x) for name, row in rows.items()}
        assert powers.sides(x) == pytest.approx(list(sizes.values()))
        assert powers.at(x) == pytest.approx(law.at(sizes))
        ways = np.eye(3) * 1e-3
        told = [(law.at(_at(rows, x + way)) - law.at(_at(rows, x - way))) / 2e-3 for way in ways]
        assert powers.gradient(x) == pytest.approx(told, rel=1e-5)
    corners = chance.uniform(-60.0, 60.0, (6, 3))
    values = [law.at(_at(rows, corner)) for corner in corners]
    extent = powers.extent(corners)
    assert extent.low == pytest.approx(min(values))
    assert extent.at_low == pytest.approx(corners[int(np.argmin(values))])
    assert extent.high >= max(values) * (1 - 1e-12)
    assert powers.at(extent.at_high) == pytest.approx(extent.high)


def _at(rows: dict[str, Linear], x: np.ndarray) -> dict[str, float]:
    return {name: row.at(x) for name, row in rows.items()}


def test_where_a_size_is_gone_it_holds_nothing() -> None:
    """A face of no height, by a power and no shift; and a number yet where it is far away."""
    law = law_of(18.0, HOME, dict.fromkeys(SIZES, 1.4), FULL)
    rows = {name: Linear(np.eye(4)[place], 0.0) for place, name in enumerate(SIZES)}
    powers = powers_of(law, rows)
    home = np.array(list(HOME.values()))
    gone = home * (1.0, 1.0, 1.0, 0.0)
    assert powers.at(gone) == 0.0
    assert np.all(np.isfinite(powers.gradient(gone)))
    assert powers.at(home - 1000.0) == 0.0
    tilted = powers_of(law_of(18.0, HOME, dict.fromkeys(SIZES, -1e6), FULL), rows)
    assert tilted.at(0.0 * home) == pytest.approx(18.0 * np.exp(600.0))


def test_one_corner_that_no_other_beats_is_the_most() -> None:
    law = law_of(18.0, HOME, dict.fromkeys(SIZES, 0.7), FULL)
    rows = {name: Linear(np.eye(4)[place], 0.0) for place, name in enumerate(SIZES)}
    home = np.array(list(HOME.values()))
    corners = np.array([home, 0.5 * home, 0.7 * home])
    extent = powers_of(law, rows).extent(corners)
    assert (extent.high, extent.at_high) == (pytest.approx(18.0), pytest.approx(home))
    assert extent.at_low == pytest.approx(corners[1])


def test_the_most_may_lie_between_a_corner_and_a_lesser_one() -> None:
    """Half again the face for a gusset that costs: x ln(1 + t) - 0.8 x t is most at t = 1/4."""
    law = law_of(18.0, HOME, dict.fromkeys(SIZES, 0.0) | {"face_height": 1.5}, FULL)
    rows = {name: Linear(np.eye(4)[place], 0.0) for place, name in enumerate(SIZES)}
    home = np.array(list(HOME.values()))
    powers = replace(powers_of(law, rows), tilts=np.array([0.0, -0.012, 0.0, 0.0]))
    corners = home + np.array([[0.0] * 4, [0.0, 100.0, 0.0, 380.0]])
    extent = powers.extent(corners)
    assert extent.high == pytest.approx(18.0 * np.exp(1.5 * (np.log(1.25) - 0.2)))
    assert extent.at_high == pytest.approx(home + 0.25 * (corners[1] - home), abs=1e-3)
    assert extent.at_low == pytest.approx(corners[1])


def test_the_most_of_a_law_is_found_within_a_polytope() -> None:
    """Against scipy's SLSQP over the weights of the corners, from several starts."""
    chance = np.random.default_rng(3)
    for _ in range(8):
        corners = chance.uniform(20.0, 400.0, (7, 4))
        law = PowerLawFigure(
            slopes=np.eye(4), bases=np.zeros(4), shifts=np.array([40.0, 0.0, 90.0, 0.0]),
            powers=np.array([1.3, 0.0, 0.8, 1.2]), tilts=np.array([0.0, -0.004, 0.0, 0.0]),
            homes=np.full(4, 150.0), value=10.0,
        )  # fmt: skip
        found = minimize(
            lambda w, law=law, at=corners: -np.log(law.at(w @ at)), np.full(7, 1 / 7),
            method="SLSQP", bounds=[(0.0, 1.0)] * 7, options={"ftol": 1e-14, "maxiter": 500},
            constraints={"type": "eq", "fun": lambda w: w.sum() - 1.0},
        )  # fmt: skip
        extent = law.extent(corners)
        assert extent.high == pytest.approx(np.exp(-found.fun), rel=1e-6)
        assert law.at(extent.at_high) == pytest.approx(extent.high)
        assert extent.low == pytest.approx(min(law.at(corner) for corner in corners))
