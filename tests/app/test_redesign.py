"""Finished sizes typed in the window: pins, conflicts, the ruler, and undo of each."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.release_bar import ReleaseBar
from app.settings import Settings
from app.wishes import FOLLOWS_ONLY, PINNABLE, WANTABLE
from core.bag import CUT_FIGURES, FINISHED_FIGURES
from core.bagfile import demo_bag
from core.redesign.wants import MATCHED
from core.units import round_to_step
from tests.app.hands import Hands
from tests.helpers import inch


@pytest.fixture
def store(tmp_path: Path) -> QSettings:
    return QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)


@pytest.fixture
def bench(qtbot: QtBot, store: QSettings) -> Iterator[Hands]:
    bench = Hands(qtbot, store)
    yield bench
    bench.close()


TYPED = {
    "base_width": ("12 1/4", inch(12.25)),
    "gusset_depth": ("7 1/2", inch(7.5)),
    "face_height": ("400 mm", 400.0),
    "opening_width": ("19", inch(19)),
    "zip_offset": ("1", inch(1)),
    "pocket_height": ("8", inch(8)),
    "handle_loop": ("130", inch(130)),
    "handle_drop_front": ("11", inch(11)),
    "handle_drop_back": ("11", inch(11)),
    "box_volume": ("20", 20.0),
    "inside_volume": ("17 qt", 17 * 0.946352946),
}


def test_what_can_be_typed_and_what_only_follows() -> None:
    assert set(TYPED) == WANTABLE
    assert {figure.name for figure in FINISHED_FIGURES} == WANTABLE | FOLLOWS_ONLY
    known = {figure.name for figure in (*CUT_FIGURES, *FINISHED_FIGURES)}
    assert known >= PINNABLE


@pytest.mark.parametrize("name", TYPED)
def test_every_finished_size_can_be_typed_and_taken_back(bench: Hands, name: str) -> None:
    text, value = TYPED[name]
    before = bench.document.bag
    bench.type(name, text)
    assert bench.finished[name] == pytest.approx(value, abs=1e-6)
    assert bench.finished[MATCHED] == pytest.approx(0.0, abs=1e-6)
    assert bench.document.undo_stack.count() == 1
    assert bench.box(name).problem == ""
    bench.undo()
    assert bench.document.bag == before


def test_the_step_says_what_was_wanted(bench: Hands) -> None:
    bench.type("gusset_depth", "7.5")
    assert bench.document.undo_stack.undoText() == "Gusset depth 7 1/2 in"
    assert bench.box("gusset_depth").text() == "7 1/2 in"
    bench.type("box_volume", "20 qt")
    assert bench.document.undo_stack.undoText() == "Box volume 18.93 L"


@pytest.mark.parametrize("text", ["", "-3", "abc", "1e999", "nan", "10000 m"])
@pytest.mark.parametrize("name", ["gusset_depth", "box_volume", "handle_drop_front"])
def test_impossible_text_changes_nothing_and_is_told(bench: Hands, name: str, text: str) -> None:
    if (name, text) == ("handle_drop_front", "-3"):
        return  # a handle may end below the top fold
    before = bench.document.bag
    box = bench.box(name)
    box.setFocus()
    box.selectAll()
    bench._qtbot.keyClick(box, Qt.Key.Key_Delete)
    bench._qtbot.keyClicks(box, text)
    bench._qtbot.keyClick(box, Qt.Key.Key_Return)
    assert bench.document.bag is before
    assert box.text() == text
    assert len(box.problem) > 20
    assert bench.note(name) == box.problem


def test_a_held_arrow_is_one_live_step(bench: Hands, qtbot: QtBot) -> None:
    box = bench.box("gusset_depth")
    box.setFocus()
    for _ in range(6):
        qtbot.keyClick(box, Qt.Key.Key_Up)
    depth = inch(6.5 + 6 / 8)
    qtbot.waitUntil(lambda: abs((bench.finished["gusset_depth"] or 0) - depth) < 1e-6)
    assert bench.document.undo_stack.count() == 1
    qtbot.keyClick(bench.box("box_volume"), Qt.Key.Key_Up)
    assert bench.document.undo_stack.count() == 2


def test_there_and_back_again_is_no_step(bench: Hands, qtbot: QtBot) -> None:
    bench.press_pin("box_volume")
    box = bench.box("gusset_depth")
    box.setFocus()
    for key in (Qt.Key.Key_Up, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Down):
        before = bench.document.result
        qtbot.keyClick(box, key)
        qtbot.waitUntil(lambda was=before: bench.document.result is not was)
    assert bench.document.bag == demo_bag()
    assert bench.document.undo_stack.undoText() == "Pin Box volume"


def test_a_held_arrow_ends_where_one_step_would(bench: Hands, qtbot: QtBot) -> None:
    bench.press_pin("box_volume")
    bench.type("gusset_depth", "7 1/4")
    at_once = bench.document.bag
    bench.undo()
    box = bench.box("gusset_depth")
    for _ in range(6):
        qtbot.keyClick(box, Qt.Key.Key_Up)
    qtbot.waitUntil(lambda: bench.box("gusset_depth").text() == "7 1/4 in")
    assert bench.document.bag.panel.width == pytest.approx(at_once.panel.width, abs=1e-6)
    assert bench.document.bag.panel.length == pytest.approx(at_once.panel.length, abs=1e-6)


def test_the_ruler_holds_no_arrow_back(bench: Hands, qtbot: QtBot) -> None:
    # Depth moves by two steps of the corner cut: one arrow step of 5 mm may lead back.
    bench.window.commands["millimetres"].trigger()
    bench.window.display.set_step(5.0)
    bench.window.commands["rounding"].trigger()
    bench.type("gusset_depth", "182.7")
    box = bench.box("gusset_depth")
    for asked in (187.7, 192.7, 197.7, 202.7):
        qtbot.keyClick(box, Qt.Key.Key_Up)
        qtbot.waitUntil(
            lambda at=asked: abs(bench.window.redesigner.asked["gusset_depth"] - at) < 1e-6
        )
        assert bench.finished["gusset_depth"] == pytest.approx(asked, abs=5.0 + 1e-6)
    assert bench.finished["gusset_depth"] == pytest.approx(202.7, abs=1e-6)


def test_a_pinned_size_stays_and_the_pin_can_be_undone(bench: Hands) -> None:
    bench.press_pin("box_volume")
    bench.press_pin("panel_width")
    assert bench.document.project.pinned == {"box_volume", "panel_width"}
    assert bench.document.undo_stack.undoText() == "Pin Panel width"
    volume, width = bench.finished["box_volume"], bench.document.bag.panel.width
    bench.type("gusset_depth", "7")
    assert bench.finished["box_volume"] == pytest.approx(volume, abs=1e-7)
    assert bench.document.bag.panel.width == width
    assert bench.finished["gusset_depth"] == pytest.approx(inch(7), abs=1e-6)
    bench.undo()
    bench.undo()
    pin = bench.window.measures.cut_rows["panel_width"].row.pin
    assert pin is not None
    assert not pin.isChecked()
    assert bench.document.project.pinned == {"box_volume"}


def test_a_pin_changes_no_bag_and_computes_none(bench: Hands) -> None:
    result, changed = bench.document.result, []
    bench.document.changed.connect(changed.append)
    bench.press_pin("base_width")
    bench.undo()
    assert bench.document.result is result
    assert changed == []


def test_every_pin_has_a_name_and_says_its_state(bench: Hands) -> None:
    pins = bench.window.measures._pins()
    assert set(pins) == PINNABLE | {MATCHED}
    for name, pin in pins.items():
        assert pin.accessibleName().startswith("Pin ")
        free = pin.toolTip()
        pin.toggle()
        assert pin.toolTip() != free, name


def test_the_measure_with_the_focus_is_pinned_by_key(bench: Hands) -> None:
    bench.box("face_height").setFocus()
    bench.window.commands["toggle_pin"].trigger()
    assert bench.document.project.pinned == {"face_height"}
    bench.window.commands["toggle_pin"].trigger()
    assert bench.document.project.pinned == set()
    bench.box("side_seam").setFocus()
    bench.window.commands["toggle_pin"].trigger()
    assert bench.document.project.pinned == set()
    bench.press_pin("base_width")
    bench.press_pin("zip_offset")
    bench.window.commands["release_all"].trigger()
    assert bench.document.project.pinned == set()


def test_a_cut_measure_moves_more_only_where_a_pinned_size_would_move(bench: Hands) -> None:
    bench.press_pin("base_width")
    before = bench.document.bag.panel
    bench.type("panel_length", "40")
    after = bench.document.bag.panel
    assert (after.width, after.corner_width) == (before.width, before.corner_width)
    base = bench.finished["base_width"]
    bench.type("panel_width", "19")
    assert bench.document.bag.panel.width == 482.6
    assert bench.finished["base_width"] == pytest.approx(base, abs=1e-6)


def fight(bench: Hands) -> None:
    """Depth, base and opening cannot all be had while the corners match."""
    bench.press_pin("base_width")
    bench.press_pin("opening_width")
    bench.type("gusset_depth", "7 1/2")


def releases(bench: Hands) -> ReleaseBar:
    """The buttons beside the depth, after a fight."""
    bar = bench.window.measures.finished_rows["gusset_depth"].row.releases
    assert bar is not None
    return bar


def test_a_conflict_is_told_and_the_bag_stays(bench: Hands) -> None:
    before = bench.document.bag
    fight(bench)
    assert bench.document.bag is before
    note = bench.note("gusset_depth")
    for name in ("Base width", "Opening width", "Gusset depth", "matched corners"):
        assert name in note
    offered = [button.text().removeprefix("Release ") for button in releases(bench).buttons]
    assert offered == ["Base width", "Opening width", "matched corners"]
    assert note.endswith(f"release one of {', '.join(offered)}.")


def test_a_conflict_is_told_once_and_pointed_at_from_the_findings(bench: Hands) -> None:
    fight(bench)
    findings = bench.window.findings
    assert findings.refusal == "Not possible: Gusset depth. The reason stands beside its field."
    assert findings.releases.isHidden()
    bench.box("base_width").setFocus()
    bench.click(findings.show_field)
    assert bench.box("gusset_depth").hasFocus()
    assert bench.box("gusset_depth").text() == "7 1/2", "still as it was typed"


def test_one_click_releases_a_pin_and_tries_again_in_one_step(bench: Hands) -> None:
    fight(bench)
    steps = bench.document.undo_stack.count()
    bar = releases(bench)
    bench.click(bar.buttons[1])
    assert bench.document.project.pinned == {"base_width"}
    assert bench.finished["gusset_depth"] == pytest.approx(inch(7.5), abs=1e-6)
    assert bench.finished["base_width"] == pytest.approx(inch(11.5), abs=1e-6)
    assert bench.document.undo_stack.count() == steps + 1
    assert (bench.note("gusset_depth"), bench.window.findings.refusal) == ("", "")
    assert bar.isHidden()
    assert bench.box("gusset_depth").text() == "7 1/2 in", "written properly, not as it was typed"
    bench.undo()
    assert bench.document.bag == demo_bag()
    assert bench.document.project.pinned == {"base_width", "opening_width"}


def give_up_by_escape(bench: Hands) -> None:
    QTest.keyClick(bench.box("gusset_depth"), Qt.Key.Key_Escape)


def give_up_by_its_old_value(bench: Hands) -> None:
    box = bench.box("gusset_depth")
    box.selectAll()
    QTest.keyClicks(box, "6 1/2")
    QTest.keyClick(box, Qt.Key.Key_Tab)


def give_up_by_undo(bench: Hands) -> None:
    bench.undo()


def give_up_by_another_edit(bench: Hands) -> None:
    bench.document.set_figures({"pocket_drop": inch(5)}, "Pocket drop")


def give_up_by_a_pin(bench: Hands) -> None:
    bench.press_pin("zip_offset")


@pytest.mark.parametrize(
    "give_up",
    [
        give_up_by_escape,
        give_up_by_its_old_value,
        give_up_by_undo,
        give_up_by_another_edit,
        give_up_by_a_pin,
    ],
)
def test_what_was_refused_is_told_until_it_is_given_up(
    bench: Hands, give_up: Callable[[Hands], None]
) -> None:
    fight(bench)
    assert bench.window.findings.refusal
    give_up(bench)
    assert bench.window.findings.refusal == ""
    assert bench.window.findings.show_field.isHidden()
    assert bench.document.refusal is None
    assert (bench.box("gusset_depth").text(), bench.note("gusset_depth")) == ("6 1/2 in", "")
    assert releases(bench).isHidden()


def test_only_the_last_refused_text_stands(bench: Hands) -> None:
    fight(bench)
    bench.type("base_width", "3000 mm")
    bench.type("corner_cut_width", "30")
    assert bench.box("gusset_depth").text() == "6 1/2 in"
    assert bench.box("base_width").text() == "11 1/2 in"
    assert "Corner cut width" in bench.window.findings.refusal
    # Another text that cannot be read is another matter.
    bench.type("panel_width", "abc")
    QTest.keyClick(bench.box("panel_width"), Qt.Key.Key_Escape)
    assert "Corner cut width" in bench.window.findings.refusal
    assert bench.box("corner_cut_width").text() == "30"


def test_a_refused_row_comes_into_sight_with_its_reason(bench: Hands, qtbot: QtBot) -> None:
    bench.window.resize(1280, 720)
    pane = bench.window.measures
    row = pane.cut_rows["pocket_drop"].row

    def foot() -> int:
        return row.mapTo(pane.viewport(), row.rect().bottomLeft()).y()

    bench.box("pocket_drop").setFocus()
    bar = pane.verticalScrollBar()
    # The row is the last in sight: what comes below its field would be out of it.
    bar.setValue(bar.value() + foot() - pane.viewport().height() + 1)
    assert abs(foot() - pane.viewport().height()) <= 1
    height = row.height()
    bench.type("pocket_drop", "-1")
    qtbot.waitUntil(lambda: row.height() > height)
    qtbot.wait(50)  # the rows around it find their places one after the other
    assert foot() < pane.viewport().height()


def test_corners_that_are_let_part_show_their_stop(bench: Hands) -> None:
    fight(bench)
    bench.click(releases(bench).buttons[2])
    assert not bench.document.project.corners_matched
    assert bench.finished["gusset_depth"] == pytest.approx(inch(7.5), abs=1e-6)
    assert "corner-edges-differ" in {each.code for each in bench.document.result.findings}
    pin = bench.window.measures.finished_rows[MATCHED].row.pin
    assert pin is not None
    assert not pin.isChecked()
    bench.undo()
    assert pin.isChecked()


def test_a_size_that_nothing_can_have_offers_no_release(bench: Hands) -> None:
    bench.type("handle_drop_front", "-300")
    assert bench.document.bag == demo_bag()
    assert "cannot be had" in bench.note("handle_drop_front")
    assert bench.window.findings.releases.isHidden()


def test_pins_of_a_part_that_is_gone_stand_in_nobodys_way(bench: Hands) -> None:
    bench.press_pin("pocket_height")
    bench.press_pin("zip_offset")
    chooser = bench.window.measures.choice_rows
    for name, key in (("pocket", "none"), ("top", "open")):
        chooser[name].binding._write(key)
    bench.type("gusset_depth", "7")
    assert bench.finished["gusset_depth"] == pytest.approx(inch(7), abs=1e-6)


# --- The ruler ----------------------------------------------------------------------------


def test_rounding_puts_results_on_the_ruler_and_says_what_it_cost(bench: Hands) -> None:
    bench.window.commands["rounding"].trigger()
    bench.type("base_width", "11 3/32")
    panel = bench.document.bag.panel
    assert panel.width == pytest.approx(round_to_step(panel.width, inch(1 / 8)), abs=1e-9)
    base = bench.finished["base_width"]
    assert base is not None
    over = base - inch(11 + 3 / 32)
    assert abs(over) > 0.1
    assert bench.window.redesigner.cost["base_width"] == pytest.approx(over, abs=1e-6)
    said = "over" if over > 0 else "under"
    assert bench.note("base_width") == f"1/32 in {said} what you asked"
    bench.window.changes.refresh()
    ruler = {line.figure: line.ruler for line in bench.window.changes.model.lines}
    assert ruler["base_width"].startswith("+" if over > 0 else "−")
    bench.type("corner_seam", "3/8")
    assert bench.note("base_width") == ""
    assert bench.window.redesigner.cost == {}


def test_a_result_that_the_ruler_leads_back_is_no_step_but_is_told(bench: Hands) -> None:
    bench.window.commands["rounding"].trigger()
    bench.type("base_width", "11 33/64")
    assert bench.document.bag == demo_bag()
    assert bench.document.undo_stack.count() == 0
    assert bench.note("base_width") == "1/64 in under what you asked"
    assert bench.box("base_width").text() == "11 1/2 in"


def test_a_pin_holds_what_was_asked_not_what_the_ruler_made_of_it(bench: Hands) -> None:
    bench.window.commands["millimetres"].trigger()
    bench.window.display.set_step(5.0)
    bench.window.commands["rounding"].trigger()
    bench.type("gusset_depth", "183")
    bench.press_pin("gusset_depth")
    for width in ("270", "280", "290"):
        bench.type("base_width", width)
        assert bench.window.redesigner.asked["gusset_depth"] == pytest.approx(183.0, abs=1e-6)
    assert bench.finished["gusset_depth"] == pytest.approx(182.7, abs=1e-6)


def test_what_is_exact_can_be_put_on_the_ruler_later(bench: Hands) -> None:
    bench.type("base_width", "11 3/32")
    assert bench.note("base_width") == ""
    exact = bench.document.bag
    bench.window.commands["round_now"].trigger()
    assert bench.document.undo_stack.undoText() == "Round to the ruler"
    assert bench.document.bag.panel.width != exact.panel.width
    assert bench.note("base_width").endswith("what you asked")
    bench.window.commands["round_now"].trigger()
    assert bench.document.undo_stack.count() == 2, "all is on the ruler already"
    bench.undo()
    assert bench.document.bag == exact


def test_rounding_is_off_at_first_and_remembered(bench: Hands, store: QSettings) -> None:
    action = bench.window.commands["rounding"]
    assert not action.isChecked()
    assert not Settings(store).rounding
    action.trigger()
    assert action.isChecked()
    assert Settings(store).rounding
    action.trigger()
    assert not Settings(store).rounding


def test_deeper_and_narrower_with_the_same_volume_on_a_ruler_of_5_mm(bench: Hands) -> None:
    """2 cm deeper, 3 cm narrower, the same volume, rounded to 5 mm: by the window alone."""
    commands, start = bench.window.commands, bench.finished
    commands["centimetres"].trigger()
    commands["coarser_step"].trigger()
    assert bench.window.display.step == 5.0
    bench.press_pin("box_volume")
    bench.type("gusset_depth", "18.51")
    bench.press_pin("gusset_depth")
    bench.type("base_width", "26.21")
    assert bench.finished["gusset_depth"] == pytest.approx(start["gusset_depth"] + 20, abs=1e-6)
    assert bench.finished["base_width"] == pytest.approx(start["base_width"] - 30, abs=1e-6)
    assert bench.finished["box_volume"] == pytest.approx(start["box_volume"], abs=1e-7)
    commands["round_now"].trigger()
    panel, finished = bench.document.bag.panel, bench.finished
    for length in (panel.width, panel.length, panel.corner_depth):
        assert length % 5.0 == pytest.approx(0.0, abs=1e-9)
    # 1/4 in allowances are off a 5 mm ruler: the corner cut width follows, and says so.
    assert "Off the ruler" in bench.note("corner_cut_width")
    assert finished[MATCHED] == pytest.approx(0.0, abs=1e-6)
    for name, wanted in (
        ("gusset_depth", start["gusset_depth"] + 20),
        ("base_width", start["base_width"] - 30),
        ("box_volume", start["box_volume"]),
    ):
        left = finished[name] - wanted
        assert abs(left) < (0.25 if name == "box_volume" else 5.0)
        assert bench.window.redesigner.cost[name] == pytest.approx(left, abs=1e-6)
        assert bench.note(name).endswith("what you asked")
    bench.window.changes.refresh()
    told = {line.figure: line for line in bench.window.changes.model.lines}
    for name in ("gusset_depth", "base_width", "face_height", "box_volume"):
        assert told[name].ruler, name
    for name in ("panel_width", "panel_length", "corner_cut_depth", "corner_cut_width"):
        assert told[name].texts[3], name
    assert "stop" not in {each.severity.word for each in bench.document.result.findings}
    while bench.document.undo_stack.canUndo():
        bench.undo()
    assert bench.document.bag == demo_bag()
