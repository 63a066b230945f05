"""From a measured bag, and take-up: typed with a tape in hand."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QApplication, QDialog, QDialogButtonBox, QLabel
from pytestqt.qtbot import QtBot

from app.dialogs.measured_bag import LEFT, PATTERN, FitDialog, MeasuredRows
from app.dialogs.take_up import DRAWN, PREDICTED, TakeUpDialog
from app.dialogs.take_up import LEFT as SAMPLE_LEFT
from app.session.display import Display
from app.window.status_line import StatusLine
from core.bag.choices import COMMAND_CHOICES
from core.bag.compute import compute
from core.bag.sewn_sample import SAMPLED
from core.base.units import unbroken
from core.model.figures import NO_TAKE_UP, Direction
from core.storage.bag_file import project_to_json
from core.storage.bag_files import demo_bag, sample
from core.storage.project import Project
from tests.app.hands import Hands
from tests.helpers import demo, inch, project_from_json


def enter(qtbot: QtBot, rows: MeasuredRows, **texts: str) -> None:
    for name, text in texts.items():
        box = rows.boxes[name]
        box.setFocus()
        box.selectAll()
        qtbot.keyClick(box, Qt.Key.Key_Delete)
        qtbot.keyClicks(box, text)
        qtbot.keyClick(box, Qt.Key.Key_Tab)


def ok(dialog: QDialog) -> object:
    (buttons,) = dialog.findChildren(QDialogButtonBox)
    return buttons.button(QDialogButtonBox.StandardButton.Ok)


def in_dialog(window_action: object, do: object) -> None:
    """Trigger an action whose dialog is modal, and do something in it."""

    def when_open() -> None:
        dialog = QApplication.activeModalWidget()
        if dialog is not None:
            timer.stop()
            do(dialog)

    timer = QTimer(interval=10)
    timer.timeout.connect(when_open)
    timer.start()
    window_action.trigger()


# --- From a measured bag --------------------------------------------------------------


@pytest.mark.parametrize("name", ["coolbox", "wrap", "jar", "demo"])
def test_what_is_asked_for_can_be_found_on_every_bag(qtbot: QtBot, name: str) -> None:
    """One tape for all constructions: it goes by no seam that only one of them has."""
    dialog = FitDialog(sample(name), Display())
    qtbot.addWidget(dialog)
    told = [label.text() for label in dialog.findChildren(QLabel)]
    assert any("as far as it lies flat" in text for text in told)
    assert not [text for text in told if "corner" in text or "closed and laid" in text]


@pytest.fixture
def fitting(qtbot: QtBot) -> FitDialog:
    dialog = FitDialog(demo(), Display())
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    return dialog


MEASURED = [
    "base_width",
    "gusset_depth",
    "face_height",
    "opening_width",
    "zip_offset",
    "pocket_height",
    "handle_drop_front",
    "handle_drop_back",
]


def test_nothing_is_measured_at_first(fitting: FitDialog) -> None:
    assert list(fitting.rows.boxes) == MEASURED
    assert all(box.text() == "" for box in fitting.rows.boxes.values())
    assert not ok(fitting).isEnabled()
    assert fitting.fitted is None
    assert fitting.rows.text("base_width", PATTERN) == unbroken("11 in")


def test_what_the_bag_lacks_is_not_asked_for(qtbot: QtBot) -> None:
    dialog = FitDialog(demo(pocket=None, handles=None), Display())
    qtbot.addWidget(dialog)
    assert set(dialog.rows.boxes) == set(MEASURED) - {
        "pocket_height",
        "handle_drop_front",
        "handle_drop_back",
    }


def test_contradicting_measurements_share_their_difference_live(
    qtbot: QtBot, fitting: FitDialog
) -> None:
    # opening = base + depth with equal allowances: 6 mm too much leave 2 mm on each of the
    # three (normal equations of least squares).
    enter(qtbot, fitting.rows, opening_width="460 mm", base_width="290 mm", gusset_depth="164 mm")
    assert fitting.fitted is not None
    for name, sign in (("opening_width", "+"), ("base_width", "−"), ("gusset_depth", "−")):
        assert fitting.rows.text(name, LEFT) == unbroken(f"{sign}5/64 in"), "2 mm"
    assert unbroken("5/64 in") in fitting.verdict.text()
    enter(qtbot, fitting.rows, opening_width="454 mm")
    assert fitting.rows.text("base_width", LEFT) == unbroken("agrees")
    assert fitting.verdict.text() == "The measurements agree with one another."
    enter(qtbot, fitting.rows, opening_width="", base_width="", gusset_depth="")
    assert fitting.fitted is None
    assert not ok(fitting).isEnabled()


@pytest.mark.parametrize("text", ["0", "-4", "abc", "5000 in", "20 km"])
def test_a_bad_measurement_is_told(qtbot: QtBot, fitting: FitDialog, text: str) -> None:
    enter(qtbot, fitting.rows, face_height="15")
    enter(qtbot, fitting.rows, base_width=text)
    told = fitting.rows.boxes["base_width"].problem or fitting.verdict.text()
    assert told.startswith(("Base width", "Measurements"))
    fitting.accept()
    assert fitting.result() != QDialog.DialogCode.Accepted


def test_no_verdict_is_given_while_a_measurement_cannot_be_read(
    qtbot: QtBot, fitting: FitDialog
) -> None:
    """What stood there before was said of other measurements."""
    enter(qtbot, fitting.rows, base_width="11", gusset_depth="6 3/4")
    before = fitting.verdict.text()
    assert ok(fitting).isEnabled()
    enter(qtbot, fitting.rows, gusset_depth="abc")
    assert "cannot be read" in fitting.verdict.text()
    assert not ok(fitting).isEnabled()
    enter(qtbot, fitting.rows, gusset_depth="6 3/4")
    assert fitting.verdict.text() == before
    assert ok(fitting).isEnabled()


def test_the_pattern_of_a_bag_on_the_table_is_one_step(hands: Hands, qtbot: QtBot) -> None:
    def measure(dialog: FitDialog) -> None:
        enter(qtbot, dialog.rows, base_width="12", gusset_depth="6", face_height="14")
        dialog.accept()

    in_dialog(hands.window.commands["fit_tape"], measure)
    for name, size in (("base_width", 12), ("gusset_depth", 6), ("face_height", 14)):
        assert hands.finished[name] == pytest.approx(inch(size), abs=1e-3)
    assert hands.document.undo_stack.undoText() == "From a measured bag"
    hands.undo()
    assert hands.document.bag == demo_bag()
    in_dialog(hands.window.commands["fit_tape"], lambda dialog: dialog.reject())
    assert hands.document.bag == demo_bag()


# --- Take-up ------------------------------------------------------------------------------


def sampled(qtbot: QtBot, project: Project) -> TakeUpDialog:
    dialog = TakeUpDialog(project, Display())
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    return dialog


def test_a_sample_predicts_and_tells_what_is_left(qtbot: QtBot) -> None:
    dialog = sampled(qtbot, Project(bag=demo()))
    assert list(dialog.rows.boxes) == ["base_width", "gusset_depth", "face_height", "opening_width"]
    assert not dialog.allow.isEnabled()
    assert dialog.rows.text("base_width", DRAWN) == unbroken("11 in")
    enter(qtbot, dialog.rows, base_width="10 1/2", opening_width="17 1/4", face_height="15")
    # k = sum(m p) / sum(p^2), the normal equation of m = k p.
    factor = (10.5 * 11 + 17.25 * 17.75) / (11**2 + 17.75**2)
    assert f"{100 * factor:.1f} % across" in dialog.verdict.text()
    assert dialog.rows.text("gusset_depth", PREDICTED) == ""
    assert dialog.rows.text("base_width", SAMPLE_LEFT).startswith("−")
    assert dialog.rows.text("opening_width", SAMPLE_LEFT).startswith("+")
    assert dialog.rows.text("face_height", SAMPLE_LEFT) == unbroken("agrees")


def test_take_up_is_allowed_for_switched_off_and_undone(hands: Hands, qtbot: QtBot) -> None:
    def measure(dialog: TakeUpDialog) -> None:
        enter(qtbot, dialog.rows, base_width="10 1/2", gusset_depth="6 1/2", face_height="14 5/8")
        dialog.allow.setChecked(True)
        dialog.accept()

    def switch(dialog: TakeUpDialog) -> None:
        assert dialog.allow.isChecked()
        assert dialog.rows.boxes["base_width"].text() == "10 1/2 in"
        dialog.allow.setChecked(False)
        dialog.accept()

    take_up = hands.window.commands["take_up"]
    in_dialog(take_up, measure)
    sample = hands.document.project.sample
    assert sample is not None
    assert sample.allowed_for
    for name in ("base_width", "gusset_depth", "face_height"):
        factor = sample.factor(SAMPLED[name])
        assert hands.finished[name] == pytest.approx(sample.drawn[name], abs=1e-6)
        drawn = hands.document.result.drawn[name]
        assert drawn * factor == pytest.approx(sample.drawn[name], abs=1e-6)
    assert "take-up" in hands.window.measures._finished._title.text()
    in_dialog(take_up, lambda dialog: dialog.accept())
    assert hands.document.undo_stack.count() == 1, "nothing was changed"
    in_dialog(take_up, switch)
    assert hands.document.bag == demo_bag()
    assert hands.document.project.sample is not None
    assert not hands.document.project.sample.allowed_for
    assert hands.document.undo_stack.count() == 2
    hands.undo()
    assert hands.document.project.sample == sample
    hands.undo()
    assert hands.document.bag == demo_bag(), "the former sizes"
    assert hands.document.project.sample == replace(sample, allowed_for=False), (
        "and what it measured"
    )
    assert hands.document.result.finished == compute(demo_bag()).finished
    hands.window.commands["redo"].trigger()
    assert hands.document.project.sample == sample
    assert hands.window.variants.restorable == ()


def test_a_sample_that_is_forgotten_or_replaced_is_brought_back(hands: Hands, qtbot: QtBot) -> None:
    document, keeping = hands.document, hands.window.variants

    def measured(text: str, *, allow: bool) -> Callable[[TakeUpDialog], None]:
        def measure(dialog: TakeUpDialog) -> None:
            enter(qtbot, dialog.rows, base_width=text)
            dialog.allow.setChecked(allow)
            dialog.accept()

        return measure

    take_up = hands.window.commands["take_up"]
    in_dialog(take_up, measured("10 1/2", allow=False))
    first = document.project.sample
    assert first is not None
    assert document.undo_stack.count() == 0, "to measure changes no bag"
    in_dialog(take_up, measured("", allow=False))
    assert document.project.sample is None
    (lost,) = keeping.restorable
    assert keeping.label(lost) == "Measurements of the sample (Boxed panel)"
    assert keeping.bring_back(lost)
    assert document.project.sample == first
    # One that the pattern is drawn for goes with its bag, and the other one waits.
    in_dialog(take_up, measured("10 1/2", allow=True))
    allowed = document.bag
    in_dialog(take_up, measured("10 3/4", allow=True))
    second = document.project.sample
    assert document.undo_stack.count() == 2
    hands.undo()
    assert document.bag == allowed
    assert document.project.sample == replace(first, allowed_for=True)
    (lost,) = keeping.restorable
    assert lost.sample == second
    assert keeping.bring_back(lost)
    assert document.project.sample == second
    assert document.result.finished["base_width"] == pytest.approx(inch(11), abs=1e-6)
    assert document.result.drawn["base_width"] == pytest.approx(inch(11) * 11 / 10.75)


def test_each_construction_keeps_a_sample_of_its_own(hands: Hands, qtbot: QtBot) -> None:
    def measure(dialog: TakeUpDialog) -> None:
        told.append(" ".join(label.text() for label in dialog.findChildren(QLabel)))
        enter(qtbot, dialog.rows, gusset_depth="6 1/2")
        dialog.allow.setChecked(True)
        dialog.accept()

    document, choice = hands.document, COMMAND_CHOICES["construction"]
    chooser, said, told = hands.window.measures._chooser, [], []
    chooser._session.said.connect(said.append)
    states = [document.project]
    for kind in ("wrap", "boxed-panel"):
        in_dialog(hands.window.commands["take_up"], measure)
        states.append(document.project)
        assert document.bag.take_up.deep == pytest.approx(6.5 / 6.75)
        assert chooser.choose(choice, kind)
        states.append(document.project)
        assert document.result.finished["gusset_depth"] == pytest.approx(inch(6.75))
    assert "No take-up is allowed for" in said[0]
    assert ["construction: Boxed panel." in told[0], "construction: Wrap." in told[1]] == [True] * 2
    beside = "counts for another construction: Boxed panel."
    assert [beside in each for each in told] == [False, True]
    assert states[2].bag.take_up == NO_TAKE_UP
    assert states[4].samples.keys() == {"boxed-panel", "wrap"}
    assert states[4].bag.body == states[1].bag.body, "the first construction as it was left"
    for state in reversed(states[:-1]):
        hands.undo()
        assert document.project.bag == state.bag
    assert {kind: each.allowed_for for kind, each in document.project.samples.items()} == {
        "boxed-panel": False,
        "wrap": False,
    }, "what was measured stays"


def test_with_take_up_on_a_typed_size_is_what_is_sewn(hands: Hands, qtbot: QtBot) -> None:
    def measure(dialog: TakeUpDialog) -> None:
        enter(qtbot, dialog.rows, base_width="10 1/2", gusset_depth="6 1/2", face_height="14 5/8")
        dialog.allow.setChecked(True)
        dialog.accept()

    in_dialog(hands.window.commands["take_up"], measure)
    assert hands.box("base_width").text() == "11 in", "what it finishes at stays"
    assert hands.note("base_width") == unbroken("≈ 11 1/2 in as drawn")
    assert hands.note("handle_loop") == "", "strips lie on cut cloth"
    assert "as sewn" in hands.window.measures._finished._title.text()
    hands.type("base_width", "12")
    document = hands.document
    assert document.result.finished["base_width"] == pytest.approx(inch(12))
    assert document.result.drawn["base_width"] == pytest.approx(inch(12) * 11 / 10.5)
    hands.type("box_volume", "20")
    sewn, drawn = document.result.finished, document.result.drawn
    assert sewn["box_volume"] == pytest.approx(20.0)
    shares = (10.5 / 11) * (6.5 / 6.75) * (14.625 / 15)
    assert drawn["box_volume"] * shares == pytest.approx(20.0)
    board, wall = document.bag.parts.get("board"), document.bag.site.wall
    assert board.width <= sewn["base_width"] - 2 * wall - inch(1 / 4) + 1e-6
    told = hands.window.fold._figure_text("base_width")
    assert "sewn" in told and "drawn" in told
    line = hands.window.findChild(StatusLine)
    line.refresh()
    assert any(text.startswith("Box") and text.endswith("as sewn") for text in line.texts)
    for _ in range(document.undo_stack.count()):
        hands.undo()
    assert document.bag == demo_bag()
    assert document.bag.take_up == NO_TAKE_UP
    assert hands.note("base_width") == ""
    assert hands.window.fold._figure_text("base_width") == unbroken("11 in")


def test_what_changed_is_told_by_what_comes_out(hands: Hands, qtbot: QtBot) -> None:
    """The pattern as it was would have been sewn to 10 1/2 in; the new one is to 11 in."""

    def measure(dialog: TakeUpDialog) -> None:
        enter(qtbot, dialog.rows, base_width="10 1/2")
        dialog.allow.setChecked(True)
        dialog.accept()

    in_dialog(hands.window.commands["take_up"], measure)
    starting = hands.document.starting
    assert starting.finished["base_width"] == pytest.approx(inch(10.5))
    assert starting.drawn["base_width"] == pytest.approx(inch(11))
    again = project_from_json(project_to_json(hands.document.to_keep), source="bag.json")
    assert compute(again.starting.bag).finished["base_width"] == pytest.approx(inch(10.5))
    hands.undo()
    assert hands.document.starting.finished["base_width"] == pytest.approx(inch(11))


def test_another_measurement_is_allowed_for_from_the_pattern_as_it_was(qtbot: QtBot) -> None:
    first = sampled(qtbot, Project(bag=demo()))
    enter(qtbot, first.rows, base_width="10 1/2")
    first.allow.setChecked(True)
    first.accept()
    second = sampled(qtbot, first.project)
    enter(qtbot, second.rows, base_width="10 3/4")
    second.accept()
    sample = second.project.sample
    assert sample is not None
    assert sample.factor(Direction.ACROSS) == pytest.approx(10.75 / 11)
    plain = sampled(qtbot, Project(bag=demo()))
    enter(qtbot, plain.rows, base_width="10 3/4")
    plain.allow.setChecked(True)
    plain.accept()
    for name in ("width", "length", "corner_depth", "corner_width"):
        here, there = second.project.bag.body, plain.project.bag.body
        assert getattr(here, name) == pytest.approx(getattr(there, name), abs=1e-6)


def test_a_new_sample_is_drawn_as_the_pattern_is_now(qtbot: QtBot) -> None:
    first = sampled(qtbot, Project(bag=demo_bag()))
    enter(qtbot, first.rows, base_width="10 1/2")
    first.allow.setChecked(True)
    first.accept()
    second = sampled(qtbot, first.project)
    enter(qtbot, second.rows, base_width="abc")
    assert second.rows.boxes["base_width"].problem
    qtbot.mouseClick(second.fresh, Qt.MouseButton.LeftButton)
    assert second.rows.boxes["base_width"].text() == ""
    assert not second.rows.boxes["base_width"].problem
    assert second.rows.text("base_width", DRAWN) == unbroken("≈ 11 1/2 in")
    second.accept()
    assert second.project.sample is None
    assert second.project.bag == demo_bag(), "without a sample nothing is allowed for"


@pytest.mark.parametrize("text", ["0", "-4", "abc", "40", "1/4"])
def test_a_slip_of_the_tape_is_told_and_nothing_taken(qtbot: QtBot, text: str) -> None:
    project = Project(bag=demo())
    dialog = sampled(qtbot, project)
    enter(qtbot, dialog.rows, base_width=text)
    told = dialog.rows.boxes["base_width"].problem or dialog.verdict.text()
    assert told.startswith("Base width")
    dialog.accept()
    assert dialog.result() != QDialog.DialogCode.Accepted
    assert dialog.project is project


@pytest.mark.parametrize("over", [0.1, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0])
def test_a_difference_is_told_with_its_length_or_not_at_all(
    qtbot: QtBot, fitting: FitDialog, over: float
) -> None:
    sizes = {"opening_width": f"{454 + over} mm", "base_width": "290 mm", "gusset_depth": "164 mm"}
    enter(qtbot, fitting.rows, **sizes)
    assert " is , of" not in fitting.verdict.text()
