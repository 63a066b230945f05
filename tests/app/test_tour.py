"""The first-steps tour: each step waits for what it asks for, with any bag and in any unit."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from app.help.tour import TOUR_STEPS, WANTED, TourTarget, changed_figure
from app.help.tour_guide import TourGuide
from core.bag.bag import Bag, cut_value
from core.bag.choices import with_choice
from core.base.units import Unit
from core.storage.bag_files import demo_bag, sample
from tests.app.hands import Hands
from tests.helpers import bare

CHANGED = "corner_cut_depth"
"""The figure that is offered where corners are cut out."""


def start(hands: Hands, bag: Bag, unit: Unit) -> TourGuide:
    window = hands.window
    window.document.open(bag)
    window.display.set_unit(unit)
    window.commands["start_tour"].trigger()
    guide = window.help.guide
    assert guide is not None
    return guide


def more(hands: Hands, value: float | None, by: float) -> str:
    assert value is not None
    return hands.window.display.typed(value + by)


def take(hands: Hands, guide: TourGuide, qtbot: QtBot, tmp_path: Path) -> None:
    """Do what the present step asks for, as a maker would, by keys where there are any."""
    window, step = hands.window, guide.tour.step
    match step.target:
        case TourTarget.SLIDER:
            qtbot.keyClick(window.fold.slider, Qt.Key.Key_Left)
        case TourTarget.CHANGED:
            changed = changed_figure(window.document.bag)
            assert window.measures.cut_rows[changed].row.isVisible()
            hands.type(changed, more(hands, cut_value(window.document.bag, changed), 12.7))
        case TourTarget.FLAT:
            window.flat.setFocus()
            qtbot.keyClick(window.flat, Qt.Key.Key_PageDown)
        case TourTarget.FINDINGS:
            assert window.findings.fix_worst()
        case TourTarget.PIN:
            hands.press_pin("base_width")
        case TourTarget.WANTED:
            hands.type(WANTED, more(hands, hands.finished[WANTED], 25.4))
        case TourTarget.TABS:
            window.commands["sewing_order"].trigger()
        case TourTarget.PRINT:
            window.dialogs.pattern_saved.emit(tmp_path / "pattern.pdf")


@pytest.mark.parametrize(
    ("bag", "unit"),
    [
        (demo_bag, Unit.INCH),
        (lambda: sample("tote"), Unit.MM),
        (lambda: bare(demo_bag().body), Unit.CM),
        (lambda: with_choice(sample("boxed"), "tips", "left-in"), Unit.CM),
    ],
    ids=["demo", "tote in mm", "no zip, no parts, in cm", "corners sewn across"],
)
def test_every_step_waits_until_it_is_done_and_knows_when(
    hands: Hands, qtbot: QtBot, tmp_path: Path, bag: Callable[[], Bag], unit: Unit
) -> None:
    guide = start(hands, bag(), unit)
    shown = unit.label
    told = []
    for place, step in enumerate(TOUR_STEPS):
        assert guide.tour.place == place
        before = hands.window.document.bag
        assert not guide.tour.done
        assert guide.bar.go_on.text() == ("Finish" if place + 1 == len(TOUR_STEPS) else "Skip")
        guide.go_to_place()
        assert guide.frame.isVisible()
        told.append(guide.tour.words)
        assert hands.window.document.bag == before
        take(hands, guide, qtbot, tmp_path)
        assert guide.tour.done, step.title
        assert "Done" in guide.bar.told.text()
        guide.bar.go_on.click()
    assert hands.window.help.guide is None
    assert f" {shown}, and press" in told[1].replace("\xa0", " ")
    assert all("{" not in words and "[[" not in words for words in told)


def test_what_was_not_asked_for_is_not_the_step(hands: Hands, qtbot: QtBot) -> None:
    guide = start(hands, demo_bag(), Unit.INCH)
    hands.type(CHANGED, "3 1/2")
    assert not guide.tour.done
    guide.tour.go_on()
    assert guide.tour.step.target is TourTarget.CHANGED
    assert not guide.tour.done  # what was changed before the step began does not count
    hands.press_pin("base_width")
    assert not guide.tour.done
    hands.undo()
    hands.undo()
    assert guide.tour.done  # it is another size again, whoever made it so


def test_another_bag_is_no_change_of_the_one_before(hands: Hands) -> None:
    guide = start(hands, demo_bag(), Unit.INCH)
    guide.tour.go_on()
    hands.window.document.open(sample("lunch"))
    assert not guide.tour.done
    hands.type(CHANGED, "+1/4")
    assert guide.tour.done


def test_where_nothing_is_wrong_there_is_nothing_to_fix(hands: Hands) -> None:
    guide = start(hands, sample("tote"), Unit.INCH)
    while guide.tour.step.target is not TourTarget.FINDINGS:
        guide.tour.go_on()
    assert hands.window.document.result.findings == ()
    assert "offers a fix, so there is nothing to do" in guide.tour.words
    assert guide.tour.done


def test_a_finding_is_fixed_when_it_is_gone(hands: Hands) -> None:
    guide = start(hands, demo_bag(), Unit.INCH)
    hands.type(CHANGED, "3 1/2")
    while guide.tour.step.target is not TourTarget.FINDINGS:
        guide.tour.go_on()
    hands.type("panel_width", "19")
    assert not guide.tour.done
    assert hands.window.findings.fix_worst()
    assert guide.tour.done


def test_it_can_be_left_at_any_time_and_leaves_nothing_behind(hands: Hands, qtbot: QtBot) -> None:
    window = hands.window
    steps, top = window.document.undo_stack.count(), window.flat.mapTo(window, QPoint(0, 0))
    guide = start(hands, demo_bag(), Unit.INCH)
    window.grab()
    frame, place = guide.frame, guide.bar.y()
    qtbot.waitUntil(frame.isVisible)
    assert guide.bar.show_place.hasFocus()
    qtbot.keyClick(guide.bar.leave, Qt.Key.Key_Space)
    assert window.help.guide is None
    qtbot.waitUntil(lambda: window.findChild(TourGuide) is None)
    assert window.document.undo_stack.count() == steps
    assert window.document.saved
    qtbot.waitUntil(lambda: window.flat.mapTo(window, QPoint(0, 0)) == top)
    window.commands["start_tour"].trigger()
    again = window.help.guide
    assert again is not None
    window.grab()
    assert again.bar.y() == place


def test_it_is_offered_once_and_out_of_the_way(hands: Hands, qtbot: QtBot) -> None:
    window = hands.window
    window.help.offer_tour()
    window.help.offer_tour()
    offers = [each for each in window.statusBar().findChildren(QPushButton) if each.isVisible()]
    assert [each.text() for each in offers] == ["New here? Take the first-steps tour"]
    assert window.settings.tour_offered
    qtbot.mouseClick(offers[0], Qt.MouseButton.LeftButton)
    assert window.help.guide is not None
    window.help.offer_tour()
    assert [each for each in window.statusBar().findChildren(QPushButton) if each.isVisible()] == []
