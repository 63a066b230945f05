"""Steps of bags with a strip round two panels, as they are drawn: lengths, labels, what is shown.

The order is as in the booklet. What is wanted of any step's drawing (`test_step_measures.py`) is
wanted of these; source of the rest: what the step's own words name.
"""

import math
from collections.abc import Iterable

import pytest

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.units import Unit, format_length
from core.drawing.lettering import with_fractions
from core.drawing.records import DrawingRecord, Line, Polygon, Text
from core.drawing.sketch import Picture
from core.drawing.step_pictures import StepPictures
from core.flat.ink import Ink
from core.flat.roles import Face
from core.sewing.steps import Step, steps
from core.tops.hem.hem import Hem
from core.tops.top import Top
from tests.core.bodies.strip_bags import KINDS, e2, matched, open_bag
from tests.core.drawing.test_step_measures import (
    NOT_DRAWN,
    assert_labels_stand_free,
    drawn_texts,
    told_lengths,
)
from tests.core.sewing.strip_bags import (
    BOARD,
    HANDLES,
    POCKET,
    TOP_STRIP,
    WALL,
    every_bag,
    strip_bag,
)

BAGS = every_bag()[::5]


def drawn(bag: Bag, unit: Unit = Unit.MM) -> Iterable[tuple[Step, Picture]]:
    """Every step with its picture."""
    result = compute(bag)
    found = steps(result)
    pictures = StepPictures(result, found, show=lambda mm: format_length(mm, unit=unit))
    return [(step, pictures.picture(step.number)) for step in found]


def name(bag: Bag) -> str:
    return f"{bag.body.KIND} {bag.top.KIND} {bag.body.strip_pieces}"  # type: ignore[attr-defined]


@pytest.mark.parametrize("bag", BAGS, ids=name)
def test_every_length_stands_in_its_drawing_and_every_label_stands_free(bag: Bag) -> None:
    for unit in (Unit.MM, Unit.INCH):
        for step, picture in drawn(bag, unit):
            operation = step.operation

            def show(length: float, unit: Unit = unit) -> str:
                return format_length(length, unit=unit)

            hidden = {
                with_fractions(show(each.length))
                for each in operation.measures
                if each.place in NOT_DRAWN
            }
            told = told_lengths(operation, show)
            if operation.allowance is not None:
                told.add(show(operation.allowance).replace("\u00a0", " "))
            missing = {with_fractions(each) for each in told} - drawn_texts(picture) - hidden
            assert not missing, (operation.key, missing)
            assert_labels_stand_free(picture, operation.key)


def bag_of(kind: type, top: Top) -> Bag:
    body = matched(e2(kind) if top.CLOSES_RING else open_bag(kind, strip_pieces=2))
    return strip_bag(body, top, POCKET, HANDLES, BOARD, sandwich=WALL)


def goods(records: Iterable[DrawingRecord]) -> int:
    """How many pieces of the wall are drawn."""
    return sum(isinstance(each, Polygon) and each.ink is Ink.GOODS for each in records)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("top", [TOP_STRIP, Hem()], ids=["closed", "open"])
def test_a_step_shows_the_pieces_that_it_handles(kind: type, top: Top) -> None:
    """A pocket is laid on one of them; a step at a corner shows the strip alone."""
    by_key = {step.operation.key: picture for step, picture in drawn(bag_of(kind, top))}
    for key in ("lay on front pocket", "lay on handles", "topstitch handle stops"):
        assert goods(by_key[key].records) == 1, key
    for key in ("mark strip", "staystitch strip", "cut clips"):
        texts = {each.text for each in by_key[key].records if isinstance(each, Text)}
        assert not texts & {str(face.value) for face in Face}, key


@pytest.mark.parametrize("kind", KINDS)
def test_marks_of_the_strip_are_new_as_they_are_made(kind: type) -> None:
    """The middle and both ends of each of four arcs, or joints opposite, at two edges."""
    bag = bag_of(kind, TOP_STRIP)
    by_key = {step.operation.key: picture for step, picture in drawn(bag)}
    for key, least in (("mark strip", 6), ("mark top strip", 5)):
        new = [
            each for each in by_key[key].records if isinstance(each, Line) and each.ink is Ink.NEW
        ]
        assert len(new) >= least, key
        # What was drawn before, such as a pocket's outline, is no new line.
        assert max(math.dist(*each.points) for each in new) < 3.0, key
    assert not [
        each
        for each in by_key["mark strip"].records
        if isinstance(each, Polygon) and each.ink is Ink.NEW_AREA
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_a_panel_that_is_sewn_in_is_lit_all_round(kind: type) -> None:
    """Its seam is new in the drawing: chains of it on the panel and on the strip."""
    for top in (TOP_STRIP, Hem()):
        for step, picture in drawn(bag_of(kind, top)):
            if step.operation.key.startswith("join gusset seam"):
                lit = [
                    each
                    for each in picture.records
                    if isinstance(each, Line) and each.ink is Ink.NEW
                ]
                assert len(lit) >= 3, (step.operation.key, top.KIND)
