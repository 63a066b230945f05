"""The export command: the paper asked for, files that are there, and one line for what is wrong."""

from collections.abc import Callable
from pathlib import Path

import pdfplumber
import pytest

from core.storage.bag_files import demo_bag, sample
from tests.helpers import write_bag

pytestmark = pytest.mark.usefixtures("quick_search")

ROOT = Path(__file__).parents[2]
INCH = 25.4  # exactly: international yard and pound agreement, 1959


def page_sizes(path: Path) -> set[tuple[float, float]]:
    """Sizes of the pages, mm, the shorter side first."""
    with pdfplumber.open(path) as pdf:
        sides = [sorted((float(page.width), float(page.height))) for page in pdf.pages]
    # A PDF unit is 1/72 in (ISO 32000-1:2008, 8.3.2.3).
    return {(round(short * INCH / 72, 1), round(long * INCH / 72, 1)) for short, long in sides}


@pytest.mark.parametrize(
    ("words", "size"),
    [
        ((), (215.9, 279.4)),  # ANSI/ASME Y14.1, size A: 8 1/2 x 11 in
        (("--paper", "A4"), (210.0, 297.0)),  # ISO 216:2007
        (("--paper", "a3"), (297.0, 420.0)),
        (("--paper", "Tabloid"), (279.4, 431.8)),  # ANSI/ASME Y14.1, size B
    ],
)
def test_export_writes_the_pattern_on_the_paper_asked_for(
    words: tuple[str, ...],
    size: tuple[float, float],
    answer: Callable[..., str],
    tmp_path: Path,
) -> None:
    out = tmp_path / "pattern.pdf"
    assert answer("export", str(out), *words) == f"Saved {out}.\n"
    assert page_sizes(out) == {size}
    assert [each.name for each in tmp_path.iterdir()] == ["pattern.pdf"]


def test_export_of_a_metric_bag_takes_a4(answer: Callable[..., str], tmp_path: Path) -> None:
    bag, out = tmp_path / "bag.json", tmp_path / "Pattern.PDF"
    write_bag(sample("lunch"), bag)
    answer("export", str(bag), "--without", "pocket", str(out), "--set", "handle_gap=10cm")
    assert page_sizes(out) == {(210.0, 297.0)}


WRITERS = {
    ("export",): "out.pdf",
    ("booklet",): "out.html",
    ("redesign", "--want", "gusset_depth=7in", "-o"): "out.json",
    ("materials", "--csv"): "out.csv",
    ("materials", "--pdf"): "out.pdf",
}


@pytest.mark.parametrize("words", WRITERS)
def test_a_file_that_is_there_is_written_over_only_when_asked(
    words: tuple[str, ...],
    answer: Callable[..., str],
    complaint: Callable[..., str],
    tmp_path: Path,
) -> None:
    out = tmp_path / WRITERS[words]
    out.write_bytes(b"older")
    said = complaint(*words, str(out))
    assert "already exists: give another name, or add --replace to write over it." in said
    assert out.read_bytes() == b"older"
    assert f"Saved {out}.\n" in answer(*words, str(out), "--replace")
    assert len(out.read_bytes()) > 500


def test_an_empty_file_holds_nothing_to_lose(answer: Callable[..., str], tmp_path: Path) -> None:
    out = tmp_path / "pattern.pdf"
    out.touch()
    answer("export", str(out))
    assert out.read_bytes().startswith(b"%PDF-")


WRONG_EXPORTS = {
    (): "Name the file to write",
    ("pattern.svg",): "pattern.svg: the file to write must end in .pdf",
    ("pattern.dxf",): "must end in .pdf",
    ("pattern",): "must end in .pdf",
    ("",): "The name of the file to write is empty",
    ("out.pdf", "bag.json"): "bag.json: the file to write must end in .pdf",
    ("a.json", "b.json", "out.pdf"): "Give one bag file, not 2",
    ("missing.json", "out.pdf"): "There is no file missing.json",
    ("bag.pdf", "bag.pdf"): "bag.pdf is the bag file itself",
    ("nowhere/out.pdf",): "cannot be written",
    ("folder.pdf",): "cannot be written",
    ("out.pdf/",): "out.pdf/ names a folder: give the file in it a name",
    ("out.pdf", "--paper", "B7"): "There is no paper called “B7”",
    ("out.pdf", "--paper", ""): "There is no paper called",
    ("out.pdf", "--paper"): "--paper",
    ("out.pdf", "--paper", "roll 1in"): "The roll is 1 in wide",
    ("out.pdf", "--paper", "roll nan"): "Roll width: type a length",
    ("out.pdf", "--json"): "--json",
    ("out.pdf", "--set", "panel_width=0"): "Panel width is 0 in",
}


@pytest.mark.parametrize("words", WRONG_EXPORTS, ids=" ".join)
def test_wrong_export_gets_one_line_and_writes_nothing(
    words: tuple[str, ...],
    complaint: Callable[..., str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    write_bag(demo_bag(), tmp_path / "bag.pdf")
    (tmp_path / "folder.pdf").mkdir()
    before = (tmp_path / "bag.pdf").read_bytes()
    assert WRONG_EXPORTS[words] in complaint("export", *words)
    assert (tmp_path / "bag.pdf").read_bytes() == before
    assert {each.name for each in tmp_path.iterdir()} == {"bag.pdf", "folder.pdf"}
