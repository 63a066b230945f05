"""A new bag has the three sizes that it was asked for, and corners that meet.

Checked by the closed formulas of a boxed corner (common practice in the trade, no source):
a panel is as wide as base, gusset and two side seams, and as long as two faces, the gusset and
what is folded away at the top; a corner cut is half a gusset deep, less what the seams take.
"""

import pytest

from core.base.errors import CornerwrightError
from core.base.units import Unit
from core.model.findings import Severity
from core.redesign.new_bag import new_bag
from core.storage.bag_files import SAMPLES, sample
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import inch

CENTIMETRE = 10.0

SIZES = ("base_width", "gusset_depth", "face_height")


def sizes(width: float, depth: float, height: float, unit: float) -> dict[str, float]:
    return dict(zip(SIZES, (width * unit, depth * unit, height * unit), strict=True))


@pytest.mark.parametrize("corners", ["cut", "sewn-across"])
@pytest.mark.parametrize("bottom", ["fold", "seam"])
@pytest.mark.parametrize("model", SAMPLES)
@pytest.mark.parametrize(
    ("unit", "wanted"),
    [
        (Unit.INCH, sizes(11, 6.75, 15, 25.4)),
        (Unit.INCH, sizes(4, 2.5, 6, 25.4)),
        (Unit.CM, sizes(30, 12, 25, CENTIMETRE)),
        (Unit.CM, sizes(55, 30, 45, CENTIMETRE)),
        (Unit.MM, sizes(170, 110, 203, 1.0)),
    ],
)
def test_a_new_bag_has_its_sizes(
    model: str, bottom: str, corners: str, unit: Unit, wanted: dict[str, float]
) -> None:
    made = new_bag(sample(model), wanted, {"bottom": bottom, "corners": corners}, unit=unit)
    bag, finished, panel = made.result.bag, made.result.finished, made.result.bag.body
    for name, value in wanted.items():
        assert finished[name] == pytest.approx(value, abs=1e-6)
    assert finished["corner_mismatch"] in (None, pytest.approx(0.0, abs=1e-6))
    assert (finished["corner_mismatch"] is None) is panel.sewn_across
    width = wanted["base_width"] + wanted["gusset_depth"] + 2 * panel.side_seam
    assert panel.width == pytest.approx(width, abs=1e-6)
    assert panel.folded is (bottom == "fold")
    assert panel.sewn_across is (corners == "sewn-across")
    if panel.sewn_across:
        assert panel.corner_mark == pytest.approx(wanted["gusset_depth"] / 2, abs=1e-6)
    assert bag.unit is unit
    assert isinstance(bag.top, ZipForward) is isinstance(sample(model).top, ZipForward)
    step = inch(1 / 8) if unit is Unit.INCH else 1.0
    for each in (panel.side_seam, panel.corner_seam, panel.top_seam, panel.bottom_seam):
        assert each / step == pytest.approx(round(each / step), abs=1e-9), "on the ruler"
    offset = finished["zip_offset"]
    if offset is not None:
        assert offset / step == pytest.approx(round(offset / step), abs=1e-6), "on the ruler"
    assert made.left_out == ()
    assert bag.parts.keys() == sample(model).parts.keys()
    assert not [each for each in made.result.findings if each.severity is Severity.STOP]


def test_a_part_without_room_is_left_out_and_said() -> None:
    made = new_bag(sample("demo"), sizes(3, 3, 3, 25.4), {"bottom": "fold"}, unit=Unit.INCH)
    assert made.left_out == ("pocket",)
    assert made.result.bag.parts.get("pocket") is None
    assert made.result.bag.parts.get("handles") is not None


@pytest.mark.parametrize(
    ("wanted", "named"),
    [
        (sizes(11, 0.5, 15, 25.4), "Gusset depth"),
        (sizes(0.0001, 6, 15, 25.4), "Base width"),
        (sizes(11, 6, -3, 25.4), "Face height"),
    ],
)
def test_a_bag_that_cannot_be_is_refused_by_name(wanted: dict[str, float], named: str) -> None:
    with pytest.raises(CornerwrightError, match=named):
        new_bag(sample("demo"), wanted, {"bottom": "fold"}, unit=Unit.INCH)
