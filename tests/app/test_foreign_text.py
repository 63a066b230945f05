"""Texts out of a file are shown as they are, wherever they are shown: never as markup."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QAbstractItemModel, QAbstractListModel, QModelIndex, Qt, QTimer
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QAbstractItemView, QApplication, QDialog, QLabel, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from core.bag.bag import Bag
from core.storage.bag_file import project_to_json
from core.storage.bag_files import demo_bag, write_project
from core.storage.project import NamedBag, Project
from core.tops.zip_forward.zip import ZipForward
from tests.app.hands import Hands
from tests.helpers import project_from_json

NASTY = '<img src="x"><b>&amp;</b>'
"""Qt takes a text with such a tag in front for markup where nobody says that it is none."""
SIGN = "<b>"
"""What is looked for: it is in every nasty text, and in no other text of the window."""


def nasty_bag(name: str = "bag") -> Bag:
    """The demo bag with markup in every text that a file can hold."""
    bag = demo_bag()
    assert isinstance(bag.top, ZipForward)
    # What melts and is too narrow is told in findings, with its name.
    layers = tuple(
        replace(
            layer,
            role=f"{NASTY}role {number}",
            name=f"{NASTY}goods {number}",
            melts=True,
            usable_width=300.0,
        )
        for number, layer in enumerate(bag.sandwich.layers)
    )
    board = replace(bag.supplies.board, role=f"{NASTY}board", name=f"{NASTY}sheet")
    return replace(
        bag,
        name=f"{NASTY}{name}",
        top=replace(bag.top, gauge=f"{NASTY}gauge", colour=f"{NASTY}colour"),
        sandwich=replace(bag.sandwich, layers=layers),
        supplies=replace(bag.supplies, board=board, pocket=board, handles=board),
    )


def nasty_project() -> Project:
    bag = nasty_bag()
    return Project(
        bag=bag,
        starting=NamedBag(name=f"{NASTY}start", bag=nasty_bag("start")),
        variants=(NamedBag(name=f"{NASTY}variant", bag=nasty_bag("other")),),
        ticked=frozenset({f"{NASTY}tick"}),
    )


@pytest.fixture
def hands(hands: Hands, tmp_path: Path) -> Hands:
    """The window with that bag open."""
    path = tmp_path / "nasty.json"
    write_project(nasty_project(), path)
    assert hands.window.files.open(path)
    hands.window.findings.grab()  # what is shown late is shown now
    return hands


def cells(model: QAbstractItemModel) -> Iterator[QModelIndex]:
    parent = QModelIndex()
    for row in range(model.rowCount(parent)):
        flat = isinstance(model, QAbstractListModel)
        for column in range(1 if flat else model.columnCount(parent)):
            index = model.index(row, column, parent)
            yield index


def is_plain(label: QLabel) -> bool:
    return label.textFormat() is Qt.TextFormat.PlainText


def marked_up(root: QWidget) -> list[str]:
    """Every place under a widget where a nasty text would be taken for markup.

    A tip is always taken for it: what comes out of a file is escaped there.
    """
    found = []
    for widget in [root, *root.findChildren(QWidget)]:
        where = f"{type(widget).__name__} {widget.objectName()}"
        if isinstance(widget, QLabel) and SIGN in widget.text() and not is_plain(widget):
            found.append(f"{where} in {type(widget.parent()).__name__}: {widget.text()}")
        for tip in (widget.toolTip(), widget.whatsThis()):
            if SIGN in tip:
                found.append(f"tip of {where}: {tip}")
        if isinstance(widget, QAbstractItemView) and widget.model() is not None:
            for index in cells(widget.model()):
                tip = index.data(Qt.ItemDataRole.ToolTipRole)
                if isinstance(tip, str) and SIGN in tip:
                    found.append(f"tip of a cell of {where}: {tip}")
    for action in root.findChildren(QAction):
        if SIGN in action.toolTip():
            found.append(f"tip of action {action.text()}")
    return found


def shown(root: QWidget) -> int:
    """How many labels of a widget show a nasty text."""
    return sum(SIGN in label.text() for label in root.findChildren(QLabel))


def test_no_pane_takes_a_text_for_markup(hands: Hands, qtbot: QtBot) -> None:
    window = hands.window
    tabs = window.tabs
    for place in range(tabs.count()):
        tabs.setCurrentIndex(place)
        qtbot.wait(50)
    assert shown(window) > 0
    assert marked_up(window) == []


@pytest.mark.parametrize(
    "name", ["print", "edit_layers", "compare", "fit_tape", "take_up", "about"]
)
def test_no_dialog_takes_a_text_for_markup(hands: Hands, qtbot: QtBot, name: str) -> None:
    found: list[str] = []
    seen: list[str] = []

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, QDialog):
            timer.stop()
            seen.append(dialog.windowTitle())
            try:
                found.extend(marked_up(dialog))
            finally:
                dialog.reject()

    timer = QTimer(interval=20)
    timer.timeout.connect(look)
    timer.start()
    hands.window.commands[name].trigger()
    assert len(seen) == 1
    assert found == []


def test_no_question_takes_a_text_for_markup(qtbot: QtBot) -> None:
    from datetime import UTC, datetime

    from app.files.questions import BoxQuestions

    window = QWidget()
    qtbot.addWidget(window)
    questions = BoxQuestions(window)
    asked: list[Callable[[], object]] = [
        lambda: questions.unsaved(NASTY, NASTY),
        lambda: questions.unsaved(NASTY, ""),
        lambda: questions.changed_on_disk(NASTY, unsaved=True),
        lambda: questions.open_elsewhere(NASTY, NASTY),
        lambda: questions.left_over(NASTY, Path(NASTY), datetime.now(UTC)),
        lambda: questions.replace_kept(NASTY),
        lambda: questions.tell(NASTY),
    ]
    found: list[str] = []
    texts: list[str] = []

    def look() -> None:
        box = QApplication.activeModalWidget()
        if isinstance(box, QMessageBox):
            texts.append(box.text())
            found.extend(marked_up(box))
            box.reject()

    timer = QTimer(interval=10)
    timer.timeout.connect(look)
    timer.start()
    for ask in asked:
        ask()
    timer.stop()
    assert len(texts) == len(asked)
    assert all(SIGN in text for text in texts)
    assert found == []


def test_a_nasty_project_comes_back_as_it_is() -> None:
    project = nasty_project()
    assert project_from_json(project_to_json(project), source="x") == project


def test_the_title_of_the_window_holds_no_sign_that_steers(hands: Hands) -> None:
    bag = replace(demo_bag(), name="a\x00\x07\x1b[*]\r\nb\u2028c\u202ed \u062d\u0642")
    hands.document.replace_bag(bag, "Rename")
    title = hands.window.windowTitle()
    assert title.startswith("a???[*][*] b c?d \u062d\u0642 – nasty.json[*]")
