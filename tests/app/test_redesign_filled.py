"""Filled volumes typed and pinned in the window: the answer comes later, and to its bag alone."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QApplication, QDialog, QPushButton
from pytestqt.qtbot import QtBot

from app.widgets.dialog import FittedDialog
from core.bag.bag import Bag
from core.bag.choices import without_part
from core.base.units import unbroken
from core.solid.capacity import capacity
from tests.app.hands import Hands
from tests.helpers import changed, demo, inch, layer, read_bag, sandwich

WAIT = 120_000
FILLED, INSIDE = "filled_volume", "inside_filled_volume"
DEMO_LITRES = 18.23
"""What the demo bag holds, as its row shows it."""


@pytest.fixture
def hands(qtbot: QtBot, store: QSettings) -> Iterator[Hands]:
    hands = Hands(qtbot, store)
    qtbot.waitUntil(lambda: hands.window.session.capacity.current, timeout=WAIT)
    yield hands
    hands.close()


@pytest.fixture
def answered(hands: Hands, qtbot: QtBot) -> Callable[[], None]:
    """Wait until what was asked for is had or refused, and the bag of it filled."""

    def wait() -> None:
        window = hands.window
        qtbot.waitUntil(lambda: window.redesigner.pending is None, timeout=WAIT)
        qtbot.waitUntil(lambda: window.session.capacity.current, timeout=WAIT)

    return wait


def shown(hands: Hands, name: str) -> str:
    return hands.window.measures._capacity.text(name)


def ink(hands: Hands, name: str) -> str:
    return hands.box(name).lineEdit().palette().color(QPalette.ColorRole.Text).name()


@pytest.mark.parametrize("action", ["print", "edit_layers", "take_up", "fit_tape"])
def test_a_dialog_opens_on_the_bag_that_was_asked_for(
    hands: Hands, monkeypatch: pytest.MonkeyPatch, action: str
) -> None:
    opened: list[bool] = []

    def look(_dialog: FittedDialog) -> QDialog.DialogCode:
        opened.append(hands.window.redesigner.pending is None)
        return QDialog.DialogCode.Rejected

    monkeypatch.setattr(FittedDialog, "exec", look)
    hands.type(FILLED, "20")
    assert hands.window.redesigner.pending is not None
    hands.window.commands[action].trigger()
    assert opened == [True]
    assert hands.document.bag != demo()


@pytest.mark.parametrize(("name", "text", "litres"), [
    (FILLED, "20", 20.0), (INSIDE, "14 L", 14.0),
])  # fmt: skip
def test_typed_it_is_had_a_little_later(
    hands: Hands, answered: Callable[[], None], name: str, text: str, litres: float
) -> None:
    before, plain = hands.document.bag, ink(hands, name)
    hands.type(name, text)
    # What was typed stands there in muted ink, and nothing has changed yet.
    assert hands.window.redesigner.pending is not None
    assert hands.document.bag is before
    assert shown(hands, name) == f"{litres:.2f} L" and ink(hands, name) != plain
    assert hands.box(name).accessibleDescription()
    assert "1113" not in hands.note(name)
    answered()
    assert shown(hands, name) == f"{litres:.2f} L" and ink(hands, name) == plain
    found = capacity(hands.document.bag)
    assert {FILLED: found.filled, INSIDE: found.inside_filled}[name] == pytest.approx(
        litres, abs=0.005
    )
    assert hands.document.undo_stack.count() == 1
    assert hands.document.undo_stack.undoText().endswith(f"{litres:.2f} L")
    hands.undo()
    assert hands.document.bag == before


def test_saving_waits_for_what_was_typed(hands: Hands, tmp_path: Path) -> None:
    hands.answers.saved = tmp_path / "mine.json"
    before = hands.document.bag
    hands.type(FILLED, "20")
    assert hands.window.redesigner.pending is not None

    def give_up() -> None:
        (cancel,) = QApplication.activeModalWidget().findChildren(QPushButton)
        cancel.click()

    QTimer.singleShot(0, hands.window, give_up)
    hands.window.commands["save"].trigger()
    assert not hands.answers.saved.exists(), "the maker would not wait"
    assert hands.document.bag is before
    hands.window.commands["save"].trigger()
    assert hands.window.redesigner.pending is None
    saved = read_bag(hands.answers.saved)
    assert capacity(saved).filled == pytest.approx(20.0, abs=0.005)
    assert hands.document.saved
    assert QApplication.activeModalWidget() is None


def test_pinned_it_stays_while_another_size_is_typed(
    hands: Hands, answered: Callable[[], None]
) -> None:
    hands.press_pin(FILLED)
    hands.type("base_width", "12")
    assert hands.finished["base_width"] == pytest.approx(inch(11))
    assert hands.box("base_width").text() == "12 in"
    assert hands.box("base_width").accessibleDescription().startswith("Being worked out")
    answered()
    assert hands.box("base_width").accessibleDescription() == ""
    assert hands.finished["base_width"] == pytest.approx(inch(12), abs=1e-6)
    assert shown(hands, FILLED) == f"{DEMO_LITRES:.2f} L"
    # A cut figure too, where it would move.
    hands.type("panel_width", "19")
    answered()
    assert hands.document.bag.body.width == pytest.approx(inch(19))
    assert shown(hands, FILLED) == f"{DEMO_LITRES:.2f} L"
    # What moves no size of the bag is no question for it.
    hands.type("handle_gap", "6")
    assert hands.window.redesigner.pending is None
    assert hands.document.bag.parts["handles"].gap == pytest.approx(inch(6))


def test_a_conflict_stands_at_the_row_and_a_released_pin_solves_it(
    hands: Hands, answered: Callable[[], None]
) -> None:
    hands.press_pin("opening_width")
    hands.press_pin("face_height")
    before = hands.document.bag
    hands.type(FILLED, "25")
    answered()
    assert hands.document.bag is before
    assert hands.box(FILLED).text() == "25.00 L"
    assert "can be at most 18.7" in hands.box(FILLED).problem
    assert hands.note(FILLED) == hands.box(FILLED).problem
    bar = hands.window.measures.foot.releases
    assert [button.text() for button in bar.buttons] == [
        "Release Face height", "Release Opening width", "Release matched corners",
    ]  # fmt: skip
    hands.click(bar.buttons[0])
    answered()
    assert shown(hands, FILLED) == "25.00 L"
    assert hands.document.project.pinned == {"opening_width"}
    hands.undo()
    assert hands.document.bag == before
    assert hands.document.project.pinned == {"opening_width", "face_height"}


def test_given_up_what_was_refused_shows_what_the_bag_holds(
    hands: Hands, answered: Callable[[], None], qtbot: QtBot
) -> None:
    hands.press_pin("opening_width")
    hands.press_pin("face_height")
    hands.type(FILLED, "25")
    answered()
    qtbot.keyClick(hands.box(FILLED), Qt.Key.Key_Escape)
    assert shown(hands, FILLED) == f"{DEMO_LITRES:.2f} L"
    assert hands.box(FILLED).problem == hands.window.findings.refusal == ""


def test_held_down_it_stops_at_nothing(hands: Hands, qtbot: QtBot) -> None:
    hands.type(FILLED, "0.3")
    seen = []
    for _ in range(8):
        qtbot.keyClick(hands.box(FILLED), Qt.Key.Key_Down)
        qtbot.wait(20)
        seen.append(shown(hands, FILLED))
    assert seen == ["0.20 L", "0.10 L", *["0.00 L"] * 6]
    assert hands.note(FILLED) == unbroken(
        "Filled volume is −0.1 L: it must be between 0 and 300000 L."
    )
    hands.window.measures._waiting._tell()  # as after a while of working it out
    assert hands.note(FILLED).startswith("Filled volume is")
    assert "Filled volume" in hands.window.findings.refusal
    qtbot.keyClick(hands.box(FILLED), Qt.Key.Key_Up)
    qtbot.wait(20)
    assert (shown(hands, FILLED), hands.box(FILLED).problem) == ("0.10 L", "")
    assert hands.window.findings.refusal == ""


@pytest.mark.parametrize("other", ["edit", "undo", "pin", "open"])
def test_an_answer_to_another_bag_is_dropped(hands: Hands, qtbot: QtBot, other: str) -> None:
    hands.type("handle_gap", "6")
    hands.type(FILLED, "25")
    assert hands.window.redesigner.pending is not None
    match other:
        case "edit":
            hands.document.set_figures({"panel_width": inch(19)}, "Wider")
        case "undo":
            hands.undo()
        case "pin":
            hands.press_pin("base_width")
        case "open":
            hands.document.open(hands.document.bag)
    assert hands.window.redesigner.pending is None
    after = hands.document.bag
    qtbot.waitUntil(lambda: not hands.window.redesigner.work.busy, timeout=WAIT)
    qtbot.waitUntil(lambda: hands.window.session.capacity.current, timeout=WAIT)
    assert hands.document.bag is after
    assert shown(hands, FILLED) == f"{capacity(after).filled:.2f} L"


def test_a_held_key_is_followed_and_is_one_step(
    hands: Hands, answered: Callable[[], None], qtbot: QtBot
) -> None:
    hands.type(FILLED, "19")
    answered()
    steps = hands.document.undo_stack.count()
    for _ in range(10):
        qtbot.keyClick(hands.box(FILLED), Qt.Key.Key_Up)
        qtbot.wait(20)
    answered()
    assert shown(hands, FILLED) == "20.00 L"
    assert hands.document.undo_stack.count() == steps + 1
    hands.undo()
    qtbot.waitUntil(lambda: shown(hands, FILLED) == "19.00 L", timeout=WAIT)


def test_the_ruler_s_cost_stands_at_the_row(hands: Hands, answered: Callable[[], None]) -> None:
    hands.window.redesigner.set_rounding(True)
    hands.type(FILLED, "20")
    answered()
    held = capacity(hands.document.bag).filled
    assert shown(hands, FILLED) == f"{held:.2f} L"
    assert f"{abs(held - 20.0):.2f} L " in hands.note(FILLED)
    assert "what you asked" in hands.note(FILLED)
    assert hands.document.bag.body.width % inch(1 / 8) == pytest.approx(0.0, abs=1e-6)


def test_where_there_is_none_a_pin_stands_in_nobody_s_way(hands: Hands) -> None:
    hands.press_pin(FILLED)
    hands.document.replace_bag(without_part(hands.document.bag, "zip"), "Open")
    hands.type("base_width", "12")
    assert hands.window.redesigner.pending is None
    assert hands.finished["base_width"] == pytest.approx(inch(12), abs=1e-6)


@pytest.mark.parametrize(("name", "label", "bag"), [
    (INSIDE, "Filled volume, inside", lambda: demo(sandwich=sandwich(layer(thickness=97.0)))),
    (FILLED, "Filled volume",
     lambda: changed(demo(), panel_length=inch(14), pocket_cut_height=inch(5))),
])  # fmt: skip
def test_a_pin_of_what_cannot_be_told_can_be_released(
    hands: Hands, answered: Callable[[], None], name: str, label: str, bag: Callable[[], Bag]
) -> None:
    hands.press_pin(name)
    hands.document.replace_bag(bag(), "Open")
    answered()
    before = hands.document.bag
    hands.type("base_width", "12")
    answered()
    assert hands.document.bag is before
    assert "cannot be kept" in hands.box("base_width").problem
    bar = hands.window.measures.foot.releases
    assert [button.text() for button in bar.buttons] == [f"Release {label}"]
    hands.click(bar.buttons[0])
    answered()
    assert hands.finished["base_width"] == pytest.approx(inch(12), abs=1e-6)
    assert hands.document.project.pinned == frozenset()


def test_round_to_the_ruler_keeps_near_to_a_pin(
    hands: Hands, answered: Callable[[], None], qtbot: QtBot
) -> None:
    """By the box alone the steps of 10 mm next to the demo bag make 19.07 L of it."""
    before = capacity(hands.document.bag).filled
    hands.press_pin(FILLED)
    hands.window.commands["millimetres"].trigger()
    hands.window.display.set_step(10.0)
    hands.window.commands["round_now"].trigger()
    assert hands.document.bag.body.width == pytest.approx(inch(18.5))
    qtbot.waitUntil(lambda: not hands.window.redesigner.work.busy, timeout=WAIT)
    answered()
    assert hands.document.bag.body.width == pytest.approx(470.0)
    held = capacity(hands.document.bag).filled
    assert abs(held - before) < 0.2
    assert f"{abs(held - before):.2f} L " in hands.note(FILLED)
    assert hands.window.redesigner.asked[FILLED] == pytest.approx(before)
    assert hands.document.undo_stack.undoText() == "Round to the ruler"
    # Once more leads nowhere, and is told in passing.
    steps = hands.document.undo_stack.count()
    hands.window.commands["round_now"].trigger()
    qtbot.waitUntil(lambda: not hands.window.redesigner.work.busy, timeout=WAIT)
    assert hands.document.undo_stack.count() == steps
    assert "as near to a ruler step as it can be" in hands.window.statusBar().currentMessage()


def test_what_was_asked_for_is_filled_from_nothing(
    hands: Hands, answered: Callable[[], None]
) -> None:
    """To the last digit what any other view fills: the row shows what was asked, and is right."""
    hands.type(FILLED, "20")
    answered()
    filled_bag = hands.window.session.capacity.filled_bag
    assert filled_bag is not None and not filled_bag.followed
    assert filled_bag.capacity.filled == capacity(hands.document.bag).filled


def test_closing_gives_up_what_is_on_its_way(hands: Hands) -> None:
    hands.type(FILLED, "30")
    hands.document.undo_stack.setClean()
    hands.window.close()
    assert hands.window.redesigner.pending is None
