"""Entries of a bag file that are not ours: kept through reading, editing and writing."""

import json
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag, with_figures
from core.base.errors import BagFileError
from core.base.foreign import Absent, ForeignEntry
from core.parts.layers import Layer
from core.storage import demo_bag, project_from_json, project_to_json
from core.storage.project import Project
from core.storage.strangers import with_strangers
from tests.core.bag.test_project import projects
from tests.helpers import having

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


def bare(project: Project) -> Project:
    """The project without what is not ours."""
    kept, variants = project.starting, project.variants
    return replace(
        project,
        foreign=(),
        starting=None if kept is None else replace(kept, foreign=()),
        variants=tuple(replace(variant, foreign=()) for variant in variants),
    )


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
    assert bare(back) == project
    assert project_from_json(project_to_json(back), source="x") == back


def test_signs_of_other_scripts_stay_readable() -> None:
    text = project_to_json(Project(bag=demo_bag())).rstrip().removesuffix("}")
    text = f'{text}, "größe": "für Märkte"}}'
    assert '"größe": "für Märkte"' in project_to_json(project_from_json(text, source="x"))


def test_an_unknown_entry_never_takes_the_place_of_one_of_ours() -> None:
    """A colour beside an open top is not ours, and that of the zip which comes later is."""
    document = written(Project(bag=demo_bag()))
    zipped = document["closure"]
    document["closure"] = {"kind": "open top", "colour": "rust", "gauge": 12}
    project = read(document)
    assert written(project) == document
    back = project.with_bag(demo_bag())
    assert written(back)["closure"] == zipped
    assert written(back.with_bag(project.bag)) == document


@pytest.mark.parametrize("layers", [[], None, [{}], [3]])
def test_an_entry_whose_place_is_gone_is_left_out(layers: object) -> None:
    document: dict[str, Any] = {"layers": layers}
    entries = [ForeignEntry(path=("layers", place, "bolt"), value="3") for place in (0, 1)]
    entries.append(ForeignEntry(path=("layers", Absent(called="x", number=1), "bolt"), value="4"))
    kept = [{"bolt": msgspec.Raw(b"3")}] if layers == [{}] else layers
    assert with_strangers(document, tuple(entries)) == {"layers": kept}


def test_an_unknown_entry_may_be_64_levels_deep() -> None:
    for inner in ("[" * 64 + "]" * 64, '{"a":' * 63 + "[1]" + "}" * 63):
        document = written(Project(bag=demo_bag())) | {"deep": json.loads(inner)}
        assert written(read(document)) == document


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


def with_layers(bag: Bag, layers: Sequence[Layer]) -> Bag:
    return replace(bag, sandwich=replace(bag.sandwich, layers=tuple(layers)))


def bolts(bag: dict[str, Any]) -> list[Any]:
    return [layer.get("bolt") for layer in bag["sandwich"]["layers"]]


def test_an_entry_follows_its_layer_and_its_variant() -> None:
    project = read(with_strange_layers())
    first, *others = project.bag.sandwich.layers
    turned = with_layers(project.bag, (*others, first))
    document = written(project.with_bag(turned).with_variant("other", turned))
    assert bolts(document) == [*range(1, 1 + len(others)), 0]
    assert document["variants"][0]["bag"]["handles"]["seen"] == [1.5, None]
    assert "seen" not in document["variants"][1]["bag"]["handles"]


def test_a_layer_of_another_name_is_known_by_what_is_left_of_it() -> None:
    project = read(with_strange_layers())
    first, second, third, fourth = project.bag.sandwich.layers
    denim = with_layers(project.bag, (replace(first, name="denim"), third, fourth))
    assert bolts(written(project.with_bag(denim))) == [0, 2, 3]
    other = replace(second, role="oilcloth", name="wax")
    oiled = with_layers(project.bag, (other, first, third, fourth))
    assert bolts(written(project.with_bag(oiled))) == [1, 0, 2, 3]


def test_layers_that_say_which_they_were_need_not_be_known_again() -> None:
    project = read(with_strange_layers())
    first, second, third, _ = project.bag.sandwich.layers
    # All of one name and kind, the second gone, a new one that is called as it was.
    layers = (replace(third, role="x"), second, replace(first, role="x"))
    edited = project.with_bag(with_layers(project.bag, layers), sources=(2, None, 0))
    assert bolts(written(edited)) == [2, None, 0]
    later = edited.with_bag(with_figures(edited.bag, {"panel_width": 500.0}))
    assert bolts(written(later)) == [2, None, 0]


def test_two_layers_that_are_alike_change_places_with_their_entries() -> None:
    project = read(with_strange_layers())
    one = project.bag.sandwich.layers[0]
    alike = project.with_bag(with_layers(project.bag, (one, one)), sources=(0, 1))
    assert bolts(written(alike)) == [0, 1]
    assert bolts(written(alike.with_bag(alike.bag, sources=(1, 0)))) == [1, 0]


def test_a_bag_of_fewer_layers_and_back_again_loses_nothing() -> None:
    project = read(with_strange_layers())
    layers = project.bag.sandwich.layers
    fewer = project.with_bag(with_layers(project.bag, layers[1:3]))
    assert bolts(written(fewer)) == [1, 2]
    assert bolts(written(fewer.with_bag(project.bag))) == [0, 1, 2, 3]
    # Of layers that are called alike, none takes the entries of another.
    same = (layers[0], replace(layers[0], pressed=0.1), layers[2])
    twice = project.with_bag(with_layers(project.bag, same), sources=(0, 1, 2))
    gone = twice.with_bag(with_layers(twice.bag, layers[2:3]))
    assert sorted(bolts(written(gone.with_bag(twice.bag)))) == [0, 1, 2]


def test_another_bag_under_a_known_name_keeps_what_the_name_has() -> None:
    document = with_strange_layers()
    document["starting"] = json.loads(json.dumps(document["variants"][0])) | {"note": "old"}
    document["variants"][0]["note"] = "kept"
    for kept in (document["starting"], document["variants"][0]):
        for number, layer in enumerate(kept["bag"]["sandwich"]["layers"]):
            layer["bolt"] = 10 + number
    project = read(document)
    turned = project.with_bag(with_layers(project.bag, project.bag.sandwich.layers[::-1]))
    back = written(turned.with_variant(" v ", turned.bag).with_starting("Anew"))
    assert (back["starting"]["name"], back["starting"]["note"]) == ("Anew", "old")
    assert [kept["note"] for kept in back["variants"]] == ["kept"]
    for kept in (back["starting"], back["variants"][0]):
        assert bolts(kept["bag"]) == [13, 12, 11, 10]
        assert kept["bag"]["handles"]["seen"] == [1.5, None]


def test_an_entry_of_what_is_taken_away_goes_and_comes_back_with_it() -> None:
    project = read(with_strange_layers())
    without = project.with_bag(having(project.bag, handles=None)).without_variant("v")
    document = written(without)
    assert document["handles"] is None
    assert document["variants"] == []
    assert document["newer"] == {"deep": {"er": [True]}}
    restored = replace(without.with_bag(project.bag), variants=project.variants)
    assert written(restored) == with_strange_layers()
    # A new one is another one, whatever it is called.
    anew = written(without.with_variant("v", project.bag))
    assert "seen" not in anew["variants"][0]["bag"]["handles"]


short = st.sampled_from(["V1", "V2", "V3", "V4"])
edits = st.lists(
    st.tuples(st.just("keep"), short)
    | st.tuples(st.just("delete"), short)
    | st.tuples(st.just("rename"), short, short)
    | st.tuples(st.just("layers"), st.permutations([None, None, 0, 1, 2, 3]), st.integers(1, 6)),
    max_size=12,
)


def marked() -> dict[str, Any]:
    """A file in which each variant and each layer has an entry of its own."""
    project = Project(bag=demo_bag())
    for name in ("V1", "V2", "V3"):
        project = project.with_variant(name, demo_bag())
    document = written(project)
    for number, variant in enumerate(document["variants"]):
        variant["mark"] = variant["bag"]["mark"] = number
    for number, layer in enumerate(document["sandwich"]["layers"]):
        layer["bolt"] = number
    return document


@settings(max_examples=150, deadline=None)
@given(edits)
def test_whatever_is_done_each_keeps_its_own(done: list[tuple[Any, ...]]) -> None:
    project = read(marked())
    owners: dict[str, int | None] = {"V1": 0, "V2": 1, "V3": 2}
    rows: list[int | None] = [0, 1, 2, 3]
    for what, *told in done:
        if what == "keep":
            project = project.with_variant(told[0], project.bag)
            owners.setdefault(told[0], None)
        elif what == "delete":
            project = project.without_variant(told[0])
            owners.pop(told[0], None)
        elif what == "rename" and told[1] not in owners:
            project = project.with_variant_renamed(*told)
            owners = {told[1] if name == told[0] else name: own for name, own in owners.items()}
        elif what == "layers":
            sources = [old for old in told[0] if old is None or old < len(rows)][: told[1]]
            layers = [demo_bag().sandwich.layers[0] for _ in sources]
            project = project.with_bag(with_layers(project.bag, layers), sources=sources)
            rows = [None if old is None else rows[old] for old in sources]
        document = written(project)
        found = {each["name"]: each.get("mark") for each in document["variants"]}
        assert found == owners
        assert {each["name"]: each["bag"].get("mark") for each in document["variants"]} == owners
        assert bolts(document) == rows
        assert written(read(document)) == document


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
    document["variants"][0]["bag"]["panel"]["panel_width"] = -1.0
    with pytest.raises(BagFileError, match=r"^mine.json: variant 1: Panel width"):
        project_from_json(json.dumps(document), source="mine.json")
