"""The order of sewing in the window: ticks, words in the reader's unit, and what is lit."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QModelIndex, QPoint, Qt
from PySide6.QtGui import QColor, QImage, QPalette
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.session.document import NO_HIGHLIGHT
from app.views.flat.paint import lit_lines
from app.views.flat.pane import FlatPane
from app.views.fold.notes import edge_lines, part_areas
from app.views.fold.pane import FoldPane
from app.views.sewing.pane import SewingPane
from app.views.sewing.tab import SewingTab
from app.widgets.record_painter import READABLE
from core.bag.bag import Bag
from core.bag.choices import without_part
from core.base.units import Unit, unbroken
from core.flat.roles import EdgeRef
from core.sewing.steps import steps
from core.storage.bag_files import demo_bag, read_project, sample, write_project
from core.storage.project import Project
from tests.app.sessions import session_on
from tests.helpers import changed, demo, inch, layer, sandwich
from tests.ids import PIECES, edge_id, edge_ref


class Bench:
    """A document with its sewing tab, made and shown."""

    def __init__(self, qtbot: QtBot, opened: Bag | Project | None = None) -> None:
        self.session = session_on(opened)
        self.document, self.display = self.session.document, self.session.display
        self.pane = SewingPane(self.session)
        qtbot.addWidget(self.pane)
        self.pane.resize(760, 380)
        self.pane.show()
        qtbot.waitExposed(self.pane)

    @property
    def tab(self) -> SewingTab:
        return self.pane.tab

    def place(self, key: str) -> int:
        place = self.tab.model.place_of(key)
        assert place is not None, key
        return place

    def read(self, key: str) -> None:
        self.tab.show_step(self.place(key) + 1)


@pytest.fixture
def bench(qtbot: QtBot) -> Bench:
    return Bench(qtbot)


def test_nothing_of_it_is_made_before_it_is_looked_at(qtbot: QtBot) -> None:
    pane = SewingPane(session_on())
    qtbot.addWidget(pane)
    assert pane.findChildren(SewingTab) == []
    pane.show()
    assert pane.findChildren(SewingTab) == [pane.tab]


def test_every_step_is_listed_with_its_number_and_words(bench: Bench) -> None:
    rows = bench.tab.model.rows
    every = steps(bench.document.result)
    assert [row.number for row in rows] == list(range(1, len(every) + 1))
    for row, step in zip(rows, every, strict=True):
        assert row.text == unbroken(step.text(bench.display.length))
        assert bool(row.change) == (step.change is not None)
        assert bool(row.care) == (step.operation.caution is not None)
        told = bench.tab.model.index(row.number - 1).data(Qt.ItemDataRole.AccessibleTextRole)
        assert told.startswith(f"{row.number}. {row.title}")
        assert row.text in told and row.change in told and row.care in told


def test_every_step_of_a_bag_that_is_washed_and_lined_last_can_be_read(qtbot: QtBot) -> None:
    shrinks = layer("cotton", shrink_length=0.05, shrink_width=0.03)
    film = layer("film", melts=True, wipe_clean=True, laid_last=True)
    bench = Bench(qtbot, demo(sandwich=sandwich(shrinks, layer("fleece", fusible=True), film)))
    for row in bench.tab.model.rows:
        bench.read(row.key)
        assert bench.tab.detail.text
        assert not bench.tab.grab().isNull()
    assert bench.tab.model.rows[0].key == "wash goods"
    bench.read("baste lining")
    assert "no needle holes except at the seams" in bench.tab.detail.text


def test_a_step_says_setting_reason_and_what_it_builds_on(bench: Bench) -> None:
    bench.read("join zip front")
    detail = bench.tab.detail
    assert "Machine: straight stitch (301), 2.5 mm, zip foot" in detail.text
    assert unbroken("From the edge: 3/8 in") in detail.text
    assert "Why: " in detail.text and "Check: " in detail.text
    assert "Stitch length: from 5 mm to 2.5 mm (10 to the inch)." in detail.change.text
    assert "Or without changing them: " in detail.change.text
    needed = steps(bench.document.result)[bench.tab.number - 1].needs
    asked = detail._needs.text()
    assert needed
    assert all(f'href="{number}"' in asked for number in needed)
    detail._needs.linkActivated.emit(str(needed[0]))
    assert bench.tab.number == needed[0]


def test_what_may_be_hurt_stands_out(bench: Bench) -> None:
    key = next(row.key for row in bench.tab.model.rows if row.care)
    bench.read(key)
    row = bench.tab.model.rows[bench.tab.number - 1]
    assert row.care in bench.tab.detail.care.text
    calm = next(row.key for row in bench.tab.model.rows if not row.care)
    bench.read(calm)
    assert bench.tab.detail.care.text == ""


def test_a_tick_is_no_undo_step_and_is_taken_back_by_itself(bench: Bench) -> None:
    row = bench.tab.model.rows[0]
    assert bench.tab.foot.done_text.text() == f"0 of {len(bench.tab.model.rows)} done"
    bench.tab.detail.tick_box.click()
    assert bench.document.project.ticked == {row.key}
    assert bench.document.undo_stack.count() == 0
    assert not bench.document.saved
    assert bench.tab.foot.done_text.text().startswith("1 of ")
    assert bench.tab.foot.progress.value() == 1
    bench.tab.detail.tick_box.click()
    assert bench.document.project.ticked == frozenset()
    assert bench.document.saved
    assert not bench.tab.detail.tick_box.isChecked()
    assert bench.tab.foot.progress.value() == 0


def test_a_row_is_ticked_by_its_box_and_by_the_space_bar(bench: Bench, qtbot: QtBot) -> None:
    view, model = bench.tab.list, bench.tab.model
    rect = view.visualRect(model.index(0))
    qtbot.mouseClick(
        view.viewport(), Qt.MouseButton.LeftButton, pos=rect.topLeft() + QPoint(13, 14)
    )
    assert model.ticked(0)
    qtbot.mouseClick(
        view.viewport(), Qt.MouseButton.LeftButton, pos=rect.topLeft() + QPoint(120, 14)
    )
    assert model.ticked(0), "a click on the words only chooses the step"
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_Down)
    qtbot.keyClick(view, Qt.Key.Key_Space)
    assert model.ticked(1)
    qtbot.keyClick(view, Qt.Key.Key_Space)
    assert not model.ticked(1)


def test_ticks_are_saved_and_read_back(bench: Bench, qtbot: QtBot, tmp_path: Path) -> None:
    for _ in range(3):
        bench.pane.tick_step()
    assert bench.tab.number == 4
    path = tmp_path / "bag.json"
    write_project(bench.document.project, path)
    again = Bench(qtbot, read_project(path))
    assert again.tab.model.done == 3
    assert again.tab.number == 4, "the first step that is not done is opened"


def test_ticks_of_steps_that_are_gone_wait_for_them(bench: Bench, qtbot: QtBot) -> None:
    bench.read("lay on front pocket")
    bench.tab.tick()
    bench.document.replace_bag(without_part(bench.document.bag, "pocket"), "No pocket")
    qtbot.waitUntil(lambda: bench.tab.model.place_of("lay on front pocket") is None)
    assert bench.tab.model.done == 0
    bench.document.undo_stack.undo()
    qtbot.waitUntil(lambda: bench.tab.model.place_of("lay on front pocket") is not None)
    assert bench.tab.model.done == 1


def test_next_and_previous_stop_at_the_ends(bench: Bench) -> None:
    count = len(bench.tab.model.rows)
    bench.pane.go(-1)
    assert bench.tab.number == 1
    assert not bench.tab.detail.back_button.isEnabled()
    bench.tab.detail.next_button.click()
    assert bench.tab.number == 2
    bench.tab.show_step(count)
    bench.pane.go(1)
    assert bench.tab.number == count
    assert not bench.tab.detail.next_button.isEnabled()


def test_a_changed_figure_changes_its_sentences(bench: Bench, qtbot: QtBot) -> None:
    bench.read("join side seam left")
    before = bench.tab.detail.text
    assert unbroken("3/8 in from the edge") in before
    bench.document.set_figures({"side_seam": inch(0.25)}, "Side seam")
    qtbot.waitUntil(lambda: unbroken("1/4 in from the edge") in bench.tab.detail.text)
    assert bench.tab.model.rows[bench.tab.number - 1].key == "join side seam left"


def test_the_list_stays_where_it_was_scrolled_until_another_step_is_chosen(
    bench: Bench, qtbot: QtBot
) -> None:
    bench.read("join side seam left")
    bar, below = bench.tab.list.verticalScrollBar(), bench.tab.list.currentIndex()
    for place, wide, told in ((0, 0.25, "1/4 in"), (bar.maximum(), 0.5, "1/2 in")):
        bar.setValue(place)
        assert not _in_sight(bench.tab, below)
        bench.document.set_figures({"side_seam": inch(wide)}, "Side seam")
        qtbot.waitUntil(lambda: not bench.tab._soon.active)
        assert unbroken(f"{told} from the edge") in bench.tab.detail.text
        assert bar.value() == place, "a figure is another one, not the step"
        bench.tab.show_step(bench.tab.number)
        assert _in_sight(bench.tab, below), "asked for, it comes into sight"
    bar.setValue(0)
    bench.pane.hide()
    bench.pane.show()
    assert _in_sight(bench.tab, below), "and when the tab is opened"


def _in_sight(tab: SewingTab, index: QModelIndex) -> bool:
    return tab.list.viewport().rect().contains(tab.list.visualRect(index))


def test_words_and_drawing_follow_the_unit(bench: Bench, qtbot: QtBot) -> None:
    bench.read("cut panel")
    assert unbroken("18 1/2 in") in bench.tab.detail.text
    bench.display.set_unit(Unit.MM)
    qtbot.waitUntil(lambda: unbroken("469.9 mm") in bench.tab.detail.text)
    picture = bench.tab.detail.drawing.picture
    assert picture is not None
    said = {record.text for record in picture.records if hasattr(record, "text")}
    assert "469.9 mm" in said


@pytest.mark.parametrize("key", ["mark panel", "lay on handles", "baste layers"])
def test_a_drawing_is_as_large_as_its_letters_need(bench: Bench, key: str) -> None:
    """Smaller, the letters, which are never below 9 px, would not fit their places."""
    bench.read(key)
    drawing = bench.tab.detail.drawing
    assert drawing.picture is not None
    assert drawing.width() >= READABLE * drawing.picture.width
    assert drawing.height() >= READABLE * drawing.picture.height


@pytest.mark.parametrize("name", ["demo", "lunch", "tote"])
def test_every_step_of_every_sample_lights_something(qtbot: QtBot, name: str) -> None:
    bench = Bench(qtbot, sample(name))
    flat = FlatPane(bench.session)
    fold = FoldPane(bench.session)
    for pane in (flat, fold):
        qtbot.addWidget(pane)
        pane.resize(500, 400)
        pane.show()
    assert len(bench.tab.model.rows) > 20
    for row in bench.tab.model.rows:
        bench.tab.show_step(row.number)
        lit = bench.document.highlighted
        assert list(lit_lines(lit, flat.sheet, flat.view)), row.key
        if row.key == "open zip":
            continue  # its run lies on the zip, which is lit as a part
        folded = fold.view.view
        assert edge_lines(lit, folded) or part_areas(lit, folded), row.key


def on_panel(*edges: str) -> set[EdgeRef]:
    return {edge_ref("panel", each) for each in edges}


@pytest.mark.parametrize(
    ("key", "edges", "marks", "pieces"),
    [
        ("join zip front", {*on_panel("top front"), edge_ref("zip", "zip front")}, [], []),
        (
            "join side seam left",
            {
                *on_panel("side front left", "side back left"),
                edge_ref("zip", "zip end left"),
                edge_ref("front pocket", "pocket side left"),
            },
            [],
            [],
        ),
        (
            "join corner seam right",
            on_panel("corner front right", "corner back right", "corner end right"),
            [],
            [],
        ),
        ("lay on front pocket", set(), ["front pocket"], ["front pocket"]),
        (
            "lay on handles",
            set(),
            ["handle leg"] * 4 + ["handle halfway"] * 2,
            ["handle strip"],
        ),
    ],
)
def test_what_a_step_works_on_is_lit_and_nothing_else(
    bench: Bench, key: str, edges: set[EdgeRef], marks: list[str], pieces: list[str]
) -> None:
    bench.read(key)
    lit, draft = bench.document.highlighted, bench.document.result.draft
    assert set(lit.edges) == edges
    assert [draft.piece(piece).marks[place].label for piece, place in lit.marks] == marks
    assert lit.lines == ()
    assert lit.pieces == lit.parts == tuple(PIECES[name] for name in pieces)
    assert {ref.piece for ref in lit.rims} == set(lit.pieces)


def colours(pane: FlatPane | FoldPane, wanted: QColor) -> int:
    """How many pixels of a pane have a colour."""
    image = pane.grab().toImage().convertToFormat(QImage.Format.Format_RGBX8888)
    lines = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1, 4)
    return int((lines[:, : image.width(), :3] == wanted.getRgb()[:3]).all(axis=2).sum())


def test_the_step_is_lit_in_both_drawings_while_it_is_shown(bench: Bench, qtbot: QtBot) -> None:
    flat = FlatPane(bench.session)
    fold = FoldPane(bench.session)
    for pane in (flat, fold):
        qtbot.addWidget(pane)
        pane.resize(320, 300)
        pane.show()
        qtbot.waitExposed(pane)
    bench.read("join side seam left")
    refs = {ref.edge for ref in bench.document.highlighted.edges if ref.piece == PIECES["panel"]}
    assert refs == {edge_id("side front left"), edge_id("side back left")}
    light = QColor("#b23a00")
    shown = {pane: colours(pane, light) for pane in (flat, fold)}
    bench.pane.hide()
    assert bench.document.highlighted == NO_HIGHLIGHT
    for pane, count in shown.items():
        assert count > 40
        assert colours(pane, light) < count / 4
    bench.pane.show()
    assert bench.document.highlighted.edges


def test_lights_of_what_is_gone_go_out_with_it(bench: Bench) -> None:
    bench.read("cut front pocket")
    assert bench.document.highlighted.pieces == (PIECES["front pocket"],)
    bench.document.replace_bag(without_part(bench.document.bag, "pocket"), "No pocket")
    assert bench.document.highlighted.pieces == ()


def test_a_bag_full_of_mistakes_still_has_its_steps(qtbot: QtBot) -> None:
    bag = changed(demo_bag(), corner_cut_depth=inch(5), pocket_drop=inch(0.1), handle_stop=inch(17))
    bench = Bench(qtbot, bag)
    assert len(bench.tab.model.rows) > 30
    for row in bench.tab.model.rows:
        bench.tab.show_step(row.number)
        detail = bench.tab.detail
        assert detail.drawing.picture.records, row.key
        assert "None" not in detail.text, row.key


def test_words_of_the_maker_are_never_taken_for_markup(qtbot: QtBot) -> None:
    bag = demo_bag()
    first, *rest = bag.sandwich.layers
    odd = replace(first, role="<b>linen</b>")
    bag = replace(bag, sandwich=replace(bag.sandwich, layers=(odd, *rest)))
    bench = Bench(qtbot, bag)
    bench.read("mark panel")
    assert "<b>linen</b>" in bench.tab.detail.text
    assert bench.tab.detail._title.textFormat() is Qt.TextFormat.PlainText
    bench.read("lay on front pocket")
    assert "<b>linen" not in bench.tab.detail._needs.text()


def test_the_drawing_follows_light_and_dark(bench: Bench, qtbot: QtBot) -> None:
    bench.read("cut panel")
    drawing = bench.tab.detail.drawing
    light = drawing.grab().toImage()
    palette = QPalette(QColor(45, 45, 48))
    palette.setColor(QPalette.ColorRole.Base, QColor(30, 30, 32))
    palette.setColor(QPalette.ColorRole.Text, QColor(235, 235, 235))
    bench.pane.setPalette(palette)
    qtbot.waitUntil(lambda: drawing.grab().toImage() != light)
    assert drawing.accessibleName() == "Cut the panel"


def test_the_tab_key_goes_in_reading_order(bench: Bench, qtbot: QtBot) -> None:
    body = bench.tab
    body.show_step(5)
    bench.pane.activateWindow()
    body.list.setFocus()
    qtbot.waitUntil(body.list.hasFocus)
    passed = []  # a label with links is passed once for each of them
    while body.foot.booklet_button not in passed and len(passed) < 12:
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        passed.append(QApplication.focusWidget())
    detail = body.detail
    wanted = [detail.tick_box, detail.back_button, detail.next_button, detail._needs]
    assert list(dict.fromkeys(passed)) == [*wanted, body.foot.load_button, body.foot.booklet_button]


def test_every_control_has_a_name_and_a_tip(bench: Bench) -> None:
    body = bench.tab
    for button in (body.foot.load_button, body.foot.booklet_button, body.detail.tick_box):
        assert button.text() and button.toolTip()
    for arrow in (body.detail.back_button, body.detail.next_button):
        assert arrow.accessibleName() and arrow.toolTip()
    for widget in (body, body.list, body.foot.progress, body.detail, body.detail.drawing):
        assert widget.accessibleName()


@pytest.mark.parametrize("width", [290, 450, 900])
def test_the_foot_is_whole_at_any_width(bench: Bench, qtbot: QtBot, width: int) -> None:
    foot = bench.tab.foot
    foot.load_text.setText("Filled, it weighs 13 lb\nOne handle holds 34 lb, both 67 lb")
    foot.load_text.show()
    foot.resize(width, foot.height())
    foot._place()
    foot.resize(width, foot.sizeHint().height())
    shown = (foot.done_text, foot.load_text, foot.load_button, foot.booklet_button)
    qtbot.waitUntil(lambda: all(each.width() >= each.sizeHint().width() for each in shown))
    assert foot.rect().contains(foot.booklet_button.geometry())
    beside = foot.done_text.geometry().bottom() > foot.load_button.y()
    assert beside is (width == 900)
    below = foot.load_text.y() > foot.done_text.geometry().bottom()
    assert below is (width == 290), "as with large letters on a small screen"
