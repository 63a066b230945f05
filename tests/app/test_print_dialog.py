"""The print dialog: choices, live pages, saving, and what it says when something is wrong."""

from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QComboBox
from pytestqt.qtbot import QtBot

from app.dialogs import print as print_dialog
from app.dialogs.print import PrintDialog
from app.session.display import Display
from app.session.settings import PrintChoices, Settings
from core.bag.compute import compute
from core.base.units import Unit, unbroken
from core.output.pages import plan_pages
from core.output.papers import A4, LETTER
from core.output.print_options import MARGIN
from core.storage.bag_files import demo_bag
from tests.helpers import inch

Make = Callable[..., PrintDialog]


@pytest.fixture
def make(qtbot: QtBot, tmp_path: Path) -> Make:
    def build(
        path: str = "",
        unit: Unit = Unit.INCH,
        own: Path | None = None,
        choices: PrintChoices | None = None,
    ) -> PrintDialog:
        dialog = PrintDialog(
            compute(demo_bag()),
            Display(unit),
            folder=tmp_path,
            own=own,
            choices=choices,
            choose_path=lambda parent, suggested: path,
        )
        qtbot.addWidget(dialog)
        dialog.show()
        return dialog

    return build


def choose(box: QComboBox, text: str) -> None:
    box.setCurrentIndex(next(i for i in range(box.count()) if box.itemText(i).startswith(text)))


@pytest.mark.parametrize(("unit", "paper"), [(Unit.INCH, LETTER), (Unit.MM, A4)])
def test_starts_with_the_usual_paper_and_shows_the_pages_of_the_plan(make, unit, paper):
    dialog = make(unit=unit)
    assert dialog.options is not None
    assert dialog.options.paper is paper
    assert dialog.view.count == plan_pages(compute(demo_bag()), dialog.options).count > 10


def test_every_choice_redraws_the_pages(make, qtbot):
    dialog = make()
    counts = [dialog.view.count]
    for change in (
        lambda: choose(dialog.paper, "A3"),
        lambda: dialog.half.setChecked(True),
        lambda: dialog.pieces.item(3).setCheckState(Qt.CheckState.Unchecked),
    ):
        change()
        qtbot.waitUntil(lambda: dialog.view.count != counts[-1], timeout=120_000)
        counts.append(dialog.view.count)
    assert counts == sorted(counts, reverse=True)


def test_roll_width_shows_for_a_roll_only(make, qtbot):
    dialog = make()
    assert not dialog.roll_width.isVisible()
    choose(dialog.paper, "Roll")
    assert dialog.roll_width.isVisible()
    dialog.refresh()
    assert dialog.view.count == 1
    dialog.roll_width.setText("250 mm")
    dialog.refresh()
    assert dialog.view.count > 1


@pytest.mark.parametrize(
    ("field", "text", "says"),
    [
        ("overlap", "3 mm", "Overlap is "),
        ("overlap", "much", "Overlap: type a length"),
        ("overlap", "", "Overlap: type a length"),
        ("roll_width", "wide", "Roll width: type a length"),
        ("roll_width", "1 in", "The roll is 1 in wide"),
        ("roll_width", "12,5", "Roll width: write the decimals with a point"),
    ],
)
def test_impossible_length_is_said_in_words_and_cannot_be_saved(make, field, text, says):
    dialog = make()
    choose(dialog.paper, "Roll")
    getattr(dialog, field).setText(text)
    dialog.refresh()
    assert dialog.problem.startswith(unbroken(says))
    assert dialog.view.count == 0
    assert not dialog.save_button.isEnabled()
    getattr(dialog, field).setText("20 in" if field == "roll_width" else "12 mm")
    dialog.refresh()
    assert dialog.problem == ""
    assert dialog.save_button.isEnabled()


def test_no_piece_chosen_is_said_in_words(make):
    dialog = make()
    for row in range(dialog.pieces.count()):
        dialog.pieces.item(row).setCheckState(Qt.CheckState.Unchecked)
    dialog.refresh()
    assert "choose at least one piece" in dialog.problem


def test_pages_are_turned_with_the_arrows_and_stop_at_both_ends(make, qtbot):
    dialog = make()
    assert not dialog.before_button.isEnabled()
    for _ in range(dialog.view.count + 2):
        qtbot.mouseClick(dialog.next_button, Qt.MouseButton.LeftButton)
    assert dialog.view.page == dialog.view.count - 1
    assert not dialog.next_button.isEnabled()
    qtbot.mouseClick(dialog.before_button, Qt.MouseButton.LeftButton)
    assert dialog.view.page == dialog.view.count - 2


def test_preview_shows_ink_on_white_paper(make):
    dialog = make()
    view = dialog.view
    image = view.grab().toImage()
    sheet = view.sheet().toRect()
    colours = {
        image.pixelColor(x, y).lightness()
        for x in range(sheet.left() + 2, sheet.right() - 2, 3)
        for y in range(sheet.top() + 2, sheet.bottom() - 2, 3)
    }
    assert max(colours) == 255
    assert min(colours) < 80


def test_save_writes_the_pages_shown(make, qtbot, tmp_path):
    dialog = make(path=str(tmp_path / "carrier.pdf"))
    count = dialog.view.count
    qtbot.mouseClick(dialog.save_button, Qt.MouseButton.LeftButton)
    assert dialog.path == tmp_path / "carrier.pdf"
    document = pypdfium2.PdfDocument(dialog.path.read_bytes())
    assert len(document) == count
    document.close()
    assert not dialog.isVisible()


def test_save_that_is_called_off_changes_nothing(make, qtbot, tmp_path):
    dialog = make(path="")
    qtbot.mouseClick(dialog.save_button, Qt.MouseButton.LeftButton)
    assert dialog.isVisible()
    assert list(tmp_path.iterdir()) == []


def test_place_that_cannot_be_written_is_said_and_the_dialog_stays(make, qtbot, tmp_path):
    dialog = make(path=str(tmp_path / "missing" / "carrier.pdf"))
    qtbot.mouseClick(dialog.save_button, Qt.MouseButton.LeftButton)
    assert "cannot be written" in dialog.problem
    assert dialog.isVisible()
    assert dialog.view.count > 0


def test_suggested_name_is_the_bags(qtbot, tmp_path):
    asked = []
    dialog = PrintDialog(
        compute(demo_bag()),
        Display(),
        folder=tmp_path,
        choose_path=lambda parent, suggested: asked.append(suggested) or "",
    )
    qtbot.addWidget(dialog)
    qtbot.mouseClick(dialog.save_button, Qt.MouseButton.LeftButton)
    assert asked == [str(tmp_path / f"{demo_bag().name}.pdf")]


def test_the_box_is_asked_for_a_pdf(qtbot, tmp_path, monkeypatch):
    asked = []

    def answer(parent, title, kind, suggested):
        asked.append((kind, suggested))
        return tmp_path / "carrier 7.5.pdf"

    monkeypatch.setattr(print_dialog, "ask_export", answer)
    dialog = PrintDialog(compute(demo_bag()), Display(), folder=tmp_path)
    qtbot.addWidget(dialog)
    qtbot.mouseClick(dialog.save_button, Qt.MouseButton.LeftButton)
    assert asked == [("PDF file (*.pdf)", tmp_path / f"{demo_bag().name}.pdf")]
    assert dialog.path == tmp_path / "carrier 7.5.pdf"
    assert dialog.path.read_bytes().startswith(b"%PDF")


def test_the_bags_own_file_is_never_replaced(make, qtbot, tmp_path):
    own = tmp_path / "bag.pdf"
    own.write_bytes(b"the bag")
    dialog = make(path=str(own), own=own)
    qtbot.mouseClick(dialog.save_button, Qt.MouseButton.LeftButton)
    assert dialog.problem == "bag.pdf is the bag’s own file: give another name."
    assert dialog.isVisible()
    assert own.read_bytes() == b"the bag"


@pytest.mark.parametrize(
    ("unit", "told", "overlap"),
    [(Unit.INCH, "3/8 in", inch(0.375)), (Unit.MM, "10 mm", 10.0), (Unit.CM, "1 cm", 10.0)],
)
def test_the_overlap_is_one_of_the_shown_units_ruler(make, unit, told, overlap):
    dialog = make(unit=unit)
    assert dialog.overlap.text() == told
    assert dialog.options.overlap == pytest.approx(overlap)
    assert dialog.options.overlap > MARGIN, "what a printer loses is on the next page"


def test_a_coarse_ruler_does_not_round_the_overlap(qtbot, tmp_path):
    display = Display(Unit.INCH)
    display.set_step(inch(0.25))
    dialog = PrintDialog(compute(demo_bag()), display, folder=tmp_path)
    qtbot.addWidget(dialog)
    assert dialog.overlap.text() == "3/8 in"


@pytest.mark.parametrize("way", ["saved", "closed"])
def test_choices_come_back_the_next_time_in_the_same_unit(make, qtbot, tmp_path, way):
    settings = Settings(QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat))
    assert settings.print_choices(Unit.INCH) is None
    dialog = make(path=str(tmp_path / "a.pdf"))
    choose(dialog.paper, "Tabloid")
    dialog.overlap.setText("1/2 in")
    qtbot.keyClicks(dialog.overlap, " ")
    dialog.half.setChecked(True)
    if way == "saved":
        qtbot.mouseClick(dialog.save_button, Qt.MouseButton.LeftButton)
    else:
        dialog.reject()
    assert dialog.choices is not None
    settings.keep_print_choices(Unit.INCH, dialog.choices)
    again = make(choices=settings.print_choices(Unit.INCH))
    assert again.options.paper.name == "Tabloid"
    assert again.overlap.text() == "1/2 in"
    assert again.options.half
    assert settings.print_choices(Unit.MM) is None, "paper and ruler go together"


def test_a_roll_comes_back_with_its_width(make):
    dialog = make(unit=Unit.MM)
    choose(dialog.paper, "Roll")
    dialog.roll_width.setText("610 mm")
    dialog.refresh()
    dialog.reject()
    again = make(unit=Unit.MM, choices=dialog.choices)
    assert again.roll_width.text() == "610 mm"
    assert again.options.paper.width == 610.0


def test_choices_that_cannot_be_are_not_kept(make):
    dialog = make()
    dialog.overlap.setText("much")
    dialog.refresh()
    dialog.reject()
    assert dialog.choices is None


@pytest.mark.parametrize(
    "stored",
    ["", "A4", "A4|914|10", "A4|x|10|half", "A4|914|nan|half", "A4|inf|10|half", "A4|-1|2|half", 7],
)
def test_stored_choices_that_make_no_sense_count_as_not_set(tmp_path, stored):
    store = QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat)
    store.setValue("print/mm", stored)
    assert Settings(store).print_choices(Unit.MM) is None


def test_stored_paper_that_is_not_there_gives_the_usual(make):
    choices = PrintChoices(paper="A77", roll_width=900.0, overlap=12.0, half=False)
    dialog = make(unit=Unit.MM, choices=choices)
    assert dialog.options.paper is A4
    assert dialog.overlap.text() == "12 mm"


def test_the_window_keeps_the_choices_for_each_unit(hands, monkeypatch):
    seen: list[str] = []

    def print_on_tabloid(dialog: PrintDialog) -> int:
        seen.append(dialog.paper.currentText().split(" ")[0])
        choose(dialog.paper, "Tabloid")
        dialog.reject()
        return dialog.result()

    monkeypatch.setattr(PrintDialog, "exec", print_on_tabloid)
    for unit in (Unit.INCH, Unit.INCH, Unit.MM, Unit.INCH):
        hands.window.display.set_unit(unit)
        hands.window.commands["print"].trigger()
    assert seen == ["Letter", "Tabloid", "A4", "Tabloid"]
