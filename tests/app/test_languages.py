"""What the window asks of the reader's language: what translators are given, nothing typed."""

import errno
import re
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest
from PySide6.QtCore import QTranslator
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

import app.files.autosave
import app.files.recovery
from app.cli.files import place_to_write
from app.files.autosave import Autosave
from app.files.export import save_export
from app.files.recovery import left_overs
from app.help.topics import Topic, address
from app.help.window import HelpWindow
from app.session.document import Document
from app.window.main_window import MainWindow
from core.base.atomic_write import RefusedPlaceError
from core.base.errors import CornerwrightError
from core.base.sentences import Template
from core.storage.bag_files import SAMPLES, demo_bag, sample, write_project
from core.storage.goods_library import MaterialLibrary
from core.storage.project import Project
from tests.app.hands import Hands
from tests.core.output.test_languages import JOINS, KNOWN, TYPED, UNITS, Marked, marked, typed

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


def assert_no_plain_words(window: MainWindow) -> None:
    assert plain_words(window) - {window.display.paper.name} == set()


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
        window.status_line.count_pages()
        # A standard paper is called the same everywhere; what showed the bag of before goes soon.
        qtbot.waitUntil(partial(assert_no_plain_words, window))
    helped = HelpWindow(window.measures._display, window)
    qtbot.addWidget(helped)
    for topic in Topic:
        helped.show_address(address(topic, ""))
    own = {text for context, text in recorder.asked if not context.startswith("Q")}
    assert len(own) > 900
    assert own - KNOWN - JOINS == set()


FOLDER = "it is a folder"


def test_why_a_file_cannot_be_written_is_told_in_the_readers_language(tmp_path: Path) -> None:
    for way in (
        partial(write_project, Project(bag=demo_bag()), tmp_path),
        partial(MaterialLibrary(tmp_path).write, ()),
        partial(save_export, tmp_path, bytes, own=None),
        partial(place_to_write, str(tmp_path), replaces=True),
    ):
        with pytest.raises(CornerwrightError) as caught:
            way()
        assert marked(FOLDER) in caught.value.sentence.text(translate=Marked())


def test_why_no_recovery_copy_can_be_kept_or_read_is_told_in_the_readers_language(
    recorder: Recorder,
    tmp_path: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise RefusedPlaceError(errno.EISDIR, Template(FOLDER))

    document, told = Document(demo_bag()), list[str]()
    autosave = Autosave(document, tmp_path)
    autosave.failed.connect(told.append)
    document.mark_unsaved()
    assert autosave.write_now()
    with monkeypatch.context() as patch:
        patch.setattr(app.files.autosave, "write_whole", refuse)
        document.mark_unsaved()
        assert not autosave.write_now()
    qtbot.waitUntil(lambda: bool(told))
    autosave.close()
    (tmp_path / autosave.copy.name).write_bytes(b"")
    monkeypatch.setattr(app.files.recovery, "_content", refuse)
    assert left_overs(tmp_path, told.append) == []
    assert [marked(FOLDER) in each for each in told] == [True, True]
    caplog.clear()
