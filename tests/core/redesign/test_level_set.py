"""Places where several figures that bend are exact, against closed formulas and a scan."""

from itertools import product
from types import SimpleNamespace

import numpy as np
import pytest

from core.redesign.convex import Linear, Product
from core.redesign.filled_volume import PowerLawFigure
from core.redesign.level_set import LevelSet

CORNERS = np.array(list(product((100.0, 300.0), repeat=3)))
OVER = np.vstack([np.eye(3), -np.eye(3)])
LEAST = np.array([100.0] * 3 + [-300.0] * 3)
"""Base, gusset and face of 10 to 30 cm."""
START = np.full(3, 150.0)
BASE = Linear(np.array([1.0, 0.0, 0.0]), 0.0)
LAW = PowerLawFigure(
    slopes=np.eye(3)[[0, 1, 1, 2]], bases=np.zeros(4), shifts=np.zeros(4),
    powers=np.array([1, 0.5, 0.5, 1]), tilts=np.zeros(4), homes=np.full(4, 100.0), value=1.0,
)  # fmt: skip
"""Base times gusset times face, in litres."""
INSIDE = Product(np.eye(3), np.array([-20.0, -20.0, -10.0]), 1e6)
"""The box within a wall of 10 mm."""


def several(*bent: tuple[object, float], corners: np.ndarray = CORNERS) -> LevelSet:
    return LevelSet(corners, OVER, LEAST, START, list(bent))


def test_the_place_is_the_nearest_one() -> None:
    x = several((LAW, 8.0)).somewhere()
    assert x == pytest.approx(np.full(3, 200.0), abs=1e-3)
    assert LAW.at(x) == pytest.approx(8.0, rel=1e-8)


def test_the_nearest_place_lies_square_to_the_set() -> None:
    """Off by as much as the volume grows, V / x, in each size: (x - start) x is one number."""
    start = np.array([140.0, 180.0, 260.0])
    x = LevelSet(CORNERS, OVER, LEAST, start, [(LAW, 8.0)]).somewhere()
    assert x is not None
    assert LAW.at(x) == pytest.approx(8.0, rel=1e-8)
    assert (x - start) * x == pytest.approx(np.full(3, (x - start) @ x / 3), rel=1e-3)


@pytest.mark.parametrize(("filled", "low", "high"), [
    # From side to side, and to where the two others are both least or most.
    (2.0, 100.0, 200.0), (8.0, 100.0, 300.0), (20.0, 20e6 / 9e4, 300.0),
])  # fmt: skip
def test_how_far_a_length_goes_where_a_volume_is_exact(
    filled: float, low: float, high: float
) -> None:
    space = several((LAW, filled))
    extent = space.extent(BASE)
    assert extent is not None
    assert (extent.low, extent.high) == pytest.approx((low, high), abs=1e-3)
    for x, end in ((extent.at_low, extent.low), (extent.at_high, extent.high)):
        assert BASE.at(x) == end
        assert LAW.at(x) == pytest.approx(filled, rel=1e-7)
        assert (OVER @ x - LEAST).min() >= -1e-6
    for value in (low + 0.5, (low + high) / 2, high - 0.5):
        x = space.meet(BASE, value)
        assert x is not None
        assert BASE.at(x) == pytest.approx(value, abs=1e-5)
        assert LAW.at(x) == pytest.approx(filled, rel=1e-7)
        assert (OVER @ x - LEAST).min() >= -1e-6
    for value in (low - 0.5, high + 0.5):
        assert space.meet(BASE, value) is None


def test_two_volumes_leave_a_curve() -> None:
    """By a scan of the base: gusset and face follow from both volumes by one quadratic."""
    filled, inside = 8.0, 6.0
    found = []
    for base in np.linspace(100.0, 300.0, 20_001):
        area, room = filled * 1e6 / base, inside * 1e6 / (base - 20.0)
        # (g - 20)(f - 10) = room with g f = area: 10 g + 20 f = area + 200 - room.
        total = area + 200.0 - room
        for root in np.roots([10.0, -total, 20.0 * area]):
            gusset, face = root.real, area / root.real
            if abs(root.imag) < 1e-9 and 100 <= gusset <= 300 and 100 <= face <= 300:
                found.append(base)
    space = several((LAW, filled), (INSIDE, inside))
    extent = space.extent(BASE)
    assert extent is not None
    assert (extent.low, extent.high) == pytest.approx((min(found), max(found)), abs=0.02)
    for x in (extent.at_low, extent.at_high, space.somewhere()):
        assert (LAW.at(x), INSIDE.at(x)) == pytest.approx((filled, inside), rel=1e-7)
        assert (OVER @ x - LEAST).min() >= -1e-6
    middle = space.meet(BASE, (extent.low + extent.high) / 2)
    assert middle is not None
    assert BASE.at(middle) == pytest.approx((extent.low + extent.high) / 2, abs=1e-5)


def test_a_length_is_met_as_exactly_as_a_volume() -> None:
    x = several((LAW, 8.0), (BASE, 150.0)).somewhere()
    assert x is not None
    assert (LAW.at(x), BASE.at(x)) == pytest.approx((8.0, 150.0), rel=1e-7)
    assert x[1] == pytest.approx(x[2], abs=0.01)
    assert several((LAW, 8.0), (BASE, 99.0)).somewhere() is None


def test_where_limits_leave_a_plane_or_a_place() -> None:
    plane = CORNERS * (1.0, 1.0, 0.0) + (0.0, 0.0, 160.0)
    x = several((LAW, 8.0), corners=plane).somewhere()
    assert x is not None
    assert x[2] == pytest.approx(160.0, abs=1e-9)
    assert x[:2] == pytest.approx([50_000**0.5] * 2, abs=1e-3)
    place = np.full((1, 3), 200.0)
    there, other = (several((LAW, filled), corners=place) for filled in (8.0, 8.1))
    assert there.somewhere() == pytest.approx(place[0])
    assert there.extent(BASE).low == there.extent(BASE).high == pytest.approx(200.0)
    assert there.meet(BASE, 200.0) == pytest.approx(place[0])
    assert (other.somewhere(), other.extent(BASE), other.meet(BASE, 200.0)) == (None, None, None)
    assert there.meet(BASE, 201.0) is None
    empty = several((LAW, 8.0), corners=np.zeros((0, 3)))
    assert (empty.somewhere(), empty.extent(BASE), empty.meet(BASE, 1.0)) == (None, None, None)


@pytest.mark.parametrize("size", [500.0, np.nan])
def test_a_place_beyond_the_limits_is_none(size: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the search of another library ends at."""
    space = several((LAW, size**3 / 1e6 if np.isfinite(size) else 8.0))

    def ended(*_: object, **__: object) -> SimpleNamespace:
        return SimpleNamespace(x=(size - space._middle) @ space._axes.T / space._size)

    monkeypatch.setattr("scipy.optimize.minimize", ended)
    assert space.somewhere() is None


def test_a_box_and_a_law_that_no_place_has_together_are_not_met() -> None:
    """Sides of 10 to 30 cm: a cube's law and a box of half as wide a base agree only twofold."""
    corners = np.array(list(product((100.0, 300.0), repeat=3)))
    over, least = np.vstack([np.eye(3), -np.eye(3)]), np.array([100.0] * 3 + [-300.0] * 3)
    sides = np.vstack([np.eye(3)[[0, 1, 1, 2]]])
    law = PowerLawFigure(
        slopes=sides, bases=np.zeros(4), shifts=np.zeros(4), powers=np.array([1, 0.5, 0.5, 1]),
        tilts=np.zeros(4), homes=np.full(4, 100.0), value=1.0,
    )  # fmt: skip
    box = Product(np.diag([0.5, 1.0, 1.0]), np.zeros(3), 1e6)
    start = np.full(3, 150.0)

    def both(filled: float, boxed: float) -> LevelSet:
        return LevelSet(corners, over, least, start, [(law, filled), (box, boxed)])

    x = both(8.0, 4.0).somewhere()
    assert x is not None and (law.at(x), box.at(x)) == pytest.approx((8.0, 4.0), rel=1e-7)
    for filled, of_box in ((8.0, 5.0), (8.0, 3.0), (28.0, 14.0), (0.9, 0.45)):
        assert both(filled, of_box).somewhere() is None, (filled, of_box)
        alone = LevelSet(corners, over, least, start, [(law, filled)])
        assert alone.meet(box, of_box) is None, (filled, of_box)


def test_where_no_end_is_reached_the_places_that_are_known_tell_the_range(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    space, to = several((LAW, 8.0)), LevelSet._to

    def unreached(space: LevelSet, start: np.ndarray, more: list, least: object = None) -> object:
        return None if least is not None else to(space, start, more)

    monkeypatch.setattr(LevelSet, "_to", unreached)
    extent = space.extent(BASE)
    assert extent is not None
    assert 100.0 <= extent.low <= 200.0 <= extent.high + 1e-6 <= 300.0
