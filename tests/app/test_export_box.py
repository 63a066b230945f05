"""The box that asks where an export goes: nothing is replaced before its maker said so."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import (
    QApplication,
    QDialogButtonBox,
    QFileDialog,
    QLineEdit,
    QMessageBox,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.export_box import ask_export, file_name, refuse_bag_itself
from core.errors import ExportError

Asking = Callable[[str, QMessageBox.StandardButton], tuple[Path | None, list[str]]]


@pytest.fixture
def ask(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Asking:
    """Types a name into the real box and presses Save; tells the path and what was asked."""
    window = QWidget()
    qtbot.addWidget(window)
    # Qt's own box, which is the same on every system and can be typed into from here.
    native = QFileDialog.Option.DontUseNativeDialog
    made = QFileDialog.exec

    def with_own_box(self: QFileDialog) -> int:
        self.setOption(native)
        return made(self)

    monkeypatch.setattr(QFileDialog, "exec", with_own_box)

    def run(name: str, reply: QMessageBox.StandardButton) -> tuple[Path | None, list[str]]:
        questions: list[str] = []
        typed: list[str] = []

        def work() -> None:
            box = QApplication.activeModalWidget()
            if isinstance(box, QMessageBox):
                questions.append(box.text())
                box.button(reply).click()
            elif isinstance(box, QFileDialog) and not typed:
                typed.append(name)
                box.findChild(QLineEdit, "fileNameEdit").setText(name)
                save = box.findChild(QDialogButtonBox).button(QDialogButtonBox.StandardButton.Save)
                # This timer must have come to its end before it can see the next box.
                QTimer.singleShot(0, save.click)
            elif isinstance(box, QFileDialog) and questions:
                box.reject()

        timer = QTimer(interval=10)
        timer.timeout.connect(work)
        timer.start()
        suggested = tmp_path / "pattern.pdf"
        found = ask_export(window, "Save the pattern", "PDF file (*.pdf)", suggested)
        timer.stop()
        assert typed
        return found, questions

    return run


YES, NO = QMessageBox.StandardButton.Yes, QMessageBox.StandardButton.No


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


def test_the_bag_itself_is_refused_under_any_name(tmp_path: Path) -> None:
    own = tmp_path / "bag.json"
    own.write_bytes(b"{}")
    other = tmp_path / "other.json"
    other.symlink_to(own)
    for name in (own, other, tmp_path / "." / "bag.json"):
        with pytest.raises(ExportError, match="own file: give another name"):
            refuse_bag_itself(name, own)
    refuse_bag_itself(tmp_path / "pattern.pdf", own)
    refuse_bag_itself(own, None)


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
