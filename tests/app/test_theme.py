"""The window's own colours: changed while it is open."""

from collections.abc import Iterator

import pytest
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.session.display import Display
from app.widgets.inputs import LengthBox
from app.widgets.labels import TonedLabel
from app.widgets.theme import is_dark, problem_colour


def palette(window: str, base: str, text: str) -> QPalette:
    made = QPalette()
    for role, colour in (
        (QPalette.ColorRole.Window, window),
        (QPalette.ColorRole.Base, base),
        (QPalette.ColorRole.WindowText, text),
        (QPalette.ColorRole.Text, text),
    ):
        made.setColor(role, QColor(colour))
    return made


LIGHT = palette("#efefef", "#ffffff", "#000000")
DARK = palette("#323232", "#242424", "#ffffff")


def test_light_and_dark_are_told_apart(qapp: QApplication) -> None:
    assert not is_dark(LIGHT)
    assert is_dark(DARK)


@pytest.fixture
def surroundings(qapp: QApplication) -> Iterator[QApplication]:
    before = QPalette(qapp.palette())
    yield qapp
    qapp.setPalette(before)


def test_colours_follow_when_light_turns_dark(qtbot: QtBot, surroundings: QApplication) -> None:
    surroundings.setPalette(LIGHT)
    label = TonedLabel(problem_colour, "wrong")
    box = LengthBox("Panel width", Display())
    for widget in (label, box):
        qtbot.addWidget(widget)
        widget.show()
    box.set_problem("Panel width: no")
    surroundings.setPalette(DARK)
    surroundings.processEvents()
    assert label.palette().windowText().color() == problem_colour(DARK)
    assert box.lineEdit().palette().text().color() == problem_colour(DARK)
    box.set_problem("")
    assert box.palette().text().color() == DARK.text().color()
