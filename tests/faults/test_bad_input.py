"""Every box and dialog of the window fed what no maker should type, and some do."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import QAbstractListModel, QEvent, QModelIndex, Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QLineEdit,
    QMessageBox,
    QWidget,
)

from app.figure_box import FigureBox
from core.bagfile import project_from_json, project_to_json
from core.compute import compute
from tests.app.hands import Hands

BAD = (
    *("", " ", "-", ".", ",", "NaN", "nan", "inf", "-inf", "Infinity", "1e400", "1e-400", "-1"),
    *("-0", "0", "0.0000001", "10 km", "10000000", "9" * 400, "abc", "18,,5", "18.5.5", "1/0"),
    *("18 1/2 1/2", "18 -1/2", "1/2/3", "--5", "5 in in", "5 mm in", "5 light years", "½½"),
    *("∞", "\u0661\u0662", "\uff11\uff18", "12\u202e34", "<b>5</b>", "=1+1", "5\\n6", "0x10"),
    *("1_000", "🧵", "%s", "{x}", "5;6", "pi", "√2"),
)
"""Texts that are no length, and lengths that no bag has."""


def type_in(line: QLineEdit, text: str) -> None:
    """Put a text in as if it were typed or pasted in one go."""
    line.selectAll()
    kind = QEvent.Type.KeyPress
    if text:
        # The key itself must be none that means something.
        event = QKeyEvent(kind, Qt.Key.Key_unknown, Qt.KeyboardModifier.NoModifier, text)
    else:
        event = QKeyEvent(kind, Qt.Key.Key_Delete, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(line, event)


def press(widget: QWidget, key: Qt.Key) -> None:
    for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
        QApplication.sendEvent(widget, QKeyEvent(kind, key, Qt.KeyboardModifier.NoModifier))


def sound(hands: Hands) -> None:
    """What must hold whatever is typed."""
    project, result = hands.document.project, hands.document.result
    assert project_from_json(project_to_json(project), source="x") == project
    assert result.bag is project.bag
    assert dict(compute(project.bag).finished) == dict(result.finished)


def test_every_box_refuses_in_words_or_takes_what_it_says(
    hands: Hands, share: Callable[[int], int], tell: Callable[[str], None]
) -> None:
    measures = hands.window.measures
    names = [*measures.cut_rows, *measures.finished_rows]
    texts = BAD if share(1000) == 1000 else BAD[::4]
    typed = refused = 0
    for name in names:
        box = hands.box(name) if _has_box(hands, name) else None
        if box is None or not box.isEnabled():
            continue
        before = project_to_json(hands.document.project)
        for text in texts:
            box.setFocus()
            type_in(box.lineEdit(), text)
            press(box, Qt.Key.Key_Return)
            QApplication.processEvents()
            typed += 1
            sound(hands)
            if project_to_json(hands.document.project) == before:
                refused += 1
            press(box, Qt.Key.Key_Escape)
            while hands.document.undo_stack.canUndo():
                hands.document.undo_stack.undo()
            assert project_to_json(hands.document.project) == before, (name, text)
    assert typed > 20 * len(texts)
    tell(f"bad texts typed into {typed // len(texts)} boxes: {typed}, {refused} changed nothing")


def _has_box(hands: Hands, name: str) -> bool:
    measures = hands.window.measures
    row = measures.finished_rows.get(name) or measures.cut_rows[name]
    return row.box is not None and row.box.isVisibleTo(hands.window)


DIALOGS = ("print", "edit_layers", "compare", "fit_tape", "take_up", "load")


@pytest.mark.parametrize("name", DIALOGS)
def test_every_dialog_takes_bad_input_without_harm(
    hands: Hands, share: Callable[[int], int], tell: Callable[[str], None], name: str
) -> None:
    texts = BAD if share(1000) == 1000 else BAD[::8]
    first = project_to_json(hands.document.project)
    fed = 0
    for text in texts:
        fed += feed(hands, opener(hands, name), text)
        sound(hands)
        while hands.document.undo_stack.canUndo():
            hands.document.undo_stack.undo()
        assert project_to_json(hands.document.project) == first, text
    tell(f"dialog {name}: {fed} fields fed with {len(texts)} bad texts")


def opener(hands: Hands, name: str) -> Callable[[], object]:
    """What opens the dialog: an action, or for one of them a button in the sewing order."""
    return hands.window.sewing.edit_load if name == "load" else hands.window.commands[name].trigger


def feed(hands: Hands, open_dialog: Callable[[], object], text: str) -> int:
    """Open a dialog, put the text into every field, try to accept, and leave; fields fed."""
    fed: list[int] = []

    def work() -> None:
        dialog = QApplication.activeModalWidget()
        if not isinstance(dialog, QDialog):
            return
        timer.stop()
        try:
            fed.append(_fill(dialog, text))
            QApplication.processEvents()
            for button in _accepting(dialog):
                if button.isEnabled() and dialog.isVisible():
                    button.click()
                    break
        finally:
            if dialog.isVisible():
                leave(dialog)

    timer = QTimer(interval=5)
    timer.timeout.connect(work)
    timer.start()
    open_dialog()
    timer.stop()
    assert len(fed) == 1
    return fed[0]


def leave(dialog: QDialog) -> None:
    """Close a dialog, and give up what was typed where it asks."""

    def give_up() -> None:
        box = QApplication.activeModalWidget()
        if isinstance(box, QMessageBox):
            role = QMessageBox.ButtonRole.AcceptRole
            next(each for each in box.buttons() if box.buttonRole(each) is role).click()

    timer = QTimer(interval=5)
    timer.timeout.connect(give_up)
    timer.start()
    dialog.reject()
    timer.stop()
    assert not dialog.isVisible()


def _fill(dialog: QDialog, text: str) -> int:
    fed = 0
    for view in dialog.findChildren(QAbstractItemView):
        model = view.model()
        if isinstance(view.parent(), QComboBox) or model is None:
            continue
        for row in range(model.rowCount(QModelIndex())):
            flat = isinstance(model, QAbstractListModel)
            for column in range(1 if flat else model.columnCount(QModelIndex())):
                index = model.index(row, column)
                if index.flags() & Qt.ItemFlag.ItemIsEditable:
                    model.setData(index, text, Qt.ItemDataRole.EditRole)
                    fed += 1
    for line in dialog.findChildren(QLineEdit):
        if line.isEnabled() and not line.isReadOnly() and line.isVisibleTo(dialog):
            type_in(line, text)
            fed += 1
            holder = line.parent()
            if isinstance(holder, FigureBox):
                press(holder, Qt.Key.Key_Tab)
    return fed


def _accepting(dialog: QDialog) -> list[QAbstractButton]:
    roles = (QDialogButtonBox.ButtonRole.AcceptRole, QDialogButtonBox.ButtonRole.ApplyRole)
    return [
        button
        for box in dialog.findChildren(QDialogButtonBox)
        for button in box.buttons()
        if box.buttonRole(button) in roles
    ]


def test_bad_names_are_refused_or_kept_as_they_are(
    hands: Hands, tell: Callable[[str], None]
) -> None:
    names = (*BAD, "x" * 10_000, "\u2028", "a\0b", "CON", "../../x", "\ud83d", "line\nbreak")
    for name in names:
        hands.answers.named = name
        for action in ("rename", "keep_variant", "name_starting"):
            hands.window.commands[action].trigger()
            sound(hands)
    stack = hands.document.undo_stack
    while stack.canUndo():
        stack.undo()
    sound(hands)
    tell(f"bad names given to bag, variant and starting bag: {len(names)}")
