"""Finished sizes typed in the window: pins, conflicts, the ruler, and undo of each."""

from collections.abc import Callable
from itertools import product

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QToolButton
from pytestqt.qtbot import QtBot

from app.session.settings import Settings
from app.session.undo import MERGE_WITHIN
from app.views.measures.row import MeasureRow
from app.widgets.labels import ReleaseBar
from app.window.toolbar import Toolbar
from core.base.units import Unit, round_to_step, unbroken
from core.storage.bag_files import demo_bag
from tests.app.hands import Hands
from tests.helpers import inch

TYPED = {
    "base_width": ("12 1/4", inch(12.25)),
    "gusset_depth": ("7 3/4", inch(7.75)),
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


MISMATCH = "corner_mismatch"
SHOWN_ONLY = {
    MISMATCH,
    "gusset_depth_at_side",
    "zip_clearance",
    "pocket_side_compartment",
    "pocket_middle_compartment",
}
CUT_PINS = {
    "panel_width",
    "panel_length",
    "front_trim",
    "corner_cut_width",
    "corner_cut_depth",
    "corner_mark",
    "pocket_cut_height",
    "handle_strips",
    "handle_last_strip",
    "board_width",
    "board_depth",
}


def test_what_can_be_typed_and_what_only_follows(hands: Hands) -> None:
    rows = hands.window.measures.finished_rows
    boxes = {name for name, row in rows.items() if row.box is not None}
    assert boxes == set(TYPED)
    assert set(rows) - boxes == SHOWN_ONLY


@pytest.mark.parametrize("name", TYPED)
def test_every_finished_size_can_be_typed_and_taken_back(hands: Hands, name: str) -> None:
    text, value = TYPED[name]
    before = hands.document.bag
    hands.type(name, text)
    assert hands.finished[name] == pytest.approx(value, abs=1e-6)
    assert hands.finished[MISMATCH] == pytest.approx(0.0, abs=1e-6)
    assert hands.document.undo_stack.count() == 1
    assert hands.box(name).problem == ""
    hands.undo()
    assert hands.document.bag == before


def test_the_step_says_what_was_wanted(hands: Hands) -> None:
    hands.type("gusset_depth", "7.75")
    assert hands.document.undo_stack.undoText() == unbroken("Gusset depth 7 3/4 in")
    assert hands.box("gusset_depth").text() == "7 3/4 in"
    hands.type("box_volume", "20 qt")
    assert hands.document.undo_stack.undoText() == "Box volume 18.93 L"


IMPOSSIBLE = ("", "abc", "1e999", "nan", "10000 m")


@pytest.mark.parametrize(
    ("name", "text"),
    [
        *product(("gusset_depth", "box_volume"), (*IMPOSSIBLE, "=-3")),
        # A handle may end below the top fold.
        *product(("handle_drop_front",), IMPOSSIBLE),
    ],
)
def test_impossible_text_changes_nothing_and_is_told(hands: Hands, name: str, text: str) -> None:
    before = hands.document.bag
    box = hands.box(name)
    box.setFocus()
    box.selectAll()
    hands._qtbot.keyClick(box, Qt.Key.Key_Delete)
    hands._qtbot.keyClicks(box, text)
    hands._qtbot.keyClick(box, Qt.Key.Key_Return)
    assert hands.document.bag is before
    assert box.text() == text
    assert len(box.problem) > 20
    assert hands.note(name) == box.problem


def test_a_held_arrow_is_one_live_step(hands: Hands, qtbot: QtBot) -> None:
    box = hands.box("gusset_depth")
    box.setFocus()
    for _ in range(6):
        qtbot.keyClick(box, Qt.Key.Key_Up)
    depth = inch(6.75 + 6 / 8)
    qtbot.waitUntil(lambda: abs((hands.finished["gusset_depth"] or 0) - depth) < 1e-6)
    assert hands.document.undo_stack.count() == 1
    qtbot.keyClick(hands.box("box_volume"), Qt.Key.Key_Up)
    assert hands.document.undo_stack.count() == 2


def test_a_hold_is_called_by_what_it_came_to(hands: Hands, qtbot: QtBot) -> None:
    box = hands.box("gusset_depth")
    box.setFocus()
    for _ in range(6):
        qtbot.keyClick(box, Qt.Key.Key_Up)
    undo, redo = hands.window.commands["undo"], hands.window.commands["redo"]
    qtbot.waitUntil(lambda: undo.text() == unbroken("&Undo: Gusset depth 7 1/2 in"))
    qtbot.keyClick(box, Qt.Key.Key_Up)
    hands.undo()
    qtbot.waitUntil(lambda: redo.text() == unbroken("&Redo: Gusset depth 7 5/8 in"))
    assert hands.document.undo_stack.count() == 1


def test_there_and_back_again_is_no_step(hands: Hands, qtbot: QtBot) -> None:
    hands.press_pin("box_volume")
    box = hands.box("gusset_depth")
    box.setFocus()
    for key in (Qt.Key.Key_Up, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Down):
        before = hands.document.result
        qtbot.keyClick(box, key)
        qtbot.waitUntil(lambda was=before: hands.document.result is not was)
        hands.clock.pass_by(0.9 * MERGE_WITHIN)
    assert hands.document.bag == demo_bag()
    assert hands.document.undo_stack.undoText() == "Pin Box volume"


def test_after_a_pause_there_and_back_are_two_steps(hands: Hands, qtbot: QtBot) -> None:
    hands.press_pin("box_volume")
    box = hands.box("gusset_depth")
    box.setFocus()
    qtbot.keyClick(box, Qt.Key.Key_Up)
    reached = hands.document.result
    hands.clock.pass_by(1.1 * MERGE_WITHIN)
    qtbot.keyClick(box, Qt.Key.Key_Down)
    qtbot.waitUntil(lambda: hands.document.result is not reached)
    assert hands.finished["gusset_depth"] == pytest.approx(inch(6.75), abs=1e-6)
    # It was solved from where the first step led to, from which there is less to change.
    assert hands.document.bag != demo_bag()
    hands.undo()
    assert hands.document.result.bag == reached.bag
    hands.undo()
    assert hands.document.bag == demo_bag()
    assert hands.document.undo_stack.undoText() == "Pin Box volume"


def test_a_held_arrow_ends_where_one_step_would(hands: Hands, qtbot: QtBot) -> None:
    hands.press_pin("box_volume")
    hands.type("gusset_depth", "7 1/2")
    at_once = hands.document.bag
    hands.undo()
    box = hands.box("gusset_depth")
    for _ in range(6):
        qtbot.keyClick(box, Qt.Key.Key_Up)
    qtbot.waitUntil(lambda: hands.box("gusset_depth").text() == "7 1/2 in")
    assert hands.document.bag.body.width == pytest.approx(at_once.body.width, abs=1e-6)
    assert hands.document.bag.body.length == pytest.approx(at_once.body.length, abs=1e-6)


def test_the_ruler_holds_no_arrow_back(hands: Hands, qtbot: QtBot) -> None:
    # Depth moves by two steps of the corner cut: one arrow step of 5 mm may lead back.
    hands.window.commands["millimetres"].trigger()
    hands.window.display.set_step(5.0)
    hands.window.commands["rounding"].trigger()
    hands.type("gusset_depth", "179.05")
    box = hands.box("gusset_depth")
    for asked in (184.05, 189.05, 194.05, 199.05):
        qtbot.keyClick(box, Qt.Key.Key_Up)
        qtbot.waitUntil(
            lambda at=asked: abs(hands.window.redesigner.asked["gusset_depth"] - at) < 1e-6
        )
        assert hands.finished["gusset_depth"] == pytest.approx(asked, abs=5.0 + 1e-6)
    assert hands.finished["gusset_depth"] == pytest.approx(199.05, abs=1e-6)


def test_a_pinned_size_stays_and_the_pin_can_be_undone(hands: Hands) -> None:
    hands.press_pin("box_volume")
    hands.press_pin("panel_width")
    assert hands.document.project.pinned == {"box_volume", "panel_width"}
    assert hands.document.undo_stack.undoText() == "Pin Panel width"
    volume, width = hands.finished["box_volume"], hands.document.bag.body.width
    hands.type("gusset_depth", "7")
    assert hands.finished["box_volume"] == pytest.approx(volume, abs=1e-7)
    assert hands.document.bag.body.width == width
    assert hands.finished["gusset_depth"] == pytest.approx(inch(7), abs=1e-6)
    hands.undo()
    hands.undo()
    pin = hands.window.measures.cut_rows["panel_width"].row.pin
    assert pin is not None
    assert not pin.isChecked()
    assert hands.document.project.pinned == {"box_volume"}


def test_a_pin_changes_no_bag_and_computes_none(hands: Hands) -> None:
    result, changed = hands.document.result, []
    hands.document.changed.connect(changed.append)
    hands.press_pin("base_width")
    hands.undo()
    assert hands.document.result is result
    assert changed == []


def test_every_pin_has_a_name_and_says_its_state(hands: Hands) -> None:
    rows = hands.window.measures.findChildren(MeasureRow)
    pins = {row.field.objectName(): row.pin for row in rows if row.pin is not None}
    cut = CUT_PINS - {"corner_mark"}  # which corners that are cut do not have
    assert set(pins) == {*TYPED, *cut, "filled_volume", "inside_filled_volume", MISMATCH}
    for name, pin in pins.items():
        assert pin.accessibleName().startswith("Pin ")
        free = pin.toolTip()
        pin.toggle()
        assert pin.toolTip() != free, name


def test_the_measure_with_the_focus_is_pinned_by_key(hands: Hands) -> None:
    hands.box("face_height").setFocus()
    hands.window.commands["toggle_pin"].trigger()
    assert hands.document.project.pinned == {"face_height"}
    hands.window.commands["toggle_pin"].trigger()
    assert hands.document.project.pinned == set()
    hands.box("side_seam").setFocus()
    hands.window.commands["toggle_pin"].trigger()
    assert hands.document.project.pinned == set()
    hands.press_pin("base_width")
    hands.press_pin("zip_offset")
    hands.window.commands["release_all"].trigger()
    assert hands.document.project.pinned == set()


def test_a_cut_measure_moves_more_only_where_a_pinned_size_would_move(hands: Hands) -> None:
    hands.press_pin("base_width")
    before = hands.document.bag.body
    hands.type("panel_length", "40")
    after = hands.document.bag.body
    assert (after.width, after.corner_width) == (before.width, before.corner_width)
    base = hands.finished["base_width"]
    hands.type("panel_width", "19")
    assert hands.document.bag.body.width == 482.6
    assert hands.finished["base_width"] == pytest.approx(base, abs=1e-6)


def fight(hands: Hands) -> None:
    """Depth, base and opening cannot all be had while the corners match."""
    hands.press_pin("base_width")
    hands.press_pin("opening_width")
    hands.type("gusset_depth", "7 3/4")


def releases(hands: Hands) -> ReleaseBar:
    """The buttons beside the depth, after a fight."""
    return hands.window.measures.foot.releases


def test_a_conflict_is_told_and_the_bag_stays(hands: Hands) -> None:
    before = hands.document.bag
    fight(hands)
    assert hands.document.bag is before
    note = hands.note("gusset_depth")
    for name in ("Base width", "Opening width", "Gusset depth", "matched corners"):
        assert name in note
    offered = [button.text().removeprefix("Release ") for button in releases(hands).buttons]
    assert offered == ["Base width", "Opening width", "matched corners"]
    assert note.endswith("Release one of “Base width”, “Opening width”, matched corners.")


def test_a_conflict_tells_how_far_one_can_go_in_the_units_of_the_screen(hands: Hands) -> None:
    hands.press_pin("face_height")
    hands.press_pin("opening_width")
    before, opening, face = hands.document.bag, inch(17.75), inch(15)
    assert hands.finished["opening_width"] == pytest.approx(opening)
    hands.type("box_volume", "60 L")
    # With matched corners the base and the depth share the opening: half each holds most.
    most = (opening / 2) ** 2 * face / 1e6
    note = hands.note("box_volume")
    told = unbroken(f"{int(most * 100) / 100:.2f} L")
    assert note.startswith(f"“Box volume” can be at most {told} with ")
    assert unbroken("“Face height” at 15 in") in note
    assert unbroken("“Opening width” at 17 3/4 in") in note
    assert hands.document.bag is before


def test_a_conflict_is_told_once_and_pointed_at_from_the_findings(hands: Hands) -> None:
    fight(hands)
    findings = hands.window.findings
    assert findings.refusal == "Not possible: Gusset depth. The reason is shown below the measures."
    assert findings.releases.isHidden()
    hands.box("base_width").setFocus()
    hands.click(findings.show_field)
    assert hands.box("gusset_depth").hasFocus()
    assert hands.box("gusset_depth").text() == "7 3/4", "still as it was typed"


def test_one_click_releases_a_pin_and_tries_again_in_one_step(hands: Hands) -> None:
    fight(hands)
    steps = hands.document.undo_stack.count()
    bar = releases(hands)
    hands.click(bar.buttons[1])
    assert hands.document.project.pinned == {"base_width"}
    assert hands.finished["gusset_depth"] == pytest.approx(inch(7.75), abs=1e-6)
    assert hands.finished["base_width"] == pytest.approx(inch(11), abs=1e-6)
    assert hands.document.undo_stack.count() == steps + 1
    assert (hands.note("gusset_depth"), hands.window.findings.refusal) == ("", "")
    assert bar.isHidden()
    assert hands.box("gusset_depth").text() == "7 3/4 in", "written properly, not as it was typed"
    hands.undo()
    assert hands.document.bag == demo_bag()
    assert hands.document.project.pinned == {"base_width", "opening_width"}


def give_up_by_escape(hands: Hands) -> None:
    QTest.keyClick(hands.box("gusset_depth"), Qt.Key.Key_Escape)


def give_up_by_its_old_value(hands: Hands) -> None:
    box = hands.box("gusset_depth")
    box.selectAll()
    QTest.keyClicks(box, "6 3/4")
    QTest.keyClick(box, Qt.Key.Key_Tab)


def give_up_by_undo(hands: Hands) -> None:
    hands.undo()


def give_up_by_another_edit(hands: Hands) -> None:
    hands.document.set_figures({"pocket_drop": inch(5)}, "Pocket drop")


def give_up_by_a_pin(hands: Hands) -> None:
    hands.press_pin("zip_offset")


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
    hands: Hands, give_up: Callable[[Hands], None]
) -> None:
    fight(hands)
    assert hands.window.findings.refusal
    give_up(hands)
    assert hands.window.findings.refusal == ""
    assert hands.window.findings.show_field.isHidden()
    assert hands.document.refusal is None
    assert (hands.box("gusset_depth").text(), hands.note("gusset_depth")) == ("6 3/4 in", "")
    assert releases(hands).isHidden()


def test_only_the_last_refused_text_stands(hands: Hands) -> None:
    fight(hands)
    hands.type("base_width", "3000 mm")
    hands.type("corner_cut_width", "30")
    assert hands.box("gusset_depth").text() == "6 3/4 in"
    assert hands.box("base_width").text() == "11 in"
    assert "Corner cut width" in hands.window.findings.refusal
    # Another text that cannot be read is another matter.
    hands.type("panel_width", "abc")
    QTest.keyClick(hands.box("panel_width"), Qt.Key.Key_Escape)
    assert "Corner cut width" in hands.window.findings.refusal
    assert hands.box("corner_cut_width").text() == "30"


def test_arrows_lead_out_of_a_conflict(hands: Hands, qtbot: QtBot) -> None:
    hands.press_pin("corner_cut_width")
    box = hands.box("gusset_depth")
    box.setFocus()
    seen = []
    for key in (Qt.Key.Key_Up, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Down, Qt.Key.Key_Up):
        qtbot.keyClick(box, key)
        qtbot.wait(20)
        seen.append((box.text(), bool(hands.window.findings.refusal)))
    assert seen == [
        *(("6 7/8 in", True), ("6 7/8 in", True), ("6 3/4 in", False)),
        *(("6 5/8 in", True), ("6 3/4 in", False)),
    ]
    hands.press_pin("corner_cut_width")
    qtbot.keyClick(box, Qt.Key.Key_Up)
    assert box.text() == "6 7/8 in" and hands.finished["gusset_depth"] == pytest.approx(inch(6.875))


@pytest.mark.parametrize("name", ["base_width", "zip_offset", "box_volume", "front_trim"])
def test_a_step_below_nothing_is_told_beside_nothing_and_the_next_one_up_is_had(
    hands: Hands, qtbot: QtBot, name: str
) -> None:
    hands.type(name, "0")
    box = hands.box(name)
    nothing = box.text()
    assert box.problem == ""
    for _ in range(3):
        qtbot.keyClick(box, Qt.Key.Key_Down)
        qtbot.wait(20)
        assert box.text() == nothing
        assert "it must be" in hands.window.measures.foot.text
    qtbot.keyClick(box, Qt.Key.Key_Up)
    qtbot.wait(20)
    assert box.problem == "" and hands.window.findings.refusal == ""
    assert box.value == pytest.approx(0.1 if name == "box_volume" else inch(0.125))


def test_what_was_refused_for_a_step_stands_in_any_unit_and_ruler_step(
    hands: Hands, qtbot: QtBot
) -> None:
    hands.type("front_trim", "0")
    qtbot.keyClick(hands.box("front_trim"), Qt.Key.Key_Down)
    foot, display = hands.window.measures.foot, hands.window.session.display
    assert foot.text == unbroken("Front trim is −1/8 in: it must be at least 0 in.")
    display.move_step(1)
    assert foot.text == unbroken("Front trim is −1/8 in: it must be at least 0 in.")
    display.set_unit(Unit.MM)
    assert foot.text == unbroken("Front trim is −3.2 mm: it must be at least 0 mm.")
    assert hands.box("front_trim").text() == "0 mm"
    assert hands.window.findings.refusal.startswith("Not possible: Front trim. The reason")
    qtbot.keyClick(hands.box("front_trim"), Qt.Key.Key_Escape)
    assert foot.text == hands.window.findings.refusal == ""


def test_a_refused_row_is_in_sight_with_its_reason(hands: Hands, qtbot: QtBot) -> None:
    hands.window.resize(1280, 720)
    pane = hands.window.measures
    row = pane.cut_rows["pocket_drop"].row
    hands.box("pocket_drop").setFocus()
    hands.type("pocket_drop", "=-1")
    qtbot.wait(50)
    assert pane.viewport().rect().contains(row.mapTo(pane.viewport(), row.rect().bottomLeft()))
    assert pane.foot.text == hands.box("pocket_drop").problem != ""
    assert pane.foot.isVisible()
    below = row.mapTo(pane, row.rect().bottomLeft()).y()
    assert below < pane.foot.geometry().top(), "the foot may rise, but not over the row it tells of"


def test_corners_that_are_let_part_show_their_stop(hands: Hands) -> None:
    fight(hands)
    hands.click(releases(hands).buttons[2])
    assert not hands.document.project.seams_matched
    assert hands.finished["gusset_depth"] == pytest.approx(inch(7.75), abs=1e-6)
    assert "corner-edges-differ" in {each.code for each in hands.document.result.findings}
    pin = hands.window.measures.finished_rows[MISMATCH].row.pin
    assert pin is not None
    assert not pin.isChecked()
    hands.undo()
    assert pin.isChecked()


def test_a_size_that_nothing_can_have_offers_no_release(hands: Hands) -> None:
    hands.type("handle_drop_front", "-300")
    assert hands.document.bag == demo_bag()
    assert hands.note("handle_drop_front").startswith("“Handle drop, front” must be at least ")
    assert hands.window.findings.releases.isHidden()


def test_pins_of_a_part_that_is_gone_stand_in_nobodys_way(hands: Hands) -> None:
    hands.press_pin("pocket_height")
    hands.press_pin("zip_offset")
    chooser = hands.window.measures.choice_rows
    for name, key in (("has_pocket", "none"), ("top", "hem")):
        chooser[name].binding._write(key)
    hands.type("gusset_depth", "7")
    assert hands.finished["gusset_depth"] == pytest.approx(inch(7), abs=1e-6)


# --- The ruler ----------------------------------------------------------------------------


def test_rounding_puts_results_on_the_ruler_and_says_what_it_cost(hands: Hands) -> None:
    hands.window.commands["rounding"].trigger()
    hands.type("base_width", "11 3/32")
    panel = hands.document.bag.body
    assert panel.width == pytest.approx(round_to_step(panel.width, inch(1 / 8)), abs=1e-9)
    base = hands.finished["base_width"]
    assert base is not None
    over = base - inch(11 + 3 / 32)
    assert abs(over) > 0.1
    assert hands.window.redesigner.cost["base_width"] == pytest.approx(over, abs=1e-6)
    said = "over" if over > 0 else "under"
    assert hands.note("base_width") == unbroken(f"1/32 in {said} what you asked for")
    hands.window.changes.refresh()
    ruler = {line.figure: line.ruler for line in hands.window.changes.model.lines}
    assert ruler["base_width"].startswith("+" if over > 0 else "−")
    hands.type("corner_seam", "1/4")
    assert hands.note("base_width") == ""
    assert hands.window.redesigner.cost == {}


def test_a_result_that_the_ruler_leads_back_is_no_step_but_is_told(hands: Hands) -> None:
    hands.window.commands["rounding"].trigger()
    hands.type("base_width", "11 1/64")
    assert hands.document.bag == demo_bag()
    assert hands.document.undo_stack.count() == 0
    assert hands.note("base_width") == unbroken("1/64 in under what you asked for")
    assert hands.box("base_width").text() == "11 in"


def test_a_pin_holds_what_was_asked_not_what_the_ruler_made_of_it(hands: Hands) -> None:
    hands.window.commands["millimetres"].trigger()
    hands.window.display.set_step(5.0)
    hands.window.commands["rounding"].trigger()
    hands.type("gusset_depth", "180")
    hands.press_pin("gusset_depth")
    for width in ("270", "280", "290"):
        hands.type("base_width", width)
        assert hands.window.redesigner.asked["gusset_depth"] == pytest.approx(180.0, abs=1e-6)
    assert hands.finished["gusset_depth"] == pytest.approx(179.05, abs=1e-6)


def test_what_is_exact_can_be_put_on_the_ruler_later(hands: Hands) -> None:
    hands.type("base_width", "11 3/32")
    assert hands.note("base_width") == ""
    exact = hands.document.bag
    hands.window.commands["round_now"].trigger()
    assert hands.document.undo_stack.undoText() == "Round to the ruler"
    assert hands.document.bag.body.width != exact.body.width
    assert hands.note("base_width").endswith("what you asked for")
    hands.window.commands["round_now"].trigger()
    assert hands.document.undo_stack.count() == 2, "all is on the ruler already"
    hands.undo()
    assert hands.document.bag == exact


def test_rounding_is_off_at_first_and_remembered(hands: Hands, store: QSettings) -> None:
    action = hands.window.commands["rounding"]
    assert not action.isChecked()
    assert not Settings(store).rounding
    action.trigger()
    assert action.isChecked()
    assert Settings(store).rounding
    action.trigger()
    assert not Settings(store).rounding


def test_the_toolbar_rounds_all_at_once_and_says_whether_the_ruler_is_kept_to(
    hands: Hands,
) -> None:
    hands.type("gusset_depth", "7.03 in")
    exact = hands.document.bag
    bar = hands.window.findChild(Toolbar)
    assert bar is not None
    mode, once = bar.button("rounding"), bar.button("round_now")
    assert isinstance(mode, QToolButton) and isinstance(once, QToolButton)
    assert (mode.text(), once.text(), once.isCheckable()) == (
        "Keep to ruler: off",
        "Round all",
        False,
    )
    hands.click(mode)
    assert (mode.text(), mode.isChecked()) == ("Keep to ruler: on", True)
    assert "kept to the ruler step" in hands.window.statusBar().currentMessage()
    assert hands.document.bag is exact, "a mode is for what comes next"
    hands.click(mode)
    assert (mode.text(), mode.isChecked()) == ("Keep to ruler: off", False)
    hands.click(once)
    assert hands.document.bag != exact
    assert hands.document.undo_stack.undoText() == "Round to the ruler"
    width = hands.document.bag.body.width / inch(1) * 8
    assert width == pytest.approx(round(width), abs=1e-9)


def test_deeper_and_narrower_with_the_same_volume_on_a_ruler_of_5_mm(hands: Hands) -> None:
    """2 cm deeper, 3 cm narrower, the same volume, rounded to 5 mm: by the window alone."""
    commands, start = hands.window.commands, hands.finished
    commands["centimetres"].trigger()
    commands["coarser_step"].trigger()
    assert hands.window.display.step == 5.0
    hands.press_pin("box_volume")
    hands.type("gusset_depth", "19.145")
    hands.press_pin("gusset_depth")
    hands.type("base_width", "24.94")
    assert hands.finished["gusset_depth"] == pytest.approx(start["gusset_depth"] + 20, abs=1e-6)
    assert hands.finished["base_width"] == pytest.approx(start["base_width"] - 30, abs=1e-6)
    assert hands.finished["box_volume"] == pytest.approx(start["box_volume"], abs=1e-7)
    commands["round_now"].trigger()
    panel, finished = hands.document.bag.body, hands.finished
    for length in (panel.width, panel.length, panel.corner_depth):
        assert length % 5.0 == pytest.approx(0.0, abs=1e-9)
    # 3/8 in allowances are off a 5 mm ruler: the corner cut width follows, and says so.
    assert "Off the ruler" in hands.note("corner_cut_width")
    assert finished[MISMATCH] == pytest.approx(0.0, abs=1e-6)
    for name, wanted in (
        ("gusset_depth", start["gusset_depth"] + 20),
        ("base_width", start["base_width"] - 30),
        ("box_volume", start["box_volume"]),
    ):
        left = finished[name] - wanted
        assert abs(left) < (0.25 if name == "box_volume" else 5.0)
        assert hands.window.redesigner.cost[name] == pytest.approx(left, abs=1e-6)
        assert hands.note(name).endswith("what you asked for")
    hands.window.changes.refresh()
    told = {line.figure: line for line in hands.window.changes.model.lines}
    for name in ("gusset_depth", "base_width", "face_height", "box_volume"):
        assert told[name].ruler, name
    for name in ("panel_width", "panel_length", "corner_cut_depth", "corner_cut_width"):
        assert told[name].texts[3], name
    assert "stop" not in {each.severity.word for each in hands.document.result.findings}
    while hands.document.undo_stack.canUndo():
        hands.undo()
    assert hands.document.bag == demo_bag()
