"""Exporting the booklet: which file, asked before, refused in words, written beside the window."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.cli import main
from app.files import export as booklet
from app.files.export import BookletExport, FileKind, booklet_bytes
from app.session.work import CancelledError
from core.bag.compute import compute
from core.bag.making import Load
from core.base.units import Unit, ruler_steps
from core.output.booklet.content import BookletOptions
from core.storage.bag_files import demo_bag, write_project
from core.storage.project import Project
from tests.app.sessions import Told, session_on

WAIT = 120_000
MM_PER_POINT = 25.4 / 72  # ISO 32000-1, 8.3.2.3


class Asked:
    """Stands in for the file box: takes the form of that number, and the path given."""

    def __init__(self) -> None:
        self.path: Path | None = None
        self.number = 0
        self.suggested: list[Path] = []

    def __call__(
        self, parent: QWidget, title: str, forms: tuple[FileKind, ...], suggested: Path
    ) -> tuple[Path, FileKind] | None:
        self.suggested.append(suggested)
        return None if self.path is None else (self.path, forms[self.number])


class Bench:
    """A document, a window, and the export between them."""

    def __init__(self, qtbot: QtBot, folder: Path) -> None:
        self.window = QWidget()
        qtbot.addWidget(self.window)
        store = QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)
        told = Told()
        self.session = session_on(store=store, questions=told)
        self.document, self.display = self.session.document, self.session.display
        self.settings, self.told = self.session.settings, told.texts
        self.settings.keep_folder(folder)
        self.asked = Asked()
        self.export = BookletExport(self.session, self.window, ask=self.asked)
        self.qtbot = qtbot

    def write(self, path: Path, number: int = 0) -> bytes:
        self.asked.path, self.asked.number = path, number
        with self.qtbot.waitSignal(self.export.written, timeout=WAIT) as written:
            self.export.export()
        assert written.args == [path]
        return path.read_bytes()


@pytest.fixture
def bench(qtbot: QtBot, tmp_path: Path) -> Iterator[Bench]:
    made = Bench(qtbot, tmp_path)
    yield made
    made.export.close()


@pytest.mark.parametrize(
    ("unit", "number", "paper"),
    [
        (Unit.INCH, 0, (215.9, 279.4)),  # ANSI/ASME Y14.1: size A, 8 1/2 x 11 in
        (Unit.MM, 0, (210.0, 297.0)),  # ISO 216: A4
        (Unit.MM, 1, (215.9, 279.4)),
    ],
)
def test_a_pdf_has_pages_of_the_paper_that_was_chosen(
    bench: Bench, tmp_path: Path, unit: Unit, number: int, paper: tuple[float, float]
) -> None:
    bench.display.set_unit(unit)
    pdf = pypdfium2.PdfDocument(bench.write(tmp_path / "book.pdf", number))
    width, height = pdf[0].get_size()
    assert (width * MM_PER_POINT, height * MM_PER_POINT) == pytest.approx(paper, abs=0.2)
    assert len(pdf) > 5
    pdf.close()
    assert bench.told == []


def test_a_page_of_html_says_lengths_and_prices_as_the_window_does(
    bench: Bench, tmp_path: Path
) -> None:
    bench.display.set_unit(Unit.CM)
    bench.display.set_currency("CHF")
    text = bench.write(tmp_path / "book.html", 2).decode()
    assert "46.99 cm" in text
    assert re.search(r"[0-9]+\.[0-9]{2}\sCHF", text)
    assert text.startswith("<!DOCTYPE html>")


def test_the_load_of_the_project_is_written(bench: Bench, tmp_path: Path) -> None:
    load = Load(density=1000.0, safety=20.0)
    bench.document.replace_project(replace(bench.document.project, load=load), "Load")
    text = bench.write(tmp_path / "book.html", 2).decode()
    assert "Divided by 20 for safety" in text


def test_the_command_and_the_window_write_the_same_page(bench: Bench, tmp_path: Path) -> None:
    bag = tmp_path / "bag.json"
    load = Load(density=1000.0, safety=20.0)
    bench.document.replace_project(replace(bench.document.project, load=load), "Load")
    write_project(bench.document.project, bag)
    assert main(["booklet", str(bag), str(tmp_path / "typed.html")]) == 0
    bench.display.set_step(ruler_steps(Unit.INCH)[0])  # a command has no coarser one
    assert bench.write(tmp_path / "book.html", 2) == (tmp_path / "typed.html").read_bytes()


def test_the_usual_name_is_offered_and_nothing_chosen_writes_nothing(
    bench: Bench, tmp_path: Path
) -> None:
    bench.export.export()
    [suggested] = bench.asked.suggested
    assert suggested.parent == tmp_path
    assert suggested.name == f"{demo_bag().name} booklet.pdf"
    assert not bench.export.work.busy
    assert list(tmp_path.glob("*.pdf")) == []


def test_a_place_that_cannot_be_written_is_told_in_words(bench: Bench, tmp_path: Path) -> None:
    bench.asked.path = tmp_path / "nowhere" / "book.pdf"
    bench.export.export()
    bench.qtbot.waitUntil(lambda: bool(bench.told), timeout=WAIT)
    assert "book.pdf" in bench.told[0]
    assert bench.told[0].endswith(".")


def test_the_bag_s_own_file_is_never_overwritten(bench: Bench, tmp_path: Path) -> None:
    own = tmp_path / "bag.pdf"
    write_project(Project(bag=demo_bag()), own)
    before = own.read_bytes()
    bench.document.mark_saved(own)
    bench.asked.path = own
    bench.export.export()
    assert bench.told == ["bag.pdf is the bag’s own file: give another name."]
    assert own.read_bytes() == before


def test_what_is_cancelled_is_not_written(bench: Bench, tmp_path: Path) -> None:
    path = tmp_path / "book.pdf"
    path.write_text("older")
    bench.asked.path = path
    bench.export.export()
    assert bench.export._box is not None
    bench.export._box.canceled.emit()
    bench.qtbot.waitUntil(lambda: not bench.export.work.busy, timeout=WAIT)
    assert path.read_text() == "older"
    assert bench.told == []
    assert bench.write(path).startswith(b"%PDF")


def test_the_work_stops_where_it_is_told_to() -> None:
    heard: list[float] = []

    def hear(share: float) -> bool:
        heard.append(share)
        return share < 0.3

    with pytest.raises(CancelledError):
        options = BookletOptions(unit=Unit.INCH, builds=1)
        booklet_bytes(compute(demo_bag()), options, FileKind("PDF", ".pdf", "A4"), hear)
    assert heard == [0.1, 0.4]


@pytest.mark.parametrize("number", [0, 2])
def test_the_platform_s_box_is_asked_for_each_form(
    bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    forms = bench.export.forms
    endings: list[list[str]] = []

    def answer(
        parent: QWidget, title: str, kinds: Mapping[str, str], suggested: Path
    ) -> tuple[Path, str]:
        endings.append(list(kinds.values()))
        return suggested, list(kinds)[number]

    monkeypatch.setattr(booklet, "ask_export_as", answer)
    found = booklet.ask_booklet(bench.window, "Export", forms, tmp_path / "x.pdf")
    assert found == (tmp_path / "x.pdf", forms[number])
    assert endings == [[".pdf", ".pdf", ".html"]]
    monkeypatch.setattr(booklet, "ask_export_as", lambda *words: None)
    assert booklet.ask_booklet(bench.window, "Export", forms, tmp_path / "x.pdf") is None
