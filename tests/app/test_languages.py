"""What the window asks of the reader's language: what translators are given, nothing typed."""

import re
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QTranslator
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.help.topics import Topic, address
from app.help.window import HelpWindow
from core.storage.bag_files import SAMPLES, sample
from tests.app.hands import Hands
from tests.core.output.test_languages import JOINS, KNOWN, TYPED, UNITS, marked, typed

KEYS = {"Ctrl", "Shift", "Alt", "PgUp", "PgDown", "Return", "Scroll", "Left", "Right"}
"""Of the toolkit: how it calls keys, and the buttons of its tab bars."""
_APART = re.compile(r"(\{.*?\}|<.*?>|&\w+;|\[\[.*?\]\])")
_SAID = ("text", "title", "toolTip", "accessibleName", "placeholderText", "windowTitle")


class Recorder(QTranslator):
    """English whose letters have marks; remembers what it was asked for, and in which context."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: set[tuple[str, str]] = set()

    def isEmpty(self) -> bool:  # noqa: N802 - Qt's own
        return False

    def translate(
        self, context: str, text: str, disambiguation: str | None = None, n: int = -1
    ) -> str:
        self.asked.add((context, text))
        if context.startswith("Q"):
            return text
        return "".join(
            each if _APART.fullmatch(each) else marked(each) for each in _APART.split(text)
        )


@pytest.fixture
def recorder(qapp: QApplication) -> Iterator[Recorder]:
    made = Recorder()
    qapp.installTranslator(made)
    yield made
    qapp.removeTranslator(made)


def plain_words(root: QWidget) -> set[str]:
    """Words without marks in all that a window says and that is no unit, no key and not typed."""
    found: set[str] = set()
    for each in (root, *root.findChildren(QWidget), *root.findChildren(QAction)):
        for name in _SAID:
            said = getattr(each, name, None)
            text = said() if callable(said) else None
            if isinstance(text, str):
                found.update(re.findall("[A-Za-z]{3,}", re.sub("<[^>]*>", "", text)))
    return found - UNITS - KEYS - {TYPED, "Cornerwright"}


def test_all_that_the_window_says_comes_from_the_readers_language(
    recorder: Recorder, qtbot: QtBot, request: pytest.FixtureRequest
) -> None:
    """Contexts of Qt's own texts begin with its Q; the toolkit has catalogues of its own."""
    hands: Hands = request.getfixturevalue("hands")  # made once the recorder listens
    window = hands.window
    for name in SAMPLES:
        hands.document.open(typed(sample(name)))
        window.commands["sewing_order"].trigger()
        window.commands["cutting_plan"].trigger()
        window.grab()
        qtbot.wait(20)  # what showed the bag of before is gone by then
        assert plain_words(window) == set()
    helped = HelpWindow(window.measures._display, window)
    qtbot.addWidget(helped)
    for topic in Topic:
        helped.show_address(address(topic, ""))
    own = {text for context, text in recorder.asked if not context.startswith("Q")}
    assert len(own) > 900
    assert own - KNOWN - JOINS == set()
