"""The window's own colours: readable in light and dark, and changed while it is open."""

from collections.abc import Iterator

import pytest
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.session.display import Display
from app.widgets.inputs import LengthBox
from app.widgets.labels import TonedLabel
from app.widgets.theme import change_colour, is_dark, muted_colour, problem_colour, severity_colour
from core.model.findings import Severity

LEAST = 4.5
"""Web Content Accessibility Guidelines 2.2 (W3C, 2023), 1.4.3 Contrast (Minimum), level AA."""


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
DARKEST = palette("#1e1e1e", "#121212", "#e0e0e0")


def luminance(colour: QColor) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = (colour.redF(), colour.greenF(), colour.blueF())
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio as WCAG 2.2 defines it."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("surroundings", [LIGHT, DARK, DARKEST], ids=["light", "dark", "darkest"])
def test_own_colours_can_be_read(qapp: QApplication, surroundings: QPalette) -> None:
    colours = [severity_colour(severity, surroundings) for severity in Severity]
    colours += [tone(surroundings) for tone in (problem_colour, change_colour, muted_colour)]
    for role in (QPalette.ColorRole.Window, QPalette.ColorRole.Base):
        for colour in colours:
            assert contrast(colour, surroundings.color(role)) >= LEAST, (colour.name(), role)


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
    assert box.palette().text().color() == problem_colour(DARK)
    box.set_problem("")
    assert box.palette().text().color() == DARK.text().color()
