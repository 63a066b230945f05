"""The redesign command, through `main` and back through its file."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from app.cli import main
from app.cli.report import PUBLISHED_CUT, PUBLISHED_FINISHED
from core.bag.compute import compute
from core.bag.sewn_sample import Sample, sample_of
from core.storage.bag_files import demo_bag, read_project, sample, write_project
from core.storage.project import Project
from tests.helpers import read_bag


def _json(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, dict[str, float]]:
    assert main(["redesign", *words, "--json"]) == 0
    told: dict[str, dict[str, float]] = json.loads(capsys.readouterr().out)
    return told


def test_json_is_that_of_figures_with_what_the_ruler_cost(
    capsys: pytest.CaptureFixture[str],
) -> None:
    told = _json(
        capsys, "--want", "gusset_depth=185.1mm", "base_width=262.1mm",
        "--hold", "box_volume", "--ruler", "5mm",
    )  # fmt: skip
    assert list(told) == ["cut", "finished", "findings", "rounded"]
    assert tuple(told["cut"]) == PUBLISHED_CUT
    assert tuple(told["rounded"]) == tuple(told["finished"]) == PUBLISHED_FINISHED
    wanted = {"gusset_depth": 185.1, "base_width": 262.1}
    wanted["box_volume"] = compute(demo_bag()).finished["box_volume"]
    for name, value in wanted.items():
        assert told["finished"][name] - told["rounded"][name] == pytest.approx(value, abs=1e-6)
    assert told["cut"]["corner_cut_depth"] % 5 == pytest.approx(0, abs=1e-9)
    assert told["finished"]["corner_mismatch"] == pytest.approx(0, abs=1e-6)


def test_a_chosen_construction_has_its_own_take_up(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is drawn in the sizes that the bag of the file is sewn to: 10 1/2 in for 11 drawn."""
    own = replace(sample_of(demo_bag(), {"base_width": 10.5 * 25.4}), allowed_for=True)
    half = Sample(drawn={"face_width": 250.0}, measured={"face_width": 240.0}, allowed_for=True)
    path, sewn = tmp_path / "sampled.json", pytest.approx(10.5 * 25.4)
    write_project(Project(bag=demo_bag(), samples={"boxed-panel": own, "wrap": half}), path)
    for kind, drawn in (("gusset-strip", sewn), ("wrap", pytest.approx(10.5 * 25.4 / 0.96))):
        told = _json(
            capsys, str(path), "--choose", f"construction={kind}", "--want", "face_height=15in"
        )
        assert told["finished"]["base_width"] == drawn
        assert ("sewn" in told) is (kind == "wrap")
        assert "sewn" not in told or told["sewn"]["base_width"] == sewn


def test_where_take_up_is_allowed_for_a_want_is_what_is_sewn(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sewn is k times drawn, here 10 1/2 of 11; the sizes in `finished` stay the drawn ones."""
    sample = sample_of(demo_bag(), {"base_width": 10.5 * 25.4})
    path = tmp_path / "sampled.json"
    for allowed_for in (True, False):
        kept = replace(sample, allowed_for=allowed_for)
        write_project(Project(bag=demo_bag(), samples={"boxed-panel": kept}), path)
        told = _json(capsys, str(path), "--want", "base_width=12in", "inside_volume=18L")
        drawn = 12 * 25.4 * (11 / 10.5 if allowed_for else 1.0)
        assert told["finished"]["base_width"] == pytest.approx(drawn)
        assert ("sewn" in told) is allowed_for
        if allowed_for:
            sewn = told["sewn"]
            assert sewn["base_width"] == pytest.approx(12 * 25.4)
            assert sewn["inside_volume"] == pytest.approx(18.0)
            assert set(sewn) <= set(told["finished"])
            assert None not in sewn.values()
        assert main(["figures", str(path)]) == 0
        text = capsys.readouterr().out
        assert ("10 1/2 in, drawn 11 in" in text) is allowed_for
        assert ("Finished, as sewn" in text) is allowed_for


def test_without_a_ruler_nothing_is_lost(capsys: pytest.CaptureFixture[str]) -> None:
    told = _json(capsys, "--want", "gusset_depth=7 1/2in", "--want", "box_volume=20 L")
    assert told["finished"]["gusset_depth"] == pytest.approx(190.5, abs=1e-6)
    assert told["finished"]["box_volume"] == pytest.approx(20.0, abs=1e-8)
    assert set(told["rounded"].values()) == {0.0, None}


def test_the_new_bag_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "deeper.json"
    assert main(["redesign", "--want", "gusset_depth=7.75", "-o", str(out)]) == 0
    assert "Gusset depth" in capsys.readouterr().out
    finished = compute(read_bag(out)).finished
    assert finished["gusset_depth"] == pytest.approx(196.85, abs=1e-6)
    assert main(["redesign", str(out), "--want", "gusset_depth=6.75", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    before = compute(demo_bag()).cut
    for name, value in told["cut"].items():
        if value is not None:
            assert value == pytest.approx(before[name], abs=1e-5), name


def test_the_bag_it_came_from_is_written_with_it_once(tmp_path: Path) -> None:
    one, two = tmp_path / "one.json", tmp_path / "two.json"
    assert main(["redesign", "--want", "gusset_depth=7.75", "-o", str(one)]) == 0
    assert main(["redesign", str(one), "--want", "gusset_depth=8", "-o", str(two)]) == 0
    for path in (one, two):
        starting = read_project(path).starting
        assert starting is not None
        assert starting.bag == demo_bag()


def test_the_table_speaks_the_rulers_unit(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["redesign", "--want", "base_width=27cm", "--ruler", "5mm"]) == 0
    text = capsys.readouterr().out
    assert "279.4 mm" in text
    assert " in " not in text.split("Findings")[0]


def test_a_bag_in_centimetres_is_told_in_them_whatever_the_ruler(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "tote.json"
    write_project(Project(bag=sample("tote")), path)
    words = ["redesign", str(path), "--want", "base_width=31cm", "--ruler", "0.5cm"]
    assert main(words) == 0
    out = capsys.readouterr().out
    assert " cm" in out and " mm" not in out


def test_what_the_ruler_cost_is_a_column_only_where_it_cost_something(
    capsys: pytest.CaptureFixture[str],
) -> None:
    want = ["redesign", "--want", "gusset_depth=185.1mm"]
    for words, column in (([], False), (["--ruler", "5mm"], True)):
        assert main([*want, *words]) == 0
        heading = capsys.readouterr().out.splitlines()[0].split()
        assert heading == ["before", "after", *(["ruler", "step"] if column else [])]


def test_where_nothing_has_to_change_that_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    now = compute(demo_bag()).finished["gusset_depth"]
    assert main(["redesign", "--want", f"gusset_depth={now}mm"]) == 0
    first, rest = capsys.readouterr().out.split("\n", 1)
    assert first == "Nothing changes: the bag already has all of these sizes."
    assert "before" not in rest


def test_corners_may_part(capsys: pytest.CaptureFixture[str]) -> None:
    told = _json(
        capsys, "--want", "gusset_depth=7.75", "--hold", "base_width", "opening_width",
        "--corners-may-part",
    )  # fmt: skip
    assert told["finished"]["corner_mismatch"] == pytest.approx(-25.4, abs=1e-6)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "--want"),
        (("--want",), "--want"),
        (("--want", "gusset_depth"), "NAME=LENGTH"),
        (("--want", "=3"), "NAME=LENGTH"),
        (("--want", "gusset_dept=3"), "gusset_depth"),
        (("--want", "gusset_depth=nan"), "Gusset depth"),
        (("--want", "gusset_depth=-3"), "Gusset depth"),
        (("--want", "gusset_depth=47,5"), "Gusset depth"),
        (("--want", "gusset_depth=10km"), "Gusset depth"),
        (("--want", "face_height=9 m"), "Face height"),
        (("--want", "box_volume=many"), "Box volume"),
        (
            ("--want", "filled_volume=12L", "--without", "zip"),
            "Filled volume cannot be asked for. An open top encloses no volume",
        ),
        (
            ("--want", "filled_volume=25L", "--hold", "opening_width", "face_height"),
            "“Filled volume” can be at most 18.7",
        ),
        (("--want", "handle_strips=2.5"), "Handle strips"),
        (("--want", "base_width=11", "--hold", "nothing"), "nothing"),
        (("--want", "base_width=11", "base_width=12"), "base_width is wanted twice"),
        (("--want", "base_width=11", "--want", " base_width =11"), "base_width is wanted twice"),
        (("--want", "base_width=11", "-o", ""), "The name of the file to write is empty"),
        (("", "--want", "base_width=11"), "The name of the bag file is empty"),
        (("--want", "base_width=11", "--ruler", "0"), "Ruler step"),
        (("--want", "base_width=11", "--ruler", "x"), "Ruler step"),
        (("--want", "zip_offset=1", "--without", "zip"), "Zip offset"),
        (
            ("--want", "gusset_depth=7.75", "--hold", "base_width", "opening_width"),
            "Release one of “Base width”, “Opening width”",
        ),
        (("--want", "base_width=11", "-o", "/nowhere/at/all.json"), "all.json"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(
    words: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["redesign", *words]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.count("\n") == 1
    assert said in printed.err


def test_a_file_whose_older_state_cannot_be_kept_is_written_and_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "deeper.json"
    write_project(Project(bag=demo_bag()), out)
    (tmp_path / "deeper.json~").mkdir()
    for more in ([], ["--json"]):
        deeper = f"gusset_depth={180 + len(more)}mm"
        words = ["redesign", "--want", deeper, "-o", str(out), "--replace"]
        assert main([*words, *more]) == 0
        told, warned = capsys.readouterr()
        assert told
        assert warned.startswith(
            "cornerwright: deeper.json was saved, but no backup of its earlier contents could be "
        )
        assert warned.count("\n") == 1
        finished = compute(read_bag(out)).finished
        assert finished["gusset_depth"] == pytest.approx(180.0 + len(more))


def test_a_filled_volume_that_is_wanted_is_what_figures_tells(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "fuller.json"
    told = _json(capsys, "--want", "filled_volume=20L", "--ruler", "5mm", "-o", str(out))
    over = told["rounded"]["filled_volume"]
    assert told["finished"]["filled_volume"] - over == pytest.approx(20.0, abs=0.005)
    assert main(["figures", str(out), "--json"]) == 0
    kept = json.loads(capsys.readouterr().out)["finished"]["filled_volume"]
    assert kept == pytest.approx(told["finished"]["filled_volume"])
    assert main(["redesign", "--want", "inside_filled_volume=17L"]) == 0
    assert "17.00 L" in capsys.readouterr().out
