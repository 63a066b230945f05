"""How long a text may be: the same in the model, in files of every version and in the schema.

The limits here are those of the window since its first version, written out anew.
"""

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from core.bag.compute import compute
from core.base.errors import BagFileError
from core.sewing.steps import bench_of, steps
from core.storage.bag_file import project_to_json
from core.storage.goods_library import GENERIC, GoodsTextError, library_to_json
from core.storage.project import Project
from tests.helpers import demo, library_from_json, project_from_json

ROOT = Path(__file__).parents[3]
SCHEMA = json.loads((ROOT / "resources" / "bag.schema.json").read_text(encoding="utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA)

Place = tuple[str | int, ...]
BAG: dict[Place, tuple[int, str]] = {
    ("name",): (80, "Name of the bag"),
    ("top", "gauge"): (60, "Gauge of the zip"),
    ("top", "colour"): (60, "Colour of the zip"),
    ("sandwich", "layers", 1, "role"): (60, "layer 2: Role"),
    ("sandwich", "layers", 1, "name"): (60, "layer 2: Name of the material"),
    ("supplies", "board", "role"): (60, "material of the board: Role"),
    ("supplies", "pocket", "name"): (60, "material of the pocket: Name of the material"),
    ("supplies", "handles", "role"): (60, "material of the handles: Role"),
}
"""Where a text of a bag stands in its file -> characters that it may have, how it is told."""
TEXTS: dict[Place, tuple[int, str]] = {
    **BAG,
    ("starting", "name"): (80, "starting bag: Name"),
    ("variants", 1, "name"): (80, "variant 2: Name"),
    **{
        (*head, *place): (most, f"{kept}: {told}")
        for head, kept in (
            (("starting", "bag"), "starting bag"),
            (("variants", 0, "bag"), "variant 1"),
        )
        for place, (most, told) in BAG.items()
    },
}
SCRIPTS = ("W", "語", "🧵")
"""One, three and four bytes of UTF-8; the last is two units of UTF-16."""


def document() -> dict[str, Any]:
    bag = demo()
    goods = bag.supplies.board
    bag = replace(bag, supplies=replace(bag.supplies, pocket=goods, handles=goods))
    project = Project(bag=bag).with_starting("start").with_variant("a", bag).with_variant("b", bag)
    found: dict[str, Any] = json.loads(project_to_json(project))
    return found


def put(held: Any, place: Place, value: str) -> None:
    *head, last = place
    for step in head:
        held = held[step]
    held[last] = value


@pytest.mark.parametrize("sign", SCRIPTS)
def test_every_text_at_its_limit_is_read_and_written_as_it_was(sign: str) -> None:
    told = document()
    for place, (most, _) in TEXTS.items():
        put(told, place, sign * most)
    # Two variants of one name are refused for another reason.
    put(told, ("variants", 1, "name"), sign * 79 + "2")
    VALIDATOR.validate(told)
    again = json.loads(project_to_json(project_from_json(json.dumps(told), source="x.json")))
    assert again == told


def test_layers_of_one_role_at_its_limit_are_told_apart_in_the_order_of_sewing() -> None:
    """What the program adds to a text does not make it longer than a text may be."""
    told = document()
    for layer in told["sandwich"]["layers"]:
        layer["role"] = "W" * 60
    bag = project_from_json(json.dumps(told), source="x.json").bag
    result = compute(bag)
    roles = [layer.role for layer in bench_of(bag, result.draft).layers]
    assert roles == [f"{'W' * 50} (layer {place})" for place in range(1, len(roles) + 1)]
    assert len(roles) > 1
    assert steps(result)


@pytest.mark.parametrize("sign", SCRIPTS)
@pytest.mark.parametrize("place", TEXTS, ids=lambda place: ".".join(map(str, place)))
def test_one_character_more_is_refused_with_its_place(place: Place, sign: str) -> None:
    most, told = TEXTS[place]
    spoiled = document()
    put(spoiled, place, sign * (most + 1))
    assert not VALIDATOR.is_valid(spoiled)
    with pytest.raises(BagFileError) as refused:
        project_from_json(json.dumps(spoiled), source="x.json")
    assert str(refused.value) == (
        f"x.json: {told} has {most + 1} characters: it may have at most {most}."
    )


@pytest.mark.parametrize("version", [1, 2, 3])
def test_files_of_earlier_versions_are_held_to_it_too(version: int) -> None:
    path = ROOT / "tests" / "files" / f"bag_version_{version}.json"
    told = json.loads(path.read_text(encoding="utf-8"))
    put(told, ("sandwich", "layers", 0, "role"), "W" * 60)
    kept = project_from_json(json.dumps(told), source="x.json")
    assert kept.bag.sandwich.layers[0].role == "W" * 60
    put(told, ("sandwich", "layers", 0, "role"), "W" * 2000)
    with pytest.raises(BagFileError, match=r"layer 1: Role has 2000 characters: .* at most 60"):
        project_from_json(json.dumps(told), source="x.json")


def test_a_library_of_goods_is_held_to_it_too() -> None:
    told = json.loads(library_to_json(GENERIC))
    for key in ("role", "name"):
        put(told, ("goods", 2, key), "W" * 60)
        assert library_from_json(json.dumps(told))
        put(told, ("goods", 2, key), "W" * 61)
        with pytest.raises(GoodsTextError, match=r"material 3: .* has 61 characters"):
            library_from_json(json.dumps(told))
        put(told, ("goods", 2, key), "short")


def loose_texts(schema: Any, where: str = "") -> Iterator[str]:
    """Places in the schema where any text may stand, however long."""
    if isinstance(schema, dict):
        if schema.get("type") == "string" and not schema.keys() & {"maxLength", "enum", "const"}:
            yield where
        for key, value in schema.items():
            yield from loose_texts(value, f"{where}/{key}")
    elif isinstance(schema, list):
        for value in schema:
            yield from loose_texts(value, where)


def test_no_other_text_of_a_file_is_shown() -> None:
    # Names of figures and keys of steps: they are compared with the program's own.
    assert {place.split("/properties/")[1] for place in loose_texts(SCHEMA)} == {
        "pinned/items",
        "ticked/items",
    }
