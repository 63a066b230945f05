"""Every number that is told is a number, and one that can be.

Lengths are 0 or at least a hundredth of a millimetre: what is typed smaller is refused, what a
file or a search leaves smaller is 0, and told. No number is infinite. No box has more surface than
its bag has cloth.
"""

import json
import math
import re
from collections.abc import Iterator
from functools import cache, partial
from typing import Any

import pytest
from shapely import Polygon

from app.cli.report import as_json, figures_text, findings_text, json_text
from core.bag.bag import Bag, with_figures
from core.bag.compute import Result, compute
from core.bag.making import Making
from core.bag.sewn_sample import sample_of
from core.bag.tables import CUT_FIGURES
from core.base.errors import BagFileError, FieldError
from core.base.sanitize import packed_json
from core.base.sentences import Sentence
from core.base.units import Unit, format_length
from core.goods.supplies import Supplies
from core.model.figures import CutFigure, Quantity
from core.model.findings import Finding, Fix, Severity
from core.output.papers import A4
from core.output.print_options import PrintOptions
from core.redesign.measured import fit
from core.redesign.request import check_typed
from core.storage.bag_file import project_to_json, reading_from_json
from core.storage.project import Project
from tests.helpers import bag_from_json, bag_to_json, changed, demo, demo_panel, inch, layer
from tests.near_limits import LEAST, TINIEST, Pushed, pushed, pushed_to_ends

LENGTHS = [figure for figure in CUT_FIGURES if figure.quantity is Quantity.LENGTH]
MAY_BE_NOTHING = {
    "front_trim", "corner_cut_width", "corner_cut_depth", "corner_mark", "side_seam", "corner_seam",
    "zip_seam", "bottom_seam", "pocket_drop", "pocket_seam", "handle_gap", "handle_stop",
    "handle_back_lower", "baste_line", "corner_rounding", "upper_rounding", "top_strip_length",
    "gusset_seam",
    "strip_seam", "body_end_width", "base_seam", "zip_shift",
}  # fmt: skip
FAR_ABOVE_NOTHING = {"handle_width", "handle_last_strip", "goods_width"}
"""Their least is told instead: a strip must fold, and be joined."""


def in_inches(length: float) -> str:
    return format_length(length, unit=Unit.INCH)


# --- Typed ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("figure", LENGTHS, ids=lambda figure: figure.name)
@pytest.mark.parametrize("tiny", [*TINIEST, *(-each for each in TINIEST)])
def test_a_typed_length_below_a_hundredth_of_a_millimetre_is_refused(
    figure: CutFigure, tiny: float
) -> None:
    with pytest.raises(FieldError) as caught:
        with_figures(demo(), {figure.name: tiny})
    told = caught.value
    assert (told.field, told.value) == (figure.name, tiny)
    text = str(told)
    assert text.startswith(f"{figure.label} is ")
    if figure.low < 0.0:
        assert ": it must be 0" in text
    elif figure.name not in FAR_ABOVE_NOTHING:
        least = "0 or at least 0.01 mm" if figure.name in MAY_BE_NOTHING else "at least 0.01 mm"
        if figure.name == "zip_shift":
            least = "0, or at least 0.01 mm more or less than 0"
        assert text.endswith(f": it must be {least}.")
    for shown in (text, told.sentence.text(in_inches)):
        assert not re.search(r" is [−-]?0 (mm|in)\b", shown), "a sliver is not told as 0"
        assert len(shown) < 120


def test_a_sliver_is_told_with_the_figures_that_it_has() -> None:
    with pytest.raises(FieldError) as caught:
        with_figures(demo(), {"board_depth": 0.004})
    told = caught.value.sentence
    assert told.text() == "Board depth is 0.004 mm: it must be at least 0.01 mm."
    assert told.text(in_inches) == "Board depth is ≈ 0.0002 in: it must be at least ≈ 0.0004 in."


@pytest.mark.parametrize("figure", LENGTHS, ids=lambda figure: figure.name)
def test_the_least_length_is_one(figure: CutFigure) -> None:
    for least in LEAST:
        if figure.name in FAR_ABOVE_NOTHING:
            with pytest.raises(FieldError, match="must be more than"):
                figure.check(least)
        else:
            figure.check(least)


@pytest.mark.parametrize("tiny", TINIEST)
def test_so_it_is_of_goods_notions_making_and_paper(tiny: float) -> None:
    for name in ("thickness", "pressed", "usable_width", "sold_step"):
        with pytest.raises(FieldError, match=r"0\.01 mm"):
            layer(**{"pressed": 0.0, name: tiny})
    for name in ("spool_length", "clip_spacing"):
        with pytest.raises(FieldError, match=r"must be at least 0\.01 mm"):
            Supplies(**{name: tiny})
    with pytest.raises(FieldError, match=r"Zip lengths is .*must be at least 0\.01 mm"):
        Supplies(zip_lengths=(300.0, tiny))
    with pytest.raises(FieldError, match=r"Gap is .*must be 0 or at least 0\.01 mm"):
        Making(gap=tiny)
    for name in ("margin", "overlap"):
        with pytest.raises(FieldError, match=r"must be 0 or at least 0\.01 mm"):
            PrintOptions(paper=A4, **{name: tiny})


@pytest.mark.parametrize("tiny", TINIEST)
def test_so_it_is_of_what_is_wanted_and_of_what_a_tape_measures(tiny: float) -> None:
    for name in ("base_width", "zip_offset", "handle_drop_front"):
        with pytest.raises(FieldError, match=r"must be 0 or at least 0\.01 mm\."):
            check_typed(name, tiny)
    for name in ("zip_clearance", "corner_mismatch"):
        with pytest.raises(
            FieldError, match=r"must be 0, or at least 0\.01 mm more or less than 0"
        ):
            check_typed(name, -tiny)
    check_typed("box_volume", tiny)  # litres are no length
    with pytest.raises(FieldError, match=r"must be 0 or at least 0\.01 mm"):
        fit(demo(), {"base_width": tiny})
    with pytest.raises(FieldError, match=r"Base width of the sample is .*0\.01 mm"):
        sample_of(demo(), {"base_width": tiny})


SAMPLES = {"boxed-panel": sample_of(demo(), {"face_height": 380.0})}


# --- Out of a file --------------------------------------------------------------------------------


def document_with(tiny: float, *path: str | int) -> str:
    """The demo bag's file with one length that small; its second layer lies first in a variant."""
    project = Project(bag=demo(), samples=SAMPLES).with_variant("other", demo())
    document = json.loads(project_to_json(project))
    group = document
    for step in path[:-1]:
        group = group[step]
    assert path[-1] in group
    group[path[-1]] = tiny
    return json.dumps(document)


NOTHING_IN_A_FILE = {
    ("body", "front_trim"): "Front trim",
    ("body", "corner_cut_width"): "Corner cut width",
    ("pocket", "pocket_drop"): "Pocket drop",
    ("handles", "handle_gap"): "Handle gap",
    ("sandwich", "baste_line"): "Basting line",
    ("sandwich", "layers", 1, "pressed"): "Pressed thickness of layer 2",
    ("supplies", "board", "pressed"): "Pressed thickness of the board’s material",
    ("variants", 0, "bag", "body", "front_trim"): "Front trim of variant 1",
    ("sample", "drawn", "base_width"): "Base width of the sample",
    ("making", "gap"): "Gap",
}


@pytest.mark.parametrize(("path", "told"), NOTHING_IN_A_FILE.items(), ids=str)
@pytest.mark.parametrize("tiny", TINIEST)
def test_a_sliver_in_a_file_is_nothing_and_told(
    path: tuple[str | int, ...], told: str, tiny: float
) -> None:
    reading = reading_from_json(document_with(tiny, *path), source="mine.json")
    assert reading.remark is not None
    assert reading.remark.text() == (
        f"mine.json has a length below 0.01 mm, but not 0, for {told}: taken as 0."
    )
    written = json.loads(project_to_json(reading.project))
    for step in path:
        written = written[step]
    assert written == 0.0
    whole = reading_from_json(document_with(0.0, *path), source="mine.json")
    assert (whole.project, whole.remark) == (reading.project, None)


@pytest.mark.parametrize(
    ("path", "label"),
    [
        (("body", "panel_width"), "Panel width"),
        (("top", "zip_length"), "Zip length"),
        (("board", "board_depth"), "Board depth"),
        (("sandwich", "layers", 1, "usable_width"), "layer 2: Usable width"),
        (("supplies", "clip_spacing"), "Clip spacing"),
    ],
)
@pytest.mark.parametrize("tiny", TINIEST)
def test_what_must_be_there_is_refused_in_words(
    path: tuple[str | int, ...], label: str, tiny: float
) -> None:
    with pytest.raises(BagFileError, match=rf"^mine\.json: {label} is .* at least 0\.01 mm\.$"):
        reading_from_json(document_with(tiny, *path), source="mine.json")


def test_many_slivers_are_told_in_one_sentence_of_bounded_length() -> None:
    document = json.loads(document_with(0.001, "body", "front_trim"))
    document["variants"] = [
        {**document["variants"][0], "name": str(number)} for number in range(40)
    ]
    for each in document["variants"]:
        each["bag"] = {**each["bag"], "body": {**document["body"]}}
    remark = reading_from_json(json.dumps(document), source="mine.json").remark
    assert remark is not None
    text = remark.text()
    assert text.endswith("Front trim of variant 5 and 35 more: taken as 0.")


def test_what_is_not_ours_stays_as_small_as_it_is() -> None:
    document = json.loads(bag_to_json(demo()))
    document["body"]["theirs"] = {"gap": 0.001}
    reading = reading_from_json(json.dumps(document), source="x")
    assert reading.remark is None
    assert json.loads(project_to_json(reading.project))["body"]["theirs"] == {"gap": 0.001}


# --- Out of sums and searches ---------------------------------------------------------------------


def test_what_sums_leave_of_nothing_is_nothing_in_a_bag() -> None:
    for dust in (1e-13, -1e-13):
        panel = demo_panel(front_trim=dust)
        assert panel.front_trim == 0.0
        assert math.copysign(1.0, panel.front_trim) == 1.0
    with pytest.raises(FieldError, match="Front trim"):
        demo_panel(front_trim=0.002)
    assert Fix(Sentence("x"), (("front_trim", 0.002),)).changes == (("front_trim", 0.0),)


# --- No number is infinite ------------------------------------------------------------------------


@pytest.mark.parametrize("wrong", [math.inf, -math.inf, math.nan])
def test_what_is_no_number_never_gets_as_far_as_a_reader(wrong: float) -> None:
    """A fault of the program stops where it is made, not in a reader's hands."""
    said = Sentence("x")
    with pytest.raises(ValueError, match="nothing that is told can be that"):
        Sentence("{value}", {"value": wrong})
    with pytest.raises(ValueError, match="nothing that is told can be that"):
        Fix(said, (("front_trim", wrong),))
    for value, limit in ((wrong, None), (1.0, wrong)):
        with pytest.raises(ValueError, match="nothing that is told can be that"):
            Finding(
                code="x", severity=Severity.NOTE, figure="y", value=value, limit=limit, message=said
            )
    for told in ({"a": wrong}, {"a": {"b": [0.0, wrong]}}):
        for write in (json_text, packed_json):
            with pytest.raises(ValueError, match="JSON"):
                write(told)
    with pytest.raises(ValueError, match="JSON"):
        packed_json(layer_record_with(wrong))


def test_a_number_near_the_largest_float_is_refused_as_the_number_that_it_is() -> None:
    """Shown in percent or in another unit it would be none any more (IEEE 754: inf)."""
    whole = json.loads(project_to_json(Project(bag=demo(), samples=SAMPLES)))
    tried = 0
    for place in places_of_numbers(whole):
        for huge in (1.7e308, -1.7e308):
            try:
                reading_from_json(json.dumps(with_number(whole, place, huge)), source="x")
            except BagFileError as error:
                tried += 1
                for unit in Unit:
                    said = error.sentence.text(partial(format_length, unit=unit))
                    assert not re.search(r"\b(inf|nan)\b", said), (place, said)
    assert tried > 100


def places_of_numbers(held: Any, within: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """What leads to each number of a JSON document."""
    if isinstance(held, dict | list):
        items = held.items() if isinstance(held, dict) else enumerate(held)
        for key, each in items:
            yield from places_of_numbers(each, (*within, key))
    elif isinstance(held, int | float) and not isinstance(held, bool):
        yield within


def with_number(document: Any, place: tuple[Any, ...], number: float) -> Any:
    changed_one = json.loads(json.dumps(document))
    held = changed_one
    for key in place[:-1]:
        held = held[key]
    held[place[-1]] = number
    return changed_one


def layer_record_with(thickness: float) -> Any:
    from core.storage.bag_file import LAYER

    return LAYER.written(layer()) | {"thickness": thickness}


@cache
def nasty() -> tuple[tuple[Pushed, Result], ...]:
    """Bags whose figures lie at their ends, alone and in pairs, with what follows from them."""
    return (*pushed(), *((each, compute(each.bag)) for each in pushed_to_ends()))


def numbers_in(told: Any) -> Iterator[float]:
    if isinstance(told, dict):
        told = list(told.values())
    if isinstance(told, list):
        for each in told:
            yield from numbers_in(each)
    elif isinstance(told, float):
        yield told


def test_no_bag_near_its_limits_is_told_with_a_number_that_cannot_be() -> None:
    """Lengths are told up to the longest strip there is, volumes up to that of the largest box."""
    for each, result in nasty():
        told = json.loads(as_json(result), parse_constant=pytest.fail)
        for name in (*told["cut"], *told["finished"]):
            value = {**told["cut"], **told["finished"]}[name]
            assert value is None or abs(value) <= 1e6, (each.told, name)
        for finding in told["findings"]:
            limit = finding["limit"]
            assert limit is None or abs(limit) <= 20_000.0, (each.told, finding)
        assert not re.search(r"\b(inf|nan)\b", findings_text(result)), each.told
    assert len(nasty()) > 1500


def test_every_bag_near_its_limits_comes_back_from_its_file() -> None:
    for each, _ in nasty():
        assert bag_from_json(bag_to_json(each.bag), source="x") == each.bag, each.told


# --- No box is larger than its cloth --------------------------------------------------------------


def sheet_area(result: Result) -> float:
    """Cloth within the stitch lines of panel and zip, mm2: by shapely, from the outlines."""
    outlines = result.draft.outlines
    return sum(
        Polygon(outlines[piece.id].corners).area
        for piece in result.draft.pieces
        if piece.id.owner in ("body", "top")
    )


def test_no_box_has_more_surface_than_its_bag_has_cloth() -> None:
    """A sheet that does not stretch covers no more than its own area.

    The box is open at its top: a bottom and four sides. Where corners match it uses the whole
    sheet, so the bound is reached.
    """
    reached, boxes, uneven = 0, 0, 0
    for each, result in nasty():
        finished = result.finished
        volume = finished["box_volume"]
        if not volume or not all(each.sound for each in result.draft.outlines.values()):
            continue
        base, face = finished["base_width"], finished["face_height"]
        if min(base, face) < 1.0:
            continue
        deep = volume * 1e6 / (base * face)
        surface = base * deep + 2 * (base + deep) * face
        cloth = sheet_area(result)
        assert surface <= cloth * (1 + 1e-6) + 1e-3, each.told
        reached += surface >= cloth * (1 - 1e-6)
        uneven += abs(finished["corner_mismatch"] or 0.0) > 1.0
        boxes += 1
        inside = finished["inside_volume"]
        assert inside is None or inside <= volume + 1e-12, each.told
    assert min(reached, uneven) > 100, (boxes, reached, uneven)


def uneven() -> Bag:
    """The bag of which more was told to go in than it holds."""
    return changed(demo(), corner_cut_width=inch(0.25))


def test_a_bag_with_uneven_corners_tells_the_box_that_it_has_cloth_for() -> None:
    finished = compute(uneven()).finished
    assert finished["gusset_depth"] == pytest.approx(inch(6.75))
    assert finished["gusset_depth_at_side"] == pytest.approx(inch(0.5))
    box = inch(17.25) * inch(0.5) * inch(15) / 1e6
    assert finished["box_volume"] == pytest.approx(box, rel=1e-9)
    assert "Box volume                2.12 L" in figures_text(compute(uneven()))
