"""Entries of a bag file that are not ours: kept through reading, editing and writing."""

import json
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag import with_figures
from core.bagfile import demo_bag, project_from_json, project_to_json
from core.errors import BagFileError
from core.project import Kept, Project
from tests.core.test_project import projects

texts = st.text(st.characters(codec="utf-8"), max_size=12)
numbers = st.integers(-(10**40), 10**40) | st.floats(allow_nan=False, allow_infinity=False)
values = st.recursive(
    st.none() | st.booleans() | numbers | texts,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(texts, inner, max_size=3),
    max_leaves=8,
)
# No key of ours begins so, whatever comes later.
keys = texts.map(lambda text: f"x {text}")


def groups(document: Any) -> list[dict[str, Any]]:
    """Every group of a document whose keys are ours to name."""
    found = []
    if isinstance(document, dict):
        found.append(document)
        for key, value in document.items():
            # These two map figures to lengths: every key in them is known.
            if key not in ("drawn", "measured"):
                found += groups(value)
    elif isinstance(document, list):
        for value in document:
            found += groups(value)
    return found


def with_strange_layers() -> dict[str, Any]:
    document = json.loads(project_to_json(Project(bag=demo_bag()).with_variant("v", demo_bag())))
    for number, layer in enumerate(document["sandwich"]["layers"]):
        layer["bolt"] = number
    document["variants"][0]["bag"]["handles"]["seen"] = [1.5, None]
    document["handles"]["colour"] = "rust"
    document["newer"] = {"deep": {"er": [True]}}
    return document


def read(document: dict[str, Any]) -> Project:
    return project_from_json(json.dumps(document), source="x")


def written(project: Project) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(project_to_json(project))
    return document


@settings(max_examples=60)
@given(projects(), st.data())
def test_unknown_entries_anywhere_come_back_as_they_were(project: Project, data: Any) -> None:
    document = written(project)
    for group in groups(document):
        group.update(data.draw(st.dictionaries(keys, values, max_size=1)))
    back = read(document)
    assert written(back) == document
    assert replace(back, foreign=()) == project
    assert project_from_json(project_to_json(back), source="x") == back


def test_unknown_entries_stay_through_an_edit() -> None:
    document = with_strange_layers()
    project = read(document)
    edited = replace(project, bag=with_figures(project.bag, {"panel_width": 500.0}))
    document["panel"]["panel_width"] = 500.0
    assert written(edited) == document


def test_two_files_that_differ_in_an_unknown_entry_are_not_the_same() -> None:
    document = with_strange_layers()
    first = read(document)
    document["newer"]["deep"]["er"] = [False]
    assert read(document) != first


def test_an_entry_follows_its_layer_and_its_variant() -> None:
    project = read(with_strange_layers())
    sandwich = project.bag.sandwich
    first, *others = sandwich.layers
    turned = replace(project.bag, sandwich=replace(sandwich, layers=(*others, first)))
    document = written(replace(project, bag=turned).with_variant("other", turned))
    bolts = [layer["bolt"] for layer in document["sandwich"]["layers"]]
    assert bolts == [*range(1, len(bolts)), 0]
    assert document["variants"][0]["bag"]["handles"]["seen"] == [1.5, None]
    assert "seen" not in document["variants"][1]["bag"]["handles"]


def test_an_entry_stays_with_a_layer_that_gets_another_name() -> None:
    project = read(with_strange_layers())
    sandwich = project.bag.sandwich
    other = replace(sandwich.layers[0], role="oilcloth")
    bag = replace(project.bag, sandwich=replace(sandwich, layers=(other, *sandwich.layers[1:])))
    assert written(replace(project, bag=bag))["sandwich"]["layers"][0]["bolt"] == 0


def test_an_entry_of_what_is_taken_away_goes_and_comes_back_with_it() -> None:
    project = read(with_strange_layers())
    without = replace(project, bag=replace(project.bag, handles=None), variants=())
    document = written(without)
    assert document["handles"] is None
    assert document["newer"] == {"deep": {"er": [True]}}
    restored = replace(without, bag=project.bag, variants=(Kept(name="v", bag=demo_bag()),))
    assert written(restored) == with_strange_layers()


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("[" * 65 + "]" * 65, "nested too deeply"),
        ('{"a":' * 70 + "1" + "}" * 70, "nested too deeply"),
        ("[[NaN]]", "stranger must be an ordinary number"),
        ("[[1e999]]", "stranger must be an ordinary number"),
        ('["\\ud83d"]', "stranger holds signs"),
        ('{"\\ud83d": 1}', "? holds signs"),
        ('{"a": 1, "a": 2}', "a stands there twice"),
    ],
)
def test_an_unknown_entry_that_cannot_be_kept_is_refused(value: str, told: str) -> None:
    text = project_to_json(Project(bag=demo_bag())).rstrip().removesuffix("}")
    with pytest.raises(BagFileError) as caught:
        project_from_json(f'{text}, "stranger": {value}}}', source="mine.json")
    assert told in str(caught.value)
