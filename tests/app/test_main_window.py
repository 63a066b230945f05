"""The whole window along the maker's path: open, change, fix, undo, save, close."""

import json
import os
import re
import sys
from collections.abc import Callable, Iterator
from datetime import datetime
from functools import partial
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, QSettings, Qt, QTimer, QUrl
from PySide6.QtGui import QCloseEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QDialog, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from app.files.questions import BoxQuestions
from app.session.session import Changed, RecoveryChoice, Unsaved
from app.session.settings import MOST_RECENT, Settings
from app.window.main_window import MainWindow
from core.bag.choices import with_choice
from core.base.units import Unit, unbroken
from core.storage.bag_files import SAMPLES, demo_bag, sample
from tests.app.sessions import session_on
from tests.helpers import demo, inch, read_bag, write_bag


class Answers:
    """Stands in for the boxes: gives prepared answers and keeps what was told."""

    def __init__(self) -> None:
        self.opened: Path | None = None
        self.saved: Path | None = None
        self.named: str | None = None
        self.leaving = Unsaved.CANCEL
        self.on_disk = Changed.LATER
        self.going_on = False
        self.replacing = True
        self.reverting = True
        self.left = RecoveryChoice.LATER
        self.asked: list[str] = []
        self.told: list[str] = []
        self.details: list[str] = []

    def open_path(self, folder: Path) -> Path | None:
        self.asked.append("open")
        return self.opened

    def save_path(self, suggested: Path) -> Path | None:
        self.asked.append(f"save {suggested.name}")
        return self.saved

    def unsaved(self, name: str, file: str) -> Unsaved:
        self.asked.append(f"unsaved {file}" if file else "unsaved")
        return self.leaving

    def changed_on_disk(self, file: str, *, unsaved: bool) -> Changed:
        self.asked.append(f"changed {file}")
        return self.on_disk

    def open_elsewhere(self, file: str, who: str) -> bool:
        self.asked.append(f"elsewhere {file}")
        return self.going_on

    def left_over(self, name: str, path: Path | None, at: datetime) -> RecoveryChoice:
        self.asked.append(f"left over {name}")
        return self.left

    def name(self, present: str) -> str | None:
        self.asked.append(f"name {present}")
        return self.named

    def kept_name(self, title: str, prompt: str, present: str) -> str | None:
        self.asked.append(f"{title}: {present}")
        return self.named

    def revert(self, file: str) -> bool:
        self.asked.append(f"revert {file}")
        return self.reverting

    def replace_kept(self, name: str) -> bool:
        self.asked.append(f"replace {name}")
        return self.replacing

    def tell(self, text: str, details: str = "") -> None:
        self.told.append(text)
        self.details.append(details)


@pytest.fixture
def answers() -> Answers:
    return Answers()


@pytest.fixture
def make(qtbot: QtBot, answers: Answers, store: QSettings) -> Iterator[Callable[[], MainWindow]]:
    made: list[MainWindow] = []

    def make() -> MainWindow:
        window = MainWindow(session_on(store=store, questions=answers))
        made.append(window)
        window.show()
        return window

    yield make
    for window in made:
        window.document.undo_stack.setClean()
        window.close()
        window.deleteLater()


@pytest.fixture
def window(make: Callable[[], MainWindow]) -> MainWindow:
    return make()


def deepen(window: MainWindow) -> None:
    window.document.set_figures({"corner_cut_depth": inch(3.5)}, "Corner cut depth")


def closes(window: MainWindow) -> bool:
    event = QCloseEvent()
    QApplication.sendEvent(window, event)
    return event.isAccepted()


def test_the_first_start_shows_the_demo_bag_unchanged(window: MainWindow) -> None:
    assert window.document.bag == demo_bag()
    assert not window.isWindowModified()
    assert window.windowTitle().startswith(demo_bag().name)
    assert not window.commands["undo"].isEnabled()


def test_an_inch_deeper_is_found_fixed_and_taken_back(window: MainWindow) -> None:
    deepen(window)
    assert window.isWindowModified()
    assert window.commands["undo"].text() == "&Undo: Corner cut depth"
    window.commands["fix_worst"].trigger()
    finished = window.document.result.finished
    assert finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-9)
    assert finished["gusset_depth"] == pytest.approx(inch(7.75))
    window.commands["undo"].trigger()
    window.commands["undo"].trigger()
    assert window.document.bag == demo_bag()
    assert not window.isWindowModified()
    window.commands["redo"].trigger()
    assert window.document.bag.body.corner_depth == inch(3.5)


def test_the_status_line_tells_both_panels_of_a_seamed_bag(window: MainWindow) -> None:
    """By hand: each is half of 38 1/2 in long, the front 1 1/2 in less."""
    line, document = window.statusBar(), window.document
    document.replace_bag(with_choice(document.bag, "bottom", "seam"), "seam")
    line.refresh()
    assert line.texts[1] == unbroken("Front 18 1/2 × 17 3/4 in, back 18 1/2 × 19 1/4 in")
    document.set_figures({"front_trim": 0.0}, "level")
    line.refresh()
    assert line.texts[1] == unbroken("Front and back 18 1/2 × 19 1/4 in")


def test_the_status_line_tells_capacity_size_pages_unit_and_state(
    window: MainWindow, qtbot: QtBot
) -> None:
    line = window.statusBar()
    line.refresh()
    line.count_pages()
    capacity, panel, pages, unit, saved = line.texts
    assert capacity.startswith("Box 18.25 L")
    assert panel == unbroken("Panel 18 1/2 × 37 in")
    assert pages.endswith("Letter")
    assert int(pages.split()[0]) > 1
    assert unit.startswith("Inches")
    assert saved == "Unchanged"
    deepen(window)
    qtbot.waitUntil(lambda: line.texts[-1] == "Not saved")


def test_nothing_of_the_bag_is_written_over_a_message(window: MainWindow, qtbot: QtBot) -> None:
    line = window.statusBar()
    line.refresh()
    line.showMessage("18 1/2 in + 1 in = 19 1/2 in")
    deepen(window)
    qtbot.waitUntil(lambda: line.texts[-1] == "Not saved")
    assert not any(label.isVisible() for label in (line._capacity, line._size, line._pages))
    line.clearMessage()
    assert line._capacity.isVisible()


def test_the_sign_of_a_length_off_the_ruler_is_explained_while_one_is_shown(
    window: MainWindow,
) -> None:
    line = window.statusBar()
    line.refresh()
    assert window.display.length(window.document.result.finished["handle_drop_front"])[0] == "≈"
    assert line.legend.startswith("≈ "), "the demo bag's handle drop lies between two marks"
    window.commands["millimetres"].trigger()
    line.refresh()
    assert line.legend == "", "millimetres are rounded and have no such sign"


def test_units_are_switched_by_action_and_kept(
    make: Callable[[], MainWindow], store: QSettings
) -> None:
    window = make()
    before = window.document.bag
    window.commands["millimetres"].trigger()
    window.commands["coarser_step"].trigger()
    assert window.display.unit is Unit.MM
    assert window.display.step == 5.0
    assert window.document.bag is before
    assert closes(window)
    settings = Settings(store)
    assert (settings.unit, settings.steps[Unit.MM]) == (Unit.MM, 5.0)


def test_the_layout_comes_back(make: Callable[[], MainWindow]) -> None:
    first = make()
    # The offscreen screen is 800 x 800, and no window comes back larger than its screen.
    first.resize(790, 700)
    first._whole.setSizes([380, 410])
    sizes = first._whole.sizes()
    assert closes(first)
    second = make()
    assert second.size() == first.size()
    assert second._whole.sizes() == sizes


@pytest.mark.parametrize("name", ["mine.json", "a[*]b.json", "[*].json", "<b>x</b> [*][*].json"])
def test_the_title_names_the_bag_and_its_file(
    window: MainWindow, answers: Answers, tmp_path: Path, name: str
) -> None:
    bag = demo_bag().name
    assert window.windowHandle().title() == f"{bag} – Cornerwright"
    deepen(window)
    answers.saved = tmp_path / name.replace("/", "\u2215")
    window.commands["save"].trigger()
    shown = f"{bag} – {answers.saved.name}"
    assert window.windowHandle().title() == f"{shown} – Cornerwright"
    window.commands["undo"].trigger()
    assert window.windowHandle().title() == f"{shown}* – Cornerwright", "with the mark of a change"
    assert not closes(window)
    assert answers.asked[-1] == f"unsaved {answers.saved.name}"
    window.files.start_from("tote")
    answers.leaving = Unsaved.DISCARD
    window.files.start_from("tote")
    assert "json" not in window.windowTitle(), "a sample has no file"


def test_a_file_keeps_the_unit_in_which_its_bag_was_read(
    window: MainWindow, answers: Answers, tmp_path: Path
) -> None:
    path = answers.saved = tmp_path / "mine.json"
    window.commands["millimetres"].trigger()
    assert window.document.saved, "to look in another unit is no change"
    window.commands["save_as"].trigger()
    assert read_bag(path).unit is Unit.MM
    window.commands["inches"].trigger()
    window.files.open(path)
    assert window.display.unit is Unit.MM


def test_the_question_before_leaving_names_the_file(qtbot: QtBot) -> None:
    said: list[str] = []

    def look() -> None:
        box = QApplication.activeModalWidget()
        if isinstance(box, QMessageBox):
            said.append(f"{box.text()} {box.informativeText()}")
            box.reject()

    root = QWidget()
    qtbot.addWidget(root)
    for file in ("mine.json", ""):
        QTimer.singleShot(20, look)
        assert BoxQuestions(root).unsaved("Orchard bag", file) is Unsaved.CANCEL
    assert said == [
        "Save the changes to “Orchard bag” in its file “mine.json”? ",
        "Save the changes to “Orchard bag”? It was never saved to a file: you will be asked where "
        "to.",
    ]


def test_a_variant_is_not_replaced_by_pressing_on(qtbot: QtBot) -> None:
    said: list[str] = []

    def press(key: Qt.Key | None) -> None:
        box = QApplication.activeModalWidget()
        if isinstance(box, QMessageBox):
            said.append(box.text())
            if key is None:
                replace = next(each for each in box.buttons() if each.text() == "&Replace")
                qtbot.mouseClick(replace, Qt.MouseButton.LeftButton)
            else:
                qtbot.keyClick(box, key)

    root = QWidget()
    qtbot.addWidget(root)
    for key, replaced in ((Qt.Key.Key_Return, False), (Qt.Key.Key_Escape, False), (None, True)):
        QTimer.singleShot(20, partial(press, key))
        assert BoxQuestions(root).replace_kept("Small") is replaced
    assert said == ["Replace the variant “Small”?"] * 3


@pytest.mark.parametrize(
    ("answer", "file_named", "left"),
    [
        (Unsaved.CANCEL, False, False),
        (Unsaved.DISCARD, False, True),
        (Unsaved.SAVE, True, True),
        (Unsaved.SAVE, False, False),
    ],
)
def test_closing_with_unsaved_changes_asks(
    window: MainWindow,
    answers: Answers,
    tmp_path: Path,
    answer: Unsaved,
    file_named: bool,
    left: bool,
) -> None:
    deepen(window)
    answers.leaving = answer
    answers.saved = tmp_path / "mine.json" if file_named else None
    assert closes(window) is left
    assert answers.asked[0] == "unsaved"
    assert (tmp_path / "mine.json").exists() is file_named
    assert window.document.bag.body.corner_depth == inch(3.5), "nothing is lost by asking"


def test_closing_an_unchanged_bag_asks_nothing(window: MainWindow, answers: Answers) -> None:
    assert closes(window)
    assert answers.asked == []


def test_saving_asks_once_and_then_writes_to_the_same_file(
    window: MainWindow, answers: Answers, tmp_path: Path
) -> None:
    answers.saved = tmp_path / "mine.json"
    deepen(window)
    window.commands["save"].trigger()
    assert not window.isWindowModified()
    assert read_bag(answers.saved) == window.document.bag
    window.document.set_figures({"panel_width": 500.0}, "Panel width")
    window.commands["save"].trigger()
    assert [each for each in answers.asked if each.startswith("save")] == [answers.asked[0]]
    assert read_bag(answers.saved).body.width == 500.0
    window.commands["undo"].trigger()
    assert window.isWindowModified(), "what lies in the file is another bag now"


def test_a_backup_that_cannot_be_kept_is_told_once(
    window: MainWindow, answers: Answers, tmp_path: Path
) -> None:
    answers.saved = tmp_path / "mine.json"
    window.commands["save"].trigger()
    backup = tmp_path / "mine.json~"
    backup.mkdir()
    told: list[str] = []
    window.session.said.connect(told.append)

    def save(width: float) -> None:
        window.document.set_figures({"panel_width": width}, "Panel width")
        window.commands["save"].trigger()
        assert read_bag(tmp_path / "mine.json").body.width == width

    for width in (500.0, 510.0):
        save(width)
    assert len(told) == 1
    assert told[0].startswith(
        "mine.json was saved, but no backup of its earlier contents could be kept"
    )
    assert window.statusBar().currentMessage() == told[0]
    window.session.said.emit("Bags: 1 + 2 = 3")
    assert window.statusBar().currentMessage() == told.pop() == "Bags: 1 + 2 = 3"
    assert window.document.saved
    backup.rmdir()
    save(520.0)
    assert read_bag(backup).body.width == 510.0
    assert len(told) == 1
    backup.unlink()
    backup.mkdir()
    save(530.0)
    assert len(told) == 2, "it was kept meanwhile: this is news again"
    assert answers.told == []


def test_a_file_that_cannot_be_written_is_told(
    window: MainWindow, answers: Answers, tmp_path: Path
) -> None:
    answers.saved = tmp_path / "no such folder" / "mine.json"
    deepen(window)
    window.commands["save_as"].trigger()
    assert len(answers.told) == 1
    assert "mine.json" in answers.told[0]
    assert window.isWindowModified()


def test_a_bag_file_is_opened_in_its_own_unit_and_remembered(
    window: MainWindow, answers: Answers, tmp_path: Path
) -> None:
    answers.opened = tmp_path / "other.json"
    write_bag(demo(name="Other", unit=Unit.MM), answers.opened)
    window.commands["open"].trigger()
    assert window.document.bag.name == "Other"
    assert window.document.path == answers.opened
    assert window.display.unit is Unit.MM
    assert window.document.starting is window.document.result
    assert window.settings.recent == [answers.opened]
    assert window.menus.recent.isEnabled()
    window.menus.recent.aboutToShow.emit()
    assert window.menus.recent.actions()[0].text() == "other.json"


@pytest.mark.parametrize(
    "content",
    [b"", b"not json", b"[1, 2]", b'{"format": "something else"}', b"\xff\xfe\x00", b'{"a": '],
)
def test_a_bad_file_is_told_and_the_bag_stays(
    window: MainWindow, answers: Answers, tmp_path: Path, content: bytes
) -> None:
    deepen(window)
    before = window.document.bag
    answers.opened = tmp_path / "bad.json"
    answers.opened.write_bytes(content)
    window.commands["open"].trigger()
    assert window.document.bag is before
    assert window.document.undo_stack.canUndo()
    assert len(answers.told) == 1
    assert "bad.json" in answers.told[0]
    assert "\n" not in answers.told[0]
    # What only a programmer can use is behind the box's button, not in its sentence.
    assert not re.search("JSON|UTF-8", answers.told[0])
    assert bool(answers.details[0]) is content.startswith((b"not", b"[", b'{"format', b"\xff"))
    assert answers.asked == ["open"], "no question about leaving for a file that cannot be opened"


def test_opening_asks_before_it_drops_changes(
    window: MainWindow, answers: Answers, tmp_path: Path
) -> None:
    answers.opened = tmp_path / "other.json"
    write_bag(demo(name="Other"), answers.opened)
    deepen(window)
    window.commands["open"].trigger()
    assert window.document.bag.name == demo_bag().name
    answers.leaving = Unsaved.DISCARD
    window.commands["open"].trigger()
    assert window.document.bag.name == "Other"
    assert not window.document.undo_stack.canUndo()


def test_a_file_dropped_on_the_window_opens(window: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "dropped.json"
    write_bag(demo(name="Dropped"), path)
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    event = QDropEvent(
        QPointF(40, 40),
        Qt.DropAction.CopyAction,
        data,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    window.dropEvent(event)
    assert window.document.bag.name == "Dropped"


def test_the_bag_is_renamed_in_one_step(window: MainWindow, answers: Answers) -> None:
    first = window.document.bag.name
    for refused in (None, "   ", "x" * 81):
        answers.named = refused
        window.commands["rename"].trigger()
        assert window.document.bag.name == first
    assert len(answers.told) == 1, "only the long name needs words"
    answers.named = " Orchard  bag [*] "
    window.commands["rename"].trigger()
    assert window.document.bag.name == "Orchard bag [*]"
    assert window.windowTitle().startswith("Orchard bag ")
    window.commands["undo"].trigger()
    assert window.document.bag.name == first
    assert window.windowTitle().startswith(first)


def test_samples_are_offered_and_open_as_new_bags(window: MainWindow) -> None:
    window.menus.samples.aboutToShow.emit()
    offered = window.menus.samples.actions()
    assert [action.text() for action in offered] == [sample(name).name for name in SAMPLES]
    for action in offered:
        action.trigger()
        assert window.document.bag.name == action.text()
        assert window.document.path is None


def test_printing_opens_the_print_dialog(window: MainWindow, qtbot: QtBot) -> None:
    seen: list[str] = []

    def close() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, QDialog):
            seen.append(type(dialog).__name__)
            dialog.reject()
            timer.stop()

    timer = QTimer(interval=20)
    timer.timeout.connect(close)
    for name, expected in (
        ("print", "PrintDialog"),
        ("edit_layers", "LayersDialog"),
        ("about", "AboutDialog"),
    ):
        timer.start()
        window.commands[name].trigger()
        assert seen[-1] == expected
    assert window.document.saved


def test_the_fold_stops_and_fit_have_actions(window: MainWindow) -> None:
    for name, value in (("fold_flat", 0), ("fold_folded", 100), ("fold_sewn", 200)):
        window.commands[name].trigger()
        assert window.fold.slider.value() == value
    window.flat.zoom_in()
    nearer = window.flat.view.scale
    window.commands["fit"].trigger()
    assert window.flat.view.scale < nearer


def test_recent_files_are_few_and_the_latest_first(store: QSettings, tmp_path: Path) -> None:
    settings = Settings(store)
    paths = [tmp_path / f"{number}.json" for number in range(MOST_RECENT + 3)]
    for path in paths:
        settings.keep_recent(path)
    settings.keep_recent(paths[-2])
    assert settings.recent[:2] == [paths[-2], paths[-1]]
    assert len(settings.recent) == MOST_RECENT


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere names are Unicode")
@pytest.mark.parametrize("name", [b"caf\xe9.json", b"caf\xe9/mine 100%.json"])
def test_a_recent_file_may_have_a_name_that_is_not_unicode(
    make: Callable[[], MainWindow], store: QSettings, tmp_path: Path, name: bytes
) -> None:
    path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/" + name))
    path.parent.mkdir(exist_ok=True)
    write_bag(demo(name="Other"), path)
    first = make()
    assert first.files.open(path)
    assert first.close()
    store.sync()
    assert "�" not in Path(store.fileName()).read_text(encoding="utf-8")
    again = QSettings(store.fileName(), store.format())
    assert Settings(again).recent == [path]
    assert Settings(again).folder == path.parent
    window = make()
    window.menus.recent.aboutToShow.emit()
    action = window.menus.recent.actions()[0]
    assert action.text() == name.split(b"/")[-1].decode(errors="replace")
    assert action.toolTip() == f"{tmp_path}/{name.decode(errors='replace')}"
    action.trigger()
    assert window.document.path == path
    assert window.document.bag.name == "Other"


def test_recent_files_of_an_earlier_program_are_still_known(
    store: QSettings, tmp_path: Path
) -> None:
    names = [str(tmp_path / "Äpfel 100%.json"), str(tmp_path / "file%20.json")]
    store.setValue("files/recent", names)
    assert Settings(store).recent == [Path(name) for name in names]


def test_a_start_writes_no_settings(window: MainWindow, store: QSettings) -> None:
    """The file would be locked, written and renamed before the window is drawn."""
    window.show()
    QApplication.processEvents()
    assert store.allKeys() == []


@pytest.mark.parametrize("stored", ["", "furlong", json.dumps([1]), "1e999", "-3"])
def test_settings_that_make_no_sense_count_as_not_set(store: QSettings, stored: str) -> None:
    for key in (
        *("display/unit", "steps/in", "files/folder", "layout/window"),
        *("preferences/unit", "preferences/paper", "preferences/zips"),
        "preferences/currency",
    ):
        store.setValue(key, stored)
    settings = Settings(store)
    assert settings.unit is settings.own_unit is settings.paper is settings.shop_zips is None
    assert settings.steps == {}
    assert settings.currency in (None, "")
    assert settings.layout("window") is None
    assert settings.folder.is_absolute()
