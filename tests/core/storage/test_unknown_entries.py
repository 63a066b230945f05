"""Entries of a bag file that are not ours: kept through reading, editing and writing.

What a program does with entries that it does not know is this project's own rule.
"""

import json
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import with_figures
from core.bag.choices import CHOICES, with_choice, with_word, without_part, word_of
from core.bag.compute import Around
from core.base.errors import BagFileError
from core.model.record import Record
from core.parts.board.board import BaseBoard
from core.parts.handles.handles import loop_runs_under
from core.site.owner import NONE
from core.storage.bag_file import project_to_json
from core.storage.bag_files import SAMPLES, demo_bag, sample
from core.storage.project import Project
from tests.core.bag.test_project import projects
from tests.helpers import project_from_json

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
    assert project_from_json(project_to_json(back), source="x") == back


def test_signs_of_other_scripts_stay_readable() -> None:
    text = project_to_json(Project(bag=demo_bag())).rstrip().removesuffix("}")
    text = f'{text}, "größe": "für Märkte"}}'
    assert '"größe": "für Märkte"' in project_to_json(project_from_json(text, source="x"))


def test_an_unknown_entry_never_takes_the_place_of_one_of_ours() -> None:
    """A colour beside an open top is not ours, and goes with that top."""
    document = written(Project(bag=demo_bag()))
    zipped = document["top"]
    document["top"] = {"kind": "hem", "colour": "rust", "gauge": 12}
    project = read(document)
    assert written(project) == document
    back = replace(project, bag=replace(project.bag, top=demo_bag().top))
    assert written(back)["top"] == zipped


def test_an_unknown_entry_may_be_64_levels_deep() -> None:
    for inner in ("[" * 64 + "]" * 64, '{"a":' * 63 + "[1]" + "}" * 63):
        document = written(Project(bag=demo_bag())) | {"deep": json.loads(inner)}
        assert written(read(document)) == document


def test_unknown_entries_stay_through_an_edit() -> None:
    document = with_strange_layers()
    project = read(document)
    edited = replace(project, bag=with_figures(project.bag, {"panel_width": 500.0}))
    document["body"]["panel_width"] = 500.0
    assert written(edited) == document


OTHERS = ("construction", "top")
"""Choices that put another record in the place of one, with entries of its own."""


@pytest.mark.parametrize("name", SAMPLES)
def test_a_record_that_is_made_otherwise_keeps_its_entries(name: str) -> None:
    """Over a thick lining a board that is laid in has less room than one that is fused on."""
    bag, strange = sample(name), (("x", "1"),)
    lining = replace(bag.sandwich.layers[-1], thickness=20.0, laid_last=True)
    bag = replace(bag, sandwich=replace(bag.sandwich, layers=(*bag.sandwich.layers, lining)))
    bag = bag.with_part(BaseBoard.fresh(Around(bag)))
    parts = [replace(part, extras=strange) for part in bag.parts.values()]
    bag = replace(bag, body=replace(bag.body, extras=strange), top=replace(bag.top, extras=strange))
    bag = replace(bag, parts=bag.parts.having(*parts))
    fused = BaseBoard.of(with_choice(bag, "board", "fused").parts)
    assert fused is not None
    assert fused.depth > BaseBoard.fresh(Around(bag)).depth
    for choice in CHOICES:
        was = word_of(bag, choice)
        for word in choice.words:
            if NONE not in (was, word) and was is not None and choice.name not in OTHERS:
                if (choice.name, word) == ("handle_style", "loop") and not loop_runs_under(
                    bag.site
                ):
                    continue
                owner = with_word(bag, choice, word).owner(choice.part)
                assert isinstance(owner, Record)
                assert owner.extras == strange, (choice.name, word)


def test_two_files_that_differ_in_an_unknown_entry_are_not_the_same() -> None:
    document = with_strange_layers()
    first = read(document)
    document["newer"]["deep"]["er"] = [False]
    assert read(document) != first


def bolts(bag: dict[str, Any]) -> list[Any]:
    return [layer.get("bolt") for layer in bag["sandwich"]["layers"]]


def test_an_entry_goes_wherever_its_record_goes() -> None:
    project = read(with_strange_layers())
    first, second, *others = project.bag.sandwich.layers
    layers = (*others, replace(first, role="x", name="denim"), replace(second, extras=()))
    bag = replace(project.bag, sandwich=replace(project.bag.sandwich, layers=layers))
    document = written(replace(project, bag=bag).with_variant("other", bag).with_starting("s"))
    assert bolts(document) == [2, 3, 0, None]
    assert document["variants"][0]["bag"]["handles"]["seen"] == [1.5, None]
    other = document["variants"][1]["bag"]
    assert (bolts(other), other["handles"]["colour"]) == ([2, 3, 0, None], "rust")
    assert bolts(document["starting"]["bag"]) == [2, 3, 0, None]


def test_what_is_taken_away_takes_its_entries_along() -> None:
    project = read(with_strange_layers())
    without = replace(project, bag=without_part(project.bag, "handles")).without_variant("v")
    document = written(without)
    assert ("handles" in document, document["variants"]) == (False, [])
    assert document["newer"] == {"deep": {"er": [True]}}
    assert written(replace(without, bag=project.bag, variants=project.variants)) == (
        with_strange_layers()
    )


def test_another_bag_under_a_known_name_keeps_what_the_name_has() -> None:
    document = with_strange_layers()
    document["starting"] = json.loads(json.dumps(document["variants"][0])) | {"note": "old"}
    document["variants"][0]["note"] = "kept"
    document["variants"][0]["bag"]["beside"] = "it"
    project = read(document)
    back = written(project.with_variant(" v ", project.bag).with_starting("Anew"))
    assert (back["starting"]["name"], back["starting"]["note"]) == ("Anew", "old")
    assert [(kept["note"], kept["bag"]["beside"]) for kept in back["variants"]] == [("kept", "it")]
    # The records of the bag are those of the new one.
    assert "seen" not in back["variants"][0]["bag"]["handles"]
    renamed = written(project.with_variant_renamed("v", "w"))["variants"][0]
    assert (renamed["name"], renamed["note"], renamed["bag"]["beside"]) == ("w", "kept", "it")


def test_layers_that_differ_in_an_unknown_entry_are_bought_as_one() -> None:
    project = read(with_strange_layers())
    one = project.bag.sandwich.layers[0]
    for layer in (one, replace(one, name="")):
        assert layer.same_goods(replace(layer, extras=(("bolt", "7"),)))
    assert not one.same_goods(replace(one, thickness=one.thickness + 0.1))


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("[" * 65 + "]" * 65, "nested too deeply"),
        ('{"a":' * 70 + "1" + "}" * 70, "nested too deeply"),
        ("[[NaN]]", "stranger must be an ordinary number"),
        ("[[1e999]]", "stranger must be an ordinary number"),
        ('["\\ud83d"]', "stranger has characters"),
        ('{"\\ud83d": 1}', "? has characters"),
        ('{"a": 1, "a": 2}', "a appears twice"),
    ],
)
def test_an_unknown_entry_that_cannot_be_kept_is_refused(value: str, told: str) -> None:
    text = project_to_json(Project(bag=demo_bag())).rstrip().removesuffix("}")
    with pytest.raises(BagFileError) as caught:
        project_from_json(f'{text}, "stranger": {value}}}', source="mine.json")
    assert told in str(caught.value)


@pytest.mark.parametrize("name", ["", "   ", "W" * 81, "W" * 5000])
def test_a_kept_bag_that_cannot_be_is_told_from_the_others(name: str) -> None:
    project = Project(bag=demo_bag()).with_variant("a", demo_bag()).with_variant("b", demo_bag())
    document = written(project.with_starting("old"))
    for kept, told in (
        (document["variants"][1], "mine.json: variant 2: Name "),
        (document["starting"], "mine.json: starting bag: Name "),
    ):
        kept["name"], good = name, kept["name"]
        with pytest.raises(BagFileError) as caught:
            project_from_json(json.dumps(document), source="mine.json")
        assert str(caught.value).startswith(told)
        kept["name"] = good
    document["variants"][0]["bag"]["body"]["panel_width"] = -1.0
    with pytest.raises(BagFileError, match=r"^mine.json: variant 1: Panel width"):
        project_from_json(json.dumps(document), source="mine.json")
