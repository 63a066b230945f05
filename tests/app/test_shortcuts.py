"""No field swallows the key of an action, and no action takes a key that a field needs."""

from collections import Counter
from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QKeyCombination, QSettings, QStringListModel, Qt
from PySide6.QtGui import QGuiApplication, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QComboBox,
    QLineEdit,
    QListView,
    QMainWindow,
    QPlainTextEdit,
    QPushButton,
    QSlider,
    QTableWidget,
    QTableWidgetItem,
    QTextBrowser,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.session.display import Display
from app.widgets.inputs import CountBox, LengthBox, OptionBox, VolumeBox
from app.widgets.labels import ReadOnlyValue
from app.window.action_table import ACTIONS, keys_of, make_actions
from app.window.actions import ActionSpec, Standard
from tests.app.hands import Hands

CONTROL = Qt.KeyboardModifier.ControlModifier
KEY_CAPS = ("New", "Open", "Save", "Close", "Help", "Zoom In", "Zoom Out")
EDITS = ("undo", "redo", "cut", "copy", "paste", "select_all")
"""Actions whose keys are a field's own, by intent."""
OURS = [spec for spec in ACTIONS if spec.name not in EDITS]

_FIELD_KEYS = """
Left Right Up Down Home End PgUp PgDown Del Backspace Tab Backtab Return Enter Esc Space F2 F4
Shift+Left Shift+Right Shift+Up Shift+Down Shift+Home Shift+End Shift+PgUp Shift+PgDown
Shift+Del Shift+Ins Shift+Return Shift+Enter Shift+Backspace F10 Shift+F10 Menu
Ctrl+A Ctrl+C Ctrl+V Ctrl+X Ctrl+Y Ctrl+Z Ctrl+Shift+Z Ctrl+Ins Ctrl+Shift+Ins
Ctrl+Left Ctrl+Right Ctrl+Up Ctrl+Down Ctrl+Home Ctrl+End
Ctrl+Shift+Left Ctrl+Shift+Right Ctrl+Shift+Up Ctrl+Shift+Down Ctrl+Shift+Home Ctrl+Shift+End
Ctrl+Backspace Ctrl+Del Alt+Backspace Alt+Shift+Backspace Alt+Del F14 F16 F18 F20 Shift+F14
Alt+Left Alt+Right Alt+Up Alt+Down Alt+PgUp Alt+PgDown
Alt+Shift+Left Alt+Shift+Right Alt+Shift+Up Alt+Shift+Down
Ctrl+B Ctrl+I Ctrl+U
Ctrl+D Ctrl+E Ctrl+K Ctrl+Shift+A
Meta+A Meta+B Meta+D Meta+E Meta+F Meta+H Meta+K Meta+N Meta+O Meta+P Meta+V Meta+Y
Meta+Left Meta+Right Meta+Up Meta+Down Meta+PgUp Meta+PgDown Meta+Return Meta+Enter
Meta+Shift+A Meta+Shift+E Meta+Shift+Left Meta+Shift+Right
Ctrl+Shift+U Ctrl+. Ctrl+; Ctrl+Space
"""
"""What fields need on Windows, X11 with its desktops, and macOS (where Ctrl is the command key and
Meta the control key). Source: the key bindings in Qt's `qplatformtheme.cpp` that move, select,
delete or edit text; F2 edits a table's cell and F4 opens a list (`QAbstractItemView`, `QComboBox`);
F10 and Menu are the menus' own. The last line: what input methods on Linux take (IBus: Unicode
input and emoji), and switch with; common practice, no source."""


class Recorder(QMainWindow):
    """A window with every kind of field, whose actions are only noted."""

    def __init__(self) -> None:
        super().__init__()
        self.done: list[str] = []
        self.actions_of = make_actions(_Noting(self))
        self.addActions(list(self.actions_of.values()))
        display = Display()
        length, count = LengthBox("Width", display), CountBox("Strips")
        volume, value = VolumeBox("Volume"), ReadOnlyValue("Depth", 10)
        for box in (length, count, volume):
            box.show_value(3.0)
        value.setText("12 in")
        line, plain, read = QLineEdit("mine"), QPlainTextEdit("mine"), QTextBrowser()
        read.setHtml("<p>mine</p>")
        listed, typed = OptionBox(), QComboBox()
        typed.setEditable(True)
        for each in (listed, typed):
            each.addItems(["canvas", "denim", "twill"])
        table = QTableWidget(2, 2)
        for row in range(2):
            table.setItem(row, 0, QTableWidgetItem("canvas"))
        table.setCurrentCell(0, 0)
        tree = QTreeWidget()
        tree.addTopLevelItem(QTreeWidgetItem(["canvas"]))
        steps = QListView()
        steps.setModel(QStringListModel(["cut", "press"], steps))
        self.fields: dict[str, QWidget] = {
            "length": length,
            "count": count,
            "volume": volume,
            "value": value,
            "line": line,
            "plain text": plain,
            "read text": read,
            "list": listed,
            "typed list": typed,
            "table": table,
            "tree": tree,
            "steps": steps,
            "slider": QSlider(Qt.Orientation.Horizontal),
            "button": QPushButton("Press"),
        }
        middle = QWidget()
        column = QVBoxLayout(middle)
        for each in self.fields.values():
            column.addWidget(each)
        self.setCentralWidget(middle)

    def state(self, name: str) -> object:
        """What a field holds."""
        field = self.fields[name]
        if isinstance(field, QAbstractSpinBox):
            return field.text()
        if isinstance(field, QComboBox):
            return field.currentText(), field.view().isVisible()
        if isinstance(field, QTableWidget):
            return field.currentRow(), field.currentColumn(), field.state()
        if isinstance(field, QSlider):
            return field.value()
        if isinstance(field, QLineEdit):
            return field.text(), field.selectedText()
        return field.toPlainText() if isinstance(field, QPlainTextEdit | QTextBrowser) else None


class _Noting(QWidget):
    """Has every handler, by whatever way; each only notes that it was called."""

    def __init__(self, window: Recorder) -> None:
        super().__init__(window)
        self._window = window

    def __getattr__(self, name: str) -> "_Handler":
        return _Handler(self._window)


class _Handler:
    def __init__(self, window: Recorder) -> None:
        self._window = window

    def __getattr__(self, name: str) -> "_Handler":
        return self

    def __call__(self, *_given: object) -> None:
        sender = self._window.focusWidget()
        self._window.done.append("" if sender is None else sender.objectName())


@pytest.fixture(scope="module")
def recorder(qapp: object) -> Iterator[Recorder]:
    window = Recorder()
    window.show()
    window.activateWindow()
    yield window
    window.close()
    window.deleteLater()


def press(widget: QWidget, sequence: QKeySequence) -> None:
    combination = sequence[0]
    assert isinstance(combination, QKeyCombination)
    QTest.keyClick(widget, combination.key(), combination.keyboardModifiers())


def _has_a_key_cap(key: QKeySequence) -> bool:
    """Whether a keyboard has a key of just this name, such as Open: no field has a use for it."""
    return key.toString(QKeySequence.SequenceFormat.PortableText).endswith(KEY_CAPS)


def test_every_action_is_done_from_every_field_and_the_field_stays(recorder: Recorder) -> None:
    done = Counter[str]()
    for name, action in recorder.actions_of.items():
        action.triggered.connect(lambda _checked, name=name: done.update([name]))
    swallowed = []
    for kind, field in recorder.fields.items():
        for spec in OURS:
            field.setFocus()
            stood, before = recorder.state(kind), done[spec.name]
            keys = [key for key in keys_of(spec) if not _has_a_key_cap(key)]
            for number, key in enumerate(keys, 1):
                press(field, key)
                if done[spec.name] != before + number or recorder.state(kind) != stood:
                    swallowed.append((kind, spec.name, key.toString()))
    assert swallowed == []


@pytest.mark.parametrize("spec", OURS, ids=lambda spec: spec.name)
def test_no_action_has_a_key_that_a_field_needs_on_any_platform(spec: ActionSpec) -> None:
    portable = QKeySequence.SequenceFormat.PortableText
    needed = {QKeySequence(key).toString(portable) for key in _FIELD_KEYS.split()}
    assert "" not in needed
    assert spec.keys, "it has a key of its own on every platform"
    assert QKeySequence(spec.keys).toString(portable) not in needed
    # Right Alt is Ctrl+Alt on Windows, and types signs; so does Alt alone on macOS.
    assert "Alt" not in spec.keys


def test_the_keys_of_fields_that_this_platform_knows_are_among_them(qapp: object) -> None:
    portable = QKeySequence.SequenceFormat.PortableText
    needed = {QKeySequence(key).toString(portable) for key in _FIELD_KEYS.split()}
    edits = [
        each
        for each in Standard
        if each.name.startswith(("MoveTo", "Select", "Delete", "Insert", "Cut", "Copy", "Paste"))
        or each.name in ("Undo", "Redo", "Bold", "Italic", "Underline", "Deselect", "Backspace")
    ]
    known = {
        key.toString(portable)
        for each in edits
        for key in QKeySequence.keyBindings(each)
        if key.toString(portable) not in ("Undo", "Redo", "Cut", "Copy", "Paste")
    }
    assert len(known) > 40
    assert known <= needed


def clipboard() -> str:
    return QGuiApplication.clipboard().text()


def test_edit_acts_on_the_field_and_says_what_it_can(hands: Hands, qtbot: QtBot) -> None:
    commands, box = hands.window.commands, hands.box("corner_cut_depth")

    def can() -> set[str]:
        return {name for name in EDITS if commands[name].isEnabled()}

    QGuiApplication.clipboard().clear()
    hands.window.flat.setFocus()
    assert can() == set()
    box.setFocus()
    box.lineEdit().deselect()
    assert can() == {"select_all"}
    commands["select_all"].trigger()
    assert can() == {"cut", "copy", "select_all"}
    commands["copy"].trigger()
    assert clipboard() == "3 in"
    assert can() == {"cut", "copy", "paste", "select_all"}
    commands["cut"].trigger()
    assert box.text() == ""
    commands["paste"].trigger()
    assert box.text() == "3 in"
    # What follows from others is read and copied, not written.
    read = next(row for row in hands.window.measures.finished_rows.values() if row.text is not None)
    read.row.field.setFocus()
    commands["select_all"].trigger()
    assert can() == {"copy", "select_all"}


def test_undo_is_the_texts_while_somebody_types_and_then_the_bags(
    hands: Hands, qtbot: QtBot
) -> None:
    document, commands = hands.document, hands.window.commands
    document.set_figures({"board_width": 250.0}, "Board width")
    box = hands.box("corner_cut_depth")
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "4")
    assert commands["undo"].text() == "&Undo: typing"
    commands["undo"].trigger()
    assert document.bag.parts.get("board") is not None
    assert document.bag.parts["board"].width == 250.0, "only what was typed is taken back"
    assert box.text() == "3 in"
    assert commands["redo"].text() == "&Redo: typing"
    commands["redo"].trigger()
    assert box.text() == "4"
    while box.undoes_typing:
        commands["undo"].trigger()
    assert commands["undo"].text() == "&Undo: Board width"
    commands["undo"].trigger()
    assert document.undo_stack.index() == 0


@pytest.mark.parametrize("name", ["corner_cut_depth", "capacity"])
def test_undo_by_key_is_the_bags_from_a_field_where_nothing_is_typed(
    hands: Hands, qtbot: QtBot, name: str
) -> None:
    field: QWidget = hands.box("corner_cut_depth")
    if name == "capacity":
        field = next(
            row.text for row in hands.window.measures.finished_rows.values() if row.text is not None
        )
    document = hands.document
    document.set_figures({"board_width": 250.0}, "Board width")
    field.setFocus()
    qtbot.keyClick(field, Qt.Key.Key_Z, CONTROL)
    assert document.undo_stack.index() == 0
    qtbot.keyClick(field, Qt.Key.Key_Z, CONTROL | Qt.KeyboardModifier.ShiftModifier)
    assert document.undo_stack.index() == 1


GOES: dict[str, Callable[[Hands], QWidget]] = {
    "1": lambda hands: hands.window.measures,
    "2": lambda hands: hands.window.flat,
    "3": lambda hands: hands.window.fold,
    "4": lambda hands: hands.window.findings,
    "6": lambda hands: hands.window.cutting,
    "7": lambda hands: hands.window.sewing,
    "5": lambda hands: hands.window.changes,
}


def test_a_key_goes_to_every_pane_and_back_to_the_field_that_was_left(
    hands: Hands, qtbot: QtBot
) -> None:
    window, box = hands.window, hands.box("corner_cut_depth")
    box.setFocus()
    for key, pane in GOES.items():
        qtbot.keyClick(window, key, CONTROL)
        focus = window.focusWidget()
        assert focus is not None
        assert focus is pane(hands) or pane(hands).isAncestorOf(focus), key
        assert pane(hands).isVisible()
    for _ in ("from another pane", "from the field itself"):
        qtbot.keyClick(window, "1", CONTROL)
        assert box.hasFocus()
        assert box.lineEdit().selectedText() == box.text()
        box.lineEdit().deselect()


def test_the_whole_screen_and_back(hands: Hands, qtbot: QtBot) -> None:
    window = hands.window
    action = window.commands["full_screen"]
    for whole in (True, False):
        qtbot.keyClick(window, Qt.Key.Key_F11)
        assert window.isFullScreen() is whole
        assert action.isChecked() is whole


def test_ctrl_w_closes_the_window(hands: Hands, qtbot: QtBot, store: QSettings) -> None:
    qtbot.keyClick(hands.box("corner_cut_depth"), Qt.Key.Key_W, CONTROL)
    assert not hands.window.isVisible()
