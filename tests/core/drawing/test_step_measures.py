"""Every length that a step tells stands in its drawing, and every label stands free."""

import re
from dataclasses import replace
from itertools import combinations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.choices import with_choice
from core.bag.compute import compute
from core.bag.parts import Parts
from core.base.sentences import Sentence, say
from core.base.units import Unit, format_length
from core.drawing.dimension_lines import SMALL, Pointer, Span, dimension_records
from core.drawing.lettering import with_fractions
from core.drawing.records import DrawingRecord, Line, Polygon, Text, text_box
from core.drawing.sketch import Picture, record_bounds
from core.drawing.step_pictures import StepPictures
from core.flat.ink import Ink
from core.parts.board.board import BoardWay
from core.sewing.steps import Step, steps
from core.storage.bag_files import demo_bag, sample
from core.work.operation import Action, MeasurePlace, Operation
from tests.core.tops.test_top_strip import four
from tests.helpers import having
from tests.strategies import bags

AREAS = (
    *(Ink.GOODS, Ink.SHADE, Ink.INSIDE),
    *(Ink.PART, Ink.NEW_AREA),
)
NOT_DRAWN = {MeasurePlace.DERIVED, MeasurePlace.WITHOUT_CHANGE}
"""Kinds of lengths without a place in a drawing; stitch lengths and thicknesses, which are always
mm, are words of a sentence and no lengths of it, and temperatures are named."""
LENGTH = re.compile(r"[~≈]?\s?-?[\d][\d./ ]*\s?(?:in|mm|cm)\b")


def told_lengths(operation: Operation, show: object) -> set[str]:
    """Lengths read out of what the step says, stitch lengths and thicknesses aside."""
    found: set[str] = set()
    for sentence in operation.sentences:
        if sentence is operation.without_change:
            continue
        bare = replace(sentence, words=dict.fromkeys(sentence.words, "…"))
        text = bare.text(show).replace("\u00a0", " ")  # type: ignore[arg-type]
        found |= {each.strip() for each in LENGTH.findall(text)}
    return found


def drawn_texts(picture: Picture) -> set[str]:
    return {each.text for each in picture.records if isinstance(each, Text)}


def boards_fused(bag: Bag) -> Bag:
    assert bag.parts.get("board") is not None
    return having(bag, board=replace(bag.parts["board"], way=BoardWay.FUSED))


def unwashed_bag() -> Bag:
    """The tote whose outer goods is washed first and shrinks across."""
    bag = sample("tote")
    outer, *others = bag.sandwich.layers
    washed = replace(outer, shrink_width=0.05, shrink_length=0.05, wash_first=True)
    return replace(bag, sandwich=replace(bag.sandwich, layers=(washed, *others)))


BAGS = {
    "demo": demo_bag(),
    "lunch": sample("lunch"),
    "tote": sample("tote"),
    "board fused": boards_fused(demo_bag()),
    "coolbox": sample("coolbox"),
    "wrap": sample("wrap"),
    "jar": sample("jar"),
    "coolbox with a board fused": boards_fused(sample("coolbox")),
    "lid": four(shift=10.0),
    "wrap faced": with_choice(sample("wrap"), "top", "facing"),
    "tote faced": with_choice(sample("tote"), "top", "facing"),
    "tote rolled": with_choice(sample("tote"), "top", "roll-top"),
}


@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
@pytest.mark.parametrize("name", BAGS)
def test_every_length_that_a_step_tells_stands_in_its_drawing(name: str, unit: Unit) -> None:
    result = compute(BAGS[name])
    found = steps(result)

    def show(length: float) -> str:
        return format_length(length, unit=unit)

    diagrams = StepPictures(result, found, show=show)
    counted = 0
    for step in found:
        operation = step.operation
        drawn = drawn_texts(diagrams.picture(step.number))
        hidden = {
            with_fractions(show(each.length))
            for each in operation.measures
            if each.place in NOT_DRAWN
        }
        told = told_lengths(operation, show)
        if operation.allowance is not None:
            told.add(show(operation.allowance).replace("\u00a0", " "))
        missing = {with_fractions(each) for each in told} - drawn - hidden
        assert not missing, (step.number, operation.key, missing, drawn)
        counted += len(told)
    assert counted > 40


def test_a_length_that_is_no_measure_cannot_be_told() -> None:
    """A drawing would lack it."""
    told = say("Sew {seam} from the edge.", seam=10.0)
    with pytest.raises(ValueError, match="seam is told"):
        Operation(key="k", action=Action.PRESS, title=Sentence("t"), instructions=(told,))


# --- Labels ---------------------------------------------------------------------------------------


def assert_labels_stand_free(picture: Picture, key: str) -> None:
    """No label on another, none of a length on the drawing, all within the picture."""
    texts = [each for each in picture.records if isinstance(each, Text)]
    boxes = [shapely.box(*text_box(each)) for each in texts]
    for (one, a), (other, b) in combinations(zip(texts, boxes, strict=True), 2):
        assert a.intersection(b).area < 1e-6, (key, one.text, other.text)
    page = shapely.box(0.0, 0.0, picture.width, picture.height).buffer(1e-6)
    areas = shapely.union_all(
        [
            shapely.Polygon(each.points).buffer(0)
            for each in picture.records
            if isinstance(each, Polygon) and each.ink in AREAS
        ]
    )
    for text, box in zip(texts, boxes, strict=True):
        assert page.covers(box), (key, text.text)
        assert text.height >= SMALL
        if text.ink is Ink.DIMENSION:
            assert box.intersection(areas).area < 1e-6, (key, text.text)


@pytest.mark.parametrize("name", BAGS)
def test_labels_of_the_samples_stand_free(name: str) -> None:
    result = compute(BAGS[name])
    found = steps(result)
    diagrams = StepPictures(result, found)
    labels = 0
    for step in found:
        picture = diagrams.picture(step.number)
        assert_labels_stand_free(picture, step.operation.key)
        labels += sum(isinstance(each, Text) for each in picture.records)
    assert labels > 40


@settings(max_examples=15)
@given(bag=bags())
def test_whatever_the_bag_its_drawings_fit_and_their_labels_stand_free(bag: Bag) -> None:
    result = compute(bag)
    found = steps(result)
    diagrams = StepPictures(result, found)
    for step in found:
        picture, key = diagrams.picture(step.number), step.operation.key
        assert_labels_stand_free(picture, key)
        # A4 has 178 mm between its margins.
        assert 0.0 < picture.width < 160.0, key
        assert 0.0 < picture.height < 120.0, key
        left, bottom, right, top = record_bounds(picture.records)
        assert min(left, bottom) >= 0.0
        assert right <= picture.width + 1e-6
        assert top <= picture.height + 1e-6


def test_a_stop_that_lies_within_the_turned_hem_is_drawn_on_the_whole_wall() -> None:
    """Nothing of the wall is seen near it by then: a close view would be of nothing."""
    tote = sample("tote")
    body = replace(tote.body, width=55.5625, length=82.55, corner_width=0.0, corner_depth=0.0)
    body = replace(body, side_seam=0.0, corner_seam=0.0, top_seam=14.2875, bottom_seam=1.5875)
    handles = replace(
        tote.parts["handles"],
        width=4.7625,
        gap=0.0,
        stop=0.0,
        strips=1,
        last_strip=None,
        leg=1.5875,
    )
    found = compute(replace(tote, body=body, parts=Parts((handles,))))
    assert "handle-stop-in-hem" in {each.code for each in found.findings}
    told = steps(found)
    (stops,) = (each for each in told if each.operation.key == "topstitch handle stops")
    picture = StepPictures(found, told).picture(stops.number)
    goods = [e for e in picture.records if isinstance(e, Polygon) and e.ink is Ink.GOODS]
    left, bottom, right, top = record_bounds(goods)
    assert len(goods) == 2, "front and back, sewn together"
    # Front and back from the seam between them, 82.55 / 2 - 1.5875 each, less their hems.
    high = 2 * (39.6875 - 14.2875)
    assert (top - bottom) / (right - left) == pytest.approx(high / 55.5625, rel=0.01)


COORDINATE = st.integers(0, 60).map(float)
POINTS = st.tuples(COORDINATE, COORDINATE)
WORDS = st.sampled_from(["3 in", "18 ½ in", "~1046.25 mm"])


@st.composite
def spans(draw: st.DrawFn) -> Span:
    x, y = draw(POINTS)
    u, v = draw(st.sampled_from([(1.0, 0.0), (0.0, 1.0), (0.6, 0.8)]))
    length = draw(st.sampled_from([0.0, 0.3, 5.0, 30.0]))
    return Span((x, y), (x + length * u, y + length * v), draw(WORDS))


@given(
    several=st.lists(spans(), max_size=14),
    pointers=st.lists(st.builds(Pointer, at=POINTS, text=WORDS), max_size=6),
)
def test_dimensions_never_meet(several: list[Span], pointers: list[Pointer]) -> None:
    body = (0.0, 0.0, 60.0, 60.0)
    records = dimension_records(body, several, pointers)
    texts = [each for each in records if isinstance(each, Text)]
    assert sorted(each.text for each in texts) == sorted(
        [each.text for each in dict.fromkeys(several)]
        + [each.text for each in dict.fromkeys(pointers)]
    )
    boxes = [shapely.box(*text_box(each)) for each in texts]
    inside = shapely.box(*body)
    for one, other in combinations(boxes, 2):
        assert one.intersection(other).area < 1e-9
    for box in boxes:
        assert box.intersection(inside).area < 1e-9


def test_a_dimension_is_as_long_as_what_it_measures() -> None:
    """Its line runs between its two ticks, whose places are those of the points measured."""
    span = Span((10.0, 20.0), (34.0, 20.0), "24 mm")
    records = dimension_records((0.0, 20.0, 60.0, 60.0), [span])
    lines = [each.points for each in records if isinstance(each, Line)]
    (level,) = [each for each in lines if each[0][1] == each[1][1]]
    assert sorted(x for x, _ in level) == [10.0, 34.0]
    assert level[0][1] < 20.0
    uprights = {x for (x, _), (u, _) in lines if x == u}
    assert uprights == {10.0, 34.0}


def step_named(bag: Bag, key: str) -> tuple[Step, Picture]:
    result = compute(bag)
    found = steps(result)
    step = next(each for each in found if each.operation.key == key)
    return step, StepPictures(result, found).picture(step.number)


def test_the_pockets_drop_is_drawn_where_the_pocket_is_laid() -> None:
    """From the panel's top edge down to the new pocket's upper edge, in the picture's scale."""
    _, picture = step_named(demo_bag(), "lay on front pocket")
    wall = next(each for each in picture.records if each.ink is Ink.GOODS)
    pocket = next(each for each in picture.records if each.ink is Ink.NEW_AREA)
    assert isinstance(wall, Polygon)
    assert isinstance(pocket, Polygon)
    top, upper = max(y for _, y in wall.points), max(y for _, y in pocket.points)
    ends = [
        sorted(y for _, y in each.points)
        for each in picture.records
        if is_upright(each) and each.ink is Ink.DIMENSION
    ]
    assert any(pair == pytest.approx([upper, top]) for pair in ends)


def is_upright(record: DrawingRecord) -> bool:
    return isinstance(record, Line) and record.points[0][0] == record.points[-1][0]
