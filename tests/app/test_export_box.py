"""The box that asks where an export goes: nothing is replaced before its maker said so."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import (
    QApplication,
    QDialogButtonBox,
    QFileDialog,
    QLineEdit,
    QMessageBox,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.files import export
from app.files.export import (
    ask_export,
    ask_export_as,
    file_name,
    refuse_bad_place,
    save_export,
    with_ending,
)
from app.files.questions import BoxQuestions
from core.base.errors import ExportError

YES, NO = QMessageBox.StandardButton.Yes, QMessageBox.StandardButton.No
Found = TypeVar("Found")


class Hand:
    """Types a name into the real box that a function opens, and presses Save."""

    def __init__(self, window: QWidget, folder: Path) -> None:
        self.window, self.folder = window, folder
        self.asked: list[str] = []
        self.formats: set[Qt.TextFormat] = set()
        self.boxes = 0

    def type(
        self, name: str, reply: QMessageBox.StandardButton, run: Callable[[], Found], kind: str = ""
    ) -> Found:
        """What the function gives when the name is typed into its first box.

        A question whether to replace is answered with the reply; a box that comes back after
        it is closed.
        """
        met: list[QFileDialog] = []

        def work() -> None:
            box = QApplication.activeModalWidget()
            if isinstance(box, QMessageBox):
                self.asked.append(box.text())
                self.formats.add(box.textFormat())
                box.button(reply).click()
            elif isinstance(box, QFileDialog) and not met:
                met.append(box)
                if kind:
                    box.selectNameFilter(kind)
                    box.filterSelected.emit(kind)
                box.findChild(QLineEdit, "fileNameEdit").setText(name)
                save = box.findChild(QDialogButtonBox).button(QDialogButtonBox.StandardButton.Save)
                # This timer must have come to its end before it can see the next box.
                QTimer.singleShot(0, save.click)
            elif isinstance(box, QFileDialog) and self.asked:
                self.boxes = 1 if box is met[0] else 2
                box.reject()

        timer = QTimer(interval=10)
        timer.timeout.connect(work)
        timer.start()
        found = run()
        timer.stop()
        assert met
        return found


@pytest.fixture
def hand(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Hand:
    window = QWidget()
    qtbot.addWidget(window)
    # Qt's own box, which is the same on every system and can be typed into from here.
    native = QFileDialog.Option.DontUseNativeDialog
    made = QFileDialog.exec

    def with_own_box(self: QFileDialog) -> int:
        self.setOption(native)
        return made(self)

    monkeypatch.setattr(QFileDialog, "exec", with_own_box)
    return Hand(window, tmp_path)


Asking = Callable[[str, QMessageBox.StandardButton], tuple[Path | None, list[str]]]


@pytest.fixture
def ask(hand: Hand) -> Asking:
    """Asks for a pattern's file; tells the path and what was asked."""

    def run(name: str, reply: QMessageBox.StandardButton) -> tuple[Path | None, list[str]]:
        kind, suggested = "PDF file (*.pdf)", hand.folder / "pattern.pdf"
        found = hand.type(
            name, reply, lambda: ask_export(hand.window, "Save pattern as PDF", kind, suggested)
        )
        return found, hand.asked

    return run


def test_a_new_name_gets_its_ending_and_no_question(ask: Asking, tmp_path: Path) -> None:
    assert ask("carrier", YES) == (tmp_path / "carrier.pdf", [])


@pytest.mark.parametrize("typed", ["carrier", "carrier.pdf"])
@pytest.mark.parametrize("reply", [YES, NO])
def test_a_file_that_is_there_is_asked_about(
    ask: Asking, tmp_path: Path, typed: str, reply: QMessageBox.StandardButton
) -> None:
    there = tmp_path / "carrier.pdf"
    there.write_bytes(b"older")
    found, questions = ask(typed, reply)
    assert found == (there if reply is YES else None)
    assert len(questions) == 1
    assert "carrier.pdf" in questions[0]
    assert there.read_bytes() == b"older"


def test_a_dot_in_a_name_does_not_begin_an_ending(ask: Asking, tmp_path: Path) -> None:
    assert ask("carrier 7.5 deep", YES) == (tmp_path / "carrier 7.5 deep.pdf", [])


@pytest.mark.parametrize("reply", [YES, NO])
def test_a_file_that_the_ending_leads_to_is_asked_about(
    hand: Hand, ask: Asking, tmp_path: Path, reply: QMessageBox.StandardButton
) -> None:
    there = tmp_path / "<b>7.5 deep.pdf"
    there.write_bytes(b"older")
    found, questions = ask("<b>7.5 deep", reply)
    assert found == (there if reply is YES else None)
    assert questions == ["<b>7.5 deep.pdf is there already. Replace it?"]
    assert hand.formats == {Qt.TextFormat.PlainText}
    assert hand.boxes == (0 if reply is YES else 2)  # after a no, another name can be given
    assert there.read_bytes() == b"older"


def test_a_bag_saved_under_a_name_with_a_dot_is_listed_by_the_open_box(
    hand: Hand, tmp_path: Path
) -> None:
    boxes = BoxQuestions(hand.window)
    found = hand.type("carrier 7.5 deep", YES, lambda: boxes.save_path(tmp_path / "bag.json"))
    assert found == tmp_path / "carrier 7.5 deep.json"


@pytest.mark.parametrize("name", ["bag", "bag.old", "bag v1.5"])
def test_a_bag_from_a_file_with_another_ending_is_offered_the_usual_one(
    hand: Hand, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    offered: list[Path] = []
    monkeypatch.setattr(export, "ask_export", lambda *words: offered.append(words[-1]))
    BoxQuestions(hand.window).save_path(tmp_path / name)
    assert offered == [tmp_path / f"{name}.json"]


PDF, PAGE = "PDF (*.pdf)", "Web page (*.html)"


@pytest.mark.parametrize(
    ("typed", "kind", "becomes"),
    [
        ("book", PDF, "book.pdf"),
        ("book 7.5", PDF, "book 7.5.pdf"),
        ("book 7.5", PAGE, "book 7.5.html"),
        ("book.html", PDF, "book.pdf"),
        ("book.pdf", PAGE, "book.html"),
    ],
)
def test_a_file_is_called_what_it_is(
    hand: Hand, tmp_path: Path, typed: str, kind: str, becomes: str
) -> None:
    kinds = {PDF: ".pdf", PAGE: ".html"}
    found = hand.type(
        typed,
        YES,
        lambda: ask_export_as(hand.window, "Export", kinds, tmp_path / "x 1.5 booklet.pdf"),
        kind,
    )
    assert found == (tmp_path / becomes, kind)
    assert hand.asked == []


@pytest.mark.parametrize(
    ("name", "ending", "becomes"),
    [
        ("book.pdf", ".pdf", "book.pdf"),
        ("book.PDF", ".pdf", "book.PDF"),
        ("book", ".pdf", "book.pdf"),
        ("book.", ".pdf", "book.pdf"),
        ("book.html", ".pdf", "book.pdf"),
        ("book.HTM", ".pdf", "book.pdf"),
        ("book v1.5", ".html", "book v1.5.html"),
    ],
)
def test_an_ending_is_put_right(name: str, ending: str, becomes: str) -> None:
    found = with_ending(Path("a.b", name), ending, others=(".pdf", ".html"))
    assert found == Path("a.b", becomes)


def test_the_bag_itself_is_refused_under_any_name(tmp_path: Path) -> None:
    own = tmp_path / "bag.json"
    own.write_bytes(b"{}")
    other = tmp_path / "other.json"
    other.symlink_to(own)
    for name in (own, other, tmp_path / "." / "bag.json"):
        with pytest.raises(ExportError, match="own file: give another name"):
            refuse_bad_place(name, own=own)
    refuse_bad_place(tmp_path / "pattern.pdf", own=own)
    refuse_bad_place(own, own=None)


@pytest.mark.parametrize(
    ("name", "becomes"),
    [
        ("Market carrier", "Market carrier"),
        ('a<b>:"c"/d\\e|f?g*', "abcdefg"),
        (" . ", "bag"),
        ("line\nbreak", "linebreak"),
    ],
)
def test_a_file_is_named_without_signs_that_a_system_forbids(name: str, becomes: str) -> None:
    assert file_name(name, otherwise="bag") == becomes


def test_an_export_is_its_file_and_nothing_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "carrier.pdf"
    path.write_bytes(b"older")
    save_export(path, lambda: b"newer", own=tmp_path / "bag.json")
    assert path.read_bytes() == b"newer"
    assert [each.name for each in tmp_path.iterdir()] == ["carrier.pdf"]


@pytest.mark.parametrize("place", ["missing/carrier.pdf", "folder", "bag.json"])
def test_a_place_that_cannot_be_written_is_refused_before_the_work(
    tmp_path: Path, place: str
) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "bag.json").write_bytes(b"{}")
    made: list[str] = []

    def make() -> bytes:
        made.append(place)
        return b"%PDF"

    with pytest.raises(ExportError, match=r"Choose another place|give another name"):
        save_export(tmp_path / place, make, own=tmp_path / "bag.json")
    assert made == []
    assert {each.name for each in tmp_path.iterdir()} == {"folder", "bag.json"}
    assert (tmp_path / "bag.json").read_bytes() == b"{}"


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such permissions")
def test_a_new_export_has_the_usual_permissions(tmp_path: Path) -> None:
    path = tmp_path / "carrier.pdf"
    save_export(path, lambda: b"%PDF", own=None)
    (plain := tmp_path / "plain").touch()
    assert path.stat().st_mode == plain.stat().st_mode
