"""Faults: how many of each are tried, and the figures told at the end.

`CORNERWRIGHT_FAULTS=small` tries about a fiftieth, for a run beside other checks.
"""

import os
from collections.abc import Callable, Iterator

import pytest

_FIGURES: list[str] = []


@pytest.fixture(scope="session")
def is_full() -> bool:
    """Whether all is tried in this run."""
    size = os.environ.get("CORNERWRIGHT_FAULTS", "full")
    if size not in ("small", "full"):
        pytest.fail(f"CORNERWRIGHT_FAULTS is {size}: it must be small or full")
    return size == "full"


@pytest.fixture(scope="session")
def share(is_full: bool) -> Callable[[int], int]:
    """Turns the full number of trials into the number of this run."""
    return (lambda full: full) if is_full else (lambda full: max(20, full // 50))


@pytest.fixture
def tell() -> Iterator[Callable[[str], None]]:
    """Takes a line of figures, which is printed after the run."""
    yield _FIGURES.append


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if _FIGURES:
        terminalreporter.section("figures")
        for line in _FIGURES:
            terminalreporter.write_line(line)
