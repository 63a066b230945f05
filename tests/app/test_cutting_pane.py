"""The cutting plan's tab, with the real worker process."""

import csv
import io
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pdfplumber
import pytest
from PySide6.QtCore import QPoint, QPointF, QProcess, QSettings, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.cutting import CuttingWatch, WorkerProcess
from app.dialogs.layers_dialog import LayersDialog
from app.display import Display
from app.document import Document
from app.panes.cutting_body import CuttingBody
from app.panes.cutting_pane import CuttingPane
from app.settings import Settings
from core.bagfile import demo_bag
from core.compute import compute
from core.flat.piece import Turn
from core.goods.making import Cutting, Making
from core.goods.plan import PlanOptions, best_plan
from core.paper.records import Anchor, Text
from core.project import Project
from core.units import Unit
from tests.app.hands import Hands
from tests.helpers import inch

PATIENT = 20_000
"""Milliseconds that two shared cores may need at worst."""

ENDLESS = """
import sys, time
from core.goods import worker
def slowly(*args, **options):
    for step in original(*args, **options):
        yield step
        time.sleep(60)
original = worker.better_sections
worker.better_sections = slowly
sys.exit(worker.answer(sys.stdin.buffer.read(), sys.stdout))
"""
"""A worker that gives its first layouts, and then takes its time."""


class Asked:
    """Stands in for the box that asks where a file goes."""

    def __init__(self) -> None:
        self.path: Path | None = None
        self.suggested: list[Path] = []
        self.told: list[str] = []

    def ask(self, parent: QWidget, title: str, kind: str, suggested: Path) -> Path | None:
        self.suggested.append(suggested)
        return self.path


class Bench:
    """A document, its pane, and what is asked."""

    def __init__(self, qtbot: QtBot, store: QSettings) -> None:
        self.qtbot = qtbot
        self.asked = Asked()
        self.document = Document(demo_bag())
        self.display = Display()
        self.pane = CuttingPane(
            self.document,
            self.display,
            Settings(store),
            tell=self.asked.told.append,
            ask=self.asked.ask,
        )
        self.pane.resize(720, 420)

    @property
    def body(self) -> CuttingBody:
        return self.pane.body

    def open(self) -> None:
        self.pane.show()
        self.wait()

    def wait(self) -> None:
        """Until the search for the bag as it is now has come to its end."""
        body = self.body
        self.qtbot.waitUntil(lambda: body.is_current and not body.watch.busy, timeout=PATIENT)

    def widen(self, width: float) -> None:
        self.document.set_figures({"panel_width": width}, "Panel width")


@pytest.fixture
def bench(qtbot: QtBot, store: QSettings) -> Iterator[Bench]:
    made = Bench(qtbot, store)
    yield made
    made.pane.shut()
    assert processes(made.body.watch) == []
    made.pane.close()
    made.pane.deleteLater()


@pytest.fixture
def make_watch(qtbot: QtBot) -> Iterator[Callable[..., CuttingWatch]]:
    made: list[CuttingWatch] = []

    def make(*command: str) -> CuttingWatch:
        made.append(CuttingWatch(command=command or None))
        return made[-1]

    yield make
    for watch in made:
        watch.close()
        watch.deleteLater()


def processes(watch: CuttingWatch) -> list[WorkerProcess]:
    """Those that run."""
    return [
        each
        for each in watch.findChildren(WorkerProcess)
        if each.state() is not QProcess.ProcessState.NotRunning
    ]


# --- The pane -------------------------------------------------------------------------------------


def test_nothing_is_worked_out_before_the_tab_is_looked_at(bench: Bench) -> None:
    bench.widen(inch(18))
    assert bench.pane._body is None


def test_the_worker_comes_to_the_plan_of_the_same_search_made_here(bench: Bench) -> None:
    bench.open()
    plan, here = bench.body.plan, best_plan(bench.document.result, PlanOptions())
    assert plan is not None
    assert [each.length_to_buy for each in plan.goods] == [
        each.length_to_buy for each in here.goods
    ]
    assert [each.laid for each in plan.goods] == [each.laid for each in here.goods]
    rows = bench.body.table.rows
    assert rows[0].cells[0] == "outer fabric"
    assert rows[0].cells[1].endswith(" yd")
    assert rows[-1].cells[3] == f"{plan.cost:.2f}"
    assert "Largest piece left over" in bench.body.facts.text()
    assert "oz" in bench.body.weight.text()


def test_options_are_typed_and_lead_to_another_plan(bench: Bench, qtbot: QtBot) -> None:
    bench.open()
    controls = bench.body.controls
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
    making = Making(bags=3, gap=inch(0.25), cutting=Cutting.ROWS, folded=True)
    assert bench.document.project.making == making
    bench.wait()
    plan = bench.body.plan
    assert plan is not None
    assert plan.options == PlanOptions.of(making)
    assert plan.goods[0].folded_length > 0.0


def test_every_option_is_a_step_and_undo_shows_what_was(bench: Bench) -> None:
    bench.open()
    controls, stack = bench.body.controls, bench.document.undo_stack
    controls.bags.value_edited.emit(12.0)
    controls.gap.value_edited.emit(5.0)
    controls.cutting.setCurrentIndex(controls.cutting.findData(Cutting.ROWS))
    controls.folded.click()
    steps = [stack.text(place) for place in range(stack.count())]
    assert steps == ["Number of bags", "Gap between pieces", "Way of cutting", "Cut on the fold"]
    assert not bench.document.saved
    for _ in steps:
        stack.undo()
    assert bench.document.project.making == Making()
    assert (controls.bags.value, controls.gap.value) == (1, 0.0)
    assert controls.cutting.currentData() is Cutting.FREE
    assert not controls.folded.isChecked()
    assert stack.count() == len(steps), "showing it again is no step"


def test_the_wheel_turned_over_the_number_of_bags_is_one_step(bench: Bench) -> None:
    bench.open()
    for _ in range(5):
        bench.body.controls.bags.stepUp()
    assert bench.document.project.making.bags == 6
    assert bench.document.undo_stack.count() == 1


def test_a_file_opens_with_the_making_that_it_keeps(bench: Bench) -> None:
    bench.open()
    making = Making(bags=4, gap=3.0, cutting=Cutting.ROWS, folded=True)
    bench.document.open(Project(bag=demo_bag(), making=making))
    controls = bench.body.controls
    assert (controls.bags.value, controls.gap.value) == (4, 3.0)
    assert controls.cutting.currentData() is Cutting.ROWS
    assert controls.folded.isChecked()
    assert bench.document.undo_stack.count() == 0
    bench.wait()
    assert bench.body.plan is not None
    assert bench.body.plan.options.bags == 4


def test_scrolling_past_changes_nothing(bench: Bench) -> None:
    bench.open()
    bench.body.controls.bags.setFocus()
    for box in (bench.body.controls.cutting, bench.body.goods):
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
    assert bench.document.undo_stack.count() == 0


def test_an_export_that_is_clicked_while_bags_are_typed_is_of_so_many(
    bench: Bench, qtbot: QtBot, tmp_path: Path
) -> None:
    bench.open()
    bench.asked.path = tmp_path / "cuts.csv"
    box = bench.body.controls.bags
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "3")
    qtbot.mouseClick(bench.body.csv, Qt.MouseButton.LeftButton)
    bench.body.csv.setFocus()  # as the press does in a window in front
    qtbot.waitUntil(bench.asked.path.exists, timeout=PATIENT)
    rows = list(csv.DictReader(io.StringIO(bench.asked.path.read_text(encoding="utf-8"))))
    assert {row["in all"] for row in rows if row["item"] == "panel"} == {"3"}


def test_what_is_refused_is_told_in_the_unit_shown_and_goes_with_its_bag(
    bench: Bench, qtbot: QtBot
) -> None:
    bench.open()
    gap = bench.body.controls.gap
    gap.setFocus()
    gap.selectAll()
    qtbot.keyClicks(gap, "250 mm")
    qtbot.keyClick(gap, Qt.Key.Key_Return)
    assert bench.body.problem.text().startswith("Gap is ~9 7/8 in")
    bench.display.set_unit(Unit.MM)
    assert bench.body.problem.text() == "Gap is 250 mm: it must be from 0 to 200 mm."
    bench.document.open(demo_bag())
    assert (gap.text(), bench.body.problem.text()) == ("0 mm", "")


@pytest.mark.parametrize(("text", "told"), [("0", "Bags is 0"), ("1001", "1 to 1000")])
def test_an_impossible_number_of_bags_is_told_and_not_taken(
    bench: Bench, qtbot: QtBot, text: str, told: str
) -> None:
    bench.open()
    box = bench.body.controls.bags
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, text)
    qtbot.keyClick(box, Qt.Key.Key_Return)
    assert told in bench.body.problem.text()
    assert bench.body.problem.isVisible()
    assert bench.document.project.making.bags == 1
    qtbot.keyClick(box, Qt.Key.Key_Escape)
    assert not bench.body.problem.isVisible()


def test_a_gap_too_wide_is_told_in_the_shown_unit(bench: Bench) -> None:
    bench.open()
    bench.body.controls.gap.value_edited.emit(250.0)
    assert bench.body.problem.text() == "Gap is ~9 7/8 in: it must be from 0 to ~7 7/8 in."


def test_a_plan_of_older_numbers_is_greyed_and_said_to_be_one(bench: Bench) -> None:
    bench.open()
    body = bench.body
    older = body.watch.plan
    bench.widen(inch(17))
    assert body.watch.plan is older
    assert body.view.is_older
    assert "older numbers" in body.view.note
    assert body.plan is None
    assert body.facts.isHidden(), "what it says is no longer so"
    bench.wait()
    assert not body.view.is_older
    assert body.view.note == ""
    assert body.plan is not None
    assert body.plan.result is bench.document.result


def test_undo_has_its_plan_without_another_search(bench: Bench, qtbot: QtBot) -> None:
    bench.open()
    bench.widen(inch(17))
    bench.wait()
    bench.document.undo_stack.undo()
    bench.body.ask_now()
    assert bench.body.is_current
    assert not bench.body.watch.busy


def test_another_price_is_reckoned_without_another_search(bench: Bench) -> None:
    bench.open()
    bag = bench.document.bag
    first, *others = bag.sandwich.layers
    dearer = (replace(first, price_per_length=first.price_per_length + 0.01), *others)
    bench.document.replace_bag(replace(bag, sandwich=replace(bag.sandwich, layers=dearer)), "Price")
    before = bench.body.watch.plan
    bench.body.ask_now()
    assert not bench.body.watch.busy
    assert bench.body.plan is not None
    assert before is not None
    more = bench.body.plan.goods[0].length_to_buy * 0.01
    assert bench.body.plan.cost == pytest.approx(before.cost + more)


def test_no_work_is_done_behind_a_hidden_tab(bench: Bench, qtbot: QtBot) -> None:
    bench.open()
    bench.pane.hide()
    bench.widen(inch(17))
    qtbot.wait(400)
    assert not bench.body.watch.busy
    assert not bench.body.is_current
    bench.open()
    assert bench.body.plan is not None


def test_a_piece_too_wide_is_told_with_what_would_help(bench: Bench) -> None:
    bag = bench.document.bag
    first, *others = bag.sandwich.layers
    narrow = replace(first, usable_width=inch(12), turn=Turn.HALF)
    bench.document.replace_bag(
        replace(bag, sandwich=replace(bag.sandwich, layers=(narrow, *others))), "Narrow"
    )
    bench.open()
    assert bench.body.lacking.isVisible()
    short, whole = bench.body.lacking.text(), bench.body.lacking.toolTip()
    assert "panel (1), front pocket (1)" in short
    assert "take wider goods" in short
    assert "12 in wide" in whole
    assert "left out of the plan: 1 in all" in whole
    assert bench.body.plan is not None
    names = {each.name for each in bench.body.plan.goods[0].laid}
    assert "panel" not in names


def test_units_change_what_is_read_and_not_the_plan(bench: Bench) -> None:
    bench.open()
    plan = bench.body.plan
    bench.display.set_unit(Unit.MM)
    assert bench.body.plan is plan
    assert "mm" in bench.body.facts.text()
    assert "oz" not in bench.body.weight.text()


def test_goods_are_chosen_in_the_list_or_the_table(bench: Bench) -> None:
    bench.open()
    body = bench.body
    body.goods.setCurrentIndex(2)
    assert body.view.goods is body.plan.goods[2]
    assert body.table.currentRow() == 2
    body.table.setCurrentCell(1, 0)
    assert body.goods.currentIndex() == 1
    assert body.view.goods is body.plan.goods[1]


def test_a_piece_is_found_where_it_is_drawn(bench: Bench) -> None:
    bench.open()
    view, plan = bench.body.view, bench.body.plan
    assert plan is not None
    (standing,) = view.standing
    for laid in plan.goods[0].laid:
        left, bottom, right, top = laid.box
        at = view.view.to_screen(
            standing.x + (left + right) / 2, standing.y - standing.column.low + (bottom + top) / 2
        )
        found = view.piece_at(at)
        assert found is laid
        assert laid.name in view.told_of(laid)
        target = view.target_at(at)
        assert target is not None
        assert target[2] - target[0] == pytest.approx(laid.width)
    assert view.piece_at(QPointF(1.0, 1.0)) is None


@pytest.mark.parametrize("bags", [1, 10])
def test_the_whole_length_is_drawn_once(bench: Bench, bags: int) -> None:
    bench.pane.show()
    bench.body.controls.bags.value_edited.emit(bags)
    bench.wait()
    for number, goods in enumerate(bench.body.plan.goods):
        bench.body.goods.setCurrentIndex(number)
        columns = [each.column for each in bench.body.view.standing]
        assert columns[0].low == 0.0
        assert columns[-1].high == pytest.approx(goods.cutting_length)
        assert all(a.high == b.low for a, b in pairwise(columns))


def test_every_column_of_the_table_can_be_read_in_a_window_of_1400(
    hands: Hands, qtbot: QtBot
) -> None:
    window = hands.window
    window.resize(1400, 900)
    window.commands["cutting_plan"].trigger()
    body = window.cutting.body
    qtbot.waitUntil(lambda: body.is_current and not body.watch.busy, timeout=PATIENT)
    table, head = body.table, body.table.horizontalHeader()
    letter = table.fontMetrics().averageCharWidth()
    for column in range(4):
        assert head.sectionSize(column) >= table.sizeHintForColumn(column)
    assert head.sectionSize(4) >= min(table.sizeHintForColumn(4), 24 * letter)
    assert table.horizontalScrollBar().maximum() == 0
    assert body.view.width() >= 230
    assert window._drawings.height() > window._below.height()


@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
def test_a_narrow_tab_stands_one_below_another_and_scrolls_along_only(
    bench: Bench, unit: Unit
) -> None:
    bench.display.set_unit(unit)
    bench.pane.resize(400, 250)
    bench.open()
    area, body = bench.pane._area, bench.body
    assert area is not None
    assert area.horizontalScrollBar().maximum() == 0
    assert body.table.mapTo(body, QPoint()).y() > body.view.mapTo(body, QPoint()).y()
    assert body.table.verticalScrollBar().maximum() == 0, "every row is there"
    assert body.view.height() >= 180
    left = body.facts.mapTo(body, QPoint()).y()
    assert left >= body.view.mapTo(body, QPoint()).y() + body.view.height()
    bench.pane.resize(780, 370)
    assert body.table.mapTo(body, QPoint()).x() > body.view.width()


@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
@pytest.mark.parametrize("size", [(780, 370), (400, 250)])
def test_lengths_beside_the_goods_run_neither_out_of_sight_nor_into_the_next_stretch(
    bench: Bench, unit: Unit, size: tuple[int, int]
) -> None:
    bench.display.set_unit(unit)
    bench.pane.resize(*size)
    bench.open()
    view = bench.body.view
    standing = view.standing
    for number, (each, records) in enumerate(zip(standing, view._drawn(), strict=True)):
        origin = view.view.to_screen(each.x, each.y).x()
        ends = (
            view.width()
            if number + 1 == len(standing)
            else (view.view.to_screen(standing[number + 1].x, 0.0).x())
        )
        for record in records:
            if isinstance(record, Text) and record.anchor is Anchor.START:
                start = origin + view._brush.pixels * record.at[0]
                assert start + view._brush.width(record.text, record.height) <= ends


def test_lengths_near_the_end_stand_one_below_another_and_in_sight(bench: Bench) -> None:
    making = Making(bags=10, folded=True)
    bench.document.open(Project(bag=demo_bag(), making=making))
    bench.pane.resize(780, 300)
    bench.open()
    view = bench.body.view
    lines: list[float] = []
    for each, records in zip(view.standing, view._drawn(), strict=True):
        bottom = view.view.to_screen(each.x, each.y).y()
        lengths = [r for r in records if isinstance(r, Text) and r.anchor is Anchor.START]
        lines += [bottom - view._brush.pixels * (r.at[1] + r.height) for r in lengths]
        heights = [r.at[1] for r in lengths]
        assert all(b - a >= 2.8 - 1e-9 for a, b in pairwise(heights))
    assert len(lines) > 2
    assert min(lines) >= 0.0


# --- Exports --------------------------------------------------------------------------------------


def test_the_cut_list_is_written_as_a_table(bench: Bench, tmp_path: Path) -> None:
    bench.open()
    bench.asked.path = tmp_path / "cuts.csv"
    bench.body.csv.click()
    rows = list(csv.DictReader(io.StringIO(bench.asked.path.read_text(encoding="utf-8"))))
    assert {"panel", "handle strip"} <= {row["item"] for row in rows}
    assert bench.asked.suggested[0].suffix == ".csv"
    assert bench.body.state.text() == "Saved cuts.csv."


def test_the_materials_are_written_as_pages(bench: Bench, tmp_path: Path) -> None:
    bench.open()
    bench.asked.path = tmp_path / "materials.pdf"
    bench.body.pdf.click()
    with pdfplumber.open(bench.asked.path) as file:
        text = "\n".join(page.extract_text() for page in file.pages)
    assert "What to buy" in text
    assert "Cutting plan: outer fabric" in text


def test_an_export_asked_for_early_waits_for_the_plan(
    bench: Bench, qtbot: QtBot, tmp_path: Path
) -> None:
    bench.asked.path = tmp_path / "early.csv"
    bench.pane.show()
    bench.pane.export_cut_list()
    assert not bench.asked.path.exists()
    qtbot.waitUntil(bench.asked.path.exists, timeout=PATIENT)


def test_a_place_that_refuses_is_told_in_words(bench: Bench, tmp_path: Path) -> None:
    bench.open()
    bench.asked.path = tmp_path / "nowhere" / "cuts.csv"
    bench.body.csv.click()
    assert len(bench.asked.told) == 1
    assert "cannot be written: its folder is not there" in bench.asked.told[0]
    bench.asked.path = None
    bench.body.pdf.click()
    assert len(bench.asked.told) == 1, "who does not choose a place is told nothing"


def test_the_bags_own_file_is_never_replaced(bench: Bench, tmp_path: Path) -> None:
    bench.open()
    own = tmp_path / "bag.csv"
    own.write_bytes(b"the bag")
    bench.document.mark_saved(own)
    bench.asked.path = own
    for button in (bench.body.csv, bench.body.pdf):
        button.click()
        assert bench.asked.told.pop() == "bag.csv is the bag’s own file: give another name."
    assert own.read_bytes() == b"the bag"


# --- The process ----------------------------------------------------------------------------------


def test_a_search_is_stopped_and_keeps_its_best_plan(
    qtbot: QtBot, make_watch: Callable[..., CuttingWatch]
) -> None:
    watch = make_watch(sys.executable, "-c", ENDLESS)
    result, options = compute(demo_bag()), PlanOptions()
    watch.ask(result, options)
    qtbot.waitUntil(lambda: watch.answers(result, options), timeout=PATIENT)
    assert watch.busy, "it looks on"
    watch.cancel()
    assert watch.stopped
    assert not watch.busy
    assert watch.answers(result, options)
    qtbot.waitUntil(lambda: processes(watch) == [], timeout=PATIENT)


def test_a_newer_question_drops_the_older_search(
    qtbot: QtBot, make_watch: Callable[..., CuttingWatch]
) -> None:
    watch = make_watch(sys.executable, "-c", ENDLESS)
    result = compute(demo_bag())
    watch.ask(result, PlanOptions(bags=2))
    watch.ask(result, PlanOptions(bags=3))
    qtbot.waitUntil(lambda: watch.answers(result, PlanOptions(bags=3)), timeout=PATIENT)
    assert not watch.answers(result, PlanOptions(bags=2))
    qtbot.waitUntil(lambda: len(processes(watch)) == 1, timeout=PATIENT)
    watch.close()
    assert processes(watch) == []


@pytest.mark.parametrize(
    "command",
    [
        ("no-such-program-as-this",),
        (sys.executable, "-c", "import sys; sys.exit(3)"),
        (sys.executable, "-c", "print('no answer', flush=True); input()"),
        (sys.executable, "-c", "pass"),
    ],
    ids=["not there", "fails", "talks nonsense", "says nothing"],
)
def test_a_worker_that_fails_is_told_and_no_plan_is_shown(
    qtbot: QtBot,
    make_watch: Callable[..., CuttingWatch],
    command: tuple[str, ...],
    caplog: pytest.LogCaptureFixture,
) -> None:
    watch = make_watch(*command)
    watch.ask(compute(demo_bag()), PlanOptions())
    qtbot.waitUntil(lambda: bool(watch.trouble), timeout=PATIENT)
    assert watch.plan is None
    assert not watch.busy
    assert "cutting plan" in caplog.text
    caplog.clear()


def test_the_worker_is_found_from_any_folder(
    qtbot: QtBot,
    make_watch: Callable[..., CuttingWatch],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    (tmp_path / "core.py").write_text("raise SystemExit('the wrong core')")
    monkeypatch.chdir(tmp_path)
    watch = make_watch()
    result, options = compute(demo_bag()), PlanOptions()
    watch.ask(result, options)
    qtbot.waitUntil(lambda: watch.answers(result, options) and not watch.busy, timeout=PATIENT)
    assert watch.trouble == ""


# --- In the window --------------------------------------------------------------------------------


def test_the_tab_has_room_while_it_is_open(hands: Hands) -> None:
    window = hands.window
    plain = window._below.sizes(), window._right.sizes()
    window.commands["cutting_plan"].trigger()
    assert window._tabs.currentWidget() is window.cutting
    assert window._below.sizes()[1] > plain[0][1]
    assert window._right.sizes()[1] > plain[1][1]
    wide = window._below.sizes()
    window._tabs.setCurrentIndex(0)
    assert (window._below.sizes(), window._right.sizes()) == plain
    window.commands["cutting_plan"].trigger()
    assert window._below.sizes() == wide
    drawings = window._drawings.sizes()
    window.commands["sewing_order"].trigger()
    assert window._below.sizes() == wide
    assert window._drawings.sizes() == drawings
    watch = window.cutting.body.watch
    hands.document.undo_stack.setClean()
    hands.window.close()
    assert processes(watch) == [], "closing ends the search, wherever it stands"


def test_goods_are_edited_from_the_tab_and_priced_anew(
    hands: Hands, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = hands.window
    window.commands["cutting_plan"].trigger()
    body = window.cutting.body
    qtbot.waitUntil(lambda: body.is_current and not body.watch.busy, timeout=PATIENT)
    before = body.watch.plan

    def accept_dearer(dialog: LayersDialog) -> int:
        dialog.notions.lines["zip_price"].setText("5")
        dialog.accept()
        return dialog.result()

    monkeypatch.setattr(LayersDialog, "exec", accept_dearer)
    body.edit.click()
    assert hands.document.undo_stack.undoText() == "Edit the goods"
    qtbot.waitUntil(lambda: body.is_current, timeout=PATIENT)
    assert before is not None
    assert body.plan.cost == pytest.approx(before.cost - before.zip_cost + 5.0)
