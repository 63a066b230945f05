"""Another construction on the command line: the same box, and what it takes is told beside."""

import json
from pathlib import Path

import pytest

from app.cli import main
from core.storage.bag_files import sample
from tests.helpers import bag_to_json

BOX = ("base_width", "gusset_depth", "face_height")


@pytest.mark.parametrize("word", ["gusset-strip", "wrap", "separate-base", "boxed-panel"])
@pytest.mark.parametrize("name", ["demo", "tote", "coolbox", "jar"])
def test_any_sample_is_told_in_any_construction(
    name: str, word: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bag.json"
    path.write_text(bag_to_json(sample(name)), encoding="utf-8")

    def told(*words: str) -> dict[str, float | None]:
        assert main(["figures", str(path), "--json", *words]) == 0
        found: dict[str, float | None] = json.loads(capsys.readouterr().out)["finished"]
        return found

    was, now = told(), told("--choose", f"construction={word}")
    for figure in BOX[1:]:
        assert now[figure] == pytest.approx(was[figure], abs=1e-6)
    wide, other = (each["face_width"] or each["base_width"] for each in (was, now))
    assert other == pytest.approx(wide, abs=1e-6)
    capsys.readouterr()
    # A rounding lies along the bottom's ends in one, and at its corners in another: less is flat.
    words = ("--choose", f"construction={word}")
    without = ("--without", "board") if "board" in sample(name).parts else ()
    assert main(["check", str(path), *words, *without]) == 0, "it can be sewn"
    if word == sample(name).body.KIND:
        assert capsys.readouterr().err == ""


def test_what_a_construction_takes_is_told_beside(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["figures", "--choose", "construction=gusset-strip"]) == 0
    told = capsys.readouterr().err
    assert told.startswith(
        "cornerwright: The top of this bag is now: Top strip. Made in another way, as this "
        "construction asks: handles."
    )
    assert len(told.splitlines()) == 1
