"""The steps and booklet commands, through `main`."""

import json
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from app.cli import main
from core.base.units import unbroken
from core.storage.bag_files import demo_bag, sample
from tests.helpers import write_bag

pytestmark = pytest.mark.usefixtures("quick_search")


def told(capsys: pytest.CaptureFixture[str], *words: str) -> list[dict[str, Any]]:
    assert main(["steps", *words, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert list(found) == ["steps"]
    return list(found["steps"])


def test_json_of_the_demo_bag(capsys: pytest.CaptureFixture[str]) -> None:
    found = told(capsys)
    assert [step["number"] for step in found] == list(range(1, len(found) + 1))
    for step in found:
        assert all(need < step["number"] for need in step["needs"])
    places = {step["operation"]: step["number"] for step in found}
    assert places["open zip"] < places["join side seam right"] < places["turn bag"]
    assert places["topstitch handles down"] < places["lay in base board"]


def test_a_change_changes_the_sentences_that_have_it(capsys: pytest.CaptureFixture[str]) -> None:
    before = {step["operation"]: step["text"] for step in told(capsys)}
    after = {step["operation"]: step["text"] for step in told(capsys, "--set", "pocket_drop=5in")}
    changed = {key for key in before if before[key] != after[key]}
    # With its edge level with the stop the compartments are no longer open above it.
    assert changed == {"mark panel", "lay on front pocket", "topstitch handles down"}
    assert "line 5 in below the top edge" in after["lay on front pocket"]


def test_another_bag_has_other_steps(capsys: pytest.CaptureFixture[str]) -> None:
    found = told(capsys, "--without", "zip", "--without", "board", "--set", "front_trim=0")
    keys = {step["operation"] for step in found}
    gone = {
        "mark zip", "join zip front", "topstitch zip front", "join zip back", "open zip",
        "topstitch zip back", "baste zip ends", "cut zip ends", "cut base board",
        "lay in base board",
    }  # fmt: skip
    assert keys == {step["operation"] for step in told(capsys)} - gone | {"hem top"}


def test_text_for_a_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "lunch.json"
    write_bag(sample("lunch"), file)
    assert main(["steps", str(file)]) == 0
    text = capsys.readouterr().out
    assert text.startswith("Weir Lane lunch bag: 45 steps\n")
    assert (
        "* Change the machine settings: Stitch length: from 5 mm to 3 mm (8 to the inch)." in text
    )
    assert "440 mm wide and 770 mm long" in text


def test_how_hot_the_iron_may_be_is_told_where_it_is_used(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A fleece that melts lies in the wall when its bottom seam is pressed."""
    assert main(["steps", "--choose", "bottom=seam"]) == 0
    every = capsys.readouterr().out.split("\n\n")
    (seam,) = (step for step in every if "Join front and back at the bottom" in step)
    (tape,) = (step for step in every if "Press the strips to a tape" in step)
    assert "Iron: cool iron, through a press cloth.\n" in seam
    assert "Iron: medium iron.\n" in tape
    (cut,) = (step for step in every if "Cut the handle strips" in step)
    assert "Iron" not in cut


@pytest.mark.parametrize(("width", "stopped"), [("3 1/2in", False), ("3 3/4in", True)])
def test_a_bag_that_will_not_go_together_is_told_before_its_steps(
    width: str, stopped: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    """The corner seams differ by twice what the corner cut is too wide: 3/8 in is a stop."""
    assert main(["steps", "--set", f"corner_cut_width={width}"]) == 0
    head = capsys.readouterr().out.split("\n\n")[0]
    assert ("stop: At each corner seam" in head) is stopped
    assert ("[corner-edges-differ]" in head) is stopped


@pytest.mark.parametrize(("words", "width"), [((), 215.9), (("--paper", "A4"), 210.0)])
def test_a_booklet_as_pdf(tmp_path: Path, words: tuple[str, ...], width: float) -> None:
    out = tmp_path / "booklet.pdf"
    assert main(["booklet", str(out), *words]) == 0
    with pdfplumber.open(out) as file:
        assert file.pages[0].width / 72 * 25.4 == pytest.approx(width, abs=0.01)
        assert demo_bag().name in file.pages[0].extract_text()


def test_a_booklet_as_html(tmp_path: Path) -> None:
    file, out = tmp_path / "tote.json", tmp_path / "tote.HTML"
    write_bag(sample("tote"), file)
    assert main(["booklet", str(file), str(out), "--set", "handle_gap=16cm"]) == 0
    html = out.read_text(encoding="utf-8")
    assert "Seed swap tote" in html
    assert unbroken("16 cm between them") in html


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["booklet"], "Name the file to write"),
        (["booklet", "out.txt"], "must end in .pdf or .html"),
        (["booklet", "out.html", "--paper", "A4"], "--paper is for a PDF"),
        (["booklet", "out.pdf", "--paper", "roll 24in"], "sheets such as A4 or Letter"),
        (["booklet", "out.pdf", "--paper", "B9"], "There is no paper called"),
        (["booklet", "nowhere/out.pdf"], "cannot be written"),
        (["steps", "--set", "front_trim=-1"], "Front trim"),
        (["steps", "missing.json"], "missing.json"),
    ],
)
def test_one_line_says_what_is_wrong(
    words: list[str],
    says: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(words) == 2
    output = capsys.readouterr()
    assert output.out == ""
    assert says in output.err
    assert output.err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_the_bag_file_is_never_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "bag.html"
    write_bag(demo_bag(), file)
    before = file.read_bytes()
    assert main(["booklet", str(file), str(file)]) == 2
    assert "is the bag file itself" in capsys.readouterr().err
    assert file.read_bytes() == before
