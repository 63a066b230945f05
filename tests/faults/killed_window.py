"""A maker's hands in a program that is killed in the middle of an act: run in it."""

import hashlib
import os
import random
import signal
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

from PySide6.QtCore import QEvent, QPointF, Qt, QTimer
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QMessageBox

import app.files.autosave
from app.files.recovery import Recovery
from app.session.document import Document
from app.window.main_window import MainWindow
from core.storage.bag_file import project_to_json
from core.storage.project import Project
from tests.nursery import say

ACTS = ("type", "hold_key", "drag", "undo", "save", "save_as", "open", "keep_variant")
REST = "rest"
"""No act: the copy is waited for, or that it goes."""
SOON = 1
"""Milliseconds to the recovery copy."""


def digest_of(project: Project) -> str:
    """SHA-256 of a bag file of the project."""
    return hashlib.sha256(project_to_json(project).encode()).hexdigest()


def live(window: MainWindow, plan: dict[str, Any]) -> None:
    """Recover what there is, do one act after another, and be killed.

    Args:
        window: of the program.
        plan: `seed`; `bags`, the folder of the files; `acts`, after which it is killed if it
            was not before; `stage`, the line before which it is: (end of the file's name,
            function, line, whether in the thread that writes copies) or None.
    """
    Life(window, **plan)


def die() -> None:
    """As kill -9 has it."""
    os.kill(os.getpid(), signal.SIGKILL)


class Life:
    """One run of the program, told to the test word by word."""

    def __init__(
        self,
        window: MainWindow,
        *,
        seed: int,
        bags: str,
        acts: list[str],
        stage: list[Any] | None,
    ) -> None:
        self._window, self._bags = window, Path(bags)
        self._draw = random.Random(seed)
        self._acts, self._copied = list(acts), ""
        self._answer_in_time()
        # With acts to come, what is recovered first is let come to its end.
        self._is_armed = not acts
        if stage is not None:
            trace_until(*stage, lambda: self._is_armed)
        self._watch(window.document)
        questions: Any = window.session.questions
        questions.save_path = lambda suggested: self._begin_to_save(self._any_file())
        questions.open_path = lambda folder: self._any_file(there=True)
        questions.kept_name = lambda title, prompt, present: f"kept {self._draw.randrange(9)}"
        begin = Recovery.begin

        def begin_and_go_on(recovery: Recovery, path: str | None) -> None:
            begin(recovery, path)
            self._begin(recovery)

        Recovery.begin = begin_and_go_on  # type: ignore[method-assign]

    def _answer_in_time(self) -> None:
        """Press buttons as boxes come up."""
        self._boxes = QTimer(self._window, interval=1)
        self._boxes.timeout.connect(self._answer)
        self._boxes.start()

    def _answer(self) -> None:
        box = QApplication.activeModalWidget()
        if not isinstance(box, QMessageBox):
            return
        if box.windowTitle() == "Unsaved bag found":
            say({"offered": box.text()})
            press(box, "&Recover")
        elif box.windowTitle() == "Unsaved changes":
            press(box, "&Discard")
        elif box.windowTitle() == "Keep as variant":
            press(box, "&Replace")
        elif box.windowTitle() == "File changed":  # killed between the saving and its end
            press(box, "&Keep mine")
        else:
            say({"told": f"{box.windowTitle()}: {box.text()}"})
            box.reject()

    def _watch(self, document: Document) -> None:
        """Tell each state of the bag, and each copy of it."""
        write = app.files.autosave._write

        def write_and_tell(
            copy: Path, project: Project, path: Path | None, seen: str | None
        ) -> str:
            trouble = write(copy, project, path, seen)
            if not trouble:
                self._copied = digest_of(project)
                say({"copied": self._copied})
            return trouble

        app.files.autosave._write = write_and_tell
        # Not `changed`: that comes before the stack knows that it is not clean any more.
        document.undo_stack.indexChanged.connect(self._tell_state)
        document.saved_changed.connect(self._tell_state)

    def _tell_state(self) -> None:
        document = self._window.document
        path = None if document.path is None else str(document.path)
        told = {"now": digest_of(document.to_keep), "path": path, "saved": document.saved}
        say(told)

    def _begin(self, recovery: Recovery) -> None:
        """All that was left is recovered."""
        self._recovery, self._is_armed = recovery, True
        recovery.autosave._soon.setInterval(SOON)
        say("began")
        self._tell_state()
        self._timer = QTimer(self._window, interval=1)
        self._timer.timeout.connect(self._go_on)
        self._timer.start()

    def _go_on(self) -> None:
        if QApplication.activeModalWidget() is not None:
            return
        if not self._acts:
            die()
        act = self._acts[0]
        if act == REST and not self._is_settled():
            return
        self._acts.pop(0)
        say({"act": act, "saved": self._window.document.saved})
        if act != REST:
            getattr(self, act)()

    def _is_settled(self) -> bool:
        """Whether the copy is the bag's own, or gone where the bag is saved."""
        document = self._window.document
        if document.saved:
            return not self._recovery.autosave.copy.exists()
        return self._copied == digest_of(document.to_keep)

    def _any_file(self, *, there: bool = False) -> Path:
        names = [f"bag {number}.json" for number in range(3)]
        found = [name for name in names if not there or (self._bags / name).exists()]
        return self._bags / self._draw.choice(found or ["none.json"])

    # The acts.

    def type(self) -> None:
        box = self._window.measures.cut_rows["panel_width"].box
        assert box is not None
        box.setFocus()
        box.lineEdit().selectAll()
        for sign in f"{self._draw.uniform(16.0, 22.0):.4f}":
            key(box, Qt.Key.Key_unknown, sign)
        key(box, Qt.Key.Key_Return)

    def hold_key(self) -> None:
        box = self._window.measures.cut_rows["panel_length"].box
        assert box is not None
        box.setFocus()
        for _ in range(4):
            key(box, Qt.Key.Key_Up)
            QApplication.processEvents()

    def drag(self) -> None:
        pane = self._window.flat
        grips = [each for each in pane.hand.grips().values() if each.ref.piece.owner == "body"]
        grip = self._draw.choice(grips)
        x, y = pane.sheet.places[grip.ref.piece]
        (x0, y0), (x1, y1) = grip.start, grip.end
        at = pane.view.to_screen(x + 0.37 * x0 + 0.63 * x1, y + 0.37 * y0 + 0.63 * y1)
        down, up = QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonRelease
        mouse(pane, down, at)
        for step in range(1, 4):
            mouse(pane, QEvent.Type.MouseMove, at + QPointF(2.0 * step, 2.0 * step))
            QApplication.processEvents()
        mouse(pane, up, at + QPointF(6.0, 6.0))

    def undo(self) -> None:
        self._window.commands["undo"].trigger()

    def save(self) -> None:
        path = self._window.document.path
        if path is not None:
            self._begin_to_save(path)
        self._window.commands["save"].trigger()

    def save_as(self) -> None:
        self._window.commands["save_as"].trigger()

    def _begin_to_save(self, path: Path) -> Path:
        say({"saving": digest_of(self._window.document.to_keep), "path": str(path)})
        return path

    def open(self) -> None:
        if list(self._bags.glob("*.json")):
            self._window.commands["open"].trigger()

    def keep_variant(self) -> None:
        self._window.commands["keep_variant"].trigger()


def press(box: QMessageBox, text: str) -> None:
    found: list[QAbstractButton] = [each for each in box.buttons() if each.text() == text]
    found[0].click()


def key(box: Any, number: Qt.Key, text: str = "") -> None:
    for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
        event = QKeyEvent(kind, number, Qt.KeyboardModifier.NoModifier, text)
        QApplication.sendEvent(box, event)


def mouse(pane: Any, kind: QEvent.Type, at: QPointF) -> None:
    none, left = Qt.MouseButton.NoButton, Qt.MouseButton.LeftButton
    button = none if kind is QEvent.Type.MouseMove else left
    held = none if kind is QEvent.Type.MouseButtonRelease else left
    event = QMouseEvent(
        kind, at, pane.mapToGlobal(at), button, held, Qt.KeyboardModifier.NoModifier
    )
    QApplication.sendEvent(pane, event)


def trace_until(
    file: str, function: str, line: int, in_writer: bool, is_armed: Callable[[], bool]
) -> None:
    """Be killed before a line of a function, in the thread that writes copies or in this one."""

    def is_it(code: CodeType) -> bool:
        return code.co_qualname == function and code.co_filename.endswith(file)

    def stop(frame: FrameType, event: str, _given: Any) -> Any:
        if event == "line" and frame.f_lineno == line and is_armed():
            say({"killed": [file, function, line]})
            die()
        return stop

    def trace(frame: FrameType, _event: str, _given: Any) -> Callable[..., Any] | None:
        return stop if is_it(frame.f_code) else None

    if in_writer:
        threading.settrace(trace)
    else:
        sys.settrace(trace)
