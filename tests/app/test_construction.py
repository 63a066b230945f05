"""The construction chosen in the window: one step, told in one message, and there and back."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from core.storage.bag_files import SAMPLES, sample
from tests.app.hands import Hands

WORDS = ("gusset-strip", "wrap", "separate-base", "boxed-panel")


@pytest.mark.parametrize("name", SAMPLES)
def test_every_construction_is_one_step_and_comes_back(hands: Hands, name: str) -> None:
    window, document = hands.window, hands.document
    start = sample(name)
    document.open(start)
    said: list[str] = []
    window.session.said.connect(said.append)
    row = window.measures.choice_rows["construction"].row
    for word in (*WORDS, start.body.KIND):
        steps, was = document.undo_stack.count(), document.bag
        row.field.value_edited.emit(word)
        if word == was.body.KIND:
            continue
        assert word == document.bag.body.KIND
        assert document.undo_stack.count() == steps + 1
        assert len(said) <= 1
        assert bool(said) or type(document.bag.top) is type(was.top)
        said.clear()
        listed = [each.row for each in window.measures.finished_rows.values()]
        assert any(each.isVisibleTo(window) for each in listed)
        assert "panel_width" not in {
            each.figure for each in window.flat.hand.grips().values() if word != "boxed-panel"
        }
    assert document.bag == start
    window.grab()
    while document.undo_stack.canUndo():
        hands.undo()
    assert document.bag == start


def test_a_refused_top_leaves_the_bag_and_says_why(hands: Hands) -> None:
    window, document = hands.window, hands.document
    window.measures.choice_rows["construction"].row.field.value_edited.emit("gusset-strip")
    ring = document.bag
    row = window.measures.choice_rows["top"].row
    row.field.value_edited.emit("zip-forward")
    assert document.bag == ring
    assert row.is_wrong
    row.field.value_edited.emit("hem")
    assert document.bag.top.KIND == "hem"
    assert not document.bag.body.closed
    hands.undo()
    assert document.bag == ring


def test_what_was_left_out_is_of_the_steps_that_are_done(hands: Hands) -> None:
    """A strip that was undone is not brought back; one that is done again is."""
    document, row = hands.document, hands.window.measures.choice_rows["construction"].row
    stack, choose = document.undo_stack, row.field.value_edited.emit
    choose("gusset-strip")
    usual = document.result.cut["strip_seam"]
    assert usual is not None
    assert document.set_figures({"strip_seam": 2 * usual}, "Strip seam")
    choose("boxed-panel")
    stack.setIndex(0)
    stack.setIndex(3)
    choose("gusset-strip")
    assert document.result.cut["strip_seam"] == 2 * usual
    stack.setIndex(0)
    assert document.set_figures({"handle_gap": 120.0}, "Handle gap")
    choose("gusset-strip")
    assert document.result.cut["strip_seam"] == usual


def test_parts_that_are_put_aside_are_those_of_the_steps_that_are_done(hands: Hands) -> None:
    """A loop that a strip could not take does not come back for handles that were made since."""
    document, row = hands.document, hands.window.measures.choice_rows["construction"].row
    choose = row.field.value_edited.emit
    loop = document.bag.parts["handles"]
    choose("gusset-strip")
    instead = document.bag.parts["handles"]
    assert type(instead) is type(loop) and instead != loop
    hands.undo()
    document.replace_bag(document.bag.with_part(instead), "Handles")
    choose("separate-base")
    choose("boxed-panel")
    assert document.bag.parts["handles"] == instead


def pressed(hands: Hands, key: Qt.Key) -> str:
    """The top that a bag has once a key was pressed in its row, which shows it."""
    field = hands.window.measures.choice_rows["top"].row.field
    field.setFocus()
    QTest.keyClick(field, key)
    assert field.currentData() == hands.document.bag.top.KIND
    return field.currentData()


def test_arrow_keys_pass_the_tops_that_a_mouth_cannot_take(hands: Hands) -> None:
    hands.document.open(sample("demo"))
    down = [pressed(hands, Qt.Key.Key_Down) for _ in range(3)]
    assert down == ["hem", "facing", "roll-top"]  # no strips whose ends a top strip could join
    assert pressed(hands, Qt.Key.Key_Down) == "roll-top"
    assert pressed(hands, Qt.Key.Key_Up) == "facing"


def test_where_every_top_that_way_is_refused_the_nearest_says_why(hands: Hands) -> None:
    hands.document.open(sample("coolbox"))
    row = hands.window.measures.choice_rows["top"].row
    assert pressed(hands, Qt.Key.Key_Down) == "top-strip"
    assert row.is_wrong
    assert "rolled down" in row.note


def test_another_bag_is_read_from_its_top(hands: Hands) -> None:
    bar = hands.window.measures.verticalScrollBar()
    bar.setValue(bar.maximum())
    assert bar.value() > 0
    hands.document.open(sample("jar"))
    assert bar.value() == 0
