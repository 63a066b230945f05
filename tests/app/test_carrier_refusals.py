"""Wrong sizes of bags cut like boxes: one sentence each, and nothing lost, whichever way they come.

Source: plane geometry, as the project's own description of these constructions has it.
"""

import json
import math
import runpy
import sys
from pathlib import Path

import pytest

from app.cli import main
from core.bag.bag import with_figures
from core.bag.compute import compute
from core.bag.tables import cut_figure
from core.base.errors import BagFileError
from core.model.findings import Severity
from core.storage.bag_files import sample
from tests.app.hands import Hands
from tests.helpers import bag_to_json, project_from_json

REFUSED = [
    ("coolbox", "corner_rounding", 9.0, "the seam uses up"),
    ("jar", "corner_rounding", 9.0, "the seam uses up"),
    ("coolbox", "strip_length", 60.0, "shorter than a corner"),
    ("coolbox", "top_strip_length", 2000.0, "once round a panel"),
    ("wrap", "top_strip_length", 2500.0, "once round a panel"),
]
FOUND = [
    ("coolbox", "strip_length", 500.0, "gusset-edges-differ"),
    ("jar", "body_width", 200.0, "base-edges-differ"),
]
"""What can be drawn, and will not go together, is a finding."""


@pytest.mark.parametrize(("name", "figure", "value", "told"), REFUSED)
def test_on_the_command_line(
    name: str,
    figure: str,
    value: float,
    told: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    path = tmp_path / "bag.json"
    path.write_text(bag_to_json(sample(name)), encoding="utf-8")
    was = path.read_bytes()
    assert main(["check", str(path), "--set", f"{figure}={value}mm"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(f"cornerwright: {cut_figure(figure).label} is ")
    assert told in line
    assert path.read_bytes() == was


@pytest.mark.parametrize(("name", "figure", "value", "told"), REFUSED)
def test_in_a_file_by_hand(name: str, figure: str, value: float, told: str) -> None:
    document = json.loads(bag_to_json(sample(name)))
    assert figure in document["body"]
    document["body"][figure] = value
    with pytest.raises(BagFileError, match=told):
        project_from_json(json.dumps(document), source="bag.json")


def test_in_the_box_of_the_window(hands: Hands) -> None:
    document = hands.document
    for name, figure, value, told in REFUSED:
        bag = sample(name)
        document.open(bag)
        hands.type(figure, f"{value} mm")
        assert told in hands.note(figure).replace("\N{NO-BREAK SPACE}", " ")
        assert document.bag == bag
        assert document.undo_stack.count() == 0


@pytest.mark.parametrize(("name", "figure", "value", "code"), FOUND)
def test_what_does_not_meet_stops(name: str, figure: str, value: float, code: str) -> None:
    found = compute(with_figures(sample(name), {figure: value})).findings
    (stop,) = (each for each in found if each.code == code)
    assert stop.severity is Severity.STOP
    assert stop.fixes


@pytest.mark.parametrize("dust", [1e-7, -1e-7])
def test_what_is_almost_equal_in_a_file_is_equal(dust: float) -> None:
    """A base all round, in walls of the way round it but for a ten-thousandth of a cutter."""
    document = json.loads(bag_to_json(sample("jar")))
    body = document["body"]
    radius = body["base_cut_depth"] / 2 - body["base_seam"]
    flat = 2 * (body["base_cut_width"] + body["base_cut_depth"] - 4 * body["base_seam"])
    body["corner_rounding"] = body["base_cut_depth"] / 2 + dust
    ring = flat - (8 - 2 * math.pi) * radius
    body["body_width"] = ring / 2 + 2 * body["side_seam"] + dust
    result = compute(project_from_json(json.dumps(document), source="bag.json").bag)
    codes = {each.code for each in result.findings}
    assert not codes & {"base-edges-differ", "ring-seam-on-corner"}
    assert result.finished["corner_radius"] == pytest.approx(radius)


@pytest.mark.parametrize("trim", ["29cm", "30.5cm"])
def test_the_figure_that_was_typed_is_blamed(trim: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "jar", "--set", f"front_trim={trim}"]) == 2
    assert "Front trim cannot be" in capsys.readouterr().err


def test_sizes_with_no_room_for_seams_are_blamed_themselves(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sizes = [f"--{name}=1" for name in ("width", "depth", "height")]
    words = ["new", str(tmp_path / "n.json"), "--construction", "separate-base", *sizes]
    assert main(words) == 2
    assert "No bag of these sizes can be cut." in capsys.readouterr().err


def test_a_refusal_stands_alone(capsys: pytest.CaptureFixture[str]) -> None:
    other = ["check", "coolbox", "--choose", "construction=boxed-panel"]
    assert main([*other, "--set", "panel_width=0"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "Panel width is 0" in line
    main(other)
    (line,) = capsys.readouterr().err.splitlines()
    assert "The top of this bag is now" in line


def test_the_package_tells_where_its_options_are(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "argv", ["app", "--help"])
    monkeypatch.delitem(sys.modules, "app.__main__", raising=False)  # of other tests
    with pytest.raises(SystemExit) as ended:
        runpy.run_module("app", run_name="__main__")
    assert "cornerwright --help" in str(ended.value.code)


def test_what_sums_leave_is_no_cost_of_a_ruler(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["redesign", "jar", "--want", "base_width=25", "--ruler", "1mm", "--json"]) == 0
    cost = json.loads(capsys.readouterr().out)["rounded"]
    assert cost["base_mismatch"] == 0.0
    assert not [size for size in cost.values() if size and abs(size) < 1e-6]
