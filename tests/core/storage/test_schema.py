"""The published schema, read by a library that knows nothing of this program.

Source: JSON Schema, draft 2020-12 (core and validation), as the jsonschema library reads it.
"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from jsonschema import Draft202012Validator

from core.storage.bag_file import project_to_json
from core.storage.project import Project
from tests.core.bag.test_project import projects
from tests.helpers import demo

PUBLISHED = Path(__file__).parents[3] / "resources" / "bag.schema.json"
SCHEMA = json.loads(PUBLISHED.read_text(encoding="utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA)


def test_it_is_a_schema_of_the_edition_that_it_names() -> None:
    assert SCHEMA["$schema"] == Draft202012Validator.META_SCHEMA["$id"]
    Draft202012Validator.check_schema(SCHEMA)


@settings(max_examples=30)
@given(projects())
def test_every_saved_file_keeps_to_it(project: Project) -> None:
    VALIDATOR.validate(json.loads(project_to_json(project)))


def _without(name: str) -> Callable[[dict[str, Any]], object]:
    return lambda document: document.pop(name)


def _with(name: str, value: object) -> Callable[[dict[str, Any]], object]:
    return lambda document: document.update({name: value})


SPOILED: dict[str, Callable[[dict[str, Any]], object]] = {
    "no body": _without("body"),
    "no version": _without("version"),
    "another format": _with("format", "something else"),
    "lengths in inches": _with("lengths_in", "in"),
    "a name that is a number": _with("name", 5),
    "ticks that are no list": _with("ticked", "one"),
    "a seamed bottom without its allowance": lambda document: document["body"].update(
        bottom="seam"
    ),
    "a panel’s width in words": lambda document: document["body"].update(panel_width="wide"),
}


@pytest.mark.parametrize("spoil", SPOILED)
def test_a_spoiled_file_does_not(spoil: str) -> None:
    document = json.loads(project_to_json(Project(bag=demo())))
    VALIDATOR.validate(document)
    SPOILED[spoil](document)
    assert not VALIDATOR.is_valid(document)


def test_it_lets_a_later_program_add_its_own() -> None:
    document = json.loads(project_to_json(Project(bag=demo())))
    document["shelf"] = {"row": 3}
    document["body"]["colour"] = "plum"
    assert VALIDATOR.is_valid(document)
