"""A construction, a top and a part are one file and one line each: a program with three more.

`tests/toys.py` has them, `tests/with_toys.py` puts them into the three tables before anything else
is loaded, and `tests/toy_checks.py` does with them all that the program does.
"""

import re
import subprocess
import sys
from pathlib import Path

from tests.toys import Envelope, RawEdge, Tag

ROOT = Path(__file__).parents[1]
CHECKS = "tests/toy_checks.py"


def test_a_body_a_top_and_a_part_are_all_that_a_program_needs_to_be_told() -> None:
    done = subprocess.run(
        (sys.executable, "-m", "pytest", "-q", "-p", "tests.with_toys", "-p", "no:xdist", CHECKS),
        cwd=ROOT, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-2000:]
    asked = len(re.findall(r"^def test_", (ROOT / CHECKS).read_text(), re.MULTILINE))
    passed = re.search(r"(\d+) passed", done.stdout)
    assert passed is not None
    assert int(passed[1]) >= asked > 10


def test_nothing_else_knows_them() -> None:
    kinds = (Envelope, RawEdge, Tag)
    names = {kind.__name__ for kind in kinds} | {f'"{kind.KIND}"' for kind in kinds}
    names |= {figure.name for kind in kinds for figure in kind.FIGURES} | {"toys"}
    named = re.compile(r"(?<!\w)(" + "|".join(map(re.escape, names)) + r")(?!\w)")
    assert named.search("from tests.toys import Tag")
    files = [
        path
        for room in ("core", "app", "resources")
        for path in (ROOT / room).rglob("*")
        if path.suffix in (".py", ".json")
    ]
    assert len(files) > 200
    assert [path for path in files if named.search(path.read_text(encoding="utf-8"))] == []
