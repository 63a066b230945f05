"""Reading damaged and hostile files: as a plain reading reads them, or one clear sentence each.

Quickly, and in little memory.
"""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from core.base.errors import BagFileError
from core.base.sentences import Sentence
from core.storage.bag_file import project_to_json
from core.storage.bag_files import demo_bag
from core.storage.project import Project
from tests.faults.mutations import Mutator, groups, whole_texts
from tests.faults.plain_files import judge
from tests.faults.plain_files import read as read_plainly
from tests.faults.test_saving import run
from tests.helpers import project_from_json

if TYPE_CHECKING:
    from tests.app.hands import Hands

LONGEST = 1.0
"""Seconds of work that a file may take: shared cores stall at random."""
MOST_MEMORY = 200.0
"""MB that reading may take, beyond the program itself."""
pytestmark = pytest.mark.skipif(os.name == "nt", reason="memory is measured as on POSIX")


def test_a_project_holds_what_its_file_says_and_unknown_entries_of_every_group() -> None:
    for text in whole_texts():
        judge(text.encode(), project_from_json(text, source="mine.json"))
        document = json.loads(text)
        for place, group in enumerate(groups(document)):
            # Measurements and other samples are tables: any name in them is theirs.
            table = {"face_height", "gusset_depth", "gusset-strip"}
            if isinstance(group, dict) and table.isdisjoint(group):
                group[f"x{place}"] = ["kept", {"as": place}, None]
        data = json.dumps(document).encode()
        judge(data, project_from_json(data, source="mine.json"))


def read_and_judge(document: object) -> None:
    """Read a file and compare it, or what is said of it, with the plain reading."""
    data = json.dumps(document).encode()
    try:
        outcome: Project | BagFileError = project_from_json(data, source="mine.json")
    except BagFileError as error:
        outcome = error
    judge(data, outcome)


NUMBERS = (-1, 0.004, 0.45, 50, 700.0, 1e10)
"""Something for each number to be beyond its limits, or the others' in its way, and within."""


def test_each_number_of_a_file_is_taken_as_it_is_or_refused_by_its_limits() -> None:
    document = json.loads(whole_texts()[0]) | {"starting": None, "variants": []}
    for group in groups(document):
        for key in list(group) if isinstance(group, dict) else range(len(group)):
            present = group[key]
            if isinstance(present, bool) or not isinstance(present, int | float):
                continue
            for number in NUMBERS:
                group[key] = number
                read_and_judge(document)
            group[key] = present


EARLIER = [
    json.loads((Path(__file__).parents[1] / "files" / f"bag_version_{version}.json").read_text())
    for version in (1, 2, 3, 4)
]
"""Files as the program of each earlier version wrote them."""


def with_layers(document: dict[str, Any], layers: list[Any]) -> dict[str, Any]:
    """A bag's file with other layers."""
    return document | {"sandwich": document["sandwich"] | {"layers": layers}}


def test_files_of_earlier_versions_hold_what_a_plain_reading_has() -> None:
    for document in EARLIER:
        read_and_judge(document)
        for changes in ({"shown_in": "mm"}, {"shown_in": "cm"}, {"closure": {"kind": "open top"}}):
            read_and_judge(document | changes)
        *_, lining = document["sandwich"]["layers"]
        if "supplies" in document:
            supplies = document["supplies"] | {"pocket": lining}
            read_and_judge(document | {"supplies": supplies})
        for melts, wipes in ((True, False), (False, True), (False, False)):
            told = lining | {"role": "lining", "melts": melts, "wipe_clean": wipes}
            for layers in ([told], [lining, told]):
                read_and_judge(with_layers(document, layers))


STRIPS = (
    *((1066.8, 0.0, 900.0, 3), (1066.8, 0.05, 900.0, 3), (1066.8, 0.0, 1066.8, 60)),
    *((900.0, 0.0, 900.0000005, 3), (900.0, 0.0, 900.000002, 3), (1066.8, 0.0, 13.2, 1)),
    *((1066.8, 0.0, 12.7, 2), (1066.8, 0.0, 12.0, 2), (12.7, 0.0, 900.0, 3)),
    *((12.0, 0.0, 12.0, 3), (13.2, 0.0, 22.7, 1), (30.0, 0.0, 1042.05, 1)),
    *((30.0, 0.0, 1059.35, 1), (900.0, 0.5, 1066.8, 1), (900.0, 1.5, 1066.8, 1)),
    *((1066.8, 0.0, 900.0, 0), (1066.8, 0.0, 900.0, -3), (1066.8, 0.0, 900.0, 2.5)),
    *((1066.8, 0.0, 900.0, 61), (1066.8, 0.0, 900.0, 10**300), (1066.8, 0.0, -1e300, 3)),
    *((1e12, 0.0, 900.0, 3), (1066.8, -1e12, 900.0, 3), (520.3, 0.0, 1027.9, 1)),
)
"""Usable width of goods and the share that they shrink; length and number of strips of them."""


def test_strips_of_earlier_versions_give_the_loop_that_they_gave() -> None:
    for document in EARLIER[0], EARLIER[2] | {"starting": None, "variants": []}:
        layer = document["sandwich"]["layers"][0]
        for usable, shrinks, length, number in STRIPS:
            goods = layer | {"usable_width": usable, "shrink_width": shrinks}
            strips = {"goods_width": length, "handle_strips": number}
            told = document | {"handles": document["handles"] | strips}
            read_and_judge(with_layers(told, [goods]))
            if "supplies" in document:
                supplies = document["supplies"] | {"handles": goods}
                read_and_judge(with_layers(told, [layer]) | {"supplies": supplies})


def spoil(document: dict[str, Any], among: list[Any]) -> None:
    """Read a file with each entry of some of its groups and lists spoilt, one at a time."""
    for group in among:
        for key in list(group) if isinstance(group, dict) else range(len(group)):
            present = group[key]
            for spoilt in (None, "x", True, [], {}):
                group[key] = spoilt
                read_and_judge(document)
            if isinstance(group, dict):
                del group[key]
                read_and_judge(document)
            group[key] = present


@pytest.mark.parametrize("version", [1, 3])
def test_a_spoilt_file_of_an_earlier_version_is_refused_in_words(version: int) -> None:
    document = deepcopy(EARLIER[version - 1])
    document["sandwich"]["layers"][1:-1] = []
    if version == 3:
        kept = deepcopy(document)
        spoil(kept, [kept["starting"], kept["variants"], kept["variants"][0]])
        document |= {"starting": None, "variants": []}
    spoil(document, groups(document))


def test_damaged_files_are_read_or_refused_in_words(
    share: Callable[[int], int], tell: Callable[[str], None]
) -> None:
    count = share(100_000)
    ((told),) = run("mutate", count, 20)
    read, refused, sentences, slowest, memory, _ = map(float, told.split())
    assert read + refused == count
    assert refused > count / 2
    assert read > count / 100, "some changes do no harm, or the reader is never reached"
    assert slowest < LONGEST
    assert memory < MOST_MEMORY
    tell(
        f"damaged files, each as a plain reading has it: {count}, refused {refused:.0f} "
        f"with {sentences:.0f} different sentences, read {read:.0f}; "
        f"slowest {1000 * slowest:.0f} ms, most memory {memory:.0f} MB"
    )


def test_the_window_opens_a_damaged_file_as_it_says_or_keeps_the_bag(
    hands: "Hands", tmp_path: Path, share: Callable[[int], int], tell: Callable[[str], None]
) -> None:
    from app.session.session import Unsaved

    document, answers, mutator = hands.document, hands.answers, Mutator(21)
    answers.leaving = Unsaved.DISCARD
    refused = 0
    for number in range(files := share(2000)):
        path = tmp_path / f"{number}.json"
        path.write_bytes(data := mutator.text())
        before, answers.opened = document.project, path
        answers.told.clear()
        answers.details.clear()
        hands.window.commands["open"].trigger()
        if sentences := answers.told:
            refused += 1
            assert document.project is before
            (sentence,) = sentences
            (detail,) = (Sentence("{told}", words={"told": each}) for each in answers.details)
            judge(data, BagFileError(Sentence("{told}", words={"told": sentence}), detail))
        else:
            assert document.path == path
            judge(data, document.project)
    assert 0 < refused < files
    assert read_plainly(b"{").wrong, "the plain reading refuses, too"
    tell(f"damaged files opened in the window: {files}, refused {refused}")


WHOLE = project_to_json(Project(bag=demo_bag()))
NAME = demo_bag().name


def beside(entry: str) -> str:
    """The demo bag's file with one more entry."""
    return f"{WHOLE.rstrip().removesuffix('}')}, {entry}}}"


def unknown(value: str) -> str:
    """The demo bag's file with an entry that is not ours."""
    return beside(f'"x": {value}')


def _many(count: int) -> str:
    return ",".join(f'"{n}"' for n in range(count))[:900_000].rpartition(",")[0]


def _variants() -> str:
    bag = WHOLE[: WHOLE.index('"starting"')].rstrip().rstrip(",") + "}"
    return ",".join(f'{{"name": "{n}", "bag": {bag}}}' for n in range(150))


def _layers() -> str:
    start = WHOLE.index('"layers": [') + len('"layers": [')
    end = WHOLE.index("}", start) + 1
    layer = WHOLE[start:end]
    count = 900_000 // len(layer)
    return f"{WHOLE[:start]}{','.join([layer] * count)},{WHOLE[start:]}"


HOSTILE: dict[str, Callable[[], str]] = {
    "100 MB of spaces": lambda: WHOLE + " " * 100_000_000,
    "100 MB of brackets": lambda: "[" * 100_000_000,
    "1 MB of brackets": lambda: "[" * 999_000,
    "1 MB of groups": lambda: '{"a":' * 199_000,
    "1 MB of closed brackets": lambda: unknown("[" * 490_000 + "]" * 490_000),
    "900 closed brackets": lambda: unknown("[" * 900 + "]" * 900),
    "1 MB of digits": lambda: unknown("9" * 990_000),
    "1 MB of small digits": lambda: unknown("0." + "0" * 980_000 + "1"),
    "1 MB of exponent": lambda: unknown("1e" + "9" * 990_000),
    "1 MB of keys": lambda: beside(", ".join(f'"k{n}": {n}' for n in range(50_000))),
    "1 MB of one key": lambda: beside(", ".join(['"k": 1'] * 120_000)),
    "1 MB of list": lambda: unknown("[" + ",".join("0" * 490_000) + "]"),
    "1 MB of lists in a list": lambda: unknown("[" + ",".join(["[]"] * 320_000) + "]"),
    "1 MB of ticks": lambda: WHOLE.replace('"ticked": []', f'"ticked": [{_many(150_000)}]'),
    "1 MB of pins": lambda: WHOLE.replace('"pinned": []', f'"pinned": [{_many(150_000)}]'),
    "1 MB of variants": lambda: WHOLE.replace('"variants": []', f'"variants": [{_variants()}]'),
    "1 MB of layers": _layers,
    "1 MB of name": lambda: WHOLE.replace(NAME, "n" * 980_000),
    "1 MB of escapes": lambda: WHOLE.replace(NAME, "\\u0001" * 160_000),
    "1 MB of surrogates": lambda: WHOLE.replace(NAME, "\\ud83d" * 160_000),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_a_hostile_file_is_read_or_refused_soon(
    case: str, tmp_path: Path, tell: Callable[[str], None]
) -> None:
    path = tmp_path / "mine.json"
    path.write_text(HOSTILE[case](), encoding="utf-8")
    seconds, memory, said = run("read", path)[0].split(" ", 2)
    assert said == "read" or (said.startswith("mine.json") and said.endswith("."))
    assert len(said) < 400
    assert float(seconds) < LONGEST
    assert float(memory) < MOST_MEMORY
    tell(f"{case}: {1000 * float(seconds):.0f} ms, {float(memory):.0f} MB: {said[:70]}")


def test_the_command_line_refuses_it_in_one_line(tmp_path: Path) -> None:
    path = tmp_path / "mine.json"
    path.write_text(HOSTILE["1 MB of groups"](), encoding="utf-8")
    code = "import sys; from app.cli import main; sys.exit(main(sys.argv[1:]))"
    words = [sys.executable, "-c", code, "figures", str(path)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=600, check=False)
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
