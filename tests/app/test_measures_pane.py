"""The list of measures: what it shows, what may be typed, how impossible numbers are told."""

import math
from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QFont, QKeySequence
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QComboBox, QLabel, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from app.views.measures import pane as pane_of_measures
from app.views.measures.pane import MeasuresPane
from app.views.measures.row import MeasureGroup, MeasureRow
from app.widgets.desktop import MEASURES_WIDTH
from app.widgets.figure_box import FigureBox
from core.bag.bag import cut_value
from core.bag.choices import CHOICES, word_of
from core.bag.tables import CUT_FIGURES, CUT_ROWS, FINISHED_FIGURES, FINISHED_ROWS
from core.base.units import Unit, unbroken
from core.model.figures import Quantity
from core.parts.board.board import BoardWay
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from core.tops.zip_forward.zip import ZipForward
from tests.app.hands import Hands
from tests.app.sessions import session_on
from tests.helpers import ELSEWHERE, demo, inch

PANEL_IN_ORDER = {
    "panel_width": True,
    "panel_length": True,
    "front_trim": True,
    "corner_cut_width": True,
    "corner_cut_depth": True,
    "side_seam": False,
    "corner_seam": False,
    "zip_seam": False,
}
"""What is typed of the demo bag's panel, as it is read -> whether it has a pin."""
CUT = [figure.name for figure in CUT_FIGURES]
BAD = [
    "nan",
    "inf",
    "-inf",
    "=-3",
    "18 -1/2",
    "abc",
    "",
    "   ",
    "18,5",
    "1e999",
    "10 km",
    "10000 m",
    "1/0",
    "5~",
]

FILLED, INSIDE = "filled_volume", "inside_filled_volume"


class Bench:
    """A document on the demo bag, its display and its measures."""

    def __init__(self, qtbot: QtBot) -> None:
        self.session = session_on(demo())
        self.document, self.display = self.session.document, self.session.display
        self.redesigner = self.session.redesigner
        self.pane = MeasuresPane(self.session)
        qtbot.addWidget(self.pane)
        self.pane.resize(360, 900)
        self.pane.show()
        self.pane.activateWindow()
        self._qtbot = qtbot

    def type(self, name: str, text: str, end: Qt.Key = Qt.Key.Key_Return) -> None:
        box = self.pane.cut_rows[name].box
        box.setFocus()
        box.selectAll()
        self._qtbot.keyClick(box, Qt.Key.Key_Delete)
        self._qtbot.keyClicks(box, text)
        self._qtbot.keyClick(box, end)

    def choose(self, name: str, key: str) -> None:
        box = self.pane.choice_rows[name].row.field
        assert isinstance(box, QComboBox)
        index = box.findData(key)
        box.setCurrentIndex(index)
        box.activated.emit(index)


@pytest.fixture
def bench(qtbot: QtBot) -> Bench:
    return Bench(qtbot)


def have_every_row(bench: Bench) -> None:
    """Choose what the demo bag lacks rows of: each is made when its figure first comes."""
    bench.choose("corners", "sewn-across")
    bench.choose("bottom", "seam")
    bench.choose("handle_style", "two separate")


def test_every_figure_of_the_tables_has_a_row_with_its_help(bench: Bench) -> None:
    absent = set(CUT) - set(bench.pane.cut_rows)
    alone = {"handle_leg", "handle_back_lower"}
    assert absent == {*(ELSEWHERE & set(CUT)), "corner_mark", "bottom_seam", *alone}
    have_every_row(bench)
    assert set(bench.pane.cut_rows) == set(CUT) - ELSEWHERE
    named = {figure.name for figure in FINISHED_FIGURES} - ELSEWHERE
    assert set(bench.pane.finished_rows) == named - {FILLED, INSIDE}
    for cut in bench.pane.cut_rows.values():
        assert cut.box.accessibleName() == cut.figure.label
        assert cut.box.toolTip() == cut.figure.help


@pytest.fixture
def roomy(monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a screen with room: the offscreen one has 800 px."""
    monkeypatch.setattr(pane_of_measures, "NARROW", 0)


@pytest.mark.parametrize(
    ("wider", "height", "at_once"), [(0, 600, False), (-1, 600, True), (0, 3000, True)]
)
def test_rows_out_of_sight_come_after_the_first_picture(
    qtbot: QtBot, roomy: None, wider: int, height: int, at_once: bool
) -> None:
    """At once where they would be seen, or might ask for more width than there is."""
    pane = MeasuresPane(session_on(demo()))
    qtbot.addWidget(pane)
    pane.resize(MEASURES_WIDTH + wider, height)
    pane.show()
    first = len(pane.findChildren(MeasureRow))
    qtbot.waitUntil(lambda: len(pane.findChildren(MeasureRow)) > 45)
    assert (first > 45) is at_once
    assert len(pane.boxes) == len(pane.findChildren(FigureBox))


def test_the_first_rows_are_those_in_sight(qtbot: QtBot, roomy: None) -> None:
    """In a window of 1400x900: a row more costs the start a third of a millisecond."""
    pane = MeasuresPane(session_on(demo()))
    qtbot.addWidget(pane)
    pane.resize(MEASURES_WIDTH, 819)
    pane.show()
    rows = pane.findChildren(MeasureRow)
    at = {row.field.objectName(): row.mapTo(pane.viewport(), QPoint()).y() for row in rows}
    assert len(at) > 15
    assert {name: y for name, y in at.items() if y >= pane.viewport().height()} == {}
    layers = demo().sandwich.layers
    assert not any(label.text() == layers[0].role for label in pane.findChildren(QLabel))
    pane.make_rest()
    assert any(label.text() == layers[0].role for label in pane.findChildren(QLabel))


@pytest.mark.parametrize("ask", [MeasuresPane.show_figure, MeasuresPane._row_of])
def test_a_row_out_of_sight_is_there_for_who_asks(
    qtbot: QtBot, roomy: None, ask: Callable[[MeasuresPane, str], object]
) -> None:
    pane = MeasuresPane(session_on(demo()))
    qtbot.addWidget(pane)
    assert not pane.findChildren(FigureBox, "board_width")
    ask(pane, "board_width")
    assert pane.findChildren(FigureBox, "board_width")


def test_a_row_that_comes_later_has_its_place_and_its_turn(bench: Bench, qtbot: QtBot) -> None:
    have_every_row(bench)
    qtbot.wait(50)  # laid out
    rows = bench.pane.cut_rows | bench.pane.finished_rows
    listed = {figure.name: figure for figure in (*CUT_ROWS, *FINISHED_ROWS)}
    for group in bench.pane.findChildren(MeasureGroup):
        shown = [row for row in group.rows if not row.isHidden()]
        assert [row.y() for row in shown] == sorted(row.y() for row in shown)
        for kind in (CUT_ROWS, FINISHED_ROWS):
            named = [row.field.objectName() for row in shown]
            here = [each.name for each in kind if each.name in named]
            volumes = [name for name in here if listed[name].quantity is Quantity.VOLUME]
            last = volumes if kind is FINISHED_ROWS else []
            wanted = [name for name in here if name not in last] + last
            assert [name for name in named if name in here] == wanted
    groups = bench.pane.findChildren(MeasureGroup)
    shown = [row for group in groups for row in group.rows if not row.isHidden()]
    for name in ("corner_mark", "bottom_seam", "handle_leg"):
        row = rows[name].row
        before, after = (shown[shown.index(row) + way] for way in (-1, 1))
        (before.pin or before.field).setFocus()
        qtbot.keyClick(bench.pane.focusWidget(), Qt.Key.Key_Tab)
        assert bench.pane.focusWidget() is row.field
        (row.pin or row.field).setFocus()
        qtbot.keyClick(bench.pane.focusWidget(), Qt.Key.Key_Tab)
        assert bench.pane.focusWidget() is after.field
    box = rows["corner_mark"].box
    box.set_problem("Something is wrong.")
    assert bench.pane.foot.text == "Something is wrong.", "it is told at the foot"


def test_a_typed_measure_is_one_step_and_shows_what_follows(bench: Bench) -> None:
    bench.type("corner_cut_depth", "3 1/2")
    assert bench.document.bag.body.corner_depth == 88.9
    assert bench.document.undo_stack.count() == 1
    assert bench.document.undo_stack.undoText() == "Corner cut depth"
    assert bench.pane.cut_rows["corner_cut_depth"].row.change.text == "+1/2"
    assert bench.pane.finished_rows["gusset_depth"].shown == "7 3/4 in"
    assert bench.pane.finished_rows["gusset_depth"].row.change.text == "+1"
    bench.document.undo_stack.undo()
    assert bench.pane.cut_rows["corner_cut_depth"].box.text() == "3 in"
    assert bench.pane.cut_rows["corner_cut_depth"].row.change.text == ""
    assert bench.document.undo_stack.count() == 1, "showing the old value is no new step"


@pytest.mark.parametrize("text", BAD)
def test_an_impossible_text_changes_nothing_and_is_told_beside_every_field(
    bench: Bench, text: str
) -> None:
    bench.choose("bottom", "seam")  # so that every row is there
    bench.choose("handle_style", "two separate")
    for name, cut in bench.pane.cut_rows.items():
        bench.choose("corners", "sewn-across" if name == "corner_mark" else "cut")
        before, steps = bench.document.bag, bench.document.undo_stack.count()
        bench.type(name, text)
        assert bench.document.bag is before
        assert bench.document.undo_stack.count() == steps
        assert cut.box.text() == text, "what was typed stays to be corrected"
        assert cut.box.problem.startswith(cut.figure.label)
        assert cut.row.note == cut.box.problem
        assert len(cut.box.problem) > len(cut.figure.label) + 12


def test_zero_is_taken_or_told(bench: Bench) -> None:
    bench.choose("bottom", "seam")  # so that every row is there
    bench.choose("handle_style", "two separate")
    for name, cut in bench.pane.cut_rows.items():
        bench.type(name, "0")
        taken = cut_value(bench.document.bag, name) == 0.0
        assert taken is not bool(cut.box.problem), name
        assert not (taken and cut.figure.above_low), name


@pytest.mark.parametrize("value", [math.nan, math.inf, -1.0])
def test_the_document_refuses_what_no_box_would_send(bench: Bench, value: float) -> None:
    before = bench.document.bag
    refused: list[object] = []
    bench.document.refused.connect(refused.append)
    assert not bench.document.set_figures({"panel_width": value}, "panel width")
    assert bench.document.bag is before
    assert len(refused) == 1


def test_a_number_that_the_rest_of_the_bag_forbids_says_so_and_can_be_fixed(bench: Bench) -> None:
    bench.type("corner_cut_width", "9 1/4")
    cut = bench.pane.cut_rows["corner_cut_width"]
    assert cut.box.problem == unbroken(
        "Corner cut width is 9 1/4 in: it must be less than half the panel, 9 1/4 in."
    )
    bench.type("corner_cut_width", "4")
    assert cut.box.problem == ""
    assert cut.row.note == ""
    assert bench.document.bag.body.corner_width == 101.6


def test_a_held_arrow_is_one_step(bench: Bench, qtbot: QtBot) -> None:
    box = bench.pane.cut_rows["panel_width"].box
    box.setFocus()
    for _ in range(8):
        qtbot.keyClick(box, Qt.Key.Key_Up)
    assert bench.document.bag.body.width == 473.075, "the others wait until that is painted"
    qtbot.waitUntil(lambda: bench.document.bag.body.width == 495.3)
    assert bench.document.undo_stack.count() == 1
    bench.document.undo_stack.undo()
    assert bench.document.bag.body.width == 469.9


def test_there_and_back_again_is_no_step(bench: Bench, qtbot: QtBot) -> None:
    box = bench.pane.cut_rows["panel_length"].box
    box.setFocus()
    qtbot.keyClick(box, Qt.Key.Key_Up)
    qtbot.keyClick(box, Qt.Key.Key_Down)
    qtbot.waitUntil(lambda: bench.document.bag.body.length == 977.9)
    assert bench.document.saved


def test_switching_units_never_changes_the_bag(bench: Bench) -> None:
    before = bench.document.bag
    for unit in (Unit.MM, Unit.CM, Unit.INCH):
        bench.display.set_unit(unit)
    assert bench.document.bag is before
    assert bench.document.undo_stack.count() == 0
    assert bench.pane.cut_rows["panel_width"].box.text() == "18 1/2 in"


def test_undo_keys_in_a_field_are_the_documents_until_something_is_typed(
    bench: Bench, qtbot: QtBot
) -> None:
    box = bench.pane.cut_rows["panel_width"].box
    undone: list[bool] = []
    action = bench.document.undo_stack.createUndoAction(bench.pane)
    action.setShortcut(QKeySequence.StandardKey.Undo)
    action.triggered.connect(lambda: undone.append(True))
    bench.pane.addAction(action)
    bench.type("panel_width", "19")
    qtbot.keyClick(box, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert undone == [True]
    assert bench.document.bag.body.width == 469.9


def test_every_choice_has_a_row_in_its_group(bench: Bench) -> None:
    assert "tips" not in bench.pane.choice_rows, "there are no tips where corners are cut"
    bench.choose("corners", "sewn-across")
    fields = [row.field for group in bench.pane.findChildren(MeasureGroup) for row in group.rows]
    named = {each.row.field: name for name, each in bench.pane.choice_rows.items()}
    assert [named[field] for field in fields if field in named] == [
        *("construction", "bottom", "corners", "tips", "top", "zip_gauge", "zip_sold"),
        *("has_pocket", "handle_style", "has_board", "board"),
    ]


def test_tips_that_are_left_in_have_no_corner_seam_to_set(bench: Bench) -> None:
    """It comes back as it was when they are trimmed."""
    bench.choose("corners", "sewn-across")
    row = bench.pane.cut_rows["corner_seam"].row
    assert not row.isHidden()
    shown = bench.pane.cut_rows["corner_seam"].box.text()
    bench.choose("tips", "left-in")
    assert row.isHidden()
    bench.choose("tips", "trimmed")
    assert not row.isHidden()
    assert bench.pane.cut_rows["corner_seam"].box.text() == shown


def test_what_a_choice_takes_away_is_told(bench: Bench) -> None:
    """Cut 1/2 in wider than its depth wants, the edges of a corner differ by 1 in: half a base."""
    said: list[str] = []
    bench.session.said.connect(said.append)
    bench.choose("corners", "sewn-across")
    bench.document.undo_stack.undo()
    assert said == [], "corners that match lose nothing"
    wide = bench.document.bag.body.corner_width + inch(0.5)
    bench.document.set_figures({"corner_cut_width": wide}, "Widen")
    base = bench.document.result.finished["base_width"]
    bench.choose("corners", "sewn-across")
    assert [each.replace("\u00a0", " ") for each in said] == [
        "The edges of each corner were cut to differ by 1 in: sewn across they are one line, and "
        "the base is 1 in wider."
    ]
    assert bench.document.result.finished["base_width"] == pytest.approx(base + inch(1))


_OF_BODIES = {"strip_pieces": "wrap", "body_pieces": "separate-base"}
"""Choice -> a construction that has it, where the demo bag's has not."""


@pytest.mark.parametrize("choice", CHOICES, ids=lambda choice: choice.name)
def test_every_option_of_every_choice_is_one_step_and_can_be_undone(
    bench: Bench, choice: object
) -> None:
    start = bench.document.bag
    if choice.name == "tips":
        bench.choose("corners", "sewn-across")
    if choice.name in _OF_BODIES:
        bench.choose("construction", _OF_BODIES[choice.name])
    for key, _ in choice.options:
        before = bench.document.bag
        bench.choose(choice.name, key)
        if key == "top-strip":  # the demo bag closes flat
            assert bench.document.bag == before
            continue
        assert word_of(bench.document.bag, choice) == key
        if bench.document.bag != before:
            bench.document.undo_stack.undo()
            assert bench.document.bag == before
            bench.document.undo_stack.redo()
    while bench.document.undo_stack.canUndo():
        bench.document.undo_stack.undo()
    assert bench.document.bag == start


@pytest.mark.parametrize(
    ("name", "gone", "back"),
    [
        ("has_pocket", "none", "front"),
        ("handle_style", "none", "loop"),
        ("has_board", "none", "board"),
        ("top", "hem", "zip-forward"),
    ],
)
def test_a_part_taken_back_has_its_own_numbers(
    bench: Bench, name: str, gone: str, back: str
) -> None:
    start = bench.document.bag
    bench.choose(name, gone)
    bench.choose(name, back)
    assert bench.document.bag == start


def test_a_zip_for_a_deep_hem_is_told_and_gives_the_hem_back(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    tote = sample("tote")
    bench.display.set_unit(Unit.CM)
    bench.document.open(tote)
    with qtbot.waitSignal(bench.session.said) as said:
        bench.choose("top", "zip-forward")
    assert said.args[0].startswith("The allowance at the top edge is now 1\u00a0cm; the walls")
    assert bench.document.undo_stack.count() == 1
    zipped = bench.document.bag
    bench.choose("top", "hem")
    assert bench.document.bag == tote
    bench.choose("top", "zip-forward")
    assert bench.document.bag == zipped


@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
def test_fresh_parts_suit_a_bag_that_never_had_them(qtbot: QtBot, unit: Unit) -> None:
    bench = Bench(qtbot)
    bare = demo(pocket=None, handles=None, board=None, top=Hem(), unit=unit)
    bench.document.open(bare)
    chosen = {
        "top": "zip-forward",
        "has_pocket": "both",
        "handle_style": "loop",
        "has_board": "board",
    }
    for name, key in chosen.items():
        bench.choose(name, key)
    stops = [each for each in bench.document.result.findings if each.severity.word == "stop"]
    assert stops == []
    drop = bench.document.result.finished["handle_drop_front"]
    assert drop is not None
    assert drop >= inch(10)


@pytest.mark.parametrize(
    ("unit", "seam", "zip_length"), [(Unit.INCH, inch(3 / 8), inch(22)), (Unit.MM, 10.0, 550.0)]
)
def test_new_seams_have_the_usual_allowance_and_a_new_zip_is_sold(
    qtbot: QtBot, unit: Unit, seam: float, zip_length: float
) -> None:
    """The demo's panel takes 20 1/2 in of zip: 22 in, or 55 cm, is the next that is sold."""
    bench = Bench(qtbot)
    bench.document.open(demo(top=Hem(), unit=unit))
    bench.choose("top", "zip-forward")
    bench.choose("bottom", "seam")
    bag = bench.document.bag
    assert bag.body.bottom_seam == pytest.approx(seam)
    assert isinstance(bag.top, ZipForward)
    assert bag.top.length == pytest.approx(zip_length)
    told = {each.code for each in bench.document.result.findings}
    assert not {"teeth-under-needle", "zip-length-not-sold", "zip-too-short"} & told


def test_what_is_asked_of_a_zip_is_hidden_without_one(bench: Bench) -> None:
    rows = [bench.pane.choice_rows[name].row for name in ("zip_gauge", "zip_sold")]
    assert not any(row.isHidden() for row in rows)
    bench.choose("top", "hem")
    assert all(row.isHidden() for row in rows)


def test_a_coarser_zip_on_the_same_tape_is_told(bench: Bench) -> None:
    tape = 2 * bench.document.bag.body.top_seam + 12.0
    bench.document.set_figures({"zip_tape_width": tape}, "test")
    bench.choose("zip_gauge", "10")
    assert "teeth-under-needle" in {each.code for each in bench.document.result.findings}
    bench.choose("zip_gauge", "3")
    assert "teeth-under-needle" not in {each.code for each in bench.document.result.findings}


def test_a_zip_by_length_has_any_length(bench: Bench) -> None:
    bench.document.set_figures({"zip_length": inch(21.5)}, "test")
    assert "zip-length-not-sold" in {each.code for each in bench.document.result.findings}
    bench.choose("zip_sold", "length")
    assert "zip-length-not-sold" not in {each.code for each in bench.document.result.findings}


def test_how_the_board_gets_in_is_asked_of_a_bag_that_has_one(bench: Bench) -> None:
    row = bench.pane.choice_rows["board"].row
    before = bench.document.bag.parts.get("board")
    bench.choose("board", "fused")
    fused = bench.document.bag.parts.get("board")
    assert fused.way is BoardWay.FUSED
    assert fused.width == before.width, "it suits either room"
    bench.choose("has_board", "none")
    assert row.isHidden()
    bench.choose("has_board", "board")
    assert not row.isHidden()
    assert bench.document.bag.parts.get("board") == fused


def test_rows_of_a_part_that_is_left_out_are_hidden(bench: Bench) -> None:
    bench.choose("has_pocket", "none")
    assert bench.pane.cut_rows["pocket_drop"].row.isHidden()
    assert bench.pane.finished_rows["pocket_height"].row.isHidden()
    assert not bench.pane.choice_rows["has_pocket"].row.isHidden()


@pytest.mark.parametrize(
    ("figure", "value", "lost"),
    [
        ("handle_strips", 1, {"handle_drop_front", "handle_drop_back"}),
        ("handle_gap", 0.0, {"pocket_middle_compartment"}),
        ("pocket_drop", 762.0, {"pocket_side_compartment", "pocket_middle_compartment"}),
    ],
)
def test_a_size_that_numbers_take_away_stays_as_a_dash(
    bench: Bench, figure: str, value: float, lost: set[str]
) -> None:
    rows = {name: each.row for name, each in bench.pane.finished_rows.items()}
    listed = {name for name, row in rows.items() if not row.isHidden()}
    bench.document.set_figures({figure: value}, "x")
    assert all(bench.document.result.finished[name] is None for name in lost)
    assert {name for name, row in rows.items() if not row.isHidden()} == listed, "none moved"
    for name in lost:
        field = rows[name].field
        line = field.lineEdit() if isinstance(field, QAbstractSpinBox) else field
        assert isinstance(line, QLineEdit)
        assert (line.text() or line.placeholderText()) == "–"
    bench.choose("handle_style", "none")
    assert all(rows[name].isHidden() for name in lost)


def test_tab_goes_through_fields_and_pins_in_reading_order(bench: Bench, qtbot: QtBot) -> None:
    stops: list[QWidget] = []
    for name, pinned in PANEL_IN_ORDER.items():
        cut = bench.pane.cut_rows[name]
        stops.append(cut.box)
        if pinned:
            assert cut.row.pin is not None
            stops.append(cut.row.pin)
    stops[0].setFocus()
    seen = [stops[0]]
    for _ in stops[1:]:
        qtbot.keyClick(bench.pane.focusWidget(), Qt.Key.Key_Tab)
        seen.append(bench.pane.focusWidget())
    assert seen == stops


def test_a_figure_that_is_asked_for_gets_the_focus(bench: Bench) -> None:
    bench.document.figure_asked.emit("foot_clearance")
    assert bench.pane.cut_rows["foot_clearance"].box.hasFocus()
    for name, row in bench.pane.finished_rows.items():
        bench.document.figure_asked.emit(name)
        assert row.row.field.hasFocus() or row.row.isHidden(), name
    assert not bench.pane.finished_rows["base_width"].row.isHidden()
    last = bench.pane.focusWidget()
    for name in ("layers", "no such figure"):
        bench.document.figure_asked.emit(name)
        assert bench.pane.focusWidget() is last, "there is no field to go to"


def test_counts_are_shown_without_a_unit(bench: Bench) -> None:
    counts = [cut for cut in bench.pane.cut_rows.values() if cut.box.text().isdigit()]
    assert [cut.figure.name for cut in counts] == ["handle_strips"]
    assert [cut.figure.quantity for cut in counts] == [Quantity.COUNT]


def test_what_stands_over_the_top_is_true_of_an_open_one_too(bench: Bench) -> None:
    bench.document.open(demo(top=Hem()))
    over = bench.pane.choice_rows["top"].row.parentWidget()
    assert isinstance(over, MeasureGroup)
    assert over.accessibleName() == "Top"


def test_a_sum_is_told_until_the_bag_or_the_unit_is_another(bench: Bench, qtbot: QtBot) -> None:
    said = "Pocket drop: 4 1/2 in − 1 in = 3 1/2 in"
    box, foot = bench.pane.cut_rows["pocket_drop"].box, bench.pane.foot

    def undo() -> None:
        bench.document.undo_stack.undo()

    def step() -> None:
        qtbot.keyClick(box, Qt.Key.Key_Up)

    def show_metric() -> None:
        bench.display.set_unit(Unit.CM)

    for change in (step, undo, show_metric):
        bench.type("pocket_drop", "4 1/2")
        bench.type("pocket_drop", "-1")
        assert foot.text == said
        change()
        assert foot.text == "", change.__name__
        bench.display.set_unit(Unit.INCH)
    bench.type("pocket_drop", "4 1/2")
    bench.type("pocket_drop", "-1")
    bench.document.open(demo())
    assert foot.text == ""


@pytest.mark.parametrize("name", ["corners", "top"])
def test_a_choice_by_key_stays_where_it_is_whatever_comes_or_goes_above_it(
    bench: Bench, qtbot: QtBot, name: str
) -> None:
    bench.pane.resize(360, 500)
    box = bench.pane.choice_rows[name].row.field
    box.setFocus()
    bar = bench.pane.verticalScrollBar()
    qtbot.wait(20)
    bar.setValue(bar.value() + box.mapTo(bench.pane, QPoint()).y() - 100)

    def place() -> int:
        return box.mapTo(bench.pane, QPoint()).y()

    first, scrolled = place(), []
    for key in (Qt.Key.Key_Down, Qt.Key.Key_Up):
        qtbot.keyClick(box, key)
        assert place() == first, "before anything is painted"
        qtbot.wait(50)
        assert place() == first
        scrolled.append(bar.value())
    assert scrolled[0] != scrolled[1]
    bench.document.undo_stack.undo()
    assert place() == first


def test_fields_are_as_wide_as_a_larger_font_asks(hands: Hands, qapp: QApplication) -> None:
    """One that the system makes larger while the window is open, too."""
    box = hands.window.measures.finished_rows["base_width"].box
    assert box is not None
    before, usual = box.width(), qapp.font()
    larger = QFont(usual)
    larger.setPointSizeF(usual.pointSizeF() + 5)
    try:
        qapp.setFont(larger)
        qapp.processEvents()
        assert box.width() > before + 20
        widths = {each.width() for each in hands.window.measures.boxes}
        assert widths == {box.width()}, "one column"
        qapp.setFont(usual)
        qapp.processEvents()
        assert box.width() == before
    finally:
        qapp.setFont(usual)
