"""Texts at their longest: the window and its boxes are no wider for them, and nothing is lost."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QInputDialog,
    QLabel,
    QMessageBox,
    QTabWidget,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.files import export as export_box
from app.files.questions import BoxQuestions
from app.views.cutting.tab import CuttingTab
from app.widgets.dialog import tell
from app.widgets.labels import BREAK, LONGEST_WORD, ElidedLabel, PlainLabel, breakable
from core.bag.bag import Bag
from core.model.record import (
    BAG_NAME,
    GOODS_NAME,
    KEPT_NAME,
    ROLE,
    ZIP_COLOUR,
    ZIP_GAUGE,
    TextLimit,
)
from core.storage.bag_file import project_to_json
from core.storage.bag_files import demo_bag, write_project
from core.storage.project import NamedBag, Project
from core.tops.zip_forward.zip import ZipForward
from tests.app.hands import Hands

Write = Callable[[str, TextLimit], str]
WAIT = 120_000
DIALOGS = ("print", "edit_layers", "compare", "fit_tape", "take_up", "edit_load", "about")
WINDOW = (1280, 720)
LONG = 30 * "W"


def short(mark: str, limit: TextLimit) -> str:
    return mark


def longest(mark: str, limit: TextLimit) -> str:
    """The widest letter, and no place where a line may break."""
    return (mark + limit.most * "W")[: limit.most]


def bag_with(write: Write) -> Bag:
    bag = demo_bag()
    assert isinstance(bag.top, ZipForward)
    # What melts and is too narrow is told in findings, with its name.
    layers = tuple(
        replace(
            layer,
            role=write(str(number), ROLE),
            name=write(str(number), GOODS_NAME),
            melts=True,
            usable_width=300.0,
        )
        for number, layer in enumerate(bag.sandwich.layers)
    )
    board = replace(bag.supplies.board, role=write("b", ROLE), name=write("b", GOODS_NAME))
    return replace(
        bag,
        name=write("n", BAG_NAME),
        top=replace(bag.top, gauge=write("g", ZIP_GAUGE), colour=write("c", ZIP_COLOUR)),
        sandwich=replace(bag.sandwich, layers=layers),
        supplies=replace(bag.supplies, board=board, pocket=board, handles=board),
    )


def project_with(write: Write) -> Project:
    bag = bag_with(write)
    other = replace(bag, body=replace(bag.body, width=bag.body.width + 10.0))
    variants = tuple(NamedBag(name=write(str(number), KEPT_NAME), bag=other) for number in range(3))
    return Project(
        bag=bag, starting=NamedBag(name=write("s", KEPT_NAME), bag=other), variants=variants
    )


def cut_off(root: QWidget) -> list[str]:
    """Labels that would be cut off where they stand in a narrow column, and what they say."""
    return [
        f"{type(label.parent()).__name__}: {label.text()}"
        for label in root.findChildren(QLabel)
        if is_wide(label)
    ]


def is_wide(label: QLabel) -> bool:
    most = label.fontMetrics().horizontalAdvance((LONGEST_WORD + 2) * "W")
    return "WWW" in label.text() and label.minimumSizeHint().width() > max(
        most, label.minimumWidth()
    )


def at_rest(hands: Hands, qtbot: QtBot) -> None:
    """Once everything is shown that comes later: capacity, load, cutting plan, findings."""
    window = hands.window
    load, body = window.session.load, window.cutting.findChild(CuttingTab)
    qtbot.waitUntil(lambda: load.current and load.estimate is not None, timeout=WAIT)
    if body is not None and body.isVisible():
        qtbot.waitUntil(lambda: body.is_current and not body.watch.busy, timeout=WAIT)
    window.grab()


def least_widths(hands: Hands, qtbot: QtBot) -> dict[str, int]:
    """What the window with each tab, and each dialog, must have, px."""
    window = hands.window
    tabs = window.tabs
    found, found_cut = {}, list[str]()
    for place in range(tabs.count()):
        tabs.setCurrentIndex(place)
        at_rest(hands, qtbot)
        found[tabs.tabText(place)] = window.minimumSizeHint().width()
        assert (window.width(), window.height()) == WINDOW
        assert cut_off(window) == []

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        if not isinstance(dialog, QDialog):
            return
        timer.stop()
        try:
            for pages in dialog.findChildren(QTabWidget):
                for place in range(pages.count()):
                    pages.setCurrentIndex(place)
            dialog.grab()
            found[name] = dialog.minimumSizeHint().width()
            found_cut.extend(cut_off(dialog))
            assert dialog.minimumSizeHint().height() <= WINDOW[1]
        finally:
            dialog.reject()

    timer = QTimer(interval=20)
    timer.timeout.connect(look)
    for name in DIALOGS:
        timer.start()
        window.commands[name].trigger()
    assert found_cut == []
    return found


def test_no_text_sets_the_least_width(hands: Hands, qtbot: QtBot, tmp_path: Path) -> None:
    hands.window.resize(*WINDOW)
    found = {}
    for write in (short, longest):
        path = tmp_path / f"{write('f', BAG_NAME)}.json"
        write_project(project_with(write), path)
        assert hands.window.files.open(path)
        found[write] = least_widths(hands, qtbot)
    assert set(DIALOGS) < set(found[longest])
    assert found[longest] == found[short]
    labels = hands.window.findChildren(QLabel)
    assert any(LONG in label.text() and label.isVisible() for label in labels)


# --- Boxes ----------------------------------------------------------------------------------------

FILE = "W" * 250 + ".json"


@pytest.fixture
def width_of(qtbot: QtBot) -> Callable[[Callable[[], object]], int]:
    """How wide the box must be that something opens."""

    def width(ask: Callable[[], object]) -> int:
        found: list[int] = []
        told: list[str] = []
        wide: list[str] = []

        def look() -> None:
            box = QApplication.activeModalWidget()
            if isinstance(box, QMessageBox):
                timer.stop()
                found.append(box.width())
                told.append(box.text().replace(BREAK, ""))
                wide.extend(label.text() for label in box.findChildren(QLabel) if is_wide(label))
                box.reject()

        timer = QTimer(interval=10)
        timer.timeout.connect(look)
        timer.start()
        ask()
        assert LONG in told[0] and wide == []
        return found[0]

    return width


def test_no_box_is_wider_than_the_screen_for_a_name(
    qtbot: QtBot, width_of: Callable[[Callable[[], object]], int]
) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    asks = BoxQuestions(window)
    for ask in (
        lambda: tell(window, f"{FILE} cannot be read."),
        lambda: asks.unsaved("W" * 80, FILE),
        lambda: asks.changed_on_disk(FILE, unsaved=True),
        lambda: asks.open_elsewhere(FILE, "window 1"),
        lambda: asks.replace_kept("W" * 80),
        lambda: export_box._may_replace(window, "Save", Path(FILE)),
    ):
        assert width_of(ask) <= 800


def test_a_name_that_is_too_long_is_there_again_to_be_made_shorter(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    asks, told, offered = BoxQuestions(window), [], []
    typed = ["x" * 81, "y " * 50, "x" * 80]

    def answer(_over: QWidget, _title: str, _prompt: str, _mode: object, present: str) -> object:
        offered.append(present)
        return typed[len(offered) - 1], True

    monkeypatch.setattr(QInputDialog, "getText", answer)
    monkeypatch.setattr(asks, "tell", told.append)
    assert asks.name("Bag") == "x" * 80
    assert offered == ["Bag", "x" * 81, "y " * 50], "what was typed is not lost"
    assert told == 2 * ["Name of the bag: keep it to 80 characters or fewer."]
    monkeypatch.setattr(QInputDialog, "getText", lambda *args: ("x" * 81, False))
    assert asks.kept_name("Keep", "Name:", "Bag") is None


# --- The labels -----------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["", "short", "W" * 20, "outer fabric\nand lining", "a-b " * 40])
def test_words_of_an_ordinary_length_stay_as_they_are(text: str) -> None:
    assert breakable(text) == text


def test_a_longer_word_may_break_and_keeps_its_letters() -> None:
    text = f"The {'W' * 61}, {'x' * 2000}."
    assert breakable(text).replace(BREAK, "") == text
    assert max(len(part) for part in breakable(text).replace(BREAK, " ").split()) <= 20


def test_a_label_says_the_text_and_wraps_it(qtbot: QtBot) -> None:
    label = PlainLabel("W" * 60)
    qtbot.addWidget(label)
    label.setWordWrap(True)
    assert label.text() == "W" * 60
    metrics = QFontMetrics(label.font())
    assert label.minimumSizeHint().width() < metrics.horizontalAdvance("W" * 21)
    assert label.heightForWidth(200) >= 3 * metrics.height()
    label.clear()
    assert label.text() == ""


def test_a_label_on_one_line_tells_the_rest_as_a_tip(qtbot: QtBot) -> None:
    label = ElidedLabel(f"Saved {'W' * 200}\n.csv.")
    qtbot.addWidget(label)
    label.resize(200, 20)
    label.grab()
    assert label.minimumSizeHint().width() < 100
    assert label.toolTip().replace(BREAK, "") == f"Saved {'W' * 200} .csv."
    label.setText("Saved it.")
    label.grab()
    assert label.toolTip() == ""
    assert label.text() == "Saved it."


def test_the_longest_texts_are_saved_and_read(hands: Hands, tmp_path: Path) -> None:
    project = project_with(longest)
    path = tmp_path / "bag.json"
    write_project(project, path)
    assert hands.window.files.open(path)
    assert project_to_json(hands.document.project) == project_to_json(project)
