"""A new bag has the three sizes that it was asked for, and corners that meet.

Checked by the closed formulas of a boxed corner (common practice in the trade, no source):
a panel is as wide as base, gusset and two side seams, and as long as two faces, the gusset and
what is folded away at the top; a corner cut is half a gusset deep, less what the seams take.
"""

from dataclasses import replace

import pytest

from core.bag.figures import matched_in
from core.base.errors import CornerwrightError, FieldError
from core.base.units import Unit
from core.bodies.body import Body
from core.bodies.gusset_strip.body import GussetStrip, Wrap
from core.bodies.table import BODIES
from core.model.findings import Allowance, Severity
from core.redesign.new_bag import new_bag
from core.storage.bag_files import SAMPLES, sample
from core.tops.table import TOPS
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import inch

CENTIMETRE = 10.0
NO_SEAM = Allowance(figure="", label="", size=0.0)

SIZES = ("base_width", "gusset_depth", "face_height")


def sizes(width: float, depth: float, height: float, unit: float) -> dict[str, float]:
    return dict(zip(SIZES, (width * unit, depth * unit, height * unit), strict=True))


BOXED = [name for name in SAMPLES if sample(name).body.KIND == "boxed-panel"]


@pytest.mark.parametrize("corners", ["cut", "sewn-across"])
@pytest.mark.parametrize("bottom", ["fold", "seam"])
@pytest.mark.parametrize("model", BOXED)
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


BOXES = [
    (300.0, 120.0, 250.0),
    (120.0, 60.0, 200.0),
    (600.0, 300.0, 500.0),
]
"""Width, depth and height, mm."""
EVERY = [(kind, top) for kind in BODIES for top in (None, *(each.KIND for each in TOPS))]


def boxed(kind: type[Body], box: tuple[float, float, float], radius: float = 0.0) -> dict:
    """The sizes of a box as a construction calls them."""
    names = kind.BOX
    sizes = dict(zip((names.width, names.depth, names.height), box, strict=True))
    return sizes | ({names.rounding: radius} if names.rounding else {})


@pytest.mark.parametrize("rounding", [0.0, 0.2])
@pytest.mark.parametrize("box", BOXES)
@pytest.mark.parametrize(("kind", "top"), EVERY)
def test_each_construction_is_made_from_the_sizes_of_a_box(
    kind: type[Body], top: str | None, box: tuple[float, float, float], rounding: float
) -> None:
    """With each top that its mouth takes: every seam matches, and nothing stops the bag."""
    model = replace(sample("demo"), unit=Unit.MM)
    wanted = boxed(kind, box, rounding * min(box) if kind.BOX.rounding else 0.0)
    words = {"construction": kind.KIND} | ({} if top is None else {"top": top})
    try:
        made = new_bag(model, wanted, words, unit=Unit.MM)
    except FieldError as error:
        assert error.field == "top"
        assert top is not None
        return
    bag, finished = made.result.bag, made.result.finished
    assert isinstance(bag.body, kind)
    assert bag.top.CLOSES if top is None else top == bag.top.KIND
    for name, value in wanted.items():
        assert finished[name] == pytest.approx(value, abs=1e-6)
    matched = matched_in(finished)
    assert matched
    assert [finished[name] for name in matched] == pytest.approx([0.0] * len(matched), abs=1e-6)
    assert not [each for each in made.result.findings if each.severity is Severity.STOP]
    for each in bag.allowances:
        assert each.size == pytest.approx(round(each.size), abs=1e-9), "on the ruler"


@pytest.mark.parametrize("kind", BODIES)
@pytest.mark.parametrize("model", SAMPLES)
def test_any_bag_is_a_model_of_any_construction(model: str, kind: type[Body]) -> None:
    """In its own materials; its top goes along where it can."""
    wanted = boxed(kind, BOXES[0])
    made = new_bag(sample(model), wanted, {"construction": kind.KIND}, unit=Unit.MM).result
    assert isinstance(made.bag.body, kind)
    assert made.bag.sandwich == sample(model).sandwich
    assert made.bag.top.CLOSES == sample(model).top.CLOSES
    for name, value in wanted.items():
        assert made.finished[name] == pytest.approx(value, abs=1e-6)
    assert not [each for each in made.findings if each.severity is Severity.STOP]


@pytest.mark.parametrize("kind", BODIES)
def test_a_hem_that_is_too_deep_for_another_top_becomes_its_usual_seam(kind: type[Body]) -> None:
    """The tote's is 30 mm deep: a facing's seam is trimmed beyond an inch."""
    wanted = boxed(kind, BOXES[0])
    for top, allowance in (("facing", 10.0), ("hem", 30.0)):
        words = {"construction": kind.KIND, "top": top}
        made = new_bag(sample("tote"), wanted, words, unit=Unit.MM).result
        assert made.cut["zip_seam"] == pytest.approx(allowance)
        assert made.finished[kind.BOX.height] == pytest.approx(250.0)


@pytest.mark.parametrize("kind", BODIES)
def test_allowances_are_the_usual_ones_and_can_be_others(kind: type[Body]) -> None:
    """10 mm; what is set stands, and takes nothing from the sizes."""
    model, wanted = replace(sample("demo"), unit=Unit.MM), boxed(kind, BOXES[0])
    words = {"construction": kind.KIND}
    plain = new_bag(model, wanted, words, unit=Unit.MM).result
    seams = [each.figure for each in plain.bag.body.allowances(NO_SEAM) if each.figure]
    assert seams
    assert [plain.cut[name] for name in seams] == pytest.approx([10.0] * len(seams))
    for name in seams:
        made = new_bag(model, wanted, words, unit=Unit.MM, figures={name: 6.5}).result
        assert made.cut[name] == 6.5
        told = [made.finished[each] for each in wanted]
        assert told == pytest.approx(list(wanted.values()), abs=1e-6)
        assert [made.finished[each] for each in matched_in(made.finished)] == pytest.approx(
            [0.0] * len(matched_in(made.finished)), abs=1e-6
        )


def test_figures_are_had_exactly() -> None:
    """Those of body and top before sizes are sought, those of parts once they are there."""
    figures = {"side_seam": 6.0, "zip_tape_width": 40.0, "pocket_drop": 80.0, "handle_width": 25.0}
    wanted = sizes(30, 12, 25, CENTIMETRE)
    made = new_bag(sample("demo"), wanted, {}, unit=Unit.CM, figures=figures).result
    assert {name: made.cut[name] for name in figures} == figures
    assert [made.finished[name] for name in SIZES] == pytest.approx(list(wanted.values()))
    with pytest.raises(FieldError, match="pocket"):
        bare = sample("demo").without("pocket")
        new_bag(bare, wanted, {}, unit=Unit.CM, figures={"pocket_drop": 80.0})
    with pytest.raises(CornerwrightError, match="Base width"):
        new_bag(sample("demo"), wanted, {}, unit=Unit.CM, figures={"panel_width": 100.0})


def test_words_of_parts_are_taken_once_they_are_made() -> None:
    words = {"bottom": "seam", "board": "fused"}
    made = new_bag(sample("demo"), sizes(30, 12, 25, CENTIMETRE), words, unit=Unit.CM).result
    assert made.bag.parts["board"].way.value == "fused"
    assert not made.bag.body.folded


@pytest.mark.parametrize("kind", [kind for kind in BODIES if kind.BOX.gap])
def test_a_gap_stays_as_long_as_it_was_made(kind: type[Body]) -> None:
    """A quarter of the height down either side, or as it is set; E2 of the worked examples."""
    model = replace(sample("demo"), unit=Unit.MM)
    words = {"construction": kind.KIND}
    across = 300.0 if kind.BOX.rounding and kind.KIND == "gusset-strip" else 120.0
    for figures in ({}, {"upper_rounding": 0.0}, {"gusset_seam": 6.5}):
        made = new_bag(
            model, boxed(kind, BOXES[0], 20.0), words, unit=Unit.MM, figures=figures
        ).result
        assert made.finished[kind.BOX.gap] == pytest.approx(across + 125.0, abs=1.0)
    quarter = 25.4 / 4
    figures = {"top_strip_length": inch(20.5), "zip_tape_width": inch(1.25)}
    figures |= dict.fromkeys(("gusset_seam", "strip_seam", "zip_seam"), quarter)
    box = (11.5, 6.5, 10.0) if kind.KIND == "gusset-strip" else (6.5, 11.5, 10.0)
    e2 = boxed(kind, tuple(map(inch, box)), inch(2.0))
    cut = new_bag(model, e2, words, unit=Unit.INCH, figures=figures).result.cut
    assert cut["strip_length"] == pytest.approx(inch(20.0664), abs=0.01)
    assert cut["face_cut_width"] == pytest.approx(inch(12.0))
    assert cut["face_cut_height"] == pytest.approx(inch(10.5))
    assert cut["corner_rounding"] == cut["upper_rounding"] == pytest.approx(inch(2.25))
    assert cut["strip_width"] == pytest.approx(inch(7.0))


@pytest.mark.parametrize("width", [0.0, 20000.0])
@pytest.mark.parametrize("kind", [GussetStrip, Wrap])
def test_a_size_that_cannot_be_is_told_by_the_name_that_was_typed(
    kind: type[Body], width: float
) -> None:
    """Nobody typed the cut width that follows from it."""
    asked = {kind.BOX.width: width, "gusset_depth": 100.0, "face_height": 200.0}
    with pytest.raises(FieldError) as refused:
        new_bag(sample("demo"), asked, {"construction": kind.KIND}, unit=Unit.MM)
    assert refused.value.field == kind.BOX.width
    assert str(refused.value).startswith(f"Face width is {width:.0f} mm: it must be ")
