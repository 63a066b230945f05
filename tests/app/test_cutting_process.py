"""The planner beside the window: a process that is asked, stopped and replaced."""

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.session.cutting_plan import CuttingPlanModel
from core.bag.compute import compute
from core.cutting.plan import PlanOptions
from core.storage.bag_files import demo_bag
from tests.app.cutting_bench import PATIENT, processes

ENDLESS = """
import sys, time
from core.cutting import worker
def slowly(*args, **options):
    for step in original(*args, **options):
        yield step
        time.sleep(60)
original = worker.better_sections
worker.better_sections = slowly
sys.exit(worker.answer(sys.stdin.buffer.read(), sys.stdout))
"""
"""A worker that gives its first layouts, and then takes its time."""


@pytest.fixture
def make_watch(qtbot: QtBot) -> Iterator[Callable[..., CuttingPlanModel]]:
    made: list[CuttingPlanModel] = []

    def make(*command: str) -> CuttingPlanModel:
        made.append(CuttingPlanModel(command=command or None))
        return made[-1]

    yield make
    for watch in made:
        watch.close()
        watch.deleteLater()


def test_a_search_is_stopped_and_keeps_its_best_plan(
    qtbot: QtBot, make_watch: Callable[..., CuttingPlanModel]
) -> None:
    watch = make_watch(sys.executable, "-c", ENDLESS)
    result, options = compute(demo_bag()), PlanOptions()
    watch.ask(result, options)
    qtbot.waitUntil(lambda: watch.answers(result, options), timeout=PATIENT)
    assert watch.busy, "it looks on"
    watch.cancel()
    assert watch.stopped
    assert not watch.busy
    assert watch.answers(result, options)
    qtbot.waitUntil(lambda: processes(watch) == [], timeout=PATIENT)


def test_a_newer_question_drops_the_older_search(
    qtbot: QtBot, make_watch: Callable[..., CuttingPlanModel]
) -> None:
    watch = make_watch(sys.executable, "-c", ENDLESS)
    result = compute(demo_bag())
    watch.ask(result, PlanOptions(bags=2))
    watch.ask(result, PlanOptions(bags=3))
    qtbot.waitUntil(lambda: watch.answers(result, PlanOptions(bags=3)), timeout=PATIENT)
    assert not watch.answers(result, PlanOptions(bags=2))
    qtbot.waitUntil(lambda: len(processes(watch)) == 1, timeout=PATIENT)
    watch.close()
    assert processes(watch) == []


@pytest.mark.parametrize(
    "command",
    [
        ("no-such-program-as-this",),
        (sys.executable, "-c", "import sys; sys.exit(3)"),
        (sys.executable, "-c", "print('no answer', flush=True); input()"),
        (sys.executable, "-c", "pass"),
    ],
    ids=["not there", "fails", "talks nonsense", "says nothing"],
)
def test_a_worker_that_fails_is_told_and_no_plan_is_shown(
    qtbot: QtBot,
    make_watch: Callable[..., CuttingPlanModel],
    command: tuple[str, ...],
    caplog: pytest.LogCaptureFixture,
) -> None:
    watch = make_watch(*command)
    watch.ask(compute(demo_bag()), PlanOptions())
    qtbot.waitUntil(lambda: bool(watch.trouble), timeout=PATIENT)
    assert watch.plan is None
    assert not watch.busy
    assert "cutting plan" in caplog.text
    caplog.clear()


def test_the_worker_is_found_from_any_folder(
    qtbot: QtBot,
    make_watch: Callable[..., CuttingPlanModel],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    (tmp_path / "core.py").write_text("raise SystemExit('the wrong core')")
    monkeypatch.chdir(tmp_path)
    watch = make_watch()
    result, options = compute(demo_bag()), PlanOptions()
    watch.ask(result, options)
    qtbot.waitUntil(lambda: watch.answers(result, options) and not watch.busy, timeout=PATIENT)
    assert watch.trouble == ""
