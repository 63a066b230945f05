"""What is not there is null in the JSON of every command: no NaN, no empty text, no 0 for none."""

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from app.cli import main
from core.bag.choices import without_part
from core.storage.bag_files import demo_bag
from tests.helpers import ELSEWHERE, changed, write_bag

LIMITS_AT_NOTHING = {
    *("zip-on-top-fold", "base-vanishes", "hems-differ", "pocket-open-above-stop"),
}
"""Findings whose limit is nothing itself: a size, or a distance, of 0."""

CHANGES = {
    "Nothing changes": (),
    "open": ("--without", "zip"),
    "bare": ("--without", "zip", "--without", "pocket", "--without", "handles"),
    "no board": ("--without", "board"),
    "pillow": ("--set", "corner_cut_width=0", "--set", "corner_cut_depth=0"),
    "no allowance": ("--set", "side_seam=0", "--set", "zip_seam=0"),
    "no zip so long": ("--set", "panel_width=40 in", "--set", "zip_length=44 in"),
    "handles that do not span": ("--set", "handle_strips=1"),
    "crossing": (
        "--without",
        "handles",
        "--without",
        "pocket",
        "--set",
        "panel_length=12 in",
        "--set",
        "front_trim=2 in",
    ),
}
ZIP = {"zip_tape_width", "zip_offset", "zip_clearance"}
POCKET = {"pocket_cut_height", "pocket_drop", "pocket_height"}
DROPS = {"handle_drop_front", "handle_drop_back"}
HANDLES = {
    *("handle_width", "handle_gap", "handle_stop", "handle_strips", "handle_last_strip"),
    *("goods_width", "handle_loop", *DROPS),
}
FILLED = {"filled_volume", "inside_filled_volume"}
ABSENT = {
    "Nothing changes": set(),
    "open": {*ZIP, *FILLED},
    "bare": {*ZIP, *POCKET, *HANDLES, *FILLED},
    "no board": {"board_width", "board_depth"},
    "pillow": {"inside_volume"},
    "no allowance": set(),
    "no zip so long": set(),
    "handles that do not span": DROPS,
    "crossing": {*POCKET, *HANDLES, *FILLED},
}
"""Published names of what each of these bags lacks, beside the mark of corners sewn across."""


def read(text: str) -> Any:
    """A command's JSON; NaN and Infinity are no JSON."""

    def refuse(constant: str) -> None:
        raise ValueError(constant)

    return json.loads(text, parse_constant=refuse)


def values(told: Any, place: str = "") -> Iterator[tuple[str, Any]]:
    """Every value of an object with its place."""
    if isinstance(told, dict):
        for name, value in told.items():
            yield from values(value, f"{place}/{name}")
    elif isinstance(told, list):
        for value in told:
            yield from values(value, f"{place}[]")
    else:
        yield place, told


def assert_plain(told: Any) -> None:
    """No text is empty, and a limit is a number that is meant or null."""
    for place, value in values(told):
        assert value != "", place
    for finding in told.get("findings", ()):
        limit = finding["limit"]
        assert limit is None or limit > 0.0 or finding["code"] in LIMITS_AT_NOTHING, finding


@pytest.fixture
def told(capsys: pytest.CaptureFixture[str]) -> Callable[..., Any]:
    """Runs a command with these words and returns its object; a stop is no mistake here."""

    def run(command: str, *words: str) -> Any:
        assert main((command, "--json", *words)) in (0, 1)
        out, err = capsys.readouterr()
        assert err == ""
        return read(out)

    return run


@pytest.mark.parametrize("command", ["figures", "check", "steps"])
@pytest.mark.parametrize("case", CHANGES)
def test_what_a_bag_lacks_is_null(case: str, command: str, told: Callable[..., Any]) -> None:
    found = told(command, *CHANGES[case])
    assert_plain(found)
    if command == "figures":
        figures = {**found["cut"], **found["finished"]}
        absent = {name for name, value in figures.items() if value is None}
        assert absent == ABSENT[case] | {"corner_mark"} | (ELSEWHERE & figures.keys())


def test_a_finding_without_a_limit_says_null(told: Callable[..., Any]) -> None:
    limits = {
        each["code"]: each["limit"]
        for case in ("no zip so long", "crossing", "Nothing changes")
        for each in told("check", *CHANGES[case])["findings"]
    }
    assert limits["melts"] is None
    assert limits["zip-length-not-sold"] is None


def test_a_redesign_of_a_bag_without_parts_says_null(
    told: Callable[..., Any], tmp_path: Path
) -> None:
    path = tmp_path / "bag.json"
    write_bag(without_part(without_part(demo_bag(), "handles"), "zip"), path)
    found = told("redesign", str(path), "--want", "gusset_depth=8in")
    for name in ("zip_offset", "zip_clearance", "handle_loop", "handle_drop_front"):
        assert found["finished"][name] is None
    assert_plain(found)


def test_goods_that_no_piece_fits_on_have_a_limit_or_null(
    told: Callable[..., Any], tmp_path: Path
) -> None:
    path = tmp_path / "bag.json"
    write_bag(changed(demo_bag(), goods_width=400.0), path)
    found = told("materials", str(path))
    assert found["findings"]
    assert_plain(found)
