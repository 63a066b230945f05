"""Files whose body and top are changed by chance, as a second reader of bag files has them.

`tests.faults.plain_files` shares nothing with the program; the damage of whole files is tried in
`tests/faults/test_loading.py`.
"""

import json
import random
from pathlib import Path
from typing import Any

import pytest

from core.base.errors import BagFileError
from core.storage.bag_files import SAMPLES
from core.storage.project import Project
from tests.faults.plain_files import judge
from tests.helpers import project_from_json

FOLDER = Path(__file__).parents[3] / "resources" / "samples"
SIZES = (-1.0, 0, 0.0, 0.005, 1, 2, 3, 3.0, 4, 5, 9.5, 10, 25.0, 60, 150, 400, 9_999, 1e5)
ODD = (None, True, "5", [], {})


def document(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    return found


TOPS = [
    *(document(name)["top"] for name in ("demo", "tote", "coolbox")),
    {"kind": "facing", "facing_depth": 50.0},
    {"kind": "roll-top", "rolls": 3, "roll_depth": 25.0},
]


def check(changed: dict[str, Any]) -> bool:
    """Whether the program reads it; an AssertionError says that the second reader differs."""
    data = json.dumps(changed).encode()
    try:
        outcome: Project | BagFileError = project_from_json(data, source="mine.json")
    except BagFileError as error:
        outcome = error
    judge(data, outcome)
    return isinstance(outcome, Project)


@pytest.mark.parametrize("name", SAMPLES)
def test_each_entry_of_a_body_may_have_any_value(name: str) -> None:
    for entry in document(name)["body"]:
        for value in (*SIZES, *ODD):
            changed = document(name)
            changed["body"][entry] = value
            check(changed)
        lacking = document(name)
        del lacking["body"][entry]
        assert not check(lacking)


@pytest.mark.parametrize("name", SAMPLES)
def test_sizes_tops_and_handles_go_together_or_are_told_apart(name: str) -> None:
    chance = random.Random(name)
    read = 0
    for _ in range(120):
        changed = document(name)
        body = changed["body"]
        numbers = [entry for entry, value in body.items() if isinstance(value, int | float)]
        for entry in chance.sample(numbers, chance.randint(0, 3)):
            near = round(body[entry] * chance.uniform(0.3, 1.8), 3)
            body[entry] = chance.choice((*SIZES[1:], near, near, near))
        if chance.random() < 0.6:
            changed["top"] = dict(chance.choice(TOPS))
        for entry in changed["top"].keys() & {"zip_shift", "zip_tape_width", "roll_depth"}:
            if chance.random() < 0.3:
                changed["top"][entry] = chance.uniform(-200.0, 300.0)
        if changed.get("handles") is not None:
            changed["handles"]["style"] = chance.choice(("loop", "two separate"))
        read += check(changed)
    assert 3 < read < 110
