"""What is measured down from a top edge is measured from the edge that is there by then.

A hem of h moves the edge down by h: a ruler then reads h less to the same place (plain
geometry). Figures count from the cut edge, as they are defined.
"""

import math

import pytest
from hypothesis import given, settings

from core.bag.bag import Bag, with_figures
from core.bag.choices import CHOICES, with_word
from core.bag.compute import compute
from core.drawing.records import Line, Polygon
from core.drawing.step_pictures import StepPictures
from core.flat.ink import Ink
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.sewing.order import precedence
from core.sewing.steps import Step, steps
from core.storage.bag_files import sample
from tests.strategies import bags

FROM_THE_EDGE = {"handle_stop", "stop_below", "leg_foot", "pocket_drop", "front_length"}
"""Measures that sentences call "below the top edge"."""


def made(bag: Bag, **words: str) -> Bag:
    for name, word in words.items():
        bag = with_word(bag, next(each for each in CHOICES if each.name == name), word)
    return bag


def told(bag: Bag, key: str) -> str:
    step = next(each for each in steps(compute(bag)) if each.operation.key == key)
    check = step.operation.check
    return " ".join((step.text(), check.text() if check else ""))


def edges_gone(bag: Bag, done: list[Step]) -> dict[object, float]:
    """Of each face, how much of its cut top edge lies inside."""
    turned = [pair for step in done for pair in step.operation.turned]
    return {
        run.face: math.fsum(deep for edge, deep in turned if edge == run.edge)
        for run in bag.site.mouth.runs
    }


def from_the_edge(bag: Bag) -> int:
    """How many lengths are told from a top edge; each starts at the one that is there."""
    found, counted = steps(compute(bag)), 0
    for place, step in enumerate(found):
        gone = edges_gone(bag, list(found[:place]))
        for measure in step.operation.drawn:
            if measure.name in FROM_THE_EDGE and measure.where is not None:
                start = measure.where.points[0]
                edges = [
                    seat.point(0.0, seat.top - gone[face])[1]
                    for face, seat in bag.site.seats.items()
                    if seat.piece == measure.where.piece
                ]
                near = min(abs(start[1] - edge) for edge in edges)
                assert near < 1e-6, (step.operation.key, measure.name)
                assert measure.length >= 0.0
                counted += 1
    return counted


HEMMED = {
    "boxed": sample("boxed"),
    "boxed with a pocket": made(sample("boxed"), has_pocket="both"),
    "tote": sample("tote"),
    "demo, its lining laid in last": made(sample("demo"), top="hem"),
    "lunch, layers basted at once": made(sample("lunch"), top="hem"),
    "boxed, its board fused on": made(sample("boxed"), has_board="board", board="fused"),
    "boxed, with a board and no handles": made(
        sample("boxed"), has_board="board", board="fused", handle_style="none"
    ),
}


@pytest.mark.parametrize("name", HEMMED)
def test_a_hemmed_bag_is_measured_from_the_edge_that_is_there(name: str) -> None:
    assert from_the_edge(HEMMED[name]) > 0


@settings(max_examples=40)
@given(bag=bags())
def test_any_bag_is_measured_from_the_edge_that_is_there(bag: Bag) -> None:
    from_the_edge(bag)


def test_after_a_hem_of_3_cm_stop_and_foot_are_told_3_cm_less() -> None:
    """Cut 9 cm and 24 cm below the edge: 6 and 21 below the hem."""
    laid = told(sample("boxed"), "lay on handles")
    assert "each end 210 mm below the top edge" in laid
    assert "the stop, 60 mm below the top edge" in laid
    assert "the stops, 30 mm below each top edge" in told(sample("tote"), "lay on handles")


def test_below_a_top_strip_all_is_measured_from_the_end_of_the_wrap() -> None:
    """Its top edges are those of the end panels, higher up the bag."""
    every = [
        told(made(sample("wrap"), handle_style=style, has_pocket="both"), key)
        for style in ("loop", "two separate")
        for key in ("lay on handles", "lay on front pocket")
    ]
    assert all("wrap's end" in each or "end of the wrap" in each for each in every)
    assert not [each for each in every if "below the top edge" in each or "each top edge" in each]


def test_a_lining_that_is_laid_in_last_is_hemmed_after_the_handles() -> None:
    """So that they are measured from the cut edge."""
    bag = HEMMED["demo, its lining laid in last"]
    stop = Handles.of(bag.parts).stop
    assert f"the stops, {stop:.0f} mm below each top edge" in told(bag, "lay on handles")


def test_a_pocket_is_laid_on_before_the_hem_takes_its_edge_away() -> None:
    bag = HEMMED["boxed with a pocket"]
    keys = [step.operation.key for step in steps(compute(bag))]
    assert keys.index("topstitch front pocket lower edge") < keys.index("hem top")
    drop = Pocket.of(bag.parts).drop
    assert f"The upper edge is {drop:.0f} mm below the top edge" in told(bag, "lay on front pocket")


@pytest.mark.parametrize("name", ["tote", "boxed"])
def test_a_zip_takes_the_edge_away_after_all_that_is_measured_from_it(name: str) -> None:
    bag = made(sample(name), top="zip-forward", has_pocket="both", has_board="board", board="fused")
    keys = [step.operation.key for step in steps(compute(bag))]
    laid = [each for each in keys if each.startswith("lay on")]
    assert len(laid) == 4
    assert all(keys.index(each) < keys.index("join zip front") for each in laid)


def test_a_board_that_is_fused_on_after_the_hem_is_measured_from_it() -> None:
    bag = HEMMED["boxed, its board fused on"]
    far = bag.site.front.top - bag.site.front.top_allowance
    assert f"{far:.0f} mm below the front's top edge" in told(bag, "lay on base board")
    every = [step.operation for step in steps(compute(bag))]
    assert "hem top" in precedence(every)["lay on base board"]


def test_a_stop_that_is_turned_in_is_told_without_a_length() -> None:
    for style in ("loop", "two separate"):
        bag = made(sample("boxed"), handle_style=style)
        laid = told(with_figures(bag, {"handle_stop": 20.0}), "lay on handles")
        assert "turned in with" in laid
        assert "the stop, " not in laid


def test_the_drawing_shows_the_edge_that_is_there() -> None:
    """Its wall ends where the dimension starts, so many mm above the stop in its own scale."""
    result = compute(sample("boxed"))
    found = steps(result)
    step = next(each for each in found if each.operation.key == "lay on handles")
    records = StepPictures(result, found).picture(step.number).records
    wall = next(each for each in records if each.ink is Ink.GOODS)
    leg = next(each for each in records if each.ink is Ink.NEW_AREA)
    assert isinstance(wall, Polygon)
    assert isinstance(leg, Polygon)
    across = max(x for x, _ in wall.points) - min(x for x, _ in wall.points)
    scale = across / result.bag.site.front.width
    top, stop = max(y for _, y in wall.points), max(y for _, y in leg.points)
    high = top - min(y for _, y in wall.points)
    assert high == pytest.approx(scale * (2 * result.bag.site.front.top - 2 * 30.0))
    assert top - stop == pytest.approx(scale * 60.0)
    uprights = [
        sorted(y for _, y in each.points)
        for each in records
        if isinstance(each, Line)
        and each.ink is Ink.DIMENSION
        and each.points[0][0] == each.points[-1][0]
    ]
    assert any(pair == pytest.approx([stop, top]) for pair in uprights)
