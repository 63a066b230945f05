"""Files of every older version give the same figures to the last digit, and lose no entry.

The files beside `tests/files/bag_version_4.json` were written once, by the program of that file
version, and have no command that writes them anew: what a bag of somebody's own once measured must
not drift because a figure is worked out elsewhere now.
"""

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.errors import BagFileError
from core.bodies.boxed_panel.sizes import Bottom
from core.sewing.steps import steps
from core.storage.bag_file import project_to_json
from core.storage.bag_files import SAMPLES, sample
from core.storage.project import Project
from tests.helpers import project_from_json

FILES = Path(__file__).parents[2] / "files"
VERSIONS = (1, 2, 3, 4)
KEPT_SAMPLES = ("demo", "lunch", "tote")


@cache
def _project(version: int) -> Project:
    name = f"bag_version_{version}.json"
    return project_from_json((FILES / name).read_bytes(), source=name)


@cache
def _expected(name: str) -> Any:
    return json.loads((FILES / f"{name}.json").read_text())


def _bags(project: Project) -> dict[str, Bag]:
    bags = {"bag": project.bag}
    if project.starting is not None:
        bags["starting"] = project.starting.bag
    return bags | {f"variant {kept.name}": kept.bag for kept in project.variants}


def _figures(bag: Bag, expected: dict[str, Any]) -> dict[str, dict[str, float | None]]:
    """Those figures that the file tells; a figure that came later is not asked for."""
    result = compute(bag)
    found = {"cut": result.cut, "finished": result.finished, "drawn": result.drawn}
    return {
        kind: {name: found[kind].get(name) for name in values} for kind, values in expected.items()
    }


def _keys(bag: Bag) -> list[str]:
    return [step.operation.key for step in steps(compute(bag))]


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("saved", [False, True], ids=["opened", "opened and saved"])
def test_an_older_file_gives_the_figures_that_it_gave(version: int, saved: bool) -> None:
    project = _project(version)
    if saved:
        project = project_from_json(project_to_json(project).encode(), source="saved")
    bags = _bags(project)
    expected = _expected(f"figures_version_{version}")
    assert list(bags) == list(expected)
    for which, figures in expected.items():
        assert _figures(bags[which], figures) == figures, which


@pytest.mark.parametrize("version", VERSIONS)
def test_the_steps_of_an_older_file_keep_their_keys(version: int) -> None:
    for which, bag in _bags(_project(version)).items():
        expected = _expected("operation_keys")[f"bag_version_{version} {which}"]
        assert _keys(bag) == expected, which


@pytest.mark.parametrize("name", KEPT_SAMPLES)
def test_the_steps_of_a_sample_keep_their_keys(name: str) -> None:
    assert name in SAMPLES
    assert _keys(sample(name)) == _expected("operation_keys")[name]


def _unknown(document: Any) -> list[tuple[str, Any]]:
    """Entries whose keys begin with "x ", and "colour", which only a zip has of its own."""
    found: list[tuple[str, Any]] = []
    if isinstance(document, list):
        return [entry for value in document for entry in _unknown(value)]
    if isinstance(document, dict):
        for key, value in document.items():
            if key.startswith("x ") or (key == "colour" and "zip_length" not in document):
                found.append((key, value))
            else:
                found += _unknown(value)
    return sorted(found, key=lambda entry: entry[0])


@pytest.mark.parametrize("version", VERSIONS)
def test_entries_of_other_programs_are_kept(version: int) -> None:
    expected = [
        (entry["key"], entry["value"])
        for entry in _expected("unknown_entries")[f"bag_version_{version}"]
    ]
    assert _unknown(json.loads(project_to_json(_project(version)))) == expected


def test_a_bottom_seam_that_version_4_took_for_nothing_is_a_fold() -> None:
    """That version read a length below 0.01 mm as 0."""
    document = json.loads((FILES / "bag_version_4.json").read_text())
    for seam, bottom in ((0.005, Bottom.FOLD), (0.01, Bottom.SEAM)):
        document["panel"]["bottom_seam"] = seam
        bag = project_from_json(json.dumps(document), source="x").bag
        assert (bag.body.bottom, bag.body.bottom_seam > 0.0) == (bottom, bottom is Bottom.SEAM)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"handles": {"goods_width": "wide"}}, "handle last strip"),
        ({"handles": {"handle_strips": 1.5}}, "handle strips"),
        ({"sandwich": {"layers": [{"usable_width": "wide"}]}}, "layer 1"),
    ],
)
def test_strips_of_version_3_that_cannot_be_reckoned_are_refused_in_words(
    change: dict[str, dict[str, Any]], told: str
) -> None:
    document = json.loads((FILES / "bag_version_3.json").read_text())
    assert "goods_width" in document["handles"]
    for group, entries in change.items():
        document[group] |= entries
    with pytest.raises(BagFileError, match=f"(?i){told}"):
        project_from_json(json.dumps(document), source="x")
