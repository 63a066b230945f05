"""Seam strength by the published formula, the weight of the filled bag, and what is too heavy.

Formula and table: a thread maker's technical bulletin on seam strength (woven goods,
superimposed seam; stitch type 301: stitches per inch x thread strength x 1.5 per inch of seam).
Density: ASTM F2153, "about 10 lb per 1000 in3" (ASTM Standardization News, July 2002).
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.bag.bag import Bag, with_figures
from core.bag.choices import without_part
from core.bag.compute import compute
from core.bag.making import KG_PER_POUND, USUAL_DENSITY, Load
from core.base.errors import FieldError
from core.goods.layers import Layer
from core.model.findings import Severity
from core.sewing.strength import (
    LoadEstimate,
    load_finding,
    load_of,
    load_text,
    seam_strength_per_inch,
)
from core.solid.capacity import capacity
from core.storage.bag_files import demo_bag
from tests.helpers import demo, inch, layer, sandwich


def estimate(bag: Bag, load: Load | None = None) -> LoadEstimate | None:
    result = compute(bag)
    return load_of(result, capacity(bag).inside_filled, load)


def test_the_bulletins_worked_example() -> None:
    assert seam_strength_per_inch(10, 4.0) == 60.0


@pytest.mark.parametrize(("spi", "pounds"), [(6, 23.4), (8, 31.2), (10, 39.0), (12, 46.8)])
def test_the_bulletins_table_for_core_spun_thread_of_2_6_pounds(spi: int, pounds: float) -> None:
    assert seam_strength_per_inch(spi, 2.6) == pytest.approx(pounds)


@pytest.mark.parametrize(("spi", "printed"), [(6, 20), (8, 26), (10, 33), (12, 40)])
def test_the_bulletins_table_for_spun_thread_of_2_2_pounds(spi: int, printed: int) -> None:
    assert seam_strength_per_inch(spi, 2.2) == pytest.approx(printed, abs=0.5)


@given(spi=st.floats(4, 20), needle=st.floats(0.5, 30), bobbin=st.floats(0.5, 30))
def test_the_weaker_thread_counts(spi: float, needle: float, bobbin: float) -> None:
    both = seam_strength_per_inch(spi, needle, bobbin)
    assert both == seam_strength_per_inch(spi, bobbin, needle)
    assert both == seam_strength_per_inch(spi, min(needle, bobbin))


def test_half_as_many_stitches_again_are_half_as_strong_again() -> None:
    """3 to 4.5 stitches per cm raise the strength by about 50 % (a thread maker's page, 2017)."""
    ratio = seam_strength_per_inch(4.5 * 2.54, 3.0) / seam_strength_per_inch(3 * 2.54, 3.0)
    assert ratio == pytest.approx(1.5)


def test_the_usual_density() -> None:
    assert pytest.approx(276.8, abs=0.05) == USUAL_DENSITY


def test_the_demo_bag_is_weighed_and_its_stitching_counted() -> None:
    found = estimate(demo_bag())
    assert found is not None
    assert found.figure == "inside_filled_volume"
    assert found.contents == pytest.approx(found.volume * 0.2768, rel=1e-3)
    # Below each stop a square 1 in wide (1 1/4 in handle, 1/8 in from either edge) with a cross;
    # one handle has two stops. 3 mm stitches, 2.6 lb thread.
    stitched = 2 * 1 * (4 + 2 * math.sqrt(2))
    assert found.stitched == pytest.approx(inch(stitched))
    pounds = stitched * 25.4 / 3 * 2.6 * 1.5
    assert found.strength == pytest.approx(pounds * KG_PER_POUND)
    assert found.allowed == pytest.approx(found.strength / 10)
    assert found.allowed_by_both == pytest.approx(2 * found.strength / 10)
    assert not found.heavy
    assert load_finding(found) is None
    told = " ".join(sentence.text() for sentence in load_text(found))
    assert "estimate" in told
    assert "local rules" in told


@pytest.mark.parametrize(
    ("layers", "says", "patch"),
    [
        ((layer(), layer("film", laid_last=True)), "hangs on outer fabric alone: the film", True),
        (
            (layer(), layer("fleece"), layer("film", laid_last=True)),
            "hangs on outer fabric and fleece alone: the film",
            False,
        ),
        ((layer(), layer("film")), "", False),
    ],
)
def test_a_lining_that_is_laid_in_last_carries_nothing(
    layers: tuple[Layer, ...], says: str, patch: bool
) -> None:
    found = estimate(demo(sandwich=sandwich(*layers)))
    assert found is not None
    told = " ".join(sentence.text() for sentence in load_text(found))
    assert says in told
    assert ("hangs on" in told) == bool(says)
    assert ("A patch of strong fabric" in told) == patch


def test_an_open_bag_counts_its_box() -> None:
    bag = without_part(with_figures(demo_bag(), {"front_trim": 0.0}), "zip")
    found = estimate(bag)
    assert found is not None
    assert found.figure == "inside_volume"
    assert found.volume == compute(bag).finished["inside_volume"]


def test_no_handles_no_estimate() -> None:
    assert estimate(without_part(demo_bag(), "handles")) is None
    assert load_finding(None) is None


def test_a_bag_of_water_on_weak_thread_is_too_heavy() -> None:
    load = Load(density=1000.0, needle_thread=2.6, bobbin_thread=2.0, safety=12.0)
    found = estimate(demo_bag(), load)
    finding = load_finding(found)
    assert found is not None
    assert finding is not None
    assert finding.code == "heavy-load"
    assert finding.severity is Severity.WARN
    assert finding.figure == "inside_filled_volume"
    assert finding.limit is not None
    assert finding.value > finding.limit
    # Filled just to the limit it weighs what is counted on.
    weight = found.goods + finding.limit * load.density / 1000
    assert weight == pytest.approx(found.allowed)
    told = finding.message.text()
    assert "carry less" in told
    # The reader is told of which handles the figures are: one, and the two together.
    one, both = found.allowed, 2 * found.allowed
    assert f"One handle may carry about {one:.1f} kg" in told
    assert f"both together {both:.1f} kg" in told


@pytest.mark.parametrize(
    ("name", "value"),
    [("density", 0.0), ("needle_thread", -1.0), ("bobbin_thread", math.nan), ("safety", 0.5)],
)
def test_impossible_loads_are_refused(name: str, value: float) -> None:
    with pytest.raises(FieldError) as told:
        Load(**{name: value})
    assert told.value.field == name
