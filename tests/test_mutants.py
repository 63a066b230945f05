"""The mutation run itself: it makes the slips that it says, and tells caught from not caught."""

import os
from pathlib import Path

import pytest

from tests.mutants.operators import mutants_of

SMALL = '''"""Text that is told."""

import logging

LIMIT: float = 2.0


def fits(length: float, room: float, *, strict: bool = False) -> bool:
    """Whether it fits."""
    if not strict and length <= room + 1e-9:
        return True
    logging.info("no room", extra={})
    raise ValueError(f"longer by {length - room}")


def found(names, known):
    try:
        total = max(names, key=len)
    except (TypeError, ValueError):
        total = ""
    total += "end"
    for each in known:
        if each is not None:
            continue
    return total
'''

SLIPS = """
module: LIMIT: float = {2.0 => 4.0}
fits: def fits(length: float, room: float, *, strict: bool = {False => True} ) -> bool:
fits: if {not => } strict and length <= room + 1e-9:
fits: if {not strict and length <= room + 1e-9 => length <= room + 1e-9} :
fits: if {not strict and length <= room + 1e-9 => not strict} :
fits: if not strict and length {<= => <} room + 1e-9:
fits: if not strict and length {<= => >} room + 1e-9:
fits: if not strict and length <= room {+ => -} 1e-9:
fits: if not strict and length <= room + {1e-9 => 0.0} :
fits: return {True => False}
fits: {raise ValueError(f"longer by {length - room}") => pass}
found: total = {max => min} (names, key=len)
found: total = max(names {, key=len => } )
found: except {(TypeError, ValueError) => (ValueError,)} :
found: except {(TypeError, ValueError) => (TypeError,)} :
found: {total = "" => raise}
found: {total = "" => pass}
found: {total += "end" => pass}
found: total {+ => -} = "end"
found: total += {"end" => 'xend'}
found: for each in {known => ()} :
found: if each {is not => is} None:
found: {continue => pass}
found: return {total => None}
"""


def test_the_slips_are_those_that_are_told():
    made = mutants_of(SMALL)
    assert [f"{each.where}: {each.change}" for each in made] == SLIPS.split("\n")[1:-1]
    texts = {each.in_source(SMALL) for each in made}
    assert len(texts) == len(made)
    assert SMALL not in texts


def test_lines_that_read_alike_are_told_apart():
    made = mutants_of("def of(a, b):\n    a.pop()\n    b.pop()\n    a.pop()\n")
    assert [each.change for each in made] == [
        "{a.pop() => pass}",
        "{b.pop() => pass}",
        "{a.pop() => pass} (2)",
    ]
    assert [each.lines for each in made] == [(2, 2), (3, 3), (4, 4)]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="mutants are run in forked processes")
def test_a_slip_is_caught_where_a_test_reaches_it_and_no_other(tmp_path: Path):
    from tests.mutants.__main__ import FileRun
    from tests.mutants.run import End, record

    (tmp_path / "core").mkdir()
    (tmp_path / "tests").mkdir()
    (tmp_path / "pyproject.toml").write_text("[tool.pytest.ini_options]\npythonpath = ['.']\n")
    (tmp_path / "core/room.py").write_text(
        "def fits(length, room):\n    return length <= room\n\n\n"
        "def unused():\n    return 1\n\n\n"
        "def ends(count):\n    while count > 0:\n        count -= 1\n"
    )
    (tmp_path / "tests/test_room.py").write_text(
        "from core.room import ends, fits\n\n\ndef test_fits():\n"
        "    assert fits(1, 2) and not fits(3, 2)\n\n\ndef test_ends():\n    ends(3)\n"
    )
    tests = record(tmp_path, ["core/room.py"], ["tests/test_room.py"])
    fits, ends = (tests[f"tests/test_room.py::test_{name}"] for name in ("fits", "ends"))
    assert fits.lines["core/room.py"] == {2}
    assert ends.lines["core/room.py"] == {10, 11}
    reason = {"fits: return length {<= => <} room": "a test of the tool"}
    run = FileRun("core/room.py", tests, (), reason, tmp_path)
    picked = [each for each in run.mutants if each.where != "ends" or "pass" in each.change]
    report = run.run(picked, [tmp_path], least=0.5)
    assert report.ends == {
        "explained": 1,
        End.KILLED.value: 2,
        End.SURVIVED.value: 2,
        End.TIMED_OUT.value: 1,
    }
    assert report.faults == 2  # nothing reaches them


def test_every_file_and_slip_that_is_named_is_there():
    from tests.mutants.__main__ import explained, missing
    from tests.mutants.targets import TARGETS

    assert list(missing(TARGETS, explained())) == []


def test_names_of_what_is_not_there_are_told():
    from tests.mutants.__main__ import missing
    from tests.mutants.targets import Target

    file, test = "core/base/tolerance.py", "tests/test_mutants.py"
    targets = [
        Target("moved", ("core/gone.py",), ("tests/test_gone.py",), ("tests/faults/gone.py",)),
        Target("one", (file,), (test,)),
        Target("other", (file,), (test,)),
    ]
    explained = {
        "core/gone.py": ["module: x"],
        file: ["shorter: return {gone => not gone}"],
        "core/base/units.py": [],
    }
    assert list(missing(targets, explained)) == [
        "no such file: core/gone.py",
        "no such file: tests/faults/gone.py",
        "no such file: tests/test_gone.py",
        f"a target more than once: {file}",
        f"explained, but no more there: {file}: shorter: return {{gone => not gone}}",
        "explained, but no target: core/base/units.py",
    ]
