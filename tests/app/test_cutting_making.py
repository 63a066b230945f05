"""How many bags are made and how they are cut: typed, kept, undone, refused."""

import csv
import io
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.bag.making import Cutting, Making
from core.base.units import Unit, unbroken
from core.cutting.plan import PlanOptions
from core.storage.bag_files import demo_bag
from core.storage.project import Project
from tests.app.cutting_bench import PATIENT, Bench
from tests.helpers import inch


def test_options_are_typed_and_lead_to_another_plan(cutting: Bench, qtbot: QtBot) -> None:
    cutting.open()
    controls = cutting.tab.controls
    controls.bags.setFocus()
    controls.bags.selectAll()
    qtbot.keyClicks(controls.bags, "3")
    qtbot.keyClick(controls.bags, Qt.Key.Key_Return)
    controls.gap.setFocus()
    controls.gap.selectAll()
    qtbot.keyClicks(controls.gap, "1/4")
    qtbot.keyClick(controls.gap, Qt.Key.Key_Return)
    controls.cutting.setCurrentIndex(controls.cutting.findData(Cutting.ROWS))
    controls.folded.click()
    controls.mixed_grain.click()
    making = Making(bags=3, gap=inch(0.25), cutting=Cutting.ROWS, folded=True, mixed_grain=True)
    assert cutting.document.project.making == making
    cutting.wait()
    plan = cutting.tab.plan
    assert plan is not None
    assert plan.options == PlanOptions.of(making)
    assert plan.goods[0].folded_length > 0.0


def test_every_option_is_a_step_and_undo_shows_what_was(cutting: Bench) -> None:
    cutting.open()
    controls, stack = cutting.tab.controls, cutting.document.undo_stack
    controls.bags.value_edited.emit(12.0)
    controls.gap.value_edited.emit(5.0)
    controls.cutting.setCurrentIndex(controls.cutting.findData(Cutting.ROWS))
    controls.folded.click()
    controls.mixed_grain.click()
    steps = [stack.text(place) for place in range(stack.count())]
    assert steps == [
        "Number of bags",
        "Gap between pieces",
        "Way of cutting",
        "Cut on the fold",
        "Mixed grain",
    ]
    assert not cutting.document.saved
    for _ in steps:
        stack.undo()
    assert cutting.document.project.making == Making()
    assert (controls.bags.value, controls.gap.value) == (1, 0.0)
    assert controls.cutting.currentData() is Cutting.FREE
    assert not controls.folded.isChecked()
    assert not controls.mixed_grain.isChecked()
    assert stack.count() == len(steps), "showing it again is no step"


def test_the_wheel_turned_over_the_number_of_bags_is_one_step(cutting: Bench) -> None:
    cutting.open()
    for _ in range(5):
        cutting.tab.controls.bags.stepUp()
    assert cutting.document.project.making.bags == 6
    assert cutting.document.undo_stack.count() == 1


def test_what_a_change_of_bags_or_gap_comes_to_is_told(cutting: Bench, qtbot: QtBot) -> None:
    cutting.open()
    told: list[str] = []
    cutting.session.said.connect(told.append)
    for box, text in ((cutting.tab.controls.bags, "+2"), (cutting.tab.controls.gap, "+1/4")):
        box.setFocus()
        box.selectAll()
        qtbot.keyClicks(box, text)
        qtbot.keyClick(box, Qt.Key.Key_Return)
    assert told == ["Bags: 1 + 2 = 3", "Gap: 0 in + 1/4 in = 1/4 in"]
    making = cutting.document.project.making
    assert (making.bags, making.gap) == (3, 6.35)


def test_a_file_opens_with_the_making_that_it_keeps(cutting: Bench) -> None:
    cutting.open()
    making = Making(bags=4, gap=3.0, cutting=Cutting.ROWS, folded=True)
    cutting.document.open(Project(bag=demo_bag(), making=making))
    controls = cutting.tab.controls
    assert (controls.bags.value, controls.gap.value) == (4, 3.0)
    assert controls.cutting.currentData() is Cutting.ROWS
    assert controls.folded.isChecked()
    assert cutting.document.undo_stack.count() == 0
    cutting.wait()
    assert cutting.tab.plan is not None
    assert cutting.tab.plan.options.bags == 4


def test_scrolling_past_changes_nothing(cutting: Bench) -> None:
    cutting.open()
    cutting.tab.controls.bags.setFocus()
    for box in (cutting.tab.controls.cutting, cutting.tab.goods):
        before = box.currentIndex()
        middle = QPointF(box.rect().center())
        wheel = QWheelEvent(
            middle,
            QPointF(box.mapToGlobal(middle.toPoint())),
            QPoint(),
            QPoint(0, -120),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(box, wheel)
        assert box.currentIndex() == before
    assert cutting.document.undo_stack.count() == 0


def test_an_export_that_is_clicked_while_bags_are_typed_is_of_so_many(
    cutting: Bench, qtbot: QtBot, tmp_path: Path
) -> None:
    cutting.open()
    cutting.asked.path = tmp_path / "cuts.csv"
    box = cutting.tab.controls.bags
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "3")
    qtbot.mouseClick(cutting.tab.csv, Qt.MouseButton.LeftButton)
    cutting.tab.csv.setFocus()  # as the press does in a window in front
    qtbot.waitUntil(cutting.asked.path.exists, timeout=PATIENT)
    rows = list(csv.DictReader(io.StringIO(cutting.asked.path.read_text(encoding="utf-8"))))
    assert {row["total"] for row in rows if row["item"] == "panel"} == {"3"}


def test_what_is_refused_is_told_in_the_unit_shown_and_goes_with_its_bag(
    cutting: Bench, qtbot: QtBot
) -> None:
    cutting.open()
    gap = cutting.tab.controls.gap
    gap.setFocus()
    gap.selectAll()
    qtbot.keyClicks(gap, "250 mm")
    qtbot.keyClick(gap, Qt.Key.Key_Return)
    assert cutting.tab.problem.text().startswith(unbroken("Gap is ≈ 9 7/8 in"))
    cutting.display.set_unit(Unit.MM)
    told = "Gap is 250 mm: it must be from 0 to 200 mm."
    assert cutting.tab.problem.text() == unbroken(told)
    cutting.document.open(demo_bag())
    assert (gap.text(), cutting.tab.problem.text()) == ("0 mm", "")


@pytest.mark.parametrize(
    ("text", "told"),
    [("0", "Number of bags is 0"), ("1001", "1 to 1000"), ("-9", "is −8: it must")],
)
def test_an_impossible_number_of_bags_is_told_and_not_taken(
    cutting: Bench, qtbot: QtBot, text: str, told: str
) -> None:
    cutting.open()
    box = cutting.tab.controls.bags
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, text)
    qtbot.keyClick(box, Qt.Key.Key_Return)
    assert told in cutting.tab.problem.text()
    assert cutting.tab.problem.isVisible()
    assert cutting.document.project.making.bags == 1
    qtbot.keyClick(box, Qt.Key.Key_Escape)
    assert not cutting.tab.problem.isVisible()


def test_a_gap_too_wide_is_told_in_the_shown_unit(cutting: Bench) -> None:
    cutting.open()
    cutting.tab.controls.gap.value_edited.emit(250.0)
    told = "Gap is ≈ 9 7/8 in: it must be from 0 to ≈ 7 7/8 in."
    assert cutting.tab.problem.text() == unbroken(told)
