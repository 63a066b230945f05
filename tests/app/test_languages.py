"""What the window asks of the reader's language: what translators are given, nothing typed."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QTranslator
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.help.topics import Topic, address
from app.help.window import HelpWindow
from core.storage.bag_files import SAMPLES, sample
from tests.app.hands import Hands
from tests.catalogue import catalogue

KNOWN = {text for one, entry in catalogue()[0].items() for text in (one, entry.many)}
JOINS = {"{items}", "{words}"}
"""What stands for nothing but its gap."""


class Recorder(QTranslator):
    """English that remembers what it was asked for, and in which context."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: set[tuple[str, str]] = set()

    def isEmpty(self) -> bool:  # noqa: N802 - Qt's own
        return False

    def translate(
        self, context: str, text: str, disambiguation: str | None = None, n: int = -1
    ) -> str:
        self.asked.add((context, text))
        return text


@pytest.fixture
def recorder(qapp: QApplication) -> Iterator[Recorder]:
    made = Recorder()
    qapp.installTranslator(made)
    yield made
    qapp.removeTranslator(made)


def test_translators_are_given_all_that_the_window_asks_for(
    recorder: Recorder, qtbot: QtBot, request: pytest.FixtureRequest
) -> None:
    """Contexts of Qt's own texts begin with its Q; the toolkit has catalogues of its own."""
    hands: Hands = request.getfixturevalue("hands")  # made once the recorder listens
    window = hands.window
    for name in SAMPLES:
        hands.document.open(sample(name))
        window.commands["sewing_order"].trigger()
        window.commands["cutting_plan"].trigger()
        window.grab()
    helped = HelpWindow(window.measures._display, window)
    qtbot.addWidget(helped)
    for topic in Topic:
        helped.show_address(address(topic, ""))
    own = {text for context, text in recorder.asked if not context.startswith("Q")}
    assert len(own) > 900
    assert own - KNOWN - JOINS == set()
