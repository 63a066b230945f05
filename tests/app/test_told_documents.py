"""What leaves the program of bags near their limits: commands, files, pages, the window's words."""

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from pdfminer.pdfdocument import PDFDocument
from pdfminer.pdfparser import PDFParser
from pdfminer.pdftypes import PDFStream
from PySide6.QtCore import QSettings
from pytestqt.qtbot import QtBot

from app.cli import main
from app.dialogs.layers.dialog import LayersDialog
from app.session.display import Display
from core.bag.tables import CUT_FIGURES
from core.base.units import Unit, unbroken
from core.model.figures import Quantity
from core.storage.bag_files import demo_bag
from core.storage.goods_library import GENERIC, MaterialLibrary
from tests.app.hands import Hands
from tests.helpers import bag_to_json, read_bag, write_bag
from tests.near_limits import TINIEST, Pushed, pushed_to_ends

pytestmark = pytest.mark.usefixtures("quick_search")

LENGTHS = [figure for figure in CUT_FIGURES if figure.quantity is Quantity.LENGTH]
NO_NUMBER = re.compile(r"\b(?:NaN|nan|Infinity|infinity|inf)\b")
TAKEN = "mine.json has a length below ≈ 0.0004 in, but not 0, for Front trim: taken as 0."


# --- Commands -------------------------------------------------------------------------------------


@pytest.mark.parametrize("figure", LENGTHS, ids=lambda figure: figure.name)
def test_a_length_too_small_is_refused_by_every_command_that_takes_it(
    complaint: Callable[..., str], figure: object
) -> None:
    for tiny in (*TINIEST, -TINIEST[-1]):
        told = complaint("check", "--json", "--set", f"{figure.name}={tiny!r}mm")
        assert told.startswith(f"cornerwright: {figure.label} is ")
        assert " is 0 in" not in told
        least = re.search(r"at least ≈ 0.0004 in( more or less than 0)?\.", told)
        assert least or "it must be more than" in told


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("redesign", "--want", "base_width=0.004mm"),
            "Base width is ≈ 0.0002 in: it must be 0 or",
        ),
        (
            ("redesign", "--want", "panel_width=1e-305mm"),
            "Panel width is less than ≈ 0.0004 in: it",
        ),
        (("redesign", "--want", "zip_offset=-0.0099mm"), "Zip offset is ≈ −0.0004 in: it must be"),
        (("materials", "--gap", "0.001mm"), "Gap is ≈ 0.00004 in: it must be 0 or at least"),
    ],
)
def test_so_are_wants_and_the_gap(
    complaint: Callable[..., str], words: tuple[str, ...], told: str
) -> None:
    assert told in complaint(*words)


def with_sliver(path: Path, name: str, length: float) -> None:
    document = json.loads(bag_to_json(demo_bag()))
    document["body"][name] = length
    path.write_text(json.dumps(document), encoding="utf-8")


@pytest.mark.parametrize("command", ["figures", "check", "steps", "materials", "redesign"])
def test_what_a_file_gives_too_small_is_told_on_standard_error(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str
) -> None:
    path = tmp_path / "mine.json"
    with_sliver(path, "front_trim", 1e-9)
    wants = ("--want", "base_width=12in") if command == "redesign" else ()
    assert main((command, str(path), "--json", *wants)) in (0, 1)
    out, err = capsys.readouterr()
    assert err == f"cornerwright: {TAKEN}\n"
    json.loads(out)


def test_a_size_of_nothing_leaves_no_dust_in_the_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "new.json"
    assert main(("redesign", "--want", "zip_offset=0", "-o", str(path))) == 0
    assert read_bag(path).body.front_trim == 0.0
    assert capsys.readouterr().err == ""


# --- Documents ------------------------------------------------------------------------------------


def nasty() -> list[Pushed]:
    """Bags with a figure at its end: a dozen of a thousand, of each kind about one."""
    return list(pushed_to_ends())[::71]


def numbers_of(path: Path) -> Iterator[str]:
    """Every line of drawing and text operators of a PDF, as pdfminer unpacks them."""
    with path.open("rb") as file:
        document = PDFDocument(PDFParser(file))
        for xref in document.xrefs:
            for number in xref.get_objids():
                found = document.getobj(number)
                if isinstance(found, PDFStream) and "Length1" not in found:  # a font's own
                    yield found.get_data().decode("latin-1")


@pytest.mark.parametrize("each", nasty(), ids=lambda each: each.told)
def test_no_document_holds_what_is_no_number(
    each: Pushed, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bag = str(tmp_path / "bag.json")
    write_bag(each.bag, Path(bag))
    out = {end: str(tmp_path / f"out.{end}") for end in ("pdf", "csv", "html")}
    told = []
    for words in (
        ("figures", bag, "--json"),
        ("steps", bag, "--json"),
        ("materials", bag, "--json", "--csv", out["csv"]),
    ):
        assert main(words) == 0, capsys.readouterr().err
        answer, err = capsys.readouterr()
        assert err == ""
        json.loads(answer, parse_constant=pytest.fail)
        told.append(answer)
    assert main(("booklet", bag, out["html"])) == 0
    for words in (("export", bag, out["pdf"], "--paper", "roll 36in", "--replace"),):
        assert main(words) in (0, 2)
        if Path(out["pdf"]).exists():
            told += numbers_of(Path(out["pdf"]))
    told += [Path(out[end]).read_text(encoding="utf-8") for end in ("csv", "html")]
    for text in told:
        assert not NO_NUMBER.search(text), each.told


# --- Window ---------------------------------------------------------------------------------------


@pytest.fixture
def hands(qtbot: QtBot, store: QSettings) -> Iterator[Hands]:
    hands = Hands(qtbot, store)
    yield hands
    hands.close()


@pytest.mark.parametrize(
    ("name", "least"),
    [("board_depth", "at least"), ("front_trim", "0 or at least"), ("base_width", "0 or at least")],
)
def test_a_field_refuses_what_is_too_small_and_names_itself(
    hands: Hands, name: str, least: str
) -> None:
    before = hands.document.bag
    hands.window.display.set_unit(Unit.MM)
    hands.type(name, "0.004 mm")
    problem = hands.box(name).problem.replace("\xa0", " ")
    assert problem.endswith(f" is 0.004 mm: it must be {least} 0.01 mm.")
    hands.type(name, "1e-305 mm")
    problem = hands.box(name).problem.replace("\xa0", " ")
    assert problem.endswith(f" is less than 0.01 mm: it must be {least} 0.01 mm.")
    assert hands.document.bag == before


def test_the_window_tells_once_what_a_file_gave_too_small(hands: Hands, tmp_path: Path) -> None:
    path = tmp_path / "mine.json"
    with_sliver(path, "front_trim", 1e-9)
    said: list[str] = []
    hands.window.session.said.connect(said.append)
    assert hands.window.files.open(path)
    assert said == [unbroken(TAKEN)]
    assert hands.document.bag.body.front_trim == 0.0
    assert hands.window.files.save()
    assert hands.window.files.open(path)
    assert len(said) == 1


def test_the_layers_table_tells_what_its_library_gave_too_small(
    qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "goods.json"
    library = MaterialLibrary(path)
    library.write(GENERIC)
    document = json.loads(path.read_text(encoding="utf-8"))
    document["goods"][2]["pressed"] = 0.002
    path.write_text(json.dumps(document), encoding="utf-8")
    dialog = LayersDialog(demo_bag().sandwich.layers, Display(Unit.MM), library=library)
    qtbot.addWidget(dialog)
    told = "has a length below 0.01 mm, but not 0, for Pressed thickness of material 3: taken"
    assert dialog.problem == unbroken(f"goods.json {told} as 0.")
    assert library.read()[2].pressed == 0.0
