"""The commands: fixed names, one line for whatever is wrong, exit codes, no Qt."""

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from app.cli import COMMANDS, main
from app.cli.report import PUBLISHED_CUT, PUBLISHED_FINISHED, with_filled
from core.bag.bag import with_figures
from core.bag.choices import without_part
from core.bag.compute import compute
from core.bag.tables import CUT_FIGURES
from core.base.units import Unit
from core.model.figures import Quantity
from core.solid.capacity import capacity
from core.storage.bag_file import VERSION
from core.storage.bag_files import SAMPLES, demo_bag, sample
from tests.helpers import ELSEWHERE, bag_to_json, write_bag

pytestmark = pytest.mark.usefixtures("quick_search")

ROOT = Path(__file__).parents[2]
INCH = 25.4  # exactly: international yard and pound agreement, 1959


@pytest.fixture
def figures(answer: Callable[..., str]) -> Callable[..., dict[str, Any]]:
    """Runs `figures --json` with these words and returns the object."""

    def run(*words: str) -> dict[str, Any]:
        return json.loads(answer("figures", "--json", *words))

    return run


# --- Figures --------------------------------------------------------------------------------------


def test_published_names_stay_for_scripts() -> None:
    assert PUBLISHED_CUT == (
        "panel_width",
        "panel_length",
        "front_trim",
        "corner_cut_width",
        "corner_cut_depth",
        "corner_mark",
        "side_seam",
        "corner_seam",
        "zip_seam",
        "bottom_seam",
        "face_cut_width",
        "face_cut_height",
        "corner_rounding",
        "upper_rounding",
        "strip_width",
        "strip_length",
        "strip_pieces",
        "top_strip_length",
        "gusset_seam",
        "strip_seam",
        "base_cut_width",
        "base_cut_depth",
        "body_width",
        "body_height",
        "body_pieces",
        "base_seam",
        "zip_tape_width",
        "facing_depth",
        "rolls",
        "roll_depth",
        "pocket_cut_height",
        "pocket_drop",
        "handle_width",
        "handle_gap",
        "handle_stop",
        "handle_strips",
        "handle_last_strip",
        "goods_width",
        "board_width",
        "board_depth",
    )
    assert PUBLISHED_FINISHED == (
        "base_width",
        "gusset_depth",
        "gusset_depth_at_side",
        "corner_mismatch",
        "face_height",
        "opening_width",
        "face_width",
        "corner_radius",
        "gusset_mismatch",
        "base_mismatch",
        "zip_offset",
        "zip_clearance",
        "pocket_height",
        "handle_loop",
        "handle_drop_front",
        "handle_drop_back",
        "box_volume",
        "inside_volume",
        "filled_volume",
        "inside_filled_volume",
    )


def test_json_has_exactly_the_published_names_in_order(
    figures: Callable[..., dict[str, Any]],
) -> None:
    told = figures()
    assert list(told) == ["cut", "finished", "findings"]
    assert tuple(told["cut"]) == PUBLISHED_CUT
    assert tuple(told["finished"]) == PUBLISHED_FINISHED
    for finding in told["findings"]:
        assert list(finding) == ["code", "severity", "figure", "limit", "message"]


def test_json_holds_the_demo_bag_in_millimetres(figures: Callable[..., dict[str, Any]]) -> None:
    """Cut sizes and finished sizes worked by hand in inches (plane geometry)."""
    told = figures()
    assert told["cut"]["panel_width"] == 469.9
    assert told["cut"]["handle_strips"] == 3
    assert told["finished"]["base_width"] == 279.4
    assert told["finished"]["corner_mismatch"] == 0.0
    assert told["finished"]["face_height"] == 381.0
    assert told["finished"]["box_volume"] == pytest.approx(18.251093, abs=1e-6)
    assert told["finished"]["filled_volume"] == pytest.approx(18.29, abs=0.1)
    held = capacity(demo_bag())
    assert told["finished"]["filled_volume"] == pytest.approx(held.filled)
    assert told["finished"]["inside_filled_volume"] == pytest.approx(held.inside_filled)
    # Its stop lies 1/2 in below its pocket's upper edge.
    assert [(each["code"], each["severity"]) for each in told["findings"]] == [
        ("melts", "note"),
        ("pocket-open-above-stop", "note"),
    ]


@pytest.mark.parametrize("name", SAMPLES)
def test_json_agrees_with_the_core(
    name: str, figures: Callable[..., dict[str, Any]], tmp_path: Path
) -> None:
    path = tmp_path / "bag.json"
    write_bag(sample(name), path)
    result = with_filled(compute(sample(name)))
    told = figures(str(path))
    for key, value in told["cut"].items():
        assert value == pytest.approx(result.cut[key], abs=1e-9)
    for key, value in told["finished"].items():
        assert value == pytest.approx(result.finished[key], abs=1e-9)


def test_what_a_bag_lacks_is_null(figures: Callable[..., dict[str, Any]]) -> None:
    parts = ("pocket", "handles", "board", "zip")
    told = figures(*[word for part in parts for word in ("--without", part)])
    lacking = {name for name, value in told["cut"].items() if value is None}
    assert lacking == {
        name for name in PUBLISHED_CUT if name.startswith(("zip_tape", "pocket", "handle", "board"))
    } | {"goods_width", "corner_mark"} | (ELSEWHERE & set(PUBLISHED_CUT))
    lacking = {name for name, value in told["finished"].items() if value is None}
    assert lacking == {
        *("zip_offset", "zip_clearance", "pocket_height", "filled_volume", "inside_filled_volume"),
        *("handle_loop", "handle_drop_front", "handle_drop_back"),
    } | (ELSEWHERE & set(PUBLISHED_FINISHED))


def test_a_number_is_free_of_float_noise_and_of_minus_zero(answer: Callable[..., str]) -> None:
    text = answer("figures", "--json", "--set", "front_trim=0", "--set", "corner_cut_width=-0.0")
    assert "-0.0" not in text
    assert re.search(r"\de-", text) is None


def test_text_shows_label_value_and_name_in_the_unit_of_the_bag(
    answer: Callable[..., str],
) -> None:
    text = answer("figures")
    assert "≈ 12 1/2 in" in text
    assert text.endswith(
        "\n\n≈ means: between two marks of the ruler, rounded to the nearest 1/16 in.\n"
    )
    assert "≈" not in answer("figures", "--without", "handles")
    lines = [line.split("  ") for line in text.splitlines()]
    rows = [[cell.strip() for cell in line if cell.strip()] for line in lines]
    assert ["Panel width", "18 1/2 in", "panel_width"] in rows
    assert ["Handle strips", "3", "handle_strips"] in rows
    assert ["Face height", "15 in", "face_height"] in rows
    assert ["Box volume", "18.25 L (19.3 qt, 1114 cu in)", "box_volume"] in rows
    # A litre is 61.0237 cu in, and 57.75 cu in are a quart.
    held = capacity(demo_bag())
    for label, name, litres in (
        ("Filled volume", "filled_volume", held.filled or 0.0),
        ("Filled volume, inside", "inside_filled_volume", held.inside_filled or 0.0),
    ):
        inches = litres * 61.0237
        told = f"{litres:.2f} L ({inches / 57.75:.1f} qt, {inches:.0f} cu in)"
        assert [label, told, name] in rows
    inches = (held.filled or 0.0) * 61.0237
    assert ["Filled over box volume", f"{inches / (11 * 6.75 * 15):.2f}"] in rows
    assert any("groceries fill less" in " ".join(row) for row in rows)
    heads = [row for row in rows if row in (["Cut"], ["Finished"], ["Findings"])]
    assert heads == [["Cut"], ["Finished"], ["Findings"]]


def test_text_leaves_out_what_the_bag_lacks(answer: Callable[..., str]) -> None:
    text = answer("figures", "--without", "pocket", "--without", "zip")
    assert "pocket" not in text.lower()
    assert "zip_tape_width" not in text
    assert "zip_offset" not in text


@pytest.mark.parametrize(
    ("name", "shown"), [("lunch", "Panel width               440 mm"), ("tote", "50 cm")]
)
def test_text_of_a_metric_bag_is_metric(
    name: str, shown: str, answer: Callable[..., str], tmp_path: Path
) -> None:
    write_bag(sample(name), tmp_path / "bag.json")
    text = answer("figures", str(tmp_path / "bag.json"))
    assert shown in text
    assert " in " not in text


# --- Changes --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text", ["20", "20in", '20"', "508mm", "50.8cm", "20.0", " 20 in ", "40/2"]
)
def test_a_length_may_be_typed_in_any_unit(
    text: str, figures: Callable[..., dict[str, Any]]
) -> None:
    assert figures("--set", f"panel_width={text}")["cut"]["panel_width"] == 508.0


def test_a_bare_number_is_in_the_unit_of_the_bag(
    figures: Callable[..., dict[str, Any]], tmp_path: Path
) -> None:
    path = tmp_path / "bag.json"
    for name, mm in (("demo", 9 * INCH), ("lunch", 9.0), ("tote", 90.0)):
        write_bag(sample(name), path)
        told = figures(str(path), "--set", "handle_gap=9")
        assert told["cut"]["handle_gap"] == pytest.approx(mm)


@pytest.mark.parametrize(
    "figure",
    [each for each in CUT_FIGURES if each.name not in ELSEWHERE],
    ids=lambda figure: figure.name,
)
def test_every_cut_figure_can_be_set(figure: Any, answer: Callable[..., str]) -> None:
    value = compute(demo_bag()).cut[figure.name] or INCH / 2
    typed = f"{value:g}" if figure.quantity is Quantity.COUNT else f"{value!r}mm"
    across = ("--choose", "corners=sewn-across") if figure.name == "corner_mark" else ()
    text = answer("figures", *across, "--set", f"{figure.name}={typed}")
    assert figure.name in text


def test_changes_that_are_only_possible_together_are_made_together(
    figures: Callable[..., dict[str, Any]], complaint: Callable[..., str]
) -> None:
    narrower, shallower = ("--set", "panel_width=6"), ("--set", "corner_cut_width=1")
    assert "Corner cut width" in complaint("figures", *narrower, "--without", "board", *shallower)
    assert figures(*narrower, *shallower)["cut"]["panel_width"] == 152.4
    assert figures(*shallower, *narrower)["cut"]["panel_width"] == 152.4


TWICE = {
    ("figures", "--set", "panel_width=20", "--without", "zip", "--set", " panel_width =20"): (
        "panel_width is set twice: give it once."
    ),
    ("check", "--choose", "board=fused", "--choose", "board=laid-in"): (
        "board is chosen twice: give it once."
    ),
    ("steps", "--without", "zip", "--without", "zip"): "zip is left out twice: give it once.",
    ("redesign", "--want", "base_width=11", "--want", "base_width=12"): (
        "base_width is wanted twice: give it once."
    ),
    ("redesign", "--want", "base_width=11", "--hold", "face_height", "face_height"): (
        "face_height is held twice: give it once."
    ),
    ("materials", "--bags", "3", "--bags=4"): "--bags is given twice: give it once.",
    ("materials", "--folded", "--no-folded"): "Give --folded or --no-folded, not both.",
    ("figures", "--json", "--json"): "--json is given twice: give it once.",
}


@pytest.mark.parametrize("words", TWICE, ids=" ".join)
def test_no_value_is_given_twice(words: tuple[str, ...], complaint: Callable[..., str]) -> None:
    assert complaint(*words) == f"cornerwright: {TWICE[words]}\n"


def test_a_bottom_seam_makes_a_seamed_bottom_and_0_a_fold(
    figures: Callable[..., dict[str, Any]], tmp_path: Path
) -> None:
    path = tmp_path / "seamed.json"
    changes = {"bottom_seam": 0.375 * INCH, "corner_cut_depth": 3.375 * INCH}
    write_bag(with_figures(without_part(demo_bag(), "board"), changes), path)
    told = figures(str(path))
    assert told["cut"]["bottom_seam"] == 9.525
    assert told["finished"]["gusset_depth"] == pytest.approx(6.75 * INCH)
    folded = figures(str(path), "--set", "bottom_seam=0", "--set", "corner_cut_depth=3")
    assert folded["finished"]["gusset_depth"] == pytest.approx(6.75 * INCH)


def test_a_file_and_changes_may_stand_in_any_order(
    answer: Callable[..., str], tmp_path: Path
) -> None:
    path = str(tmp_path / "bag.json")
    write_bag(sample("lunch"), Path(path))
    change = ("--set", "handle_gap=10cm")
    first = answer("figures", path, *change, "--json")
    assert first == answer("figures", "--json", *change, path)
    assert first == answer("figures", *change, path, "--json")
    assert json.loads(first)["cut"]["handle_gap"] == 100.0


# --- Check ----------------------------------------------------------------------------------------


def test_check_of_a_good_bag_ends_with_0(answer: Callable[..., str]) -> None:
    assert "note: A hot iron damages insulating fleece" in answer("check")


def test_a_sample_goes_by_its_name_unless_a_file_has_it(
    answer: Callable[..., str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert "Strip width" in answer("figures", "wrap")
    assert "Strip width" not in answer("figures", "jar")
    (tmp_path / "jar").write_text(bag_to_json(sample("wrap")), encoding="utf-8")
    assert "Strip width" in answer("figures", "jar")


def test_check_says_when_there_is_nothing_to_say(
    answer: Callable[..., str], tmp_path: Path
) -> None:
    write_bag(sample("tote"), tmp_path / "bag.json")
    assert answer("check", str(tmp_path / "bag.json")) == "No findings.\n"


def test_check_of_a_bag_that_will_not_close_ends_with_1(answer: Callable[..., str]) -> None:
    deeper = ("--set", "corner_cut_depth=3 1/2")
    lines = answer("check", *deeper, code=1).splitlines()
    assert lines[1].startswith("  stop: ")
    assert "1 in longer" in lines[1]
    assert lines[1].endswith("[corner-edges-differ]")
    assert '--set corner_cut_width="3 7/8 in"' in lines[2]
    assert json.loads(answer("check", "--json", *deeper, code=1))["findings"][0] == {
        "code": "corner-edges-differ",
        "severity": "stop",
        "figure": "corner_mismatch",
        "limit": 9.525,  # 3/8 in
        "message": lines[1].removeprefix("  stop: ").removesuffix(" [corner-edges-differ]"),
    }


def test_the_fix_that_check_names_fixes(answer: Callable[..., str]) -> None:
    deeper = ("--set", "corner_cut_depth=3 1/2")
    assert "corner-edges-differ" in answer("check", *deeper, code=1)
    wider = ("--set", "corner_cut_width=3 7/8 in")
    smaller = ("--set", "board_width=9 1/8 in", "--set", "board_depth=6 7/8 in")
    told = answer("check", *deeper, *wider, code=1)
    assert "corner-edges-differ" not in told
    assert '(--set board_width="9 1/8 in" --set board_depth="6 7/8 in")' in told
    assert " stop: " not in answer("check", *deeper, *wider, *smaller)


def test_choices_are_made_in_the_order_given(figures: Callable[..., dict[str, Any]]) -> None:
    start = figures()["cut"]
    fused = figures("--choose", "board=fused")["cut"]
    assert fused["board_width"] == start["board_width"], "a thin lining: it suits either room"
    sized = figures("--choose", "board=fused", "--set", "board_width=10in")["cut"]
    assert sized["board_width"] == pytest.approx(254.0)
    bare = figures("--without", "board", "--set", "front_trim=0", "--choose", "top=hem")
    assert bare["cut"]["board_width"] is None
    assert bare["cut"]["zip_tape_width"] is None
    back = figures("--without", "board", "--choose", "board=laid-in")
    assert back["cut"]["board_width"] == pytest.approx(start["board_width"])
    assert figures("--choose", "bottom=seam")["cut"]["bottom_seam"] > 0.0


def test_a_choice_is_taken_by_every_command_that_takes_set(answer: Callable[..., str]) -> None:
    fused = ("--choose", "board=fused")
    assert "[board-" not in answer("check", *fused)
    assert "base board on" in answer("steps", *fused)
    bought = answer("materials", *fused)
    assert "under the handles and the base board" in bought
    assert "under the base board" in answer("materials", *fused, "--without", "handles")
    assert "base board" not in answer("materials").partition("Cut list")[0]
    assert json.loads(answer("redesign", "--want", "base_width=12in", *fused, "--json"))["cut"]


def test_a_warning_is_no_stop(answer: Callable[..., str]) -> None:
    assert "  warn: " in answer("check", "--set", "front_trim=0")


def test_figures_answers_for_a_bag_that_will_not_close(
    figures: Callable[..., dict[str, Any]],
) -> None:
    told = figures("--set", "corner_cut_depth=0", "--set", "corner_cut_width=0")
    assert told["finished"]["gusset_depth"] == 0.0
    assert "base-vanishes" in [each["code"] for each in told["findings"]]


# --- What is wrong --------------------------------------------------------------------------------

WRONG_VALUES = {
    "panel_width=": "Panel width: type a length",
    "panel_width=wide": "Panel width: type a length",
    "panel_width=nan": "Panel width: type a length",
    "panel_width=inf": "Panel width: type a length",
    "panel_width=-inf": "Panel width: type a length",
    "panel_width=0": "Panel width is 0 in: it must be more than 0 in",
    "panel_width=-1": "Panel width is −1 in",
    "panel_width=18,5": "write the decimals with a point, 18.5",
    "panel_width=1,250": "write 1250, or 1.250 for decimals",
    "panel_width=10km": "end the length with in, cm, mm or m, not km",
    "panel_width=10000m": "Panel width is ≈ 393700 13/16 in: it must be at most",
    "panel_width=1e300": "Panel width is far too large: it must be at most",
    "panel_width=1e400": "Panel width: type a smaller number",
    "panel_width=" + "9" * 100: "Panel width: keep the length to 64 characters",
    "panel_width=18 yd": "Panel width: end the length with in, cm, mm or m, not yd",
    "panel_width=1/0": "Panel width: give the fraction a bottom number above 0",
    "panel_width=6": "Corner cut width is 3 3/8 in: it must be less than half the panel",
    "corner_cut_width=9 1/4": "Corner cut width is 9 1/4 in",
    "corner_cut_depth=17 3/4": "Corner cut depth is 17 3/4 in",
    "front_trim=20": "Front trim is 20 in: it must be less than the back",
    "side_seam=-1/4": "Side seam is −1/4 in: it must be at least 0 in",
    "zip_seam=5/8": "Zip tape width is 1 1/4 in: it must be more than its two zip seams",
    "zip_length=0": "Zip length is 0 in",
    "pocket_cut_height=1/2": "Pocket cut height is 1/2 in",
    "handle_stop=30": "Handle stop is 30 in",
    "handle_strips=2.5": "Handle strips: type a whole number",
    "handle_strips=3in": "Handle strips: type a whole number",
    "handle_strips=": "Handle strips: type a whole number",
    "handle_strips=three": "Handle strips: type a whole number",
    "handle_strips=0": "Handle strips is 0: it must be at least 1",
    "handle_strips=-3": "Handle strips is −3",
    "handle_strips=1000": "Handle strips is 1000: it must be at most 60",
    "handle_strips=" + "9" * 5000: "Handle strips: type a whole number",
    "base_width=12": "base_width is worked out from the cut figures: it cannot be set",
    "filled_volume=12": "filled_volume is worked out from the cut figures: it cannot be set; use",
    "inside_filled_volume=12": "inside_filled_volume is worked out from the cut figures",
    "panel_widht=12": "panel_widht. Did you mean panel_width?",
    "{x}=12": "no figure called {x}",
    "panel_width={0}": "Panel width: type a length",
    "=12": "give NAME=LENGTH",
    "panel_width": "give NAME=LENGTH",
    "": "give NAME=LENGTH",
    "panel_width=1\n2": "Panel width: ",
    "\x1b[31m=1": "no figure called",
}


def test_what_a_choice_takes_away_is_told_beside_the_answer(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """An inch less of the base by the wider cut; sewn across it is there again."""
    across = ("--choose", "corners=sewn-across")
    assert main(("figures", "--set", "corner_cut_width=4 3/8in", *across)) == 0
    out, err = capsys.readouterr()
    assert "11 in" in out
    assert err.startswith("cornerwright: The edges of each corner were cut to differ by ")
    assert main(("figures", *across)) == 0
    assert capsys.readouterr().err == ""


def test_the_option_of_a_fix_that_chooses_fixes_it(answer: Callable[..., str]) -> None:
    across = ("--choose", "corners=sewn-across")
    told = answer("check", *across, "--choose", "tips=left-in")
    assert "[corner-left-in]" in told
    assert "fix: Trim the tips (--choose tips=trimmed)" in told
    assert "[corner-left-in]" not in answer("check", *across, "--choose", "tips=trimmed")


@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
def test_the_options_of_a_fix_are_short_and_fix_it(
    unit: Unit, tmp_path: Path, answer: Callable[..., str]
) -> None:
    """Off the ruler they have no more than five decimals, and leave what all digits leave."""
    path = tmp_path / "odd.json"
    odd = with_figures(
        demo_bag(),
        {"handle_stop": 300.0, "corner_cut_depth": 33.37, "handle_last_strip": 60.0,
         "zip_seam": 3.33},
    )  # fmt: skip
    write_bag(replace(odd, unit=unit), path)
    lines = [line for line in answer("check", str(path), code=1).splitlines() if "fix: " in line]
    fixes = [fix for finding in compute(odd).findings for fix in finding.fixes]
    assert len(lines) == len(fixes) > 5
    for line, fix in zip(lines, fixes, strict=True):
        typed = dict(re.findall(r'--set (\w+)="([^"]+)"', line))
        assert list(typed) == [name for name, _ in fix.changes]
        assert not any(re.search(r"\.[0-9]{6}", text) for text in typed.values()), line
        words = [word for pair in typed.items() for word in ("--set", "=".join(pair))]
        told = json.loads(answer("figures", str(path), *words, "--json"))
        left = with_figures(odd, dict(fix.changes))
        assert [each["code"] for each in told["findings"]] == [
            each.code for each in compute(left).findings
        ]
        finished = compute(left).finished
        assert told["finished"]["face_height"] == pytest.approx(finished["face_height"], abs=0.05)


@pytest.mark.parametrize("change", WRONG_VALUES)
@pytest.mark.parametrize("command", ["figures", "check"])
def test_wrong_value_gets_one_line_that_names_its_field(
    command: str, change: str, complaint: Callable[..., str]
) -> None:
    told = complaint(command, "--set", change)
    assert WRONG_VALUES[change] in told
    assert told.rstrip("\n").isprintable()


def test_what_a_bag_lacks_cannot_be_set(complaint: Callable[..., str]) -> None:
    told = complaint("figures", "--without", "pocket", "--set", "pocket_drop=3")
    assert "Pocket drop cannot be set: this bag has no pocket" in told


WRONG_COMMANDS = {
    ("redraw",): f"redraw is neither a command ({', '.join(COMMANDS)}) nor a bag file",
    ("",): "The first word is empty: give a command (new, figures, ",
    ("Figures",): "Figures is neither a command",
    ("missing.json",): "There is no file missing.json.",
    (".",): "is neither a command",
    ("--json",): "--json",
    ("--figures",): "--figures",
    ("figures", "--jsn"): "--jsn",
    ("figures", "--js"): "--js",
    ("figures", "one.json", "two.json"): "Give one bag file, not 2",
    ("figures", "missing.json"): "There is no file missing.json",
    (
        "figures",
        "",
    ): "The name of the bag file is empty: give a name, or leave it out for the demo bag",
    ("figures", "."): "is a folder",
    ("export", ""): "The name of the file to write is empty",
    ("figures", "a\0b"): "cannot be read",
    ("figures", "two\nlines.json"): "There is no file",
    ("figures", "--set"): "--set",
    ("figures", "--without"): "--without",
    ("figures", "--choose"): "--choose",
    ("figures", "--choose", "board"): "give NAME=WORD, such as board=laid-in",
    ("figures", "--choose", "=fused"): "give NAME=WORD, such as board=laid-in",
    ("figures", "--choose", "board=glued"): "board cannot be glued: it must be one of laid-in, fu",
    (
        "figures",
        "--choose",
        "lid=on",
    ): "no choice called lid: it must be one of construction, bottom, corners, tips, strip",
    ("figures", "--without", "lining"): "choose pocket, handles, board or zip",
    ("figures", "--without", "Pocket"): "There is no part called Pocket",
    ("check", "--paper", "A4"): "--paper",
    ("figures", "--set", "-1"): "give NAME=LENGTH",
    ("figures", "--set", "--"): "--set must be followed by NAME=LENGTH",
    ("figures", "--set=--"): "--set must be followed by NAME=LENGTH",
    ("figures", "--set", "--json"): "--set must be followed by NAME=LENGTH",
    (
        "figures",
        "--set",
        "zip",
    ): "cornerwright: --set: give NAME=LENGTH, such as panel_width=18.5in",
    ("redesign", "--want"): "--want must be followed by NAME=LENGTH; see cornerwright redesign",
    ("redesign", "--hold", "--json"): "--hold must be followed by NAME; see cornerwright redesign",
    ("figures", "--json=3"): "--json",
    ("--version", "figures"): "--version takes nothing after it",
    ("--", "--help"): "--help is neither a command",
    ("-",): "standard input, -, is for commands",
}


@pytest.mark.parametrize("words", WRONG_COMMANDS, ids=" ".join)
def test_wrong_command_gets_one_line(
    words: tuple[str, ...],
    complaint: Callable[..., str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert WRONG_COMMANDS[words] in complaint(*words)


MISSPELT = {
    ("figures", "--set", "PANEL_WIDTH=3"): "There is no figure called PANEL_WIDTH. "
    "Did you mean panel_width?",
    ("figures", "--set", "Panel width=3"): "Did you mean panel_width?",
    ("figures", "--set", "pocket_hieght=3"): "Did you mean pocket_height?",
    ("redesign", "--want", "gusset=3"): "There is no figure called gusset. "
    "Did you mean gusset_seam, gusset_depth, gusset_depth_at_side or gusset_mismatch?",
    ("redesign", "--want", "base_width=11", "--hold", "guset"): "Did you mean gusset_seam, gu",
    ("figures", "--set", "xyzzy=3"): "There is no figure called xyzzy.\n",
    (
        "figures",
        "--choose",
        "bord=fused",
    ): "tips, strip_pieces, body_pieces, top, board. Did you mean board?",
    ("figures", "--choose", "board=Fuse"): "one of laid-in, fused. Did you mean fused?",
    ("figures", "--without", "Pockets"): "pocket, handles, board or zip. Did you mean pocket?",
    ("export", "out.pdf", "--paper", "Leter"): "Did you mean Letter?",
    ("materials", "--cutting", "Rows"): "--cutting cannot be Rows: it must be free or rows. "
    "Did you mean rows?",
    ("figure",): "nor a bag file. Did you mean figures?",
    ("xyzzy",): "nor a bag file.\n",
    ("missing.json",): "There is no file missing.json.\n",
    ("steps", "--jsn=1"): "There is no option --jsn. Did you mean --json?",
    ("steps", "-mine.json"): "A file whose name begins with a dash goes after --.",
}


@pytest.mark.parametrize("words", MISSPELT, ids=" ".join)
def test_what_may_have_been_meant_is_offered(
    words: tuple[str, ...],
    complaint: Callable[..., str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert MISSPELT[words] in complaint(*words)


def bad_files() -> dict[str, tuple[bytes, str]]:
    whole = bag_to_json(demo_bag()).encode()
    return {
        "empty": (b"", "is empty"),
        "truncated": (whole[:700], "is cut off"),
        "newer": (whole.replace(b'"version": %d' % VERSION, b'"version": 77'), "has version 77"),
        "letters": (b"panel_width = 18.5", "is not JSON"),
        "another": (b'{"type": "FeatureCollection"}', "is not a bag file"),
        "huge": (b" " * 50_000_000, "is too large"),
        "NaN": (whole.replace(b"469.9", b"NaN"), "panel width of body must be an ordinary number"),
        "negative": (whole.replace(b"469.9", b"-469.9"), "Panel width is -469.9 mm"),
        "10 km": (whole.replace(b"469.9", b"1e7"), "Panel width is 1e+07 mm"),
        "comma": (
            whole.replace(b"469.9", b"469,9"),
            "is damaged and cannot be read: open an older copy of it (at line 10,",
        ),
        "text": (whole.replace(b"469.9", b'"18.5"'), "panel width of body must be a number"),
    }


@pytest.mark.parametrize("case", bad_files())
@pytest.mark.parametrize("command", ["figures", "check"])
def test_bad_file_gets_one_line_that_names_it(
    command: str, case: str, complaint: Callable[..., str], tmp_path: Path
) -> None:
    data, told = bad_files()[case]
    path = tmp_path / "mine.json"
    path.write_bytes(data)
    line = complaint(command, str(path), "--json")
    assert line.startswith("cornerwright: mine.json")
    assert told in line
