"""The flat pane: lines moved by hand, with the mouse and with the arrow keys."""

import dataclasses

import pytest
from hypothesis import given
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.views.flat.grips import Axis, Grip, LineRef, bag_grips
from app.views.flat.pane import FlatPane
from app.widgets.theme import DrawingTheme
from core.bag.bag import Bag, cut_value, draft_bag, with_figures
from core.bag.choices import with_choice
from core.base.errors import FieldError
from core.base.units import Unit
from core.flat.seam import Draft
from core.parts.handles.figures import HandleStyle
from core.parts.pocket.pocket import PocketFaces
from core.storage.bag_files import demo_bag
from tests.app.sessions import session_on
from tests.helpers import changed, having, inch
from tests.ids import WORDS, edge_id, edge_ref
from tests.strategies import bags

STEP = inch(1 / 8)
LEFT = Qt.MouseButton.LeftButton
NONE = Qt.KeyboardModifier.NoModifier


def separate_and_two_pockets() -> Bag:
    """The demo bag with handles of their own on each face, and a pocket on both."""
    bag = demo_bag()
    assert bag.parts.get("handles") is not None
    assert bag.parts.get("pocket") is not None
    handles = dataclasses.replace(bag.parts["handles"], style=HandleStyle.SEPARATE)
    pocket = dataclasses.replace(bag.parts["pocket"], faces=PocketFaces.BOTH)
    return having(bag, handles=handles, pocket=pocket)


BAGS = {
    "folded": demo_bag(),
    "seamed": changed(demo_bag(), bottom_seam=inch(1 / 4)),
    "separate": separate_and_two_pockets(),
}


class Bench:
    """A flat pane that is worked on with the mouse."""

    def __init__(self, qtbot: QtBot, bag: Bag | None = None) -> None:
        self.session = session_on(bag)
        self.document, self.display = self.session.document, self.session.display
        self.pane = FlatPane(self.session)
        qtbot.addWidget(self.pane)
        self.pane.resize(900, 900)
        self.pane.show()
        self.pane.setFocus()

    def grip(self, name: str, *, piece: str = "panel", at: int = 0) -> Grip:
        """The line of that name, or the `at`th one that changes the figure of that name."""
        every = [each for each in self.pane.hand.grips().values() if WORDS[each.ref.piece] == piece]
        if name in {each.figure for each in every}:
            return [each for each in every if each.figure == name][at]
        return next(each for each in every if each.edge and each.edge.edge == edge_id(name))

    def place(self, grip: Grip, share: float = 0.37) -> QPointF:
        """A point of a line, px."""
        x, y = self.pane.sheet.places[grip.ref.piece]
        (x0, y0), (x1, y1) = grip.start, grip.end
        across, along = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        return self.pane.view.to_screen(across + x, along + y)

    def send(self, kind: QEvent.Type, at: QPointF, keys: Qt.KeyboardModifier = NONE) -> None:
        """A mouse event at a point between pixels too, as tablets and scaled screens send."""
        move = kind is QEvent.Type.MouseMove
        button = Qt.MouseButton.NoButton if move else LEFT
        held = Qt.MouseButton.NoButton if kind is QEvent.Type.MouseButtonRelease else LEFT
        event = QMouseEvent(kind, at, self.pane.mapToGlobal(at), button, held, keys)
        QApplication.sendEvent(self.pane, event)

    def press(self, at: QPointF) -> None:
        self.send(QEvent.Type.MouseButtonPress, at)

    def move(self, at: QPointF, keys: Qt.KeyboardModifier = NONE) -> None:
        """Move the hand, and let the loop have its turn: the line follows then."""
        self.send(QEvent.Type.MouseMove, at, keys)
        QApplication.processEvents()

    def release(self, at: QPointF) -> None:
        self.send(QEvent.Type.MouseButtonRelease, at)

    def key(self, key: Qt.Key) -> None:
        QTest.keyClick(self.pane, key)

    def drag(self, grip: Grip, mm: float, keys: Qt.KeyboardModifier = NONE) -> QPointF:
        """Drag a line right or up by so many mm of the drawing, and hold it there."""
        start = self.place(grip)
        self.press(start)
        for share in (0.3, 0.7, 1.0):
            at = start + self.way(grip, share * mm)
            self.move(at, keys)
        return at

    def way(self, grip: Grip, mm: float) -> QPointF:
        px = mm * self.pane.view.scale
        return QPointF(px, 0.0) if grip.axis is Axis.ACROSS else QPointF(0.0, -px)

    def figure(self, name: str) -> float:
        value = cut_value(self.document.bag, name)
        assert value is not None
        return value


@pytest.fixture
def bench(qtbot: QtBot) -> Bench:
    return Bench(qtbot)


def every_grip() -> list[tuple[str, LineRef]]:
    return [(name, ref) for name, bag in BAGS.items() for ref in bag_grips(bag, draft_bag(bag))]


# Lines and figures.


@given(bag=bags())
def test_a_line_moves_as_far_as_its_rate_says(bag: Bag) -> None:
    """Against the draft itself: change the figure, draw anew, and see where the line went."""
    grips, met = bag_grips(bag, draft_bag(bag)), 0
    for grip in grips.values():
        value = cut_value(bag, grip.figure)
        assert value is not None
        try:
            other = with_figures(bag, {grip.figure: value + 0.5})
        except FieldError:
            continue
        after = bag_grips(other, draft_bag(other)).get(grip.ref)
        if after is not None:
            assert after.out - grip.out == pytest.approx(0.5 / grip.rate, abs=1e-9)
            assert after.rate == pytest.approx(grip.rate, abs=1e-9)
            met += 1
    assert met >= len(grips) / 2 > 0


def test_everything_that_is_laid_out_by_hand_has_a_line() -> None:
    bag = BAGS["separate"]
    figures = {grip.figure for grip in bag_grips(bag, draft_bag(bag)).values()}
    assert figures == {
        "panel_width",
        "panel_length",
        "front_trim",
        "corner_cut_width",
        "corner_cut_depth",
        "pocket_drop",
        "pocket_cut_height",
        "handle_gap",
        "handle_stop",
        "handle_leg",
        "board_width",
        "board_depth",
    }


def test_a_facing_is_made_deeper_by_hand() -> None:
    """Its lower edge, seen from the upper one, is the depth and what is turned under."""
    bag = with_choice(BAGS["separate"], "top", "facing")
    grips = [
        each for each in bag_grips(bag, draft_bag(bag)).values() if each.ref.piece.owner == "top"
    ]
    assert {each.figure for each in grips} == {"facing_depth"}
    assert {abs(each.rate) for each in grips} == {1.0}


def test_the_back_top_edge_leaves_the_zip_where_it_is(bench: Bench) -> None:
    before = bench.document.result.finished
    bench.drag(bench.grip("top back"), -inch(1))
    after = bench.document.result.finished
    assert bench.figure("panel_length") == pytest.approx(inch(40.5))
    assert after["zip_offset"] == pytest.approx(before["zip_offset"])


# Dragging.


@pytest.mark.parametrize(("name", "ref"), every_grip(), ids=str)
def test_each_line_follows_the_hand_and_snaps(qtbot: QtBot, name: str, ref: LineRef) -> None:
    bench = Bench(qtbot, BAGS[name])
    grip = bench.pane.hand.grips()[ref]
    # Inwards or outwards, whichever makes the figure larger.
    mm = (1.0 if grip.rate > 0 else -1.0) * inch(0.52)
    before, still = bench.figure(grip.figure), bench.pane._still(grip)
    at = bench.drag(grip, mm)
    after = bench.pane.hand.grips()[ref]
    assert bench.figure(grip.figure) == pytest.approx(before + abs(grip.rate) * inch(0.5), abs=1.5)
    steps = (bench.figure(grip.figure)) / STEP
    assert steps == pytest.approx(round(steps), abs=1e-9)
    # The line lies under the pointer, within half a step; what stays has stayed.
    line = bench.place(after)
    off = at.x() - line.x() if grip.axis is Axis.ACROSS else at.y() - line.y()
    assert abs(off) <= (STEP / 2 / abs(grip.rate) + 1e-6) * bench.pane.view.scale
    assert (bench.pane._still(after) - still).manhattanLength() < 1e-6
    bench.release(at)
    assert bench.document.undo_stack.count() == 1
    bench.document.undo_stack.undo()
    assert bench.document.bag == BAGS[name]


def test_the_other_hand_moves_along(bench: Bench) -> None:
    view = bench.pane.view
    left, right = bench.grip("side front left"), bench.grip("side front right")
    before = [bench.place(each).x() for each in (left, right)]
    bench.drag(right, inch(1))
    after = [
        bench.place(each).x() for each in map(bench.grip, ("side front left", "side front right"))
    ]
    assert after[1] - before[1] == pytest.approx(inch(1) * view.scale, abs=1.0)
    assert before[0] - after[0] == pytest.approx(after[1] - before[1], abs=1e-6)


def test_a_line_off_the_ruler_snaps_onto_it_and_back_to_where_it_was(qtbot: QtBot) -> None:
    bench = Bench(qtbot, changed(demo_bag(), corner_cut_depth=inch(3 + 1 / 32)))
    grip = bench.grip("corner front left")
    start = bench.place(grip)
    bench.press(start)
    bench.move(start + bench.way(grip, inch(0.27)))
    assert bench.figure("corner_cut_depth") == pytest.approx(inch(3.25))
    bench.move(start + bench.way(grip, inch(0.01)))
    assert bench.figure("corner_cut_depth") == pytest.approx(inch(3 + 1 / 32))
    bench.release(start)
    assert bench.document.undo_stack.count() == 0


@pytest.mark.parametrize(
    "key", [Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier]
)
def test_a_held_key_frees_a_line_from_the_ruler(bench: Bench, key: Qt.KeyboardModifier) -> None:
    bench.drag(bench.grip("corner front left"), inch(0.3), key)
    # The nearest 64th: 0.3 in is 19.2 of them.
    assert bench.figure("corner_cut_depth") == pytest.approx(inch(3 + 19 / 64))


def test_the_ruler_step_of_the_reader_counts(bench: Bench) -> None:
    bench.display.set_unit(Unit.MM)
    bench.display.set_step(10.0)
    bench.drag(bench.grip("pocket_drop"), -inch(1))
    assert bench.figure("pocket_drop") == 140.0  # 114.3 and 25.4 are 139.7


def test_a_click_moves_nothing_and_chooses_the_line(bench: Bench) -> None:
    grip = bench.grip("side front left")
    at = bench.place(grip)
    bench.press(at)
    bench.move(at + QPointF(1.0, 1.0))
    bench.release(at)
    assert bench.document.undo_stack.count() == 0
    assert bench.pane.hand.chosen == grip.ref


def test_a_slow_drag_is_one_step(bench: Bench) -> None:
    clock = iter(range(0, 10_000, 60))
    bench.document.clock = lambda: float(next(clock))
    grip = bench.grip("top front")
    at = bench.drag(grip, -inch(1))
    bench.move(at + bench.way(grip, -inch(1)))
    bench.release(at)
    assert bench.document.undo_stack.count() == 1
    assert bench.document.undo_stack.undoText() == "Front trim"


def test_of_moves_that_wait_the_line_follows_the_last(bench: Bench) -> None:
    changes: list[object] = []
    bench.document.changed.connect(changes.append)
    grip = bench.grip("panel_width")
    before, start = bench.figure("panel_width"), bench.place(grip)
    ends = [start + bench.way(grip, inch(share)) for share in (0.25, 0.5, 0.75, 0.5)]
    bench.press(start)
    for at in ends:
        bench.send(QEvent.Type.MouseMove, at)
    assert not changes, "nothing is followed while more waits"
    QApplication.processEvents()
    assert len(changes) == 1
    assert bench.figure("panel_width") == pytest.approx(before + abs(grip.rate) * inch(0.5))
    bench.send(QEvent.Type.MouseMove, ends[0])
    bench.release(ends[0])
    assert bench.figure("panel_width") == pytest.approx(before + abs(grip.rate) * inch(0.25))
    QApplication.processEvents()
    assert len(changes) == 2, "let go, it follows no more"


def test_two_drags_are_two_steps(bench: Bench) -> None:
    for _ in range(2):
        grip = bench.grip("top front")
        bench.release(bench.drag(grip, -inch(1 / 2)))
    assert bench.document.undo_stack.count() == 2


def test_escape_gives_the_bag_back_and_leaves_no_step(bench: Bench) -> None:
    before, view = bench.document.bag, bench.pane.view
    at = bench.drag(bench.grip("side front right"), inch(1))
    assert bench.document.bag != before
    bench.key(Qt.Key.Key_Escape)
    stack = bench.document.undo_stack
    assert bench.document.bag == before
    assert (stack.count(), stack.canUndo(), stack.canRedo()) == (0, False, False)
    assert bench.document.saved
    assert bench.pane.view.x == pytest.approx(view.x)
    # The button is still down: the hand is off the line all the same.
    bench.move(at + QPointF(40.0, 0.0))
    bench.release(at)
    assert bench.document.bag == before
    assert not bench.pane.panning


def test_escape_keeps_the_steps_before_the_drag(bench: Bench) -> None:
    bench.document.set_figures({"front_trim": inch(2)}, "Front trim")
    before = bench.document.bag
    bench.drag(bench.grip("top front"), -inch(1))
    bench.key(Qt.Key.Key_Escape)
    assert bench.document.bag == before
    assert bench.document.undo_stack.count() == 1


def test_a_change_from_elsewhere_takes_the_line_out_of_the_hand(bench: Bench) -> None:
    grip = bench.grip("top front")
    at = bench.drag(grip, -inch(1))
    bench.document.open(demo_bag())
    bench.move(at + bench.way(grip, -inch(1)))
    assert bench.document.bag == demo_bag()
    assert not bench.pane.hand.holding


def test_the_space_bar_pushes_the_drawing_even_on_a_line(bench: Bench) -> None:
    at = bench.place(bench.grip("side front left"))
    QTest.keyPress(bench.pane, Qt.Key.Key_Space)
    bench.press(at)
    assert bench.pane.panning
    bench.release(at)
    QTest.keyRelease(bench.pane, Qt.Key.Key_Space)
    assert bench.document.bag == demo_bag()


def test_the_drawing_is_not_fitted_again_in_the_hand(bench: Bench) -> None:
    scale = bench.pane.view.scale
    at = bench.drag(bench.grip("top back"), -inch(8))
    assert bench.pane.view.scale == scale
    bench.release(at)
    assert bench.pane.view.scale < scale  # it has outgrown the pane
    assert bench.pane.drawing_area().contains(bench.pane.view.rect(bench.pane.content_bounds()))


# What cannot be.


def test_an_impossible_place_keeps_the_last_bag_and_says_why(bench: Bench) -> None:
    grip = bench.grip("corner end left")
    at = bench.drag(grip, inch(2))
    possible = bench.document.bag
    bench.move(at + bench.way(grip, inch(9)))
    assert bench.document.bag == possible
    told = bench.pane.readout
    assert told is not None
    assert told.problem == (
        "Not possible: Corner cut width is 14 ⅜ in: it must be less than half the panel, 9 ¼ in."
    )
    bench.move(at)
    told = bench.pane.readout
    assert told is not None
    assert told.problem == ""
    bench.release(at)
    assert bench.document.undo_stack.count() == 1


def test_a_refusal_is_told_once_a_place(bench: Bench, qtbot: QtBot) -> None:
    grip = bench.grip("top front")
    heard: list[FieldError] = []
    bench.document.refused.connect(heard.append)
    at = bench.drag(grip, inch(4))  # a trim of less than nothing
    count = len(heard)
    assert count > 0
    bench.move(at + QPointF(30.0, 0.0))
    assert len(heard) == count


def test_a_nudge_that_cannot_be_says_why(qtbot: QtBot) -> None:
    bench = Bench(qtbot, changed(demo_bag(), pocket_drop=0.0))
    bench.release(bench.drag(bench.grip("pocket_drop"), 0.0))
    bench.key(Qt.Key.Key_Up)
    told = bench.pane.readout
    assert told is not None
    assert told.problem.startswith("Not possible: Pocket drop is −⅛ in: it must be at least 0")
    assert bench.document.undo_stack.count() == 0
    bench.key(Qt.Key.Key_Down)
    told = bench.pane.readout
    assert told is not None
    assert told.problem == ""
    assert bench.figure("pocket_drop") == pytest.approx(STEP)


# What is told and shown.


def test_the_figures_are_live_at_the_pointer(bench: Bench) -> None:
    bench.drag(bench.grip("side front right"), inch(1 / 4))
    told = bench.pane.readout
    assert told is not None
    assert told.title == "Panel width 19 in  +½ in"
    assert told.detail == "Base width 11 ½ in"
    bench.key(Qt.Key.Key_Escape)


def test_a_corner_that_no_longer_meets_is_told_while_it_is_cut(bench: Bench) -> None:
    bench.drag(bench.grip("corner front left"), inch(1 / 2))
    told = bench.pane.readout
    assert told is not None
    assert told.detail == "Gusset depth 7 ¾ in, Corner mismatch −1 in"


def test_a_dot_and_a_cursor_say_that_a_line_can_be_moved(bench: Bench) -> None:
    highlight = DrawingTheme.for_palette(bench.pane.palette()).highlight
    for name, shape in (
        ("side front left", Qt.CursorShape.SizeHorCursor),
        ("pocket_drop", Qt.CursorShape.SizeVerCursor),
    ):
        grip = bench.grip(name)
        middle = bench.place(grip, 0.5)
        QTest.mouseMove(bench.pane, bench.place(grip, 0.2).toPoint())
        assert bench.pane.cursor().shape() is shape
        image = bench.pane.grab().toImage()
        ring = {
            QColor(image.pixel(middle.toPoint() + QPoint(dx, dy))).name()
            for dx, dy in ((5, 0), (-5, 0), (0, 5), (0, -5), (4, 3), (-4, -3))
        }
        assert highlight.name() in ring
    QTest.mouseMove(bench.pane, QPoint(895, 895))
    assert bench.pane.cursor().shape() is Qt.CursorShape.ArrowCursor
    assert bench.pane.readout is None


# The keyboard.


def test_the_arrow_keys_nudge_the_edge_that_is_pointed_at(bench: Bench) -> None:
    while bench.pane.hand.chosen != edge_ref("panel", "side front left"):
        bench.key(Qt.Key.Key_PageDown)
    view = bench.pane.view
    bench.key(Qt.Key.Key_Left)
    bench.key(Qt.Key.Key_Left)
    assert bench.figure("panel_width") == inch(18.75)
    assert bench.document.undo_stack.count() == 1
    assert bench.pane.view.scale == view.scale
    assert "Panel width 18 ¾ in  +¼ in" in bench.pane.accessibleDescription()
    bench.key(Qt.Key.Key_Right)
    bench.key(Qt.Key.Key_Right)
    assert bench.document.bag == demo_bag()
    assert bench.document.undo_stack.count() == 0


def test_page_down_comes_to_every_line_that_can_be_moved(bench: Bench) -> None:
    met = set()
    for _ in range(80):
        bench.key(Qt.Key.Key_PageDown)
        met.add(bench.pane.hand.chosen)
    assert met >= set(bench.pane.hand.grips())


def test_arrows_across_a_chosen_line_and_without_one_push_the_drawing(bench: Bench) -> None:
    bench.release(bench.drag(bench.grip("side front left"), 0.0))
    before = bench.pane.view
    bench.key(Qt.Key.Key_Up)
    assert bench.pane.view.y > before.y
    bench.key(Qt.Key.Key_Escape)
    assert bench.pane.hand.chosen is None
    bench.key(Qt.Key.Key_Right)
    assert bench.pane.view.x < before.x
    assert bench.document.bag == demo_bag()


def test_a_line_that_is_gone_is_no_longer_chosen(bench: Bench) -> None:
    bench.release(bench.drag(bench.grip("pocket_drop"), 0.0))
    bench.document.replace_bag(having(demo_bag(), pocket=None), "Pocket")
    assert bench.pane.readout is None
    view = bench.pane.view
    bench.key(Qt.Key.Key_Down)
    assert bench.pane.view.y < view.y


def test_a_key_elsewhere_puts_out_the_line_under_the_pointer(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Until the pointer moves again: to find it would draw the bag once for each figure."""
    bench = Bench(qtbot)
    grip = bench.grip("panel_width")
    QTest.mouseMove(bench.pane, bench.place(grip).toPoint())
    assert bench.pane.hand.over == grip.ref
    drawn: list[Bag] = []

    def counted(bag: Bag, draft: Draft) -> dict[LineRef, Grip]:
        drawn.append(bag)
        return bag_grips(bag, draft)

    monkeypatch.setattr("app.views.flat.dragging.bag_grips", counted)
    bench.document.set_figures({"front_trim": inch(1)}, "Front trim")
    bench.pane.grab()
    assert drawn == []
    assert bench.pane.hand.over is None
    assert bench.pane.cursor().shape() is Qt.CursorShape.ArrowCursor
    QTest.mouseMove(bench.pane, bench.place(bench.grip("panel_width")).toPoint() + QPoint(1, 0))
    assert bench.pane.hand.over == grip.ref


def test_a_line_that_arrow_keys_move_is_found_alone(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A held arrow key would else draw the bag once for each figure at every step."""
    grip = bench.grip("panel_width")
    bench.release(bench.drag(grip, 0.0))
    QTest.mouseMove(bench.pane, QPoint(2, 2))
    drawn: list[Bag] = []

    def counted(bag: Bag, draft: Draft) -> dict[LineRef, Grip]:
        drawn.append(bag)
        return bag_grips(bag, draft)

    bench.pane.hand.grips()
    monkeypatch.setattr("app.views.flat.dragging.bag_grips", counted)
    steps = [bench.figure("panel_width")]
    for _ in range(3):
        bench.key(Qt.Key.Key_Right)
        bench.pane.grab()
        steps.append(bench.figure("panel_width"))
    assert drawn == []
    assert steps == sorted(steps) and len(set(steps)) == 4
    shown = bench.pane.hand.shown()
    assert shown == bench.pane.hand.grips()[grip.ref]
    assert len(bench.pane.hand.twins(shown)) == len(bench.pane.hand.twins(grip)) > 0


def test_a_chosen_line_that_another_figure_moves_by_now_follows_that(bench: Bench) -> None:
    """A choice made elsewhere, or a wider bag, can hand a line to another figure."""
    grip = bench.grip("corner_cut_depth")
    bench.release(bench.drag(grip, 0.0))
    QTest.mouseMove(bench.pane, QPoint(2, 2))
    assert bench.pane.hand.shown() is not None
    bag = with_choice(bench.document.bag, "corners", "sewn-across")
    bench.document.replace_bag(bag, "Corners")
    whole = bench.pane.hand.grips().get(grip.ref)
    bench.pane.hand._kept = None
    assert bench.pane.hand.shown() == whole
