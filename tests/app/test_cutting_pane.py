"""The cutting plan's tab, with the real worker process: plan, drawing, table, exports."""

import csv
import io
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pdfplumber
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtWidgets import QScrollArea
from pytestqt.qtbot import QtBot

from app.dialogs.layers.dialog import LayersDialog
from core.bag.making import Making
from core.base.units import Unit, unbroken
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.drawing.records import Anchor, Text
from core.flat.piece import GrainTurn
from core.storage.bag_files import demo_bag
from core.storage.project import Project
from tests.app.cutting_bench import PATIENT, Bench, processes
from tests.app.hands import Hands
from tests.helpers import inch


def test_nothing_is_worked_out_before_the_tab_is_looked_at(cutting: Bench) -> None:
    cutting.widen(inch(18))
    assert cutting.pane._tab is None


def test_the_worker_comes_to_the_plan_of_the_same_search_made_here(cutting: Bench) -> None:
    cutting.open()
    plan, here = cutting.tab.plan, best_plan(cutting.document.result, PlanOptions())
    assert plan is not None
    assert [each.length_to_buy for each in plan.goods] == [
        each.length_to_buy for each in here.goods
    ]
    assert [each.laid for each in plan.goods] == [each.laid for each in here.goods]
    rows = cutting.tab.table.rows
    assert rows[0].cells[0] == "outer fabric"
    assert rows[0].cells[1].endswith("\u00a0yd")
    assert rows[-1].cells[3] == f"{plan.cost:.2f}"
    assert "Largest piece left over" in cutting.tab.facts.text()
    assert "oz" in cutting.tab.weight.text()


def test_a_plan_of_older_numbers_is_greyed_and_said_to_be_one(cutting: Bench) -> None:
    cutting.open()
    body = cutting.tab
    older = body.watch.plan
    cutting.widen(inch(17))
    assert body.watch.plan is older
    assert body.view.is_older
    assert "before the last change" in body.view.note
    assert body.plan is None
    assert body.facts.isHidden(), "what it says is no longer so"
    cutting.wait()
    assert not body.view.is_older
    assert body.view.note == ""
    assert body.plan is not None
    assert body.plan.result is cutting.document.result


def test_undo_has_its_plan_without_another_search(cutting: Bench, qtbot: QtBot) -> None:
    cutting.open()
    cutting.widen(inch(17))
    cutting.wait()
    cutting.document.undo_stack.undo()
    cutting.tab.ask_now()
    assert cutting.tab.is_current
    assert not cutting.tab.watch.busy


def test_another_price_is_reckoned_without_another_search(cutting: Bench) -> None:
    cutting.open()
    bag = cutting.document.bag
    first, *others = bag.sandwich.layers
    dearer = (replace(first, price_per_length=first.price_per_length + 0.01), *others)
    cutting.document.replace_bag(
        replace(bag, sandwich=replace(bag.sandwich, layers=dearer)), "Price"
    )
    before = cutting.tab.watch.plan
    cutting.tab.ask_now()
    assert not cutting.tab.watch.busy
    assert cutting.tab.plan is not None
    assert before is not None
    more = cutting.tab.plan.goods[0].length_to_buy * 0.01
    assert cutting.tab.plan.cost == pytest.approx(before.cost + more)


def test_no_work_is_done_behind_a_hidden_tab(cutting: Bench, qtbot: QtBot) -> None:
    cutting.open()
    cutting.pane.hide()
    cutting.widen(inch(17))
    qtbot.wait(400)
    assert not cutting.tab.watch.busy
    assert not cutting.tab.is_current
    cutting.open()
    assert cutting.tab.plan is not None


def test_a_piece_too_wide_is_told_with_what_would_help(cutting: Bench) -> None:
    bag = cutting.document.bag
    first, *others = bag.sandwich.layers
    narrow = replace(first, usable_width=inch(12), turn=GrainTurn.HALF)
    cutting.document.replace_bag(
        replace(bag, sandwich=replace(bag.sandwich, layers=(narrow, *others))), "Narrow"
    )
    cutting.open()
    assert cutting.tab.lacking.isVisible()
    short, whole = cutting.tab.lacking.text(), cutting.tab.lacking.toolTip()
    assert "panel of outer fabric, front pocket of outer fabric" in short
    assert "use wider material" in short
    assert unbroken("12 in wide") in whole
    assert "Left out of the plan: 1." in whole
    assert cutting.tab.plan is not None
    names = {each.name for each in cutting.tab.plan.goods[0].laid}
    assert "panel" not in names


def test_units_change_what_is_read_and_not_the_plan(cutting: Bench) -> None:
    cutting.open()
    plan = cutting.tab.plan
    cutting.display.set_unit(Unit.MM)
    assert cutting.tab.plan is plan
    assert "mm" in cutting.tab.facts.text()
    assert "oz" not in cutting.tab.weight.text()


def test_goods_are_chosen_in_the_list_or_the_table(cutting: Bench) -> None:
    cutting.open()
    body = cutting.tab
    body.goods.setCurrentIndex(2)
    assert body.view.goods is body.plan.goods[2]
    assert body.table.currentRow() == 2
    body.table.setCurrentCell(1, 0)
    assert body.goods.currentIndex() == 1
    assert body.view.goods is body.plan.goods[1]


def test_a_piece_is_found_where_it_is_drawn(cutting: Bench) -> None:
    cutting.open()
    view, plan = cutting.tab.view, cutting.tab.plan
    assert plan is not None
    assert len(plan.goods[0].laid) == 5, "panel, pocket and three strips"
    for laid in plan.goods[0].laid:
        left, bottom, right, top = laid.box
        standing = next(
            each
            for each in view.standing
            if each.stretch.low <= bottom + 1e-6 and top <= each.stretch.high + 1e-6
        )
        at = view.view.to_screen(
            standing.x + (left + right) / 2, standing.y - standing.stretch.low + (bottom + top) / 2
        )
        found = view.piece_at(at)
        assert found is laid
        assert laid.name in view.told_of(laid)
        target = view.target_at(at)
        assert target is not None
        assert target[2] - target[0] == pytest.approx(laid.width)
    assert view.piece_at(QPointF(1.0, 1.0)) is None


@pytest.mark.parametrize("bags", [1, 10])
def test_the_whole_length_is_drawn_once(cutting: Bench, bags: int) -> None:
    cutting.pane.show()
    cutting.tab.controls.bags.value_edited.emit(bags)
    cutting.wait()
    assert len(cutting.tab.plan.goods) == 5, "four layers and the board"
    for number, goods in enumerate(cutting.tab.plan.goods):
        cutting.tab.goods.setCurrentIndex(number)
        columns = [each.stretch for each in cutting.tab.view.standing]
        assert columns[0].low == 0.0
        assert columns[-1].high == pytest.approx(goods.cutting_length)
        assert all(a.high == b.low for a, b in pairwise(columns))


def test_every_column_of_the_table_can_be_read_in_a_window_of_1400(
    hands: Hands, qtbot: QtBot
) -> None:
    """And nothing of the tab is cut off at its side."""
    window = hands.window
    window.resize(1400, 900)
    window.commands["cutting_plan"].trigger()
    body = window.cutting.tab
    qtbot.waitUntil(lambda: body.is_current and not body.watch.busy, timeout=PATIENT)
    table, head = body.table, body.table.horizontalHeader()
    letter = table.fontMetrics().averageCharWidth()
    for column in range(4):
        assert head.sectionSize(column) >= table.sizeHintForColumn(column)
    assert head.sectionSize(4) >= min(table.sizeHintForColumn(4), 20 * letter)
    assert table.horizontalScrollBar().maximum() == 0
    assert body.view.width() >= 230
    (area,) = window.cutting.findChildren(
        QScrollArea, options=Qt.FindChildOption.FindDirectChildrenOnly
    )
    for width in (1400, 1440, 1600):
        window.resize(width, 900)
        qtbot.wait(50)
        assert area.horizontalScrollBar().maximum() == 0, width
    window.resize(1400, 900)
    assert window._drawings.height() > window._below.height()


@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
def test_a_narrow_tab_stands_one_below_another_and_scrolls_along_only(
    cutting: Bench, unit: Unit
) -> None:
    cutting.display.set_unit(unit)
    cutting.pane.resize(400, 250)
    cutting.open()
    area, body = cutting.pane._area, cutting.tab
    assert area is not None
    assert area.horizontalScrollBar().maximum() == 0
    assert body.table.mapTo(body, QPoint()).y() > body.view.mapTo(body, QPoint()).y()
    assert body.table.verticalScrollBar().maximum() == 0, "every row is there"
    assert body.view.height() >= 180
    left = body.facts.mapTo(body, QPoint()).y()
    assert left >= body.view.mapTo(body, QPoint()).y() + body.view.height()
    cutting.pane.resize(780, 370)
    assert body.table.mapTo(body, QPoint()).x() > body.view.width()


@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
@pytest.mark.parametrize("size", [(780, 370), (400, 250)])
def test_lengths_beside_the_goods_run_neither_out_of_sight_nor_into_the_next_stretch(
    cutting: Bench, unit: Unit, size: tuple[int, int]
) -> None:
    cutting.display.set_unit(unit)
    cutting.pane.resize(*size)
    cutting.open()
    view = cutting.tab.view
    standing = view.standing
    for number, (each, drawn) in enumerate(zip(standing, view._drawn(), strict=True)):
        origin = view.view.to_screen(each.x, each.y).x()
        ends = (
            view.width()
            if number + 1 == len(standing)
            else (view.view.to_screen(standing[number + 1].x, 0.0).x())
        )
        lengths = [r for r in drawn.records if isinstance(r, Text) and r.anchor is Anchor.START]
        assert len(lengths) >= 2, "of its lower and of its upper end"
        for length in lengths:
            start = origin + view._style.pixels * length.at[0]
            assert start + view._style.width(length.text, length.height) <= ends


def test_lengths_near_the_end_stand_one_below_another_and_in_sight(cutting: Bench) -> None:
    making = Making(bags=10, folded=True)
    cutting.document.open(Project(bag=demo_bag(), making=making))
    cutting.pane.resize(780, 300)
    cutting.open()
    view = cutting.tab.view
    view._bar.setValue(0)  # the far end of a plan that is scrolled
    lines: list[float] = []
    for each, drawn in zip(view.standing, view._drawn(), strict=True):
        bottom = view.view.to_screen(each.x, each.y).y()
        lengths = [r for r in drawn.records if isinstance(r, Text) and r.anchor is Anchor.START]
        lines += [bottom - view._style.pixels * (r.at[1] + r.height) for r in lengths]
        heights = [r.at[1] for r in lengths]
        assert all(b - a >= 2.8 - 1e-9 for a, b in pairwise(heights))
    assert len(lines) > 2
    assert min(lines) >= 0.0


# --- Exports --------------------------------------------------------------------------------------


def test_the_cut_list_is_written_as_a_table(cutting: Bench, tmp_path: Path) -> None:
    cutting.open()
    cutting.asked.path = tmp_path / "cuts.csv"
    cutting.tab.csv.click()
    rows = list(csv.DictReader(io.StringIO(cutting.asked.path.read_text(encoding="utf-8"))))
    assert {"panel", "handle strip"} <= {row["item"] for row in rows}
    assert cutting.asked.suggested[0].suffix == ".csv"
    assert cutting.tab.state.text() == "Saved cuts.csv."


def test_the_materials_are_written_as_pages(cutting: Bench, tmp_path: Path) -> None:
    cutting.open()
    cutting.asked.path = tmp_path / "materials.pdf"
    cutting.tab.pdf.click()
    with pdfplumber.open(cutting.asked.path) as file:
        text = "\n".join(page.extract_text() for page in file.pages)
    assert "What to buy" in text
    assert "Cutting plan: outer fabric" in text


def test_an_export_asked_for_early_waits_for_the_plan(
    cutting: Bench, qtbot: QtBot, tmp_path: Path
) -> None:
    cutting.asked.path = tmp_path / "early.csv"
    cutting.pane.show()
    cutting.pane.export_cut_list()
    assert not cutting.asked.path.exists()
    qtbot.waitUntil(cutting.asked.path.exists, timeout=PATIENT)


def test_a_place_that_refuses_is_told_in_words(cutting: Bench, tmp_path: Path) -> None:
    cutting.open()
    cutting.asked.path = tmp_path / "nowhere" / "cuts.csv"
    cutting.tab.csv.click()
    assert len(cutting.asked.texts) == 1
    assert "cannot be written: its folder does not exist" in cutting.asked.texts[0]
    cutting.asked.path = None
    cutting.tab.pdf.click()
    assert len(cutting.asked.texts) == 1, "who does not choose a place is told nothing"


def test_the_bags_own_file_is_never_replaced(cutting: Bench, tmp_path: Path) -> None:
    cutting.open()
    own = tmp_path / "bag.csv"
    own.write_bytes(b"the bag")
    cutting.document.mark_saved(own)
    cutting.asked.path = own
    for button in (cutting.tab.csv, cutting.tab.pdf):
        button.click()
        assert cutting.asked.texts.pop() == "bag.csv is the bag’s own file: give another name."
    assert own.read_bytes() == b"the bag"


# --- In the window --------------------------------------------------------------------------------


def test_the_tab_has_room_while_it_is_open(hands: Hands) -> None:
    window = hands.window
    plain = window._below.sizes(), window._right.sizes()
    window.commands["cutting_plan"].trigger()
    assert window.tabs.currentWidget() is window.cutting
    assert window._below.sizes()[1] > plain[0][1]
    assert window._right.sizes()[1] > plain[1][1]
    wide = window._below.sizes()
    window.tabs.setCurrentIndex(0)
    assert (window._below.sizes(), window._right.sizes()) == plain
    window.commands["cutting_plan"].trigger()
    assert window._below.sizes() == wide
    drawings = window._drawings.sizes()
    window.commands["sewing_order"].trigger()
    assert window._below.sizes() == wide
    assert window._drawings.sizes() == drawings
    watch = window.cutting.tab.watch
    hands.document.undo_stack.setClean()
    hands.window.close()
    assert processes(watch) == [], "closing ends the search, wherever it stands"


def test_goods_are_edited_from_the_tab_and_priced_anew(
    hands: Hands, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = hands.window
    window.commands["cutting_plan"].trigger()
    body = window.cutting.tab
    qtbot.waitUntil(lambda: body.is_current and not body.watch.busy, timeout=PATIENT)
    before = body.watch.plan

    def accept_dearer(dialog: LayersDialog) -> int:
        dialog.notions.lines["zip_price"].setText("5")
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(LayersDialog, "exec", accept_dearer)
    body.edit.click()
    assert hands.document.undo_stack.undoText() == "Edit layers and materials"
    qtbot.waitUntil(lambda: body.is_current, timeout=PATIENT)
    assert before is not None
    assert body.plan.cost == pytest.approx(before.cost - before.notions_cost + 5.0)


def test_short_names_on_the_drawing_are_spelled_out_under_it(cutting: Bench) -> None:
    cutting.open()
    view = cutting.tab.view
    view.zoom(0.2)
    assert "handle strip" in view.key
    view.zoom(50.0)
    assert view.key == ""
