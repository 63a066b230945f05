"""A walk through the window at random: what must always hold, after each action."""

import os
import random
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from PySide6.QtCore import QPoint, QPointF, Qt, QTimer
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QDialog,
    QMessageBox,
    QProgressDialog,
    QPushButton,
    QWidget,
)

from app.files.recovery import Recovery
from app.session.document import Change
from app.session.session import Changed, RecoveryChoice, Unsaved
from app.views.measures.capacity_rows import OLDER, FilledBox
from app.widgets.figure_box import FigureBox
from app.widgets.inputs import CountBox, VolumeBox
from app.window.main_window import MainWindow
from core.bag.bag import cut_value, with_figures
from core.bag.compute import compute
from core.base.errors import FieldError
from core.base.units import Unit
from core.storage.bag_file import project_to_json
from core.storage.bag_files import SAMPLES, read_project, sample
from tests.app.hands import Hands
from tests.faults import plain_texts
from tests.faults.safekeeping import Safekeeping
from tests.faults.test_bad_input import (
    BAD,
    CUT,
    SOLVED,
    Stands,
    beyond_limit,
    meant,
    near,
    press,
    same,
    stands_in,
    type_in,
)
from tests.helpers import project_from_json, write_bag

FULL = 10_000
SEED = int(os.environ.get("CORNERWRIGHT_SEED", "5"))
LATEST = 100
"""Steps that are undone and done again from time to time; at the end it is all of them."""
READ_FROM_FILE = ("Read the file again", "Revert to saved")
"""Steps that hold what is kept beside the bag, too."""
WORK = 30.0
"""Seconds that a box which shows work going on may stay."""
LEAVING = {"quit", "close_window", "whats_this"}
"""Actions that end the walk, or wait for a click."""
RARE = {
    *("print", "export_cut_list", "export_materials", "export_booklet", "open", "new", "save_as"),
    *("help_here", "contents", "glossary", "keys", "cautions", "about", "compare", "edit_layers"),
    "fit_tape",
}
"""Actions that take long or start anew: one in twenty is enough."""


class Closer:
    """Closes whatever box opens, one way or the other."""

    def __init__(self, draw: random.Random) -> None:
        self._draw = draw
        self.closed: Counter[str] = Counter()
        self._timer = QTimer(interval=3)
        self._timer.timeout.connect(self._close)
        self._timer.start()

    def stop(self) -> None:
        self._timer.stop()

    def _close(self) -> None:
        dialog = QApplication.activeModalWidget()
        if not isinstance(dialog, QDialog):
            return
        self.closed[type(dialog).__name__] += 1
        if isinstance(dialog, QProgressDialog):
            if self._draw.random() < 0.05:  # mostly the work is let come to its end
                dialog.cancel()
        elif isinstance(dialog, QMessageBox) or self._draw.random() < 0.5:
            QTimer.singleShot(0, dialog, dialog.reject)
        else:
            # It may ask something before it goes: this timer sees that box when it has come
            # to its end here.
            QTimer.singleShot(0, dialog, dialog.accept)


class Walker:
    """Does one thing after another in the window, from a seed."""

    def __init__(self, hands: Hands, folder: Path, seed: int) -> None:
        self.hands = hands
        self.window = hands.window
        self.draw = random.Random(seed)
        self.folder = folder
        self.done: Counter[str] = Counter()
        self.safe: Safekeeping | None = None
        for name in SAMPLES:
            write_bag(sample(name), folder / f"{name}.json")
        (folder / "bad.json").write_text("{")
        self.kinds: list[tuple[int, Callable[[], None]]] = [
            (30, self.act),
            (20, self.step),
            (12, self.type),
            (8, self.pin),
            (8, self.choose),
            (6, self.fix),
            (10, self.undo),
            (6, self.mouse),
            (4, self.wheel),
            (4, self.key),
            (2, self.tab),
            (2, self.resize),
            (1, self.touch_file),
        ]

    def go(self) -> None:
        """The next action."""
        weights, kinds = zip(*self.kinds, strict=True)
        (kind,) = self.draw.choices(kinds, weights)
        self.prepare_answers()
        self.done[kind.__name__] += 1
        kind()
        QApplication.processEvents()
        since = time.monotonic()
        while QApplication.activeModalWidget() is not None and time.monotonic() - since < WORK:
            QTest.qWait(5)

    def prepare_answers(self) -> None:
        draw, answers = self.draw, self.hands.answers
        names = [*(f"{name}.json" for name in SAMPLES), "bad.json", "mine.json", "gone.json"]
        answers.opened = draw.choice([None, self.folder / draw.choice(names)])
        answers.saved = draw.choice([None, self.folder / f"own {draw.randrange(3)}.json"])
        answers.named = draw.choice([None, "", "a name", f"name {draw.randrange(60)}", "x" * 99])
        answers.leaving = draw.choice(list(Unsaved))
        answers.on_disk = draw.choice(list(Changed))
        answers.left = draw.choice(list(RecoveryChoice))
        answers.going_on = draw.random() < 0.5

    def act(self) -> None:
        names = [name for name in self.window.commands if name not in LEAVING]
        name = self.draw.choice(names)
        if name in RARE and self.draw.random() > 0.05:
            return
        self.done[f"action {name}"] += 1
        action = self.window.commands[name]
        if action.isEnabled():
            action.trigger()
            if name == "save":
                self.check_file()

    def check_file(self) -> None:
        """What is told to be saved is in the file, what was still half typed too."""
        document = self.hands.document
        others_are_left = self.hands.answers.on_disk not in (Changed.KEEP_MINE, Changed.READ_AGAIN)
        if document.path is None or not document.saved or others_are_left:
            return
        found = read_project(document.path).bag
        assert replace(found, unit=document.bag.unit) == document.bag
        assert read_project(document.path).making == document.project.making

    def _box(self) -> FigureBox | None:
        boxes = [
            box
            for box in self.window.findChildren(FigureBox)
            if box.isVisible() and box.isEnabled()
        ]
        return self.draw.choice(boxes) if boxes else None

    def step(self) -> None:
        box = self._box()
        if box is not None:
            box.setFocus()
            start, stood = step_start(self.window, box), value_of(self.window, box)
            presses = [
                self.draw.choice((Qt.Key.Key_Up, Qt.Key.Key_Down))
                for _ in range(self.draw.choice((1, 1, 1, 4)))
            ]
            for key in presses:
                press(box, key)
            judge_steps(self.window, box, start, stood, presses)

    def type(self) -> None:
        """One box after another."""
        for _ in range(3):
            box = self._box()
            if box is not None:
                self._type_into(box)

    def _type_into(self, box: FigureBox) -> None:
        box.setFocus()
        number = f"{self.draw.uniform(0, 40):.3f} {self.draw.choice(('in', 'cm', 'mm', ''))}"
        text = number if self.draw.random() < 0.5 else self.draw.choice(BAD)
        if self.draw.random() < 0.4:
            text = self.draw.choice(near(box, box.value or 0.0))
        before = project_to_json(self.hands.document.project)
        stood = stands_in(box)
        type_in(box.lineEdit(), text)
        if self.draw.random() < 0.8:  # else it stays half typed
            enter = Qt.Key.Key_Return
            keys = (enter, enter, Qt.Key.Key_Escape, Qt.Key.Key_Tab)
            press(box, key := self.draw.choice(keys))
            judge_typed(self.window, box, text, key, before, stood)

    def pin(self) -> None:
        measures = self.window.measures
        rows = [*measures.cut_rows.values(), *measures.finished_rows.values()]
        pins = [row.row.pin for row in rows if row.row.pin is not None and row.row.pin.isEnabled()]
        self.draw.choice(pins).click()

    def choose(self) -> None:
        boxes = [box for box in self.window.findChildren(QComboBox) if box.isEnabled()]
        box = self.draw.choice(boxes)
        if box.count():
            place = self.draw.randrange(box.count())
            box.setCurrentIndex(place)
            box.activated.emit(place)

    def fix(self) -> None:
        buttons = self.window.findings.findChildren(QPushButton)
        shown = [each for each in buttons if each.isVisible() and each.isEnabled()]
        if shown:
            self.draw.choice(shown).click()

    def undo(self) -> None:
        name = "undo" if self.draw.random() < 0.65 else "redo"
        for _ in range(self.draw.choice((1, 1, 1, 2, 10))):
            self.window.commands[name].trigger()

    def _pane(self) -> QWidget:
        panes = [self.window.flat, self.window.fold, self.window.fold.view, self.window.findings]
        views = [*self.window.flat.findChildren(QWidget), *panes]
        return self.draw.choice([each for each in views if each.isVisible()])

    def _point(self, widget: QWidget) -> QPoint:
        return QPoint(
            self.draw.randrange(max(widget.width(), 1)),
            self.draw.randrange(max(widget.height(), 1)),
        )

    def mouse(self) -> None:
        """A drag, from anywhere to anywhere; sometimes given back by Esc."""
        widget = self._pane()
        left = Qt.MouseButton.LeftButton
        QTest.mousePress(widget, left, pos=self._point(widget))
        for _ in range(self.draw.randrange(4)):
            QTest.mouseMove(widget, self._point(widget))
            QApplication.processEvents()
        if self.draw.random() < 0.2:
            press(widget, Qt.Key.Key_Escape)
        QTest.mouseRelease(widget, left, pos=self._point(widget))

    def wheel(self) -> None:
        widget = self._pane()
        at = QPointF(self._point(widget))
        turn = QPoint(0, self.draw.choice((-120, 120, -1200, 15)))
        event = QWheelEvent(
            at,
            QPointF(widget.mapToGlobal(at.toPoint())),
            QPoint(),
            turn,
            Qt.MouseButton.NoButton,
            self.draw.choice((Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier)),
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(widget, event)

    def key(self) -> None:
        keys = (
            *(Qt.Key.Key_Tab, Qt.Key.Key_Backtab, Qt.Key.Key_Left, Qt.Key.Key_Right),
            *(Qt.Key.Key_Up, Qt.Key.Key_PageDown, Qt.Key.Key_Home, Qt.Key.Key_Space),
            *(Qt.Key.Key_Escape, Qt.Key.Key_Plus, Qt.Key.Key_Delete, Qt.Key.Key_A),
        )
        widget = QApplication.focusWidget() or self.window
        press(widget, self.draw.choice(keys))

    def tab(self) -> None:
        tabs = self.window.tabs
        tabs.setCurrentIndex(self.draw.randrange(tabs.count()))

    def resize(self) -> None:
        self.window.resize(self.draw.randrange(600, 2200), self.draw.randrange(400, 1500))

    def touch_file(self) -> None:
        """Another program writes the open file, or takes it away."""
        path = self.hands.document.path
        if path is None or path.parent != self.folder:
            return
        if self.draw.random() < 0.7:
            write_bag(sample(self.draw.choice(SAMPLES)), path)
        else:
            path.unlink(missing_ok=True)
        if self.safe is not None:
            self.safe.others_wrote()


def check(walker: Walker) -> None:
    """What holds after each action."""
    document, window = walker.hands.document, walker.window
    project, result = document.project, document.result
    assert result.bag is project.bag
    assert project_from_json(project_to_json(project), source="x") == project
    assert dict(compute(project.bag).finished) == dict(result.finished)
    assert window.isWindowModified() is not document.saved
    assert window.windowTitle().startswith(project.bag.name.replace("[*]", "[*][*]"))
    stack, typing = document.undo_stack, window.editing._standing()  # what is typed goes first
    undoes, redoes = typing.undo[0], typing.redo[0]
    assert window.commands["undo"].isEnabled() is (stack.canUndo() or undoes)
    assert window.commands["redo"].isEnabled() is (stack.canRedo() or redoes)
    assert QApplication.activeModalWidget() is None
    if document.saved and document.path is None:
        assert document.undo_stack.index() == document.undo_stack.cleanIndex()
    for box in window.findChildren(FigureBox):
        judge_shown(window, box)


def value_of(window: MainWindow, box: FigureBox) -> float | None:
    """What the project has of the figure of a box, mm, litres or pieces; None while it waits.

    What a bag holds filled is worked out beside the window, and so is whatever keeps that.
    """
    document, name = window.document, box.objectName()
    if isinstance(box, FilledBox) or window.redesigner.pending is not None:
        return None
    if name in CUT:
        return cut_value(document.bag, name)
    if name in document.result.finished:
        return document.result.finished[name]
    making = document.project.making
    return {"Bags": float(making.bags), "Gap": making.gap}[box.accessibleName()]


def judge_shown(window: MainWindow, box: FigureBox) -> None:
    """A box shows its figure, as a plain reading reads it, or what is wrong with its text."""
    if not box.isVisible() or (box.lineEdit().isModified() and not box.problem):
        return  # half typed
    where = (box.accessibleName(), box.text(), box.problem)
    if isinstance(box, FilledBox) and not box.problem:
        if box.value is not None:  # of an older bag, maybe, which it tells
            shown = plain_texts.volume(box.text().removeprefix(OLDER))
            assert shown is not None, where
            assert same(box.value, shown, 0.005 + 1e-9), where
        wish, told = window.redesigner.pending, box.accessibleDescription()
        waits = wish is not None and wish.name == box.objectName()
        if not told or told != box._remark:  # what is told of the field itself
            assert bool(told) is (waits or not window.session.capacity.current), where
        return
    assert not box.problem or box.accessibleDescription() == box.problem, where
    rows = window.measures.finished_rows | window.measures.cut_rows
    if box.problem:
        row = rows.get(box.objectName())
        assert row is None or row.row.note == box.problem, where
        return
    value, unit = value_of(window, box), window.display.unit
    if value is None:
        return
    if isinstance(box, VolumeBox):
        shown, least = plain_texts.volume(box.text()), 0.005 + 1e-9
    elif isinstance(box, CountBox):
        shown, least = plain_texts.count(box.text()), 0.0
    else:
        shown, is_near = plain_texts.shown_length(box.text(), unit.value)
        exact, coarse = (1e-6, window.display.step / 2) if unit is Unit.INCH else (0.05, 0.05)
        least = (coarse if is_near else exact) + 1e-9
    assert shown is not None, where
    assert same(value, shown, least), (*where, value)


def judge_typed(
    window: MainWindow, box: FigureBox, text: str, key: Qt.Key, before: str, stood: Stands
) -> None:
    """What was typed and entered is the figure, or is refused and told; or it is given back."""
    where, now = (box.accessibleName(), text), project_to_json(window.document.project)
    size = meant(box, text, window.display.unit.value, stood)
    if key is Qt.Key.Key_Escape:
        assert now == before, where
        assert not box.problem, where
    elif key is Qt.Key.Key_Tab and box.lineEdit().isModified() and not box.problem:
        return  # there was nowhere to go: it stays half typed
    elif text == stood.text:
        assert now == before, where  # nothing was typed
    elif box.problem:
        assert now == before, where
        assert size is None or may_be_refused(window, box, size), (*where, box.problem)
    else:
        assert size is not None, f"{where} was taken by {key}, and means nothing: {box.text()}"
        is_rounded = window.redesigner.rounding  # as much as the ruler takes, which is told
        value = value_of(window, box)
        assert is_rounded or value is None or same(value, size, SOLVED), where


def may_be_refused(window: MainWindow, box: FigureBox, size: Fraction) -> bool:
    """Whether a size is beyond a limit, or the model or a pinned size stands against it."""
    project, name = window.document.project, box.objectName()
    figure = CUT.get(name)
    if figure is None or project.pinned or beyond_limit(figure, size) is not None:
        return True
    try:
        with_figures(project.bag, {name: float(size)})
    except FieldError:
        return True
    return False


def step_start(window: MainWindow, box: FigureBox) -> float | None:
    """What a step goes from; None where a text stands half typed, which counts first."""
    if box.lineEdit().isModified() or box.problem:
        return None
    box.finish_text()  # steps that came too quickly for the last box of this name
    asked = None if box.step_from is None else box.step_from()
    return value_of(window, box) if asked is None else asked


def judge_steps(
    window: MainWindow,
    box: FigureBox,
    start: float | None,
    stood: float | None,
    presses: list[Qt.Key],
) -> None:
    """An arrow key moves a figure by one ruler step, one piece or a tenth of a litre.

    From what was asked for it, which the ruler may have kept it from: `start`. Or it is refused,
    and told, and the figure stays where it `stood`.
    """
    if start is None or window.redesigner.rounding:
        return
    box.finish_text()  # what is still added up
    value, step = value_of(window, box), window.display.step
    if value is None:
        return
    if isinstance(box, CountBox | VolumeBox):
        step = 1.0 if isinstance(box, CountBox) else 0.1
    moved = (value - start) / step
    where = (box.accessibleName(), start, value, presses, box.problem)
    if len(presses) > 1:  # one of them may have been refused
        if value == stood:
            return
        assert abs(moved - round(moved)) * step < SOLVED, where
        assert abs(moved) < len(presses) + 0.5, where
        return
    if box.problem:
        assert value == stood, where
        return
    wanted = 1 if presses == [Qt.Key.Key_Up] else -1
    assert abs(moved - wanted) * step < SOLVED, where


def test_a_random_walk_never_breaks_the_bag(
    hands: Hands, tmp_path: Path, share: Callable[[int], int], tell: Callable[[str], None]
) -> None:
    folder = tmp_path / "bags"
    folder.mkdir()
    recovery = Recovery(hands.window, tmp_path / "recovery")
    exports = tmp_path / "exports"
    exports.mkdir()
    hands.window.settings.keep_folder(exports)
    walker = Walker(hands, folder, SEED)
    walker.safe = Safekeeping(hands, recovery, folder, tmp_path / "recovery")
    closer = Closer(walker.draw)
    began = [undoable(hands)]

    def note_opened(change: Change) -> None:
        if change.opened:
            began[0] = undoable(hands)

    hands.document.changed.connect(note_opened)
    actions, rewound = share(FULL), 0
    for number in range(actions):
        walker.go()
        walker.safe.check()
        check(walker)
        if number % 50 == 49:
            rewound += rewind(hands, began[0], LATEST)
    rewound += rewind(hands, began[0], hands.document.undo_stack.count())
    closer.stop()
    hands.answers.leaving = Unsaved.DISCARD
    hands.window.close()
    assert list((tmp_path / "recovery").glob("*.json")) == []
    assert not recovery.autosave.copy.exists()
    assert list(folder.glob(".*")) == []
    tell(
        f"window actions at random: {actions} (seed {SEED}), {len(walker.done)} kinds, "
        f"{closer.closed.total()} boxes closed, {rewound} steps undone and done again"
    )


def undoable(hands: Hands) -> str:
    """What steps hold: all but what is kept beside the bag, which undo leaves alone."""
    beside = {"starting": None, "variants": (), "samples": {}, "ticked": frozenset()}
    return project_to_json(replace(hands.document.project, **beside))


def rewind(hands: Hands, began: str, most: int) -> int:
    """Undo the latest steps and do them again: every state comes back, byte for byte.

    What is kept beside the bag stays meanwhile, unless a step read the file again. Returns how
    many steps were undone; of the state before the first step, `began` is known.
    """
    stack, document = hands.document.undo_stack, hands.document
    here = stack.index()
    states = {here: undoable(hands)}
    variants, ticked = document.project.variants, document.project.ticked
    read_again = False
    while stack.canUndo() and here - stack.index() < most:
        read_again |= stack.undoText() in READ_FROM_FILE
        stack.undo()
        states[stack.index()] = undoable(hands)
        if not read_again:
            assert [each.name for each in document.project.variants] == [
                each.name for each in variants
            ]
            assert document.project.ticked == ticked
    assert states.get(0, began) == began, "something was changed without a step"
    undone = here - stack.index()
    while stack.index() < here:
        stack.redo()
        assert undoable(hands) == states[stack.index()]
    if not read_again:
        assert document.project.variants == variants
    return undone
