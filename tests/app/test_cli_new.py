"""The command for a new bag, through `main` and back through its file.

Its sizes are those that were asked for, as drawn on the stitch lines; design of the names and
defaults: what scripts rely on.
"""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.cli import main
from app.dialogs.new_bag import NewBagDialog
from app.session.display import Display
from core.bag.bag import Bag
from core.bag.compute import compute
from core.bag.figures import matched_in
from core.base.units import Unit
from core.bodies.body import Body
from core.bodies.table import BODIES
from core.model.findings import Allowance, Severity
from core.storage.bag_files import backup_of, read_project
from core.tops.table import TOPS
from tests.helpers import read_bag

NO_SEAM = Allowance(figure="", label="", size=0.0)
BOX = ("--width", "300", "--depth", "120", "--height", "250")
PLAIN = ("--construction", "boxed-panel", *BOX)

New = Callable[..., Bag]


@pytest.fixture
def new(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> New:
    """Makes a bag by these words; what its file holds."""

    def make(*words: str) -> Bag:
        path = tmp_path / "new.json"
        path.unlink(missing_ok=True)
        assert main(["new", str(path), *words]) == 0
        out, err = capsys.readouterr()
        assert err == ""
        assert out.rstrip().endswith(f"Saved {path}.")
        return read_bag(path)

    return make


@pytest.fixture
def refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Callable[..., str]:
    """What is told where these words make no bag, and no file either."""
    monkeypatch.chdir(tmp_path)

    def told(*words: str) -> str:
        before = {path: path.read_bytes() for path in tmp_path.iterdir()}
        assert main(["new", *words]) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert err.count("\n") == 1
        assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before
        return err

    return told


def sizes_of(bag: Bag) -> list[float | None]:
    finished, names = compute(bag).finished, bag.body.BOX
    return [finished[name] for name in (names.width, names.depth, names.height)]


@pytest.mark.parametrize(
    ("unit", "mm", "seam"), [("mm", 1.0, 10.0), ("cm", 10.0, 10.0), ("in", 25.4, 9.525)]
)
@pytest.mark.parametrize("kind", BODIES)
def test_each_construction_has_the_box_that_is_asked_for(
    new: New, kind: type[Body], unit: str, mm: float, seam: float
) -> None:
    """Its allowances 3/8 in or 10 mm by unit; every seam matches, and nothing stops the bag."""
    box = {"mm": (300, 120, 250), "cm": (30, 12, 25), "in": (11, 6, 10)}[unit]
    words = [word for name, size in zip(("width", "depth", "height"), box, strict=True)
             for word in (f"--{name}", str(size))]  # fmt: skip
    bag = new("--construction", kind.KIND, *words, "--unit", unit)
    result = compute(bag)
    assert isinstance(bag.body, kind)
    assert bag.unit is Unit(unit)
    assert sizes_of(bag) == pytest.approx([each * mm for each in box], abs=1e-6)
    matched = matched_in(result.finished)
    assert [result.finished[name] for name in matched] == pytest.approx([0.0] * len(matched))
    seams = [each.figure for each in bag.body.allowances(NO_SEAM) if each.figure]
    assert [result.cut[name] for name in seams] == pytest.approx([seam] * len(seams))
    assert not [each for each in result.findings if each.severity is Severity.STOP]
    assert set(bag.parts) == {"pocket", "handles", "board"}


@pytest.mark.parametrize("kind", BODIES)
def test_without_a_word_for_it_the_top_is_a_zip_that_the_bag_takes(
    new: New, kind: type[Body]
) -> None:
    top = new("--construction", kind.KIND, *BOX).top.KIND
    ring = kind.KIND in ("gusset-strip", "wrap")
    assert top == ("top-strip" if ring else "zip-forward")


def test_mm_are_meant_without_a_unit_and_each_length_may_have_its_own(new: New) -> None:
    bag = new("--construction", "boxed-panel", "--width", "12in", "--depth", "12cm",
              "--height", "250")  # fmt: skip
    assert bag.unit is Unit.MM
    assert sizes_of(bag) == pytest.approx([304.8, 120.0, 250.0])


def test_changes_are_there_before_the_pattern_is_solved(new: New) -> None:
    """Side seams of 1/2 in and a seamed bottom: the box is that of the sizes all the same."""
    bag = new("--construction", "boxed-panel", "--width", "11", "--depth", "6 3/4", "--height",
              "15", "--unit", "in", "--set", "side_seam=1/2", "--set", "corner_seam=1/4",
              "--choose", "bottom=seam", "--choose", "board=fused", "--without", "pocket",
              "--set", "handle_gap=4", "--zip-lengths", "12in; 30in")  # fmt: skip
    cut, finished = compute(bag).cut, compute(bag).finished
    assert sizes_of(bag) == pytest.approx([11 * 25.4, 6.75 * 25.4, 15 * 25.4])
    assert finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)
    # Base W - 2 (a + s2), opening W - 2 s1.
    assert cut["side_seam"] == 12.7
    assert cut["corner_seam"] == 6.35
    assert finished["opening_width"] == pytest.approx(cut["panel_width"] - 25.4)
    assert cut["handle_gap"] == pytest.approx(4 * 25.4)
    assert cut["zip_length"] == pytest.approx(30 * 25.4)
    assert not bag.body.folded
    assert bag.parts["board"].way.value == "fused"
    assert "pocket" not in bag.parts


@pytest.mark.parametrize(
    "words",
    [
        ("--top", "hem"),
        ("--choose", "top=hem"),
        ("--without", "zip"),
        ("--top", "hem", "--without", "zip"),
    ],
)
def test_an_open_top_can_be_asked_for_in_three_ways(new: New, words: tuple[str, ...]) -> None:
    bag = new(*PLAIN, *words)
    assert bag.top.KIND == "hem"
    assert sizes_of(bag) == pytest.approx([300.0, 120.0, 250.0])


def test_the_wall_is_a_plain_one_of_cloth_and_lining(new: New) -> None:
    bag = new(*PLAIN)
    assert [layer.role for layer in bag.sandwich.layers] == ["outer fabric", "lining"]
    assert 0.0 < bag.sandwich.thickness < 2.0
    assert bag.supplies.handles is None


def test_what_has_no_room_is_left_out_and_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    box = ("--width", "3", "--depth", "3", "--height", "3", "--unit", "in")
    path = tmp_path / "small.json"
    assert main(["new", str(path), "--construction", "boxed-panel", *box]) == 0
    told = capsys.readouterr().out
    assert "Left out, as there is no room for it: pocket." in told
    assert "pocket" not in read_bag(path).parts
    assert main(["new", "-", "--construction", "boxed-panel", *box]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["body"]["kind"] == "boxed-panel"
    assert err.startswith("cornerwright: Left out, as there is no room for it: pocket.")


def test_a_file_that_is_there_is_written_over_only_if_asked(
    refused: Callable[..., str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "there.json"
    path.write_text("mine", encoding="utf-8")
    assert "already exists" in refused("there.json", *PLAIN)
    assert main(["new", "there.json", *PLAIN, "--replace"]) == 0
    assert "Saved there.json." in capsys.readouterr().out
    assert sizes_of(read_project(path).bag) == pytest.approx([300.0, 120.0, 250.0])
    assert backup_of(path).read_text(encoding="utf-8") == "mine"


WRONG = {
    (): "required: --construction, --width, --depth, --height",
    ("--construction", "boxed-panel"): "required: --width, --depth, --height",
    (
        "--construction",
        "boxed",
        *BOX,
    ): "--construction cannot be boxed: it must be one of boxed-pan",
    (*PLAIN, "--unit", "ft"): "--unit cannot be ft: it must be one of in, mm",
    (*PLAIN, "--top", "button"): "--top cannot be button: it must be one of zip-forward",
    (*PLAIN, "--rounding", "20"): "corners cannot be rounded; leave out --rounding.",
    (*PLAIN, "--choose", "construction=boxed-panel"): "construction is chosen twice",
    (*PLAIN, "--top", "hem", "--choose", "top=hem"): "top is chosen twice",
    (*PLAIN, "--top", "zip-forward", "--without", "zip"): "--without zip and the top zip-forward",
    (*PLAIN, "--without", "sleeve"): "There is no part called sleeve",
    (*PLAIN, "--set", "base_width=3"): "base_width is worked out",
    (*PLAIN, "--set", "panel=3"): "There is no figure called panel.",
    (*PLAIN, "--set", "panel_width=100"): "“Base width” can",
    (*PLAIN, "--set", "side_seam=a"): "Side seam",
    (*PLAIN, "--choose", "bottom=knot"): "bottom cannot be knot",
    (*PLAIN, "--without", "pocket", "--set", "pocket_drop=90"): "this bag has no pocket",
    ("--construction", "boxed-panel", "--width", "wide", *BOX[2:]): "Base width:",
    ("--construction", "boxed-panel", "--width", "-3", *BOX[2:]): "Base width",
    ("--construction", "boxed-panel", "--width", "9000", *BOX[2:]): "Base width",
}


@pytest.mark.parametrize("words", WRONG, ids=" ".join)
def test_what_is_wrong_is_told_in_one_line(
    refused: Callable[..., str], words: tuple[str, ...]
) -> None:
    assert WRONG[words] in refused("new.json", *words)


def test_one_file_is_named(refused: Callable[..., str]) -> None:
    for files in ((), ("one.json", "two.json")):
        assert "Name the one file to write, such as new.json." in refused(*files, *PLAIN)
    assert "is empty" in refused("", *PLAIN)


@pytest.mark.parametrize("kind", [kind for kind in BODIES if kind.BOX.rounding])
def test_corners_are_rounded_where_they_can_be(new: New, kind: type[Body]) -> None:
    """By the radius on the stitch line, all of them; 0 is square."""
    rounded = new("--construction", kind.KIND, *BOX, "--rounding", "30")
    finished, cut = compute(rounded).finished, compute(rounded).cut
    assert finished["corner_radius"] == pytest.approx(30.0)
    assert cut["corner_rounding"] == pytest.approx(40.0)
    assert cut.get("upper_rounding") in (None, pytest.approx(40.0))
    square = new("--construction", kind.KIND, *BOX, "--rounding", "0")
    assert square == new("--construction", kind.KIND, *BOX)
    assert compute(square).cut["corner_rounding"] == 0.0


@pytest.mark.parametrize("top", [each.KIND for each in TOPS])
@pytest.mark.parametrize("kind", BODIES)
def test_a_top_that_the_bag_cannot_take_is_refused_in_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], kind: type[Body], top: str
) -> None:
    path = tmp_path / "new.json"
    code = main(["new", str(path), "--construction", kind.KIND, *BOX, "--top", top])
    err = capsys.readouterr().err
    if code:
        assert code == 2
        assert err.startswith("cornerwright: ")
        assert err.endswith(".\n")
        assert not path.exists()
    else:
        assert err == ""
        assert top == read_bag(path).top.KIND


@pytest.mark.parametrize("kind", BODIES)
def test_the_window_makes_the_same_bag_of_the_same_sizes(
    new: New, qtbot: QtBot, kind: type[Body]
) -> None:
    dialog = NewBagDialog(Display(Unit.CM))
    qtbot.addWidget(dialog)
    dialog.constructions.chosen.emit(kind.KIND)
    assert dialog.made is not None
    own = dialog.made.result.bag
    words = {"top": own.top.KIND, "unit": "cm", "construction": kind.KIND}
    words |= {
        option: f"{size}mm"
        for option, name in kind.BOX.sizes.items()
        if (size := dialog.made.result.finished.get(name)) and name in dialog.boxes
    }
    chosen = (f"--choose={name}={box.currentData()}" for name, box in dialog.choices.items())
    bag = new(*(f"--{option}={word}" for option, word in words.items()), *chosen)
    assert replace(bag, name=own.name) == own
