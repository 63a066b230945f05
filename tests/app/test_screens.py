"""Small screens and large fonts: window and dialogs fit, their buttons show, nothing is cut off."""

import importlib
import pkgutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, QSize, QTimer
from PySide6.QtGui import QFont
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QAbstractSpinBox,
    QApplication,
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QLabel,
    QLineEdit,
    QMessageBox,
    QPushButton,
    QScrollArea,
    QTabWidget,
    QToolBar,
    QWidget,
)
from pytestqt.qtbot import QtBot

import app.dialogs
from app.__main__ import OpeningPage, start_place
from app.session.session import Unsaved
from app.widgets import desktop as screen_room
from app.widgets.dialog import FittedBox, FittedDialog, choose, tell
from app.widgets.labels import ElidedLabel
from core.storage.bag_files import write_project
from tests.app.hands import Hands
from tests.app.test_long_texts import longest, project_with

SCREENS = (QSize(1024, 640), QSize(1280, 720))
"""Logical pixels of the smallest screens."""
FONTS = (1.0, 1.5)
OPENED_BY = (
    "new_bag",
    "print",
    "edit_layers",
    "compare",
    "fit_tape",
    "take_up",
    "edit_load",
    "preferences",
    "about",
)
"""Actions that open a dialog each."""
PROSE = "The bag is larger than the goods that it is cut from, and nobody can say why. " * 60


@pytest.fixture
def screen(monkeypatch: pytest.MonkeyPatch) -> Callable[[QSize], QRect]:
    """Makes every widget's screen this large; returns it."""

    def make(size: QSize) -> QRect:
        place = QRect(QPoint(0, 0), size)
        monkeypatch.setattr(screen_room, "available", lambda _widget: place)
        return place

    return make


@pytest.fixture
def large(qapp: QApplication) -> Iterator[Callable[[float], None]]:
    """Makes the font of everything so many times as large."""
    usual = QFont(qapp.font())

    def make(times: float) -> None:
        font = QFont(usual)
        font.setPointSizeF(times * usual.pointSizeF())
        qapp.setFont(font)

    yield make
    qapp.setFont(usual)


def scrolls(widget: QWidget) -> bool:
    """Whether what is out of sight here can be scrolled into it."""
    parent = widget.parentWidget()
    return parent is not None and (isinstance(parent, QAbstractScrollArea) or scrolls(parent))


def cut_off(dialog: QWidget) -> list[str]:
    """What is smaller than its text needs, or lies outside the dialog and cannot be scrolled."""
    kinds = (QLabel, QAbstractButton, QAbstractSpinBox, QLineEdit, QComboBox)
    shown = [
        each for kind in kinds for each in dialog.findChildren(kind) if each.isVisibleTo(dialog)
    ]
    return [
        f"{type(each).__name__} {text_of(each)!r}" for each in shown if is_cut_off(each, dialog)
    ]


def is_cut_off(widget: QWidget, dialog: QWidget) -> bool:
    if isinstance(widget.parentWidget(), (QAbstractScrollArea, QAbstractSpinBox, QComboBox)):
        return False  # a part of that, which is judged itself
    if isinstance(widget, QLabel) and widget.wordWrap():
        small = widget.heightForWidth(widget.width()) > widget.height()
    else:
        need = widget.minimumSizeHint()
        small = need.width() > widget.width() or need.height() > widget.height()
    if isinstance(widget, QLabel) and not widget.wordWrap():
        small = small and not isinstance(widget, ElidedLabel)
    place = QRect(widget.mapTo(dialog, QPoint(0, 0)), widget.size())
    return small or not (dialog.rect().contains(place) or scrolls(widget))


def text_of(widget: QWidget) -> str:
    return str(getattr(widget, "text", lambda: "")())[:60]


def faults(dialog: QDialog, screen: QRect) -> list[str]:
    """What is wrong with how a dialog lies on a screen."""
    room = screen.marginsRemoved(screen_room.FRAME)
    wrong = []
    if not room.contains(dialog.geometry()):
        wrong.append(f"{dialog.geometry()} is not within {room}")
    wrong += hidden_buttons(dialog)
    tabs = dialog.findChild(QTabWidget)
    for place in range(1 if tabs is None else tabs.count()):
        if tabs is not None:
            tabs.setCurrentIndex(place)
            dialog.grab()
        wrong += cut_off(dialog)
    if isinstance(dialog, FittedDialog):
        dialog.resize(room.width() // 2, room.height() // 2)  # as a hand may make it
        dialog.grab()
        wrong += hidden_buttons(dialog)
    return [f"{type(dialog).__name__} ({dialog.windowTitle()}): {each}" for each in wrong]


def hidden_buttons(dialog: QDialog) -> list[str]:
    boxes = dialog.findChildren(QDialogButtonBox)
    buttons = [button for box in boxes for button in box.buttons()]
    places = [QRect(each.mapTo(dialog, QPoint(0, 0)), each.size()) for each in buttons]
    there = [
        each.isVisible() and not each.visibleRegion().isEmpty() and dialog.rect().contains(place)
        for each, place in zip(buttons, places, strict=True)
    ]
    out = [
        f"{each.text()!r} is out of sight"
        for each, is_there in zip(buttons, there, strict=True)
        if not is_there
    ]
    return out if buttons else ["it has no buttons"]


def seen(open_it: Callable[[], object], look: Callable[[QDialog], None]) -> None:
    """Open a dialog, look at it, and leave it."""

    def on_time() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, QDialog) and dialog.isVisible():
            timer.stop()
            try:
                dialog.grab()
                look(dialog)
            finally:
                dialog.reject()

    timer = QTimer(interval=10)
    timer.timeout.connect(on_time)
    timer.start()
    open_it()
    assert not timer.isActive(), "nothing opened"


def all_dialogs() -> set[type]:
    """Every kind of dialog that the program has."""
    for module in pkgutil.walk_packages(app.dialogs.__path__, "app.dialogs."):
        importlib.import_module(module.name)
    return {each for each in QDialog.__subclasses__() if each.__module__.startswith("app.")} | set(
        FittedDialog.__subclasses__()
    )


@pytest.mark.parametrize("times", FONTS)
def test_window_and_dialogs_fit_small_screens(
    hands: Hands,
    qtbot: QtBot,
    tmp_path: Path,
    screen: Callable[[QSize], QRect],
    large: Callable[[float], None],
    times: float,
) -> None:
    large(times)
    path = tmp_path / "bag.json"
    write_project(project_with(longest), path)  # every text at its longest, and variants
    window = hands.window
    assert window.files.open(path)
    wrong, met = list[str](), {FittedDialog}
    for size in SCREENS:
        place = screen(size)
        screen_room.bring_within(window)
        window.grab()
        room = place.marginsRemoved(screen_room.FRAME)
        assert window.geometry().size() == window.geometry().size().boundedTo(room.size())
        tabs = window.tabs
        for tab in range(tabs.count()):
            tabs.setCurrentIndex(tab)
            least = window.minimumSizeHint()
            assert least == least.boundedTo(room.size()), tabs.tabText(tab)

        def look(dialog: QDialog, place: QRect = place) -> None:
            met.add(type(dialog))
            wrong.extend(faults(dialog, place))

        for name in OPENED_BY:
            seen(window.commands[name].trigger, look)
        window.commands["glossary"].trigger()
        assert window.help.window is not None
        window.help.window.grab()
        look(window.help.window)
        window.help.window.close()
    assert wrong == []
    assert met == all_dialogs()


@pytest.mark.parametrize("times", FONTS)
def test_a_long_question_scrolls_and_its_buttons_show(
    qtbot: QtBot, screen: Callable[[QSize], QRect], large: Callable[[float], None], times: float
) -> None:
    large(times)
    window = QWidget()
    qtbot.addWidget(window)
    answers = {Unsaved.SAVE: "&Save", Unsaved.CANCEL: "&Cancel"}
    wrong = list[str]()
    for size in SCREENS:
        place = screen(size)

        def look(box: QDialog, place: QRect = place) -> None:
            assert isinstance(box, FittedBox)
            wrong.extend(faults(box, place))
            areas = [each for each in box.findChildren(QScrollArea) if each.isVisible()]
            assert areas and all(each.verticalScrollBar().maximum() > 0 for each in areas)
            assert box.text().startswith("The bag"), "the box still says it"

        def look_at_plain(box: QDialog, place: QRect = place) -> None:
            wrong.extend(faults(box, place))
            assert box.findChildren(QScrollArea) == [], "a short text needs none"

        def open_details(box: QDialog, place: QRect = place) -> None:
            assert isinstance(box, QMessageBox)
            for button in box.buttons():
                if "Details" in button.text():
                    button.click()
            box.grab()
            wrong.extend(faults(box, place))

        seen(lambda: choose(window, "Title", PROSE, answers), look)
        seen(lambda: choose(window, "Title", PROSE, answers, PROSE), look)
        seen(lambda: choose(window, "Title", "The bag?", answers, PROSE), look)
        seen(lambda: choose(window, "Title", "The bag?", answers), look_at_plain)
        seen(lambda: tell(window, PROSE), look)
        seen(lambda: tell(window, PROSE[:600], details=PROSE), open_details)
    assert wrong == []


def test_what_is_cut_off_would_be_seen(qtbot: QtBot) -> None:
    """The judge of this file: it finds a label and a button that have too little room."""
    top = QWidget()
    qtbot.addWidget(top)
    top.resize(200, 100)
    fine = QCheckBox("fine", top)
    fine.move(0, 60)
    label, button = QLabel("A label that is long", top), QPushButton("Save", top)
    label.setWordWrap(True)
    label.setGeometry(0, 0, 40, 12)
    button.setGeometry(180, 20, 80, 30)
    top.show()
    assert cut_off(top) == ["QLabel 'A label that is long'", "QPushButton 'Save'"]


def test_the_first_window_takes_what_the_screen_has(
    hands: Hands, qtbot: QtBot, screen: Callable[[QSize], QRect]
) -> None:
    for size in (QSize(1024, 640), QSize(1920, 1040)):
        place = screen(size)
        opening = OpeningPage(QApplication.windowIcon(), None)
        qtbot.addWidget(opening)
        assert opening.geometry() == place.marginsRemoved(screen_room.FRAME)
        assert opening.rect().contains(start_place(opening.size()))
        assert start_place(opening.size()).width() > 250


def test_a_window_kept_from_a_larger_screen_is_brought_back(
    hands: Hands, qtbot: QtBot, screen: Callable[[QSize], QRect]
) -> None:
    window = hands.window
    window.setGeometry(300, 200, 1800, 1000)
    state = window.saveGeometry()
    place = screen(QSize(1280, 720))
    window.settings.keep_layout("window", state)
    window.kept_layout.restore()
    assert place.contains(window.geometry())
    opening = OpeningPage(QApplication.windowIcon(), state)
    qtbot.addWidget(opening)
    assert place.contains(opening.geometry())
    inside = QRect(100, 100, 900, 500)
    window.setGeometry(inside)
    screen_room.bring_within(window)
    assert window.geometry() == inside, "what fits stays where it was put"


def test_what_the_toolbar_has_no_room_for_is_behind_its_arrow(
    hands: Hands, qtbot: QtBot, large: Callable[[float], None]
) -> None:
    large(1.5)
    window = hands.window
    window.resize(1008, 596)
    bar = window.findChild(QToolBar)
    assert bar is not None and bar.width() <= window.width()
    arrow = bar.findChild(QAbstractButton, "qt_toolbar_ext_button")
    qtbot.waitUntil(arrow.isVisible)
    hidden = [each for each in bar.actions() if not bar.widgetForAction(each).isVisible()]
    assert hidden
    assert arrow.geometry().right() <= bar.width()
